"""Which tests are not traced: those of rooms that coverage does not count, and long searches over what others cover.

Tracing makes a drawing three times as slow, and a compiler twice; these tests run all the same, only nothing they reach is counted as
covered. And which worker runs what, where there are several: the tests of a file are one piece, since they share what is made for them;
so are those of the phone, which share a site and browsers, those of the papers, which share what is set in type, and those for which
winters are compiled: it takes longer than all they then do. The longest pieces are begun first, so that no worker waits at the end."""
from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
NOT_TRACED = ("cli", "drawings", "folder", "papers", "properties", "readings", "season", "survey", "web",
              "test_checks.py", "test_house.py", "test_imports.py")
COMPILED = ("test_compiled_is_plain", "test_compiled_every_winter_asked_for_is_lived")
SEARCHES = (*COMPILED, "test_random_histories", "test_three_phones_in_any_order", "test_never_a_better_verdict_than_both",
            "test_a_hundred_thousand_printed_lines_key_back_in", "test_a_hundred_homes_at_random_are_answered_as_by_plain_numbers",
            "test_a_hundred_files_of_answers_at_random_are_read_as_by_hand")
LONG = ("phone", "papers", "tests/job/test_merge.py", "compiled", "tests/drawings/test_intake.py", "tests/properties/test_deleting.py",
        "tests/cli/test_schemas.py", "tests/test_fact.py", "tests/wiring/test_full_search.py", "tests/cli/test_check.py",
        "tests/readings/test_no_peeking.py", "tests/test_checks.py")           # the longest first, as they were measured


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    order = {piece: at for at, piece in enumerate(LONG)}
    items.sort(key=lambda item: order.get(piece_of(item.nodeid), len(LONG)))
    for item in items:
        room = item.path.relative_to(HERE).parts[0] if item.path.is_relative_to(HERE) else ""
        if room in NOT_TRACED or item.name.partition("[")[0] in SEARCHES:
            item.add_marker(pytest.mark.no_cover)


@pytest.hookimpl(optionalhook=True)         # asked only where several workers share the run
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Whole pieces go to a worker, in the order that the tests were put in.

    Its own marks of groups are lost: it writes them where this pytest no longer reads them."""
    from xdist.scheduler import LoadScopeScheduling

    class Pieces(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return piece_of(nodeid)

    return Pieces(config, log)


def piece_of(nodeid: str) -> str:
    """What goes to one worker together with a test."""
    rooms = {"tests/web/": "phone", "tests/papers/": "papers"}
    room = next((name for folder, name in rooms.items() if nodeid.startswith(folder)), "")
    return room or ("compiled" if nodeid.rpartition("::")[2] in COMPILED else nodeid.partition("::")[0])
