"""Random networks against a full search that shares no code with the wiring. Source of the truth: second method."""
from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from random import Random

import pytest

from spareway.wiring.lockoff import LockOff
from spareway.wiring.network import Network
from tests.wiring import oracle
from tests.wiring.invented import house, tangle
from tests.wiring.oracle import OPENABLE, Case

CASES = 2000


@cache
def cases() -> tuple[Case, ...]:
    return tuple((house if seed % 2 else tangle)(seed) for seed in range(CASES))


def network(case: Case) -> Network:
    return Network(case.links, case.sources, case.controls, case.permitted)


@cache
def answers() -> tuple[LockOff, ...]:
    return tuple(network(case).lock_off(case.parts, case.by, case.leave_neutral) for case in cases())


def some_state(case: Case, random: Random) -> list[str]:
    names = [*case.controls, *case.lifts]
    return random.sample(names, random.randint(0, min(len(names), 8)))


def test_every_potential_is_the_one_that_a_search_terminal_by_terminal_finds() -> None:
    random = Random(1)
    for case in cases():
        asked = network(case)
        for _ in range(3):
            opened = some_state(case, random)
            assert asked.potential(opened) == oracle.potentials(case, opened), opened


def test_every_potential_is_the_one_that_currents_through_the_loads_give() -> None:
    random = Random(2)
    for case in cases()[::4]:
        opened = some_state(case, random)
        assert network(case).potential(opened) == oracle.by_current(case, opened), opened


def test_lock_off_is_the_first_of_all_subsets() -> None:
    sizes: Counter[str] = Counter()
    for seed, (case, answer) in enumerate(zip(cases(), answers(), strict=True)):
        assert answer.controls == oracle.lock_off(case), seed
        sizes["none" if answer.controls is None else str(min(len(answer.controls), 3))] += 1
    assert all(sizes[size] >= 100 for size in ("none", "1", "2", "3")), sizes


def test_what_stays_live_is_said_when_there_is_no_lock_off_and_only_then() -> None:
    for case, answer in zip(cases(), answers(), strict=True):
        words = oracle.potentials(case, case.may_open())
        left = tuple((part, words[part]) for part in case.parts if words[part] not in case.dead())
        assert answer.still == (left if answer.controls is None else ())
        assert bool(left) or answer.controls is not None


def test_what_would_undo_a_lock_off_is_every_single_further_opening_that_does() -> None:
    found = 0
    for seed, (case, answer) in enumerate(zip(cases(), answers(), strict=True)):
        if answer.controls is None:
            assert answer.undone_by == ()
        elif seed % 2 or seed % 5 == 0:
            assert answer.undone_by == oracle.undone_by(case, answer.controls), seed
            found += bool(answer.undone_by)
    assert found >= 100


def test_loads_decide_some_of_these_answers() -> None:
    """The check would be worth little if metal alone gave the same answers."""
    differ = 0
    for case, answer in zip(cases(), answers(), strict=True):
        metal = network(replace(case, links=tuple(replace(k, joint="~") if k.joint == "=" else k for k in case.links)))
        differ += metal.lock_off(case.parts, case.by, case.leave_neutral).controls != answer.controls
    assert differ >= 100


def test_no_lock_off_relies_on_what_closes_by_itself_or_is_anothers() -> None:
    """Networks full of time switches, 200 with something to open: with those joined through, the answer is the same."""
    seen = 0
    for seed in range(10_000, 12_000):
        case = (house if seed % 2 else tangle)(seed)
        random = Random(seed)
        roles = {name: random.choice(("itself", "other", role, role, role)) for name, role in case.controls.items()}
        mixed = replace(case, controls=roles)
        answer = network(mixed).lock_off(case.parts, case.by, case.leave_neutral)
        through = tuple(k if roles.get(k.control) in OPENABLE else replace(k, control="") for k in case.links)
        kept = {name: role for name, role in roles.items() if role in OPENABLE}
        plain = network(replace(case, links=through, controls=kept, permitted=case.permitted & kept.keys()))
        assert answer.controls == plain.lock_off(case.parts, case.by, case.leave_neutral).controls, seed
        if answer.controls:
            assert {roles[name] for name in answer.controls} <= set(OPENABLE), seed
            words = oracle.potentials(mixed, [*answer.controls, *(n for n in roles if roles[n] not in OPENABLE)])
            assert all(words[part] in case.dead() for part in case.parts), seed
            seen += 1
            if seen == 200:
                return
    pytest.fail(f"only {seen} of these networks had anything to open")


def test_where_paths_are_too_many_a_plain_search_gives_the_same_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("spareway.wiring.network.path_sets", lambda sections, marks: None)
    for case, answer in zip(cases()[::3], answers()[::3], strict=True):
        assert network(case).lock_off(case.parts, case.by, case.leave_neutral) == answer
