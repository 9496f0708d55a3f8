"""A survey on a phone with no signal, from empty storage: the intake in few taps, the live picture, a ring read, carried home."""
from __future__ import annotations

import base64
from collections.abc import Callable

from spareway.api import check, exit_code, to_json
from spareway.folder.zipped import unpacked
from spareway.job.job import read_job
from spareway.wiring.expand import wire
from tests.survey.test_capture import SEEN, Unknown
from tests.web.hosting import Host
from tests.web.phone import Phone

MOST_TAPS = 40
JOB = "app/jobs/weir-cottage/"


def choose(phone: Phone, words: str) -> None:
    phone.tap(f"#screen button:text-is('{words}')")


def typed(phone: Phone, value: str) -> int:
    """A number by the page's own keypad: how many keys of it were pressed, which are counted apart."""
    if phone.page.query_selector("details.other:not([open])"):
        phone.tap("details.other > summary")                # one of the usual ones would have been a single tap
    for key in value:
        phone.tap(f"button[data-key='{key}']")
    return len(value)


def answered(phone: Phone, wanted: str | Unknown) -> int:
    """The question that is shown, answered; the keypad's digits."""
    if isinstance(wanted, Unknown):
        phone.tap(f"button[name=unknown][value='{wanted.why}']")
        return 0
    offered = phone.page.query_selector(f"button[name=value][value='{wanted}'], button[name=pick][value='{wanted}']")
    if offered is not None:
        phone.tap(f"button[name=value][value='{wanted}'], button[name=pick][value='{wanted}']")
        return 0
    digits = typed(phone, wanted)
    choose(phone, "Keep, and next")
    return digits


def carried(phone: Phone, job: str = "weir-cottage") -> bytes:
    """The zip as the page hands it out."""
    got = phone.page.evaluate("""async (to) => { const r = await fetch(to); const b = new Uint8Array(await r.arrayBuffer());
        let s = ''; for (const each of b) s += String.fromCharCode(each); return btoa(s); }""", phone.path(f"app/jobs/{job}/job.zip"))
    return base64.b64decode(got)


def shown(phone: Phone) -> str:
    """The id of the question on the screen."""
    return str(phone.page.input_value("form.ask input[name=id] >> nth=0"))


def begun(phone: Phone) -> None:
    """From empty storage to the list of places of a new job."""
    phone.page.fill("#by", "Ann")
    choose(phone, "Keep")
    phone.tap("a.key:text-is('New job')")
    phone.page.fill("#said", "Weir Cottage")
    choose(phone, "Keep, and next")
    choose(phone, "England")
    choose(phone, "not seen")
    phone.page.wait_for_selector("text=Hazard note")


def test_a_survey_with_no_signal(phone: Callable[..., Phone], host: Host) -> None:
    """Captured in at most 40 taps, wired like the cottage that was worked by hand, checked, and home in a zip."""
    held, digits = phone(), 0
    held.on()
    host.stop()
    begun(held)
    held.tap("a.row:has-text('Meter cabinet')")
    while held.page.query_selector("form.ask input[name=id]") and shown(held) in SEEN:
        digits += answered(held, SEEN[shown(held)])
    taps = held.taps - digits
    print(f"{taps} taps, {digits} digits apart")
    assert taps <= MOST_TAPS
    files = unpacked(carried(held)).texts
    inst = read_job(files).found
    network = wire(inst)
    assert network.potential(())["house.in.L"] == network.potential(())["second.in.L"] == "line"
    assert str(inst.equipment["cutout"].fuse_a) == "80 A"
    assert inst.runs["pair-2"].length_m.note == "goes through the wall"
    assert held.strange() == []

    # the live picture: a touch on the switch shows it open, and says so in words
    held.go(f"{JOB}picture")
    held.tap("a.touch[href*='touched=house.switch']")
    assert held.page.inner_text(".answer .arm") == "House switch: line live"
    assert "house.bar.L: no path in the record" in held.page.inner_text(".terminals")
    assert "Prove dead at the point of work, every time." in held.page.inner_text(".answer")

    # a ring is begun at the board, and its first reading taken
    held.go(f"{JOB}at/board%20cupboard?id=equipment.house.ways_n")
    answered(held, "8")
    held.go(f"{JOB}at/board%20cupboard?id=way.house.8")
    answered(held, "sockets ring")
    held.go(f"{JOB}test/sockets-ring")
    assert "Line, leg A to leg B" in held.page.inner_text("h2")
    typed(held, "0.37")
    choose(held, "Keep, and next")
    assert "nought point three seven ohms" in held.page.inner_text("#screen")
    files = unpacked(carried(held)).texts
    row = read_job(files).readings[-1]
    assert (row.quantity, row.value, row.by) == ("ring_r1_ohm", 0.37, "Ann")

    # what the page finds is what the command line finds, to the byte
    said = held.page.evaluate("async (to) => (await fetch(to)).text()", held.path(f"{JOB}check.json"))
    assert said == to_json(check(files))
    assert exit_code(check(files)) in (1, 3)
    assert held.strange() == []
