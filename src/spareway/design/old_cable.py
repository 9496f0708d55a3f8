"""What an old cable is: known by counting its strands and measuring one, never by its colour.

Measured with the circuit off and proved so. What comes out is what the metal may be given, with all that is doubtful about it.
"""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from spareway.design.route import settled
from spareway.fact import Fact, unknown
from spareway.physics.strands import stranded_mm2
from spareway.tables import Books, NoRow, look_up, rows

NO_COLOUR = "colours say neither size nor age"
METAL = "whether it is copper: aluminium and copper-clad aluminium were laid about 1970 and carry less"


@dataclass(frozen=True, slots=True)
class OldCable:
    """What was recognised. `counts_as_mm2` is the size whose rating it may be given; `doubts` go wherever that is used."""
    called: tuple[str, ...]
    area_mm2: Fact[float]
    counts_as_mm2: Fact[float]
    era: str
    cpc: str
    doubts: tuple[str, ...]


def recognise(strands_n: Fact[float], strand_mm: Fact[float], sheath: Fact[str], books: Books) -> OldCable:
    """The conductor with so many strands of such a diameter, within the reach of a calliper; the least of those it may be.

    strands_n: counted. strand_mm: of one strand. sheath: a word of the table of sheaths. No colour is asked for.
    An unknown count or diameter, or a pair that no table holds, leaves the size unknown."""
    area = stranded_mm2.worked(strands_n, strand_mm)
    kept, era_by_sheath = _of_sheath(sheath, books)
    if not area.known:
        size: Fact[float] = unknown("counts_as_mm2", f"count the strands and measure one; {NO_COLOUR}")
        return OldCable((), area, size, era_by_sheath, "", kept)
    apart = look_up("thresholds", books, settled("case", "strand_apart_mm", "calliper"))
    near = [row for row in rows("old_cables", books) if row["strands_n"] == strands_n.value
            and abs(row["strand_mm"] - strand_mm.value) <= apart.value]
    if not near:
        why = f"no conductor of {strands_n} strands of {strand_mm} is in the table; {NO_COLOUR}"
        return OldCable((), area, unknown("counts_as_mm2", why), era_by_sheath, "", kept)
    least = min(near, key=lambda row: (row["value"], row["strand_mm"]))
    size = Fact("counts_as_mm2", float(least["value"]), "table", least["where"], "; ".join((*_between(near), METAL)),
                least["trust"], inputs=(strands_n, strand_mm))
    eras = tuple(dict.fromkeys(row["era"] for row in near))
    notes = tuple(dict.fromkeys(row["note"] for row in near if row["note"]))
    return OldCable(tuple(row["called"] for row in near), area, size, " or ".join(eras), " or ".join(
        dict.fromkeys(row["cpc"] for row in near)), (*_between(near), *notes, *kept, METAL))


def _between(near: Sequence[dict[str, Any]]) -> tuple[str, ...]:
    """Which it may be besides, where a calliper cannot tell."""
    names = [row["called"] for row in near]
    return (f"it may be {' or '.join(names)}: the lesser counts",) if len(names) > 1 else ()


def _of_sheath(sheath: Fact[str], books: Books) -> tuple[tuple[str, ...], str]:
    """What to bear in mind of the sheath, and when it was laid."""
    if not sheath.known:
        return ("its sheath is not recorded",), ""
    try:
        caution: Fact[str] = look_up("old_sheaths", books, sheath)
    except NoRow:
        return (f"nothing is known here of a sheath of {sheath}",), ""
    era = next(row["era"] for row in rows("old_sheaths", books) if row["sheath"] == sheath.value)
    return (caution.value,), era
