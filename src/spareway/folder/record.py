"""The redo record: every new text of one save with the digest of what it replaces, and a checksum over all of it."""
from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from spareway.doc import Fault, InputError
from spareway.folder.names import RECORD, plain

__all__ = ["Change", "Settled", "Torn", "decode", "digest", "encode", "settle"]

_WORD, _VERSION = b"spareway-redo", b"1"


class Torn(ValueError):
    """A record that was not written to its end, or has changed since."""


@dataclass(frozen=True, slots=True)
class Change:
    """One file of a save: the digest of its old bytes and its new bytes; None where there is no file."""
    name: str
    old: str | None
    new: bytes | None


@dataclass(frozen=True, slots=True)
class Settled:
    """What a record asks for now: files still to write (None: remove), and changes to files edited since."""
    write: Mapping[str, bytes | None]
    edited: tuple[Change, ...]


def digest(data: bytes | None) -> str | None:
    """SHA-256 in hex; None for no file."""
    from hashlib import sha256

    return None if data is None else sha256(data).hexdigest()


def encode(changes: Sequence[Change]) -> bytes:
    """The record as bytes: a line with version and checksum, then JSON."""
    import json

    body = json.dumps([[each.name, each.old, None if each.new is None else each.new.decode("utf-8")]
                       for each in changes], ensure_ascii=False).encode("utf-8")
    return b" ".join((_WORD, _VERSION, _checksum(_VERSION, body))) + b"\n" + body


def decode(raw: bytes) -> tuple[Change, ...]:
    """The changes of a record. Errors: Torn; InputError for a whole record that this program may not carry out."""
    import json

    head, _, body = raw.partition(b"\n")
    words = head.split(b" ")
    if len(words) != 3 or words[0] != _WORD or words[2] != _checksum(words[1], body):
        raise Torn("the checksum of the record does not agree")
    if words[1] != _VERSION:
        raise _unusable(words[1].decode("ascii", "replace"), "an interrupted save of a newer version of this program",
                        "open the folder with that version")
    changes = tuple(Change(name, old, None if new is None else new.encode("utf-8"))
                    for name, old, new in json.loads(body))
    if strange := [each.name for each in changes if not plain(each.name)]:
        raise _unusable(strange[0], "an interrupted save names a file that no job holds",
                        "remove the record if it is not yours")
    return changes


def settle(changes: Sequence[Change], now: Mapping[str, bytes], strange: Collection[str] = ()) -> Settled:
    """What is left to do, given the bytes that are there now. A file that is neither as it was nor as it should be, or
    is `strange` (now a link, a folder, too large), was edited after the crash and is not written over."""
    write: dict[str, bytes | None] = {}
    edited = []
    for each in changes:
        held = now.get(each.name)
        if each.name in strange:
            edited.append(each)
        elif held == each.new:
            continue
        elif digest(held) == each.old:
            write[each.name] = each.new
        else:
            edited.append(each)
    return Settled(write, tuple(edited))


def _checksum(version: bytes, body: bytes) -> bytes:
    return (digest(version + b"\n" + body) or "").encode("ascii")


def _unusable(read: str, says: str, allowed: str) -> InputError:
    return InputError([Fault(RECORD, None, "", read, says, allowed)])
