"""A circuit in a few words, from the document of a circuit: what it is made of, its worst finding, the length at which it turns.

Command line and phone tell it in one way.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from spareway.doc import trail
from spareway.fact import glossary
from spareway.physics.choose import printed_down
from spareway.rules.base import VERDICTS
from spareway.show import exact, show

__all__ = ["OF_CHOICE", "Waiting", "cable_words", "device_words", "ground_words", "holds", "rules_words", "settling_words", "title_of",
           "turn_words", "turning_words", "turns_of", "verdict_of", "waiting", "worst"]

Said = Mapping[str, Any]                                    # a circuit, a finding or a quantity, as the document has it
BAD = ("stop", "fails")
TABLES, COOLER = "drop_above_limit", ("drop_above_limit_even_cool", "ring_drop_above_limit")
PARTS = ("cable", "device")                                 # of a circuit: looked at in one go
WITHIN = ("cable", "stretches", "points")                   # steps of an address that name nothing a person calls so


def cable_words(circuit: Said) -> str:
    """`t&e 2.5 / 1.5 mm², ring`; what is not recorded is a question mark."""
    cable = circuit["cable"]
    if not cable["kind"]:
        return "cable not recorded"
    return f"{cable['kind']} {_amount(cable['line_mm2'])} / {_amount(cable['cpc_mm2'])} mm²{', ring' if circuit['ring'] else ''}"


def device_words(circuit: Said) -> str:
    """`rcbo-2p B32 A, 30 mA`."""
    device = circuit["device"]
    if not device["kind"]:
        return "device not recorded"
    residual = f", {exact(device['residual_ma'])} mA" if device["residual_ma"] is not None else ""
    return f"{device['kind']} {device['curve'] or ''}{_amount(device['rating_a'])} A{residual}"


def _amount(amount: float | None) -> str:
    return "?" if amount is None else exact(amount)


def worst(findings: Sequence[Said]) -> Said | None:
    """The first that is worse than within, worst first; None where there is none."""
    return min((f for f in findings if f["verdict"] in VERDICTS[:4]), key=lambda f: VERDICTS.index(f["verdict"]), default=None)


class _Turning(NamedTuple):
    """A finding of a circuit and a length of its own at which it turns."""
    finding: Said
    at: str
    is_m: float
    turns_m: float

    def says(self, word: str) -> str:
        """`21 m, holds to 40 m: drop above limit`, the word being `holds to {} m`."""
        return f"{_part(self.at.partition('.')[2].partition('.')[2])}{exact(self.is_m)} m, {word.format(_down(self.turns_m))}: " \
               f"{_called(self.finding)}"


def holds(circuit: Said) -> str:
    """`21 m, holds to 53 m: drop above limit`: the length at which its worst verdict turns, by whichever check is the first.

    Of one that fails the length at which it would not, or that it fails at any."""
    findings = circuit["findings"]
    turnings = [_Turning(f, t["at"], t["is"], t["turns_at"]) for f in findings for t in f.get("flips_at", ())
                if t["quantity"] == "length_m" and t["at"].startswith(f"circuits.{circuit['name']}.")]
    bad = [f for f in findings if f["verdict"] in BAD]
    return _held_at(bad, turnings, circuit["length_m"]) if bad else _held_to(findings, turnings)


def _held_to(findings: Sequence[Said], turnings: Sequence[_Turning]) -> str:
    """How much longer it may be. Above the drop of the tables CI4 stands aside where the cable may be reckoned cooler."""
    rank = min((VERDICTS.index(f["verdict"]) for f in findings), default=0)
    aside = any(f["name"] in COOLER and f["verdict"] in VERDICTS[2:5] for f in findings)
    ahead = sorted((t for t in turnings if t.finding["verdict"] == "within" and t.turns_m > t.is_m), key=lambda t: t.turns_m - t.is_m)
    by_tables = [t for t in ahead if aside and t.finding["name"] == TABLES]
    first = next((t for t in ahead if t not in by_tables and VERDICTS.index(_breach(t.finding)) < rank), None)
    if not by_tables or first and first.turns_m - first.is_m <= by_tables[0].turns_m - by_tables[0].is_m:
        return first.says("holds to {} m") if first else ""
    of_tables = f"holds to {_down(by_tables[0].turns_m)} m by the drop of the tables"
    return first.says(f"{of_tables} and to {{}} m at the most") if first and first.at == by_tables[0].at else \
        by_tables[0].says(of_tables)


def _held_at(bad: Sequence[Said], turnings: Sequence[_Turning], length_m: float | None) -> str:
    """The length at which nothing that fails now would, the rest of its cable being as it is."""
    whatever = [f for f in bad if not any(t.finding is f for t in turnings)]
    if whatever:
        return f"{exact(length_m)} m, fails at any length: {_called(whatever[0])}" if length_m is not None else ""
    for at in dict.fromkeys(t.at for t in turnings):
        its = [t for t in turnings if t.at == at and t.finding in bad and t.turns_m < t.is_m]
        if len(its) == len(bad):
            return min(its, key=lambda t: t.turns_m).says("holds at {} m or less")
    return ""


# ---- what waits for one same thing ------------------------------------------------------------------------------------------
class Waiting(NamedTuple):
    """Checks of a circuit that nobody can tell for want of the same: in words, `Waits for: cable, device`."""
    says: str
    findings: tuple[Said, ...]


def waiting(circuit: Said) -> list[Waiting]:
    """What is unknown of a circuit, each want once with every check that waits for it, in the order of the document."""
    held: dict[str, list[Said]] = {}
    for finding in circuit["findings"]:
        if finding["verdict"] == "unknown":
            held.setdefault(_needs(finding, circuit["name"]), []).append(finding)
    return [Waiting(says, tuple(own)) for says, own in held.items()]


def title_of(finding: Said) -> str:
    """What its rule asks, as it applies: `Cannot tell whether ...`."""
    from spareway.rules.grouped import by_rule
    return by_rule([finding], (finding["verdict"],))[0].title.rstrip(".")


def _needs(finding: Said, circuit: str) -> str:
    """What it waits for: cable or device as a whole, else each thing by its name; its own words where they are more than a list
    of what is missing."""
    gaps = finding["missing"]
    if not gaps or not all(gap["says"] in finding["says"] for gap in gaps):
        return str(finding["says"])
    parts = sorted({_part_of(gap, circuit) for gap in gaps}, key=lambda each: (each not in PARTS, each))
    return f"Waits for: {', '.join(parts)}"


def _part_of(gap: Said, circuit: str) -> str:
    at = trail(gap["at"]) if gap["at"] else ()
    if at[:2] == ("circuits", circuit) and len(at) > 2 and at[2] in PARTS:
        return at[2]
    return str(gap["says"])


def _breach(finding: Said) -> str:
    """What a no of its rule is called."""
    from spareway.rules import rule_of
    of = rule_of(finding["rule"])
    return of.breach if of else "fails"


def _called(finding: Said) -> str:
    return str(finding["name"]).replace("_", " ")


def _part(address: str) -> str:
    """Which stretch or point a length is of, where it is not of the whole cable."""
    named = [step for step in trail(address)[:-1] if step not in WITHIN]
    return f"{' '.join(named)} " if named else ""


def _down(length_m: float) -> str:
    """A length at which something turns, never rounded up past it."""
    return exact(printed_down(length_m, 1))


def turns_of(quantity: Said, findings: Sequence[Said]) -> Iterator[str]:
    """How far a quantity is from turning: for each finding that asks it to keep to a limit, what would have to be otherwise.

    Only what is of a circuit or of the supply; the finding itself names every other length before it."""
    for finding in findings:
        kept = finding.get("limit" if finding.get("relation") == "at least" else "value")
        if quantity["amount"] is None or kept != quantity["amount"] or finding["unit"] != quantity["unit"]:
            continue
        for turn in finding.get("flips_at", ()):
            if turn["at"].startswith(("circuits.", "supplies.")):
                yield f"{finding['rule']}, {finding['name'].replace('_', ' ')}: {turn_words(turn)}"


def turn_words(turn: Said) -> str:
    """`turns at 53 m; length of a cable, cooker, is 21 m`."""
    of = " ".join(step for step in trail(turn["at"])[1:-1] if step not in WITHIN).replace("-", " ")
    at, now = (f"{said} {turn['unit']}" for said in (show(turn["turns_at"]), exact(turn["is"])))
    return f"turns at {at}; {glossary(turn['quantity']).says}, {of}, is {now}"


# ---- a circuit that is yet to be --------------------------------------------------------------------------------------------
OF_CHOICE = {"within": "within", "unknown": "unknown", "none": "fails"}           # a choice's own word, as a verdict is called
ELSEWHERE = ("These are the rules that are asked of a circuit. What it does to its board, to the supply and to the rest of the job, the "
             "check of the job says with these lines in it.")


def verdict_of(choice: Said) -> str:
    """The worst of a choice and of what every rule says of the circuit as chosen, where that was asked; advice alone is none."""
    said = [OF_CHOICE[choice["verdict"]], *(f["verdict"] for f in _of_rules(choice) if f["verdict"] != "advice")]
    return str(min(said, key=VERDICTS.index))


def rules_words(choice: Said) -> Iterator[str]:
    """Of the circuit as chosen what every rule finds that is worse than within, and that its own tests have not said."""
    for each in _of_rules(choice):
        if not (each["rule"] == "CI5" and each["verdict"] == "unknown" and {"near", "far"} & {t["test"] for t in choice["open"]}):
            yield f"{each['verdict']}: {each['rule']}, {each['clause'] or 'no clause'}: {each['says']}"
    if "circuit" in choice:
        yield ELSEWHERE


def _of_rules(choice: Said) -> Sequence[Said]:
    return [f for f in choice.get("circuit", {}).get("findings", ()) if f["verdict"] in VERDICTS[:4]]


def settling_words(choice: Said) -> Iterator[str]:
    """What a person must still find out, and the least pair that leaves nothing open."""
    for each in choice["open"]:
        bound = each["at_most_a2s"]
        yield f"{each['says']}: {each['settled_by']}{f', at most {show(bound)} A²s' if bound is not None else ''}"
    if choice["open"]:
        settled = choice["settled"]
        yield f"{settled['says']} leaves nothing open" if settled else "nothing on offer leaves nothing open"


def turning_words(turns: Sequence[Said]) -> Iterator[str]:
    """`length of a cable 14 m, stated: holds to 37.9 m, then 4/1.5 mm² t&e, B20`."""
    for turn in turns:
        unit = f" {turn['unit']}".rstrip()
        ends = [f"holds from {_up(turn['holds_from'])}{unit}{_other(turn['before'], 'below it')}" if turn["holds_from"] is not None
                else "", f"holds to {_cut(turn['holds_to'])}{unit}{_other(turn['then'], 'then')}"
                if turn["holds_to"] is not None else ""]
        if any(ends):
            amount = show(turn["is"]) if turn["how"] == "worked" else exact(turn["is"])
            yield f"{turn['says']} {amount}{unit}, {turn['how']}: {'; '.join(filter(None, ends))}"


def _other(choice: str, word: str) -> str:
    return f", {word} {choice}" if choice else ""


def _cut(amount: float) -> str:
    """To three digits and never past where it turns."""
    said = show(amount)
    return said if float(said) <= amount else _next(said, -1)


def _up(amount: float) -> str:
    said = show(amount)
    return said if float(said) >= amount else _next(said, 1)


def _next(said: str, way: int) -> str:
    """The next number of as many decimals, up or down."""
    places = len(said.partition(".")[2])
    return f"{float(said) + way * 10 ** -places:.{places}f}"


def ground_words(ground: Said) -> str:
    """An assumption, or a row of a table that nobody confirmed."""
    note = f" ({ground['note']})" if ground["note"] else ""
    return f"{ground['says']} {ground['is']}, {ground['how']}{note}"
