"""One kind as it is drawn: its frame, what it joins in the state shown, its terminals by letter and side."""
from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from itertools import pairwise

from spareway.drawings.inside import HALF, SOURCE, Face, Placed, face
from spareway.drawings.symbols import Spot, dot, frame, linked, residual_ring, svg, symbol, terminal, text, wire
from spareway.kinds import Kind, kind
from spareway.kinds.joints import inside
from spareway.wiring.network import Network

__all__ = ["control_words", "face_svg", "inside_svg", "metal_svg", "symbol_of", "theirs"]

FUSES = ("fuse", "neutral-fuse", "carrier")
LOADS = {"lamp": "lamp", "lights": "lamp", "sockets": "socket", "charge-point": "load", "cooker": "heater",
         "immersion": "heater", "water-heater": "heater", "shower": "heater", "resistive-heater": "heater",
         "panel-heater": "heater", "storage-heater": "heater", "towel-rail": "heater", "portable-lead": "heater"}
OPERATED = {"ordinary": "anyone may operate it", "skilled": "a skilled person",
            "operator": "the network or meter operator only",
            "other": "somebody else: never counts as open", "itself": "by itself: never counts as open"}
BESIDE, ABOVE, BELOW, LINE_H = 26.0, 66.0, 44.0, 19.0
LETTER = 6.2                                     # mean width of a letter of 13 units; kept to by the sans faces of FONT


def symbol_of(of: Kind, control: str) -> str:
    """The symbol in which a control of a kind is drawn."""
    if control in FUSES:
        return "fuse"
    if control.startswith("plug"):
        return "plug"
    if of.controls[control] == "itself":
        return "contactor"
    return "breaker" if "curve" in of.facts else "pole"


def face_svg(of: Kind | str, opened: Collection[str] = (), fed: str = "") -> str:
    """The face of a kind as SVG with these controls open, fed at one side: its first with a line, where none is named.

    opened: names such as "switch". Errors: UnknownKind; UnknownName for a control that the kind does not have.
    """
    it = kind(of) if isinstance(of, str) else of
    shown = face(it.name)
    fed = fed or first_side(it)
    potentials = shown_potentials(it, opened, fed)
    words = list(beside(it))
    body = [text(8, -ABOVE + 18, it.name, size=16, bold=True)]
    drawn = inside_svg(shown, potentials, opened) + "".join(labels(shown))
    body += [f'<g transform="translate(8 0)">{drawn}</g>']
    body += [text(8 + shown.width + BESIDE, 14 + LINE_H * i, line) for i, line in enumerate(words)]
    state = ", ".join(f"{c} {'open' if c in opened else 'closed'}" for c in it.controls) or "nothing to operate"
    said = "; ".join(f"{t}: {potentials[t]}" for t in potentials)
    describes = f"{it.says}; {state}{f'; fed at {fed}' if fed else ''}. {said}"
    width = 8 + shown.width + BESIDE + max(len(line) for line in words) * 7.4
    return svg(width, max(shown.height, LINE_H * len(words)) + BELOW, it.name, describes, "".join(body), top=ABOVE)


def first_side(it: Kind) -> str:
    """The first side with a line; none where the kind gives a potential itself."""
    lines = {end[1:] for link in inside("", it.wiring) for end in (link.a, link.b)}
    return "" if it.sources else next((side for side in it.face if f"{side}.L" in lines), "")


def shown_potentials(it: Kind, opened: Collection[str], fed: str) -> dict[str, str]:
    """Potentials of a kind alone: fed at one side, its own sources giving, earth on every earth terminal outside."""
    links = list(inside("it", it.wiring))
    sources = {f"it.{t}": letter for t, letter in it.sources.items()}
    for name in {link.a: 0 for link in links} | {link.b: 0 for link in links}:
        _, side, conductor = name.split(".")
        if side == fed or conductor == "E" and it.face[side] != "inside":
            sources[name] = conductor
    network = Network(links, sources, {f"it.{c}": who for c, who in it.controls.items()})
    found = network.potential([f"it.{c}" for c in opened])
    return {name.removeprefix("it."): word for name, word in found.items()}


def inside_svg(shown: Face, potentials: Mapping[str, str], opened: Collection[str],
               landed: Collection[str] | None = None) -> str:
    """Frame, metal, symbols and terminals, from the top left corner. What closes by itself is never drawn open.

    potentials: terminal of the kind ("top.L") -> word. landed: terminals that hold a conductor; None for all of them.
    """
    return frame(0, 0, shown.width, shown.height, theirs(shown.of)) + metal_svg(shown, potentials, opened, landed)


def theirs(it: Kind) -> bool:
    """Whether its frame is double: not yours to open."""
    return it.family in ("cut-out", "meter") or "operator" in it.controls.values()


def metal_svg(shown: Face, potentials: Mapping[str, str], opened: Collection[str],
              landed: Collection[str] | None = None) -> str:
    """The same without the frame."""
    it = shown.of
    out = []
    # earth goes over the rest, so that a crossing never looks like a joint
    order = sorted(shown.metal, key=lambda name: potentials[name] == "earth")
    out += [wire(shown.metal[name], potentials[name]) for name in order if shown.metal[name]]
    out += [dot(*spot) for spot in shown.dots]
    open_ones = {c for c in opened if it.controls.get(c) not in ("itself", "other")}
    for one in shown.placed:
        out += _placed(it, one, potentials, one.control in open_ones)
    out += _ganged(shown, open_ones)
    out += _ends(shown)
    out += [terminal(x, y, landed is None or name in landed) for name, (x, y) in shown.terminals.items()]
    out += _marks(shown)
    return "".join(out)


def _placed(it: Kind, one: Placed, potentials: Mapping[str, str], is_open: bool) -> Iterator[str]:
    x, y = one.at
    if one.joint == "-":
        name = symbol_of(it, one.control)
        if not is_open:
            yield wire([((x, y + HALF), (x, y - HALF + (1 if name != "breaker" else 0)))], potentials[one.below])
        yield symbol(name, x, y, is_open)
    else:
        yield wire([((x, y + HALF), (x, y + HALF / 2))], potentials[one.below])       # the symbol lies over their ends
        yield wire([((x, y - HALF / 2), (x, y - HALF))], potentials[one.above])
        yield symbol({"~": "surge", SOURCE: "source"}.get(one.joint) or LOADS.get(it.name, "load"), x, y)


def _ganged(shown: Face, opened: Collection[str]) -> Iterator[str]:
    """The bar between poles that move together, the ring of a residual-current device, and the control's name."""
    for control in shown.of.controls:
        spots = [one.at for one in shown.placed if one.control == control]
        xs, y = sorted(x for x, _ in spots), spots[0][1]
        if len(xs) > 1:
            yield linked(xs, y - 2, control in opened)
        if control in shown.of.residual:
            through = [points[0][0] for name, parts in shown.metal.items() for points in parts
                       if len(xs) == 1 and name.endswith(".N") and points[0][0] == points[-1][0]]
            yield residual_ring(min(xs), max(xs + through), y + 25)
    for place, y, words in control_words(shown):
        yield text(place, y, words, size=13)


def control_words(shown: Face) -> Iterator[tuple[float, float, str]]:
    """(x, y, words) of the names of controls that find room beside their poles."""
    for control in shown.of.controls:
        spots = [one.at for one in shown.placed if one.control == control]
        if place := _room(shown, [x for x, _ in spots], spots[0][1], control):
            yield place, spots[0][1] + 5, control


def _room(shown: Face, xs: list[float], y: float, words: str) -> float:
    """Where beside the poles a word fits between what stands there; 0 where it does not."""
    pairs = [pair for parts in shown.metal.values() for points in parts for pair in pairwise(points)]
    walls = [a[0] for a, b in pairs if a[0] == b[0] and min(a[1], b[1]) < y + 5 and max(a[1], b[1]) > y - 7]
    walls += [one.at[0] - 8 for one in shown.placed if abs(one.at[1] - y) < HALF]
    start = max(xs)
    end = min([shown.width - 1, *(wall for wall in walls if wall > start)]) - 3
    return start + 10 if start + 10 + len(words) * LETTER <= end else 0


def _ends(shown: Face) -> Iterator[str]:
    """What is drawn on metal itself: the meter, the electrode, the pipe."""
    it = shown.of
    for name, parts in shown.metal.items():
        rail = parts[0][1:3] if parts and len(parts[0]) > 2 else ()
        if it.family == "meter" and name.endswith(".L") and rail:
            yield symbol("meter", (rail[0][0] + rail[1][0]) / 2, rail[0][1])
        if it.family == "earth" and len(shown.terminals) == 1:
            x, y = parts[0][-1]
            yield symbol("electrode" if it.sources else "earthed metal", x, y + (20 if it.sources else 8))


def _marks(shown: Face) -> Iterator[str]:
    """The maker's marks, inside the frame by the terminals that they stand at."""
    for mark, side in shown.of.marked.items():
        x, y = max(shown.terminals[f"{side}.{c}"] for c in "LN")
        yield text(x + 10, 14 if y == 0 else y - 5, mark, size=13)


def labels(shown: Face) -> Iterator[str]:
    """The letter of each terminal and the name of each side, outside the frame."""
    sides: dict[str, list[Spot]] = {}
    for name, (x, y) in shown.terminals.items():
        side, _, conductor = name.partition(".")
        if conductor != "E" or len(sides.get(side, ())) == 0 or x - sides[side][-1][0] < 30:
            sides.setdefault(side, []).append((x, y))            # an earth at the far end does not pull the name away
        yield text(x, -9 if y == 0 else y + 19, conductor, bold=True, anchor="middle")
    for side, spots in sides.items():
        middle, y = (min(spots)[0] + max(spots)[0]) / 2, spots[0][1]
        yield text(middle, -26 if y == 0 else y + 36, side, size=13, anchor="middle")


def beside(it: Kind) -> Iterator[str]:
    """The words beside a face: what it is, who operates what, what is replaced in service."""
    yield from wrapped(it.says, 44)
    for control, who in it.controls.items():
        yield f"{control}: {OPERATED[who]}"
    for part in it.parts:
        yield f"replaced in service: {part}"
    if it.marked:
        yield "marked line and load: not to be turned round"


def wrapped(words: str, most: int) -> Iterator[str]:
    """Words in lines of at most so many letters."""
    line = ""
    for word in words.split():
        if line and len(line) + 1 + len(word) > most:
            yield line
            line = word
        else:
            line = f"{line} {word}".strip()
    yield line
