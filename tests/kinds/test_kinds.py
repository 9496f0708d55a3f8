"""Each kind: its data agree with themselves and with the job, and it joins what the thing on the wall joins."""
from __future__ import annotations

import tomllib
from collections.abc import Collection
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

from spareway.job.types import Device, Equipment
from spareway.kinds import FAMILIES, PLACES, TOPICS, WHO, Kind, UnknownKind, kind, kind_names, topic
from spareway.kinds.joints import Link, inside, spread
from spareway.wiring.network import Network

HERE = Path(__file__).parent
TRACED: dict[str, dict[str, list[dict[str, Any]]]] = tomllib.loads((HERE / "traced.toml").read_text(encoding="utf-8"))
WORDS = {"line": "line", "neutral": "neutral", "earth": "earth", "load": "line through a load"}
NAMED_IN_THE_ISSUE = {
    "cut-out", "meter", "meter-switched", "time-switch", "blocks", "earth-block", "isolator-2p",
    "isolator-surge-top", "isolator-surge-bottom", "isolator-surge-top-marked", "isolator-surge-bottom-marked",
    "switch-fuse", "board", "board-split", "board-high-integrity", "board-rewirable", "board-night", "rewirable",
    "cartridge", "mcb", "rcbo-1p-solid-n", "rcbo-1p-switched-n", "rcbo-2p", "rcbo-2p-oneway", "afdd", "surge-in-way",
    "rcd-before-all", "switch-20a-2p", "fused-spur", "electrode", "solar-inverter", "battery-inverter-backup",
    "charge-point", "changeover", "generator-inlet", "portable-lead", "lamp", "resistive-heater", "cooker",
    "immersion", "sockets",
}


def terminals(of: Kind) -> set[str]:
    return {end[1:] for link in inside("", of.wiring) for end in (link.a, link.b)}


def potentials(of: Kind, fed: str, opened: Collection[str] = ()) -> dict[str, str]:
    """The kind alone, fed at these ends."""
    sources = {f"it.{t}": letter for t, letter in of.sources.items()}
    sources |= {f"it.{t}": t.rpartition(".")[2] for end in fed.split() for t in spread(end)}
    network = Network(inside("it", of.wiring), sources, {f"it.{c}": who for c, who in of.controls.items()})
    found = network.potential([f"it.{c}" for c in opened])
    return {name.removeprefix("it."): word for name, word in found.items()}


def cases(name: str) -> list[dict[str, Any]]:
    group = TRACED[topic(name)]
    return group[name] if name in group or topic(name) != "appliances" else group["*"]


def test_all_that_the_issue_names_are_there() -> None:
    """At least 35 kinds, and each that was asked for by name."""
    assert set(kind_names()) >= NAMED_IN_THE_ISSUE
    assert len(kind_names()) == len(set(kind_names())) >= 35


@pytest.mark.parametrize("name", kind_names())
def test_inside_is_printed_and_traced(name: str) -> None:
    """Printed, the inside names every terminal; traced, each state has the potentials worked out by hand."""
    of = kind(name)
    shown = [printed(link) for link in inside(name, of.wiring)]
    print(f"\n{name}: {of.says}", *shown, sep="\n")
    assert all(any(f"{name}.{t}" in line.split() for line in shown) for t in terminals(of))
    for case in cases(name):
        want = {t: word for key, word in WORDS.items() for end in case.get(key, "").split() for t in spread(end)}
        got = potentials(of, case["fed"], case.get("open", ()))
        assert {t: word for t, word in got.items() if word != "no path in the record"} == want, case


def printed(link: Link) -> str:
    joint = {"-": f"-[{link.control}]-" if link.control else "---", "~": "~~~", "=": "=load="}[link.joint]
    return link.a if link.a == link.b else f"{link.a} {joint} {link.b}"


@pytest.mark.parametrize("name", kind_names())
def test_every_control_was_tried(name: str) -> None:
    """The cases worked by hand open each control of the kind, and open makes a difference exactly where it counts."""
    of, tried = kind(name), cases(name)
    assert {c for case in tried for c in case.get("open", ())} == set(of.controls)
    for control, who in of.controls.items():
        ends = sorted(t for t in terminals(of) if t.endswith((".L", ".N")))
        makes_a_difference = any(potentials(of, end, [control]) != potentials(of, end) for end in ends)
        assert makes_a_difference == (who not in ("itself", "other"))


@pytest.mark.parametrize("name", kind_names())
def test_its_data_agree(name: str) -> None:
    """Controls, parts, sources, bars, marks and faces name what is in the wiring, and nothing in it is left unsaid."""
    of, has = kind(name), terminals(kind(name))
    sides = {t.partition(".")[0] for t in has}
    assert of.family in FAMILIES
    assert not of.says.endswith(".")
    assert {link.control[1:] for link in inside("", of.wiring) if link.control} == set(of.controls)
    assert set(of.controls.values()) <= set(WHO)
    assert {*of.residual, *of.one_of} <= set(of.controls)
    assert {t for part in of.parts.values() for t in part} <= has
    assert all(of.parts.values())
    assert set(of.sources) <= has
    assert all(t.endswith(f".{letter}") for t, letter in of.sources.items())
    assert {t for bar in of.bars.values() for t in bar} <= has
    assert all(line.endswith(".L") and neutral.endswith(".N") for line, neutral in of.bars.values())
    assert not of.marked or (set(of.marked) == {"line", "load"} and {f"{s}.L" for s in of.marked.values()} <= has)
    assert set(of.face) == sides
    assert set(of.face.values()) <= set(PLACES)


@pytest.mark.parametrize("name", kind_names())
def test_its_facts_are_fields_of_a_job(name: str) -> None:
    """A fact that a kind asks for is a field of what stands in a way, or of a thing on the wall."""
    of = kind(name)
    holder = Device if of.family in ("device", "surge") else Equipment
    assert set(of.facts) <= {f.name for f in fields(holder)}
    assert len(set(of.facts)) == len(of.facts)


def of_family(*families: str) -> list[str]:
    return [name for name in kind_names() if kind(name).family in families]


@pytest.mark.parametrize("name", of_family("board"))
def test_a_board_has_bars_and_earth(name: str) -> None:
    """Expansion lands ways on a bar and earths on `in.E`, and takes the first bar where the job does not say."""
    of = kind(name)
    assert {"in.L", "in.N", "in.E"} <= terminals(of)
    assert potentials(of, "in.E")["bar.E"] == "earth"
    credited = [len(protecting(of, line)) for line, _ in of.bars.values()]
    assert credited[0] == min(credited)


def protecting(of: Kind, line: str) -> set[str]:
    """The residual-current devices whose opening takes this busbar off the supply."""
    return {c for c in of.residual if potentials(of, "in.LN", [c])[line] != "line"}


@pytest.mark.parametrize("name", of_family("device", "surge"))
def test_what_stands_in_a_way(name: str) -> None:
    """Its sides are `in` and `out`, as expansion renames them, and one control opens its line."""
    of = kind(name)
    assert set(of.face) <= {"in", "out"}
    assert ("out.N" in terminals(of)) == (of.family == "device" and "in.N" in terminals(of))
    assert list(of.controls) in (["switch"], ["carrier"], [])
    assert (of.family == "surge") == (not of.controls)


@pytest.mark.parametrize("name", of_family("appliance"))
def test_an_appliance_is_a_load(name: str) -> None:
    """With its line on and its neutral gone, its neutral terminal is live through it; blank ends are not."""
    of = kind(name)
    assert {"in.L", "in.N", "in.E"} <= terminals(of)
    expected = "no path in the record" if name == "nothing" else "line through a load"
    assert potentials(of, "in.L")["in.N"] == expected


def test_an_unknown_kind_names_the_nearest() -> None:
    """A slip in a name is told with the name that was meant, in `kind` and in `topic`."""
    for ask in (kind, topic):
        with pytest.raises(UnknownKind, match=r'no kind "isolater-2p"; did you mean isolator-2p\?') as caught:
            ask("isolater-2p")
        assert (caught.value.name, caught.value.nearest) == ("isolater-2p", "isolator-2p")
    with pytest.raises(UnknownKind, match=r'^there is no kind "§"$'):
        kind("§")


@pytest.mark.parametrize("topic_name", TOPICS)
def test_one_kind_at_a_time_reads_what_a_whole_parse_reads(topic_name: str) -> None:
    """Cutting a file at its headings gives each kind the lines that TOML gives it, and misses none."""
    text = (HERE.parents[1] / "src" / "spareway" / "kinds" / f"{topic_name}.toml").read_text(encoding="utf-8")
    whole = tomllib.loads(text)
    assert [name for name in kind_names() if topic(name) == topic_name] == list(whole)
    for name, said in whole.items():
        assert (kind(name).wiring, kind(name).says) == (tuple(said["wiring"]), said["says"])
        assert (kind(name).face, kind(name).facts) == (said["face"], tuple(said["facts"]))
