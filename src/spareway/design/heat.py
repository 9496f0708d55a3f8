"""What a fault puts into the conductors of one circuit: the currents line to neutral, the energy, what the line withstands."""
from __future__ import annotations

from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

from spareway.design import tails
from spareway.design.route import renamed, settled
from spareway.fact import Fact, chosen, solved, total, unknown
from spareway.physics import curves, fault, ring
from spareway.physics.curves import Points
from spareway.tables import Books, look_up, rows, time_current

if TYPE_CHECKING:
    from spareway.design.board import BoardDesign
    from spareway.design.circuit import CircuitDesign

USUAL = "usual pairing"                    # how the table of pairs notes the one that flat cable is made in


class HeatDesign:
    """Each quantity of a fault on one circuit that the loop to earth does not tell, worked out once."""

    def __init__(self, circuit: CircuitDesign) -> None:
        self.circuit, self.design, self.books, self.at = circuit, circuit.design, circuit.books, circuit.at

    # ---- line to neutral --------------------------------------------------------------------------------------------
    @cached_property
    def ln_ohm(self) -> Fact[float]:
        """Out by the line and back by a neutral like it, at 20 °C: to the far end of a radial, to the middle of a ring."""
        r1 = self.circuit.r1_ohm
        return renamed(ring.ring_ln_ohm.worked(r1, r1), "loop_ohm") if self.circuit.is_ring else \
            total("loop_ohm", [r1, r1], "out by the line, back by a neutral like it")

    @cached_property
    def ln_at_board_ohm(self) -> Fact[float]:
        """The loop line to neutral at its board, as far as it is known in any way."""
        return ln_at_board_ohm(self.design.boards[self.circuit.board])

    @cached_property
    def ln_far_hot_ohm(self) -> Fact[float]:
        """The greatest loop line to neutral at the far end: the conductors of the circuit at their working temperature."""
        return renamed(fault.zs_hot_ohm.worked(self.ln_at_board_ohm, self.ln_ohm, self.circuit.hot_factor), "ln_far_ohm")

    # ---- heat in the line conductor ---------------------------------------------------------------------------------
    @cached_property
    def k_line(self) -> Fact[float]:
        return look_up("k", self.books, settled("case", "live conductor", "Table 43.1"))

    @cached_property
    def line_withstand_a2s(self) -> Fact[float]:
        """What the line conductor withstands; the neutral is like it."""
        return fault.k2s2_a2s.worked(self.k_line, self.circuit.cable.line_mm2)

    @cached_property
    def greatest_a(self) -> Fact[float]:
        """The most that can flow at its board, line to neutral or to earth: what the supply gives at the origin."""
        u0 = self.design.supply.u0_v
        behind = fault.main_loop_ohm.worked(u0, renamed(self.design.boards[self.circuit.board].fault_ka, "prospective_ka"))
        return fault.prospective_a.worked(u0, behind)

    @cached_property
    def line_energy_a2s(self) -> Fact[float]:
        """What its device lets through at that current."""
        return self.circuit.energy_at_a2s(self.greatest_a)

    # ---- behind a fuse, where less current may heat more --------------------------------------------------------------
    @cached_property
    def least_far_a(self) -> Fact[float]:
        """The least current of a fault to earth at the far end: the conductors warm, the supply as low as the factor says."""
        supply = self.design.supply
        return fault.least_fault_a.worked(supply.cmin, supply.u0_v, self.circuit.zs_ohm)

    @cached_property
    def fuse_points(self) -> Fact[Points]:
        """The printed points of its fuse."""
        return time_current(self.books, self.circuit.fuse, self.circuit.device.rating_a)

    @cached_property
    def fuse_energy_a2s(self) -> Fact[float]:
        """What its fuse lets through at that current, by its curve; unknown outside the printed points."""
        return fault.i2t_a2s.worked(self.least_far_a, curves.opens_within(self.fuse_points, self.least_far_a))

    @cached_property
    def fuse_energy_most_a2s(self) -> Fact[float]:
        """No more than that, also beyond the last point: by the time of the greatest printed current that it reaches."""
        by = chosen("clear_s", lambda points, amps: curves.opens_by_s(curves.Curve(points), amps),
                    [self.fuse_points, self.least_far_a], "the printed points",
                    "the time of the greatest current that is reached", "Appendix 3, printed points only")
        return fault.i2t_a2s.worked(self.least_far_a, by)

    # ---- the protective conductor as it is made -----------------------------------------------------------------------
    @cached_property
    def usual_cpc_mm2(self) -> Fact[float]:
        """The protective conductor that flat cable of this size is made with; unknown where the table notes none."""
        line = self.circuit.cable.line_mm2
        row = _usual_pairs(self.books).get(line.amount or 0.0)
        if row is None:
            why = f"no usual pairing is in the table for {line}" if line.known else line.note
            return unknown("usual_cpc_mm2", why, at=f"{self.at}.cable")
        return Fact("usual_cpc_mm2", row["cpc_mm2"], "table", row["where"], row["note"], row["trust"])


def residual_clears_s(books: Books) -> Fact[float]:
    """The longest that a residual-current device without delay may take at its rated current; at more it is quicker."""
    longest = look_up("thresholds", books, settled("case", "trip_ms", "a device without delay"))
    return solved("clear_s", lambda ms: ms / 1000, [longest], "1000 × t = time in ms", lambda s, ms: (s * 1000, ms),
                  "1 s is 1000 ms")


@lru_cache(16)
def _usual_pairs(books: Books) -> dict[float, dict[str, Any]]:
    """The pairing that flat cable is made in, by line conductor."""
    return {row["line_mm2"]: row for row in rows("resistance_pairs", books) if row["note"].startswith(USUAL)}


def ln_at_board_ohm(board: BoardDesign) -> Fact[float]:
    """The loop line to neutral at a board: the supply's, and what leads here from where that was read, out and back.

    As for the loop to earth, tails add nothing unless they are longer than usual. On TN-C-S one conductor of the network is
    neutral and earth, so that the loop to earth stands for one line to neutral that nobody read."""
    supply = board.design.supply
    loop = supply.supply.loop_ln_ohm
    if not loop.known and supply.earthing.amount == "TN-C-S":
        loop = renamed(supply.ze_ohm, "loop_ln_ohm")
    long = tails.loop_ln_ohm(board)
    return with_way_here(board, loop, *([long] if long is not None else []))


def ln_read_at_board_ohm(board: BoardDesign) -> Fact[float]:
    """The same from a loop that was read: what the greatest fault current there rests on."""
    return with_way_here(board, board.design.supply.loop_ln_read_ohm)


def with_way_here(board: BoardDesign, loop: Fact[float], *long: Fact[float]) -> Fact[float]:
    """A loop at the origin, and each line and neutral from there to a board; `long`: what tails add where they are not short."""
    r1 = [leg.r1_ohm for leg in board.fed_by if tails.brings_earth(leg)]
    return total("loop_ln_ohm", [loop, *r1, *r1, *long], "out by the lines, back by neutrals like them") if r1 or long else loop
