"""What was asked of a person's eyes: what was looked at, with the answer, and what nobody has answered."""
from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from typing import Any

from spareway.job.job import Installation
from spareway.papers.words import label, moment
from spareway.rules.eyes import item_of
from spareway.rules.grouped import counted

__all__ = ["looked"]

ANSWERED = {"no": "not so", "not seen": "could not be seen", "yes": "as it should be", "does not apply": "does not apply"}


def looked(by_eye: Mapping[str, Any], inst: Installation) -> dict[str, Any]:
    """by_eye: as in the document of a check. `rows`: answers, the worst first; `open`: items without one, by topic.

    An item answered "not seen" stands in both: somebody tried, and it is not known."""
    answered = sorted(by_eye["answered"], key=lambda row: list(ANSWERED).index(row["answer"]))
    return {"n": counted(by_eye["items"], "thing"), "rows": [_row(row, inst) for row in answered], "open": _open(by_eye)}


def _row(row: Mapping[str, Any], inst: Installation) -> dict[str, str]:
    item = item_of(row["eye"])
    wanted = item.says if item else row["eye"]
    places = ", ".join(dict.fromkeys(filter(None, (label(inst, row["subject"]), row["place"]))))
    return {"q": ANSWERED[row["answer"]], "a": f"{wanted[:1].upper()}{wanted[1:]}. Seen: {row['says']} ({places})",
            "how": f"{row['eye']}; {row['by']}, {moment(row['at'])}"}


def _open(by_eye: Mapping[str, Any]) -> list[dict[str, str]]:
    def topic(row: Mapping[str, Any]) -> str:
        item = item_of(row["eye"])
        return item.topic if item else ""
    return [{"topic": name.replace("-", " ").replace("_", " "), "items": "; ".join(f"{row['eye']} {row['says']}" for row in rows)}
            for name, rows in groupby(by_eye["unknown"], key=topic)]
