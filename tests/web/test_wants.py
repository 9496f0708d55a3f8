"""A circuit of which little is known, on the phone: each want is one row, and names the checks that wait for it."""
from __future__ import annotations

import re
from pathlib import Path

from tests.rules.test_circuit_words import BARE
from tests.web.test_live import main_text
from tests.web.test_serving import HOST, asked

JOB = 'schema = 1\nsays = "bare"\nbooks.bs7671 = "2018+A4"\n'


def opened(folder: Path, found: str) -> str:
    (folder / "bare").mkdir(exist_ok=True)
    (folder / "bare" / "job.toml").write_text(JOB)
    (folder / "bare" / "found.toml").write_text(found)
    status, _, body = asked(folder, "GET", "/app/jobs/bare/circuit?of=cooker", HOST)
    assert status == 200
    return body.decode()


def test_each_want_is_one_row_and_no_block_is_without_its_rule(tmp_path: Path) -> None:
    page = opened(tmp_path, BARE)
    rows = re.findall(r'<details class="opens test unknown" id="(waits-\d+)">', page)
    assert 5 <= len(rows) <= 17, "folded: there are some twenty-six checks"
    assert 'id="check-ci1"' not in page
    text = main_text(page.encode())
    assert "cable not recorded" in text
    assert "t&e" not in text
    assert "Waits for: cable, device" in text
    assert text.count("Cannot tell whether") >= 20
    assert not re.search(r"Unknown Not known: [^.]*\(circuits\.", text)


def test_what_was_only_assumed_is_said_in_the_row_that_is_within(tmp_path: Path) -> None:
    """RT3: nobody read the temperature around the cable; that it is below that of its insulation rests on the tables' own."""
    assumed = "Assumed: temperature around the cable 30 °C"
    with_cable = BARE.replace('feeds = "cooker" }', 'feeds = "cooker", cable = { kind = "t&e", line_mm2 = 6%s } }')
    bare, read = (main_text(opened(tmp_path, with_cable % more).encode()) for more in ("", ", ambient_c = { measured = 25 }"))
    row = "Temperature around the cable 30 °C; below 70 °C"
    assert row in bare
    assert assumed in bare[bare.index(row):][:300]
    assert assumed not in read
