"""Write the generated pages: every function `<name>_page() -> str` of a `tools/docs_*.py` gives `docs/<name>.md`.

A page lists what the code and its tables hold, so it is never edited; a test fails when one on disk is stale.
"""
from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"


def pages(tools: Path = ROOT / "tools") -> dict[str, str]:
    """File name to text of every generated page. ValueError when two tools give the same page."""
    found: dict[str, str] = {}
    for file in sorted(tools.glob("docs_*.py")):
        module = import_module(f"tools.{file.stem}")
        for name in sorted(vars(module)):
            page = getattr(module, name)
            if name.endswith("_page") and page.__module__ == module.__name__:
                target = f"{name.removesuffix('_page')}.md"
                if target in found:
                    raise ValueError(f"two tools give docs/{target}")
                found[target] = page()
    return found


def stale(made: dict[str, str], docs: Path = DOCS) -> list[str]:
    """The pages whose file is missing or differs from what was made."""
    return [name for name, text in made.items()
            if not (docs / name).is_file() or (docs / name).read_text(encoding="utf-8") != text]


def main() -> None:
    sys.path[:0] = [str(ROOT), str(ROOT / "src")]
    made = pages()
    for name in stale(made):
        (DOCS / name).write_text(made[name], encoding="utf-8")
        print(f"docs/{name}")


if __name__ == "__main__":
    main()
