"""As a person runs it: a process of its own, a terminal or none, and what it loads."""
from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

from spareway.cli import layout
from tests.cli.cases import GRANARY, ROOT, WEIR, typed

RUN = (sys.executable, "-m", "spareway.cli")
HEAVY = ("numpy", "networkx", "rustworkx", "scipy", "sqlalchemy", "jinja2", "starlette", "http", "urllib", "asyncio",
         "jsonschema", "tomlkit", "rich", "inspect")
LOADED = "import sys; from spareway.cli import main\ntry:\n main()\nfinally:\n print(*sorted(sys.modules), file=sys.stderr)"


def environment(**more: str) -> dict[str, str]:
    plain = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
    return {**plain, "PYTHONPATH": str(ROOT / "src"), "TERM": "xterm-256color", **more}


def started(*words: object, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*RUN, *map(str, words)], env=environment(**env), capture_output=True, text=True, encoding="utf-8",
                          timeout=60)


def on_a_terminal(*words: object, **env: str) -> str:
    """What a terminal is sent."""
    ours, theirs = pty.openpty()
    with subprocess.Popen([*RUN, *map(str, words)], env=environment(**env), stdout=theirs, stderr=theirs, stdin=theirs) as run:
        os.close(theirs)
        sent = b""
        while True:
            try:
                piece = os.read(ours, 65536)
            except OSError:                     # Linux ends a terminal that nobody holds with an error
                break
            if not piece:
                break
            sent += piece
        run.wait(timeout=60)
    os.close(ours)
    return sent.decode("utf-8")


def test_exit_codes_reach_the_shell() -> None:
    assert started("check", WEIR, "--stage", "found").returncode == 1
    assert started("check", GRANARY).returncode == 3
    assert started("explain", "CI1").returncode == 0
    bad = started("check", "nowhere")
    assert (bad.returncode, bad.stdout, len(bad.stderr.splitlines())) == (2, "", 1)


def test_colour_on_a_terminal_only_and_never_with_no_color() -> None:
    """The marks are coloured on a terminal; a pipe and NO_COLOR get the same text without."""
    words = ("check", WEIR, "--stage", "found")
    coloured, plain = on_a_terminal(*words), on_a_terminal(*words, NO_COLOR="1")
    assert re.search(r"\x1b\[[0-9;]*m>\|<\x1b\[0m Stop", coloured)
    assert "\x1b" not in plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain
    assert "\x1b" not in started(*words).stdout


def test_nothing_heavy_is_loaded_by_a_check() -> None:
    """After `check`: no numbers library, no graphs, no database, no template engine, no web."""
    done = subprocess.run([sys.executable, "-c", LOADED, "check", str(WEIR)], env=environment(), capture_output=True, text=True)
    loaded = {name.partition(".")[0] for name in done.stderr.split()}
    assert {"spareway", "click"} <= loaded
    assert loaded & set(HEAVY) <= {"inspect", "urllib"}, "click asks for inspect, pathlib of Python 3.11 for urllib.parse"


def test_help_loads_no_verb_and_no_engine() -> None:
    done = subprocess.run([sys.executable, "-c", LOADED, "--help"], env=environment(), capture_output=True, text=True)
    ours = {name for name in done.stderr.split() if name.startswith("spareway.")}
    assert ours <= {"spareway.cli", "spareway.cli.verbs", "spareway.cli.layout", "spareway.show"}


def test_a_document_is_utf8_whatever_the_terminal_speaks() -> None:
    """JSON in a Latin-1 locale is the same bytes; the page spells out what Latin-1 lacks and does not stop."""
    words = [*RUN, "check", str(WEIR), "--json"]
    utf8, latin = (subprocess.run(words, env=environment(PYTHONIOENCODING=code), capture_output=True).stdout
                   for code in ("utf-8", "latin-1"))
    assert utf8 == latin
    assert json.loads(utf8)["job"]
    page = subprocess.run([*RUN, "check", str(WEIR), "--full"], env=environment(PYTHONIOENCODING="latin-1"), capture_output=True)
    assert page.returncode in (1, 3)
    assert b"\\u03a9" in page.stdout


@pytest.mark.parametrize(("shell", "word"), [("bash", "complete"), ("zsh", "compdef"), ("fish", "complete")])
def test_the_shells_are_told_how_to_complete(shell: str, word: str) -> None:
    done = started(_SPAREWAY_COMPLETE=f"{shell}_source")
    assert done.returncode == 0
    assert word in done.stdout


def test_verbs_and_rules_are_completed() -> None:
    done = started(_SPAREWAY_COMPLETE="bash_complete", COMP_WORDS="spareway che", COMP_CWORD="1")
    assert done.stdout == "plain,check\n"
    done = started(_SPAREWAY_COMPLETE="bash_complete", COMP_WORDS="spareway explain zs_", COMP_CWORD="2")
    assert done.stdout == "plain,zs_above_limit\n"


def test_without_click_one_line_says_what_to_put_in(tmp_path: Path) -> None:
    """The engine works without the extra; the command line says what it needs."""
    (tmp_path / "click.py").write_text("raise ModuleNotFoundError(\"No module named 'click'\", name='click')\n")
    done = started("check", WEIR, PYTHONPATH=f"{tmp_path}:{ROOT / 'src'}")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "spareway: the command line needs click: install spareway[cli]\n"


# ---- layout ---------------------------------------------------------------------------------------------------------
def test_a_number_is_never_parted_from_its_unit() -> None:
    text = " ".join(f"the loop reads {n} Ω on {n} mm²;" for n in range(100, 400, 7))
    lines = layout.paragraph(text)
    assert max(map(len, lines)) <= layout.MOST_COLUMNS
    assert [line for line in lines if line.startswith(("Ω", "mm²"))] == []
    assert " ".join(lines) == text


def test_columns_wrap_in_their_place() -> None:
    lines = layout.columns([("a", "word " * 40), ("long-name", "short")])
    assert all(line.startswith((" " * 13, "  a", "  long-name")) for line in lines)
    assert max(map(len, lines)) <= layout.MOST_COLUMNS
    assert layout.columns([]) == []


def test_an_address_longer_than_a_line_is_broken_and_not_lost() -> None:
    word = "x" * 250
    assert "".join(layout.paragraph(word)) == word
    assert max(map(len, layout.paragraph(word))) <= layout.MOST_COLUMNS


def test_counts_are_in_words_up_to_twelve() -> None:
    assert [layout.counted(n, "fails", "fail") for n in (0, 1, 2, 12, 13)] == \
        ["no fail", "one fails", "two fail", "twelve fail", "13 fail"]


def test_a_version_is_told() -> None:
    assert re.fullmatch(r"spareway \d+\.\d+\.\d+\n", typed("--version").stdout)
