"""The least cable and device by trying every pair of the whole space, each test written out.

It shares no code with the engine: it reads the tables' own files and does its own sums, so that a slip in the search, its
columns or its bisections cannot hide here as well."""
from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

TABLES = Path(__file__).parents[2] / "src" / "spareway" / "tables"
LISTED = {"t&e": "flat twin and earth 70C", "singles": "singles 70C", "armoured": "armoured 70C", "other": "multicore 70C"}
RATED = {"t&e": "it_flat_twin_and_earth", "singles": "it_singles_70c", "armoured": "it_armoured_70c", "other": "it_multicore_70c"}
U0_V, CMIN, HOT, AT_ONCE_S, K = 230.0, 0.95, 1.2, 0.1, 115.0       # 411.4.4, On-Site Guide Table I3, BS EN 60898, Table 54.3


@dataclass(frozen=True)
class Device:
    """A device to try. `price` and `let_through_a2s` are None where they are not known."""
    curve: str
    rating_a: float
    icn_ka: float
    energy_class: float
    let_through_a2s: float | None
    fuse: str
    price: float | None


@dataclass(frozen=True)
class Lying:
    """A stretch of the route."""
    method: str
    ambient_c: float
    grouped_n: float
    insulated_mm: float


@dataclass(frozen=True)
class Wanted:
    """A circuit to find a cable and device for. `settled` leaves nothing open."""
    load_a: float
    length_m: float
    kind: str
    pairs: tuple[tuple[float, float], ...]
    route: tuple[Lying, ...]
    ze_ohm: float
    fault_ka: float
    board_ka: float
    before_v: float
    drop_v: float
    least_mm2: float
    ring: bool
    clear_s: float
    settled: bool


@cache
def rows(name: str) -> list[dict[str, Any]]:
    """The rows of a table that hold today, its numbers as numbers; one that is disputed is left out."""
    held = tomllib.loads((TABLES / f"{name}.toml").read_text(encoding="utf-8"))
    head, *body = [[cell.strip() for cell in line.split("|")] for line in held["rows"].strip().splitlines() if not line.startswith("#")]
    words = {*held.get("words", ()), "trust", "since", "until", "note", "place", "book"}
    out = [{key: cell if key in words else float(cell) for key, cell in zip(head, cells, strict=True)} for cells in body]
    return [row for row in out if not row.get("until") and row.get("trust") != "uncertain"]


@cache
def number(name: str, **keys: Any) -> float | None:
    """The value of the row with just these keys."""
    return next((row["value"] for row in rows(name) if all(row[k] == v for k, v in keys.items())), None)


@cache
def at_least(name: str, key: str, amount: float, **keys: Any) -> float | None:
    """The value of the first row whose key is not below the amount."""
    fit = [row for row in rows(name) if row[key] >= amount and all(row[k] == v for k, v in keys.items())]
    return min(fit, key=lambda row: row[key])["value"] if fit else None


def it_a(kind: str, line_mm2: float, method: str) -> float | None:
    """Twin and earth has no column of its own for B, D, E and F: a round cable's then."""
    table = "it_multicore_70c" if kind == "t&e" and method in "BDEF" else RATED[kind]
    return number(table, **{"line_mm2" if table == RATED["t&e"] else "size_mm2": line_mm2}, method=method)


@cache
def carried_a(kind: str, line_mm2: float, route: tuple[Lying, ...]) -> float | None:
    """What the line carries where it lies worst; None where a table has no row."""
    found = []
    for part in route:
        it = it_a(kind, line_mm2, part.method)
        ca = at_least("ca", "ambient_c", part.ambient_c, insulation="70C thermoplastic")
        cg = at_least("cg", "circuits_n", part.grouped_n)
        holds = part.method in ("A", "100", "101", "102", "103") or part.insulated_mm == 0
        ci = 1.0 if holds else at_least("ci", "in_insulation_mm", part.insulated_mm)
        if it is None or ca is None or cg is None or ci is None:
            return None
        found.append(it * ca * cg * ci)
    return min(found)


def opens_a(device: Device, clear_s: float) -> float | None:
    """The current that opens a device in its time."""
    if device.fuse:
        return number("ia_fuse", device=device.fuse, rating_a=device.rating_a, clear_s=clear_s)
    return {"B": 5, "C": 10, "D": 20}[device.curve] * device.rating_a


def broken(want: Wanted, device: Device, line_mm2: float, cpc_mm2: float) -> Iterator[str]:
    """The names of the tests that a pair of cable and device does not stand."""
    carried = carried_a(want.kind, line_mm2, want.route)
    mv = number("drop", cable=LISTED[want.kind], size_mm2=line_mm2)
    rho1, rho2 = number("conductor_resistance", size_mm2=line_mm2), number("conductor_resistance", size_mm2=cpc_mm2)
    opens = opens_a(device, want.clear_s)
    if carried is None or mv is None or rho1 is None or rho2 is None or opens is None:
        yield "no row"
        return
    part = 4 if want.ring else 1
    if line_mm2 < want.least_mm2:
        yield "size"
    if mv * want.load_a * want.length_m / part / 1000 + want.before_v > want.drop_v:
        yield "drop"
    if carried < (20 if want.ring else device.rating_a):
        yield "rating" if carried < (20 if want.ring else want.load_a) else "device"
    zs = want.ze_ohm + HOT * (rho1 + rho2) * want.length_m / 1000 / part
    if zs > CMIN * U0_V / opens:
        yield "loop"
    if device.icn_ka < want.fault_ka and (want.settled or want.board_ka < want.fault_ka):
        yield "breaking"
    yield from _too_hot(want, device, opens, (K * cpc_mm2) ** 2, zs)


def _too_hot(want: Wanted, device: Device, opens: float, withstood: float, zs: float) -> Iterator[str]:
    near_a = U0_V / want.ze_ohm
    if device.let_through_a2s is not None:
        if device.let_through_a2s > withstood:
            yield "near"
    elif want.settled:
        bounds = [] if device.fuse or near_a < opens else [near_a * near_a * AT_ONCE_S]
        by_class = None if device.fuse or near_a < opens or near_a > device.icn_ka * 1000 else \
            at_least("let_through_class", "rating_a", device.rating_a, curve=device.curve, icn_a=device.icn_ka * 1000,
                     energy_class=device.energy_class)
        if not any(bound <= withstood for bound in (*bounds, by_class) if bound is not None):
            yield "near"
    if want.settled and device.fuse:
        far_a = CMIN * U0_V / zs
        points = [(row["value"], row["clear_s"]) for row in rows("ia_fuse")
                  if row["device"] == device.fuse and row["rating_a"] == device.rating_a and row["value"] <= far_a]
        if not points or max(points)[0] ** 2 * max(points)[1] > withstood:
            yield "far"


def least(want: Wanted, devices: Sequence[Device]) -> tuple[float, float, int] | None:
    """(line, cpc, place of the device) of the first pair by line, cpc, rating, price and place that stands every test.

    Pair by pair in that order, every device with each: nothing is taken to follow from another pair."""
    for line, cpc in sorted(want.pairs):
        fit = [(device.rating_a, float("inf") if device.price is None else device.price, place)
               for place, device in enumerate(devices)
               if device.rating_a >= want.load_a and next(broken(want, device, line, cpc), None) is None]
        if fit:
            return line, cpc, min(fit)[2]
    return None
