"""`spareway merge`: two copies of one job, changed apart, made one again; what both changed waits for a person to choose."""
from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from spareway.cli.arguments import Verb, json_option, open_job
from spareway.cli.layout import counted, out, out_json, paragraph
from spareway.doc import Fault, InputError
from spareway.job.disputed import Dispute
from spareway.rules.disputes import differences

__all__ = ["command"]

DISPUTED = 3


@click.command("merge", cls=Verb)
@click.argument("mine", type=click.Path(path_type=Path))
@click.argument("theirs", type=click.Path(path_type=Path))
@click.argument("base", type=click.Path(path_type=Path))
@click.option("--out", "folder", type=click.Path(path_type=Path), metavar="DIR",
              help="A new folder for the joined job; without it, only told.")
@json_option
def command(mine: Path, theirs: Path, base: Path, folder: Path | None, as_json: bool) -> int:
    """Make one job of MINE and THEIRS, both begun from BASE: folders, or zips as a phone carries them.

    No row is lost. A thing that both changed is unknown until somebody chooses; exit code 3 while any is."""
    from spareway.job.job import read_job
    from spareway.job.merge import merge, sides, who_said
    texts = [open_job(each)[0] for each in (base, mine, theirs)]
    merged = merge(*texts)
    read_job(merged.files)
    if folder is not None:
        _saved(folder, merged.files)
    copies = dict(zip(("mine", "theirs"), sides(*texts), strict=True))
    said = {"rows": merged.rows_n, "groups": merged.groups_n, "folder": str(folder) if folder else "",
            "copies": {name: {"by": list(side.by), "last": side.last, "says": side.told()} for name, side in copies.items()},
            "disputes": [{"file": d.file, "address": d.address, "versions": list(d.versions),
                          "said_by": [[name for name, is_so in zip(copies, who, strict=True) if is_so]
                                      for who in who_said(d, *texts[1:])]} for d in merged.disputes]}
    if as_json:
        out_json(said)
    else:
        out(_page(said))
    return DISPUTED if merged.disputes else 0


def _page(said: dict[str, Any]) -> list[str]:
    lines = paragraph(f"Joined: {counted(said['rows'], 'row')} and {counted(said['groups'], 'thing')} that the two brought.")
    for each in said["disputes"]:
        head = f"{each['address']}, {each['file']}: two people changed it. It is unknown until somebody chooses:"
        told = differences(Dispute(each["file"], each["address"], tuple(each["versions"]))) or ["one of them took it away"]
        lines += ["", *paragraph(head), *(line for field in told for line in paragraph(f"- {field}", 2, 4))]
        for number, names in enumerate(each["said_by"], 1):
            where = " and ".join(f"{name.upper()} ({said['copies'][name]['says']})" for name in names)
            lines += paragraph(f"Version {number} of {len(each['said_by'])} is that of {where or 'an earlier joining'}.", 2, 4)
    if said["disputes"]:
        lines += ["", *paragraph("Choose on the phone, or write what holds into the file and take its entry out of "
                                   "disputed.toml.")]
    return lines


def _saved(folder: Path, texts: dict[str, str]) -> None:
    from spareway.folder import Folder
    if folder.exists() and any(folder.iterdir() if folder.is_dir() else [folder]):
        raise InputError([Fault(str(folder), None, "", str(folder), "something is there already",
                                "name a new folder, or an empty one")])
    Folder(folder).save(texts)
