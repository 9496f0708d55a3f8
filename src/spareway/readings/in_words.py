"""What the readings of a circuit leave open, in words: which faults they do not tell apart, and where only looking tells more."""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from spareway.readings.following import Proposal
from spareway.readings.rank import Ranked
from spareway.readings.wired import CORES, Fault

__all__ = ["cannot_tell_apart", "not_explained", "only_looking_tells"]

TELLS_BITS = 0.05                               # a reading that is expected to tell less is not worth the walk
KINDS = {"sound": "nothing wrong", "open": "an open {core}", "loose joint": "a loose joint in the {core}", "spur": "a spur",
         "joined straight": "ends joined leg to same leg", "bridge": "a cable that bridges the ring",
         "changed over": "{core} changed over", "earth off": "the protective conductor off an accessory",
         "smaller": "a smaller cable", "lead not nulled": "leads not nulled", "parallel path": "another path to earth",
         "several": "more than one thing, or a reading that is wrong"}
MOST = 3                                        # places that are named one by one


def cannot_tell_apart(ranked: Ranked) -> str:
    """What is left, a kind at a time, the likeliest first; nothing where one fault is left."""
    alike = ranked.alike
    if len(alike) < 2:
        return ""
    order = list(dict.fromkeys((fault.kind, fault.core) for fault in alike))
    by_kind = sorted(alike, key=lambda fault: order.index((fault.kind, fault.core)))
    return "; or ".join(_of_a_kind(list(some)) for _, some in groupby(by_kind, key=lambda fault: (fault.kind, fault.core)))


def not_explained(ranked: Ranked) -> str:
    """That the likeliest fault does not explain all readings; nothing where it does."""
    if ranked.explained:
        return ""
    return ("No one fault explains all of these readings. More than one thing is wrong, or a reading is: take them again. What "
            "is named here is only what explains them least badly, and may not be there.")


def _of_a_kind(some: Sequence[Fault]) -> str:
    """`a loose joint in the neutral, at one of 10 places`."""
    first = some[0]
    says = KINDS[first.kind].format(core=" and ".join(CORES[core] for core in first.core))
    if len(some) > MOST:
        return f"{says}, at one of {len(some)} places"
    places = [_place(fault) for fault in some if fault.place]
    return f"{says} {' or '.join(places)}" if places else says


def _place(fault: Fault) -> str:
    return f"at {fault.place[0]}" if len(fault.place) == 1 else f"between {fault.place[0]} and {fault.place[1]}"


def only_looking_tells(ranked: Ranked, proposals: Iterable[Proposal]) -> str:
    """Where to look, if what is left is not told apart by any reading that can be taken from outside; else nothing."""
    if len(ranked.alike) < 2 or any(each.bits >= TELLS_BITS for each in proposals):
        return ""
    opened = dict.fromkeys(place for fault in ranked.alike for place in fault.place if place in _accessories(ranked))
    if not opened:
        return ""
    places = _listed(list(opened))
    return f"No further reading tells these apart. Locked off and proved dead, open {places} and look at the terminals."


def _accessories(ranked: Ranked) -> set[str]:
    """The places that are points, by the readings that can be taken at them."""
    return {name.partition(" ")[2] for name in ranked.wired.standard if not name.endswith("end to end")}


def _listed(names: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
