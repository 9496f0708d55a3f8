"""What readings of a whole board show, on the phone: the hunt for what leaks, shared neutrals, signs of the intake, sets too neat."""
from __future__ import annotations

import re
import shutil
from pathlib import Path
from urllib.parse import urlencode

import pytest

from spareway.api_readings import hunt_of, neat_of, neutrals_of, readings
from spareway.design.design import Design
from spareway.folder import read_folder
from spareway.job.job import read_job
from tests.web.phone import ROOT
from tests.web.test_live import main_text
from tests.web.test_serving import HOST
from tests.web.test_serving import asked as fetched

SAME = {**HOST, "sec-fetch-site": "same-origin"}
OFFICE = "/app/jobs/cottage/insulation/next?stage=found&board=office"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "examples" / "weir-cottage", tmp_path / "cottage", ignore=shutil.ignore_patterns("overlays"))
    assert fetched(tmp_path, "POST", "/app/this-phone", SAME, urlencode({"by": "Ann"}).encode())[0] == 303
    return tmp_path


def design_of(home: Path) -> Design:
    return Design(read_job(dict(read_folder(home / "cottage"))).at("found"))


def take(home: Path, value: str, **other: str) -> int:
    step = hunt_of(design_of(home), "office")["next"]
    form = {"place": step["place"], "setup": step["setup"], "value": value, **other}
    return fetched(home, "POST", OFFICE, SAME, urlencode(form).encode())[0]


# ---- the hunt ---------------------------------------------------------------------------------------------------------
def test_the_hunt_goes_on_from_reading_to_reading(home: Path) -> None:
    """The office as found: what leaks is named, the rest is asked for, and a good reading of it ends the hunt."""
    text = main_text(fetched(home, "GET", OFFICE, HOST)[2])
    step = hunt_of(design_of(home), "office")["next"]
    assert step["says"] in text
    assert "Taken to leak: immersion" in text
    assert not re.search(r"\d MΩ", text), "nothing of what it should read"
    assert take(home, ">200") == 303
    row = read_job(dict(read_folder(home / "cottage"))).readings[-1]
    assert (row.a, row.setup, row.over, row.stage, row.loads) == (step["place"], step["setup"], ">200", "found", "out")
    after = hunt_of(design_of(home), "office")
    assert after["next"] is None or after["next"]["setup"] != step["setup"], "the reading was weighed"
    taken = 1
    while (following := hunt_of(design_of(home), "office")["next"]) is not None and taken < 6:
        assert take(home, "0.5" if following["place"] == "circuits.immersion" else ">200") == 303
        taken += 1
    said = hunt_of(design_of(home), "office")
    assert (said["done"], said["found"]) == (True, ["immersion"])
    assert "Found to leak: immersion" in main_text(fetched(home, "GET", OFFICE, HOST)[2])


def test_what_is_no_reading_of_the_hunt_changes_nothing(home: Path) -> None:
    """Over range without its end, another reading than the one asked for now, what is no number; and a board that is none."""
    before = (home / "cottage" / "readings.csv").read_bytes()
    assert [take(home, "OL"), take(home, "20", setup="another"), take(home, "2,0"), take(home, "")] == [422] * 4
    assert (home / "cottage" / "readings.csv").read_bytes() == before
    assert fetched(home, "GET", "/app/jobs/cottage/insulation/next?stage=found", HOST)[0] == 404
    assert fetched(home, "GET", "/app/jobs/cottage/insulation/next?board=loft", HOST)[0] == 404


# ---- shared neutrals --------------------------------------------------------------------------------------------------
def test_both_halves_of_will_it_trip_are_said() -> None:
    """A device of 30 mA may trip from 15 mA (BS EN 61008). 9 W at 230 V is 39 mA, beyond its rating; 3 W is 13 mA: it stays in."""
    inst = read_job(dict(read_folder(ROOT / "examples" / "granary-yard"))).at("found")
    altered = inst.altered('[circuits.lights]\nneutral = "cooker"\n')
    (said,) = [each for each in neutrals_of(Design(altered)) if each["other"] == "cooker"]
    assert said["one"] == "lights"
    assert said["joined"] is None
    lamp, small = said["lamps"]
    assert lamp.startswith("a lamp of 9 W: 39")
    assert "must trip" in lamp
    assert small.startswith("a lamp of 3 W: 13")
    assert "must not trip: it stays in, and the neutral is shared all the same" in small


def test_insulation_opens_at_the_boards_in_which_it_was_read(home: Path) -> None:
    """The cottage has a proposal, whose board is not there yet, and rows as found: unless a stage is asked for, the old boards."""
    plain, found, proposed = (main_text(fetched(home, "GET", f"/app/jobs/cottage/insulation{query}", HOST)[2])
                              for query in ("", "?stage=found", "?stage=proposed"))
    assert plain == found != proposed
    bare = "?board=office"
    assert fetched(home, "GET", f"/app/jobs/cottage/insulation/next{bare}", HOST)[0] == 200
    assert fetched(home, "GET", f"/app/jobs/cottage/insulation/next{bare}&stage=proposed", HOST)[0] == 404


def test_a_shared_neutral_is_told_on_the_screen_of_insulation(home: Path) -> None:
    """The cottage: joined by the reading, no device before it gives it away, and how it is proved, locked off first."""
    text = main_text(fetched(home, "GET", "/app/jobs/cottage/insulation?stage=found", HOST)[2])
    assert "lights-ground and lights-first: circuits.lights-ground.N to circuits.lights-first.N: 0 MΩ: joined" in text
    assert "no residual-current device stands before it: nothing gives it away" in text
    assert "proves nothing: the neutral is shared all the same" in text
    assert text.index("Main switch off, locked") < text.index("Lift the neutrals of both circuits")


# ---- signs, and sets too neat ------------------------------------------------------------------------------------------
def test_intake_and_board_by_signs_are_those_of_the_command(home: Path) -> None:
    """Every fault with a sign, its caution and its rows, and what would tell more: as `spareway readings` has it."""
    text = main_text(fetched(home, "GET", "/app/jobs/cottage/signs?stage=found", HOST)[2])
    said = readings(dict(read_folder(home / "cottage")), stage="found")["intake"]
    first = next(f for f in said if any(sign["there"] for sign in f["signs"]))
    assert f"in 100: {first['says']}" in text
    assert first["caution"] in text
    assert all(where in text for sign in first["signs"] if sign["there"] for where in sign["where"])
    asks = {ask for fault in said for ask in fault["ask"]}
    assert asks
    assert all(ask[1:] in text for ask in asks)
    assert "A question to whoever read them" not in text


def test_that_none_of_these_faults_is_there_stands_over_no_sign(home: Path) -> None:
    """What is left over is a small line beneath the faults, with its share and that it is no pass; never a heading over a bad sign."""
    said = readings(dict(read_folder(home / "cottage")), stage="found")["intake"]
    (rest,) = [f for f in said if not f["is_a_fault"]]
    assert any(sign["there"] for sign in rest["signs"]), "or nothing is proved here"
    body = fetched(home, "GET", "/app/jobs/cottage/signs?stage=found", HOST)[2]
    assert rest["says"] not in main_text(body)
    text = main_text(body)
    assert f"None of these faults: {round(100 * rest['share'])} in 100; that is no pass." in text
    assert text.index("None of these faults") > max(text.index(f["says"]) for f in said if f["is_a_fault"] and any(s["there"] for s in f["signs"]))
    headings = [each.partition(b"</h2>")[0] for each in body.split(b"<h2>")[1:]]
    assert headings
    assert not any(b"one of these" in each for each in headings)


def test_a_set_too_neat_is_asked_about(home: Path) -> None:
    """Four circuits that all read 199 MΩ, where insulation never is alike: a question, with its rows."""
    rows = home / "cottage" / "readings.csv"
    head = rows.read_text("utf-8").splitlines()[0]
    names = ("cooker", "immersion", "ring-ground", "lights-ground")
    rows.write_text("\n".join([head, *(f"n{n},found,insulation_mohm,circuits.{name},,line to earth,199,MΩ,,tester-1,,out,12,surveyor,2026-11-09T10:0{n},"
                                      for n, name in enumerate(names)), ""]), encoding="utf-8")
    text = main_text(fetched(home, "GET", "/app/jobs/cottage/signs?stage=found", HOST)[2])
    assert "A question to whoever read them" in text
    assert "It accuses nobody" in text
    (said,) = neat_of(design_of(home))
    assert said["says"] in text
    assert said["where"] == [f"readings.csv:{line}" for line in range(2, 6)]
