"""The gate: a blank, a struck, an implausible reading, or one of another stage, never satisfies a test. Rows invented; clauses named."""
from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import pytest

from spareway.design.circuit import CircuitDesign
from spareway.job.rows import Reading
from spareway.readings import tested as gate
from spareway.readings.tested import TESTS, due, ends_apart
from tests.readings.test_expected import design_of, with_rows

ROW = Reading(id="r1", stage="found", quantity="trip_ms", a="circuits.x", value=24, unit="ms", by="a", at="2026-11-09")
LAMPS = "circuits.lights-ground"
R1R2 = f"quantity=r1r2_ohm; a={LAMPS}; temp_c=20"
ISO = f"quantity=insulation_mohm; a={LAMPS}; unit=MΩ; over=>200"


def ok(test: str, *rows: str, name: str = "lights-ground", home: str = "weir-cottage") -> bool | None:
    return gate.tested(with_rows(home, *rows), name, test).ok


def test_a_reading_that_can_be_believed_is_a_test() -> None:
    """34 m of 1.5/1.0: 1.027 Ω."""
    assert ok("protective conductor", f"{R1R2}; value=1.03") is True
    assert ok("protective conductor", f"{R1R2}; value=2.9") is False
    assert ok("protective conductor", f"{R1R2}; over=>99.9") is False
    assert ok("protective conductor") is None


def test_a_struck_reading_is_none() -> None:
    """Struck and not taken again: not read. Struck and taken again: the later one counts."""
    first = f"{R1R2}; value=1.03; id=x1"
    assert ok("protective conductor", first, "id=x2; quantity=; unit=; stage=; strikes=x1") is None
    assert ok("protective conductor", first, f"{R1R2}; value=2.9; strikes=x1") is False
    assert ok("protective conductor", f"{R1R2}; value=2.9; id=x1", f"{R1R2}; value=1.03; strikes=x1") is True


def test_what_was_read_as_found_is_no_test_of_what_was_fitted() -> None:
    """Granary: the ring's r1 and rn were read before the repair, r2 after it."""
    assert gate.tested(design_of("granary-yard"), "ring", "ring").ok is False                   # its r2 read open
    later = gate.tested(design_of("granary-yard", "fitted"), "ring", "ring")
    assert later.ok is None
    assert later.missing[:2] == ("line end to end", "neutral end to end")
    assert "p1, p2, p3" in later.says


@pytest.mark.parametrize(("rows", "wanted"), [
    (("setup=line to neutral", "setup=line and neutral together, to earth"), True), (("setup=line to neutral", "setup=line to earth", "setup=neutral to earth"), True),
    (("setup=line to neutral", "setup=line to earth"), None), (("setup=line and neutral together, to earth",), None), (("setup=",), None)])
def test_insulation_wants_every_pair(rows: tuple[str, ...], wanted: bool | None) -> None:
    """BS 7671 643.3.2: between live conductors, and these to earth."""
    assert ok("insulation", *(f"{ISO}; {row}" for row in rows)) is wanted


def test_insulation_by_its_places_and_never_between_two_circuits() -> None:
    ends = [f"quantity=insulation_mohm; unit=MΩ; over=>200; a={LAMPS}.{a}; b={LAMPS}.{b}" for a, b in ("LN", "LE", "NE")]
    assert ok("insulation", *ends) is True
    assert ok("insulation", *ends[:2], ends[2].replace(f"b={LAMPS}", "b=circuits.lights-first")) is None


def test_low_insulation_was_tested_all_the_same() -> None:
    """What it fails is its limit; that a reading is bad does not make it none."""
    rows = [f"{ISO.replace('over=>200', 'value=0.4')}; setup={setup}" for setup in ("line to neutral", "line and neutral together, to earth")]
    assert ok("insulation", *rows) is True


def test_polarity_wants_every_point() -> None:
    """BS 7671 643.6. A reading at the board's end of a circuit tells nothing of its lampholders."""
    points = [f"quantity=zs_ohm; a={LAMPS}.points.{p}; value=0.9; temp_c=12" for p in design_of("weir-cottage").inst.circuits["lights-ground"].points]
    assert ok("polarity", *points) is True
    last = gate.tested(with_rows("weir-cottage", *points[1:]), "lights-ground", "polarity")
    assert (last.ok, last.missing) == (None, ("line to earth at hall-1",))
    cooker = "quantity=zs_ohm; a=circuits.cooker; value=0.45; temp_c=12"
    over = "supplies.main.ze_ohm = { measured = 0.34 }"
    assert gate.tested(with_rows("weir-cottage", cooker, over=over), "cooker", "polarity").ok is True
    assert ok("polarity", name="cooker") is None


def test_neutral_to_earth_alone_is_no_polarity() -> None:
    """0 V from neutral to earth is what a point reads that nothing reaches: line has to be in it (BS 7671 643.6)."""
    cooker = "quantity=supply_v; unit=V; a=circuits.cooker.{}; b=circuits.cooker.{}; value={}"
    assert ok("polarity", cooker.format("N", "E", 0), name="cooker") is None
    assert ok("polarity", cooker.format("N", "E", 0), cooker.format("L", "E", 236), name="cooker") is True
    assert ok("polarity", cooker.format("N", "E", 231), cooker.format("L", "E", 0), name="cooker") is False


def test_residual_current_by_its_own_device_or_the_one_ahead() -> None:
    """At half its rating and on a ramp no time is told. Granary as found: one device ahead of everything."""
    own = "quantity=trip_ms; unit=ms; a=circuits.lights; value=24"
    assert ok("residual current", own, name="lights", home="granary-yard") is True
    assert ok("residual current", own.replace("value=24", "over=>1999; setup=half"), name="lights", home="granary-yard") is None
    assert ok("residual current", own.replace("circuits.lights", "equipment.old-board"), name="lights", home="granary-yard") is True
    assert gate.tested(design_of("weir-cottage", "proposed"), "cooker", "residual current").ok is None


def test_a_ring_wants_three_ends_and_every_point_twice() -> None:
    """BS 7671 643.2.1; Guidance Note 3, three steps."""
    whole = gate.tested(design_of("weir-cottage"), "ring-ground", "ring")
    assert (whole.ok, [row.id for row in whole.odd]) == (False, ["w12"])                    # read, and the neutral not to be believed
    first = gate.tested(design_of("weir-cottage"), "ring-first", "ring")
    assert first.ok is None
    assert [m.partition(" cross")[0] for m in first.missing] == ["line to neutral", "line to earth"]


def test_the_tests_that_are_due() -> None:
    assert due(design_of("weir-cottage"), "cooker") == ("protective conductor", "insulation", "polarity", "loop")
    assert due(design_of("weir-cottage", "proposed"), "ring-ground") == TESTS
    assert "residual current" in due(design_of("granary-yard"), "lights")


def test_several_off_to_one_side_are_not_believed_either() -> None:
    """Granary without its furthest reading: line to earth 0.29 to 0.35 Ω where 0.18 is expected, each within what the worst instrument
    may show and all of them high. Two alone may be."""
    rows = [f"quantity=ring_le_ohm; a=circuits.ring.points.{p}.L; setup=ends cross-connected; value={v}; temp_c=15; nulled=yes"
            for p, v in (("p1", 0.29), ("p2", 0.31), ("p3", 0.34))]
    assert gate.tested(with_rows("granary-yard", *rows), "ring", "protective conductor").ok is False
    assert gate.tested(with_rows("granary-yard", *rows[:2]), "ring", "protective conductor").ok is True


def test_how_far_line_and_neutral_lie_apart() -> None:
    """SCENARIOS, Weir: 0.37 and 0.79."""
    circuits = design_of("weir-cottage").circuits
    apart = ends_apart(circuits["ring-ground"])
    assert apart is not None
    assert apart.value == 0.42
    assert ends_apart(circuits["cooker"]) is None


# ---- the residual-current test --------------------------------------------------------------------------------------
UNIT = "equipment.old-board"
TRIP = "quantity=trip_ms; unit=ms; a="


def test_a_row_that_tells_no_time_is_none_ahead_either() -> None:
    """At half its rating, or on a ramp, the device ahead was not timed (BS EN 61008: the time is told at the rating and above)."""
    for setup, wanted in (("half", None), ("Half", None), ("ramp", None), ("0.5", None), ("at its rating", True), ("", True)):
        assert ok("residual current", f"{TRIP}{UNIT}; value=24; setup={setup}", name="lights", home="granary-yard") is wanted


def test_every_device_that_a_circuit_relies_on_is_timed() -> None:
    """Two before it: one alone is not enough, a row at the circuit is of the nearest; none before it, and nothing was timed."""
    def read(*places: str, guards: tuple[str, ...] = ("first", "second"), own: bool = False) -> bool:
        of = SimpleNamespace(at="circuits.x", protected_by=tuple(SimpleNamespace(name=g) for g in guards),
                             device=SimpleNamespace(residual_ma=SimpleNamespace(known=False)),
                             device_kind=SimpleNamespace(residual=("test",) if own else ()))
        rows = [replace(ROW, a=place) for place in places]
        return gate.timed(cast(CircuitDesign, of), rows)

    assert not read("equipment.first")
    assert not read("equipment.second")
    assert read("equipment.first", "equipment.second")
    assert read("equipment.first", "circuits.second")
    assert read("equipment.first", "circuits.x.points.p1")
    assert not read("circuits.x")
    assert read("circuits.x", guards=("one",))
    assert not read(guards=())
    assert not read("equipment.first", "equipment.second", own=True)        # its own, by its kind, though no rating stands there
    assert read("circuits.x", own=True)


def test_a_device_that_nobody_recorded_drops_no_test() -> None:
    """Weir's cooker has a fuse and nothing before it: known to be absent. With its device unknown it may have one."""
    known, unsaid = design_of("weir-cottage"), with_rows("weir-cottage", over='remove = ["circuits.cooker.device"]')
    assert known.has_residual(known.circuits["cooker"]) is False
    assert "residual current" not in due(known, "cooker")
    assert unsaid.has_residual(unsaid.circuits["cooker"]) is None
    assert "residual current" in due(unsaid, "cooker")
    assert "the record does not tell" in gate.tested(unsaid, "cooker", "residual current").says
