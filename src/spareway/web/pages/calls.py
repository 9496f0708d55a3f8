"""A call taken with the phone in the other hand: one question at a time until the answer decides."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from spareway.survey.call import ANSWERS, CAUTION, Ring, enquiry_note, heard
from spareway.web.clock import now
from spareway.web.phone import phone_of
from spareway.web.screen import Key, link, shelf_of, show

__all__ = ["PAGES"]

WORDS = {"yes": "Yes", "no": "No", "unknown": "They do not know"}


async def call(request: Request) -> Response:
    """The next question, or how the call ends. Answers travel in the address: back loses none."""
    answers = {name: said for name, said in request.query_params.items() if name != "end"}
    reached = heard(answers)
    if isinstance(reached, Ring):
        choices = [(WORDS[said], link(request, "call", **{**answers, reached.name: said})) for said in ANSWERS]
        return show(
            request,
            "call.html",
            [Key("Jobs", link(request, "")), *_back(request, answers)],
            heading="A call",
            ring=reached,
            choices=choices,
            caution=CAUTION,
        )
    note = enquiry_note(answers, phone_of(shelf_of(request)).by or "nobody named", now().replace("T", " "))
    keys = [
        Key("Keep, and begin the job", link(request, "new", call=urlencode(answers)), main=True),
        *_back(request, answers),
        Key("Jobs", link(request, "")),
    ]
    return show(
        request,
        "call_end.html",
        keys,
        heading="A call",
        end=reached,
        note=note,
        grave=reached.name in ("fire", "shock", "operator", "off"),
    )


def _back(request: Request, answers: dict[str, str]) -> list[Key]:
    """The question before, where one was answered: each stands in the address in the order it was asked."""
    before = dict([*answers.items()][:-1])
    return [Key("Back", link(request, "call", **before))] if answers else []


PAGES: Any = (("/call", call, ["GET"]),)
