"""The live picture: the intake as it hangs on the wall. A tap on a switch shows it open; a tap on a part asks what is live."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from starlette.requests import Request
from starlette.responses import Response

from spareway.design.design import Design
from spareway.drawings.intake import intake
from spareway.web.pages.places import placed
from spareway.web.record import record
from spareway.web.screen import Key, link, shelf_of, show, stages

__all__ = ["PAGES"]

LIVE = ("line", "line through a load", "not known", "neutral")
CAUTION = "From the record. Prove dead at the point of work, every time."


async def picture(request: Request) -> Response:
    """The drawing in the state asked for, the answer in words, who may open what. Nothing on the wall is switched."""
    job, asked = request.path_params["job"], request.query_params
    found = record(shelf_of(request).files(job))
    stage, touched = asked.get("stage", ""), asked.get("touched", "")
    design = found.design(stage)
    opened = [name for name in asked.getlist("open") if name in design.network.controls or name in lifts(design)]
    drawing = intake(design.inst, design.network, opened, touch=_touch(request, job, stage, opened, design), touched=touched)
    return show(
        request,
        "picture.html",
        _keys(request, job, stage, opened, touched, design),
        **placed(request, "meter cabinet"),
        heading=_heading(design),
        drawing=drawing,
        answer=answer(design, opened, touched),
        caution=CAUTION,
        stages=stages(request, found.stages, "picture", design.inst.stage),
    )


def lifts(design: Design) -> set[str]:
    """Conductors that can be taken off their terminals."""
    return {each.lift for each in design.network.links if each.lift}


def _heading(design: Design) -> str:
    return {"found": "As found", "proposed": "As proposed", "fitted": "As fitted"}[design.inst.stage]


def _touch(request: Request, job: str, stage: str, opened: Sequence[str], design: Design) -> Callable[[str], str]:
    def href(address: str) -> str:
        """A switch changes over in the picture and says what it leaves live; anything else only says."""
        now = list(opened)
        if address in design.network.controls:
            now = [name for name in now if name != address] if address in now else [*now, address]
        return link(request, "jobs", job, "picture", stage=stage, open=now, touched=address)

    return href


# ---- the answer in words --------------------------------------------------------------------------------------------
def answer(design: Design, opened: Sequence[str], touched: str) -> dict[str, object]:
    """What is at the thing touched, in the state shown: the worst first, each terminal in words; and what makes it dead."""
    if not touched:
        return {"arm": "Touch a part, or a switch", "lines": [_state(opened), *_told_of(design)], "terminals": [], "lock": ""}
    now = design.network.potential(opened)
    terminals = _terminals(design, touched)
    at = {t: now[t] for t in terminals if t in now}
    worst = next((p for p in LIVE[:3] if p in at.values()), "")
    words = {"line": "line live", "line through a load": "live through a load", "not known": "not known"}
    clear = "not known" if design.source_told_of else "no line by the record"
    arm = f"{_named(touched)}: {words.get(worst, clear)}"
    lines = [_state(opened), *_told_of(design)]
    if "neutral" in at.values():
        lines.append("Neutral is joined there: a live conductor.")
    return {"arm": arm, "lines": lines, "terminals": sorted(at.items()), "lock": _lock(design, touched)}


def _told_of(design: Design) -> list[str]:
    """What the door told of and the record does not hold: it may feed all that is drawn."""
    told = design.source_told_of
    return [f"{told[:1].upper()}{told[1:]}: it may feed any of this."] if told else []


def _state(opened: Sequence[str]) -> str:
    return f"Shown open: {', '.join(opened)}." if opened else "Nothing shown open."


def _named(address: str) -> str:
    thing, _, rest = address.removeprefix("equipment.").partition(".")
    return f"{thing} {rest}".strip().capitalize().replace("-", " ")


def _terminals(design: Design, touched: str) -> list[str]:
    """Those of a thing, of a switch's thing, or of a replaceable part."""
    part = next((p for p in design.parts if p.name == touched), None)
    if part:
        return list(part.terminals)
    thing = touched.removeprefix("equipment.").partition(".")[0]
    return [t for t in design.network.potential(()) if t.partition(".")[0] == thing]


def _lock(design: Design, touched: str) -> str:
    """What makes the part touched dead by the record, or the thing's own part where it has but one."""
    thing = touched.partition(".")[0]
    own = [p for p in design.parts if p.name.startswith(f"{thing}.") and not p.name.split(".")[1].isdigit()]
    part = next((p for p in design.parts if p.name == touched), own[0] if len(own) == 1 else None)
    if part is None:
        return ""
    lock, more = design.lock_off(part.terminals, "skilled"), f"; {design.source_told_of}" if design.source_told_of else ""
    if lock.controls is None:
        return f"{_named(part.name)}: nothing that you may open makes it dead."
    if not lock.controls:
        return f"{_named(part.name)}: nothing feeds it by the record{more}."
    return f"{_named(part.name)} has no path in the record with {' and '.join(lock.controls)} locked off{more}."


# ---- keys ---------------------------------------------------------------------------------------------------------------
def _keys(request: Request, job: str, stage: str, opened: Sequence[str], touched: str, design: Design) -> list[Key]:
    def shown(*controls: str) -> str:
        return link(request, "jobs", job, "picture", stage=stage, open=controls, touched=touched)

    keys, every = [], design.network.may_open("skilled")
    if opened:
        keys.append(Key("Show closed", shown(), main=True))
    if every and sorted(every) != sorted(opened):
        keys.append(Key("Show mine open", shown(*every)))
    about = f"equipment.{touched.partition('.')[0]}" if touched else ""
    return [*keys, Key("Photo", link(request, "jobs", job, "photos", about=about))]


PAGES = (("/jobs/{job}/picture", picture, ["GET"]),)
