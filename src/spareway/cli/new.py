"""`spareway new`: five questions, then a job folder that already checks. It alone reads the clock, for the day of survey."""
from __future__ import annotations

import datetime
from pathlib import Path

import click

from spareway.cli.arguments import Verb, json_option
from spareway.cli.layout import out, out_json, paragraph
from spareway.doc import Fault, InputError
from spareway.job.types import NATIONS
from spareway.survey.patterns import EARTHING_SEEN, NOT_READ, Answers, job_texts

__all__ = ["Rating", "command"]

LEAST_A, MOST_A = 1.0, 630.0


class Rating(click.ParamType[float | str]):
    """Amperes read on the fuse, or that nobody read them."""
    name = "rating"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> float | str:
        text = str(value).strip().lower().removesuffix("a").strip()
        if text == NOT_READ:
            return NOT_READ
        plain = text.isascii() and text.replace(".", "", 1).isdigit()
        if not plain or not LEAST_A <= float(text) <= MOST_A:
            self.fail(f'"{value}" is no rating: {LEAST_A:g} to {MOST_A:g}, in amperes, or "{NOT_READ}"', param, ctx)
        return float(text)


def _edition(given: str | None, day: datetime.date) -> tuple[str, str]:
    """(edition, why). Where two may be used the person chooses; the program proposes."""
    from spareway.tables.books import editions_on
    may = editions_on(day)
    if given:
        from spareway.tables.books import Books
        return Books(bs7671=given).bs7671, "as you said"
    if not may:
        raise InputError([Fault("command line", None, "on", day.isoformat(), "no edition known here may be used on that day",
                                "say which governs: --edition")])
    if len(may) == 1:
        return may[0], f"the newest in use on {day.isoformat()}"
    return click.prompt(f"Edition of BS 7671: {len(may)} may be used on {day.isoformat()}, and the contract decides",
                        type=click.Choice(may), default=may[0], err=True), f"of {len(may)} that may be used on {day.isoformat()}"


def _asked(given: str | None, question: str, choices: tuple[str, ...]) -> str:
    return given or str(click.prompt(question, type=click.Choice(choices, case_sensitive=False), err=True))


def _saved(folder: Path, texts: dict[str, str]) -> None:
    from spareway.folder import Folder
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError([_cannot(folder, "something is there already", "name a new folder, or an empty one")])
    if not folder.parent.is_dir():
        raise InputError([_cannot(folder, f"there is no folder {folder.parent} to put it in")])
    try:
        Folder(folder).save(texts)
    except OSError as problem:
        raise InputError([_cannot(folder, f"cannot be written: {(problem.strerror or str(problem)).lower()}")]) from None


def _cannot(folder: Path, says: str, allowed: str = "") -> Fault:
    return Fault(str(folder), None, "", str(folder), says, allowed)


@click.command("new", cls=Verb)
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--called", metavar="NAME", help="What the job is called.")
@click.option("--nation", type=click.Choice(NATIONS, case_sensitive=False), help="Which nation's regulations apply.")
@click.option("--earthing", type=click.Choice(EARTHING_SEEN, case_sensitive=False), help="The earthing that is seen.")
@click.option("--fuse", type=Rating(), metavar="AMPERES", help=f'The rating read on the fuse itself, or "{NOT_READ}".')
@click.option("--on", "day", type=click.DateTime(["%Y-%m-%d"]), metavar="DATE",
              help="Day of the survey, YYYY-MM-DD; today if none is given. The edition is proposed from it.")
@click.option("--edition", metavar="EDITION", help="Edition of BS 7671 that governs, such as 2018+A4.")
@json_option
def command(folder: Path | None, called: str | None, nation: str | None, earthing: str | None, fuse: float | str | None,
            day: datetime.datetime | None, edition: str | None, as_json: bool) -> int:
    """Start a job in FOLDER: asks what was not given, writes plain texts, and checks them."""
    on = day.date() if day else datetime.date.today()  # noqa: DTZ011    the day on this person's wall
    called = called or click.prompt("What is the job called", err=True)
    nation = _asked(nation, "Nation", NATIONS)
    book, why = _edition(edition, on)
    click.echo(f"It will be judged by BS 7671:{book}, {why}.", err=True)
    earthing = _asked(earthing, "Earthing seen", EARTHING_SEEN)
    fuse = fuse if fuse is not None else click.prompt(f"Rating read on the service fuse itself, in A, or {NOT_READ}",
                                                      type=Rating(), default=NOT_READ, err=True)
    folder = folder or Path(click.prompt("Where to put it (a new folder)", err=True))
    texts = job_texts(Answers(called, nation, book, earthing, None if isinstance(fuse, str) else fuse, on.isoformat()))
    from spareway.api import check
    found = check(texts)
    _saved(folder, texts)
    if as_json:
        out_json({"folder": str(folder), "files": sorted(texts), "edition": book, "why": why,
                  "verdict": found["verdict"], "counts": found["counts"]})
        return 0
    out([*paragraph(f"{folder} holds {', '.join(sorted(texts))}. What nobody has read yet is unknown: "
                    f"{found['counts']['unknown']} findings wait for it."), "",
         *paragraph(f"Next: open {folder / 'found.toml'}, change what is different in front of you, then"),
         f"  spareway check {folder}"])
    return 0
