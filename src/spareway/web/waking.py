"""The engine before anyone asks: a throwaway job is walked through once, so that what every screen needs is read and built.

The phone keeps its memory as it then stands, and starts from that: nothing of a person's job is in it."""

from __future__ import annotations

import decimal  # noqa: F401   papers, and prices: late in a job, and not the place to wait
from urllib.parse import urlencode

import spareway.design.sheet  # noqa: F401   asked for by a circuit's card alone
from spareway.bundled import names
from spareway.survey.patterns import EARTHING_SEEN
from spareway.tables.books import editions_on
from spareway.tables.table import table
from spareway.web.app import make_app
from spareway.web.bridge import at_once
from spareway.web.clock import today
from spareway.web.record import forget
from spareway.web.shelf import MemoryShelf

__all__ = ["WALK", "walked"]

JOB = "/app/jobs/waking/"
WALK = (
    "/app/", "/app/this-phone", "/app/new", "/app/bring-in", "/app/call", JOB, f"{JOB}at/doorstep", f"{JOB}at/meter%20cabinet",
    f"{JOB}at/meter%20cabinet?id=all", f"{JOB}picture", f"{JOB}picture?touched=meter", f"{JOB}findings", f"{JOB}findings/0",
    f"{JOB}test", f"{JOB}photos", f"{JOB}hazards", f"{JOB}seen", f"{JOB}join", f"{JOB}check.json",
    f"{JOB}rooms", f"{JOB}rooms/new", f"{JOB}rooms/ask", f"{JOB}demand", f"{JOB}chain", f"{JOB}operator",
    f"{JOB}circuits", f"{JOB}new-circuit", f"{JOB}insulation", f"{JOB}next", f"{JOB}flag", f"{JOB}tester",
    f"{JOB}pocket.html", f"{JOB}job.zip",
)  # fmt: skip


def walked() -> list[tuple[str, int]]:
    """(address, status) of each screen of a job that is begun for this alone, and forgotten."""
    app = make_app(MemoryShelf(), "phone")
    in_place = [["hx-request", "true"]]
    begun = {"called": "Waking", "nation": "England", "earthing": EARTHING_SEEN[0], "edition": editions_on(today())[-1]}
    forms = (("/app/this-phone", {"by": "waking"}), ("/app/new", begun), (f"{JOB}seen", {"says": "Waking."}))
    told = [(where, at_once(app, "POST", where, "", in_place, urlencode(form).encode(), "")[0]) for where, form in forms]
    for address in WALK:
        path, _, query = address.partition("?")
        told.append((address, at_once(app, "GET", path.replace("%20", " "), query, in_place, b"", "")[0]))
    for file in names("tables"):
        if file.endswith(".toml") and file != "books.toml":
            table(file.removesuffix(".toml"))
    forget()
    return told
