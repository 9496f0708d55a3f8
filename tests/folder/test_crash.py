"""A save that breaks off anywhere leaves the whole old job or the whole new one; once it has returned, the new one."""
from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest

from spareway.folder import Folder, read_folder
from spareway.folder.names import RECORD
from tests.folder.crashes import HOME, JOB, Broken, one
from tests.folder.frail import Crash, FrailDisk

SRC = Path(__file__).parents[2] / "src"


def test_a_thousand_crashes_lose_and_mix_nothing() -> None:
    """By seed: kills, power losses and failing calls in save and recovery; every kind of end comes up often."""
    ends = Counter(one(seed) for seed in range(1000))
    assert ends.total() == 1000
    broken = {end: n for end, n in ends.items() if not end.endswith(" 0 breaks")}
    assert min(sum(n for end, n in broken.items() if end.startswith(which)) for which in ("old", "new")) > 200
    assert sum(n for end, n in broken.items() if end[-8] in "23456") > 200


class NeverSyncs(FrailDisk):
    def sync(self, path: Path) -> None:
        self._call()
        self._after()


class NeverSyncsNames(FrailDisk):
    """Nothing but the first two, which make the job's own folder last."""

    def sync_folder(self, folder: Path) -> None:
        if folder == HOME:
            super().sync_folder(folder)
        self._call()
        self._after()


class ForgetsTheRecord(FrailDisk):
    """As if files were replaced one by one."""

    def rename(self, old: Path, new: Path) -> None:
        if "redo" in new.name:
            new = new.with_name("nothing-of-ours")
        super().rename(old, new)

    def remove(self, path: Path) -> None:
        if "redo" not in path.name:
            super().remove(path)


@pytest.mark.parametrize("disk_of", [NeverSyncs, NeverSyncsNames, ForgetsTheRecord])
def test_the_check_can_fail(disk_of: Callable[[Random, Path], FrailDisk]) -> None:
    """Without syncing bytes, syncing names or a record, some of the same crashes do lose or mix a job."""
    failed = 0
    for seed in range(150):
        try:
            one(seed, disk_of)
        except Broken:
            failed += 1
    assert failed > 5


CHILD = """
import sys
from spareway.folder import Folder
folder = Folder(sys.argv[1])
now = folder.read()
n = int(now["job.toml"].split()[-1])
while True:
    n += 1
    folder.save({name: f"# {name} {'x' * (n * 997 % 5000)} {n}" for name in now})
    print(n, flush=True)
"""


def generations(job: Path) -> set[int]:
    return {int(text.split()[-1]) for text in read_folder(job).values()}


def test_a_real_kill_leaves_one_job(tmp_path: Path) -> None:
    """kill -9 of a process that saves without pause, 20 times: the job last reported as saved, or the one after it."""
    job = tmp_path / "job"
    Folder(job).save({name: f"# {name} 0" for name in ("job.toml", "found.toml", "readings.csv", "logs/a.csv")})
    rng, interrupted = Random(7), 0
    for _ in range(20):
        child = subprocess.Popen([sys.executable, "-c", CHILD, str(job)], stdout=subprocess.PIPE, text=True,
                                 env={**os.environ, "PYTHONPATH": str(SRC)})
        assert child.stdout is not None
        with child.stdout as said:
            first = said.readline()
            time.sleep(rng.uniform(0, 0.03))
            child.send_signal(signal.SIGKILL)
            child.wait()
            saved = int((first + said.read()).split()[-1])
        before = generations(job)
        folder = Folder(job)
        report = folder.recover()
        assert before == generations(job)
        assert before in ({saved}, {saved + 1})
        assert (report.edited, report.torn) == ((), "")
        assert [each.name for each in job.rglob(".spareway-*")] == [".spareway-lock"]
        interrupted += before == {saved + 1}
    assert saved >= 20
    assert interrupted > 0


def test_an_edit_after_a_crash_stands() -> None:
    """By seed: after a crash one file is edited; recovery leaves the edit, keeps the text of the save, says both."""
    pending = 0
    for seed in range(200):
        disk = FrailDisk(Random(seed), HOME)
        folder = Folder(JOB, disk=disk)
        folder.save({"job.toml": "old job", "found.toml": "old", "work.toml": "old work"})
        disk.arm(Random(seed).randint(10, 45))
        with suppress(Crash):
            folder.save({"job.toml": "new job", "found.toml": "new", "work.toml": None})
        disk.arm(0)
        edited = ("job.toml", "work.toml")[seed % 2]
        disk.write(JOB / edited, b"by hand")
        was_pending = disk.look(JOB / RECORD) is not None
        after = Folder(JOB, disk=disk)
        assert after.read()[edited] == "by hand"
        if was_pending:
            pending += 1
            assert after.read()["found.toml"] == "new"
            [(name, beside)] = after.recovered.edited
            assert name == edited
            assert name in str(after.recovered)
            assert beside == (f"job.toml.kept-{sha256(b'new job').hexdigest()[:8]}" if edited == "job.toml" else "")
            assert not beside or disk.read(JOB / beside, 100) == b"new job"
            assert beside in str(after.recovered)
    assert pending > 30
