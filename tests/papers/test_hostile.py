"""Texts that try to break a paper: printed as text, printed with a visible mark, or refused with their place."""
from __future__ import annotations

import re
import unicodedata
from io import BytesIO
from zipfile import ZipFile

import pytest

from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.press.letters import INSTEAD, letters
from spareway.press.typst import report
from tests.papers.fields import FREE, job
from tests.papers.made import reader, words

PRINTED = (
    '#read("/etc/passwd")', '#panic("x")', "#import \"house.typ\": *", "*bold* _under_ `code`", "= Heading", "- list\t1.", "$x^2$", "$ sum_(i)",
    "// comment /* more */", "<label> @label", "\\ #v(900mm) \\", "]#[", "}{", "\\u{0}", "\\\\", "<script>alert(1)</script>", "&lt;&#0;&amp;",
    "</svg><image href='x'/>", "'; DROP TABLE jobs; --", "%PDF-1.7 endobj", "(\\)Tj ET", "{{7*7}} ${7*7}", "../../etc/passwd",
    "Zs ≤ 1,09 Ω — “quoted” ’", "e\u0301 and \u00e9", "שלום", "Привет", "αβγ ΔΩµ", "a\u200db", "😀 board", "👨\u200d👩\u200d👧", "中文 board", "\U0001d54f",
    "\ue000 private", "\ufdd0 no character", "a\ufe0fb", "\U000e0041 tag", "x" * 3900,
)
REFUSED = ("a\0b", "a\x07b", "a\x1b[31mb", "a\x7fb", "a\u0085b", "a\u2028b", "a\u202eb", "a\u2066b\u2069", "a\u200fb", "a\rb", "w" * 10_000)


def _quoted(text: str) -> str:
    """As TOML writes it: what it may not hold as it is, by its number."""
    return '"' + "".join(f"\\U{ord(c):08X}" if ord(c) < 32 or c in '"\\\x7f' else c for c in text) + '"'


def _job(says: list[str]) -> dict[str, str]:
    found = ['supplies.main = { joins = "cutout.in", earthing = "TN-S" }', "[equipment]", 'cutout = { kind = "cut-out" }',
             'meter = { kind = "meter" }', 'board = { kind = "board" }']
    found += [f'h-{i} = {{ kind = "blocks", says = {_quoted(text)} }}' for i, text in enumerate(says)]
    found += ["[circuits]", f'one = {{ way = "board.1", says = {_quoted(says[0])}, cable = {{ kind = "t&e", length_m = {{ unknown = {_quoted(says[1])} }} }} }}']
    job = ['schema = 1', f"says = {_quoted(says[0])}", 'books = { bs7671 = "2018+A4" }', 'dates = { survey = "2026-11-09" }',
           f'decisions.one = {{ about = {_quoted(says[0])}, choice = "limit agreed", who = {_quoted(says[2])}, on = 2026-11-09, why = {_quoted(says[3])} }}']
    return {"job.toml": "\n".join(job), "found.toml": "\n".join(found)}


def _as_printed(text: str) -> str:
    known = letters()
    return "".join(c if c in known else INSTEAD if not c.isspace() else " " for c in unicodedata.normalize("NFC", text))


def _tight(text: str) -> str:
    return re.sub(r"\s|\u200b", "", text)


def test_there_are_forty_at_least() -> None:
    """As many as was asked for, none twice."""
    assert len({*PRINTED, *REFUSED}) == len(PRINTED) + len(REFUSED) >= 40


def test_hostile_texts_print_as_text() -> None:
    """All of them in one job, in names of things, reasons and decisions: one paper, each as it was written or with marks."""
    text = _tight(words(report(_job(list(PRINTED)))))
    backwards = {"שלום"}                                  # read back from a page, its letters stand in the order of the eye
    lost = [each for each in PRINTED if _tight(_as_printed(each))[:400] not in text
            and not (each in backwards and _tight(each)[::-1] in text)]
    assert lost == []
    assert "root:" not in text
    assert "U+1F600" in text


@pytest.mark.parametrize("number", range(len(REFUSED)))
def test_refused_with_its_place(number: int) -> None:
    """Control characters, marks of direction and lines beyond the budget never get in: file, line and field are named."""
    with pytest.raises(InputError) as refused:
        read_job(_job(["plain", "plain", "plain", "plain", REFUSED[number]]))
    [fault] = refused.value.faults
    assert (fault.file, fault.line) == ("found.toml", 10)
    assert "cannot be printed, U+" in fault.says or "bytes" in f"{fault.says} {fault.allowed}"
    assert fault.field == "equipment.h-4.says" or "bytes" in f"{fault.says} {fault.allowed}"


@pytest.mark.parametrize("name", ["a\\u0000b", "a\\u202Eb"])
def test_name_is_refused_too(name: str) -> None:
    """The name of a thing is a text of the job like any other; an overlay is read as strictly."""
    job = _job(["plain"] * 4)
    line = f'[equipment."{name}"]\nkind = "blocks"\n'
    with pytest.raises(InputError, match=r"found\.toml:\d+: equipment\.\"a\?b\": a character that cannot be printed"):
        read_job({**job, "found.toml": f"{job['found.toml']}\n{line}"})
    with pytest.raises(InputError, match=r"overlay\.toml:1: .*cannot be printed"):
        read_job(job).found.altered(line)


# ---- every field that a stranger may write in ------------------------------------------------------------------------
@pytest.mark.parametrize(("file", "field"), FREE, ids=lambda part: part)
def test_in_every_free_text_it_is_refused_and_the_field_is_named(file: str, field: str) -> None:
    """NUL, a turned direction, an escape, a line break of its own, after a comma too: file and field, one fault each."""
    read_job(job({}))
    for bad in ("a\0b", "a\u202eb", "a, b\x1b[31mb", "a\u2028b", "a\u2066b"):
        with pytest.raises(InputError) as refused:
            read_job(job({(file, field): bad}))
        assert [(f.file, f.field) for f in refused.value.faults] == [(file, field)]
        assert "cannot be printed, U+" in refused.value.faults[0].says


def test_in_every_free_text_markup_and_letters_no_font_has_print_as_text() -> None:
    """Each field with a word of its own and all that could be taken for code: on the page, or with the names of people, nowhere."""
    trap = '#read("house.typ") *b* $x$ </svg><b> %s {0} \\ 😀'
    said = {key: f"field{number:02}q {trap}" for number, key in enumerate(FREE)}
    made = report(job(said))
    text = _tight(words(made))
    for number, (key, printed) in enumerate(FREE.items()):
        assert (f"field{number:02}q" in text) is printed, key
    assert text.count(_tight(f"q {_as_printed(trap)}")) >= len([1 for printed in FREE.values() if printed])
    with ZipFile(BytesIO(reader(made).attachments["job.zip"][0])) as zipped:
        assert "people.toml" not in zipped.namelist()


def test_letters_are_those_of_the_font() -> None:
    """The map is read off the font files: what every paper needs is there, what no sans holds is not."""
    assert set("abcXYZ 0123456789 Ω²µ°≤×–—“”’□•£ éÀ Привет αβγ") <= letters()
    assert not {"😀", "中", "\ue000", "\0", "\u202e", "\u200d"} & letters()
