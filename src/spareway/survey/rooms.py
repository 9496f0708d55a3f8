"""The rooms: a name, three lengths, the outside wall, its glass, what is above and below. Each answer is a line of premises.toml.

Whatever nobody measured is written as unknown: a wall of whose glass nothing was said has no area, and its room no loss.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from spareway.doc import Doc, Fault, InputError, looked_at, nearest, read, spell
from spareway.job.types import AIR_BASES, ROOM_USES
from spareway.survey.ask import Choice, Question, Unknown
from spareway.survey.building import CALLED, acts_on, element_of, fabric_line, is_nothing, kinds_of, named, question_of
from spareway.survey.edit import set_value, without
from spareway.survey.heaters import heater_answered, heater_questions
from spareway.survey.sums import added_up
from spareway.survey.words import about_field, kept, spoken, stands, value_at
from spareway.tables.table import table

__all__ = ["FILE", "HOME", "begun", "home_questions", "removed", "room_answered", "room_names", "room_questions"]

FILE, HOME = "premises.toml", ""
HEAD = "# The building: what it is made of and its rooms. Read with found.toml. Inner sizes; lengths of walls are gross.\n"
SIZES = ("length_m", "width_m", "height_m")
FLOORS = ("ground", "first", "second", "third", "basement")
MEASURED = "There is: measured"
NOT_MEASURED = ("not measured", "cannot get at it")
AREA_NOTE = "length by width"
LEVEL = ("above", "below")
PLACE, BASIS = "heating.main.place", "heating.main.air_basis"


def _doc(files: Mapping[str, str]) -> Doc:
    return looked_at(FILE, files.get(FILE, ""))


def room_names(files: Mapping[str, str]) -> list[str]:
    """The rooms of the record, in its order."""
    return [*_doc(files).data.get("rooms", {})]


# ---- of the whole home ---------------------------------------------------------------------------------------------------
def home_questions(files: Mapping[str, str]) -> list[Question]:
    """What all rooms are reckoned with: once a home."""
    doc = _doc(files)
    outside = stands(value_at(doc, "heating.main.outside_c"), "°C") or stands(value_at(doc, PLACE))
    basis = value_at(doc, BASIS)
    rows = table("design_temperature").rows
    places = tuple((row.keys[0], f"{_placed_as(row.keys[0])}, {spoken(row.value)} °C") for row in rows)
    return [
        Question(PLACE, "How cold is it outside on the design day? The nearest place.", "choice", places, now=outside,
                 open=not outside, unknown_reasons=("not decided",)),
        Question(BASIS, "By which table are air changes counted?", "choice", tuple((each, each) for each in AIR_BASES),
                 now=stands(basis), open=basis is None and _wants_basis(doc), unknown_reasons=("not decided",),
                 help="By the age of the home, or the standard that is followed. The tables differ threefold."),
        about_field(doc, "heating", "heating.main.bridging_w_per_m2k", "The whole home"),
        about_field(doc, "heating", "heating.main.margin_share", "The whole home"),
    ]  # fmt: skip


def _placed_as(name: str) -> str:
    """A row that is no town says so: it goes by how much more the heating could give."""
    if "surplus" not in name:
        return name
    share, _, building = name.partition(", ")
    return f"Anywhere, {building or 'any building'}, heating with {share.replace('surplus capacity', 'surplus')}"


def _wants_basis(doc: Doc) -> bool:
    """Whether the air of some room is counted by its use; in a home without rooms it will be."""
    rooms = doc.data.get("rooms", {}).values()
    return not rooms or any("use" in room and "air_changes_per_h" not in room for room in rooms)


# ---- of one room ------------------------------------------------------------------------------------------------------------
def room_questions(files: Mapping[str, str], room: str) -> list[Question]:
    """In the order of a person with a tape: the floor, three lengths, the wall, what is cut from it, above, below, its heaters.

    Errors: InputError where there is no such room in premises.toml."""
    doc = _doc(files)
    if room not in doc.data.get("rooms", {}):
        near = nearest(room, room_names(files))
        raise InputError([Fault(FILE, None, "rooms", room, f'there is no room "{room}" in it', "", near)])
    return [*_first(doc, room), *_wall(doc, room), *_levels(doc, room), *_last(doc, room), *heater_questions(files, room)]


def _at(room: str, *steps: str) -> str:
    return spell(("rooms", room, *steps))


def _part_at(doc: Doc, room: str, part: str) -> str:
    """The address of the element that is this part of the room, or will be."""
    return _at(room, "elements", named(doc, room, part)[0])


def _called(room: str) -> str:
    return room.replace("-", " ").capitalize()


def _first(doc: Doc, room: str) -> Iterator[Question]:
    floor = value_at(doc, _at(room, "floor"))
    yield Question(_at(room, "floor"), f"{_called(room)}: which floor?", "choice", tuple((f, f.capitalize()) for f in FLOORS),
                   now=floor or "", open=floor is None, unknown_reasons=(),
                   help="Heaters are put on circuits floor by floor.")  # fmt: skip
    for field in SIZES:
        asked = about_field(doc, "room", _at(room, "size", field), _called(room))
        yield replace(asked, choices=_heights(doc, room)) if field == "height_m" else asked


def _heights(doc: Doc, room: str) -> tuple[Choice, ...]:
    """The heights that other rooms have, to be taken by one tap once seen to be the same."""
    others = [value_at(doc, _at(name, "size", "height_m")) for name in doc.data["rooms"] if name != room]
    known = dict.fromkeys(str(each["measured"]) for each in others if isinstance(each, dict) and "measured" in each)
    return tuple((height, f"{height} m") for height in known)


def _wall(doc: Doc, room: str) -> Iterator[Question]:
    """The length of the outside wall; where there is one, what it is, and what is cut from it, the glass before the door."""
    at = _part_at(doc, room, "wall")
    wall = value_at(doc, at)
    none = is_nothing(wall)
    now = "no outside wall" if none else _stands(wall, "length_m", "m") or _stands(wall, "area_m2", "m²")
    yield Question(f"{at}.length_m", f"{_called(room)}: length of wall that faces outside", "number",
                   (("0", "None"),), "m", "All of it, with the windows in it: they are taken off.", now, not now,
                   NOT_MEASURED, other=MEASURED)  # fmt: skip
    if isinstance(wall, dict) and not none:
        yield _kind(doc, room, "wall")
        yield _area(doc, room, "window", "windows and glazed doors, together", "No glass: looked for")
        if named(doc, room, "window")[1]:
            yield from _kind_of_opening(doc, room, "window")
            yield _area(doc, room, "door", "a door to the outside that is not of glass", "No such door")
            yield from _kind_of_opening(doc, room, "door")


def _stands(element: Any, field: str, unit: str) -> str:
    return stands(element.get(field), unit) if isinstance(element, dict) else ""


def _area(doc: Doc, room: str, part: str, says: str, none: str) -> Question:
    at = _part_at(doc, room, part)
    element = value_at(doc, at)
    now = "none" if is_nothing(element) else _stands(element, "area_m2", "m²") or _stands(element, "length_m", "m")
    return Question(f"{at}.area_m2", f"{_called(room)}: {says}", "area", (("0", none),), "m²",
                    "Width × height of each, with + between them: 1.2×1.4+0.6×0.9", now, not now, NOT_MEASURED,
                    other=MEASURED)  # fmt: skip


def _kind_of_opening(doc: Doc, room: str, part: str) -> Iterator[Question]:
    """Only of what is there: where it is said that there is none, nobody asks of what it is."""
    element = value_at(doc, _part_at(doc, room, part))
    if isinstance(element, dict) and not is_nothing(element):
        yield _kind(doc, room, part)


def _kind(doc: Doc, room: str, part: str) -> Question:
    element = value_at(doc, _part_at(doc, room, part))
    kinds = kinds_of(doc, part)
    now = _made(element, dict(kinds)) if isinstance(element, dict) else ""
    says = f"{_called(room)}: {question_of(part)[:1].lower()}{question_of(part)[1:]}"
    return Question(_at(room, "kind", part), says, "choice", kinds, now=now, open=not now, unknown_reasons=("cannot tell",))


def _made(element: Mapping[str, Any], kinds: Mapping[str, str]) -> str:
    """What it is made of, as it stands: its construction, its own transmittance, or that it is nothing; "" where nobody said."""
    if of := element.get("of"):
        return kinds.get(of, str(of).replace("-", " "))
    return "nothing is lost there" if is_nothing(element) else stands(element.get("u_w_per_m2k"), "W/(m²K)")


def _levels(doc: Doc, room: str) -> Iterator[Question]:
    yield from (_kind(doc, room, part) for part in LEVEL)


def _last(doc: Doc, room: str) -> Iterator[Question]:
    """Temperature and air: by the use of the room where a table has it, and then nobody need be asked."""
    use, basis = value_at(doc, _at(room, "use")), value_at(doc, BASIS)
    by_table = {"design_c": (use,) in _keys("room_temperature"), "air_changes_per_h": (use, basis) in _keys("air_changes")}
    for field, looked_up in by_table.items():
        asked = about_field(doc, "room", _at(room, field), _called(room))
        told = asked.now or (f"by the table, as a {use}" if looked_up else "")
        yield replace(asked, now=told, open=not told)


def _keys(name: str) -> set[tuple[Any, ...]]:
    return {row.keys for row in table(name).rows}


# ---- answers ----------------------------------------------------------------------------------------------------------------
def begun(files: Mapping[str, str], use: str) -> tuple[str, dict[str, str]]:
    """(name, changed files) of a room begun by what it is used for. Errors: InputError."""
    if use not in ROOM_USES:
        near = nearest(use, ROOM_USES)
        raise InputError([Fault("answer", None, "use", use, "no such use of a room", ", ".join(ROOM_USES), near)])
    taken = _doc(files).data.get("rooms", {})
    plain = use.lower().replace(" ", "-")
    name = next(each for each in (plain, *(f"{plain}-{n}" for n in range(2, len(taken) + 3))) if each not in taken)
    others = "" if taken else "".join(f"\n[{spell(('rooms', each))}]\n" for each in _only_named(files) if each != name)
    text = f'{_text(files).rstrip()}\n\n[{spell(("rooms", name))}]\nuse = "{use}"\n{others}'
    return name, {FILE: text}


def removed(files: Mapping[str, str], room: str) -> dict[str, str]:
    """The file without a room that was begun wrongly. Errors: InputError while anything else of the record names it."""
    return {FILE: without(files.get(FILE, ""), spell(("rooms", room)), FILE)}


def _only_named(files: Mapping[str, str]) -> list[str]:
    """The rooms that things and points name: with the first room on record each of them has to be one, be it of no skin yet."""
    named: list[str] = []
    for file in files:
        if file.endswith(".toml"):
            data = looked_at(file, files[file]).data
            circuits = [each for each in data.get("circuits", {}).values() if isinstance(each, dict)]
            things = [*data.get("equipment", {}).values(), *(p for each in circuits for p in each.get("points", {}).values())]
            named += [str(each["room"]) for each in things if isinstance(each, dict) and each.get("room")]
    return [*dict.fromkeys(named)]


def _text(files: Mapping[str, str]) -> str:
    return files.get(FILE) or HEAD


def room_answered(files: Mapping[str, str], room: str, id: str, value: str | Unknown) -> dict[str, str]:  # noqa: A002   as a Question calls it
    """The changed file: of a room by its name, of the home by "". Errors: InputError, and nothing is changed."""
    asked = {q.id: q for q in (room_questions(files, room) if room else home_questions(files))}
    if id not in asked:
        raise InputError([Fault("answer", None, id, id, "nothing of this name is asked here", "", nearest(id, asked))])
    if asked[id].kind == "choice":
        _one_of(asked[id], value)
    if id.startswith("equipment."):
        return heater_answered(files, asked[id], value)
    files = {**files, FILE: _text(files)}
    field = id.rpartition(".")[2]
    if id == PLACE:
        return {FILE: _placed(files[FILE], value)}
    if field in ("air_basis", "floor"):
        return {FILE: set_value(files[FILE], id, _written(value), FILE)}
    if f".{room}.kind." in f".{id}":
        return {FILE: _made_of(files[FILE], room, field, value)}
    if ".elements." in id:
        return {FILE: _element(files[FILE], room, asked[id], value)}
    changed = kept(files, FILE, "heating" if not room else "room", id, value)
    return {FILE: _levelled(changed[FILE], room)} if field in SIZES else changed


def _one_of(asked: Question, value: str | Unknown) -> None:
    known = dict(asked.choices)
    if isinstance(value, Unknown):
        if asked.unknown_reasons:
            return
        raise InputError([Fault("answer", None, asked.id, value.why, "one of these it is", ", ".join(known))])
    if value not in known:
        wanted = f"one of {', '.join(known)}"
        raise InputError([Fault("answer", None, asked.id, value, f'read "{value}"', wanted, nearest(value, known))])


def _written(value: str | Unknown) -> Any:
    return {"unknown": value.why} if isinstance(value, Unknown) else value


def _placed(text: str, value: str | Unknown) -> str:
    """The place; where a temperature stands already it would go before it, so that one is changed."""
    if value_at(read(FILE, text), "heating.main.outside_c") is None:
        return set_value(text, PLACE, _written(value), FILE)
    if isinstance(value, Unknown):
        return set_value(text, "heating.main.outside_c", _written(value), FILE)
    outside_c = next(row.value for row in table("design_temperature").rows if row.keys[0] == value)
    return set_value(text, "heating.main.outside_c", {"assumed": outside_c, "note": f"table, {value}"}, FILE)


# ---- parts of a room's skin ------------------------------------------------------------------------------------------------
def _put(text: str, address: str, fields: Mapping[str, Any]) -> str:
    """The fields of an element as they shall be: one line, whatever of it was there before; None takes one away.

    Errors: InputError where a person wrote the element as a table of its own and one of it would go."""
    now = value_at(read(FILE, text), address)
    if isinstance(now, dict) and all(value is not None or field not in now for field, value in fields.items()):
        for field, value in fields.items():
            text = text if value is None else set_value(text, f"{address}.{field}", value, FILE)
        return text
    merged = {**(now or {}), **fields}
    return set_value(text, address, {field: value for field, value in merged.items() if value is not None}, FILE)


def _element(text: str, room: str, asked: Question, value: str | Unknown) -> str:
    """A wall by its length, or that there is none; an opening by its area, which is cut from the wall."""
    address = asked.id.rpartition(".")[0]
    if isinstance(value, Unknown):
        measured: Any = {"unknown": value.why}
    else:
        amount, sum_ = added_up(value, asked.unit)
        measured = 0 if amount == 0 else {"measured": amount, **({"note": sum_} if sum_ else {})}
    doc = read(FILE, text)
    part = next(each for each in ("wall", "window", "door") if _part_at(doc, room, each) == address)
    wall, new = named(doc, room, "wall")[0], _new(doc, room, part)
    if part == "wall":
        if measured == 0:
            _holds_nothing(doc, room)
        length = {"length_m": None, "area_m2": 0} if measured == 0 else {"area_m2": None, "length_m": measured}
        return _put(text, address, {**length, **new})
    of, of_wall = (value_at(doc, f"{at}.of") for at in (address, _at(room, "elements", wall)))
    return _put(text, address, {"area_m2": measured, "cut_from": wall, "of": None if of == of_wall else of, **new})


def _new(doc: Doc, room: str, part: str) -> dict[str, str]:
    """Which part it is, of one that is new under a name that does not say it."""
    name, is_there = named(doc, room, part)
    return {} if is_there or name == element_of(part) else {"part": CALLED[part]}


def _holds_nothing(doc: Doc, room: str) -> None:
    """Errors: InputError where something is cut from the wall that would be none."""
    there = [each for each in ("window", "door") if named(doc, room, each)[1]]
    cut = [each for each in there if not is_nothing(value_at(doc, _part_at(doc, room, each)))]
    if cut:
        says = f"a {' and a '.join(cut)} of this room is in the record: say first that there is none"
        raise InputError([Fault("answer", None, _at(room, "elements"), "0", says)])


def _made_of(text: str, room: str, part: str, value: str | Unknown) -> str:
    """What a part is made of: a construction of this home, written down where it is new, and named by the part."""
    name = f"{part}-not-known" if isinstance(value, Unknown) else value
    if value_at(read(FILE, text), spell(("fabric", name))) is None:
        line = {"says": "not known", "part": CALLED[part], "u_w_per_m2k": _written(value)} if isinstance(value, Unknown) else \
            fabric_line(part, name)  # fmt: skip
        text = set_value(text, spell(("fabric", name)), line, FILE)
    doc = read(FILE, text)
    fields: dict[str, Any] = {"of": name, **_new(doc, room, part)}
    if part in LEVEL:
        fields |= {"area_m2": _floor_m2(text, room), "of_dt": acts_on(part, name)}
    return _put(text, _part_at(doc, room, part), fields)


def _floor_m2(text: str, room: str) -> dict[str, Any]:
    """Length by width, by what is measured of both; said so, and worked out anew when either changes."""
    sides = [value_at(read(FILE, text), _at(room, "size", field)) for field in SIZES[:2]]
    if not all(isinstance(side, dict) and "measured" in side for side in sides):
        return {"unknown": "length or width is not measured", "note": AREA_NOTE}
    amount, _ = added_up("×".join(str(side["measured"]) for side in sides), "m²")
    return {"measured": amount, "note": AREA_NOTE}


def _levelled(text: str, room: str) -> str:
    """Above and below as large as the room now is, where nobody gave them an area of their own."""
    for part in LEVEL:
        doc = read(FILE, text)
        address = f"{_part_at(doc, room, part)}.area_m2"
        now = value_at(doc, address)
        if isinstance(now, dict) and now.get("note") == AREA_NOTE:
            text = set_value(text, address, _floor_m2(text, room), FILE)
    return text
