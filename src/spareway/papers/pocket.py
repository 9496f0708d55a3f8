"""The pocket page: one plain file with the board's chart, the limits, what to lock off and the intake; it needs no signal.

It holds limits and no reading that is to be expected: what an instrument should show is not written where it could be copied.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import ROUND_FLOOR, Decimal
from string import Template
from typing import Any

from spareway.bundled import text
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.fact import Fact, glossary
from spareway.job.job import Job
from spareway.papers.words import label
from spareway.rules.base import Finding
from spareway.tables import NoRow, look_up

__all__ = ["MOST_BYTES", "pocket"]

MOST_BYTES = 500_000
STATES = {"found": "As found", "proposed": "As proposed", "fitted": "As fitted, by the record"}
DOUBT = {"from memory": "limit from memory", "one source": "limit from one source", "derived": "limit worked out"}


def pocket(job: Job, design: Design, findings: Sequence[Finding], said: Mapping[str, Any], drawing: str) -> str:
    """The page as HTML. said: the document of a check; drawing: the intake as SVG."""
    inst = design.inst
    books = ", ".join([*(f"{book.upper().replace('BS7671', 'BS 7671')}:{edition}" for book, edition in said["books"].items()),
                       *([said["nation"]] if said["nation"] else [])])
    cautions = "".join(f"<p><b>{_safe(line)}</b></p>" for line in said["caution"])
    told = {v: n for v in ("stop", "fails", "unknown") if (n := len([f for f in findings if f.verdict == v]))}
    counted = ", ".join(f"{n} {verdict}" for verdict, n in told.items()) or "nothing worse than advice"
    foot = f"Of the check of this record: {counted}. Book demand, not load. A spare way is not spare capacity."
    return Template(text("papers/templates/pocket.html")).substitute(
        title=_safe(job.about.says or "A job without a name"), state=STATES[inst.stage], books=_safe(books), cautions=cautions,
        boards="".join(_board(design, name) for name in design.boards), locks=_locks(said, design), drawing=drawing.strip(),
        foot=_safe(foot))


def _safe(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def _table(head: Sequence[str], rows: Iterator[Sequence[str]] | Sequence[Sequence[str]]) -> str:
    names = "".join(f"<th scope=col>{_safe(name)}</th>" for name in head)
    cells = "".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows)
    return f"<table><thead><tr>{names}</tr></thead><tbody>{cells}</tbody></table>"


def _board(design: Design, name: str) -> str:
    """The chart of a board: what each way feeds, its device, and the limits of its loop and its insulation."""
    own = sorted((c for c in design.circuits.values() if c.board == name), key=lambda c: _way(c))
    rows = [[_safe(c.circuit.way.partition(".")[2]), _safe(c.circuit.says or c.circuit.name.replace("-", " ")), _device(c),
             "does not apply" if c.is_surge else _limit(lambda c=c: c.zs_site_limit_ohm)] for c in own]
    used = ", ".join(str(_way(c)) for c in own) or "none"
    least = look_up("thresholds", design.books, design.case("insulation_mohm"))
    chart = _table(("way", "feeds", "device", "most Zs may read, cold"), rows)
    return (f"<h2>{_safe(label(design.inst, f'equipment.{name}'))}</h2>{chart}"
            f'<p class="soft">Ways in use: {used}. Insulation: at least {_safe(str(least))}{_doubt(least)}.</p>')


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


def _limit(asked: Any) -> str:
    """A limit with how far it can be trusted; never an empty cell."""
    try:
        fact: Fact[float] = asked()
    except NoRow as outside:
        return f"not known: {_safe(str(outside))}"
    if not fact.known:
        return f"not known: {_safe(', '.join(dict.fromkeys(gap.note for gap in fact.missing())) or 'not recorded')}"
    return f"<b>{_rounded_down(fact.value)} {glossary(fact.name).unit}</b>{_doubt(fact)}"


def _rounded_down(limit: float) -> str:
    """A limit to three digits, never more than it is: a reading that keeps to what is printed keeps to the limit."""
    places = max(0, 2 - int(f"{limit:.2e}".partition("e")[2]))
    return str(Decimal(limit).quantize(Decimal(1).scaleb(-places), ROUND_FLOOR))


def _doubt(fact: Fact[Any]) -> str:
    trusts = [DOUBT[root.trust] for root in fact.roots() if root.trust in DOUBT]
    return f' <span class="soft">{_safe(", ".join(dict.fromkeys(trusts)))}</span>' if trusts else ""


def _locks(said: Mapping[str, Any], design: Design) -> str:
    rows = []
    for off in said["lock_off"]:
        answer = " and ".join(off["lock_off"] or ()) if off["lock_off"] is not None else "none that you may open"
        still = "; ".join(f"{terminal} {potential}" for terminal, potential in off["still"])
        told = _safe(answer or "nothing leads there by the record")
        rows.append([_safe(label(design.inst, off["part"])), f"<b>{told}</b>", _safe(still)])
    return _table(("part", "fewest to lock off, skilled person", "what stays live"), rows)
