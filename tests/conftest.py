"""Which tests are not traced: those of rooms that coverage does not count, and long searches over what others cover.

Tracing makes a drawing three times as slow; these tests run all the same, only nothing they reach is counted as covered."""
from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest

HERE = Path(__file__).parent
NOT_TRACED = ("drawings", "folder", "papers", "properties", "survey", "web")


def pytest_collection_modifyitems(items: Iterable[pytest.Item]) -> None:
    for item in items:
        if item.path.is_relative_to(HERE) and item.path.relative_to(HERE).parts[0] in NOT_TRACED:
            item.add_marker(pytest.mark.no_cover)
