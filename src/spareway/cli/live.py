"""`spareway live`: what every terminal is at, with some controls open and some conductors lifted."""
from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option, stage_option
from spareway.cli.layout import GLUE, columns, counted, out, out_json, paragraph

__all__ = ["WORST", "by_potential", "caution", "command", "terminals"]

WORST = ("line", "line through a load", "not known", "neutral", "earth", "no path in the record")


def terminals(names: Sequence[str]) -> str:
    """`board.in.L board.in.N board.out.L` as `board.in L N, board.out L`: fewer words, nothing left out."""
    sides: dict[str, list[str]] = {}
    for name in names:
        side, _, conductor = name.rpartition(".")
        sides.setdefault(side, []).append(conductor)
    return ", ".join(f"{side}{GLUE}{GLUE.join(conductors)}" for side, conductors in sides.items())


def by_potential(still: dict[str, str], only: Sequence[str] = WORST) -> list[tuple[str, str]]:
    """(potential, its terminals) in order of danger."""
    found = [(word, terminals([t for t, p in still.items() if p == word])) for word in only]
    return [(word, names) for word, names in found if names]


def _shortened(still: dict[str, str]) -> dict[str, str]:
    """A thing by its name alone where all its terminals of one conductor are at one potential: `house L`."""
    things: dict[tuple[str, str], list[str]] = {}
    for terminal in still:
        things.setdefault((terminal.partition(".")[0], terminal.rpartition(".")[2]), []).append(terminal)
    short: dict[str, str] = {}
    for (thing, conductor), names in things.items():
        one = len(names) > 1 and len({still[name] for name in names}) == 1
        short |= {f"{thing}.{conductor}": still[names[0]]} if one else {name: still[name] for name in names}
    return short


def caution(document: dict[str, Any]) -> list[str]:
    """The cautions, last and never left out."""
    return ["", *(line for said in document["caution"] for line in paragraph(said))]


def _page(said: dict[str, Any]) -> list[str]:
    done = [f"{', '.join(said['opened'])} open" if said["opened"] else "nothing opened"]
    done += [f"{', '.join(said['lifted'])} lifted"] if said["lifted"] else []
    n = len([p for p in said["terminals"].values() if p in WORST[:3]])
    head = f"With {' and '.join(done)}: {counted(n, 'terminal')} at line, at line through a load, or not known."
    lines = [*paragraph(head),
             *paragraph("Whatever nobody opened counts as closed. A name alone stands for all its terminals of that conductor.")]
    if said["never counts as off"]:
        lines += paragraph(f"{', '.join(said['never counts as off'])} can close without you, so it never counts as off.")
    return [*lines, "", *columns(by_potential(_shortened(said["terminals"]))), *caution(said)]


@click.command("live", cls=Verb)
@job_argument
@click.option("--open", "opened", multiple=True, metavar="CONTROL", help="A switch, fuse or carrier to open. May be given again.")
@click.option("--lift", "lifted", multiple=True, metavar="CONDUCTOR", help="A conductor to lift. May be given again.")
@stage_option
@overlay_option
@json_option
def command(job: Path, opened: Sequence[str], lifted: Sequence[str], stage: str | None, overlays: Sequence[str],
            as_json: bool) -> int:
    """The potential of every terminal by the record, with these controls open and these conductors lifted."""
    from spareway.api import live
    files, laid = open_job(job, overlays)
    said = live(files, opened, lifted, stage, laid)
    if as_json:
        out_json(said)
    else:
        out(_page(said))
    return 0
