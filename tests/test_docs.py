"""Generated pages on disk are what would be generated now."""
from __future__ import annotations

from pathlib import Path

from tools.build_docs import pages, stale


def test_no_generated_page_is_stale() -> None:
    """`make docs` would change nothing."""
    assert stale(pages()) == []


def test_a_stale_and_a_missing_page_are_seen(tmp_path: Path) -> None:
    """A page edited by hand and one never written are both named; one that agrees is not."""
    (tmp_path / "kinds.md").write_text("as made\n")
    (tmp_path / "rules.md").write_text("edited by hand\n")
    made = {"kinds.md": "as made\n", "rules.md": "as made\n", "tables.md": "as made\n"}
    assert stale(made, tmp_path) == ["rules.md", "tables.md"]
