"""What rings and radials have in common as a study: rows kept as they come, and what they say in the end."""
from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from studies.reliability import Said, bins, drawing, mean
from tests.readings.judged import NO_FAULT, PROPOSED

RESULTS = Path(__file__).parents[1] / "docs" / "studies"
BLOCK = 10
DRAWN_FROM = 100                                # fewer rows than this are no drawing
STEPS = range(PROPOSED + 1)
Row = dict[str, Any]


def rows(n: int, state_path: Path, one: Callable[[int], Row]) -> list[Row]:
    """N rows; those that `state_path` holds are not made again."""
    kept: list[Row] = json.loads(state_path.read_text(encoding="utf-8")) if state_path.exists() else []
    for number in range(len(kept), n):
        kept.append(one(number))
        if len(kept) % BLOCK == 0 or len(kept) == n:
            part = state_path.with_suffix(".part")
            part.write_text(json.dumps(kept), encoding="utf-8")
            part.replace(state_path)
    return kept[:n]


def report(found: Sequence[Row], priors: Mapping[str, float], met: Mapping[str, float], name: str) -> str:
    """Everything that the rows say, the result on the last line; with enough of them tables and drawing are kept in docs/studies.

    priors: how likely the engine holds each kind; met: how often each is met among the faulty."""
    faulty, sound = [r for r in found if r["kind"] != "sound"], [r for r in found if r["kind"] == "sound"]
    count = Counter(r["kind"] for r in found)
    weigh, usual = ({kind: share[kind] * len(found) / n for kind, n in count.items() if kind in share} for share in (priors, met))
    if len(found) >= DRAWN_FROM:
        series = [("at once", promises(found, 0, weigh)), (f"after {PROPOSED} proposed", promises(found, PROPOSED, weigh))]
        (RESULTS / f"{name}-calibration.svg").write_text(drawing(series, f"Likeliest fault of {name}"), encoding="utf-8")
    two = [r for r in faulty if r["unnulled"] and r["kind"] != "lead not nulled"]
    called = [r for r in sound if r["steps"][0]["said"] not in NO_FAULT]
    parts = [steps(faulty, "faulty, each kind as often"),
             steps(faulty, "faulty, weighed by how often each kind is met", usual),
             steps(faulty, "faulty, weighed as the engine holds them likely", weigh),
             steps(two, "of the faulty, leads not nulled beside another fault"),
             steps([r for r in faulty if r not in two], "of the faulty, one thing wrong only"),
             kinds(faulty), calibration(found, weigh), site(faulty), sound_ones(sound, called)]
    off = max(abs(p - t) for p, t in (mean(promises(found, step, weigh)) for step in STEPS))
    own, fixed = minutes(faulty)
    wrongly = 100 * len(called) / max(len(sound), 1)
    even, weighed = (", ".join(f"{after(step)} {share(faulty, step, w)}" for step in (0, 1, PROPOSED)) for w in (None, usual))
    parts.append(f"{len(found)} {name}; kind, exact place, first three, each kind as often: {even}; by how often each is met: "
                 f"{weighed}; sound called faulty {wrongly:.1f} %; promised and true differ by at most {100 * off:.1f} points; "
                 f"{own:.1f} minutes to be sure, {fixed:.1f} by the fixed order")
    return kept("\n\n".join(parts), name, len(found))


def kept(said: str, name: str, n: int) -> str:
    """What was said, also written to `docs/studies` where it is of enough rows."""
    if n >= DRAWN_FROM:
        (RESULTS / f"{name}-tables.md").write_text(f"# {name.capitalize()}: tables of the study\n\n{said}\n", encoding="utf-8")
    return said


def table(*head: str, lines: Iterable[Sequence[str]]) -> str:
    return "\n".join("| " + " | ".join(cells) + " |" for cells in (head, ["---"] * len(head), *lines))


def after(step: int) -> str:
    return f"{step} proposed" if step else "as usual"


def promises(found: Sequence[Row], step: int, weigh: Mapping[str, float]) -> list[Said]:
    return [Said(r["steps"][step]["p_exact"], r["steps"][step]["exact"], weigh[r["kind"]]) for r in found]


def part(found: Sequence[Row], step: int, key: str, weigh: Mapping[str, float] | None = None) -> float:
    """The share (%) of rows of which `key` is true at a step, or the mean of what was promised."""
    weights = [weigh[r["kind"]] if weigh else 1.0 for r in found]
    return 100 * math.fsum(w * float(r["steps"][step][key]) for w, r in zip(weights, found, strict=True)) / math.fsum(weights)


def share(found: Sequence[Row], step: int, weigh: Mapping[str, float] | None = None) -> str:
    return " / ".join(f"{part(found, step, key, weigh):.1f}" for key in ("kind", "exact", "three")) + " %"


def steps(found: Sequence[Row], says: str, weigh: Mapping[str, float] | None = None) -> str:
    if not found:
        return f"{says}: none"
    keys = ("kind", "exact", "three", "p_kind", "p_exact", "p_three")
    lines = [[after(step), *(f"{part(found, step, key, weigh):.1f}" for key in keys)] for step in STEPS]
    return f"{says} ({len(found)})\n\n" + table("readings", "kind", "exact place", "first three", "promised: kind", "exact",
                                               "first three", lines=lines)


def kinds(found: Sequence[Row]) -> str:
    asked, lines = ((0, "kind"), (0, "exact"), (0, "three"), (PROPOSED, "exact"), (PROPOSED, "three")), []
    for kind in sorted({r["kind"] for r in found}):
        here = [r for r in found if r["kind"] == kind]
        wrong = Counter(r["steps"][0]["said"] for r in here if not r["steps"][0]["kind"]).most_common(2)
        lines.append([kind, str(len(here)), *(f"{part(here, step, key):.0f}" for step, key in asked),
                      ", ".join(f"{k} {c}" for k, c in wrong)])
    return table("in truth", "rows", "kind right at once", "exact", "first three", f"exact after {PROPOSED}", "first three",
                 "mostly taken for", lines=lines)


def calibration(found: Sequence[Row], weigh: Mapping[str, float]) -> str:
    """On the whole, and by size of the promise."""
    even = dict.fromkeys(weigh, 1.0)
    whole = [[after(step), *(f"{100 * x:.1f}" for w in (weigh, even) for x in mean(promises(found, step, w)))] for step in STEPS]
    out = ["the likeliest place, sound ones too: promised and true, weighed as the engine holds each kind likely, then evenly",
           table("readings", "promised", "true", "promised, evenly", "true, evenly", lines=whole)]
    for step in (0, PROPOSED):
        lines = [[f"{100 * b.promised:.0f}", f"{100 * b.true:.0f}", f"{100 * b.sd:.0f}", str(b.count)]
                 for b in bins(promises(found, step, weigh))]
        out.append(table(f"promised, {after(step)}", "true", "±", "rows", lines=lines))
    return "\n\n".join(out)


def minutes(faulty: Sequence[Row]) -> tuple[float, float]:
    """Own and by the fixed order, of those that were not sure at once; a search given up counts what it took."""
    some = [r for r in faulty if not r["at_once"]]
    both = [math.fsum(r[key][0] for r in some) / max(len(some), 1) for key in ("own", "fixed")]
    return both[0], both[1]


def site(faulty: Sequence[Row]) -> str:
    some, lines = [r for r in faulty if not r["at_once"]], []
    for key, says, value in zip(("own", "fixed"), ("as proposed", "middle-out"), minutes(faulty), strict=True):
        sure = [r for r in some if r[key][1]]
        right = len([r for r in sure if r[key][2]])
        lines.append([says, f"{value:.1f}", f"{100 * len(sure) / max(len(some), 1):.0f} %",
                      f"{100 * right / max(len(sure), 1):.0f} %"])
    return f"on site: {len(faulty) - len(some)} of {len(faulty)} sure at once; of the others\n\n" + table(
        "way", "minutes", "sure in the end", "right of those sure", lines=lines)


def sound_ones(sound: Sequence[Row], called: Sequence[Row]) -> str:
    leads = len([r for r in sound if r["steps"][0]["said"] == "lead not nulled"])
    as_what = ", ".join(f"{kind} {count}" for kind, count in Counter(r["steps"][0]["said"] for r in called).items()) or "none"
    return f"sound: {len(sound)}; called faulty: {as_what}; of which only the leads are said not nulled: {leads}"
