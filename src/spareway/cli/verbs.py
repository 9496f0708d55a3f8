"""The verbs, one line each, and the one place where an answer becomes an exit code.

0: nothing worse than advice; 1: a stop or a fails; 3: only unknowns are left; 2: bad input or usage, then every fault
is one line on stderr; 4: a rule broke, which is a fault of the program, and nothing was judged.
"""
from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, NoReturn

import click
from click.exceptions import NoArgsIsHelpError

from spareway.show import cleaned

__all__ = ["BAD_INPUT", "VERBS", "Verbs", "spareway"]

BAD_INPUT, BROKE = 2, 4
VERBS = {
    "new": "start a job: five questions, plain texts",
    "check": "judge a job: worst first, what stays live, lock-offs",
    "circuit": "every quantity of a circuit with its working; a new one's cable",
    "demand": "what a home demands, by the book and as recorded, and its fuse",
    "heat": "what each room loses, heaters that meet it, their circuits",
    "readings": "which fault explains the readings, and what to read next",
    "live": "the potential of every terminal with these open and those lifted",
    "isolate": "the fewest controls a person may lock off for a part",
    "merge": "two copies of one job, changed apart, made one again",
    "changes": "what the work adds, removes and alters",
    "drawing": "the intake as it hangs on the wall, as a picture",
    "papers": "the papers of a job, as drafts in PDFs",
    "site": "the phone's pages as static files, for use with no signal",
    "serve": "the screens in a browser, over a folder of jobs",
    "explain": "what a rule looks for, why, and what puts it right",
    "schema": "what may stand in a file, or in a verb's output",
    "doctor": "what this machine lacks",
}


class Verbs(click.Group):
    """Lists the verbs without importing them, imports the one that is asked for, and ends the run with its answer."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002    click asks with it
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        if cmd_name not in VERBS:
            return None
        command: click.Command = import_module(f"spareway.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        with formatter.section("Verbs"):
            formatter.write_dl(list(VERBS.items()))

    def resolve_command(self, ctx: click.Context, args: list[str]
                        ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in VERBS and not args[0].startswith("-"):
            from spareway.doc import nearest
            near = nearest(args[0], VERBS)
            raise click.UsageError(f'there is no verb "{args[0]}"; '
                                   f"{f'did you mean {near}?' if near else f'there are {_listed(VERBS)}'}", ctx)
        return super().resolve_command(ctx, args)

    def main(self, args: Sequence[str] | None = None, prog_name: str | None = None,    # type: ignore[override]
             complete_var: str | None = None, **extra: Any) -> NoReturn:
        """As click does it, but with our exit codes and one line a fault. Ends the process."""
        try:
            code = super().main(args, prog_name or "spareway", complete_var, **{**extra, "standalone_mode": False})
        except click.Abort:
            code = _refused("stopped before the end")
        except NoArgsIsHelpError as asked:
            click.echo(asked.format_message())
            code = BAD_INPUT
        except click.ClickException as problem:
            code = _refused(problem.format_message())
        except RuntimeError as problem:
            code = _broke(problem)
        sys.exit(code if isinstance(code, int) else 0)


def _listed(words: Sequence[str] | dict[str, str]) -> str:
    *first, last = words
    return f"{', '.join(first)} and {last}"


def _refused(says: str) -> int:
    says = cleaned(" ".join(says.split()))
    click.echo(f"command line: {says[:1].lower()}{says[1:]}", err=True)
    return BAD_INPUT


def _broke(problem: RuntimeError) -> int:
    """A rule that broke is told in one sentence; any other error of this class is raised as it was."""
    from spareway.rules.crash import RuleCrash
    if not isinstance(problem, RuleCrash):
        raise problem
    click.echo(cleaned(" ".join(f"spareway: {problem}".split())), err=True)
    return BROKE


def _version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted and not ctx.resilient_parsing:
        from spareway import __version__
        click.echo(f"spareway {__version__}")
        ctx.exit()


@click.group(cls=Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
             epilog="spareway VERB --help says more of each. JOB is a job folder, or one in a zip. What is checked is "
                    "a record: prove dead at the point of work, every time.")
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=_version, help="The version.")
def spareway() -> None:
    """A home's electrical intake and board: findings with their working, out of a folder of plain texts."""
