"""Random changes of an example, by seed: values made worse or better, unknown, assumed or told; things taken away."""
from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from typing import Any

from spareway.doc import is_fact

TABLES = ("supplies", "equipment", "runs", "circuits")
FACTORS = (0.1, 0.5, 0.8, 1.25, 2, 10)
NOBODY = ("behind the cupboard", "not asked", "nobody was in")


def overlays(data: Mapping[str, Any], seed: int) -> Iterator[str]:
    """Without an end; some are no job any more, and are refused."""
    by_seed = random.Random(seed)
    leaves = list(_leaves({name: data.get(name, {}) for name in TABLES}, ()))
    things = [f"{table}.{name}" for table in TABLES[1:] for name in data.get(table, {})]
    while True:
        lines = [f"{address} = {_changed(by_seed, value)}" for address, value in by_seed.sample(leaves, by_seed.randint(1, 6))]
        if by_seed.random() < 0.3:
            lines.insert(0, f'remove = ["{by_seed.choice(things)}"]')
        yield "\n".join(lines)


def _leaves(value: Any, at: tuple[str, ...]) -> Iterator[tuple[str, Any]]:
    """Every fact, with its address; words that join or name things stay as they are."""
    if isinstance(value, Mapping) and not is_fact(value):
        for key, each in value.items():
            yield from _leaves(each, (*at, key))
    elif isinstance(value, int | float | Mapping):
        yield ".".join(at), value


def _changed(by_seed: random.Random, value: Any) -> str:
    known = next((v for v in value.values() if isinstance(v, int | float)), None) if isinstance(value, Mapping) else value
    if known is None or by_seed.random() < 0.25:
        return f'{{ unknown = "{by_seed.choice(NOBODY)}" }}'
    if isinstance(known, bool):
        return str(not known).lower()
    amount = f"{known * by_seed.choice(FACTORS):.6g}" if isinstance(known, float) else str(int(known * by_seed.choice(FACTORS)) or 1)
    how = by_seed.choice(("", "assumed", "told", "measured"))
    return f"{{ {how} = {amount} }}" if how else amount
