"""Tests on the phone: a reading told only once it is entered, a slip asked about, and two rings placed with the server stopped."""
from __future__ import annotations

import html
import re
import shutil
from pathlib import Path
from urllib.parse import urlencode

import pytest

from spareway.api_readings import readings
from spareway.doc import InputError
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.readings import of_job
from spareway.readings.as_wired import as_wired
from spareway.readings.of_job import explained
from spareway.survey.readings import dead_tests, proposed, row_taken
from spareway.web.pages import told
from spareway.web.record import record
from spareway.web.shelf import MemoryShelf
from spareway.web.tester import TakenWith, asked, keep, taken_with
from tests.web.phone import ROOT, Phone
from tests.web.stage import take, texts, zipped
from tests.web.test_serving import HOST
from tests.web.test_serving import asked as fetched

SAME = {**HOST, "sec-fetch-site": "same-origin"}
OHMS = re.compile(r"\d Ω")
# Weir's neutral from leg A with the ends open: 52 m at 7.41 mΩ/m (IEC 60228) and 12 °C, 0.42 Ω too much after point 6 (SCENARIOS)
AT_M = (4, 9, 14, 21, 27, 33, 38, 44, 48)


ROUND_M, N_OHM, E_OHM = 52, 0.00741 * 0.968, 0.0121 * 0.968              # of 2.5 and 1.5 mm², a metre at 12 °C


def shown_ohm(says: str) -> str:
    """What the tester shows of the neutral from leg A, or of neutral to earth with these two cross-connected: two paths in parallel."""
    point = int(re.findall(r"\bp(\d)$", says)[0])
    at_m, before, after = AT_M[point - 1], 0.42 if point > 6 else 0.0, 0.42 if point <= 6 else 0.0
    if "neutral, from leg A at the board" in says:
        return f"{at_m * N_OHM + before:.2f}"
    assert says.startswith("Neutral and protective conductor cross-connected at the board: neutral to earth"), says
    one, other = at_m * N_OHM + before + (ROUND_M - at_m) * E_OHM, (ROUND_M - at_m) * N_OHM + after + at_m * E_OHM
    return f"{one * other / (one + other):.2f}"


def three_steps() -> dict[str, str]:
    """The cottage as found, with its ring read by the three steps and no further."""
    files = {name: text for name, text in texts("weir-cottage").items() if name != "work.toml"}
    files["readings.csv"] = "".join(line for line in files["readings.csv"].splitlines(keepends=True) if ",leg_ohm," not in line)
    return files


def main_text(body: bytes | str) -> str:
    text = body.decode() if isinstance(body, bytes) else body
    return re.sub(r"<[^>]+>", " ", text.partition("<main")[2].partition("</main>")[0])


# ---- in the browser ---------------------------------------------------------------------------------------------------
def test_two_rings_are_placed_on_the_phone(standing: Phone) -> None:
    """Granary at once, between 5 and 6. Weir not by the three steps, and the phone says so; after at most four readings that it
    asks for, typed by its keypad, between 6 and 7. Before each entry no ohms stand on the screen."""
    before = len(standing.strange())
    take(standing, zipped(texts("granary-yard")), "rings-granary")
    standing.go("app/jobs/rings-granary/readings?of=ring&stage=found")
    assert standing.page.inner_text("h2.arm") == "The protective conductor is open between p5 and p6."
    assert standing.page.locator("svg.dwg title", has_text="suspect E 5 6").count() == 1

    take(standing, zipped(three_steps()), "rings-weir")
    standing.go("app/jobs/rings-weir/tester?of=ring-ground")
    standing.page.fill("#temp_c", "12")
    standing.page.locator("label:has(input[name=instrument])").first.tap()
    standing.page.locator("label:has(input[name=nulled][value=yes])").tap()
    standing.tap("button:text-is('Keep for today')")
    standing.go("app/jobs/rings-weir/readings?of=ring-ground")
    assert re.match(r"These readings do not tell \d+ faults apart: a loose joint in the neutral", standing.page.inner_text("h2.arm"))
    taken = 0
    while "Read next" in standing.page.inner_text(".sill") and taken < 5:
        standing.tap(".sill a:has-text('Read next')")
        assert not OHMS.search(standing.page.inner_text("main"))
        says = standing.page.inner_text("h2.arm")
        for key in shown_ohm(says):
            standing.tap(f"button[data-key='{key}']")
        standing.tap("button:text-is('Keep, and next')")
        standing.page.wait_for_selector(".answered, h2.arm:has-text('apart'), h2.arm:has-text('neutral')")
        taken += 1
    assert standing.page.inner_text("h2.arm") == "A loose joint in the neutral between p6 and p7."
    assert 1 <= taken <= 4
    assert [each for each in standing.strange()[before:] if "404" not in each] == []


# ---- the same pages without a browser ------------------------------------------------------------------------------------
@pytest.fixture
def yard(tmp_path: Path) -> Path:
    """A server's folder with the yard in it, and somebody who holds the phone, measuring at 15 °C."""
    shutil.copytree(ROOT / "examples" / "granary-yard", tmp_path / "yard", ignore=shutil.ignore_patterns("overlays"))
    for page, form in (("this-phone", {"by": "Ann"}), ("jobs/yard/tester", {"temp_c": "15", "instrument": "tester-2", "nulled": "yes"})):
        assert fetched(tmp_path, "POST", f"/app/{page}", SAME, urlencode(form).encode())[0] == 303
    return tmp_path


def entered(yard: Path, test: int, value: str) -> str:
    """Where an entry of the ring leads."""
    status, headers, _ = fetched(yard, "POST", "/app/jobs/yard/test/ring", SAME, urlencode({"test": test, "value": value}).encode())
    assert status == 303
    return dict(map(tuple, headers))["location"]            # type: ignore[arg-type]


def test_a_slip_is_asked_about_and_stays_as_written(yard: Path) -> None:
    """4.5 for 0.45: shown again with what was expected and the question; taken again, both rows stand in the file."""
    page = fetched(yard, "GET", "/app/jobs/yard/test/ring?test=2", HOST)[2]
    assert not OHMS.search(main_text(page)), "nothing is told before the entry"
    again = entered(yard, 2, "4.5")
    assert again == "/app/jobs/yard/test/ring/again?test=2"
    text = main_text(fetched(yard, "GET", again, HOST)[2])
    assert "far above it" in text
    assert "Might it be 0.45 Ω?" in text
    assert entered(yard, 2, "0.45").endswith("test/ring?test=3")
    rows = (yard / "yard" / "readings.csv").read_text("utf-8").splitlines()[-2:]
    assert [row.split(",")[6] for row in rows] == ["4.5", "0.45"]
    assert rows[1].endswith(f",{rows[0].split(',')[0]}"), "the second strikes the first"
    after = main_text(fetched(yard, "GET", "/app/jobs/yard/test/ring?test=3", HOST)[2])
    assert "As expected." in after
    assert not OHMS.search(after.replace("0.45 Ω", "")), "what the next one should be is not told by the last"
    own = main_text(fetched(yard, "GET", "/app/jobs/yard/test/ring?test=2", HOST)[2])
    assert re.search(r"Expected [\d.]+ to [\d.]+ Ω: as expected\.", own)
    assert fetched(yard, "GET", "/app/jobs/yard/test/ring/again?test=5", HOST)[0] == 404
    assert entered(yard, 10, "0.31").endswith("test/ring?test=11"), "a little outside is no reason to stop"
    assert "Above what was expected" in main_text(fetched(yard, "GET", "/app/jobs/yard/test/ring?test=11", HOST)[2])
    assert "again" in entered(yard, 17, "0.4"), "insulation below its floor is"


def test_one_reading_more_is_not_weighed_from_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    """The screen after an entry goes on from the one before it, whatever else was asked in between."""
    files = three_steps()
    told._explained(record(files), "found", "ring-ground")
    told._explained(record(texts("granary-yard")), "found", "ring")
    monkeypatch.setattr(of_job, "rank", lambda *_: pytest.fail("weighed from the start"))
    test = proposed("ring-ground", "leg A N p5", "neutral, from leg A")
    assert test is not None
    more = files | row_taken(files, test, "found", "0.19", "Ann", "2026-11-20T12:00", "ann", {"temp_c": "12", "nulled": "yes"})
    found = told._explained(record(more), "found", "ring-ground")
    assert found.ranked is not None
    assert found.ranked.taken["leg A N p5"] == pytest.approx(0.19 / 0.968, rel=2e-3)        # 12 °C, 0.00393 a kelvin


def test_insulation_is_told_circuit_by_circuit(yard: Path) -> None:
    """The cottage as found: cooker first, then immersion (SCENARIOS), each with its questions; one board alone; a board that is none."""
    shutil.copytree(ROOT / "examples" / "weir-cottage", yard / "cottage", ignore=shutil.ignore_patterns("overlays"))
    text = main_text(fetched(yard, "GET", "/app/jobs/cottage/insulation?stage=found", HOST)[2])
    assert text.index("Cooker: what may lie behind it") < text.index("Immersion: what may lie behind it")
    assert "Is everything on it unplugged" in text
    office = main_text(fetched(yard, "GET", "/app/jobs/cottage/insulation?stage=found&board=office", HOST)[2])
    assert "Cooker" not in office
    assert fetched(yard, "GET", "/app/jobs/cottage/insulation?board=loft", HOST)[0] == 404


def test_what_next_is_that_of_the_engine(yard: Path) -> None:
    """The acts in the order of `readings.todo`, five of which decide 57 % of what is unknown of the cottage by the record, 61 % with what a person settles; none says ohms."""
    shutil.copytree(ROOT / "examples" / "weir-cottage", yard / "cottage", ignore=shutil.ignore_patterns("overlays"))
    body = fetched(yard, "GET", "/app/jobs/cottage/next?stage=found", HOST)[2].decode()
    said = readings(dict(read_folder(yard / "cottage")), stage="found", next_too=True)["todo"]
    shown = [html.unescape(f"{words} {what}") for words, what in re.findall(r"<li><b>(.*?)</b> (.*?)<br>", body)]
    assert shown[:5] == [each["says"] for each in said["next"]]
    assert said["next"][4]["share"] >= 0.6
    assert f"{said['unknown']} findings are unknown" in body
    assert "about" in body


def test_a_flag_means_what_its_maker_says(yard: Path) -> None:
    """What is seen and the maker's meaning with its place are one row without a code; a meaning without a place, a thing that is
    none, and nothing seen are refused; a colour alone stays without a meaning."""
    def told(**said: str) -> int:
        return fetched(yard, "POST", "/app/jobs/yard/flag", SAME, urlencode({"where": "equipment.isolator", **said}).encode())[0]

    assert told(shows="red window", means="spent, replace the module") == 422
    assert told(shows="") == 422
    assert told(shows="red window", where="equipment.nothing") == 422
    assert told(shows="red window", means="spent, replace the module", written="its sheet, page 2") == 303
    assert told(shows="green flag") == 303
    seen = read_job(dict(read_folder(yard / "yard"))).observations[-2:]
    assert [(o.where, o.code, o.says) for o in seen] == [
        ("equipment.isolator", "", "shows red window; its maker: spent, replace the module (its sheet, page 2)"),
        ("equipment.isolator", "", "shows green flag; what that means is not known yet")]


def test_only_a_supervisor_who_asks_is_told_before(yard: Path) -> None:
    """Nobody else, whatever the address says; a supervisor not before they ask; then least and most, and why."""
    def shown(query: str) -> str:
        return main_text(fetched(yard, "GET", f"/app/jobs/yard/test/ring?{query}", HOST)[2])

    assert not OHMS.search(shown("test=0&ask=yes"))
    assert fetched(yard, "POST", "/app/this-phone", SAME, urlencode({"supervisor": "yes"}).encode())[0] == 303
    assert not OHMS.search(shown("test=0"))
    assert "what should it be?" in shown("test=0")
    assert re.search(r"For a supervisor: [\d.]+ to [\d.]+ Ω", shown("test=0&ask=yes"))


def test_a_tester_says_whether_it_is_in_calibration(yard: Path) -> None:
    """By the dates in kit.toml and the day of today: before its end, after it, and where none is recorded."""
    kit = yard / "yard" / "kit.toml"
    asked_for = "/app/jobs/yard/tester"
    for until, says in (("until = 2999-04-13", "in calibration until 2999-04-13"), ("until = 2020-04-13", "out of calibration since 2020-04-13"),
                        ("serial = \"0077\"", "calibration not recorded")):
        kit.write_text(f'[kit]\ntester-2 = {{ what = "multifunction tester", {until} }}\n', encoding="utf-8")
        assert f"tester-2: multifunction tester, {says}" in main_text(fetched(yard, "GET", asked_for, HOST)[2])


def test_an_entry_carries_what_it_was_measured_with(yard: Path) -> None:
    """Tester, temperature and leads of today stand in the row; a temperature that is none is refused in words."""
    entered(yard, 0, "0.28")
    row = (yard / "yard" / "readings.csv").read_text("utf-8").splitlines()[-1].split(",")
    assert row[9:13] == ["tester-2", "yes", "out", "15"]
    status, _, body = fetched(yard, "POST", "/app/jobs/yard/tester", SAME, urlencode({"temp_c": "1,5"}).encode())
    assert status == 422
    assert "with a point" in main_text(body)


@pytest.mark.parametrize("form", [{"test": "leg A N p5", "value": "0,19"}, {"test": "leg A N p5", "value": ""}, {"test": "leg A N p99", "value": "1"}, {"test": "", "value": "1"}])
def test_what_is_no_entry_changes_nothing(yard: Path, form: dict[str, str]) -> None:
    before = (yard / "yard" / "readings.csv").read_bytes()
    status, _, _ = fetched(yard, "POST", "/app/jobs/yard/readings/next?of=ring&stage=found", SAME, urlencode(form).encode())
    assert status == 422
    assert (yard / "yard" / "readings.csv").read_bytes() == before


def test_what_was_said_yesterday_is_forgotten() -> None:
    """A new day asks again; a note that cannot be read is as none; what is not said is told."""
    shelf = MemoryShelf()
    keep(shelf, asked({"temp_c": "12", "instrument": "t", "nulled": "yes"}, "2026-11-25"))
    assert taken_with(shelf, "2026-11-25").row == {"instrument": "t", "temp_c": "12", "nulled": "yes"}
    assert taken_with(shelf, "2026-11-26") == TakenWith()
    assert TakenWith().says == "not said: tester, temperature, leads"
    assert TakenWith("t-1", "12", "yes").says == "t-1, 12\N{NO-BREAK SPACE}°C, leads nulled"
    assert "leads not nulled" in TakenWith(nulled="no").says
    shelf.keep_note("tester.json", "[")
    assert taken_with(shelf, "2026-11-25") == TakenWith()
    for warm in ("1,5", "warm", "1e1", "１２"):
        with pytest.raises(InputError):
            asked({"temp_c": warm}, "2026-11-25")


POINTS = """points.p1 = { from = "way", length_m = 5 }
points.p2 = { from = "p1", length_m = 6 }
points.p3 = { from = "p1", length_m = 7 }
"""


@pytest.mark.parametrize(("name", "points"), [("ring", ""), ("cooker", ""), ("cooker", POINTS)])
def test_a_row_of_what_was_proposed_is_read_as_that(name: str, points: str) -> None:
    """Each reading of a ring or a radial that a row can hold: written as the phone writes it, it is weighed under its own name."""
    files = dict(read_folder(ROOT / "examples" / "granary-yard"))
    files["found.toml"] = files["found.toml"].replace("[circuits.cooker]\n", f"[circuits.cooker]\n{points}")
    wired = as_wired(record(files).design("found").circuits[name])
    assert not isinstance(wired, str), wired
    ring = name == "ring"
    held = {probe: test for probe in wired.probes if (test := proposed(name, probe, "x", ring)) is not None}
    assert len(held) >= (3 + 6 * 7 if ring else 6 * 3 if points else 4)
    assert all("far end" in probe for probe in wired.probes if probe not in held)
    bare = {**files, "readings.csv": files["readings.csv"].splitlines()[0] + "\n"}
    some = dict([*held.items()][::4])
    for test in some.values():
        bare |= row_taken(bare, test, "found", "0.20", "Ann", "2026-11-16T12:00", "ann", {"temp_c": "15"})
    assert [probe for probe, _ in explained(record(bare).design("found").circuits[name]).rows] == list(some)
    if not ring:
        return
    dead = {(t.quantity, t.a, t.b, t.setup) for t in dead_tests(read_job(files), "ring")}
    wanted = {(t.quantity, t.a, t.b, t.setup) for name, t in held.items() if not name.startswith(("leg", "N-E"))}
    assert wanted <= dead, "what the usual test asks for is asked for in the same words"
