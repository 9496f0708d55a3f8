"""A check in words: what must be made safe, what fails, what stays live, what to lock off, which readings would settle it.

Findings of one rule stand together under its sentence, each with its subject, its place in the files and by how much.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spareway.cli.layout import GLUE, MARKS, TITLES, columns, counted, mark, paragraph
from spareway.cli.live import by_potential, caution
from spareway.rules.base import VERDICTS
from spareway.rules.grouped import BAD, Group, Member, alike, by_rule, needs, standing_words, tally
from spareway.show import show

__all__ = ["page"]

Finding = Mapping[str, Any]
SHOWN_LIVE = ("line", "line through a load", "not known", "neutral")
FEW, BODY = 3, 4


def page(said: Mapping[str, Any], full: bool, today: Sequence[Finding] = (), failed: Sequence[Finding] = ()) -> list[str]:
    """The lines of a check for people. today: what must be made safe as found, where this judges a proposal; failed: what failed
    as found and is not known now."""
    lines = [*_title(said), *_today(today), *_head(said), *_failed(failed)]
    for group in by_rule(said["findings"], VERDICTS if full else BAD):
        lines += ["", *_group(group, full)]
    lines += ["", *_beyond(said, full), *_by_eye(said["by_eye"], full), *_stays_live(said["live"])]
    lines += _lock_offs(said["lock_off"], said["live"]["by_permission"])
    return [*lines, *_settling(said["findings"]), *caution(dict(said))]


# ---- counts ---------------------------------------------------------------------------------------------------------
def _title(said: Mapping[str, Any]) -> list[str]:
    books = ", ".join(f"{book.upper().replace('BS7671', 'BS 7671:')}{edition}" for book, edition in said["books"].items())
    return [*paragraph(said["job"] or "A job without a name"),
            *paragraph(f"{said['stage'].capitalize()}, judged by {books}{', ' + said['nation'] if said['nation'] else ''}.")]


def _today(stops: Sequence[Finding]) -> list[str]:
    """What stands on the wall today comes before anything that is only proposed."""
    lines = ["", *paragraph("As found, and so today, whatever the work will cure. Make safe first:")] if stops else []
    for group in by_rule(stops, ("stop",)):
        lines += _group(group, False)
    return lines


def _failed(findings: Sequence[Finding]) -> list[str]:
    """What failed as found stands until it is read again, though nothing fails at the stage that is judged."""
    lines = ["", *paragraph(f"{standing_words(len(findings))}. --stage found tells them whole.")] if findings else []
    for each in findings:
        lines += paragraph(f"- {each['rule']} {_subject(each)}: {each['says']}", BODY, BODY + 2)
    return lines


def _head(said: Mapping[str, Any]) -> list[str]:
    counts = said["counts"]
    told = ", ".join(each.says for each in tally(counts) if each.verdict in BAD)
    lines = ["", *paragraph(f"{told[:1].upper()}{told[1:]}." if told else "Nothing is worse than within the limits checked.")]
    return lines + (paragraph("Make safe first what stands under Stop, before anything else here.") if counts["stop"] else [])


def _beyond(said: Mapping[str, Any], full: bool) -> list[str]:
    """What is not listed, so that a short list never reads as clean."""
    counts, loose = said["counts"], len([f for f in said["findings"] if f.get("within")])
    rules = said["rules"]
    text = f"{len(rules['run'])} rules ran. {counts['within']} findings are within the limit checked"
    text += f", {loose} of them on a limit or value that nobody has confirmed" if loose else ""
    text += f"; {counts['not applicable']} are not applicable."
    text += f" {len(rules['without subject'])} rules had nothing here to ask about." if rules["without subject"] else ""
    text += f" {len(rules['not in this edition'])} are not in this edition." if rules["not in this edition"] else ""
    return paragraph(f"{text}{'' if full else ' --full lists them, with every working.'}")


def _by_eye(by_eye: Mapping[str, Any], full: bool) -> list[str]:
    """What only a person can see stands apart: nothing here is a finding until somebody has looked and said no."""
    looked, left = {row["eye"] for row in by_eye["answered"]}, by_eye["unknown"]
    rest = by_eye["items"] - len(looked | {row["eye"] for row in left})
    told = f" {counted(rest, 'is answered by the record itself', 'are answered by the record itself')};" if rest else ""
    lines = paragraph(f"By eye: {by_eye['items']} things that only a person can see. {len(looked)} have an answer in "
                      f"observations.csv;{told} {len(left)} are unknown.{'' if full or not left else ' --full lists them.'}")
    for item in left if full else ():
        lines += paragraph(f"- {item['eye']}: unknown whether {item['says']}. Look: {item['look']} ({item['clause']})", 2, 4)
    return lines


# ---- findings -------------------------------------------------------------------------------------------------------
def _group(group: Group, full: bool) -> list[str]:
    verdict = group.verdict
    would = f"; if so: {TITLES[group.would]}" if group.would else ""
    source = f"{group.rule}: {group.clause or 'no clause'} ({group.authority})"
    lines = paragraph(f"{MARKS[verdict]} {TITLES[verdict]}  {source}{would}")
    lines[0] = lines[0].replace(MARKS[verdict], mark(verdict), 1)
    lines += paragraph(group.title, BODY)
    if verdict == "unknown" and not full:
        lines += _waiting(group)
    else:
        lines += [line for member in group.members for line in _finding(member, full)]
    lines += paragraph(f"- all of them: {'. '.join(group.common)}", BODY, BODY + 2) if group.common else []
    grounds = list(dict.fromkeys(ground["says"] for m in group.members for ground in m.finding.get("rests_on", ())))
    if grounds and not full and verdict != "unknown":
        lines += paragraph(f"Rests on what was assumed or not confirmed: {', '.join(grounds)}", BODY, BODY + 2)
    if group.todo and (full or verdict != "unknown"):
        lines += paragraph(f"To do: {group.todo}", BODY, BODY + 7)
    return lines


def _finding(member: Member, full: bool) -> list[str]:
    lines = paragraph(f"- {_subject(member.finding)}{': ' if member.says else ''}{member.says}", BODY, BODY + 2)
    for extra in _beneath(member.finding, full):
        lines += paragraph(extra, BODY + 2, BODY + 4)
    return lines


def _subject(finding: Finding) -> str:
    if finding["subject"] == "installation":
        return "the whole installation"
    return f"{finding['subject']}{GLUE}[{finding['where']}]"


def _waiting(group: Group) -> list[str]:
    """Unknown findings of one rule: those that miss the same stand on one line. What settles them stands at the end."""
    lines = []
    for says, members in alike(group):
        gaps = members[0].finding.get("missing", ())
        told = f"missing: {_few([gap['says'] for gap in gaps])}" if says.startswith("Missing: ") else says
        decided = members[0].finding.get("decision")
        told += f"; decided: {decided}" if decided else ""
        subjects = ", ".join(_subject(m.finding) for m in members)
        lines += paragraph(f"- {subjects}{': ' if told else ''}{told}", BODY, BODY + 2)
    return lines


def _few(words: Sequence[str]) -> str:
    once = list(dict.fromkeys(words))
    return ", ".join(once[:FEW]) + (f" and {len(once) - FEW} more" if len(once) > FEW else "")


def _beneath(finding: Finding, full: bool) -> Iterator[str]:
    """Under a finding: a person's decision, where it turns, what it rests on, and the working where it is asked for."""
    if finding.get("decision"):
        yield f"decided: {finding['decision']}"
    if finding.get("within"):
        yield f"within, {finding['within']}"
    for turn in finding.get("flips_at", ()):
        yield f"turns at {show(turn['turns_at'])} {turn['unit']}: {turn['at']} is {show(turn['is'])} {turn['unit']}"
    if full:
        yield from (_ground(ground) for ground in finding.get("rests_on", ()))
        for gap in finding.get("missing", ()):
            yield f"missing: {', '.join(filter(None, (gap['says'], gap['at'], gap['why'])))}"
        yield from (f"= {line}" for line in finding.get("working", ()))
        yield from (f"from {source}" for source in finding.get("sources", ()))


def _ground(ground: Mapping[str, Any]) -> str:
    turns = f", turns at {show(ground['turns_at'])}" if ground["turns_at"] is not None else ""
    note = f" ({ground['note']})" if ground["note"] else ""
    return f"rests on {ground['says']} {ground['is']}, {ground['how']}{note}{turns}"


# ---- live parts and lock-offs ---------------------------------------------------------------------------------------
def _stays_live(live: Mapping[str, Any]) -> list[str]:
    leave = f", {' and '.join(live['by_permission'])} by permission" if live["by_permission"] else ""
    head = f"Stays live with everything open that a skilled person may open{leave}:"
    rows = by_potential(live["still"], SHOWN_LIVE)
    if not rows:
        return ["", "With everything open that a skilled person may open, nothing is live by the record."]
    return ["", *paragraph(head), *columns(rows)]


def _lock_offs(offs: Sequence[Mapping[str, Any]], by_permission: Sequence[str]) -> list[str]:
    """The parts that are replaced in service; the same answer once."""
    if not offs:
        return []
    rows: dict[str, list[str]] = {}
    for off in offs:
        rows.setdefault(_answer(off, by_permission), []).append(off["part"])
    found = sorted(rows.items(), key=lambda row: not row[0].startswith("none"))
    lines = ["", *paragraph("Fewest lock-offs for a skilled person, for each part that is replaced in service:")]
    for answer, parts in found:
        lines += paragraph(f"- {', '.join(parts)}: {answer}", 2, 4)
    return lines


def _answer(off: Mapping[str, Any], by_permission: Sequence[str]) -> str:
    if off["lock_off"] is None:
        still = ", ".join(f"{terminal} {potential}" for terminal, potential in off["still"])
        return f"none; whatever they open, still {still}"
    undone = f", undone by opening or lifting {', '.join(off['undone_by'])}" if off["undone_by"] else ""
    locks = [f"{lock} (by permission)" if lock in by_permission else lock for lock in off["lock_off"]]
    return (" and ".join(locks) or "nothing leads there with everything closed") + undone


# ---- what would settle the unknowns ---------------------------------------------------------------------------------
def _settling(findings: Sequence[Finding]) -> list[str]:
    """Each thing that is missing with the places it is missing at; first what settles most findings by one reading."""
    wanted = needs(findings)
    lines = ["", *paragraph("To read, measure or ask, what settles most by one reading first:")] if wanted else []
    for need in wanted:
        what = f"{need.says} ({need.field})" if need.field else need.says
        lines += paragraph(f"- {what} of {', '.join(need.places)}: {f'{need.why}; ' if need.why else ''}"
                           f"{counted(len(need.waiting), 'finding waits', 'findings wait')}", 2, 4)
    return lines
