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
    holds = [_gate(name, books, fuse, rating_a) for name, _ in HOLDS]
    holds.append(nonfusing_a.worked(rating_a, _read("fuse_holds", "nonfusing_factor", books, fuse, rating_a)))
    opens = [_gate(name, books, fuse, rating_a) for name, _ in OPENS]
    opens.append(fusing_a.worked(rating_a, _read("fuse_opens", "fusing_factor", books, fuse, rating_a)))
    facts = (*holds, *opens, hour)
    if any(not fact.known for fact in facts):
        return Gates((), (), facts)
    return Gates(_spots(holds, HOLDS, hour), _spots(opens, OPENS, hour), facts)


def _spots(currents: list[Fact[float]], gates: tuple[tuple[str, float], ...], hour: Fact[float]
           ) -> tuple[tuple[float, float], ...]:
    times_s = [*(time_s for _, time_s in gates), hour.value * HOUR_S]
    return tuple((current.value, time_s) for current, time_s in zip(currents, times_s, strict=True))


def _gate(name: str, books: Books, fuse: Fact[str], rating_a: Fact[float]) -> Fact[float]:
    return _read("fuse_gates", "gate_a", books, fuse, settled("fuse_gate", name, "gate"), rating_a)


def _read(table: str, gives: str, books: Books, *keys: Fact[Any]) -> Fact[Any]:
    try:
        return look_up(table, books, *keys)
    except NoRow as none:
        return unknown(gives, str(none))
