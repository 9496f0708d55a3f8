"""What the verbs have in common: the job, what is laid over it, the stage, --json, and how faults are told."""
from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, TypeVar

import click

from spareway.cli.layout import out_json
from spareway.cli.verbs import BAD_INPUT
from spareway.doc import Fault, InputError
from spareway.job.types import STAGES
from spareway.show import cleaned

__all__ = ["Given", "Verb", "job_argument", "json_option", "open_job", "overlay_option", "stage_option"]

Given = tuple[dict[str, str], list[tuple[str, str]]]
F = TypeVar("F", bound=Callable[..., Any])

job_argument = click.argument("job", type=click.Path(path_type=Path))
overlay_option = click.option("--with", "overlays", multiple=True, type=click.Path(), metavar="OVERLAY",
                              help="A few lines of the job's own TOML to lay over it first. May be given again.")
stage_option = click.option("--stage", type=click.Choice(STAGES), help="Not the furthest stage the job holds but this one.")
json_option = click.option("--json", "as_json", is_flag=True, help="One JSON document; `spareway schema VERB` describes it.")


class Verb(click.Command):
    """A verb gives its exit code. Faults of what it was given are one line each on stderr, and a document with --json."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except InputError as problem:
            if ctx.params.get("as_json"):
                out_json({"faults": [asdict(fault) for fault in problem.faults]})
            for fault in problem.faults:
                click.echo(cleaned(" ".join(str(fault).split())), err=True)
            return BAD_INPUT


def open_job(job: Path, overlays: Sequence[str] = ()) -> Given:
    """The texts of a job and of what is laid over it. Errors: InputError with every fault.

    An overlay is a file by its path, or else by its name in the job."""
    if job.is_dir():
        return _from_folder(job, overlays)
    if not job.exists():
        from spareway.doc import nearest
        there = [each.name for each in job.parent.iterdir()] if job.parent.is_dir() else []
        raise InputError([Fault(str(job), None, "", str(job), "there is no such job", "a job folder, or one in a zip",
                                nearest(job.name, there))])
    if job.suffix in (".toml", ".csv"):
        raise InputError([Fault(str(job), None, "", str(job), "is one file, and a job is a folder of them",
                                f"name the folder: {job.parent}")])
    return _from_zip(job, overlays)


def _from_folder(job: Path, overlays: Sequence[str]) -> Given:
    from spareway.folder import read_file, read_folder
    paths = [Path(each) if Path(each).exists() or not (job / each).exists() else job / each for each in overlays]
    files = read_folder(job, [p.name for p in paths if p.exists() and p.resolve().parent == job.resolve()])
    return files, [(_name(p), read_file(p)) for p in paths]


def _from_zip(job: Path, overlays: Sequence[str]) -> Given:
    from spareway.folder import read_file, unpacked
    within = [each for each in overlays if not Path(each).exists()]
    try:
        data = job.read_bytes()
    except OSError as problem:
        raise InputError([Fault(job.name, None, "", str(job), f"cannot be read: {(problem.strerror or '').lower()}")]) from None
    found = unpacked(data, within).texts
    missing = [Fault(each, None, "", each, "there is no such file, here or in the zip") for each in within if each not in found]
    if missing:
        raise InputError(missing)
    return found, [(_name(Path(each)), found[each] if each in within else read_file(each)) for each in overlays]


def _name(path: Path) -> str:
    """How findings name it: never as one of the job's own files."""
    from spareway.folder.names import FIXED
    return path.name if path.name not in FIXED else f"{path.parent.name or '.'}/{path.name}"
