"""One seeded crash: an old job, a save of a new one broken off at a random call, recoveries too; what is left?"""
from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from random import Random

from spareway.doc import InputError
from spareway.folder import Folder, read_folder
from spareway.folder.names import FIXED
from tests.folder.frail import Crash, FrailDisk

HOME = Path("/disk")
JOB = HOME / "job"
Job = dict[str, str]


class Broken(AssertionError):
    """A lost or a mixed job."""


def some_text(rng: Random) -> str:
    words = "".join(rng.choices("abc é✓\n\r\t\0=[]\"'", k=rng.randrange(30)))
    return words * rng.choice((0, 1, 1, 4, 12))


def some_job(rng: Random) -> Job:
    names = [*rng.sample(FIXED, rng.randint(1, 3)), "option-a.toml", "logs/one.csv"]
    return {name: some_text(rng) for name in rng.sample(names, rng.randint(1, len(names)))}


def next_job(rng: Random, old: Job) -> Job:
    """Some files as they were, some other, some gone, some new; never nothing at all, never the same job."""
    new = {name: text if rng.random() < 0.3 else some_text(rng) for name, text in old.items() if rng.random() < 0.8}
    new |= {name: some_text(rng) for name in some_job(rng) if rng.random() < 0.5}
    return new if new and new != old else {**old, "job.toml": old.get("job.toml", "") + "another"}


def ready(disk: FrailDisk, old: Job) -> Folder:
    """The folder with the old job in it, saved and read."""
    folder = Folder(JOB, disk=disk)
    if old:
        folder.save(old)
        folder.read()
    return folder


def crashed(disk: FrailDisk, step: Callable[[], None], power: bool) -> bool:
    """Whether the step broke off, by a crash or an error of the disk; then what a kill or a power loss leaves."""
    try:
        step()
        done = True
    except (Crash, OSError):
        done = False
    except InputError:
        if not disk.fails:                      # a disk that refuses is told to a reader as a fault of the folder
            raise
        done = False
    disk.arm(0)
    if power:
        disk.power_loss()
    return not done


def one(seed: int, disk_of: Callable[[Random, Path], FrailDisk] = FrailDisk) -> str:
    """How it went in a word or two: what was there in the end and after how many breaks. Errors: Broken."""
    rng = Random(seed)
    disk = disk_of(rng, HOME)
    old = {} if rng.random() < 0.1 else some_job(rng)
    new = next_job(rng, old)
    whole: dict[str, str | None] = {**dict.fromkeys(old), **new}
    calls = calls_of(Random(seed), old, whole) if rng.random() < 0.9 else 0      # 0: breaks off after the save
    folder = ready(disk, old)
    disk.arm(rng.randint(1, calls) if calls else 0, fails=rng.random() < 0.15)
    broken = crashed(disk, lambda: folder.save(whole), rng.random() < 0.6)
    certain = "" if broken else "new"
    breaks = int(broken)
    for _ in range(rng.randrange(4)):
        check(disk, old, new, certain, f"seed {seed}, before recovery")
        disk.arm(rng.randint(1, 45), fails=rng.random() < 0.15)
        broken = crashed(disk, lambda: recover(disk), rng.random() < 0.6)
        breaks += broken
        if not broken:
            certain = check(disk, old, new, certain, f"seed {seed}, after a recovery")
    recover(disk)
    certain = check(disk, old, new, certain, f"seed {seed}, recovered")
    disk.power_loss()
    check(disk, old, new, certain, f"seed {seed}, power lost after recovery")
    if stray := [name for name in disk.names(JOB) if name.startswith(".")] if disk.look(JOB) else []:
        raise Broken(f"seed {seed}: {stray} left behind")
    return f"{certain} after {breaks} breaks"


def recover(disk: FrailDisk) -> None:
    report = Folder(JOB, disk=disk).recover()
    if report.torn or report.edited:
        raise Broken(f"nobody edited anything, and every record was synced: {report}")


def check(disk: FrailDisk, old: Job, new: Job, certain: str, when: str) -> str:
    """Which of the two jobs a reader sees. Errors: Broken when neither, or not the one that is certain."""
    found = seen(disk, when)
    which = "new" if found == new else "old" if found == old else "mixed"
    if which == "mixed" or (certain and which != certain):
        raise Broken(f"{when}: {which}, expected {certain or 'old or new'}: {sorted(found)}")
    return which


def seen(disk: FrailDisk, when: str) -> Job:
    try:
        return read_folder(JOB, disk=disk) if disk.look(JOB) else {}
    except InputError as problem:
        raise Broken(f"{when}: unreadable: {problem}") from None


def calls_of(rng: Random, old: Job, whole: dict[str, str | None]) -> int:
    """How many calls the save makes when nothing breaks off."""
    disk = FrailDisk(rng, HOME)
    folder = ready(disk, old)
    disk.arm(0)
    folder.save(whole)
    return disk.calls
