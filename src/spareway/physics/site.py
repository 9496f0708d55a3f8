"""The limit for a loop that is read on a cold installation: which of the ways in print a firm goes by, cut off on the safe side.

Three limits stand in print for one device, for they come of three sums: 0.8 of the exact limit, 0.8 of the printed one, and
the exact one over 1.24. A firm chooses once; the record names the way. The exact limit decides, not the printed: 1.37 Ω is
printed for a 32 A B breaker and 1.3656 Ω is exact, so that 1.366 Ω is above it.
"""
from __future__ import annotations

from collections.abc import Sequence

from spareway.fact import Fact, chosen, unknown
from spareway.physics.choose import printed_down
from spareway.physics.fault import zs_guide_limit_ohm, zs_site_limit_ohm

__all__ = ["WAYS", "site_limit", "site_limits_ohm"]

WAYS = ("0.8 exact", "0.8 printed", "1/1.24 exact")            # as job.toml names them
PLACES = 2                                                      # a limit is printed to hundredths


def site_limits_ohm(exact_ohm: float, printed_ohm: float, site_factor: float, guide_divisor: float) -> tuple[float, float, float]:
    """The limit (Ω) by each of the ways, in their order, cut off at hundredths.

    Source: BS 7671 Appendix 3; On-Site Guide Appendix B."""
    return (printed_down(zs_site_limit_ohm(exact_ohm, site_factor), PLACES),
            printed_down(zs_site_limit_ohm(printed_ohm, site_factor), PLACES),
            printed_down(zs_guide_limit_ohm(exact_ohm, guide_divisor), PLACES))


def site_limit(way: str, exact: Fact[float], printed: Fact[float], factor: Fact[float], divisor: Fact[float]) -> Fact[float]:
    """`zs_site_limit_ohm` by the firm's way, cut off at hundredths. Unknown where what that way rests on is.

    Errors: none for a way that is none: it gives an unknown fact that names those there are."""
    sums: dict[str, Sequence[Fact[float]]] = {WAYS[0]: (exact, factor), WAYS[1]: (printed, factor), WAYS[2]: (exact, divisor)}
    if way not in sums:
        return unknown("zs_site_limit_ohm", f"{way} is no way to a site limit: {', '.join(WAYS)}")
    formula = zs_guide_limit_ohm if way == WAYS[2] else zs_site_limit_ohm
    limit = formula.worked(*sums[way])
    why = f"the firm goes by {way}, cut off at hundredths"
    return chosen("zs_site_limit_ohm", _cut_off, [limit], ", ".join(WAYS), why, limit.where)


def _cut_off(limit_ohm: float) -> float:
    return printed_down(limit_ohm, PLACES)
