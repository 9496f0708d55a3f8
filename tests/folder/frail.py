"""A disk in memory that breaks off at a chosen call, as a killed program or a lost supply would leave it.

What is not synced may be lost: a file's bytes by any part (cut short, holes, blocks of rubbish), names made, renamed or
removed in a folder one by one, in order or not.
"""
from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from spareway.folder.disk import Disk, Look

BLOCK_BYTES = 16


class Crash(BaseException):
    """The end of the process: nothing may catch it."""


@dataclass(eq=False)
class Node:
    """A file. `safe` is what survives for certain; None when it was never synced."""
    data: bytes = b""
    safe: bytes | None = None
    mode: int = 0o644
    age: int = 0


@dataclass(eq=False)
class Names:
    """A folder: its names now, those that survive for certain, and what was done to them since, in order."""
    now: dict[str, Node | Names] = field(default_factory=dict)
    safe: dict[str, Node | Names] = field(default_factory=dict)
    since: list[Step] = field(default_factory=list)

    def do(self, step: Step) -> None:
        step.on(self.now)
        self.since.append(step)


@dataclass(frozen=True, eq=False)
class Step:
    """A node loses one name, "" for none, and takes another."""
    node: Node | Names
    old: str
    new: str

    def on(self, names: dict[str, Node | Names], half: bool = False) -> None:
        if not half and names.get(self.old) is self.node:
            del names[self.old]
        if self.new:
            names[self.new] = self.node


class FrailDisk(Disk):
    """Breaks off at the n-th call counted from `arm(n)`; 0 never. `fails` raises an OSError there instead, once."""

    def __init__(self, rng: Random, home: Path) -> None:
        self.rng, self.home, self.root = rng, home, Names()
        self.calls = self.at = 0
        self.dead = self.fails = False

    def arm(self, at: int, fails: bool = False) -> None:
        self.calls, self.at, self.dead, self.fails = 0, at, False, fails

    def _call(self) -> bool:
        """Whether the process ends during this call."""
        if self.dead:
            raise Crash
        self.calls += 1
        if self.calls != self.at:
            return False
        if self.fails:
            raise OSError(28, "no space left on device")
        self.dead = True
        return True

    def _before(self) -> None:
        if self._call():
            if self.rng.random() < 0.5:
                raise Crash
            self.at = -1                                    # the call is still done; its caller never hears of it

    def _after(self) -> None:
        if self.dead:
            raise Crash

    def _find(self, path: Path) -> Node | Names | None:
        node: Node | Names | None = self.root
        for part in path.parts[len(self.home.parts):]:
            node = node.now.get(part) if isinstance(node, Names) else None
        return node

    def _there(self, path: Path) -> Node | Names:
        found = self._find(path)
        if found is None:
            raise FileNotFoundError(2, "no such file", str(path))
        return found

    def _folder(self, path: Path) -> Names:
        found = self._find(path)
        if not isinstance(found, Names):
            raise NotADirectoryError(str(path))
        return found

    # ---- the calls ------------------------------------------------------------------------------------------------
    def names(self, folder: Path) -> list[str]:
        self._before()
        self._after()
        return sorted(self._folder(folder).now)

    def look(self, path: Path) -> Look | None:
        self._before()
        self._after()
        found = self._find(path)
        if found is None:
            return None
        if isinstance(found, Names):
            return Look("folder", 0, 0o755, (id(found),))
        return Look("file", len(found.data), found.mode, (id(found), found.age))

    def real(self, path: Path) -> Path:
        return path

    def read(self, path: Path, at_most_bytes: int) -> bytes:
        self._before()
        self._after()
        found = self._find(path)
        if not isinstance(found, Node):
            raise FileNotFoundError(2, "no such file", str(path))
        return found.data[:at_most_bytes + 1]

    def write(self, path: Path, data: bytes, mode: int | None = None) -> None:
        folder = self._folder(path.parent)
        cut = self.rng.randrange(len(data) + 1) if self._call() else len(data)
        found = folder.now.get(path.name)
        if not isinstance(found, Node):
            found = Node(mode=0o644 if mode is None else mode)
            folder.do(Step(found, "", path.name))
        found.data, found.age = data[:cut], found.age + 1
        self._after()

    def sync(self, path: Path) -> None:
        self._before()
        found = self._find(path)
        assert isinstance(found, Node)
        found.safe = found.data
        self._after()

    def sync_folder(self, folder: Path) -> None:
        self._before()
        found = self._folder(folder)
        found.safe, found.since = dict(found.now), []
        self._after()

    def rename(self, old: Path, new: Path) -> None:
        assert old.parent == new.parent
        self._before()
        self._folder(old.parent).do(Step(self._there(old), old.name, new.name))
        self._after()

    def remove(self, path: Path) -> None:
        self._before()
        self._folder(path.parent).do(Step(self._there(path), path.name, ""))
        self._after()

    def make_folder(self, path: Path) -> None:
        self._before()
        self._folder(path.parent).do(Step(Names(), "", path.name))
        self._after()

    @contextmanager
    def locked(self, path: Path) -> Iterator[None]:
        self._before()
        self._after()
        yield

    # ---- what is left ---------------------------------------------------------------------------------------------
    def power_loss(self) -> None:
        """Only what was synced is certain; everything else is as the dice fall."""
        self._lose(self.root, ordered=self.rng.random() < 0.5)

    def _lose(self, folder: Names, ordered: bool) -> None:
        names = dict(folder.safe)
        left = self.rng.randrange(len(folder.since) + 1) if ordered else len(folder.since)
        for step in folder.since[:left]:
            if ordered or self.rng.random() < 0.5:
                step.on(names, half=bool(step.new) and not ordered and self.rng.random() < 0.2)
        folder.now, folder.safe, folder.since = names, dict(names), []
        for each in {id(each): each for each in names.values()}.values():       # one node may have two names
            if isinstance(each, Names):
                self._lose(each, ordered)
            else:
                each.data = each.safe = self._torn(each)

    def _torn(self, node: Node) -> bytes:
        if node.data == node.safe or self.rng.random() < 0.2:
            return node.data
        old = node.safe or b""
        size = self.rng.choice((len(old), len(node.data), self.rng.randrange(len(node.data) + 1)))
        blocks = []
        for start in range(0, size, BLOCK_BYTES):
            blocks.append(self.rng.choice((
                node.data[start:start + BLOCK_BYTES].ljust(BLOCK_BYTES, b"\0"),
                old[start:start + BLOCK_BYTES].ljust(BLOCK_BYTES, b"\0"), bytes(BLOCK_BYTES),
                self.rng.randbytes(BLOCK_BYTES))))
        return b"".join(blocks)[:size]
