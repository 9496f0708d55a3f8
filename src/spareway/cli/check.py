"""`spareway check`: every rule asked of every subject of a job."""
from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option, stage_option
from spareway.cli.layout import out, out_json

__all__ = ["command"]


@click.command("check", cls=Verb)
@job_argument
@stage_option
@click.option("--full", is_flag=True, help="Every finding, each with its working and the sources it stands on.")
@overlay_option
@json_option
@click.option("--sarif", "as_sarif", is_flag=True, help="One document in SARIF 2.1.0, for editors that mark file and line.")
def command(job: Path, stage: str | None, full: bool, overlays: Sequence[str], as_json: bool, as_sarif: bool) -> int:
    """Judge JOB, worst first: what to make safe, what fails and by how much, what is unknown and what would settle it.

    Ends with 0 when nothing is worse than advice, 1 at a stop or a fail, 3 when only unknowns are left."""
    from spareway.api import check, exit_code, fails_today, stops_today
    if as_json and as_sarif:
        raise click.UsageError("--json and --sarif are two documents: ask for one")
    files, laid = open_job(job, overlays)
    said = check(files, stage, laid, full)
    if as_sarif:
        from spareway.sarif import sarif
        out_json(sarif(said))
    elif as_json:
        out_json(said)
    else:
        from spareway.cli.findings import page
        out(page(said, full, stops_today(files, stage, laid), fails_today(files, said, laid)))
    return exit_code(said)
