"""Names that must lead somewhere: ends of runs, ways, kinds, neutrals, options. What is wrong is told with the nearest name."""
from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from spareway.doc import Doc, Fault, Trail, nearest, spell, trail
from spareway.job.types import ASKED_OF, Cable, Circuit, Equipment, JobFile, Run
from spareway.kinds import Kind, UnknownKind, kind, kind_names
from spareway.kinds.joints import inside

if TYPE_CHECKING:
    from spareway.job.job import Installation

UNTRACED = "?"
CONDUCTORS = ("L", "N", "E", "L1", "L2", "L3")


@cache
def sides(name: str) -> Mapping[str, tuple[str, ...]]:
    """The sides of a kind and the conductors each has, in the order L N E: {"top": ("L", "N")}."""
    found: dict[str, set[str]] = {}
    for link in inside("", kind(name).wiring):
        for end in (link.a, link.b):
            side, _, conductor = end.lstrip(".").rpartition(".")
            found.setdefault(side, set()).add(conductor)
    return {side: tuple(c for c in CONDUCTORS if c in has) for side, has in found.items()}


def is_board(equipment: Equipment) -> bool:
    """A board has ways, and busbars for them to stand on."""
    return bool(kind(equipment.kind).bars)


def terminals_at(inst: Installation, end: str) -> tuple[str, ...] | None:
    """The terminals an end of a run names: `meter.out` is meter.out.L and meter.out.N. None where it names nothing."""
    parts = trail(end)
    if len(parts) < 2 or parts[0] not in inst.equipment or not _known(inst.equipment[parts[0]].kind):
        return None
    thing, *rest = parts
    has = sides(inst.equipment[thing].kind)
    side = ".".join(rest)
    if side in has:
        return tuple(f"{thing}.{side}.{c}" for c in has[side])
    if len(rest) > 1 and rest[-1] in CONDUCTORS and rest[-1] in has.get(".".join(rest[:-1]), ()):
        return (f"{thing}.{side}",)
    if rest[0].isdigit() and is_board(inst.equipment[thing]):
        return (f"{thing}.{side}",) if len(rest) == 2 and rest[1] in CONDUCTORS else tuple(
            f"{thing}.{rest[0]}.{c}" for c in "LNE") if len(rest) == 1 else None
    return None


def _known(name: str) -> bool:
    return name in kind_names()


def in_installation(inst: Installation, doc: Doc) -> list[Fault]:
    """Every name in an installation that leads nowhere."""
    return [*_kinds(inst, doc), *_names_apart(inst, doc), *_landings(inst, doc), *_bars(inst, doc), *_routes(inst, doc),
            *_circuits(inst, doc), *_ways_twice(inst, doc), *_points(inst, doc), *_places(inst, doc), *_skins(inst, doc),
            *_logs(inst, doc)]


def _ends(inst: Installation) -> list[str]:
    """What a run may land on, for the nearest name."""
    return [f"{name}.{side}" for name, e in inst.equipment.items() if _known(e.kind) for side in sides(e.kind)]


def _fault_kind(doc: Doc, at: Trail, name: str, families: tuple[str, ...] = ()) -> Iterator[Fault]:
    """A kind that is not there, or is of a family that cannot stand here."""
    if not name:
        return
    try:
        of: Kind = kind(name)
    except UnknownKind:
        known = [k for k in kind_names() if not families or kind(k).family in families]
        yield doc.fault(at, name, f'there is no kind "{name}"', "see docs/kinds.md", nearest(name, known))
        return
    if families and of.family not in families:
        yield doc.fault(at, name, f'"{name}" is {of.says} and cannot stand here', f"a {' or '.join(families)}")


def _kinds(inst: Installation, doc: Doc) -> Iterator[Fault]:
    for name, thing in inst.equipment.items():
        yield from _fault_kind(doc, ("equipment", name, "kind"), thing.kind)
    for name, circuit in inst.circuits.items():
        if circuit.device:
            yield from _fault_kind(doc, ("circuits", name, "device", "kind"), circuit.device.kind, ("device", "surge"))
            is_surge = _known(circuit.device.kind) and kind(circuit.device.kind).family == "surge"
            fed = any(e.on == name for e in inst.equipment.values())
            if is_surge and (circuit.feeds or circuit.points or circuit.cable or fed):
                yield doc.fault(("circuits", name, "device", "kind"), circuit.device.kind, "a surge device protects no circuit",
                                "a way of its own for it, without cable, points or feeds")
        if "." not in circuit.feeds:
            yield from _fault_kind(doc, ("circuits", name, "feeds"), circuit.feeds, ("appliance", "source"))
        for point in circuit.points.values():
            at = ("circuits", name, "points", point.name)
            yield from _fault_kind(doc, (*at, "feeds"), point.feeds, ("appliance", "source"))
            yield from _fault_kind(doc, (*at, "before"), point.before, ("switch",))
            if point.before and _known(point.before) and not {"in", "out"} <= set(sides(point.before)):
                yield doc.fault((*at, "before"), point.before, f'"{point.before}" does not stand before an appliance',
                                "a kind with the sides in and out, like fused-spur or switch-20a-2p")


def _names_apart(inst: Installation, doc: Doc) -> Iterator[Fault]:
    """One name, one thing: terminals and lifted conductors are named after things, runs and circuits."""
    seen: dict[str, str] = {}
    for table in ("equipment", "circuits", "runs"):
        for name in getattr(inst, table):
            if "." in name or " " in name:
                yield doc.fault((table, name), name, f'"{name}" cannot be a name', "letters, digits and hyphens")
            elif name in seen:
                yield doc.fault((table, name), name, f"{seen[name]}.{name} has this name already", "give each thing its own")
            seen.setdefault(name, table)


def _landings(inst: Installation, doc: Doc) -> Iterator[Fault]:
    for name, run in inst.runs.items():
        at = ("runs", name, "joins")
        if not 1 <= len(run.joins) <= 2:
            yield doc.fault(at, list(run.joins), f"a run has two ends, this has {len(run.joins)}",
                            'write ["meter.out", "board.in"], or one end where the other is cut')
        for end in run.joins:
            if end != UNTRACED and terminals_at(inst, end) is None:
                yield doc.fault(at, end, f'nothing is called "{end}"', 'or "?" where it was not traced',
                                nearest(end, _ends(inst)))
        yield from _nothing_shared(inst, doc, name, run)
    for name, supply in inst.supplies.items():
        if not any(t.endswith((".L", ".L1")) for t in terminals_at(inst, supply.joins) or (".L",)):
            yield doc.fault(("supplies", name, "joins"), supply.joins, f"{supply.joins} has no line terminal to land on",
                            "the incoming side of the cut-out")
        if supply.joins and terminals_at(inst, supply.joins) is None:
            yield doc.fault(("supplies", name, "joins"), supply.joins, f'nothing is called "{supply.joins}"', "",
                            nearest(supply.joins, _ends(inst)))
        if supply.origin and terminals_at(inst, supply.origin) is None:
            yield doc.fault(("supplies", name, "origin"), supply.origin, f'nothing is called "{supply.origin}"', "",
                            nearest(supply.origin, _ends(inst)))
    for name, earth in inst.earthing.items():
        if earth.joins and terminals_at(inst, earth.joins) is None:
            yield doc.fault(("earthing", name, "joins"), earth.joins, f'nothing is called "{earth.joins}"', "",
                            nearest(earth.joins, _ends(inst)))


def _nothing_shared(inst: Installation, doc: Doc, name: str, run: Run) -> Iterator[Fault]:
    """A run whose ends have no conductor in common that it may carry would join nothing, in silence."""
    ends = [terminals_at(inst, end) for end in run.joins if end != UNTRACED]
    if len(ends) != 2 or ends[0] is None or ends[1] is None or len(ends[0]) == len(ends[1]) == 1:
        return
    here, there = ({t.rpartition(".")[2] for t in end} for end in ends if end)
    may = {"E"} if run.kind in ("earthing", "bond") else set(CONDUCTORS) - ({"E"} if run.kind == "tails" else set())
    if not here & there & may:
        yield doc.fault(("runs", name, "joins"), list(run.joins), f"a run of kind {run.kind} joins nothing between these ends",
                        "ends that share a conductor it carries, or another kind")


def span(said: str) -> set[int] | None:
    """"1-6, 9" as the ways it names; None where it is not in that form."""
    ways: set[int] = set()
    for part in said.replace(" ", "").split(","):
        match = re.fullmatch(r"([1-9][0-9]?)(?:-([1-9][0-9]?))?", part, re.ASCII)
        if not match or match[2] and int(match[2]) < int(match[1]):
            return None
        ways |= set(range(int(match[1]), int(match[2] or match[1]) + 1))
    return ways


def _bars(inst: Installation, doc: Doc) -> Iterator[Fault]:
    """Which ways stand on which bar: a bar that is not there would leave its ways on another."""
    for name, thing in inst.equipment.items():
        bars = kind(thing.kind).bars if _known(thing.kind) else {}
        taken: set[int] = set()
        for bar, said in thing.bars.items():
            at = ("equipment", name, "bars", bar)
            ways = span(said)
            if bar not in bars:
                there = f"one of {', '.join(bars)}" if bars else ""
                yield doc.fault(at, said, f"{name} has no bar {bar}", there, nearest(bar, bars))
            elif ways is None:
                yield doc.fault(at, said, f'"{said}" names no ways', 'write "1-6" or "1-4, 9"')
            elif ways & taken:
                yield doc.fault(at, said, f"way {min(ways & taken)} stands on two bars", "each way on one")
            taken |= ways or set()


def _routes(inst: Installation, doc: Doc) -> Iterator[Fault]:
    """The length of a route is the total of its stretches: said twice, one of the two would be passed over."""
    laid: list[tuple[Trail, Run | Cable]] = [(("runs", n), r) for n, r in inst.runs.items()]
    laid += [(("circuits", n, "cable"), c.cable) for n, c in inst.circuits.items() if c.cable is not None]
    for at, route in laid:
        if route.stretches and (route.length_m.known or route.length_m.note != "not recorded"):
            yield doc.fault((*at, "length_m"), str(route.length_m), "its stretches give the length, and it is said here too",
                            "take one of the two out")


def _boards(inst: Installation) -> list[str]:
    return [name for name, e in inst.equipment.items() if _known(e.kind) and is_board(e)]


def _circuits(inst: Installation, doc: Doc) -> Iterator[Fault]:
    boards = _boards(inst)
    for name, circuit in inst.circuits.items():
        yield from _way(inst, doc, name, circuit, boards)
        if "." in circuit.feeds and terminals_at(inst, circuit.feeds) is None:
            yield doc.fault(("circuits", name, "feeds"), circuit.feeds, f'nothing is called "{circuit.feeds}"', "",
                            nearest(circuit.feeds, _ends(inst)))
        if circuit.neutral and circuit.neutral not in inst.circuits:
            yield doc.fault(("circuits", name, "neutral"), circuit.neutral, f'there is no circuit "{circuit.neutral}"', "",
                            nearest(circuit.neutral, inst.circuits))
        for core in ("L", "N", "E"):
            end = getattr(circuit.lands, core) if circuit.lands else ""
            if end and terminals_at(inst, end) is None:
                yield doc.fault(("circuits", name, "lands", core), end, f'nothing is called "{end}"', "",
                                nearest(end, [*_ends(inst), *(f"{b}.1.N" for b in boards)]))
    for name, thing in inst.equipment.items():
        if thing.on and thing.on not in inst.circuits:
            yield doc.fault(("equipment", name, "on"), thing.on, f'there is no circuit "{thing.on}"', "",
                            nearest(thing.on, inst.circuits))


def _way(inst: Installation, doc: Doc, name: str, circuit: Circuit, boards: list[str]) -> Iterator[Fault]:
    at = ("circuits", name, "way")
    if not circuit.way:
        return
    match = re.fullmatch(r"([A-Za-z0-9_-]+)\.([1-9][0-9]?)", circuit.way, re.ASCII)
    if not match or match[1] not in boards:
        near = nearest(circuit.way.partition(".")[0], boards)
        yield doc.fault(at, circuit.way, f'"{circuit.way}" is not a way of a board here', "write board.5",
                        f"{near}.{circuit.way.partition('.')[2] or 1}" if near else "")
        return
    ways = inst.equipment[match[1]].ways_n.amount
    if ways is not None and int(match[2]) > ways:
        yield doc.fault(at, circuit.way, f"{match[1]} has {ways:g} ways", f"1 to {ways:g}")


def _ways_twice(inst: Installation, doc: Doc) -> Iterator[Fault]:
    """Two circuits may share a way; two devices cannot stand in it."""
    taken: dict[str, str] = {}
    for name, circuit in inst.circuits.items():
        if circuit.device is not None and circuit.way in taken:
            yield doc.fault(("circuits", name, "device"), circuit.way, f"circuits.{taken[circuit.way]} states a device for "
                            f"{circuit.way} too", "one device a way; leave it out here if both land on it")
        elif circuit.device is not None and circuit.way:
            taken[circuit.way] = name


def _points(inst: Installation, doc: Doc) -> Iterator[Fault]:
    for name, circuit in inst.circuits.items():
        starts = ["way", "way.a", "way.b", *circuit.points]
        for point in circuit.points.values():
            at = ("circuits", name, "points", point.name)
            for key, said in (("from", point.from_), ("back_to", point.back_to)):
                if said and (said not in starts or said == point.name):
                    yield doc.fault((*at, key), said, f'no point is called "{said}"', "way, way.a, way.b or a point",
                                    nearest(said, [s for s in starts if s != point.name]))
            other, _, there = point.neutral.partition(".")
            if point.neutral and (other not in inst.circuits or there and there not in inst.circuits[other].points):
                yield doc.fault((*at, "neutral"), point.neutral, f'there is no circuit "{point.neutral}"', "",
                                nearest(other, inst.circuits))
        yield from _loops(circuit, doc)


def _loops(circuit: Circuit, doc: Doc) -> Iterator[Fault]:
    """A point that leads back to itself through the points before it never reaches the board."""
    for point in circuit.points.values():
        seen, here = {point.name}, point.from_
        while here in circuit.points and here not in seen:
            seen.add(here)
            here = circuit.points[here].from_
        if here == point.name and point.from_ != point.name:
            yield doc.fault(("circuits", circuit.name, "points", point.name, "from"), point.from_,
                            f"{point.name} comes from itself", "a chain of points begins at way")
            return


def _places(inst: Installation, doc: Doc) -> Iterator[Fault]:
    """Rooms and spaces that a thing or a point names and the record has not, where it has any: what is asked of a room, whether a
    bath is in it among that, would be asked of nothing. A job that lists none names them as a person calls them."""
    said: list[tuple[Trail, str, Mapping[str, Any]]] = []
    for name, thing in inst.equipment.items():
        said += [(("equipment", name, "room"), thing.room, inst.rooms), (("equipment", name, "space"), thing.space, inst.spaces)]
    for name, circuit in inst.circuits.items():
        said += [(("circuits", name, "points", p.name, "room"), p.room, inst.rooms) for p in circuit.points.values()]
    for at, word, there in said:
        if word and there and word not in there:
            another = spell((f"{at[-1]}s", word))
            yield doc.fault(at, word, f'there is no {at[-1]} "{word}"',
                            f"one of {', '.join(there)}; or, where it is another, write [{another}] in premises.toml",
                            nearest(word, there))


def _skins(inst: Installation, doc: Doc) -> Iterator[Fault]:
    """What a part of a room's skin is made of, and what an opening is cut from: of a name that leads nowhere, nothing is lost."""
    for name, room in inst.rooms.items():
        for part in room.elements.values():
            at = ("rooms", name, "elements", part.name)
            others = [each for each in room.elements if each != part.name]
            if part.cut_from and part.cut_from not in others:
                yield doc.fault((*at, "cut_from"), part.cut_from, f'this room has no other part "{part.cut_from}"',
                                f"one of {', '.join(others)}" if others else "the wall that it is cut from, in this room",
                                nearest(part.cut_from, others))
            if part.of and part.of not in inst.fabric:
                yield doc.fault((*at, "of"), part.of, f'there is no construction "{part.of}"',
                                f"write [{spell(('fabric', part.of))}] in premises.toml", nearest(part.of, inst.fabric))


def _logs(inst: Installation, doc: Doc) -> Iterator[Fault]:
    """A log ends no sooner than it begins; and what nobody saw a logger write is no record of it."""
    for name, log in inst.logs.items():
        if log.since is not None and log.until is not None and log.until < log.since:
            yield doc.fault(("logs", name, "until"), log.until, "its last day is before its first",
                            f"{log.since} or a later day")
        if log.highest_a.how == "assumed":
            yield doc.fault(("logs", name, "highest_a"), log.highest_a, "an assumed minute is no record",
                            "what the logger wrote, like { measured = 44 }; or { unknown = \"why\" }")


LAND = (("runs", "joins"), ("circuits", "way"), ("circuits", "feeds"), ("circuits", "lands.L"), ("circuits", "lands.N"),
        ("circuits", "lands.E"), ("earthing", "joins"), ("supplies", "joins"))


def stale_landings(base: Doc, top: Doc) -> list[Fault]:
    """Whatever lands on a thing this overlay replaces and does not say again in it where it lands; and circuits it moves to
    another board without saying what stands in the way there."""
    faults: list[Fault] = []
    fresh = {name for name, entry in _table(top, "equipment").items() if name in _table(base, "equipment")
             and isinstance(entry, dict) and ("kind" in entry or "item" in entry)}
    gone = {tuple(trail(a)) for a in top.data.get("remove", []) if isinstance(a, str)} \
        if isinstance(top.data.get("remove", []), list) else set()
    for table, key in LAND:
        for name, entry in _table(base, table).items():
            said = _said(entry, key)
            ends = said if isinstance(said, list) else [said]
            on = [e.partition(".")[0] for e in ends if isinstance(e, str) and "." in e and e.partition(".")[0] in fresh]
            again = _said(_table(top, table).get(name), key) is not None
            taken = {(table, name), (table, name, *key.split(".")), (table, name, key.split(".")[0])} & gone
            if on and not again and not taken:
                faults.append(top.fault(("equipment", on[0]), on[0], f"{on[0]} is another thing now, and {table}.{name} "
                                        "still lands on the old one", f"say {table}.{name}.{key} again here, or remove it"))
    return [*faults, *_moved(base, top, gone)]


def _moved(base: Doc, top: Doc, gone: Container[tuple[str, ...]]) -> Iterator[Fault]:
    """Circuits put on another board with the device of the old one left in the lines below."""
    for name, entry in _table(top, "circuits").items():
        old, new = (_said(e, "way") for e in (_table(base, "circuits").get(name), entry))
        if not (isinstance(old, str) and isinstance(new, str)) or old.partition(".")[0] == new.partition(".")[0]:
            continue
        kept = _said(_table(base, "circuits").get(name), "device") is not None and _said(entry, "device.kind") is None
        if kept and ("circuits", name, "device") not in gone:
            yield top.fault(("circuits", name, "way"), new, f"circuits.{name} is on another board now, and its device is still "
                            f"the one of {old}", f"say circuits.{name}.device again here, with its kind, or remove it")


def _said(entry: Any, key: str) -> Any:
    """What a table says under a dotted key, or None."""
    for word in key.split("."):
        entry = entry.get(word) if isinstance(entry, dict) else None
    return entry


def _table(doc: Doc, name: str) -> dict[str, Any]:
    table = doc.data.get(name, {})
    return table if isinstance(table, dict) else {}


def in_rows(file: str, rows: Iterable[Any], states: Iterable[Mapping[str, Any]]) -> list[Fault]:
    """Addresses in rows that lead nowhere at any stage: a reading at a misspelt one would be passed over in silence.

    A place in words, with a space in it, is taken as it is; so is a name without a point."""
    faults: list[Fault] = []
    known = [{f"{table}.{name}": entry for table in TABLES for name, entry in data.get(table, {}).items()
              if isinstance(entry, dict)} for data in states]
    for row in rows:
        for field in ("a", "b", "where", "address"):
            said = getattr(row, field, "")
            if said and "." in said and " " not in said and not any(_leads(said, things) for things in known):
                faults.append(Fault(file, row.line, field, said, f'nothing is called "{said}"',
                                    "an address like circuits.oven, or a place in words",
                                    nearest(said, {name for things in known for name in things})))
    return faults


TABLES = ("supplies", "equipment", "runs", "circuits", "earthing", "rooms", "spaces")


def _leads(said: str, things: Mapping[str, Any]) -> bool:
    """Whether an address names a thing, and where it names a point of a circuit, one that is there."""
    at = trail(said)
    entry = things.get(".".join(at[:2]))
    if entry is None:
        return False
    return at[0] != "circuits" or len(at) < 4 or at[2] != "points" or at[3] in entry.get("points", {})


def in_job(about: JobFile, doc: Doc, insts: Iterable[Installation], files: Mapping[str, str]) -> list[Fault]:
    """Names in job.toml that lead nowhere: options without a file, permissions for controls that are not there."""
    faults: list[Fault] = []
    options = [f[7:-5] for f in files if f.startswith("option-")]
    for name in about.options:
        if f"option-{name}.toml" not in files:
            faults.append(doc.fault(("options",), name, f"there is no option-{name}.toml", "", nearest(name, options)))
    controls = {f"{name}.{control}" for inst in insts for name, e in inst.equipment.items() if _known(e.kind)
                for control in kind(e.kind).controls}
    for name, said in about.dates.items():
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", said, re.ASCII):
            faults.append(doc.fault(("dates", name), said, f'"{said}" is no date', "write 2026-11-02"))
    for name, permission in about.permissions.items():
        if permission.part and permission.part not in controls:
            faults.append(doc.fault(("permissions", name, "part"), permission.part, f"no control is called {permission.part}",
                                    "", nearest(permission.part, controls)))
    for table, key, said_by in (("replies", "answers", [(n, r.answers) for n, r in about.replies.items()]),
                                ("enquiries", "asks", [(n, e.asks) for n, e in about.enquiries.items()])):
        faults += [doc.fault((table, name, key), each, f'nothing an operator is asked is called "{each}"',
                             f"one of {', '.join(ASKED_OF)}", nearest(each, ASKED_OF))
                   for name, all_ in said_by for each in all_ if each not in ASKED_OF]
    return faults
