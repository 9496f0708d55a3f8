"""The loop at a board at the end of a long way: cables of their own, plain tails with what earths the board, and what is not known.

Resistances typed here: IEC 60228 class 1 and 2, mΩ/m at 20 °C: 25 mm² 0.727, 16 mm² 1.15, 10 mm² 1.83, 6 mm² 3.08, 4 mm² 4.61.
1.2 for warm conductors: On-Site Guide Table I3.
"""
from __future__ import annotations

import math
import random
from typing import Any

import pytest

from spareway.api_service import service
from spareway.bundled import text
from spareway.design.design import Design
from spareway.design.service import far_loop_ohm
from spareway.rules import rule_of
from spareway.rules.base import Finding, judge
from spareway.rules.specimen import with_example
from tests.scenarios.folders import design as example
from tests.scenarios.folders import texts

FEED = 'runs.feed-3 = {{ joins = ["arrester.bottom", "unit.in"], kind = "{kind}", size_mm2 = 10,{cpc} length_m = {length}, method = "C" }}'
PAIR = ('runs.pair-2.length_m = {pair}\nruns.pair-2.method = "C"\nruns.earth-office = {{ joins = ["met.d", "office.in"], kind = "earthing", '
        'size_mm2 = 6, length_m = {earth} }}')
ALONE = 0.3                                             # Ze of the specimen


def feed(kind: str = "t&e", cpc: str = "", length: str = "60") -> Design:
    return with_example(FEED.format(kind=kind, cpc=f" cpc_mm2 = {cpc}," if cpc else "", length=length))


def says(of: Design, code: str, subject: str) -> Finding:
    rule = rule_of(code)
    assert rule is not None
    return next(f for f in judge(of, (rule,)) if f.subject == subject)


# ---- a cable that holds a protective conductor ----------------------------------------------------------------------
def test_a_feed_with_its_own_protective_conductor() -> None:
    """By hand: 0.3 + 60 m × (1.83 + 4.61) mΩ/m is 0.686 Ω; the oven adds 1.2 × 8 m × (3.08 + 7.41) mΩ/m."""
    of = feed(cpc="4")
    assert of.boards["unit"].ze_ohm.value == pytest.approx(0.3 + 60 * 6.44e-3)
    assert of.circuits["oven"].zs_ohm.value == pytest.approx(0.3 + 60 * 6.44e-3 + 1.2 * 8 * 10.49e-3)
    assert says(of, "SV2", "equipment.unit").verdict == "advice"


@pytest.mark.parametrize("kind", ["t&e", "armoured", "flex", "triplex", "mineral", "other"])
@pytest.mark.parametrize("cpc", ["", '{ unknown = "not seen at its ends" }'])
def test_a_protective_conductor_that_nobody_read_is_not_nought(kind: str, cpc: str) -> None:
    """Its loop, the fault there, every Zs beyond it and SV2: unknown, and the one thing that is missing is named."""
    of = feed(kind, cpc)
    board, oven = of.boards["unit"], of.circuits["oven"]
    for fact in (board.ze_ohm, board.ze_read_ohm, far_loop_ohm(board), oven.zs_ohm):
        assert not fact.known
        assert {gap.at for gap in fact.missing()} == {"runs.feed-3.cpc_mm2"}
    for code, subject in (("SV2", "equipment.unit"), ("CI1", "circuits.oven")):
        finding = says(of, code, subject)
        assert (finding.verdict, "runs.feed-3.cpc_mm2" in finding.says) == ("unknown", True)


def test_line_to_neutral_wants_no_protective_conductor() -> None:
    """By hand: 0.25 + 2 × 60 m × 1.83 mΩ/m, whether the cpc was read or not."""
    for cpc in ("4", ""):
        assert feed(cpc=cpc).circuits["oven"].heat.ln_at_board_ohm.value == pytest.approx(0.25 + 2 * 60 * 1.83e-3)


def test_the_largest_line_asks_for_the_earthing_conductor_whatever_is_known_of_its_cpc() -> None:
    """Table 54.7 for a line of 50 mm²: half of it, 25 mm²; 16 mm² was fitted. An unread cpc makes it no smaller."""
    for cpc in (" cpc_mm2 = 16,", ""):
        of = with_example('runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "t&e", size_mm2 = 50,' + cpc + ' length_m = 2, method = "C" }')
        assert (of.runs["earth-1"].line_mm2.value, of.runs["earth-1"].by_table_mm2.value) == (50, 25)


# ---- plain tails ----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["tails", "singles", "service"])
def test_short_plain_tails_add_nothing(kind: str) -> None:
    """0.5 m before the isolator and 2.5 m behind it are the usual 3 m together."""
    of = feed(kind, length="2.5")
    assert of.boards["unit"].ze_ohm is of.supply.ze_ohm
    assert of.circuits["oven"].heat.ln_at_board_ohm.value == 0.25
    assert says(of, "SV2", "equipment.unit").verdict == "not applicable"


@pytest.mark.parametrize("kind", ["tails", "singles", "service"])
def test_longer_than_usual_they_add_their_line_and_what_earths_the_board(kind: str) -> None:
    """By hand: 0.5 m × 0.727 + 2.6 m × 1.83 out, and 2 m × 1.15 mΩ/m of the specimen's earth-2 back; what leads on to the terminal
    is in Ze. Line to neutral: out and back by such a line."""
    of = feed(kind, length="2.6")
    out = 0.5 * 0.727e-3 + 2.6 * 1.83e-3
    board = of.boards["unit"]
    assert board.ze_ohm.value == pytest.approx(ALONE + out + 2 * 1.15e-3)
    assert far_loop_ohm(board).value == pytest.approx(ALONE + 1.2 * (out + 2 * 1.15e-3))
    assert of.circuits["oven"].heat.ln_at_board_ohm.value == pytest.approx(0.25 + 2 * out)
    assert board.ze_read_ohm is of.supply.ze_read_ohm                       # the greatest fault current: as it was read
    assert of.circuits["oven"].zs_ohm.value == pytest.approx(ALONE + out + 2 * 1.15e-3 + 1.2 * 8 * 10.49e-3)


def test_it_says_at_which_length_it_turns() -> None:
    """What they add is nought again at the usual length: the working and every turning point know it."""
    of = feed("tails", length="9")
    added = of.boards["unit"].adds_ohm[0]
    length = of.runs["feed-3"].run.length_m
    assert added.again({length: 2.5}) == 0
    assert added.again({length: 2.6}) == pytest.approx(0.5 * 0.727e-3 + 2.6 * 1.83e-3 + 2 * 1.15e-3)
    assert "longer than the usual condition for tails" in [*added.working()][-1].line


@pytest.mark.parametrize(("lines", "missing"), [
    ('runs.feed-3.length_m = { unknown = "behind the panelling" }', "runs.feed-3.length_m"),
    ('runs.feed-3.length_m = 9\nruns.feed-3.size_mm2 = { unknown = "not seen" }', "runs.feed-3.size_mm2"),
    ('runs.feed-3.length_m = 9\nruns.earth-2.length_m = { unknown = "under the floor" }', "runs.earth-2.length_m"),
    ('runs.feed-3.length_m = 9\nruns.earth-2.size_mm2 = { unknown = "not seen" }', "runs.earth-2.size_mm2"),
    ('runs.feed-3.length_m = 9\nremove = ["runs.earth-2"]', "equipment.unit"),
    ('runs.feed-3.length_m = 9\nsupplies.main.earthing = { unknown = "not seen" }', "equipment.unit")])
def test_what_is_not_known_of_long_tails_leaves_the_loop_unknown(lines: str, missing: str) -> None:
    """Length or size of the tails, of what earths the board, or that there is anything: named, and SV2 and Zs unknown."""
    of = with_example(lines)
    board = of.boards["unit"]
    assert not board.ze_ohm.known
    assert {gap.at for gap in board.ze_ohm.missing()} == {missing}
    assert says(of, "SV2", "equipment.unit").verdict == says(of, "CI1", "circuits.oven").verdict == "unknown"
    assert board.ze_read_ohm.known                                         # the greatest it may be needs none of them


def test_who_sees_that_they_are_short_may_say_so() -> None:
    of = with_example("runs.feed-3.length_m = { assumed = 2 }")
    assert of.boards["unit"].ze_ohm.value == ALONE
    assert says(of, "SV2", "equipment.unit").verdict == "not applicable"


def test_the_earthing_conductor_that_lands_on_the_board_itself_counts() -> None:
    """Without a terminal between, it is what earths the board: 12 m × 1.15 mΩ/m back."""
    of = with_example('runs.feed-3.length_m = 9\nremove = ["runs.earth-1", "runs.earth-2"]\n'
                      'runs.straight = { joins = ["cutout.earth", "unit.in"], kind = "earthing", size_mm2 = 16, length_m = 12 }')
    assert of.boards["unit"].ze_ohm.value == pytest.approx(ALONE + (0.5 + 9) * 0.727e-3 + 12 * 1.15e-3)


def test_a_single_core_laid_as_earth_counts_with_its_own_size() -> None:
    """A single of 6 mm² from the terminal to the earth of the board, called what it is."""
    of = with_example('runs.feed-3.length_m = 9\nruns.earth-2 = { joins = ["terminal.b", "unit.in.E"], kind = "singles", size_mm2 = 6, length_m = 9 }')
    assert of.boards["unit"].ze_ohm.value == pytest.approx(ALONE + (0.5 + 9) * 0.727e-3 + 9 * 3.08e-3)


def test_the_core_of_another_cable_may_earth_the_board() -> None:
    """The barn's cable brings the earth that goes on to the office: its 4 mm² counts, not its line."""
    of = Design(example("weir-cottage", "found").inst.altered(
        PAIR.format(pair=40, earth=5).replace('"met.d"', '"house.in"') + '\n'
        'runs.earth-house = { joins = ["met.c", "house.in"], kind = "armoured", size_mm2 = 10, cpc_mm2 = 4, length_m = 7 }'))
    assert of.boards["office"].ze_ohm.value == pytest.approx(0.34 + 0.3 * 0.727e-3 + 40 * 1.15e-3 + 5 * 3.08e-3 + 7 * 4.61e-3)


SHED = """equipment.shed = { kind = "board", rating_a = 63, ways_n = 4 }
equipment.post = { kind = "isolator-2p", rating_a = 63 }
circuits.feed = { way = "unit.7", feeds = "post.top", device = { kind = "mcb", curve = "B", rating_a = 32 }, cable = { kind = "t&e", line_mm2 = 10, cpc_mm2 = 4, length_m = 5, method = "C" } }
runs.far = { joins = ["post.bottom", "shed.in"], kind = "tails", size_mm2 = 16, length_m = LENGTH, method = "C" }
runs.earth-far = { joins = ["unit.7.E", "shed.in.E"], kind = "singles", size_mm2 = 6, length_m = 15 }"""


@pytest.mark.parametrize(("length", "adds"), [(2.9, 0.0), (10, 10 * 1.15e-3 + (15 * 3.08 + 2 * 1.15) * 1e-3)])
def test_tails_behind_a_circuit_are_measured_by_themselves(length: float, adds: float) -> None:
    """2.5 m before the board and 2.9 m behind a circuit of it are two short pairs; 10 m behind it is a long one, and back it goes by
    what leads from the shed to the board and from there to the terminal."""
    of = with_example(SHED.replace("LENGTH", f"{length}"))
    assert of.boards["shed"].ze_ohm.value == pytest.approx(ALONE + 5 * 6.44e-3 + adds)


def test_a_board_that_nothing_leads_to_is_no_answer() -> None:
    assert says(with_example('remove = ["runs.feed-3"]'), "SV2", "equipment.unit").verdict == "unknown"


# ---- a second way -------------------------------------------------------------------------------------------------------
MOHM = {4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727}


def test_fifty_ways_to_a_board_summed_by_hand() -> None:
    """Two runs to the board, each a cable or a pair at random, and what earths the board: 0.3 Ω and plain sums over the typed table.

    Nothing stands between two pairs but an isolator, so their lengths count together."""
    draw, seen = random.Random(7), set()
    for _ in range(50):
        legs = [(draw.choice(["t&e", "tails"]), draw.choice([10, 16, 25]), draw.choice([4, 6]), draw.choice([0.5, 1.5, 1.6, 3, 3.1, 20])) for _ in (2, 3)]
        earth_mm2, earth_m = draw.choice([6, 10, 16]), draw.choice([1, 12])
        pairs = [leg for leg in legs if leg[0] == "tails"]
        long = [leg for leg in pairs if math.fsum(p[3] for p in pairs) > 3]
        want = ALONE + math.fsum([*(m * (MOHM[size] + MOHM[cpc]) / 1000 for kind, size, cpc, m in legs if kind == "t&e"),
                                  *(m * MOHM[size] / 1000 for _, size, _, m in long), *([earth_m * MOHM[earth_mm2] / 1000] if long else [])])
        lines = [f'runs.feed-{n} = {{ joins = {ends}, kind = "{kind}", size_mm2 = {size}, {f"cpc_mm2 = {cpc}, " if kind == "t&e" else ""}length_m = {m}, method = "C" }}'
                 for n, ends, (kind, size, cpc, m) in zip((2, 3), ('["meter.out", "arrester.top"]', '["arrester.bottom", "unit.in"]'), legs, strict=True)]
        of = with_example("\n".join([*lines, f"runs.earth-2.size_mm2 = {earth_mm2}", f"runs.earth-2.length_m = {earth_m}"]))
        assert of.boards["unit"].ze_ohm.value == pytest.approx(want, rel=1e-12), (legs, earth_mm2, earth_m)
        seen.add((len(pairs), bool(long)))
    assert seen == {(0, False), (1, False), (1, True), (2, False), (2, True)}


# ---- Weir, told by the chain ----------------------------------------------------------------------------------------
def told(name: str, stage: str, lines: str) -> list[dict[str, Any]]:
    return service(texts(name), stage, [("over.toml", lines)])["long_tails"]        # type: ignore[no-any-return]


def clearing(of: dict[str, Any]) -> list[tuple[str, str]]:
    return [(each["rule"], each["answer"]) for each in of["clearing"] if each["rule"] not in ("EA7", "FA5")]


def test_forty_metres_of_plain_tails_do_not_open_the_fuse_in_time() -> None:
    """By hand: 0.34 + 1.2 × (0.3 m × 0.727 + 40 m × (1.15 + 3.08)) mΩ is 0.543 Ω, above 0.95 × 230 / 460 = 0.475 Ω."""
    (pair,) = told("weir-cottage", "found", PAIR.format(pair=40, earth=40))
    assert (pair["at"], clearing(pair)) == ("runs.pair-2", [("SV2", "no")])
    assert "0.543" in pair["clearing"][0]["says"]
    (short,) = told("weir-cottage", "found", PAIR.format(pair=4, earth=4))
    assert clearing(short) == [("SV2", "yes")]
    (unknown,) = told("weir-cottage", "found", 'runs.earth-office.size_mm2 = 6')        # its length is not known
    assert clearing(unknown) == [("SV2", "unknown")]


def test_each_long_run_has_the_answers_of_what_lies_beyond_it() -> None:
    """Two long pairs: the office's does not open the fuse, the house's does; the operator's own limit is asked of each by itself."""
    lines = PAIR.format(pair=40, earth=40) + '\nruns.pair-1.stretches.clipped.length_m = 5\nruns.earth-house.length_m = 5\n' \
        'supplies.main.operator = "operator-east"'
    files = {**texts("weir-cottage")}
    files["job.toml"] += "\n[operators]\noperator-east = { asked = 2026-05-11, tail_m = 12 }\n"
    both = {each["at"]: each for each in service(files, "found", [("over.toml", lines)])["long_tails"]}
    assert {at: clearing(each) for at, each in both.items()} == {"runs.pair-1": [("SV2", "yes")], "runs.pair-2": [("SV2", "no")]}
    assert {at: [(a["rule"], a["answer"]) for a in each["operator"] if a["rule"] == "OP8"] for at, each in both.items()} == {
        "runs.pair-1": [("OP8", "yes")], "runs.pair-2": [("OP8", "no")]}


SPECIMEN = {"job.toml": 'schema = 1\n[books]\nbs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml")}


@pytest.mark.parametrize(("lines", "wanted"), [
    ("runs.feed-1.length_m = 9", [("EA6", "yes")]),                                  # before the origin: in Ze
    ("runs.feed-1.length_m = 9\nsupplies.main.ze_ohm = { measured = 0.7 }", [("EA6", "no")]),
    ('runs.old = { joins = ["arrester.bottom"], kind = "tails", size_mm2 = 16, length_m = 9 }', [("", "unknown")]),
    ('runs.feed-1.length_m = 9\nsupplies.main.earthing = "TT"', []),                  # a residual-current device clears it
    ('runs.feed-2.length_m = 9\nequipment.arrester = { kind = "switch-fuse", fuse_a = { marked = 40 }, rating_a = 100 }\n'
     'runs.feed-2.joins = ["meter.out", "arrester.top"]\nruns.feed-3.joins = ["arrester.bottom", "unit.in"]\nremove = ["runs.earth-3"]', [("", "unknown")])])
def test_what_no_board_answers_for_is_no_yes(lines: str, wanted: list[tuple[str, str]]) -> None:
    """The loop where the supply comes in says nothing of a run that leads on from there."""
    (only,) = service(SPECIMEN, "found", [("over.toml", lines)])["long_tails"]
    assert clearing(only) == wanted
