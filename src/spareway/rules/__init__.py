"""One small function a rule, one file a topic."""
from __future__ import annotations

from functools import cache

from spareway.rules.base import Rule

TOPICS = ("intake", "earthing", "surge", "boards", "circuits", "sources", "two_rates", "residual", "origin", "conductors", "bath", "measured", "faults", "devices", "routes", "rings", "loads", "heating", "demands", "tested", "voltages", "proof", "service", "operators")


@cache
def all_rules() -> tuple[Rule, ...]:
    """Every rule, topic by topic. Built once."""
    from importlib import import_module
    return tuple(r for topic in TOPICS for r in import_module(f"spareway.rules.{topic}").RULES)


def rule_of(code: str) -> Rule | None:
    """The rule of this code or name, or None."""
    return next((r for r in all_rules() if code in (r.code, r.name) or code.upper() == r.code), None)
