"""The four lessons of docs/adding still fit the tree: each is laid over a copy of it, and what its recipe says shows it."""
from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SHOWN = {
    "rule": "from spareway.rules import rule_of\nfrom spareway.rules.base import judge\nfrom spareway.rules.specimen import with_example\n"
            "r = rule_of('IN90')\n"
            "print([{f.verdict for f in judge(with_example(r.headings[h]), (r,))} - {'not applicable'} for h in ('Fires on', 'Passes on')])",
    "table": "from spareway.fact import Fact\nfrom spareway.tables import Books, look_up\n"
             "print(look_up('ca_ground', Books(bs7671='2018+A4'), Fact('insulation_c', 70.0, 'stated', 'x'), Fact('ambient_c', 12.0, 'measured', 'x')))",
    "kind": "from spareway.drawings.face import face_svg\n"
            "print(face_svg('isolator-after-meter', ()) != face_svg('isolator-after-meter', ('switch',)))",
    "paper": "from pathlib import Path\nfrom spareway.press.typst import typeset\n"
             "files = {p.name: p.read_text('utf-8') for p in Path('examples/weir-cottage').iterdir() if p.suffix in ('.toml', '.csv')}\n"
             "print(typeset('hazard-note', files, 'found')[:5])",
}
SAYS = {"rule": "[{'fails'}, {'within'}]", "table": "1.05", "kind": "True", "paper": "b'%PDF-'"}


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The parts of the tree that the lessons touch."""
    copy = tmp_path_factory.mktemp("tree")
    for part in ("src", "examples", "tests/tables", "tests/kinds", "tests/published"):
        shutil.copytree(ROOT / part, copy / part, ignore=shutil.ignore_patterns("__pycache__"))
    return copy


@pytest.mark.parametrize("lesson", SHOWN)
def test_a_lesson_still_fits(lesson: str, tree: Path, tmp_path: Path) -> None:
    """Laid over, run, and seen to do what it is about; a stale one says which recipe to mend."""
    here = tmp_path / "tree"
    shutil.copytree(tree, here)
    laid = subprocess.run(["git", "apply", str(ROOT / "docs" / "adding" / f"{lesson}.diff")], cwd=here, capture_output=True, text=True)
    assert laid.returncode == 0, f"docs/adding/{lesson}.diff no longer fits: make it anew by its recipe. {laid.stderr}"
    done = subprocess.run([sys.executable, "-c", SHOWN[lesson]], cwd=here, capture_output=True, text=True,
                          env={**os.environ, "PYTHONPATH": str(here / "src")})
    assert (done.returncode, done.stdout.strip()) == (0, SAYS[lesson]), done.stderr[-2000:]
