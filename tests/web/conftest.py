"""The site built once a run and served on loopback; phones that open it. All of them on one worker: they share the site."""
from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, sync_playwright

from spareway.web.site import Built, build
from tests.web.hosting import Host
from tests.web.phone import KEPT, ROOT, Phone
from tests.web.stage import set_out

HERE = Path(__file__).parent


@pytest.hookimpl(tryfirst=True)             # before xdist reads the groups
def pytest_collection_modifyitems(items: Iterable[pytest.Item]) -> None:
    for item in items:
        if item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.xdist_group("phone"))


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Built]:
    """The folder of the site, and what was written."""
    into = tmp_path_factory.mktemp("site") / "site"
    return into, build(into, ROOT / "node_modules")


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
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


@pytest.fixture(scope="session")
def visited(driver: Playwright, hosting: Host, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The profile of a phone that opened the site once and kept nothing: what a fresh one becomes in ten seconds."""
    hosting.start()
    held = Phone(driver, tmp_path_factory.mktemp("visited") / "profile", hosting.url)
    held.on()
    held.page.evaluate(KEPT)
    held.off()
    return held.profile


@pytest.fixture(scope="session")
def standing(driver: Playwright, hosting: Host, visited: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    """One phone for all tests that neither end it nor lean on what another left: three jobs on it, and it needs no server."""
    profile = tmp_path_factory.mktemp("standing") / "profile"
    shutil.copytree(visited, profile, ignore=shutil.ignore_patterns("Singleton*"))
    hosting.start()
    held = Phone(driver, profile, hosting.url)
    set_out(held, hosting)
    yield held
    held.off()


@pytest.fixture
def phone(driver: Playwright, host: Host, visited: Path, tmp_path: Path) -> Iterator[Callable[..., Phone]]:
    """phone(size) gives a phone that has been to the site once and keeps nothing; fresh: one that has not been there.

    `.on()` switches it on; all are switched off in the end."""
    made: list[Phone] = []

    def make(size: tuple[int, int] = (360, 740), fresh: bool = False) -> Phone:
        profile = tmp_path / f"profile-{len(made)}"
        if not fresh:
            shutil.copytree(visited, profile, ignore=shutil.ignore_patterns("Singleton*"))
        made.append(Phone(driver, profile, host.url, size))
        return made[-1]

    yield make
    for each in made:
        each.off()
