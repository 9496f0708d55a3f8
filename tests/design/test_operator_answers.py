"""Answers on file of a network operator: whose counts, of which day, about what, how far, and which of several."""
from __future__ import annotations

import random
from typing import Any

import pytest

from spareway.api_operator import told
from spareway.design.design import Design
from spareway.design.operator import OperatorDesign
from spareway.job.job import read_job
from tests.design.test_operator import FOUND, HEATER, JOB, KNOWN, LARGE, OPERATORS, SOURCE, of

REPLY = '[replies.more]\nabout = "the heaters"\nby = "operator-south"\nref = "S-9"\non = 2026-09-01\n%s\n'


@pytest.mark.parametrize(("said", "left"), [
    ('answers = ["demand"]\nallows = true\nagreed_a = 62', "neither"), ('answers = ["demand"]\nallows = true\nagreed_a = 61', "apply"),
    ('answers = ["demand"]\nallows = true', "neither"), ('answers = ["demand"]\nallows = false', "apply"), ('answers = ["demand"]', "apply"),
    ('answers = ["tails"]\nallows = true', "apply"), ('answers = ["demand"]\nallows = true\nuntil = 2026-08-31', "apply"),
    ('answers = ["demand"]\nallows = true\nuntil = 2026-09-01', "neither")])
def test_an_answer_settles_what_it_answers_and_no_more(said: str, left: str) -> None:
    """61.7 A by the book: a yes for less, for another thing, from before, or none at all leaves it as it was."""
    asked = of(HEATER % 1500, REPLY % said)
    assert (asked.wants, asked.left) == ("apply", left)
    assert [r.reply.name if r.reply else "" for r in asked.reasons if r.topic == "demand"] == ["more" if left == "neither" else ""]


def test_an_answer_of_another_operator_settles_nothing() -> None:
    yes = (REPLY % 'answers = ["demand"]\nallows = true').replace("operator-south", "operator-east")
    assert of(HEATER % 1500, yes).left == "apply"


@pytest.mark.parametrize(("about", "tail_m", "left"), [("runs.feed-3", "", "ask"), ("IN9 runs.feed-3", "tail_m = 9", "neither"),
                                                       ("runs.feed-3", "tail_m = 8", "ask"), ("equipment.unit", "", "ask")])
def test_an_answer_about_long_tails(about: str, tail_m: str, left: str) -> None:
    """0.5 + 8.2 m; found by the run it is about, up to the length it names. A yes about one of two runs is about that one."""
    yes = f'[replies.long]\nabout = "{about}"\nby = "operator-south"\non = 2026-09-01\nallows = true\n{tail_m}\n'
    assert of(HEATER % 750 + "runs.feed-3.length_m = 8.2\n", yes).left == left


@pytest.mark.parametrize(("about", "figure", "left"), [
    ("equipment.radiator", "", "apply"), ("equipment.radiator", "agreed_a = 62", "neither"), ("equipment.heater-2", "", "apply"),
    ("OP2 equipment.heater-2", "", "apply"), ("heater-2", "", "apply"), ("the heater-2", "", "apply"), ("circuits.warm-2", "", "apply"),
    ("circuits.warm-2", "agreed_a = 61", "apply"), ("supplies.main", "", "neither"), ("equipment.cutout", "", "neither"), ("cutout", "", "neither"),
    ("equipment.gone", "", "apply"), ("circuits.oven", "", "apply"), ("what we asked for", "", "neither")])
def test_an_answer_about_another_thing_settles_this_one_by_its_figure_alone(about: str, figure: str, left: str) -> None:
    """A yes to a heater, old or new, says nothing of the demand of the home; one to so many amperes is about all of it."""
    yes = f'[replies.one]\nabout = "{about}"\nanswers = ["demand"]\nby = "operator-south"\non = 2026-09-01\nallows = true\n{figure}\n'
    assert of(HEATER % 1500, yes).left == left


def test_an_answer_about_other_tails_settles_nothing() -> None:
    """Not even one to a greater length."""
    yes = '[replies.long]\nabout = "runs.feed-1"\nanswers = ["tails"]\nby = "operator-south"\non = 2026-09-01\nallows = true\ntail_m = 20\n'
    assert of(HEATER % 750 + "runs.feed-3.length_m = 8.2\n", yes).left == "ask"
    assert of(HEATER % 750 + "runs.feed-3.length_m = 8.2\n", yes.replace("runs.feed-1", "all of them")).left == "neither"


def test_a_fuse_that_was_not_read_is_not_settled_by_a_raise_to_come() -> None:
    yes = REPLY % 'answers = ["service fuse"]\nallows = true\nraised_fuse_a = 80'
    assert of(HEATER % 750 + "equipment.cutout.fuse_a = { told = 60 }\n", yes).left == "ask"
    assert of(HEATER % 750 + "equipment.cutout.fuse_a = { marked = 45 }\n", yes).left == "neither"


def test_what_was_told_afterwards_is_done() -> None:
    """An enquiry on record is no answer, but it is what telling consists of."""
    told_of = 'dates.work = "2026-09-10"\ndates.test = "2026-09-12"\n[enquiries.told]\nasks = ["sources"]\nto = "operator-south"\nby = "surveyor"\n' \
        "on = 2026-09-12\n"
    asked = of(SOURCE % ("solar-inverter", "16"), told_of)
    assert (asked.wants, asked.left) == ("notify", "neither")
    assert of(SOURCE % ("solar-inverter", "17"), told_of).left == "apply"
    unsaid = of(SOURCE % ("solar-inverter", "16"), told_of.replace('dates.work = "2026-09-10"\n', ""))
    assert (unsaid.left, unsaid.reasons[0].doubts) == ("notify", (
        "enquiry told: it is of 2026-09-12; whether that was after the work is not known, its day is not recorded",))
    assert of(SOURCE % ("solar-inverter", "16"), told_of.replace("operator-south", "operator-east")).left == "notify"


SAID = '[replies.%s]\nabout = "%s"\nby = "%s"\n%s\n'
BIG_SUN = SOURCE % ("solar-inverter", "17")


def said(name: str = "one", about: str = "supplies.main", by: str = "operator-south", on: str = "2026-09-01", **rest: str) -> str:
    """A reply; `on` empty where no day is recorded of it."""
    fields = ({"on": on} if on else {}) | {"allows": "true"} | rest
    return SAID % (name, about, by, "\n".join(f"{key} = {value}" for key, value in fields.items()))


@pytest.mark.parametrize(("about", "fields", "left"), [
    ("equipment.heater-2", {}, "apply"), ("equipment.heater-2", {"answers": '["tails"]'}, "apply"), ("circuits.warm-2", {}, "apply"),
    ("supplies.main", {}, "apply"), ("supplies.main", {"answers": '["tails"]'}, "apply"), ("supplies.main", {"answers": '["demand"]'}, "neither"),
    ("equipment.heater-2", {"agreed_a": "62"}, "neither"), ("equipment.heater-2", {"agreed_a": "61"}, "apply"),
    ("equipment.heater-2", {"agreed_a": "62", "answers": '["tails"]'}, "apply")])
def test_a_yes_about_one_small_part_is_none_about_the_home(about: str, fields: dict[str, str], left: str) -> None:
    """61.7 A by the book. What it answers has to hold demand; and without amperes it has to be about the home."""
    assert of(LARGE, said(about=about, **fields)).left == left


@pytest.mark.parametrize(("answers", "left"), [('["tails"]', "ask"), ('["service fuse"]', "neither"), ('["demand", "service fuse"]', "neither"), ("[]", "ask")])
def test_a_yes_about_tails_says_nothing_of_a_fuse_that_is_not_known(answers: str, left: str) -> None:
    assert of(HEATER % 750 + "equipment.cutout.fuse_a = { told = 60 }\n", said(answers=answers)).left == left


def test_a_demand_above_the_fuse_is_settled_by_amperes_alone() -> None:
    """58.5 A behind 45 A: a yes about the fuse that names none leaves open how much it lets through."""
    small = HEATER % 750 + "equipment.cutout.fuse_a = { marked = 45 }\n"
    assert of(small, said(answers='["service fuse"]')).left == "apply"
    assert of(small, said(answers='["service fuse"]', raised_fuse_a="60")).left == "neither"
    assert of(small, said(answers='["service fuse"]', raised_fuse_a="50")).left == "apply"


TWO = SOURCE % ("solar-inverter", "11") + 'circuits.cells = { way = "unit.7" }\nequipment.store = { kind = "battery-inverter%s", rating_a = 5.5, on = "cells" }\n'


@pytest.mark.parametrize(("about", "fields", "left"), [
    ("equipment.roof", {}, "apply"), ("equipment.roof", {"answers": '["sources"]'}, "apply"), ("equipment.roof", {"agreed_sources_a": "17"}, "neither"),
    ("supplies.main", {"answers": '["sources"]'}, "neither"), ("supplies.main", {"agreed_sources_a": "16"}, "apply")])
def test_a_yes_about_one_of_two_sources_is_about_that_one(about: str, fields: dict[str, str], left: str) -> None:
    """11 + 5.5 A."""
    assert of(TWO % "", said(about=about, **fields)).left == left


def test_a_source_alone_is_settled_at_its_address_and_its_back_up_apart() -> None:
    """What keeps a part live by itself is asked of the very thing: amperes of another say nothing of that."""
    assert of(BIG_SUN, said(about="equipment.roof")).left == "neither"
    assert of(TWO % "-backup", said(about="equipment.roof", agreed_sources_a="20")).left == "apply"
    assert of(TWO % "-backup", said(about="equipment.store", agreed_sources_a="20")).left == "neither"


@pytest.mark.parametrize(("reply", "why"), [
    (said(by="owner", answers='["demand"]'), "one: owner is not the recorded operator, operator-south"),
    (said(on="", answers='["demand"]'), "one: on which day it was said is not recorded"),
    (said(on="2026-09-02", answers='["demand"]'), "one: it is of 2026-09-02, after the job's latest day, 2026-09-01"),
    (said(until="2026-08-31", answers='["demand"]'), "one: it held until 2026-08-31"),
    (said(allows="false", answers='["demand"]'), "one: the answer was no"),
    (said(allows='{ unknown = "they look again" }', answers='["demand"]'), "one: neither yes nor no is recorded of it")])
def test_whose_and_of_which_day_an_answer_has_to_be(reply: str, why: str) -> None:
    """Each settles nothing, and says why; the same from the operator, of a day, does."""
    asked = of(LARGE, reply)
    assert (asked.left, next(r.doubts for r in asked.reasons if r.topic == "demand")) == ("apply", (why,))
    assert of(LARGE, said(answers='["demand"]')).left == "neither"


def test_an_enquiry_needs_a_day_of_the_job_to_be_held_against() -> None:
    """Without one nobody can tell whether it was made at all by then."""
    asks = '[enquiries.told]\nasks = ["sources"]\nto = "operator-south"\nby = "surveyor"\non = 2026-08-21\n'
    for job, doubts in ((JOB, ()), (JOB.replace('dates.survey = "2026-09-01"\n', ""), ("enquiry told: it is of 2026-08-21, and the job names no day to hold it against",))):
        read = read_job({"job.toml": job + asks, "found.toml": FOUND, "work.toml": BIG_SUN})
        assert OperatorDesign(Design(read.at()), known=KNOWN).reasons[0].doubts == doubts


def test_nobodys_yes_counts_while_the_operator_is_not_recorded() -> None:
    nobody = LARGE + 'supplies.main.operator = { unknown = "no bill seen" }\n'
    for by in ("operator-south", "owner"):
        asked = of(nobody, said(by=by, answers='["demand"]'))
        assert asked.left == "apply"
        assert "whose network it is is not recorded" in asked.reasons[0].doubts[0]
    told_of = 'dates.work = "2026-08-20"\n[enquiries.told]\nasks = ["sources"]\nto = "operator-south"\nby = "surveyor"\non = 2026-08-21\n'
    assert of(SOURCE % ("solar-inverter", "16"), told_of).left == "neither"
    assert of(SOURCE % ("solar-inverter", "16") + 'supplies.main.operator = { unknown = "no bill seen" }\n', told_of).left == "notify"


@pytest.mark.parametrize(("first", "second", "left"), [
    (said("a", on="2026-08-01", answers='["sources"]'), said("b", on="2026-08-20", answers='["sources"]', allows="false"), "apply"),
    (said("b", on="2026-08-20", answers='["sources"]', allows="false"), said("a", on="2026-08-01", answers='["sources"]'), "apply"),
    (said("a", on="2026-08-20", answers='["sources"]'), said("b", on="2026-08-01", answers='["sources"]', allows="false"), "neither"),
    (said("a", answers='["sources"]'), said("b", answers='["sources"]', allows="false"), "apply"),
    (said("a", answers='["sources"]'), said("b", on="", answers='["sources"]', allows="false"), "apply"),
    (said("a", answers='["sources"]'), said("b", on="2026-09-09", answers='["sources"]', allows="false"), "apply"),
    (said("a", on="2026-08-01", answers='["sources"]'), said("b", about="equipment.roof", allows="false"), "apply"),
    (said("a", on="2026-08-01", agreed_sources_a="20"), said("b", agreed_sources_a="16"), "apply"),
    (said("a", on="2026-08-01", agreed_sources_a="16"), said("b", agreed_sources_a="20"), "neither"),
    (said("a", on="2026-08-01", answers='["sources"]'), said("b", on="2026-08-20", answers='["sources"]', until="2026-08-25"), "apply"),
    (said("a", on="2026-08-01", answers='["sources"]'), said("b", on="2026-08-20", answers='["sources"]', until="2026-08-25", allows="false"), "apply"),
    (said("a", on="2026-08-01", answers='["sources"]'), said("b", answers='["sources"]', allows='{ unknown = "they look again" }'), "apply"),
    (said("a", on="2026-08-01", answers='["sources"]'), said("b", by="owner", answers='["sources"]', allows="false"), "neither")])
def test_the_latest_answer_governs(first: str, second: str, left: str) -> None:
    """In whichever order they stand on file; a yes and a no of one day, or a no whose day nobody knows, settle nothing."""
    assert of(BIG_SUN, first + second).left == left == of(BIG_SUN, second + first).left


def test_an_answer_holds_against_nothing_where_the_job_names_no_day() -> None:
    """With a last day or without; and leave to open the fuse has to have a day to hold against too."""
    for until in ({}, {"until": "2026-12-01"}):
        job = 'schema = 1\nbooks.bs7671 = "2018+A4"\n' + said(answers='["demand"]', **until) + \
            '[permissions.pull]\npart = "cutout.fuse"\nby = "operator-south"\nref = "S-1"\nuntil = 2026-09-02\n'
        asked = OperatorDesign(Design(read_job({"job.toml": job, "found.toml": FOUND, "work.toml": LARGE + "runs.feed-2.size_mm2 = 25\n"}).at()), known=KNOWN)
        assert (asked.left, asked.leave, asked.live_at_work) == ("apply", (), ("arrester",))
        assert asked.reasons[0].doubts == ("one: the job names no day to hold it against",)


def by_hand(replies: list[dict[str, Any]]) -> str:
    """Whether 17 A on the roof is settled, a second way: the file read from its last day backwards, a page of ifs and no table of ours."""
    on_topic = [r for r in replies if r["by"] == "operator-south" and "demand" not in r["answers"]]
    noes = [r for r in on_topic if r["allows"] == "false" and (r["about"] == "roof" or r["about"] == "home" and r["answers"])]
    if any(r["on"] is None for r in noes):
        return "apply"
    for day in range(20, 0, -1):
        if any(r["on"] == day for r in noes):
            return "apply"
        if day > 10:
            continue                                           # of after the job: a yes of that day is none yet
        yes = [r for r in on_topic if r["allows"] == "true" and r["on"] == day and (r["about"] == "roof" or r["amps"] or r["about"] == "home" and r["answers"])]
        if yes:
            return "neither" if all((r["until"] is None or r["until"] >= 10) and (r["amps"] is None or r["amps"] >= 17) for r in yes) else "apply"
    return "apply"


def test_a_hundred_files_of_answers_at_random_are_read_as_by_hand() -> None:
    """One to four answers about a roof of 17 A on a job of the 10th: whose, when, until when, about what, how far."""
    by_seed, met = random.Random(28), {"apply": 0, "neither": 0}
    for _ in range(100):
        replies = [{"by": by_seed.choice(("operator-south", "operator-south", "operator-south", "owner")), "allows": by_seed.choice(("true", "true", "true", "false")),
                    "on": by_seed.choice((*range(4, 11), 8, 9, 12, None)), "until": by_seed.choice((None, None, 9, 10, 15)), "about": by_seed.choice(("roof", "home", "radiator")),
                    "answers": by_seed.choice(("", '"sources"', '"sources"', '"demand"', '"sources", "tails"')), "amps": by_seed.choice((None, None, 16, 17, 20))}
                   for _ in range(by_seed.choice((1, 2, 3, 4)))]
        where = {"roof": "equipment.roof", "home": "supplies.main", "radiator": "equipment.radiator"}
        file = "".join(said(f"r{n}", where[r["about"]], r["by"], f"2026-08-{r['on']:02}" if r["on"] else "", allows=r["allows"], answers=f"[{r['answers']}]",
                            **({"until": f"2026-08-{r['until']:02}"} if r["until"] else {}), **({"agreed_sources_a": str(r["amps"])} if r["amps"] else {}))
                       for n, r in enumerate(replies))
        read = read_job({"job.toml": JOB.replace("2026-09-01", "2026-08-10") + file, "found.toml": FOUND, "work.toml": BIG_SUN})
        left = OperatorDesign(Design(read.at()), known=KNOWN).left
        assert left == by_hand(replies), file
        met[left] += 1
    assert min(met.values()) >= 20, met


# ---- as plain data ------------------------------------------------------------------------------------------------------
def test_told_holds_what_was_asked_and_answered() -> None:
    job = JOB + 'dates.design = "2026-09-02"\n' + REPLY % 'answers = ["demand"]\nallows = true\nagreed_a = 80\nsays = "80 A agreed"' + \
        '[enquiries.more]\nasks = ["demand"]\nto = "operator-south"\nby = "surveyor"\non = 2026-09-02\n'
    said = told({"job.toml": job, "found.toml": FOUND, "work.toml": HEATER % 1500}, operators=("operators.toml", OPERATORS))
    first = said["reasons"][0]
    assert (said["wants"], said["left"], first["open"]) == ("apply", "neither", False)
    assert (first["reply"]["ref"], first["reply"]["says"], first["asked"]["by"], first["asked"]["on"]) == ("S-9", "80 A agreed", "surveyor", "2026-09-02")


def test_told_says_of_an_answer_why_it_settles_nothing_and_no_term_that_is_assumed() -> None:
    """A refusal, one of the owner's, leave that has nothing to hold against: the document agrees with the rules."""
    job = said("no", answers='["demand"]', allows="false") + said("ours", by="owner", answers='["demand"]') + \
        '[operators.operator-south]\nasked = 2026-05-11\nseals = { assumed = "its own people" }\napply_above_a = { assumed = 200 }\n' \
        '[permissions.pull]\npart = "cutout.fuse"\nby = "owner"\nref = "S-1"\nuntil = 2026-09-02\n'
    whole = told({"job.toml": JOB + job, "found.toml": FOUND, "work.toml": LARGE + "runs.feed-2.size_mm2 = 25\n"})
    assert whole["reasons"][0]["doubts"] == ["no: the answer was no", "ours: owner is not the recorded operator, operator-south"]
    assert (whole["left"], whole["supply_off"]["leave"], whole["supply_off"]["things"]) == ("apply", [], ["arrester"])
    assert (whole["supply_off"]["who"]["amount"], whole["operator"]["threshold_a"]["amount"]) == (None, 60)
    assert [each["amount"] for each in whole["operator"]["wants"]] == [None] * 6
    assert any("is assumed, and not what the operator said" in each["note"] for each in whole["operator"]["wants"])
