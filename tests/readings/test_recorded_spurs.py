"""Spurs on record: what is read at their ends is weighed with the ring, every fault of theirs by a second, plain solve."""
from __future__ import annotations

import math

import pytest

from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.readings.cabled import Reached
from spareway.readings.following import following
from spareway.readings.of_job import explained
from spareway.readings.rank import Ranked, rank
from spareway.readings.ring import ring
from spareway.readings.wired import Fault, Wired
from tests.readings.plainly import engine_ohm, plain_ohm
from tests.readings.test_of_job import files_of

COPPER, THIN = {"L": 7.41, "N": 7.41, "E": 12.1}, {"L": 12.1, "N": 12.1, "E": 18.1}        # mΩ/m at 20 °C, IEC 60228
SMALLER = dict.fromkeys("LN", 12.1 / 7.41)
SPURS = (Reached("s1", "p2", 6.0, COPPER, SMALLER), Reached("s2", "s1", 3.0, THIN, {}), Reached("s3", "p5", 4.0, COPPER, SMALLER))


def with_spurs() -> Wired:
    return ring([f"p{i}" for i in range(1, 6)], [4, 5, 6, 5, 4, 6], COPPER, SMALLER, 0.2, spurs=SPURS)


def read(wired: Wired, fault: Fault) -> dict[str, float]:
    """The usual readings with this fault there, to two decimals."""
    return {name: round(plain_ohm(wired, fault, wired.probes[name]), 2) for name in wired.standard}


def of(wired: Wired, kind: str, core: str, *place: str) -> Fault:
    """The one of these with the middle size."""
    some = [f for f in wired.faults if f.name == (kind, core, place) and not f.offset_ohm]
    return some[len(some) // 2]


def test_every_fault_by_a_second_solve() -> None:
    """Every reading of every fault of a ring with three spurs, one of them on another: its links written out and solved anew."""
    wired = with_spurs()
    assert len([name for name in wired.standard if " s" in name]) == 2 * len(SPURS)
    seen = 0
    for fault in wired.faults[::7]:
        for name in ("L end to end", "L-N s1", "L-E s2", "L-E p2", "leg A N s3"):
            ohm, plain = engine_ohm(wired, fault, wired.probes[name]), plain_ohm(wired, fault, wired.probes[name])
            assert ohm == pytest.approx(plain, abs=1e-9) or math.isinf(ohm) and plain > 1e6, (fault.says, name)
            seen += 1
    assert seen > 200


def test_the_end_of_a_spur_reads_the_ring_and_the_spur() -> None:
    """L-N at s3: the ring crosswise at p5, a quarter of both conductors, and there and back along 4 m (On-Site Guide 10.3)."""
    wired = with_spurs()
    there = wired.shift(wired.faults[0], wired.probes["L-N s3"])
    at_p5 = wired.shift(wired.faults[0], wired.probes["L-N p5"])
    assert there is not None
    assert at_p5 is not None
    assert there.ohm - at_p5.ohm == pytest.approx(2 * 4 * 0.00741, abs=0.01)                # terminations besides
    whole = 30 * 0.00741
    assert at_p5.ohm == pytest.approx(2 * whole / 4, abs=0.03)


@pytest.mark.parametrize(("kind", "core", "place"), [
    ("open", "E", ("p2", "s1")), ("open", "N", ("p5", "s3")), ("loose joint", "E", ("s1", "s2")), ("loose joint", "L", ("p2", "s1")),
    ("loose joint", "N", ("p5", "s3"))])
def test_what_is_wrong_on_a_spur_is_placed(kind: str, core: str, place: tuple[str, ...]) -> None:
    """By the usual readings alone the very fault is the likeliest, with its place."""
    wired = with_spurs()
    ranked: Ranked = rank(wired, read(wired, of(wired, kind, core, *place)))
    assert ranked.faults[0][0].name == (kind, core, place)
    assert ranked.explained


def test_what_cannot_be_told_apart_at_a_spur_is_said() -> None:
    """Off the accessory at the end of a spur, or open on the way there: one reading is all there is of either. Of the ring itself an
    open conductor is among those left."""
    wired = with_spurs()
    left = {fault.name for fault in rank(wired, read(wired, of(wired, "earth off", "E", "s3"))).alike}
    assert {("earth off", "E", ("s3",)), ("open", "E", ("p5", "s3"))} <= left
    left = {fault.name for fault in rank(wired, read(wired, of(wired, "open", "E", "p3", "p4"))).alike}
    assert ("open", "E", ("p3", "p4")) in left
    assert len(left) <= 3


def test_a_sound_ring_with_spurs_is_sound() -> None:
    """A spur on record reads more than the ring, and nothing is wrong; what is asked next may be at a spur."""
    wired = with_spurs()
    ranked = rank(wired, read(wired, wired.faults[0]))
    assert ranked.faults[0][0].kind == "sound"
    assert ranked.faults[0][1] > 0.6
    assert following(ranked)


def test_a_spur_of_a_job_is_weighed_where_its_length_is_known() -> None:
    """Granary with the length of its spur in the living room put in: what was read there counts; the other spurs still do not."""
    files = files_of("granary-yard")
    row = "g90,found,ring_ln_ohm,circuits.ring.points.{}.L,circuits.ring.points.{}.N,ends cross-connected; line to neutral,0.22,Ω,,tester-2,yes,out,15,surveyor,2026-11-16T12:{},\n"
    files["readings.csv"] += row.format("spur-living", "spur-living", "10") + row.replace("g90", "g91").format("spur-hall", "spur-hall", "11")
    files["found.toml"] = files["found.toml"].replace('points.spur-living = { from = "p2", length_m = { unknown = "in the wall" }',
                                                      'points.spur-living = { from = "p2", length_m = { drawing = 5 }')
    found = explained(Design(read_job(files).at("found")).circuits["ring"])
    assert found.ranked is not None
    assert "L-N spur-living" in found.ranked.taken
    assert [why for row, why in found.left_out if row.id == "g91"] == ["it was read at a spur of which length, size or leg is not recorded"]
    assert found.ranked.faults[0][0].place == ("p5", "p6"), "and the place of the fault is still found"


def test_a_spur_that_hangs_on_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="does not stand before it"):
        ring(["p1"], [3, 3], COPPER, SMALLER, spurs=[Reached("s1", "s9", 3.0, COPPER, {})])
