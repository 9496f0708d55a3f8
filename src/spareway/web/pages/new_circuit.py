"""A circuit that is yet to be: asked for in a few amounts, answered with cable, device and every reason as the amounts move."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from spareway import api
from spareway.doc import InputError, spell
from spareway.job.job import Installation
from spareway.kinds import kind, kind_names
from spareway.rules.circuit_words import ground_words, rules_words, settling_words, turning_words, verdict_of
from spareway.show import exact
from spareway.survey.words import spoken
from spareway.web.circuit_told import marked, quantities, tests
from spareway.web.moved import Slider, as_asked, laid, loop, read
from spareway.web.pages.jobs import free_name
from spareway.web.pages.places import placed
from spareway.web.record import Record, record, save
from spareway.web.screen import Key, form_of, go, link, shelf_of, show, told_why

__all__ = ["PAGES"]

FILE = "work.toml"
METHODS = ("C", "100", "101", "102", "103", "A", "B")
CABLES = {"t&e": "Flat twin and earth", "singles": "Singles", "armoured": "Armoured", "multicore": "Round multicore"}
AMOUNTS = (
    Slider("load_kw", "Load", "kW", (), None, 0, 12, 0.1, 100, "at the nominal voltage"),
    Slider("length_m", "Length", "m", (), None, 0, 60, 0.5, 2_000, "board to far end"),
    Slider("ambient_c", "Around the cable", "°C", (), None, 10, 60, 1, 90, "30 °C is assumed where you say nothing"),
    Slider("grouped_n", "Bunched together", "", (), None, 1, 10, 1, 30, "alone is assumed where you say nothing"),
)
NEEDED = {"feeds": "what it feeds", "load_kw": "its load", "length_m": "its length", "method": "how it lies"}
MOST_LETTERS = 60


async def new(request: Request) -> Response:
    """The form, and beneath it what is chosen for what stands in it."""
    job, stage = request.path_params["job"], request.query_params.get("stage", "")
    found, asked = record(shelf_of(request).files(job)), request.query_params
    known = (*AMOUNTS, *loop(found.design(stage).supply.ze_ohm))
    keys = [
        Key("Circuits", link(request, "jobs", job, "circuits", stage=stage), main=True),
        Key("Places", link(request, "jobs", job, "")),
    ]
    return show(
        request,
        "new_circuit.html",
        keys,
        **placed(request, ""),
        **_worked(request, found, stage),
        heading="New circuit",
        asked={name: asked.get(name, "") for name in ("feeds", "method", "cable")},
        fed=[(name, kind(name).says) for name in kind_names() if kind(name).family == "appliance" and name != "nothing"],
        methods=[(method, spoken(method, "method")) for method in METHODS],
        cables=list(CABLES.items()),
        sliders=[as_asked(each, asked) for each in known],
        self_href=link(request, "jobs", job, "new-circuit"),
        work_href=link(request, "jobs", job, "new-circuit", "worked"),
        cautions=api.CAUTION,
    )


async def worked(request: Request) -> Response:
    """What is chosen, and nothing of the frame round it."""
    job, stage = request.path_params["job"], request.query_params.get("stage", "")
    found = record(shelf_of(request).files(job))
    return show(request, "new_circuit_worked.html", **_worked(request, found, stage), job=job)


def _worked(request: Request, found: Record, stage: str) -> dict[str, Any]:
    """What is chosen for the amounts asked; what is still to say, where something is."""
    asked, loops = request.query_params, tuple(loop(found.design(stage).supply.ze_ohm))
    amounts, faults = read(asked, (*AMOUNTS, *loops))
    words, to_say = _words(asked, amounts), [says for name, says in NEEDED.items() if not asked.get(name)]
    told = [told_why(InputError(faults))] if faults else []
    out: dict[str, Any] = {"stage": stage, "faults": told, "to_say": to_say, "choice": None}
    if faults or to_say:
        return out
    inst = found.design(stage).inst
    try:
        said = _new(found, inst.altered(laid(amounts, loops)) if "ze_ohm" in amounts else inst, words)
    except InputError as problem:
        return {**out, "faults": [told_why(problem)]}
    writes = inst.stage == _stage_of_work(found) and said["chosen"]
    return {
        **out,
        "choice": _choice(said),
        "keep": link(request, "jobs", request.path_params["job"], "new-circuit") if writes else "",
        "words": words,
        "ze": exact(amounts["ze_ohm"]) if "ze_ohm" in amounts else "",
    }


def _new(found: Record, inst: Installation, words: str, whole: bool = True) -> dict[str, Any]:
    """Loaded at the first circuit that is asked for, and not while the phone starts."""
    from spareway.api_circuit import new_circuit_of

    return new_circuit_of(found.job, inst, words, whole)


def _words(asked: Mapping[str, str], amounts: Mapping[str, float]) -> str:
    """The line of words that the form comes to."""
    said = {name: exact(amount) for name, amount in amounts.items()}
    return ", ".join(_parts(asked, said))


def _parts(asked: Mapping[str, str], said: Mapping[str, str]) -> Iterator[str]:
    yield f"{said.get('load_kw', '?')} kW {asked.get('feeds', '')}"
    yield f"{said.get('length_m', '?')} m"
    yield f"method {asked.get('method', '')}"
    if asked.get("cable", "") in CABLES:
        yield asked["cable"]
    if "ambient_c" in said:
        yield f"ambient {said['ambient_c']}"
    if "grouped_n" in said:
        yield f"grouped {said['grouped_n']}"


def _choice(said: Mapping[str, Any]) -> dict[str, Any]:
    return {
        **marked(verdict_of(said)),
        "says": said["says"].removeprefix("Nothing: "),
        "device": _device(said["chosen"]["device"]) if said["chosen"] else "",
        "way": said["way"].replace(".", ", way "),
        "notes": said["notes"],
        "binds": said["binds"]["says"],
        "smaller": said["smaller_device"],
        "missing": [f"{gap['says']}, {gap['at']}: {gap['why']}" for gap in said["missing"]],
        "settle": list(settling_words(said)),
        "refused": [each["says"] for each in said["refused"]],
        "refused_with": said["refused"][0]["device"] if said["refused"] else "",
        "turns": list(turning_words(said["turns"])),
        "tests": tests(said),
        "rules": list(rules_words(said)),
        "grounds": list(map(ground_words, said["rests_on"])),
        "lines": said["toml"] if said["chosen"] else "",
        "sheet": quantities(said["circuit"]) if "circuit" in said else [],
    }


def _device(device: Mapping[str, Any]) -> str:
    known = ((device["residual_ma"], "mA"), (device["fault_rating_ka"], "kA"))
    return ", ".join([device["kind"], *(f"{exact(amount)} {unit}" for amount, unit in known if amount is not None)])


# ---- put in the job: on a tap -----------------------------------------------------------------------------------------------
def _stage_of_work(found: Record) -> str:
    """The stage that a line of work.toml belongs to: what is proposed, or what was found where no work is written yet."""
    return "proposed" if "proposed" in found.stages else "found"


async def keep(request: Request) -> Response:
    """The circuit as chosen on the record as it stands, in lines of its own at the end of work.toml. Errors: InputError."""
    job, said = request.path_params["job"], await form_of(request)
    shelf = shelf_of(request)
    files = shelf.files(job)
    found = record(files)
    chosen = _new(found, found.design(_stage_of_work(found)).inst, said.get("words", ""), whole=False)
    called = said.get("called", "")[:MOST_LETTERS] or chosen["asked"]["feeds"]
    taken = [*found.job.found.circuits, *found.design("").inst.circuits]
    name = free_name(called, taken)
    lines = chosen["toml"].replace(f"circuits.{chosen['name']}", f"circuits.{spell((name,))}")
    text = f"{files.get(FILE, '').rstrip()}\n\n{lines}".lstrip()
    record({**files, FILE: text}).checked()
    save(shelf, job, {FILE: text})
    return go(request, link(request, "jobs", job, "circuit", of=name))


PAGES = (
    ("/jobs/{job}/new-circuit", new, ["GET"]),
    ("/jobs/{job}/new-circuit", keep, ["POST"]),
    ("/jobs/{job}/new-circuit/worked", worked, ["GET"]),
)
