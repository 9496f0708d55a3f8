"""`spareway demand --simulate`: many winters of a home lived minute by minute, with progress; Ctrl-C leaves what was done."""
from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from spareway.cli.arguments import open_job
from spareway.cli.layout import counted, out, out_json, paragraph
from spareway.show import show

if TYPE_CHECKING:
    from spareway.season.home import Season
    from spareway.season.sums import Winters

__all__ = ["USUAL_N", "Wanted", "options", "page", "simulate", "wanted"]

Said = Mapping[str, Any]
Parts = Callable[["Season", int, int, int], Iterator["Winters"]]
USUAL_N, SLOW_N, DAY_MIN = 1_024, 2, 1_440
BODY, UNDER = 2, 4
FEW, OPEN = "these winters are too few for an interval", "or more: these winters are too few to say how much"
WANTS = ("winters are lived compiled, and that wants numba: pip install 'spareway[season]'; or ask for a few in plain Python "
         "with --slow, which take half a minute each")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was asked for on the command line. scenario: a name, or a file; winters_n: None for as many as usual."""
    scenario: str
    winters_n: int | None
    seed: int
    workers_n: int
    slow: bool


def options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of a simulation, in the order they are told."""
    for add in reversed((
        click.option("--simulate", is_flag=True, help="Live many winters of it minute by minute: what the service fuse carried."),
        click.option("--scenario", default="ordinary", metavar="NAME|FILE", help="With --simulate: ordinary, after-outage, "
                     "one-timer, night-start, cold-snap, charging, solar, or a season's file of your own."),
        click.option("--winters", "winters_n", type=click.IntRange(1, 10_000_000),
                     help=f"With --simulate: how many ({USUAL_N})."),
        click.option("--seed", default=1, type=click.IntRange(0, 2**62),
                     help="With --simulate: the same seed gives the same winters."),
        click.option("--workers", "workers_n", default=1, type=click.IntRange(1, 256), help="With --simulate: cores to work on; "
                     "the answer is the same."),
        click.option("--slow", is_flag=True, help="With --simulate: in plain Python, where numba is not installed."),
    )):
        command = add(command)
    return command


def wanted(with_log: bool, simulate: bool, **asked: Any) -> Wanted | None:
    """What is asked of a simulation; None where none is. Errors: click.UsageError for its options alone, or a log with it."""
    usual = {"scenario": "ordinary", "winters_n": None, "seed": 1, "workers_n": 1, "slow": False}
    if simulate and with_log:
        raise click.UsageError("--log is what was recorded and --simulate what is foreseen: ask for one of them")
    if not simulate and asked != usual:
        raise click.UsageError("--scenario, --winters, --seed, --workers and --slow go with --simulate")
    return Wanted(**asked) if simulate else None


def simulate(job: Path, wanted: Wanted, stage: str | None, overlays: Sequence[str], as_json: bool) -> int:
    """Lives the winters and tells them. Ends with 0: these are figures; a person decides on them."""
    from spareway.api_season import asked, told
    files, laid = open_job(job, overlays)
    of = asked(files, _scenario(wanted.scenario, job), wanted.seed, stage, laid)
    asked_n = wanted.winters_n or (SLOW_N if wanted.slow else USUAL_N)
    lived, worst_w = (None, ()) if of.season is None else _lived(of.season, wanted, asked_n)
    said = told(of, lived, asked_n, worst_w)
    if as_json:
        out_json(said)
    else:
        out([*page(said), "", *(line for text in said["caution"] for line in paragraph(text))])
    return 0


def _scenario(asked: str, job: Path) -> str | tuple[str, str]:
    """The name of one of the package, or the name and text of a file: here, or in the job's folder."""
    from spareway.folder import read_file
    paths = [path for path in (Path(asked), job / asked) if path.suffix == ".toml" and (path.exists() or path == Path(asked))]
    found = next((path for path in paths if path.exists()), paths[0] if paths else None)
    return asked if found is None else (found.name, read_file(found))


# ---- living them -----------------------------------------------------------------------------------------------------
def _lived(season: Season, wanted: Wanted, asked_n: int) -> tuple[Winters | None, Sequence[int]]:
    """The winters that were lived until the end or until a person stopped it, and the minutes of the worst day of them all."""
    from spareway.season.sums import highest_first, joined
    parts, redrawn = (_slowly, _redrawn_slowly) if wanted.slow else _compiled()
    done: list[Winters] = []
    with click.progressbar(length=asked_n, label="winters", file=sys.stderr, hidden=not sys.stderr.isatty()) as bar:
        try:
            for part in parts(season, 0, asked_n, wanted.workers_n):
                done.append(part)
                bar.update(len(part))
        except KeyboardInterrupt:
            click.echo("\nstopped: what was done is told", err=True)
    if not done:
        return None, ()
    winters = joined(done)
    (worst,) = highest_first(winters, 1)
    return winters, redrawn(season, worst.number, worst.top_day)


def _compiled() -> tuple[Parts, Callable[[Season, int, int], Sequence[int]]]:
    """The compiled path. Errors: click.UsageError where numba is not installed, saying what to install."""
    try:
        from spareway.fast import season as fast
    except ModuleNotFoundError as missing:
        if missing.name not in ("numba", "numpy"):
            raise
        raise click.UsageError(WANTS) from None

    def redrawn(season: Season, number: int, day: int) -> Sequence[int]:
        until = day - season.settle_days + 1
        return [int(watts) for watts in fast.minutes(season, number, 1, until)[-DAY_MIN:, 0]]
    return fast.parts, redrawn


def _slowly(season: Season, first: int, count: int, workers_n: int) -> Iterator[Winters]:  # noqa: ARG001    as the compiled one
    from spareway.api_season import plainly
    for number in range(first, first + count):
        yield plainly(season, number, 1)


def _redrawn_slowly(season: Season, number: int, day: int) -> Sequence[int]:
    from spareway.season.minute import live
    return live(season, number, days=day - season.settle_days + 1).minutes_w[-DAY_MIN:]


# ---- telling them ----------------------------------------------------------------------------------------------------
def page(said: Said) -> list[str]:
    """What the winters say, each figure with its interval; the fuse; what all of it rests on. Where none was lived, why not."""
    head = [*paragraph(said["job"] or "A job without a name"),
            *paragraph(f"{said['stage'].capitalize()}, foreseen: {said['scenario']['says']}.")]
    if said["highest_a"]["amount"] is None:
        return [*head, "", "Nothing is foreseen, and no figure stands for it:",
                *(line for why in _figure(said["highest_a"]).removeprefix("unknown: ").split("; ")
                  for line in paragraph(why, BODY, UNDER)), "", *_fuse(said["fuse"])]
    lines = [*head, *paragraph(_rests_upon(said)), ""]
    lines += paragraph(f"Highest minute of all: {_figure(said['highest_a'], False)}")
    lines += paragraph(f"in the middle winter: {_figure(said['middle_a'])}", BODY, UNDER)
    most = f"{said['one_in'] - 1} winters of {said['one_in']}"
    lines += paragraph(f"not beyond it in {most}: {_figure(said['one_in_a'])}", BODY, UNDER)
    lines += ["", *_over(said["over"], most), "", *_fuse(said["fuse"])]
    lines += ["", *paragraph(f"Energy of the season on the whole: {_figure(said['energy']['taken_kwh'])}; rooms "
                             f"{_figure(said['energy']['heat_kwh'])}; stored water {_figure(said['energy']['water_kwh'])}")]
    if said["energy"]["heat_kwh"]["amount"]:
        lines += paragraph("The heating of a year that spareway heat tells is worked by degree-days, which allow for sun, people "
                           "and appliances; here none of these warms a room, so that heaters run longer.", BODY, UNDER)
    if said["worst_day"]:
        worst = said["worst_day"]
        top = max(range(len(worst["minutes_a"])), key=lambda minute: abs(worst["minutes_a"][minute]))
        at = f"{top // 60:02d}:{top % 60:02d}"
        lines += paragraph(f"The highest minute lay in winter {worst['winter']}, day {worst['day']}, {at}.")
    lines += ["", "Counted so:", *(line for text in said["counted"] for line in paragraph(text, BODY, UNDER))]
    lines += ["", "Rests on:"]
    for each in said["rests_on"]:
        note = f": {each['note']}" if each["note"] else ""
        lines += paragraph(f"{each['says']} {each['is']}, {each['how']}{note}", BODY, UNDER)
    return lines


def _rests_upon(said: Said) -> str:
    """How many winters it rests on, and whether that is fewer than were asked for."""
    fewer = f", of {said['asked_n']} asked for" if 0 < said["winters_n"] < said["asked_n"] else ""
    said_n = f"{counted(said['winters_n'], 'winter')} of {counted(said['days_n'], 'day')} from seed {said['seed']}{fewer}."
    return said_n[0].upper() + said_n[1:]


def _figure(fact: Said, interval: bool = True) -> str:
    """The figure with its interval, or why there is none."""
    if fact["amount"] is None:
        gaps = "; ".join(f"{gap['says']}, {gap['at']}: {gap['why']}" if gap["at"] else str(gap["why"]) for gap in fact["missing"])
        return f"unknown: {gaps or fact['note']}"
    if fact["how"] != "simulated" or not interval:
        return str(fact["is"])
    least, most = (None if end is None else show(end) for end in (fact["least"], fact["most"]))
    if least is None:
        return f"{fact['is']} ({FEW})"
    return f"{fact['is']} ({least} {OPEN if most is None else f'to {most}'})"


def _over(said: Said, most: str) -> list[str]:
    if said["minutes_n"]["amount"] is None:
        return paragraph(f"Above the rating of the service fuse: {_figure(said['minutes_n'])}")
    above = f"Above the {show(said['rating_a'])} A of the service fuse, minutes a winter"
    return [*paragraph(f"{above}: {_figure(said['minutes_n'])}"),
            *paragraph(f"winters with any such minute: {_percent(said['share'])}", BODY, UNDER),
            *paragraph(f"longest run of all: {_figure(said['longest_n'], False)}; none longer in {most} than "
                       f"{_figure(said['one_in_n'])}", BODY, UNDER)]


def _percent(share: Said) -> str:
    """A share with its interval, in per cent."""
    likely, least, most = (f"{show(100 * share[key])} %" for key in ("amount", "least", "most"))
    return f"{likely} ({least} to {most})"


def _fuse(said: Said) -> list[str]:
    lines = paragraph(f"Service fuse: {_figure(said['rating_a'])}. Holds for {said['within']}: {_figure(said['holds_a'])}. "
                      f"Opens within {said['within']}: {_figure(said['opens_a'])}.")
    if said["taken_as"] is None:
        lines += paragraph(f"Whether its element would melt: unknown: {said['element']}", BODY, UNDER)
    elif said["melts"]["amount"] is not None:
        hottest = f"the hottest came to {show(100 * said['hottest']['amount'])} % of that"
        lines += paragraph(f"Winters in which its element gets so hot that it melts: {_melts(said['melts'], said['taken_as'])}; "
                           f"{hottest}; {said['element']}", BODY, UNDER)
    return lines + paragraph(said["never_blew"], BODY, UNDER)


def _melts(share: Said, taken_as: str) -> str:
    """How often the element melts: taken as the slowest at least so often, and that it never did says nothing then."""
    slowest = taken_as == "slowest"
    if share["amount"]:
        return f"{'at least' if slowest else 'at most'} {_percent(share)}"
    if slowest:
        return "none of those lived, which says nothing about how seldom it does"
    return f"none of those lived; {show(100 * share['most'])} % at most"
