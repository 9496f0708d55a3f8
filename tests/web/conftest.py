"""The site built once a run and served on loopback; phones that open it. All of them on one worker: they share the site."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, sync_playwright

from spareway.web.site import Built, build
from tests.web.hosting import Host
from tests.web.phone import ROOT, Phone

HERE = Path(__file__).parent


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


@pytest.fixture
def host(built: tuple[Path, Built]) -> Iterator[Host]:
    """The site on a port of its own, so that no test finds what another kept."""
    host = Host(built[0])
    host.start()
    yield host
    host.stop()


@pytest.fixture
def phone(driver: Playwright, host: Host, tmp_path: Path) -> Iterator[Callable[..., Phone]]:
    """phone(size) gives a phone with empty storage, switched on by `.on()`; all are switched off in the end."""
    made: list[Phone] = []

    def make(size: tuple[int, int] = (360, 740)) -> Phone:
        made.append(Phone(driver, tmp_path / f"profile-{len(made)}", host.url, size))
        return made[-1]

    yield make
    for each in made:
        each.off()
