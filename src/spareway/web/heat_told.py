"""The document of `spareway heat` as screens tell it: a loss with its range, what heaters give, the circuits that they go on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.doc import trail
from spareway.drawings.rooms import Bar, rooms_drawn
from spareway.show import exact
from spareway.show import show as shown
from spareway.web.circuit_told import gaps, ground_of, marked
from spareway.web.record import Record

__all__ = [
    "air", "answer", "bars_drawn", "called", "circuits", "documented", "element", "flips", "lost", "may_be",
    "meets", "row", "spread", "watts", "year",
]  # fmt: skip

Said = Mapping[str, Any]
ENOUGH = {True: "within", False: "fails", None: "unknown"}


def documented(found: Record, stage: str) -> dict[str, Any]:
    """The whole document of a stage, worked out once for each state of the job. Errors: InputError."""
    from spareway.api_heat import heat

    return found.once(("heat", stage), lambda: heat(found.files, stage=stage or None))


def watts(amount: float) -> str:
    return f"{amount:.0f}\N{NO-BREAK SPACE}W"


def lost(room: Said) -> str:
    """What it loses; with parts that nobody has answered, which are not nought, what it loses at least."""
    is_ = watts(room["loss_w"]["amount"])
    return f"At least {is_}: {', '.join(room['unsaid'])} not answered" if room["unsaid"] else is_


def spread(loss: Said) -> str:
    """Between what and what it lies, or that nobody recorded a range. Nothing where it is unknown."""
    if loss["amount"] is None:
        return ""
    return f"between {loss['least']:.0f} and {watts(loss['most'])}" if loss["range_of"] else "no range recorded"


def answer(said: Said) -> str:
    """The home in one line: what it loses, the least of it where parts are not answered, or how many rooms nobody knows."""
    home, rooms = said["home"], said["rooms"]
    if home["amount"] is not None:
        if open_n := len(home["unsaid"]):
            return f"At least {watts(home['amount'])}: parts not answered in {open_n} of {len(rooms)} rooms"
        return f"{watts(home['amount'])} on the design day, {spread(home)}"
    unknown_n = len([room for room in rooms if room["loss_w"]["amount"] is None])
    return f"Not known of {unknown_n} of {len(rooms)} rooms" if rooms else "No heated room yet"


def bars_drawn(found: Record, stage: str) -> str:
    """The rooms as bars, for a screen that says the cautions itself; nothing where there are none."""
    rooms = documented(found, stage)["rooms"]
    if not rooms:
        return ""
    return found.once(("rooms drawn", stage), lambda: rooms_drawn([*map(_bar, rooms)], brief=True))


def _bar(room: Said) -> Bar:
    loss, met = room["loss_w"], room["met"][0]
    between = None if loss["amount"] is None else (loss["least"], loss["amount"], loss["most"])
    why = "; ".join(gap["says"] for gap in loss["missing"])
    return Bar(room["name"], between, room["required_w"]["amount"], met["given_w"]["amount"], why, met["short_at_most_w"],
               tuple(room["unsaid"]))  # fmt: skip


def row(room: Said) -> dict[str, Any]:
    """A room of the list: its mark, its loss and what its heaters do about it."""
    lines = [_lost(room)]
    if room["heaters"]:
        lines.append(_heaters(room))
    elif room["sizes_w"]:
        lines.append(f"no heater recorded; {_sizes(room)} would give it")
    of = {"name": room["name"], "says": called(room["name"]), "floor": room["floor"]}
    return {**marked(_verdict(room["met"][0])), **of, "lines": lines}


def _lost(room: Said) -> str:
    if room["loss_w"]["amount"] is None:
        return "Loss not known"
    return lost(room) if room["unsaid"] else f"{lost(room)}, {spread(room['loss_w'])}"


def called(name: str) -> str:
    return f"{name[:1].upper()}{name[1:]}".replace("-", " ")


def _sizes(room: Said) -> str:
    return f"{' + '.join(f'{size:g}' for size in room['sizes_w'])}\N{NO-BREAK SPACE}W"


def _heaters(room: Said) -> str:
    met = room["met"][0]
    return f"heaters give {_given(met)} at {met['supply_v']:g} V: {_enough(met, room['unsaid'])}"


def _given(met: Said) -> str:
    return "unknown" if met["given_w"]["amount"] is None else watts(met["given_w"]["amount"])


def _verdict(met: Said) -> str:
    return "advice" if met["ok"] and (met["short_at_most_w"] or 0.0) > 0 else ENOUGH[met["ok"]]


def _enough(met: Said, unsaid: Sequence[str]) -> str:
    """Short of what is known to be lost is short whatever else is lost; enough for that alone is not enough."""
    if met["ok"] is None:
        unanswered = met["given_w"]["amount"] is not None and unsaid
        return f"cannot tell: {', '.join(unsaid)} not answered" if unanswered else "cannot tell"
    if not met["ok"]:
        return f"{watts(met['short_w'])} short of what is wanted{_apart(met['above_loss_w'])}"
    at_most = f"enough, but {watts(met['short_at_most_w'] or 0.0)} short at the most it may lose"
    return at_most if _verdict(met) == "advice" else "enough"


def _apart(above_w: float | None) -> str:
    """How far from the loss without the margin; where parts are not answered nobody knows, and it is short by more."""
    if above_w is None:
        return " at least"
    return f", {watts(above_w)} above the loss" if above_w >= 0 else f", {watts(-above_w)} below the loss"


def meets(room: Said) -> list[dict[str, Any]]:
    """What its heaters give at each voltage: as stamped, and were the same watts stamped for another."""
    return [
        {
            **marked(_verdict(met)),
            "at": f"{met['supply_v']:g} V",
            "as_if": "" if met["stamped_v"] is None else f"were they stamped for {met['stamped_v']:g} V",
            "given": _given(met),
            "says": _enough(met, room["unsaid"]),
            "gaps": gaps(met["given_w"]),
        }
        for met in room["met"]
    ]


def flips(said: Said) -> Iterator[str]:
    """Which rooms another stamp would leave short, at each voltage of the supply."""
    for each in said["no_longer_met"]:
        rooms = ", ".join(map(called, each["rooms"])) or "none of those met now"
        unknown = f"; cannot tell of {', '.join(map(called, each['cannot_tell']))}" if each["cannot_tell"] else ""
        yield f"Were the same watts stamped for {each['stamped_v']:g} V, short at {each['supply_v']:g} V: {rooms}{unknown}."


# ---- the parts of one room ---------------------------------------------------------------------------------------------
def element(each: Said) -> dict[str, Any]:
    """A part of the skin as a row that opens: its loss, and beneath it what that is made of."""
    less = f", less {', '.join(each['openings'])}" if each["openings"] else ""
    share = "" if each["of_dt"] is None else f" by {exact(each['of_dt'])} of the difference"
    of = f", {each['of'].replace('-', ' ')}" if each["of"] else ""
    made = f"Area {_figure(each['area_m2'])}; U {_figure(each['u_w_per_m2k'])}{share}."
    nothing = f"{each['nothing'][:1].upper()}{each['nothing'][1:]}."
    return _opens(f"part-{each['name']}", f"{called(each['name'])}{less}{of}", each["loss_w"],
                  [nothing if each["nothing"] else made])  # fmt: skip


def air(room: Said) -> list[dict[str, Any]]:
    """The air, and the bridges."""
    of = room["air"]
    changed = f"{_figure(of['volume_m3'])}, changed {_figure(of['changes_per_h']).replace(' 1/h', ' an hour')}."
    return [_opens("part-air", "Air", of["loss_w"], [changed]),
            _opens("part-bridges", "Heat bridges", room["bridging_w_per_k"], [])]  # fmt: skip


def _opens(id: str, says: str, fact: Said, lines: Sequence[str]) -> dict[str, Any]:  # noqa: A002   as HTML calls it
    known = fact["amount"] is not None
    amount, _, unit = fact["is"].partition(" ")
    amount = f"{fact['amount']:.0f}" if unit == "W" else amount
    return {"id": id, "says": says, "known": known, "amount": amount, "unit": unit, "ground": ground_of(fact), "lines": lines,
            "missing": gaps(fact)}  # fmt: skip


def _figure(fact: Said) -> str:
    if fact["amount"] is None:
        return "not known"
    how = f" ({fact['how']}{': ' if fact['note'] else ''}{fact['note']})" if fact["how"] != "worked" else ""
    return f"{fact['is']}{how}"


# ---- the circuits ----------------------------------------------------------------------------------------------------------
def circuits(said: Said) -> dict[str, Any]:
    """Floor by floor, the heaters that share a circuit; then how they stand by the record."""
    of = said["circuits"]
    return {
        "rating": f"{of['rating_a']:g} A",
        "supply": f"{of['supply_v']:g} V",
        "switch": of["switch"],
        "needed": of["needed_n"],
        "alone": of["by_themselves"],
        "floors": [_floor(floor) for floor in of["floors"]],
        "recorded": [_as_recorded(each) for each in of["recorded"]],
    }


def _listed(names: Sequence[str]) -> str:
    return ", ".join(name.replace("-", " ") for name in names)


def _floor(floor: Said) -> dict[str, Any]:
    name = f"{floor['name'].capitalize()} floor" if floor["name"] else "Floor not recorded"
    return {"name": name, "why_not": floor["why_not"], "alone": floor["alone"],
            "circuits": [(_listed(c["heaters"]), f"{shown(c['current_a'])} A") for c in floor["circuits"]]}  # fmt: skip


def _as_recorded(each: Said) -> dict[str, Any]:
    drawn, rated = (fact["is"] if fact["amount"] is not None else "unknown" for fact in (each["current_a"], each["rating_a"]))
    return {"name": each["name"].replace("-", " "), "way": each["way"].replace(".", ", way "), "drawn": drawn, "rated": rated,
            "heaters": _listed(each["heaters"]), "floors_n": len(each["floors"]), "fused": each["on_fused_units"]}  # fmt: skip


# ---- a year of it ------------------------------------------------------------------------------------------------------------
def year(said: Said) -> dict[str, Any]:
    """What a year of heating takes and costs, each between what and what, never one number; what would save, each by itself."""
    of = said["running"]
    price, day = of["price_p_per_kwh"], of["price_on"]
    return {
        "heat": _between(of["heating_kwh"], "kWh"),
        "cost": _between(of["cost_gbp"], "GBP"),
        "price": f"{price['is']}, {price['how']}, {day}" if price["amount"] is not None and day else "",
        "range_of": [may_be(each) for each in of["range_of"]],
        "measures": [_measure(each) for each in of["measures"]],
        "first": of["first"],
    }


def _measure(each: Said) -> tuple[str, str, str, str]:
    """What would be done, the heat and the money that it saves, and what the part would be then, by whose word."""
    kwh, gbp, could = _between(each["saved_kwh"], "kWh"), _between(each["saved_gbp"], "GBP"), each["could_be"]
    then = f"{could['says']} {could['is']}, {could['how']}" if could["how"] != "unknown" else ""
    return each["says"], kwh, gbp, then


def _between(figure: Said, unit: str) -> str:
    """Nothing but a range is told; without one it is unknown, and why."""
    if figure["least"] is None:
        return f"unknown: {'; '.join(gaps(figure)) or 'nobody said between what anything lies'}"
    return f"{figure['least']:.0f} to {figure['most']:.0f}\N{NO-BREAK SPACE}{unit}"


def may_be(ranged: Said) -> str:
    """What may be otherwise, how far, and how that is known."""
    of = trail(ranged["at"])[-2].replace("-", " ")
    how = ", ".join(filter(None, (ranged["how"], ranged["trust"])))
    return f"{ranged['says'][:1].upper()}{ranged['says'][1:]} of {of}: {exact(ranged['least'])} to {exact(ranged['most'])}, {how}"
