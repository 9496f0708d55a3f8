"""The engine under Pyodide, the Python of the browser: it starts, reads its own data and gives CPython's bytes."""
from __future__ import annotations

import json
from typing import Any

import pytest

from spareway import bundled
from spareway.folder import read_folder
from tests.pyodide.run import ROOT, SnippetFailed, run_here, run_in_pyodide

SELF_TEST = """
import json, math, sys
from spareway import bundled
sums = [math.fsum(k * 10.0 ** power / 7 for k in range(1000)).hex() for power in range(-8, 9)]
print(json.dumps({"python": sys.version[:4], "platform": sys.platform, "sums": sums,
                  "files": files, "glossary": bundled.text("glossary.toml")}, ensure_ascii=False))
"""
FILES = {"found.toml": "note = '230 V × 0.34 Ω'\n"}


@pytest.fixture(scope="module")
def seen() -> dict[str, Any]:
    return dict(json.loads(run_in_pyodide(SELF_TEST, FILES)))


def test_the_package_and_its_data_load_in_the_browsers_python(seen: dict[str, Any]) -> None:
    """The snippet sees this tree's package, its bundled text and the files handed to it, non-ASCII letters included."""
    assert seen["python"] == "3.14"
    assert seen["platform"] == "emscripten"
    assert seen["files"] == FILES
    assert seen["glossary"] == bundled.text("glossary.toml")


def test_fsum_gives_the_same_bits_in_both(seen: dict[str, Any]) -> None:
    """The one sum we may use rounds alike on 3.11 and 3.14, over sixteen decades, to the last bit."""
    here = json.loads(run_here(SELF_TEST, FILES))
    assert len(seen["sums"]) == 17
    assert seen["sums"] == here["sums"]


def test_a_snippet_that_raises_is_not_an_empty_answer() -> None:
    """A failure inside either Python arrives here with its traceback; it can never be compared as equal silence."""
    for run in (run_in_pyodide, run_here):
        with pytest.raises(SnippetFailed, match=r"KeyError: 'job\.toml'"):
            run("files['job.toml']", {})


EVERY_JOB = """
import json, sys
from spareway import api
for name, texts in json.loads(files["jobs"]).items():
    said = api.to_json({name: api.check(texts, full=True)}).encode()
    for start in range(0, len(said), 4096):       # a write over 64 KiB is cut short there
        sys.stdout.buffer.write(said[start:start + 4096])
"""


def test_check_gives_the_same_bytes_in_the_browser() -> None:
    """Every example's findings, with their working, are equal byte for byte under CPython and under Pyodide."""
    jobs = {folder.parent.name: read_folder(folder.parent) for folder in sorted(ROOT.glob("examples/*/job.toml"))}
    assert len(jobs) >= 3
    files = {"jobs": json.dumps(jobs)}
    ours, theirs = run_here(EVERY_JOB, files), run_in_pyodide(EVERY_JOB, files)
    assert ours.count(b'"working"') > 500
    assert ours == theirs
