"""One slip of the thumb never locks a job: an entry that could not be read afterwards is refused; one from elsewhere locks no other."""
from __future__ import annotations

import html
import itertools
import re
import shutil
from io import BytesIO
from pathlib import Path
from urllib.parse import unquote, urlencode
from zipfile import ZipFile

import pytest
from starlette.applications import Starlette

from spareway import bundled
from spareway.api import check
from spareway.doc import InputError
from spareway.folder import read_folder
from spareway.job.rows import standing
from spareway.rules.specimen import _JOB as JOB
from spareway.survey.live import live_tests, subjects
from spareway.survey.readings import dead_tests
from spareway.web import pages
from spareway.web.app import make_app
from spareway.web.bridge import at_once
from spareway.web.record import record
from spareway.web.shelf import MemoryShelf
from tests.web.phone import ROOT
from tests.web.stage import texts, zipped
from tests.web.test_serving import HOST, asked

SAME = {**HOST, "sec-fetch-site": "same-origin"}
VALUES = ("0", "0.001", "700", "99999", "OL", ">", ">99999")
SCREENS = ("", "findings", "findings?stage=found", "picture", "live", "test", "insulation", "signs", "circuits", "rooms", "demand",
           "demand/drawn", "chain", "operator", "hazards", "join", "at/meter cabinet?id=all", "check.json", "job.zip")
OUT_OF_RANGE = "ann-9,found,fault_ka,supplies.main,,line to earth,700,kA,,,,,,{by},2026-11-20T10:00,\n"


def text(body: bytes) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body.decode())))


def get(home: Path, path: str) -> tuple[int, str]:
    status, _, body = asked(home, "GET", f"/app/{path}", HOST)
    return status, text(body) if status != 200 or not path.endswith(".zip") else ""


def post(home: Path, path: str, form: dict[str, str]) -> tuple[int, str]:
    status, _, body = asked(home, "POST", f"/app/{path}", SAME, urlencode(form).encode())
    return status, text(body)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A server's folder with two jobs in it, and somebody who holds the phone."""
    for name, example in (("annexe", "ridge-annexe"), ("weir", "weir-cottage")):
        shutil.copytree(ROOT / "examples" / example, tmp_path / name, ignore=shutil.ignore_patterns("overlays"))
    assert post(tmp_path, "this-phone", {"by": "Ann"})[0] == 303
    return tmp_path


def locked(home: Path, by: str = "Ann") -> None:
    """The annexe with a row from before, or from elsewhere, that says what it may not."""
    file = home / "annexe" / "readings.csv"
    file.write_text(file.read_text("utf-8") + OUT_OF_RANGE.format(by=by), "utf-8")


@pytest.mark.parametrize(("test", "value"), [("5", "700"), ("6", "99999"), ("3", "99999"), ("4", "99999")])
def test_a_reading_that_could_not_be_read_is_refused_before_it_is_kept(home: Path, test: str, value: str) -> None:
    """Fault current and loops at the origin beyond what may be: said on the entry's own screen, no row, every screen stands."""
    before = (home / "annexe" / "readings.csv").read_text("utf-8")
    status, says = post(home, "jobs/annexe/live/supplies.main", {"test": test, "value": value})
    assert status == 422
    assert "write a number from" in says
    assert (home / "annexe" / "readings.csv").read_text("utf-8") == before
    assert get(home, "")[0] == get(home, "jobs/annexe/")[0] == get(home, "jobs/annexe/live")[0] == 200


def entries(files: dict[str, str]) -> list[tuple[str, str]]:
    """(screen, test) of every reading that the phone asks for."""
    found = record(files)
    design = found.design()
    live = [(f"live/{each.at}", test.id) for each in subjects(design) for test in live_tests(design, each.at)]
    return [*live, *((f"test/{name}", test.id) for name in design.inst.circuits for test in dead_tests(found.job, name))]


def test_whatever_is_typed_every_screen_answers() -> None:
    """Every test of every screen, those of the supply with every such value: kept or refused, never a job that cannot be read.

    Every row stands together with all others of its value; some screens of the job are asked for then, others every time."""
    files = {"job.toml": f"{JOB}doorstep.medical = \"no\"\n", "found.toml": bundled.text("rules/specimen.toml")}
    refused, screens = set(), itertools.cycle(SCREENS)
    for turn, value in enumerate(VALUES):
        shelf = MemoryShelf({"home": dict(files)})
        app = make_app(shelf, "phone")
        phone(app, "POST", "this-phone", {"by": "Ann"})
        for n, (screen, test) in enumerate(entries(files)):
            if "supplies" not in screen and (n + turn) % len(VALUES):
                continue                                        # what joins no field of the record takes its values in turn
            status = phone(app, "POST", f"jobs/home/{screen}", {"test": test, "value": value})
            assert status in (303, 422), (screen, test, value)
            refused |= {(screen, value)} if status == 422 else set()
        record(shelf.files("home")).design()
        asked_now = [next(screens) for _ in range(2)]
        assert [(each, phone(app, "GET", f"jobs/home/{each}")) for each in asked_now] == [(each, 200) for each in asked_now], value
    assert {screen for screen, value in refused if value == "700"} == {"live/supplies.main"}
    assert refused


def phone(app: Starlette, method: str, path: str, form: dict[str, str] | None = None) -> int:
    path, _, query = f"/app/{path}".partition("?")
    return at_once(app, method, unquote(path), query, HOST.items(), urlencode(form or {}).encode(), "")[0]


def test_the_engine_names_file_and_line_of_such_a_row() -> None:
    """A row from elsewhere, beyond what may be, of each field of the supply: a fault at its place, and nothing else is raised."""
    files = dict(read_folder(ROOT / "examples" / "weir-cottage"))
    head = files["readings.csv"].partition("\n")[0]
    for quantity, value, unit in (("fault_ka", "700", "kA"), ("loop_ln_ohm", "99999", "Ω"), ("ze_ohm", "99999", "Ω")):
        row = {"id": "z-1", "stage": "found", "quantity": quantity, "a": "supplies.main", "value": value, "unit": unit, "by": "Bo", "at": "2026-11-20"}
        held = {**files, "readings.csv": f"{head}\n{','.join(row.get(c, '') for c in head.split(','))}\n"}
        with pytest.raises(InputError) as told:
            check(held)
        assert [(f.file, f.line) for f in told.value.faults] == [("readings.csv", 2)], quantity
        assert "write a number from" in str(told.value)


def test_a_job_that_cannot_be_read_locks_no_other(home: Path) -> None:
    """The list names it with the fault; the other job, New job and this phone answer; its own screens say what is wrong."""
    locked(home)
    status, says = get(home, "")
    assert status == 200
    assert "cannot be read: readings.csv:" in says
    assert "Weir" in says
    assert get(home, "jobs/weir/")[0] == get(home, "new")[0] == get(home, "this-phone")[0] == 200
    for screen in ("", "findings", "live", "circuits", "picture"):
        status, says = get(home, f"jobs/annexe/{screen}")
        assert status == 422
        assert "cannot be read" in says
        assert "write a number from" in says
        assert "Carry the job away as zip" in says
        assert "Strike this row" in says
        assert "Nothing was changed" not in says
    _, _, body = asked(home, "GET", "/app/jobs/annexe/job.zip", HOST)
    assert b"700,kA" in ZipFile(BytesIO(body)).read("readings.csv")
    _, _, body = asked(home, "GET", "/app/jobs/annexe/live", HOST)
    assert b'href="/app/"' in body, "a key leads to the jobs, not back to the same screen"


def test_its_own_row_is_struck_and_the_job_is_back(home: Path) -> None:
    """The row stays in its file, struck by one more; every screen answers again."""
    locked(home)
    assert post(home, "jobs/annexe/strike", {"file": "readings.csv", "row": "ann-9"})[0] == 303
    assert [get(home, f"jobs/annexe/{screen}")[0] for screen in ("", "findings", "live", "hazards")] == [200] * 4
    rows = record(dict(read_folder(home / "annexe"))).job.readings
    assert [(r.id, r.strikes, r.by) for r in rows[-2:]] == [("ann-9", "", "Ann"), ("ann-10", "ann-9", "Ann")]
    assert "ann-9" not in {r.id for r in standing(rows)}


def test_only_a_row_of_this_phone_that_is_at_fault_is_struck(home: Path) -> None:
    """Another phone's row, a sound row and a row that is not there are refused, and nothing is written."""
    locked(home)
    assert post(home, "this-phone", {"by": "Bo"})[0] == 303
    before = (home / "annexe" / "readings.csv").read_text("utf-8")
    assert "Strike this row" not in get(home, "jobs/annexe/")[1]
    for row in ("ann-9", before.split("\n")[1].partition(",")[0], "nobody-1"):
        assert post(home, "jobs/annexe/strike", {"file": "readings.csv", "row": row})[0] == 422
    assert (home / "annexe" / "readings.csv").read_text("utf-8") == before


def test_a_file_that_is_no_toml_locks_no_other_either(home: Path) -> None:
    """Not even its name can be read: the folder's name stands for it."""
    (home / "annexe" / "job.toml").write_text("says = [\n", "utf-8")
    status, says = get(home, "")
    assert (status, "annexe" in says, "cannot be read: job.toml" in says) == (200, True, True)
    assert "annexe cannot be read" in get(home, "jobs/annexe/")[1]


def test_every_save_of_a_page_goes_through_the_one_gate() -> None:
    """`shelf.save` stands only where a job begins, and where a row that locks one is struck."""
    folder = Path(next(iter(pages.__path__)))
    direct = {each.name: each.read_text("utf-8").count("shelf.save(") for each in folder.glob("*.py")}
    assert {name: n for name, n in direct.items() if n} == {"jobs.py": 2, "unreadable.py": 1}


def test_a_dispute_at_the_door_is_asked_in_words(home: Path) -> None:
    """Two phones answered one hazard two ways: the join screen says the question and both answers, not the name of a line."""
    files = texts("weir-cottage")
    mine, theirs = ({**files, "job.toml": f'{files["job.toml"]}\n[doorstep]\nsecond = "{said}"\n'} for said in ("yes", "no"))
    (home / "weir" / "job.toml").write_text(mine["job.toml"], "utf-8")
    asked(home, "POST", "/app/jobs/weir/join", SAME, zipped(theirs))
    says = get(home, "jobs/weir/join")[1]
    assert "Solar, a battery, a generator or a lead from a neighbour? Two people differ" in says
    assert "no / yes" in says
    assert "Not known: two people differ (no and yes)" in get(home, "jobs/weir/hazards")[1]
