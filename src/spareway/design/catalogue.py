"""What may be chosen: devices in ladders of ratings, and the pairs of conductors that cables are made with."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from spareway.kinds import kind

__all__ = ["Catalogue", "Offered", "generic"]


@dataclass(frozen=True, slots=True)
class Offered:
    """A device on offer. Nought stands for what it does not have.

    let_through_a2s: its maker's figure at the fault currents met here; energy_class: of a breaker, by its standard
    fuse: the standard of a fuse, whose table then says what opens it; price: None where the firm states none."""
    kind: str
    rating_a: float
    curve: str = ""
    residual_ma: float = 0.0
    residual_type: str = ""
    fault_rating_ka: float = 0.0
    energy_class: float = 0.0
    let_through_a2s: float = 0.0
    fuse: str = ""
    price: Decimal | None = None

    @property
    def says(self) -> str:
        """`B16`, `20 A bs88-3`: as it is called across a van."""
        return f"{self.curve}{self.rating_a:g}" if self.curve else f"{self.rating_a:g} A {self.fuse or self.kind}"

    @property
    def has_residual(self) -> bool:
        """Whether it opens on residual current too."""
        return bool(kind(self.kind).residual)


@dataclass(frozen=True, slots=True)
class Catalogue:
    """devices: in the order of preference where all else is equal; cables: kind -> pairs (line, cpc) in mm², smallest first."""
    devices: tuple[Offered, ...]
    cables: Mapping[str, tuple[tuple[float, float], ...]]


@cache
def generic() -> Catalogue:
    """Devices of no make, for a firm that has no catalogue of its own."""
    from spareway.bundled import text
    from spareway.plain_toml import loads
    return read_catalogue(loads(text("design/catalogue.toml")))


def read_catalogue(held: Mapping[str, Any]) -> Catalogue:
    """A catalogue of the form of `catalogue.toml`; a price is a text, "18.40". Errors: KeyError, TypeError, InvalidOperation."""
    devices = []
    for group in held["devices"].values():
        rest: dict[str, Any] = {key: float(value) if isinstance(value, int | float) else value for key, value in group.items()
                                if key not in ("ratings_a", "price")}
        if "price" in group:
            rest["price"] = Decimal(group["price"])
        devices += [Offered(rating_a=float(rating), **rest) for rating in group["ratings_a"]]
    cables = {name: tuple(sorted(_pair(said) for said in pairs)) for name, pairs in held["cables"].items()}
    return Catalogue(tuple(devices), cables)


def _pair(said: str) -> tuple[float, float]:
    line, _, cpc = said.partition("/")
    return float(line), float(cpc)
