"""Demand: both homes worked by hand in SCENARIOS, what is missing, and a logger's rows with a peak that a mean hides."""
from __future__ import annotations

import random
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from spareway import api_demand
from spareway.api_circuit import new_circuit_of
from spareway.design.demand import GENERAL, Demand
from spareway.design.design import Design
from spareway.design.logged import Log, read_log
from spareway.doc import InputError
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.job.ways import ways_in_words, ways_unsaid
from spareway.rules import all_rules
from spareway.rules.base import judge

EXAMPLES = Path(__file__).parents[2] / "examples"
START = datetime.fromisoformat("2026-01-12")


def home(name: str, stage: str, was: str = "", now: str = "") -> Demand:
    files = dict(read_folder(EXAMPLES / name))
    if was:
        assert any(was in text for text in files.values())
        files = {file: text.replace(was, now) for file, text in files.items()}
    return Demand(Design(read_job(files).at(stage)))


def rows(of: Demand) -> dict[str, float | None]:
    return {line.row: line.demand_a.amount for line in of.book()}


def test_weir_by_the_book() -> None:
    """SCENARIOS, "Does 80 A carry it?": 55.4 + 13.0 + 19.0 + 32 + 12.8 + 5.2 is 137.4 A; 114.7 by the other reading; 82.0 before any heater."""
    weir = home("weir-cottage", "proposed")
    assert rows(weir) == pytest.approx({"panel heaters on their own circuits": 55.43, "storage water heaters": 13.04, "cooking": 19.0,
                                        "standard circuits": 44.8, "lighting": 5.165}, abs=0.005)
    assert [round(weir.book_a(heaters).value, 1) for heaters in ("panel heaters on their own circuits", GENERAL, "")] == [137.4, 114.7, 82.0]
    assert weir.lasting_a.value == pytest.approx(15_750 / 230)                       # FEATURES 27: 15.75 kW, 68.5 A before cooking


def test_granary_by_the_book_before_and_after() -> None:
    """SCENARIOS: 18.5 + 13.0 + 14.8 + 32 + 3.4 is 81.8 A, 63.3 A with the heaters in the ring, though 12.0 A more was connected."""
    found, fitted = home("granary-yard", "found"), home("granary-yard", "fitted")
    assert round(fitted.book_a().value, 1) == 81.8
    assert round(found.book_a().value, 1) == 63.3
    assert round(found.connected_a.value - fitted.connected_a.value, 1) == 12.0
    said = api_demand.demand(dict(read_folder(EXAMPLES / "granary-yard")))
    assert [row["row"] for row in said["moved"]["rows"]] == ["panel heaters on their own circuits"]
    assert said["moved"]["rows"][0]["before_a"] is None
    assert said["spare_ways"] == [{"board": "board", "ways": 2, "why": ""}]


def test_what_is_missing_leaves_its_own_figure_unknown_and_the_others_standing() -> None:
    """A cooker without its power: the book has no total, its other rows stand, and so do the fuse and what it opens at."""
    weir = home("weir-cottage", "proposed", "load_w = { marked = 9200 }", "load_w = { unknown = \"plate painted over\" }")
    assert weir.book_a().amount is None
    assert [gap.note for gap in weir.book_a().missing()] == ["plate painted over"]
    assert {row for row, amps in rows(weir).items() if amps is None} == {"cooking"}
    assert weir.connected_a.amount is None
    assert weir.design.supply.fusing_a.value == 120                                  # BS 1361: 1.5 In, from memory
    assert weir.design.supply.holds_a.amount is None                                               # what it holds no source here says


def test_a_circuit_of_lights_that_nobody_counted_is_unknown() -> None:
    """Ridge: its lights are recorded together; the book counts lampholders."""
    ridge = home("ridge-annexe", "proposed")
    assert {row for row, amps in rows(ridge).items() if amps is None} == {"lighting"}
    assert rows(ridge)["vehicle charge point"] == 32


def test_what_a_fuse_of_the_newer_standard_holds() -> None:
    """FEATURES 22: a gG fuse of 80 A holds 100 A for two hours and opens at 128 A."""
    weir = home("weir-cottage", "proposed", "bs1361-2", "bs88-3")
    assert (weir.design.supply.holds_a.value, weir.design.supply.fusing_a.value) == (100, 128)


# ---- what nobody said -------------------------------------------------------------------------------------------------
def gaps(of: Demand) -> list[set[str]]:
    """The addresses of what is missing in connected, lasting and by the book; none where the figure is known."""
    return [{gap.at for gap in fact.missing()} if fact.amount is None else set() for fact in (of.connected_a, of.lasting_a, of.book_a())]


def weir_with(more: str) -> Demand:
    return Demand(Design(read_job(dict(read_folder(EXAMPLES / "weir-cottage")), [("more.toml", more)]).at("proposed")))


def test_a_circuit_of_which_nobody_said_what_it_feeds_is_in_every_figure() -> None:
    """It may feed a heater: lasting is unknown too."""
    weir = weir_with('circuits.more = { way = "board.14", device = { kind = "mcb", curve = "B", rating_a = 16 } }\n')
    assert gaps(weir) == [{"circuits.more"}] * 3
    assert weir.connected_a.missing()[0].note == "nobody said what it feeds"


@pytest.mark.parametrize(("what", "lasts"), [("cooker", False), ("panel-heater", True), ("charge-point-two-way", True), ("appliance", False)])
def test_an_appliance_on_no_circuit_is_in_every_figure_of_its_own(what: str, lasts: bool) -> None:
    """A cooker is named as a heater is; it is none of what lasts."""
    weir = weir_with(f'[equipment]\nmore = {{ kind = "{what}", stamped_w = 2000, stamped_v = 230 }}\n')
    named = {"equipment.more"}
    assert gaps(weir) == [named, named if lasts else set(), named]


def test_alarms_and_lamps_on_no_circuit() -> None:
    """Alarms are left out wherever they are; a lamp makes its row unknown."""
    weir = weir_with('[equipment]\nmore = { kind = "lamp" }\nbells = { kind = "alarms" }\n')
    assert gaps(weir) == [{"equipment.more"}, set(), {"equipment.more"}]
    assert {row for row, amps in rows(weir).items() if amps is None} == {"lighting"}
    assert "equipment.bells" in dict(weir.left_out)


def test_what_lasts_has_the_charging_in_it_and_a_way_to_a_source_is_told() -> None:
    """Ridge: 3 kW water, 2.75 kW heaters and 7.36 kW charging are 57.0 A; the battery's 22 A count in no figure."""
    ridge = home("ridge-annexe", "proposed")
    assert ridge.lasting_a.value == pytest.approx((3000 + 2750 + 7360) / 230)
    assert dict(ridge.left_out)["circuits.storage"] == "a source may charge through it; its current is counted in no figure"
    on = home("ridge-annexe", "proposed", 'feeds  = "battery-switch.bottom"', 'feeds  = "backup.in"')
    assert "circuits.storage" not in dict(on.left_out)                               # a board, and its circuits count by themselves


def test_a_source_takes_nothing_and_what_else_stands_on_its_circuit_counts() -> None:
    """A battery that says which circuit it stands on is told and not counted; a heater on the way to another is counted."""
    ridge = Demand(Design(read_job(dict(read_folder(EXAMPLES / "ridge-annexe")), [("more.toml",
        '[equipment]\nbattery-2 = { kind = "battery-inverter", on = "second", rating_a = 16 }\n'
        'more = { kind = "panel-heater", on = "storage", stamped_w = 500, stamped_v = 230 }\n[circuits.second]\nway = "board.12"\n')]).at("proposed")))
    assert {at for at, why in ridge.left_out if "a source may charge" in why} == {"circuits.solar", "circuits.storage", "circuits.second"}
    assert ridge.connected_a.value == pytest.approx(home("ridge-annexe", "proposed").connected_a.value + 500 / 230)


def test_a_source_gives_whether_a_thing_or_its_circuit_says_so() -> None:
    """Said by the circuit alone it is left out as with its thing on record: what charges through it is told, and in no figure."""
    bare, by_word = weir_with(""), weir_with('[circuits.panels]\nway = "board.14"\nfeeds = "solar-inverter"\n')
    by_thing = weir_with('equipment.roof = { kind = "solar-inverter", on = "panels" }\n[circuits.panels]\nway = "board.14"\n')
    for weir in (by_word, by_thing):
        assert weir.connected_a.missing() == bare.connected_a.missing()
        assert [at for at, why in weir.left_out if "a source may charge through it" in why] == ["circuits.panels"]


def test_a_point_of_a_ring_of_which_nobody_said_what_it_feeds() -> None:
    """It may be a fixed heater, so connected and lasting are unknown; the book counts the ring by its device, whatever hangs on it."""
    weir = weir_with('circuits.ring-first.points.more = { from = "way" }\n')
    assert gaps(weir) == [{"circuits.ring-first"}, {"circuits.ring-first"}, set()]
    assert round(weir.book_a().value, 1) == 137.4


def test_a_board_without_circuits_is_not_nothing() -> None:
    """A way feeds a board of which no circuit is recorded: what hangs behind it is in every figure, and unknown."""
    weir = weir_with('equipment.shed = { kind = "board", ways_n = 4 }\n[circuits.out]\nway = "board.14"\nfeeds = "shed.in"\n')
    assert gaps(weir) == [{"circuits.out", "equipment.shed.empty_ways"}] * 3
    assert weir.connected_a.missing()[0].note == "no circuit of shed, which it feeds, is recorded"


JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\n'
BOARD = """equipment.cutout = { kind = "cut-out", fuse = "bs1361-2", fuse_a = { marked = 80 } }
equipment.board.kind = "board"
equipment.board.ways_n = 6
circuits.ring   = { way = "board.1", feeds = "sockets", shape = "ring", device = { kind = "mcb", curve = "B", rating_a = 32 } }
circuits.shower = { way = "board.2", feeds = "shower", load_w = 8050, device = { kind = "mcb", curve = "B", rating_a = 40 } }
supplies.main   = { joins = "cutout.in", earthing = "TN-S" }
"""


@pytest.mark.parametrize(("more", "why", "spare"), [
    ("", "nobody said what ways 3 to 6 feed, or that nothing is there", None),
    ("equipment.board.empty_ways = [3, 4]\nequipment.board.bare_ways = [6]\n", "nobody said what way 5 feeds, or that nothing is there", None),
    ("equipment.board.empty_ways = [3, 4, 5, 6]\n", "", 4),
    ('equipment.board.ways_n = { unknown = "not seen" }\n', "nobody counted the ways, so there may be more circuits than are recorded", None)])
def test_a_way_that_nobody_answered_for_is_neither_spare_nor_nought(more: str, why: str, spare: int | None) -> None:
    """Not one figure of demand is known while a way is unanswered, and none of its rules is within; what is known stands as the least."""
    job = read_job({"job.toml": JOB, "found.toml": BOARD})
    design = Design(job.found.altered(more))
    of = design.demand
    assert [fact.known for fact in (of.connected_a, of.lasting_a, of.book_a())] == [spare is not None] * 3
    assert {gap.note for gap in of.connected_a.missing()} == ({why} - {""})
    assert of.connected_least_a.value == pytest.approx(8050 / 230)
    said = {f.rule: f.verdict for f in judge(design, all_rules()) if f.rule in ("DM1", "DM2", "DM3")}
    assert said == dict.fromkeys(("DM1", "DM2", "DM3"), "within" if spare is not None else "unknown")
    told = api_demand.demand({"job.toml": JOB, "found.toml": BOARD}, overlays=[("more.toml", more)])
    assert [(each["ways"], bool(each["why"])) for each in told["spare_ways"]] == [(spare, spare is None)]
    left = {each["says"]: each["left_a"]["amount"] for each in told["in_hand"]}
    assert {left.pop("recorded"), *(amps is None for amps in left.values())} == {None, spare is None}


@pytest.mark.parametrize(("more", "way", "note"), [
    ("", "board.7", "no way of board is known to be free: nobody said what stands in ways 3 to 6"),
    ("equipment.board.empty_ways = [5]\n", "board.5", ""),
    ("equipment.board.ways_n = 2\n", "board.3", "no way of board is free: it has 2"),
    ('equipment.board.ways_n = { unknown = "not seen" }\n', "board.3", "")])
def test_a_new_circuit_takes_no_way_that_nobody_answered_for(more: str, way: str, note: str) -> None:
    job = read_job({"job.toml": JOB, "found.toml": BOARD})
    said = new_circuit_of(job, job.found.altered(more), "3 kW immersion, 8 m, method C", whole=False)
    assert (said["way"], said["notes"][:1] if note else []) == (way, [note] if note else [])


def test_a_way_that_the_work_takes_a_circuit_out_of_is_spare() -> None:
    """Of a board that stays; of one that is replaced each way is said anew."""
    files = {"job.toml": JOB, "found.toml": BOARD + "equipment.board.empty_ways = [3, 4, 5, 6]\n"}
    gone = 'remove = ["circuits.shower"]\n'
    anew = 'equipment.board = { kind = "board", ways_n = 6 }\ncircuits.ring.way = "board.1"\n'
    for work, left in ((gone, ()), (gone + anew, (2, 3, 4, 5, 6))):
        assert ways_unsaid(read_job({**files, "work.toml": work}).at("proposed"), "board") == left


def test_ways_in_words() -> None:
    assert [ways_in_words(ways) for ways in ((3,), (3, 4), (3, 4, 5), (3, 5, 6))] == ["way 3", "ways 3 and 4", "ways 3 to 5", "ways 3, 5 and 6"]


def test_nothing_recorded_is_not_nought() -> None:
    empty = Demand(Design(read_job({"job.toml": read_folder(EXAMPLES / "weir-cottage")["job.toml"], "found.toml": ""}).at("found")))
    assert [gap.note for fact in (empty.connected_a, empty.lasting_a, empty.book_a(), empty.book_a("")) for gap in fact.missing()] == ["no circuit is recorded"] * 4


def test_a_lamp_of_more_than_the_book_counts_by_itself() -> None:
    """Twelve lamps of Granary, one of 300 W and one of 20: 11 × 100 + 300, by 0.66. Connected no longer by the 115 W told."""
    more = "points.hall-1   = { from = \"way\", feeds = \"lamp\", "
    for watts, book, now in ((300, 1400, 1400), (20, 1200, 1120)):
        flat = home("granary-yard", "fitted", more, f"{more}load_w = {watts}, ")
        assert rows(flat)["lighting"] == pytest.approx(book * 0.66 / 230)
        assert dict(flat.connected)["circuits.lights"].value == pytest.approx(now / 230)
    assert dict(home("granary-yard", "fitted").connected)["circuits.lights"].value == pytest.approx(115 / 230)


def test_lamps_beside_something_else_count_by_themselves() -> None:
    """A fan of 40 W among the lamps and 155 W told for all: the fan once, and the lamps by their own total."""
    flat = Demand(Design(read_job(dict(read_folder(EXAMPLES / "granary-yard")), [("fan.toml",
        'circuits.lights.points.fan = { from = "living-5", feeds = "appliance", load_w = 40 }\ncircuits.lights.load_w = 155\n')]).at("fitted")))
    said = {at: amps.value for at, amps in flat.connected}
    assert said["circuits.lights.points.fan"] == pytest.approx(40 / 230)
    assert said["circuits.lights"] == pytest.approx(1200 / 230)


def test_lights_beside_a_heater_that_nobody_counted_are_unknown() -> None:
    """Ridge's lights with a heater on the same circuit: 90 W told may be either's."""
    ridge = Demand(Design(read_job(dict(read_folder(EXAMPLES / "ridge-annexe")), [("heater.toml",
        '[equipment]\nmore = { kind = "panel-heater", on = "lights", stamped_w = 500, stamped_v = 230 }\n')]).at("proposed")))
    assert gaps(ridge)[0] == {"circuits.lights.points"}
    assert dict(ridge.connected)["equipment.more"].value == pytest.approx(500 / 230)


# ---- a log ------------------------------------------------------------------------------------------------------------
def written(amps: list[float], step: int = 1, without: tuple[int, ...] = ()) -> str:
    return "at,volts,current_a\n" + "\n".join(f"{START + timedelta(minutes=i * step):%Y-%m-%dT%H:%M},231,{x:.1f}"
                                               for i, x in enumerate(amps) if i not in without)


def week() -> tuple[list[float], Log]:
    draw = random.Random(4)
    amps = [round(draw.uniform(3, 44), 1) for _ in range(10_080)]
    amps[5000:5004] = [61.0] * 4
    amps[7000:7002] = [90.0] * 2
    return amps, read_log("logs/week.csv", written(amps, without=(100, 101)))


def test_a_week_of_minutes_is_found_exactly() -> None:
    """A planted 61 A for four minutes, and two minutes of 1.5 In that no half-hour mean shows; two minutes are missing."""
    amps, log = week()
    assert (log.highest.value, log.highest.where, log.missing_n) == (90.0, "logs/week.csv:7000", 2)
    over = log.over(60)
    assert (over.minutes_n, over.longest_n, over.began) == (6, 4, START + timedelta(minutes=5000))
    assert max(sum(amps[i:i + 30]) / 30 for i in range(0, 10_080, 30)) < 60           # by half-hours nothing was above it
    assert log.over(90).minutes_n == 0


def test_a_gap_ends_a_run() -> None:
    log = read_log("log.csv", written([5, 70, 70, 70, 70, 5, 5], without=(3,)))
    assert (log.over(60).minutes_n, log.over(60).longest_n) == (3, 2)


def test_half_hour_means_give_no_highest_minute() -> None:
    log = read_log("log.csv", written([20.0] * 48, step=30))
    assert log.highest.amount is None
    assert "every 30 min" in log.highest.note


def test_a_log_with_more_missing_than_written_gives_no_highest_minute() -> None:
    """Four rows and as many missing still give one; five missing do not, and the reason is their own."""
    assert read_log("log.csv", written([5.0] * 8, without=(2, 3, 4, 5))).highest.amount == 5
    log = read_log("log.csv", written([5.0] * 9, without=(2, 3, 4, 5, 6)))
    assert (log.missing_n, log.highest.amount) == (5, None)
    assert "5 minutes of the time are missing and 4 stand" in log.highest.note


def test_of_two_steps_as_common_the_longer_counts() -> None:
    """A minute and five minutes once each: no log of minutes, and no fewer rows missing than none."""
    log = read_log("log.csv", written([5.0] * 7, without=(2, 3, 4, 5)))
    assert (log.step, log.missing_n, log.highest.amount) == (timedelta(minutes=5), 0, None)


@pytest.mark.parametrize(("text", "says"), [
    ("", ["there is no column at", "there is no column current_a"]),
    ("at,curent_a\n2026-01-12T00:00,3\n", ["did you mean curent_a"]),
    ("at,current_a\nnoon,3\n2026-01-12T00:01,-3\n2026-01-12T00:02\n", ["no minute of a day", "no current", "ends before its columns do"]),
    ("at,current_a\n2026-01-12T00:05,3\n2026-01-12T00:05,3\n2026-01-12T00:01,3\n", ["stands in the row before too", "not later than the row before"]),
    ("at,current_a\n2026-01-12T00:05,3\n", ["too few rows"]),
    ("at,current_a\n2026-01-12T00:00,44,5\n", ["log.csv", "3 cells under 2 columns", "a current with a point and not a comma"]),
    ("at,current_a\n" + "x,1\n" * 80, ["30 more faults like these"])])
def test_each_fault_of_a_log_is_a_sentence(text: str, says: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        read_log("log.csv", text)
    told = "\n".join(map(str, caught.value.faults))
    assert all(each in told for each in says), told
