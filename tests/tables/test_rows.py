"""Every row of our tables stands as it was gathered: value, edition and trust, line by line."""
from __future__ import annotations

import math

import pytest

from spareway import bundled
from spareway.fact import Fact, glossary
from spareway.physics import cable, fault
from spareway.tables import Books, look_up
from spareway.tables.books import editions
from spareway.tables.table import SOURCED, Row, Table, table
from spareway.tables.table import TRUST as ORDER
from tests.tables.reference import EDITION, SOURCES, TRUST, Source, lines

NAMES = [name.removesuffix(".toml") for name in bundled.names("tables") if name.endswith(".toml") and name != "books.toml"]
NEWEST = editions()[-1].name

# Where we depart from a gathered line, and why. (table, keys): what differs.
STOPS = {("ca", ("70C thermoplastic", 65.0)): "2018"}                  # the note says the 2018 table stops at 60 °C
DISPUTED = {("zs_fuse", ("bs88-2", 100.0, 5.0))}                       # "read it off the book before it decides anything"
GONE = ("bs1361",)                                                     # left the book: cited from the print of 2008


def keyed(name: str, keys: tuple[object, ...]) -> list[Fact[object]]:
    return [Fact(key, amount, "stated") for key, amount in zip(table(name).keys, keys, strict=True)]


def row_of(name: str, keys: tuple[object, ...], edition: str) -> Row:
    return table(name).find(Books(edition or NEWEST), keys)


@pytest.mark.parametrize("source", SOURCES, ids=lambda s: s.file)
def test_every_gathered_line_stands_in_its_table(source: Source) -> None:
    """Value, first and last edition and trust of each line are those of the row that answers for it."""
    asked = list(source.asked())
    assert asked
    for line, name, keys, value in asked:
        since = EDITION[line["edition_from"]]
        row = row_of(name, keys, since)
        assert row.value == value, (name, keys)
        assert row.since == since, (name, keys)
        assert row.until == STOPS.get((name, keys), EDITION[line["edition_to"]]), (name, keys)
        assert row.trust == ("uncertain" if (name, keys) in DISPUTED else TRUST[line["confidence"]]), (name, keys)


# Tables that no line of the reference files states as a row: arithmetic, single figures out of texts, or our memory.
WRITTEN_OUT = {"thresholds", "operator_thresholds", "standard_sizes", "standard_ratings", "disconnection_time", "ia_breaker", "ia_fuse",
               "protective_conductor", "supply_voltage", "ze_declared", "fuse_holds", "fuse_opens", "conventional_time", "overload_time",
               "breaking_capacity", "service_breaking", "diversity", "diversity_first", "diversity_socket",
               "point_demand", "ramp_share", "side_by_side", "old_cables", "old_sheaths", "instrument_digits", "reading_doubt",
               "hours_of_use", "winter_settings", "month_means", "log_worth", "least_draw"}
ADDED = {("bath_zones", "socket outlet, beyond zone 1"), ("drop", "armoured 70C"), ("ci", math.inf), ("drop_limit", "16")}      # rows beside the gathered ones


BESIDES = {"ci": 1, "cg_buried": 5}                                   # and how many beside those of a table read upward


def test_no_row_stands_without_a_line() -> None:
    """Each row of the transcribed tables answered for a gathered line, but for the few that are named here."""
    met = {(name, id(row_of(name, keys, EDITION[line["edition_from"]]))) for source in SOURCES
           for line, name, keys, _ in source.asked() if table(name).between_rows != "next-larger"}
    for name in sorted(set(NAMES) - WRITTEN_OUT):
        if table(name).between_rows == "next-larger":
            count = len([1 for source in SOURCES for _, asked, _, _ in source.asked() if asked == name])
            assert len(table(name).rows) == count + BESIDES.get(name, 0), name
            continue
        left = [row for row in table(name).rows if (name, id(row)) not in met and (name, row.keys[0]) not in ADDED
                and (name, row.since) not in ADDED]
        assert left == [], name
    assert set(NAMES) >= WRITTEN_OUT


def test_sockets_stand_as_far_from_zone_1_as_gathered() -> None:
    """3 m before Amendment 2 of 2018 and 2.5 m since, the second from memory: the lines say it in words, not as editions."""
    gathered = {float(line["value"]): TRUST[line["confidence"]] for line in lines("bathroom_zones") if line["zone"] == "outside"}
    ours = {float(row.value): row.trust for row in table("bath_zones").rows if row.keys[0].startswith("socket")}
    assert ours == gathered
    assert row_of("bath_zones", ("socket outlet, beyond zone 1",), "2018").value == 3
    assert row_of("bath_zones", ("socket outlet, beyond zone 1",), "2018+A2").value == 2.5


DEVICES = {"BS 88-3 system C": "bs88-3", "BS 1361": "bs1361", "BS 3036": "bs3036", "BS 88-2": "bs88-2"}
FILES = {"zs_max_bs1361": "bs1361", "zs_max_bs1362": "bs1362", "zs_max_bs3036": "bs3036", "zs_max_bs88_2": "bs88-2",
         "zs_max_bs88_3": "bs88-3"}


def gathered_ia() -> dict[tuple[str, float, float], tuple[float, str]]:
    """Current by device, rating and time from the time/current points and from the limits; the better known of the two."""
    points = [((DEVICES[line["device"]], line["in_a"], line["time_s"]), line["ia_a"], TRUST[line["confidence"]])
              for line in lines("fuse_time_current_points") if line["device"] in DEVICES]
    limits = [((device, line["in_a"], line["time_s"]), line["ia_a"],
               TRUST[line["confidence"]].replace("confirmed", "derived").replace("one source", "derived"))
              for file, device in FILES.items() for line in lines(file)]
    found: dict[tuple[str, float, float], tuple[float, str]] = {}
    for (device, rating, time), ia, trust in points + limits:
        key = (device, float(rating), float(time))
        before = found.get(key, (float(ia), "uncertain"))
        assert before[0] == float(ia), key
        found[key] = (before[0], min(before[1], trust, key=ORDER.index))
    found[("bs88-2", 100.0, 5.0)] = (500.0, "uncertain")
    return found


def test_the_currents_that_open_a_fuse() -> None:
    """Each current stands with the better trust of the point and the limit it was gathered from, and no others stand."""
    ours = {(r.keys[0], float(r.keys[1]), float(r.keys[2])): (float(r.value), r.trust) for r in table("ia_fuse").rows}
    assert ours == gathered_ia()


def test_the_currents_that_open_a_breaker() -> None:
    """Rating times the multiple of its curve, for every rating that the printed table has."""
    printed = {(line["device_type"], int(line["in_a"])): float(line["ia_a"])
               for line in lines("zs_max_mcb_rcbo_60898_61009") if line["time_s"] == "0.4"}
    multiple = {row.keys[0]: row.value for row in table("instant_multiple").rows}
    ours = {row.keys: row.value for row in table("ia_breaker").rows}
    assert ours == printed == {(curve, rating): multiple[curve] * rating for curve, rating in printed}


def decimals(text: str) -> int:
    return len(text.partition(".")[2])


# Limits of before 2015 (voltage factor 1) that the print cut off where rounding would have gone up; and one that no
# current explains.
CUT_OFF = {("bs1361", 15.0, 0.4), ("bs1361", 100.0, 5.0), ("bs3036", 15.0, 0.4), ("bs3036", 30.0, 0.4),
           ("bs88-2", 32.0, 0.4), ("bs88-2", 50.0, 5.0), ("bs88-3", 45.0, 5.0)}
ODD = ("bs1362", 3.0, 5.0)


def test_limits_follow_from_the_current() -> None:
    """0.95 × 230 V / Ia is every present printed limit to its last digit, within the rounding of Ia where it was read."""
    wrong = []
    for file, device in {**FILES, "zs_max_mcb_rcbo_60898_61009": ""}.items():
        for line in lines(file):
            if line.get("cmin", "0.95") != "0.95":
                continue
            exact = fault.zs_limit_ohm(0.95, 230, float(line["ia_a"]))
            if abs(exact - float(line["zs_max_ohm"])) > 0.50001 * 10 ** -decimals(line["zs_max_ohm"]):
                wrong.append((device or line["device_type"], float(line["in_a"]), float(line["time_s"]), exact))
    assert wrong == []


def test_the_printed_limit_of_a_b32_is_above_the_exact_one() -> None:
    """1.37 Ω is printed and 1.3656 Ω exact: 1.366 Ω passes by the print alone."""
    b = Books("2018")
    ia = look_up("ia_breaker", b, *keyed("ia_breaker", ("B", 32)))
    cmin = look_up("thresholds", b, *keyed("thresholds", ("cmin",)))
    u0 = look_up("supply_voltage", b, *keyed("supply_voltage", ("declared voltage",)))
    exact = fault.zs_limit_ohm.worked(cmin, u0, ia)
    printed = look_up("zs_breaker", b, *keyed("zs_breaker", ("B", 32, 0.4)))
    assert printed.amount == 1.37
    assert exact.amount == pytest.approx(1.365625)
    assert exact.value < 1.366 < printed.value


def test_older_limits_follow_from_the_current_or_were_cut_off() -> None:
    """230 V / Ia is every printed limit of before 2015, rounded; cut off in seven cells; and one cell is odd."""
    apart = {}
    for file, device in FILES.items():
        for line in lines(file):
            if line["cmin"] == "1":
                printed = float(line["zs_max_ohm"])
                gap = fault.zs_limit_ohm(1, 230, float(line["ia_a"])) - printed
                if abs(gap) > 0.50001 * (0.01 if printed < 10 else 0.1):
                    apart[device, float(line["in_a"]), float(line["time_s"])] = gap
    assert set(apart) == CUT_OFF | {ODD}
    assert all(0 < gap < 0.01 for key, gap in apart.items() if key != ODD)


def test_electrode_limits_follow_from_fifty_volts() -> None:
    """50 V over the rated residual current, to the whole ohm as printed."""
    for row in table("zs_residual").rows:
        assert round(fault.electrode_limit_ohm(50, row.keys[0] / 1000)) == row.value


def test_withstand_follows_from_k_and_size() -> None:
    """k²S² of every size; the k is one of those of the table of k."""
    known = {row.value for row in table("k").rows}
    for row in table("k2s2").rows:
        assert fault.k2s2_a2s(*row.keys) == row.value
        assert row.keys[0] in known


def test_pairs_follow_from_the_two_conductors() -> None:
    """R1 + R2 of a metre is the sum of both conductors, which stand in their own table."""
    metre = {row.keys[0]: row.value for row in table("conductor_resistance").rows}
    for row in table("resistance_pairs").rows:
        assert row.value == pytest.approx(metre[row.keys[0]] + metre[row.keys[1]], abs=1e-9)


def test_ambient_factors_follow_from_two_formulas() -> None:
    """Table 4B1 to the printed digit: heating by steady current above 30 °C, by overload below it."""
    hottest = {"70C thermoplastic": 70, "90C thermosetting": 90}
    rows = [row for row in table("ca").rows if row.keys[0] in hottest]
    for row in rows:
        limit, ambient = hottest[row.keys[0]], row.keys[1]
        exact = cable.ca_short_circuit(limit, ambient, 30) if ambient >= 30 else cable.ca_overload(limit, ambient, 30, 1.45)
        assert abs(exact - row.value) <= 0.0051, row.keys
    assert len(rows) == 22


def series() -> list[tuple[Table, tuple[object, ...], list[Row]]]:
    """The rows of an edition that differ in one number only, in its order."""
    found: dict[tuple[str, tuple[object, ...]], list[Row]] = {}
    for name in NAMES:
        of = table(name)
        at = 0 if name.startswith("it_") else 1 if name in BY_RATING else len(of.keys) - 1
        for row in of.of(Books(NEWEST)):
            if isinstance(row.keys[at], int | float) and isinstance(row.value, int | float):
                rest = (*row.keys[:at], "*", *row.keys[at + 1:])
                found.setdefault((name, rest), []).append(row)
    return [(table(name), rest, sorted(rows, key=lambda r: r.keys[rest.index("*")])) for (name, rest), rows in found.items()]


FALLING = {"conductor_resistance", "conductor_resistance_tinned", "conductor_resistance_flexible", "resistance_pairs",
           "drop", "ca", "cg", "cg_single_layer", "cg_tray", "cg_ladder", "ci", "zs_residual", "zs_breaker", "zs_fuse",
           "side_by_side", "disconnection_time_by_voltage"}
BY_RATING = ("zs_breaker", "zs_fuse", "ia_fuse")


FALLING_TOO = {"drop_resistive", "drop_reactive", "drop_three_phase", "soil", "depth", "cg_buried"}


def test_series_rise_or_fall_throughout() -> None:
    """A larger conductor carries more and resists less; a longer stretch of insulation costs more; and so on."""
    for of, rest, rows in series():
        values = [row.value for row in rows]
        ordered = sorted(values, reverse=of.name in FALLING | FALLING_TOO)
        assert values == ordered, (of.name, rest, values)
    assert len(series()) > 60


def test_every_quantity_has_a_glossary_entry() -> None:
    """What a table gives and what it is asked by can be printed; and the name of a threshold ends in its unit."""
    ends = {"Ω": "ohm", "A": "a", "m": "m", "mm": "mm", "mm²": "mm2", "kV": "kv", "kA": "ka", "s": "s", "ms": "ms",
            "V": "v", "W": "w", "mA": "ma", "MΩ": "mohm", "kW": "kw", "m²": "m2", "l": "l"}
    for name in NAMES:
        of = table(name)
        for quantity in {*of.keys, of.gives, *(row.gives for row in of.rows)}:
            assert glossary(quantity).name == quantity
    for row in table("thresholds").rows:
        unit = ends.get(glossary(row.gives).unit)
        assert unit is None or row.keys[0].endswith(f"_{unit}"), row.keys


def test_only_sourced_rows_are_drawn_a_line_between() -> None:
    """Tables that interpolate hold rows that were seen."""
    assert {row.trust for name in NAMES if table(name).between_rows == "interpolate" for row in table(name).rows} <= set(SOURCED)
