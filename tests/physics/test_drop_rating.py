"""Drop with a power factor by complex numbers; ratings in the ground and in groups by heat, and against printed tables."""
from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spareway.physics import cable, drop, rating
from spareway.tables import Books
from spareway.tables.table import table

NOW = Books("2018+A4")
SHARE = st.floats(0.3, 1)


# ---- drop -----------------------------------------------------------------------------------------------------------
@settings(max_examples=100)
@given(st.floats(0.1, 2), st.floats(0.05, 0.4), st.floats(0.85, 1), SHARE, st.floats(1, 200), st.floats(1, 200))
def test_drop_is_the_part_in_phase(r: float, x: float, ct: float, pf: float, load_a: float, length_m: float) -> None:
    """The current as a complex number that lags, through the impedance: what is lost in phase with the voltage."""
    lagging = load_a * cmath.exp(-1j * math.acos(pf))
    lost = (lagging * complex(ct * r, x)).real * length_m / 1000
    assert drop.drop_with_reactance_v(r, x, ct, pf, load_a, length_m) == pytest.approx(lost, rel=1e-9)
    worst = drop.worst_power_factor(ct * r, x)
    most = drop.drop_with_reactance_v(r, x, ct, worst, load_a, length_m)
    assert lost <= most * (1 + 1e-9)
    assert most == pytest.approx(cable.drop_v(drop.impedance_mv_per_a_m(ct * r, x), load_a, length_m), rel=1e-9)


def test_at_unity_it_is_the_plain_drop() -> None:
    """A power factor of 1 and a conductor at its limit: the printed number alone; above 1 there is no such load."""
    assert drop.drop_at_power_factor_v(18, 1, 1, 20, 10) == cable.drop_v(18, 20, 10)
    assert drop.drop_with_reactance_v(1.25, 0.195, 1, 1, 100, 50) == cable.drop_v(1.25, 100, 50)
    with pytest.raises(ValueError, match="negative"):
        drop.drop_with_reactance_v(1.25, 0.195, 1, 1.01, 100, 50)


def test_both_parts_make_the_printed_impedance() -> None:
    """Tables 4D1B, 4E1B and 4E4B: the two printed parts give the printed impedance, which goes in steps of 0.05."""
    r, x, z = ({row.keys: row.value for row in table(name).of(NOW)} for name in ("drop_resistive", "drop_reactive", "drop"))
    assert r.keys() == x.keys()
    assert len(r) == 17
    for keys in r:
        assert z[keys] == pytest.approx(drop.impedance_mv_per_a_m(r[keys], x[keys]), abs=0.05), keys
        assert r[keys] <= z[keys]


def test_three_phases_lose_the_root_of_three_over_two() -> None:
    """Between lines against line to neutral of the same cable: 0.866, to the rounding of two printed figures."""
    one = {row.keys: row.value for row in table("drop").of(NOW)}
    for row in table("drop_three_phase").of(NOW):
        assert row.value / one[row.keys] == pytest.approx(math.sqrt(3) / 2, rel=0.045), row.keys


# ---- ground ---------------------------------------------------------------------------------------------------------
# IEC 60364-5-52 Table B.52.15, from memory: ground temperature, 70 °C and 90 °C insulation
GROUND = [(10, 1.10, 1.07), (15, 1.05, 1.04), (25, 0.95, 0.96), (30, 0.89, 0.93), (35, 0.84, 0.89), (40, 0.77, 0.85)]


@pytest.mark.parametrize(("ground_c", "at_70", "at_90"), GROUND)
def test_ground_temperature_as_the_open_table_has_it(ground_c: float, at_70: float, at_90: float) -> None:
    assert rating.ca_ground(70, ground_c, 20) == pytest.approx(at_70, abs=0.0051)
    assert rating.ca_ground(90, ground_c, 20) == pytest.approx(at_90, abs=0.0051)


def test_factors_in_the_ground_are_one_at_their_reference() -> None:
    """2.5 K·m/W, 0.7 m, 20 °C, one circuit; everything about them is from memory and says so."""
    at = {("soil", 2.5), ("depth", 0.7)}
    for name, reference in at:
        rows = list(table(name).of(NOW))
        assert {row.value for row in rows if row.keys[1] == reference} == {1}
        assert {row.trust for row in rows} == {"from memory"}
    assert {row.value for row in table("cg_buried").of(NOW) if row.keys[1] == 1} == {1}
    assert rating.ca_ground(70, 20, 20) == 1


def test_in_the_ground_there_and_back() -> None:
    """The least rating for a device, put through the factors, carries just that device."""
    least = rating.least_it_buried_a(32, 0.95, 0.8, 1.12, 0.97, 0.9)
    assert rating.iz_buried_a(least, 0.95, 0.8, 1.12, 0.97, 0.9) == pytest.approx(32)
    assert rating.cc_together(0.725, 0.9) == pytest.approx(0.653, abs=0.0006)


# ---- groups ---------------------------------------------------------------------------------------------------------
@settings(max_examples=100)
@given(st.floats(6, 100), SHARE, st.floats(0.4, 0.99))
def test_a_group_not_overloaded_together(rating_a: float, load_share: float, cg: float) -> None:
    """By heat: the one overloaded to 1.45 In heats itself, the others at their loads heat it as far as the group takes from its rating.

    The print's 0.48 is 1/1.45² to two figures. Never below the load in the group, never above what counts the whole device."""
    load_a = load_share * rating_a
    ours = rating.least_it_not_together_a(rating_a, load_a, 1, cg, 1, 1)
    own_heat, from_others = (1.45 * rating_a) ** 2, load_a ** 2 * (1 / cg ** 2 - 1)
    by_heat = math.sqrt(own_heat + from_others) / 1.45
    assert ours == pytest.approx(max(by_heat, load_a / cg), rel=0.005)
    assert load_a / cg <= ours * (1 + 1e-9)
    assert ours <= cable.least_it_a(rating_a, 1, cg, 1, 1) * (1 + 1e-9)
    assert rating.least_it_not_together_a(rating_a, load_a, 0.9, cg, 0.8, 1) == pytest.approx(ours / (0.9 * 0.8))


def test_a_group_behind_rewirable_fuses() -> None:
    """Appendix 4, 5.1.2, from memory: 1.9 times the square of the rating in place of the square, for 1/0.725² is 1.9."""
    ours = rating.least_it_not_together_a(30, 20, 1, 0.7, 1, 0.725)
    assert ours == pytest.approx(math.sqrt(1.9 * 30 ** 2 + 0.48 * 20 ** 2 * 0.51 / 0.49), rel=0.001)
    assert rating.least_it_not_together_a(6, 30, 1, 0.5, 1, 0.725) == 60


def test_mixed_sizes_against_the_table_of_like_ones() -> None:
    """1/√n lies at or below the bunched factor of like cables, Table 4C1, from four circuits on: on the safe side for the small ones."""
    for row in table("cg").of(NOW):
        if row.keys[0] >= 4:
            assert rating.cg_mixed(row.keys[0]) <= row.value
