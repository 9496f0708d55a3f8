"""`spareway drawing`: the intake as it hangs on the wall, in the state chosen, one circuit, or the demand, as an SVG file."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from spareway.cli.arguments import Verb, job_argument, open_job, overlay_option, stage_option
from spareway.cli.layout import out, paragraph
from spareway.doc import Fault, InputError, nearest
from spareway.tables import NoRow

if TYPE_CHECKING:
    from spareway.drawings.of_foreseen import Foreseen

__all__ = ["command", "written"]

OF_DEMAND = ("figures", "day", "duration")


def written(path: Path, drawn: str) -> None:
    """A drawing into a file. Errors: InputError where that cannot be."""
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
@click.option("--of", "circuit", metavar="CIRCUIT", help="Not the intake but this circuit: circuits.cooker, or cooker.")
@click.option("--show", "what", type=click.Choice(("time", "drop", *OF_DEMAND)), default="time", show_default=True,
              help="Of a circuit: time against current, or the voltage along it. Of the home: its four figures of demand; of a "
                   "log its worst day, or how long it is at least how much.")
@click.option("--log", type=click.Path(path_type=Path), metavar="FILE", help="What a logger wrote at the intake, a row a minute.")
@click.option("--foreseen", type=click.Path(path_type=Path), metavar="FILE",
              help="What `spareway demand JOB --simulate --json` wrote: drawn instead of a log, or beside the other figures.")
@click.option("--wide", is_flag=True, help="But for the intake: as wide as a page, not as a phone.")
@stage_option
@overlay_option
def command(job: Path, path: Path, opened: Sequence[str], lifted: Sequence[str], circuit: str | None, what: str, log: Path | None,
            foreseen: Path | None, wide: bool, stage: str | None, overlays: Sequence[str]) -> int:
    """The intake by the record, drawn as it hangs on the wall, with these controls open and these conductors lifted.

    With --of a circuit: when its device opens and what its conductors bear, or what voltage is lost along it. With --show figures
    the home's demand by each figure; with a log its worst day or its duration."""
    from spareway.api import CAUTION
    files, laid = open_job(job, overlays)
    if what in OF_DEMAND:
        if opened or lifted or circuit:
            raise click.UsageError(f"--show {what} is of the whole home: no --of, --open or --lift with it.")
        called, drawn = _demand(files, laid, stage, what, log, foreseen, wide)
        written(path, drawn)
        out([*paragraph(f"{path}: {called}."), "", *(line for each in CAUTION for line in paragraph(each))])
        return 0
    if log or foreseen:
        raise click.UsageError(f"--log and --foreseen go with --show {', '.join(OF_DEMAND)}.")
    if circuit:
        if opened or lifted:
            raise click.UsageError("--open and --lift are of the intake; with --of nothing is opened.")
        called, drawn = _circuit(files, laid, stage, circuit, what, wide)
        written(path, drawn)
        out([*paragraph(f"{path}: {called}."), "", *(line for each in CAUTION for line in paragraph(each))])
        return 0
    from spareway.api import live
    from spareway.drawings.intake import intake
    from spareway.job.job import read_job
    said = live(files, opened, lifted, stage, laid)
    inst = read_job(files, laid, stage).at(stage)
    written(path, intake(inst, None, [*said["opened"], *said["lifted"]]))
    out([*paragraph(f"{path}: the intake, {inst.stage}."), "", *(line for each in said["caution"] for line in paragraph(each))])
    return 0


def _demand(files: Mapping[str, str], laid: Sequence[tuple[str, str]], stage: str | None, what: str, log: Path | None,
            foreseen: Path | None, wide: bool) -> tuple[str, str]:
    """What is drawn of a home's demand, in words, and the drawing. Errors: InputError, also for a log that gives no minute and a
    simulation of another job."""
    from spareway.design.design import Design
    from spareway.design.logged import read_log
    from spareway.drawings.of_demand import day_drawn, figures_drawn, foreseen_day, foreseen_length, length_drawn
    from spareway.drawings.of_foreseen import read_foreseen
    from spareway.folder import read_file
    from spareway.job.job import read_job
    if what != "figures" and (log is None) == (foreseen is None):
        raise click.UsageError(f"--show {what} wants --log FILE or --foreseen FILE, and one of them.")
    job = read_job(files, laid, stage)
    design = Design(job.at(stage))
    read = read_log(log.name, read_file(log)) if log else None
    lived = read_foreseen(foreseen.name, read_file(foreseen)) if foreseen else None
    if lived is not None:
        _same(foreseen.name if foreseen else "", lived, job.about.says, design.inst.stage)
    if what == "figures":
        drawn = figures_drawn(design, read, lived, wide=wide)
        return f"four figures of demand, {design.inst.stage}", drawn
    called = "the worst day" if what == "day" else "how long it is at least how much"
    if read is not None:
        of_log = day_drawn(design, read, wide) if what == "day" else length_drawn(design, read, wide)
        if of_log is None:
            raise InputError([Fault(read.file, None, "", "", read.highest.note or "no minute is known", "a row a minute")])
        return f"{called} of {read.file}", of_log
    assert lived is not None                                  # one of the two was asked for above
    of_winters = foreseen_day(design, lived, wide) if what == "day" else foreseen_length(design, lived, wide)
    if of_winters is None:
        why = lived.top_a.note or "no minute of a winter stands in it"
        raise InputError([Fault(foreseen.name if foreseen else "", None, "", "", why, "winters lived to their end")])
    return f"{called} of {lived.says}", of_winters


def _same(file: str, lived: Foreseen, job: str, stage: str) -> None:
    """Errors: InputError where the winters are not known to be of this job and this stage."""
    if not job:
        raise InputError([Fault(file, None, "job", lived.job, "this job has no name, and nobody can tell whether the "
                                "simulation is of it", "says in job.toml, and a simulation made after it")])
    for field, of, here in (("job", lived.job, job), ("stage", lived.stage, stage)):
        if of != here:
            raise InputError([Fault(file, None, field, of, f"this is a simulation of another {field}", here)])


def _circuit(files: Mapping[str, str], laid: Sequence[tuple[str, str]], stage: str | None, circuit: str, what: str,
             wide: bool) -> tuple[str, str]:
    """What is drawn of a circuit, in words, and the drawing. Errors: InputError for one that is not there."""
    from spareway.design.along import along
    from spareway.design.design import Design
    from spareway.design.timing import timing
    from spareway.drawings.curves import curves
    from spareway.drawings.drop import drop
    from spareway.job.job import read_job
    design = Design(read_job(files, laid, stage).at(stage))
    name, known = circuit.removeprefix("circuits."), [n for n, c in design.circuits.items() if not c.is_surge]
    if name not in known:
        raise InputError([Fault("command line", None, "of", circuit, f'there is no circuit "{name}"', "", nearest(name, known))])
    of = design.circuits[name]
    if what == "time":
        return f"time and current of {name}, {design.inst.stage}", curves(timing(of), name, wide)
    try:
        return f"voltage along {name}, {design.inst.stage}", drop(along(of), name, wide)
    except NoRow as outside:
        raise InputError([Fault("command line", None, "show", what, str(outside))]) from None
