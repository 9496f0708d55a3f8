"""Where each row of a table came from: how a row of a reference file is asked of our tables.

The reference files (`tests/published/reference`) hold the numbers as they were gathered, with page and confidence;
web addresses were taken out. `None` as keys means that the row is not transcribed."""
from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parents[1] / "published" / "reference"
EDITION = {"": "", "16": "16", "17": "17", "17A1": "17A1", "17A3": "17A3", "18": "2018", "18A2": "2018+A2",
           "18A3": "2018+A2+A3", "18A4": "2018+A4"}
TRUST = {"confirmed-2-sources": "confirmed", "confirmed-1-source": "one source", "derived-by-formula": "derived",
         "from-memory": "from memory", "uncertain": "uncertain"}
Line = dict[str, str]
Keys = tuple[Any, ...] | None


def lines(name: str) -> list[Line]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@dataclass(frozen=True, slots=True)
class Source:
    """A reference file and how its lines are asked: table and keys of a line; its value and what divides it."""
    file: str
    table: Callable[[Line], str]
    keys: Callable[[Line], Keys]
    value: str
    divided_by: float = 1

    def asked(self) -> Iterator[tuple[Line, str, tuple[Any, ...], float]]:
        for line in lines(self.file):
            keys = self.keys(line)
            if keys is not None:
                first = next(line[column] for column in self.value.split("|") if line[column])
                yield line, self.table(line), keys, float(first) / self.divided_by


def number(text: str) -> float:
    return float(text)


def _it(file: str, two: str, three: str = "") -> Source:
    def keys(line: Line) -> Keys:
        unseen = line["confidence"] == "from-memory" and "4D2A" in line["clause"]
        if line["loaded_conductors"] == "3 loaded" and (not three or unseen):
            return None
        return number(line["csa_mm2"]), line["reference_method"]
    return Source(file, lambda line: two if line["loaded_conductors"] == "2 loaded" else three, keys, "it_a")


def _fuse(file: str, device: str) -> Source:
    return Source(file, lambda line: "zs_fuse",
                  lambda line: (device, number(line["in_a"]), number(line["time_s"])), "zs_max_ohm")


def _resistance(line: Line) -> str:
    if line["conductor_class"] == "class 5":
        return "conductor_resistance_flexible"
    return "conductor_resistance_tinned" if line["wire"] == "tinned" else "conductor_resistance"


def _factor_case(line: Line) -> Keys:
    if line["kind"] != "design multiplier":
        return None
    if "separate" in line["case"]:
        return (f"{line['case'].partition(',')[0]}, separate cpc, for the cpc alone",)
    return (line["case"].partition(" (Table")[0],)


def _ambient(line: Line) -> Keys:
    return None if "IEC" in line["insulation"] else (line["insulation"].removesuffix(" (16th edition table)"),
                                                     number(line["ambient_c"]))


GROUPED = {"bunched": "cg", "single layer on wall": "cg_single_layer",
           "single layer multicore on perforated": "cg_tray", "single layer multicore on ladder": "cg_ladder"}
LAID = {"flat twin and earth 70C": "flat twin and earth 70C", "singles 70C methods A B and C": "singles 70C",
        "singles 70C methods A and B": "singles 70C", "singles 70C method C touching": "singles 70C clipped touching",
        "multicore 70C": "multicore 70C", "singles 90C": "singles 90C", "singles 90C methods A and B": "singles 90C",
        "singles 90C method C touching": "singles 90C clipped touching", "armoured 90C two-core": "armoured 90C"}


PARTS = (("drop_resistive", "r_mv_per_a_m"), ("drop_reactive", "x_mv_per_a_m"))
THREE = {"singles 70C": "singles 70C", "multicore 70C": "multicore 70C", "armoured 90C three- or four-core": "armoured 90C"}
BURIED = {"direct buried": "direct", "in buried ducts": "in duct"}


def _drop_case(line: Line) -> Keys:
    if line["edition_from"] == "16" or line["use"].startswith("runs over"):
        return None
    return (line["use"] + ("" if line["supply"] == "public network" else ", private supply"),)


VOLTAGES = {"50<U0<=120": 120, "120<U0<=230": 230, "230<U0<=400": 400, "U0>400": 1000}


def _by_voltage(line: Line) -> Keys:
    if "c." not in line["system"] or line["max_time_s"] == "note":
        return None
    return line["system"].replace("a.c.", "AC").replace("d.c.", "DC"), VOLTAGES[line["case"]]


USES = {"live conductor": "live conductor", "protective conductor not in a cable and not bunched": "separate",
        "protective conductor in a cable or bunched": "in cable or bunched", "sheath or armour": "sheath or armour",
        "steel conduit ducting trunking": "conduit or trunking",
        "bare conductor with no risk of damage to neighbours": "bare"}


def _k_case(line: Line) -> Keys:
    insulation = line["insulation"].replace(" <=300 mm2", "").replace(" >300 mm2", " over 300 mm²")
    what = f"{line['material']}{',' if 'Table 54.6' in line['table'] else ''} {insulation}"
    use = USES[line["conductor_use"]]
    return (use if what == "copper 70C thermoplastic" else f"{use}, {what}",)


def _energy(line: Line) -> Keys:
    rating = {"In <= 16": 10, "16 < In <= 32": 32}.get(line["in_range"])
    return None if rating is None else (line["device_type"], int(line["icn_a"]), int(line["energy_class"]), rating)


def _buried(line: Line) -> Keys:
    where = {"protected against corrosion by a sheath": "buried, sheathed", "not protected against corrosion":
             "buried, bare to corrosion", "above ground, not part of a cable": "above ground"}[line["corrosion"]]
    knocks = {"mechanically protected": ", protected from knocks", "not mechanically protected":
              ", not protected from knocks", "either": ""}[line["mechanical"]]
    return (f"{where}{knocks}, {line['material']}",)


NEUTRAL = {"<= 35": 35, "over 35 up to 50": 50, "over 50 up to 95": 95, "over 95 up to 150": 150, "over 150": 300}


def _instrument(line: Line) -> Keys:
    limit = line["kind"] == "operating limit" and line["quantity"] in ("operating uncertainty", "trip time")
    return (line["function"],) if limit else None


def _to_show(line: Line, function: str) -> Keys:
    return (number(line["low"]),) if line["kind"] == "reading value" and line["function"] == function else None


ZONES = {("1", "above zone 0 up to"): "zone 1, height", ("1", "no tray: radius from fixed outlet"): "zone 1, radius without a tray",
         ("2", "beyond zone 1"): "zone 2, beyond zone 1"}


def _zone(line: Line) -> Keys:
    """The two distances of socket outlets bear no edition of their own in the gathered lines; a test of their own has them."""
    case = ZONES.get((line["zone"], line["limit"]))
    return (case,) if case else None


ROOM_USES = {"lounge": "living room", "lounge / living": "living room", "dining": "dining room", "hall / landing": "hall and stairs",
             "hall and landing": "hall and stairs"}
BASES = {"BS 5449-3": "BS 5449-3:1990", "warranty": "warranty standard", "draught": "draught-proofed", "age category A": "before 2000",
         "age category B": "2000 to 2006", "age category C": "after 2006"}
ALLOWANCES = {"air": ("ventilation factor",), "bridging": ("thermal bridging y, unknown details",
              "thermal bridging, simplified U addition"), "margin": ("intermittent addition, lower", "intermittent addition, upper",
                                                                    "continuous running")}


def _air(line: Line) -> Keys:
    return ROOM_USES.get(line["room"], line["room"]), next(basis for start, basis in BASES.items() if line["basis"].startswith(start))


def _outside(line: Line) -> Keys:
    """A printed range and a correction for height are no temperatures of a place."""
    return (line["place"],) if line["unit"] == "C" and " to " not in line["outside_c"] else None


def _allowance(*kinds: str) -> Callable[[Line], Keys]:
    names = {name for kind in kinds for name in ALLOWANCES[kind]}
    return lambda line: (line["factor"],) if line["factor"] in names else None

CONTROLS = {"base score": "base", "electronic + day timer": "electronic with a day timer",
            "electronic + week timer": "electronic with a week timer", "pass mark, fixed electric over 250 W": "wanted: fixed, above 250 W",
            "pass mark, fixed electric up to 250 W": "wanted: fixed, up to 250 W",
            **{f"pass mark, {kind}": f"wanted: {kind}" for kind in ("portable", "storage", "underfloor")},
            **{name: name for name in ("mechanical thermostat", "electronic room control", "open-window detection",
                                       "distance control", "adaptive start")}}


def _control(line: Line) -> Keys:
    return (CONTROLS[line["item"]],) if line["item"] in CONTROLS else None


APPLIANCES = {"Cassette / CD player": "CD player", "Small cooking (group)": "small cooking",
              "Storage water heater (immersion)": "immersion", "Storage heaters (whole home)": "storage heaters"}
AFTER_DIVERSITY = {"planning value, no electric heating": "planned, no electric heating",
                   "measured, 100 ordinary dwellings": "measured, 100 ordinary homes",
                   "measured, by occupancy and income class": "measured, by people and income",
                   "all-electric, direct or storage heating": "all-electric, direct or storage heating",
                   "storage-heated home at night start": "storage heating at the night start", "heat pump home": "heat pump"}


def appliance(line: Line) -> str:
    """As our table calls it."""
    name = APPLIANCES.get(line["appliance"], line["appliance"])
    return name if name[:2].isupper() else name[0].lower() + name[1:]


def _diversity(end: str) -> Callable[[Line], Keys]:
    """A line with one figure stands as a row; one with a range as two."""
    word = {"low_kw": ", least", "high_kw": ", most", "kw_per_dwelling": ""}[end]
    return lambda line: (AFTER_DIVERSITY[line["case"]] + word,) if line[end] and line["case"] in AFTER_DIVERSITY else None


SOURCES = (
    Source("appliance_cycle_parameters", lambda line: "appliances", lambda line: (appliance(line),), "base_cycles_per_year"),
    Source("annual_electricity_use", lambda line: "yearly_use",
           lambda line: (line["item"],) if line["share_percent"] not in ("", "100") else None, "kwh_per_year"),
    Source("thermostat_setting_distribution", lambda line: "thermostat_settings",
           lambda line: (line["use"], f"{line['setting_c']} °C") if line["use"] == "room heating" else None, "share_of_homes"),
    Source("low_order_building_parameters", lambda line: "simple_buildings", lambda line: (line["type"],), "time_constant_h"),
    *(Source("admd_network_planning", lambda line: "after_diversity", _diversity(end), end)
      for end in ("kw_per_dwelling", "low_kw", "high_kw")),
    Source("room_store", lambda line: "room_store", lambda line: (line["weight"],), "store_kj_per_m2k"),
    Source("u_values_typical_elements", lambda line: "u_values", lambda line: (line["construction"],), "u_w_per_m2k"),
    Source("design_external_temperature", lambda line: "design_temperature", _outside, "outside_c"),
    Source("room_design_temperature_and_air_change", lambda line: "room_temperature",
           lambda line: _air(line)[:1] if line["basis"].startswith("BS 5449-3") else None, "inside_c"),
    Source("room_design_temperature_and_air_change", lambda line: "air_changes", _air, "air_changes_per_h"),
    Source("panel_heater_ratings", lambda line: "heater_sizes", lambda line: (number(line["nameplate_kw"]) * 1000,), "nameplate_kw",
           0.001),
    Source("heat_loss_factors_and_margins", lambda line: "heat_allowances", _allowance("air", "bridging"), "value"),
    Source("heat_loss_factors_and_margins", lambda line: "heat_allowances", _allowance("margin"), "value", 100),
    Source("ecodesign_local_space_heaters", lambda line: "heater_controls", _control, "value"),
    Source("conductor_resistance_iec60228_20c", _resistance, lambda line: (number(line["csa_mm2"]),), "r20_mohm_per_m"),
    Source("r1_r2_combinations_20c", lambda line: "resistance_pairs",
           lambda line: (number(line["line_mm2"]), number(line["cpc_mm2"])), "r1r2_mohm_per_m"),
    Source("temperature_multipliers", lambda line: "hot_factor", _factor_case, "value"),
    Source("temperature_multipliers", lambda line: "reading_factor",
           lambda line: (number(line["case"].split()[0]),) if line["kind"].startswith("ambient") else None, "value"),
    Source("ccc_4d5_flat_twin_and_earth_70c", lambda line: "it_multicore_70c" if line["reference_method"] == "B"
           else "it_flat_twin_and_earth", lambda line: (number(line["csa_mm2"]), line["reference_method"]), "it_a"),
    _it("ccc_4d1a_singles_70c", "it_singles_70c", "it_singles_70c_three_loaded"),
    _it("ccc_4d2a_multicore_70c", "it_multicore_70c", "it_multicore_70c_three_loaded"),
    _it("ccc_4d4a_armoured_70c", "it_armoured_70c"), _it("ccc_4e1a_singles_90c", "it_singles_90c"),
    _it("ccc_4e2a_multicore_90c", "it_multicore_90c"), _it("ccc_4e4a_armoured_90c", "it_armoured_90c"),
    Source("meter_tails_capacity", lambda line: "it_tails",
           lambda line: (number(line["csa_mm2"]), line["reference_method"]), "it_a"),
    Source("ca_ambient_air", lambda line: "ca", _ambient, "factor"),
    Source("cg_grouping_4c1", lambda line: next(t for start, t in GROUPED.items() if line["arrangement"].startswith(start)),
           lambda line: (int(line["circuits"]),), "factor"),
    Source("ci_thermal_insulation", lambda line: "ci", lambda line: (number(line["length_in_insulation_mm"]),), "factor"),
    Source("voltage_drop_mv_per_a_per_m", lambda line: "drop", lambda line: (LAID[line["cable"]], number(line["csa_mm2"]))
           if line["phases"] == "single-phase" else None, "mv_per_a_m|z_mv_per_a_m"),
    *(Source("voltage_drop_mv_per_a_per_m", lambda line, name=name: name, lambda line, part=part: (LAID[line["cable"]], number(
        line["csa_mm2"])) if line[part] else None, part) for name, part in PARTS),
    Source("voltage_drop_mv_per_a_per_m", lambda line: "drop_three_phase", lambda line: (THREE[line["cable"]], number(
        line["csa_mm2"])) if line["phases"] == "three-phase" else None, "mv_per_a_m"),
    *(Source("buried_soil_depth_groups", lambda line, name=name: name, lambda line, start=start: (BURIED[line["case"]], number(
        line["value"])) if line["quantity"].startswith(start) else None, "factor")
      for name, start in (("soil", "soil"), ("depth", "depth"))),
    Source("buried_soil_depth_groups", lambda line: "cg_buried", lambda line: (line["case"], int(line["value"]))
           if line["quantity"].startswith("circuits") else None, "factor"),
    Source("fuse_gates_iec60269", lambda line: "fuse_energy" if "Table 7" in line["clause"] else "fuse_gates",
           lambda line: (line["device"], line["quantity"], number(line["in_a"])), "value"),
    Source("voltage_drop_limits", lambda line: "drop_limit", _drop_case, "limit_percent", 100),
    Source("disconnection_times_41_1", lambda line: "disconnection_time_by_voltage", _by_voltage, "max_time_s"),
    Source("zs_max_mcb_rcbo_60898_61009", lambda line: "zs_breaker",
           lambda line: (line["device_type"], int(line["in_a"]), number(line["time_s"])), "zs_max_ohm"),
    Source("mcb_tripping_bands", lambda line: "instant_multiple" if line["quantity"].endswith("upper") else "instant_holds",
           lambda line: (line["device_type"],) if "band" in line["quantity"] else None, "value"),
    _fuse("zs_max_bs1361", "bs1361"), _fuse("zs_max_bs1362", "bs1362"), _fuse("zs_max_bs3036", "bs3036"),
    _fuse("zs_max_bs88_2", "bs88-2"), _fuse("zs_max_bs88_3", "bs88-3"),
    Source("zs_tt_rcd", lambda line: "zs_residual",
           lambda line: (int(line["idn_ma"]),) if line["idn_ma"] != "any" else None, "ra_max_ohm"),
    Source("k_values_adiabatic", lambda line: "k", _k_case, "k"),
    Source("k2s2_withstand", lambda line: "k2s2", lambda line: (int(line["k"]), number(line["csa_mm2"])), "k2s2_a2s"),
    Source("let_through_energy_class_60898", lambda line: "let_through_class", _energy, "i2t_max_a2s"),
    Source("table_54_1_buried_earthing_conductor", lambda line: "earthing_conductor", _buried, "min_csa_mm2"),
    Source("table_54_8_main_bonding", lambda line: "main_bond_pme", lambda line: (NEUTRAL[line["case"]],)
           if line["supply"] == "PME" else None, "min_csa_mm2"),
    Source("bathroom_zones", lambda line: "bath_zones", _zone, "value"),
    Source("service_fuse_capacity", lambda line: "service_fuse_kw", lambda line: (int(line["fuse_a"]),), "kw_at_230v"),
    Source("instrument_accuracy", lambda line: "instrument_error", _instrument, "high"),
    Source("instrument_accuracy", lambda line: "least_to_show", lambda line: _to_show(line, "insulation"), "high"),
    Source("instrument_accuracy", lambda line: "most_to_show", lambda line: _to_show(line, "continuity"), "high"),
    Source("instrument_accuracy", lambda line: "reading_floor", lambda line:
           (f"loop impedance, {line['quantity'].removesuffix(' test')}",) if line["kind"] == "reading floor" else None, "low"),
)
