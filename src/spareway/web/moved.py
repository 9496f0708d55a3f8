"""What may be moved on a circuit to see what follows, and the lines that lay it over the record. Nothing is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from spareway.design.circuit import CircuitDesign
from spareway.doc import Fault, spell
from spareway.fact import HOW, Fact
from spareway.show import exact

__all__ = ["Slider", "as_asked", "laid", "loop", "read", "sliders"]

STATED = "stated"


@dataclass(frozen=True, slots=True)
class Slider:
    """One amount to move. `lines`: (address, how it is known) of each fact it stands for, which keeps that ground.

    now: the amount in the record, None where nobody knows it; least, most, step: of the slider; up_to, down_to: the most and
    the least that may be typed. All in `unit`. note: what is said where the record has none."""

    name: str
    says: str
    unit: str
    lines: tuple[tuple[str, str], ...]
    now: float | None
    least: float
    most: float
    step: float
    up_to: float
    note: str = "not in the record"
    down_to: float = 0


def sliders(circuit: CircuitDesign) -> tuple[Slider, ...]:
    """What may be moved on a circuit: its length, its load, the loop at the origin, the temperature around its cable."""
    return tuple(_sliders(circuit))


def _sliders(circuit: CircuitDesign) -> Iterator[Slider]:
    name = circuit.circuit.name
    if circuit.circuit.cable is not None:
        yield _length(circuit, name)
    stated_a = circuit.circuit.load_a
    if stated_a.known:
        yield _slider("load_a", "Load", "A", [(("circuits", name, "load_a"), stated_a)], stated_a.amount, 0, 20, 0.5, 630)
    else:
        load = circuit.load_w
        yield _slider("load_w", "Load", "W", [(("circuits", name, "load_w"), load)], load.amount, 0, 3_000, 50, 100_000)
    yield from loop(circuit.ze_ohm)
    if circuit.circuit.cable is not None:
        yield _ambient(circuit, name)


LEAST_OHM = 0.01  # no loop is nought


def loop(ze_ohm: Fact[float]) -> Iterator[Slider]:
    """The loop at the origin that this one rests on; nothing where none is recorded."""
    roots = [f for f in ze_ohm.roots() if f.name == "ze_ohm" and not f.inputs and f.at.startswith("supplies.")]
    if roots:
        now = roots[0].amount
        step = 0.01 if now is None or now < 5 else 1
        lines = tuple((f.at, _ground(f)) for f in roots)
        yield Slider("ze_ohm", "Ze at the origin", "Ω", lines, now, step, _most(now, 1), step, 2_000, down_to=LEAST_OHM)


def _slider(name: str, says: str, unit: str, facts: Sequence[tuple[tuple[str, ...], Fact[float]]], now: float | None,
            least: float, least_most: float, step: float, up_to: float) -> Slider:  # fmt: skip
    lines = tuple((spell(at), _ground(fact)) for at, fact in facts)
    return Slider(name, says, unit, lines, now, least, _most(now, least_most), step, up_to)


def _length(circuit: CircuitDesign, name: str) -> Slider:
    """Of a cable in stretches the longest is moved: the others stay as they are."""
    at: tuple[str, ...] = ("circuits", name, "cable", "length_m")
    if not circuit.cable.stretches:
        return _slider("length_m", "Length", "m", [(at, circuit.length_m)], circuit.length_m.amount, 0, 30, 0.5, 2_000)
    longest, stretch = max(circuit.cable.stretches.items(), key=lambda each: (each[1].length_m.amount or 0, each[0]))
    at = ("circuits", name, "cable", "stretches", longest, "length_m")
    return _slider("length_m", f"Length, {longest}", "m", [(at, stretch.length_m)], stretch.length_m.amount, 0, 30, 0.5, 2_000)


def _ambient(circuit: CircuitDesign, name: str) -> Slider:
    at = ("circuits", name, "cable")
    facts: list[tuple[tuple[str, ...], Fact[float]]] = [((*at, "ambient_c"), circuit.cable.ambient_c)]
    facts += [((*at, "stretches", n, "ambient_c"), s.ambient_c) for n, s in circuit.cable.stretches.items() if s.ambient_c.known]
    now = max((f.amount for _, f in facts if f.amount is not None), default=None)
    return _slider("ambient_c", "Around the cable", "°C", facts, now, 10, 60, 1, 60)


def _ground(fact: Fact[float]) -> str:
    return fact.how if fact.how in HOW else STATED


def _most(now: float | None, least: float) -> float:
    """Twice what it is now, rounded up to a plain number: enough to go past where most verdicts turn."""
    wanted = max(2 * (now or 0), least)
    tens = 1.0
    while tens * 10 <= wanted:
        tens *= 10
    return next(step * tens for step in (1, 2, 3, 4, 5, 6, 8, 10) if step * tens >= wanted)


def as_asked(slider: Slider, asked: Mapping[str, str]) -> dict[str, str]:
    """A slider as a template draws it, standing where it was left."""
    typed = asked.get(slider.name, "") or ("" if slider.now is None else exact(slider.now))
    return {
        "name": slider.name,
        "says": slider.says,
        "unit": slider.unit,
        "typed": typed,
        "slid": typed or exact(slider.least),
        "now": "" if slider.now is None else exact(slider.now),
        "least": exact(slider.least),
        "most": exact(slider.most),
        "step": exact(slider.step),
        "note": slider.note if slider.now is None else f"in the record {exact(slider.now)} {slider.unit}",
    }


# ---- what came back, and the lines to lay over --------------------------------------------------------------------------
def read(asked: Mapping[str, str], known: Sequence[Slider]) -> tuple[dict[str, float], list[Fault]]:
    """What is otherwise than in the record, by name, and a fault for each that is no number. An empty field stays as it is."""
    found, faults = dict[str, float](), list[Fault]()
    for slider in known:
        typed = asked.get(slider.name, "").strip()
        plain = typed.isascii() and typed.replace(".", "", 1).isdigit()
        ends = f"{exact(slider.down_to)} to {exact(slider.up_to)}" if slider.down_to else f"at most {exact(slider.up_to)}"
        allowed = f"{ends} {slider.unit}" if plain else f"a number of {slider.unit}, with a point"
        if typed and not (plain and slider.down_to <= float(typed) <= slider.up_to):
            faults.append(Fault("answer", None, slider.name, typed, f'{slider.says}: read "{typed}"', allowed))
        elif plain and float(typed) != slider.now:
            found[slider.name] = float(typed)
    return found, faults


def laid(moved: Mapping[str, float], known: Sequence[Slider]) -> str:
    """The moved amounts as an overlay, each known as what it stands for is; nothing where nothing is moved."""
    return "".join(f"{address} = {{ {how} = {exact(moved[each.name])} }}\n" for each in known if each.name in moved
                   for address, how in each.lines)  # fmt: skip
