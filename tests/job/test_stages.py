"""What is laid over a job lies on the stage that is asked for, whoever asks: an overlay on another would be passed over in silence."""
from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from spareway import api, api_circuit, api_demand, api_heat, api_operator, api_readings, api_season, api_service, bundled
from spareway.doc import InputError
from spareway.job.job import read_job

SRC = Path(api.__file__).parent
FILES = {"job.toml": 'schema = 1\nsays = "x"\nbooks.bs7671 = "2018+A4"\n', "found.toml": bundled.text("rules/specimen.toml"),
         "work.toml": 'remove = ["circuits.oven"]\n[circuits.shed]\nway = "unit.9"\nfeeds = "panel-heater"\nload_w = 1000\n'
                      'device = { kind = "mcb", curve = "B", rating_a = 16 }\n'
                      'cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = 9, method = "C" }\n'}
ONLY = {"found": "oven", "proposed": "shed"}              # the circuit that this stage alone has
ASKED: dict[str, Callable[..., Any]] = {
    "check": api.check, "stops_today": api.stops_today, "pocket_page": api.pocket_page,
    "circuit": lambda files, stage, laid: api.circuit(files, "", stage, laid),
    "live": lambda files, stage, laid: api.live(files, (), (), stage, laid),
    "isolate": lambda files, stage, laid: api.isolate(files, "meter", "skilled", stage, laid),
    "changes": lambda files, stage, laid: api.changes(files, "found", stage, laid),
    "new circuit": lambda files, stage, laid: api_circuit.new_circuit(files, "3 kW immersion, 10 m, method C", stage, laid, False),
    "board": lambda files, stage, laid: api_circuit.board(files, "", stage, laid),
    "demand": api_demand.demand, "heat": lambda files, stage, laid: api_heat.heat(files, "", stage, laid),
    "rooms": api_heat.picture, "service": api_service.service, "operator": api_operator.told,
    "readings": lambda files, stage, laid: api_readings.readings(files, "", stage, laid),
    "winters": lambda files, stage, laid: api_season.asked(files, "ordinary", 1, stage, laid),
}


@pytest.mark.parametrize("name", ASKED)
@pytest.mark.parametrize("stage", ONLY)
def test_every_face_lays_an_overlay_on_the_stage_that_is_asked(name: str, stage: str) -> None:
    """One that takes away what this stage alone has is taken; what it has not cannot be taken away, and is told."""
    other = next(s for s in ONLY if s != stage)
    ASKED[name](FILES, stage, [("o.toml", f'remove = ["circuits.{ONLY[stage]}"]')])
    with pytest.raises(InputError, match=f"o.toml:1: remove: nothing here is called circuits.{ONLY[other]}"):
        ASKED[name](FILES, stage, [("o.toml", f'remove = ["circuits.{ONLY[other]}"]')])


def test_whoever_reads_a_job_with_overlays_says_of_which_stage() -> None:
    """The faces that draw and write papers too: an overlay read without its stage would lie on the furthest."""
    calls = [call for path in SRC.rglob("*.py") for call in re.findall(r"read_job\((\w+, \w+.*?)\)", path.read_text()) if ": " not in call]
    assert len(calls) >= 10
    assert [call for call in calls if call.count(",") != 2] == []


def test_the_other_stages_are_as_they_were() -> None:
    """As found stays as found under an overlay on the proposal; a reading of the found stage is weighed against the bare one."""
    bare, laid = read_job(FILES), read_job(FILES, [("o.toml", "supplies.main.ze_ohm = 0.9")], "found")
    assert laid.at("found").supplies["main"].ze_ohm.amount == 0.9 != bare.found.supplies["main"].ze_ohm.amount
    assert laid.at("proposed").doc == bare.at("proposed").doc
    assert laid.found.before is not None
    assert laid.found.before.doc == bare.found.doc
    on_proposal = read_job(FILES, [("o.toml", "supplies.main.ze_ohm = 0.9")])
    assert on_proposal.found.doc == bare.found.doc
    assert on_proposal.at().supplies["main"].ze_ohm.amount == 0.9


def test_a_stage_that_is_not_there_is_told_with_those_that_are() -> None:
    for stage, overlays in (("fitted", []), ("fitted", [("o.toml", "supplies.main.ze_ohm = 0.9")])):
        with pytest.raises(InputError, match=r"this job has no stage fitted; it has found and proposed, and fitted.toml would make it$"):
            read_job(FILES, overlays, stage).at(stage)
    with pytest.raises(InputError, match="there is no stage fond; one of found, proposed; did you mean found"):
        read_job(FILES).at("fond")
