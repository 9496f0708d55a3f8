"""The one place of the screens that reads the clock."""

from __future__ import annotations

import datetime

__all__ = ["now", "today"]


def today() -> datetime.date:
    """The day on this person's wall."""
    return datetime.date.today()  # noqa: DTZ011


def now() -> str:
    """The minute on this person's watch, as rows keep it."""
    return datetime.datetime.now().isoformat(timespec="minutes")  # noqa: DTZ005
