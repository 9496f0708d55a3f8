"""`spareway explain`: one rule with all its headings, or every rule in a line."""
from __future__ import annotations

from typing import Any

import click

from spareway.cli.arguments import Verb, json_option
from spareway.cli.layout import TITLES, columns, counted, mark, out, out_json, paragraph

__all__ = ["command"]


def _codes(_: click.Context, __: click.Parameter, typed: str) -> list[str]:
    """For completion: the codes and names that begin so."""
    from spareway.rules import all_rules
    return [word for rule in all_rules() for word in (rule.code, rule.name) if word.lower().startswith(typed.lower())]


def _one(rule: dict[str, Any]) -> list[str]:
    lines = [*paragraph(f"{rule['rule']}  {rule['says']}", 0, 5), ""]
    edition = f"from {rule['since']}" if rule["since"] else "in every edition known here"
    edition += f", until {rule['until']}" if rule["until"] else ""
    rows = [("asked of", f"every {rule['about']}" if rule["about"] != "installation" else "the whole installation"),
            ("when so", f"{mark(rule['breach'])} {TITLES[rule['breach']]}"),
            ("stands on", f"{rule['clause'] or 'no clause'} ({rule['authority']}), {edition}"), ("why", rule["why"]),
            ("to do", rule["remedial"])]
    for word, said in rows:
        lines += paragraph(f"  {word:<11}{said}", 0, 13)
    for word, heading in (("found with", "fires_on"), ("not with", "passes_on")):
        for line in rule[heading].splitlines():
            lines += paragraph(f"  {word:<11}{line}", 0, 15)
            word = ""
    return lines


@click.command("explain", cls=Verb)
@click.argument("rule", default="", shell_complete=_codes)
@json_option
def command(rule: str, as_json: bool) -> int:
    """What RULE looks for, why, its clause and what puts it right. Without RULE: all of them, a line each."""
    from spareway.api import explain
    said = explain(rule)
    if as_json:
        out_json(said)
    elif rule:
        out(_one(said))
    else:
        out([f"{counted(len(said['rules']), 'rule')}. `spareway explain CODE` says more of one.", "",
             *columns([(each["rule"], each["says"]) for each in said["rules"]])])
    return 0
