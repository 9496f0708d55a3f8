"""Worked examples: all within, every shape answered, and the critical ones worked a second way on other numbers."""

from __future__ import annotations

import csv
import itertools
import json
import math
import random
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tools import published
from tools.published_base import ANSWERS, NotCovered, answer, differences, shape_of, wrong_in

HERE = Path(__file__).parent / "published"
EXAMPLES = json.loads((HERE / "worked-examples.json").read_text(encoding="utf-8"))


def rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((HERE / name).read_text(encoding="utf-8").splitlines()))


SHAPES = rows("worked-examples-shapes.csv")
WORDS = {row["name"]: row["words it may take"].split(" | ") for row in rows("worked-examples-words.csv")}


def test_all_examples_are_within(capsys: pytest.CaptureFixture[str]) -> None:
    """Each of the 113 examples, by the command itself."""
    assert published.main([str(HERE / "worked-examples.json")]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == f"{len(EXAMPLES)} within, 0 wrong, 0 not covered"


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e["id"])
def test_a_wrong_expectation_is_seen(example: dict[str, Any]) -> None:
    """Every expected value of every example is compared: put each out of its tolerance and it is named as wrong."""
    got = answer(example["topic"], example["inputs"])
    for key, want in example["expected"].items():
        spoiled = {**example, "expected": {**example["expected"], key: put_out(want)}}
        assert [line.split()[0].split("[")[0].split(".")[0] for line in wrong_in(spoiled, got)] == [key]


def put_out(want: Any) -> Any:
    if isinstance(want, bool):
        return not want
    if isinstance(want, list):
        return [*want[:-1], put_out(want[-1])]
    if isinstance(want, dict):
        last = list(want)[-1]
        return {**want, last: put_out(want[last])}
    return f"{want} not" if isinstance(want, str) else want * 1.5 + 100


def test_verdicts_of_the_runner(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A wrong value gives exit 1 and its key, an unknown shape counts apart, a text that is no example list gives 2."""
    loop = next(e for e in EXAMPLES if e["topic"] == "loop impedance")
    examples = [
        loop,
        {**loop, "id": "w", "expected": {"zs_ohm": 9}},
        {**loop, "id": "n", "topic": "no such"},
        {**loop, "id": "e", "inputs": {**loop["inputs"], "length_m": "ten"}},
        {**loop, "id": "m", "expected": {"other_ohm": 1}},
    ]
    file = tmp_path / "examples.json"
    file.write_text(json.dumps(examples), encoding="utf-8")
    assert published.main([str(file)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert [line.split("  ")[2].split(":")[0] for line in lines[:-1]] == [
        "within",
        "wrong",
        "not covered",
        "wrong",
        "wrong",
    ]
    assert "zs_ohm got 0.9624 want 9" in lines[1]
    assert "other_ohm got nothing want 1" in lines[4]
    assert lines[-1] == "1 within, 3 wrong, 1 not covered"
    assert published.main([]) == 2
    for broken in ("{", "{}", "[1]", '[{"topic": "x"}]'):
        file.write_text(broken, encoding="utf-8")
        assert published.main([str(file)]) == 2
    assert published.main([str(tmp_path / "absent.json")]) == 2


@pytest.mark.parametrize(
    ("want", "got", "tolerance", "wrong"),
    [
        (1.0, 1.004, 0.005, False),
        (1.0, 1.006, 0.005, True),
        (True, 1, 1, True),
        (1, True, 1, True),
        (True, True, 0, False),
        ("a", "b", 9, True),
        ([1, 2], [1, 2], 0, False),
        ([1, 2], [1], 0, True),
        ({"C": True}, {"C": False}, 0, True),
        ({"C": 1}, {"D": 1}, 9, True),
        (1, None, 9, True),
        ("open", math.inf, 9, True),
        (1.0, math.nan, 9, True),
    ],
)
def test_comparing(want: Any, got: Any, tolerance: float, wrong: bool) -> None:
    """Numbers by tolerance, true and false never as numbers, words and lengths exactly, nan never within."""
    assert bool(list(differences(want, got, tolerance, "x"))) is wrong


# ---- every shape ----------------------------------------------------------------------------------------------------
BETWEEN = {
    "fraction": (0.05, 0.95),
    "share": (0.1, 0.9),
    "factor": (0.5, 1.5),
    "percent": (1, 20),
    "alpha": (0.003, 0.005),
    "ambient_c": (-5, 29),
    "tp_c": (60, 90),
    "tr_c": (30, 30),
    "outside_c": (-5, 0),
    "inside_c": (18, 22),
    "it_": (60, 90),
    "iz_": (10, 30),
    "in_": (3, 13),
    "load_w": (1000, 4000),
    "u_v": (216, 253),
    "u0": (216, 253),
    "ib_a": (5, 20),
    "wall_gross": (20, 30),
    "window_m": (0.5, 2),
    "door_m": (0.5, 2),
    "size_m": (5, 9),
    "ladder": (2000, 3000),
    "stamped_v": (230, 240),
    "supply_v": (216, 253),
    "design_loss": (100, 500),
    "margin": (0.1, 0.3),
    "good_circuits": (50, 200),
    "whole_board": (1, 5),
    "duty": (0.2, 0.9),
    "standard_mm2": (60, 70),
    "device_ratings": (40, 50),
    "ca": (0.8, 1),
    "cg": (0.8, 1),
    "cf": (0.7, 1),
    "ci": (0.5, 1),
    "tolerance": (-0.06, 0.1),
    "drop": (0.03, 0.05),
    "cpc": (1, 4),
    "spur_length": (1, 9),
}
CHOICES: dict[str, list[Any]] = {
    "phases": [1, 3],
    "multiple": [1, 2, 5],
    "heaters": [4, 5, 9],
    "doors_n": [1, 2],
    "windows_n": [3],
    "appliances": [1, 2, 3],
    "counts": [1, 2, 3],
    "rounding": ["down"],
    "kind": ["general", "S"],
    "csa_mm2": [2.5, 4, 6],
    "line_mm2": [10, 25, 50],
    "system": ["L N E"],
    "systems": ["L N", "L1 L2 L3 N E"],
}


def spoken(text: str) -> dict[str, str]:
    """`a: number; b: {x: number, y: word}` as names and kinds."""
    return dict(re.findall(r"([\w.]+): ((?:list of )*(?:\{[^}]*\}|[\w/]+))(?:; |$)", text))


def made(name: str, kind: str, draw: random.Random) -> Any:
    """A value of that kind that makes sense under that name."""
    if kind.startswith("list of {"):
        return [made(name, kind.removeprefix("list of "), draw) for _ in range(3)]
    if kind == "list of list of number":
        return [made(name, "pair", draw) for _ in range(3)]
    if kind == "pair":
        return [draw.uniform(32, 100), draw.uniform(6, 32)]
    if kind.startswith("list of"):
        count = 2 if name in ("door_m", "window_m", "bridge_between_fraction", "ratio_expected") else 3
        if name in CHOICES:
            return draw.choices(CHOICES[name], k=1) * 2 if name == "systems" else [*CHOICES[name]][:count]
        return [made(name, kind.removeprefix("list of "), draw) for _ in range(count)]
    if kind.startswith("{"):
        inside = dict(pair.split(": ") for pair in kind.strip("{}").split(", "))
        return {
            key: made(name, each, draw) if key[0].isdigit() or key.isupper() else made(f"{name} {key}", each, draw)
            for key, each in inside.items()
        }
    return one(name, kind, draw)


def one(name: str, kind: str, draw: random.Random) -> Any:
    last = name.split()[-1]
    if kind == "word":
        return draw.choice(WORDS.get(f"input {last}") or CHOICES.get(last) or ["some words"])
    if kind == "true/false":
        return draw.random() < 0.5
    if last in CHOICES:
        return draw.choice(CHOICES[last])
    low, high = next(
        (span for start, span in BETWEEN.items() if start in last and (len(start) > 2 or last == start)), (0.5, 9.0)
    )
    return round(draw.uniform(low, high), 3)


def kind_of(value: Any) -> str:
    if isinstance(value, bool):
        return "true/false"
    if isinstance(value, int | float):
        return "number" if math.isfinite(value) else "not a number"
    if isinstance(value, str):
        return "word"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k}: {kind_of(v)}" for k, v in value.items()) + "}"
    assert isinstance(value, list)
    kinds = {kind_of(each) for each in value}
    return f"list of {kinds.pop()}" if len(kinds) == 1 else f"list of {sorted(kinds)}"


@pytest.mark.parametrize("number", range(len(SHAPES)), ids=lambda n: f"{n}-{SHAPES[n]['topic']}")
def test_every_shape_is_answered(number: int) -> None:
    """Forty draws of inputs for each shape: an answer every time, with the names and kinds the shape promises."""
    shape = SHAPES[number]
    inputs, promised = spoken(shape["inputs"]), spoken(shape["expected"])
    assert inputs
    assert promised
    siblings = [
        spoken(other["expected"])
        for other in SHAPES
        if other["topic"] == shape["topic"] and spoken(other["inputs"]) == inputs
    ]
    draw = random.Random(number)
    for _ in range(40):
        given = {name: made(name, kind, draw) for name, kind in inputs.items()}
        got = answer(shape["topic"], given)
        assert {name: kind_of(got[name]) for name in promised} == promised
        assert set(got) == set().union(*siblings)
        for name, value in got.items():
            if isinstance(value, str) and name in WORDS and name not in ("verdict", "diagnosis"):
                assert value in WORDS[name]


def test_each_function_answers_a_shape_that_exists() -> None:
    """No function for a shape that nobody has, and none is answered twice."""
    known = {
        shape_of(
            s["topic"],
            {n: [] if k.startswith("list") else {} if k.startswith("{") else 0 for n, k in spoken(s["inputs"]).items()},
        )
        for s in SHAPES
    }
    assert set(ANSWERS) == known
    with pytest.raises(NotCovered, match="no function for maximum Zs"):
        answer("maximum Zs", {"cmin": [1]})


# ---- critical answers, a second way on other numbers ----------------------------------------------------------------
def network_ohm(links: list[tuple[str, str, float]], one_end: str, other_end: str) -> float:
    """Resistance between two nodes, from the pseudo-inverse of the network's conductance matrix."""
    nodes = sorted({n for link in links for n in link[:2]})
    matrix = np.zeros((len(nodes), len(nodes)))
    for a, b, ohm in links:
        i, j = nodes.index(a), nodes.index(b)
        matrix[[i, j], [i, j]] += 1 / ohm
        matrix[[i, j], [j, i]] -= 1 / ohm
    turned = np.linalg.pinv(matrix)
    i, j = nodes.index(one_end), nodes.index(other_end)
    return float(turned[i, i] + turned[j, j] - turned[i, j] - turned[j, i])


def ring_ohm(first: float, second: float, at: float, near: str = "P", far: str = "Q") -> float:
    """Two conductors joined crosswise at P and Q (or by the same legs), read at a share of the way."""
    return network_ohm(
        [("x", "P", first * at), ("x", "Q", first * (1 - at)), ("y", far, second * at), ("y", near, second * (1 - at))],
        "x",
        "y",
    )


def zs(i: dict[str, Any]) -> dict[str, Any]:
    """Metre by metre: each metre of cable adds its share."""
    metre = i["r1r2_mohm_per_m"] / 1000 * i["temperature_multiplier"]
    whole, rest = divmod(i["length_m"], 1)
    r1r2 = math.fsum([metre] * int(whole)) + rest * metre
    return {"r1r2_ohm": r1r2, "zs_ohm": i["ze_ohm"] + r1r2}


def adiabatic(i: dict[str, Any]) -> dict[str, Any]:
    """The size whose k²S² equals I²t, found by halving."""
    low, high = 0.0, 1000.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (
            (middle, high) if i["k"] ** 2 * middle**2 < i["fault_current_a"] ** 2 * i["time_s"] else (low, middle)
        )
    found: dict[str, Any] = {"s_min_mm2": high}
    if "cpc_mm2" in i:
        found["passes"] = i["k"] ** 2 * i["cpc_mm2"] ** 2 >= i["fault_current_a"] ** 2 * i["time_s"]
    return found


def drop(i: dict[str, Any]) -> dict[str, Any]:
    """From the resistance that the millivolts stand for, and Ohm's law."""
    volts = i["load_a"] * (i["mv_per_a_m"] * i["length_m"] / 1000)
    return {"vd_v": volts, "passes": volts <= i["limit_v"]}


def rating(i: dict[str, Any]) -> dict[str, Any]:
    """The factors as logarithms."""
    factors = [i[name] for name in ("ca", "cg", "ci") if name in i]
    return {"iz_a": math.exp(math.log(i["it_a"]) + math.fsum(map(math.log, factors)))}


def healthy(i: dict[str, Any]) -> dict[str, Any]:
    r1, rn, r2 = (i[f"{c}_end_to_end_ohm"] for c in ("r1", "rn", "r2"))
    return {
        "ln_expected_ohm": [ring_ohm(r1, rn, at) for at in i["positions_fraction"]],
        "le_expected_ohm": [ring_ohm(r1, r2, at) for at in i["positions_fraction"]],
        "le_max_ohm": ring_ohm(r1, r2, 0.5),
    }


def same_legs(i: dict[str, Any]) -> dict[str, Any]:
    r1, rn = i["r1_end_to_end_ohm"], i["rn_end_to_end_ohm"]
    return {"ln_expected_ohm": [ring_ohm(r1, rn, at, "Q", "P") for at in i["positions_fraction"]]}


def line_open(i: dict[str, Any]) -> dict[str, Any]:
    """The break as a resistance a thousand million times that of the ring."""
    r1, rn, cut = i["r1_cable_ohm"], i["rn_end_to_end_ohm"], i["break_fraction"]
    found = []
    for at in i["positions_fraction"]:
        near, far = ("P", "Q") if at <= cut else ("Q", "P")
        legs = [("x", near, r1 * (at if at <= cut else 1 - at)), ("x", far, r1 * 1e9)]
        found.append(network_ohm([*legs, ("y", "Q", rn * at), ("y", "P", rn * (1 - at))], "x", "y"))
    return {"ln_expected_ohm": found}


def maximum_zs(i: dict[str, Any]) -> dict[str, Any]:
    """The impedance at which the current is just Ia, found by halving."""
    low, high = 0.0, 1e4
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if i["cmin"] * i["u0_v"] / middle > i["multiple"] * i["in_a"] else (low, middle)
    return {"zs_max_ohm": high}


SECOND: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "loop impedance": zs,
    "adiabatic": adiabatic,
    "voltage drop": drop,
    "rating factors": rating,
    "ring final: healthy": healthy,
    "ring final: same-leg cross link": same_legs,
    "ring final: line open": line_open,
    "maximum Zs": maximum_zs,
}
NEEDS = {
    "adiabatic": {"fault_current_a", "time_s", "k"},
    "maximum Zs": {"cmin", "multiple", "in_a", "u0_v"},
    "rating factors": {"it_a"},
}


def perturbed() -> Iterator[tuple[str, dict[str, Any]]]:
    for example in EXAMPLES:
        inputs = example["inputs"]
        plain = not any(isinstance(inputs.get(n), list) for n in ("in_a", "it_a"))
        if (
            example["topic"] in SECOND
            and plain
            and NEEDS.get(example["topic"], set()) <= inputs.keys()
            and "cg_as_used" not in inputs
        ):
            for factor in (0.93, 1.0, 1.1):
                yield example["id"], {"topic": example["topic"], "inputs": scaled(inputs, factor)}


def scaled(value: Any, factor: float) -> Any:
    """Every number times the factor, but for shares of a ring, which stay within it."""
    if isinstance(value, dict):
        return {k: v if k in ("positions_fraction", "break_fraction") else scaled(v, factor) for k, v in value.items()}
    if isinstance(value, list):
        return [scaled(each, factor) for each in value]
    return value * factor if isinstance(value, int | float) and not isinstance(value, bool) else value


@pytest.mark.parametrize(("name", "example"), list(perturbed()))
def test_critical_answers_worked_a_second_way(name: str, example: dict[str, Any]) -> None:
    """Loop, adiabatic, drop, rating, ring readings on changed numbers: by halving, by metres, by a network."""
    got, second = answer(example["topic"], example["inputs"]), SECOND[example["topic"]](example["inputs"])
    assert second
    assert [line for key, want in second.items() for line in differences(want, got[key], 1e-6, key)] == []


def test_a_bridged_ring_is_the_network_it_stands_for() -> None:
    """Fifty bridges: readings as the pseudo-inverse gives them, r1 as that of a line with a branch."""
    draw = random.Random(4)
    for _ in range(50):
        ends, at = sorted(draw.sample(range(1, 20), 2)), draw.choice([2, 6, 10, 13, 17]) + 0.5
        a, b, x = ends[0] / 20, ends[1] / 20, at / 20
        r1, bridge = draw.uniform(0.2, 2), draw.uniform(0.01, 1)
        got = answer(
            "ring final: bridge inside the ring",
            {
                "bridge_between_fraction": [a, b],
                "bridge_ohm_each_core": bridge,
                "positions_fraction": [x],
                "r1_cable_ohm": r1,
            },
        )
        stops = sorted((0.0, a, b, x, 1.0))
        links = [
            (f"{core}{one}", f"{core}{two}", r1 * (two - one))
            for core in "LN"
            for one, two in itertools.pairwise(stops)
        ]
        links += [(f"{core}{a}", f"{core}{b}", bridge) for core in "LN"]
        assert got["r1_end_to_end_ohm"] == pytest.approx(network_ohm(links[:4] + links[8:9], "L0.0", "L1.0"), rel=1e-9)
        swap = {"N1.0": "L0.0", "L1.0": "N0.0"}
        crossed = [(swap.get(p, p), swap.get(q, q), ohm) for p, q, ohm in links]
        assert got["ln_expected_ohm"][0] == pytest.approx(network_ohm(crossed, f"L{x}", f"N{x}"), rel=1e-9)
