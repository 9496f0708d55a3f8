"""A name that the network does not have is our input's fault, and says which one was perhaps meant."""
from __future__ import annotations

from collections.abc import Collection, Iterable

from spareway.doc import nearest

PERSONS = ("ordinary", "skilled", "operator")          # each may open what those before may
ROLES = (*PERSONS, "other", "itself")


class UnknownName(ValueError):
    """A terminal, control, conductor, letter or person that this network does not have."""

    def __init__(self, what: str, name: str, known: Iterable[str]) -> None:
        self.what, self.name, self.nearest = what, name, nearest(name, known)
        hint = f"; did you mean {self.nearest}?" if self.nearest else ""
        super().__init__(f"no {what} is called {name}{hint}")


def check(what: str, name: str, known: Collection[str]) -> None:
    """Raise UnknownName unless the name is known."""
    if name not in known:
        raise UnknownName(what, name, known)
