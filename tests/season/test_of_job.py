"""From the examples' records to seasons: every number by hand from the record and the tables, gaps named, nothing silent."""
from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import cache

import pytest

from spareway.design.demand import Demand
from spareway.design.design import Design
from spareway.fact import Fact
from spareway.job.job import read_job
from spareway.season.gathered import Gathered
from spareway.season.home import Room, Season, Weather
from spareway.season.minute import live
from spareway.season.of_fuse import element
from spareway.season.of_job import Lived, Unlivable, season_of
from spareway.season.of_people import appliances
from spareway.season.outside import SETTLE_DAYS, day_means_c
from spareway.season.scenarios import named, read_scenario, scenarios
from tests.scenarios.folders import design
from tests.season.melting import melts_after_s

FORTNIGHT = 'says = "a fortnight"\n[weather]\ndays_n = 14\ncold_days_n = 0\n'


@cache
def lived(name: str = "weir-cottage", scenario: str = "ordinary", overlay: str = "", own: str = "") -> Lived:
    of = read_scenario("own.toml", own) if own else named(scenario).scenario
    return season_of(design(name, "proposed", overlay), of, 1)


def season(name: str = "weir-cottage", scenario: str = "ordinary", overlay: str = "", own: str = "") -> Season:
    made = lived(name, scenario, overlay, own).season
    assert made is not None
    return made


def amount(of: Lived, name: str, how: str) -> set[float]:
    return {fact.value for fact in of.facts if fact.name == name and fact.how == how}


# ---- what is on record -----------------------------------------------------------------------------------------------
def test_rooms_lose_and_are_heated_as_the_record_says() -> None:
    """The cottage's nine rooms: 2,153 W lost in the living room at 24 K by hand, 12.75 kW of heaters in all."""
    rooms = {room.name: room for room in season().home.rooms}
    assert len(rooms) == 9
    assert round(rooms["living"].loss_w_per_k * 24) == 2153
    assert rooms["living"].heater_w == 1500 + 1250
    assert math.fsum(room.heater_w for room in rooms.values()) == 12_750
    assert (rooms["bath"].set_c, rooms["bath"].set_back_k) == (22, 6)
    assert math.fsum(room.loss_w_per_k * (room.set_c + 3) for room in rooms.values()) == pytest.approx(9242, abs=1)


def test_what_is_lost_from_the_air_is_air_and_glass() -> None:
    """Living by hand: 1.5 changes of 42.16 m³ at 0.33, and 3.6 m² of glass at 2.8."""
    living = next(room for room in season().home.rooms if room.name == "living")
    assert living.direct_w_per_k == pytest.approx(0.33 * 1.5 * 4.6 * 3.9 * 2.35 + 3.6 * 2.8)


def test_a_heater_stamped_for_240_v_gives_less() -> None:
    """1,500 W at 240 V are 1,378 W at 230 V."""
    stamped = season(overlay="[equipment.heater-kitchen]\nstamped_v = 240\n")
    assert {r.name: r.heater_w for r in stamped.home.rooms}["kitchen"] == 1378


def test_everything_on_at_once_after_an_outage_by_hand() -> None:
    """Heaters 12.75 kW and 3 kW of stored water are 15.75 kW, 68.5 A at 230 V, before anything is cooked."""
    home = season(scenario="after-outage").home
    assert home.water is not None
    watts = math.fsum(room.heater_w for room in home.rooms) + home.water.heater_w
    assert watts == 15_750
    assert watts / home.volts_v == pytest.approx(68.5, abs=0.05)


def test_a_steady_cold_day_takes_what_the_losses_by_hand_say() -> None:
    """-3 °C without a swing, rooms warm all day: 9,242 W by hand, for a day, is what the heaters take, each on and off by itself."""
    steady = ('says = "steady"\n[weather]\ndays_n = 1\nmean_c = -3\nswing_k = 0\nspread_k = 0\ncold_days_n = 0\n'
              "[warm.always]\nfrom_h = 0\nto_h = 24\n")
    taken = live(season(own=steady), 0).winter.heat_wmin
    assert taken / 60_000 == pytest.approx(9.242 * 24, rel=0.015)


def test_the_outage_shows_everything_on_at_once() -> None:
    """Nothing flows from eight to twenty; in the first minute after it all heaters and the cylinder are on, 15.75 kW, whatever else:
    what `lasting_a` says at once, before cooking; and the rooms are still cold ten minutes on."""
    minutes_w = live(season(scenario="after-outage"), 0, days=1).minutes_w
    assert {*minutes_w[8 * 60:20 * 60]} == {0}
    assert min(minutes_w[20 * 60:20 * 60 + 10]) >= 15_750
    together = Demand(design("weir-cottage", "proposed")).lasting_a
    assert round(together.value, 1) == 68.5
    assert minutes_w[20 * 60] / 230 >= together.value
    assert minutes_w[7 * 60] < 15_750


def test_a_cooker_is_an_oven_and_the_rest_at_once() -> None:
    """9.2 kW are the printed oven and 7,075 W of plates, so seldom that they use what the printed hob uses, 267 kWh of runs
    a year, and 15 per cent more on a day of the heating season."""
    uses = {use.name: use for use in season().home.uses}
    assert (uses["oven 1"].watts, uses["hob 1"].watts) == (2125, 7075)
    assert uses["hob 1"].watts * uses["hob 1"].minutes * uses["hob 1"].starts_a_day * 365 / 60_000 == pytest.approx(
        1.15 * 2400 * 16 * 417.902 / 60_000)


def test_a_small_cooker_takes_no_more_than_it_has() -> None:
    uses = {use.name: use.watts for use in season(overlay="[circuits.cooker]\nload_w = 2000\n").home.uses}
    assert uses["cooker 1"] == 2000
    assert "oven 1" not in uses


def test_lamps_count_by_the_book_s_share() -> None:
    """1,009 W and 700 W of lamps, 66 per cent at once."""
    assert {u.name: u.watts for u in season().home.uses if u.name.startswith("lamps")} == {"lamps 1": 666, "lamps 2": 462}


def test_the_charge_point_of_the_record_charges() -> None:
    """The annexe's 7.36 kW: 7 kWh take 57 minutes; in the season of charging 10 kWh take 82."""
    for scenario, minutes in (("ordinary", 57), ("charging", 82)):
        (daily,) = season("ridge-annexe", scenario).case.daily
        assert (daily.watts, daily.minutes) == (7360, ((minutes, 1.0),))
    assert season("granary-yard").case.daily == ()
    asked = lived("granary-yard", "charging")
    assert asked.season is not None
    assert asked.season.case.daily[0].watts == 7360
    assert "no charge point is recorded: one of 7360 W is asked about" in asked.told


def test_a_season_without_charging_says_so() -> None:
    assert "the season's file has no charging in it: the charge point on record draws nothing" in lived("ridge-annexe", own=FORTNIGHT).told


def test_the_sun_by_the_inverter_of_the_record() -> None:
    """The annexe's own inverter, its rated current at 230 V; half a sine, highest about noon, nothing at night."""
    sun = season("ridge-annexe", "solar").case.sun
    assert sun is not None
    inverter = next(e for e in design("ridge-annexe", "proposed").inst.equipment.values() if e.kind == "solar-inverter")
    assert sun.peak_w == round(inverter.rating_a.value * 230)
    assert max(range(24), key=lambda hour: sun.by_hour[hour]) in (11, 12)
    assert {sun.by_hour[hour] for hour in (0, 7, 16, 23)} == {0}
    asked = season("granary-yard", "solar").case.sun
    assert asked is not None
    assert asked.peak_w == 3680


# ---- the fuse ---------------------------------------------------------------------------------------------------------
def test_the_cottage_s_fuse_is_the_slowest_of_its_standard() -> None:
    """BS 1361, 80 A: 460 A for five seconds and 120 A for four hours open it, as read off print and from memory; what it holds is
    in no source, so it is taken as slow as those allow, and says so."""
    of = element(design("weir-cottage", "proposed"))
    assert of.ladder is not None
    assert melts_after_s(of.ladder, 460) == pytest.approx(5, rel=0.01)
    assert melts_after_s(of.ladder, 120) <= 4 * 3600 * 1.001
    assert math.isinf(melts_after_s(of.ladder, 110))
    assert (of.taken_as, of.said) == ("slowest", "taken as the slowest that its standard allows: the fuse itself may melt sooner")
    assert of.facts[-1].how == "assumed"
    assert season().home.ladder == of.ladder


def test_a_fuse_for_general_use_is_the_quickest_of_its_standard() -> None:
    """BS 88-3, 80 A: 100 A is held for ever, the gates of its standard are held for their time, and 128 A opens it in its two hours."""
    of = element(design("weir-cottage", "proposed", '[equipment.cutout]\nfuse = "bs88-3"\nfuse_a = { marked = 80 }\n'))
    assert of.ladder is not None
    assert math.isinf(melts_after_s(of.ladder, 100))
    assert melts_after_s(of.ladder, 215) >= 10 * 0.99
    assert melts_after_s(of.ladder, 128) <= 2 * 3600
    assert (of.taken_as, of.said) == ("quickest", "taken as the quickest that its standard allows: the fuse itself may melt later")


@pytest.mark.parametrize(("name", "overlay", "why"), [
    ("granary-yard", "", "1 point of when it opens is in print"),
    ("weir-cottage", '[equipment.cutout]\nfuse = "bs3036"\nfuse_a = { marked = 80 }\n', "has no row"),
    ("weir-cottage", '[equipment.cutout]\nfuse = "bs88-3"\nfuse_a = { marked = 60 }\n', "has no row"),
    ("weir-cottage", '[equipment.cutout]\nfuse_a = { unknown = "sealed" }\n', "was not read"),
    ("weir-cottage", '[equipment.cutout]\nfuse = "bs1361-2"\nfuse_a = { marked = 70 }\n', "no point of a 70 A fuse"),
])
def test_where_too_little_is_in_print_no_ladder_is_made(name: str, overlay: str, why: str) -> None:
    """The season stands, and whether the element melts is unknown with the reason."""
    of = lived(name, overlay=overlay)
    assert of.season is not None
    assert (of.season.home.ladder, of.element.taken_as) == (None, None)
    assert why in of.element.said


# ---- hours -----------------------------------------------------------------------------------------------------------
def test_hours_are_those_of_the_file() -> None:
    assert {room.warm for room in season(scenario="one-timer").home.rooms} == {((390, 540), (990, 1350))}
    assert season(scenario="one-timer").case.all_alike
    assert season(scenario="one-timer").home.shift_min == ((0.0, 1.0),)
    night = season(scenario="night-start").home.water
    assert night is not None
    assert night.may_heat == ((30, 450),)


def test_an_outage_lies_after_the_days_that_do_not_count() -> None:
    assert season(scenario="after-outage").case.off == (((SETTLE_DAYS * 24 + 8) * 60, (SETTLE_DAYS * 24 + 20) * 60),)


def test_homes_are_kept_as_people_set_them() -> None:
    """The spread of settings comes to one; its middle lies near 21 °C; as designed there is none."""
    spread = season().home.set_shift_k
    assert math.fsum(share for _, share in spread) == pytest.approx(1)
    assert abs(math.fsum(value * share for value, share in spread)) < 1
    assert season(scenario="cold-snap").home.set_shift_k == ((0.0, 1.0),)


# ---- outside ---------------------------------------------------------------------------------------------------------
def test_the_coldest_days_are_as_cold_as_designed_for() -> None:
    """-3 °C as the mean of a day for three days on end, in 212 days; the cold snap five colder for seven."""
    for scenario, days, cold, mean in (("ordinary", 212, 3, -3), ("cold-snap", 14, 7, -8)):
        made = season(scenario=scenario)
        assert made.days == days
        hours = made.weather.hourly_c
        means = [math.fsum(hours[24 * d:24 * d + 24]) / 24 for d in range(SETTLE_DAYS, made.weather.days)]
        assert len([m for m in means if m <= mean + 0.8]) >= cold - 1
        assert min(means) == pytest.approx(mean, abs=1.0)


def test_a_winter_is_like_its_months() -> None:
    """Twenty winters: the mean of each month as the table has it, the spread as asked, a day like the one before by as much as asked."""
    days = [day_means_c([5.0] * 212, 3.0, 0.8, draw, 0, -3.0) for draw in range(20)]
    flat = [day for winter in days for day in winter]
    mean = math.fsum(flat) / len(flat)
    spread = math.sqrt(math.fsum((day - mean) ** 2 for day in flat) / len(flat))
    alike = math.fsum((a - mean) * (b - mean) for winter in days for a, b in itertools.pairwise(winter)) / len(flat) / spread ** 2
    assert mean == pytest.approx(5.0, abs=0.5)
    assert spread == pytest.approx(3.0, abs=0.3)
    assert alike == pytest.approx(0.8, abs=0.05)
    assert day_means_c([5.0] * 9, 3.0, 0.8, 4, 3, -3.0) == day_means_c([5.0] * 9, 3.0, 0.8, 4, 3, -3.0)
    assert day_means_c([5.0] * 9, 0.0, 0.8, 4, 9, -3.0) == (-3.0,) * 9


# ---- what is not on record -------------------------------------------------------------------------------------------
@pytest.mark.parametrize(('overlay', 'name', 'at'), [
    ('[rooms.kitchen]\nair_changes_per_h = { unknown = "nobody counted" }\n', "air_changes_per_h", "rooms.kitchen.air_changes_per_h"),
    ('remove = ["equipment.heater-kitchen"]\n', "given_w", "rooms.kitchen"),
    ('[equipment.heater-kitchen]\nstamped_w = { unknown = "no plate" }\n', "stamped_w", "equipment.heater-kitchen.stamped_w"),
    ('[circuits.cooker]\nload_w = { unknown = "no plate" }\n', "load_w", "circuits.cooker.load_w"),
    ('[circuits.immersion]\nload_w = { unknown = "no plate" }\n', "load_w", "circuits.immersion.load_w"),
    ('[heating.main]\noutside_c = { unknown = "where is it" }\n', "outside_c", "heating.main.outside_c"),
])
def test_a_gap_of_the_record_is_named_and_no_season_is_made(overlay: str, name: str, at: str) -> None:
    """A room's loss, a heater, an appliance, the weather: without it nothing is foreseen, and what is missing is named."""
    of = lived(overlay=overlay)
    assert of.season is None
    assert (name, at) in [(gap.name, gap.at) for gap in of.gaps]


def test_without_a_rating_of_the_fuse_the_season_stands() -> None:
    """No minute is above what nobody read; the season is lived all the same."""
    of = lived(overlay='[equipment.cutout]\nfuse_a = { unknown = "seal not broken" }\n')
    assert of.season is not None
    assert of.season.home.fuse_a is None
    assert not of.fuse_a.known


GAS = '[heating.main]\nheated_by = "gas"\n'


def test_a_home_on_gas_can_be_foreseen() -> None:
    """The cottage as found, no heater in it, and on gas: no room draws anything, no wall and no weather is asked for, and its charge
    is there. Only silence is a gap, and electricity without a heater."""
    def found(overlay: str) -> Lived:
        return season_of(design("weir-cottage", "found", overlay), named("charging").scenario, 1)
    nobody = "[heating.main.outside_c]\nunknown = 'where is it'\n[rooms.kitchen.air_changes_per_h]\nunknown = 'nobody counted'\n"
    of = found(GAS + nobody)
    assert of.season is not None
    assert of.season.home.rooms == ()
    assert [told for told in of.told if told.startswith("rooms are kept warmer")] == []
    assert [daily.watts for daily in of.season.case.daily] == [7360]
    names = "living, hall, dining, kitchen, bed-1, bed-2, bed-3, landing, bath"
    assert f"heated by gas, by the record, and none of that heat on the service fuse; heaters on record count all the same: {names}" in of.told
    assert {fact.name for fact in of.facts} & {"outside_c", "swing_k", "month_mean_c", "gains_w"} == set()
    one_day = replace(of.season, weather=Weather((5.0,) * (24 * (SETTLE_DAYS + 1) + 1)))
    plain = live(one_day, 0)
    assert (plain.winter.heat_wmin, plain.winter.water_wmin > 0) == (0, True)
    for said in ("", GAS.replace("gas", "electricity"), GAS.replace('"gas"', '{ unknown = "nobody looked" }')):
        assert "no heater of this room is recorded" in [gap.note for gap in found(said).gaps]


def test_a_room_may_be_heated_otherwise_than_the_home() -> None:
    """A stove in the kitchen in place of its heater: eight rooms draw, and the assumption is told; a heater on record draws all the
    same, whatever else heats."""
    overlay = 'remove = ["equipment.heater-kitchen"]\n[circuits.heat-3]\nfeeds = "nothing"\n[rooms.kitchen]\nheated_by = { assumed = "solid fuel" }\n'
    of = lived(overlay=overlay)
    assert of.season is not None
    assert len(of.season.home.rooms) == 8
    assert "heated by solid fuel, by the record, and none of that heat on the service fuse; heaters on record count all the same: kitchen" in of.told
    assert ("heated_by", "assumed") in [(fact.name, fact.how) for each in of.facts for fact in each.doubtful()]
    assert season(overlay=GAS).home == season().home
    pantry = lived(overlay='[rooms.pantry]\nheated_by = "electricity"\n')          # nothing else is asked of its heat
    assert ("no heater of this room is recorded", "rooms.pantry") in [(gap.note, gap.at) for gap in pantry.gaps]
    own = lived(overlay=overlay.replace('{ assumed = "solid fuel" }', '"electricity"') + GAS)
    assert [gap.at for gap in own.gaps] == ["rooms.kitchen"]


def test_a_towel_rail_beside_other_heat_is_taken_as_always_on() -> None:
    """Gas, and a rail of 120 W in a bath whose loss nobody reckoned: no gap, 120 W more than without, no weather; with electricity in
    place of gas the loss is a gap again, and with the loss known the rail is on a thermostat."""
    def found(overlay: str) -> Lived:
        return season_of(design("weir-cottage", "found", overlay), named("ordinary").scenario, 1)
    rail = ('[equipment.rail]\nkind = "towel-rail"\nroom = "bath"\nstamped_w = 120\nstamped_v = 230\non = "rail-way"\n[circuits.rail-way]\nway = "house.7"\n'
            '[rooms.bath.air_changes_per_h]\nunknown = "nobody counted"\n[heating.main.outside_c]\nunknown = "where is it"\n')
    with_it, without = found(GAS + rail).season, found(GAS).season
    assert with_it is not None
    assert without is not None
    assert with_it.home.base_w[0] - without.home.base_w[0] == 120
    assert with_it.home.rooms == ()
    assert "bath: 120 W of heaters, taken as on day and night: what the room loses is not known" in found(GAS + rail).told
    assert "rooms.bath.air_changes_per_h" in [gap.at for gap in found(rail).gaps]
    known = found(GAS + rail.partition("[rooms")[0]).season
    assert known is not None
    assert [(room.name, room.heater_w) for room in known.home.rooms] == [("bath", 120)]


def test_a_home_without_a_survey_of_heat_says_what_heats_it() -> None:
    """A circuit and a word of what heats: no heat is missing, and it is told."""
    of = of_files(CIRCUIT, GAS)
    assert [gap for gap in of.gaps if gap.name in ("given_w", "outside_c")] == []
    assert "heated by gas, by the record, and none of that heat on the service fuse" in of.told


def test_a_heater_in_no_room_is_a_gap() -> None:
    of = lived(overlay='[equipment.stray]\nkind = "panel-heater"\nstamped_w = 500\nstamped_v = 230\non = "heat-3"\n')
    assert ("the room it stands in is not recorded", "equipment.stray") in [(gap.note, gap.at) for gap in of.gaps]


EMPTY = {"job.toml": 'schema = 1\nstage = "found"\n[books]\nbs7671 = "2018+A4"\n', "found.toml": """[supplies.main]
joins = "cutout.in"
[equipment]
cutout = { kind = "cut-out", fuse = "bs1361-2", fuse_a = { marked = 80 } }
"""}
ROOM = """[rooms.one]
size = { length_m = 4, width_m = 3, height_m = 2.4 }
design_c = 20
"""
CIRCUIT = """[equipment.board]
kind = "board"
[circuits.cooker]
way = "board.1"
feeds = "cooker"
load_w = 7000
"""


def of_files(*more: str) -> Lived:
    files = {**EMPTY, "found.toml": EMPTY["found.toml"] + "".join(more)}
    return season_of(Design(read_job(files).at("found")), named("ordinary").scenario, 1)


def test_a_record_with_nothing_in_it_is_no_home_that_draws_nothing() -> None:
    """A service fuse and nothing else: no circuit and no heat are gaps, each by itself too, and no season is made."""
    circuit, heat = ("no circuit is recorded", "circuits"), ("no heated room and no heater is recorded", "rooms")
    for more, wanted in (((), {circuit, heat}), ((ROOM,), {circuit}), ((CIRCUIT,), {heat})):
        of = of_files(*more)
        assert of.season is None
        assert {(gap.note, gap.at) for gap in of.gaps} & {circuit, heat} == wanted


def test_what_is_absent_of_the_record_is_told() -> None:
    """Showers, stored water, lamps and cookers that nobody recorded are told, each; those on record are not."""
    absent = ("no electric shower is recorded: nobody washes under one", "no heater of stored water is recorded: none is heated by electricity",
              "no lamps are recorded: none is counted", "no cooker is recorded: nothing is cooked by electricity but by what is plugged in")
    assert [told in of_files(CIRCUIT).told for told in absent] == [True, True, True, False]
    assert [told in lived().told for told in absent] == [True, False, False, False]


def test_three_phases_are_not_added_up_on_one_fuse() -> None:
    """Three fuses carry what is on three phases: no season; where nobody recorded how many, one is assumed and told."""
    of = lived(overlay="[supplies.main]\nphases_n = 3\n")
    assert of.season is None
    assert ("3 phases: what the fuse of each carries is not worked out here", "supplies.main.phases_n") in [(g.note, g.at) for g in of.gaps]
    one = lived(overlay="[supplies.main]\nphases_n = 1\n")
    assumed = "the number of phases is not recorded: assumed is one, all of it on one service fuse"
    assert one.season is not None
    assert assumed not in one.told
    assert assumed in lived(overlay='[supplies.main]\nphases_n = { unknown = "nobody looked" }\n').told


@pytest.mark.parametrize("scenario", ["ordinary", "solar"])
def test_every_source_of_the_record_is_told(scenario: str) -> None:
    """The annexe's battery and its inverter: neither is left out in silence, in any season."""
    told = lived("ridge-annexe", scenario).told
    assert [t for t in told if t.startswith("equipment.battery, ") and t.endswith("comes on top: it is in no figure here")] != []
    inverter = next(e.name for e in design("ridge-annexe", "proposed").inst.equipment.values() if e.kind == "solar-inverter")
    assert any(t.startswith(f"equipment.{inverter}, ") and "so nothing is taken off" in t for t in told) == (scenario == "ordinary")
    two_way = lived("ridge-annexe", scenario, '[equipment.charger]\nkind = "charge-point-two-way"\nrating_a = 32\nstamped_w = 7360\nstamped_v = 230\n').told
    assert any(t.startswith("equipment.charger, ") and t.endswith("is what the season's file says of charging") for t in two_way)


def test_what_never_goes_off_is_what_a_survey_could_not_name() -> None:
    """992 kWh of a year, unknown and other, are 113.2 W; beside them what waits; not 60 W from memory."""
    of = lived()
    assert of.season is not None
    (steady,) = [fact for fact in of.facts if fact.name == "base_w"]
    assert steady.value == pytest.approx((819 + 173) * 1000 / 8760)
    (evenly,) = [fact for fact in steady.doubtful() if fact.name == "on_share"]
    assert (evenly.value, evenly.how, "evenly day and night" in evenly.note) == (1, "assumed", True)
    assert of.season.home.base_w[0] == round(steady.value + appliances(Gathered(design("weir-cottage", "proposed").books))[1])


def test_storage_heaters_charge_in_the_hours_of_the_file() -> None:
    """A room on storage heaters alone has nothing on its thermostat; a file without hours makes a gap."""
    overlay = '[equipment.heater-kitchen]\nkind = "storage-heater"\nroom = "kitchen"\nstamped_w = 3400\nstamped_v = 230\non = "heat-3"\n'
    made = season(overlay=overlay)
    assert "kitchen" not in {room.name for room in made.home.rooms}
    (daily,) = made.case.daily
    assert (daily.watts, daily.share_of_days, daily.start_min, daily.minutes) == (3400, 1.0, ((30.0, 1.0),), ((420.0, 1.0),))
    assert "the season's file does not say when storage heaters are charged" in [g.note for g in lived(overlay=overlay, own=FORTNIGHT).gaps]


def test_what_the_record_does_not_say_is_assumed_and_named() -> None:
    """Every figure that stands in no record is among the facts with its page and a trust, never silent."""
    of = lived()
    names = {fact.name for fact in of.facts if fact.how == "table"}
    assert {"dead_band_k", "store_l", "water_l_a_day", "swing_k", "starts_a_year", "hour_share", "homes_share"} & names == {
        "dead_band_k", "store_l", "swing_k", "hour_share", "homes_share"}
    rests = {fact.name for each in of.facts for fact in each.doubtful()}
    assert {"water_l_a_day", "dead_band_k", "liveliness", "shift_min"} <= rests
    assert any("what is plugged in nobody recorded" in told for told in of.told)
    assert all(fact.known for fact in of.facts)


def test_every_number_of_a_home_stands_behind_a_fact() -> None:
    """Each number of each room, of the water and of the appliances is the amount of a fact, or that to the watt or minute."""
    of = lived()
    assert of.season is not None
    known = {round(float(fact.value), 6) for fact in of.facts if isinstance(fact.value, int | float)}
    near = {round(value) for value in known}
    for room in of.season.home.rooms:
        numbers = {field: getattr(room, field) for field in Room.__dataclass_fields__ if field not in ("name", "warm")}
        assert [f for f, n in numbers.items() if round(n, 6) not in known and n not in near] == []
    for use in of.season.home.uses:
        assert round(use.starts_a_day, 6) in known
        assert {use.watts, use.minutes} <= near


def test_every_scenario_makes_a_season() -> None:
    """Seven files, no code between them; each differs from the ordinary one."""
    made = {scenario: season("weir-cottage", scenario) for scenario in scenarios()}
    ordinary = made.pop("ordinary")
    assert [key for key, other in made.items() if replace(other, seed=1) == ordinary] == []


def test_the_same_job_and_file_make_the_same_season() -> None:
    """Weather and all: nothing is drawn from a clock."""
    lived.cache_clear()
    first = season(own=FORTNIGHT)
    lived.cache_clear()
    assert season(own=FORTNIGHT) == first
    assert season(own=FORTNIGHT) != season(own=FORTNIGHT + "draw = 2\n")


@pytest.mark.parametrize(("overlay", "own", "why"), [
    ("[circuits.cooker]\nload_w = 60_000\n", "", "hob 1: watts, minutes or rest out of range"),
    ("", FORTNIGHT + "[charging]\ncharge_kwh = 10\ndraw_share = 1\n[charging.begins.a]\nat_h = 1\ndraw_share = 1\n", ""),
    ("", FORTNIGHT + "[outage]\nfrom_h = 0\nfor_h = 1\n", ""),
])
def test_numbers_that_no_season_can_be_made_of_are_named(overlay: str, own: str, why: str) -> None:
    """A load that no home has is named; an odd season that can be lived is lived."""
    if why:
        with pytest.raises(Unlivable, match=why):
            lived(overlay=overlay, own=own)
    else:
        assert lived(overlay=overlay, own=own).season is not None


def test_fixed_appliances_of_no_known_kind_run_an_hour() -> None:
    of = lived(overlay='[circuits.cooker]\nfeeds = "appliance"\nload_w = 900\n')
    assert of.season is not None
    assert {u.name: (u.watts, u.minutes) for u in of.season.home.uses}["appliance 1"] == (900, 60)
    assert isinstance(of.facts[0], Fact)
