"""Gathered worked examples on tests (tests/published/worked-examples.json), each laid out as a home and asked as a reading would be."""
from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.readings.expected import Expected, against, expected, judged_now
from spareway.readings.tested import odd
from tests.readings.sets import COLUMNS, HEAD, JOB

WORKED = Path(__file__).parents[1] / "published" / "worked-examples.json"
ROUND = 0.62 / 7.41 * 1000                                                     # T-001 to T-004: a ring whose line has 0.62 Ω, 2.5/1.5
AT = (0.2, 0.4, 0.6, 0.8)


@cache
def examples() -> dict[str, Any]:
    return {each["id"]: each for each in json.loads(WORKED.read_text(encoding="utf-8"))}


def ring() -> str:
    """Points at a fifth, two, three and four fifths of the way round; a spur of 5 m half way between the second and the third."""
    metres = [ROUND / 5, ROUND / 5, ROUND / 10, ROUND / 10, ROUND / 5, ROUND / 5]
    lines = ['[circuits.plugs]\nway = "unit.1"\nshape = "ring"\nfeeds = "sockets"\ncable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5 }\n']
    for n, m in enumerate(metres[:-1], 1):
        home = f', back_to = "way.b", back_m = {metres[-1]}' if n == len(metres) - 1 else ""
        lines.append(f'points.p{n} = {{ from = "{f"p{n - 1}" if n > 1 else "way.a"}", length_m = {m}{home} }}\n')
    return "".join([*lines, 'points.spur = { from = "p3", length_m = 5 }\n'])


def home(rows: Sequence[str] = (), found: str = "", ze: float = 0.16) -> Design:
    lines = [COLUMNS, *(f"x{n},found,{row},a,2026-11-09," for n, row in enumerate(rows))]
    head = HEAD.replace("{ measured = 0.3 }", f"{{ measured = {ze} }}")
    return Design(read_job({"job.toml": JOB, "found.toml": head + (found or ring()), "readings.csv": "\n".join([*lines, ""])}).found)


def asked(design: Design, *of: Any) -> Expected:
    told = expected(design, *of)
    assert told is not None
    return told


ON_RING = ("p1", "p2", "p4", "p5")


def test_a_healthy_ring() -> None:
    """T-001: line to neutral 0.31 Ω everywhere, line to earth 0.401, 0.409, 0.409, 0.401; its own readings are all as expected."""
    given, want = (examples()["T-001"][key] for key in ("inputs", "expected"))
    design = home()
    for name, key in (("ring_ln_ohm", "ln"), ("ring_le_ohm", "le")):
        got = [asked(design, name, f"circuits.plugs.points.{p}.L", "", "cross", 20).fact.value for p in ON_RING]
        assert got == pytest.approx(want[f"{key}_expected_ohm"], abs=0.004)
    rows = [f"ring_r1_ohm,circuits.plugs,,,{given['r1_end_to_end_ohm']},Ω,,,yes,out,20", f"ring_rn_ohm,circuits.plugs,,,{given['rn_end_to_end_ohm']},Ω,,,yes,out,20",
            f"ring_r2_ohm,circuits.plugs,,,{given['r2_end_to_end_ohm']},Ω,,,yes,out,20"]
    for name, key in (("ring_ln_ohm", "ln"), ("ring_le_ohm", "le")):
        rows += [f"{name},circuits.plugs.points.{p}.L,,ends cross-connected,{v},Ω,,,yes,out,20" for p, v in zip(ON_RING, given[f"{key}_readings_ohm"], strict=True)]
    read = judged_now(home(rows).circuits["plugs"])
    assert [each.fell for each in read] == ["as expected"] * 11


def test_the_end_of_a_spur() -> None:
    """T-002: 5 m of spur from the middle: 0.384 Ω to neutral, 0.508 Ω to earth."""
    want = examples()["T-002"]["expected"]
    for name, key in (("ring_ln_ohm", "ln_spur_ohm"), ("ring_le_ohm", "le_spur_tap_mid_ohm")):
        assert asked(home(), name, "circuits.plugs.points.spur.L", "", "cross", 20).fact.value == pytest.approx(want[key], abs=0.004)


def test_a_ring_with_its_line_open_is_not_believed_to_be_whole() -> None:
    """T-003: 0.62 Ω at every point, twice what a sound ring has."""
    want = examples()["T-003"]["expected"]
    rows = [f"ring_ln_ohm,circuits.plugs.points.{p}.L,,ends cross-connected,{v},Ω,,,yes,out,20" for p, v in zip(ON_RING, want["ln_expected_ohm"], strict=True)]
    read = judged_now(home(rows).circuits["plugs"])
    assert len(odd(read)) == 4
    assert all(each.row.value == pytest.approx(want["ratio_to_healthy"] * each.expected.fact.value, rel=0.01) for each in read)


def test_the_protective_conductor_by_the_table_and_not_by_the_areas() -> None:
    """T-008: r1 0.30 Ω, 2.5/1.5: 0.49 Ω by the table; 0.50 by the areas."""
    rows = ["ring_r1_ohm,circuits.plugs,,,0.30,Ω,,,yes,out,20"]
    found = ring().replace(f"{ROUND / 5}", "8.1").replace(f"{ROUND / 10}", "4.05")
    assert asked(home(rows, found), "ring_r2_ohm", "circuits.plugs", "", "", 20).fact.value == pytest.approx(examples()["T-008"]["expected"]["r2_by_table_ohm"], abs=0.0005)


@pytest.mark.parametrize("name", ["T-010", "T-011"])
def test_a_board_by_its_circuits(name: str) -> None:
    """T-010: 5, 20, 10, 20 and 2 MΩ are 1.11; T-011: 3, 4, 2.5, 6 and 5 are 0.741, each of them above the limit."""
    given, want = examples()[name]["inputs"], examples()[name]["expected"]
    each = given["circuits_mohm"]
    found = "".join(f'[circuits.c{n}]\nway = "unit.{n}"\nfeeds = "lights"\n' for n in range(1, len(each) + 1))
    rows = [f"insulation_mohm,circuits.c{n},,line and neutral together to earth,{v},MΩ,,,,out," for n, v in enumerate(each, 1)]
    assert asked(home(rows, found), "insulation_mohm", "equipment.unit").fact.value == pytest.approx(want["total_mohm"], rel=0.002)


@pytest.mark.parametrize("name", ["T-013", "T-014", "T-015"])
def test_fault_current_from_a_loop(name: str) -> None:
    """1.4375, 0.6571 and 5.9896 kA: 230 V over 0.16, 0.35 and 0.0384 Ω."""
    given, want = examples()[name]["inputs"], examples()[name]["expected"]
    told = asked(home(ze=given["z_ohm"]), "prospective_ka", "supplies.main", "", "line to earth")
    assert told.fact.value == pytest.approx(want["fault_current_ka"], abs=0.0001)


def test_a_loop_at_the_end_of_a_circuit() -> None:
    """T-020: Ze 0.16 Ω and R1+R2 0.41 Ω are 0.57 Ω; 21.01 m of 2.5/1.5."""
    found = '[circuits.warmth]\nway = "unit.1"\nfeeds = "lights"\ncable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 21.0149 }\n'
    told = asked(home(found=found), "zs_ohm", "circuits.warmth", "", "", 20)
    assert told.fact.value == pytest.approx(examples()["T-020"]["expected"]["zs_ohm"], abs=0.0001)
    design = home(["zs_ohm,circuits.warmth,,,0.57,Ω,,,,off,20"], found)
    assert against(design.inst.readings[0], told, design.books) == "as expected"
