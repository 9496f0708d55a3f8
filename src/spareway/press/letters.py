"""Which characters the papers' own type can print, and what stands in the place of the others.

A character without a letter stops the typesetter from making an archival paper at all, so none may reach it.
"""
from __future__ import annotations

import struct
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

__all__ = ["FONTS", "INSTEAD", "fit", "letters", "strange"]

FONTS = ("LiberationSans-Regular.ttf", "LiberationSans-Bold.ttf")
INSTEAD = "□"
_BLANK = {"\n": " ", "\t": " ", "\r": " "}           # a line break in a name is a space on paper
_UNSEEN = ("Cc", "Cf", "Co", "Cn", "Zl", "Zp")
_SEGMENTS = 4                                        # the format of a character map in segments of 16 bits


@cache
def letters() -> frozenset[str]:
    """Every character that each font of the papers has a letter for; not those that print nothing by themselves."""
    folder = files("spareway.press") / "fonts"
    both = frozenset.intersection(*(frozenset(_mapped((folder / name).read_bytes())) for name in FONTS))
    return frozenset(c for c in both if unicodedata.category(c) not in _UNSEEN)


def _mapped(font: bytes) -> Iterator[str]:
    """The characters in a font's own map (OpenType cmap, format 4: no character beyond U+FFFF)."""
    table = next(_at(font, 12 + 16 * i + 8) for i in range(_short(font, 4)) if font[12 + 16 * i:16 + 16 * i] == b"cmap")
    maps = [table + _at(font, table + 4 + 8 * i + 4) for i in range(_short(font, table + 2))]
    start = next(each for each in maps if _short(font, each) == _SEGMENTS)
    twice = _short(font, start + 6)
    ends, starts = start + 14, start + 16 + twice
    deltas, offsets = starts + twice, starts + 2 * twice
    for at in range(0, twice, 2):
        shift, offset = _short(font, deltas + at), _short(font, offsets + at)
        for code in range(_short(font, starts + at), _short(font, ends + at) + 1):
            place = offsets + at + offset + 2 * (code - _short(font, starts + at))
            glyph = _short(font, place) if offset else code
            if glyph and code != 0xFFFF and (glyph + shift) % 0x10000:
                yield chr(code)


def _short(font: bytes, at: int) -> int:
    return int(struct.unpack_from(">H", font, at)[0])


def _at(font: bytes, at: int) -> int:
    return int(struct.unpack_from(">I", font, at)[0])


def fit(value: Any, seen: Counter[str]) -> Any:
    """The same plain data with a visible mark for every character that cannot be printed; `seen` counts those."""
    if isinstance(value, str):
        return _fit(value, seen)
    if isinstance(value, Mapping):
        return {key: fit(each, seen) for key, each in value.items()}
    return [fit(each, seen) for each in value] if isinstance(value, list | tuple) else value


def _fit(text: str, seen: Counter[str]) -> str:
    known = letters()
    text = unicodedata.normalize("NFC", text)           # an e and its accent are one letter where the font has it
    if known.issuperset(text):
        return text
    out = []
    for character in text:
        if character in known:
            out.append(character)
        elif character in _BLANK:
            out.append(_BLANK[character])
        else:
            seen[character] += 1
            out.append(INSTEAD)
    return "".join(out)


def strange(seen: Counter[str]) -> list[str]:
    """`U+1F600 twice`: what was not printed, and how often."""
    return [f"U+{ord(character):04X}, {many} times" if many > 1 else f"U+{ord(character):04X}"
            for character, many in sorted(seen.items())]
