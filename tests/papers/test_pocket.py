"""The pocket page: one small plain file that opens anywhere, holds limits and no expected reading, and escapes what strangers wrote."""
from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from spareway.api import check, pocket_page
from spareway.cli.verbs import spareway
from spareway.papers.pocket import MOST_BYTES
from tests.papers.made import ALL, EXAMPLES, texts


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
    assert "it is not known here" in page, "no torque is made up"


def test_no_reading_that_is_to_be_expected_stands_in_it() -> None:
    """The worked-out loop of a circuit is what its reading should be near; it is not on the page, its limit is."""
    files = texts("weir-cottage")
    page = pocket_page(files, "proposed")
    worked = {f["value"] for f in check(files, "proposed")["findings"] if f["rule"] == "CI1" and f.get("value")}
    limits = set(re.findall(r"<b>([\d.]+) Ω</b>", page))
    assert worked
    assert not limits & {f"{value:.3g}" for value in worked}


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
