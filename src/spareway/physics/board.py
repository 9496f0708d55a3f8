"""Consumer units: what they must be rated for, what fits, and fuses one behind the other."""
from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from spareway.fact import formula
from spareway.physics.choose import at_least, at_most


@formula("BS 7671 551.7.2")
def required_board_a(fuse_a: float, sources_a: float) -> float:
    """Rated current that a board needs whose busbar the supply and generators feed together.

    Range: sources_a is the total of their rated output currents.
    Case: published/board.toml#board-with-a-source
    """
    return fuse_a + sources_a


@formula("BS EN 61439-3, rated diversity factor")
def continuous_a(rating_a: float, rdf: float) -> float:
    """What a device in a loaded board may carry for long.

    Range: the maker's factor governs; a standard one is assumed where there is none.
    Case: published/board.toml#device-among-others
    """
    return rating_a * rdf


@formula("common practice, no source")
def board_width_mm(modules_n: float, pitch_mm: float, sides_mm: float) -> float:
    """Outer width of a board with all its modules in one row.

    Range: a first look only: the maker's drawing governs.
    Case: published/board.toml#width-of-a-row
    """
    return modules_n * pitch_mm + sides_mm


@formula("ratio of ratings")
def fuse_ratio(upstream_a: float, downstream_a: float) -> float:
    """Fuse before over fuse behind: gG over gG opens in order from 1.6.

    Range: both of one kind; small mixed fuses want 2.
    Case: published/board.toml#fuse-over-fuse
    """
    return upstream_a / downstream_a


def sum_of_ways_a(ways_a: Iterable[float]) -> float:
    """The ratings of the devices of a board, added (A). Above the main switch it is no fault and shows no overload:
    BS 7671 536.4.202 asks for the demand or for a device in front."""
    return math.fsum(ways_a)


def carries(limits_a: Sequence[float], load_a: float) -> list[bool]:
    """Which of these ratings (A) carry the load (A)."""
    return [at_least(limit, load_a) for limit in limits_a]


def overload_shown(demands_a: Iterable[float], switch_a: float) -> bool:
    """Whether known demands (A) add up to more than a switch carries (A). Where no demand is known, nothing is shown:
    the rating of a device says what a circuit may take and not what it does. Source: BS 7671 536.4.202."""
    return not at_most(math.fsum(demands_a), switch_a)
