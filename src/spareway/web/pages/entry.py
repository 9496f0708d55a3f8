"""What every screen of an entry shares: read back in words, what a supervisor may ask, whether to look again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from starlette.requests import Request

from spareway.design.design import Design
from spareway.survey.readings import Test, in_words
from spareway.web.phone import phone_of
from spareway.web.screen import shelf_of

__all__ = ["aloud", "asks", "fell_after", "foreseen_words", "may_ask", "odd", "read_back", "read_before", "told_of"]

LIMITED = ("trip_ms", "ramp_ma")  # held to a limit of their standard: beyond it is never a little


def read_back(test: Test | None) -> str:
    """What stands, as it is read aloud."""
    return f"Kept: {test.says}, {aloud(test)}" if test else ""


def read_before(tests: Sequence[Test], index: int) -> tuple[Test | None, str]:
    """The last reading that stands before this one, and how it is read aloud: in short where it is the one just before."""
    last = next((t for t in reversed(tests[:index]) if t.kept), None)
    if last is None:
        return None, ""
    return last, f"Kept just before: {aloud(last)}" if last is tests[index - 1] else read_back(last)


def aloud(test: Test) -> str:
    """What stands of it, as it is read aloud."""
    return in_words(test.kept.partition(" ")[0], test.unit)


def told_of(said: Mapping[str, Any]) -> str:
    """What a reading that was entered should have been, on its own screen; nothing where the record does not tell."""
    from spareway.api_readings import fell_words, sentence  # not loaded while the phone starts

    return sentence(fell_words(dict(said))) if said["expected"] is not None else ""


def fell_after(said: Mapping[str, Any]) -> str:
    """The same above the next entry: no figure of it, which is often that of the next as well."""
    from spareway.api_readings import fell_alone, sentence

    fell = fell_alone(dict(said))
    return sentence(fell) if fell else ""


def may_ask(request: Request) -> bool:
    """Whether whoever holds the phone may see what a reading should be before it is taken."""
    return phone_of(shelf_of(request)).supervisor


def asks(request: Request) -> bool:
    """Whether a supervisor asked it."""
    return may_ask(request) and request.query_params.get("ask") == "yes"


def foreseen_words(design: Design, test: Test) -> str:
    """What it should be: for a supervisor who asked, and for nobody else."""
    from spareway.api_readings import foreseen, sentence

    return sentence(foreseen(design, test.quantity, test.a, test.b, test.setup, None))


def odd(said: Mapping[str, Any], quantity: str) -> bool:
    """Whether a person should look at it again before they go on: far off, below a floor, beyond a limit, perhaps a slip. What is
    a little outside is told above the next test: on a ring with a fault that is every other one."""
    below_a_floor = said["fell"] == "low" and said["expected"]["most"] is None
    beyond = quantity in LIMITED and said["fell"] in ("high", "low")
    return bool(said["asks"] or said.get("at_once")) or below_a_floor or beyond or said["fell"].startswith("far")
