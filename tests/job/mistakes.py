"""Input mistakes made from the declared fields: where one can be made, what is written there, what must be told."""
from __future__ import annotations

import csv
import io
import random
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

from spareway.doc import nearest, read, spell
from spareway.fact import HOW
from spareway.job.cells import quantity_units
from spareway.job.fields import Spec, by_key, specs
from spareway.job.rows import ROW_FILES, header
from spareway.job.types import JobFile, Kit, Parts, People
from spareway.survey.edit import set_value

Files = Mapping[str, str]
TYPES: Mapping[str, Any] = {"job.toml": JobFile, "people.toml": People, "kit.toml": Kit, "premises.toml": Parts,
                            "found.toml": Parts, "work.toml": Parts, "fitted.toml": Parts}
MARK = "@@here@@"
# what each may not hold, as it would stand in a file
WRONG: Mapping[str, tuple[str, ...]] = {
    "number": ('"9"', '"nine"', "true", "[9]", "2026-01-02", "{}", "{ measured = true }", '{ unknown = 3 }', "{ note = 'n' }"),
    "text": ("3", "true", '["a"]', '""', "{ marked = 3 }"), "flag": ("1", '"yes"', "[true]", "{ told = 1 }"),
    "numbers": ("3", '"3"', "[0]", "[-1]", "[1.5]", "[true]", '["3"]', "{ marked = 3 }"),
    "word": ("3", "true", "[]", "{ a = 1 }"),
    "address": ("3", "false", '["a"]', "{}"), "addresses": ('"board.in"', "3", "[3]", "{}"), "names": ('"a"', "1", "[1]", "{}"),
    "whole": ('"1"', "1.5", "true", "[1]"), "date": ('"2026-12-04"', "3", "2026-12-04T10:00:00", "[]"),
    "wholes": ("3", '"a"', "[]", "{ a = 3 }", "{ a = { b = 1 } }"),
    "table": ("3", '"a"', "[]"), "tables": ("3", '"a"', "[]", "{ a = 3 }")}
NO_NUMBERS = ("nan", "inf", "-inf", "+nan", "-0", "-0.0", "1e999", "-1e999", "0,34", "０.３４", "1_", "0x", "half")
# what must lead to something: these words, and whatever holds an address
LEADS = ("from", "back_to", "neutral", "on", "before", "feeds")


@dataclass(frozen=True, slots=True)
class Mistake:
    """A folder with one thing wrong, and what a person must be told of it."""
    made: str
    of: str                       # the type and field it was made from
    holds: str
    files: Files
    file: str
    line: int
    field: str                    # the message names it
    near: str = ""                # and this, as what was meant


@dataclass(frozen=True, slots=True)
class Site:
    """A table of a file, of a type: there already, or one that can be."""
    file: str
    at: tuple[str, ...]
    cls: Any
    holds: Mapping[str, Any]


as_doc = cache(read)


def sites(files: Files) -> Iterator[Site]:
    """Every table that a file holds, and in found.toml or job.toml one of each type that no file holds."""
    held = [site for file, top in TYPES.items() if file in files for site in _within(file, (), top, tomllib.loads(files[file]))]
    yield from held
    seen = {site.cls for site in held}
    for site in held:
        for spec in specs(site.cls):
            if spec.of and spec.of not in seen and site.file in ("job.toml", "found.toml"):
                seen.add(spec.of)
                yield Site(site.file, (*site.at, spec.key, *(["a-new-one"] if spec.holds == "tables" else [])), spec.of, {})


def _within(file: str, at: tuple[str, ...], cls: Any, data: Mapping[str, Any]) -> Iterator[Site]:
    yield Site(file, at, cls, data)
    for spec in specs(cls):
        inside = data.get(spec.key)
        if spec.of and isinstance(inside, dict):
            things = {(*at, spec.key): inside} if spec.holds == "table" else {(*at, spec.key, k): v for k, v in inside.items()}
            for where, thing in things.items():
                yield from _within(file, where, spec.of, thing)


def misspelt(word: str, known: tuple[str, ...], rng: random.Random) -> str:
    """The word with two letters changed over, one left out or one doubled, so that it is no known word but nearest to it."""
    tries = [word[:n] + word[n + 1] + word[n] + word[n + 2:] for n in range(len(word) - 1)]
    tries += [word[:n] + word[n + 1:] for n in range(len(word))]
    tries += [word[:n] + word[n] * 2 + word[n + 1:] for n in range(len(word))]
    rng.shuffle(tries)
    return next((t for t in tries if t and t not in known and nearest(t, known) == word), "")


# ---- in tables ------------------------------------------------------------------------------------------------------
def written(files: Files, site: Site, at: tuple[str, ...], raw: str) -> tuple[Files, int]:
    """The folder with these very letters as the value of a key, and the line on which they stand."""
    text = set_value(files[site.file], spell(at), MARK, site.file)
    line = text[:text.index(MARK)].count("\n") + 1
    return {**files, site.file: text.replace(f'"{MARK}"', raw)}, line


def value(spec: Spec) -> str:
    """The example of a field as it would stand in a file."""
    from spareway.job.write import inline
    return spec.example if spec.holds == "date" else inline(spec.example)


Maker = Callable[[Files, Site, Spec, random.Random], "Mistake | None"]


def _made(name: str, files: Files, site: Site, spec: Spec, key: str, raw: str, field: str, near: str = "") -> Mistake:
    folder, line = written(files, site, (*site.at, key), raw)
    return Mistake(name, f"{site.cls.__name__}.{spec.key}", spec.holds, folder, site.file, line, field, near)


def unknown_field(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    key = misspelt(spec.key, tuple(by_key(site.cls)), rng)
    return _made("unknown field", files, site, spec, key, "3", key, spec.key) if key else None


def wrong_type(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    if spec.of and spec.key in site.holds:
        return None                                               # a table with headers of its own cannot become a value
    return _made("wrong type", files, site, spec, spec.key, rng.choice(WRONG[spec.holds]), spec.key)


def out_of_range(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    if spec.least is None or spec.most is None:
        return None
    least, most = spec.least, spec.most
    raw = rng.choice([f"{least - 1}", f"{most + 1}", f"{most * 1000 + 1}"])
    way = rng.choice(["{}", "{{ measured = {} }}", "{{ told = {} }}"]) if spec.holds == "number" else "{}"
    return _made("out of range", files, site, spec, spec.key, way.format(raw), spec.key)


def not_one_of_the_words(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    word = rng.choice(spec.one_of) if spec.one_of else ""
    wrong = misspelt(word, spec.one_of, rng) if word else ""
    way = rng.choice(["{}", "{{ marked = {} }}"]) if spec.is_fact else "{}"
    return _made("not one of the words", files, site, spec, spec.key, way.format(f'"{wrong}"'), spec.key, word) if wrong else None


def no_number(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    if spec.holds not in ("number", "whole"):
        return None
    way = rng.choice(["{}", "{{ measured = {} }}", "{{ assumed = {}, least = 1, most = 2 }}"]) if spec.holds == "number" else "{}"
    return _made("no number", files, site, spec, spec.key, way.format(rng.choice(NO_NUMBERS)), "")


def misspelt_way(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    if not spec.is_fact:
        return None
    how = rng.choice([*HOW, "unknown"])
    wrong = misspelt(how, (*HOW, "unknown", "least", "most", "note"), rng)
    return _made("misspelt way", files, site, spec, spec.key, f"{{ {wrong} = {value(spec)} }}", wrong, how)


def missing_need(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    """A new thing beside the others, with a field or two but not this one."""
    parent = by_key(Parts if site.cls is Parts else site.cls)
    holder = parent.get(spec.key)
    needs = [s for s in specs(spec.of) if s.needed] if spec.of and holder else []
    if not needs or spec.holds != "tables":
        return None
    need = rng.choice(needs)
    others = [s for s in needs if s is not need] + [s for s in specs(spec.of) if not s.needed and not s.of][:1]
    raw = f"{{ {', '.join(f'{s.key} = {value(s)}' for s in others)} }}"
    folder, line = written(files, site, (*site.at, spec.key, "a-new-one"), raw)
    return Mistake("missing need", f"{spec.of.__name__}.{need.key}", need.holds, folder, site.file, line, need.key)


def unknown_kind(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    from spareway.kinds import kind_names
    if spec.key != "kind" or spec.one_of or "kind" not in site.holds or spec.is_fact:
        return None
    wrong = misspelt(site.holds["kind"], tuple(kind_names()), rng)
    return _made("unknown kind", files, site, spec, "kind", f'"{wrong}"', "kind", site.holds["kind"])


def leads_nowhere(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    if spec.holds not in ("address", "addresses") and spec.key not in LEADS or site.file in ("people.toml", "kit.toml"):
        return None
    raw = {"addresses": '["nowhere.in"]'}.get(spec.holds, '"nowhere.5.L"' if site.cls.__name__ == "Lands" else '"nowhere.5"')
    return _made("leads nowhere", files, site, spec, spec.key, raw, spec.key)


def said_twice(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    """A line of the file a second time, right below."""
    doc, at = as_doc(site.file, files[site.file]), (*site.at, spec.key)
    lines = files[site.file].split("\n")
    line = doc.places[at][1] if at in doc.places else 0
    if not line or spec.of or not lines[line - 1].lstrip().startswith(spec.key) or lines[line - 1].rstrip().endswith("["):
        return None
    text = "\n".join([*lines[:line], lines[line - 1], *lines[line:]])
    return Mistake("said twice", f"{site.cls.__name__}.{spec.key}", spec.holds, {**files, site.file: text}, site.file,
                   line + 1, spec.key)


def misspelt_table(files: Files, site: Site, spec: Spec, rng: random.Random) -> Mistake | None:
    """A header with a letter wrong, at the end of the file."""
    if site.at or not spec.of:
        return None
    wrong = misspelt(spec.key, tuple(by_key(site.cls)), rng)
    text = f"{files[site.file].rstrip()}\n\n[{wrong}.a-new-one]\nx = 1\n"
    return Mistake("misspelt table", f"{site.cls.__name__}.{spec.key}", spec.holds, {**files, site.file: text}, site.file,
                   text.count("\n") - 1, wrong, spec.key)


TABLE_MISTAKES: tuple[Maker, ...] = (unknown_field, wrong_type, out_of_range, not_one_of_the_words, no_number, misspelt_way,
                                     missing_need, unknown_kind, leads_nowhere, said_twice, misspelt_table)


# ---- in rows --------------------------------------------------------------------------------------------------------
def sound_row(file: str) -> dict[str, str]:
    """A row with every needed cell at its example, and a value with its unit where one is wanted."""
    cells = {spec.key: str(spec.example) for spec in specs(ROW_FILES[file]) if spec.needed}
    cells |= {"id": "new-1"} | ({"sha256": "0a" * 32} if file == "photos.csv" else {})
    return cells | ({"value": "0.34", "unit": "Ω"} if file == "readings.csv" else {})


def with_row(files: Files, file: str, cells: Mapping[str, str]) -> tuple[Files, int]:
    """The folder with one more row, and its line."""
    before = files.get(file, ",".join(header(ROW_FILES[file])) + "\n").rstrip("\n") + "\n"
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([cells.get(key, "") for key in before.split("\n")[0].split(",")])
    return {**files, file: before + out.getvalue()}, before.count("\n") + 1


def row_mistake(files: Files, file: str, spec: Spec, rng: random.Random) -> Mistake:
    """One of the mistakes that a cell of this column can hold."""
    sound = sound_row(file)
    word = rng.choice(spec.one_of) if spec.one_of else "ze_ohm" if spec.key == "quantity" else ""
    known = spec.one_of or tuple(quantity_units())
    wrong = {"number": ("no number", rng.choice(NO_NUMBERS)), "flag": ("wrong type", rng.choice(["true", "y", "1"])),
             "date": ("wrong type", rng.choice(["yesterday", "4.12.2026", "2026-13-01", "2026-02-30"]))}.get(spec.holds)
    cells = [("wrong type", f"{spec.example} ", str(spec.example))] + ([("missing need", "", "")] if spec.needed else [])
    cells += [(*wrong, "")] if wrong else []
    cells += [("not one of the words", misspelt(word, known, rng), word)] if word else []
    cells += [("leads nowhere", "no-such-row", "")] if spec.key == "strikes" else []
    made, cell, near = rng.choice(cells)
    unit = {"unit": "N·m"} if (file, spec.key) == ("events.csv", "value") else {}
    folder, line = with_row(files, file, sound | {spec.key: cell} | unit)
    return Mistake(made, f"{ROW_FILES[file].__name__}.{spec.key}", spec.holds, folder, file, line, spec.key, near)


# ---- two hundred ----------------------------------------------------------------------------------------------------
def mistakes(folders: Mapping[str, Files], wanted: int, seed: int) -> list[Mistake]:
    """So many mistakes, by turns from each type of table, each type of field, each way to go wrong and each column of
    rows; which one is drawn by seed."""
    rng = random.Random(seed)
    drawers: dict[str, list[Callable[[], Mistake | None]]] = {}
    for files in folders.values():
        for site, maker in ((site, maker) for site in sites(files) for maker in TABLE_MISTAKES):
            for spec in specs(site.cls):
                drawer = partial(maker, files, site, spec, rng)
                for key in (site.cls.__name__, f"holds {spec.holds}", maker.__name__):
                    drawers.setdefault(key, []).append(drawer)
        for file, cls in ROW_FILES.items():
            for spec in specs(cls):
                drawers.setdefault(f"{file} {spec.key}", []).append(partial(row_mistake, files, file, spec, rng))
    queues = [rng.sample(drawers[key], len(drawers[key])) for key in sorted(drawers)]
    out: list[Mistake] = []
    while len(out) < wanted and any(queues):
        for queue in queues:
            found = next((mistake for _ in range(len(queue)) if (mistake := queue.pop()())), None)
            out += [found] if found else []
    return out[:wanted]
