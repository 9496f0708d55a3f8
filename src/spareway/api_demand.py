"""What a home demands: connected, by the book, recorded; beside what its service fuse holds. Texts in, plain data out."""
from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from spareway import __version__
from spareway.api import CAUTION, Files, Overlays, no_collector
from spareway.design.blown import how_long, never_blew
from spareway.design.demand import BOOK, GENERAL, OWN, BookLine, Demand
from spareway.design.design import Design
from spareway.design.logged import Log, read_log
from spareway.design.recorded import GivenLog, LogDesign, Recorded, recorded
from spareway.design.service import figures
from spareway.fact import Fact
from spareway.fact_data import in_hand, whole
from spareway.job.job import Installation, read_job
from spareway.job.ways import free_ways, ways_in_words, ways_unsaid
from spareway.show import exact

__all__ = ["demand", "joined"]

NOT_ONE_SUM = ("Book demand, not load: an allowance by a handbook's table, made for homes not heated by electricity alone.",
               "The four figures answer four questions and are never added or averaged.")
READINGS = ((OWN, "heaters whole: the book has no row for them on circuits of their own"),
            (GENERAL, "heaters as heating and power: 10 A whole and half of the rest"), ("", "without any fixed heater"))


def demand(files: Files, stage: str | None = None, overlays: Overlays = (), log: tuple[str, str] | None = None) -> dict[str, Any]:
    """The figures of a stage, what moved since it was found, and the service fuse. log: the name and text of a logger's CSV.

    foreseen is unknown here: a simulation's. Errors: InputError, with every fault of the folder or of the log."""
    read = read_log(*log) if log else None
    with no_collector():
        job = read_job(files, overlays, stage)
        inst = job.at(stage)
        now, found = Design(inst).demand, Design(job.found).demand
        seen = recorded(now.design, read)
        return {"spareway": __version__, "job": job.about.says, "stage": inst.stage,
                "fuse": _fuse(now),
                "connected": {"total_a": whole(now.connected_a), "least_a": whole(now.connected_least_a),
                              "of": [{"at": at, **whole(amps)} for at, amps in now.connected],
                              "lasting_a": whole(now.lasting_a)},
                "book": _by_the_book(now), "recorded": _recorded(now.design, seen, read), "foreseen": _not_simulated(),
                "moved": _moved(found, now) if inst.stage != "found" else None, "spare_ways": _spare_ways(inst),
                "in_hand": in_hand(now.design, figures(now, seen.against(now.design.supply.fuse_a))),
                "caution": [*NOT_ONE_SUM, *CAUTION]}


def joined(said: Mapping[str, Any], wants: Mapping[str, Any], chain: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """One document of the demand, what the operator wants (`api_operator.told`), and the service chain (`api_service.service`)
    where it was asked for: the same for every face. A caution that two of them say stands once."""
    return {**said, "operator": {key: of for key, of in wants.items() if key not in said}, "service": chain,
            "caution": list(dict.fromkeys([*said["caution"], *wants["caution"], *(chain["caution"] if chain else ())]))}


def _fuse(of: Demand) -> dict[str, Any]:
    """The service fuse, the conventional time of its currents (in words too), and what its never having opened is worth."""
    supply = of.design.supply
    fuse = (supply.fuse_a, supply.holds_a, supply.fusing_a, supply.conventional_h)
    said = {name: whole(each) for name, each in zip(("rating_a", "holds_a", "opens_a", "conventional_h"), fuse, strict=True)}
    return {**said, "within": how_long(supply.conventional_h), "never_blew": never_blew(*fuse)}


def _by_the_book(of: Demand) -> dict[str, Any]:
    """Each reading of the disputed row with its total; where no heater has a circuit of its own, the one total there is."""
    rows = of.book()
    readings = READINGS if any(line.row == OWN for line in rows) else (("", "no fixed heater on a circuit of its own"),)
    return {"source": BOOK, "lines": [_line(line) for line in rows],
            "totals": [{"says": says, **whole(of.book_a(heaters))} for heaters, says in readings],
            "least_a": whole(of.book_least_a), "left_out": [{"at": at, "why": why} for at, why in of.left_out]}


def _line(line: BookLine) -> dict[str, Any]:
    return {"row": line.row, "of": list(line.of), **whole(line.demand_a)}


def _recorded(design: Design, seen: Recorded, given: Log | None) -> dict[str, Any]:
    """The figure that stands beside the fuse, the log it is from, and each log that is no credit, with why. Of a log that was
    given also its own highest minute and, with a rating read on the fuse, the minutes above it as logged."""
    rating_a = design.supply.fuse_a
    figure = seen.against(rating_a)
    of = seen.by(figure)
    out = {"demand_a": whole(figure), "log": of.at if of else "", "since": seen.since(figure),
           "no_credit": list(seen.doubts), "keep": list(_kept(given)) if given else []}
    if given is None:
        only = seen.logs[0] if len(seen.logs) == 1 else None
        highest_a = whole(_highest_a(of or only, figure))
        return out | {"highest_a": highest_a, "file": "", "minutes_n": 0, "missing_n": 0, "over": None}
    over = given.over(rating_a.value) if rating_a.known and given.highest.known else None
    return out | {"highest_a": whole(given.highest), "file": given.file, "minutes_n": len(given.minutes),
                  "missing_n": given.missing_n, "over": None if over is None else {
                      "rating_a": rating_a.value, "minutes_n": over.minutes_n, "longest_n": over.longest_n,
                      "began": f"{over.began:%Y-%m-%dT%H:%M}" if over.began else "",
                      "not_in_it": GivenLog(given, design).not_in_it}}


def _kept(log: Log) -> Iterator[str]:
    """The lines of found.toml that keep a log that was given; what it does not say itself is left to be filled in."""
    highest, name = log.highest, re.sub(r"[^a-z0-9]+", "-", log.file.lower().removesuffix(".csv")).strip("-") or "a-week"
    yield f"[logs.{name}]"
    yield f"since     = {log.minutes[0][0]:%Y-%m-%d}"
    yield f"until     = {log.minutes[-1][0]:%Y-%m-%d}"
    yield f"highest_a = {{ measured = {exact(highest.value)} }}" if highest.known else 'highest_a = { unknown = "no minutes" }'
    yield 'outside_c = { unknown = "mean temperature outside over it, °C" }'
    yield 'lasting_w = { unknown = "heaters, stored water and charging that were connected then, W" }'


def _highest_a(log: LogDesign | None, figure: Fact[float]) -> Fact[float]:
    """The minute as it was written, before anything was added to it; where it is of no one log, why there is no figure."""
    return figure if log is None else log.highest_a


def _not_simulated() -> dict[str, Any]:
    return whole(Fact("demand_a", None, "unknown", "", "not simulated"))


def _moved(found: Demand, now: Demand) -> dict[str, Any]:
    """What the book and the connected load do from as found to now: a load moved to another row changes the one alone.

    A row under which nothing falls is null; one that cannot be worked out has no amount."""
    before, after = ({line.row: line.demand_a for line in each.book()} for each in (found, now))
    rows = [(row, before.get(row), after.get(row)) for row in {**before, **after}]
    return {"book_before_a": whole(found.book_a()), "book_after_a": whole(now.book_a()),
            "connected_before_a": whole(found.connected_a), "connected_after_a": whole(now.connected_a),
            "rows": [{"row": row, "before_a": None if old is None else whole(old), "after_a": None if new is None else whole(new)}
                     for row, old, new in rows if _amount(old) != _amount(new)]}


def _amount(fact: Fact[float] | None) -> Any:
    return "" if fact is None else fact.amount


def _spare_ways(inst: Installation) -> list[dict[str, Any]]:
    """Free ways board by board, those that a person said are empty: a spare way is not spare capacity. ways: None while nobody
    counted them or said what stands in each; why: then that, in words."""
    from spareway.job.refs import is_board
    boards = [name for name, thing in inst.equipment.items() if is_board(thing)]
    left = {name: ways_unsaid(inst, name) for name in boards}
    why = {name: f"nobody said what stands in {ways_in_words(ways)}" if ways else "" if ways == () else "nobody counted its ways"
           for name, ways in left.items()}
    return [{"board": name, "ways": None if of else len(free_ways(inst, name)), "why": of} for name, of in why.items()]
