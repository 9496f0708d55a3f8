"""All circuits of a board together: who counts in a bundle, and that the sizes stand on the counts told."""
from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

from spareway.api_circuit import board
from spareway.design.columns import columns
from spareway.design.design import Design
from spareway.design.route import settled
from spareway.design.search import Asked, least
from spareway.design.whole_board import Member, Settled, settle, whole_board
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.tables import look_up
from tests.design import drawn
from tests.design.brute import Device

WEIR = Path(__file__).parents[2] / "examples" / "weir-cottage"
FRACTION = 0.3                                              # Table 4C1, note: of the grouped rating
PAIRS = ((1.0, 1.0), (1.5, 1.0), (2.5, 1.5), (4.0, 1.5), (6.0, 2.5), (10.0, 4.0), (16.0, 6.0))


def cg(n: int, buried: bool = False) -> float:
    """Table 4C1 by the engine's own look-up. None of these lies in the ground."""
    assert not buried
    return float(look_up("cg", drawn.BOOKS, settled("grouped_n", float(n), "")).value)


def member(name: str, load_a: float, length_m: float, methods: tuple[str, ...], bundles: tuple[str, ...]) -> Member:
    """A circuit in twin and earth behind a type B breaker, alone but for its bundles."""
    want = replace(drawn.wanted(random.Random(1)), clear_s=0.4)
    shelf = [Device("B", rating, 6, 3, None, "", None) for rating in drawn.RATINGS_A]
    asked = Asked(load_a, length_m, tuple((1.0, 1.0, 1.0, 1.0) for _ in methods), 0.3, 11.5, 0.34, 0.34, 1.2, 230.0, 0.95, 1.2, 0.1,
                  1.5)
    rows = columns("t&e", methods, None, PAIRS, 115.0, drawn.BOOKS.bs7671, drawn.BOOKS.nation)
    return Member(name, rows, drawn.as_ladders(want, shelf), asked, bundles, tuple(False for _ in bundles))


def board_of(r: random.Random) -> tuple[list[Member], dict[str, int]]:
    """Up to a dozen circuits in up to three bundles, some in two, and other cables in these."""
    names = ("loft", "riser", "wall")[:r.choice((1, 2, 3))]
    made = []
    for i in range(r.randint(2, 12)):
        bundles = tuple(r.sample(names, k=min(len(names), r.choice((1, 1, 2)))) + r.choice(([], [""])))
        methods = tuple(r.choice(("C", "100", "102", "A")) for _ in bundles)
        made.append(member(f"c{i}", r.choice((1.0, 2.5, 5, 8, 11, 15, 20, 30)), r.uniform(3, 30), methods, bundles))
    return made, {name: r.choice((0, 0, 1, 3)) for name in names}


def stands(found: Settled, members: list[Member], others: dict[str, int]) -> None:
    """Every size is the least on the counts told; who is left out carries at most 30 % at that size with everything counted."""
    for each in members:
        laid, size = [], found.sizes[each.name]
        for i, bundle in enumerate(each.bundles):
            everyone = others.get(bundle, 0) + len([m for m in members if bundle in m.bundles])
            out = (each.name, bundle) in found.left_out
            n = (everyone if out else found.counts[bundle]) if bundle else 1
            laid.append((1.0, cg(n), 1.0, 1.0))
            if out:
                assert size is not None
                assert each.asked.load_a <= FRACTION * cg(everyone) * size.columns.it_a[i][size.i] * (1 + 1e-12)
        again = least(each.columns, each.ladders, replace(each.asked, laid=tuple(laid)))
        assert (again and again.key) == (size and size.key)
    for bundle, counted in found.counts.items():
        left = len([who for who in found.left_out if who[1] == bundle])
        assert counted == others.get(bundle, 0) + len([m for m in members if bundle in m.bundles]) - left


def test_the_fixed_point_stands_on_its_own_counts() -> None:
    """A hundred boards drawn at random: consistent, within the rounds promised, and the same in any order."""
    r, left = random.Random(3), 0
    for _ in range(100):
        members, others = board_of(r)
        found = settle(members, others, cg, FRACTION)
        stands(found, members, others)
        assert found.rounds <= 2 * len([b for m in members for b in m.bundles if b]) + 1
        turned = settle(r.sample(members, len(members)), others, cg, FRACTION)
        assert (turned.counts, turned.left_out, turned.rounds) == (found.counts, found.left_out, found.rounds)
        assert {n: s and s.key for n, s in turned.sizes.items()} == {n: s and s.key for n, s in found.sizes.items()}
        left += bool(found.left_out)
    assert left >= 50


def test_sharing_a_bundle_never_makes_a_cable_smaller() -> None:
    """Each circuit alone is no larger than in its bundle."""
    r = random.Random(4)
    for _ in range(40):
        members, others = board_of(r)
        together = settle(members, others, cg, FRACTION).sizes
        for each in members:
            alone, bunched = least(each.columns, each.ladders, each.asked), together[each.name]
            assert alone is not None or bunched is None
            assert bunched is None or alone is not None and alone.line_mm2 <= bunched.line_mm2


def test_one_that_may_no_longer_be_left_out_counts_for_good() -> None:
    """Hand-worked. With seven in the riser 25 / 0.54 = 46.3 A wants 16 mm² by method A (10 mm² has 44 A), and in the loft that
    carries 20.2 A <= 0.3 × 0.8 × 85 = 20.4 A: left out. The six light ones are left out of the riser, 25 A wants 4 mm² (26 A), and
    0.3 × 0.8 × 37 = 8.88 A: it counts again, so that the other one in the loft, alone at 16 / 1, is sized for two: 16 / 0.8 = 20 A."""
    riser = [member("far", 20.2, 3, ("C", "A"), ("loft", "riser")),
             *(member(f"light-{i}", 1, 3, ("C",), ("riser",)) for i in range(6)), member("near", 15, 3, ("C",), ("loft",))]
    found = settle(riser, {}, cg, FRACTION)
    stands(found, riser, {})
    assert (found.rounds, found.counts) == (3, {"loft": 2, "riser": 1})
    assert {name for name, _ in found.left_out} == {f"light-{i}" for i in range(6)}
    assert [found.sizes[name].line_mm2 for name in ("far", "near")] == [4, 1.5]  # type: ignore[union-attr]


def bunched(name: str, way: int, load_w: int, bundle: str = "loft", more: str = "") -> str:
    return (f'[circuits.{name}]\nway = "board.{way}"\nfeeds = "appliance"\nload_w = {load_w}\n'
            f'device = {{ kind = "rcbo-2p", curve = "B", residual_ma = 30, residual_type = "A" }}\n[circuits.{name}.cable]\n'
            f'kind = "t&e"\nstretches.up = {{ length_m = 6, method = "C", bundle = "{bundle}"{more} }}\n'
            f'stretches.on = {{ length_m = 3, method = "C" }}\n')


def test_circuits_of_a_job_share_their_bundle() -> None:
    """Four circuits in the loft: the 100 W one carries 0.43 A, far below 0.3 × 0.65 × 20 A, and is not counted; three are, with
    0.70; alone 1.5 mm² carries the 20 A of its device, and with 20 / 0.7 = 28.6 A it wants 4 mm² (37 A)."""
    lines = "".join([bunched("a", 12, 4400), bunched("b", 13, 4400), bunched("c", 14, 3000), bunched("d", 15, 100)])
    design = Design(read_job(read_folder(WEIR)).at(None).altered(lines))
    planned = whole_board(design, ["a", "b", "c", "d"])
    (loft,) = planned.bundles
    assert (loft.runs, loft.counted_n, loft.left_out) == (("a", "b", "c", "d"), 3, ("d",))
    assert [choice.fact.amount for choice in planned.choices.values()] == [
        "4/1.5 mm² t&e, B20", "4/1.5 mm² t&e, B20", "2.5/1.5 mm² t&e, B16", "1.5/1 mm² t&e, B6"]
    alone = whole_board(Design(read_job(read_folder(WEIR)).at(None).altered(bunched("a", 12, 4400))), ["a"])
    assert alone.choices["a"].fact.amount == "1.5/1 mm² t&e, B20"
    stretch = planned.circuits["a"].route.stretches[0]
    assert (stretch.cg.amount, stretch.grouped_n.note) == (0.7, "with b, c in loft; so lightly loaded as not to count: d")


def test_a_count_that_a_person_recorded_stands() -> None:
    """With nine bunched on record the factor is that of nine, whoever else is named."""
    lines = bunched("a", 12, 3000, more=", grouped_n = 9") + bunched("b", 13, 3000)
    planned = whole_board(Design(read_job(read_folder(WEIR)).at(None).altered(lines)), ["a", "b"])
    assert [c.route.stretches[0].cg.amount for c in planned.circuits.values()] == [0.5, 0.8]


def test_more_than_the_table_goes_is_told() -> None:
    """Twenty-one in one bundle: Table 4C1 ends at twenty, so nothing is chosen and every one says why."""
    lines = '[equipment.board]\nways_n = { unknown = "tried" }\n' + "".join(bunched(f"n{i}", i + 20, 1000) for i in range(21))
    names = [f"n{i}" for i in range(21)]
    planned = whole_board(Design(read_job(read_folder(WEIR)).at(None).altered(lines)), names)
    assert {choice.verdict for choice in planned.choices.values()} == {"unknown"}
    assert all("no row for n" in c.fact.note or "cg has no row" in c.fact.note for c in planned.choices.values())


@pytest.mark.parametrize("stage", ["proposed", "found"])
def test_the_board_of_an_example_as_data(stage: str) -> None:
    """Weir Cottage: its five heater circuits and the immersion have a cable that was not there as found; the rest is kept."""
    if stage == "found":
        assert board(read_folder(WEIR), "house", "found")["circuits"] == []
        return
    said = board(read_folder(WEIR))
    assert [c["name"] for c in said["circuits"]] == ["immersion", "heat-1", "heat-2", "heat-3", "heat-4", "heat-5"]
    assert {c["verdict"] for c in said["circuits"]} == {"unknown"}
    assert {o["test"] for c in said["circuits"] for o in c["open"]} == {"near", "far"}
    assert "cooker" in said["kept"]


def test_on_tt_the_residual_part_opens_and_ends_the_heat() -> None:
    """Ridge Annexe, electrode 88.4 Ω with the earth conductors: 230 / 88.4 = 2.6 A for at most 0.3 s is 2.03 A²s, which any
    protective conductor withstands; the loop is held against 1667 Ω (Table 41.5) and not against what opens the breaker."""
    said = board(read_folder(WEIR.parent / "ridge-annexe"))
    assert {c["verdict"] for c in said["circuits"]} == {"within"}
    for each in said["circuits"]:
        tests = {t["test"]: t for t in each["tests"]}
        assert tests["loop"]["limit"] == 1667
        assert tests["near"]["limit"] == pytest.approx((230 / 88.4) ** 2 * 0.3)
        assert each["settled"] == each["chosen"]
