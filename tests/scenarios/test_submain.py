"""A board behind a circuit: the loop at it is that circuit's, whether it is written as a circuit or as a run."""
from __future__ import annotations

from tests.scenarios import by_hand
from tests.scenarios.folders import design, findings

SHED = """
[equipment.shed]
kind = "board"
ways_n = 4
rating_a = 63

[circuits.shed-feed]
way    = "board.12"
feeds  = "shed.in"
load_a = 20
device = { kind = "mcb", curve = "B", rating_a = 32 }
cable  = { kind = "t&e", line_mm2 = 6, cpc_mm2 = 2.5, length_m = 30, method = "C" }

[circuits.shed-sockets]
way    = "shed.1"
feeds  = "sockets"
device = { kind = "rcbo-2p", curve = "B", rating_a = 16, residual_ma = 30, residual_type = "A" }
cable  = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 8, method = "C" }
"""


def test_loop_at_a_board_behind_a_circuit() -> None:
    """The shed's Ze is the feeding circuit's Zs: 0.34 + 30 m of 6/2.5; its sockets add 8 m of 2.5/1.5."""
    of = design("weir-cottage", "proposed", SHED)
    feed = 0.34 + by_hand.r1r2_ohm(30, 6, 2.5)
    assert f"{of.circuits['shed-feed'].zs_cold_ohm.value:.4f}" == f"{feed:.4f}" == "0.6547"
    assert f"{of.boards['shed'].ze_ohm.value:.4f}" == f"{feed:.4f}"
    sockets = feed + by_hand.r1r2_ohm(8, 2.5, 1.5)
    assert f"{of.circuits['shed-sockets'].zs_cold_ohm.value:.4f}" == f"{sockets:.4f}" == "0.8108"


def test_drop_at_a_board_behind_a_circuit() -> None:
    """What is lost in the feeding circuit is part of the drop from the origin of what it feeds."""
    of = design("weir-cottage", "proposed", SHED)
    sockets, feed = of.circuits["shed-sockets"], of.circuits["shed-feed"]
    assert sockets.drop_from_origin_v.value >= sockets.drop_v.value + feed.drop_v.value


def test_board_behind_a_circuit_is_not_judged_by_the_service_fuse() -> None:
    """A 63 A board behind a 32 A breaker carries what can reach it, though the service fuse is 80 A."""
    assert findings("weir-cottage", "proposed", SHED)["BO6", "equipment.shed"].verdict == "within"
