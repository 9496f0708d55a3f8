"""Constants of rules that an example does not state, looked up in the tables of the package."""
from __future__ import annotations

import math
from functools import cache

from spareway.fact import Fact
from spareway.tables import Books, look_up, rows

BOOKS = Books(bs7671="2018+A4", nation="England")


def number(table: str, **keys: str | float) -> float:
    """What a table gives. Errors: NoRow, NotKnown."""
    return float(look_up(table, BOOKS, *(Fact(name, value, "stated") for name, value in keys.items())).value)


@cache
def rule(case: str) -> float:
    """A threshold by its name."""
    return number("thresholds", case=case)


@cache
def share(premises: str, load: str, part: str) -> float:
    """The share of a load that counts."""
    return number("diversity", premises=premises, load=load, part=part)


@cache
def first_a(load: str) -> float:
    """The amperes that count whole."""
    return number("diversity_first", load=load)


def socket_a(has_socket: bool) -> float:
    """The allowance for a socket on a cooker's control unit."""
    return number("diversity_socket", load="cooking") if has_socket else 0.0


def conventional_time_h(device: str, rating_a: float) -> float:
    return number("conventional_time", device=device, rating_a=rating_a)


def fusing_factor(device: str, rating_a: float) -> float:
    return number("fuse_opens", device=device, rating_a=rating_a)


def standard_sizes_mm2() -> list[float]:
    return [float(row["value"]) for row in rows("standard_sizes", BOOKS)]


def rcd_window_ms(kind: str, multiple: float) -> tuple[float, float] | None:
    """Least and greatest trip time; None where no table has one."""
    if multiple <= rule("trips_above_share"):
        return rule("test_ends_ms"), math.inf
    general = {1: "trip_ms", 2: "trip_double_ms", 5: "trip_five_times_ms"}
    names = {"general": general, "older": general | {1: "trip_older_ms"},
             "delayed": {1: "trip_delayed", 2: "trip_delayed_double", 5: "trip_delayed_five_times"}}[kind]
    if multiple not in names:
        return None
    name = names[int(multiple)]
    return (rule(f"{name}_least_ms"), rule(f"{name}_most_ms")) if kind == "delayed" else (0.0, rule(name))
