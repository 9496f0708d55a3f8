"""A circuit drawn: time against current, or the voltage along its way; with the amounts moved where they were."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from spareway import api
from spareway.design.circuit import CircuitDesign
from spareway.design.design import Design
from spareway.doc import Fault, InputError
from spareway.tables import NoRow
from spareway.web.moved import laid, read, sliders
from spareway.web.pages.circuits import asked_of, called, circuit_at
from spareway.web.pages.places import placed
from spareway.web.record import record
from spareway.web.screen import Key, link, shelf_of, show

__all__ = ["PAGES"]

DRAWN = {"time": "Time and current", "drop": "Voltage along it"}


async def drawn(request: Request) -> Response:
    """One of the two drawings. Errors: InputError where a table has no row for what is recorded."""
    job, stage, name = asked_of(request)
    found = record(shelf_of(request).files(job))
    circuit = circuit_at(found, stage, name)
    known = sliders(circuit)
    amounts, _ = read(request.query_params, known)
    if amounts:
        circuit = Design(circuit.design.inst.altered(laid(amounts, known))).circuits[name]
    what = request.query_params.get("what", "time")
    moved = {each.name: request.query_params[each.name] for each in known if each.name in amounts}
    keys = [
        Key("The circuit", link(request, "jobs", job, "circuit", of=name, stage=stage, **moved), main=True),
        Key("Circuits", link(request, "jobs", job, "circuits", stage=stage)),
    ]
    here = {word: link(request, "jobs", job, "circuit", "drawn", of=name, stage=stage, what=word, **moved) for word in DRAWN}
    return show(
        request,
        "drawn.html",
        keys,
        **placed(request, ""),
        heading=called({"says": circuit.circuit.says, "name": name}),
        tabs=[(says, here[word], word == what) for word, says in DRAWN.items()],
        drawing=_drawing(circuit, what, name),
        moved=bool(moved),
        cautions=api.CAUTION,
    )


def _drawing(circuit: CircuitDesign, what: str, name: str) -> str:
    # what is drawn by few taps is not loaded while the phone starts
    from spareway.design.along import along
    from spareway.design.timing import timing
    from spareway.drawings.curves import curves
    from spareway.drawings.drop import drop

    try:
        return drop(along(circuit), name) if what == "drop" else curves(timing(circuit), name)
    except NoRow as outside:
        raise InputError([Fault("answer", None, "what", what, str(outside))]) from None


PAGES = (("/jobs/{job}/circuit/drawn", drawn, ["GET"]),)
