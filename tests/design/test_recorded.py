"""What a log is worth: what settles nothing, what counts all the same, what was connected since, and which of several is gone by."""
from __future__ import annotations

import re
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from spareway.api_demand import demand
from spareway.api_operator import told
from spareway.api_service import service
from spareway.design.design import Design
from spareway.design.logged import Log
from spareway.design.recorded import GivenLog, greatest, recorded
from spareway.drawings.of_demand import figures_drawn
from spareway.folder.reading import read_folder
from spareway.job.job import read_job
from spareway.rules import rule_of
from spareway.rules.base import Finding, judge

JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\nnation = "England"\ndates.survey = "2026-09-01"\n'
FOUND = (Path(__file__).parent / "asked_home.toml").read_text("utf-8")       # 60 A; 2.5 kW of heater, 3 kW of oven
COLD = "[logs.cold]\nsince = 2026-01-12\nuntil = 2026-01-18\noutside_c = 3\n"
KEPT = "[logs.week]\nsince = 2026-01-12\nuntil = 2026-01-18\noutside_c = 3\nhighest_a = { measured = 40 }\nlasting_w = 2500\n"
HEATER = """circuits.warm-2 = { way = "unit.5", device = { kind = "mcb", curve = "B", rating_a = 16 } }
equipment.heater-2 = { kind = "panel-heater", on = "warm-2", stamped_w = 1500, stamped_v = 230 }
"""
SHOWER = 'circuits.wash = { way = "unit.7", feeds = "shower", load_w = 8050 }\n'              # 35 A
START, MINUTE, WEEK = datetime(2026, 1, 12), timedelta(minutes=1), 10_080  # noqa: DTZ001   as a logger writes: the clock on its wall


def files(work: str = "", logs: str = "", job: str = JOB) -> dict[str, str]:
    return {"job.toml": job, "found.toml": FOUND + logs, **({"work.toml": work} if work else {})}


def design(work: str = "", logs: str = "", job: str = JOB) -> Design:
    return Design(read_job(files(work, logs, job)).at())


def log(highest_a: float = 40.0, minutes_n: int = WEEK, start: datetime = START, name: str = "log.csv") -> Log:
    return Log(name, tuple((start + n * MINUTE, highest_a) for n in range(minutes_n)), tuple(range(2, minutes_n + 2)), MINUTE, 0)


def text(of: Log) -> tuple[str, str]:
    return of.file, "at,current_a\n" + "".join(f"{at.isoformat()},{amps}\n" for at, amps in of.minutes)


def found(code: str, of: Design) -> Finding:
    rule = rule_of(code)
    assert rule is not None
    one, = (each for each in judge(of, (rule,)) if each.rule == code)
    return one


# ---- what settles nothing ------------------------------------------------------------------------------------------
def test_a_cold_week_counts() -> None:
    seen = recorded(design(logs=COLD), log())
    assert (seen.credit_a.value, seen.doubts, seen.logs[0].outside_c.value) == (40.0, (), 3)


@pytest.mark.parametrize(("of", "logs", "job", "why"), [
    (log(minutes_n=60), "", JOB, "0.0417 days where 7 are asked for"),
    (log(minutes_n=2), "", JOB, "days where"),
    (log(minutes_n=WEEK - 1), COLD, JOB, "days where"),                            # a minute short of seven days
    (log(), "", JOB, "temperature outside not recorded (outside_c of a log on record with the same days)"),
    (log(), COLD.replace("= 3", "= 5.1"), JOB, "5.10 °C outside in the mean where 5 °C at most is asked for"),
    (log(), COLD, JOB.replace("2026-09-01", "2028-01-19"), "years old where"),     # a day more than two years on
    (log(), COLD, JOB.replace('dates.survey = "2026-09-01"\n', ""), "settles nothing: a day of the job, by which it could be old, is not recorded"),
    (log(), COLD, JOB.replace("2026-09-01", "2026-01-17"), "it ends on 2026-01-18, after the job's latest day, 2026-01-17"),
    (log(0.0), COLD, JOB, "every minute of it is nought")])
def test_a_log_that_may_not_be_relied_on_lowers_no_answer(of: Log, logs: str, job: str, why: str) -> None:
    """The operator is applied to as without a log, nothing is in hand by it, DM4 is unknown: each says why. 61.7 A by the book, 60 A."""
    seen = recorded(design(HEATER, logs, job), of)
    assert not seen.credit_a.known
    assert why in seen.doubts[0], seen.doubts
    if "dates" in job:
        said = told(files(HEATER, logs, job), log=text(of))
        assert said["left"] == told(files(HEATER, "", job))["left"] == "apply"
        assert any(why in each["says"] for each in said["reasons"] if each["about"] == "demand")
    hand = demand(files(HEATER, logs, job), log=text(of))["in_hand"][-1]
    assert (hand["says"], hand["demand_a"]["amount"], hand["left_a"]["amount"], hand["over_a"]["amount"]) == ("recorded", None, None, None)


@pytest.mark.parametrize(("old", "new", "why"), [
    ("until = 2026-01-18", "until = 2026-01-17", "6 days where 7"), ("outside_c = 3", "outside_c = 11", "11"),
    ("outside_c = 3\n", "", "temperature outside not recorded"), ("since = 2026-01-12\n", "", "its first and last day are not both recorded"),
    ("{ measured = 40 }", "0", "every minute of it is nought"), ("2026", "1999", "years old where"),
    ("{ measured = 40 }", "{ told = 40 }", "its highest minute was told"), ("2026", "2027", "it ends on 2027-01-18, after the job's latest day, 2026-09-01")])
def test_a_log_on_record_is_asked_the_same(old: str, new: str, why: str) -> None:
    """DM4 is unknown with the reason, not within; DM5, which no figure settles, names it too."""
    kept = KEPT.replace(old, new)
    assert found("DM4", design(logs=KEPT)).verdict == "within"
    four, five = found("DM4", design(logs=kept)), found("DM5", design(logs=kept))
    assert (four.verdict, five.verdict) == ("unknown", "unknown")
    assert why in four.says, four.says
    assert why in five.says, five.says


def test_without_a_fixed_heater_the_weather_is_not_asked_about() -> None:
    bare = 'remove = ["equipment.radiator", "circuits.warmth"]\n'
    assert recorded(design(bare), log()).credit_a.value == 40.0


# ---- what counts all the same ---------------------------------------------------------------------------------------
@pytest.mark.parametrize(("highest_a", "over_a"), [(60.0, None), (60.1, 0.1), (75.0, 15.0)])
def test_above_the_fuse_is_above_it_whatever_the_log_is_worth(highest_a: float, over_a: float | None) -> None:
    """Two minutes in July are no credit, and they are above 60 A all the same; just at it they say nothing."""
    hand = demand(files(), log=text(log(highest_a, 2, datetime(2026, 7, 1))))["in_hand"][-1]  # noqa: DTZ001   as above
    assert hand["over_a"]["amount"] == (None if over_a is None else pytest.approx(over_a))
    kept = KEPT.replace("= 40", f"= {highest_a}").replace("until = 2026-01-18", "until = 2026-01-12")
    assert found("DM4", design(logs=kept)).verdict == ("unknown" if over_a is None else "fails")


def test_what_was_told_of_a_log_counts_above_the_fuse_alone() -> None:
    """Hearsay lowers nothing; 61 A of it is above 60 A all the same."""
    assert found("DM4", design(logs=KEPT.replace("{ measured = 40 }", "{ told = 61 }"))).verdict == "fails"
    assert not recorded(design(logs=KEPT.replace("measured", "told"))).credit_a.known


def test_a_log_may_end_on_the_latest_day_of_the_job() -> None:
    """That day is not past it; of the day after, DM8 cannot tell how old it is."""
    on, before = (design(logs=KEPT, job=JOB.replace("2026-09-01", day)) for day in ("2026-01-18", "2026-01-17"))
    assert (found("DM8", on).verdict, found("DM8", before).verdict) == ("within", "unknown")
    assert recorded(on).credit_a.value == 40.0


def test_a_raised_fuse_is_judged_by_its_own_rating() -> None:
    """A day of 75 A: over 60 A, and at 80 A a log as short as that leaves nothing to count on."""
    said = service(files(), raises_a=(80.0,), log=text(log(75.0, 1440)))
    now, raised = (behind["in_hand"][-1] for behind in (said["now"], said["raised"][0]))
    assert (now["over_a"]["amount"], raised["over_a"]["amount"], raised["left_a"]["amount"]) == (pytest.approx(15), None, None)


# ---- connected since ------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("work", "risen_a"), [
    ("runs.feed-3.size_mm2 = 25\n", 0), (HEATER, 1500 / 230), (SHOWER, 35), (HEATER + SHOWER, 1500 / 230 + 35),
    ('remove = ["equipment.radiator", "circuits.warmth"]\n' + HEATER, 0),           # 2.5 kW of heater out, 1.5 kW in: nothing is taken off
    ('remove = ["circuits.oven"]\n' + SHOWER, 35),                                 # an oven out pays for no shower
    ("circuits.oven.load_w = 5300\n", 10), ("circuits.oven.load_w = 700\n", 0)])
def test_everything_that_was_connected_since_counts(work: str, risen_a: float) -> None:
    """By hand: watts over 230 V; by a log that is given as by one on record."""
    given, kept = recorded(design(work, COLD), log(20.0)), recorded(design(work, KEPT.replace("= 40", "= 20")))
    assert (given.credit_a.value, kept.credit_a.value) == (pytest.approx(20 + risen_a), pytest.approx(20 + risen_a))
    assert given.logs[0].highest_a.value == 20


def test_one_figure_stands_on_every_line_of_a_page() -> None:
    """20 A logged, a heater and a shower since: 61.5 A of 60 A, to the operator and in hand, now and in the chain."""
    work, given = HEATER + SHOWER, text(log(20.0))
    said = demand(files(work, COLD), log=given)
    figure = said["recorded"]["demand_a"]["amount"]
    assert (figure, said["recorded"]["highest_a"]["amount"], said["recorded"]["log"]) == (pytest.approx(20 + 1500 / 230 + 35), 20, "log.csv")
    chain = service(files(work, COLD), log=given)["now"]["in_hand"][-1]
    assert said["in_hand"][-1] == chain
    assert (chain["demand_a"]["amount"], chain["over_a"]["amount"], chain["left_a"]["amount"]) == (figure, pytest.approx(figure - 60), 0)
    assert [each["facts"][0]["amount"] for each in told(files(work, COLD), log=given)["reasons"] if each["about"] == "demand"] == [figure]
    drawn = figures_drawn(design(work, COLD), log(20.0), brief=True)
    assert "61.5" in drawn


def test_what_an_overlay_adds_counts_too() -> None:
    """Lines laid over what was found are asked about: they were not there when the log was made."""
    over = [("more.toml", SHOWER)]
    assert demand(files(logs=COLD), overlays=over, log=text(log(20.0)))["recorded"]["demand_a"]["amount"] == pytest.approx(55)
    laid = Design(read_job(files(logs=KEPT)).found.altered(SHOWER))
    assert found("DM4", laid).verdict == "fails"


def test_something_added_of_unknown_power_leaves_it_unknown() -> None:
    """What stayed as it was adds nothing, known or not; a shower that nobody read the plate of does."""
    unread = 'circuits.oven.load_w = { unknown = "plate hidden" }\n'
    there = FOUND.replace("load_w = 3000", 'load_w = { unknown = "plate hidden" }')
    assert there != FOUND
    kept = Design(read_job({"job.toml": JOB, "found.toml": there + COLD, "work.toml": HEATER}).at())
    assert recorded(kept, log()).credit_a.value == pytest.approx(40 + 1500 / 230)
    other = Design(read_job({"job.toml": JOB, "found.toml": there + COLD, "work.toml": unread.replace("hidden", "painted over")}).at())
    assert not recorded(other, log()).seen_a.known
    for work in (unread, SHOWER.replace(", load_w = 8050", "")):
        assert not recorded(design(work, COLD), log()).seen_a.known


def test_a_log_of_the_fitted_home_has_everything_in_it() -> None:
    """Said in fitted.toml it was made of what is fitted: the shower is in its minutes already."""
    texts = files(SHOWER) | {"fitted.toml": KEPT}
    assert recorded(Design(read_job(texts).at())).credit_a.value == 40


def fitted(work: str, more: str = "", job: str = JOB, days: str = "", logs: str = COLD) -> Design:
    """The home with this work done, on these days, with lines laid over it."""
    job = job.replace('"2026-09-01"\n', f'"2026-09-01"\n{days}')
    return Design(read_job(files(work, logs, job) | {"fitted.toml": ""}, [("more.toml", more)] if more else []).at())


DONE = 'dates.work = "%s"\ndates.test = "2026-02-01"\n'
SINCE_A = 1500 / 230 + 35                                                # HEATER + SHOWER


@pytest.mark.parametrize(("work_day", "seen_a"), [
    ("2026-01-11", 20), ("2026-01-12", None), ("2026-01-15", None), ("2026-01-18", None), ("2026-01-19", 20 + SINCE_A)])
def test_a_given_log_is_of_what_stood_on_its_days(work_day: str, seen_a: float | None) -> None:
    """A week from the 12th to the 18th. After the work everything is in its minutes; before it nothing new is; across it nobody can tell."""
    of = fitted(HEATER + SHOWER, days=DONE % work_day)
    seen, given = recorded(of, log(20.0)), GivenLog(log(20.0), of)
    assert seen.seen_a.amount == (None if seen_a is None else pytest.approx(seen_a))
    says = {20: "", None: f"as logged; what of the work is not in it nobody can tell: it runs to 2026-01-18, and the day of the work is {work_day}"}
    assert given.not_in_it == says.get(seen_a, "as logged; 41.5 A connected since is not in it, 61.5 A with it")
    if seen_a is None:
        assert any(f"the day of the work is {work_day}" in gap.note for gap in seen.credit_a.missing())


def test_a_log_of_the_heaters_is_not_given_them_again() -> None:
    """Weir fitted on 1 December, a week of January at 60.6 A with the heaters in it: 60.6 A of 80 A, and not 116 A."""
    weir = dict(read_folder(Path(__file__).parents[2] / "examples" / "weir-cottage"))
    days = weir["job.toml"].replace('dates  = { survey = "2026-11-09" }', 'dates = { survey = "2026-11-09", work = "2026-12-01", test = "2027-01-31" }')
    assert days != weir["job.toml"]
    week = log(60.6, start=datetime(2027, 1, 10))  # noqa: DTZ001   as above
    for more, seen_a in (({"fitted.toml": ""}, 60.6), ({}, None)):                     # without a word of what was fitted nobody can tell
        hand = demand(weir | {"job.toml": days} | more, log=text(week))["in_hand"][-1]
        of = Design(read_job(weir | {"job.toml": days} | more).at())
        assert GivenLog(week, of).seen_a.amount == seen_a
        assert hand["over_a"]["amount"] in (None, 0)
    assert "nothing recorded says what was fitted" in GivenLog(week, of).not_in_it


@pytest.mark.parametrize(("highest_a", "over_a"), [(60.0, None), (75.0, 15.0)])
def test_a_minute_above_the_fuse_is_above_it_though_nobody_can_tell_what_was_connected_since(highest_a: float, over_a: float | None) -> None:
    """A week across the work: of 60 A nothing is known, and 75 A are 15 A over at least, on every face; so by a log on record beside a
    shower whose plate nobody read."""
    job = JOB + DONE % "2026-01-15"
    texts = files(HEATER, COLD, job) | {"fitted.toml": ""}
    said = demand(texts, log=text(log(highest_a)))
    hand, recorded_ = said["in_hand"][-1], said["recorded"]
    assert (hand["over_a"]["amount"], recorded_["demand_a"]["amount"]) == (over_a, None if over_a is None else highest_a)
    least = "as logged: what is connected since comes on top, and nobody can tell how much"
    assert (recorded_["log"], recorded_["since"]) == (("", "") if over_a is None else ("log.csv", least))
    assert greatest(Design(read_job(texts).at()), [log(20.0, name="a.csv"), log(highest_a)]).file == "log.csv"
    wanted = [each["says"] for each in told(texts, log=text(log(highest_a)))["reasons"] if each["about"] == "demand"]
    assert any(f"recorded, {least}: 75 A, above 60 A" in says for says in wanted) == (over_a is not None)
    drawn = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", figures_drawn(Design(read_job(texts).at()), log(highest_a))))
    assert (f"a logger wrote, {least}." in drawn) == (over_a is not None)
    unread = design(SHOWER.replace(", load_w = 8050", ""), KEPT.replace("= 40", f"= {highest_a}"))
    assert found("DM4", unread).verdict == ("unknown" if over_a is None else "fails")


def test_without_the_day_of_the_work_a_given_log_of_a_fitted_home_says_so() -> None:
    """Known again where the work connects nothing, or less than there was."""
    assert "dates.work in job.toml" in GivenLog(log(20.0), fitted(SHOWER)).not_in_it
    assert not recorded(fitted(SHOWER), log(20.0)).seen_a.known
    for work in ("runs.feed-3.size_mm2 = 25\n", "circuits.oven.load_w = 700\n"):
        assert recorded(fitted(work), log(20.0)).seen_a.value == 20
        assert GivenLog(log(20.0), fitted(work)).not_in_it == ""


@pytest.mark.parametrize(("more", "seen_a"), [('circuits.wash.cable = { kind = "t&e", line_mm2 = 10, cpc_mm2 = 4, length_m = 9, method = "C" }\n', 20), ("circuits.oven.load_w = 5300\n", None),
                                              (SHOWER.replace("wash", "more").replace("unit.7", "unit.8"), 55), (HEATER, 20 + 1500 / 230)])
def test_lines_laid_over_a_fitted_home_are_in_no_log_of_it(more: str, seen_a: float | None) -> None:
    """By a log that is given as by one on record: a thicker cable connects nothing, a second shower 35 A; of a load said anew nobody
    can tell what it was."""
    given, kept = fitted(SHOWER, more, days=DONE % "2026-01-11"), Design(read_job(files(SHOWER) | {"fitted.toml": KEPT.replace("= 40", "= 20")}, [("more.toml", more)]).at())
    for seen in (recorded(given, log(20.0)), recorded(kept)):
        assert seen.seen_a.amount == (None if seen_a is None else pytest.approx(seen_a))
        assert seen_a is not None or "more.toml says anew what circuits." in seen.seen_a.missing()[0].note


# ---- of several -----------------------------------------------------------------------------------------------------
def test_the_highest_of_all_that_hold() -> None:
    """44 A in a cold week, 50 A on a single day, 30 A in another week: 44 A, and the day is told; above the fuse the day governs."""
    more = KEPT.replace("week", "cold").replace("= 40", "= 44") + "[logs.day]\nsince = 2026-02-02\nuntil = 2026-02-02\noutside_c = 1\n" \
        "highest_a = 50\nlasting_w = 2500\n" + KEPT.replace("= 40", "= 30")
    of = design(logs=more)
    seen = of.recorded
    figure = seen.against(of.supply.fuse_a)
    by = seen.by(figure)
    assert by is not None
    assert (figure.value, by.at, len(seen.doubts)) == (44, "logs.cold", 1)
    assert "logs.day, 50 A with what was connected since, settles nothing" in seen.doubts[0]
    over = design(logs=more.replace("= 50", "= 61"))
    assert over.recorded.against(over.supply.fuse_a).value == 61
    assert found("DM4", over).verdict == "fails"
    unread = design(logs=more.replace("highest_a = 50\n", ""))
    assert found("DM4", unread).verdict == "unknown"


def test_of_several_files_the_one_to_go_by() -> None:
    """A cold week before a higher day; a day above the fuse before both; of two that do not hold the higher."""
    week, day = log(30.0, name="a.csv"), log(50.0, 60, name="b.csv")
    of = design(logs=COLD)
    assert greatest(of, [day, week]).file == "a.csv"
    assert greatest(of, [log(61.0, 2, name="c.csv"), day, week]).file == "c.csv"
    assert greatest(of, [day, log(40.0, 60, name="c.csv")]).file == "b.csv"


def test_a_given_log_stands_beside_those_on_record() -> None:
    """30 A given of other days, 40 A on record: 40 A. Of the same days the file itself counts."""
    later = log(30.0, start=datetime(2026, 2, 2))  # noqa: DTZ001   as above
    assert recorded(design(logs=KEPT), later).credit_a.value == 40
    assert recorded(design(logs=KEPT), log(30.0)).credit_a.value == 30
    assert GivenLog(log(), design(logs=KEPT)).until == datetime(2026, 1, 18).date()  # noqa: DTZ001   as above


def test_rows_half_an_hour_apart_give_no_figure() -> None:
    slow = Log("slow.csv", tuple((START + n * 30 * MINUTE, 20.0) for n in range(336)), tuple(range(2, 338)), 30 * MINUTE, 0)
    seen = recorded(design(logs=COLD), slow)
    assert (seen.seen_a.known, seen.credit_a.known) == (False, False)
    assert any("every 30 min" in gap.note for gap in seen.credit_a.missing())
