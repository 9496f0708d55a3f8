"""The pocket page: one small plain file that opens anywhere, holds limits and no expected reading, and escapes what strangers wrote."""
from __future__ import annotations

import html
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from spareway import api
from spareway.api import check, isolate, pocket_page
from spareway.bundled import text
from spareway.cli.verbs import spareway
from spareway.job.job import read_job
from spareway.papers.pocket import MOST_BYTES
from spareway.papers.words import label
from spareway.physics.choose import printed_down
from tests.papers.made import ALL, EXAMPLES, texts

B40 = {"job.toml": 'schema = 1\nnation = "England"\nbooks.bs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml") + """
[circuits.hot]
way = "unit.6"
feeds = "shower"
device = { kind = "mcb", curve = "B", rating_a = 40 }
cable = { kind = "t&e", line_mm2 = 6, cpc_mm2 = 2.5, length_m = 11, method = "C" }
"""}


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_it_is_one_small_plain_file(name: str, stage: str) -> None:
    """At most 500 kB, no script, nothing fetched from anywhere, well-formed, the same bytes twice; every caution stands in it."""
    page = pocket_page(texts(name), stage)
    assert len(page.encode()) <= MOST_BYTES
    assert page == pocket_page(texts(name), stage)
    assert not re.search(r"<script|javascript:|\son\w+=|src=|href=|url\(|@import", page)
    body = page.partition("<body>")[2].partition("</body>")[0].replace("<br>", "<br/>").replace("scope=col", 'scope="col"')
    ElementTree.fromstring(f"<body>{body}</body>")
    said = check(texts(name), stage)
    assert all(caution.replace('"', "&quot;") in page for caution in said["caution"])
    for off in said["lock_off"]:
        for control in off["lock_off"] or ():
            assert control in page


def test_limits_are_those_of_the_print() -> None:
    """B16 on TN, eight tenths of 0.95 x 230 / 80 A: 2.18 ohms, BS 7671 Table 41.3 and its note; insulation from Table 64: 1 megohm."""
    page = pocket_page(texts("weir-cottage"), "proposed")
    for limit in ("<b>2.18 Ω</b>", "<b>5.82 Ω</b>", "<b>1.09 Ω</b>"):      # B16, B6, B32: 2.185, 5.826 and 1.0925, rounded down
        assert limit in page
    assert "Insulation: at least 1 MΩ" in page
    assert "Maker's figure not recorded" in page, "no torque is made up"
    assert "BS 7671:2018+A4 Table 41.3 (derived, not confirmed against a print of this edition)" in page


def test_no_reading_that_is_to_be_expected_stands_in_it() -> None:
    """The worked-out loop of a circuit is what its reading should be near; it is not on the page, its limit is."""
    files = texts("weir-cottage")
    page = pocket_page(files, "proposed")
    worked = {f["value"] for f in check(files, "proposed")["findings"] if f["rule"] == "CI1" and f.get("value")}
    limits = set(re.findall(r"<b>([\d.]+) Ω</b>", page))
    assert worked
    assert not limits & {f"{value:.3g}" for value in worked}


def test_on_tt_the_limit_is_that_of_the_residual_current_device() -> None:
    """30 mA and 50 V: 1667 ohms, BS 7671 Table 41.5; never the loop of the breaker, which an electrode does not reach."""
    page = pocket_page(texts("ridge-annexe"), "proposed")
    assert '<b>1667 Ω</b> <span class="soft">by its residual-current device</span>' in page
    assert "<b>1.09 Ω</b>" not in page


@pytest.mark.parametrize(("earthing", "why"), [('{ unknown = "seal in the way" }', "seal in the way"), ('"IT"', "not judged")])
def test_with_no_earthing_there_is_no_limit(earthing: str, why: str) -> None:
    files = dict(texts("weir-cottage"))
    files["found.toml"], changed = re.subn(r'(?m)^(earthing\s*=\s*).*$', rf"\g<1>{earthing}", files["found.toml"])
    assert changed == 1
    page = pocket_page(files, "proposed")
    assert not re.search(r"<b>[\d.]+ Ω</b>", page)
    assert why in page


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_each_circuit_and_part_says_what_stays_live(name: str, stage: str) -> None:
    """As `isolate` answers: every control with who may open it; what stays live beside it; no cell is empty."""
    page = pocket_page(texts(name), stage)
    assert "<td></td>" not in page
    inst = read_job(texts(name)).at(stage)
    for circuit in inst.circuits:
        if circuit.startswith("surge"):                 # its modules are a part, and stand there
            continue
        told = isolate(texts(name), f"circuits.{circuit}", "skilled", stage)
        row = next(r for r in page.split("<section>") if r.startswith(f"<h3>{html.escape(label(inst, f'circuits.{circuit}'))}</h3>"))
        assert all(f"<b>{control}</b> (" in row for control in told["lock_off"] or ())
        assert {potential for _, potential in told["still"]} <= set(re.findall(r"line through a load|not known|neutral|line", row))


def test_a_borrowed_neutral_and_the_way_in_are_told() -> None:
    """Weir: two lighting circuits share a neutral, so one way's switch is not enough; with the board's switch off its way in is live."""
    page = pocket_page(texts("weir-cottage"), "proposed")
    row = next(r for r in page.split("<section>") if r.startswith("<h3>lights, ground floor and landing, board way 2<"))
    assert "<b>board.switch</b>" in row
    assert "line and neutral at board.in" in row
    cutout = next(r for r in page.split("<section>") if r.startswith("<h3>fuse of cutout<"))
    assert "Do not work on it" in cutout
    assert "line at cutout.in" in cutout


def test_what_strangers_wrote_is_text() -> None:
    files = dict(texts("weir-cottage"))
    files["job.toml"] = files["job.toml"].replace('says   = "', 'says   = "<script>alert(1)</script> & $title ')
    page = pocket_page(files, "found")
    assert "<script>" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; $title" in page


def test_the_verb_writes_it(tmp_path: Path) -> None:
    done = CliRunner().invoke(spareway, ["papers", str(EXAMPLES / "granary-yard"), "--only", "pocket-page", "--out", str(tmp_path)])
    assert done.exit_code == 0
    assert [each.name for each in tmp_path.iterdir()] == ["pocket-page-fitted.html"]


def test_a_limit_that_is_cut_already_is_not_cut_once_more() -> None:
    """B40: 0.8 x 0.95 x 230 / 200 A is 0.874, printed 0.87 (Table 41.3 and its note). As a float that is 0.86999...; it stays 0.870."""
    page = pocket_page(dict(B40), "found")
    assert "<b>0.870 Ω</b>" in page
    told = api.circuit(dict(B40), "hot", "found")["circuits"][0]["quantities"]
    assert [q["is"] for q in told if q["quantity"] == "zs_site_limit_ohm"] == ["0.870 Ω"]
    for cut, places, wanted in ((0.87, 2, 0.87), (2.185, 2, 2.18), (0.8740, 3, 0.874), (0.86999, 2, 0.86), (1.0925, 2, 1.09)):
        assert printed_down(cut, places) == wanted
