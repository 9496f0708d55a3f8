"""Circuits on the phone, with no server: opened, a number's working read, the length slid past where a verdict turns, a length kept."""
from __future__ import annotations

import base64
import re
import shutil
import zipfile
from io import BytesIO
from pathlib import Path

from tests.web.hosting import FOLDER
from tests.web.phone import ROOT, Phone
from tests.web.stage import take, texts, zipped
from tests.web.test_same import BYTES
from tests.web.test_serving import HOST, asked


def slid(held: Phone, to: float, of: str = "length_m") -> None:
    """A slider moved as a finger leaves it: the browser's own input event; waits until its last value is worked out."""
    held.page.locator(f"#{of}-slide").fill(str(to))
    held.page.wait_for_selector(f"form[data-worked*='{of}={to:g}&'], form[data-worked$='{of}={to:g}']", state="attached")


def answer(held: Phone) -> str:
    return held.page.inner_text("#worked > .answer")


def kept_file(held: Phone, job: str, name: str) -> str:
    """A file of the job as it would be carried away now."""
    with zipfile.ZipFile(BytesIO(base64.b64decode(held.page.evaluate(BYTES, held.path(f"{job}job.zip"))))) as carried:
        return carried.read(name).decode()


def in_cpython(folder: Path, path: str) -> bytes:
    status, _, body = asked(folder, "GET", f"/{path}", HOST)
    assert status == 200
    return body.replace(b'="/app/', f'="{FOLDER}app/'.encode())                # the site lies in a folder of its host


def brought(held: Phone, name: str) -> str:
    """A cottage of its own for a test that changes it; its address."""
    take(held, zipped(texts("weir-cottage")), name)
    return f"app/jobs/{name}/"


def test_a_circuit_is_opened_slid_and_kept(standing: Phone, tmp_path: Path) -> None:
    """From the list to a card; a number opens to its working and its page; a length past the drop's limit turns the verdict and
    writes nothing; as measured, it is one line of the file that states it; the bytes are those of CPython."""
    held, before = standing, len(standing.strange())
    job = brought(held, "slid")
    held.go(job)
    held.tap("a[href$='/circuits']")
    worst_first = held.page.locator(".row .small.ink").all_inner_texts()
    assert worst_first[0].startswith("Fails")
    held.tap("a[href*='of=cooker']")
    assert "7 m, holds to" in answer(held)

    # a number, its working, its page
    held.page.locator("#of-zs_limit_ohm > summary").tap()
    opened = held.page.inner_text("#of-zs_limit_ohm")
    assert "Zs,max = Cmin × U0 / Ia" in opened
    assert "411.4.4" in opened

    # past the turning point and back
    held.page.locator(".moves > summary").tap()
    turns_m = float(re.findall(r"and to ([\d.]+) m at the most", answer(held))[0])
    slid(held, 30)
    assert "Fails" not in answer(held)
    held.page.locator("#length_m").fill(f"{turns_m * 1.2:.1f}")                 # beyond it by the tables and however cool it runs
    held.page.wait_for_selector(f"#worked > .answer >> text=holds at {turns_m:g} m or less")
    held.page.locator("#length_m").fill("150")
    held.page.wait_for_selector("#worked > .answer >> text=Fails")
    assert f"holds at {turns_m:g} m or less" in answer(held)
    assert held.page.locator("#of-zs_limit_ohm[open]").count() == 1            # what was open stays open
    assert held.page.evaluate("document.activeElement.id") == "length_m"       # and the finger keeps its place
    slid(held, 21)
    assert "Fails" not in answer(held)
    assert "with Length 21 m" in answer(held)

    # the same bytes as under CPython
    shutil.copytree(ROOT / "examples" / "weir-cottage", tmp_path / "slid", ignore=shutil.ignore_patterns("overlays"))
    for query in ("of=cooker", "of=cooker&length_m=21&load_w=3000&ze_ohm=0.7&ambient_c=45", "of=ring-ground&stage=found"):
        path = f"{job}circuit/worked?{query}"
        there = base64.b64decode(held.page.evaluate(BYTES, held.path(path)))
        here = in_cpython(tmp_path, path)
        assert there == here

    # put in the job, as measured
    held.tap("button[value=measured]")
    held.page.wait_for_selector(".moves:not([open])")
    assert answer(held).count("21 m, holds to") == 1
    assert "in the record 21 m" in held.page.text_content(".moves")
    assert "length_m = { measured = 21 }" in kept_file(held, job, "found.toml")
    assert held.strange()[before:] == []


def test_a_new_circuit_is_chosen_as_it_moves_and_put_in_the_work(standing: Phone, tmp_path: Path) -> None:
    """Asked for in four touches, answered with cable, device and every refusal; a longer one gets the larger cable that its
    turning point named; nothing is written until it is put in the work; then it is a circuit like the others."""
    held, strange_n = standing, len(standing.strange())
    job = brought(held, "chosen")
    before = kept_file(held, job, "work.toml")
    held.go(f"{job}circuits")
    held.tap("text=New circuit")
    assert "Say what it feeds" in answer(held)
    held.page.select_option("#feeds", "panel-heater")
    slid(held, 2, "load_kw")
    slid(held, 14)
    held.page.locator("label:has(input[value='100'])").tap()
    held.page.wait_for_selector("#worked .holds")
    held.page.wait_for_selector("form[data-worked*='method=100']", state="attached")
    first = held.page.inner_text(".holds")
    turns = held.page.inner_text("section[aria-label='the choice']")
    holds_m, then = re.findall(r"length of a cable 14 m, stated: holds to ([\d.]+) m, then (\S+ mm² t&e)", turns)[0]
    slid(held, int(float(holds_m)))
    assert held.page.inner_text(".holds") == first
    held.page.locator("#length_m").fill(f"{float(holds_m) + 0.5:g}")
    held.page.wait_for_selector(f".holds:has-text('{then}')")
    assert "Refused with" in held.page.inner_text("#worked")
    assert kept_file(held, job, "work.toml") == before

    shutil.copytree(ROOT / "examples" / "weir-cottage", tmp_path / "chosen", ignore=shutil.ignore_patterns("overlays"))
    path = f"{job}new-circuit/worked?feeds=shower&load_kw=9.5&length_m=20&method=C&cable=t%26e&ze_ohm=0.2&ambient_c=40"
    assert base64.b64decode(held.page.evaluate(BYTES, held.path(path))) == in_cpython(tmp_path, path)

    held.page.fill("#called", "Loft heater")
    held.tap("text=Put it in the work")
    held.page.wait_for_selector("h1:has-text('loft heater')")
    assert kept_file(held, job, "work.toml").startswith(before.rstrip())
    assert "[circuits.loft-heater]" in kept_file(held, job, "work.toml")
    held.tap(".sill a:has-text('Circuits')")
    assert "loft heater" in held.page.inner_text(".list")
    assert held.strange()[strange_n:] == []
