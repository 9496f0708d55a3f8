"""A conductor by its strands."""
from __future__ import annotations

from spareway.fact import formula


@formula("geometry")
def stranded_mm2(strands_n: float, strand_mm: float) -> float:
    """Cross-section of a conductor of round strands.

    Range: strands of one diameter, neither crushed nor corroded.
    Case: published/strands.toml#seven-by-0-029-inch
    """
    return strands_n * 3.141592653589793 * strand_mm * strand_mm / 4
