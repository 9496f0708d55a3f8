"""Every circuit: what it is made of, its checks, how far each is from turning, and what follows from other amounts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from spareway import api
from spareway.design.circuit import CircuitDesign
from spareway.doc import Fault, InputError, trail
from spareway.rules.base import VERDICTS
from spareway.rules.circuit_words import cable_words, device_words, holds, worst
from spareway.show import exact
from spareway.survey.edit import set_value
from spareway.web.circuit_told import check, marked, quantities, sorted_out, wanting
from spareway.web.moved import Slider, as_asked, laid, read, sliders
from spareway.web.pages.places import placed
from spareway.web.record import Record, record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, stages, told_why

__all__ = ["PAGES", "asked_of", "called", "circuit_at"]

KEPT_AS = (("drawing", "As drawn"), ("measured", "As measured"))


# ---- all of them ------------------------------------------------------------------------------------------------------
async def circuits(request: Request) -> Response:
    """Each circuit in a few lines, the worst first."""
    job, stage = request.path_params["job"], request.query_params.get("stage", "")
    found = record(shelf_of(request).files(job))
    said = _listed(found, stage)
    ordered = sorted(said["circuits"], key=lambda c: VERDICTS.index(c["verdict"]))
    keys = [
        Key("New circuit", link(request, "jobs", job, "new-circuit", stage=stage), main=True),
        Key("Findings", link(request, "jobs", job, "findings", stage=stage)),
        Key("Places", link(request, "jobs", job, "")),
    ]
    return show(
        request,
        "circuits.html",
        keys,
        **placed(request, ""),
        heading=f"Circuits, {said['stage']}",
        rows=[_row(request, stage, circuit) for circuit in ordered],
        stages=stages(request, found.stages, "circuits", said["stage"]),
        cautions=api.CAUTION,
    )


def _listed(found: Record, stage: str) -> dict[str, Any]:
    """Every circuit of a stage, worked out once for each state of the job."""
    return found.once(("circuits", stage), lambda: api.circuit(found.files, stage=stage or None))


def _row(request: Request, stage: str, circuit: Mapping[str, Any]) -> dict[str, str]:
    return {
        "href": link(request, "jobs", request.path_params["job"], "circuit", of=circuit["name"], stage=stage),
        **marked(circuit["verdict"]),
        "says": called(circuit),
        "way": circuit["way"].replace(".", ", way "),
        "made": f"{cable_words(circuit)}; {device_words(circuit)}",
        "worst": why(circuit),
        "turns": holds(circuit),
    }


def called(circuit: Mapping[str, Any]) -> str:
    """What a person calls it."""
    return str(circuit["says"] or circuit["name"].replace("-", " "))


def why(circuit: Mapping[str, Any]) -> str:
    """The first sentence of its worst finding; nothing where all is within."""
    first = worst(circuit["findings"])
    return str(first["says"]).removeprefix("Not known: ").partition(". ")[0] if first else ""


# ---- one of them --------------------------------------------------------------------------------------------------------
async def card(request: Request) -> Response:
    """What it is, its sliders, its checks and every quantity, each opening to its working and its page."""
    job, stage, name = asked_of(request)
    found = record(shelf_of(request).files(job))
    circuit = circuit_at(found, stage, name)
    known = sliders(circuit)
    here = ("jobs", job, "circuit")
    keys = [
        Key("Circuits", link(request, "jobs", job, "circuits", stage=stage), main=True),
        Key("Drawings", link(request, "jobs", job, "circuit", "drawn", of=name, stage=stage)),
        Key("Photo", link(request, "jobs", job, "photos", about=circuit.at)),
    ]
    return show(
        request,
        "circuit.html",
        keys,
        **placed(request, ""),
        **_worked(request, found, stage, circuit, known),
        stages=stages(request, found.stages, "circuit", circuit.design.inst.stage, of=name),
        sliders=[as_asked(each, request.query_params) for each in known],
        moving=any(request.query_params.get(each.name) for each in known),
        self_href=link(request, *here),
        work_href=link(request, *here, "worked"),
        back_href=link(request, *here, of=name, stage=stage),
        cautions=api.CAUTION,
    )


async def worked(request: Request) -> Response:
    """The part of a card that follows from the amounts moved, and nothing of the frame round it."""
    job, stage, name = asked_of(request)
    found = record(shelf_of(request).files(job))
    circuit = circuit_at(found, stage, name)
    return show(request, "circuit_worked.html", **_worked(request, found, stage, circuit, sliders(circuit)), job=job)


def asked_of(request: Request) -> tuple[str, str, str]:
    """Job, stage and the circuit's name."""
    return request.path_params["job"], request.query_params.get("stage", ""), request.query_params.get("of", "")


def circuit_at(found: Record, stage: str, name: str) -> CircuitDesign:
    """The circuit of this name. Errors: HTTPException 404 where there is none at this stage."""
    circuit = found.design(stage).circuits.get(name)
    if circuit is None or circuit.is_surge:
        raise HTTPException(404)
    return circuit


def _worked(request: Request, found: Record, stage: str, circuit: CircuitDesign, known: Sequence[Slider]) -> dict[str, Any]:
    """What the card says of a circuit with these amounts moved; a fault of what was typed stands above it."""
    name = circuit.circuit.name
    amounts, faults = read(request.query_params, known)
    inst = found.design(stage).inst
    said = api.circuit_of(name, found.job, inst.altered(laid(amounts, known)) if amounts else inst)
    bad, good, told = sorted_out(said["findings"])
    return {
        "stage": stage,
        "of": name,
        "heading": called(said),
        "made": f"{cable_words(said)}; {device_words(said)}",
        "faults": [told_why(InputError(faults))] if faults else [],
        "moved": ", ".join(f"{each.says} {exact(amounts[each.name])} {each.unit}" for each in known if each.name in amounts),
        "worst": marked(said["verdict"]),
        "why": why(said),
        "holds": holds(said),
        "keep": _keep(request, circuit, amounts),
        "bad": [check(f) for f in bad],
        "waits": wanting(said),
        "good": [check(f) for f in good],
        "told": [check(f) for f in told],
        "not_here": len([f for f in said["findings"] if f["verdict"] == "not applicable"]),
        "sheet": quantities(said),
    }


# ---- put in the job: on a tap, and the length alone -----------------------------------------------------------------------
def _keep(request: Request, circuit: CircuitDesign, amounts: Mapping[str, float]) -> dict[str, Any] | None:
    """The keys that write the moved length into the job; None where none was moved."""
    if "length_m" not in amounts:
        return None
    address = sliders(circuit)[0].lines[0][0]
    file, _ = circuit.design.inst.doc.place(trail(address))
    if not file.endswith(".toml"):
        return None
    return {
        "href": link(request, "jobs", request.path_params["job"], "circuit", of=circuit.circuit.name),
        "amount": exact(amounts["length_m"]),
        "says": f"Put {exact(amounts['length_m'])} m in the job ({file})? Nothing else that was moved goes with it.",
        "hows": KEPT_AS,
    }


async def keep(request: Request) -> Response:
    """The length, kept: its own line of the file that states it is changed. Errors: InputError, and nothing is changed."""
    job, said = request.path_params["job"], await form_of(request)
    shelf, stage, name = shelf_of(request), said.get("stage", ""), request.query_params.get("of", "")
    files = shelf.files(job)
    circuit = circuit_at(record(files), stage, name)
    amounts, faults = read(said, sliders(circuit)[:1])
    how = said.get("how", "")
    if how not in dict(KEPT_AS):
        faults.append(Fault("answer", None, "how", how, "how a length is known", ", ".join(dict(KEPT_AS))))
    if faults or "length_m" not in amounts:
        raise InputError(faults or [Fault("answer", None, "length_m", said.get("length_m", ""), "nothing was moved")])
    address = sliders(circuit)[0].lines[0][0]
    file, _ = circuit.design.inst.doc.place(trail(address))
    length_m = amounts["length_m"]
    changed = {file: set_value(files[file], address, {how: int(length_m) if length_m == int(length_m) else length_m}, file)}
    record({**files, **changed}).checked()
    save(shelf, job, changed)
    return go(request, link(request, "jobs", job, "circuit", of=name, stage=stage))


PAGES = (
    ("/jobs/{job}/circuits", circuits, ["GET"]),
    ("/jobs/{job}/circuit", card, ["GET"]),
    ("/jobs/{job}/circuit", keep, ["POST"]),
    ("/jobs/{job}/circuit/worked", worked, ["GET"]),
)
