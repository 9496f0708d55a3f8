"""A thing replaced, a circuit moved: whatever rested on the old one must be said again, or it would hold in silence."""
from __future__ import annotations

import pytest

from spareway import bundled
from spareway.doc import InputError
from spareway.job.job import Installation, read_job

JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\n'
SHED = """
[equipment.shed]
kind = "board"
ways_n = 4

[circuits.out]
way = "unit.6"
feeds = "shed.in"
lands = { L = "shed.3.L", E = "shed.4.E" }
device = { kind = "mcb", curve = "B", rating_a = 32 }

[earthing.shed]
kind = "TT"
joins = "shed.in.E"
"""
NEW_SHED = 'equipment.shed = { kind = "board-rcd-main", ways_n = 4 }\n'
NEW_CUTOUT = 'equipment.cutout = { kind = "cut-out", fuse = "bs88-2" }\nruns.feed-1.joins = ["cutout.out", "meter.in"]\nruns.earth-1.joins = ["cutout.earth", "terminal.a"]\n'


def read(overlay: str) -> Installation:
    return read_job({"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml") + SHED}, [("o.toml", overlay)]).found


def told(overlay: str) -> list[str]:
    with pytest.raises(InputError) as refused:
        read(overlay)
    return [str(f) for f in refused.value.faults]


def test_everything_that_lands_on_a_replaced_thing_is_said_again() -> None:
    """A submain's far end, cores that land elsewhere, an earth of its own; each is told apart and each can be said again."""
    said = told(NEW_SHED)
    for what in ("circuits.out.feeds", "circuits.out.lands.L", "circuits.out.lands.E", "earthing.shed.joins"):
        assert [line for line in said if f"say {what} again here" in line], what
    again = 'circuits.out.feeds = "shed.in"\ncircuits.out.lands.L = "shed.3.L"\ncircuits.out.lands.E = "shed.4.E"\nearthing.shed.joins = "shed.in.E"\n'
    assert read(NEW_SHED + again).equipment["shed"].kind == "board-rcd-main"
    taken = 'circuits.out.feeds = "shed.in"\nremove = ["circuits.out.lands", "earthing.shed"]\n'
    assert read(NEW_SHED + taken).circuits["out"].lands is None


def test_a_supply_that_lands_on_a_replaced_cut_out_is_said_again() -> None:
    assert ["say supplies.main.joins again here" in line for line in told(NEW_CUTOUT)] == [True]
    assert read(NEW_CUTOUT + 'supplies.main.joins = "cutout.in"\n').supplies["main"].joins == "cutout.in"


def test_a_circuit_on_another_board_does_not_keep_its_old_device() -> None:
    """Moved, it says what stands in its new way; on the same board, or with the device taken out, nothing is asked."""
    assert any("o.toml:1" in line and "circuits.oven is on another board now, and its device is still the one of unit.3" in line
               for line in told('circuits.oven.way = "shed.1"\n'))
    assert told('circuits.oven.way = "shed.1"\ncircuits.oven.device.rating_a = 20\n')
    assert read('circuits.oven.way = "unit.9"\n').circuits["oven"].device is not None
    new = read('circuits.oven.way = "shed.1"\ncircuits.oven.device = { kind = "mcb", curve = "C", rating_a = 20 }\n').circuits["oven"].device
    assert new is not None
    assert (new.kind, new.residual_ma.known) == ("mcb", False)
    assert read('circuits.oven.way = "shed.1"\nremove = ["circuits.oven.device"]\n').circuits["oven"].device is None
