"""The meter cabinet: what there is, what joins it, and what can be read on each, one question at a time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from spareway.doc import Doc, Fault, InputError, looked_at, nearest, read, spell
from spareway.kinds import kind
from spareway.survey.ask import Choice, Question, Unknown
from spareway.survey.cupboard import RESIDUAL, residual_questions
from spareway.survey.edit import set_value, without
from spareway.survey.intakes import chosen, intake_names, says, untouched, written
from spareway.survey.words import about_field, kept, seen, stands, value_at

__all__ = ["answered", "questions"]

FILE = "found.toml"
EARTHING: tuple[Choice, ...] = (
    ("TN-S", "TN-S: the sheath of the service cable"),
    ("TN-C-S", "TN-C-S: the cut-out's own terminal"),
    ("TT", "TT: an electrode here"),
)
FIELDS = {"cut-out": ("fuse", "fuse_a", "seal"), "meter": ("seal",), "switch": ("rating_a",), "surge": ("rating_a",)}
PIPE, BONDED = "service-pipe", (("yes", "Yes, a bond"), ("no", "No bond"))
ENDS = {"?": "not traced", "met": "main earthing terminal"}
ROD = "electrode"  # what an earthing conductor to it asks for rests on how it lies
RUN_FIELDS = {"tails": ("size_mm2", "length_m", "method"), "earthing": ("size_mm2",), "bond": ("size_mm2",)}


def questions(files: Mapping[str, str]) -> list[Question]:
    """In the order a person meets them: the earthing, what there is, each thing from the street up, each run."""
    doc = looked_at(FILE, files[FILE])
    return [_earthing(doc), *_intake(files[FILE]), *_things(doc), *_pipes(doc), *_runs(doc)]


def _earthing(doc: Doc) -> Question:
    now = value_at(doc, "supplies.main.earthing")
    waits = now is None or isinstance(now, dict) and str(now.get("unknown", "")).endswith(" yet")
    return Question(
        "supplies.main.earthing",
        "Earthing seen",
        "choice",
        EARTHING,
        now=stands(now),
        open=waits,
        help="What the main earthing conductor goes to.",
        unknown_reasons=("not seen", "cannot get at it"),
    )


def _intake(text: str) -> Iterator[Question]:
    """Only while the lines still are those of a pattern: what a person has laid out by hand is not laid out anew."""
    now = chosen(text)
    if now:
        yield Question(
            "intake",
            "What is there, from the meter on?",
            "choice",
            tuple((name, says(name)) for name in intake_names()),
            now="" if untouched(text) else says(now),
            open=untouched(text),
            unknown_reasons=(),
            help="The nearest. Whatever differs can be changed after.",
        )


def _things(doc: Doc) -> Iterator[Question]:
    for name, thing in doc.data.get("equipment", {}).items():
        family = kind(thing["kind"]).family
        for field in FIELDS.get(family, ()):
            if field in kind(thing["kind"]).facts:
                yield about_field(doc, "equipment", f"equipment.{spell((name,))}.{field}", _called(name))
        if family != "board":
            yield from residual_questions(doc, name, _called(name))


def _pipes(doc: Doc) -> Iterator[Question]:
    """Of what comes in from outside, what it is made of there, and whether a bond goes to it where it is of metal."""
    for name, thing in doc.data.get("equipment", {}).items():
        if thing.get("kind") == PIPE:
            address = f"equipment.{spell((name,))}.material"
            called = str(thing.get("says") or _called(name))
            yield about_field(doc, "pipe", address, f"{called[:1].upper()}{called[1:]}")
            if value_at(doc, address) not in ("plastic", "wood"):
                run = _bond_of(doc, name)
                looked = run and doc.data["runs"][run].get("looked") is not False
                yield Question(
                    f"bond.{name}",
                    f"{called[:1].upper()}{called[1:]}: is there a bond to it?",
                    "choice",
                    BONDED,
                    now=dict(BONDED)["yes" if run else "no"] if looked or not run else "",
                    open=bool(run) and not looked,
                    unknown_reasons=(),
                    help="From the main earthing terminal to a clamp where it comes in.",
                )


def _bond_of(doc: Doc, pipe: str) -> str:
    """The run that bonds it, or nothing."""
    runs = doc.data.get("runs", {}).items()
    return next((run for run, of in runs if of.get("kind") == "bond" and f"{pipe}.clamp" in of.get("joins", ())), "")


def _bonded(text: str, pipe: str, value: str | Unknown) -> str:
    """A bond that is there, whose size is asked next, or none: then it is no line."""
    doc = read(FILE, text)
    run = _bond_of(doc, pipe)
    if value not in dict(BONDED):
        raise InputError([Fault("answer", None, f"bond.{pipe}", str(value), "no such answer", "yes or no")])
    if value == "no":
        return without(text, f"runs.{spell((run,))}", FILE) if run else text
    if run:
        return seen(text, f"runs.{spell((run,))}", FILE)
    taken = {end for of in doc.data.get("runs", {}).values() for end in of.get("joins", ())}
    side = next((f"met.{each}" for each in "bfedca" if f"met.{each}" not in taken), "?")
    new = {"joins": [side if "met" in doc.data["equipment"] else "?", f"{pipe}.clamp"], "kind": "bond"}
    return set_value(text, f"runs.{spell((f'bond-{pipe}',))}", new, FILE)


def _runs(doc: Doc) -> Iterator[Question]:
    things = doc.data.get("equipment", {})
    for name, run in doc.data.get("runs", {}).items():
        lands = {things.get(end.partition(".")[0], {}).get("kind") for end in run.get("joins", ())}
        fields = RUN_FIELDS.get(run.get("kind", ""), ()) + (("lies",) if run.get("kind") == "earthing" and ROD in lands else ())
        for field in fields:
            if not (field in ("length_m", "method") and "stretches" in run):
                yield about_field(doc, "runs", f"runs.{spell((name,))}.{field}", f"{_called(name)}, {_ends(run)}")


def _called(name: str) -> str:
    return name.replace("-", " ").capitalize()


def _ends(run: Mapping[str, object]) -> str:
    joins = run.get("joins", ())
    ends = [str(end).partition(".")[0] for end in joins] if isinstance(joins, list) else []
    return " to ".join(ENDS.get(end, end.replace("-", " ")) for end in ends)


def answered(files: Mapping[str, str], id: str, value: str | Unknown) -> dict[str, str]:  # noqa: A002   as a Question calls it
    """The changed file. Errors: InputError."""
    if id == "intake":
        return {FILE: _laid_out(files[FILE], value)}
    if id == "supplies.main.earthing":
        return {FILE: _earthed(files[FILE], value)}
    if id.startswith("bond."):
        return {FILE: _bonded(files[FILE], id.removeprefix("bond."), value)}
    if value_at(looked_at(FILE, files[FILE]), f"{id.rpartition('.')[0]}.kind") == PIPE:
        return kept(files, FILE, "pipe", id, value)
    if id.rpartition(".")[2] in RESIDUAL:
        return kept(files, FILE, "device", id, value)
    return kept(files, FILE, "equipment" if id.startswith("equipment.") else "runs", id, value)


def _laid_out(text: str, value: str | Unknown) -> str:
    if not isinstance(value, str) or value not in intake_names():
        raise InputError(
            [
                Fault(
                    "answer",
                    None,
                    "intake",
                    str(value),
                    "no such layout",
                    f"one of {', '.join(intake_names())}",
                    nearest(str(value), intake_names()),
                )
            ]
        )
    doc = read(FILE, text)
    gone = [
        name
        for name, circuit in doc.data.get("circuits", {}).items()
        if str(circuit.get("way", "")).partition(".")[0] not in _boards(value)
    ]
    if gone:
        raise InputError(
            [
                Fault(
                    FILE,
                    None,
                    "intake",
                    value,
                    f"{', '.join(each.replace('-', ' ') for each in gone)}: in a board that this layout does not have",
                    "say first that these ways are empty, or keep the layout",
                )
            ]
        )
    now = value_at(doc, "supplies.main.earthing")
    out = written(value, now if isinstance(now, str) else "", text)
    return out + _circuits(text)


def _boards(name: str) -> set[str]:
    return set(read(FILE, written(name, "")).data["equipment"])


def _circuits(text: str) -> str:
    """The lines of circuits, as they stand: they come after everything that a pattern writes."""
    lines = text.splitlines(keepends=True)
    at = next((i for i, line in enumerate(lines) if line.startswith("[circuits")), len(lines))
    return "".join(["\n", *lines[at:]]) if at < len(lines) else ""


def _earthed(text: str, value: str | Unknown) -> str:
    """The arrangement, and with it where the earthing conductor comes from."""
    if isinstance(value, Unknown):
        return set_value(text, "supplies.main.earthing", {"unknown": value.why}, FILE)
    if value not in dict(EARTHING):
        raise InputError(
            [
                Fault(
                    "answer",
                    None,
                    "supplies.main.earthing",
                    value,
                    "no such arrangement",
                    ", ".join(dict(EARTHING)),
                    nearest(value, dict(EARTHING)),
                )
            ]
        )
    pattern = chosen(text)
    if pattern:
        return written(pattern, value, text, untouched(text)) + _circuits(text)
    return set_value(text, "supplies.main.earthing", value, FILE)
