"""What the house never has: each check is a pattern with a line that breaks it, and both are tried."""
from __future__ import annotations

import ast
import re
import subprocess
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.test_imports import statements

ROOT = Path(__file__).parents[1]
LONGEST_MODULE_LINES, LONGEST_FUNCTION_LINES, LARGEST_FILE_BYTES = 500, 50, 1_000_000
VAGUE = frozenset(("utils", "util", "manager", "model", "models", "handler", "handlers", "helpers", "misc", "common"))


@dataclass(frozen=True, slots=True)
class Never:
    """A pattern that no line of some files may hold, why, and a line that holds it. [x] keeps a pattern off itself."""
    files: str
    pattern: str
    why: str
    planted: str


NEVER = {
    "sum": Never(r"src/.*\.py", r"(?<![\w.])sum\(", "rounds differently on newer Pythons: math.fsum", "x = su" "m(y)"),
    "libm": Never(r"src/.*\.py", r"\blog10\(|\.gauss\(", "last digit differs between machines", "math.log1" "0(x)"),
    "exception": Never(r".*\.py", r"except\s*:|except (Base)?Exceptio[n]\b|(raises|suppress)\((Base)?Exceptio[n]\b",
                       "hides every other fault", "except Exceptio" "n as e:"),
    "stub": Never(r".*\.py", r"TOD[O]|FIXM[E]|NotImplemented(Error)[^s]|assert Tru[e]\b|\.\.\.  # late[r]",
                  "unfinished or cannot fail", "# TOD" "O"),
    "skip": Never(r"tests/.*\.py", r"mark\.(ski[p]|xfai[l])|pytest\.(ski[p]|xfai[l]|importorski[p])\b",
                  "a test that does not run", "@pytest.mark.ski" "p"),
    "style": Never(r"src/spareway/drawings/.*", r"style=|<style", "turns black under the content policy",
                   "<g styl" 'e="x">'),
    "machine": Never(r".*", r"/(wor[k]|roo[t]|far[m]|hom[e]/[a-z]+)/", "a path of one machine", "/roo" "t/x"),
    "registry": Never(r".*", r"(pyp[i]|npmj[s]|debia[n])\.(org|com|net)|pythonhoste[d]", "a registry's host",
                      "https://pyp" "i.org/"),
    "scenario": Never(r"src/.*", r"(?i)\b(wei[r]|granar[y]|ridg[e]|landin[g])\b", "a name of our examples",
                      "Wei" "r Cottage"),
}


def ours() -> list[str]:
    """Every file of ours, tracked or about to be, that is there."""
    listed = subprocess.run(["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"], cwd=ROOT,
                            capture_output=True, text=True, check=True).stdout.split("\0")
    return sorted(name for name in listed if name and (ROOT / name).is_file())


def texts(pattern: str) -> Iterator[tuple[str, str]]:
    for name in ours():
        if re.fullmatch(pattern, name):
            raw = (ROOT / name).read_bytes()
            if b"\0" not in raw:
                yield name, raw.decode("utf-8")


def held(never: Never, name: str, text: str) -> list[str]:
    return [f"{name}:{number}: {never.why}: {line.strip()[:90]}" for number, line in enumerate(text.splitlines(), 1)
            if re.search(never.pattern, line)]


@pytest.mark.parametrize("never", NEVER.values(), ids=NEVER)
def test_no_line_holds_it(never: Never) -> None:
    """The planted line is seen, and no file of ours holds its like."""
    assert len(held(never, "planted", f"fine\n{never.planted}\n")) == 1
    assert [line for name, text in texts(never.files) for line in held(never, name, text)] == []


def too_long(name: str, text: str) -> Iterator[str]:
    lines = text.count("\n")
    if lines > LONGEST_MODULE_LINES:
        yield f"{name}: {lines} lines"
    for node, _ in statements(ast.parse(text, name)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.end_lineno is not None:
            length = node.end_lineno - node.lineno + 1
            if length > LONGEST_FUNCTION_LINES:
                yield f"{name}:{node.lineno}: {node.name} has {length} lines"


def test_modules_and_functions_stay_readable() -> None:
    """A module over 500 lines and a function over 50 are found, and there is none."""
    body = "    x = 1\n"
    assert list(too_long("a", "def f():\n" + body * 49)) == []
    assert list(too_long("a", "class C:\n  def f():\n" + body * 50)) == ["a:2: f has 51 lines"]
    assert list(too_long("a", "x = 1\n" * 501)) == ["a: 501 lines"]
    code = texts(r"(src|tests|tools|bench|studies)/.*\.py")
    assert [each for name, text in code for each in too_long(name, text)] == []


def test_files_are_small_and_say_what_they_are_about() -> None:
    """No large file in the tree and no module named for being a leftover."""
    assert [name for name in ours() if (ROOT / name).stat().st_size > LARGEST_FILE_BYTES] == []
    assert [name for name in ours() if name.endswith(".py") and Path(name).stem in VAGUE] == []


def numbers(text: str) -> set[str]:
    """The numbers of a text that have four significant digits or more, thousands commas and underscores taken out."""
    printed = re.findall(r"(?<![\w.#])\d[\d,_]*(?:\.\d+)?(?![\w.]?\d)", text)
    found = {each.replace(",", "").replace("_", "") for each in printed}
    return {each for each in found if len(each.replace(".", "").strip("0")) >= 4}


def figures(expected: Any) -> Iterator[str]:
    """Every number and number-like text of an expectation file."""
    if isinstance(expected, Mapping):
        for value in expected.values():
            yield from figures(value)
    elif isinstance(expected, list):
        for value in expected:
            yield from figures(value)
    elif isinstance(expected, str | int | float) and not isinstance(expected, bool):
        yield from numbers(str(expected))


def wanted(text: str) -> set[str]:
    """The answers of an expectation file: what stands under `want`, less what it says a table prints as well."""
    content = tomllib.loads(text)
    cases = content.get("case", [])
    return set(figures([case.get("want") for case in cases])) - set(figures(content.get("printed_in_tables", [])))


def test_no_expected_figure_stands_in_the_source() -> None:
    """What the tests expect of the examples and of published cases is worked out, never written down in the code."""
    planted = '[[case]]\nwant = { value = 13735, says = "45,761 against 13,225" }\n[[case]]\nwant = 0.59\n'
    assert wanted(planted) == {"13735", "45761", "13225"}
    assert wanted('printed_in_tables = ["13225"]\n' + planted) == {"13735", "45761"}
    assert numbers('limit = 13_735  # 0.59, "45,761"; 2026-11-25, 1.2e-3, x1234') >= {"13735", "45761"}
    sources = {name: numbers(text) for name, text in texts(r"src/.*\.py")}
    expected = {name: wanted(text) for name, text in texts(r"tests/(scenarios/expected|published/.*)\.toml")}
    assert [f"{source} holds {figure} of {name}" for name, answers in expected.items()
            for source, held_there in sources.items() for figure in sorted(answers & held_there)] == []


def names_of_examples() -> set[str]:
    """Names with a hyphen that an example gives its circuits, rooms and spaces: too particular to be a word."""
    found = set()
    for name, text in texts(r"examples/.*\.toml"):
        content = tomllib.loads(text)
        tables = (content.get(table, {}) for table in ("circuits", "rooms", "spaces"))
        found |= {each for table in tables if isinstance(table, Mapping) for each in table}
        found.add(Path(name).parent.name)
    return {name for name in found if "-" in name}


def test_the_source_knows_no_example() -> None:
    """No circuit, room or space of an example is named in the code, its tables or its kinds."""
    named = re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, sorted(names_of_examples())))})(?![\w-])")
    assert named.search("the ring-ground here")
    assert [f"{file} names {found}" for file, text in texts(r"src/.*") for found in named.findall(text)] == []
