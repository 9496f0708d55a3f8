"""A power written in kW where W is read: unknown with the question, on whatever rests on it; what is plausible stays as it is."""
from __future__ import annotations

import pytest

from spareway.api_demand import demand
from spareway.bundled import text
from spareway.job.job import read_job
from spareway.rules import all_rules
from spareway.rules.base import judge
from spareway.tables.table import table
from tests.design.test_landed import design

MCB = 'device = { kind = "mcb", curve = "B", rating_a = 40 }'


def wet(load: str) -> str:
    return f'circuits.wet = {{ way = "unit.6", feeds = "shower", load_w = {load}, {MCB} }}\n'


def test_a_showers_kilowatts_written_as_watts_are_not_known() -> None:
    said = design(wet("{ marked = 8.5 }")).circuits["wet"].load_w
    assert (said.known, said.note, said.at) == (False, "8.5 W is far below what the least shower draws (1000 W, from memory); was 8.5 kW meant?", "circuits.wet.load_w")
    assert said.where.startswith("overlay.toml:")
    assert str(design(wet("{ marked = 8500 }")).circuits["wet"].load_w) == "8500 W"


@pytest.mark.parametrize(("kind", "least"), [(row.keys[0], row.value) for row in table("least_draw").rows])
def test_each_kind_on_either_side_of_its_row(kind: str, least: float) -> None:
    """By a circuit, by a point that says its own, by a point that takes the circuit's, and as a thing where it is stamped."""
    for watts, known in ((least, True), (least - 0.5, False), (least / 1000, False)):
        whole = design(f'circuits.x = {{ way = "unit.6", feeds = "{kind}", load_w = {watts} }}\n').circuits["x"]
        assert whole.circuit.load_w.known == known, watts
        of = design('circuits.x.way = "unit.6"\n'
                    f'circuits.x.points.p1 = {{ from = "way", feeds = "{kind}", load_w = {watts} }}\n').circuits["x"].circuit.points
        assert of["p1"].load_w.known == known, watts
        of = design(f'circuits.x.way = "unit.6"\ncircuits.x.feeds = "{kind}"\n'
                    f'circuits.x.points.p1 = {{ from = "way", load_w = {watts} }}\n').circuits["x"].circuit.points
        assert of["p1"].load_w.known == known, watts
        if watts >= 1 and kind != "charge-point-two-way":
            thing = design(f'equipment.it = {{ kind = "{kind}", stamped_w = {watts}, stamped_v = 230 }}\n').inst.equipment["it"]
            assert thing.stamped_w.known == known, watts


@pytest.mark.parametrize("line", ['circuits.x = { way = "unit.6", feeds = "lamp", load_w = 9 }', 'circuits.x = { way = "unit.6", feeds = "appliance", load_w = 3 }',
                                  'circuits.x = { way = "unit.6", load_w = 3 }'])
def test_a_small_load_that_may_be_one_is_taken_as_it_is(line: str) -> None:
    assert design(line + "\n").circuits["x"].circuit.load_w.known


def test_nought_is_no_power_of_a_shower_and_asks_for_no_kilowatts() -> None:
    assert design(wet("0")).circuits["wet"].load_w.note == "0 W is far below what the least shower draws (1000 W, from memory)"


def test_what_rests_on_it_is_unknown_and_says_why() -> None:
    """CI2, its load against its device; and no ampere of it in the demand of the home."""
    found = judge(design(wet("8.5")), [r for r in all_rules() if r.code == "CI2"])
    said = next(f for f in found if f.subject == "circuits.wet")
    assert said.verdict == "unknown"
    assert "was 8.5 kW meant?" in said.says
    files = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml")}
    figure = demand(files, overlays=[("slip.toml", wet("8.5"))])["connected"]["total_a"]
    assert figure["amount"] is None
    assert "was 8.5 kW meant?" in str(figure["missing"])


def test_a_job_as_it_was_written_is_kept() -> None:
    """Only what is read of it is unknown: the document holds the figure."""
    files = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml").replace("load_w = 6000", "load_w = 6")}
    inst = read_job(files).found
    assert inst.doc.data["circuits"]["oven"]["load_w"] == 6
    assert not inst.circuits["oven"].load_w.known
