"""`spareway changes`: what differs between two stages of a job, thing by thing."""
from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option
from spareway.cli.layout import counted, out, out_json, paragraph
from spareway.job.types import STAGES

__all__ = ["command"]

HOW = ("removed", "replaced", "altered", "added")


def _page(said: dict[str, Any]) -> list[str]:
    found = said["changes"]
    if not found:
        return paragraph(f"From {said['from']} to {said['to']}: nothing differs.")
    lines = paragraph(f"From {said['from']} to {said['to']}: "
                      f"{', '.join(f'{n} {how}' for how in HOW if (n := len([c for c in found if c['how'] == how])))}.")
    for how in HOW:
        these = [c for c in found if c["how"] == how]
        lines += ["", f"{how.capitalize()}: {counted(len(these), 'change')}"] if these else []
        for change in these:
            places = " -> ".join(p for p in (change["was"], change["now"]) if p)
            lines += paragraph(f"{change['says']}  [{places}]", 2, 6)
    return lines


@click.command("changes", cls=Verb)
@job_argument
@click.option("--from", "start", type=click.Choice(STAGES), default="found", show_default=True, help="The stage to start from.")
@click.option("--to", "end", type=click.Choice(STAGES), help="The stage to compare with; the furthest if none is named.")
@overlay_option
@json_option
def command(job: Path, start: str, end: str | None, overlays: Sequence[str], as_json: bool) -> int:
    """What the work adds, removes, replaces and alters. What is laid over with --with counts as work."""
    from spareway.api import changes
    files, laid = open_job(job, overlays)
    said = changes(files, start, end, laid)
    if as_json:
        out_json(said)
    else:
        out(_page(said))
    return 0
