"""`spareway schema`: JSON Schema (2020-12) of what may stand in a job's files, and of what a verb gives with --json."""
from __future__ import annotations

import json
from typing import Any

import click

from spareway.cli.arguments import Verb, json_option
from spareway.cli.layout import columns, out, out_json
from spareway.doc import Fault, InputError, nearest

__all__ = ["OUTPUTS", "command", "output_schema"]

OUTPUTS = {
    "new": "what was started",
    "check": "findings, what stays live, lock-offs",
    "circuit": "quantities and findings of circuits",
    "new-circuit": "what circuit --new chose",
    "new-circuits": "what circuit --board chose",
    "demand": "what a home demands, three ways",
    "foreseen": "what demand --simulate foresees",
    "heat": "heat of rooms, heaters, their circuits",
    "readings": "each reading beside what it should be, and the faults",
    "live": "the potential of every terminal",
    "isolate": "the lock-off of a part",
    "changes": "what differs between two stages",
    "explain": "one rule, or all of them",
    "schema": "what there are schemas of",
    "doctor": "what this machine lacks",
    "faults": "what was wrong with the input, of any verb",
}
INPUTS = {
    "job.toml": "what the job is",
    "found.toml": "the installation as found",
    "premises.toml": "rooms, fabric, spaces",
    "work.toml": "what is to be done",
    "fitted.toml": "what was done otherwise",
    "option-NAME.toml": "an alternative",
    "people.toml": "who is concerned",
    "kit.toml": "what readings are taken with",
    "season.toml": "a season to simulate",
    "operators.toml": "what network operators want, as a firm keeps it",
    "mapping.toml": "which column of a plain CSV is what",
    "readings.csv": "what an instrument showed",
    "observations.csv": "what was seen",
    "events.csv": "what was done",
    "photos.csv": "what each photo shows",
    "logs/NAME.csv": "what a logger wrote",
}
ROWS = "A table of plain text with commas: the first line names its columns, every further line is a row."
LOGGED = {"at": ("the minute", "2026-01-12T18:05"), "current_a": ("current at the intake, in A", "23.4")}


def output_schema(verb: str) -> dict[str, Any]:
    """The published schema of a verb's document. Errors: FileNotFoundError."""
    from spareway.bundled import text
    schema: dict[str, Any] = json.loads(text(f"cli/schemas/{verb}.json"))
    return schema


def _schema(of: str) -> dict[str, Any]:
    if of in OUTPUTS:
        return output_schema(of)
    from spareway.job.schema import schema_for, schema_of
    if of == "season.toml":
        from spareway.season.scenarios import Scenario
        return schema_of(Scenario, of, "What a season is like and what happens in it, for demand --simulate.")
    if of == "operators.toml":
        from spareway.job.operators import Operators
        return schema_of(Operators, of, "What network operators want, for --operators; the same stands in job.toml of one job.")
    if of == "mapping.toml":
        from spareway.readings.mapped import MappingFile
        return schema_of(MappingFile, of, "Which column of a plain CSV is what, for readings --take.")
    if of.endswith(".csv") and (of in INPUTS or of.startswith("logs/")):
        return _of_rows(of)
    if of in INPUTS or of.startswith("option-") and of.endswith(".toml"):
        return schema_for(of)
    near = nearest(of, [*OUTPUTS, *INPUTS])
    allowed = "" if near else f"a file of a job, such as found.toml, or one of {', '.join(OUTPUTS)}"
    raise InputError([Fault("command line", None, "schema", of, f'there is no schema of "{of}"', allowed, near)])


def _of_rows(file: str) -> dict[str, Any]:
    """The columns of a file of rows, which are texts all of them: what each is, and which words may stand there."""
    from spareway.job.fields import specs
    from spareway.job.rows import ROW_FILES
    if file not in ROW_FILES:
        named = {name: {"type": "string", "description": says, "examples": [example]} for name, (says, example) in LOGGED.items()}
        needed = list(LOGGED)
    else:
        own = specs(ROW_FILES[file])
        named = {spec.key: {"type": "string", "description": spec.says, "examples": [str(spec.example)],
                            **({"enum": list(spec.one_of)} if spec.one_of else {})} for spec in own}
        needed = [spec.key for spec in own if spec.needed]
    row = {"type": "object", "properties": named, "required": needed}
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": file, "description": ROWS}
    return {**head, "type": "array", "items": row}


@click.command("schema", cls=Verb)
@click.argument("of", default="", metavar="[FILE|VERB]", shell_complete=lambda _, __, typed: [
    word for word in (*INPUTS, *OUTPUTS) if word.startswith(typed)])
@json_option
def command(of: str, as_json: bool) -> int:
    """What may stand in FILE, or what VERB gives with --json. An editor that reads JSON Schema checks as you type.

    Without either: what there are schemas of."""
    if of:
        out_json(_schema(of))
    elif as_json:
        out_json({"files": INPUTS, "verbs": OUTPUTS})
    else:
        out(["Files of a job:", *columns(list(INPUTS.items())), "", "Documents that a verb gives with --json:",
             *columns(list(OUTPUTS.items()))])
    return 0
