"""Starting patterns of an intake: which boxes there are and what joins them, written as plain lines of found.toml."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from spareway.bundled import text
from spareway.doc import read, spell
from spareway.job.write import inline
from spareway.survey.edit import set_value

__all__ = ["MARK", "chosen", "intake_names", "says", "untouched", "written"]

MARK = "# intake: "  # the line that says which pattern the lines below began as
START = " (nobody has looked yet)"  # and that nobody has chosen it
HEAD = """\
# The installation as found. A bare value was seen; { measured = 1.9 }, { marked = 80 }, { told = 12 } say how else it is known;
# { unknown = "why" } or an absent line is unknown. A side is named as seen: which end the supply lands on is the very fact.
# looked = false: a starting pattern wrote this, and nobody has looked at it. Take it out of what you have seen as it is said.
"""
EARTH_FROM = {"TN-S": "cutout.earth", "TN-C-S": "cutout.earth", "TT": "rod.clamp"}
WAITS = ", looked = false"  # of a line that nobody has looked at: its place is asked about by itself
EARTH_SIDES = "cdef"  # a takes the earthing conductor, b the bond to water


@cache
def _patterns() -> Mapping[str, Any]:
    import tomllib

    return tomllib.loads(text("survey/intakes.toml"))


def intake_names() -> tuple[str, ...]:
    """Every pattern, the commonest first."""
    return tuple(_patterns())


def says(name: str) -> str:
    """What a person would call it. Errors: KeyError."""
    return str(_patterns()[name]["says"])


def chosen(found: str) -> str:
    """The pattern that these lines began as; "" where a person wrote them."""
    line = next((line for line in found.splitlines() if line.startswith(MARK)), "")
    name = line.removeprefix(MARK).removesuffix(START).strip()
    return name if name in _patterns() else ""


def untouched(found: str) -> bool:
    """Whether the pattern is still the one that every job begins with, and nobody has chosen it."""
    return any(line.startswith(MARK) and line.endswith(START) for line in found.splitlines())


def written(name: str, earthing: str, before: str = "", start: bool = False) -> str:
    """found.toml of a pattern, with all that was already answered about things and runs that are in it too.

    earthing: as seen, or "" where it is not. before: the text it takes the place of. start: nobody has chosen it.
    Errors: KeyError for no such pattern."""
    old = read("found.toml", before).data if before else {}
    waits = start and (not old or old["supplies"]["main"].get("looked") is False)
    out = f"{MARK}{name}{START if start else ''}\n" + "\n".join(_lines(name, earthing, waits)) + "\n"
    if before:
        now = read("found.toml", out).data
        for address, value in _answered(now, old):
            out = set_value(out, address, value, "found.toml")
    return out


def _lines(name: str, earthing: str, waits: bool) -> Iterator[str]:
    pattern = _patterns()[name]
    said = inline(earthing) if earthing else '{ unknown = "not seen yet" }'
    yield HEAD
    yield from ("[supplies.main]", 'joins    = "cutout.in"', f"earthing = {said}")
    yield from (*(["looked   = false"] if waits else []), "", "[equipment]")
    things = {
        "cutout": "cut-out",
        "meter": pattern.get("meter", "meter"),
        **pattern["equipment"],
        "met": "main-earthing-terminal",
    }
    things |= {"rod": "electrode"} if earthing == "TT" else {}
    yield from (f'{thing} = {{ kind = "{kind}"{WAITS if kind.startswith("board") else ""} }}' for thing, kind in things.items())
    yield from ('water = { kind = "service-pipe", says = "incoming water" }', "", "[runs]")
    yield _run("tails-1", "cutout.out", "meter.in", "tails")
    for run, (a, b) in pattern["runs"].items():
        yield _run(run, a, b, "tails")
    yield _run("earthing-conductor", EARTH_FROM.get(earthing, "?"), "met.a", "earthing")
    yield _run("bond-water", "met.b", "water.clamp", "bond")
    boards = [thing for thing, kind in pattern["equipment"].items() if kind.startswith("board")]
    earthed = {**{f"earth-{board}": f"{board}.in" for board in boards}, **pattern.get("earthed", {})}
    for side, (run, end) in zip(EARTH_SIDES, earthed.items(), strict=False):
        yield _run(run, f"met.{side}", end, "earthing")


def _run(name: str, a: str, b: str, kind: str) -> str:
    waits = "" if kind == "tails" else WAITS
    return f'{spell((name,))} = {{ joins = ["{a}", "{b}"], kind = "{kind}"{waits} }}'


def _answered(now: Mapping[str, Any], old: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """(address, value) of what was said before of a thing of the same kind, or of a run between the same ends."""
    for table, same in (("equipment", "kind"), ("runs", "joins")):
        for name, said in old.get(table, {}).items():
            fresh = now.get(table, {}).get(name)
            if fresh is not None and (fresh.get(same) == said.get(same) or same == "kind" and _both_boards(fresh, said)):
                yield from (
                    (f"{table}.{spell((name,))}.{field}", value) for field, value in said.items() if fresh.get(field) != value
                )
                if fresh.get("looked") is False and "looked" not in said:
                    yield f"{table}.{spell((name,))}.looked", True
    for field, value in old.get("supplies", {}).get("main", {}).items():
        if field not in ("joins", "earthing", "looked"):
            yield f"supplies.main.{field}", value


def _both_boards(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """A board may since have been seen to be of another sort."""
    return str(one.get("kind", "")).startswith("board") and str(other.get("kind", "")).startswith("board")
