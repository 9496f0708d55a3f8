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
}


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
    if of in INPUTS or of.startswith("option-") and of.endswith(".toml"):
        return schema_for(of)
    near = nearest(of, [*OUTPUTS, *INPUTS])
    allowed = "" if near else f"a file of a job, such as found.toml, or one of {', '.join(OUTPUTS)}"
    raise InputError([Fault("command line", None, "schema", of, f'there is no schema of "{of}"', allowed, near)])


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
