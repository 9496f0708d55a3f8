"""What `spareway demand` says of the service chain: part by part, now and behind a larger fuse; long tails; a cap."""
from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import click

from spareway.cli.layout import counted, paragraph, rests
from spareway.show import show

__all__ = ["in_hand", "options", "page", "wanted"]

Said = Mapping[str, Any]
BODY, UNDER, DEEP = 2, 4, 6
HELD_H = 2.0


def options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of the chain, in the order they are told."""
    for add in reversed((
        click.option("--raise", "raises_a", multiple=True, type=float, metavar="AMPERES",
                     help="Also say what carries it if the operator fitted such a fuse; may be given again."),
        click.option("--cap", "cap_a", type=float, metavar="AMPERES",
                     help="Also say which heaters a cap on the home would hold off, in which order, at what cost in comfort."),
        click.option("--held", "held_h", default=HELD_H, show_default=True, type=float, metavar="HOURS",
                     help="With --cap: for how long heaters are held off on the design day."),
    )):
        command = add(command)
    return command


def wanted(simulated: bool, raises_a: Sequence[float], cap_a: float | None, held_h: float) -> dict[str, Any] | None:
    """What is asked of the chain; None where nothing is. Errors: click.UsageError for hours without a cap, or with --simulate."""
    if cap_a is None and held_h != HELD_H:
        raise click.UsageError("--held goes with --cap")
    if not raises_a and cap_a is None:
        return None
    if simulated:
        raise click.UsageError("--raise and --cap ask of what is on record, --simulate of what is foreseen: ask one of them")
    return {"raises_a": tuple(raises_a), "cap_a": cap_a, "held_h": held_h}


# ---- always told ----------------------------------------------------------------------------------------------------
def in_hand(said: Sequence[Said], fuse: Said) -> list[str]:
    """What each figure leaves of the fuse, or why nobody can tell."""
    if fuse["amount"] is None:
        return paragraph("Amperes in hand: not known while the rating of the service fuse is not.")
    return paragraph(f"Amperes in hand of {fuse['is']}, each figure by itself:") + [
        line for each in said for line in paragraph(f"{each['says']}: {_left(each)}", BODY, UNDER)]


def _left(each: Said) -> str:
    figure, left, over = each["demand_a"], each["left_a"], each["over_a"]
    if figure["amount"] is None:
        return f"unknown: {figure['why']}"
    return f"{figure['is']} is {over['is']} over" if over["amount"] else f"{figure['is']} leaves {left['is']}"


def _if(words: str, said: str) -> str:
    """The words with what is said in them; nothing where nothing is."""
    return words.format(said) if said else ""


# ---- the chain ------------------------------------------------------------------------------------------------------
def page(said: Said, told: set[str]) -> list[str]:
    """The chain now and behind each fuse that was asked about, long tails, what two rates left, and the cap.

    told: what figures and answers rest on that this page has said already."""
    lines = _behind(said["now"], f"The service chain behind the fuse that is there, {_amps(said['now']['fuse_a'])}", told)
    for each in said["raised"]:
        lines += ["", *_behind(each, f"If the fuse were {each['fuse_a']['is']}, which the operator alone can change", told)]
    for each in said["long_tails"]:
        lines += ["", *_long(each, told)]
    lines += _two_rates(said["two_rates"])
    return lines + (["", *_cap(said["cap"], told)] if said["cap"] else [])


def _behind(said: Said, head: str, told: set[str]) -> list[str]:
    lines = paragraph(f"{head}: {said['answer']}.") + rests(said["fuse_a"]["rests_on"], told, BODY)
    for part in said["parts"]:
        lines += _part(part, told)
    lines += paragraph(f"stands for {_amps(said['stands_for_kw'])} at the declared voltage; holds for {said['within']}: "
                       f"{_amps(said['holds_a'])}; opens within {said['within']}: {_amps(said['opens_a'])}", BODY, UNDER)
    for key in ("stands_for_kw", "holds_a", "opens_a"):
        lines += rests(said[key]["rests_on"], told, UNDER)
    return lines + [line for each in said["in_hand"] for line in paragraph(f"{each['says']}: {_left(each)}", UNDER, DEEP)]


def _part(part: Said, told: set[str]) -> list[str]:
    """What is said yes to in one line, each other answer with what it says; then what any of them rests on."""
    yes = "; ".join(f"{_asks(each)}{_if(' ({})', each['worst'])}" for each in part["answers"] if each["answer"] == "yes")
    lines = paragraph(f"{part['at']}, {part['says']}{_if(': yes: {}', yes)}", BODY, UNDER)
    for each in part["answers"]:
        if each["answer"] != "yes":
            worst = _if(". Worst: {}", each["worst"])
            lines += paragraph(f"{_asks(each)}: {each['answer']}. {each['says']}{worst}", UNDER, DEEP)
    return lines + [line for each in part["answers"] for line in rests(each["rests_on"], told, UNDER)]


def _asks(answer: Said) -> str:
    return f"{answer['asks']}{_clause(answer)}"


def _clause(answer: Said) -> str:
    """The clauses by which it is answered; nothing where none is."""
    return _if(" [{}]", answer["clause"].replace(";", ","))


def _long(said: Said, told: set[str]) -> list[str]:
    """Three questions kept apart, and what a fuse of its own could be."""
    lines = paragraph(f"Long tails, {said['at']}, {_amps(said['length_m'])}: three answers.")
    for what, key in (("the operator's limit", "operator"), ("overload", "overload"), ("a fault", "clearing")):
        for each in said[key]:
            lines += paragraph(f"{what}: {each['answer']}. {each['says']}{_clause(each)}", BODY, UNDER)
            lines += rests(each["rests_on"], told, UNDER)
    own = said["own_fuse"]
    if own["at_most_a"]["amount"] is None:
        return lines + paragraph(f"A fuse of its own at the intake: {_amps(own['at_most_a'])}", BODY, UNDER)
    short = ", ".join(f"{each['says']} {each['demand_a']['is']}" for each in own["figures"] if each["answer"] == "no")
    lines += paragraph("A fuse of its own at the intake would be known to open before the service fuse up to "
                       f"{own['at_most_a']['is']}{_if(', which is less than {}', short)}.", BODY, UNDER)
    return lines + rests(own["at_most_a"]["rests_on"], told, UNDER)


def _two_rates(said: Said) -> list[str]:
    lines = paragraph(f"Metered for two rates: {', '.join(said['layouts'])}.") if said["layouts"] else []
    for each in said["leftovers"]:
        lines += paragraph(f"{each['at']}: {'' if each['sure'] else 'perhaps '}{each['what']}: {each['says']}", BODY, UNDER)
    return ["", *lines] if lines else []


# ---- the cap --------------------------------------------------------------------------------------------------------
def _cap(said: Said, told: set[str]) -> list[str]:
    lines = paragraph(f"A cap of {said['cap_a']['is']} on the home, heaters off for {said['held_h']['is']} of the design day. "
                      f"{said['says']} K·h: degrees colder times hours.")
    for plan in said["plans"]:
        lines += [*_plan(plan, said["cap_a"]["is"])]
        for room in plan["rooms"]:
            lines += rests(room["cooled_kh"]["rests_on"], told, UNDER)
    for each in said["left_out"]:
        lines += paragraph(f"{each['at']} is held off by no plan: {each['why']}", BODY, UNDER)
    return lines + paragraph("What such a device must do:", BODY) + [
        line for text in said["device"] for line in paragraph(text, UNDER, UNDER + 2)]


def _plan(plan: Said, cap: str) -> Iterator[str]:
    waits = f", with {', '.join(plan['waits'])} put off first" if plan["waits"] else ""
    head = f"{plan['says']} {_amps(plan['figure_a'])}{waits}: "
    if plan["why_not"]:
        yield from paragraph(f"{head}no plan: {plan['why_not']}", BODY, UNDER)
        return
    if not plan["steps"]:
        yield from paragraph(f"{head}{plan['left_a']['is']} is left, no heater is held off", BODY, UNDER)
    else:
        yield from paragraph(f"{head}{counted(len(plan['steps']), 'heater')} held off, in this order", BODY, UNDER)
    for n, step in enumerate(plan["steps"], 1):
        yield from paragraph(f"{n} {step['at']}, {step['room']}, {step['current_a']['is']}: leaves {step['left_a']['is']}; "
                             f"{step['cooled_kh']['is']} in all", UNDER, DEEP)
    for room in plan["rooms"]:
        between = f"between {show(room['least_kh'])} and {show(room['most_kh'])} by how heavily it is built"
        yield from paragraph(f"{room['room']}: {room['cooled_kh']['is']}, {between}; {room['fall_k']['is']} colder at the end",
                             UNDER, DEEP)
    if plan["above_at_highest"]:
        left = plan["at_highest_a"]["is"]
        yield from paragraph(f"at the highest voltage {left} may be left, above {cap}: more is held off then", UNDER, DEEP)


def _amps(fact: Said) -> str:
    gaps = "; ".join(f"{gap['says']}, {gap['at']}: {gap['why']}" if gap["at"] else str(gap["why"]) for gap in fact["missing"])
    return str(fact["is"]) if fact["amount"] is not None else f"unknown ({gaps})"
