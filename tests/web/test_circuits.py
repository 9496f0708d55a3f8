"""Circuits on the phone, with no server: opened, a number's working read, the length slid past where a verdict turns, a length kept."""
from __future__ import annotations

import base64
import re
import shutil
from collections.abc import Callable
from pathlib import Path

from tests.web.hosting import FOLDER, Host
from tests.web.phone import ROOT, Phone
from tests.web.test_same import BYTES
from tests.web.test_screens import JOB, set_up
from tests.web.test_serving import HOST, asked

COOKER = f"{JOB}circuit?of=cooker"
SLIDE = "#length_m-slide"


def slid(held: Phone, to: float, of: str = "length_m") -> None:
    """A slider moved as a finger leaves it: the browser's own input event; waits until its last value is worked out."""
    held.page.locator(f"#{of}-slide").fill(str(to))
    held.page.wait_for_selector(f"form[data-worked*='{of}={to:g}&'], form[data-worked$='{of}={to:g}']", state="attached")


def answer(held: Phone) -> str:
    return held.page.inner_text("#worked > .answer")


def in_cpython(folder: Path, path: str) -> bytes:
    status, _, body = asked(folder, "GET", f"/{path}", HOST)
    assert status == 200
    return body.replace(b'="/app/', f'="{FOLDER}app/'.encode())                # the site lies in a folder of its host


def test_a_circuit_is_opened_slid_and_kept(phone: Callable[..., Phone], host: Host, tmp_path: Path) -> None:
    """From the list to a card; a number opens to its working and its page; a length past the drop's limit turns the verdict and
    writes nothing; as measured, it is one line of the file that states it; the bytes are those of CPython."""
    held = phone()
    set_up(held, host)
    held.go(JOB)
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
    turns_m = float(re.findall(r"holds to ([\d.]+) m", answer(held))[0])
    slid(held, 30)
    assert "Fails" not in answer(held)
    held.page.locator("#length_m").fill(f"{turns_m + 1:g}")
    held.page.wait_for_selector("#worked > .answer >> text=Fails")
    assert f"holds at {turns_m:g} m or less" in answer(held)
    assert held.page.locator("#of-zs_limit_ohm[open]").count() == 1            # what was open stays open
    assert held.page.evaluate("document.activeElement.id") == "length_m"       # and the finger keeps its place
    slid(held, 21)
    assert "Fails" not in answer(held)
    assert "with Length 21 m" in answer(held)

    # the same bytes as under CPython
    shutil.copytree(ROOT / "examples" / "weir-cottage", tmp_path / "weir", ignore=shutil.ignore_patterns("overlays"))
    for query in ("of=cooker", "of=cooker&length_m=21&load_w=3000&ze_ohm=0.7&ambient_c=45", "of=ring-ground&stage=found"):
        path = f"{JOB}circuit/worked?{query}"
        there = base64.b64decode(held.page.evaluate(BYTES, held.path(path)))
        here = in_cpython(tmp_path, path)
        assert there == here

    # put in the job, as measured
    held.tap("button[value=measured]")
    held.page.wait_for_selector("text=21 m, holds to")
    assert held.page.locator(".moves[open]").count() == 0
    assert held.strange() == []
