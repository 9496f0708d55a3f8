"""What the network operator wants, on the page of `spareway demand`: the answer, reasons with their rows, terms, the fuse."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from spareway.cli.layout import paragraph

__all__ = ["page"]

Said = Mapping[str, Any]
BODY, UNDER = 2, 4


def page(said: Said) -> list[str]:
    """The answer and what it means; reasons, answered ones last; what this operator said and when; its fuse; its equipment."""
    lines = [line for each in said["now"] for line in paragraph(f"Now: {each}.")]
    lines += paragraph(f"The network operator: {said['left']}. {said['means']}")
    for each in sorted(said["reasons"], key=lambda reason: not reason["open"]):
        lines += paragraph(f"{each['wants']}: {each['says']}{_row(each['row'])}{_settled(each)}", BODY, UNDER)
    for text in (_terms(said["operator"]), _fuse(said["supply_off"])):
        lines += paragraph(text, BODY, UNDER) if text else []
    return lines


def _row(row: Said | None) -> str:
    """Whose row it is, and how far it is confirmed where that is less than twice."""
    if row is None:
        return ""
    return f" ({row['place']}{'' if row['trust'] == 'confirmed' else ', ' + row['trust']})"


def _settled(reason: Said) -> str:
    if reply := reason["reply"]:
        ref, on = _if(" ({})", reply["ref"]), _if(" on {}", reply["on"])
        return f"; answered by {reply['by']}{ref}{on}"
    asked, doubts = reason["asked"], _if("; on file, and settles nothing: {}", "; ".join(reason["doubts"]))
    if doubts:
        return doubts
    return f"; asked{_if(' on {}', asked['on'])}, no answer on record" if asked else ""


def _terms(of: Said) -> str:
    """What this operator said it wants, on which day; that the day is long ago, or unknown."""
    if not of["on_record"]:
        if of["name"]["amount"] is None:
            return ("Whose network it is, and what that operator wants beside the national rows, is not on record. Its name "
                    "stands as operator of the supply, in found.toml.")
        return (f"Of {of['name']['is']} nothing is on record but the national rows. Write what it says in job.toml, under "
                f"[operators.{of['name']['is']}] with the day it said so, or name the firm's own file: --operators FILE. "
                "`spareway schema operators.toml` says what may stand there.")
    said = "; ".join(f"{each['says']}: {each['is']}" for each in of["wants"] if each["amount"] is not None)
    age = {True: " That is more than a year ago by this job's own days: ask again.", False: "",
           None: " How long ago that is cannot be told: the job names no day."}[of["is_old"]]
    return f"{of['name']['is']} said on {of['asked']}{_if(', {}', of['ref'])}: {said or 'nothing that is recorded'}.{age}"


def _fuse(of: Said) -> str:
    """What the work touches that only the operator's fuse takes the supply off, and who may draw it by what the operator said."""
    if not of["things"]:
        return ""
    who = of["who"]["is"] if of["who"] and of["who"]["amount"] else "not on record"
    return (f"Only the operator's fuse takes the supply off {', '.join(of['things'])}, which the work touches. Who may draw it: "
            f"{who}. Do not draw it without leave.")


def _if(words: str, said: str) -> str:
    """The words with what is said in them; nothing where nothing is."""
    return words.format(said) if said else ""
