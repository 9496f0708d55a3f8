"""What the record holds as a field is not asked a second time by eye."""
from __future__ import annotations

from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.job.rows import Observation, header
from spareway.rules.eyes import asked
from spareway.survey import looking, service


def test_whether_the_service_loops_on_is_one_fact() -> None:
    """Asked by eye and of the service, it is one line of the record: answered at either it is answered at both, and EY3 is not unknown."""
    files = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": 'supplies.main = { joins = "cutout.in", earthing = "TN-S" }\n'
             'equipment.cutout = { kind = "cut-out" }\n', "observations.csv": f"{','.join(header(Observation))}\n"}
    by_eye, of_service = ({q.id: q for q in each(files)}["supplies.main.looped"] for each in (lambda f: looking.questions(f, "look, cabinet"), service.questions))
    assert (by_eye.open, of_service.open, by_eye.asks) == (True, True, of_service.asks)
    assert "EY3" not in {q.id for q in looking.questions(files, "look, cabinet")}
    assert "EY3" in {each["eye"] for each in asked(Design(read_job(files).at()))["unknown"]}
    files |= looking.answered(files, "supplies.main.looped", "false", "a", "2026-11-09T09:00", "a")
    assert not any({q.id: q for q in each}["supplies.main.looped"].open for each in (looking.questions(files, "look, cabinet"), service.questions(files)))
    said = asked(Design(read_job(files).at()))
    assert "EY3" not in {each["eye"] for each in said["unknown"]}
    assert said["answered"] == []
