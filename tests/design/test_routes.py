"""What a cable carries where it runs, against the published tables. Each test names its table."""
from __future__ import annotations

import pytest

from spareway.design.route import half_from_mm
from spareway.rules.specimen import with_example


def iz(cable: str) -> float:
    return with_example(f"circuits.warmth.cable = {{ {cable} }}").circuits["warmth"].iz_a.value


@pytest.mark.parametrize(("line_mm2", "carries_a"), [(1.0, 16), (1.5, 20), (2.5, 27), (4, 37), (6, 47), (10, 64), (16, 85)])
def test_twin_and_earth_clipped_is_read_from_its_own_table(line_mm2: float, carries_a: float) -> None:
    """Table 4D5, method C: 64 and 85 A for 10 and 16 mm²; the table of singles says 65 and 87 (4D1A)."""
    assert iz(f'kind = "t&e", line_mm2 = {line_mm2}, cpc_mm2 = 1.5, length_m = 9, method = "C"') == carries_a


@pytest.mark.parametrize(("line_mm2", "carries_a"), [(1.5, 16.5), (2.5, 23), (4, 30), (6, 38), (10, 52)])
def test_twin_and_earth_by_method_b_is_read_as_multicore(line_mm2: float, carries_a: float) -> None:
    """Table 4D2A, method B: 4D5 has no such row; 4 mm² carries 30 A, less than a 32 A device."""
    assert iz(f'kind = "t&e", line_mm2 = {line_mm2}, cpc_mm2 = 1.5, length_m = 9, method = "B"') == carries_a


@pytest.mark.parametrize(("method", "carries_a"), [("100", 21), ("101", 17), ("102", 21), ("103", 13.5), ("A", 20)])
@pytest.mark.parametrize("inside_mm", [0, 50, 400, 3000])
def test_no_factor_on_top_of_a_method_that_holds_the_insulation(method: str, carries_a: float, inside_mm: int) -> None:
    """Table 4D5, 2.5 mm²: what 100 to 103 and A print is what they carry, however much insulation is recorded."""
    assert iz(f'kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, stretches.a = {{ length_m = 9, method = "{method}", in_insulation_mm = {inside_mm} }}') == carries_a


def test_a_cable_of_ninety_degrees_is_rated_at_seventy() -> None:
    """512.1.5: 6 mm² armoured clipped is 49 A by Table 4D4A, whatever its insulation; 62 A of 4E4A is kept apart."""
    cable = 'kind = "armoured", line_mm2 = 6, cpc_mm2 = 6, insulation_c = 90, length_m = 9, method = "C"'
    circuit = with_example(f"circuits.warmth.cable = {{ {cable} }}").circuits["warmth"]
    assert (circuit.iz_a.value, circuit.route.iz_at_90_a.value) == (49, 62)


def test_from_half_a_metre_on_the_factor_is_a_half() -> None:
    """Table 52.2: 0.51 at 400 mm, 0.5 at 500 and above; half of 27 A (Table 4D5) is 13.5."""
    assert half_from_mm(with_example("circuits.lamps.load_w = 150").books).value == 500
    for inside_mm, factor in ((50, 0.88), (51, 0.78), (100, 0.78), (400, 0.51), (401, 0.5), (500, 0.5), (9000, 0.5)):
        assert iz(f'kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, stretches.a = {{ length_m = 9, method = "C", in_insulation_mm = {inside_mm} }}') \
            == pytest.approx(27 * factor)


def test_the_rest_of_a_route_is_its_weakest_other_stretch() -> None:
    """Table 4D5, 2.5 mm²: 13.5 A by 103; the rest carries 20 A by A, though 27 clipped."""
    route = with_example('circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, stretches.a = { length_m = 1, method = "C" }, '
                         'stretches.b = { length_m = 2, method = "103" }, stretches.c = { length_m = 3, method = "A" } }').circuits["warmth"].route
    assert (route.iz_a.value, route.elsewhere_a.value, route.weakest and route.weakest.name) == (13.5, 20, "b")
    assert not with_example("circuits.lamps.load_w = 150").circuits["warmth"].route.elsewhere_a.known


@pytest.mark.parametrize(("rest", "carries_a", "device_a"), [
    ("", 37, 33.3), (", ambient_c = 30", 37 * (40 / 50) ** 0.5, 37 * 0.9 * (40 / 50) ** 0.5), (", grouped_n = 2", 37 * 0.75, 37 * 0.9 * 0.75)])
def test_in_the_ground(rest: str, carries_a: float, device_a: float) -> None:
    """Table 4D4A (from memory): 4 mm² armoured by method D 37 A in ground of 20 °C; 433.1.203: 0.9 of it behind a device; Table 4B2 by
    its formula; two touching 0.75 (Table 4C2, from memory). Soil and depth are assumed, and say so."""
    circuit = with_example(f'circuits.warmth.cable = {{ kind = "armoured", line_mm2 = 4, cpc_mm2 = 4, length_m = 15, method = "D"{rest} }}').circuits["warmth"]
    assert circuit.route.carries_a.value == pytest.approx(carries_a)
    assert circuit.iz_a.value == pytest.approx(device_a)
    assert {f.name for f in circuit.iz_a.doubtful() if f.how == "assumed"} >= {"soil_km_per_w", "depth_m"}
    assert f"{circuit.iz_a.working()[-1].line}".startswith("Iz = ")


def test_in_the_ground_behind_a_rewirable_fuse_and_beyond_the_table() -> None:
    """0.725 and 0.9 together (Appendix 4, 5.1.1); ground of 45 °C is outside the printed table."""
    lines = 'circuits.warmth.cable = { kind = "armoured", line_mm2 = 4, cpc_mm2 = 4, length_m = 15, method = "D" }\n' \
            'circuits.warmth.device = { kind = "rewirable", rating_a = 15 }'
    assert with_example(lines).circuits["warmth"].iz_a.value == pytest.approx(37 * 0.725 * 0.9)
    assert not with_example(lines.replace('"D"', '"D", ambient_c = 45')).circuits["warmth"].iz_a.known
    mixed = 'circuits.warmth.cable = { kind = "armoured", line_mm2 = 4, cpc_mm2 = 4, stretches.a = { length_m = 5, method = "D" }, stretches.b = { length_m = 5, method = "C" } }'
    assert [s.iz_a.value for s in with_example(mixed).circuits["warmth"].route.stretches] == pytest.approx([33.3, 38])
