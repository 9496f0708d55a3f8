"""`spareway serve`: the screens answered by this machine, for one person."""
from __future__ import annotations

from pathlib import Path

import click

from spareway.cli.arguments import Verb
from spareway.cli.layout import out

__all__ = ["command"]


@click.command("serve", cls=Verb)
@click.argument("jobs", metavar="[JOBS]", default="jobs", type=click.Path(path_type=Path, file_okay=False))
@click.option("--port", default=8470, show_default=True, type=click.IntRange(1, 65534),
              help="The port; --lan also uses the next one.")
@click.option("--lan", is_flag=True,
              help="Answer phones in this building too, over https with an authority of this machine's own.")
@click.option("--address", metavar="IP", help="This machine's private address, where there are several.")
@click.option("--site", metavar="DIR", type=click.Path(path_type=Path, file_okay=False, exists=True),
              help="A site written by `spareway site`: phones get it at /phone/, and keep it for use with no signal.")
@click.option("--runtime", metavar="DIR", default="node_modules", type=click.Path(path_type=Path, file_okay=False),
              show_default=True, help="A node_modules folder with htmx.org.")
def command(jobs: Path, port: int, lan: bool, address: str | None, site: Path | None, runtime: Path) -> int:
    """Answer the screens over JOBS, a folder of job folders, until interrupted. It serves one person: it has no accounts."""
    from spareway.web import serve

    htmx = runtime / "htmx.org" / "dist" / "htmx.min.js"
    if not htmx.is_file():
        raise click.ClickException(f"{runtime} holds no htmx.org: npm install htmx.org, then name its node_modules")
    jobs.mkdir(parents=True, exist_ok=True)
    if lan:
        _over_the_network(jobs, htmx, site, port, address or serve.on_this_machine())
        return 0
    out([f"http://127.0.0.1:{port}/ answers on this machine alone. {serve.SAYS}"])
    serve.run([(serve.served(jobs, htmx, serve.Door(), site), "127.0.0.1", port, None)])
    return 0


def _over_the_network(jobs: Path, htmx: Path, site: Path | None, port: int, address: str) -> None:
    import io

    import segno

    from spareway.web import serve
    from spareway.web.authority import authority, own_folder, vouched

    folder = own_folder()
    own = authority(folder, serve.now())
    try:
        secure = vouched(own, [address, "127.0.0.1"], folder, serve.now())
    except ValueError as problem:
        raise click.ClickException(str(problem)) from None
    door = serve.Door.with_key([address])
    enter = f"https://{address}:{port}/enter?key={door.key}{'&to=phone' if site else ''}"
    square = io.StringIO()
    segno.make(enter, micro=False).terminal(square, compact=True)
    out([serve.SAYS, "", f"Once on each phone: open http://{address}:{port + 1}/ and do what it says.",
         "The authority's fingerprint:", own.fingerprint, "", "Then open this:", square.getvalue(), enter])
    step = serve.first_step(own.file, own.fingerprint, f"https://{address}:{port}/", [address])
    serve.run([(serve.served(jobs, htmx, door, site), address, port, secure), (step, address, port + 1, None)])
