"""What was chosen for a circuit that is yet to be: cable and device, what each smaller one breaks, where the answer turns."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from spareway.cli.layout import TITLES, mark, paragraph
from spareway.rules.circuit_words import ground_words, settling_words, turning_words

__all__ = ["VERDICTS_OF", "chosen"]

Said = Mapping[str, Any]
VERDICTS_OF = {"within": "within", "unknown": "unknown", "none": "fails"}     # a choice's own word, as a verdict is called
BODY = 2


def chosen(said: Said) -> list[str]:
    """The lines of `spareway circuit JOB --new` for people."""
    verdict = VERDICTS_OF[said["verdict"]]
    lines = [*paragraph(f"{said['asked']['text']}, in way {said['way'].replace('.', ' ')}"), *_listed("", said["notes"]), "",
             *paragraph(f"{mark(verdict)} {TITLES[verdict]}: {said['says'].removeprefix('Nothing: ')}", 0, 4)]
    lines += paragraph(f"Binds: {said['binds']['says']}", 4, 6) if said["binds"]["says"] else []
    lines += paragraph(f"A smaller device: {said['smaller_device']}", 4, 6) if said["smaller_device"] else []
    lines += _listed("Missing:", (f"{gap['says']}, {gap['at']}: {gap['why']}" for gap in said["missing"]))
    lines += _listed("To settle:", settling_words(said))
    device = f" with {said['refused'][0]['device']}" if said["refused"] else ""
    lines += _listed(f"Refused{device}, the smallest first:", (each["says"] for each in said["refused"]))
    lines += _listed("As chosen:", (f"{_ok(each['ok'])}: {each['says']}" for each in said["tests"]))
    lines += _listed("Where the choice turns:", turning_words(said["turns"]))
    lines += _listed("Rests on what was assumed or not confirmed:", map(ground_words, said["rests_on"]))
    written = said["toml"].splitlines() if said["chosen"] else []
    return [*lines, *(["", "In work.toml it would read:"] if written else []), *(f"{'':{BODY}}{line}" for line in written)]


def _ok(ok: bool | None) -> str:
    return "not known" if ok is None else "within" if ok else "breaks"


def _listed(head: str, texts: Iterable[str]) -> list[str]:
    body = [line for text in texts for line in paragraph(f"- {text}", BODY, BODY + 2)]
    return [*(["", head] if head else []), *body] if body else []
