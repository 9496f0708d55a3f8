"""`spareway heat`: every room with its range, what its heaters give, the circuits; one room with its working; what is missing."""
from __future__ import annotations

import re
import shutil
from pathlib import Path
from xml.etree import ElementTree

from spareway.web.heat_told import year as told_by_the_phone
from tests.cli.cases import GRANARY, WEIR, document, page, too_long, typed

SVG = "{http://www.w3.org/2000/svg}"


def flat(text: str) -> str:
    return " ".join(text.split())


def test_weir_on_one_page() -> None:
    """Living 2,153 W between 1,925 and 2,414; home 9,242 W; a stamp of 240 V leaves three rooms short, then six; five circuits."""
    text = flat(page("heat", WEIR))
    assert too_long(page("heat", WEIR)) == []
    assert "living, ground floor at 21 °C: 2153 W, between 1925 and 2414 W: fabric.outside-wall.u_w_per_m2k may be 1.35 to 2.1 (assumed)." in text
    assert "output wanted 2584 W, between 2310 and 2897 W; sizes that give it at 230 V: 1500 + 1250 W its two heaters: at 230 V 2750 W, enough, but 147 W short at the most it may lose; at 216.2 V 2430 W, 154 W short" in text
    assert "All heated rooms together: 9242 W, between 8291 and 10330 W" in text
    assert "stamped for 240 V, short at 230 V: living, kitchen, bed-1." in text
    assert "stamped for 240 V, short at 216.2 V: living, kitchen, bed-1, bed-2, bed-3, bath." in text
    assert "Heaters on circuits of 16 A, by what they draw at 253 V: five circuits at least." in text
    assert "Not heated by the record: pantry." in text
    assert "38 % by law Regulation (EU) 2015/1188 as retained, as a page quotes it (one source). Its maker" in text
    assert "a 20 A two-pole switch beside it, out of the zones of a bath or shower; none by a 13 A fused unit" in text
    assert "electronic with a week timer and adaptive start" in text
    assert "An assumed wall is assumed" in text
    assert "a competent, licensed person decide" in text


def test_the_document_says_the_same() -> None:
    """Losses, ranges, what is met and the circuits, as numbers; ends with 0 while no loss is unknown."""
    code, said = document("heat", WEIR)
    rooms = {room["name"]: room for room in said["rooms"]}
    assert code == 0
    assert [round(rooms["living"]["loss_w"][key]) for key in ("least", "amount", "most")] == [1925, 2153, 2414]
    assert said["circuits"]["needed_n"] == 5 == len(said["circuits"]["recorded"])
    assert [sorted(each["rooms"]) for each in said["no_longer_met"]] == [
        ["bed-1", "kitchen", "living"], ["bath", "bed-1", "bed-2", "bed-3", "kitchen", "living"]]
    assert all(met["ok"] for room in said["rooms"] for met in room["met"] if met["supply_v"] == 230 and met["stamped_v"] is None)
    assert {each["how"] for each in rooms["living"]["rests_on"]} == {"assumed"}


def test_enough_by_the_middle_and_not_at_the_most(tmp_path: Path) -> None:
    """Living: 2414 W by 1.2 is 2897 W, its heaters give 2750. Four rooms are so at 230 V; in the document, on the drawing too."""
    _, said = document("heat", WEIR)
    rooms = {room["name"]: room for room in said["rooms"]}
    assert round(rooms["living"]["required_w"]["most"]) == 2897
    at_230 = {name: met for name, room in rooms.items() for met in room["met"] if met["supply_v"] == 230 and met["stamped_v"] is None}
    assert (at_230["living"]["ok"], round(at_230["living"]["short_at_most_w"])) == (True, 147)
    short = [name for name, met in at_230.items() if met["short_at_most_w"] > 0]
    assert short == ["living", "kitchen", "bed-1", "bed-2"]
    file = tmp_path / "rooms.svg"
    typed("heat", WEIR, "--out", file)
    words = " ".join("".join(each.itertext()) for each in ElementTree.fromstring(file.read_text("utf-8")).iter(f"{SVG}text"))
    assert "living: 147 W short at the most it may lose" in words
    assert words.count("short at the most it may lose") == 4
    assert "Met at 230 V: 9 of 9 rooms. Of these short at the most they may lose: living, kitchen, bed-1, bed-2." in words


def test_a_room_says_what_it_rests_on() -> None:
    """Granary has no range recorded and an assumed wall: the page says so, each fact once, and the sheet of a room has its own."""
    text = flat(page("heat", GRANARY))
    assert "living, top floor at 21 °C: 1513 W, no range recorded." in text
    for at, is_ in (("fabric.outside-wall.u_w_per_m2k", "thermal transmittance 0.45 W/(m²K)"), ("heating.main.outside_c", "temperature outside -3 °C"),
                    ("rooms.bath.air_changes_per_h", "air changes an hour")):
        assert text.count(f": {at}") == 1
        assert f"rests on {is_}" in text
    assert "rests on margin for heating up 0.2, assumed: heating.main.margin_share" in flat(page("heat", GRANARY, "hall"))
    rooms = document("heat", GRANARY)[1]["rooms"]
    assert all(f"assumed: {each['at']}" in text for room in rooms for each in room["rests_on"])


def test_a_job_with_nothing_recorded_tells_nothing(tmp_path: Path) -> None:
    """No room, no heater: every figure is unknown with its gap, no circuit is said to be needless and no stamp to be harmless."""
    (tmp_path / "job.toml").write_text('schema = 1\nnation = "England"\nbooks = { bs7671 = "2018+A4" }\ndates = { survey = "2026-11-09" }\n', "utf-8")
    (tmp_path / "found.toml").write_text("\n", "utf-8")
    done = typed("heat", tmp_path)
    text = flat(done.stdout)
    assert done.exit_code == 3
    assert "Found. Outside unknown (temperature outside, heating.main.outside_c, not recorded); heat bridges unknown" in text
    assert "All heated rooms together: unknown: heat lost, rooms, no heated room is recorded." in text
    assert "No heater is recorded: how many circuits are needed for them is not known." in text
    assert "none of those met now" not in text
    assert "Heating of a year: unknown" in text


def test_one_room_with_its_working() -> None:
    """The kitchen: the wall less its openings, the pantry at half the difference, the air, the last line of the working."""
    text = flat(page("heat", WEIR, "kitchen"))
    assert "wall: 12.0 m², less window, door, U 1.7 W/(m²K) (assumed): 429 W" in text
    assert "pantry: 7.05 m² (measured), U 1.2 W/(m²K) (assumed), 0.5 of the difference: 88.8 W" in text
    assert "air changed 2 an hour (assumed), 25.4 m³: 352 W" in text
    assert "= Φ = H × (ti - te) = 59.1 × (18 - (-3)) = 1241 W" in text
    assert "from in print: Sustainable Energy - without the hot air, table E.1" in text
    assert "All heated rooms" not in text


def test_heaters_behind_fused_units_are_named() -> None:
    """Granary as found: three heaters on 13 A units of the ring draw 33.5 A at 253 V, and rooms without one are not judged."""
    text = flat(page("heat", GRANARY, "--stage", "found"))
    assert "ring.spur-living, ring.spur-bed-1, ring.spur-hall: 33.5 A; its device 32 A" in text
    assert "33.5 A; its device 32 A, 1.48 A less than they draw" in text
    assert "less than they draw" not in flat(page("heat", GRANARY))
    assert "behind a fused unit, where no heater that runs for hours belongs: ring.spur-living" in text
    assert "no heater of this room is recorded" in text


def test_what_is_missing_is_unknown_on_the_page_and_ends_with_3(tmp_path: Path) -> None:
    """Take the glass of one wall away: that room and the home are unknown, the gap is named, the others stand."""
    laid = tmp_path / "no-glass.toml"
    laid.write_text('remove = ["rooms.living.elements.window"]\n', "utf-8")
    done = typed("heat", WEIR, "--with", laid)
    text = flat(done.stdout)
    assert done.exit_code == 3
    assert "living, ground floor at 21 °C: unknown: area of a wall without its openings, rooms.living.elements.wall, no glass is listed" in text
    assert "All heated rooms together: unknown" in text
    assert "dining, ground floor at 21 °C: 1346 W" in text


def test_a_part_nobody_said_is_not_nought_on_any_face(tmp_path: Path) -> None:
    """Weir's living without its floor, 2,153 less 301 W, with 40 kW and then 1 kW of heaters: at least so much, no size, nothing is
    enough, short is short; the home says so, the drawing too, a year is unknown, and all ends with 3."""
    laid, file = tmp_path / "no-floor.toml", tmp_path / "rooms.svg"
    laid.write_text('remove = ["rooms.living.elements.floor"]\nequipment.heater-living-a.stamped_w = 40_000\n', "utf-8")
    done = typed("heat", WEIR, "--with", laid, "--out", file)
    text = flat(done.stdout)
    assert done.exit_code == 3
    assert "living, ground floor at 21 °C: at least 1852 W, not answered: below; so much of what is counted, between 1624 and 2113 W" in text
    assert "output wanted at least 2222 W, between 1948 and 2535 W; no size is told before these are answered: below" in text
    assert "its two heaters: at 230 V 41250 W, whether that is enough is unknown; at 216.2 V" in text
    assert "All heated rooms together: at least 8941 W, not all answered of living; so much of what is counted" in text
    assert "Heating of a year: unknown: heat lost a kelvin, rooms.living.elements, not answered: below" in text
    assert "hall, ground floor at 18 °C: 477 W, between" in text
    drawn = " ".join("".join(each.itertext()) for each in ElementTree.fromstring(file.read_text("utf-8")).iter(f"{SVG}text"))
    assert "living at least 1852 W (1624 to 2113)" in drawn.replace("  ", " ")
    assert "Met at 230 V: 8 of 9 rooms." in drawn
    assert "At least so much, not every part is answered: 1 of 9." in drawn
    laid.write_text('remove = ["rooms.living.elements.floor", "equipment.heater-living-b"]\nequipment.heater-living-a.stamped_w = 1000\n', "utf-8")
    assert "its one heater: at 230 V 1000 W, 1222 W short of it at least; at 216.2 V" in flat(typed("heat", WEIR, "--with", laid).stdout)
    said = document("heat", WEIR, "--with", laid)[1]
    assert (said["home"]["unsaid"], said["rooms"][0]["unsaid"], said["rooms"][1]["unsaid"]) == (["living"], ["below"], [])
    assert [(met["ok"], met["above_loss_w"]) for met in said["rooms"][0]["met"]] == [(False, None)] * 4
    laid.write_text('remove = ["rooms.living.elements.floor", "rooms.living.design_c"]\n', "utf-8")
    assert "rooms.living.design_c, not recorded; not answered: below" in flat(typed("heat", WEIR, "--with", laid).stdout)


def test_no_part_of_any_room(tmp_path: Path) -> None:
    """Of every room the ceiling or the floor struck out: no room stands for the rest."""
    rooms = [(name, part) for name in ("living", "hall", "dining", "kitchen") for part in ("above",)]
    rooms += [(name, "below") for name in ("bed-1", "bed-2", "bed-3", "landing", "bath")]
    laid = tmp_path / "none.toml"
    laid.write_text(f"remove = {[f'rooms.{name}.elements.{part}' for name, part in rooms]}\n".replace("'", '"'), "utf-8")
    text = flat(typed("heat", WEIR, "--with", laid).stdout)
    assert "All heated rooms together: at least 9242 W, not all answered of any room; so much of what is counted, between 8291 and 10330 W" in text
    assert ", enough" not in text
    assert "sizes that give it" not in text


def test_more_heat_than_any_heaters_give(tmp_path: Path) -> None:
    """No eight heaters of the ladder give 40 kW: the page and the phone's document say so in the same words."""
    laid = tmp_path / "barn.toml"
    laid.write_text("rooms.living.air_changes_per_h = 20\nrooms.living.size.height_m = 90\n", "utf-8")
    assert "; no sizes that a firm fits give it" in flat(typed("heat", WEIR, "--with", laid).stdout)
    assert document("heat", WEIR, "--with", laid)[1]["rooms"][0]["why_sizes"] == "no sizes that a firm fits give it"


def test_a_missing_margin_and_an_unread_stamp(tmp_path: Path) -> None:
    """The loss stands and the output wanted is unknown; what an unread stamp draws leaves its floor's circuits unknown."""
    laid = tmp_path / "gaps.toml"
    laid.write_text('remove = ["heating.main.margin_share"]\n[equipment]\nheater-bath.stamped_v = { unknown = "plate hidden" }\n', "utf-8")
    text = flat(typed("heat", WEIR, "--with", laid).stdout)
    assert "output wanted: unknown: margin for heating up, heating.main.margin_share, not recorded" in text
    assert "by what they draw at 253 V: how many is unknown. Wire each heater" in text
    assert "First: what heater-bath draws is not known" in text
    assert "Ground: three circuits" in text


def test_one_heater_alone_on_a_floor_and_one_in_no_room(tmp_path: Path) -> None:
    """Both are said: a floor that one fault leaves cold, and a heater that counts for no room."""
    laid = tmp_path / "attic.toml"
    laid.write_text('rooms.bath.floor = "attic"\n[equipment]\nstray = { kind = "panel-heater", stamped_w = 500, stamped_v = 230 }\n', "utf-8")
    text = flat(typed("heat", WEIR, "--with", laid).stdout)
    assert "Attic: one circuit; its one heater stands on one circuit, and one fault leaves it cold" in text
    assert "In no room of the record, so counted for none: equipment.stray." in text
    assert "Floor not recorded: which floor stray stands on is not recorded" in text
    assert "by what they draw at 253 V: how many is unknown" in text


def test_a_storage_heater_has_a_circuit_of_its_own(tmp_path: Path) -> None:
    """It is named apart from those that share, its output is unknown, and the five become six: ground still needs three."""
    laid = tmp_path / "storage.toml"
    laid.write_text('[equipment]\nheater-night = { kind = "storage-heater", room = "hall", stamped_w = 1700, stamped_v = 230 }\n', "utf-8")
    text = flat(typed("heat", WEIR, "--with", laid).stdout)
    assert "Storage heaters, each on a circuit of its own: heater-night" in text
    assert "253 V: six circuits at least" in text
    assert "at 230 V unknown (output of the heaters of a room, equipment.heater-night.given_w, a storage heater gives back" in text


def test_no_heater_and_no_room() -> None:
    """Weir as found has none; a room that is not heated by the record is told, with those that are."""
    text = flat(page("heat", WEIR, "--stage", "found"))
    assert "No heater is recorded: how many circuits are needed for them is not known." in text
    assert "Were the same watts stamped" not in text
    assert document("heat", WEIR, "--stage", "found")[1]["circuits"]["needed_n"] is None
    done = typed("heat", WEIR, "livng")
    assert done.exit_code == 2
    assert 'there is no heated room "livng"' in done.stderr
    assert "did you mean living" in done.stderr or "living" in done.stderr


def bars(text: str) -> dict[str, list[ElementTree.Element]]:
    """What is drawn, by the words read out with it."""
    found: dict[str, list[ElementTree.Element]] = {}
    for group in ElementTree.fromstring(text).iter(f"{SVG}g"):
        title = group.find(f"{SVG}title")
        if title is not None and title.text:
            found.setdefault(title.text, []).append(group)
    return found


def test_the_drawing_has_a_bar_and_a_range_for_each_room(tmp_path: Path) -> None:
    """Nine bars as long as their losses, eight ranges (one room has no outside wall), nine strokes of heaters."""
    file = tmp_path / "rooms.svg"
    assert typed("heat", WEIR, "--out", file).exit_code == 0
    drawn = bars(file.read_text("utf-8"))
    assert {what: len(each) for what, each in drawn.items()} == {"loss": 9, "wanted": 9, "range": 8, "heaters": 9}
    widths = [float(group.find(f"{SVG}rect").get("width", "")) for group in drawn["loss"]]       # type: ignore[union-attr]
    losses = [room["loss_w"]["amount"] for room in document("heat", WEIR)[1]["rooms"]]
    scale = widths[0] / losses[0]
    assert all(abs(w - loss * scale) < 0.1 for w, loss in zip(widths, losses, strict=True))


def test_the_drawing_says_what_is_not_known(tmp_path: Path) -> None:
    """A room without its glass has no bar and a line that says why; a file that cannot be written is bad input."""
    laid, file = tmp_path / "no-glass.toml", tmp_path / "rooms.svg"
    laid.write_text('remove = ["rooms.living.elements.window"]\n', "utf-8")
    typed("heat", WEIR, "--with", laid, "--out", file)
    text = file.read_text("utf-8")
    assert len(bars(text)["loss"]) == 8
    assert "Not known: living." in text
    assert typed("heat", WEIR, "--out", tmp_path / "nowhere" / "rooms.svg").exit_code == 2


def test_the_drawing_of_heaters_nobody_recorded_and_of_heaters_too_small(tmp_path: Path) -> None:
    """Weir as found: no stroke, and the line says that nothing is known; a heater of 500 W in the kitchen is short."""
    file, laid = tmp_path / "rooms.svg", tmp_path / "small.toml"
    typed("heat", WEIR, "--stage", "found", "--out", file, "--wide")
    assert "heaters" not in bars(file.read_text("utf-8"))
    assert "Met at 230 V: 0 of 9 rooms. What the heaters give is not known: 9 of 9." in file.read_text("utf-8")
    laid.write_text("equipment.heater-kitchen.stamped_w = 500\n", "utf-8")
    typed("heat", WEIR, "--with", laid, "--out", file)
    assert "Heaters short of the output wanted: kitchen. Met at 230 V: 8 of 9 rooms." in file.read_text("utf-8")


def test_another_rating() -> None:
    """At 13.2 A the three heaters of one circuit above (14.3 A) go apart; 2 kW is too much for 9 A."""
    assert "six circuits at least" in flat(page("heat", WEIR, "--rating", "13.2"))
    assert "more than 9 A by itself at the highest voltage" in flat(page("heat", WEIR, "--rating", "9"))


# ---- a year ---------------------------------------------------------------------------------------------------------
def test_a_year_is_told_between_its_ends_with_what_saves_most() -> None:
    """Weir: SCENARIOS "Running cost" 12,974 to 20,765 kWh and GBP 3,503 to 5,606, there with whole W/K; the wall at its most beyond it."""
    text = flat(page("heat", WEIR))
    assert "Heating of a year: 12986 to 23258 kWh, 20784 kWh as recorded." in text
    assert "Its cost: 3506 to 6280 GBP, 5612 GBP as recorded, at 27 p/kWh (told) on 2026-11-09." in text
    for at, ends in (("heating.main.air_share", "0.5 to 1"), ("heating.main.degree_days_kd", "1700 to 2100"),
                     ("fabric.outside-wall.u_w_per_m2k", "1.35 to 2.1")):
        assert f"{at} may be {ends} (assumed)" in text
    assert "300 mm of wool at the ceiling: reckoned with thermal transmittance when improved 0.16 W/(m²K) (assumed)" in text
    assert "draughts stopped: 0 to 2578 kWh, 0 to 696 GBP 300 mm of wool at the ceiling: 484 to 598 kWh, 131 to 161 GBP" in text
    assert "not counted: 4.2 W/K into spaces of the home that are not heated" in text
    assert "Draughts and loft first" in text
    said = document("heat", WEIR)[1]["running"]
    assert [round(said["heating_kwh"][key]) for key in ("least", "as_recorded", "most")] == [12986, 20784, 23258]
    assert [m["at"] for m in said["measures"]] == ["heating.main.air_could_be_share", "fabric.roof"]


def test_a_range_says_how_it_is_known(tmp_path: Path) -> None:
    """The same ends, measured by one who drilled, and stated of the ceiling: both faces and the document say so, none says assumed."""
    laid = tmp_path / "drilled.toml"
    laid.write_text("fabric.outside-wall.u_w_per_m2k = { measured = 1.7, least = 1.35, most = 2.1 }\nfabric.roof.could_be_w_per_m2k = 0.16\n", "utf-8")
    text = flat(typed("heat", WEIR, "--with", laid).stdout)
    assert "2153 W, between 1925 and 2414 W: fabric.outside-wall.u_w_per_m2k may be 1.35 to 2.1 (measured)." in text
    assert "fabric.outside-wall.u_w_per_m2k may be 1.35 to 2.1 (assumed)" not in text
    assert "thermal transmittance when improved 0.16 W/(m²K) (stated)" in text
    said = document("heat", WEIR, "--with", laid)[1]
    assert {(each["how"], each["trust"]) for each in said["rooms"][0]["loss_w"]["range_of"]} == {("measured", "")}
    told = {each["at"]: each["how"] for each in said["running"]["range_of"]}
    assert (told["fabric.outside-wall.u_w_per_m2k"], told["heating.main.air_share"]) == ("measured", "assumed")
    assert [each["could_be"]["how"] for each in said["running"]["measures"]] == ["assumed", "stated"]
    assert told_by_the_phone(said)["range_of"][0] == "Thermal transmittance of outside wall: 1.35 to 2.1, measured"
    assert [each[3].rpartition(", ")[2] for each in told_by_the_phone(said)["measures"]] == ["assumed", "stated"]
    asked = tmp_path / "asked.toml"
    asked.write_text('fabric.roof.could_be_w_per_m2k = { unknown = "the maker is asked" }\n', "utf-8")
    text = flat(typed("heat", WEIR, "--with", asked).stdout)
    assert "300 mm of wool at the ceiling: unknown: thermal transmittance when improved, fabric.roof.could_be_w_per_m2k, the maker is asked" in text
    assert "300 mm of wool at the ceiling: reckoned" not in text
    assert [each[3] for each in told_by_the_phone(document("heat", WEIR, "--with", asked)[1])["measures"]][1:] == [""]


def test_a_missing_price_leaves_the_kilowatt_hours(tmp_path: Path) -> None:
    """The cost is unknown and says why, of each measure too; a figure without ends is none."""
    laid = tmp_path / "no-price.toml"
    laid.write_text('remove = ["heating.main.price_p_per_kwh"]\nfabric.thatch = { could_be_w_per_m2k = 0.2, measure = "thatch made good" }\n', "utf-8")
    text = flat(typed("heat", WEIR, "--with", laid).stdout)
    assert "12986 to 23258 kWh" in text
    assert "Its cost: unknown: price of electricity, heating.main.price_p_per_kwh, not recorded." in text
    assert "draughts stopped: 0 to 2578 kWh 300 mm" in text
    assert "thatch made good: unknown: heat no longer lost, a kelvin, fabric.thatch, no part of a heated room" in text
    laid.write_text("heating.main.degree_days_kd = 2100\nheating.main.air_share = 1\nfabric.outside-wall.u_w_per_m2k = 1.7\n", "utf-8")
    text = flat(typed("heat", WEIR, "--with", laid).stdout)
    assert "Heating of a year: unknown: nobody said between what anything lies, and one number would be no answer." in text
    assert "Its cost: unknown: cost of heating in a year, heating.main, nobody said between what fabric, air" in text


def test_storage_heaters_and_a_home_of_which_no_measure_is_recorded(tmp_path: Path) -> None:
    laid = tmp_path / "night.toml"
    laid.write_text('[equipment]\nheater-night = { kind = "storage-heater", room = "hall", stamped_w = 1700, stamped_v = 230 }\n', "utf-8")
    assert "charged at another hour and price, so say the mean price: heater-night" in flat(typed("heat", WEIR, "--with", laid).stdout)
    assert "What would save is not recorded. Draughts and loft first" in flat(page("heat", GRANARY))


def test_a_row_of_one_source_is_told_as_such(tmp_path: Path) -> None:
    """Bedroom 18 °C is of one source: the sheet of the room says so beside where it stands; a confirmed row says nothing more."""
    laid = tmp_path / "use.toml"
    laid.write_text('remove = ["rooms.bed-1.design_c"]\nrooms.bed-1.use = "bedroom"\n', "utf-8")
    text = flat(typed("heat", WEIR, "bed-1", "--with", laid).stdout)
    assert "as a page on plumbing quotes it (one source)" in text
    assert "from in print: Sustainable Energy - without the hot air, table E.1 from" in text


def test_what_cannot_be_told_is_no_none(tmp_path: Path) -> None:
    """Without a temperature outside no room's loss is known: no stamp is said to leave none short."""
    copied = shutil.copytree(WEIR, tmp_path / "weir")
    premises = copied / "premises.toml"
    premises.write_text(re.sub(r"(?m)^outside_c.*\n", "", premises.read_text("utf-8")), "utf-8")
    code, said = document("heat", copied)
    assert code == 3
    assert all(each["rooms"] == [] and len(each["cannot_tell"]) == 9 for each in said["no_longer_met"])
    assert "cannot tell of: living" in " ".join(page("heat", copied).split())


def test_a_measure_without_ends_saves_no_single_number(tmp_path: Path) -> None:
    """Where nobody said between what anything lies, what a measure saves is unknown as the year is."""
    copied = shutil.copytree(WEIR, tmp_path / "weir")
    premises = copied / "premises.toml"
    text = re.sub(r", (least|most) = [0-9.]+", "", premises.read_text("utf-8"))
    premises.write_text(text, "utf-8")
    said = document("heat", copied)[1]["running"]
    assert said["heating_kwh"]["least"] is None
    assert said["measures"]
    assert all(each["saved_kwh"]["least"] is None and each["saved_gbp"]["least"] is None for each in said["measures"])
