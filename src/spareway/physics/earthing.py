"""Sizes of earthing conductors and bonds that follow from other sizes."""
from __future__ import annotations

from spareway.fact import formula


@formula("BS 7671 544.1.1")
def half_mm2(size_mm2: float) -> float:
    """Half of the earthing conductor: what a main bond must reach where the supply is not PME.

    Range: 6 mm² at least and no more than 25 mm² asked.
    Case: published/earthing.toml#half-of-sixteen
    """
    return size_mm2 / 2
