"""The site built once a run and served on loopback; phones that open it. All of them on one worker: they share the site.

All end with the last test of this folder: the driver's loop still running would stand in the way of every other test that asks a
page, since a thread has one loop."""
from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, sync_playwright

from spareway.web.site import Built, build
from tests.web.hosting import Host
from tests.web.phone import KEPT, ROOT, Phone
from tests.web.stage import set_out


@pytest.fixture(scope="package")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Built]:
    """The folder of the site, and what was written."""
    into = tmp_path_factory.mktemp("site") / "site"
    return into, build(into, ROOT / "node_modules")


@pytest.fixture(scope="package")
def driver() -> Iterator[Playwright]:
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="package")
def hosting(built: tuple[Path, Built]) -> Iterator[Host]:
    host = Host(built[0])
    host.start()
    yield host
    host.stop()


@pytest.fixture
def host(hosting: Host) -> Host:
    """The site on one port, switched on, with nothing counted yet."""
    hosting.start()
    hosting.sent.clear()
    return hosting


@dataclass(frozen=True, slots=True)
class Visit:
    """The only first visit of a run, which takes ten seconds: (name, bytes) of all that was fetched, what was strange, the
    bytes of the engine's memory that it kept, and the profile, in which nobody has kept anything yet."""

    sent: list[tuple[str, int]]
    strange: list[str]
    memory_bytes: int
    profile: Path

    def copied(self, to: Path) -> Path:
        shutil.copytree(self.profile, to, ignore=shutil.ignore_patterns("Singleton*"))
        return to


@pytest.fixture(scope="package")
def visit(driver: Playwright, hosting: Host, tmp_path_factory: pytest.TempPathFactory) -> Visit:
    """A phone with empty storage opens the site once."""
    hosting.start()
    hosting.sent.clear()
    held = Phone(driver, tmp_path_factory.mktemp("visited") / "profile", hosting.url)
    held.on()
    memory_bytes = int(held.page.evaluate(KEPT))
    held.off()
    return Visit(list(hosting.sent), list(held.strange()), memory_bytes, held.profile)


@pytest.fixture(scope="package")
def stood(driver: Playwright, hosting: Host, visit: Visit, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    hosting.start()
    held = Phone(driver, visit.copied(tmp_path_factory.mktemp("standing") / "profile"), hosting.url)
    set_out(held, hosting)
    yield held
    held.off()


@pytest.fixture
def standing(stood: Phone, hosting: Host) -> Phone:
    """One phone for all tests that neither end its browser nor lean on what another left: three jobs on it, and no server.

    Whoever changes a job brings in one of its own."""
    hosting.stop()
    return stood


@pytest.fixture(scope="package")
def dying(driver: Playwright, hosting: Host, visit: Visit, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    held = Phone(driver, visit.copied(tmp_path_factory.mktemp("mortal") / "profile"), hosting.url)
    hosting.stop()
    held.on()
    yield held
    held.off()


@pytest.fixture
def mortal(dying: Phone, hosting: Host) -> Phone:
    """One phone for all tests that kill its browser or spoil what it keeps of the site. A new browser on the profile of the
    first visit, started with no server; its jobs and rows are anybody's."""
    hosting.stop()
    return dying


@pytest.fixture
def phone(driver: Playwright, host: Host, visit: Visit, tmp_path: Path) -> Iterator[Callable[..., Phone]]:
    """phone(size) gives a phone of its own that has been to the site once and keeps nothing. `.on()` switches it on; all are
    switched off in the end."""
    made: list[Phone] = []

    def make(size: tuple[int, int] = (360, 740)) -> Phone:
        made.append(Phone(driver, visit.copied(tmp_path / f"profile-{len(made)}"), host.url, size))
        return made[-1]

    yield make
    for each in made:
        each.off()
