"""Rules of the service chain: just below, at and above the fuse; what each has nothing to say of; what is unknown."""
from __future__ import annotations

import pytest

from spareway.bundled import text
from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.rules import rule_of
from spareway.rules.base import Finding, judge
from spareway.rules.specimen import with_example

BLOCK = ('equipment.split = {{ kind = "{kind}"{rating} }}\n'
         'runs.feed-2.joins = ["meter.out", "split.{into}"]\n'
         'runs.feed-4 = {{ joins = ["split.{out}", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }}')
LONG = 'runs.feed-3 = {{ joins = ["arrester.bottom", "unit.in"], kind = "t&e", size_mm2 = 10, cpc_mm2 = 4, length_m = {length}, method = "C" }}'


def found(code: str, subject: str, lines: str) -> Finding:
    """What one rule says of one subject of the specimen with these lines laid over it."""
    rule = rule_of(code)
    assert rule is not None
    return next(f for f in judge(with_example(lines), (rule,)) if f.subject == subject)


def block(rating: str, kind: str = "blocks", into: str = "1", out: str = "2") -> str:
    return BLOCK.format(kind=kind, rating=f", rating_a = {rating}" if rating else "", into=into, out=out)


# ---- SV1: the specimen's fuse is 60 A -------------------------------------------------------------------------------
@pytest.mark.parametrize(("rating", "verdict"), [("59", "fails"), ("60", "within"), ("61", "within"), ("", "unknown"),
                                                 ('{ unknown = "painted over" }', "unknown")])
def test_a_block_carries_the_fuse_before_it(rating: str, verdict: str) -> None:
    assert found("SV1", "equipment.split", block(rating)).verdict == verdict


@pytest.mark.parametrize(("rating", "verdict"), [("50", "fails"), ("63", "within"), ("", "unknown")])
def test_so_does_a_time_switch(rating: str, verdict: str) -> None:
    assert found("SV1", "equipment.split", block(rating, "time-switch", "in", "out")).verdict == verdict


def test_a_meter_is_judged_where_somebody_read_its_rating() -> None:
    """Unread it is its operator's to say: no finding of a check, and unknown where a raise is asked about."""
    assert found("SV1", "equipment.meter", "equipment.meter.rating_a = 50").verdict == "fails"
    assert found("SV1", "equipment.meter", "equipment.meter.rating_a = 60").verdict == "within"
    assert found("SV1", "equipment.meter", "circuits.lamps.load_w = 150").verdict == "not applicable"


def test_a_fuse_that_was_not_read_decides_nothing_of_a_block() -> None:
    assert found("SV1", "equipment.split", block("100") + "\nequipment.cutout.fuse_a = { told = 60 }").verdict == "unknown"


def test_what_no_line_leads_to_and_what_is_no_block_is_not_asked() -> None:
    assert found("SV1", "equipment.spare", 'equipment.spare = { kind = "blocks", rating_a = 10 }').verdict == "not applicable"
    assert found("SV1", "equipment.arrester", "circuits.lamps.load_w = 150").verdict == "not applicable"


# ---- SV2: at 60 A the fuse wants 0.95 × 230 / 330 = 0.662 Ω -----------------------------------------------------------
@pytest.mark.parametrize(("beyond_m", "verdict"), [(-0.01, "within"), (0.01, "advice")])
def test_the_length_at_which_the_fuse_is_too_slow(beyond_m: float, verdict: str) -> None:
    """By hand: Ze 0.3, 1.2 × (1.83 + 4.61) mΩ/m warm, by Table I1 of the On-Site Guide: 46.9 m is the last that it clears in 5 s."""
    limit_m = (0.95 * 230 / 330 - 0.3) / (1.2 * (1.83 + 4.61) / 1000)
    assert round(limit_m, 1) == 46.9
    assert found("SV2", "equipment.unit", LONG.format(length=round(limit_m + beyond_m, 3))).verdict == verdict


def test_a_long_run_of_unknown_length_is_unknown() -> None:
    assert found("SV2", "equipment.unit", LONG.format(length='{ unknown = "behind the panelling" }')).verdict == "unknown"


def test_the_fuse_of_a_long_run_is_asked_only_where_it_alone_would_open() -> None:
    """Tails without an earth of their own; an electrode; a switch-fuse at the intake; an earthing nobody knows."""
    long = LONG.format(length=60)
    assert found("SV2", "equipment.unit", "runs.feed-3.length_m = 2.5").verdict == "not applicable"
    assert found("SV2", "equipment.unit", f'{long}\nsupplies.main.earthing = "TT"').verdict == "not applicable"
    assert found("SV2", "equipment.unit", f'{long}\nsupplies.main.earthing = {{ unknown = "not seen" }}').verdict == "unknown"
    own = (f'{long}\nequipment.apart = {{ kind = "switch-fuse", rating_a = 100, fuse = "bs88-3", fuse_a = 32 }}\n'
           'runs.feed-2.joins = ["meter.out", "apart.top"]\n'
           'runs.feed-4 = { joins = ["apart.bottom", "arrester.top"], kind = "tails", size_mm2 = 25, length_m = 0.3, method = "C" }')
    assert found("SV2", "equipment.unit", own).verdict == "not applicable"
    assert "a device of its own" in found("SV2", "equipment.unit", own).says


# ---- SV3 ------------------------------------------------------------------------------------------------------------
EAST = 'supplies.main.operator = "operator-east"\n'
AGREED = EAST + 'replies.more = { about = "equipment.cutout", answers = ["service fuse"], by = "operator-east", on = 2026-11-02, allows = true, raised_fuse_a = 80 }'


@pytest.mark.parametrize(("said", "verdict"), [("{ enquiry = 80 }", "within"), ("{ drawing = 80 }", "within"), ("{ enquiry = 100 }", "unknown"),
                                               ('{ unknown = "not decided" }', "unknown"), ("{ marked = 80 }", "within")])
def test_the_operator_agrees_up_to_what_it_named(said: str, verdict: str) -> None:
    assert found("SV3", "equipment.cutout", f"equipment.cutout.fuse_a = {said}\n{AGREED}").verdict == verdict


def test_without_an_answer_another_fuse_is_unknown_and_as_found_it_is_not_asked() -> None:
    assert found("SV3", "equipment.cutout", "equipment.cutout.fuse_a = { enquiry = 80 }").verdict == "unknown"
    assert found("SV3", "equipment.cutout", "circuits.lamps.load_w = 150").verdict == "not applicable"
    assert found("SV3", "equipment.meter", "circuits.lamps.load_w = 150").verdict == "not applicable"


ANOTHER = AGREED.removeprefix(EAST).replace("replies.more", "replies.then")


@pytest.mark.parametrize(("replies", "verdict", "says"), [
    (AGREED.removeprefix(EAST), "unknown", "whose network it is is not recorded"),
    (AGREED.replace('by = "operator-east"', 'by = "owner"'), "unknown", "owner is not the recorded operator"),
    (AGREED.replace("on = 2026-11-02, ", ""), "unknown", "on which day it was said is not recorded"),
    (AGREED.replace("2026-11-02", "2026-11-10"), "unknown", "after the job's latest day, 2026-11-09"),
    (AGREED.replace("allows", "until = 2026-11-08, allows"), "unknown", "the answer held until 2026-11-08"),
    (AGREED.replace("allows", "until = 2026-11-09, allows"), "within", "operator-east answered: yes"),
    (AGREED + "\n" + ANOTHER.replace("2026-11-02", "2026-11-05").replace("true", "false"), "fails", "operator-east answered: no"),
    (AGREED.replace("true", "false") + "\n" + ANOTHER.replace("2026-11-02", "2026-11-05"), "within", "operator-east answered: yes"),
    (AGREED + "\n" + ANOTHER.replace("2026-11-02", "2026-11-01").replace("true", "false"), "within", "operator-east answered: yes"),
    (AGREED + "\n" + ANOTHER.replace("true", "false"), "unknown", "more and then contradict"),
    (AGREED + "\n" + ANOTHER.replace("on = 2026-11-02, ", "").replace("true", "false"), "unknown", "contradict"),
    (AGREED + "\n" + ANOTHER.replace("2026-11-02", "2026-11-05").replace("80", "63"), "unknown", "whether up to 80 A"),
    (AGREED + "\n" + ANOTHER.replace("80", "63"), "unknown", "whether up to 80 A")])
def test_whose_answer_it_is_and_the_latest_of_them_decide(replies: str, verdict: str, says: str) -> None:
    """Until the operator is recorded and is who answered, of a day that the job reaches, nothing is agreed; then the latest governs."""
    finding = found("SV3", "equipment.cutout", f"equipment.cutout.fuse_a = {{ enquiry = 80 }}\n{replies}")
    assert (finding.verdict, says in finding.says) == (verdict, True), finding.says


def of_fitted(code: str, subject: str, fitted: str, found_fuse: str = "{ marked = 60 }", job: str = "", work: str = "") -> Finding:
    """The specimen with its fuse found so and fitted so."""
    home = text("rules/specimen.toml").replace("fuse_a = { marked = 60 }", f"fuse_a = {found_fuse}").replace("looped = false", 'looped = false\noperator = "operator-east"')
    files = {"job.toml": f'schema = 1\nbooks.bs7671 = "2018+A4"\ndates.survey = "2026-11-09"\n{job}\n', "found.toml": home,
             "fitted.toml": f"equipment.cutout.fuse_a = {fitted}\n", **({"work.toml": work} if work else {})}
    rule = rule_of(code)
    assert rule is not None
    return next(f for f in judge(Design(read_job(files).at("fitted")), (rule,)) if f.subject == subject)


ANSWERED = AGREED.removeprefix(EAST)
WITHOUT_AMPERES = ANSWERED.replace(", raised_fuse_a = 80", "")


@pytest.mark.parametrize(("fitted", "was", "job", "verdict", "says"), [
    ("{ marked = 80 }", "{ marked = 60 }", "", "fails", "60 A was found, 80 A is fitted"),
    ("{ marked = 80 }", "{ enquiry = 60 }", "", "fails", "60 A was found, 80 A is fitted"),
    ("{ marked = 45 }", "{ marked = 60 }", "", "fails", "60 A was found, 45 A is fitted"),
    ("{ marked = 60 }", "{ marked = 60 }", "", "not applicable", "that which was found"),
    ("{ marked = 80 }", '{ unknown = "sealed" }', "", "unknown", "what was found there was not read on the fuse"),
    ("{ marked = 80 }", "{ told = 80 }", "", "unknown", "what was found there was not read on the fuse"),
    ("{ told = 80 }", "{ marked = 60 }", "", "unknown", "what was fitted was not read on the fuse"),
    ("{ marked = 80 }", "{ marked = 60 }", ANSWERED, "within", "operator-east answered: yes"),
    ("{ marked = 100 }", "{ marked = 60 }", ANSWERED, "unknown", "whether up to 100 A"),
    ("{ marked = 80 }", "{ marked = 60 }", WITHOUT_AMPERES, "unknown", "whether up to 80 A"),
    ("{ marked = 80 }", "{ marked = 60 }", ANSWERED.replace("true", "false"), "fails", "operator-east answered: no"),
    ("{ marked = 80 }", "{ marked = 60 }", ANSWERED.replace("operator-east", "owner"), "fails", "owner is not the recorded operator")])
def test_the_works_own_swap_of_the_fuse_wants_the_operators_word(fitted: str, was: str, job: str, verdict: str, says: str) -> None:
    """Read on the fuse that is there now or not: another than was found is the operator's to put in."""
    finding = of_fitted("SV3", "equipment.cutout", fitted, was, job)
    assert (finding.verdict, says in finding.says) == (verdict, True), finding.says


def test_a_fuse_said_again_by_the_work_is_the_one_that_was_found() -> None:
    assert found("SV3", "equipment.cutout", "equipment.cutout.fuse_a = { marked = 60 }").verdict == "not applicable"
    assert of_fitted("SV3", "equipment.cutout", "{ marked = 60 }", work="equipment.cutout.fuse_a = { enquiry = 80 }\n").verdict == "not applicable"


def test_no_figure_of_demand_is_within_by_a_fuse_nobody_agreed_to() -> None:
    """DM5 behind the fuse as found, behind one swapped by the work, and behind one to which the operator agreed."""
    assert of_fitted("DM5", "supplies.main", "{ marked = 60 }").verdict == "within"
    swapped = of_fitted("DM5", "supplies.main", "{ marked = 80 }")
    assert (swapped.verdict, "60 A was found, 80 A is fitted" in swapped.says) == ("unknown", True)
    assert of_fitted("DM5", "supplies.main", "{ marked = 80 }", job=ANSWERED).verdict == "within"
