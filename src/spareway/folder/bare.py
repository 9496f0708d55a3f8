"""A photo with nothing in it but the picture: no place, time, maker, words or small second picture. Not a pixel is changed.

It works on the bytes alone, so that a phone and a server do the same, and a photo that is bare already stays as it is, to the
byte. Markers and segments: ITU-T T.81 (JPEG), annex B; APP0: ITU-T T.871 (JFIF); APP14: ITU-T T.872, 6.5.3; Exif: tag 0x0112.
"""
from __future__ import annotations

from collections.abc import Iterator

__all__ = ["NoPicture", "bare"]

SOI, EOI, SOS, APP0, APP1, APP14 = 0xD8, 0xD9, 0xDA, 0xE0, 0xE1, 0xEE
# what a picture is made of: frames, tables, restarts; of applications' own segments only those that say how to read its colours
_OF_THE_PICTURE = frozenset({*range(0xC0, 0xD0), *range(0xDA, 0xE0)})
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})                  # markers without a length
_JFIF, _ADOBE, _EXIF = b"JFIF\0", b"Adobe", b"Exif\0\0"
_ORIENTATION, _SHORT = 0x0112, 3


class NoPicture(ValueError):
    """These bytes are no whole JPEG."""


def bare(data: bytes) -> bytes:
    """The same picture without all that is not needed to show it; which way up it was held is kept. Errors: NoPicture."""
    if data[:2] != bytes((0xFF, SOI)):
        raise NoPicture("it does not begin as one")
    out, turned = [data[:2]], b""
    for marker, body in _segments(data):
        if marker == APP0 and body.startswith(_JFIF) and len(body) >= 14:
            out.append(_segment(APP0, body[:12] + b"\0\0"))                     # its own small picture is not kept
        elif marker == APP14 and body.startswith(_ADOBE):
            out.append(_segment(APP14, body[:12]))
        elif marker == APP1 and body.startswith(_EXIF) and not turned:
            turned = _turned(body[len(_EXIF):])
            out.append(turned)
        elif marker in _OF_THE_PICTURE:
            out.append(_segment(marker, body))
        elif marker == 0:
            out.append(body)
    return b"".join([*out, bytes((0xFF, EOI))])


def _segment(marker: int, body: bytes) -> bytes:
    return bytes((0xFF, marker)) + (len(body) + 2).to_bytes(2, "big") + body


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """(marker, what it holds) up to the end of the picture; the coded data after a scan's head, as it stands, under 0."""
    at = 2
    while True:
        if at + 2 > len(data) or data[at] != 0xFF:
            raise NoPicture("it ends too early, or holds what is no segment")
        marker = data[at + 1]
        if marker == 0xFF:                                      # a fill byte
            at += 1
        elif marker == 0:
            raise NoPicture("a marker of it is none")           # 0 stands for coded data here, and may not come in as a segment
        elif marker == EOI:
            return                                              # whatever follows is no part of it
        elif marker in _ALONE:
            at += 2
        else:
            size = int.from_bytes(data[at + 2:at + 4], "big")
            if size < 2 or at + 2 + size > len(data):
                raise NoPicture("a segment of it is not whole")
            yield marker, data[at + 4:at + 2 + size]
            at += 2 + size
            if marker == SOS:
                end = _scan_end(data, at)
                yield 0, data[at:end]
                at = end


def _scan_end(data: bytes, at: int) -> int:
    """Where the coded data of a scan ends: at the next marker that is no restart."""
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 1 == len(data):
            raise NoPicture("it ends too early")
        if data[at + 1] not in (0, 0xFF) and not 0xD0 <= data[at + 1] <= 0xD7:
            return at
        at += 1 if data[at + 1] == 0xFF else 2


def _turned(tiff: bytes) -> bytes:
    """A segment that says which way up, and nothing else; nothing where it was held upright, or does not say."""
    order = {b"II*\0": "little", b"MM\0*": "big"}.get(tiff[:4])
    if order is None:
        return b""

    def number(at: int, size: int) -> int:
        return int.from_bytes(tiff[at:at + size], "little" if order == "little" else "big")

    first = number(4, 4)
    for at in range(first + 2, min(first + 2 + 12 * number(first, 2), len(tiff) - 11), 12):
        if number(at, 2) == _ORIENTATION and number(at + 2, 2) == _SHORT and 2 <= number(at + 8, 2) <= 8:
            one = (_ORIENTATION, 2), (_SHORT, 2), (1, 4), (number(at + 8, 2), 2), (0, 2), (0, 4)
            return _segment(APP1, _EXIF + b"MM\0*\0\0\0\x08\0\x01" + b"".join(n.to_bytes(size, "big") for n, size in one))
    return b""
