"""Worked examples from a file: `python -m tools.published EXAMPLES.json`. One line an example,
under it a warning where its inputs are known for a wrong use; then the count.

Exit 0 when none is wrong, 1 when one is, 2 when the file cannot be read as examples.
"""
from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
for place in (str(ROOT), str(ROOT / "src")):    # run as a file it stands beside its modules, not above them
    if place not in sys.path:
        sys.path.insert(0, place)

from spareway.fact import NotKnown  # noqa: E402
from tools import published_circuits, published_heat, published_supply, published_testing  # noqa: E402
from tools.published_base import NotCovered, answer, wrong_in  # noqa: E402
from tools.published_warnings import warning  # noqa: E402

FAMILIES = (published_circuits, published_testing, published_supply, published_heat)
IMPOSSIBLE = (ArithmeticError, LookupError, TypeError, ValueError, NotKnown)    # inputs that no answer can be made of


def judged(example: Mapping[str, Any]) -> tuple[str, str, str]:
    """(within, wrong or not covered; what is wrong; the wrong use that its inputs are known for)."""
    try:
        got = answer(example["topic"], example["inputs"])
    except NotCovered as reason:
        return "not covered", str(reason), ""
    except IMPOSSIBLE as problem:
        return "wrong", f"no answer: {type(problem).__name__}: {problem}", ""
    wrong = wrong_in(example, got)
    warned = warning(example["topic"], example["inputs"], got)
    return ("wrong", "; ".join(wrong), warned) if wrong else ("within", "", warned)


def report(examples: Sequence[Mapping[str, Any]]) -> tuple[list[str], Counter[str]]:
    """A line for each example, under it the warning where one is due; and how many came out how."""
    lines, counts = [], Counter[str]()
    for example in examples:
        verdict, why, warned = judged(example)
        counts[verdict] += 1
        lines.append(f"{example.get('id', '?')}  {example['topic']}  {verdict}{f': {why}' if why else ''}")
        if warned:
            lines.append(f"    warning: {warned}")
    return lines, counts


def read(path: Path) -> list[dict[str, Any]]:
    """The examples of a file. Errors: ValueError, OSError."""
    examples = json.loads(path.read_text(encoding="utf-8"))
    if not isinstance(examples, list):
        raise ValueError("not a list of examples")
    for number, example in enumerate(examples, 1):
        if not isinstance(example, dict) or not {"topic", "inputs", "expected"} <= example.keys():
            raise ValueError(f"example {number} lacks topic, inputs or expected")
    return examples


def main(arguments: Sequence[str]) -> int:
    if len(arguments) != 1:
        print("usage: make published EXAMPLES=path", file=sys.stderr)
        return 2
    try:
        examples = read(Path(arguments[0]))
    except (OSError, ValueError) as problem:
        print(f"{arguments[0]}: {problem}", file=sys.stderr)
        return 2
    lines, counts = report(examples)
    for line in lines:
        print(line)
    print(f"{counts['within']} within, {counts['wrong']} wrong, {counts['not covered']} not covered")
    return 1 if counts["wrong"] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
