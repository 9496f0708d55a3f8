"""What a network operator wants of a job: each national row, four invented operators, what is not known, who draws its fuse."""
from __future__ import annotations

import random
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from spareway.api_operator import told
from spareway.design.design import Design
from spareway.design.logged import Log
from spareway.design.operator import NEITHER, OperatorDesign
from spareway.design.recorded import recorded
from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.job.operators import read_operators
from tests.tables.reference import TRUST, lines

OPERATORS = (Path(__file__).parents[2] / "examples" / "operators.toml").read_text("utf-8")
KNOWN = read_operators("operators.toml", OPERATORS)
JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\nnation = "England"\ndates.survey = "2026-09-01"\n'
FOUND = (Path(__file__).parent / "asked_home.toml").read_text("utf-8")
BOOK_FOUND_A = 32 + 10 + 0.3 * (3000 / 230 - 10) + 2500 / 230 + 5 * 100 * 0.66 / 230
HEATER = """circuits.warm-2 = { way = "unit.5", device = { kind = "mcb", curve = "B", rating_a = 16 } }
equipment.heater-2 = { kind = "panel-heater", on = "warm-2", stamped_w = %g, stamped_v = 230 }
"""
COLD = "logs.january = { since = 2026-01-12, until = 2026-01-18, outside_c = 3 }\n"
MINUTE = timedelta(minutes=1)
LARGE = HEATER % 1500
SOURCE = """circuits.panels = { way = "unit.6" }
equipment.roof = { kind = "%s", rating_a = %s, on = "panels" }
"""


def of(work: str = HEATER % 750, job: str = "", known: Any = KNOWN, log_a: float | None = None) -> OperatorDesign:
    """The home with this work, asked of the operator that its record names."""
    found = FOUND if log_a is None else COLD + FOUND
    design = Design(read_job({"job.toml": JOB + job, "found.toml": found, **({"work.toml": work} if work else {})}).at())
    return OperatorDesign(design, None if log_a is None else recorded(design, cold_week(log_a)), known)


def cold_week(highest_a: float) -> Log:
    """A log of the seven days of which the record says how cold they were."""
    start = datetime(2026, 1, 12)  # noqa: DTZ001   as a logger writes: the clock on its wall
    return Log("log.csv", tuple((start + n * MINUTE, highest_a) for n in range(10_080)), tuple(range(2, 10_082)), MINUTE, 0)


def test_the_figure_of_the_home_is_that_worked_by_hand() -> None:
    """Every case below stands on it."""
    assert of("").by_book_a.value == pytest.approx(BOOK_FOUND_A, abs=1e-9)
    assert of().by_book_a.value == pytest.approx(BOOK_FOUND_A + 750 / 230, abs=1e-9)


@pytest.mark.parametrize("work", ["", "runs.feed-3.size_mm2 = 25\n"])
@pytest.mark.parametrize(("log_a", "wants"), [(60.0, "neither"), (60.1, "ask"), (69.2, "ask")])
def test_a_fuse_that_is_overloaded_as_it_is_is_something_to_ask_about(work: str, log_a: float, wants: str) -> None:
    """Nothing is added, and a logger saw more than the 60 A of the fuse: what is there is the operator's to know, work or none."""
    asked = of(work, log_a=log_a)
    over = [each for each in asked.reasons if each.case == "demand above the service fuse"]
    assert (asked.wants, bool(over)) == (wants, wants == "ask")
    for each in over:
        assert (each.topic, each.at) == ("service fuse", ("supplies.main",))
        assert each.says == f"nothing is added, and its fuse is overloaded as it is: recorded, with what is connected since: {log_a} A, above 60 A"


def test_an_overload_of_a_fuse_that_nobody_read_is_not_told_of() -> None:
    """No rating, no overload; that the fuse is not known is asked about with work, by its own row."""
    design = Design(read_job({"job.toml": JOB, "found.toml": COLD + FOUND.replace("fuse_a = { marked = 60 }", "fuse_a = { told = 60 }")}).at())
    assert not design.supply.fuse_a.known
    assert OperatorDesign(design, recorded(design, cold_week(69.2)), KNOWN).wants == "cannot tell"


def test_a_loop_is_told_in_whole_words() -> None:
    """OP2, the letter and the page of demand print the reason by itself: `it does` says nothing there."""
    looped, = (each for each in of(job="", work=HEATER % 750 + "supplies.main.looped = true\n").reasons if each.topic == "looped service")
    assert looped.says == "the service loops on to a neighbour"


CASES = {
    "nothing added": ("runs.feed-3.size_mm2 = 25\n", "neither", ""),
    "heating within": (HEATER % 750, "neither", "fixed electric heating, the rest known"),
    "a lamp": ('circuits.lamps.points.p9 = { from = "p1", feeds = "lamp", load_w = 9 }\n', "neither", "fixed electric heating, the rest known"),
    "demand above 60 A": (HEATER % 1500, "apply", "demand of a home above the threshold"),
    "above by what is known alone": (HEATER % 4000 + 'circuits.oven.load_w = { unknown = "plate hidden" }\n', "apply", "demand of a home above the threshold"),
    "above by the heaters that are known": (HEATER % 1500 + 'equipment.heater-3 = { kind = "panel-heater", on = "warm-2" }\n', "apply", "demand of a home above the threshold"),
    "demand above the fuse": (HEATER % 750 + "equipment.cutout.fuse_a = { marked = 45 }\n", "apply", "demand above the service fuse"),
    "fuse not read": (HEATER % 750 + "equipment.cutout.fuse_a = { told = 60 }\n", "ask", "service fuse not known"),
    "looped": (HEATER % 750 + "supplies.main.looped = true\n", "ask", "service loops on to a neighbour"),
    "not looked whether looped": (HEATER % 750 + 'supplies.main.looped = { unknown = "behind a board" }\n', "ask", "service loops on to a neighbour"),
    "seal gone": (HEATER % 750 + 'equipment.meter.seal = "missing"\n', "ask", "concern about the service equipment"),
    "cut-out browned": (HEATER % 750 + 'equipment.cutout.damage = "browned"\n', "ask", "concern about the service equipment"),
    "nobody looked at the cut-out": (HEATER % 750 + 'equipment.cutout.damage = { unknown = "dark" }\n', "ask", "concern about the service equipment"),
    "fuse above its carrier": (HEATER % 750 + "equipment.cutout.carrier_a = { marked = 30 }\n", "ask", "concern about the service equipment"),
    "loop above what is declared": (HEATER % 750 + "supplies.main.ze_ohm = { measured = 0.81 }\n", "ask", "concern about the service equipment"),
    "unmetered": (HEATER % 750 + 'remove = ["equipment.meter", "runs.feed-1"]\nruns.feed-2 = { joins = ["cutout.out", "arrester.top"], kind = "tails", '
                  'size_mm2 = 25, length_m = 1, method = "C" }\n', "ask", "unmetered supply"),
    "earthing not known": (HEATER % 750 + 'supplies.main.earthing = { unknown = "no terminal seen" }\n', "ask", "earthing or phases not known"),
    "three phases": (HEATER % 750 + "supplies.main.phases_n = 3\n", "ask", "earthing or phases not known"),
    "heater of unknown size": ('circuits.warm-2 = { way = "unit.5" }\nequipment.heater-2 = { kind = "panel-heater", on = "warm-2" }\n', "ask",
                               "demand of a home above the threshold"),
    "a heater on no circuit": ('equipment.heater-2 = { kind = "panel-heater", stamped_w = 500, stamped_v = 230 }\n', "ask", "demand of a home above the threshold"),
    "a circuit of unknown use": ('circuits.more = { way = "unit.7" }\n', "ask", "demand of a home above the threshold"),
    "tails too long": (HEATER % 750 + "runs.feed-3.length_m = 5.6\n", "ask", "tails longer than the operator accepts"),
    "tails not measured": (HEATER % 750 + 'runs.feed-3.length_m = { unknown = "in the wall" }\n', "ask", "tails longer than the operator accepts"),
    "a charge point within": ('remove = ["equipment.radiator", "circuits.warmth"]\n' + SOURCE % ("charge-point", "10, stamped_w = 2300, stamped_v = 230"), "notify", "demand of a home within the threshold"),
    "a source of 16 A": (SOURCE % ("solar-inverter", "16"), "notify", "sources within the limit of a phase"),
    "a source just above": (SOURCE % ("solar-inverter", "16.01"), "apply", "sources above the limit of a phase"),
    "a source of no rating": (SOURCE % ("solar-inverter", '{ unknown = "plate not found" }'), "ask", "sources within the limit of a phase"),
    "a battery with back-up": (SOURCE % ("battery-inverter-backup", "8"), "apply", "source that keeps a part live by itself"),
    "a vehicle that feeds back": (SOURCE % ("charge-point-two-way", "32"), "apply", "sources above the limit of a phase"),
    "two sources": (SOURCE % ("solar-inverter", "11") + 'circuits.cells = { way = "unit.7" }\n'
                    'equipment.store = { kind = "battery-inverter", rating_a = 5.5, on = "cells" }\n', "apply", "sources above the limit of a phase"),
    "above by one whose rating is known": (SOURCE % ("solar-inverter", "17") + 'circuits.cells = { way = "unit.7", feeds = "battery-inverter" }\n', "apply",
                                           "sources above the limit of a phase"),
    "a landlord's supply beside it": (HEATER % 750 + 'supplies.landlord = { joins = "cutout-2.in" }\nequipment.cutout-2 = { kind = "cut-out", damage = "none" }\n'
                                      'circuits.sun = { way = "unit.6" }\nequipment.roof = { kind = "solar-inverter", rating_a = 16, on = "sun" }\n',
                                      "notify", "sources within the limit of a phase"),
    "a generator behind a changeover": (HEATER % 750 + 'equipment.inlet = { kind = "generator-inlet", rating_a = 30 }\nequipment.over = { kind = "changeover", '
        'rating_a = 63, damage = "none" }\nruns.feed-3.joins = ["arrester.bottom", "over.main"]\nruns.feed-4 = { joins = ["inlet.in", "over.standby"], '
        'kind = "tails", size_mm2 = 16, length_m = 2, method = "C" }\nruns.feed-5 = { joins = ["over.out", "unit.in"], kind = "tails", size_mm2 = 25, '
        'length_m = 1, method = "C" }\n', "neither", "fixed electric heating, the rest known"),
}


@pytest.mark.parametrize("case", CASES)
def test_each_case_is_answered_by_its_row(case: str) -> None:
    """apply, ask, notify or neither; and the reason that decides is the row named, the one that is asked for by nobody else."""
    work, wants, row = CASES[case]
    asked = of(work)
    assert (asked.wants, asked.left) == (wants, wants), [r.says for r in asked.reasons]
    assert row in {reason.case for reason in asked.reasons if reason.wants == wants}
    assert all(reason.says and "None" not in reason.says for reason in asked.reasons)


@pytest.mark.parametrize(("amps", "wants"), [(3.60, "notify"), (3.68, "notify"), (3.69, "apply"), (4.0, "apply"), (5.0, "apply")])
def test_the_boundary_of_sources_in_kilowatts(amps: float, wants: str) -> None:
    """3.68 kW a phase is told, more is applied for: examples S-022 to S-025 of the published ones; 16 A × 230 V by hand."""
    assert of(SOURCE % ("solar-inverter", f"{amps * 1000 / 230:.9g}")).wants == wants


def test_a_source_that_was_there_is_not_asked_about_again_but_counts() -> None:
    """Nothing is wanted for it while no other comes; with another, both count."""
    there = FOUND + '\n[circuits.panels]\nway = "unit.6"\n[equipment.roof]\nkind = "solar-inverter"\nrating_a = 12\non = "panels"\n'

    def with_work(work: str) -> OperatorDesign:
        return OperatorDesign(Design(read_job({"job.toml": JOB, "found.toml": there, "work.toml": work}).at()), known=KNOWN)
    assert with_work(HEATER % 750).wants == "neither"
    store = 'circuits.cells = { way = "unit.7" }\nequipment.store = { kind = "battery-inverter", rating_a = 5, on = "cells" }\n'
    assert with_work(store).wants == "apply"


def test_a_source_alone_adds_no_demand() -> None:
    """A home of 71 A by the book as found gets a source: it is told of that, and its demand is not asked about anew."""
    there = FOUND.replace("stamped_w = 2500", "stamped_w = 5500")
    asked = OperatorDesign(Design(read_job({"job.toml": JOB, "found.toml": there, "work.toml": SOURCE % ("solar-inverter", "16")}).at()), known=KNOWN)
    assert (asked.by_book_a.value > 60, asked.added, asked.wants) == (True, (), "notify")


def test_without_work_only_what_is_wrong_is_asked_about() -> None:
    """As found nothing is added; a broken seal is the operator's to know all the same."""
    assert of("").wants == "neither"
    broken = read_job({"job.toml": JOB, "found.toml": FOUND.replace('meter    = { kind = "meter", seal = "present"', 'meter    = { kind = "meter", seal = "broken"')})
    asked = OperatorDesign(Design(broken.at()), known=KNOWN)
    assert (asked.wants, [r.says for r in asked.reasons if r.wants == "ask"]) == ("ask", ["the seal of the meter is broken"])


def test_a_person_saw_something_on_the_operators_equipment() -> None:
    """A row with a code, or answered no, about it is a concern; one about a thing of ours is not."""
    rows = "id,where,place,code,photo,says,by,at,strikes,eye,answer\n" \
        "o1,equipment.cutout,cabinet,C2,,cover gone,surveyor,2026-09-01T09:00,,,\n" \
        "o2,equipment.unit,hall,C2,,lid cracked,surveyor,2026-09-01T09:01,,,\n" \
        "o3,equipment.meter,cabinet,,,dusty,surveyor,2026-09-01T09:02,,,\n"
    read = read_job({"job.toml": JOB, "found.toml": FOUND, "work.toml": HEATER % 750, "observations.csv": rows})
    asked = OperatorDesign(Design(read.at()), known=KNOWN)
    assert [r.says for r in asked.reasons if r.wants == "ask"] == ["cover gone (C2)"]


@pytest.mark.parametrize(("overlay", "says"), [
    ('equipment.meter.owner = "meter operator"\nequipment.arrester.owner = "network operator"\nequipment.arrester.damage = "cracked"\n', "the arrester is cracked"),
    ('equipment.cutout.seal = "none fitted"\n', "no seal is fitted to the cutout"),
    ('equipment.unit.owner = "network operator"\nequipment.unit.water = true\n', "signs of water in the unit"),
    ('equipment.unit.owner = "network operator"\nequipment.unit.open_entries = true\n', "openings in the unit that a finger or water can enter"),
    ('equipment.cutout.kind = "cut-out-fused-neutral"\nequipment.cutout.fuse = "bs1361-2"\nequipment.cutout.fuse_a = { marked = 60 }\nequipment.cutout.damage = "none"\n'
     'supplies.main.joins = "cutout.in"\nruns.feed-1 = { joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = 25, length_m = 0.4, method = "C" }\n'
     'runs.earth-1 = { joins = ["cutout.earth", "terminal.a"], kind = "earthing", size_mm2 = 16, length_m = 1 }\n', "the cutout has a fuse in the neutral")])
def test_what_is_wrong_with_the_operators_things_is_said(overlay: str, says: str) -> None:
    assert says in [r.says for r in of(overlay).reasons if r.case == "concern about the service equipment"]


def test_a_thing_of_theirs_that_is_never_sealed_is_no_defect() -> None:
    work = HEATER % 750 + 'equipment.arrester.owner = "meter operator"\nequipment.arrester.seal = "none fitted"\n'
    assert of(work).wants == "neither"


# ---- what is not known never leads to neither -----------------------------------------------------------------------------
@pytest.mark.parametrize("gap", ['equipment.cutout.fuse_a = { unknown = "x" }', 'supplies.main.looped = { unknown = "x" }', 'supplies.main.earthing = { unknown = "x" }',
                                 'equipment.cutout.damage = { unknown = "x" }', 'equipment.radiator.stamped_w = { unknown = "x" }',
                                 'equipment.heater-2.stamped_v = { unknown = "x" }', 'circuits.oven.load_w = { unknown = "x" }',
                                 'circuits.plugs.device.rating_a = { unknown = "x" }', 'runs.feed-2.length_m = { unknown = "x" }',
                                 'supplies.main.operator = { unknown = "x" }', 'operators.operator-south.apply_above_a = { unknown = "x" }',
                                 'operators.operator-south.tail_m = { unknown = "x" }', 'operators.operator-south.told_of_heating = { unknown = "x" }'])
def test_one_gap_more_and_neither_becomes_ask(gap: str) -> None:
    """The same home, with one fact that the answer rests on taken away."""
    assert of().wants == NEITHER
    table, name, rest = gap.split(".", 2)
    work = HEATER % 750
    if table == "operators":
        said = {"apply_above_a": "60", "tail_m": "6", "told_of_heating": "false"} | dict([rest.split(" = ", 1)])
        asked = of(work, "[operators.operator-south]\nasked = 2026-05-11\n" + "".join(f"{k} = {v}\n" for k, v in said.items()))
        assert asked.wants == "ask", [r.says for r in asked.reasons]
        return
    work = work.replace("stamped_v = 230", "stamped_v = { unknown = \"x\" }") if name == "heater-2" else f"{work}{table}.{name}.{rest}\n"
    assert of(work).wants == "ask", [r.says for r in of(work).reasons]


def by_plain_numbers(said: dict[str, Any]) -> str:
    """The answer a second way: numbers and a list of what is wanted, written from the gathered rows and not from our tables."""
    least = 32 + 10 + 0.3 * (3000 / 230 - 10) + (2500 + (said["heater_w"] or 0)) / 230 + 5 * 100 * 0.66 / 230
    known = said["heater_w"] is not None
    wanted = {"neither"}
    if said["heater_w"] != 0:
        wanted |= {"apply"} if least > 60 or said["fuse_a"] and least > said["fuse_a"] else set() if known else {"ask"}
    if said["source_a"] != 0:
        wanted |= {"ask"} if said["source_a"] is None else {"apply"} if said["source_a"] * 230 / 1000 > 3.68 else {"notify"}
    gaps = [said["fuse_a"] is None, said["looped"] in (None, True), said["seal"] == "broken", said["tail_m"] is None or 0.5 + said["tail_m"] > 6]
    return next(each for each in ("apply", "ask", "notify", "neither") if each in wanted | ({"ask"} if any(gaps) else set()))


def test_a_hundred_homes_at_random_are_answered_as_by_plain_numbers() -> None:
    """Heater, source, fuse, loop, seal, length of tails: known, not known, on either side of each limit."""
    by_seed, met = random.Random(26), set()
    for _ in range(100):
        said: dict[str, Any] = {"heater_w": by_seed.choice((0, 500, 1000, 1090, 1110, 1500, None)), "source_a": by_seed.choice((0, 0, 0, 3.6, 15.99, 16.0, 16.01, 25, None)),
                                "fuse_a": by_seed.choice((60, 60, 60, 80, 59, 45, None)), "looped": by_seed.choice((False, False, False, True, None)),
                                "seal": by_seed.choice(("present", "present", "present", "broken")), "tail_m": by_seed.choice((2.0, 2.0, 5.5, 5.6, None))}
        toml = {key: '{ unknown = "x" }' if value is None else str(value).lower() for key, value in said.items()}
        fuse = toml["fuse_a"] if said["fuse_a"] is None else f"{{ marked = {said['fuse_a']} }}"
        work = f"equipment.cutout.fuse_a = {fuse}\n" \
            f'supplies.main.looped = {toml["looped"]}\nequipment.meter.seal = "{said["seal"]}"\nruns.feed-3.length_m = {toml["tail_m"]}\n'
        work += "" if said["heater_w"] == 0 else (HEATER % 1).replace("stamped_w = 1", f"stamped_w = {toml['heater_w']}")
        work += "" if said["source_a"] == 0 else SOURCE % ("solar-inverter", toml["source_a"])
        answer = of(work).wants
        assert answer == by_plain_numbers(said), said
        met.add(answer)
    assert met == {"apply", "ask", "notify", "neither"}


# ---- one job, four operators ----------------------------------------------------------------------------------------------
FOUR = {"operator-east": ("ask", "tails longer than the operator accepts"), "operator-west": ("apply", "demand of a home above the threshold"),
        "operator-north": ("notify", "fixed electric heating, the rest known"), "operator-south": ("neither", "fixed electric heating, the rest known")}


@pytest.mark.parametrize("operator", FOUR)
def test_one_job_under_four_invented_operators(operator: str) -> None:
    """58.5 A by the book and 4.5 m of tails: each wants another thing of it."""
    work = HEATER % 750 + f'runs.feed-3.length_m = 4\nsupplies.main.operator = "{operator}"\n'
    asked = of(work)
    wants, case = FOUR[operator]
    assert (asked.wants, case) == (wants, next(r.case for r in asked.reasons if r.wants == wants))


def test_what_each_wants_of_a_loop() -> None:
    """One is asked first, one parts the loop before anything else."""
    looped = HEATER % 750 + "supplies.main.looped = true\nsupplies.main.operator = \"%s\"\n"
    assert [next(r.wants for r in of(looped % name).reasons if r.topic == "looped service") for name in FOUR] == ["ask", "apply", "ask", "ask"]


def test_an_operator_of_which_nothing_is_on_record() -> None:
    """The national rows hold; where these want nothing, it is asked all the same. What it is told afterwards stays so."""
    assert of(known=None).wants == "ask"
    assert of(SOURCE % ("solar-inverter", "16"), known=None).wants == "notify"
    gaps = "[operators.operator-south]\nasked = 2026-05-11\n"
    assert of(job=gaps, known=None).wants == "ask"                     # it never said whether it wants to be told of heating
    assert of(job=gaps + "told_of_heating = false\n", known=None).wants == "ask"    # nor from which demand on it is applied to
    said = gaps + "told_of_heating = false\napply_above_a = 60\ntail_m = 3\n"
    assert of(job=said, known=None).wants == "neither"
    for term in ("apply_above_a = 60", "tail_m = 3"):
        asked = of(job=said.replace(term, ""), known=None)
        assert (asked.wants, [r.case for r in asked.reasons if r.wants == "ask"]) == ("ask", [""]), term
        assert asked.reasons[0].says.endswith("not recorded")
    assert of("runs.feed-3.size_mm2 = 25\n", said.replace("apply_above_a = 60", ""), known=None).wants == "neither", "no demand is added"


def test_the_jobs_own_copy_goes_before_the_firms_file() -> None:
    """The threshold written in the job decides."""
    assert of(job="[operators.operator-south]\nasked = 2026-05-11\napply_above_a = 20\n").wants == "apply"


@pytest.mark.parametrize(("day", "is_old"), [("2026-10-30", False), ("2026-10-31", True), ("2027-01-01", True), ("2026-01-01", False)])
def test_a_row_a_year_old_says_so(day: str, is_old: bool) -> None:
    """Asked on 30 October 2025: a year on it still counts as fresh, the day after it does not."""
    assert of(job=f'dates.test = "{day}"\n').is_old is is_old


def test_without_a_day_or_a_row_nobody_can_tell_its_age() -> None:
    assert OperatorDesign(Design(read_job({"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": FOUND}).at()), known=KNOWN).is_old is None
    assert of(known=None).is_old is None


@pytest.mark.parametrize(("dates", "wants", "says"), [
    ('dates.test = "2026-10-30"\n', "neither", ""), ('dates.test = "2026-10-31"\n', "ask", "said on 2025-10-30; the job's latest day is 2026-10-31"),
    ("", "ask", "said on 2025-10-30; how old that is cannot be told")])
def test_neither_rests_on_no_row_that_is_old_or_of_no_known_age(dates: str, wants: str, says: str) -> None:
    """Operators change what they want: a year on, or with no day to hold it against, it is asked."""
    job = JOB.replace('dates.survey = "2026-09-01"\n', dates)
    asked = OperatorDesign(Design(read_job({"job.toml": job, "found.toml": FOUND, "work.toml": HEATER % 750}).at()), known=KNOWN)
    assert asked.wants == wants
    assert says in asked.reasons[0].says


# ---- book and record ------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("heater_w", "log_a", "wants"), [
    (1500, None, "apply"), (1500, 40.0, "ask"), (1500, 58.0, "apply"), (750, 40.0, "neither"), (750, 57.0, "apply"), (750, 56.7, "neither")])
def test_two_figures_of_one_home(heater_w: float, log_a: float | None, wants: str) -> None:
    """61.7 and 58.5 A by the book; what was recorded, and the heater's 6.5 or 3.3 A upon it, against the 60 A of the threshold."""
    assert of(HEATER % heater_w, log_a=log_a).wants == wants


def test_a_log_of_a_home_whose_connected_load_is_not_known_settles_nothing() -> None:
    unread = of(HEATER % 1500 + 'circuits.wash = { way = "unit.7", feeds = "shower" }\n', log_a=10.0)
    assert (unread.recorded_a.known, unread.wants) == (False, "apply")
    assert of("", log_a=12.0).recorded_a.value == 12.0


def test_a_log_on_record_counts_as_one_that_is_given() -> None:
    """40 A with 2.5 kW of lasting load then, 4.0 kW now: 46.5 A, within 60 A where the book says 61.7 A."""
    log = "logs.week = { since = 2026-01-12, until = 2026-01-18, highest_a = { measured = 40 }, outside_c = 3, lasting_w = 2500 }\n"
    read = read_job({"job.toml": JOB, "found.toml": log + FOUND, "work.toml": HEATER % 1500})
    asked = OperatorDesign(Design(read.at()), known=KNOWN)
    assert asked.recorded_a.value == pytest.approx(40 + 1500 / 230)
    assert asked.wants == "ask"


# ---- terms that are only assumed ------------------------------------------------------------------------------------------
ASSUMED = "[operators.operator-south]\nasked = 2026-05-11\n%s\n"


def test_an_assumed_term_is_no_word_of_the_operators() -> None:
    """61.7 A: 200 A that we assume lift nothing, 200 A that it said do. Where the national rows want nothing, it is asked."""
    assert of(LARGE, ASSUMED % "apply_above_a = { assumed = 200 }\ntold_of_heating = false").wants == "apply"
    assert of(LARGE, ASSUMED % "apply_above_a = { enquiry = 200 }\ntold_of_heating = false").wants == "apply", "still above the fuse"
    assert of(LARGE + "equipment.cutout.fuse_a = { marked = 80 }\n", ASSUMED % "apply_above_a = { enquiry = 200 }\ntold_of_heating = false\ntail_m = 3").wants == "neither"
    assert of(LARGE + "equipment.cutout.fuse_a = { marked = 80 }\n", ASSUMED % "apply_above_a = { assumed = 200 }\ntold_of_heating = false").wants == "apply"
    calm = of(HEATER % 750, ASSUMED % "apply_above_a = { assumed = 60 }\ntold_of_heating = false")
    assert (calm.wants, "is assumed, and not what the operator said" in calm.reasons[0].says) == ("ask", True)
    assert of(HEATER % 750, ASSUMED % "told_of_heating = { assumed = false }").wants == "ask"
    assert of(HEATER % 750 + "runs.feed-3.length_m = 8\n", ASSUMED % "tail_m = { assumed = 20 }\ntold_of_heating = false").wants == "ask"
    assert of(HEATER % 750 + "supplies.main.looped = true\n", ASSUMED % 'looped = { assumed = "part the loop first" }').wants == "ask"


def test_what_was_said_goes_before_what_was_assumed() -> None:
    assert of(LARGE, ASSUMED % "apply_above_a = { assumed = 200, enquiry = 50 }").threshold_a.value == 50


def test_phases_that_nobody_counted_are_asked_about() -> None:
    """Decision 028: the row holds for earthing and for phases."""
    asked = of(HEATER % 750 + 'supplies.main.phases_n = { unknown = "meter not seen" }\n')
    assert (asked.wants, [r.topic for r in asked.reasons if r.wants == "ask"]) == ("ask", ["earthing"])
    assert "meter not seen" in asked.reasons[0].says


# ---- who takes the supply off ---------------------------------------------------------------------------------------------
def test_what_the_work_touches_that_stays_live() -> None:
    """The isolator's supply end, where new tails land; nothing where leave to open the fuse is on record and holds."""
    work = HEATER % 750 + 'runs.feed-2.size_mm2 = 25\n'
    leave = '[permissions.pull]\npart = "cutout.fuse"\nby = "operator-south"\nref = "S-1"\nuntil = 2026-09-%02d\n'
    assert of(work).live_at_work == ("arrester",)
    assert of(HEATER % 750).live_at_work == ()
    assert of("runs.feed-3.size_mm2 = 25\n").live_at_work == (), "it begins at the isolator's dead end"
    assert of(SOURCE % ("battery-inverter-backup", "8")).live_at_work == (), "no fuse of the operator's takes a battery off"
    held, lapsed = of(work, leave % 2), of(work, (leave % 2).replace("2026-09", "2026-08"))
    assert (held.live_at_work, [p.name for p in held.leave]) == ((), ["pull"])
    assert (lapsed.live_at_work, lapsed.leave) == (("arrester",), ())


# ---- the rows themselves --------------------------------------------------------------------------------------------------
GATHERED = {"demand of a home above the threshold": "new maximum demand of dwelling", "demand of a home within the threshold": "new maximum demand of dwelling",
            "demand above the service fuse": "maximum demand above cut-out rating", "service fuse not known": "cut-out or service equipment rating unknown",
            "service loops on to a neighbour": "looped service", "concern about the service equipment": "safety concern with service equipment",
            "unmetered supply": "unmetered supply", "fixed electric heating, the rest known": "resistive heating (panel or storage heaters)",
            "sources within the limit of a phase": "generation or storage, total up to 16 A per phase",
            "sources above the limit of a phase": "generation or storage above 16 A per phase"}
WORDS = {"apply": ("apply",), "ask": ("contact",), "notify": ("notify",), "neither": ("no dedicated form",)}


def test_each_row_is_the_gathered_one() -> None:
    """What is wanted, and how far it is confirmed, as gathered from operators' and their association's pages; three rows are named here."""
    from spareway.tables.table import table
    gathered: dict[str, list[dict[str, str]]] = {}
    for line in lines("network_operator_rules"):
        gathered.setdefault(line["topic"], []).append(line)
    held = {row.keys[0]: row for row in table("operator_thresholds").rows}
    assert set(held) - set(GATHERED) == {"source that keeps a part live by itself", "tails longer than the operator accepts", "earthing or phases not known"}
    for case, topic in GATHERED.items():
        found = [line for line in gathered[topic] if any(word in line["required_action"] for word in WORDS[held[case].value])]
        assert len(found) == 1, case
        assert held[case].trust == TRUST[found[0]["confidence"]], case
    assert "also pushes to application" in gathered["generation or storage above 16 A per phase"][0]["note"]
    usual = next(line for line in lines("tails_and_isolation_rules") if line["topic"].startswith("usual tail length"))
    assert held["tails longer than the operator accepts"].trust == TRUST[usual["confidence"]]
    assert held["earthing or phases not known"].trust == "from memory"


# ---- plain data, the firm's file ------------------------------------------------------------------------------------------
def test_told_holds_every_reason_with_its_row() -> None:
    """The document of a job with a log and the firm's file: answer, reasons, figures with sources, defects, cautions."""
    log = "at,current_a\n" + "".join(f"{at.isoformat()},{amps}\n" for at, amps in cold_week(40.29).minutes)
    files = {"job.toml": JOB, "found.toml": COLD + FOUND, "work.toml": HEATER % 1500 + 'equipment.meter.seal = "missing"\nruns.feed-2.size_mm2 = 25\n'}
    said = told(files, log=("log.csv", log), operators=("operators.toml", OPERATORS))
    assert (said["wants"], said["left"], said["operator"]["is_old"], said["operator"]["asked"]) == ("ask", "ask", False, "2025-10-30")
    first = next(r for r in said["reasons"] if r["about"] == "demand")
    assert [(f["amount"], f["where"]) for f in first["facts"][1:2]] == [(60, "operators.toml:41")]
    assert (first["row"]["amount"], first["row"]["trust"], first["wants"]) == ("apply", "confirmed", "ask")
    assert [d["says"] for d in said["defects"]] == ["the seal of the meter is missing"]
    assert (said["supply_off"]["things"], said["supply_off"]["who"]["is"]) == (["arrester"], "whoever it names in writing")
    assert (said["notify_days"]["amount"], any("competent, licensed person" in each for each in said["caution"])) == (28, True)
    alone = told(files)
    assert (alone["wants"], alone["operator"]["on_record"], alone["operator"]["wants"]) == ("apply", False, [])


@pytest.mark.parametrize(("text", "says"), [
    ("operators = 3\n", "named things are wanted here"), ("operator.east.asked = 2026-05-11\n", "there is no table operator here; [operators.a-name]; did you mean operators?"),
    ("[operators.east]\ntail_m = 3\n", "asked is missing"), ("[operators.east]\nasked = 2026-05-11\ntail_n = 3\n", "did you mean tail_m"),
    ("[operators.east]\nasked = 2026-05-11\nseals = \"us\"\n", "operators.east.seals")])
def test_a_faulty_file_of_operators_is_refused(text: str, says: str) -> None:
    with pytest.raises(InputError) as refused:
        read_operators("operators.toml", text)
    assert any(says in str(fault) and fault.file == "operators.toml" for fault in refused.value.faults), str(refused.value)


def test_what_a_reason_says_can_be_read_without_addresses() -> None:
    """In words it is the same without the places of the record; the row says its book, that it has no edition, and its place."""
    said = told({"job.toml": JOB, "found.toml": FOUND.replace("phases_n", "# phases_n"), "work.toml": LARGE})["reasons"]
    placed = [each for each in said if "(supplies." in each["says"]]
    assert placed
    for each in said:
        assert "(supplies." not in each["in_words"]
        assert each["in_words"] == each["says"].replace(" (supplies.main.phases_n)", "")
    (above,) = (each["row"] for each in said if each["case"] == "demand of a home above the threshold")
    assert (above["book"], above["edition"], above["place"]) == ("What network operators declare and ask", "", "greatest demand of a dwelling")
    assert above["where"] == f"network operator {above['place']}"


# ---- nothing proposed -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("found", "wants", "why"), [
    ("", "cannot tell", "no cut-out is recorded"),
    ('supplies.main = { joins = "cutout.in", earthing = "TN-S" }\nequipment.cutout = { kind = "cut-out", fuse_a = { unknown = "not seen" } }\n', "cannot tell", "not seen"),
    ('supplies.main = { joins = "cutout.in", earthing = "TN-S" }\nequipment.cutout = { kind = "cut-out", fuse_a = { marked = 80 } }\n', "cannot tell", "no circuit is recorded"),
    ('supplies.main = { joins = "cutout.in", earthing = "TN-S" }\nequipment.cutout = { kind = "cut-out", fuse_a = { marked = 80 } }\nequipment.board = { kind = "board", ways_n = 2 }\n'
     'circuits.cooker = { way = "board.1", feeds = "cooker", load_w = 8050 }\n', "cannot tell", "nobody said what way 2 feeds")])
def test_of_an_empty_job_nothing_can_be_told(found: str, wants: str, why: str) -> None:
    """No work and no home on record is no word that nothing has to be asked; a home that is known and left as it is asks nothing."""
    files = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": found}
    said = told(files)
    assert (said["wants"], said["left"]) == (wants, wants)
    assert "cannot be told yet" in said["means"]
    assert [why in each["says"] for each in said["reasons"] if each["about"] == "demand"] == [True]
