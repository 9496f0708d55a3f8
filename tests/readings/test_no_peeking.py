"""What a reading should be is nowhere shown before it is taken, but to a supervisor who asks.

What to expect follows from lengths and sizes. So every face on which readings are asked for is looked at twice, the second time with
cables that would read otherwise: of what was not taken there may be no trace, so both must be the same to the byte. Limits follow
from devices and may stand. The papers of the design work out R1+R2 and Zs as the proof of a design, and change with its cables: there
no word and no key may offer a figure as what a tester should show.
"""
from __future__ import annotations

import asyncio
import html
import json
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from spareway import api
from spareway.api_readings import readings
from spareway.cli.readings import command
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.survey.live import live_tests, subjects
from spareway.survey.readings import dead_tests
from spareway.web.app import make_app
from spareway.web.phone import Phone, keep
from spareway.web.record import record
from spareway.web.shelf import MemoryShelf

ROOT = Path(__file__).parents[2] / "examples"
RINGS = {"granary-yard": "ring", "weir-cottage": "ring-ground"}
CABLES = ("found.toml", "work.toml", "fitted.toml")
SAYS = {"ring_r1_ohm": "Line", "ring_rn_ohm": "Neutral", "ring_r2_ohm": "Protective conductor"}
ENDS = tuple(SAYS)
OFFERED = re.compile(r"(?i)\b(expected|would read|should (read|show|have (read|shown|been)))\b")
# what a reading is worth before it is taken, and what it costs: no figure in ohms comes back from them
WORTH = re.compile(r'"(bits|minutes)": [\d.e-]+|[\d.]+ min\b')
Files = dict[str, str]


def with_rows(files: Mapping[str, str], kept: Callable[[str], bool]) -> Files:
    head, *lines = files["readings.csv"].splitlines(keepends=True)
    return {**files, "readings.csv": "".join([head, *(line for line in lines if kept(line))])}


def nothing(line: str) -> bool:
    return False


def line_and_neutral(line: str) -> bool:
    """Readings in which no protective conductor has a part."""
    return any(f",{each}," in line for each in ("ring_r1_ohm", "ring_rn_ohm", "ring_ln_ohm"))


def thinner_cpc(files: Mapping[str, str]) -> Files:
    """Every protective conductor of 1.5 mm² is 1.0 mm²: r2, L-E, R1+R2 and Zs would all read more."""
    return {name: text.replace("cpc_mm2 = 1.5", "cpc_mm2 = 1.0") if name in CABLES else text for name, text in files.items()}


def longer(files: Mapping[str, str]) -> Files:
    """Every length of a circuit is half as much again."""
    said = re.compile(r"\b(length_m|back_m)( = \{ (?:drawing|measured|stated) = )([\d.]+)")
    return {name: said.sub(lambda m: f"{m[1]}{m[2]}{float(m[3]) * 1.5:g}", text) if name in CABLES else text for name, text in files.items()}


# ---- the faces ------------------------------------------------------------------------------------------------------
def screen(files: Files, address: str, supervisor: bool = False) -> str:
    """A screen of the phone, answered in this process."""
    shelf = MemoryShelf({"job": dict(files)})
    keep(shelf, Phone(supervisor=supervisor))
    path, _, query = f"/app/jobs/job/{address}".partition("?")
    scope = {"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "GET", "path": path, "raw_path": path.encode(),
             "query_string": query.encode(), "root_path": "", "headers": [(b"host", b"127.0.0.1")], "scheme": "http",
             "server": ("127.0.0.1", 80), "client": ("127.0.0.1", 1)}
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        sent.append(message)

    asyncio.run(make_app(shelf, "phone")(scope, receive, send))
    assert sent[0]["status"] == 200, address
    return b"".join(message.get("body", b"") for message in sent).decode()


def prompted(files: Files, folder: Path, *options: str) -> str:
    """What `spareway readings` prints."""
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    done = CliRunner().invoke(command, [str(folder), *options])
    assert done.exit_code == 0, done.output
    return done.output


def faces(files: Files, ring: str, folder: Path) -> Iterator[tuple[str, str]]:
    """Everything on which readings are asked for or read back, by name."""
    job = read_job(files)
    yield "test", screen(files, "test")
    for name in job.at(None).circuits:
        tests = dead_tests(job, name)
        for each in tests[::9]:
            yield f"test of {name}, {each.says}", screen(files, f"test/{name}?test={each.id}")
    design = record(files).design()
    for subject in subjects(design):
        for live in live_tests(design, subject.at)[::7]:
            yield f"live test of {subject.at}, {live.says}", screen(files, f"live/{subject.at}?test={live.id}&ask=yes")
    for at in ("live", "signs?stage=found", "insulation?stage=found"):
        yield at, screen(files, at)
    for board in record(files).design("found").boards:
        yield f"hunt on {board}", screen(files, f"insulation/next?stage=found&board={board}")
    for at in ("readings", "readings/next"):
        yield at, screen(files, f"{at}?of={ring}&stage=found")
    yield "pocket page", re.sub(r"Of the check of this record:[^.]*\.", "", api.pocket_page(files))     # how many findings: they go by length
    yield "JSON", api.to_json(readings(files, "", "found"))
    yield "prompt", prompted(files, folder, "--stage", "found")


@pytest.mark.parametrize(("home", "otherwise"), [("granary-yard", longer), ("weir-cottage", thinner_cpc)])
def test_what_was_not_taken_leaves_no_trace(home: str, otherwise: Callable[[Mapping[str, str]], Files], tmp_path: Path) -> None:
    """No reading taken: cables that would read otherwise, and every face is the same to the byte, but for the metres of a picture."""
    files = with_rows(dict(read_folder(ROOT / home)), nothing)
    for name, as_it_is, as_it_were in twice(files, otherwise, RINGS[home], tmp_path / "job"):
        if otherwise is longer:
            as_it_is, as_it_were = (re.sub(r"[\d.]+ m\b", "", text) for text in (as_it_is, as_it_were))
        assert as_it_is == as_it_were, name


def test_what_was_taken_tells_nothing_of_the_rest(tmp_path: Path) -> None:
    """Line and neutral were read, and the protective conductor would read otherwise: no figure on any face is another."""
    files = with_rows(dict(read_folder(ROOT / "granary-yard")), line_and_neutral)
    for name, as_it_is, as_it_were in twice(files, thinner_cpc, "ring", tmp_path / "job"):
        assert figures(as_it_is) == figures(as_it_were), name


def twice(files: Files, otherwise: Callable[[Mapping[str, str]], Files], ring: str, folder: Path) -> Iterator[tuple[str, str, str]]:
    other = otherwise(files)
    assert other != files
    for (name, as_it_is), (_, as_it_were) in zip(faces(files, ring, folder), faces(other, ring, folder), strict=True):
        yield name, as_it_is, as_it_were


def figures(text: str) -> list[str]:
    """Every decimal number of a page, but for what readings are worth and how long they take."""
    return re.findall(r"\d+\.\d+", WORTH.sub("", plain(text)))


def test_a_trace_would_be_seen() -> None:
    """The same two cables where readings of the protective conductor do stand: the screen that then says what was expected differs."""
    files = dict(read_folder(ROOT / "granary-yard"))
    as_it_is, as_it_were = (figures(screen(each, "readings?of=ring&stage=found")) for each in (files, thinner_cpc(files)))
    assert as_it_is != as_it_were


@pytest.mark.parametrize(("home", "away"), [("granary-yard", ENDS), ("weir-cottage", ENDS[2:])])
def test_only_readings_that_stand_are_held_against_anything(home: str, away: tuple[str, ...]) -> None:
    """With one row away there is one thing less that was expected, and with none there is no such word on any screen."""
    files, ring = dict(read_folder(ROOT / home)), RINGS[home]
    for end in away:
        text = plain(screen(with_rows(files, lambda line, end=end: end not in line), f"readings?of={ring}&stage=found"))
        told = [each for each, says in SAYS.items() if re.search(rf"{says} end to end: (?:\S+ Ω|over range \(>[\d.]+\)); expected ", text)]
        assert told == [each for each in ENDS if each != end]
    empty = with_rows(files, nothing)
    for at in ("test", f"test/{ring}", f"readings?of={ring}&stage=found", f"readings/next?of={ring}&stage=found"):
        assert not OFFERED.search(plain(screen(empty, at))), at


def test_only_a_supervisor_who_asks_is_told(tmp_path: Path) -> None:
    """Asking without being one changes nothing, being one without asking shows no figure; together they give r2 of 38 m of 1.5 mm²,
    which is 38 × 12.1 mΩ = 0.46 Ω at 20 °C (IEC 60228), between bounds."""
    files = with_rows(dict(read_folder(ROOT / "granary-yard")), nothing)
    at = "test/ring?test=2"
    assert screen(files, at) == screen(files, f"{at}&ask=yes")
    assert figures(screen(files, at)) == figures(screen(files, at, supervisor=True)) == []
    told = [plain(screen(files, f"{at}&ask=yes", supervisor=True)), prompted(files, tmp_path / "job", "ring", "--supervisor")]
    for text in told:
        low, high = re.search(r"(?:For a supervisor|leg B, at the board): (\d\.\d+) to\s+(\d\.\d+)", text[text.index("rotective"):]).groups()   # type: ignore[union-attr]
        assert float(low) < 38 * 12.1 / 1000 < float(high)


@pytest.mark.parametrize("home", RINGS)
def test_no_paper_and_no_json_offers_a_figure(home: str) -> None:
    """Survey report (every finding is in it) and design sheet, with no reading taken: no word and no key says what a tester should
    show."""
    files = with_rows(dict(read_folder(ROOT / home)), nothing)
    documents = {"check and report": api.survey_report(files), "circuits and sheet": api.paper("design-sheet", files),
                 "readings": readings(files)}
    for name, document in documents.items():
        text = json.dumps(document, ensure_ascii=False)
        assert not OFFERED.search(text), name
        assert not [key for key in keys_of(document) if "expect" in key or "should" in key], name
    assert not OFFERED.search(plain(api.pocket_page(files)))


def plain(page: str) -> str:
    """The text of a page, one space between words."""
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def keys_of(value: Any) -> Iterator[str]:
    if isinstance(value, Mapping):
        for key, each in value.items():
            yield str(key)
            yield from keys_of(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from keys_of(each)
