"""The insulation of a board as a tree: each circuit on its own branch with what was read, the sum of all, what is suspect.

Ohms rise to the right, each line ten times the one before it; a disc far to the left leaks most.
"""
from __future__ import annotations

from collections.abc import Iterator
from math import inf

from spareway.drawings.axes import Axis, decades, nice_range
from spareway.drawings.graph import GRID, INSET, SIZE, SMALL, Sheet, marked
from spareway.drawings.letters import shortened, width
from spareway.drawings.symbols import INK, PAPER, box, dot, line, n, text
from spareway.fact import Fact
from spareway.readings.tree import Branch, Tree

__all__ = ["insulation_drawn"]

TRUNK, LEFT, RIGHT = 14.0, 30.0, 22.0
ROW_H, LINE_Y, HALF = 46.0, 32.0, 8.0            # of a branch; where its line is; half of what stands across it
LEAST_MOHM = 0.01                                # what is drawn farthest to the left
RUNGS = "2 3.4"


def insulation_drawn(of: Tree, brief: bool = False) -> str:
    """The drawing as SVG, as wide as a phone. brief: without what holds of every such drawing."""
    sheet = Sheet(False, brief)
    title = f"Insulation of {of.board.replace('-', ' ') or 'all circuits'}"
    answer = _answer(of)
    sheet.headline(title, answer)
    if of.branches:
        _tree(sheet, of)
    for said in _told(of):
        sheet.say(said)
    sheet.always("Bold stroke: the least that is allowed. Dashed stroke: below it one looks for the cause.")
    sheet.always("Disc: as connected. Ring: with what it feeds taken off. Rungs: suspect.")
    return sheet.svg(f"{title}. {answer}")


def _answer(of: Tree) -> str:
    if not of.branches:
        return "None of its circuits was read yet."
    least = "at least " if any(branch.over for branch in of.branches) else ""
    sum_ = of.together.sum
    return f"Those that were read come to {least}{sum_} together." if sum_.known else f"The sum is not known: {sum_.note}."


def _told(of: Tree) -> Iterator[str]:
    """What to take out, in order; what was not read; what was read of all at once."""
    for word, part in zip(("Take out first", *["Then"] * len(of.together.order)), of.together.order, strict=False):
        what = f"what {part.circuit.replace('-', ' ')} feeds" if part.only_loads else part.circuit.replace("-", " ")
        rest = f"the rest comes to {part.then}" if part.then.known else "nothing is left"
        yield f"{word} {what}, {part.was}: {rest}{', still low.' if part.then.known and not part.enough else '.'}"
    for row in of.together.whole:
        yield f"All of it at once: {row.shown}."
    if of.together.not_read:
        yield f"Not read, and not in the sum: {', '.join(name.replace('-', ' ') for name in of.together.not_read)}."


# ---- the tree ---------------------------------------------------------------------------------------------------------
def _tree(sheet: Sheet, of: Tree) -> None:
    values = [f.value for b in of.branches for f in (b.leak.fact, b.leak.without) if f is not None]
    shown = [max(v, LEAST_MOHM) for v in (*values, of.least_mohm, of.look_into_mohm.amount or of.least_mohm)]
    axis = Axis(*nice_range(shown), LEFT, sheet.width - RIGHT, log=True)
    sheet.say("Circuit by circuit, MΩ", bold=True)
    top = sheet.room(26)
    for value, words in decades(axis):
        if words:
            sheet.put(text(axis.at(value), top + 14, words, size=SMALL, anchor="middle"))
    first = sheet.y
    for branch in of.branches:
        sheet.put(*_branch(sheet, axis, of, branch, sheet.room(ROW_H)))
    last = sheet.y - ROW_H + LINE_Y
    sheet.put(line(f"M{n(TRUNK)} {n(first)}V{n(last)}", width=3.4))
    sheet.room(4)


def _branch(sheet: Sheet, axis: Axis, of: Tree, branch: Branch, top: float) -> Iterator[str]:
    """Name and figure, and under them the line of the branch to where it reads."""
    y, x = top + LINE_Y, _at(axis, branch.leak.fact)
    words = f"{'>' if branch.over else ''}{branch.leak.fact}"
    share = f"{_percent(branch)} of the leak" if branch.share is not None else ""
    room = sheet.width - LEFT - RIGHT - width(words, SIZE, True) - width(share, SMALL) - 24
    name = shortened(branch.circuit.replace("-", " "), SIZE, room, branch.suspect)
    yield text(LEFT, top + 16, name, size=SIZE, bold=branch.suspect)
    yield text(sheet.width - INSET, top + 16, words, size=SIZE, bold=True, anchor="end")
    yield text(sheet.width - INSET - width(words, SIZE, True) - 10, top + 16, share, size=SMALL, anchor="end") if share else ""
    yield line(f"M{n(x)} {n(y)}H{n(axis.end)}", width=GRID, dash="1 5")
    yield from _limits(axis, of, y)
    d = f"M{n(TRUNK)} {n(y)}H{n(x)}"
    yield marked(f"branch {branch.circuit}", line(d, width=7.6 if branch.suspect else 2.4, dash=RUNGS if branch.suspect else ""))
    yield from _discs(axis, branch, y)


def _percent(branch: Branch) -> str:
    """Its share in whole hundreds; of what was over range at most that."""
    share = 100 * (branch.share or 0.0)
    said = f"{share:.0f} %" if share >= 0.5 else "under 1 %"
    return f"at most {said}" if branch.over and share >= 0.5 else said


def _limits(axis: Axis, of: Tree, y: float) -> Iterator[str]:
    least, look_into = axis.at(of.least_mohm), of.look_into_mohm.amount
    yield marked("least", line(f"M{n(least)} {n(y - HALF)}v{n(2 * HALF)}", width=4))
    if look_into is not None:
        yield marked("look into", line(f"M{n(axis.at(look_into))} {n(y - HALF)}v{n(2 * HALF)}", width=1.8, dash="3 3"))


def _discs(axis: Axis, branch: Branch, y: float) -> Iterator[str]:
    without = branch.leak.without
    if without is not None:
        x = _at(axis, without)
        yield marked("without loads", f'<circle class="box" cx="{n(x)}" cy="{n(y)}" r="5" fill="{PAPER}" stroke="{INK}" '
                     'stroke-width="2"/>')
        yield text(min(x + 9, axis.end - 40), y + 4.5, f"{without}", size=SMALL) if x < axis.end - 60 else ""
    x = _at(axis, branch.leak.fact)
    if branch.over:
        yield marked("over range", line(f"M{n(x)} {n(y)}h12m-7-6l7 6-7 6", width=2.4))
    else:
        yield marked("read", dot(x, y) + box(x - 5, y - 5, 10, 10, cls="dot", width=1.2, fill=INK, radius=5))


def _at(axis: Axis, fact: Fact[float]) -> float:
    return axis.at(min(max(fact.value, axis.least), axis.most if axis.most < inf else axis.least))
