"""Enquiries, replies and what operators want: two phones' are joined by name, wrong ones refused, the schema knows them."""
from __future__ import annotations

import pytest

from spareway import bundled
from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.job.merge import merge
from spareway.job.schema import schema_for

JOB = 'schema = 1\nbooks.bs7671 = "2018+A4"\n'
FOUND = bundled.text("rules/specimen.toml")
ASKED = '[enquiries.{0}]\nasks = ["tails"]\nto = "operator-east"\nby = "surveyor"\non = 2026-09-0{1}\n'


def files(job: str) -> dict[str, str]:
    return {"job.toml": JOB + job, "found.toml": FOUND}


def test_two_phones_each_file_one() -> None:
    """Both stand in the joined job, whichever is joined to which; one name said in two ways is left to a person."""
    mine, theirs = files(ASKED.format("long", 2)), files(ASKED.format("more", 3) + "[operators.operator-east]\nasked = 2026-05-11\ntail_m = 3\n")
    for first, second in ((mine, theirs), (theirs, mine)):
        joined = merge(files(""), first, second)
        about = read_job(joined.files).about
        assert (sorted(about.enquiries), sorted(about.operators), joined.disputes) == (["long", "more"], ["operator-east"], ())
    twice = merge(files(""), mine, files(ASKED.format("long", 4)))
    assert len(twice.disputes) == 1


@pytest.mark.parametrize(("text", "says"), [
    ('[replies.r]\nabout = "x"\nby = "y"\ntail_m = -1\n', "replies.r.tail_m"), ('[replies.r]\nabout = "x"\nby = "y"\nallows = "yes"\n', "replies.r.allows"),
    ('[replies.r]\nabout = "x"\nby = "y"\nuntil = "soon"\n', "replies.r.until"), ('[enquiries.e]\nby = "y"\n', "to is missing"),
    ('[enquiries.e]\nto = "y"\nby = "z"\nasks = [3]\n', "enquiries.e.asks"), ('[operators.o]\nasked = 2026-05-11\nlooped = "never"\n', "operators.o.looped"),
    ('[operators.o]\nasked = 2026-05-11\napply_above_a = nan\n', "operators.o.apply_above_a")])
def test_what_cannot_be_read_is_refused_with_its_place(text: str, says: str) -> None:
    with pytest.raises(InputError) as refused:
        read_job(files(text))
    assert any(fault.file == "job.toml" and says in str(fault) for fault in refused.value.faults), str(refused.value)


def test_how_a_term_is_known_is_kept() -> None:
    """A figure of an operator is a fact like any other: stated, or as an answer of its own."""
    about = read_job(files('[operators.o]\nasked = 2026-05-11\ntail_m = { enquiry = 6, note = "by telephone" }\n')).about
    tail = about.operators["o"].tail_m
    assert (tail.amount, tail.how, tail.note, tail.at) == (6, "enquiry", "by telephone", "operators.o.tail_m")
    assert not about.operators["o"].seals.known


def test_the_schema_names_them() -> None:
    schema = schema_for("job.toml")
    assert {"enquiries", "replies", "operators"} <= set(schema["properties"])
    assert {"tail_m", "raised_fuse_a", "agreed_a", "agreed_sources_a", "answers", "until"} <= set(schema["$defs"]["Reply"]["properties"])
    assert schema["$defs"]["Operator"]["required"] == ["asked"]
