"""`spareway readings`: the faults that explain all readings of a ring, ranked, and the one reading to take next."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option, stage_option
from spareway.cli.layout import out, out_json, paragraph

__all__ = ["command"]

Said = Mapping[str, Any]
SURE = 0.9                                      # below this the likeliest fault is not named alone
SHOWN = 5                                       # of several that these readings do not tell apart
WEIGHTS = ("The shares rest on how often each fault is met: common practice, no source. They say what to look at first, and "
           "prove nothing: open the place and look, dead and locked off.")


def _ring(circuit: Said) -> list[str]:
    lines = paragraph(f"{circuit['name']}:")
    if circuit["why_not"]:
        return [*lines, *paragraph(f"cannot be weighed: {circuit['why_not']}", 2, 4)]
    lines += paragraph(f"{len(circuit['taken'])} readings weighed together.", 2, 4)
    first, alike = circuit["faults"][0], circuit["alike"]
    if first["share"] < SURE:
        lines += paragraph(f"These readings do not tell {alike} faults apart. What they leave, the likeliest first:", 2, 4)
    for fault in circuit["faults"][:SHOWN]:
        lines += paragraph(f"{_in_a_hundred(fault['share'])}: {fault['says']}", 4, 8)
    for row in circuit["left_out"]:
        lines += paragraph(f"not weighed: {row['where']}, {row['quantity']}: {row['why']}", 2, 4)
    if first["share"] < SURE:
        lines += paragraph(f"Read next, locked off and proved dead: {circuit['next'][0]['says']}", 2, 4)
    return lines


def _in_a_hundred(share: float) -> str:
    """A share in whole hundreds; never all of them, for what is not thought of is not among them."""
    return f"{min(round(100 * share), 99)} in 100"


@click.command("readings", cls=Verb)
@job_argument
@click.argument("circuit", default="")
@stage_option
@overlay_option
@json_option
def command(job: Path, circuit: str, stage: str | None, overlays: Sequence[str], as_json: bool) -> int:
    """Which fault explains the readings of each ring of JOB, or of CIRCUIT, and what to read next.

    Ends with 0: this ranks and judges nothing. `spareway check` holds readings to their limits."""
    from spareway.api import readings
    files, laid = open_job(job, overlays)
    said = readings(files, circuit, stage, laid)
    if as_json:
        out_json(said)
    else:
        lines = [line for each in said["circuits"] for line in ("", *_ring(each))]
        caution = [line for text in said["caution"] for line in paragraph(text)]
        out([*paragraph(f"{said['job'] or 'A job without a name'}, {said['stage']}"), *(lines or ["", "No ring is recorded."]),
             "", *paragraph(WEIGHTS), "", *caution])
    return 0
