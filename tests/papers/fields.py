"""One job whose every free text a stranger wrote: where each stands, and a folder with a text in all of them or in one."""
from __future__ import annotations

import csv
import io
from collections.abc import Mapping

from spareway.job.rows import ROW_FILES, header

# (file, address as a fault names it) -> printed by the survey report
FREE: Mapping[tuple[str, str], bool] = {
    ("job.toml", "says"): True, ("job.toml", "doorstep.medical"): False,
    **{("job.toml", f"decisions.one.{field}"): True for field in ("about", "who", "why")},
    **{("job.toml", f"permissions.pull.{field}"): True for field in ("by", "ref")},
    **{("job.toml", f"replies.east.{field}"): True for field in ("about", "by", "ref", "says")},
    **{("job.toml", f"enquiries.more.{field}"): True for field in ("to", "by", "ref")},
    **{("job.toml", f"operators.west.{field}"): False for field in ("says", "ref")},
    **{("people.toml", f"people.owner.{field}"): False for field in ("called", "address", "reach", "role")},
    ("kit.toml", "kit.tester.what"): False, ("kit.toml", "kit.tester.serial"): True,
    ("found.toml", "supplies.main.operator"): True, ("found.toml", "supplies.main.looped.unknown"): True,
    ("found.toml", "equipment.box.says"): True, ("found.toml", "runs.tail.colours"): True,
    ("found.toml", "runs.tail.length_m.note"): False,
    ("found.toml", "circuits.one.says"): True, ("found.toml", "circuits.one.cable.length_m.unknown"): True,
    ("found.toml", "rooms.hall.floor"): False,
    **{("readings.csv", field): True for field in ("setup", "by")},
    ("readings.csv", "loads"): True,
    **{("observations.csv", field): True for field in ("place", "says", "by")},
    **{("events.csv", field): False for field in ("by", "second")},
    **{("photos.csv", field): False for field in ("purpose", "consent", "by")},
}


def job(said: Mapping[tuple[str, str], str]) -> dict[str, str]:
    """The folder with these texts in these fields, and a plain word in every other."""
    def t(file: str, field: str) -> str:
        text = said.get((file, field), "plain")
        return '"' + "".join(f"\\U{ord(c):08X}" if ord(c) < 32 or c in '"\\\x7f' else c for c in text) + '"'

    def own(file: str, table: str, *fields: str) -> str:
        return ", ".join(f"{field} = {t(file, f'{table}.{field}')}" for field in fields)
    about = "job.toml"
    return {
        about: "\n".join((
            "schema = 1", f"says = {t(about, 'says')}", 'books = { bs7671 = "2018+A4" }',
            'dates = { survey = "2026-11-09" }', f'doorstep = {{ medical = {t(about, "doorstep.medical")} }}',
            f'decisions.one = {{ choice = "limit agreed", on = 2026-11-09, {own(about, "decisions.one", "about", "who", "why")} }}',
            f'permissions.pull = {{ part = "cutout.fuse", {own(about, "permissions.pull", "by", "ref")} }}',
            f'replies.east = {{ on = 2026-11-09, {own(about, "replies.east", "about", "by", "ref", "says")} }}',
            f'enquiries.more = {{ asks = ["demand"], on = 2026-11-09, {own(about, "enquiries.more", "to", "by", "ref")} }}',
            f'operators.west = {{ asked = 2026-05-09, {own(about, "operators.west", "says", "ref")} }}', "")),
        "people.toml": f'people.owner = {{ {own("people.toml", "people.owner", "called", "address", "reach", "role")} }}\n',
        "kit.toml": f'kit.tester = {{ {own("kit.toml", "kit.tester", "what", "serial")} }}\n',
        "found.toml": "\n".join((
            f'supplies.main = {{ joins = "cutout.in", earthing = "TN-S", operator = {t("found.toml", "supplies.main.operator")}, '
            f'looped = {{ unknown = {t("found.toml", "supplies.main.looped.unknown")} }} }}',
            "[equipment]", 'cutout = { kind = "cut-out" }', 'meter = { kind = "meter" }', 'board = { kind = "board" }',
            f'box = {{ kind = "blocks", says = {t("found.toml", "equipment.box.says")} }}',
            "[runs]", f'tail = {{ joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = 25, colours = {t("found.toml", "runs.tail.colours")}, '
            f'length_m = {{ assumed = 1, note = {t("found.toml", "runs.tail.length_m.note")} }} }}',
            "[circuits]", f'one = {{ way = "board.1", says = {t("found.toml", "circuits.one.says")}, '
            f'cable = {{ kind = "t&e", length_m = {{ unknown = {t("found.toml", "circuits.one.cable.length_m.unknown")} }} }} }}',
            "[rooms]", f'hall = {{ floor = {t("found.toml", "rooms.hall.floor")} }}', "")),
        "readings.csv": _row("readings.csv", said, id="r1", stage="found", quantity="ze_ohm", a="supplies.main", value="0.2", unit="Ω",
                             instrument="tester", at="2026-11-09T09:00"),
        "observations.csv": _row("observations.csv", said, id="o1", where="equipment.box", code="C2", at="2026-11-09T09:00"),
        "events.csv": _row("events.csv", said, id="e1", kind="torque", address="circuits.one", at="2026-11-09T09:00"),
        "photos.csv": _row("photos.csv", said, id="f1", sha256="0" * 64, address="equipment.box", at="2026-11-09T09:00"),
    }


def _row(file: str, said: Mapping[tuple[str, str], str], **given: str) -> str:
    out = io.StringIO()
    names = header(ROW_FILES[file])
    writer = csv.DictWriter(out, names, lineterminator="\n")
    writer.writeheader()
    free = {field: said.get((file, field), "plain") for name, field in FREE if name == file}
    writer.writerow({name: {**free, **given}.get(name, "") for name in names})
    return out.getvalue()
