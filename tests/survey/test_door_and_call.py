"""Before anything is touched: the hazard note, and sixteen invented calls of which the dangerous ones are stopped early."""
from __future__ import annotations

from itertools import product

import pytest

from spareway.design.design import Design
from spareway.doc import InputError
from spareway.job.disputed import disputes_in
from spareway.job.job import read_job
from spareway.job.merge import merge
from spareway.survey.call import CAUTION, End, Ring, enquiry_note, heard
from spareway.survey.doorstep import hazard_note
from spareway.survey.places import Unknown, answer, questions
from tests.survey.test_capture import begun

ORDER = ("fire", "shock", "street", "burning", "water", "bare", "trips", "medical", "theirs")
GRAVEST = ("fire", "shock", "operator", "off", "now", "not-ours", "survey")
# invented calls: what was said, until the call ends; how it must end
CALLS = {
    "smoke from the cupboard": ("yes", "fire"), "it might be smoke, might be dust": ("unknown", "fire"),
    "my son is holding the lead and cannot let go": ("no yes", "shock"), "he had a tingle, we think": ("no unknown", "shock"),
    "the wire from the pole is down": ("no no yes", "operator"), "the whole lane is dark": ("no no yes", "operator"),
    "a smell like fish by the board": ("no no no yes", "off"), "warm, or is it the boiler": ("no no no unknown", "off"),
    "water drips from the kitchen light": ("no no no no yes", "off"), "the cover came off, copper shows": ("no no no no no yes", "off"),
    "it trips at once": ("no no no no no no yes", "now"), "her machine is off": ("no no no no no no no yes", "now"),
    "the tenant of number two": ("no no no no no no no no no", "not-ours"), "new heaters, please": ("no no no no no no no no yes", "survey"),
    "is the board old?": ("no no no no no no no no yes", "survey"), "does the flat's owner know?": ("no no no no no no no no unknown", "survey")}
DANGEROUS = [name for name, (_, end) in CALLS.items() if end in ("fire", "shock", "operator", "off")]


def told(words: str) -> dict[str, str]:
    return dict(zip(ORDER, words.split(), strict=False))


@pytest.mark.parametrize("call", CALLS)
def test_a_call_ends_as_it_must(call: str) -> None:
    """With the last word of it and not before; a dangerous one asks nothing after what is dangerous was said."""
    words, end = CALLS[call]
    answers = told(words)
    ended = heard(answers)
    assert isinstance(ended, End)
    assert ended.name == end
    earlier = dict(list(answers.items())[:-1])
    assert isinstance(heard(earlier), Ring)
    assert len(CALLS) == 16
    assert len(DANGEROUS) >= 5


def test_not_knowing_is_never_milder() -> None:
    """Every set of nine answers: with one more "unknown" in place of a "no", the end is never milder."""
    def grave(answers: dict[str, str]) -> int:
        ended = heard(answers)
        assert isinstance(ended, End)
        return GRAVEST.index(ended.name)
    for words in product(("yes", "no"), repeat=len(ORDER) - 1):
        answers = dict(zip(ORDER, (*words, "yes"), strict=True))
        for name in ORDER[:-1]:
            if answers[name] == "no":
                assert grave({**answers, name: "unknown"}) <= grave(answers), name


def test_a_shock_is_no_fire() -> None:
    """Ambulance first; nobody touches the person, nobody reaches across them to switch; the fire card stands for fire alone."""
    shock, fire = heard({"fire": "no", "shock": "yes"}), heard({"fire": "yes"})
    assert isinstance(shock, End)
    assert isinstance(fire, End)
    assert shock.says == "Ambulance: 999, now"
    for words in ("Do not touch them", "may still be in contact", "without touching them", "away from them"):
        assert words in shock.do
    assert "Fire brigade" not in shock.says + shock.do
    assert "Everybody out" not in shock.do
    assert fire.says.startswith("Fire brigade: 999")


def test_no_two_lines_of_a_call_say_opposite_things() -> None:
    """What a caller may switch is said with where and how, and the standing caution leaves room for just that."""
    ended = heard(told("no no no yes"))
    assert isinstance(ended, End)
    assert "main switch" in ended.do
    assert "from a safe place" in ended.says
    assert CAUTION == "Beyond what is read out here, nobody is told over the telephone that anything may be touched or opened."


def test_the_gravest_answer_decides_in_any_order() -> None:
    assert isinstance(heard({"medical": "yes", "trips": "no"}), Ring), "the graver questions come first, whatever was volunteered"
    ended = heard({**dict.fromkeys(ORDER, "no"), "fire": "yes", "water": "yes"})
    assert isinstance(ended, End)
    assert ended.name == "fire"


def test_a_note_keeps_what_was_said() -> None:
    note = enquiry_note(told("no no no yes"), "owner", "2026-11-09T08:10")
    assert note[0] == "Call taken by owner, 2026-11-09T08:10."
    assert any("main switch" in line for line in note)
    assert "Broken off" in enquiry_note(told("no no"), "owner", "2026-11-09T08:10")[-2]
    with pytest.raises(InputError, match="no such question"):
        heard({"fyre": "yes"})


def test_the_hazard_note_never_reads_cleaner_than_what_was_asked() -> None:
    """Each yes says what to do; what nobody could say stands as not known; asbestos is told to be left alone."""
    files = begun("TN-S")
    assert len(questions(files, "doorstep")) == 10
    assert len(hazard_note(files)) == 10, "nothing was asked, so nothing is known"
    for question in questions(files, "doorstep"):
        files |= answer(files, "doorstep", question.id, "no", "s", "2026-11-09T09:00")
    assert hazard_note(files) == ["Every question was answered no. Look again on the day."]
    files |= answer(files, "doorstep", "doorstep.built", "yes", "s", "2026-11-09T09:00")
    files |= answer(files, "doorstep", "doorstep.medical", Unknown("nobody could say"), "s", "2026-11-09T09:00")
    note = "\n".join(hazard_note(files))
    assert "Asbestos: stop, do not disturb." in note
    assert "Not known: Does anybody here depend on medical equipment" in note
    assert read_job(files).about.doorstep["medical"] == "unknown: nobody could say"


def differing() -> dict[str, str]:
    """One job of two phones: at the door one was told of a second source, the other that there is none."""
    base = begun("TN-S")
    base |= answer(base, "doorstep", "doorstep.medical", "no", "s", "2026-11-09T09:00")
    mine, theirs = ({**base, **answer(base, "doorstep", "doorstep.second", said, "s", "2026-11-09T09:00")} for said in ("yes", "no"))
    return merge(base, mine, theirs).files


def test_what_two_people_answered_two_ways_is_not_known() -> None:
    """The hazard note says so with both, the question is open again, and no design takes either for an answer."""
    files = differing()
    assert [line for line in hazard_note(files) if "two people differ" in line] == [
        "Not known: two people differ (no and yes): Solar, a battery, a generator or a lead from a neighbour?"]
    asked = {question.id: question.open for question in questions(files, "doorstep")}
    assert (asked["doorstep.second"], asked["doorstep.medical"]) == (True, False)
    assert "two people differ" in Design(read_job(files).at(None)).source_told_of


@pytest.mark.parametrize("said", ["yes", "no"])
def test_asked_again_at_the_door_settles_it(said: str) -> None:
    """The new answer stands alone, and nothing is disputed any more."""
    files = differing()
    files |= answer(files, "doorstep", "doorstep.second", said, "s", "2026-11-10T09:00")
    assert disputes_in(files) == {}
    assert read_job(files).about.doorstep["second"] == said
    assert not any("two people differ" in line for line in hazard_note(files))


def test_leave_that_two_people_recorded_two_ways_is_no_leave() -> None:
    """A permission to draw the fuse, of one reference with one and of another with the other: nobody may until one is chosen."""
    base = begun("TN-S")
    line = '\n[permissions]\npull = {{ part = "cutout.fuse", by = "operator-east", ref = "{}", until = 2026-12-04 }}\n'
    mine, theirs = ({**base, "job.toml": base["job.toml"] + line.format(ref)} for ref in ("E-1", "E-2"))
    files = merge(base, mine, theirs).files
    assert len(disputes_in(files)) == 1
    assert "pull" in files["job.toml"]
    assert read_job(mine).about.permissions
    assert read_job(files).about.permissions == {}
