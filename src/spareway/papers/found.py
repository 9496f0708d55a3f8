"""What stands there by the record: supply, things on the wall, what joins them, boards, circuits, readings, what was seen."""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from spareway.design.board import BoardDesign
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.design.supply import SupplyDesign
from spareway.fact import Fact, glossary
from spareway.job.job import Installation, Job
from spareway.job.rows import Reading, standing
from spareway.job.types import Equipment, Run
from spareway.kinds import kind
from spareway.papers.words import Piece, Pieces, asked, how, in_order, joined, label, listed, moment, piece, plain, short, taken
from spareway.rules.base import VERDICTS, Finding
from spareway.show import show

__all__ = ["boards", "cable_of", "circuits", "device_of", "readings", "runs", "seen", "supply", "things"]

Row = dict[str, Any]
LOOPS = ("zs_ohm", "zs_hot_ohm")
SIGNS = ("material", "damage", "water", "open_entries", "notice", "fault_rating_ka", "rating_a", "residual_ma", "residual_type")
ASKED = {"rating_a": "rated", "fault_rating_ka": "short-circuit rating", "material": "enclosure of",
         "damage": "signs of heat or harm", "water": "signs of water", "open_entries": "openings", "notice": "notice",
         "residual_ma": "residual current", "residual_type": "type", "seal": "seal", "fuse": "fuse",
         "fuse_a": "fuse rating", "carrier_a": "carrier marked",
         "owner": "whose", "marks": "line and load marks", "one_way": "marked for one direction"}


def _row(question: str, answer: Pieces, known: str = "", symbol: str = "") -> Row:
    return {"q": question, "symbol": symbol, "a": answer, "how": known}


def _taken(job: Job, address: str, fact: Fact[Any], stage: str) -> str:
    """How a fact is known; of a measured one who took the reading, when and with what."""
    if fact.known and fact.how == "measured":
        for row in reversed(standing(job.readings)):
            if row.quantity == fact.name and row.a == address and row.stage in (stage, "found"):
                others = "".join(f"; {o.how} {o}" for o in fact.others)
                return f"measured {taken(row, job.kit)}{others}"
    return how(fact)


# ---- supply ---------------------------------------------------------------------------------------------------------
def supply(job: Job, design: Design) -> list[Row]:
    """Each supply: what it is, how its earthing was seen and measured, its fuse as it was read."""
    return [row for each in design.supplies.values() for row in _supply(job, design.inst.stage, each)]


def _supply(job: Job, stage: str, of: SupplyDesign) -> Iterator[Row]:
    said = of.supply
    yield _row("Earthing", [piece(of.earthing)], how(of.earthing))
    declared = of.ze_ohm.known and of.ze_ohm.how == "declared"
    yield _row("Earth fault loop outside", [piece(of.ze_ohm)],
               _taken(job, of.at, of.ze_ohm, stage) + (". Stated maximum, not measured." if declared else ""), "Ze")
    yield _row("Line to neutral loop", [piece(said.loop_ln_ohm)], _taken(job, of.at, said.loop_ln_ohm, stage))
    fault = asked("prospective_ka", lambda: of.fault_ka)
    yield _row("Fault current at the origin", [piece(fault)],
               "worked out from the loops above; the greater counts" if fault.known and fault.inputs else how(fault))
    fuse = [piece(of.fuse_a)] if not of.fuse.known else listed([[piece(of.fuse_a)], [piece(of.fuse)]], ", ")
    carrier = of.cutout.carrier_a if of.cutout else None
    beside = f". Its carrier says {carrier}, which proves nothing." if carrier is not None and carrier.known else ""
    yield _row("Service fuse as read", fuse, how(of.fuse_a) + beside)
    for name, fact in (("Phases", said.phases_n), ("Network operator", said.operator), ("Loops on to a neighbour", said.looped)):
        if fact.known:
            yield _row(name, [piece(fact)], how(fact))


# ---- things and what joins them -------------------------------------------------------------------------------------
def things(design: Design) -> list[Row]:
    """Everything on the wall that is no board and no appliance."""
    return [_row(label(design.inst, f"equipment.{name}"), _thing(thing), design.where(f"equipment.{name}"))
            for name, thing in design.inst.equipment.items()
            if name not in design.boards and kind(thing.kind).family != "appliance"]


def _thing(thing: Equipment) -> Pieces:
    of = kind(thing.kind)
    facts = [(name, getattr(thing, name)) for name in of.facts if hasattr(thing, name)]
    said = [[{"t": f"{ASKED.get(name, glossary(fact.name).says)} "}, piece(fact)] for name, fact in facts if fact.known]
    return listed([plain(of.says), *([plain(thing.says)] if thing.says else []), *said])


def runs(design: Design) -> list[Row]:
    """What joins what, with size, length and how it lies."""
    return [_row(label(design.inst, f"runs.{name}"), _run(of.run), _run_known(of.run, design))
            for name, of in design.runs.items()]


def _run(run: Run) -> Pieces:
    parts = [[piece(run.size_mm2), {"t": f" {run.kind}"}]]
    if run.cpc_mm2.known:
        parts.append([{"t": "with "}, piece(run.cpc_mm2), {"t": " protective conductor in it"}])
    if run.stretches:
        parts += [[piece(each.length_m), {"t": f" {name.replace('-', ' ')}"}, *_method(each.method)]
                  for name, each in run.stretches.items()]
    elif run.length_m.known or run.length_m.note != "not recorded":
        parts.append([{"t": "length "}, piece(run.length_m), *_method(run.method)])
    return listed([*parts, *([[piece(run.colours)]] if run.colours.known else [])])


def _method(method: Fact[str]) -> Pieces:
    return [{"t": f", method {method.amount}"}] if method.known else []


def _run_known(run: Run, design: Design) -> str:
    why = [f"length: {run.length_m.note}"] if not run.length_m.known and run.length_m.note not in ("", "not recorded") \
        and not run.stretches else []
    size = [f"size: {how(run.size_mm2, why_only=True)}"]
    return "; ".join([*size, *why, design.where(f"runs.{run.name}")])


# ---- boards ---------------------------------------------------------------------------------------------------------
def boards(design: Design) -> list[Row]:
    """Each board with its rows: what it is, its ways, its signs, what is before it."""
    return [{"name": label(design.inst, each.at), "rows": list(_board(design, each))} for each in design.boards.values()]


def _board(design: Design, of: BoardDesign) -> Iterator[Row]:
    thing = of.thing
    says = [plain(kind(thing.kind).says), *([plain(thing.says)] if thing.says else [])]
    yield _row("What it is", listed(says), design.where(of.at))
    ways = [c.way.partition(".") for c in design.inst.circuits.values()]
    used = sorted((way for board, _, way in ways if board == thing.name), key=in_order)
    bare = thing.bare_ways
    said = "none" if bare.known and not bare.value else str(bare) if bare.known else "not known"
    yield _row("Ways", listed([[piece(thing.ways_n)], plain(f"in use: {', '.join(used) or 'none'}"),
                               [{"t": "with bare contacts: "}, {"t": said, "g": piece(bare)["g"]}]]),
               "a spare way is not spare capacity")
    fuse, loop = asked("fuse_a", lambda: of.fuse_a), asked("ze_ohm", lambda: of.ze_ohm)
    yield _row("Fuse or breaker before it", [piece(fuse)], how(fuse))
    yield _row("Loop at it", [piece(loop)], "the loop outside and what leads here" if loop.inputs else how(loop, True))
    signs = [(name, getattr(thing, name)) for name in SIGNS if name in kind(thing.kind).facts]
    known = [[{"t": f"{ASKED[name]}: "}, piece(fact)] for name, fact in signs if fact.known]
    gaps = [ASKED[name] for name, fact in signs if not fact.known]
    if known or gaps:
        yield _row("Signs and ratings", listed(known) or plain("none recorded"), f"not recorded: {joined(gaps)}" if gaps else "")


# ---- circuits -------------------------------------------------------------------------------------------------------
def circuits(design: Design, findings: Sequence[Finding]) -> list[Row]:
    """The circuits of each board, in the order of its ways; figures without their units, which stand in the head."""
    by_subject: dict[str, list[Finding]] = {}
    for finding in findings:
        by_subject.setdefault(finding.subject, []).append(finding)
    out = []
    for name, board in design.boards.items():
        own = [c for c in design.circuits.values() if c.board == name]
        own.sort(key=lambda c: in_order(c.circuit.way.partition(".")[2]))
        out.append({"board": label(design.inst, board.at), "rows": [_circuit(c, by_subject.get(c.at, ())) for c in own]})
    return out


def _circuit(of: CircuitDesign, found: Sequence[Finding]) -> Row:
    worst = min((f.verdict for f in found if f.verdict != "not applicable"), key=VERDICTS.index, default="not applicable")
    loops = next((f.facts[:2] for f in found if len(f.facts) > 1 and f.facts[0].name in LOOPS), None)
    says = of.circuit.says or of.circuit.name.replace("-", " ")
    row: Row = {"way": of.circuit.way.partition(".")[2], "says": f"{says}{', ring' if of.is_ring else ''}", "worst": worst,
                "device": device_of(of)}
    if of.is_surge:
        return row | {key: [{"t": "–"}] for key in ("cable", "length", "load", "carries", "zs", "limit")}
    zs, limit = loops or (asked("zs_ohm", lambda: of.zs_ohm), None)
    figures = {"length": asked("length_m", lambda: of.length_m), "load": asked("load_a", lambda: of.load_a),
               "carries": asked("iz_a", lambda: of.iz_a), "zs": zs, "limit": limit}
    return row | {"cable": cable_of(of)} | {key: [_figure(fact)] for key, fact in figures.items()}


def _figure(fact: Fact[Any] | None) -> Piece:
    if fact is None or not fact.known:
        return {"t": "?", "g": "none"}
    return piece(fact, glossary(fact.name).unit)


def device_of(of: CircuitDesign) -> Pieces:
    said = of.device
    if of.device_kind is None:
        return [{"t": "not recorded", "g": "none"}]
    curve = f"{said.curve.amount}" if said.curve.known else ""
    rating = [{"t": f" {curve}"}, piece(said.rating_a)] if said.rating_a.known else []
    residual = [{"t": ", "}, piece(said.residual_ma)] if said.residual_ma.known else []
    kind_of = [{"t": f" type {said.residual_type.amount}"}] if said.residual_type.known else []
    return [{"t": said.kind.replace("-", " ")}, *rating, *residual, *kind_of]


def cable_of(of: CircuitDesign) -> Pieces:
    said = of.cable
    if not said.kind:
        return [{"t": "?", "g": "none"}]
    return [_figure(said.line_mm2), {"t": " / "}, _figure(said.cpc_mm2), {"t": f" {said.kind}"}]


# ---- readings, what was seen ----------------------------------------------------------------------------------------
def readings(job: Job, design: Design) -> list[Row]:
    """The standing readings up to this stage under who took them, when and with what; a line for several points asked alike."""
    stages = ("found", "proposed", "fitted")
    kept = [r for r in standing(job.readings) if stages.index(r.stage) <= stages.index(design.inst.stage)]
    same = groupby(kept, key=lambda r: (r.stage, r.quantity, r.setup, r.loads, r.nulled, r.instrument, r.by, r.temp_c, _of(r.a)))
    lines = [_reading(job, design, list(rows)) for _, rows in same]
    return [{"how": how, "rows": list(own)} for how, own in groupby(lines, key=lambda line: line["how"])]


def _of(address: str) -> str:
    return ".".join(address.split(".")[:2])


def _reading(job: Job, design: Design, rows: Sequence[Reading]) -> Row:
    first = rows[0]
    values = [f"{_point(r)}{_shown(r)}" for r in rows]
    setup = [first.setup] if first.setup else []
    setup += [f"loads {first.loads}"] if first.loads else []
    setup += ["leads nulled"] if first.nulled else ["leads not nulled"] if first.nulled is False else []
    then = job.found if first.stage == "found" and design.inst.stage != "found" else design.inst
    return {"what": glossary(first.quantity).says, "where": _where(then, first), "setup": "; ".join(setup),
            "values": ", ".join(values), "clock": first.at.partition("T")[2][:5],
            "how": f"{first.stage}, recorded {taken(first, job.kit, by_the_day=True)}"}


def _where(inst: Installation, row: Reading) -> str:
    """Its place as it was called when it was read: at the way of its own day."""
    here = short(inst, _of(row.a))
    there = short(inst, _of(row.b)) if row.b and _of(row.b) != _of(row.a) else ""
    return f"{here}{f' to {there}' if there else ''}"


def _point(row: Reading) -> str:
    rest = row.a.split(".")[2:]
    return f"{rest[1]}: " if len(rest) > 1 and rest[0] == "points" else ""


def _shown(row: Reading) -> str:
    if row.value is None:
        return row.over_words
    return row.said or f"{show(row.value)} {row.unit}".rstrip()


def seen(job: Job, inst_label: Mapping[str, str]) -> list[Row]:
    """What a person saw, with the code that person gave it, if any."""
    return [{"code": row.code or "no code", "says": row.says, "where": inst_label.get(row.where, row.where), "place": row.place,
             "how": f"{row.by}, {moment(row.at)}"} for row in standing(job.observations)]
