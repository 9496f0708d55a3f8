"""Each quantity of a job against a sum written out by hand, on the specimen with a few lines laid over it."""
from __future__ import annotations

from typing import Any

import pytest

from spareway import bundled
from spareway.design.design import Design
from spareway.fact import Fact
from spareway.job.job import read_job
from spareway.rules import all_rules
from spareway.rules.base import judge

JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\n'
R1_5, R2_5, R4, R6, R10 = 12.1, 7.41, 4.61, 3.08, 1.83          # mΩ/m at 20 °C, BS EN 60228 Tables 1 and 2


def design(overlay: str = "", found: str = "", job: str = JOB) -> Design:
    files = {"job.toml": job, "found.toml": found or bundled.text("rules/specimen.toml")}
    return Design(read_job(files, [("o.toml", overlay)] if overlay else []).found)


def near(fact: Fact[Any], value: float) -> bool:
    return fact.value == pytest.approx(value, rel=1e-9)


def verdict(of: Design, code: str, subject: str) -> str:
    return next(f.verdict for f in judge(of, tuple(r for r in all_rules() if r.code == code)) if f.subject == subject)


# ---- supply ---------------------------------------------------------------------------------------------------------
def test_supply() -> None:
    """Ze 0.3, loop 0.25: 767 and 920 A; 0.95 x 230 / 330 A at 5 s; a 60 A fuse of fusing factor 1.5 opens at 90 A."""
    of = design().supply
    assert near(of.fault_le_a, 230 / 0.3)
    assert near(of.fault_ka, 230 / 0.25 / 1000)
    assert near(of.ze_fuse_limit_ohm, 0.95 * 230 / 330)
    assert near(of.fusing_a, 90)
    assert near(design("supplies.main.fault_ka = 1.9").supply.fault_ka, 1.9)


def test_a_declared_loop_is_no_bound_on_the_greatest_fault_current() -> None:
    of = design('supplies.main.ze_ohm = { declared = 0.8 }')
    assert of.supply.ze_ohm.value == 0.8
    assert not of.supply.fault_ka.known
    assert "the most it may be" in of.supply.ze_read_ohm.note
    assert verdict(of, "BO5", "equipment.unit") == "unknown"
    assert near(of.circuits["oven"].zs_cold_ohm, 0.8 + 8 * (R6 + R2_5) / 1000)


def test_only_a_rating_read_on_the_fuse_counts() -> None:
    for said, known in (("{ marked = 60 }", True), ("{ enquiry = 60 }", True), ("60", False), ("{ told = 60 }", False),
                        ('{ unknown = "not drawn" }', False)):
        assert design(f"equipment.cutout.fuse_a = {said}").supply.fuse_a.known is known, said


def test_without_a_supply_everything_about_it_is_unknown_and_nothing_crashes() -> None:
    of = design("remove = ['supplies.main', 'equipment.cutout', 'runs.feed-1', 'runs.earth-1']")
    assert not of.supply.ze_ohm.known
    assert not of.supply.fuse_a.known
    assert of.start == of.origin == ""
    said = judge(of, all_rules())
    assert said
    assert {f.verdict for f in said if f.rule in ("CI1", "CI4", "BO5", "BO6")} == {"unknown"}


# ---- routes ---------------------------------------------------------------------------------------------------------
def test_rating_where_it_runs() -> None:
    """2.5 mm² clipped 27 A; 35 °C 0.94; three bunched 0.70; 100 mm of insulation 0.78: the worst stretch governs."""
    of = design("""circuits.warmth.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, concealed = true, stretches.a = { length_m = 4, method = "C", ambient_c = 35 }, stretches.b = { length_m = 3, method = "C", grouped_n = 3 }, stretches.c = { length_m = 2, method = "C", in_insulation_mm = 100 } }""")
    c = of.circuits["warmth"]
    assert [s.iz_a.value for s in c.route.stretches] == pytest.approx([27 * 0.94, 27 * 0.7, 27 * 0.78])
    assert near(c.iz_a, 27 * 0.7)
    assert c.route.weakest
    assert c.route.weakest.name == "b"
    assert near(c.length_m, 9)
    assert near(c.r1r2_ohm, 9 * (R2_5 + R1_5) / 1000)


def test_twin_and_earth_in_trunking_is_read_from_the_multicore_table() -> None:
    """4 mm² by method B: 30 A of Table 4D2A, where 4D5 has no row."""
    cable = '{ kind = "t&e", line_mm2 = 4, cpc_mm2 = 1.5, length_m = 9, method = "B" }'
    assert near(design(f"circuits.oven.cable = {cable}").circuits["oven"].iz_a, 30)


def test_no_insulation_and_a_method_that_holds_it_take_no_factor() -> None:
    plain = '{ length_m = 4, method = "C", in_insulation_mm = 0 }'
    held = '{ length_m = 4, method = "100", in_insulation_mm = 400 }'
    of = design(f'circuits.warmth.cable = {{ kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, stretches.a = {plain}, stretches.b = {held} }}')
    assert [s.ci.value for s in of.circuits["warmth"].route.stretches] == [1.0, 1.0]


# ---- circuits -------------------------------------------------------------------------------------------------------
def test_lengths_from_point_to_point() -> None:
    """A radial is as long as its farthest point, a ring as long as its way round and home."""
    radial = design("""circuits.oven.cable = { kind = "t&e", line_mm2 = 6, cpc_mm2 = 2.5, method = "C" }
circuits.oven.points.p1 = { from = "way", length_m = 5 }
circuits.oven.points.p2 = { from = "p1", length_m = 4 }
circuits.oven.points.p3 = { from = "p1", length_m = 7 }""").circuits["oven"]
    assert near(radial.length_m, 12)
    assert near(radial.zs_cold_ohm, 0.3 + 12 * (R6 + R2_5) / 1000)
    ring = design("""circuits.plugs.cable = { kind = "t&e", line_mm2 = 2.5, cpc_mm2 = 1.5, method = "C" }
circuits.plugs.points.p1 = { from = "way.a", length_m = 9, feeds = "sockets" }
circuits.plugs.points.p2 = { from = "p1", length_m = 11, feeds = "sockets", back_to = "way.b", back_m = 20 }""").circuits["plugs"]
    assert near(ring.length_m, 40)
    assert near(ring.r1r2_ohm, 40 * (R2_5 + R1_5) / 1000 / 4)
    assert near(ring.drop_v, 18 * 32 * 40 / 4 / 1000)


def test_loads() -> None:
    """A 240 V stamp, a cooker's allowance, lamps nobody recorded, sockets, nothing at all."""
    of = design("""equipment.radiator.stamped_v = 240
circuits.lamps = { load_w = { unknown = "" }, points.a = { from = "way", feeds = "lamp" }, points.b = { from = "a", feeds = "lamp", load_w = 8 } }
circuits.idle = { way = "unit.9", feeds = "nothing" }""")
    assert near(of.circuits["warmth"].load_a, 2500 * 230 / 240 ** 2)
    assert near(of.circuits["oven"].load_a, 10 + 0.3 * (6000 / 230 - 10))
    assert near(of.circuits["lamps"].load_w, 308)               # the two of the specimen, one nobody recorded, one of 8 W
    assert near(of.circuits["plugs"].load_a, 32)
    assert of.circuits["idle"].load_a.value == 0


def test_a_rewirable_fuse() -> None:
    """30 A on 6 mm²: Ia 210 A in 0.4 s; the cable's rating by 0.725; its energy is not read off a breaker's bound."""
    c = design('circuits.oven.device = { kind = "rewirable", rating_a = 30 }').circuits["oven"]
    assert near(c.zs_limit_ohm, 0.95 * 230 / 210)
    assert near(c.iz_a, 47 * 0.725)
    assert not c.energy_near_a2s.known
    assert not c.residual_ma.known


def test_heat_in_the_protective_conductor() -> None:
    """115² x 2.5² against 766.7² x 0.1 near; the maker's figure goes before."""
    c = design('circuits.oven.device = { kind = "mcb", curve = "B", rating_a = 32 }').circuits["oven"]
    assert near(c.withstand_a2s, 115 ** 2 * 2.5 ** 2)
    assert near(c.energy_near_a2s, (230 / 0.3) ** 2 * 0.1)
    assert near(design().circuits["oven"].energy_near_a2s, 18000)


def test_residual_current_before_a_way() -> None:
    """A busbar behind a residual-current device protects its ways; the main bar's are not credited."""
    overlay = """equipment.unit = { kind = "board-high-integrity", ways_n = 12, residual_ma = 30, bars = { main = "1-3", a = "4-8", b = "9-12" } }
runs.feed-3.joins = ["arrester.bottom", "unit.in"]
runs.earth-2.joins = ["terminal.b", "unit.in"]
""" + "".join(f'circuits.{n} = {{ way = "unit.{w}", device = {{ kind = "mcb", curve = "B", rating_a = 16 }} }}\n'
              for n, w in (("plugs", 1), ("lamps", 9), ("oven", 3), ("warmth", 4)))
    of = design(overlay)
    assert not of.circuits["plugs"].residual_ma.known
    assert near(of.circuits["lamps"].residual_ma, 30)
    assert (of.has_residual(of.circuits["plugs"]), of.has_residual(of.circuits["warmth"])) == (False, True)
    assert verdict(of, "CI7", "circuits.plugs") == "fails"
    unsaid = design("remove = ['circuits.oven.device']")
    assert unsaid.has_residual(unsaid.circuits["oven"]) is None


def test_a_circuit_of_which_nothing_is_recorded_is_unknown() -> None:
    of = design('circuits.bare = { way = "unit.9" }')
    said = {f.rule: f.verdict for f in judge(of, all_rules()) if f.subject == "circuits.bare"}
    assert set(said.values()) <= {"unknown", "not applicable", "within"}
    assert [r for r in ("CI1", "CI2", "CI3", "CI4", "CI5", "CI7", "CI8", "CI9", "CI13") if said[r] != "unknown"] == []


# ---- boards and runs ------------------------------------------------------------------------------------------------
SHED = """equipment.shed = { kind = "board", ways_n = 4, rating_a = 63 }
circuits.feed = { way = "unit.8", feeds = "shed.in", device = { kind = "mcb", curve = "B", rating_a = 32 }, cable = { kind = "t&e", line_mm2 = 10, cpc_mm2 = 4, length_m = 20, method = "C" } }
circuits.shed-lamp = { way = "shed.1", feeds = "lights", load_w = 46, device = { kind = "mcb", curve = "B", rating_a = 6 }, cable = { kind = "t&e", line_mm2 = 1.5, cpc_mm2 = 1.0, length_m = 10, method = "C" } }
"""


def test_a_board_behind_a_circuit() -> None:
    """Its loop, its drop and its fuse are those of what leads there."""
    of = design(SHED)
    ze = 0.3 + 20 * (R10 + R4) / 1000
    assert near(of.boards["shed"].ze_ohm, ze)
    assert near(of.boards["shed"].fuse_a, 32)
    assert near(of.circuits["shed-lamp"].zs_cold_ohm, ze + 10 * (R1_5 + 18.1) / 1000)
    tails = 1.8 * 60 * (0.5 + 2) / 1000
    assert near(of.circuits["shed-lamp"].drop_from_origin_v, tails + 4.4 * 32 * 20 / 1000 + 29 * 0.2 * 10 / 1000)
    assert verdict(of, "BO6", "equipment.shed") == "within"


def test_a_run_within_which_a_protective_conductor_runs() -> None:
    """4 m of 16 mm² with 6: 0.3 + 4 (1.15 + 3.08) mΩ adds to the loop; it may last k²S²/I²."""
    of = design('runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "singles", size_mm2 = 16, cpc_mm2 = 6, length_m = 4, method = "C" }')
    loop = 0.3 + 4 * (1.15 + R6) / 1000
    assert near(of.boards["unit"].ze_ohm, loop)
    run = of.runs["feed-3"]
    assert near(run.fault_end_a, 230 / loop)
    assert near(run.longest_clear_s, (115 * 6) ** 2 / (230 / loop) ** 2)
    assert run.fuse_opens_s.value == 5
    assert verdict(of, "EA7", "runs.feed-3") == "unknown"


def test_sizes_of_earthing_and_bonds() -> None:
    """25 mm² tails: table 16; heat sqrt(330² x 5)/143 = 5.16; bond half of 16, next size 10; on PME 10 by the neutral."""
    of = design()
    run = of.runs["earth-1"]
    assert near(run.by_table_mm2, 16)
    assert near(run.by_heat_mm2, (330 ** 2 * 5) ** 0.5 / 143)
    assert near(of.runs["bond-1"].bond_needed_mm2, 8)
    assert near(of.runs["bond-1"].bond_standard_mm2, 10)
    assert near(design('supplies.main.earthing = "TN-C-S"').runs["bond-1"].bond_needed_mm2, 10)
    assert not design('supplies.main.earthing = { unknown = "not seen" }').runs["bond-1"].bond_needed_mm2.known


SHEATHED, BARE, ABOVE = "buried, sheathed, ", "buried, bare to corrosion", "above ground, "
KNOCKS, NO_KNOCKS = "protected from knocks", "not protected from knocks"


@pytest.mark.parametrize(("lies", "size_mm2", "said"), [
    ("", '{ unknown = "painted" }', "unknown"), (BARE, '{ unknown = "painted" }', "unknown"), ("", 25, "within"), ("", 16, "unknown"), ("", 4, "unknown"), ("", 2.5, "unknown"), ("", 1.5, "fails"),
    (BARE, 25, "within"), (BARE, 16, "fails"), (SHEATHED + NO_KNOCKS, 16, "within"), (SHEATHED + NO_KNOCKS, 10, "fails"),
    (SHEATHED + KNOCKS, 2.5, "within"), (SHEATHED + KNOCKS, 1.5, "fails"), (ABOVE + NO_KNOCKS, 4, "within"), (ABOVE + NO_KNOCKS, 2.5, "fails"),
    (ABOVE + KNOCKS, 2.5, "within"), (ABOVE + KNOCKS, 1.5, "fails")])
def test_an_earthing_conductor_to_an_electrode(lies: str, size_mm2: float | str, said: str) -> None:
    """Table 54.1, copper: 25 mm2 with nothing against corrosion; with a sheath 2.5 where it is protected from knocks, else 16.
    Not in the ground 2.5 and 4 (543.1.1). Of one of which nobody said how it lies, only what every row takes is within."""
    more = f', lies = "{lies}"' if lies else ""
    of = design('supplies.main.earthing = "TT"\nequipment.rod = { kind = "electrode" }\n'
                f'runs.earth-1 = {{ joins = ["rod.clamp", "terminal.a"], kind = "earthing", size_mm2 = {size_mm2}{more} }}')
    assert verdict(of, "EA4", "runs.earth-1") == said


# ---- what hangs together --------------------------------------------------------------------------------------------
def test_a_neutral_that_lands_on_another_way_is_borrowed() -> None:
    of = design('circuits.lamps.lands.N = "unit.3.N"')
    assert of.borrowed_neutrals(of.circuits["lamps"]) == ["lamps returns on oven"]
    assert of.borrowed_neutrals(of.circuits["oven"]) == ["lamps returns on oven"]


def test_rules_where_the_record_has_gaps() -> None:
    """Each of these is a gap or a state that no example shows: what a rule says of it."""
    for overlay, code, subject, said in (
            ('runs.earth-3.joins = ["?", "arrester.earth"]', "SP1", "equipment.arrester", "unknown"),
            ('equipment.cutout.fuse_a = { told = 60 }', "EA1", "supplies.main", "unknown"),
            ('remove = ["equipment.unit", "circuits.plugs", "circuits.lamps", "circuits.oven", "circuits.warmth", "equipment.radiator", "runs.feed-3", "runs.earth-2"]', "EA8", "supplies.main", "not applicable"),
            ('circuits.oven.cable.concealed = false\ncircuits.oven.device = { kind = "mcb" }', "CI9", "circuits.oven", "not applicable"),
            ('circuits.plugs.device = { kind = "rcbo-2p", curve = "B", rating_a = 32 }', "CI7", "circuits.plugs", "unknown"),
            ('circuits.panels = { way = "unit.6", feeds = "solar-inverter", device = { kind = "rcbo-2p-oneway", rating_a = 16 } }', "CI11", "circuits.panels", "fails"),
            ('circuits.panels = { way = "unit.6", feeds = "solar-inverter", device = { kind = "rcbo-2p", rating_a = 16 } }', "CI11", "circuits.panels", "unknown"),
            ('circuits.panels = { way = "unit.6", feeds = "solar-inverter", device = { kind = "mcb", rating_a = 16 } }', "CI11", "circuits.panels", "within"),
            ('equipment.spare = { kind = "isolator-2p-marked" }', "IN8", "equipment.spare", "unknown"),
            ('runs.cut = { joins = ["?", "unit.in"], kind = "tails" }', "EA8", "supplies.main", "within"),
            ('supplies.main.phases_n = { unknown = "" }', "SO4", "supplies.main", "not applicable"),
            ('equipment.shut = { kind = "board-no-switch" }\nruns.f = { joins = ["arrester.bottom", "shut.in"], kind = "tails" }', "IN5", "equipment.shut", "fails"),
            ('equipment.turn = { kind = "isolator-surge-bottom-marked" }\nruns.feed-3.joins = ["arrester.bottom", "turn.bottom"]\nruns.f = { joins = ["turn.top", "unit.in"], kind = "tails", size_mm2 = 25 }\ncircuits.panels = { way = "unit.6", feeds = "solar-inverter" }', "SO5", "equipment.turn", "fails"),
            ('runs.feed-3 = { joins = ["arrester.bottom", "unit.in"], kind = "singles", size_mm2 = 16, length_m = 4, method = "C" }', "EA7", "runs.feed-3", "unknown")):
        assert verdict(design(overlay), code, subject) == said, overlay


def test_an_outbuilding_with_an_earth_of_its_own() -> None:
    """Its board's earth bar holds the electrode's earth; the house's conductor is not needed for that."""
    of = design('equipment.shed = { kind = "board", ways_n = 4 }\nearthing.shed = { kind = "TT", joins = "shed.in.E" }')
    assert of.network.joined(["shed.in.E"], "E")


def test_two_circuits_on_one_way_and_a_point_after_a_borrowed_neutral() -> None:
    """Both are joined to the way's device; the neutral that goes on is the circuit's own.

    With the way's switch open, both circuits on it are live through the lamp whose neutral it took."""
    of = design("""circuits.lamps.points.a = { from = "way", feeds = "lamp", neutral = "oven" }
circuits.lamps.points.b = { from = "a", feeds = "lamp" }
circuits.extra = { way = "unit.3", feeds = "lamp" }""")
    now = of.network.potential(["unit.3.switch"])
    assert (now["extra.end.L"], now["lamps.a.N"], now["lamps.b.N"]) == ("line through a load", "line through a load", "neutral")


def test_subjects_are_known_by_name() -> None:
    with pytest.raises(ValueError, match="there is nothing to ask about weather"):
        list(design().subjects("weather"))


@pytest.mark.parametrize(("dates", "given"), [('dates.work = "2026-12-05"\n', False), ('dates.work = "2026-12-03"\n', True), ("", False)])
def test_a_permission_that_has_lapsed_is_none(dates: str, given: bool) -> None:
    """A leave until 4 December opens no fuse for work on the fifth."""
    leave = '[permissions.pull]\npart = "cutout.fuse"\nby = "east"\nref = "1"\nuntil = 2026-12-04\n'
    of = design(job=JOB + dates + leave)
    assert ("cutout.fuse" in of.network.may_open("skilled")) is given


@pytest.mark.parametrize(("operator", "given"), [("east", True), ("west", False)])
def test_leave_by_somebody_else_than_the_operator_opens_no_fuse(operator: str, given: bool) -> None:
    """Whose network it is stands on record: only its leave counts. The meter's own operator may be another."""
    leave = 'dates.work = "2026-12-03"\n[permissions.pull]\npart = "cutout.fuse"\nby = "east"\nref = "1"\nuntil = 2026-12-04\n'
    known = f'supplies.main.operator = "{operator}"\n'
    assert ("cutout.fuse" in design(known, job=JOB + leave).network.may_open("skilled")) is given
    meters = known + 'equipment.cutout.owner = "meter operator"\n'
    assert "cutout.fuse" in design(meters, job=JOB + leave).network.may_open("skilled")


def test_what_can_be_asked_to_be_dead() -> None:
    """A part by its short name where one is called so, a run by its name: the terminals at its ends."""
    from spareway.doc import InputError
    from spareway.wiring.parts import find
    of = design('circuits.more = { way = "unit.9", device = { kind = "surge-in-way" } }')
    assert find(of.inst, of.network, "feed-3") == ("arrester.bottom.L", "unit.in.L", "arrester.bottom.N", "unit.in.N")
    assert find(design().inst, design().network, "surge modules") == ("arrester.surge.L", "arrester.surge.N")
    with pytest.raises(InputError, match='2 parts are called "surge modules"; say which: arrester'):
        find(of.inst, of.network, "surge modules")
    with pytest.raises(InputError, match="did you mean feed-3"):
        find(of.inst, of.network, "fed-3")


def test_a_submain_with_points_and_a_way_nobody_uses_are_joined() -> None:
    """The far end of a submain reaches what it feeds, with points on the way or without; a run on a bare way is live."""
    with_point = SHED.replace('feeds = "shed.in",', 'feeds = "shed.in", points.j = { from = "way", length_m = 9 },')
    for said in (SHED, with_point):
        assert design(said).network.potential()["shed.in.L"] == "line"
    ran = design('equipment.shed = { kind = "board" }\nruns.q = { joins = ["unit.11", "shed.in"], kind = "t&e" }')
    assert ran.network.potential()["shed.in.L"] == "line"


def test_a_way_of_a_split_board_that_is_not_said_may_stand_on_either_bar() -> None:
    """With one residual-current device open it is still line: it may stand on the other."""
    overlay = """equipment.unit = { kind = "board-split", ways_n = 12 }
runs.feed-3.joins = ["arrester.bottom", "unit.in"]
runs.earth-2.joins = ["terminal.b", "unit.in"]
""" + "".join(f'circuits.{n}.way = "unit.{w}"\n' for w, n in enumerate(("plugs", "lamps", "oven", "warmth"), 1))
    assert design(overlay).network.potential(["unit.rcd-a"])["warmth.end.L"] == "line"


def test_gaps_in_the_record_are_unknown() -> None:
    """A missing run, a supply that is not there, an end nobody traced, a Ze over range: none of them reads as well."""
    assert verdict(design("remove = ['runs.feed-2']"), "IN7", "arrester.surge modules") == "unknown"
    assert verdict(design("remove = ['supplies.main']"), "IN6", "installation") == "unknown"
    assert verdict(design('runs.old = { joins = ["arrester.bottom", "?"], kind = "tails" }'), "IN3", "runs.old") == "unknown"
    assert verdict(design('circuits.oven.device = { kind = "mcb", curve = "B", rating_a = 32 }\ncircuits.oven.cable.length_m = 190'),
                   "CI5", "circuits.oven") == "unknown"
    assert design('circuits.unknown = { way = "unit.9" }').inst.circuits.keys() >= {"plugs", "unknown"}


def test_a_path_past_a_residual_current_device_takes_its_credit_away() -> None:
    """A second feed that goes round the device in front leaves the board's circuits without it."""
    front = """equipment.front = { kind = "rcd-before-all", rating_a = 100, residual_ma = 30 }
runs.feed-3.joins = ["arrester.bottom", "front.in"]
runs.feed-4 = { joins = ["front.out", "unit.in"], kind = "tails", size_mm2 = 25, length_m = 1, method = "C" }
circuits.plugs.device = { kind = "mcb", curve = "B", rating_a = 32 }
"""
    assert verdict(design(front), "CI7", "circuits.plugs") == "within"
    past = front + 'runs.feed-5 = { joins = ["arrester.bottom", "unit.in"], kind = "tails", size_mm2 = 25 }\n'
    assert verdict(design(past), "CI7", "circuits.plugs") in ("fails", "unknown")
    longer = past.replace('["arrester.bottom", "unit.in"], kind = "tails", size_mm2 = 25 }', '["arrester.bottom", "more.1"], kind = "tails" }') + """equipment.more = { kind = "blocks" }
equipment.again = { kind = "blocks" }
runs.feed-6 = { joins = ["more.2", "again.1"], kind = "tails" }
runs.feed-7 = { joins = ["again.3", "unit.in"], kind = "tails" }
"""
    assert verdict(design(longer), "CI7", "circuits.plugs") in ("fails", "unknown")


def test_an_earth_nobody_described_is_not_known() -> None:
    of = design('equipment.shed = { kind = "board" }\nearthing.shed = { joins = "shed.in.E" }')
    assert of.network.joined(["shed.in.E"], "E") is None
    assert verdict(design('supplies.main.earthing = "IT"'), "CI1", "circuits.oven") == "unknown"


def test_a_residual_current_device_alone_gives_no_overload_protection() -> None:
    """What opens on overload is then the fuse before the board: 80 A over a cable that carries 47 A fails (433.1.1; kinds: rcd-in-way)."""
    from spareway.api import check
    about = 'schema = 1\nbooks = { bs7671 = "2018+A4" }\nnation = "England"\n'
    found = ('[supplies.main]\njoins = "cutout.in"\nearthing = "TN-S"\nze_ohm = {{ measured = 0.3 }}\n[equipment]\n'
             'cutout = {{ kind = "cut-out", fuse = "bs1361-2", fuse_a = {{ marked = 80 }} }}\nboard = {{ kind = "board" }}\n[runs]\n'
             't = {{ joins = ["cutout.out", "board.in"], kind = "tails", size_mm2 = 25, length_m = 1, method = "C" }}\n'
             '[circuits.x]\nway = "board.1"\nfeeds = "cooker"\nload_w = 3000\ndevice = {{ kind = "{}", rating_a = 40, curve = "B", residual_ma = 30 }}\n'
             'cable = {{ kind = "t&e", line_mm2 = 6, cpc_mm2 = 2.5, length_m = 9, method = "C" }}\n')
    for kind, verdict, value in (("rcbo-2p", "within", 40), ("rcd-in-way", "fails", 80)):
        text = found.format(kind).replace(', curve = "B"', "" if kind == "rcd-in-way" else ', curve = "B"')
        said = next(f for f in check({"job.toml": about, "found.toml": text})["findings"] if (f["rule"], f["subject"]) == ("CI3", "circuits.x"))
        assert (said["verdict"], said["value"], said["limit"]) == (verdict, value, 47)
