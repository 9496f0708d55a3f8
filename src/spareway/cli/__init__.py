"""The command line: a thin face over `spareway.api`. A verb is a module of its name, imported when it is asked for."""
from __future__ import annotations

import sys

__all__ = ["main"]


def main() -> int:
    """The console script: what was typed, answered. Ends with 0, 1, 2, 3 or 4; see `verbs.Verbs`."""
    try:
        import click  # noqa: F401, RUF100    an extra: the engine works without it
    except ModuleNotFoundError:
        print("spareway: the command line needs click: install spareway[cli]", file=sys.stderr)
        return 2
    from spareway.cli.verbs import spareway
    return spareway.main(prog_name="spareway")
