"""A phone with invented jobs on it, as every walk through its screens begins: a cottage, the same told by two people, a yard."""
from __future__ import annotations

import base64
from datetime import datetime, timedelta
from functools import cache
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageDraw

from spareway.folder.zipped import packed
from spareway.job.merge import merge
from tests.web.hosting import Host
from tests.web.phone import ROOT, Phone

TAKE_JS = """async ([to, data]) => (await fetch(to, {method: 'POST', headers: {'HX-Request': 'true'},
    body: Uint8Array.from(atob(data), (c) => c.charCodeAt(0))})).status"""
DOORSTEP = {"medical": "yes", "freezer": "yes", "alarm": "no", "pets": "no", "children": "no", "damp": "no"}
RING = 'says   = "sockets, ground floor"'


@cache
def texts(example: str) -> dict[str, str]:
    """The files of an example, by name."""
    return {each.name: each.read_text("utf-8") for each in (ROOT / "examples" / example).iterdir() if each.suffix in (".toml", ".csv")}


def told_by_two(files: dict[str, str]) -> dict[str, str]:
    """The job joined from two phones whose people called its ring each by another name: disputed, and nobody has chosen."""
    ours, theirs = ({**files, "found.toml": files["found.toml"].replace(RING, f'says = "{says}"', 1)}
                    for says in ("ring, ground floor", "ring, kitchen and hall"))
    return dict(merge(files, ours, theirs).files)


def copies_of_two(files: dict[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """What two people made of a job apart: each a row of what was seen, and another name for its ring."""
    columns = files["observations.csv"].partition("\n")[0].split(",")
    made = []
    for by, at, says in (("Ann", "2026-11-20T09:40", "ring, ground floor"), ("Bo", "2026-11-20T10:05", "ring, kitchen and hall")):
        row = {"id": f"{by.lower()}-1", "where": "circuits.ring-ground", "says": "a spur behind the dresser", "by": by, "at": at}
        seen = files["observations.csv"] + ",".join(row.get(column, "") for column in columns) + "\n"
        made.append({**files, "found.toml": files["found.toml"].replace(RING, f'says = "{says}"', 1), "observations.csv": seen})
    return made[0], made[1]


def zipped(files: dict[str, str]) -> bytes:
    return packed({name: text.encode() for name, text in files.items()})


def take(phone: Phone, data: bytes, name: str = "", to: str = "") -> None:
    """A zip taken in as a new job, or joined with one that is there, by the page's own address."""
    asked = [phone.path(to or f"app/bring-in?called={name}"), base64.b64encode(data).decode()]
    assert phone.page.evaluate(TAKE_JS, asked) == 204


def a_day_of_minutes() -> bytes:
    """What a logger would write of a cold day, made up: heaters that cycle, cooking in the evening, four minutes above 60 A."""
    began, rows = datetime(2027, 1, 12), ["at,current_a"]  # noqa: DTZ001   as a logger writes: the clock on its wall
    for minute in range(24 * 60):
        hour = minute / 60
        amps = 2.0 + 9.0 * (minute % 31 < 14) + 8.0 * (minute % 47 < 20) * (hour > 5) + 13.0 * (6 <= hour < 8) + 21.0 * (17 <= hour < 19.5)
        amps += 9.5 * (18 <= hour < 18.75) + 13.0 * (minute in range(1090, 1094))
        rows.append(f"{began + timedelta(minutes=minute):%Y-%m-%dT%H:%M},{amps:.1f}")
    return ("\n".join(rows) + "\n").encode()


def drawn_photo() -> bytes:
    """A made-up picture where a photo of a cut-out would be: nobody's cupboard."""
    picture = Image.new("RGB", (960, 720), "#b9a88c")
    pen = ImageDraw.Draw(picture)
    pen.rectangle((300, 120, 660, 520), fill="#3b3b3d", outline="#1d1d1f", width=8)
    pen.rectangle((380, 190, 580, 330), fill="#56565a", outline="#1d1d1f", width=6)
    for x in (400, 520):
        pen.rectangle((x, 520, x + 40, 720), fill="#7d7d80")
    pen.text((410, 240), "80 A", fill="#f0e8d0", font_size=60)
    out = BytesIO()
    picture.save(out, "JPEG", quality=80)
    return out.getvalue()


def set_out(phone: Phone, host: Host, by: str = "Ann") -> None:
    """The first visit; from here on there is no server. Three jobs are brought in, a log and one photo kept."""
    phone.on()
    host.stop()
    assert phone.fetch("app/this-phone", {"by": by})[0] == 204
    take(phone, zipped(texts("weir-cottage")), "weir")
    take(phone, zipped(texts("weir-cottage")), "weir-two")
    for copy in copies_of_two(texts("weir-cottage")):
        take(phone, zipped(copy), to="app/jobs/weir-two/join")
    take(phone, zipped(texts("granary-yard")), "granary")
    for asked, said in DOORSTEP.items():
        assert phone.fetch("app/jobs/weir/at/doorstep", {"id": f"doorstep.{asked}", "value": said})[0] == 204
    assert phone.fetch("app/jobs/granary/test/ring", {"test": "2", "value": "4.5"})[0] == 204        # a point that slipped
    assert phone.fetch("app/jobs/granary/live/circuits.cooker", {"test": "1", "value": "231"})[0] == 204       # neutral stands off earth
    take(phone, a_day_of_minutes(), to="app/jobs/granary/demand/log?called=january-day")
    asked = [phone.path("app/jobs/weir/photos?about=equipment.cutout&purpose=report&consent=owner"), base64.b64encode(drawn_photo()).decode()]
    assert phone.page.evaluate(TAKE_JS, asked) == 204


def site(into: Path) -> Host:
    """The site built there, and a host that serves it."""
    from spareway.web.site import build
    build(into, ROOT / "node_modules")
    host = Host(into)
    host.start()
    return host
