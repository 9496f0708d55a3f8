"""The document of `spareway demand` as screens tell it: four figures side by side, each with the question that it answers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException

from spareway.show import show as shown
from spareway.web.circuit_told import gaps
from spareway.web.record import Record

if TYPE_CHECKING:
    from spareway.design.logged import Log

__all__ = [
    "LOGS", "NOT_HERE", "book_rows", "documented", "figures", "fuse", "log_lines", "log_of", "log_read", "logs_of", "moved",
    "rests", "spare",
]  # fmt: skip

Said = Mapping[str, Any]
LOGS = "logs/"
NOT_HERE = "The phone does not simulate: a laptop or a server does, from the same job."


def logs_of(files: Mapping[str, str]) -> list[str]:
    """The logs of a job, by the names they have in it."""
    return sorted(name.removeprefix(LOGS) for name in files if name.startswith(LOGS))


def log_of(found: Record, stage: str, wanted: str) -> str:
    """The log asked for, else the highest of all that hold, else "" for none.

    Errors: HTTPException 404 for one that is not there; InputError for one that cannot be read."""
    there = logs_of(found.files)
    if wanted and wanted not in there:
        raise HTTPException(404)
    if wanted or len(there) < 2:
        return wanted or "".join(there)
    return found.once(("log to go by", stage), lambda: _to_go_by(found, stage, there))


def _to_go_by(found: Record, stage: str, names: Sequence[str]) -> str:
    from spareway.design.recorded import greatest

    read = [log for name in names if (log := log_read(found, name)) is not None]
    return greatest(found.design(stage), read).file


def documented(found: Record, stage: str, log: str) -> dict[str, Any]:
    """The whole document of a stage and a log ("" for none), worked out once for each state of the job. Errors: InputError."""
    from spareway.api_demand import demand

    given = (log, found.files[f"{LOGS}{log}"]) if log else None
    return found.once(("demand", stage, log), lambda: demand(found.files, stage=stage or None, log=given))


def log_read(found: Record, log: str) -> Log | None:
    """A log of the job, read once; None for none. Errors: InputError."""
    from spareway.design.logged import read_log

    return found.once(("log", log), lambda: read_log(log, found.files[f"{LOGS}{log}"])) if log else None


def amps(fact: Said) -> str:
    return f"{shown(fact['amount'])}\N{NO-BREAK SPACE}A" if fact["amount"] is not None else ""


# ---- the four -----------------------------------------------------------------------------------------------------------
def figures(said: Said) -> list[dict[str, Any]]:
    """What each is called, the question that it answers, its figure or nothing, and a line beneath it."""
    connected, recorded, foreseen = said["connected"]["total_a"], said["recorded"]["demand_a"], said["foreseen"]
    totals = said["book"]["totals"]
    told = (
        ("connected", "Everything fixed, all of it on at once?", amps(connected) or _least(said["connected"]),
         _why(connected, "nothing plugged in is in it")),
        ("by the book", "What does a handbook allow for?", _book(totals) or _least(said["book"]), _book_line(totals)),
        ("recorded", "What did a logger see, the highest minute?", amps(recorded), _why(recorded, _of_log(said["recorded"]))),
        ("foreseen", "What would a winter bring?", amps(foreseen), _why(foreseen, "")),
    )
    return [{"says": _capital(says), "asks": asks, "amount": amount, "line": line} for says, asks, amount, line in told]


def _why(fact: Said, line: str) -> str:
    """A line beneath a figure; why there is none where there is none."""
    if fact["amount"] is not None:
        return line
    return "; ".join(dict.fromkeys(gap["why"] or gap["says"] for gap in fact["missing"])) or fact["note"]


def _of_log(recorded: Said) -> str:
    """Which log it is from, of how many minutes where it lies beside, and what settles nothing."""
    minutes = f", {recorded['minutes_n']} minutes, {recorded['missing_n']} missing" if recorded["log"] == recorded["file"] else ""
    return "; ".join([f"{_called(recorded['log'])}{minutes}, {recorded['since']}", *recorded["no_credit"]])


def _called(log: str) -> str:
    """A log on record by its name, a file as it is called."""
    return f"the log {log.removeprefix('logs.')} on record" if log.startswith("logs.") else log


def _least(of: Said) -> str:
    """What is known of a figure, as the least that it can be; nothing where nothing is known."""
    return f"at least {amps(of['least_a'])}" if of["least_a"]["amount"] else ""


def _book(totals: Sequence[Said]) -> str:
    """One total, or the least and the most of its readings; nothing where one of them cannot be worked out."""
    known = sorted(each["amount"] for each in totals if each["amount"] is not None)
    if len(known) < len(totals) or not known:
        return ""
    least, most = shown(known[0]), shown(known[-1])
    return f"{least}\N{NO-BREAK SPACE}A" if least == most else f"{least} to {most}\N{NO-BREAK SPACE}A"


def _book_line(totals: Sequence[Said]) -> str:
    if not _book(totals):
        return "; ".join(dict.fromkeys(gap["why"] or gap["says"] for each in totals for gap in each["missing"]))
    return f"{len(totals)} readings of a disputed row" if len(totals) > 1 else "an allowance, not a load"


def book_rows(said: Said) -> list[dict[str, Any]]:
    """Each reading's total, with its working and what it rests on."""
    return [
        {"says": each["says"], "amount": amps(each), "gaps": gaps(each), "rests": list(rests(each)), "working": each["working"]}
        for each in said["book"]["totals"]
    ]


def rests(fact: Said) -> Iterator[tuple[str, str, str]]:
    """What a figure rests on: (what, how it is known, where or why)."""
    return ((f"{each['says']} {each['is']}", each["how"], each["note"]) for each in fact["rests_on"])


# ---- the fuse, the log, what moved -------------------------------------------------------------------------------------------
def fuse(said: Said) -> list[dict[str, Any]]:
    """Its rating as read on it, what it holds for its conventional time and what opens it within that."""
    time = said["fuse"]["within"].replace(" h", "\N{NO-BREAK SPACE}h")
    words = (("rating_a", "Service fuse, as read on it"), ("holds_a", f"Holds for {time}"), ("opens_a", f"Opens within {time}"))
    return [{"says": says, "amount": amps(said["fuse"][key]), "how": said["fuse"][key]["how"], "why": _why(said["fuse"][key], ""),
             "rests": list(rests(said["fuse"][key]))} for key, says in words]  # fmt: skip


def log_lines(said: Said) -> list[str]:
    """The figure and its log, what settles nothing; of a file its highest minute, the minutes above the fuse."""
    of = said["recorded"]
    lines = [f"{amps(of['demand_a'])}: {_called(of['log'])}, {of['since']}."] if of["log"] else []
    lines += [f"{_capital(each)}." for each in of["no_credit"]]
    if not of["file"]:
        return lines
    note = of["highest_a"]["note"]
    high = f" {amps(of['highest_a'])} is" if of["highest_a"]["amount"] is not None else ""
    lines.append(f"{of['file']}: {of['minutes_n']} rows, {of['missing_n']} missing{'.' if note else ''}{high} {note}.")
    if over := of["over"]:
        began = f"; the longest run {over['longest_n']} min, from {over['began'].replace('T', ' ')}" if over["minutes_n"] else ""
        since = f", {over['not_in_it']}" if over["not_in_it"] else ""
        rated = f"{shown(over['rating_a'])}\N{NO-BREAK SPACE}A"
        lines.append(f"Above the {rated} of the fuse: {over['minutes_n']} min{began}{since}.")
    elif of["highest_a"]["amount"] is not None:
        lines.append("Minutes above the fuse: not known, for nobody has read its rating.")
    return lines


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def moved(said: Said) -> list[str]:
    """What the book and the connected load do from as found to now, and the rows that differ."""
    of = said["moved"]
    if of is None:
        return []
    lines = []
    for says, key in (("By the book", "book"), ("Connected", "connected")):
        before, after = of[f"{key}_before_a"], of[f"{key}_after_a"]
        lines.append(f"{says}: {amps(before) or 'unknown'}, now {amps(after) or 'unknown'}{_change(before, after)}")
    return [*lines, *(f"{_capital(row['row'])}: {_row(row['before_a'])}, now {_row(row['after_a'])}" for row in of["rows"])]


def _row(fact: Said | None) -> str:
    return "nothing" if fact is None else amps(fact) or "unknown"


def _change(before: Said, after: Said) -> str:
    if before["amount"] is None or after["amount"] is None:
        return ""
    change = after["amount"] - before["amount"]
    return f" ({'+' if change >= 0 else '−'}{shown(abs(change))}\N{NO-BREAK SPACE}A)"


def spare(said: Said) -> list[str]:
    """Free ways board by board: a spare way is not spare capacity."""
    told = ((_capital(each["board"]), _ways(each["ways"], each["why"])) for each in said["spare_ways"])
    return [f"{board}: {ways}; a spare way is not spare capacity." for board, ways in told]


def _ways(number: int | None, why: str) -> str:
    if number is None:
        return f"how many ways are spare is not known: {why}"
    return f"{number} spare way{'' if number == 1 else 's'}"
