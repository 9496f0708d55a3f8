"""Rooms and demand on the phone: a room by thumb alone, every figure that of the engine, what is not known drawn as not known."""
from __future__ import annotations

import html
import json
import re
import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode

import pytest

from spareway.api import to_json
from spareway.api_demand import demand
from spareway.api_heat import heat
from spareway.api_operator import told as told_of
from spareway.api_service import service
from spareway.folder import read_folder
from spareway.folder.reading import LIMITS
from spareway.job.job import read_job
from spareway.tables.books import editions_on
from spareway.web.clock import today
from spareway.web.pages import demand as demand_page
from tests.web.phone import ROOT, Phone
from tests.web.stage import take, texts, zipped
from tests.web.test_journey import answered
from tests.web.test_serving import HOST
from tests.web.test_serving import asked as fetched

START, MINUTE = datetime(2026, 1, 12, 18, 5), timedelta(minutes=1)  # noqa: DTZ001   as a logger writes: the clock on its wall
SAME = {**HOST, "sec-fetch-site": "same-origin"}


def page(jobs: Path, path: str) -> str:
    """The words of a screen, as a person reads them."""
    status, _, body = fetched(jobs, "GET", f"/app/jobs/{path}", HOST)
    assert status == 200, path
    main = body.decode().partition("<main")[2].partition("</main>")[0]
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", main))).replace("\N{NO-BREAK SPACE}", " ").replace(" ,", ",").replace(" .", ".").replace(" :", ":")


def told(jobs: Path, path: str, **form: str) -> tuple[int, str]:
    """(status, where it leads) of an answer."""
    status, headers, _ = fetched(jobs, "POST", f"/app/jobs/{path}", SAME, urlencode(form).encode())
    return status, dict(map(tuple, headers)).get("location", "")          # type: ignore[arg-type]


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    """A server's folder with the cottage and the yard in it."""
    for name in ("weir-cottage", "granary-yard"):
        shutil.copytree(ROOT / "examples" / name, tmp_path / name, ignore=shutil.ignore_patterns("overlays"))
    assert fetched(tmp_path, "POST", "/app/this-phone", SAME, b"by=Ann")[0] == 303
    return tmp_path


# ---- in the browser ------------------------------------------------------------------------------------------------------
UTILITY = {"floor": "ground", "size.length_m": "3.2", "size.width_m": "2.1", "size.height_m": "2.4", "elements.wall.length_m": "5.3",
           "kind.wall": "outside-wall", "elements.window.area_m2": "1.2×1.05", "kind.window": "glazing", "elements.door.area_m2": "0",
           "kind.above": "roof", "kind.below": "heated-below", "design_c": "18", "air_changes_per_h": "2"}
MOST_TOUCHES = 50


def test_a_room_by_thumb_and_a_log_with_no_server(standing: Phone) -> None:
    """A room of the yard entered by touch alone, in at most fifty touches, which leaves 90 s more than a second for each; its loss
    is what was worked out by hand; then a log, of which one too large is refused unread and one of a day is told."""
    before, name = len(standing.strange()), "thumb-granary"
    take(standing, zipped({n: t for n, t in texts("granary-yard").items() if n != "fitted.toml"}), name)
    standing.go(f"app/jobs/{name}/rooms")
    began = standing.taps
    standing.tap(".sill a:text-is('New room')")
    standing.tap("button:text-is('Utility')")
    while standing.page.query_selector("form.ask input[name=id]"):
        answered(standing, UTILITY[standing.page.input_value("form.ask input[name=id] >> nth=0").removeprefix("rooms.utility.")])
    touches = standing.taps - began
    print(f"{touches} touches")
    assert touches <= MOST_TOUCHES
    by_hand_w = (0.45 * (5.3 * 2.4 - 1.2 * 1.05) + 2.8 * 1.2 * 1.05 + 0.29 * 3.2 * 2.1 + 0.33 * 2 * 3.2 * 2.1 * 2.4) * 21
    assert standing.page.inner_text("h2.arm").replace("\N{NO-BREAK SPACE}", " ") == f"{by_hand_w:.0f} W"
    standing.tap("button:text-is('Put 750 W in the work')")
    standing.page.wait_for_selector(".meets.within >> text=At 230 V: 750")
    standing.tap("a.row:has-text('Not all is answered')")
    standing.tap("button:text-is('Heat 2, board, way 3')")
    standing.page.wait_for_selector(".meets.within >> text=At 230 V: 750")

    # with gloves on the whole keypad and "keep" stand above the sill, times and plus one tap away
    assert standing.fetch("app/this-phone", {"gloves": "yes"})[0] == 204
    standing.go(f"app/jobs/{name}/rooms/ask?of=utility&id=rooms.utility.elements.window.area_m2")
    standing.page.evaluate("scrollTo(0, 0)")
    for selector in ("details.other > summary", "button[data-key='2']", "label[for=half]", "button[data-key='×']"):
        standing.tap(selector)
    assert standing.page.input_value("#said") == "2×"
    bottom_px = "(what) => document.querySelector(what).getBoundingClientRect().bottom"
    assert standing.page.evaluate(bottom_px, ".pad .main") <= 740 - standing.page.evaluate("document.querySelector('.sill').offsetHeight")
    assert standing.fetch("app/this-phone", {"gloves": "no"})[0] == 204

    standing.go(f"app/jobs/{name}/demand/log")
    too_large = {"name": "year.csv", "mimeType": "text/csv", "buffer": b"x" * (1048576 + 1)}
    standing.page.set_input_files("#csv", files=[too_large])          # type: ignore[list-item]
    standing.page.wait_for_selector("[data-sent]:has-text('year.csv: too large to take in: at most 1048576 bytes')")
    amps = [44.0] * 1440
    amps[300:304] = [61.0] * 4
    standing.page.set_input_files("#csv", files=[{"name": "day.csv", "mimeType": "text/csv", "buffer": minutes(*amps)}])
    standing.page.wait_for_selector("text=Above the 60")
    assert "4 min; the longest run 4 min, from 2026-01-12 23:05." in standing.page.inner_text("section[aria-label=recorded]")
    assert standing.page.locator(".figure.untold").count() == 1, "foreseen alone is unknown now"
    assert [each for each in standing.strange()[before:] if "404" not in each] == []


# ---- rooms ---------------------------------------------------------------------------------------------------------------
def test_each_room_is_told_as_the_engine_has_it(jobs: Path) -> None:
    """The cottage as SCENARIOS has it: 9,242 W, living between 1,925 and 2,414; stamped for 240 V three rooms fall short at 230 V
    and six at 216.2; ten heaters on five circuits."""
    text = page(jobs, "weir-cottage/rooms")
    assert text.split("Proposed", 1)[1].lstrip().startswith("9242 W on the design day, between 8291 and 10330 W")
    assert "At least" not in text
    assert "not answered" not in text
    assert "short at 230 V: Living, Kitchen, Bed 1." in text
    assert "short at 216.2 V: Living, Kitchen, Bed 1, Bed 2, Bed 3, Bath." in text
    assert "5 at least, by what they draw at 253 V" in text
    year = heat(read_folder(jobs / "weir-cottage"))["running"]
    kwh, gbp = year["heating_kwh"], year["cost_gbp"]
    assert f"Heat: {kwh['least']:.0f} to {kwh['most']:.0f} kWh. Cost: {gbp['least']:.0f} to {gbp['most']:.0f} GBP at 27 p/kWh, told, 2026-11-09" in text
    assert f"{kwh['as_recorded']:.0f}" not in text, "never one number"
    one = page(jobs, "weir-cottage/rooms/room?of=living")
    assert "2153 W" in one
    assert "between 1925 and 2414 W. Thermal transmittance of outside wall: 1.35 to 2.1" in one
    assert "Sizes that give it at 230 V: 1500 + 1250 W" in one
    said = heat(read_folder(jobs / "weir-cottage"), "living")["rooms"][0]
    assert all(line.replace("\N{NO-BREAK SPACE}", " ") in one for line in said["working"])
    assert "At 230 V, were they stamped for 240 V: 2526 W, 58 W short of what is wanted, 372 W above the loss" in one


def test_the_documents_are_those_of_the_engine(jobs: Path) -> None:
    for stage in ("", "found"):
        body = fetched(jobs, "GET", f"/app/jobs/weir-cottage/heat.json?stage={stage}", HOST)[2]
        assert body.decode() == to_json(heat(read_folder(jobs / "weir-cottage"), stage=stage or None))


def test_a_room_without_its_glass_is_not_known(jobs: Path) -> None:
    """Its window struck out of the record: the room and the home are not known, the drawing says so, and no heater is proposed."""
    file = jobs / "weir-cottage" / "premises.toml"
    file.write_text("".join(line for line in file.read_text("utf-8").splitlines(keepends=True)
                            if not line.startswith("elements.window = { of = \"glazing\", area_m2 = { measured = 3.6 }")), "utf-8")
    text = page(jobs, "weir-cottage/rooms")
    assert "Not known of 1 of 9 rooms" in text
    assert "living: not known" in text
    assert "short at 230 V: Kitchen, Bed 1; cannot tell of Living." in text
    one = page(jobs, "weir-cottage/rooms/room?of=living")
    assert "Loss not known" in one
    assert "no glass is listed for this wall" in one
    assert "Sizes that give it" not in one


LIVING = {"elements.door.area_m2": "0", "kind.above": "heated-above"}
LINES = ("elements.door ", "elements.above ")


def without(file: Path, room: str, *starts: str) -> None:
    """The lines of a room that start so, struck out of the record."""
    head, of, tail = file.read_text("utf-8").partition(f"[rooms.{room}]\n")
    block, gap, rest = tail.partition("\n\n")
    kept = [line for line in block.splitlines() if not line.startswith(starts)]
    assert len(kept) == len(block.splitlines()) - len(starts)
    file.write_text(f"{head}{of}{chr(10).join(kept)}{gap}{rest}", "utf-8")


def test_a_part_that_nobody_answered_is_not_nought(jobs: Path) -> None:
    """The cottage's living, door and ceiling struck out: at least so much, no size, no heater to put in. The door answered, the
    ceiling alone holds it back; answered, all of it is there, and the same two sizes as the command line has."""
    (jobs / "weir-cottage" / "work.toml").unlink()
    without(jobs / "weir-cottage" / "premises.toml", "living", *LINES)
    for open_ in ("door, above", "above"):
        one = page(jobs, "weir-cottage/rooms/room?of=living")
        assert f"At least 2153 W: {open_} not answered It loses so much on the design day through what is answered" in one
        assert "wanted with the margin: at least 2584 W" in one
        assert f"No size is told before these are answered: {open_}." in one
        assert "Sizes that give it" not in one
        assert told(jobs, "weir-cottage/rooms/heaters", of="living")[0] == 404
        text = page(jobs, "weir-cottage/rooms")
        assert f"At least 2153 W: {open_} not answered" in text
        assert "At least 9242 W: parts not answered in 1 of 9 rooms" in text
        assert "living at least 2153 W (1925 to 2414)" in text
        part = "elements.door.area_m2" if "door" in open_ else "kind.above"
        assert told(jobs, "weir-cottage/rooms/ask?of=living", id=f"rooms.living.{part}", value=LIVING[part])[0] == 303
    one = page(jobs, "weir-cottage/rooms/room?of=living")
    assert "At least" not in one
    assert "2153 W It loses so much on the design day, at 21 °C inside: between 1925 and 2414 W." in one
    assert "Sizes that give it at 230 V: 1500 + 1250 W" in one
    assert "Put 1500 + 1250 W in the work" in one
    assert told(jobs, "weir-cottage/rooms/heaters", of="living")[0] == 303


def test_heaters_are_not_enough_for_a_loss_of_which_parts_are_missing(jobs: Path) -> None:
    """All of the cottage is met; with door and ceiling of the living struck out it is not, and has no mark of it; those of the
    record that are struck out and said again by another name are answered."""
    file = jobs / "weir-cottage" / "premises.toml"
    whole = file.read_text("utf-8")
    assert "Met at 230 V: 9 of 9 rooms." in page(jobs, "weir-cottage/rooms")
    without(file, "living", *LINES)
    text = page(jobs, "weir-cottage/rooms")
    assert text.count("cannot tell:") == 1
    assert "Met at 230 V: 8 of 9 rooms." in text
    assert "cannot tell: door, above not answered" in page(jobs, "weir-cottage/rooms/room?of=living")
    body = fetched(jobs, "GET", "/app/jobs/weir-cottage/rooms", HOST)[2].decode()
    assert body.count('class="row unknown"') == 1
    file.write_text(whole.replace("elements.wall ", "elements.gable ").replace('cut_from = "wall"', 'cut_from = "gable"')
                    .replace("elements.gable  = { area_m2 = 0 }", 'elements.gable  = { of = "outside-wall", area_m2 = 0 }').replace("elements.above  = {", 'elements.ply    = { part = "above",'), "utf-8")
    assert "9242 W on the design day" in page(jobs, "weir-cottage/rooms")
    assert "length of wall that faces outside 13.1 m" in page(jobs, "weir-cottage/rooms/ask?of=living&id=all")
    assert "What is above? nothing is lost there" in page(jobs, "weir-cottage/rooms/ask?of=living&id=all").replace("what is above?", "What is above?")


def test_heaters_whose_floor_nobody_said_are_no_number_of_circuits(jobs: Path) -> None:
    """The yard's rooms without their floor: how many circuits are needed is not known, and whose floor is missing stands there."""
    assert "2 at least, by what they draw at 253 V" in page(jobs, "granary-yard/rooms")
    file = jobs / "granary-yard" / "premises.toml"
    file.write_text(file.read_text("utf-8").replace('floor = "top"\n', ""), "utf-8")
    text = page(jobs, "granary-yard/rooms")
    assert "How many are needed is not known." in text
    assert "which floor heater-living, heater-bed-1, heater-bed-2, heater-bath and heater-hall stand on is not recorded" in text
    assert " at least, by what they draw" not in text


def test_a_room_is_entered_and_its_heaters_put_in_the_work(jobs: Path) -> None:
    """A new room of the yard, answered one question after another, each leading to the next; its loss at the end, worked out here
    apart; then its heater, as a line of the work that is there once."""
    assert told(jobs, "granary-yard/rooms/new", use="utility") == (303, "/app/jobs/granary-yard/rooms/ask?of=utility")
    (jobs / "granary-yard" / "fitted.toml").unlink()
    answers = {"floor": "ground", "size.length_m": "3", "size.width_m": "2", "size.height_m": "2.4", "elements.wall.length_m": "5", "kind.wall": "outside-wall",
               "elements.window.area_m2": "1.2×1", "kind.window": "glazing", "elements.door.area_m2": "0", "kind.above": "roof", "kind.below": "heated-below",
               "design_c": "18", "air_changes_per_h": "2"}
    leads = "/app/jobs/granary-yard/rooms/ask?of=utility"
    for field, value in answers.items():
        status, leads = told(jobs, "granary-yard/rooms/ask?of=utility", id=f"rooms.utility.{field}", value=value)
        assert status == 303, field
    assert leads == "/app/jobs/granary-yard/rooms/room?of=utility"
    by_hand_w = (0.45 * (5 * 2.4 - 1.2) + 2.8 * 1.2 + 0.29 * 6 + 0.33 * 2 * 3 * 2 * 2.4) * 21
    assert f"{by_hand_w:.0f} W It loses so much" in page(jobs, "granary-yard/rooms/room?of=utility")
    assert "Put 500 W in the work" in page(jobs, "granary-yard/rooms/room?of=utility")
    assert told(jobs, "granary-yard/rooms/heaters", of="utility")[0] == 303
    assert 'heater-utility = { kind = "panel-heater", room = "utility", stamped_w = { drawing = 500 }' in (jobs / "granary-yard" / "work.toml").read_text("utf-8")
    assert told(jobs, "granary-yard/rooms/heaters", of="utility")[0] == 404
    assert "heaters give 500 W at 230 V: enough" in page(jobs, "granary-yard/rooms")


def test_a_home_begun_on_the_phone_says_what_its_rooms_wait_for(jobs: Path) -> None:
    """From an empty job: no room; one with all of its own answers waits for those of the whole home, which are one tap away;
    answered, its loss is there."""
    begun = {"called": "Mill House", "nation": "England", "earthing": "TN-S", "edition": editions_on(today())[-1]}
    assert fetched(jobs, "POST", "/app/new", SAME, urlencode(begun).encode())[0] == 303
    assert "No heated room yet" in page(jobs, "mill-house/rooms")
    assert told(jobs, "mill-house/rooms/new", use="hall and stairs")[1].endswith("of=hall-and-stairs")
    own = {"floor": "ground", "size.length_m": "4", "size.width_m": "2", "size.height_m": "2.5", "elements.wall.length_m": "0", "kind.above": "heated-above", "kind.below": "solid-floor"}
    for field, value in own.items():
        assert told(jobs, "mill-house/rooms/ask?of=hall-and-stairs", id=f"rooms.hall-and-stairs.{field}", value=value)[0] == 303, field
    room = page(jobs, "mill-house/rooms/room?of=hall-and-stairs")
    assert "Loss not known" in room
    assert "The whole home: cold outside, air, bridges, margin 4 not answered" in room
    home = {"place": "Birmingham", "air_basis": "after 2006", "bridging_w_per_m2k": "0.15", "margin_share": "0.1"}
    for field, value in home.items():
        assert told(jobs, "mill-house/rooms/ask", id=f"heating.main.{field}", value=value)[0] == 303
    by_hand_w = (0.8 * 8 + 0.15 * 8 + 0.33 * 0.5 * 4 * 2 * 2.5) * (18 + 3.4)
    assert f"{by_hand_w:.0f} W It loses so much on the design day, at 18 °C inside" in page(jobs, "mill-house/rooms/room?of=hall-and-stairs")


def test_what_is_no_answer_is_asked_again(jobs: Path) -> None:
    """Refused in a sentence with the question still there, and the file as it was; a room or a question that is none."""
    before = (jobs / "weir-cottage" / "premises.toml").read_bytes()
    length = "rooms.living.size.length_m"
    assert told(jobs, "weir-cottage/rooms/ask?of=living", id=length, value="4,6")[0] == 422
    assert told(jobs, "weir-cottage/rooms/ask?of=living", id="rooms.living.size.colour", value="4")[0] == 422
    assert told(jobs, "weir-cottage/rooms/ask?of=attic", id=length, value="4")[0] == 404
    assert told(jobs, "weir-cottage/rooms/new", use="ballroom")[0] == 422
    assert told(jobs, "weir-cottage/rooms/heaters", of="living")[0] == 404, "it has heaters"
    for path in ("rooms/room?of=attic", "rooms/ask?of=attic"):
        assert fetched(jobs, "GET", f"/app/jobs/weir-cottage/{path}", HOST)[0] == 404
    assert (jobs / "weir-cottage" / "premises.toml").read_bytes() == before
    assert "Living: length" in page(jobs, f"weir-cottage/rooms/ask?of=living&id={length}")
    assert "no answer yet" not in page(jobs, "weir-cottage/rooms/ask?of=living&id=all")
    assert told(jobs, "weir-cottage/rooms/new", use="WC")[0] == 303
    assert "no answer yet" in page(jobs, "weir-cottage/rooms/ask?of=wc&id=all")
    assert "How cold is it outside" in page(jobs, "weir-cottage/rooms/ask?id=all")


# ---- demand --------------------------------------------------------------------------------------------------------------
def minutes(*amps: float) -> bytes:
    """A logger's week that begins on a January evening: a row a minute."""
    return ("at,current_a\n" + "".join(f"{START + k * MINUTE:%Y-%m-%dT%H:%M},{a:.1f}\n" for k, a in enumerate(amps))).encode()


def sent(jobs: Path, name: str, data: bytes, job: str = "granary-yard") -> tuple[int, str]:
    """A log brought in as the page sends it: (status, where it leads or what is said)."""
    status, headers, body = fetched(jobs, "POST", f"/app/jobs/{job}/demand/log?{urlencode({'called': name})}", SAME, data)
    return status, dict(map(tuple, headers)).get("location", "") or html.unescape(body.decode())          # type: ignore[arg-type]


def test_four_figures_stand_side_by_side_and_what_is_not_known_is_not_nought(jobs: Path) -> None:
    """Weir as SCENARIOS has it: three readings of the book, recorded and foreseen unknown with a reason; each with its question."""
    body = fetched(jobs, "GET", "/app/jobs/weir-cottage/demand", HOST)[2].decode()
    four = [re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", each)) for each in re.findall(r'<li class="figure.*?</li>', body, re.S)]
    assert len(four) == 4
    assert [each.replace("\N{NO-BREAK SPACE}", " ").count("?") for each in four] == [1, 1, 2, 2]
    assert "82.0 to 137 A" in four[1].replace("\N{NO-BREAK SPACE}", " ")
    assert [("unknown" in each) for each in four] == [False, False, True, True]
    assert len(re.findall('class="figure untold"', body)) == 2
    text = page(jobs, "weir-cottage/demand")
    for reading in ("137 A: heaters whole", "115 A: heaters as heating and power", "82.0 A: without any fixed heater"):
        assert reading in text
    assert "That it never blew is no evidence" in text
    assert "The phone does not simulate" in text
    assert "Holds for 4 h: unknown" in text
    assert "now 137 A (+58.2 A)" in text
    assert not re.search(r"(?<![\d.])0 A\b", text)


def test_a_log_brought_in_tells_the_minutes_above_the_fuse(jobs: Path) -> None:
    """Four minutes of 61 A planted at a known time in a day of 44 A: found there, on the 60 A of the yard; kept as sent; the
    document with it is the engine's."""
    amps = [44.0] * 1440
    amps[300:304] = [61.0] * 4
    status, leads = sent(jobs, "january week.csv", minutes(*amps))
    assert (status, leads) == (303, "/app/jobs/granary-yard/demand?log=january-week.csv")
    assert (jobs / "granary-yard" / "logs" / "january-week.csv").read_bytes() == minutes(*amps)
    text = page(jobs, "granary-yard/demand")
    assert "61 A january-week.csv, 1440 minutes, 0 missing, with everything connected since" in text
    assert "January-week.csv, 61 A with what was connected since, settles nothing: 1 day where 7 are asked for" in text
    assert "january-week.csv: 1440 rows, 0 missing. 61 A is the highest minute, 2026-01-12 23:05." in text
    assert "Above the 60 A of the fuse: 4 min; the longest run 4 min, from 2026-01-12 23:05." in text
    assert "never blew" not in text
    for query, given in (("?log=january-week.csv", ("january-week.csv", minutes(*amps).decode())), ("", None)):
        body = json.loads(fetched(jobs, "GET", f"/app/jobs/granary-yard/demand.json{query}", HOST)[2])
        engine = json.loads(to_json(demand(read_folder(jobs / "granary-yard"), log=given)))
        assert {key: body[key] for key in engine if key != "caution"} == {key: of for key, of in engine.items() if key != "caution"}
    assert fetched(jobs, "GET", "/app/jobs/granary-yard/demand?log=none.csv", HOST)[0] == 404


def test_a_log_of_before_the_work_says_what_is_not_in_it(jobs: Path) -> None:
    """The cottage before its heaters, 60.6 A: no minute above 80 A as logged, 116 A with what is connected since; drawn so too."""
    assert sent(jobs, "before.csv", minutes(*[60.6] * 1440), "weir-cottage")[0] == 303
    text = page(jobs, "weir-cottage/demand")
    assert "Above the 80 A of the fuse: 0 min, as logged; 55.4 A connected since is not in it, 116 A with it." in text
    for what in ("day", "length"):
        assert "55.4 A" in page(jobs, f"weir-cottage/demand/drawn?what={what}")


def test_of_several_logs_the_highest_that_holds_is_gone_by_and_named(jobs: Path) -> None:
    """Not the last by its name: a day of 61 A, above the fuse, before one of 20 A. Two that are no credit leave the 44 A on record,
    and are told beside it."""
    for name, highest_a in (("z.csv", 20.0), ("m.csv", 50.0)):
        assert sent(jobs, name, minutes(*[highest_a] * 1440))[0] == 303
    text = page(jobs, "granary-yard/demand")
    assert "44 A the log january on record, with everything connected since; m.csv, 50 A with what was connected since, settles nothing" in text
    assert "m.csv: 1440 rows" in text
    assert sent(jobs, "a.csv", minutes(*[61.0] * 1440))[0] == 303
    text = page(jobs, "granary-yard/demand")
    assert "61 A a.csv, 1440 minutes" in text
    assert "Recorded, 61 A: 1 A over" in page(jobs, "granary-yard/chain")
    assert "z.csv: 1440 rows" in page(jobs, "granary-yard/demand?log=z.csv")


def test_the_figures_and_a_log_are_drawn_against_the_fuse(jobs: Path) -> None:
    """Of a job without a log the figures alone are offered; with one its worst day and how long it is how much: four minutes above
    60 A are drawn as such."""
    where = "granary-yard/demand/drawn"
    assert "Worst day" not in page(jobs, where)
    assert fetched(jobs, "GET", f"/app/jobs/{where}?what=day", HOST)[0] == 404
    amps = [44.0] * 1440
    amps[300:304] = [61.0] * 4
    assert sent(jobs, "day.csv", minutes(*amps))[0] == 303
    told_so = {what: page(jobs, f"{where}?what={what}") for what in ("figures", "day", "length")}
    assert "Four figures of demand" in told_so["figures"]
    assert all("61" in words for words in told_so.values())
    assert re.search(r"4 min", told_so["day"])


def test_a_mean_of_half_an_hour_gives_no_highest_minute(jobs: Path) -> None:
    rows = "".join(f"{START + 30 * k * MINUTE:%Y-%m-%dT%H:%M},{20 + k % 3}\n" for k in range(48))
    assert sent(jobs, "half.csv", f"at,current_a\n{rows}".encode())[0] == 303
    text = page(jobs, "granary-yard/demand")
    assert "? unknown a row every 30 min" in text
    assert "min; the longest run" not in text
    assert "a mean as long as that hides the minutes" in page(jobs, "granary-yard/demand/drawn?what=day")


@pytest.mark.parametrize(("data", "wrong"), [
    (b"at,current_a\n2026-01-12T18:05,12\n2026-01-12T18:05,13\n", "this minute stands in the row before too"),
    (b"when,amps\n2026-01-12T18:05,12\n", "there is no column at"),
    (b"PK\x03\x04\xff\xfe\x00 a workbook", "is no text in UTF-8"),
    (b"at,current_a\n2026-01-12T18:05,1 2\n2026-01-12T18:06,nan\n", "no current"),
    (b"x" * (1048576 + 1), "too large to take in")], ids=["twice", "columns", "workbook", "no-number", "too-large"])
def test_what_is_no_log_is_refused_and_nothing_is_kept(jobs: Path, data: bytes, wrong: str) -> None:
    status, says = sent(jobs, "../../week.csv", data)
    assert (status, wrong in says) == (422, True)
    assert not (jobs / "granary-yard" / "logs").exists()
    assert sorted(each.name for each in jobs.iterdir() if not each.name.startswith(".")) == ["granary-yard", "weir-cottage"]


def test_a_job_that_could_not_be_read_back_takes_no_more_logs(jobs: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At the limit of a whole job the next log is refused and the others stay: else the whole of it would be lost to a laptop."""
    size = len("".join(read_folder(jobs / "granary-yard").values()).encode())
    day = minutes(*[44.0] * 60)
    monkeypatch.setattr(demand_page, "LIMITS", replace(LIMITS, folder_bytes=size + len(day)))
    assert sent(jobs, "one.csv", day)[0] == 303
    status, says = sent(jobs, "two.csv", day)
    assert (status, "is as large as a job may be" in says) == (422, True)
    assert [each.name for each in (jobs / "granary-yard" / "logs").iterdir()] == ["one.csv"]


def test_a_name_that_leads_elsewhere_is_made_plain(jobs: Path) -> None:
    """Whatever a phone calls the file, it lies in the job's own folder of logs."""
    for called, name in (("../../week.CSV", "week.csv"), ("", "log.csv"), ("Woche №1 .csv", "Woche-1.csv"), ("." * 200, "log.csv")):
        assert sent(jobs, called, minutes(1, 2))[1].endswith(f"?log={name}"), called
    assert {each.name for each in (jobs / "granary-yard" / "logs").iterdir()} == {"week.csv", "log.csv", "Woche-1.csv"}


# ---- the service ---------------------------------------------------------------------------------------------------------
def test_the_chain_is_asked_again_behind_a_larger_fuse(jobs: Path) -> None:
    """The yard as SCENARIOS has it: its riser holds 60 A by 1 A and does not hold 80; three answers on its 13 m stand apart; who
    alone may raise the fuse is said; each answer on the screen is the engine's."""
    now, raised = page(jobs, "granary-yard/chain"), page(jobs, "granary-yard/chain?to=80")
    assert "Not known of every part" in now
    assert "61 A; at least 60 A (rated current of the fuse in the supply). To spare: 1 A" in now
    assert "Riser, 13 m: three answers kept apart" in now
    assert "Not every part holds" in raised
    assert "No: carries what the fuse lets through." in raised
    assert "Short by 19 A; the weakest stretch is conduit" in raised
    assert "which nobody but the network operator puts in" in raised
    said = service(read_folder(jobs / "granary-yard"), raises_a=(80.0,))["raised"][0]
    for part in said["parts"]:
        for each in part["answers"]:
            assert f"{each['answer'].capitalize()}: {each['asks']}. {each['says']}" in raised, each
    assert "By the book, heaters whole, 81.8 A: 1.79 A over" in raised
    assert fetched(jobs, "GET", "/app/jobs/granary-yard/chain?to=630", HOST)[0] == 404


def test_what_the_operator_wants_is_told_with_every_reason(jobs: Path) -> None:
    """The cottage: apply first, by the book above 60 A; a log of 44 A brought in is told beside it, as the engine tells it."""
    text = page(jobs, "weir-cottage/operator")
    assert "Apply first" in text
    assert "By the book 137 A, above 60 A" in text
    assert "The service loops on to a neighbour: not recorded" in text
    assert "Phases of the supply: not recorded" in text
    assert not re.search(r"\((supplies|equipment)\.", text), "an address of the record is nothing to read on a wall"
    assert "What network operators declare and ask, of no recorded edition: greatest demand of a dwelling (confirmed)" in text
    assert "No leave to draw it is on record" in text
    assert sent(jobs, "day.csv", minutes(*[44.0] * 1440))[0] == 303
    text = page(jobs, "granary-yard/operator")
    log = ("day.csv", minutes(*[44.0] * 1440).decode())
    reasons = told_of(read_folder(jobs / "granary-yard"), log=log)["reasons"]
    assert any("44 A" in each["says"] for each in reasons)
    for each in reasons:
        assert re.sub(r" \((supplies|equipment)\.[^)]*\)", "", each["says"])[1:] in text, each["says"]


def test_what_the_operator_waits_for_is_answered_on_site(jobs: Path) -> None:
    """Five answers of the cottage, each its line of found.toml; the reasons that waited for them go, and a looped service, harm or
    an operator of whom nothing is on record is told as such."""
    before = page(jobs, "weir-cottage/operator")
    assert "6 not answered about the service" in before
    assert "whether the cut-out shows heat or harm is not recorded" in before.replace("Whether", "whether")
    for where, value in (("supplies.main.looped", "false"), ("equipment.cutout.damage", "none"), ("equipment.cutout.carrier_a", "100"),
                      ("supplies.main.phases_n", "1"), ("supplies.main.operator", "  operator east ")):
        assert told(jobs, "weir-cottage/service/ask", id=where, value=value)[0] == 303
    assert told(jobs, "weir-cottage/service/ask", id="equipment.blocks.rating_a", unknown="not read") == (303, "/app/jobs/weir-cottage/operator")
    after = page(jobs, "weir-cottage/operator")
    assert "not answered" not in after
    assert "shows heat or harm" not in after
    assert "Phases of the supply" not in after
    assert "operator east" in after
    assert "Nothing of what it wants is on record" in after
    supply = read_job(read_folder(jobs / "weir-cottage")).found.supplies["main"]
    assert (supply.operator.value, supply.looped.value, supply.phases_n.value) == ("operator east", False, 1)
    assert told(jobs, "weir-cottage/service/ask", id="equipment.cutout.damage", value="burnt")[0] == 303
    assert "urnt" in page(jobs, "weir-cottage/operator")
    for where, value in (("supplies.main.operator", " "), ("supplies.main.looped", "perhaps"), ("supplies.main.phases_n", "2"), ("equipment.cutout.carrier_a", "8o"),
                         ("equipment.meter.rating_a", "100")):
        assert told(jobs, "weir-cottage/service/ask", id=where, value=value)[0] == 422, where


@pytest.mark.parametrize(("path", "id_", "value", "in_file"), [
    ("at/meter%20cabinet", "equipment.cutout.fuse_a", "99999", "found.toml"), ("at/board%20cupboard", "equipment.house.ways_n", "100000", "found.toml"),
    ("rooms/ask?of=living", "rooms.living.size.height_m", "2350", "premises.toml"), ("rooms/ask", "heating.main.margin_share", "20", "premises.toml"),
    ("service/ask", "equipment.cutout.carrier_a", "1000", "found.toml")])
def test_a_slip_of_the_thumb_never_takes_a_job_away(jobs: Path, path: str, id_: str, value: str, in_file: str) -> None:
    """A number beyond all that can be is asked about again, with what is allowed; it is not written, for the job could not be read
    with it, and every screen of it would be gone."""
    before = (jobs / "weir-cottage" / in_file).read_bytes()
    sent_form = urlencode({"id": id_, "value": value}).encode()
    status, _, body = fetched(jobs, "POST", f"/app/jobs/weir-cottage/{path}".replace("%20", " "), SAME, sent_form)
    alert = re.search(r'role="alert">(.*?)</p>', body.decode())
    assert alert is not None
    assert (status, value in alert[1]) == (422, True)
    print(alert[1])
    assert f'name="id" value="{id_}"' in body.decode(), "the question stands there again"
    assert (jobs / "weir-cottage" / in_file).read_bytes() == before
    assert fetched(jobs, "GET", "/app/jobs/weir-cottage/findings", HOST)[0] == 200
