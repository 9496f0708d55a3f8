"""One engine behind three faces: the page, a server and the command line give the same bytes, and the page's is the one under test."""
from __future__ import annotations

import _imp
import base64
import json
import shutil
import subprocess
import sys
import zipfile
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path
from typing import Any

from spareway.folder.zipped import pack
from spareway.web.site import NOT_ON_THE_PHONE, POCKET, Built
from tests.web.phone import ROOT, Phone
from tests.web.test_serving import HOST, asked

STAGES = {"weir-cottage": ("found", "proposed"), "granary-yard": ("found", "proposed", "fitted"), "ridge-annexe": ("found", "proposed")}
# verb, example, stage; "": the furthest that the folder holds
CASES = [("check", "granary-yard", ""), *(("check", name, stage) for name, stages in STAGES.items() for stage in stages),
         *((verb, name, "") for verb in ("heat", "demand") for name in STAGES)]
TAKE = """async ([to, zip]) => (await fetch(to, {method: 'POST', headers: {'HX-Request': 'true'},
    body: Uint8Array.from(atob(zip), (c) => c.charCodeAt(0))})).status"""
BYTES = """async (to) => { const b = new Uint8Array(await (await fetch(to)).arrayBuffer());
    let s = ''; for (const each of b) s += String.fromCharCode(each); return btoa(s); }"""
IN_THE_CACHE = """async (to) => { const kept = await (await caches.match(new URL(to, document.baseURI))).arrayBuffer();
    return [...new Uint8Array(await crypto.subtle.digest('SHA-256', kept))].map((b) => b.toString(16).padStart(2, '0')).join(''); }"""


def holds_what_was_asked_for(verb: str, said: dict[str, Any]) -> bool:
    """Two documents that both lack what they are for would be alike too: findings, rooms with what each loses through, and rows of the book."""
    if verb == "check":
        return len(said["findings"]) > 100
    if verb == "heat":
        return len(said["rooms"]) > 1 and all(room["elements"] for room in said["rooms"])
    return len(said["book"]["lines"]) > 1 and all(line["of"] for line in said["book"]["lines"])


def in_the_page(held: Phone, verb: str, name: str, stage: str) -> bytes:
    return base64.b64decode(held.page.evaluate(BYTES, held.path(f"app/jobs/{name}/{verb}.json?stage={stage}")))


def at_the_prompt(case: tuple[str, str, str]) -> bytes:
    verb, name, stage = case
    command = [sys.executable, "-m", "spareway.cli", verb, str(ROOT / "examples" / name), "--json", *(["--stage", stage] if stage else [])]
    done = subprocess.run(command, capture_output=True, check=False, env={"PYTHONPATH": str(ROOT / "src"), "LANG": "C"})
    assert (done.returncode in ((1, 3) if verb == "check" else (0,)), done.stderr) == (True, b"")
    return done.stdout


def test_three_faces_give_the_same_bytes(standing: Phone, tmp_path: Path) -> None:
    """`check` of each example at each stage it holds, `heat` and `demand` of its furthest: Python in the page with no server, the server's app over a folder, and
    the command line in a process of its own."""
    held, before = standing, len(standing.strange())
    for name in STAGES:
        shutil.copytree(ROOT / "examples" / name, tmp_path / name, ignore=shutil.ignore_patterns("overlays"))
        zipped = base64.b64encode(pack(ROOT / "examples" / name)).decode()
        assert held.page.evaluate(TAKE, [held.path(f"app/bring-in?called={name}"), zipped]) == 204
    with ThreadPoolExecutor(2) as both:
        prompted = list(both.map(at_the_prompt, CASES))
    for case, wanted in zip(CASES, prompted, strict=True):
        verb, name, stage = case
        said = json.loads(wanted)
        assert said["stage"] == (stage or STAGES[name][-1])
        assert holds_what_was_asked_for(verb, said), case
        status, _, served = asked(tmp_path, "GET", f"/app/jobs/{name}/{verb}.json?stage={stage}", HOST)
        assert (status, served == wanted) == (200, True), case
        assert in_the_page(held, *case) == wanted, case
    assert held.strange()[before:] == []


def test_the_page_runs_the_package_under_test(standing: Phone, built: tuple[Path, Built]) -> None:
    """The engine that the browser keeps is the one in the site; each module in it was compiled from this tree's source (the
    hash of its source stands in its head, PEP 552), each other file is this tree's, and no module of the tree is missing."""
    held = standing
    engine = built[0] / "py" / "engine.zip"
    assert held.page.evaluate(IN_THE_CACHE, "py/engine.zip") == sha256(engine.read_bytes()).hexdigest()
    assert held.page.evaluate("async () => (await (await fetch(new URL('engine.json', document.baseURI))).json()).sha256") == built[1].engine_sha256
    source, checked = ROOT / "src", set[str]()
    with zipfile.ZipFile(engine) as zipped:
        for name in (n for n in zipped.namelist() if n.startswith("spareway/")):
            data = zipped.read(name)
            if name.endswith(".pyc"):
                name = name.removesuffix("c")
                magic = int.from_bytes(data[:4], "little")
                assert data[8:16] == _imp.source_hash(magic, (source / name).read_bytes()), name
            else:
                assert data == (source / name).read_bytes(), name
            checked.add(name)
    rooms = {f.relative_to(source).as_posix() for f in (source / "spareway").rglob("*.py")}
    expected = {name for name in rooms if name.split("/")[1] not in (*NOT_ON_THE_PHONE, "papers", "web")}
    expected |= {f"spareway/papers/{name}" for name in POCKET}
    assert expected <= checked
    assert {name for name in checked if name.startswith("spareway/papers/")} == {f"spareway/papers/{name}" for name in POCKET}
