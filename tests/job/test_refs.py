"""A name that leads nowhere is told with its file, its line and the nearest name; nothing is passed over."""
from __future__ import annotations

import pytest

from spareway import bundled
from spareway.api import check
from spareway.doc import InputError
from spareway.job.job import Job, read_job
from spareway.wiring.expand import wire

JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\n'
FILES = {"job.toml": JOB, "found.toml": bundled.text("rules/specimen.toml")}


def _read(overlay: str) -> Job:
    return read_job(FILES, [("o.toml", overlay)])


@pytest.mark.parametrize(("overlay", "says"), [
    ('equipment.x = { kind = "isolatr-2p" }', 'equipment.x.kind: there is no kind "isolatr-2p"; see docs/kinds.md; did you mean isolator-2p?'),
    ('circuits.oven.device = { kind = "cooker" }', '"cooker" is cooker and cannot stand here; a device or surge'),
    ('circuits.oven.feeds = "cookr"', 'there is no kind "cookr"; see docs/kinds.md; did you mean cooker?'),
    ('equipment."a b" = { kind = "meter" }', '"a b" cannot be a name'),
    ('equipment.oven = { kind = "meter" }', "equipment.oven has this name already"),
    ('runs.feed-3.joins = ["arrester.botom", "unit.in"]', 'nothing is called "arrester.botom"'),
    ('runs.feed-3.joins = []', "a run has two ends, this has 0"),
    ('supplies.main.joins = "cutut.in"', 'nothing is called "cutut.in"; did you mean cutout.in?'),
    ('earthing.shed = { kind = "TT", joins = "unit.inn" }', 'earthing.shed.joins: nothing is called "unit.inn"'),
    ('circuits.oven.way = "unt.3"', '"unt.3" is not a way of a board here; write board.5; did you mean unit.3?'),
    ('circuits.oven.way = "unit.13"', "unit has 12 ways; 1 to 12"),
    ('circuits.oven.feeds = "shed.in"', 'circuits.oven.feeds: nothing is called "shed.in"'),
    ('circuits.oven.neutral = "lamp"', 'there is no circuit "lamp"; did you mean lamps?'),
    ('circuits.oven.lands.N = "unit.bar.X"', 'circuits.oven.lands.N: nothing is called "unit.bar.X"'),
    ('equipment.radiator.on = "warmt"', 'there is no circuit "warmt"; did you mean warmth?'),
    ('circuits.oven.points.p1 = { from = "wy" }', 'no point is called "wy"'),
    ('circuits.oven.points.p1 = { from = "way", neutral = "lamps.p9" }', 'there is no circuit "lamps.p9"'),
    ('circuits.oven.points.p1 = { from = "p2" }\ncircuits.oven.points.p2 = { from = "p1" }', "p1 comes from itself"),
    ('equipment.unit.bars = { c = "1-6" }', "unit has no bar c; one of bar"),
    ('equipment.unit.bars = { bar = "1 to 6" }', '"1 to 6" names no ways; write "1-6" or "1-4, 9"'),
    ('rooms.wash = { bath = true }\nequipment.radiator.room = "washroom"',
     'equipment.radiator.room: there is no room "washroom"; one of wash; or, where it is another, write [rooms.washroom] in premises.toml; '
     'did you mean wash?'),
    ('rooms.bed-2 = {}\ncircuits.oven.points.p1 = { from = "way", room = "Bed-2" }', 'circuits.oven.points.p1.room: there is no room "Bed-2"'),
    ('spaces.pantry = {}\nequipment.unit.space = "pnatry"', 'equipment.unit.space: there is no space "pnatry"'),
    ('rooms.den.elements = { wall = { area_m2 = 9 }, window = { area_m2 = 1, cut_from = "wal" } }',
     'rooms.den.elements.window.cut_from: this room has no other part "wal"; one of wall; did you mean wall?'),
    ('rooms.den.elements.window = { area_m2 = 1, cut_from = "window" }', 'this room has no other part "window"; the wall that it is cut from'),
    ('fabric.glazing = { u_w_per_m2k = 2.8 }\nrooms.den.elements.window = { area_m2 = 1, of = "glazig" }',
     'rooms.den.elements.window.of: there is no construction "glazig"; write [fabric.glazig] in premises.toml; did you mean glazing?'),
    ("logs.week.until = 2026-01-11", "logs.week.until: its last day is before its first; 2026-01-12 or a later day"),
    ("logs.week.highest_a = { assumed = 10 }", "logs.week.highest_a: an assumed minute is no record; what the logger wrote, like { measured = 44 }"),
    ('runs.feed-3.stretches.a = { length_m = 1, method = "C" }', "its stretches give the length, and it is said here too"),
    ('equipment.unit = { kind = "board", ways_n = 12 }', "unit is another thing now, and circuits.oven still lands on the old one"),
    ('circuits.more = { way = "unit.3", device = { kind = "mcb" } }', "circuits.oven states a device for unit.3 too"),
    ('plumbing.x = 1', "there is no table plumbing"),
    ('circuits = 3', "named things are wanted here"),
    ('circuits.oven = 3', "read 3 where a table is wanted"),
])
def test_a_name_that_leads_nowhere_is_told(overlay: str, says: str) -> None:
    with pytest.raises(InputError) as refused:
        _read(overlay)
    assert any(f.line and says in str(f) for f in refused.value.faults), str(refused.value)


def test_a_job_that_lists_no_room_names_them_as_a_person_calls_them() -> None:
    """Nothing is refused where there is no list to hold a name against; nor where the name is on it."""
    assert _read('equipment.radiator.room = "wash"').found.equipment["radiator"].room == "wash"
    assert _read('rooms.wash = {}\nequipment.radiator.room = "wash"').found.equipment["radiator"].room == "wash"


def test_a_slip_in_the_name_of_a_room_takes_no_fail_away() -> None:
    """As it was seen: `bathroom` for `bath`, and a fail of the circuit that serves the bath was gone without a word."""
    rooms = 'rooms.bath = { bath = true }\ncircuits.warmth.device = { kind = "mcb", curve = "B", rating_a = 16 }\n'
    assert verdicts("BA1", "circuits.warmth", rooms + 'equipment.radiator.room = "bath"') == ["fails"]
    with pytest.raises(InputError, match=r'there is no room "bathroom".*did you mean bath\?'):
        verdicts("BA1", "circuits.warmth", rooms + 'equipment.radiator.room = "bathroom"')


def verdicts(code: str, subject: str, overlay: str) -> list[str]:
    said = check(FILES, overlays=[("o.toml", overlay)])
    return [f["verdict"] for f in said["findings"] if f["rule"] == code and f["subject"] == subject]


@pytest.mark.parametrize(("file", "text", "says"), [
    ("job.toml", JOB + 'options = ["solr"]\n', "job.toml:3: options: there is no option-solr.toml; did you mean solar?"),
    ("job.toml", JOB + '[permissions.p]\npart = "cutout.fse"\nby = "east"\nref = "1"\n',
     "permissions.p.part: no control is called cutout.fse; did you mean cutout.fuse?"),
    ("job.toml", JOB + '[replies.long]\nabout = "runs.feed-3"\nby = "operator-east"\nanswers = ["tail"]\n',
     'job.toml:6: replies.long.answers: nothing an operator is asked is called "tail"; one of demand, service fuse, tails, '),
    ("job.toml", JOB + '[enquiries.more]\nto = "operator-east"\nby = "surveyor"\nasks = ["demand", "tales"]\n',
     'enquiries.more.asks: nothing an operator is asked is called "tales"'),
    ("job.toml", JOB + '[operators.east]\ntail_m = 3\n', "asked is missing"),
    ("job.toml", JOB + '[operators.east]\nasked = 2026-05-09\nseals = "anybody"\n', "operators.east.seals"),
    ("job.toml", "schema = 9\nbooks.bs7671 = '2018+A4'\n", "this job is of schema 9, this program reads 1"),
    ("job.toml", "schema = 1\n", "books.bs7671 is missing"),
    ("found.toml", "", "the folder has no such file"),
    ("readings.csv", "id,stage,quantity,a,b,setup,value,unit,over,instrument,nulled,loads,temp_c,by,at,strikes\n"
     "1,found,ze_ohm,supplies.main,,,0.3,Ω,,,,,,me,2026-11-02T09:00,\n",
     "measured here and in readings.csv too; keep the row readings.csv:2"),
])
def test_a_fault_of_the_folder_is_told(file: str, text: str, says: str) -> None:
    files = {**FILES, "option-solar.toml": "", file: text}
    with pytest.raises(InputError) as refused:
        read_job({name: said for name, said in files.items() if said or name.startswith("option")})
    assert any(says in str(f) for f in refused.value.faults), str(refused.value)


def test_one_conductor_a_way_and_a_way_of_another_board_are_ends() -> None:
    """An end may be a side, one of its conductors, a way, or a way's conductor; each is traced."""
    inst = _read('runs.x = { joins = ["unit.5", "pipe.clamp"], kind = "earthing" }\n'
                 'runs.y = { joins = ["unit.bar.N", "terminal.f"], kind = "singles" }\n'
                 'runs.z = { joins = ["unit.6.L"], kind = "singles" }\n').found
    network = wire(inst)
    assert network.potential()["unit.bar.N"] == "neutral"
    assert network.path("unit.bar.N", "terminal.f.E")
