"""The board cupboard: each board, then way after way what it feeds, what protects it, its cable. Nothing is assumed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace

from spareway.doc import Doc, Fault, InputError, looked_at, nearest, read, spell, trail
from spareway.job.write import inline
from spareway.kinds import kind
from spareway.show import cleaned
from spareway.survey.ask import Choice, Question, Unknown
from spareway.survey.edit import set_value, without
from spareway.survey.words import about_field, kept, seen, value_at

__all__ = ["RESIDUAL", "answered", "questions", "residual_questions"]

FILE = "found.toml"
SORTS: tuple[Choice, ...] = (
    ("board-rewirable", "Old: fuse carriers behind a two-pole switch"),
    ("board-rewirable-1p", "Old: fuse carriers, switch in the line only"),
    ("board", "Breakers behind a two-pole main switch"),
    ("board-rcd-main", "Breakers behind a residual-current main switch"),
    ("board-split", "Breakers behind two residual-current devices"),
    ("board-part-rcd", "Breakers, one residual-current device over some"),
    ("board-no-switch", "No main switch of its own"),
    ("board-night", "Night board"),
)
FEEDS: tuple[Choice, ...] = (
    ("sockets ring", "Sockets, a ring"),
    ("sockets", "Sockets, not a ring"),
    ("lights", "Lights"),
    ("cooker", "Cooker"),
    ("shower", "Shower"),
    ("immersion", "Immersion heater"),
    ("panel-heater", "Fixed heater"),
    ("storage-heater", "Storage heater"),
    ("appliance", "One fixed appliance"),
    ("alarms", "Alarms"),
    ("nothing", "A cable that serves nothing"),
)
EMPTY: tuple[Choice, ...] = (("empty", "No cable, contacts covered"), ("bare", "No cable, contacts bare"))
BOARD_FIELDS = ("ways_n", "open_entries", "water", "damage", "material")
RESIDUAL = ("residual_ma", "residual_type", "delayed")
DEVICE_FIELDS = {
    "rewirable": ("rating_a",),
    "cartridge": ("rating_a",),
    "mcb": ("curve", "rating_a"),
    "mcb-2p": ("curve", "rating_a"),
    "rcd-in-way": RESIDUAL,
}
BREAKER_AND_RESIDUAL = ("curve", "rating_a", *RESIDUAL)
OF_ONE_APPLIANCE = ("cooker", "shower", "immersion", "panel-heater", "storage-heater", "appliance")
MOST_POINTS, MOST_LETTERS = 40, 60


def questions(files: Mapping[str, str]) -> list[Question]:
    """Board after board; of each its sort and state, then every way."""
    doc = looked_at(FILE, files[FILE])
    boards = [name for name, thing in doc.data.get("equipment", {}).items() if kind(thing["kind"]).family == "board"]
    return [question for board in boards for question in (*_board(doc, board), *_ways(doc, board))]


def _board(doc: Doc, board: str) -> Iterator[Question]:
    address = f"equipment.{spell((board,))}"
    now = value_at(doc, f"{address}.kind")
    yield Question(
        f"{address}.kind",
        f"{_called(board)}: what sort of board?",
        "choice",
        SORTS,
        now=dict(SORTS).get(now, str(now)),
        open=now == "board" and not _seen(doc, board),
        unknown_reasons=(),
    )
    for field in BOARD_FIELDS:
        yield about_field(doc, "equipment", f"{address}.{field}", _called(board))
    yield from residual_questions(doc, board, _called(board))


def residual_questions(doc: Doc, thing: str, of: str) -> Iterator[Question]:
    """What stands on the residual-current device that a thing on the wall has in it; nothing of one without."""
    known = kind(doc.data["equipment"][thing]["kind"]).facts
    for field in RESIDUAL:
        if field in known:
            yield about_field(doc, "device", f"equipment.{spell((thing,))}.{field}", of)


def _seen(doc: Doc, board: str) -> bool:
    """Whether somebody stood before it: then its sort was seen too."""
    return any(value_at(doc, f"equipment.{spell((board,))}.{field}") is not None for field in BOARD_FIELDS)


def _ways(doc: Doc, board: str) -> Iterator[Question]:
    circuits = {str(c.get("way")): name for name, c in doc.data.get("circuits", {}).items()}
    bare, empty = _listed(doc, board, "bare_ways"), _listed(doc, board, "empty_ways")
    for way in range(1, _count(doc, board) + 1):
        name = circuits.get(f"{board}.{way}", "")
        now = "no cable, contacts bare" if way in bare else "no cable" if way in empty else ""
        yield Question(
            f"way.{board}.{way}",
            f"{_called(board)}, way {way}: what does it feed?",
            "choice",
            (*FEEDS, *EMPTY),
            now=_fed_now(doc.data["circuits"][name]) if name else now,
            open=not (name or now),
            unknown_reasons=(),
            help="A cable that nobody has traced is a cable that serves nothing known.",
        )
        if name:
            yield from _circuit(doc, board, way, name)


def _fed_now(circuit: Mapping[str, object]) -> str:
    """What a circuit is recorded to feed, in the words of its key."""
    feeds = str(circuit.get("feeds") or "nothing")
    return dict(FEEDS).get(f"{feeds} ring" if circuit.get("shape") == "ring" else feeds, feeds)


def _listed(doc: Doc, board: str, field: str) -> list[int]:
    """Ways said to be so; none where nobody said."""
    said = value_at(doc, f"equipment.{spell((board,))}.{field}")
    return list(said) if isinstance(said, list) else []


def _count(doc: Doc, board: str) -> int:
    said = value_at(doc, f"equipment.{spell((board,))}.ways_n")
    amount = next(iter(said.values()), None) if isinstance(said, dict) else said
    return int(amount) if isinstance(amount, int | float) and not isinstance(amount, bool) else 0


def _circuit(doc: Doc, board: str, way: int, name: str) -> Iterator[Question]:
    of = f"{_called(board)}, way {way}, {value_at(doc, f'circuits.{spell((name,))}.says') or name.replace('-', ' ')}"
    address = f"circuits.{spell((name,))}"
    device = value_at(doc, f"{address}.device.kind")
    yield about_field(doc, "device", f"{address}.device.kind", of)
    if isinstance(device, str):
        for field in DEVICE_FIELDS.get(device, BREAKER_AND_RESIDUAL if device.startswith("rcbo") else ()):
            yield about_field(doc, "device", f"{address}.device.{field}", of)
    yield about_field(doc, "cable", f"{address}.cable.kind", of)
    said = isinstance(value_at(doc, f"{address}.cable.kind"), str)
    for field in ("line_mm2", "cpc_mm2", "length_m", "method") if said else ():
        if not (field in ("length_m", "method") and value_at(doc, f"{address}.cable.stretches")):
            yield _of_cable(doc, f"{address}.cable.{field}", of)
    yield from _served(doc, address, of)


def _of_cable(doc: Doc, address: str, of: str) -> Question:
    """Its length is asked of a ring from end to end."""
    asked = about_field(doc, "cable", address, of)
    ring = value_at(doc, f"{address.rpartition('.cable.')[0]}.shape") == "ring"
    return replace(asked, help="From end to end.") if ring and address.endswith(".length_m") else asked


def _served(doc: Doc, address: str, of: str) -> Iterator[Question]:
    """What it serves: the watts of one appliance, where its sockets or lamps are, the points of a ring with what lies between."""
    circuit = value_at(doc, address)
    if circuit.get("feeds") in OF_ONE_APPLIANCE:
        yield about_field(doc, "circuit", f"{address}.load_w", of)
    else:
        now = str(circuit.get("says", ""))
        yield Question(f"{address}.says", f"{of}: which rooms, or what, does it serve?", "text", help="As a person would say it.",
                       now=now, open=not now, unknown_reasons=())  # fmt: skip
    if circuit.get("shape") == "ring":
        points = circuit.get("points", {})
        yield Question(f"{address}.points", f"{of}: how many points has the ring, in order from leg A?", "number", unit="points",
                       now=f"{len(points)} points" if points else "", open=not points, unknown_reasons=(),
                       help="Sockets on the ring itself, no spur. Each is read by its number.")  # fmt: skip
        for name, point in points.items():
            if point.get("from") and not point.get("feeds"):
                yield about_field(doc, "point", f"{address}.points.{spell((name,))}.length_m", f"{of}, to {name}")
                if point.get("back_to"):
                    yield about_field(doc, "point", f"{address}.points.{spell((name,))}.back_m", f"{of}, from {name} home")


def _called(name: str) -> str:
    return name.replace("-", " ").capitalize()


# ---- answers ------------------------------------------------------------------------------------------------------------
def answered(files: Mapping[str, str], id: str, value: str | Unknown) -> dict[str, str]:  # noqa: A002   as a Question calls it
    """The changed file. Errors: InputError."""
    if id.startswith("way."):
        return {FILE: _fed(files[FILE], id, value)}
    at = trail(id)
    if at[0] == "equipment" and at[-1] == "kind":
        known = dict(SORTS)
        if not isinstance(value, str) or value not in known:
            raise InputError(
                [Fault("answer", None, id, str(value), "no such sort of board", ", ".join(known), nearest(str(value), known))]
            )
        return {FILE: seen(set_value(files[FILE], id, value, FILE), id, FILE)}
    if at[0] == "equipment":
        return kept(files, FILE, "device" if at[-1] in RESIDUAL else "equipment", id, value)
    if at[-1] in ("points", "says"):
        return {FILE: _pointed(files[FILE], id, value) if at[-1] == "points" else _said_of(files[FILE], id, value)}
    topic = "point" if at[-1] in ("length_m", "back_m") and "points" in at else "circuit" if at[-1] == "load_w" else at[-2]
    if at[-1] == "kind" and isinstance(value, Unknown):
        raise InputError([Fault("answer", None, id, value.why, f"a {topic} is of some kind", "leave it, and go on")])
    if topic == "device" and at[-1] != "kind" and not value_at(read(FILE, files[FILE]), f"{spell(at[:-1])}.kind"):
        raise InputError(
            [Fault("answer", None, id, str(value), "no device is recorded there yet", "say first what stands in the way")]
        )
    if topic == "device" and at[-1] == "kind":
        return {FILE: _device(files[FILE], spell(at[:-1]), str(value))}
    return kept(files, FILE, topic, id, value)


def _device(text: str, address: str, sort: str) -> str:
    """Another device than before: nothing that was read on the old one is kept. A rewirable fuse is of one standard."""
    known = dict(about_field(read(FILE, text), "device", f"{address}.kind", "way").choices)
    if sort not in known:
        raise InputError(
            [Fault("answer", None, f"{address}.kind", sort, "no such device", ", ".join(known), nearest(sort, known))]
        )
    if value_at(read(FILE, text), f"{address}.kind") == sort:
        return text
    return set_value(text, address, {"kind": sort, **({"fuse": "bs3036"} if sort == "rewirable" else {})}, FILE)


def _fed(text: str, id: str, value: str | Unknown) -> str:  # noqa: A002
    """A circuit begun in this way, or the way noted as empty."""
    _, board, way = id.split(".")
    doc = read(FILE, text)
    if not isinstance(value, str) or value not in dict((*FEEDS, *EMPTY)):
        raise InputError(
            [
                Fault(
                    "answer",
                    None,
                    id,
                    str(value),
                    "no such answer",
                    ", ".join(dict((*FEEDS, *EMPTY))),
                    nearest(str(value), dict((*FEEDS, *EMPTY))),
                )
            ]
        )
    name = next((name for name, c in doc.data.get("circuits", {}).items() if c.get("way") == f"{board}.{way}"), "")
    if name and value not in dict(EMPTY):
        return _fed_anew(text, name, value)
    if name:
        text = without(text, f"circuits.{spell((name,))}", FILE)
    text = _emptied(text, board, int(way), value)
    return text if value in dict(EMPTY) else _begun(text, f"{board}.{way}", value)


def _emptied(text: str, board: str, way: int, value: str) -> str:
    """The way noted as empty or bare, or no longer so."""
    doc, here = read(FILE, text), f"equipment.{spell((board,))}"
    for field, those in (("empty_ways", ("empty", "bare")), ("bare_ways", ("bare",))):
        before = _listed(doc, board, field)
        after = sorted({*before} - {way} | ({way} if value in those else set()))
        if after != before or value in dict(EMPTY):
            text = set_value(text, f"{here}.{field}", after, FILE)
    return text


def _fed_anew(text: str, name: str, value: str) -> str:
    """The circuit keeps its name, which its readings hold on to, and what was read of it; what it feeds is said anew."""
    if _fed_now(read(FILE, text).data["circuits"][name]) == dict(FEEDS)[value]:
        return text
    at = f"circuits.{spell((name,))}"
    for field, said in (
        ("feeds", value.partition(" ")[0]),
        ("shape", "ring" if value.endswith("ring") else "radial"),
        ("says", dict(FEEDS)[value].lower()),
    ):
        text = set_value(text, f"{at}.{field}", said, FILE)
    return text


def _begun(text: str, way: str, value: str) -> str:
    name = _free(value.replace(" ", "-"), read(FILE, text))
    lines = [
        f"[circuits.{spell((name,))}]",
        f'way    = "{way}"',
        f'feeds  = "{value.partition(" ")[0]}"',
        *(['shape  = "ring"'] if value.endswith("ring") else []),
    ]
    return text.rstrip("\n") + "\n\n" + "\n".join(lines) + "\n"


def _said_of(text: str, address: str, value: str | Unknown) -> str:
    said = "" if isinstance(value, Unknown) else cleaned(value).strip()[:MOST_LETTERS]
    if not said:
        raise InputError([Fault("answer", None, address, said, "nothing was said", "say where it goes, as the house calls it")])
    return set_value(text, address, said, FILE)


def _pointed(text: str, address: str, value: str | Unknown) -> str:
    """The points of a ring one after another, p1 from leg A and the last one home to leg B; each length is asked after."""
    said = "" if isinstance(value, Unknown) else value
    if not said.isascii() or not said.isdigit() or not 0 < int(said) <= MOST_POINTS:
        raise InputError([Fault("answer", None, address, said, f'read "{said}"', f"a whole number, 1 to {MOST_POINTS}")])
    old = value_at(read(FILE, text), address) or {}
    if named := [name for name in old if not re.fullmatch(r"p[0-9]+", name)]:
        hint = "change its points in an editor"
        raise InputError([Fault("answer", None, address, said, f"its points have names of their own: {', '.join(named)}", hint)])
    text, last, lines = without(text, address, FILE), int(said), list[str]()
    for n in range(1, last + 1):
        kept_of = {key: each for key, each in old.get(f"p{n}", {}).items() if key not in ("from", "back_to", "back_m")}
        home = {"back_to": "way.b"} if n == last else {}
        lines.append(f"p{n} = {inline({'from': f'p{n - 1}' if n > 1 else 'way.a', **kept_of, **home})}")
    return text.rstrip("\n") + "\n\n" + "\n".join([f"[{address}]", *lines]) + "\n"


def _free(wanted: str, doc: Doc) -> str:
    taken = doc.data.get("circuits", {})
    return next(name for name in (wanted, *(f"{wanted}-{n}" for n in range(2, len(taken) + 3))) if name not in taken)
