"""The plain reader and the standard library's agree on every text, or the plain one does not take it."""
from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spareway import doc
from spareway.plain_toml import loads, read_plain

ROOT = Path(__file__).parents[1]
OURS = sorted(each for folder in ("src", "examples") for each in (ROOT / folder).rglob("*.toml"))


def alike(here: Any, there: Any) -> bool:
    """Equal with equal types, and tables in the same order."""
    if type(here) is not type(there):
        return False
    if isinstance(here, dict):
        return list(here) == list(there) and all(alike(here[key], there[key]) for key in here)
    if isinstance(here, list):
        return len(here) == len(there) and all(map(alike, here, there))
    return bool(here == there)


def agree(text: str) -> bool:
    """Whether the plain reader took the text. What it takes, the standard library reads, and reads alike."""
    found = read_plain(text)
    if found is not None:
        assert alike(found[0], tomllib.loads(text)), text
    return found is not None


def told(reader: Callable[[str], dict[str, Any]], text: str) -> dict[str, Any] | str:
    try:
        return reader(text)
    except tomllib.TOMLDecodeError as problem:
        return str(problem)


def careful(text: str) -> doc.Doc | str:
    try:
        return doc._carefully("a.toml", text)
    except doc.InputError as problem:
        return str(problem)


@pytest.mark.parametrize("file", OURS, ids=lambda file: str(file.relative_to(ROOT)))
def test_our_own_files_are_plain_and_read_alike(file: Path) -> None:
    """Every file of the package and of the examples: the same data, in the same order, at the same places."""
    text = file.read_text(encoding="utf-8")
    assert agree(text)
    plain = doc._plainly("a.toml", text)
    if plain is not None:
        said = careful(text)
        assert isinstance(said, doc.Doc), said
        assert list(plain.places.items()) == list(said.places.items())


PLAIN = """\
# a comment
one = 1
"two words" = 'it\\'s'

[a.b]              # of a table
x.y = 2.50
x.z = "text"
day = 2026-11-02
many = [ 1, 2.5, "three", [4], { five = true },
  "six", ]         # over two lines
none = []
[a]
inline = { k = false, "quoted key" = "v", deep = { x = -3 } }
[a.c]
long = '''
one | two
three \\\\ four
'''
also = \"\"\"said "so" here\"\"\"
"""


def test_plain_things_are_taken() -> None:
    """All that is called plain is read without the standard library's reader."""
    assert agree(PLAIN.replace("'it\\'s'", "'its'"))


NOT_PLAIN = (
    "a = 1\na = 2", "a = 1\n[a]", "[a]\n[a]", "[a.b]\n[a]\nb = 1", "a.b = 1\n[a]", "a = { b = 1 }\n[a.c]", "a.b = 1\na.b.c = 2",
    "[a.b]\nx = 1\n[a]\nb.y = 2", "[a]\nx.y = 1\n[a.x]", "[[a]]", "a = { b = 1, }", "a = { b = 1, b = 2 }", "a = { b.c = 1 }",
    "a = -0", "a = -0.0", "a = +1", "a = 1_000", "a = 01", "a = 1e3", "a = 0x1f", "a = 1.", "a = .5", "a = inf",
    'a = "\\u0041"', 'a = """x\\\ny"""', 'a = """x""""', "a = '''x''''", "a = 2026-02-30", "a = 2026-11-02 07:30:00",
    "a = 2026-11-02T07:30:00Z", "a = 07:30:00", "a = [1, [2, [3, [4, [5]]]]]", "a = [1 2]", "a = [,]", "a = [1,,2]", "a = truely",
    "a = True", "a 1", "a = ", "a = 1 b = 2", "a =\n1", "[a", "[a] b = 1", "[]", "= 1", "a = 1\r\nb = 2", "a = 'x\x01'",
    "a = 1 # \x00", 'a = "x\ny"', "[ a . b ]\nc = 1", "a . b = 1", "a = [ # why\n1]", "a = {\nb = 1 }", 'a = """x\x01"""')


@pytest.mark.parametrize("text", NOT_PLAIN)
def test_what_is_not_plain_is_left_to_the_standard_library(text: str) -> None:
    """Broken and unusual texts: the plain reader takes none, so what was said of them before is said still."""
    assert read_plain(text) is None
    assert alike(told(loads, text), told(tomllib.loads, text))


PIECES = st.sampled_from(["a", "b", "c", ".", " = ", "=", "[", "]", "{", "}", ", ", ",", "\n", "\n", " ", "\t", "# c", '"', "'", '"t"',
                          "'l'", '"""', "'''", "1", "-", "0", "0.5", "-0", "2026-11-02", "true", "false", "\\", "e", "_", "é", "\r",
                          "a = 1\n", "[a]\n", "[a.b]\n", "b.c = 2\n", "a = { b = 1 }\n", "c = [1, 2]\n", '"q k" = 3\n'])


@settings(max_examples=1500, deadline=None)
@given(st.lists(PIECES, max_size=14).map("".join))
def test_no_text_is_read_differently(text: str) -> None:
    """Texts thrown together from the pieces of the grammar: taken and read alike, or not taken."""
    agree(text)


@settings(max_examples=300, deadline=None)
@given(st.lists(PIECES, max_size=14).map("".join))
def test_a_document_is_the_same_by_either_way(text: str) -> None:
    """The data, the file and line of every key, in the same order."""
    plain = doc._plainly("a.toml", text)
    if plain is not None:
        said = careful(text)
        assert isinstance(said, doc.Doc), said
        assert alike(plain.data, said.data)
        assert list(plain.places.items()) == list(said.places.items())


def test_a_key_that_begins_like_minus_nought_is_a_key() -> None:
    """A bare key may hold any dashes and digits; the number is refused all the same."""
    assert isinstance(careful("-0-0b.c = 2\n"), doc.Doc)
    assert not isinstance(careful("a = -0\n"), doc.Doc)
    assert not isinstance(careful("a = [1, -0.0]\n"), doc.Doc)
