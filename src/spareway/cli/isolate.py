"""`spareway isolate`: the fewest controls a person may lock off so that a part is dead by the record, or none."""
from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option, stage_option
from spareway.cli.layout import columns, counted, out, out_json, paragraph
from spareway.cli.live import by_potential, caution, terminals
from spareway.job.types import ROLES

__all__ = ["command"]

WHO = {"ordinary": "an ordinary person", "skilled": "a skilled person", "operator": "the operator"}


def _page(said: dict[str, Any]) -> list[str]:
    who, part = WHO.get(said["as"], said["as"]), said["part"]
    where = f"That is {terminals(said['terminals'])}."
    locks, still = said["lock_off"], dict(said["still"])
    if locks is None:
        lines = [*paragraph(f"None. Nothing that {who} may open makes {part} dead by the record."), *paragraph(where)]
        lines += ["", "With everything open that they may open, it is still at:", *columns(by_potential(still))]
        lines += ["", *paragraph("Do not work on it. Ask whoever may take the supply off; do not withdraw the service fuse "
                                 "without the network operator's leave.")]
    elif not locks:
        lines = [*paragraph(f"No path in the record leads to {part} with everything closed: nothing to lock off."),
                 *paragraph(where)]
    else:
        lines = [*paragraph(f"Lock off {' and '.join(locks)}: {counted(len(locks), 'control')}, the fewest that {who} may open "
                            f"for {part} to have no path in the record."), *paragraph(where)]
        if said["by_permission"]:
            lines += paragraph(f"{' and '.join(said['by_permission'])}: only by the permission that the job records, while it "
                               "holds.")
        if still:
            lines += ["", "Still live beside it:", *columns(by_potential(still))]
    if said["undone_by"]:
        lines += ["", *paragraph(f"Opening or lifting any one of these as well would undo it: {', '.join(said['undone_by'])}.")]
    return [*lines, *caution(said)]


@click.command("isolate", cls=Verb)
@job_argument
@click.argument("part")
@click.option("--as", "by", type=click.Choice(ROLES), default="skilled", show_default=True, help="Who will open it.")
@stage_option
@overlay_option
@json_option
def command(job: Path, part: str, by: str, stage: str | None, overlays: Sequence[str], as_json: bool) -> int:
    """The fewest controls to lock off so that PART is dead by the record: a part, thing, way, circuit or terminal."""
    from spareway.api import isolate
    files, laid = open_job(job, overlays)
    said = isolate(files, part, by, stage, laid)
    if as_json:
        out_json(said)
    else:
        out(_page(said))
    return 0
