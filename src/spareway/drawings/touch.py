"""Where a finger goes: over each switch, each part that is replaced in service, and what is left of each thing."""
from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping

from spareway.drawings.board import BoardBox
from spareway.drawings.boxes import Box, Rect, hit
from spareway.drawings.symbols import INK, escaped, n

__all__ = ["LEAST", "targets", "touches"]

LEAST, APART = 55.0, 9.5             # 48 and 8 px still where a drawing of 362 units stands on a phone 320 px wide
CORNER = 12.0


def targets(boxes: Mapping[str, Box]) -> dict[str, Rect]:
    """Address -> what may be touched: switches and parts first, then what room a thing has beside them. None overlap."""
    out: dict[str, Rect] = {}
    for box in boxes.values():
        if box.shown is not None:
            for address, rect in _spots(box):
                if not any(hit(_wider(rect), other) for other in out.values()):
                    out[address] = rect
    for box in boxes.values():
        if box.shown is not None:
            room = _left(box, list(out.values()))
            if room:
                out[box.name] = room
    return out


def _spots(box: Box) -> Iterator[tuple[str, Rect]]:
    """Each control about the middle of its poles, each part about the symbols between its terminals."""
    shown, down = box.shown, box.inner_y if isinstance(box, BoardBox) else 0.0
    assert shown is not None
    at: dict[str, list[tuple[float, float]]] = {}
    for placed in shown.placed:
        ends = {placed.below, placed.above} if placed.joint == "~" else set()
        part = next((part for part, met in shown.of.parts.items() if ends & set(met)), "")
        if placed.control or part:
            at.setdefault(placed.control or part, []).append(placed.at)
    for name, spots in at.items():
        x, y = (min(s[k] for s in spots) / 2 + max(s[k] for s in spots) / 2 for k in (0, 1))
        left, top = box.x + x - LEAST / 2, box.y + down + y - LEAST / 2
        yield f"{box.name}.{name}", (left, top, left + LEAST, top + LEAST)


def _wider(rect: Rect) -> Rect:
    return rect[0] - APART, rect[1] - APART, rect[2] + APART, rect[3] + APART


def _left(box: Box, taken: Collection[Rect]) -> Rect | None:
    """The largest part of a thing's frame that no target touches; none where none is large enough."""
    x0, y0, x1, y1 = box.x, box.y - box.head, box.x + max(box.width, LEAST), box.y + max(box.height, LEAST - box.head)
    near = [_wider(rect) for rect in taken if hit(_wider(rect), (x0, y0, x1, y1))]
    xs, ys = sorted({x0, x1, *(c for r in near for c in (r[0], r[2]) if x0 < c < x1)}), sorted(
        {y0, y1, *(c for r in near for c in (r[1], r[3]) if y0 < c < y1)})
    rooms = [(a, b, c, d) for a in xs for c in xs if c - a >= LEAST for b in ys for d in ys if d - b >= LEAST
             if not any(hit((a, b, c, d), r) for r in near)]
    return max(rooms, key=lambda r: ((r[2] - r[0]) * (r[3] - r[1]), -r[0], -r[1])) if rooms else None


def touches(boxes: Mapping[str, Box], opened: Collection[str], controls: Collection[str], href: Callable[[str], str],
            touched: str) -> Iterator[str]:
    """A link over each target; four corners about what was touched."""
    found = targets(boxes)
    for address, (x0, y0, x1, y1) in found.items():
        state = "" if address not in controls else ", shown open" if address in opened else ", shown closed"
        yield (f'<a class="touch" href="{escaped(href(address))}"><title>{escaped(address.replace(".", ", ") + state)}</title>'
               f'<rect x="{n(x0)}" y="{n(y0)}" width="{n(x1 - x0)}" height="{n(y1 - y0)}" fill="none" pointer-events="all"/></a>')
    if touched in found:
        x0, y0, x1, y1 = found[touched]
        d = "".join(f"M{n(x)} {n(y + CORNER * v)}V{n(y)}H{n(x + CORNER * h)}" for x, y, h, v in
                    ((x0, y0, 1, 1), (x1, y0, -1, 1), (x0, y1, 1, -1), (x1, y1, -1, -1)))
        yield f'<path class="asked" fill="none" stroke="{INK}" stroke-width="3" d="{d}"/>'
