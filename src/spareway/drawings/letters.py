"""How wide words are, so that room can be kept for them: the letter widths of Liberation Sans, which are those of Arial.

Thousandths of the letter size, rounded up, as the advance widths in the two fonts' own tables; a letter that is not
listed counts as the widest.
"""
from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

__all__ = ["in_lines", "shortened", "width"]

_PLAIN = {191: "'", 223: "ijl", 260: "|", 278: " !,./:;I[\\]ft", 334: "()-`r{}²", 355: '"', 390: "*", 400: "°", 470: "^",
          500: "Jcksvxyz", 549: "≤", 557: "#$0123456789?L_abdeghnopqu–", 577: "µ", 584: "+<=>~×", 611: "FTZ",
          667: "&ABEKPSVXY", 723: "CDHNRUw", 748: "Ω", 778: "GOQ", 834: "Mm½", 890: "%", 944: "W", 1000: "…", 1016: "@"}
_BOLD = {238: "'", 278: " ,./I\\ijl", 280: "|", 334: "!()-:;[]`ft²", 390: "*r{}", 400: "°", 475: '"', 500: "z", 549: "≤",
         557: "#$0123456789J_aceksvxy–", 577: "µ", 584: "+<=>^~×", 611: "?FLTZbdghnopqu", 667: "EPSVXY", 723: "&ABCDHKNRU",
         778: "GOQw", 802: "Ω", 834: "M½", 890: "%m", 944: "W", 976: "@", 1000: "…"}
_WIDEST = 1120
_TABLES = [{letter: units for units, letters in said.items() for letter in letters} for said in (_PLAIN, _BOLD)]


@lru_cache(4096)
def width(words: str, size: float, bold: bool = False) -> float:
    """Units that words of this size take, at most."""
    table = _TABLES[bold]
    thousandths = 0
    for letter in words:
        thousandths += table.get(letter, _WIDEST)
    return thousandths * size / 1000


def shortened(words: str, size: float, room: float, bold: bool = False) -> str:
    """The words, or as many of their letters as there is room for, with dots at the end."""
    if width(words, size, bold) <= room:
        return words
    kept = words
    while kept and width(f"{kept.rstrip()}…", size, bold) > room:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def in_lines(words: str, size: float, room: float, bold: bool = False) -> Iterator[str]:
    """The words in lines no wider than the room; a word that is wider by itself is shortened."""
    line = ""
    for word in words.split():
        longer = f"{line} {word}".strip()
        if line and width(longer, size, bold) > room:
            yield line
            longer = word
        line = shortened(longer, size, room, bold)
    yield line
