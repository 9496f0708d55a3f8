"""`spareway demand`: what a home demands as connected, by the book and as recorded, beside what its service fuse holds."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from spareway.cli import service, simulate
from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option, stage_option
from spareway.cli.layout import counted, out, out_json, paragraph, rests
from spareway.cli.operators import page as operator_page
from spareway.show import show

__all__ = ["command"]

Said = Mapping[str, Any]
BODY, UNDER = 2, 4


def page(said: Said) -> list[str]:
    """The four figures one after another, each with its lines; then the fuse, and what moved since it was found."""
    told: set[str] = set()                          # what a total rests on, each said once on the page
    return [*paragraph(said["job"] or "A job without a name"), *paragraph(f"{said['stage'].capitalize()}."), "",
            *_connected(said["connected"], told), "", *_book(said["book"], told), "", *_recorded(said["recorded"]), "",
            *paragraph(f"Foreseen: {_amps(said['foreseen'])}"), "", *_fuse(said["fuse"], said["recorded"], told),
            *(["", *_moved(said["moved"], told)] if said["moved"] else []),
            "", *service.in_hand(said["in_hand"], said["fuse"]["rating_a"]),
            *(line for each in said["spare_ways"] for line in paragraph(_spare(each))),
            "", *operator_page(said["operator"]), *(["", *service.page(said["service"], told)] if said["service"] else [])]


def _spare(board: Said) -> str:
    not_known = f"how many ways are spare is not known: {board['why']}"
    ways = not_known if board["ways"] is None else counted(board["ways"], "spare way")
    return f"{board['board']}: {ways}; a spare way is not spare capacity."


def _amps(fact: Said) -> str:
    """The figure, or why there is none."""
    gaps = "; ".join(f"{gap['says']}, {gap['at']}: {gap['why']}" if gap["at"] else str(gap["why"]) for gap in fact["missing"])
    return str(fact["is"]) if fact["amount"] is not None else f"unknown: {gaps}"


def _rests(fact: Said, told: set[str]) -> list[str]:
    return rests(fact["rests_on"], told, UNDER)


def _connected(said: Said, told: set[str]) -> list[str]:
    least = said["least_a"]["is"] if said["total_a"]["amount"] is None and said["least_a"]["amount"] else ""
    lines = paragraph(f"Connected, every fixed appliance and lamp at once: {_amps(said['total_a'])}. "
                      f"{f'By what is known at least {least}. ' if least else ''}What is plugged in is not in it.")
    lines += _rests(said["total_a"], told)
    for each in said["of"]:
        lines += paragraph(f"{each['at']}: {_amps(each)}", BODY, UNDER)
    lines += paragraph(f"Of that, heaters, stored water and charging together, as after an outage: {_amps(said['lasting_a'])}",
                       BODY, UNDER)
    return lines + _rests(said["lasting_a"], told)


def _book(said: Said, told: set[str]) -> list[str]:
    lines = paragraph(f"By the book ({said['source']}):")
    if said["totals"][0]["amount"] is None and said["least_a"]["amount"]:
        lines += paragraph(f"at least {said['least_a']['is']}, and more: by what is known, heaters whole", BODY, UNDER)
    for each in said["totals"]:
        lines += paragraph(f"{_amps(each)}: {each['says']}", BODY, UNDER) + _rests(each, told)
    for each in said["lines"]:
        lines += paragraph(f"{each['row']}, {counted(len(each['of']), 'entry', 'entries')}: {_amps(each)}", UNDER, UNDER + 2)
    for each in said["left_out"]:
        lines += paragraph(f"{each['at']}: {each['why']}", UNDER, UNDER + 2)
    return lines


def _recorded(said: Said) -> list[str]:
    """The figure, the log it is from and what was connected since, what is no credit; then the log that was given."""
    lines = paragraph(f"Recorded: {_amps(said['demand_a'])}")
    if said["log"]:
        lines += paragraph(f"by {said['log']}: its highest minute, {said['since']}", BODY, UNDER)
    if said["demand_a"]["amount"] is not None:
        lines += [line for each in said["no_credit"] for line in paragraph(f"no credit: {each}", BODY, UNDER)]
    if said["file"]:
        lines += paragraph(f"{said['file']}: {counted(said['minutes_n'], 'row')}, {said['missing_n']} missing; {_minute(said)}",
                           BODY, UNDER)
    if over := said["over"]:
        began = f", the longest run {over['longest_n']} min from {over['began']}" if over["minutes_n"] else ""
        since = f", {over['not_in_it']}" if over["not_in_it"] else ""
        rated = f"{show(over['rating_a'])} A"
        lines += paragraph(f"Above the {rated} of the fuse: {over['minutes_n']} min{began}{since}", BODY, UNDER)
    if said["keep"]:
        lines += [*paragraph("Kept in the job it stands in found.toml, with what is known of the rest:", BODY, UNDER),
                  *(f"{' ' * UNDER}{line}" for line in said["keep"])]
    elif not said["log"] and not said["no_credit"]:
        lines += paragraph("A logger's file is given by --log FILE, which says how it is kept in the job.", BODY, UNDER)
    return lines


def _minute(said: Said) -> str:
    """The highest minute as it was written, or why there is none."""
    of = said["highest_a"]
    return str(of["note"]) if of["amount"] is None else f"{of['is']} {of['note']}"


def _fuse(said: Said, recorded: Said, told: set[str]) -> list[str]:
    lines = paragraph(f"Service fuse: {_amps(said['rating_a'])}. Holds for {said['within']}: {_amps(said['holds_a'])}. "
                      f"Opens within {said['within']}: {_amps(said['opens_a'])}.")
    lines += [line for key in ("holds_a", "opens_a", "conventional_h") for line in _rests(said[key], told)]
    if recorded["demand_a"]["amount"] is None:
        lines += paragraph(said["never_blew"], BODY, UNDER)
    return lines


def _moved(said: Said, told: set[str]) -> list[str]:
    """The book and the connected load side by side: moving a load to another row changes the book alone."""
    lines = paragraph("Since it was found:")
    for what, before, after in (("by the book", said["book_before_a"], said["book_after_a"]),
                                ("connected", said["connected_before_a"], said["connected_after_a"])):
        change = _change(before["amount"], after["amount"])
        lines += paragraph(f"{what}: {_amps(before)}, now {_amps(after)}{change}", BODY, UNDER)
        lines += _rests(before, told) + _rests(after, told)
    for row in said["rows"]:
        before, after = ("nothing" if row[key] is None else _amps(row[key]) for key in ("before_a", "after_a"))
        lines += paragraph(f"{row['row']}: {before}, now {after}", UNDER, UNDER + 2)
    return lines


def _change(before: float | None, after: float | None) -> str:
    return "" if before is None or after is None else f" ({'+' if after >= before else '−'}{show(abs(after - before))} A)"


@click.command("demand", cls=Verb)
@job_argument
@click.option("--log", type=click.Path(path_type=Path), metavar="FILE",
              help="What a logger wrote, a row a minute: CSV with the columns at and current_a.")
@click.option("--operators", type=click.Path(path_type=Path), metavar="FILE",
              help="What network operators want, each with its day, as the firm keeps it; the job's own copies come first.")
@service.options
@simulate.options
@stage_option
@overlay_option
@json_option
def command(job: Path, log: Path | None, operators: Path | None, stage: str | None, overlays: Sequence[str], as_json: bool,
            raises_a: tuple[float, ...], cap_a: float | None, held_h: float, **lived: Any) -> int:
    """What the home of JOB demands: as connected, by the book, as recorded; beside what its service fuse holds and opens at.

    With --simulate what is foreseen instead. Ends with 0: these are figures; the operator and a competent person decide."""
    of_chain = service.wanted(bool(lived["simulate"]), raises_a, cap_a, held_h)
    if lived["simulate"] and operators is not None:
        raise click.UsageError("--operators is asked of what is on record and --simulate what is foreseen: ask for one of them")
    if winters := simulate.wanted(log is not None, **lived):
        return simulate.simulate(job, winters, stage, overlays, as_json)
    from spareway.api_demand import demand, joined
    from spareway.api_operator import told
    from spareway.folder import read_file
    files, laid = open_job(job, overlays)
    written = (log.name, read_file(log)) if log else None
    wants = told(files, stage, laid, written, (operators.name, read_file(operators)) if operators else None)
    chain = _chain(files, stage, laid, written, of_chain) if of_chain else None
    said = joined(demand(files, stage, laid, written), wants, chain)
    if as_json:
        out_json(said)
    else:
        out([*page(said), "", *(line for text in said["caution"] for line in paragraph(text))])
    return 0


def _chain(files: Mapping[str, str], stage: str | None, laid: Sequence[tuple[str, str]], log: tuple[str, str] | None,
           asked: Mapping[str, Any]) -> dict[str, Any]:
    """The service chain, imported only where it is asked for."""
    from spareway.api_service import service as told
    return told(files, stage, laid, log=log, **asked)
