"""The letter to the operator: one page, every figure with its method, what is not known said so, nothing that may not stand there."""
from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest

from spareway.api import paper
from spareway.design.design import Design
from spareway.design.operator import MEANS
from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.papers.letter import OFF, QUESTIONS
from spareway.press.typst import typeset as pressed
from tests.papers.fields import FREE
from tests.papers.fields import job as strange
from tests.papers.made import reader, texts, words
from tests.papers.never import found_in, printed
from tests.papers.overlays import overlays
from tests.papers.quick import filled, of, typeset
from tests.papers.test_report import SPECIMEN

HOME = (Path(__file__).parents[1] / "design" / "asked_home.toml").read_text("utf-8")
JOB = 'schema = 1\nsays = "a home that asks"\nbooks.bs7671 = "2018+A4"\nnation = "England"\ndates.survey = "2026-09-01"\n'
WORK = """circuits.warm-2 = { way = "unit.5", device = { kind = "mcb", curve = "B", rating_a = 16 } }
equipment.heater-2 = { kind = "panel-heater", on = "warm-2", stamped_w = 1500, stamped_v = 230 }
"""
KEY = "Under a number: measured, or two sources; one source, or read on it; worked out, or told; from memory, or assumed."
ALL = [("weir-cottage", "proposed"), ("ridge-annexe", "proposed")]


def home(work: str = WORK, job: str = "") -> dict[str, str]:
    return {"job.toml": JOB + job, "found.toml": HOME, "work.toml": work}


def letter(files: dict[str, str]) -> dict[str, Any]:
    return filled("operator-letter", files)


def text_of(row: Any) -> str:
    return row["a"] if isinstance(row["a"], str) else "".join(piece["t"] for piece in row["a"])


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_one_page_and_nothing_that_may_not_stand_there(name: str, stage: str) -> None:
    """Set in type: one page, its cautions, places for a hand, no name of a person."""
    made = typeset("operator-letter", texts(name), stage)
    text = words(made)
    assert len(reader(made).pages) == 1
    assert found_in(text) == []
    for owed in ("Prove dead at the point of work, every time.", "draft, not sent", "Signature, date", "Supply number, as on the bill", "Book demand, not load",
                 "a competent, licensed person decide.", "page 1 of 1", KEY):
        assert owed in text, owed
    people = {p.called for p in read_job(texts(name)).people.people.values() if p.called}
    assert people
    assert [each for each in people if each in text] == []


def test_the_worst_job_we_can_think_of_still_stands_on_one_page() -> None:
    """Everything asked at once, long names, eight enquiries and answers, every kind of load and source."""
    loads = "".join(f'circuits.c{n} = {{ way = "unit.{n}", feeds = "{what}", load_w = {n * 300} }}\n' for n, what in enumerate(
        ("towel-rail", "immersion", "water-heater", "shower", "storage-heater", "resistive-heater", "appliance", "charge-point"), 5))
    more = ('equipment.cutout.damage = "cracked"\nequipment.meter.seal = "missing"\nsupplies.main.looped = true\nsupplies.main.phases_n = 3\n'
            'supplies.main.operator = "the-network-operator-of-a-district-with-a-very-long-name"\nruns.feed-3.length_m = { unknown = "goes through two walls" }\n'
            'equipment.cells = { kind = "battery-inverter-backup", rating_a = 22, on = "s1" }\nequipment.roof = { kind = "solar-inverter", on = "s2" }\n'
            'circuits.s1 = { way = "unit.12" }\ncircuits.s2 = { way = "unit.12" }\n')
    said = "".join(f'[enquiries.e{n}]\nasks = ["demand", "tails"]\nto = "another operator {n}"\nby = "whoever surveyed the house"\non = 2026-09-0{n + 1}\nref = "Q-{n}"\n'
                   f'[replies.r{n}]\nabout = "x"\nanswers = ["demand"]\nby = "another operator {n}"\non = 2026-09-1{n}\n' for n in range(4))
    files = home(WORK + loads.replace('"unit.5"', '"unit.12"') + more, said)
    facts = letter(files)
    assert len(facts["reasons"]) >= 8
    assert len(facts["loads"]) >= 11
    assert len(reader(typeset("operator-letter", files)).pages) == 1


def test_what_it_says_of_a_home_worked_by_hand() -> None:
    """32 + 10.91 + 4000 / 230 + 1.43 = 61.7 A by the book; each figure with its method, the one without a log not known."""
    facts = letter(home())
    assert (facts["to"], facts["head"]) == ("To operator-south", "Application, before anything is ordered")
    assert [(r["wants"], r["says"], r["row"]) for r in facts["reasons"]] == [
        ("apply", "by the book 61.7 A, above 60 A; recorded: no log of the current at the intake is recorded",
         "greatest demand of a dwelling; 60 A: new greatest demand of a dwelling: apply first")]
    assert facts["questions"] == [QUESTIONS["demand"]]
    figures = [(row["q"], text_of(row)) for row in facts["demand"]]
    # connected: 4000 / 230 + 3000 / 230 + 45 / 230; heaters as heating and power: 10 + (17.39 - 10) / 2
    assert figures == [("By the book", "61.7 A"), ("By the book", "58.0 A"), ("Connected", "30.6 A"), ("Lasting", "17.4 A"), ("Recorded", "not known")]
    assert all(row["how"] for row in facts["demand"])
    assert {row["q"]: text_of(row) for row in facts["loads"]} == {
        "5 × lamp": "45 W, 0.196 A", "1 × cooker": "3000 W, 13.0 A", "2 × panel heater": "4000 W, 17.4 A; new: 1, 1500 W",
        "1 × circuit of socket outlets": "what is plugged in is not recorded"}
    service = {row["q"]: (text_of(row), row["how"]) for row in facts["service"]}
    assert service["Service fuse as read"] == ("60 A, BS 1361 type II", "read on it. Its carrier says 100 A, which proves nothing.")
    assert service["Earth fault loop outside"] == ("0.3 Ω", "measured, declared 0.8 Ω")
    assert service["Tails to unit"][0] == "25 mm², 0.5 m; 25 mm², 2 m"
    assert text_of(facts["who"][0]) == "nobody is recorded to have asked before this letter"


def test_loads_by_kind() -> None:
    """Weir, as the scenario has it: ten heaters of 12.75 kW, all new; a surge device in a way is no load."""
    rows = {row["q"]: text_of(row) for row in filled("operator-letter", texts("weir-cottage"))["loads"]}
    assert rows == {"18 × lamp": "not known", "1 × immersion": "3000 W, 13.0 A", "1 × cooker": "9200 W, 40 A",
                    "10 × panel heater": "12750 W, 55.4 A; new: 10, 12750 W", "2 × circuits of socket outlets": "what is plugged in is not recorded"}
    unsaid = letter(home(WORK + 'circuits.more = { way = "unit.7" }\nequipment.stray = { kind = "shower", stamped_w = 7000 }\n'))["loads"]
    assert {row["q"]: text_of(row) for row in unsaid if row["q"][4:] in ("shower", "circuit of unknown use")} == {
        "1 × shower": "not known; new: 1, not known", "1 × circuit of unknown use": "not known; new: 1"}


def test_lamps_that_nobody_counted_are_not_one_lamp() -> None:
    """A circuit of lights of which only the power is known; two of them; what the work adds of such is told by its power."""
    lights = 'circuits.lights-2 = { way = "unit.7", feeds = "lights", load_w = 90 }\n'
    more = lights.replace("lights-2", "lights-3").replace("unit.7", "unit.8")
    one, two = ({row["q"]: text_of(row) for row in letter(home(work))["loads"]} for work in (lights, lights + more))
    assert one["5 × lamp"] == two["5 × lamp"] == "45 W, 0.196 A"
    assert one["lamps, number not known"] == "90 W, 0.391 A; new: 90 W"
    book = next(text_of(row) for row in letter(home(WORK + lights))["demand"] if row["q"] == "By the book")
    assert book == "at least 61.7 A", "61.7 A as worked by hand below, and lamps that nobody counted"
    assert two["lamps in 2 places, number not known"] == "180 W, 0.783 A; new: 180 W"


def test_what_the_firm_keeps_of_operators_reaches_the_letter() -> None:
    """With its file the letter says the terms, and asks as `demand` does; the job's own copy comes before; the file lies in the paper."""
    firms = ("ours.toml", '[operators.operator-south]\nasked = 2026-05-11\nref = "T-9"\ntail_m = 2\n')
    said = [paper("operator-letter", home(), operators=each)["facts"]["terms"] for each in (None, firms)]
    assert said[0] == "Your own terms are not on our record: please send them."
    assert said[1].startswith("Your terms, as said on 11 May 2026 (T-9): ")
    own = paper("operator-letter", home(job='[operators.operator-south]\nasked = 2026-06-02\n'), operators=firms)["facts"]["terms"]
    assert own.startswith("Your terms, as said on 2 June 2026: ")
    attached = ZipFile(BytesIO(reader(pressed("operator-letter", home(), operators=firms)).attachments["job.zip"][0]))
    assert attached.read("laid-over/1-ours.toml").decode() == firms[1]


def test_what_is_not_known_is_said_to_be_so() -> None:
    """Fuse, loop, earthing, loop to a neighbour: each stands as not known with why, and is asked about."""
    gaps = WORK + 'equipment.cutout.fuse_a = { unknown = "sealed" }\nsupplies.main.ze_ohm = { unknown = "no leave" }\n' \
        'supplies.main.looped = { unknown = "behind a board" }\nsupplies.main.earthing = { unknown = "no terminal" }\nsupplies.main.operator = { unknown = "x" }\n'
    facts = letter(home(gaps))
    rows = {row["q"]: (text_of(row), row["how"]) for row in facts["service"]}
    assert rows["Service fuse as read"][0].startswith("not known")
    assert rows["Earth fault loop outside"] == ("not known", "no leave")
    assert rows["Loops on to a neighbour"] == ("not known", "behind a board")
    assert rows["Earthing"] == ("not known", "no terminal")
    assert facts["to"] == "To the network operator; which one is not recorded"
    assert facts["questions"] == [QUESTIONS[t] for t in ("demand", "service fuse", "looped service", "earthing")]
    assert [r for r in facts["reasons"] if "supplies." in r["says"] or "equipment." in r["says"]] == [], "no address of our record"


def test_who_asked_and_what_was_answered() -> None:
    said = 'dates.design = "2026-09-20"\n[enquiries.more]\nasks = ["demand", "tails"]\nto = "operator-south"\nby = "surveyor"\non = 2026-09-02\nref = "Q-1"\n' \
        '[replies.more]\nabout = "the heater"\nanswers = ["demand"]\nby = "operator-south"\nref = "Q-1a"\non = 2026-09-20\nallows = true\nagreed_a = 70\n'
    facts = letter(home(job=said))
    assert [(row["q"], text_of(row), row["how"]) for row in facts["who"]] == [
        ("Asked", "demand and tails, of operator-south", "by surveyor, 2 September 2026, reference Q-1"),
        ("Answered", "demand: yes", "by operator-south, 20 September 2026, reference Q-1a")]
    assert facts["reasons"][0]["settled"] == "answered by operator-south, reference Q-1a, 20 September 2026"
    assert (facts["questions"], facts["head"]) == ([], "For your records: the record asks nothing of you")


SUN = 'circuits.sun = { way = "unit.6" }\nequipment.roof = { kind = "solar-inverter", rating_a = 17, on = "sun" }\n'


def answered(*replies: str, work: str = SUN) -> list[tuple[str, str]]:
    """What the letter prints of the operator's answers, each reply given without its name."""
    said = "".join(f'[replies.r{n}]\nby = "operator-south"\n{reply}\n' for n, reply in enumerate(replies))
    return [(text_of(row), row["how"]) for row in letter(home(work, said))["who"] if row["q"] == "Answered"]


def test_of_two_answers_the_letter_prints_the_later() -> None:
    """In either order on file; with two of one day it says that nobody knows which is the later."""
    yes, no = 'about = "the roof"\nanswers = ["sources"]\non = 2026-08-01\nallows = true', 'about = "equipment.roof"\non = 2026-08-20\nallows = false'
    later = [("sources: no", "by operator-south, 20 August 2026")]
    assert answered(yes, no) == later == answered(no, yes)
    assert answered(yes.replace("08-01", "08-21"), no) == [("sources: yes", "by operator-south, 21 August 2026")]
    both = [text for text, _ in answered(yes, no.replace("08-20", "08-01"))]
    assert both == [f"sources (yes and no, and which is the later is not recorded): {word}" for word in ("yes", "no")]
    files = home(SUN, f'[replies.a]\nby = "operator-south"\n{yes}\n[replies.b]\nby = "operator-south"\n{no}\n')
    assert [r["settled"] for r in letter(files)["reasons"] if r["topic"] == "sources"] == [""]
    assert QUESTIONS["sources"] in letter(files)["questions"]


def test_a_refusal_that_says_not_what_it_answers_is_in_the_letter() -> None:
    assert answered('about = "equipment.roof"\non = 2026-08-20\nallows = false') == [("sources: no", "by operator-south, 20 August 2026")]
    assert answered('about = "what we asked"\non = 2026-08-20\nallows = false') == [("to what is not recorded: no", "by operator-south, 20 August 2026")]
    assert answered('about = "what we asked"\non = 2026-08-20\nallows = true') == []


def test_each_topic_of_an_answer_has_its_own_latest() -> None:
    """A yes to demand and tails, then a no to the tails; neither of them is wanted of this work."""
    first = 'about = "supplies.main"\nanswers = ["demand", "tails"]\non = 2026-08-01\nallows = true'
    then = 'about = "supplies.main"\nanswers = ["tails"]\non = 2026-08-20\nallows = false'
    assert [text for text, _ in answered(first, then)] == ["demand: yes", "tails: no"]


def test_what_others_answered_is_not_told_as_the_operators() -> None:
    assert answered('about = "x"\nanswers = ["sources"]\nallows = true'.replace("about", 'on = 2026-08-01\nabout')) == [
        ("sources: yes", "by operator-south, 1 August 2026")]
    said = '[replies.a]\nabout = "x"\nanswers = ["sources"]\nby = "owner"\non = 2026-08-01\nallows = true\n'
    assert [row["q"] for row in letter(home(SUN, said))["who"]] == ["Asked"]
    nobody = letter(home(SUN + 'supplies.main.operator = { unknown = "x" }\n', said))["who"]
    assert [(row["q"], text_of(row)) for row in nobody][1:] == [("Answered", "sources: yes")]


def test_each_limit_stands_with_where_it_comes_from() -> None:
    """The operator's own term as its own, a row with its trust where that is less than confirmed, a fuse as it was read."""
    far = WORK + "runs.feed-3.length_m = 9\nequipment.cells = { kind = \"battery-inverter-backup\", rating_a = 22, on = \"s1\" }\n" \
        'circuits.s1 = { way = "unit.12" }\nsupplies.main.earthing = { unknown = "no terminal" }\nequipment.cutout.fuse_a = { marked = 45 }\n'
    rows = {(r["topic"], r["row"]) for r in letter(home(far))["reasons"]}
    assert rows == {("demand", "greatest demand of a dwelling; 60 A: new greatest demand of a dwelling: apply first"),
                    ("service fuse", "questions on charge points and heat pumps; 45 A: read on it"),
                    ("sources", "EREC G99; 16 A: EREC G98: up to this a phase, notify"), ("sources", "EREC G99, one source"),
                    ("tails", "tails behind its fuse alone; 3 m: usual condition for tails"),
                    ("earthing, phases, meter", "ESQCR 2002, regulation 28, from memory")}
    own = letter(home(far, '[operators.operator-south]\nasked = 2026-05-11\ntail_m = 6\napply_above_a = 50\n'))["reasons"]
    assert [r["row"] for r in own if r["topic"] == "tails"] == ["tails behind its fuse alone; 6 m: as you said"]
    assert "greatest demand of a dwelling; 50 A: as you said" in [r["row"] for r in own]


def test_of_its_equipment_it_asks_about_what_is_noted_or_what_nobody_looked_at() -> None:
    """As the report to the operator of the same day says that something is noted, or that nothing is."""
    asks = {"browned": ["repair"], "none": []}
    for damage, topics in asks.items():
        files = home(WORK + f'equipment.cutout.damage = "{damage}"\n')
        assert [q for q in letter(files)["questions"] if q in (QUESTIONS["repair"], QUESTIONS["not looked at"])] == [QUESTIONS[t] for t in topics]
        assert ("Nothing is noted" in filled("operator-report", files)["head"]) == (topics == [])
    gap = home(WORK + 'equipment.cutout.damage = { unknown = "behind a panel" }\n')
    assert QUESTIONS["repair"] not in letter(gap)["questions"]
    assert QUESTIONS["not looked at"] in letter(gap)["questions"]
    assert filled("operator-report", gap)["head"] == "Nothing is noted of your equipment, by the record"
    both = home(WORK + 'equipment.cutout.damage = { unknown = "behind a panel" }\nequipment.meter.seal = "missing"\n')
    assert {QUESTIONS["repair"], QUESTIONS["not looked at"]} <= {*letter(both)["questions"]}


TO_US = re.compile(r"(?:^|[:;,.] |or )(?:then )?(?:look|ask|read|measure|note|record|write|choose|list|file|tell)\b(?! us| on it)", re.I)


def to_us(facts: dict[str, Any]) -> list[str]:
    """Each line of the letter that says what to do, besides what it asks of its reader by a question."""
    reasons = [{key: text for key, text in each.items() if key != "wants"} for each in facts["reasons"]]
    lines = [*printed([reasons, *(facts[key] for key in ("nothing", "service", "demand", "loads", "sources", "who"))])]
    return [line for line in lines if TO_US.search(line)]


def test_what_we_tell_ourselves_is_not_told_to_the_operator() -> None:
    """It is addressed to it: no line of it says to ask the network operator, or to look. Nor does it say as its terms what we assume."""
    gaps = "".join(f'{at} = {{ unknown = "x" }}\n' for at in ("equipment.cutout.damage", "equipment.cutout.fuse_a", "supplies.main.looped",
                                                              "supplies.main.earthing", "supplies.main.phases_n", "runs.feed-3.length_m"))
    assert to_us({**letter(home()), "nothing": ["not recorded: look, or ask"]}) == ["not recorded: look, or ask"]
    for work in (WORK, SUN, WORK + "supplies.main.looped = true\n", WORK + gaps):
        facts = letter(home(work))
        assert not any(each in str(facts) for each in MEANS.values())
        assert to_us(facts) == []
    terms = letter(home(job='[operators.operator-south]\nasked = 2026-05-11\ntail_m = { assumed = 20 }\nseals = { assumed = "its own people" }\nlooped = "ask first"\n'))["terms"]
    assert terms == "Your terms, as said on 11 May 2026: what the operator wants of a looped service: ask first."


def test_a_surge_device_in_a_way_is_no_load() -> None:
    surge = 'circuits.guard = { way = "unit.7", device = { kind = "surge-in-way", surge_type = "2", up_kv = 1.4 } }\n'
    quiet, guarded = letter(home(WORK)), letter(home(WORK + surge))
    assert guarded["loads"] == quiet["loads"]


def test_its_terms_as_we_have_them_with_their_day() -> None:
    """So that the operator can put them right; that they are a year old is said, and so is that we have none."""
    assert letter(home())["terms"] == "Your own terms are not on our record: please send them."
    row = '[operators.operator-south]\nasked = %s\nref = "S-3"\ntail_m = 6\nlooped = "ask first"\n'
    said = "what the operator wants of a looped service: ask first; longest tails the operator accepts behind its fuse alone: 6 m."
    assert letter(home(job=row % "2025-09-01"))["terms"] == f"Your terms, as said on 1 September 2025 (S-3): {said}"
    assert letter(home(job=row % "2025-08-31"))["terms"].endswith(f"{said} That was more than a year ago: please say what holds now.")


def test_the_operators_fuse_is_asked_for_where_the_work_needs_it() -> None:
    assert OFF in letter(home(WORK + "runs.feed-2.size_mm2 = 25\n"))["questions"]
    assert OFF not in letter(home())["questions"]


def test_of_what_is_fitted_it_comes_late_and_of_nothing_it_asks_nothing() -> None:
    late = {**home(), "fitted.toml": "runs.feed-3.length_m = 2.1\n", "job.toml": JOB + 'dates.test = "2026-10-01"\n'}
    assert letter(late)["head"] == "Application, late: it is fitted by the record"
    found = {"job.toml": JOB, "found.toml": HOME}
    assert (letter(found)["reasons"], letter(found)["nothing"]) == ([], ["nothing is added or changed by the record"])
    told = letter(home('remove = ["equipment.radiator", "circuits.warmth"]\ncircuits.sun = { way = "unit.6" }\n'
                       'equipment.roof = { kind = "solar-inverter", rating_a = 16, on = "sun" }\n'))
    assert (told["head"], [text_of(row) for row in told["sources"]]) == ("Notice of what is installed", ["16 A"])
    assert [row["q"] for row in told["loads"]] == ["5 × lamp", "1 × cooker", "1 × circuit of socket outlets"], "a source is no load"


@pytest.mark.parametrize(("name", "many"), [("specimen", 12), ("granary-yard", 4)])
def test_any_job_near_it_has_its_letter(name: str, many: int) -> None:
    """Changes at random: none stops it, and none makes it say what it may not."""
    files, told = SPECIMEN if name == "specimen" else texts(name), 0
    for overlay in overlays(read_job(files).at(None).doc.data, many):
        try:
            job = read_job(files, [("overlay.toml", overlay)])
        except InputError:
            continue                                                       # no job any more
        assert found_in("\n".join(printed(of("operator-letter", job, Design(job.at()))))) == [], overlay
        told += 1
        if told == many:
            break


PRINTS = {"operator-letter": ("job.toml says", "enquiries.more.to", "enquiries.more.by", "enquiries.more.ref", "supplies.main.operator", "readings.csv by"),
          "operator-report": ("job.toml says", "supplies.main.operator"), "room-sheet": ("job.toml says",)}


@pytest.mark.parametrize("paper", PRINTS)
def test_what_a_stranger_wrote_prints_as_text_and_names_of_people_nowhere(paper: str) -> None:
    """Markup, code and a letter that no font has, in every free text of a job: each on the page is as it was written."""
    trap = '#read("house.typ") *b* $x$ </svg><b> %s {0} \\ 😀'
    said = {key: f"field{number:02}q {trap}" for number, key in enumerate(FREE)}
    files = strange(said)
    text = "".join(words(typeset(paper, files)).split())
    at = {" ".join(key) if key[1] in ("says", "by") else key[1]: f"field{number:02}q" for number, key in enumerate(FREE)}
    for key in PRINTS[paper]:
        assert f'{at[key]}#read("house.typ")*b*$x$</svg><b>%s{{0}}\\□' in text, key
    assert [key for key, mark in at.items() if key.startswith("people.") and mark in text] == []
    assert "U+1F600" in text
