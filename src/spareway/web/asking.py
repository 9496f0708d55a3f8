"""One question on a screen, wherever it is asked: what its page names, what was answered, and which is asked next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from spareway.doc import InputError
from spareway.survey.ask import Question, Unknown
from spareway.web.screen import told_why

__all__ = ["answer_of", "asked_again", "next_open", "one_of"]


def one_of(asked: Sequence[Question], index: int, action: str, typed: str = "", fault: str = "") -> dict[str, Any]:
    """What ask.html names of the question at `index`; fault: why what was typed was not kept."""
    return {"q": asked[index], "action": action, "typed": typed, "fault": fault, "n": index + 1, "of": len(asked)}


def answer_of(form: Mapping[str, str]) -> str | Unknown:
    """The answer: a reason why it cannot be known, a key that was tapped, or what was typed."""
    return Unknown(form["unknown"]) if form.get("unknown") else form.get("pick") or form.get("value", "")


def asked_again(asked: Sequence[Question], form: Mapping[str, str], problem: InputError) -> tuple[int, str, str]:
    """Which question was refused, what was typed and why not. Errors: the InputError itself, of a question not asked here."""
    index = next((i for i, q in enumerate(asked) if q.id == form.get("id", "")), None)
    if index is None:
        raise problem
    return index, form.get("value", ""), told_why(problem)


def next_open(asked: Sequence[Question], after: str) -> str:
    """The id of the next that is open after one, else of the first that is; "" where none is."""
    index = next((i for i, q in enumerate(asked) if q.id == after), -1)
    return next((q.id for q in (*asked[index + 1 :], *asked) if q.open), "")
