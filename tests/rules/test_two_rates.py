"""Four ways a home was metered for two rates, four leftovers each: every one is named at its place and nothing else is.

The layouts are those of the gathered rule IN049; the overlays and the four leftovers are ours."""
from __future__ import annotations

import pytest

from spareway import bundled
from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.rules import all_rules
from spareway.rules.base import judge
from spareway.rules.specimen import _JOB as JOB

ASKED = ("TR1", "TR2", "TR3", "TR4", "IN3")
NIGHT = '''[equipment]
night = { kind = "board-night", rating_a = 60, ways_n = 4 }
cylinder = { kind = "immersion", on = "hot-water", stamped_w = 3000, stamped_v = 230 }
[circuits.hot-water]
way = "night.1"
device = { kind = "mcb", curve = "B", rating_a = 16 }
cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 9, method = "C" }
[equipment.clock]
kind = "time-switch"
[equipment.second]
kind = "meter"
[equipment.split]
kind = "blocks"
'''
TAILS = 'kind = "tails", size_mm2 = 16, length_m = 1, method = "C"'


def run(name: str, *ends: str) -> str:
    joins = ", ".join(f'"{end}"' for end in ends)
    return f"runs.{name} = {{ joins = [{joins}], {TAILS} }}\n"


SWITCHED = ('equipment.meter = { kind = "meter-switched", seal = "present", owner = "meter operator" }\n'
            + run("feed-1", "cutout.out", "meter.in") + run("feed-2", "meter.out", "arrester.top"))

# layout: (what is there, the thing that switches or counts the night rate, how the night board is fed through it)
LAYOUTS = {
    "one meter of two registers, the customer's own time switch after it": (
        ("second",), "clock", run("to-clock", "arrester.bottom", "clock.in") + run("to-night", "clock.out", "night.in"), ""),
    "a time switch beside the meter feeds a second board": (
        ("second",), "clock", run("to-clock", "meter.out", "clock.in") + run("to-night", "clock.out", "night.in"), ""),
    "a meter with a switched output": (
        ("clock", "second"), "meter", run("to-night", "meter.switched", "night.in"), SWITCHED),
    "two separate meters": (
        (), "second", run("to-second", "cutout.out", "second.in") + run("to-clock", "second.out", "clock.in")
        + run("to-night", "clock.out", "night.in"), ""),
}
# what is left behind, and what is said of it. A time switch or meter with nothing in use beyond it is told besides.
GONE = '"equipment.night", "equipment.cylinder", "circuits.hot-water"'
IDLE = ('circuits.hot-water = { way = "night.1", feeds = "nothing", device = { kind = "rewirable", rating_a = 15 } }\n'
        'remove = ["equipment.cylinder"]\n')
BEHIND = {"clock": ("clock",), "meter": ("meter",), "second": ("clock", "second")}        # what then serves nothing
REST = {"clock": '"equipment.clock", "runs.to-clock"', "meter": "",
        "second": '"equipment.clock", "equipment.second", "runs.to-clock", "runs.to-second"'}
LEFT = ("linked straight through", "a board that serves nothing", "a switch or meter with nothing behind it", "tails cut and left")


def leftover(layout: str, left: str) -> tuple[str, set[tuple[str, str]]]:
    """The lines that leave it behind, and all that is to be found."""
    what = LAYOUTS[layout][1]
    silent = {("TR3", f"equipment.{name}") for name in BEHIND[what]}
    if left == "linked straight through":
        from_ = "meter.out" if what == "meter" else "arrester.bottom"
        open_output = silent if what == "meter" else set()                     # its switched terminals stay live, with nothing on them
        return f"remove = [{REST[what]}]\n{run('to-night', from_, 'night.in')}", {("TR1", "equipment.night"), *open_output}
    if left == "a board that serves nothing":
        return IDLE, {("TR2", "equipment.night"), *silent}
    end = "meter.switched" if what == "meter" else "clock.out"
    if left == "tails cut and left":
        return f"remove = [{GONE}]\n{run('to-night', end)}", {("IN3", "runs.to-night"), *silent}
    return f"remove = [{GONE}]\n{run('to-night', end, 'split.1')}", silent


def found(layout: str, lines: str = "") -> set[tuple[str, str]]:
    """Rule and subject of all that these rules find wrong."""
    lacks, _, feed, swap = LAYOUTS[layout]
    files = {"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml")}
    without = "".join(f'"equipment.{name}", ' for name in lacks)
    over = [("night.toml", NIGHT), ("swap.toml", swap), ("feed.toml", f"remove = [{without}]\n{feed}"), ("left.toml", lines)]
    findings = judge(Design(read_job(files, over).found), all_rules())
    return {(f.rule, f.subject) for f in findings if f.rule in ASKED and f.verdict not in ("within", "not applicable")}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_layout_in_use_has_no_leftover(layout: str) -> None:
    """Nothing is invented where all of it still serves."""
    assert found(layout) == set()


@pytest.mark.parametrize("left", LEFT)
@pytest.mark.parametrize("layout", LAYOUTS)
def test_each_leftover_is_named_and_nothing_else(layout: str, left: str) -> None:
    """Sixteen of sixteen, none invented."""
    lines, wanted = leftover(layout, left)
    assert found(layout, lines) == wanted


def test_what_people_expect_at_any_hour_is_told_behind_a_time_switch() -> None:
    """A socket circuit on the night board goes off by itself; the immersion beside it is no fault."""
    layout = "a time switch beside the meter feeds a second board"
    fridge = 'circuits.larder = { way = "night.2", feeds = "sockets", device = { kind = "mcb", curve = "B", rating_a = 16 } }\n'
    assert found(layout, fridge) == {("TR4", "circuits.larder")}


def test_an_output_with_nothing_on_it_is_the_operators_to_make_safe() -> None:
    """The night board and its tails are gone, the meter stays: two terminals lie open that come alive at their hour."""
    gone = SWITCHED + 'remove = ["equipment.night", "equipment.cylinder", "circuits.hot-water", "equipment.clock", "equipment.second"]\n'
    files = {"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml")}
    design = Design(read_job(files, [("night.toml", NIGHT), ("gone.toml", gone)]).found)
    said = next(f for f in judge(design, all_rules()) if (f.rule, f.subject) == ("TR3", "equipment.meter"))
    assert said.verdict == "advice"
    assert "nothing is landed on meter.switched" in said.says
    assert "the operator's to make safe" in said.says
    plain = Design(read_job(files).found)
    assert {f.verdict for f in judge(plain, all_rules()) if (f.rule, f.subject) == ("TR3", "equipment.meter")} == {"within"}
