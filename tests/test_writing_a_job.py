"""The page on writing a job by hand: every block of it is written, and every command run, in its order."""
from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from spareway.cli.verbs import spareway

PAGE = (Path(__file__).parents[1] / "docs" / "writing-a-job.md").read_text("utf-8")
BLOCK = re.compile(r"^```(\w+) ?([^\n]*)\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def written(at: Path, text: str, instead: str) -> None:
    """A block into its file: at the end of it, or in place of the line that begins so."""
    old = at.read_text("utf-8") if at.exists() else ""
    if not instead:
        at.write_text(f"{old}\n{text}" if old and at.suffix == ".toml" else old + text, "utf-8")
        return
    lines = old.splitlines(keepends=True)
    held = [n for n, line in enumerate(lines) if re.match(rf"{instead}\s*=", line)]
    assert len(held) == 1, f"{instead} stands {len(held)} times in {at.name}"
    lines[held[0]] = text
    at.write_text("".join(lines), "utf-8")


def test_every_block_of_the_page_does_what_it_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From an empty folder; no command is refused, and what is said to be printed is."""
    monkeypatch.chdir(tmp_path)
    printed, ran, kinds = "", [], set()
    for kind, named, text in BLOCK.findall(PAGE):
        kinds.add(kind)
        file, _, instead = named.partition(" in place of ")
        if kind == "sh":
            for line in text.splitlines():
                program, *args = shlex.split(line)
                assert program == "spareway"
                done = CliRunner().invoke(spareway, args)
                assert done.exit_code in (0, 1, 3), f"{line}\n{done.output}"
                assert done.exception is None or isinstance(done.exception, SystemExit)
                printed = " ".join(done.stdout.split())
                ran.append(args[0])
        elif kind == "says":
            assert [line for line in text.splitlines() if line not in printed] == [], printed
        else:
            written(tmp_path / file, text, instead)
    assert kinds == {"sh", "toml", "csv", "says"}
    assert ran == ["new", "heat", "heat", "demand", "demand", "demand", "readings", "readings", "check"]
    rows = (tmp_path / "a-home" / "readings.csv").read_text("utf-8").splitlines()
    assert [row.split(",")[2] for row in rows[1:]] == ["ze_ohm", "r1r2_ohm", "zs_ohm"]
