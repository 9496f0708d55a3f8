"""The pocket page: one plain file with the board's chart, the limits, what to lock off and the intake; it needs no signal.

It holds limits and no reading that is to be expected: what an instrument should show is not written where it could be copied.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from string import Template
from typing import Any

from spareway.bundled import text
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.drawings.face import OPERATED
from spareway.fact import Fact, glossary, unknown
from spareway.job.job import Job
from spareway.papers.words import asked, label
from spareway.physics.choose import printed_down
from spareway.rules.base import Finding
from spareway.tables import look_up

__all__ = ["MOST_BYTES", "pocket"]

MOST_BYTES = 500_000
SITE = "zs_site_limit_ohm"                    # of the breaker or fuse, for a reading taken cold
STATES = {"found": "As found", "proposed": "As proposed", "fitted": "As fitted, by the record"}
BEFORE = ("Ask the network operator; do not withdraw the service fuse without their leave.", "Asbestos: stop, do not disturb.")
MANY = 4                                      # so many places of a kind are named, the others counted
DOUBT = {"from memory": "limit from memory", "one source": "limit from one source", "derived": "limit worked out"}


def pocket(job: Job, design: Design, findings: Sequence[Finding], said: Mapping[str, Any], offs: Sequence[Mapping[str, Any]],
           drawing: str) -> str:
    """The page as HTML.

    said: the document of a check; offs: what to lock off for each part and circuit, as `isolate` says it; drawing: the intake."""
    inst = design.inst
    books = ", ".join([*(f"{book.upper().replace('BS7671', 'BS 7671')}:{edition}" for book, edition in said["books"].items()),
                       *([said["nation"]] if said["nation"] else [])])
    cautions = "".join(f"<p><b>{_safe(line)}</b></p>" for line in (*said["caution"], *BEFORE))
    told = {v: n for v in ("stop", "fails", "unknown") if (n := len([f for f in findings if f.verdict == v]))}
    counted = ", ".join(f"{n} {verdict}" for verdict, n in told.items()) or "nothing worse than advice"
    foot = (f"Of the check of this record: {counted}. Book demand, not load. A spare way is not spare capacity. "
            "Codes and signatures are the inspector's.")
    return Template(text("papers/templates/pocket.html")).substitute(
        title=_safe(job.about.says or "A job without a name"), state=STATES[inst.stage], books=_safe(books), cautions=cautions,
        boards=_boards(design), sources=_sources(design), locks=_locks(design, offs), drawing=drawing.strip(),
        foot=_safe(foot))


def _safe(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def _table(head: Sequence[str], rows: Iterator[Sequence[str]] | Sequence[Sequence[str]]) -> str:
    names = "".join(f"<th scope=col>{_safe(name)}</th>" for name in head)
    cells = "".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows)
    return f"<table><thead><tr>{names}</tr></thead><tbody>{cells}</tbody></table>"


def _boards(design: Design) -> str:
    """The chart of each board; a circuit that lands on none of them is told under a head of its own, never left away."""
    by_board: dict[str, list[CircuitDesign]] = {name: [] for name in design.boards}
    for circuit in design.circuits.values():
        by_board.setdefault(circuit.board if circuit.board in design.boards else "", []).append(circuit)
    return "".join(_board(design, name, sorted(own, key=_way)) for name, own in by_board.items())


def _board(design: Design, name: str, own: Sequence[CircuitDesign]) -> str:
    """What each way feeds, its device, the limits of its loop and its insulation, and where these come from."""
    rows = [[_safe(c.circuit.way.partition(".")[2] or "not recorded"), _safe(c.circuit.says or c.circuit.name.replace("-", " ")),
             _device(c), "does not apply" if c.is_surge else _limit(_most_zs(c))] for c in own]
    used = ", ".join(dict.fromkeys(row[0] for row in rows)) or "none"
    least = look_up("thresholds", design.books, design.case("insulation_mohm"))
    head = _safe(label(design.inst, f"equipment.{name}") if name else "On no board of the record")
    return (f"<h2>{head}</h2>{_table(('way', 'feeds', 'device', 'most Zs may read, cold'), rows)}"
            f'<p class="soft">Ways in use: {used}. Insulation: at least {_safe(str(least))}{_doubt(least)}.</p>')


def _most_zs(circuit: CircuitDesign) -> Fact[float]:
    """The limit that rule CI1 holds a reading to: on TT that of the residual-current device, else that of the breaker or fuse."""
    design = circuit.design
    earthing = design.supply.earthing
    if not earthing.known:
        return unknown(SITE, f"earthing: {earthing.note or 'not recorded'}")
    if earthing.amount == "IT":
        return unknown(SITE, "an IT system is recorded and not judged")
    if circuit.opens_by_residual:
        return asked("electrode_limit_ohm", lambda: circuit.electrode_limit_ohm)
    return asked(SITE, lambda: circuit.zs_site_limit_ohm)


def _sources(design: Design) -> str:
    """The rows of published tables on which the limits rest, each once, with how far it is trusted."""
    limits = [look_up("thresholds", design.books, design.case("insulation_mohm")),
              *(_most_zs(c) for c in design.circuits.values() if not c.is_surge)]
    rows = [root for limit in limits for root in limit.roots() if root.how == "table" and root.formula is not None]
    return _safe("; ".join(dict.fromkeys(f"{row.where} ({_trusted(row)})" for row in rows)))


def _trusted(row: Fact[Any]) -> str:
    """Confirmed in one edition and not in the one asked for is not "confirmed" without more."""
    return row.note if row.note and row.trust == "confirmed" else ", ".join(filter(None, (row.trust, row.note)))


def _way(circuit: CircuitDesign) -> int:
    number = circuit.circuit.way.partition(".")[2]
    return int(number) if number.isdigit() else 0


def _device(circuit: CircuitDesign) -> str:
    device = circuit.device
    said = [device.kind.replace("-", " ") if device.kind else "not recorded"]
    rating = f"{device.curve.amount or ''}{device.rating_a}" if device.rating_a.known else "rating not known"
    said += [rating] if device.kind else []
    said += [str(device.residual_ma)] if device.residual_ma.known else []
    return _safe(", ".join(said))


def _limit(fact: Fact[float]) -> str:
    """A limit with how far it can be trusted; never an empty cell."""
    if not fact.known:
        return f"not known: {_safe(', '.join(dict.fromkeys(gap.note for gap in fact.missing() if gap.note)) or 'not recorded')}"
    by = "" if fact.name == SITE else ' <span class="soft">by its residual-current device</span>'
    return f"<b>{_rounded_down(fact.value)} {glossary(fact.name).unit}</b>{by}{_doubt(fact)}"


def _rounded_down(limit: float) -> str:
    """A limit to three digits, never more than it is: a reading that keeps to what is printed keeps to the limit."""
    places = max(0, 2 - int(f"{limit:.2e}".partition("e")[2]))
    return f"{printed_down(limit, places):.{places}f}"


def _doubt(fact: Fact[Any]) -> str:
    doubts = [DOUBT[root.trust] if root.trust in DOUBT else f"{glossary(root.name).says} assumed" for root in fact.roots()
              if root.trust in DOUBT or root.how == "assumed"]
    return f' <span class="soft">{_safe(", ".join(dict.fromkeys(doubts)))}</span>' if doubts else ""


# ---- what to lock off ----------------------------------------------------------------------------------------------------
def _locks(design: Design, offs: Sequence[Mapping[str, Any]]) -> str:
    return "".join(f'<section><h3>{_safe(label(design.inst, off["part"]))}</h3><p>{_off(design, off)}.</p>'
                   f'<p class="soft">Live beside it all the same: {_still(off)}.</p></section>' for off in offs)


def _off(design: Design, off: Mapping[str, Any]) -> str:
    """One sentence: the controls, each with who may open it; where none will do, what to do instead."""
    if not off["terminals"]:
        return "Not known what to lock off: nothing of it is recorded after its way"
    if off["lock_off"] is None:
        return ("<b>Do not work on it</b>: nothing that a skilled person may open makes it dead by the record. "
                "Ask whoever may take the supply off")
    if not off["lock_off"]:
        more = f", and {_safe(design.source_told_of)}" if design.source_told_of else ""
        return f"No path in the record leads there. That is no proof: it may not all be recorded{more}"
    told = [f"<b>{_safe(control)}</b> ({_safe(_who(design, off, control))})" for control in off["lock_off"]]
    told = [*told, f"<b>and whatever else feeds it</b>: {_safe(design.source_told_of)}"] if design.source_told_of else told
    undone = f"; not with {', '.join(off['undone_by'])} opened or lifted as well: that would undo it" if off["undone_by"] else ""
    return f"Lock off {' and '.join(told)}{_safe(undone)}"


def _who(design: Design, off: Mapping[str, Any], control: str) -> str:
    if control in off["by_permission"]:
        return "only by the permission that the job records, while it holds"
    return OPERATED[design.network.controls[control]]


def _still(off: Mapping[str, Any]) -> str:
    """Places by their potentials, those at the opened controls first. Nothing in the record is no proof, and the cell says so."""
    if not off["terminals"]:
        return "not known"
    places: dict[str, dict[str, None]] = {}
    for terminal, potential in off["still"]:
        places.setdefault(terminal.rpartition(".")[0], {})[potential] = None
    near = tuple(f"{control.rpartition('.')[0]}." for control in off["lock_off"] or ())
    alike: dict[str, list[str]] = {}
    for at in sorted(places, key=lambda place: not place.startswith(near)):
        alike.setdefault(" and ".join(places[at]), []).append(at)
    told = [f"{potentials} at {_listed(at)}" for potentials, at in alike.items()]
    return _safe("; ".join(told) or "nothing by the record: prove it")


def _listed(at: Sequence[str]) -> str:
    more = len(at) - MANY
    return ", ".join(at if more <= 1 else [*at[:MANY], f"{more} places more"])
