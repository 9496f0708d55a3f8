"""What the standard of a fuse holds it to, as spots for a ladder: each current and time off a table, with its trust."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from spareway.design.route import settled
from spareway.fact import Fact, unknown
from spareway.physics.supply import fusing_a, nonfusing_a
from spareway.season.home import Ladder
from spareway.season.ladder import fitted
from spareway.tables import Books, NoRow, look_up

__all__ = ["Gates", "gates_of"]

HOUR_S = 3600.0
HOLDS, OPENS = (("holds 0.1 s", 0.1), ("holds 10 s", 10.0)), (("opens in 0.1 s", 0.1), ("opens in 5 s", 5.0))


@dataclass(frozen=True, slots=True)
class Gates:
    """Currents (A) that a fuse must hold and must open at, with their times (s), the conventional ones last.

    facts   all that these rest on; a gap among them where a table has no row: then there is no ladder"""
    holds: tuple[tuple[float, float], ...]
    opens: tuple[tuple[float, float], ...]
    facts: tuple[Fact[Any], ...]

    @property
    def gaps(self) -> tuple[Fact[Any], ...]:
        return tuple(fact for fact in self.facts if not fact.known)

    def ladder(self, between: float = 0.5) -> Ladder | None:
        """A fuse between the quickest (0) and the slowest (1) that these allow; None where any of them is not known.

        Errors: ValueError of `fitted`."""
        return None if self.gaps else fitted(self.holds, self.opens, between)


def gates_of(fuse: Fact[str], rating_a: Fact[float], books: Books) -> Gates:
    """The gates of a fuse to this standard and of this rating. Source: the tables named by each fact."""
    hour = _read("conventional_time", "conventional_h", books, fuse, rating_a)
    ends = []
    for spots, factor, current in ((HOLDS, "fuse_holds", nonfusing_a), (OPENS, "fuse_opens", fusing_a)):
        facts_short = [_read("fuse_gates", "gate_a", books, fuse, settled("fuse_gate", name, "gate"), rating_a) for name, _ in spots]
        times = [time_s for _, time_s in spots]
        gives = "nonfusing_factor" if factor == "fuse_holds" else "fusing_factor"
        ends.append((facts_short, times, current.worked(rating_a, _read(factor, gives, books, fuse, rating_a))))
    facts = (*(fact for short, _, last in ends for fact in (*short, last)), hour)
    if any(not fact.known for fact in facts):
        return Gates((), (), facts)
    holds, opens = ((*((fact.value, time_s) for fact, time_s in zip(short, times, strict=True)),
                     (last.value, hour.value * HOUR_S)) for short, times, last in ends)
    return Gates(holds, opens, facts)


def _read(table: str, gives: str, books: Books, *keys: Fact[Any]) -> Fact[Any]:
    try:
        return look_up(table, books, *keys)
    except NoRow as none:
        return unknown(gives, str(none))
