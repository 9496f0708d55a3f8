"""`spareway drawing`: the intake as it hangs on the wall, from the record, in the state chosen, as an SVG file."""
from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from spareway.cli.arguments import Verb, job_argument, open_job, overlay_option, stage_option
from spareway.cli.layout import out, paragraph
from spareway.doc import Fault, InputError

__all__ = ["command"]


def _written(path: Path, drawn: str) -> None:
    try:
        path.write_text(drawn, encoding="utf-8", newline="\n")
    except OSError as problem:
        raise InputError([Fault("command line", None, "out", str(path), f"cannot be written: {(problem.strerror or '').lower()}",
                                "a file in a folder that is there")]) from None


@click.command("drawing", cls=Verb)
@job_argument
@click.option("--out", "path", type=click.Path(path_type=Path), required=True, metavar="FILE", help="The SVG file to write.")
@click.option("--open", "opened", multiple=True, metavar="CONTROL", help="A switch, fuse or carrier to open. May be given again.")
@click.option("--lift", "lifted", multiple=True, metavar="CONDUCTOR", help="A conductor to lift. May be given again.")
@stage_option
@overlay_option
def command(job: Path, path: Path, opened: Sequence[str], lifted: Sequence[str], stage: str | None,
            overlays: Sequence[str]) -> int:
    """The intake by the record, drawn as it hangs on the wall, with these controls open and these conductors lifted."""
    from spareway.api import live
    from spareway.drawings.intake import intake
    from spareway.job.job import read_job
    files, laid = open_job(job, overlays)
    said = live(files, opened, lifted, stage, laid)
    inst = read_job(files, laid).at(stage)
    _written(path, intake(inst, None, [*said["opened"], *said["lifted"]]))
    out([*paragraph(f"{path}: the intake, {inst.stage}."), "", *(line for each in said["caution"] for line in paragraph(each))])
    return 0
