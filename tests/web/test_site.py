"""The site as files: whole, small, the same each time, and beside what a person keeps in the same folder."""
from __future__ import annotations

import gzip
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from spareway.web.policy import POLICY
from spareway.web.site import UNASKED, Built, NoRuntime, _moved, build
from tests.web.phone import ROOT


def files(folder: Path) -> dict[str, bytes]:
    return {f.relative_to(folder).as_posix(): f.read_bytes() for f in folder.rglob("*") if f.is_file()}


def test_the_service_worker_keeps_every_file_but_itself(built: tuple[Path, Built]) -> None:
    """What is precached and what lies in the folder are the same, so nothing is missing with no signal."""
    held = files(built[0])
    listed = re.search(r"^const FILES = (\[.*\]);$", held["sw.js"].decode(), re.M)
    assert listed is not None
    wanted = {name for name in held if not name.endswith(".gz")} - {"sw.js", "index.html", "NOTICE.txt"}
    assert set(json.loads(listed[1])) == wanted | {"./"}


def test_no_file_of_ours_names_another_host(built: tuple[Path, Built]) -> None:
    """No address of another host stands in the shell's own files; the policy is in the page for hosts that send no headers."""
    held = files(built[0])
    for name, data in held.items():
        if name.endswith((".html", ".css", ".webmanifest", ".js")) and name != "htmx.min.js":
            assert re.findall(rb"https?://(?!www\.w3\.org/2000/svg)", data) == [], name
    assert f'content="{POLICY}"' in held["index.html"].decode()


def test_packed_files_are_the_files(built: tuple[Path, Built]) -> None:
    """Each .gz beside a file unpacks to that file, and the sizes told are those on the disk."""
    held = files(built[0])
    packed = [name for name in held if name.endswith(".gz")]
    assert len(packed) > 8
    for name in packed:
        assert gzip.decompress(held[name]) == held[name.removesuffix(".gz")]
    assert {name: raw for name, (raw, _) in built[1].sizes.items()} == {n: len(d) for n, d in held.items() if not n.endswith(".gz")}


def test_licences_travel_along(built: tuple[Path, Built]) -> None:
    """Each library in the page has its licence's text in the site."""
    notice = (built[0] / "NOTICE.txt").read_text("utf-8")
    for library in ("starlette", "jinja2", "markupsafe", "anyio", "tomlkit"):
        assert re.search(rf"^{library} \d", notice, re.M)
    assert notice.count("Copyright") >= 5


def test_no_screen_asks_for_what_is_left_out() -> None:
    """Each screen is answered in a Python of its own, and no module that the phone does not get was loaded for it."""
    asked = "import sys; from spareway.web.waking import walked; walked(); print('\\n'.join(m.replace('.', '/') + '.py' for m in sys.modules))"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True, env={"PYTHONPATH": str(ROOT / "src")})
    loaded = done.stdout.splitlines()
    assert "jinja2/environment.py" in loaded
    assert [name for name in loaded if name.startswith((*UNASKED, "idna"))] == []


def test_a_new_site_takes_the_place_of_an_old_one_and_of_nothing_else(tmp_path: Path) -> None:
    """A file of somebody else's stays, an old packed file that has no successor goes."""
    new, into = tmp_path / "new", tmp_path / "into"
    for folder in (new / "py", into / "py"):
        folder.mkdir(parents=True)
    for name, text in {"CNAME": "mine", "py/a.zip": "old", "py/a.zip.gz": "old", "sw.js": "old"}.items():
        (into / name).write_text(text)
    for name in ("py/a.zip", "sw.js", "b.js", "b.js.gz"):
        (new / name).write_text("new")
    _moved(new, into)
    assert files(into) == {"CNAME": b"mine", "py/a.zip": b"new", "sw.js": b"new", "b.js": b"new", "b.js.gz": b"new"}


def test_without_a_runtime_it_says_what_is_missing(tmp_path: Path) -> None:
    """Nothing is written, and the folder and the remedy are named."""
    with pytest.raises(NoRuntime, match=r"holds no pyodide and htmx\.org: npm install"):
        build(tmp_path / "site", ROOT / "docs")
    assert list(tmp_path.iterdir()) == []
