"""The heaters that a room would be met with, as lines of the work: sizes off the ladder, stamped for the declared voltage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from spareway.doc import Fault, InputError, looked_at, spell
from spareway.survey.edit import set_value

__all__ = ["WORK", "heaters_proposed"]

WORK = "work.toml"
HEAD = "# What is to be done.\n"
LETTERS = "abcdefgh"


def heaters_proposed(files: Mapping[str, str], room: str, sizes_w: Sequence[float], stamped_v: float) -> dict[str, str]:
    """The changed file: a panel heater of each size in this room, on no circuit yet. Errors: InputError."""
    if not 0 < len(sizes_w) <= len(LETTERS):
        raise InputError([Fault("answer", None, room, room, "no heater to put there", "what the room loses comes first")])
    text = files.get(WORK) or HEAD
    taken = {name for file in ("found.toml", WORK) for name in looked_at(file, files.get(file, "")).data.get("equipment", {})}
    plain = [f"heater-{room}"] if len(sizes_w) == 1 else [f"heater-{room}-{letter}" for letter in LETTERS[: len(sizes_w)]]
    clash = taken & {*plain}
    if clash:
        there = f"{', '.join(sorted(clash))} is there already"
        raise InputError([Fault(WORK, None, "equipment", room, there, "change its line")])
    for name, size_w in zip(plain, sizes_w, strict=True):
        line = {"kind": "panel-heater", "room": room, "stamped_w": {"drawing": _whole(size_w)},
                "stamped_v": {"drawing": _whole(stamped_v)}}  # fmt: skip
        text = set_value(text, spell(("equipment", name)), line, WORK)
    return {WORK: text}


def _whole(amount: float) -> int | float:
    return int(amount) if amount == int(amount) else amount
