"""Live tests on the phone: the caution before the entry, what it should be only after it, what a bad one calls for at once."""
from __future__ import annotations

import html
import re
import shutil
from pathlib import Path
from urllib.parse import quote, urlencode

import pytest

from spareway import web
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.readings.tested import tested as was_tested
from spareway.survey.live import holds, live_tests, not_tested_dead, subjects
from spareway.survey.readings import dead_tests
from spareway.web.record import record
from tests.web.phone import ROOT
from tests.web.test_serving import HOST
from tests.web.test_serving import asked as fetched

SAME = {**HOST, "sec-fetch-site": "same-origin"}
FIGURE = re.compile(r"\d+\.\d+|\d+ (V|Ω|ms|mA|kA)\b")


def main_text(body: bytes) -> str:
    text = body.decode().partition("<main")[2].partition("</main>")[0]
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text)))


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A server's folder with the annexe in it, and somebody who holds the phone, with a tester."""
    shutil.copytree(ROOT / "examples" / "ridge-annexe", tmp_path / "annexe", ignore=shutil.ignore_patterns("overlays"))
    for page, form in (("this-phone", {"by": "Ann"}), ("jobs/annexe/tester", {"temp_c": "9", "instrument": "tester-3", "nulled": "yes"})):
        assert fetched(tmp_path, "POST", f"/app/{page}", SAME, urlencode(form).encode())[0] == 303
    return tmp_path


def page(home: Path, at: str) -> str:
    status, _, body = fetched(home, "GET", f"/app/jobs/annexe/live{at}", HOST)
    assert status == 200, at
    return main_text(body)


def enter(home: Path, at: str, test: str, value: str) -> str:
    """Where an entry leads."""
    status, headers, _ = fetched(home, "POST", f"/app/jobs/annexe/live/{quote(at)}", SAME, urlencode({"test": test, "value": value}).encode())
    assert status == 303
    return dict(map(tuple, headers))["location"]            # type: ignore[arg-type]


def test_every_screen_is_marked_and_shows_no_figure(home: Path) -> None:
    """Each test of each thing says that it is live and how it is asked; nothing on it is a reading or what one should be."""
    design = record(dict(read_folder(home / "annexe"))).design()
    assert "Live work" in page(home, "")
    for subject in subjects(design):
        for test in live_tests(design, subject.at)[::3]:
            text = page(home, f"/{quote(subject.at)}?test={test.id}&ask=yes")
            assert "Live. A competent person only" in text, test
            assert test.says in text
            assert not FIGURE.search(text.replace("a.c.", "")), text
            assert ("goes off" in text) == (test.quantity in ("trip_ms", "ramp_ma")), test


def test_what_was_not_read_dead_is_named_first(home: Path) -> None:
    """A circuit without dead readings says which are missing; with them it no longer does."""
    assert "First, dead: protective conductor, insulation not read, by the record." in page(home, "/circuits.cooker")
    for number, value in enumerate(("0.10", ">200", ">200", ">200")):
        form = urlencode({"test": number, "value": value}).encode()
        assert fetched(home, "POST", "/app/jobs/annexe/test/cooker", SAME, form)[0] == 303
    design = record(dict(read_folder(home / "annexe"))).design()
    assert not_tested_dead(design, "circuits.cooker") == []
    assert "First, dead" not in page(home, "/circuits.cooker")
    assert not_tested_dead(design, "circuits.lights") == ["protective conductor", "insulation"]
    assert not_tested_dead(design, "supplies.main") == []


def test_a_row_carries_what_belongs_to_it(home: Path) -> None:
    """Tester always, temperature with a loop alone, nulled leads never; and the tests that are due are done by these rows."""
    assert enter(home, "circuits.cooker", "0", "236").endswith("live/circuits.cooker?test=1")
    text = page(home, "/circuits.cooker?test=1")
    assert "two three six volts" in text
    assert "As expected" in text
    for number, value in ("1", "0"), ("2", "88.9"), ("3", "24"), ("4", "28"), ("5", "22"):
        enter(home, "circuits.cooker", number, value)
    job = read_job(dict(read_folder(home / "annexe")))
    rows = job.readings[-6:]
    assert [(r.quantity, r.instrument, r.temp_c, r.nulled) for r in rows] == [
        ("supply_v", "tester-3", None, None), ("supply_v", "tester-3", None, None), ("zs_ohm", "tester-3", 9.0, None),
        ("trip_ms", "tester-3", None, None), ("trip_ms", "tester-3", None, None), ("ramp_ma", "tester-3", None, None)]
    design = record(dict(read_folder(home / "annexe"))).design()
    assert [was_tested(design, "cooker", test).ok for test in ("polarity", "loop", "residual current")] == [True, True, True]
    assert all(test.kept for test in live_tests(design, "circuits.cooker"))


@pytest.mark.parametrize(("at", "test", "value", "says"), [
    ("circuits.cooker", "1", "231", "line and neutral may be changed over"),
    ("circuits.cooker", "0", "0", "not proved dead"),
    ("circuits.cooker", "0", "400", "lost neutral"),
    ("circuits.cooker", "2", "OL", "may not be cut off"),
    ("circuits.cooker", "3", "OL", "do not rely on it"),
    ("circuits.cooker", "5", "48", "do not rely on it"),
    ("equipment.rcd-front", "0", ">2000", "do not rely on it"),
    ("supplies.main", "3", "OL", "may not be cut off"),
    ("supplies.main", "4", "OL", "neutral may be bad or open"),
    ("supplies.main", "2", "90", "network operator"),
])
def test_what_a_bad_reading_calls_for_at_once(home: Path, at: str, test: str, value: str, says: str) -> None:
    """Kept as it was typed, then shown again with what to do before anything else."""
    to = enter(home, at, test, value)
    assert to.endswith(f"again?test={test}")
    assert says in main_text(fetched(home, "GET", to, HOST)[2])


def test_a_sound_reading_goes_on(home: Path) -> None:
    """A trip in time, a loop as it was read before, taken again: on to the next, the older row struck."""
    assert enter(home, "equipment.rcd-front", "2", "70").endswith("/live"), "the last test of a thing leads back to all"
    assert enter(home, "supplies.main", "1", "236").endswith("supplies.main?test=2")
    assert enter(home, "supplies.main", "1", "237").endswith("supplies.main?test=2")
    rows = read_job(dict(read_folder(home / "annexe"))).readings
    assert rows[-1].strikes == rows[-2].id
    assert "237" in page(home, "/supplies.main?test=1") or "two three seven" in page(home, "/supplies.main?test=1")


def test_a_supervisor_who_asks_is_told_and_nobody_else(home: Path) -> None:
    """The words stand only where both are so."""
    at = "/equipment.rcd-front?test=0&ask=yes"
    assert "For a supervisor" not in page(home, at)
    assert fetched(home, "POST", "/app/this-phone", SAME, urlencode({"by": "Ann", "supervisor": "yes"}).encode())[0] == 303
    assert "For a supervisor" not in page(home, "/equipment.rcd-front?test=0")
    assert "For a supervisor" in page(home, at)


def test_what_is_no_entry_changes_nothing(home: Path) -> None:
    before = (home / "annexe" / "readings.csv").read_bytes()
    for value in ("0,3", "", "abc"):
        form = urlencode({"test": "0", "value": value}).encode()
        assert fetched(home, "POST", "/app/jobs/annexe/live/circuits.cooker", SAME, form)[0] == 422
    assert (home / "annexe" / "readings.csv").read_bytes() == before
    assert fetched(home, "GET", "/app/jobs/annexe/live/circuits.nothing", HOST)[0] == 404
    assert fetched(home, "GET", "/app/jobs/annexe/live/circuits.cooker/again?test=0", HOST)[0] == 404
    form = urlencode({"test": "0", "cannot": "not energised"}).encode()
    assert fetched(home, "POST", "/app/jobs/annexe/live/circuits.cooker", SAME, form)[0] == 303
    assert (home / "annexe" / "readings.csv").read_bytes() == before
    assert "not energised" in (home / "annexe" / "observations.csv").read_text("utf-8")


# ---- held: it failed dead ---------------------------------------------------------------------------------------------------
def dead(home: Path, circuit: str, test: str, value: str) -> None:
    form = urlencode({"test": test, "value": value}).encode()
    assert fetched(home, "POST", f"/app/jobs/annexe/test/{circuit}", SAME, form)[0] == 303


@pytest.mark.parametrize(("test", "value", "says"), [
    ("2", "0.4", "insulation resistance, line to earth, loads out, 0.4 MΩ"), ("2", "0", "insulation resistance, line to earth, loads out, 0 MΩ"),
    ("0", "OL", "a conductor may be open"), ("0", "88", "too far off to be believed")])
def test_a_circuit_that_failed_dead_is_held(home: Path, test: str, value: str, says: str) -> None:
    """The failed reading is named before any live entry, on the list and beside each entry; put right and read again, it is not."""
    sound = {"0": "0.10", "1": ">200", "2": ">200", "3": ">200"}
    for number, good in sound.items():
        dead(home, "cooker", number, value if number == test else good)
    again = main_text(fetched(home, "GET", f"/app/jobs/annexe/test/cooker/again?test={test}", HOST)[2])
    assert "Leave it off: it is not energised until this is put right and read dead again." in again
    text = page(home, "/circuits.cooker")
    assert "Held: " in text
    assert "Do not energise it" in text
    assert says in text
    assert "Keep" not in text, "no entry is asked for there"
    assert "Held, it failed dead: " in page(home, "")
    assert "Held, it failed dead: " in page(home, "/circuits.cooker?test=0"), "what was read live already may be written down beside it"
    assert "Held" not in page(home, "/circuits.lights")
    dead(home, "cooker", test, sound[test])
    assert "Held" not in page(home, "/circuits.cooker")
    assert "Held" not in page(home, "")


def test_what_reads_well_dead_calls_for_nothing(home: Path) -> None:
    dead(home, "cooker", "2", ">200")
    again = main_text(fetched(home, "GET", "/app/jobs/annexe/test/cooker/again?test=2", HOST)[2])
    assert "Leave it off" not in again


def test_the_floor_of_insulation_holds_below_it_alone(home: Path) -> None:
    """BS 7671 Table 64: 1 MΩ at 500 V is enough, a hundredth less is not."""
    for value, is_held in (("0.99", True), ("1", False), ("1.01", False), ("OL", False)):
        dead(home, "cooker", "2", value)
        assert ("Held: " in page(home, "/circuits.cooker")) is is_held, value


def test_a_board_read_low_as_a_whole_holds_each_of_its_circuits(home: Path) -> None:
    """So does a neutral that reads low to another circuit's: what was read between two is of both."""
    file = home / "annexe" / "readings.csv"
    columns = file.read_text("utf-8").partition("\n")[0].split(",")
    design = record(dict(read_folder(home / "annexe"))).design()
    board, stage = design.circuits["cooker"].board, design.inst.stage
    beside, other = (next(n for n, c in design.circuits.items() if n != "cooker" and (c.board == board) is so) for so in (True, False))
    row = {"id": "z-1", "stage": stage, "quantity": "insulation_mohm", "value": "0.3", "unit": "MΩ", "by": "Ann", "at": "2026-11-20T09:00"}
    before = file.read_text("utf-8").rstrip("\n")
    for a, b, held_now in ((f"equipment.{board}", "", {"cooker", beside}), (f"circuits.{other}.N", "circuits.cooker.N", {"cooker", other})):
        file.write_text(f"{before}\n{','.join({**row, 'a': a, 'b': b}.get(c, '') for c in columns)}\n", "utf-8")
        now = record(dict(read_folder(home / "annexe"))).design()
        assert {name for name in ("cooker", beside, other) if holds(now, f"circuits.{name}")} == held_now


def test_every_dead_screen_says_to_prove_dead(home: Path) -> None:
    """Each dead entry of each circuit, the list, the reading that is proposed, the hunt for a leak: beside the instruction itself."""
    found = record(dict(read_folder(home / "annexe")))
    for name in found.design().inst.circuits:
        for test in dead_tests(found.job, name):
            text = main_text(fetched(home, "GET", f"/app/jobs/annexe/test/{name}?test={test.id}", HOST)[2])
            assert "Prove dead at the point of work first" in text, test
    templates = Path(next(iter(web.__path__))) / "templates"
    for screen in ("told_next.html", "hunt.html", "ways.html"):
        assert "Prove dead at the point of work" in (templates / screen).read_text("utf-8"), screen
