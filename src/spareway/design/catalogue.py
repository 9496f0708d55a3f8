"""What may be chosen: devices in ladders of ratings, and the pairs of conductors that cables are made with."""
from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from spareway.doc import Doc, Fault, InputError, Trail, nearest, read
from spareway.job.types import CABLES, CURVES, FUSES, RESIDUAL_TYPES
from spareway.kinds import kind

__all__ = ["Catalogue", "Offered", "generic", "read_catalogue"]

_KINDS = ("mcb", "mcb-2p", "rcbo-1p-solid-n", "rcbo-1p-switched-n", "rcbo-2p", "cartridge")
_NUMBERS = {"residual_ma": (6, 1_000), "fault_rating_ka": (0.5, 100), "energy_class": (1, 3), "let_through_a2s": (1, 10_000_000)}


@dataclass(frozen=True, slots=True)
class Offered:
    """A device on offer. Nought stands for what it does not have.

    let_through_a2s: its maker's figure at the fault currents met here; energy_class: of a breaker, by its standard
    fuse: the standard of a fuse, whose table then says what opens it; price: None where the firm states none."""
    kind: str
    rating_a: float
    curve: str = ""
    residual_ma: float = 0.0
    residual_type: str = ""
    fault_rating_ka: float = 0.0
    energy_class: float = 0.0
    let_through_a2s: float = 0.0
    fuse: str = ""
    price: Decimal | None = None

    @property
    def says(self) -> str:
        """`B16`, `20 A bs88-3`: as it is called across a van."""
        return f"{self.curve}{self.rating_a:g}" if self.curve else f"{self.rating_a:g} A {self.fuse or self.kind}"

    @property
    def has_residual(self) -> bool:
        """Whether it opens on residual current too."""
        return bool(kind(self.kind).residual)


@dataclass(frozen=True, slots=True)
class Catalogue:
    """devices: in the order of preference where all else is equal; cables: kind -> pairs (line, cpc) in mm², smallest first."""
    devices: tuple[Offered, ...]
    cables: Mapping[str, tuple[tuple[float, float], ...]]


@cache
def generic() -> Catalogue:
    """Devices of no make, for a firm that has no catalogue of its own."""
    from spareway.bundled import text
    return read_catalogue(text("design/catalogue.toml"))


def read_catalogue(text: str, file: str = "catalogue.toml") -> Catalogue:
    """A catalogue out of its text, of the form of our own `catalogue.toml`. Errors: InputError with every fault in it.

    A price is a text, "18.40"; a firm that states no cables has those of our own."""
    doc, faults = read(file, text), list[Fault]()
    groups, made = (_tables(doc, key, faults) for key in ("devices", "cables"))
    faults += [doc.fault((key,), key, f'"{key}" is nothing a catalogue holds', "devices, cables") for key in doc.data
               if key not in ("devices", "cables")]
    devices = [each for name, group in groups.items() for each in _ladder(doc, ("devices", name), group, faults)]
    cables = {name: tuple(sorted(_pairs(doc, ("cables", name), said, faults))) for name, said in made.items()}
    if not devices and not faults:
        faults.append(doc.fault(("devices",), "", "it holds no device", "[devices.rcbo-b] and what it is"))
    if faults:
        raise InputError(faults)
    return Catalogue(tuple(devices), cables or generic().cables)


def _tables(doc: Doc, key: str, faults: list[Fault]) -> dict[str, Any]:
    held = doc.data.get(key, {})
    if isinstance(held, dict):
        return held
    faults.append(doc.fault((key,), held, f"{key} is no table", f"[{key}]"))
    return {}


def _ladder(doc: Doc, at: Trail, group: Any, faults: list[Fault]) -> Iterator[Offered]:
    """A device of each rating of a group."""
    if not isinstance(group, dict):
        faults.append(doc.fault(at, group, "is no table", f"[{'.'.join(at)}]"))
        return
    found = len(faults)
    faults += [fault for key, value in group.items() if (fault := _wrong(doc, (*at, key), key, value)) is not None]
    faults += [doc.fault(at, "", f"it does not say {key}", f"{key} = ...") for key in ("kind", "ratings_a") if key not in group]
    if "curve" not in group and "fuse" not in group:
        faults.append(doc.fault(at, "", "it says neither curve nor fuse", f"curve = one of {', '.join(CURVES)}"))
    if len(faults) == found:
        rest: dict[str, Any] = {key: float(value) if _is_number(value) else value for key, value in group.items()
                                if key not in ("ratings_a", "price")}
        price = Decimal(group["price"]) if "price" in group else None
        yield from (Offered(rating_a=float(rating), price=price, **rest) for rating in group["ratings_a"])


def _wrong(doc: Doc, at: Trail, key: str, value: Any) -> Fault | None:
    """What is wrong with one field of a group of devices."""
    words = {"kind": _KINDS, "curve": CURVES, "fuse": FUSES, "residual_type": RESIDUAL_TYPES}
    if key in words:
        return None if value in words[key] else doc.fault(at, value, f'there is no {key} "{value}"', ", ".join(words[key]),
                                                          nearest(str(value), words[key]))
    if key in _NUMBERS:
        low, high = _NUMBERS[key]
        good = _is_number(value) and low <= value <= high
        return None if good else doc.fault(at, value, "is no number in range", f"from {low:g} to {high:g}")
    if key == "ratings_a":
        good = isinstance(value, list) and bool(value) and all(_is_number(v) and 1 <= v <= 125 for v in value)
        return None if good else doc.fault(at, value, "is no list of ratings", "[6, 10, 16], each from 1 to 125 A")
    if key == "price":
        good = isinstance(value, str) and re.fullmatch(r"[0-9]{1,6}\.[0-9]{2}", value, re.ASCII) is not None
        return None if good else doc.fault(at, value, "is no price", 'write "18.40"')
    known = (*words, *_NUMBERS, "ratings_a", "price")
    return doc.fault(at, value, f'"{key}" is nothing that is said of a device', ", ".join(known), nearest(key, known))


def _pairs(doc: Doc, at: Trail, said: Any, faults: list[Fault]) -> Iterator[tuple[float, float]]:
    """The pairs of conductors of a kind of cable."""
    if at[-1] not in CABLES:
        faults.append(doc.fault(at, at[-1], f'there is no cable "{at[-1]}"', ", ".join(CABLES), nearest(at[-1], CABLES)))
    for each in said if isinstance(said, list) else [said]:
        sizes = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9])?)/([0-9]{1,3}(?:\.[0-9])?)", str(each), re.ASCII)
        if sizes is None or not 0 < float(sizes[2]) <= float(sizes[1]):
            faults.append(doc.fault(at, each, "is no pair of sizes", 'line/cpc in mm², "2.5/1.5"'))
        else:
            yield float(sizes[1]), float(sizes[2])


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
