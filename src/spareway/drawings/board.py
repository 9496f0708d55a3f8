"""A board: its main switch below, its ways in rails above that, each with its device, its terminals and what it feeds.

A way stands on its busbars by up to three leads, line, neutral and earth from left to right. Above the frame three rows of
letters say what its cores carry; ways side by side at one potential share a letter. Circuits are not drawn further.
"""
from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from spareway.drawings.boxes import INSET, LINE_H, WORD, Box, End, word_lines
from spareway.drawings.inside import Face, face
from spareway.drawings.letters import shortened, width
from spareway.job.job import Installation
from spareway.job.types import Circuit, Device
from spareway.kinds import Kind, kind
from spareway.show import plain
from spareway.wiring.expand import bar_of, core

__all__ = ["NAME", "ROWS", "ROW_H", "BoardBox", "Slot", "board_box"]

NAME = 13.0                                          # size of numbers and names of ways
LEAST, ROUTED, SPARE, LEAD = 18.6, 80.0, 16.0, 20.0  # widths of ways; from core to core where they lead on
WHOLE = 346.0                                        # the width of a drawing without its margins
MOST = 34.0                                          # width of a way where there is room
LEFT, RIGHT = 48.0, 8.0                              # margins of a rail: the words of the rows stand in the left one
ROWS, ROW_H, NUMBER_H = ("L", "N", "E"), 21.0, 17.0
STUB, DEVICE_Y, DEVICES, LEVEL = 16.0, 28.0, 56.0, 10.0    # heights
LONGEST_NAME = 150.0


@dataclass(slots=True)
class Slot:
    """A way, or a place on a busbar itself. `ends` and `xs` by conductor."""
    label: str
    words: str
    ends: dict[str, str] = field(default_factory=dict)
    cores: dict[str, tuple[str, ...]] = field(default_factory=dict)     # conductor -> terminals of the circuits beyond the board
    lifts: dict[str, tuple[str, ...]] = field(default_factory=dict)     # conductor -> by what it can be lifted
    bars: dict[str, str] = field(default_factory=dict)                  # conductor -> busbar terminal it stands on
    device: Kind | None = None
    way: str = ""
    routed: bool = False
    bare: bool = False
    width: float = SPARE
    x: float = 0.0
    rail: int = 0
    xs: dict[str, float] = field(default_factory=dict)


@dataclass(slots=True)
class BoardBox(Box):
    """A box with ways. Levels are the heights of busbars within a rail, rails the heights of their upper edges."""
    slots: list[Slot] = field(default_factory=list)
    levels: dict[str, float] = field(default_factory=dict)
    rails: list[float] = field(default_factory=list)
    inner_y: float = 0.0
    names_h: float = 0.0
    leads: dict[tuple[float, float, float, str], list[float]] = field(default_factory=dict, compare=False, repr=False)  # see ways


def board_box(inst: Installation, name: str, terminals: Collection[str], landed: Collection[str], room: float = 0) -> BoardBox:
    """A board in so much room, or wider where its ways need more; as narrow as it can be in one rail where none is said.

    terminals: every terminal of the record. landed: those on which drawn cores land.
    """
    shown = face(inst.equipment[name].kind)
    slots = list(_slots(inst, name, terminals, landed))
    names_h = max([0.0, *(width(s.words, NAME, s.bare) + 6 for s in slots)])
    rails_n = _rails(slots, room or WHOLE)
    _stretch(slots, room if rails_n == 1 else 0)
    top = [t for t, (_, y) in shown.terminals.items() if y == 0]
    order = sorted(top, key=lambda t: (ROWS.index(t[-1]) if t[-1] in ROWS else 0, shown.terminals[t][0]))
    levels = {f"{name}.{t}": DEVICES + LEVEL * i for i, t in enumerate(order)}
    head = _head(slots, names_h)
    rail_h = DEVICES + LEVEL * len(order) + 6
    rails = [i * (rail_h + head) for i in range(rails_n)]
    inner_y = rails[-1] + rail_h
    lines = word_lines(name, inst.equipment[name], LEFT - 6)
    longest = max(width(words, WORD, bold) for words, bold in lines)
    total = max(_place(slots, rails_n, len(order) if rails_n > 1 else 0), shown.width)
    at = (5.0, 5.0)
    if longest > LEFT - 6 or LINE_H * len(lines) > DEVICES:                 # no room beside the ways: beside the switch
        total, at = max(total, shown.width + longest + INSET), (shown.width - 4, inner_y + INSET)
    high = inner_y + max(shown.height, LINE_H * len(lines) + 2 * INSET)
    words = [(at[0], at[1] + 13 + LINE_H * i, line, bold) for i, (line, bold) in enumerate(lines)]
    box = BoardBox(name, total, high, {}, words, shown, head, slots=slots, levels=levels, rails=rails, inner_y=inner_y,
                   names_h=names_h)
    box.ends = _ends(box, name, shown, high)
    return box


def _head(slots: Sequence[Slot], names_h: float) -> float:
    stubs = any(slot.ends for slot in slots)
    return (STUB + ROW_H * len(ROWS) if stubs else 4.0) + NUMBER_H + names_h if slots else 0.0


def _ends(box: BoardBox, name: str, shown: Face, high: float) -> dict[str, End]:
    ends = {f"{name}.{t}": End(x, high, False) for t, (x, y) in shown.terminals.items() if y > 0}
    for slot in box.slots:
        ends |= {t: End(slot.xs[c], box.rails[slot.rail], True) for c, t in slot.ends.items()}
    return ends


# ---- what there is --------------------------------------------------------------------------------------------------
def _slots(inst: Installation, name: str, terminals: Collection[str], landed: Collection[str]) -> Iterator[Slot]:
    thing = inst.equipment[name]
    by_way: dict[int, list[Circuit]] = {}
    for circuit in inst.circuits.values():
        board, _, number = circuit.way.partition(".")
        if board == name:
            by_way.setdefault(int(number), []).append(circuit)
    bare = thing.bare_ways.amount or ()
    last = max([int(thing.ways_n.amount or 0), *by_way, *bare])
    for i in range(1, last + 1):
        yield _way(inst, f"{name}.{i}", by_way.get(i, []), i in bare, terminals, landed)
    for t in face(thing.kind).terminals:
        if f"{name}.{t}" in landed and face(thing.kind).terminals[t][1] == 0:
            c = t.rpartition(".")[2]
            yield Slot("", f"on {t}", {c: f"{name}.{t}"}, bars={c: f"{name}.{t}"}, routed=True, width=ROUTED / 2)


def _way(inst: Installation, way: str, circuits: Sequence[Circuit], bare: bool, terminals: Collection[str],
         landed: Collection[str]) -> Slot:
    label = way.partition(".")[2]
    if not circuits:
        return _unused(inst, way, bare, terminals, landed)
    device = next((c.device for c in circuits if c.device is not None), None)
    of = kind(device.kind) if device else None
    said = f"bare contacts {_words(circuits, device)}" if bare else _words(circuits, device)
    slot = Slot(label, shortened(said, NAME, LONGEST_NAME, bare), device=of, way=way, bare=bare, width=LEAST)
    surge = of is not None and of.family == "surge"
    for c, bar in zip(ROWS, _bars(inst, way), strict=True):
        terminal = f"{way}.{c}"
        if surge and c != "E":
            slot.bars[c], slot.cores[c] = bar, (f"{way}.in.{c}",)
        elif terminal in terminals:
            slot.ends[c], slot.bars[c] = terminal, bar
            slot.cores[c] = tuple(t for each in circuits if (t := _first(each, c, terminals)) and not surge)
            slot.lifts[c] = tuple(f"{each.name}.{c}" for each in circuits if core(each, c) == terminal and not (
                c == "N" and each.neutral) and not surge)
    slot.routed = any(t in landed for t in slot.ends.values())
    if slot.routed:
        slot.width = ROUTED
    return slot


def _unused(inst: Installation, way: str, bare: bool, terminals: Collection[str], landed: Collection[str]) -> Slot:
    """A way that no circuit stands in: blank, or its contacts bare; a core of another way may land on it all the same."""
    slot = Slot(way.partition(".")[2], "bare contacts" if bare else "", way=way, bare=bare, width=LEAST if bare else SPARE)
    if bare:
        slot.ends["L"], slot.bars["L"] = f"{way}.bare.L", bar_of(inst, way)[0]
    slot.ends |= {c: f"{way}.{c}" for c in ROWS if f"{way}.{c}" in terminals and c not in slot.ends}
    slot.routed = any(t in landed for t in slot.ends.values())
    if slot.ends:
        slot.width = ROUTED if slot.routed else LEAST
    return slot


def _bars(inst: Installation, way: str) -> tuple[str, str, str]:
    """The busbar terminals under a way as they are drawn: the earth bar is the board's, not its incoming terminal."""
    board = way.partition(".")[0]
    line, neutral, earth = bar_of(inst, way)
    tops = [f"{board}.{t}" for t, (_, y) in face(inst.equipment[board].kind).terminals.items() if y == 0]
    return line, neutral, next((t for t in tops if t.endswith(".E")), earth)


def _words(circuits: Sequence[Circuit], device: Device | None) -> str:
    """What a way feeds, through what, and where a core of it lands elsewhere."""
    said = [" + ".join(c.name for c in circuits), _rating(device)]
    for each in circuits:
        said += [f"N of {each.neutral}"] if each.neutral else []
        said += [f"{c} on {core(each, c).partition('.')[2]}" for c in ROWS if core(each, c) != f"{each.way}.{c}"]
    return " ".join(word for word in said if word)


def _rating(device: Device | None) -> str:
    if device is None:
        return "?"
    said = plain(device.rating_a.amount) if device.rating_a.amount is not None else ""
    return f"{device.curve.amount}{said}" if device.curve.amount else f"{said} A" if said else ""


def _first(circuit: Circuit, conductor: str, terminals: Collection[str]) -> str:
    """The first terminal of a circuit beyond the board: what its core carries once it is lifted."""
    first = next((p.name for p in circuit.points.values() if p.from_.startswith("way")), "end")
    terminal = f"{circuit.name}.{first}.{conductor}"
    return terminal if terminal in terminals else ""


# ---- where it is ----------------------------------------------------------------------------------------------------
def _rails(slots: Sequence[Slot], room: float) -> int:
    needed = LEFT + RIGHT
    for slot in slots:
        needed += slot.width
    return 1 if needed <= room else 2 + int((needed - LEFT - RIGHT) // (2 * max(120.0, room - LEFT - 70)))


def _stretch(slots: Sequence[Slot], room: float) -> None:
    """Ways share what room is left."""
    over = room - LEFT - RIGHT
    for slot in slots:
        over -= slot.width
    plain = [slot for slot in slots if not slot.routed]
    for slot in plain:
        slot.width = min(MOST, slot.width + max(0.0, float(int(over / len(plain)))))


def _place(slots: Sequence[Slot], rails_n: int, risers_n: int) -> float:
    """Ways from left to right; those that lead on stand in the uppermost rail, where a wire can leave. Gives the width."""
    routed = [s for s in slots if s.routed]
    rest = [s for s in slots if not s.routed]
    per = -(-len(slots) // rails_n) if slots else 0
    first = max(0, per - 2 * len(routed)) if rails_n > 1 else len(slots)
    upper = sorted([*routed, *rest[:first]], key=slots.index)
    left = rest[first:] if rails_n > 1 else []
    share = -(-len(left) // (rails_n - 1)) if rails_n > 1 else 1
    rails = [upper, *(left[i * share:(i + 1) * share] for i in range(rails_n - 1))]
    widest = LEFT + 60
    for number, rail in enumerate(rails):
        x = LEFT
        for slot in rail:
            slot.x, slot.rail = x, number
            slot.xs = dict(_leads(slot))
            x += slot.width
        widest = max(widest, x)
    return widest + RIGHT + 9.0 * risers_n


def _leads(slot: Slot) -> Iterator[tuple[str, float]]:
    apart = LEAD if slot.routed else min(10.0, (slot.width - 6) / 2)
    start = slot.x + (12 if slot.routed else slot.width / 2 - apart)
    order = [c for c in ROWS if c in slot.ends] if slot.routed else ROWS
    if slot.ends.get("L", "").endswith(".bare.L"):
        start += apart
    for i, c in enumerate(order):
        yield c, start + apart * i
    for i, c in enumerate(c for c in slot.ends if c not in ROWS):
        yield c, start + apart * (i % 3)
