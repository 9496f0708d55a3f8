"""The texts that a new job begins with, at a laptop or on a phone: the commonest intake, nothing read yet.

Nothing hides behind it: what it writes is all there is, and every line of it can be changed in an editor.
"""
from __future__ import annotations

import json
from dataclasses import dataclass

from spareway.job.rows import Observation, Reading, header
from spareway.show import cleaned
from spareway.survey.edit import set_value
from spareway.survey.intakes import written

__all__ = ["EARTHING_SEEN", "NOT_READ", "NOT_SEEN", "Answers", "job_texts"]

NOT_SEEN, NOT_READ = "not seen", "not read"
EARTHING_SEEN = ("TN-S", "TN-C-S", "TT", NOT_SEEN)
START = "one-board"
CIRCUIT = """
# Change what is different in front of you: `kind` says what a thing is (docs/kinds.md lists them), and lock-offs are worked out
# from what joins what. The rating is read on the fuse itself, not on its carrier; a measured Ze is a row of readings.csv.
# A circuit looks like this; take the marks out and say what you see.
# [circuits.kitchen-sockets]
# way    = "board.1"
# feeds  = "sockets"
# device = { kind = "mcb", curve = "B", rating_a = 32 }
# cable  = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = { measured = 9 }, method = "C" }
"""


@dataclass(frozen=True, slots=True)
class Answers:
    """What was answered: job, nation, edition of BS 7671, earthing seen, rating on the fuse or None, day of survey."""
    says: str
    nation: str
    edition: str
    earthing: str
    fuse_a: float | None
    on: str


def job_texts(answers: Answers) -> dict[str, str]:
    """Relative name -> text of a job that checks."""
    return {"job.toml": _job(answers), "found.toml": _found(answers),
            "readings.csv": f"{','.join(header(Reading))}\n", "observations.csv": f"{','.join(header(Observation))}\n"}


def _quoted(text: str) -> str:
    return json.dumps(cleaned(text), ensure_ascii=False)


def _job(answers: Answers) -> str:
    return f"""\
# What this job is. `spareway schema job.toml` says what else may stand here.
schema = 1
says   = {_quoted(answers.says)}
nation = {_quoted(answers.nation)}
books  = {{ bs7671 = {_quoted(answers.edition)} }}             # the edition it is judged by: yours to decide
dates  = {{ survey = {_quoted(answers.on)} }}
"""


def _found(answers: Answers) -> str:
    seen = answers.earthing if answers.earthing != NOT_SEEN else ""
    text = written(START, seen, start=True)
    if answers.fuse_a is not None:
        text = set_value(text, "equipment.cutout.fuse_a", {"marked": answers.fuse_a}, "found.toml")
    return text + CIRCUIT
