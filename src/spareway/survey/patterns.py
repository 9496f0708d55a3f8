"""The starting pattern: the lines that `spareway new` writes. What nobody has read yet stands as unknown, and says why.

Nothing hides behind it: what it writes is all there is, and every line of it can be changed in an editor.
"""
from __future__ import annotations

import json
from dataclasses import dataclass

from spareway.job.rows import Observation, Reading, header
from spareway.show import cleaned

__all__ = ["EARTHING_SEEN", "NOT_READ", "NOT_SEEN", "Answers", "job_texts"]

NOT_SEEN, NOT_READ = "not seen", "not read"
EARTHING_SEEN = ("TN-S", "TN-C-S", "TT", NOT_SEEN)
EARTH_COMES_FROM = {"TN-S": "cutout.earth", "TN-C-S": "cutout.earth", "TT": "rod.clamp", NOT_SEEN: "?"}


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
    fuse = f"{{ marked = {answers.fuse_a:g} }}" if answers.fuse_a is not None else '{ unknown = "not read yet" }'
    earthing = f'"{answers.earthing}"' if answers.earthing != NOT_SEEN else '{ unknown = "not seen yet" }'
    unread, start = '{ unknown = "not read yet" }', EARTH_COMES_FROM[answers.earthing]
    rod = 'rod    = { kind = "electrode" }\n' if answers.earthing == "TT" else ""
    return f"""\
# The installation as found. A bare value was seen; {{ measured = 1.9 }}, {{ marked = 80 }}, {{ told = 12 }} say how else it
# is known; {{ unknown = "why" }} or an absent line is unknown. Change what is different in front of you: `kind` says what
# a thing is (docs/kinds.md lists them), a side is named as seen, and lock-offs are worked out from what joins what.

[supplies.main]
joins    = "cutout.in"
earthing = {earthing}
# ze_ohm = {{ declared = 0.8 }}             the measured one is a row of readings.csv

[equipment]
cutout = {{ kind = "cut-out", fuse_a = {fuse} }}   # read on the fuse itself, not on its carrier
meter  = {{ kind = "meter" }}
board  = {{ kind = "board" }}
met    = {{ kind = "main-earthing-terminal" }}
water  = {{ kind = "service-pipe", says = "incoming water" }}
{rod}
[runs]
tails-1            = {{ joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = {unread} }}
tails-2            = {{ joins = ["meter.out", "board.in"], kind = "tails", size_mm2 = {unread} }}
earthing-conductor = {{ joins = ["{start}", "met.a"], kind = "earthing", size_mm2 = {unread} }}
earth-board        = {{ joins = ["met.b", "board.in.E"], kind = "earthing", size_mm2 = {unread} }}
bond-water         = {{ joins = ["met.c", "water.clamp"], kind = "bond", size_mm2 = {unread} }}

# A circuit looks like this; take the marks out and say what you see.
# [circuits.kitchen-sockets]
# way    = "board.1"
# feeds  = "sockets"
# device = {{ kind = "mcb", curve = "B", rating_a = 32 }}
# cable  = {{ kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, length_m = {{ measured = 9 }}, method = "C" }}
"""
