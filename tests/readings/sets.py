"""Invented sets of readings of an invented home, by arithmetic of its own: cables up to a fifth longer or shorter than drawn, an
instrument that is a little out. Shares no code with the engine."""
from __future__ import annotations

import random
from dataclasses import dataclass, replace

PER_M = {1.0: 0.0181, 1.5: 0.0121, 2.5: 0.00741, 4.0: 0.00461}                # Ω/m at 20 °C, IEC 60228
ZE = 0.3
COLUMNS = "id,stage,quantity,a,b,setup,value,unit,over,instrument,nulled,loads,temp_c,by,at,strikes"
JOB = 'schema = 1\nsays = "a set"\nnation = "England"\nbooks.bs7671 = "2018+A4"\n'
HEAD = """[supplies.main]
joins = "cutout.in"
earthing = "TN-S"
ze_ohm = { measured = 0.3 }
[equipment]
cutout = { kind = "cut-out" }
meter = { kind = "meter" }
unit = { kind = "board", ways_n = 12 }
[runs]
feed-1 = { joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = 25, length_m = 0.4 }
feed-2 = { joins = ["meter.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 2 }
"""


@dataclass(frozen=True)
class Entry:
    """One row: what was read, where, the truth behind it (Ω, or MΩ), what a display showed."""
    quantity: str
    a: str
    ohm: float
    shown: str
    unit: str = "Ω"
    setup: str = ""


@dataclass(frozen=True)
class Home:
    """Told lengths (m): a ring's sections, and radials by name with line and protective conductor (mm²)."""
    sections: tuple[float, ...]
    sizes: tuple[float, float]
    radials: dict[str, tuple[float, float, float]]

    def toml(self) -> str:
        line, cpc = self.sizes
        out = [HEAD, f'[circuits.plugs]\nway = "unit.1"\nshape = "ring"\nfeeds = "sockets"\ncable = {{ kind = "t&e", line_mm2 = {line}, cpc_mm2 = {cpc} }}\n']
        last = len(self.sections) - 1
        for n, metres in enumerate(self.sections[:-1], 1):
            home = f', back_to = "way.b", back_m = {{ drawing = {self.sections[-1]:.1f} }}' if n == last else ""
            came = "way.a" if n == 1 else f"p{n - 1}"
            out.append(f'points.p{n} = {{ from = "{came}", length_m = {{ drawing = {metres:.1f} }}, feeds = "sockets"{home} }}\n')
        for n, (name, (metres, line, cpc)) in enumerate(self.radials.items(), 2):
            out.append(f'[circuits.{name}]\nway = "unit.{n}"\nfeeds = "lights"\n'
                       f'cable = {{ kind = "t&e", line_mm2 = {line}, cpc_mm2 = {cpc}, length_m = {{ drawing = {metres:.1f} }} }}\n')
        return "".join(out)

    def truths(self, by: dict[str, float], temp_c: float) -> list[Entry]:
        """What would be read of it with each length so many times what was told, by series and parallel arithmetic."""
        hot = 1 + 0.004 * (temp_c - 20)
        metres = [m * by["plugs"] for m in self.sections]
        whole = sum(metres)
        r1, r2 = (whole * PER_M[s] * hot for s in self.sizes)
        out = [Entry(q, "circuits.plugs", ohm, "") for q, ohm in (("ring_r1_ohm", r1), ("ring_rn_ohm", r1), ("ring_r2_ohm", r2))]
        for quantity, other, core in (("ring_ln_ohm", r1, "N"), ("ring_le_ohm", r2, "E")):
            for n in range(1, len(metres)):
                x = sum(metres[:n]) / whole
                one, two = x * r1 + (1 - x) * other, (1 - x) * r1 + x * other
                at = f"circuits.plugs.points.p{n}"
                out.append(Entry(quantity, f"{at}.L", one * two / (one + two), "", setup="ends cross-connected"))
                assert core
        for name, (m, line, cpc) in self.radials.items():
            ohm = m * by[name] * (PER_M[line] + PER_M[cpc]) * hot
            out += [Entry("r1r2_ohm", f"circuits.{name}", ohm, ""), Entry("zs_ohm", f"circuits.{name}", ZE + ohm, "")]
        return out


def drawn_home(draw: random.Random) -> Home:
    points = draw.randint(5, 10)
    sections = tuple(round(draw.uniform(3, 9), 1) for _ in range(points + 1))
    radials = {"lamps": (round(draw.uniform(20, 45), 1), 1.5, 1.0), "oven": (round(draw.uniform(8, 20), 1), 4.0, 1.5),
               "warmth": (round(draw.uniform(10, 30), 1), 2.5, 1.5)}
    return Home(sections, draw.choice([(2.5, 1.5), (2.5, 1.5), (2.5, 1.0)]), radials)


def honest(draw: random.Random, home: Home, temp_c: float) -> list[Entry]:
    """Lengths within a fifth of what was told; a gain within 2 %, a null within 0.02 Ω, and a digit or two at each reading."""
    by = {name: draw.uniform(0.8, 1.2) for name in ("plugs", *home.radials)}
    gain, null = draw.uniform(0.98, 1.02), draw.uniform(-0.02, 0.02)
    return [replace(e, shown=f"{max(e.ohm * gain + null + draw.choice((-0.01, 0.0, 0.0, 0.01)), 0.0):.2f}") for e in home.truths(by, temp_c)]


def copied(home: Home, temp_c: float) -> list[Entry]:
    """Each figure just as the drawing leads to it."""
    by = dict.fromkeys(("plugs", *home.radials), 1.0)
    return [replace(e, shown=f"{e.ohm:.2f}") for e in home.truths(by, temp_c)]


def files_of(home: Home, entries: list[Entry], temp_c: float) -> dict[str, str]:
    lines = [COLUMNS]
    for n, e in enumerate(entries):
        lines.append(f"s{n},found,{e.quantity},{e.a},,{e.setup},{e.shown},{e.unit},,,yes,out,{temp_c:g},a,2026-11-09,")
    return {"job.toml": JOB, "found.toml": home.toml(), "readings.csv": "\n".join([*lines, ""])}
