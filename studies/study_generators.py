"""Ordinary homes of ours beside those of two open academic generators: hours, minutes, and many homes together, drawn.

Neither models rooms with heaters, so homes heated by something else are set side by side: our appliances alone. The generators
run in an environment of their own, `studies/state/generators/env`, with `richardsonpy` and `rampdemand` from the registry;
without it the study says so and tells ours alone. Also counted here, at full size: each appliance's year against its table, and
the demand of a hundred homes over a heating season against what was measured. What differs and why is told in
docs/studies/generators.md.

    make study WHICH=generators N=100
"""
from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from spareway.season.home import DAY_MIN, Home, Season, Weather
from spareway.tables.table import table
from studies.curves import Curve, Panel, drawn
from studies.hours_of_use import worked_out
from tests.season.ordinary import NIGHT, of_table, rows, season, starts

HERE = Path(__file__).parent
RESULTS = HERE.parent / "docs" / "studies"
DAYS, YEARS, SEASON_DAYS, TOGETHER = 14, 6, 212, 100
PEERS = ("richardsonpy", "rampdemand")
STEPS = (1, 2, 5, 10, 20, 50, 100)
FEW = 50                                        # fewer homes than this keep no drawing
Watts = NDArray[np.float64]
MISSING = "make studies/state/generators/env with richardsonpy and rampdemand (and setuptools below 81)"


def run(n: int, seed: int, state_path: Path) -> str:
    """n homes of each for a fortnight. The open generators' homes are kept beside `state_path` and not made again."""
    ours = np.array([watts(seed, number, DAYS) for number in range(n)])
    sides = {"ours": ours, **{name: made for name in PEERS if (made := _peer(name, n, seed, state_path)) is not None}}
    lines = [_told(name, homes) for name, homes in sides.items()]
    if len(sides) <= len(PEERS):
        lines.append(f"without {', '.join(name for name in PEERS if name not in sides)}: {MISSING}")
    lines += _hours(state_path)
    if n >= FEW:
        (RESULTS / "generators.svg").write_text(_picture(sides), encoding="utf-8")
    worst_name, worst = _years(seed)
    together_kw, measured = _season(seed, min(n, TOGETHER)), _row("after_diversity", "measured, 100 ordinary homes")
    lines.append(f"{n} homes for {DAYS} days beside {len(sides) - 1} open generators; an appliance's year is at most "
                 f"{100 * worst:.1f} % off its table ({worst_name}); {min(n, TOGETHER)} homes over {SEASON_DAYS} days come to "
                 f"{together_kw:.2f} kW a home at once, measured of 100 were {measured:.2f} kW "
                 f"({100 * (together_kw / measured - 1):+.0f} %)")
    return "\n".join(lines)


def _hours(state_path: Path) -> list[str]:
    """Whether the table of hours is what its source gives, worked out again; nothing where the source is not here."""
    found = [*(state_path.parent / "generators").glob("env/lib/python3*/site-packages/richardsonpy/inputs/constants")]
    if not found:
        return []
    again, ours = worked_out(found[0]), {row.keys: row.value for row in table("hours_of_use").rows}
    if apart := {key: (share, again.get(key)) for key, share in ours.items() if abs(share - again.get(key, -1.0)) > 1e-9}:
        raise AssertionError(f"the table of hours of use is not what its source gives: {apart}")
    return [f"hours of use: {len(ours)} shares as worked out again"]


def _row(name: str, *keys: object) -> float:
    return float(next(row.value for row in table(name).rows if row.keys == keys))


# ---- homes -----------------------------------------------------------------------------------------------------------
def watts(seed: int, number: int, days: int) -> Watts:
    """The demand of each minute of an ordinary home of ours."""
    of, change = season(seed, number, days), np.zeros((days + 2) * DAY_MIN)
    for minute, what in starts(of, number):
        change[minute] += of.home.uses[what].watts
        change[minute + of.home.uses[what].minutes] -= of.home.uses[what].watts
    return change.cumsum()[:days * DAY_MIN] + of.home.base_w[0]


def _peer(name: str, n: int, seed: int, state_path: Path) -> Watts | None:
    """The homes of an open generator, from its own environment; None where there is none."""
    folder = state_path.parent / "generators"
    python, kept, handed = folder / "env" / "bin" / "python", folder / f"{name}-{seed}-{n}.npy", folder / "appliances.json"
    if not python.exists():
        return None
    if not kept.exists():
        handed.write_text(json.dumps(_appliances()), encoding="utf-8")
        print(f"  {name}: {n} homes", file=sys.stderr, flush=True)
        subprocess.run([str(python), str(HERE / "peers.py"), name, str(n), str(DAYS), str(seed), str(kept), str(handed)],
                       check=True)
    return np.load(kept).astype(float)


def _appliances() -> list[dict[str, Any]]:
    """Ours, as the second generator wants them: one window of the day, where nine tenths of the starts lie."""
    out = []
    for name, row in rows().items():
        if name != NIGHT:
            of = of_table(name)
            whole, hours = math.fsum(of.by_hour), [each / math.fsum(of.by_hour) for each in of.by_hour]
            low = next(h for h in range(24) if math.fsum(hours[:h + 1]) > 0.05) if whole else 0
            high = next(h for h in range(24, 0, -1) if math.fsum(hours[h - 1:]) > 0.05)
            out.append({"name": name, "watts": of.watts, "minutes": of.minutes, "starts": of.starts_a_day,
                        "owned": float(row.also["owned_share"]), "window": [60 * low, 60 * high],
                        "base_w": season(1, 0, 1).home.base_w[0]})
    return out


# ---- what they say ---------------------------------------------------------------------------------------------------
def hours_kw(homes: Watts) -> Watts:
    return np.asarray(homes.reshape(len(homes), DAYS, 24, 60).mean((0, 1, 3)) / 1000)


def together(homes: Watts, size: int = 1) -> list[tuple[int, float]]:
    """(n, kW a home in the highest `size` minutes of n homes together), mean over groups."""
    minutes = homes.reshape(len(homes), -1, size).mean(2)
    return [(n, float(np.mean([minutes[at:at + n].sum(0).max() for at in range(0, len(homes) - n + 1, n)])) / n / 1000)
            for n in STEPS if n <= len(homes)]


def _told(name: str, homes: Watts) -> str:
    tops = homes.max(1) / 1000
    n, minute = together(homes)[-1]
    return (f"{name}: {homes.mean() * 24 / 1000:.1f} kWh a day a home; highest minute of a home {tops.mean():.1f} kW in the "
            f"mean, {np.quantile(tops, 0.95):.1f} in one of twenty; {n} together {minute:.2f} kW a home in a minute, "
            f"{together(homes, 30)[-1][1]:.2f} in half an hour")


def _picture(sides: dict[str, Watts]) -> str:
    shares = [10 ** (-4 + 4 * k / 40) for k in range(41)]
    hours = [Curve(name, [(h + 0.5, float(kw)) for h, kw in enumerate(hours_kw(homes))]) for name, homes in sides.items()]
    lasting = [Curve(name, [(math.log10(s), float(np.quantile(homes, 1 - s)) / 1000) for s in shares])
               for name, homes in sides.items()]
    many = [Curve(name, [(math.log10(n), kw) for n, kw in together(homes)]) for name, homes in sides.items()]
    return drawn("Ordinary homes, a fortnight of January", [
        Panel("A day in the mean", "hour", "kW a home", hours, [(h, str(h)) for h in range(0, 25, 6)]),
        Panel("Minutes at or above a demand", "share of minutes", "kW", lasting,
              [(k, f"1/{10 ** -k}" if k else "all") for k in range(-4, 1)]),
        Panel("Highest minute of many together", "homes", "kW a home", many, [(math.log10(n), str(n)) for n in (1, 10, 100)])])


def _years(seed: int) -> tuple[str, float]:
    """The appliance whose drawn year lies furthest from its table, and by how much: YEARS years, more of what starts seldom."""
    more, off = _row("winter_settings", "winter_more"), {}
    for name, row in rows().items():
        if name != NIGHT:
            of = of_table(name)
            days = 365 * YEARS * max(1, math.ceil(2000 / row.value))
            lived = Season(Home((), None, (of,), (0,) * 24), Weather((5.0,) * (24 * days + 1)), seed=seed)
            year = len(starts(lived, 0)) / days * 365 / (more if of.by_people else 1)
            also = row.also
            kwh = (of.watts - also["standby_w"]) * of.minutes * year / 60_000 + also["standby_w"] * 8.76
            off[name] = abs(kwh / also["use_kwh"] - 1)
    worst = max(off, key=lambda name: off[name])
    return worst, off[worst]


def _season(seed: int, n: int) -> float:
    """The highest minute of n homes together over a heating season, kW a home."""
    whole = np.zeros(SEASON_DAYS * DAY_MIN)
    for number in range(n):
        whole += watts(seed + 1, number, SEASON_DAYS)
    return float(whole.max()) / n / 1000
