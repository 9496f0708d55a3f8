"""A JSON Schema (2020-12) for each file of a job, made from the declared fields, in the subset editors understand."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from spareway.fact import HOW, glossary
from spareway.job.fields import Spec, specs
from spareway.job.types import JobFile, Kit, Parts, People

__all__ = ["SCHEMA_FILES", "schema_for", "schema_of"]

Schema = dict[str, Any]
SCHEMA_FILES = ("job.toml", "people.toml", "premises.toml", "found.toml", "work.toml", "fitted.toml", "option-a.toml",
                "kit.toml")
_TYPES: Mapping[str, type] = {"job.toml": JobFile, "people.toml": People, "kit.toml": Kit, "premises.toml": Parts,
                              "found.toml": Parts}
_SAYS = {"job.toml": "What a job is: stage, books, options, permissions, decisions, enquiries and replies.",
         "people.toml": "Who is concerned, apart so that a job can be shared without it.",
         "kit.toml": "Testers and torque drivers.",
         "premises.toml": "Rooms, fabric and spaces: a base that the found installation is laid over.",
         "found.toml": "The installation as found."}
_OVERLAY = "Lines laid over an installation: tables merge, a fact replaces whole, kind or item makes it another thing."
_WAYS = {"measured": "measured", "marked": "read off the thing", "enquiry": "answered by the network operator",
         "declared": "declared by the network operator", "drawing": "taken from a drawing",
         "stated": "said in this file", "told": "told by a person", "assumed": "assumed"}


def schema_for(file: str) -> Schema:
    """The schema of a file by its name; any other .toml is an overlay. Errors: ValueError for what is no .toml."""
    if not file.endswith(".toml"):
        raise ValueError(f"{file} has no schema: only .toml files have")
    known = file in _TYPES
    made = schema_of(_TYPES.get(file, Parts), file if known else "an overlay", _SAYS.get(file, _OVERLAY), overlay=not known)
    if not known:
        made["properties"]["remove"] = {"type": "array", "items": {"type": "string"}, "title": "remove",
                                        "description": "addresses that are taken away", "examples": [["runs.tails-4"]]}
    return made


def schema_of(cls: type, title: str, says: str, overlay: bool = False) -> Schema:
    """The schema of a file that is read into this type."""
    made = _Made(overlay)
    body = made.body(cls)
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, "description": says}
    return {**head, **body, "$defs": dict(sorted(made.defs.items()))}


class _Made:
    """The schemas of types and of facts, each made once and referred to."""

    def __init__(self, overlay: bool) -> None:
        self.overlay = overlay
        self.defs: dict[str, Schema] = {}

    def body(self, cls: type) -> Schema:
        """The schema of a table of this type. In an overlay nothing is needed: what is not said stays as it was."""
        body: Schema = {"type": "object", "additionalProperties": False,
                        "properties": {spec.key: self.field(spec) for spec in specs(cls)}}
        needed = [spec.key for spec in specs(cls) if spec.needed]
        return body | {"required": needed} if needed and not self.overlay else body

    def field(self, spec: Spec) -> Schema:
        unit = glossary(spec.quantity).unit if spec.holds == "number" else None
        said: Schema = {"title": spec.key.replace("_", " "), "examples": [_example(spec)],
                        "description": f"{spec.says}, in {unit}" if unit else spec.says}
        return {**said, **({} if unit is None else {"x-unit": unit}), **self.value(spec)}

    def value(self, spec: Spec) -> Schema:
        """What may stand after the equals sign."""
        if spec.of:
            ref = self.ref(spec.of)
            return ref if spec.holds == "table" else {"type": "object", "additionalProperties": ref}
        if spec.is_fact:
            return {"oneOf": [_bare(spec), self.ways(spec), self.unknown()]}
        return _plain(spec)

    def ref(self, cls: type) -> Schema:
        if cls.__name__ not in self.defs:
            self.defs[cls.__name__] = {}                          # holds the place, should a type come to hold itself
            self.defs[cls.__name__] = {"title": cls.__name__.lower(), "description": cls.__doc__, **self.body(cls)}
        return {"$ref": f"#/$defs/{cls.__name__}"}

    def ways(self, spec: Spec) -> Schema:
        """A table of the ways in which a quantity is known. Facts with the same limits share one."""
        bare = _bare(spec)
        limits = "-".join(spec.one_of).replace(" ", "_") if spec.one_of else \
            "any" if spec.least is None else f"{spec.least}-to-{spec.most}"
        ends = ("least", "most") if spec.holds == "number" else ()
        ways = {how: {"title": how, "description": says, **bare} for how, says in _WAYS.items()}
        range_ = {end: {"title": end, "description": f"the {end} that it may be", **bare} for end in ends}
        made = {"title": "how it is known", "type": "object", "additionalProperties": False,
                "properties": {**ways, **range_, "note": _NOTE}, "anyOf": [{"required": [how]} for how in HOW]}
        if ends:
            made["dependentRequired"] = {"least": ["most"], "most": ["least"]}
        self.defs[f"{spec.holds}-{limits}"] = made
        return {"$ref": f"#/$defs/{spec.holds}-{limits}"}

    def unknown(self) -> Schema:
        self.defs.setdefault("unknown", {
            "title": "not known", "type": "object", "additionalProperties": False, "required": ["unknown"],
            "properties": {"note": _NOTE, "unknown": _WHY}})
        return {"$ref": "#/$defs/unknown"}


_NOTE: Schema = {"title": "note", "description": "what to bear in mind", "type": "string",
                 "examples": ["read by torchlight"]}
_WHY: Schema = {"title": "unknown", "description": "why it is not known", "type": "string",
                "examples": ["under the hall floor"]}


def _bare(spec: Spec) -> Schema:
    """A stated value of a fact."""
    if spec.holds == "number":
        ends = {"minimum": spec.least, "maximum": spec.most}
        return {"type": "number", **{end: value for end, value in ends.items() if value is not None}}
    if spec.holds == "flag":
        return {"type": "boolean"}
    if spec.holds == "numbers":
        return {"type": "array", "items": {"type": "integer", "minimum": 1}}
    return {"type": "string", "enum": list(spec.one_of)} if spec.one_of else {"type": "string", "minLength": 1}


def _plain(spec: Spec) -> Schema:
    """A value that is no fact. A date of TOML is a text to a schema."""
    if spec.holds == "whole":
        return {"type": "integer", "minimum": spec.least, "maximum": spec.most}
    if spec.holds == "date":
        return {"type": "string", "format": "date"}
    if spec.holds in ("addresses", "names"):
        return {"type": "array", "items": {"type": "string"}}
    if spec.holds == "wholes":
        return {"type": "object", "additionalProperties": {"type": "string"}}
    return {"type": "string", "enum": list(spec.one_of)} if spec.one_of else {"type": "string"}


def _example(spec: Spec) -> Any:
    """An example of a field; of a table, its needed fields or else its first."""
    if not spec.of:
        return spec.example
    inside = [each for each in specs(spec.of) if each.needed] or list(specs(spec.of)[:1])
    thing = {each.key: _example(each) for each in inside}
    return thing if spec.holds == "table" else {"a-name": thing}
