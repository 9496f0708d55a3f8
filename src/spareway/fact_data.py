"""A fact as plain data, once for every document: the figure, what it rests on, what is missing, what it leaves of a fuse."""
from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from spareway.design.design import Design
from spareway.design.service import in_hand_a, over_a
from spareway.fact import Fact, glossary

__all__ = ["addressed", "brief", "figure", "gap", "ground", "in_hand", "rest", "rests", "sourced", "whole"]


def figure(fact: Fact[Any]) -> dict[str, Any]:
    """How much, how that is known, and where it is unknown what is missing."""
    return {"amount": fact.amount, "is": str(fact), "how": fact.how, "note": fact.note,
            "missing": [gap(each) for each in fact.missing()] if fact.amount is None else []}


def whole(fact: Fact[Any]) -> dict[str, Any]:
    """With its working, and with what it rests on that is assumed or that nobody confirmed."""
    return {**figure(fact), "rests_on": rests(fact.doubtful()), "working": [step.line for step in fact.working()]}


def sourced(fact: Fact[Any]) -> dict[str, Any]:
    """With what it is of, where it stands and how far that is trusted."""
    return {"says": glossary(fact.name).says, **figure(fact), "trust": fact.trust, "where": fact.where, "at": fact.at}


def brief(fact: Fact[Any]) -> dict[str, Any]:
    """A figure whose working stands elsewhere in the document: where it is unknown, why."""
    why = "; ".join(dict.fromkeys(f"{each.at}: {each.note}" if each.at else each.note for each in fact.missing()))
    return {"amount": fact.amount, "is": str(fact), "why": why if fact.amount is None else ""}


def in_hand(design: Design, figures: Iterable[tuple[str, Fact[float]]]) -> list[dict[str, Any]]:
    """What each figure of demand (A) leaves of the fuse of this design, or by how much it is over."""
    return [{"says": says, "demand_a": brief(fact), "left_a": brief(in_hand_a(design, fact)),
             "over_a": brief(over_a(design, fact))} for says, fact in figures]


def gap(fact: Fact[Any]) -> dict[str, str]:
    """What is missing: in words, its address, why."""
    return {"says": glossary(fact.name).says, "at": fact.at, "why": fact.note}


def addressed(fact: Fact[Any]) -> dict[str, str]:
    """What is missing, for whoever goes to the line of the file or asks for the quantity by its name."""
    return {"quantity": fact.name, "says": glossary(fact.name).says, "at": fact.at, "where": fact.where, "why": fact.note}


def rest(fact: Fact[Any]) -> dict[str, str]:
    """What a figure rests on that is assumed or that nobody confirmed, in words: why, or its source."""
    return {"says": glossary(fact.name).says, "is": str(fact), "how": fact.trust or fact.how, "note": fact.note or fact.where}


def rests(facts: Iterable[Fact[Any]]) -> list[dict[str, str]]:
    """The same of several, each once."""
    return [*{tuple(each.values()): each for each in map(rest, facts)}.values()]


def ground(fact: Fact[Any]) -> dict[str, str]:
    """What something rests on that is assumed or that nobody confirmed, with its address or its source, and why."""
    return {"quantity": fact.name, "says": glossary(fact.name).says, "is": str(fact), "how": fact.trust or fact.how,
            "at": fact.at or fact.where, "note": fact.note}
