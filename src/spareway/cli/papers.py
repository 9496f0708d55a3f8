"""`spareway papers`: the papers of a job as PDF files."""
from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from spareway.cli.arguments import Verb, job_argument, open_job, overlay_option, stage_option
from spareway.cli.layout import out, paragraph
from spareway.doc import Fault, InputError

__all__ = ["command"]

POCKET = "pocket-page"


@click.command("papers", cls=Verb)
@job_argument
@click.option("--out", "folder", type=click.Path(path_type=Path), required=True, metavar="DIR",
              help="The folder to write them to. It is made where it is not there.")
@click.option("--only", metavar="PAPER", help="This paper alone, by the name of its file.")
@click.option("--operators", type=click.Path(path_type=Path), metavar="FILE",
              help="What network operators want, each with its day, as the firm keeps it; the job's own copies come first.")
@stage_option
@overlay_option
def command(job: Path, folder: Path, only: str | None, operators: Path | None, stage: str | None, overlays: Sequence[str]) -> int:
    """The papers of JOB as PDFs, drafts, with the check and the job's files attached, and its pocket page.

    The same job gives the same files. They are made as PDF/A-3a and UA-1, and nobody has validated them."""
    from spareway.api import CAUTION, pocket_page
    from spareway.folder import read_file
    from spareway.job.job import read_job
    from spareway.papers import PAPERS
    from spareway.press.typst import NoTypesetter, typeset
    files, laid = open_job(job, overlays)
    firms = (operators.name, read_file(operators)) if operators else None
    reached = read_job(files, laid, stage).at(stage).stage
    said = []
    for name in [] if only == POCKET else [only] if only else PAPERS:
        try:
            made = typeset(name, files, stage, laid, firms)
        except NoTypesetter as lacking:
            raise click.ClickException(str(lacking)) from None
        path = folder / f"{name}-{reached}.pdf"
        _write(path, made)
        said.append(f"{path}: {name.replace('-', ' ')}, {reached}. Draft, not issued.")
    if not only or only == POCKET:
        page = folder / f"{POCKET}-{reached}.html"
        _write(page, pocket_page(files, stage, laid, firms).encode())
        said.append(f"{page}: one file for a phone, no signal needed.")
    out([line for each in (*said, *CAUTION) for line in paragraph(each)])
    return 0


def _write(path: Path, made: bytes) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(made)
    except OSError as problem:
        why = (problem.strerror or "").lower()
        raise InputError([Fault("command line", None, "out", str(path.parent), f"cannot be written: {why}",
                                "a folder that may be written to")]) from None
