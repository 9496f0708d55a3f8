"""docs/glossary.md: every quantity the program can print."""
from __future__ import annotations

from spareway.fact import quantities

HEAD = """# Glossary

Every quantity: the name it has in files and code, what it says, its symbol, its unit. A name ends in its unit; what is
not here is not printed. Generated from `src/spareway/glossary.toml`.

| name | says | symbol | unit |
|---|---|---|---|
"""


def glossary_page() -> str:
    """The page as Markdown, by name."""
    entries = sorted(quantities(), key=lambda q: q.name)
    return HEAD + "".join(f"| `{q.name}` | {q.says} | {q.symbol} | {q.unit} |\n" for q in entries)
