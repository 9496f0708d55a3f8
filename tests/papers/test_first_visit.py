"""Every paper of a job that has barely begun: nothing recorded, or the cut-out alone. No paper stops, none calls anything sound."""
from __future__ import annotations

from xml.etree import ElementTree

import pytest

from spareway import api
from spareway.papers import PAPERS
from spareway.press.typst import set_in_type
from tests.papers.made import reader
from tests.papers.never import found_in, printed

JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\ndates.survey = "2026-09-01"\n'
BEGUN = {"nothing": "", "the cut-out": '[equipment]\ncutout = { kind = "cut-out" }\n',
         "a supply and a room": '[supplies.main]\njoins = "cutout.in"\n[equipment]\ncutout = { kind = "cut-out" }\n[rooms.den]\ndesign_c = 20\n'}


@pytest.mark.parametrize("begun", BEGUN)
@pytest.mark.parametrize("paper", PAPERS)
def test_a_job_that_has_barely_begun_has_its_papers(paper: str, begun: str) -> None:
    files = {"job.toml": JOB, "found.toml": BEGUN[begun]}
    made = api.paper(paper, files)
    assert ElementTree.fromstring(made["drawing"]).tag.endswith("svg")
    assert found_in("\n".join(printed({key: said for key, said in made["facts"].items() if key != "circuits"}))) == []
    if begun == "the cut-out" and paper not in ("survey-report", "design-sheet"):
        assert len(reader(set_in_type(made, files)).pages) >= 1
