"""The things of an intake as boxes: how large they are, where their terminals are, where their words find room."""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise, product

from spareway.drawings.face import control_words
from spareway.drawings.inside import HALF, Face, face
from spareway.drawings.letters import shortened, width
from spareway.drawings.symbols import Spot
from spareway.job.types import Equipment
from spareway.kinds import kind
from spareway.show import plain

__all__ = ["LINE_H", "WORD", "Box", "End", "Rect", "hit", "street", "thing_box", "word_lines"]

WORD, LINE_H = 14.5, 17.0                      # size of the words of a thing, and from line to line
LONGEST_WORD, FITS = 150.0, 56.0               # at most; what fits beside two poles
INSET = 8.0                                    # from a frame to words: clear of a second frame
Rect = tuple[float, float, float, float]       # left, top, right, bottom


@dataclass(frozen=True, slots=True)
class End:
    """A terminal on an edge, from the top left corner of its box; `up`: what lands here comes from above."""
    x: float
    y: float
    up: bool


@dataclass(slots=True)
class Box:
    """A thing to be placed. Its frame reaches from 0 to `height`; what belongs to it above that takes `head` more."""
    name: str
    width: float
    height: float
    ends: dict[str, End]
    words: list[tuple[float, float, str, bool]] = field(default_factory=list)    # x, baseline, words, bold
    shown: Face | None = None
    head: float = 0.0
    shelf: int = 0
    x: float = 0.0
    y: float = 0.0

    def at(self, terminal: str) -> tuple[float, float]:
        """Where a terminal is in the drawing."""
        end = self.ends[terminal]
        return self.x + end.x, self.y + end.y


def hit(a: Rect, b: Rect) -> bool:
    """Whether two rectangles overlap."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def street(name: str, terminals: Sequence[str]) -> Box:
    """Where a supply comes in: ends without a frame. Its terminals have names of their own, `street main.L`."""
    ends = {f"{name}.{t.rpartition('.')[2]}": End(22 + 26 * i, 0, True) for i, t in enumerate(terminals)}
    wide = 22 + 26.0 * len(terminals)
    return Box(name, wide + width("street", WORD), 24, ends, [(wide - 8, 20, "street", False)])


def word_lines(name: str, thing: Equipment, most: float = FITS) -> list[tuple[str, bool]]:
    """The words of a thing: its name in the record, broken at hyphens, and what is read on it. Bold or not."""
    facts = kind(thing.kind).facts
    lines = [(shortened(part, WORD, LONGEST_WORD, True), True) for part in _broken(name, most)]
    if "fuse_a" in facts:
        lines.append((_amps(thing.fuse_a.amount), False))
    elif "rating_a" in facts and thing.rating_a.amount is not None:
        lines.append((_amps(thing.rating_a.amount), False))
    if "residual_ma" in facts and thing.residual_ma.amount is not None:
        lines.append((f"{plain(thing.residual_ma.amount)} mA", False))
        if "residual_type" in facts:
            lines.append((f"type {thing.residual_type.amount or '?'}", False))
    return lines


def _broken(name: str, most: float) -> Iterator[str]:
    """A name in lines no wider than this, as far as its hyphens allow."""
    line = ""
    for part in name.replace("-", "-\0").split("\0"):
        if line and width(line + part, WORD, True) > most:
            yield line
            line = part
        else:
            line += part
    yield line


def _amps(amount: float | None) -> str:
    return "? A" if amount is None else f"{plain(amount)} A"


def thing_box(name: str, thing: Equipment) -> Box:
    """A thing in its face, its words where the face leaves room for them; else the face is drawn out, or the frame."""
    shown, lines = face(thing.kind), word_lines(name, thing)
    wide = max(width(words, WORD, bold) for words, bold in lines)
    high = LINE_H * len(lines) - 3
    if shown.of.family == "earth" and len(shown.terminals) == 1:
        words = [(6.0, shown.height + LINE_H * i + 9, line, bold) for i, (line, bold) in enumerate(lines)]
        return Box(name, max(46, wide + 12), shown.height + high + 4, _named(name, shown), words, shown)
    place, total = _room_for(shown, wide, high), shown.width
    for up, down in ((high + 4, 0.0), (0.0, high + 4)):
        if place is None and (room := _room_for(drawn_out(shown, up, down), wide, high)) is not None:
            place, shown = room, drawn_out(shown, up, down)
    if place is None:
        shown = drawn_out(shown, 0, max(0.0, high + 2 * INSET - shown.height))
        place = min(_rooms_for(replace(shown, width=1000.0), wide, high))
        total = max(max(x for x, _ in shown.terminals.values()) + 18, place[0] + wide + INSET)
    words = [(place[0], place[1] + 12 + LINE_H * i, line, bold) for i, (line, bold) in enumerate(lines)]
    return Box(name, total, shown.height, _named(name, shown), words, shown)


def _named(name: str, shown: Face) -> dict[str, End]:
    return {f"{name}.{t}": End(x, y, y == 0) for t, (x, y) in shown.terminals.items()}


def drawn_out(shown: Face, up: float, down: float) -> Face:
    """A face with longer leads to the terminals of its upper and lower edge."""
    on_edge = set(shown.terminals.values())

    def moved(spot: Spot) -> Spot:
        if spot in on_edge:
            return spot if spot[1] == 0 else (spot[0], spot[1] + up + down)
        return spot[0], spot[1] + up
    return replace(shown, height=shown.height + up + down, terminals={t: moved(s) for t, s in shown.terminals.items()},
                   metal={m: tuple(tuple(map(moved, branch)) for branch in parts) for m, parts in shown.metal.items()},
                   dots=tuple(map(moved, shown.dots)), placed=tuple(replace(p, at=moved(p.at)) for p in shown.placed))


def _room_for(shown: Face, wide: float, high: float) -> Spot | None:
    """The first place from the top where words of this size cover nothing."""
    return next(_rooms_for(shown, wide, high), None)


def _rooms_for(shown: Face, wide: float, high: float) -> Iterator[Spot]:
    walls = list(_walls(shown))
    xs = sorted({INSET, *(wall[2] + 1 for wall in walls)})
    ys = sorted({INSET, *(wall[3] + 1 for wall in walls)})
    for y, x in product(ys, xs):
        me = (x, y, x + wide, y + high)
        if me[2] <= shown.width - INSET + 2 and me[3] <= shown.height - 4 and not any(hit(me, wall) for wall in walls):
            yield x, y


def _walls(shown: Face) -> Iterator[Rect]:
    """What words may not cover."""
    for branch in (b for parts in shown.metal.values() for b in parts):
        for a, b in pairwise(branch):
            yield min(a[0], b[0]) - 5, min(a[1], b[1]) - 5, max(a[0], b[0]) + 5, max(a[1], b[1]) + 5
    for one in shown.placed:
        yield one.at[0] - 15, one.at[1] - HALF - 4, one.at[0] + 12, one.at[1] + HALF + 4
    for x, y in shown.terminals.values():
        yield x - 7, y - 7, x + 7, y + 7
    for x, y, words in control_words(shown):
        yield x, y - 12, x + width(words, 13), y + 4
    for mark, side in shown.of.marked.items():
        x, y = max(shown.terminals[f"{side}.{c}"] for c in "LN")
        yield x + 8, -4 if y == 0 else y - 18, x + 12 + width(mark, 13), 18 if y == 0 else y
    if shown.of.family == "meter":
        for parts in shown.metal.values():
            rail = parts[0][1:3] if parts and len(parts[0]) > 2 else ()
            if rail:
                middle = (rail[0][0] + rail[1][0]) / 2
                yield middle - 24, rail[0][1] - 13, middle + 24, rail[0][1] + 13
