"""That a service fuse never blew: what it is worth, said once for every face."""
from __future__ import annotations

from spareway.fact import Fact

__all__ = ["how_long", "never_blew"]

NO_EVIDENCE = "That it never blew is no evidence"


def how_long(conventional_h: Fact[float]) -> str:
    """The conventional time of the fuse, to which what it holds and what opens it refer; in words where no table has it."""
    return str(conventional_h) if conventional_h.known else "its conventional time"


def never_blew(rating_a: Fact[float], holds_a: Fact[float], opens_a: Fact[float], conventional_h: Fact[float]) -> str:
    """What the fuse may do between what it holds and what opens it, each with what it rests on."""
    if not opens_a.known:
        return f"{NO_EVIDENCE}: what opens this fuse is not known."
    time = how_long(conventional_h)
    held = f"it holds {holds_a} for {time}{_trust(holds_a, conventional_h)}" if holds_a.known else \
        f"what it holds is not known, {holds_a.missing()[0].note}"
    opens = f"it opens within {time} at {opens_a}{_trust(opens_a, conventional_h)}"
    return (f"{NO_EVIDENCE}: {held}; {opens}; between what it holds and what it opens at it may do either. "
            f"Its rating of {rating_a} may have been exceeded all the same.")


def _trust(*facts: Fact[float]) -> str:
    """How well it is known, where nobody confirmed it."""
    doubts = dict.fromkeys(each.trust or each.how for fact in facts for each in fact.doubtful())
    return f" ({', '.join(doubts)})" if doubts else ""
