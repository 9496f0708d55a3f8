"""What was chosen for a circuit that is yet to be: cable and device, what each smaller one breaks, where the answer turns."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from spareway.cli.layout import TITLES, counted, mark, paragraph
from spareway.rules.circuit_words import OF_CHOICE, ground_words, rules_words, settling_words, turning_words, verdict_of

__all__ = ["chosen", "together"]

Said = Mapping[str, Any]
BODY = 2


def chosen(said: Said) -> list[str]:
    """The lines of `spareway circuit JOB --new` for people."""
    verdict = verdict_of(said)
    loose = " (limit or value not confirmed)" if verdict == "within" and said["rests_on"] else ""
    lines = [*paragraph(f"{said['asked']['text']}, in way {said['way'].replace('.', ' ')}"), *_listed("", said["notes"]), "",
             *paragraph(f"{mark(verdict)} {TITLES[verdict]}{loose}: {said['says'].removeprefix('Nothing: ')}", 0, 4)]
    lines += paragraph(f"Decided by: {said['binds']['says']}", 4, 6) if said["binds"]["says"] else []
    lines += paragraph(f"A smaller device: {said['smaller_device']}", 4, 6) if said["smaller_device"] else []
    lines += _listed("Missing:", (f"{gap['says']}, {gap['at']}: {gap['why']}" for gap in said["missing"]))
    lines += _listed("To settle:", settling_words(said))
    device = f" with {said['refused'][0]['device']}" if said["refused"] else ""
    lines += _listed(f"Refused{device}, the smallest first:", (each["says"] for each in said["refused"]))
    lines += _listed("As chosen:", (f"{_ok(each['ok'])}: {each['says']}" for each in said["tests"]))
    lines += _listed("By every rule that is asked of a circuit:", rules_words(said))
    lines += _listed("Where the choice turns:", turning_words(said["turns"]))
    lines += _listed("Rests on what was assumed or not confirmed:", map(ground_words, said["rests_on"]))
    written = said["toml"].splitlines() if said["chosen"] else []
    return [*lines, *(["", "In work.toml it would read:"] if written else []), *(f"{'':{BODY}}{line}" for line in written)]


def together(said: Said) -> list[str]:
    """The lines of `spareway circuit JOB --board` for people: all new circuits of a board, chosen with their bundles shared."""
    circuits, kept = said["circuits"], said["kept"]
    lines = [*paragraph(said["job"] or "A job without a name"),
             *paragraph(f"{said['stage'].capitalize()}, {said['board']}: {counted(len(circuits), 'new circuit')} "
                        "chosen together.")]
    for each in circuits:
        verdict = OF_CHOICE[each["verdict"]]
        lines += ["", *paragraph(f"{mark(verdict)} {each['name']} [{each['way']}]", 0, 4)]
        lines += paragraph(each["chosen"]["says"] if each["chosen"] else each["line"], 4, 6)
        lines += paragraph(f"On record: {_recorded(each['recorded'])}", 4, 6)
        lines += paragraph(f"Decided by: {each['binds']['says']}", 4, 6) if each["binds"]["says"] else []
        lines += [line for note in each["notes"] for line in paragraph(note, 4, 6)]
        texts = [*(f"Missing: {gap['says']}, {gap['at']}: {gap['why']}" for gap in each["missing"]),
                 *(f"To settle: {text}" for text in settling_words(each)),
                 *(f"Turns: {text}" for text in turning_words(each["turns"])), *_grounds(each["rests_on"])]
        lines += [line for text in texts for line in paragraph(text, 4, 6)]
    lines += _listed("Bundles:", (f"{b['name']}: {counted(b['counted'], 'circuit')} count of {', '.join(b['runs'])}"
                                  + (f"; within 30 % of what they carry grouped, so not counted: {', '.join(b['left_out'])}"
                                     if b["left_out"] else "") for b in said["bundles"]))
    lines += ["", *paragraph(f"Kept, and not chosen again: {', '.join(kept)}.")] if kept else []
    return [*lines, "", *paragraph("Chosen by the size, load, rating, drop, loop and heat of each. Every other rule the check of "
                                   "the job asks, with them in it.")]


def _grounds(grounds: Iterable[Said]) -> list[str]:
    """What one of several rests on, in one line."""
    said = [f"{each['says']} {each['is']}, {each['how']}" for each in grounds]
    return [f"Rests on: {'; '.join(said)}"] if said else []


def _recorded(said: Said) -> str:
    cable, device = said["cable"], said["device"]
    sizes = "/".join("?" if mm2 is None else f"{mm2:g}" for mm2 in (cable["line_mm2"], cable["cpc_mm2"]))
    rating = "?" if device["rating_a"] is None else f"{device['rating_a']:g}"
    return f"{sizes} mm² {cable['kind']}, {device['kind']} {device['curve'] or ''}{rating}"


def _ok(ok: bool | None) -> str:
    return "not known" if ok is None else "within" if ok else "breaks"


def _listed(head: str, texts: Iterable[str]) -> list[str]:
    body = [line for text in texts for line in paragraph(f"- {text}", BODY, BODY + 2)]
    return [*(["", head] if head else []), *body] if body else []
