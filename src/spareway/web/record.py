"""A job as the screens ask about it: read, wired and judged once for each state of its texts."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from functools import cached_property
from typing import Any, TypeVar

from spareway import api
from spareway.design.design import Design
from spareway.job.job import Job, read_job
from spareway.rules.today import fails_as_found, stops_as_found, told
from spareway.web.shelf import Shelf

__all__ = ["Record", "forget", "record", "save"]

MOST_KEPT = 4
T = TypeVar("T")
_KEPT: OrderedDict[str, Record] = OrderedDict()


class Record:
    """The texts of one job, and what follows from them. Errors: InputError from each, where they cannot be read."""

    def __init__(self, files: Mapping[str, str]) -> None:
        self.files = dict(files)
        self._designs: dict[str, Design] = {}
        self._checked: dict[str, dict[str, Any]] = {}
        self._once: dict[Hashable, Any] = {}

    @cached_property
    def job(self) -> Job:
        return read_job(self.files)

    @property
    def stages(self) -> tuple[str, ...]:
        """As found, then what is proposed, then what was fitted: those that the folder holds."""
        return tuple(
            s for s, file in (("found", "found.toml"), ("proposed", "work.toml"), ("fitted", "fitted.toml")) if file in self.files
        )

    def design(self, stage: str = "") -> Design:
        inst = self.job.at(stage or None)
        if inst.stage not in self._designs:
            self._designs[inst.stage] = Design(inst)
        return self._designs[inst.stage]

    def checked(self, stage: str = "", full: bool = False) -> dict[str, Any]:
        """The document of `spareway check`, or of `check --full`, which every face shares."""
        key = f"{stage} {full}"
        if key not in self._checked:
            self._checked[key] = api.check(self.files, stage or None, full=full)
        return self._checked[key]

    def once(self, key: Hashable, make: Callable[[], T]) -> T:
        """What a screen works out of these texts, kept by this key for as long as they stand."""
        if key not in self._once:
            self._once[key] = make()
        made: T = self._once[key]
        return made

    @cached_property
    def stops_as_found(self) -> list[Mapping[str, Any]]:
        """What must be made safe today, for whoever looks at what is only proposed."""
        return told(stops_as_found(self.job, "proposed", self.design("found")))

    def fails_as_found(self, stage: str) -> list[Mapping[str, Any]]:
        """What failed as found and is not known to be cured at this stage, worked out once."""
        def anew() -> list[Mapping[str, Any]]:
            said = self.checked(stage)
            return told(fails_as_found(self.job, said["stage"], said["findings"], self.design("found")))

        return self.once(("fails as found", stage), anew)


def record(files: Mapping[str, str]) -> Record:
    """The record of these texts; the last few are kept, since most taps only ask."""
    digest = hashlib.sha256()
    for name in sorted(files):
        digest.update(f"{len(name)} {name} {len(files[name])} ".encode())
        digest.update(files[name].encode())
    key = digest.hexdigest()
    if key not in _KEPT:
        _KEPT[key] = Record(files)
        while len(_KEPT) > MOST_KEPT:
            _KEPT.popitem(last=False)
    _KEPT.move_to_end(key)
    return _KEPT[key]


def save(shelf: Shelf, job: str, changed: Mapping[str, str | None]) -> None:
    """The one gate to a job that is there: saved where it reads and designs afterwards.

    Errors: InputError, and nothing is changed: a slip of the thumb would take every screen of it away."""
    if not changed:
        return
    after = {**shelf.files(job), **changed}
    record({name: text for name, text in after.items() if text is not None}).design()
    shelf.save(job, changed)


def forget() -> None:
    """No record is kept any more."""
    _KEPT.clear()
