"""The package's own data: found from the source tree, out of a wheel and out of a zip; missing names are errors."""
from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

from spareway import bundled

ROOT = Path(__file__).parents[1]
DATA = sorted(str(file.relative_to(ROOT / "src")) for file in (ROOT / "src/spareway").rglob("*.toml"))
BUILD = "import sys; from hatchling.build import build_wheel; print(build_wheel(sys.argv[1]))"
READ = """
import sys
from spareway import bundled
print(bundled.text("glossary.toml") == open(sys.argv[1], encoding="utf-8").read(), "glossary.toml" in bundled.names())
try:
    bundled.text("tables/nonesuch.toml")
except FileNotFoundError as missing:
    print(missing)
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-c", BUILD, str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return folder / done.stdout.splitlines()[-1]


def test_text_and_names() -> None:
    """Every data file is read as it stands, listed once, in order; what is not there is an error that names it."""
    assert DATA
    for name in DATA:
        assert bundled.text(name.removeprefix("spareway/")) == (ROOT / "src" / name).read_text(encoding="utf-8")
    assert bundled.names() == sorted(bundled.names())
    assert "glossary.toml" in bundled.names()
    with pytest.raises(FileNotFoundError, match=r"holds no tables/nonesuch\.toml"):
        bundled.text("tables/nonesuch.toml")
    with pytest.raises(FileNotFoundError):
        bundled.names("nonesuch")


def test_the_wheel_holds_all_data_and_nothing_else(wheel: Path) -> None:
    """Each table, kind and glossary is in the wheel, with the marker for type checkers, and no test or cache is."""
    held = ZipFile(wheel).namelist()
    assert set(DATA) | {"spareway/py.typed"} <= set(held)
    assert [name for name in held if "__pycache__" in name or not name.startswith(("spareway/", "spareway-"))] == []


def test_data_is_read_out_of_a_zip(wheel: Path) -> None:
    """Nothing unpacked: the wheel itself on the path serves the same text and the same refusal."""
    done = subprocess.run([sys.executable, "-I", "-c", f"import sys; sys.path.insert(0, {str(wheel)!r}){READ}",
                           str(ROOT / "src/spareway/glossary.toml")], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["True True", "the package holds no tables/nonesuch.toml"]
