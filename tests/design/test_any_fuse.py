"""Every sort of fuse with every rating that a job file accepts: each face tells what is known of it, and the figures stand."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway.api_demand import demand, joined
from spareway.api_operator import told
from spareway.api_season import asked
from spareway.api_service import LOOP, service
from spareway.cli.demand import page
from spareway.design.design import Design
from spareway.drawings.of_demand import figures_drawn
from spareway.job.job import read_job
from spareway.job.types import FUSES

FOUND = (Path(__file__).parent / "asked_home.toml").read_text("utf-8")
JOB = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\nnation = "England"\ndates.survey = "2026-09-01"\n', "found.toml": FOUND}
# The largest rating of which a row says what opens it; BS 1361-1 and -2 are read as BS 1361.
OPENS_TO_A = {"bs88-2": 160, "bs88-3": 160, "bs1361": 100, "bs1361-1": 100, "bs1361-2": 100, "bs3036": 100, "bs1362": 13}
LEAST_A, MOST_A = 1, 630                                         # of a job file
ANY = [(fuse, rating_a) for fuse, last_a in OPENS_TO_A.items() for rating_a in (LEAST_A, last_a, last_a + 0.1, MOST_A)]


def read(fuse: str, rating_a: float) -> list[tuple[str, str]]:
    return [("fuse.toml", f'equipment.cutout.fuse = "{fuse}"\nequipment.cutout.fuse_a = {{ marked = {rating_a} }}\n')]


def test_no_sort_of_fuse_is_left_out() -> None:
    assert set(OPENS_TO_A) == set(FUSES)


@pytest.mark.parametrize(("fuse", "rating_a"), ANY)
def test_the_figures_stand_beside_any_fuse(fuse: str, rating_a: float) -> None:
    """What opens it is known up to the last row of its standard and never beyond, and each figure is set against its rating all the same."""
    over = read(fuse, rating_a)
    said = joined(demand(JOB, overlays=over), told(JOB, overlays=over))
    assert (said["fuse"]["opens_a"]["amount"] is not None) == (rating_a <= OPENS_TO_A[fuse])
    assert ("what opens this fuse is not known" in said["fuse"]["never_blew"]) == (rating_a > OPENS_TO_A[fuse])
    book = next(each for each in said["in_hand"] if each["says"].startswith("by the book"))
    assert book["left_a"]["amount"] - book["over_a"]["amount"] == pytest.approx(rating_a - book["demand_a"]["amount"])
    assert figures_drawn(Design(read_job(JOB, over).at()))
    assert any(line.startswith("Service fuse: ") for line in page(said))


@pytest.mark.parametrize("fuse", FUSES)
def test_a_chain_is_asked_behind_any_rating(fuse: str) -> None:
    """What opens it is known up to the last row; behind 630 A, of which no row is, that a fault opens it in 5 s is known of no part."""
    others = [rating_a for name, rating_a in ANY if name == fuse]
    chains = service(JOB, overlays=read(fuse, 60), raises_a=others)["raised"]
    assert [each["fuse_a"]["amount"] for each in chains] == others
    for rating_a, each in zip(others, chains, strict=True):
        assert (each["opens_a"]["amount"] is not None) == (rating_a <= OPENS_TO_A[fuse])
    asked_of = [answer for part in chains[-1]["parts"] for answer in part["answers"] if answer["asks"].startswith(LOOP)]
    assert {answer["answer"] for answer in asked_of} == {"unknown"}


@pytest.mark.parametrize("fuse", FUSES)
def test_a_winter_can_be_asked_for_behind_any_fuse(fuse: str) -> None:
    known, beyond = (asked(JOB, overlays=read(fuse, OPENS_TO_A[fuse] + more_a)).lived for more_a in (0, 0.1))
    assert (known.opens_a.known, beyond.opens_a.known, beyond.element.ladder) == (True, False, None)
