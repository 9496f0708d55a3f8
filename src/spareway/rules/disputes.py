"""What two people say two things of: a finding for each, and no verdict on it that reads better than unknown."""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from spareway.doc import is_fact, trail
from spareway.job.disputed import Dispute, value
from spareway.job.write import inline
from spareway.rules.base import VERDICTS, Finding

if TYPE_CHECKING:
    from spareway.design.design import Design

__all__ = ["CODE", "differences", "disputes", "held_back"]

CODE, NAME = "DI1", "two_people_disagree"
BETTER = VERDICTS[VERDICTS.index("unknown") + 1:]           # advice, within, not applicable
BESIDE = ("job.toml", "kit.toml")                          # what is not about the home itself
GOVERN = ("books", "nation")                                # of job.toml: what every verdict is given by
REMEDIAL = "look again together, and choose: merge shows both"


def disputes(design: Design) -> list[Finding]:
    """One finding for each group that nobody has chosen yet."""
    return [Finding(CODE, NAME, "unknown", each.address, "disputed.toml:1", _says(each), "", "common practice", remedial=REMEDIAL)
            for each in design.inst.disputes]


def _says(dispute: Dispute) -> str:
    return f"Two people changed this, each alone: {'; '.join(differences(dispute)) or 'one took it away'}"


def differences(dispute: Dispute) -> list[str]:
    """Each field of which they say two things, with every version of it."""
    said = [dict(_flat(value(version))) for version in dispute.versions]
    out = []
    for field in dict.fromkeys(field for each in said for field in each):
        values = [each.get(field, "nothing") for each in said]
        if len(set(values)) > 1:
            out.append(f"{field or 'it'} {' / '.join(values)}")
    return out


def _flat(said: Any, at: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(said, dict) and not is_fact(said):
        for key, each in said.items():
            yield from _flat(each, f"{at}.{key}" if at else str(key))
    elif said is not None:
        yield at, inline(said)


def held_back(findings: Sequence[Finding], design: Design) -> list[Finding]:
    """The findings, worst first; those on a disputed thing are unknown where they would read better. What no version is asked stays
    so where they differ in facts alone; where they differ in how it is wired, the whole installation waits. Where they differ in the
    edition or the nation, nothing is within; of the rest of job.toml and of kit.toml no version was read, and nothing more waits."""
    of_home = [each for each in design.inst.disputes if each.file not in BESIDE]
    of_facts = tuple(each.address for each in of_home if each.of_facts_alone)
    wired = tuple(each.address for each in of_home if not each.of_facts_alone)
    governed = any(each.file == "job.toml" and trail(each.address)[0] in GOVERN for each in design.inst.disputes)
    if not of_facts and not wired and not governed:
        return list(findings)
    out = [replace(f, verdict="unknown", says=f"Two people say two things of {'the edition or the nation' if governed else 'it'}. {f.says}".strip())
           if f.verdict in BETTER and (_about(f.subject, wired) or wired and f.subject == "installation")
           or f.verdict in BETTER[:-1] and (governed or _about(f.subject, of_facts)) else f for f in findings]
    return sorted(out, key=lambda f: (VERDICTS.index(f.verdict), f.rule, f.subject))


def _about(subject: str, addresses: Sequence[str]) -> bool:
    """A thing disputed, or something of it."""
    return any(subject == a or subject.startswith(f"{a}.") for a in addresses)
