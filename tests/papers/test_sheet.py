"""The design sheet: every quantity of every circuit with its page, nothing that may not stand on a paper, a place for a hand."""
from __future__ import annotations

import re
from functools import cache
from typing import Any
from xml.etree import ElementTree

import pytest

from spareway import api
from spareway.design.choose import choose
from spareway.design.design import Design
from spareway.design.sheet import kept_or_new, sheet
from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.papers.sheet import facts_for
from spareway.press.typst import set_in_type
from tests.papers.made import reader, texts, words
from tests.papers.never import found_in, printed
from tests.papers.overlays import overlays
from tests.papers.test_report import SPECIMEN

ALL = [("weir-cottage", "found"), ("weir-cottage", "proposed"), ("granary-yard", "fitted")]


@cache
def filled(name: str, stage: str) -> dict[str, Any]:
    return api.paper("design-sheet", texts(name), stage)


@cache
def made(name: str, stage: str) -> bytes:
    return set_in_type(filled(name, stage), texts(name))


@cache
def design(name: str, stage: str) -> Design:
    return Design(read_job(texts(name)).at(stage))


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_every_quantity_of_every_circuit_stands_in_it(name: str, stage: str) -> None:
    """In the designer's order, each with its result as the fact says it and the last line of its working; an unknown one is called so."""
    told = filled(name, stage)["facts"]["circuits"]
    of = design(name, stage)
    own = {c.circuit.way.replace(".", " "): c for c in of.circuits.values() if not c.is_surge}
    assert sorted(each["way"] for each in told) == sorted(own)
    for each in told:
        rows = [row for group in each["quantities"] for row in group["rows"]]
        lines = sheet(own[each["way"]])
        assert len(rows) == len(lines)
        for row, line in zip(rows, lines, strict=True):
            said = "".join(piece["t"] for piece in row["a"])
            assert row["q"].lower().startswith(line.says.lower())
            assert said == line.fact.line() if line.fact.known else " = not known: " in said, (row, line.fact)
            assert (line.fact.where in row["q"]) or not line.fact.where


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_every_finding_of_a_circuit_is_told(name: str, stage: str) -> None:
    """Each by its sentence and clause; what is within by its code, and as not confirmed where it is."""
    told = {each["way"]: each for each in filled(name, stage)["facts"]["circuits"]}
    for finding in filled(name, stage)["check"]["findings"]:
        circuit = design(name, stage).inst.circuits.get(finding["subject"].removeprefix("circuits.").partition(".")[0])
        if not finding["subject"].startswith("circuits.") or circuit is None or circuit.way.replace(".", " ") not in told:
            continue
        here = told[circuit.way.replace(".", " ")]
        if finding["verdict"] in ("stop", "fails", "unknown", "advice"):
            assert (finding["rule"], finding["says"]) in {(f["code"], f["says"]) for f in here["findings"]}
        elif finding["verdict"] == "within":
            assert finding["rule"] in here["within"]["codes"].split(", ")
            assert (finding["rule"] in here["within"]["loose"].split(", ")) or not finding.get("within")


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_what_it_must_and_must_not_say(name: str, stage: str) -> None:
    facts = filled(name, stage)["facts"]
    text = "\n".join(printed({**facts, "circuits": [{**c, "drawings": [d["alt"] for d in c["drawings"]]} for c in facts["circuits"]]}))
    drawn = "\n".join("".join(ElementTree.fromstring(d["svg"]).itertext()) for c in facts["circuits"] for d in c["drawings"])
    assert found_in(text) == found_in(drawn) == []
    for caution in (*api.CAUTION, api.NEUTRAL):
        assert caution in facts["cautions"]
    assert "not what a program says" in facts["sign"]


@pytest.mark.parametrize(("name", "many"), [("specimen", 8), ("granary-yard", 3)])
def test_nor_in_that_of_any_job_near_it(name: str, many: int) -> None:
    """Changes at random: none makes it say what it may not, and none stops it, whatever lies outside a table."""
    files, told = SPECIMEN if name == "specimen" else texts(name), 0
    with api.no_collector():
        for overlay in overlays(read_job(files).at(None).doc.data, many):
            try:
                judged = api._judged(files, None, [("overlay.toml", overlay)])
            except InputError:
                continue                                                   # no job any more
            facts = facts_for(*judged, api._document(*judged, full=False), {})
            drawings = [d.pop("svg") for c in facts["circuits"] for d in c["drawings"]]
            assert found_in("\n".join(printed(facts))) == [], overlay
            assert all(ElementTree.fromstring(each).tag for each in drawings)
            told += 1
            if told == many:
                break


def test_as_it_is_printed() -> None:
    """Set in type: cautions on the page, the hand's place at the end, both drawings with words for them, about a page a circuit."""
    pdf, text = reader(made("granary-yard", "fitted")), words(made("granary-yard", "fitted"))
    facts = filled("granary-yard", "fitted")["facts"]
    assert len(pdf.pages) <= len(facts["circuits"]) + 4, "a page each, one for all, one or two for tables and hand"
    for owed in ("Prove dead at the point of work, every time.", "draft, not issued", "Made as PDF/A-3a and UA-1, not validated.",
                 "Who answers for the design", "Whoever signs answers for this design.", "a competent, licensed person decide."):
        assert owed in text, owed
    last = " ".join(page.extract_text() for page in pdf.pages[-2:])
    assert all(word in last for word in ("Name", "Signature", "date"))
    assert [len(circuit["drawings"]) for circuit in facts["circuits"]] == [
        1 if any("not known" in piece["t"] for row in circuit["quantities"][-1]["rows"] for piece in row["a"]) else 2
        for circuit in facts["circuits"]], "no voltage is drawn where a load is not known"
    fonts = {font["/BaseFont"].partition("+")[2] for page in pdf.pages
             for font in (each.get_object() for each in page["/Resources"]["/Font"].values())}
    assert fonts == {"LiberationSans", "LiberationSans-Bold"}, "the drawings too"
    assert made("granary-yard", "fitted") == set_in_type(filled("granary-yard", "fitted"), texts("granary-yard")), "the same bytes"


def test_how_far_from_turning_stands_beside_the_circuit() -> None:
    """The scenario's own sentence, 21 m that holds to 52 m by its drop, on the page of the circuit and in the list of all."""
    told = next(c for c in filled("weir-cottage", "proposed")["facts"]["circuits"] if c["way"] == "board 9")
    length = next(t for t in told["turning"] if "circuits.heat-5.cable.length_m" in t["q"])
    assert "now 21 m" in length["q"]
    assert re.search(r"52\.0 m \(\w+\)", length["a"])
    assert "turns at 52.0 m" in told["nearest"]


def test_why_no_smaller_one() -> None:
    """Of a new cable alone: what the search gives, what is open with it, what each smaller pair breaks, in the search's words."""
    told = {c["way"]: c for c in filled("weir-cottage", "proposed")["facts"]["circuits"]}
    choice, said = choose(design("weir-cottage", "proposed").circuits["heat-5"]), told["board 9"]["search"]
    assert choice.trial is not None
    assert said[0] == f"Least on offer that breaks nothing: {choice.trial.says}."
    assert len([line for line in said if line.startswith("Open with it: ")]) == len(choice.trial.open) > 0
    assert len([line for line in said if line.startswith("Refused, ")]) == len(choice.refused) + 1
    assert "Refused, B10: load 12.0 A, limit 10 A." in said, "2,750 W at 230 V"
    assert {bool(c["search"]) for c in told.values() if c["is"] != "new cable"} == {False}


def test_what_a_circuit_was() -> None:
    """Kept, with another device, or new: by the scenario's own list of work."""
    job = read_job(texts("weir-cottage"))
    found, proposed = Design(job.at("found")), Design(job.at("proposed"))
    assert {kept_or_new(c, job.found) for c in found.circuits.values()} == {"as found"}
    said = {name: kept_or_new(c, job.found) for name, c in proposed.circuits.items() if not c.is_surge}
    assert {name for name, words_ in said.items() if words_ == "new cable"} == {"immersion", *(f"heat-{i}" for i in range(1, 6))}
    assert {words_ for name, words_ in said.items() if not name.startswith(("heat", "immersion"))} == {"cable kept, its device or way is another"}


def test_numbers_from_memory_stand_first_among_those_read() -> None:
    """What decides and nobody confirmed is the first that a designer sees of the tables."""
    for name, stage in ALL:
        heads = [each["trust"] for each in filled(name, stage)["facts"]["read"]]
        loose = [head for head in heads if head.startswith("Limit from memory")]
        assert heads[:len(loose)] == loose
        assert (name, stage) != ("weir-cottage", "found") or loose, "30 A of fuse wire at 5 s, a lampholder's 100 W"
    lines = {row["line"]: row for each in filled("weir-cottage", "found")["facts"]["read"] for row in each["rows"]}
    assert any("table 4D5" in line for line in lines)
