"""What the tests of the command line share: the examples, and a run of what was typed."""
from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from spareway.cli.verbs import spareway

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
WEIR, GRANARY, RIDGE = (EXAMPLES / name for name in ("weir-cottage", "granary-yard", "ridge-annexe"))
WRONG_END = GRANARY / "wrong-end.toml"
LONGEST_LINE = 100


def typed(*words: object, answers: str | None = None, **env: str | None) -> Result:
    """What comes of typing these words; `answers` is what is typed at its questions. Any crash is raised."""
    return CliRunner().invoke(spareway, [str(word) for word in words], input=answers, env=env, catch_exceptions=False)


@cache
def page(*words: object) -> str:
    """What is printed when these words are typed; asked once."""
    return typed(*words).stdout


@cache
def document(*words: object) -> tuple[int, Any]:
    """(exit code, the document) of a verb with --json; asked once, so nobody changes it."""
    done = typed(*words, "--json")
    return done.exit_code, json.loads(done.stdout)


def too_long(text: str) -> list[str]:
    return [line for line in text.splitlines() if len(line) > LONGEST_LINE]
