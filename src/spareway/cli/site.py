"""`spareway site`: the phone's site as static files for any https host."""
from __future__ import annotations

from pathlib import Path

import click

from spareway.cli.arguments import Verb
from spareway.cli.layout import out

__all__ = ["command"]


@click.command("site", cls=Verb)
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path, file_okay=False))
@click.option("--runtime", metavar="DIR", default="node_modules", type=click.Path(path_type=Path, file_okay=False),
              show_default=True, help="A node_modules folder with pyodide and htmx.org.")
def command(folder: Path, runtime: Path) -> int:
    """Write the phone's site into DIR, which is new, empty, or a site written before: static files, no server needed.

    Any https host can serve it from any folder. A phone that opened it once works with no signal from then on."""
    from spareway.web.site import NoRuntime, build

    if folder.is_dir() and any(folder.iterdir()) and not (folder / "engine.json").is_file():
        raise click.UsageError(f"{folder} holds other files: name a new folder")
    try:
        built = build(folder, runtime)
    except NoRuntime as problem:
        raise click.ClickException(str(problem)) from None
    rows = [f"{name:<28}{raw:>10}{sent:>10}" for name, (raw, sent) in sorted(built.sizes.items())]
    out([f"{'file':<28}{'bytes':>10}{'sent':>10}", *rows, "",
                   f"{built.first_visit_bytes} bytes are fetched on the first visit, gzipped; after that nothing.",
                   f"engine sha256 {built.engine_sha256}"])
    return 0
