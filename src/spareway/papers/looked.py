"""What was asked of a person's eyes: what was looked at, with the answer, and what nobody has answered."""
from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from itertools import groupby
from typing import Any

from spareway.papers.words import moment
from spareway.rules.eyes import item_of
from spareway.rules.grouped import counted

__all__ = ["looked"]

ANSWERED = {"no": "not so", "not seen": "could not be seen", "yes": "as it should be", "does not apply": "does not apply"}


def looked(by_eye: Mapping[str, Any], called: Callable[[str], str]) -> dict[str, Any]:
    """`rows`: the answers place by place, the worst first; `open`: what nobody knows.

    by_eye: as in the document of a check; called: what an address is called.

    An item answered "not seen" stands in both: somebody tried, and it is not known."""
    places: dict[str, list[Mapping[str, Any]]] = {}
    for row in sorted(by_eye["answered"], key=lambda row: list(ANSWERED).index(row["answer"])):
        named = dict.fromkeys(filter(None, (called(row["subject"]), row["place"])))
        places.setdefault(", ".join(named), []).append(row)
    seen = {row["eye"] for row in by_eye["answered"]}
    return {"n": counted(by_eye["items"], "thing"), "asked": counted(len(seen), "has", "have"),
            "rows": [{"q": place, "items": [_row(row) for row in rows]} for place, rows in places.items()],
            "open": _open(by_eye, seen)}


def _row(row: Mapping[str, Any]) -> dict[str, str]:
    item = item_of(row["eye"])
    wanted = item.says if item else row["eye"]
    return {"answer": ANSWERED[row["answer"]], "a": f"{wanted}. Seen: {row['says']}",
            "how": f"{row['eye']}; {row['by']}, {moment(row['at'])}"}


def _open(by_eye: Mapping[str, Any], tried: Set[str]) -> list[dict[str, str]]:
    def topic(row: Mapping[str, Any]) -> str:
        item = item_of(row["eye"])
        return item.topic if item else ""

    def told(row: Mapping[str, Any]) -> str:
        return f"{row['eye']} {row['says']}{' (looked for, could not be seen)' if row['eye'] in tried else ''}"
    return [{"topic": name.replace("-", " ").replace("_", " "), "items": "; ".join(told(row) for row in rows)}
            for name, rows in groupby(by_eye["unknown"], key=topic)]
