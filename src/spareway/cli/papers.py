"""`spareway papers`: the papers of a job as PDF files, for now the survey report."""
from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from spareway.cli.arguments import Verb, job_argument, open_job, overlay_option, stage_option
from spareway.cli.layout import out, paragraph
from spareway.doc import Fault, InputError

__all__ = ["command"]


@click.command("papers", cls=Verb)
@job_argument
@click.option("--out", "folder", type=click.Path(path_type=Path), required=True, metavar="DIR",
              help="The folder to write them to. It is made where it is not there.")
@stage_option
@overlay_option
def command(job: Path, folder: Path, stage: str | None, overlays: Sequence[str]) -> int:
    """The survey report of JOB as a PDF: a draft, with the check and the job's files attached.

    The same job gives the same file. It is made as PDF/A-3a and UA-1, and nobody has validated it."""
    from spareway.api import CAUTION
    from spareway.job.job import read_job
    from spareway.press.typst import NoTypesetter, report
    files, laid = open_job(job, overlays)
    reached = read_job(files, laid).at(stage).stage
    try:
        made = report(files, stage, laid)
    except NoTypesetter as lacking:
        raise click.ClickException(str(lacking)) from None
    path = folder / f"survey-report-{reached}.pdf"
    _write(path, made)
    said = (f"{path}: the survey report, {reached}. Draft, not issued.", *CAUTION)
    out([line for each in said for line in paragraph(each)])
    return 0


def _write(path: Path, made: bytes) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(made)
    except OSError as problem:
        why = (problem.strerror or "").lower()
        raise InputError([Fault("command line", None, "out", str(path.parent), f"cannot be written: {why}",
                                "a folder that may be written to")]) from None
