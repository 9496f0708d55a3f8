"""Two people, one job, no signal: what each did apart, made one again against the state they both began from.

Rows are joined, none is lost. Tables are joined by group, a group being one thing with all its facts: a circuit with its device,
cable, length and method. A group that both changed is disputed: unknown until a person chooses, and every version is kept.
No clock decides, and the two may be given in either order.
"""
from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from spareway.doc import Doc, Fault, InputError, looked_at, nearest, spell, trail
from spareway.job.disputed import FILE, NOTHING, Dispute, disputes_in, value, written
from spareway.job.rows import ROW_FILES, header, read_rows
from spareway.job.write import flat, inline

__all__ = ["Merged", "Side", "choose", "merge", "sides", "who_said"]

Files = Mapping[str, str]
Row = Mapping[str, str]
# of job.toml these hold named things; every other key of it is a group of its own
NAMED_IN_JOB = ("permissions", "decisions", "replies", "enquiries", "operators", "doorstep", "dates", "books")


@dataclass(frozen=True, slots=True)
class Merged:
    """A job made one again: its files, what nobody has chosen yet, and how many rows and groups the two brought."""
    files: dict[str, str]
    disputes: tuple[Dispute, ...]
    rows_n: int
    groups_n: int


def merge(base: Files, mine: Files, theirs: Files) -> Merged:
    """One job out of two, both begun from `base`: relative name -> text. The same result for (mine, theirs) and (theirs, mine).

    Errors: InputError with every fault of the three, where one of them cannot be read."""
    out: dict[str, str] = {}
    disputes: list[Dispute] = []
    rows_n = groups_n = 0
    names = sorted({*base, *mine, *theirs} - {FILE})
    known = [disputes_in(files) for files in (base, mine, theirs)]
    for name in names:
        if name.rpartition("/")[2] in ROW_FILES:
            text, n = _rows(name, *(files.get(name, "") for files in (base, mine, theirs)))
            rows_n += n
            out[name] = text
        elif name.endswith(".toml"):
            joined, own, n = _table(name, (base.get(name), mine.get(name), theirs.get(name)), known)
            disputes += own
            groups_n += n
            out |= {name: joined} if joined is not None else {}
        else:
            whole = _whole(name, base.get(name), mine.get(name), theirs.get(name))
            out |= {name: whole} if whole is not None else {}
    if disputes:
        out[FILE] = written(disputes)
    return Merged(out, tuple(sorted(disputes, key=lambda d: d.key)), rows_n, groups_n)


def choose(files: Files, key: str, version: int) -> dict[str, str]:
    """The files with one dispute settled: its group as that version has it, whole. Errors: InputError."""
    held = disputes_in(files)
    if key not in held:
        raise InputError([Fault(FILE, None, key, key, "nothing of this name is disputed", ", ".join(held), nearest(key, held))])
    chosen = held.pop(key)
    if not 0 <= version < len(chosen.versions):
        raise InputError([Fault(FILE, None, key, str(version), "there is no such version", f"0 to {len(chosen.versions) - 1}")])
    text = _with_groups(chosen.file, files[chosen.file], {chosen.address: value(chosen.versions[version])})
    out = {**files, chosen.file: text, FILE: written(held.values())}
    if not held:
        del out[FILE]
    return out


def _whole(name: str, base: str | None, mine: str | None, theirs: str | None) -> str | None:
    """A file that has no parts to join, such as a log: whoever changed it, or a fault where both did."""
    if mine == theirs or theirs == base:
        return mine
    if mine == base:
        return theirs
    raise InputError([Fault(name, None, "", name, "both changed this file, and it has no parts to join",
                            "give one of them another name")])


# ---- who said which ----------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Side:
    """What the rows of one of two copies tell of it: who added rows there since both began, and the minute of the last."""
    by: tuple[str, ...]
    last: str

    def told(self) -> str:
        """In words: who, and up to when; or that nobody is named."""
        if not self.by:
            return "no row of its own, so nobody is named"
        return f"{' and '.join(self.by)}, {f'last row {self.last}' if self.last else 'no row since both began'}"


def sides(base: Files, mine: Files, theirs: Files) -> tuple[Side, Side]:
    """Who was at work on either copy. A line of TOML carries no name; rows do, and a copy is one phone's. Errors: InputError."""
    begun = {_content(row) for row in _all_rows(base)}
    out = []
    for files in (mine, theirs):
        added = [row for row in _all_rows(files) if _content(row) not in begun]
        out.append(Side(tuple(sorted({row["by"] for row in added})), max((row["at"] for row in added), default="")))
    return out[0], out[1]


def who_said(dispute: Dispute, mine: Files, theirs: Files) -> tuple[tuple[bool, bool], ...]:
    """Of each version of a dispute, in order: whether mine says it, whether theirs does. Neither where it came with an earlier
    dispute that one of them held."""
    says = [_version(_groups(dispute.file, files.get(dispute.file)).get(dispute.address)) for files in (mine, theirs)]
    held = [dispute.key in disputes_in(files) for files in (mine, theirs)]
    return tuple((not held[0] and version == says[0], not held[1] and version == says[1]) for version in dispute.versions)


def _all_rows(files: Files) -> Iterator[dict[str, str]]:
    return (row for name, text in files.items() if name.rpartition("/")[2] in ROW_FILES for row in _cells(text))


# ---- rows ---------------------------------------------------------------------------------------------------------------------
def _rows(name: str, base: str, mine: str, theirs: str) -> tuple[str, int]:
    """All rows of the three, each once: the base's first, then what was added, by time and name; and how many were added."""
    if mine == theirs:
        return mine, 0
    faults: list[Fault] = []
    for text in dict.fromkeys((base, mine, theirs)):
        faults += read_rows(name, text, ROW_FILES[name.rpartition("/")[2]])[1] if text else ()
    if faults:
        raise InputError(faults)
    first, ours, others = _cells(base), _cells(mine), _cells(theirs)
    begun = {_content(row): row for row in first}
    clash = _clashing(first, ours, others)
    added = {_content(row): row for rows in (ours, others) for row in _renamed(rows, clash) if _content(row) not in begun}
    columns = list(header(ROW_FILES[name.rpartition("/")[2]]))
    ordered = [*first, *_in_order(added.values(), {row["id"] for row in first})]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([row.get(column, "") for column in columns] for row in ordered)
    return out.getvalue(), len(added)


def _cells(text: str) -> list[dict[str, str]]:
    rows = [row for row in csv.reader(text.removeprefix("\ufeff").splitlines()) if row]
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


def _content(row: Row) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((column, cell) for column, cell in row.items() if cell))


def _clashing(*sides: list[dict[str, str]]) -> set[str]:
    """Ids under which different rows stand: on two phones, or because somebody changed a row by hand; and those of rows that an
    earlier joining gave another name, so that the same zip joined twice is joined once."""
    seen: dict[str, set[tuple[tuple[str, str], ...]]] = {}
    for rows in sides:
        for row in rows:
            seen.setdefault(row["id"], set()).add(_content(row))
    renamed = {row["id"] for rows in sides for row in rows if f"{row['id']}-{_digest(row)}" in seen}
    return renamed | {own for own, contents in seen.items() if len(contents) > 1}


def _renamed(rows: list[dict[str, str]], clash: set[str]) -> Iterator[dict[str, str]]:
    """Each row with a clashing id under a name made of what it says, and so the same on both phones; strikes follow it."""
    names = {row["id"]: f"{row['id']}-{_digest(row)}" for row in rows if row["id"] in clash}
    for row in rows:
        yield {**row, "id": names.get(row["id"], row["id"]), **({"strikes": names.get(row["strikes"], row["strikes"])}
                                                               if row.get("strikes") else {})}


def _digest(row: Row) -> str:
    from hashlib import sha256
    return sha256(repr(_content(row)).encode()).hexdigest()[:8]


def _in_order(rows: Any, above: set[str]) -> Iterator[dict[str, str]]:
    """By time, then name; a row that strikes another stands below it."""
    left = sorted(rows, key=lambda row: (row.get("at", ""), row["id"], _content(row)))
    above = set(above)
    while left:
        ready = next((row for row in left if not row.get("strikes") or row["strikes"] in above), left[0])
        left.remove(ready)
        above.add(ready["id"])
        yield ready


# ---- tables -------------------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class _State:
    """What one side says of a group: a value (None: there is none), or the versions that it found disputed."""
    value: Any = None
    versions: frozenset[str] = frozenset()

    def said(self) -> frozenset[str]:
        return self.versions or frozenset([_version(self.value)])


def _version(value: Any) -> str:
    return NOTHING if value is None else " ".join(inline(value).split("\n"))


Three = tuple[str | None, str | None, str | None]       # a file as it was, and on either side


def _table(name: str, texts: Three, known: list[dict[str, Dispute]]) -> tuple[str | None, list[Dispute], int]:
    """A file joined group by group: its text, its disputes, how many groups differ from the base."""
    sides = [_groups(name, text) for text in texts]
    addresses = dict.fromkeys(a for groups in sides for a in groups) | dict.fromkeys(
        d.address for held in known for d in held.values() if d.file == name)
    wanted: dict[str, Any] = {}
    disputes: list[Dispute] = []
    for address in addresses:
        first, ours, others = (_state(groups, held, name, address) for groups, held in zip(sides, known, strict=True))
        if ours == others or others == first:
            now = ours
        elif ours == first:
            now = others
        else:
            now = _State(first.value, ours.said() | others.said())
        if now.versions:
            disputes.append(Dispute(name, address, tuple(sorted(now.versions))))
        wanted[address] = _held(now, first)
    differ = [a for a in addresses if wanted[a] != sides[0].get(a)]
    return _text(name, texts, wanted), disputes, len(differ)


def _state(groups: Mapping[str, Any], held: Mapping[str, Dispute], name: str, address: str) -> _State:
    dispute = held.get(f"{name} {address}")
    return _State(groups.get(address), frozenset(dispute.versions) if dispute else frozenset())


def _held(now: _State, first: _State) -> Any:
    """What stands in the file: of a disputed group the base's, or the first of its versions; its facts are not read."""
    if not now.versions:
        return now.value
    return first.value if first.value is not None else value(min(v for v in now.versions if v))


def _groups(name: str, text: str | None) -> dict[str, Any]:
    """Address -> value of every group of a file. Errors: InputError."""
    out: dict[str, Any] = {}
    for key, said in (looked_at(name, text).data if text is not None else {}).items():
        named = isinstance(said, dict) and (name != "job.toml" or key in NAMED_IN_JOB)
        if named:
            out |= {spell((key, each)): thing for each, thing in said.items()}
        else:
            out[spell((key,))] = said
    return out


def _text(name: str, texts: Three, wanted: Mapping[str, Any]) -> str | None:
    """The text of a joined file: a person's own, comments and all, wherever one of the three says just what is wanted."""
    base, mine, theirs = texts
    left = {address: said for address, said in wanted.items() if said is not None}
    own = [text for text in texts if text is not None and _groups(name, text) == left]
    if own:
        return mine if mine in own and theirs not in own else theirs if theirs in own and mine not in own else min(own)
    if not left:
        return None
    start = base if base is not None else min(t for t in (mine, theirs) if t is not None)
    return _with_groups(name, start, wanted)


def _with_groups(name: str, text: str, wanted: Mapping[str, Any]) -> str:
    """The text with these groups as they shall be (None: none), every other line as it was where that can be done."""
    now = _groups(name, text)
    for address in sorted(wanted):
        if wanted[address] != now.get(address):
            text = _with_group(name, text, address, wanted[address])
    final = {**now, **wanted}
    if _groups(name, text) != {a: v for a, v in final.items() if v is not None}:
        return flat(_nested({a: v for a, v in final.items() if v is not None}))       # written anew: its comments are not kept
    return text


def _with_group(name: str, text: str, address: str, wanted: Any) -> str:
    """One group written in the place of what stood there, or at the end."""
    doc, at, lines = looked_at(name, text), trail(address), text.split("\n")
    own = sorted({n - 1 for trail_, (_, n) in doc.places.items() if trail_[:len(at)] == at})
    new = [] if wanted is None else _lines(at, wanted)
    if not own:
        return "\n".join([text.rstrip("\n"), "", *new, ""]) if new else text
    end = _end(doc, at, own, lines)
    headed = lines[own[0]].lstrip().startswith("[")
    if not headed and new:
        new = [f"{spell(at[-1:])} = {inline(wanted)}"]
    return "\n".join([*lines[:own[0]], *new, *lines[end:]])


def _end(doc: Doc, at: tuple[str, ...], own: list[int], lines: list[str]) -> int:
    """The first line after a group: where the next thing starts, less the comments that belong to it."""
    others = (n - 1 for trail_, (_, n) in doc.places.items() if trail_ and trail_[:len(at)] != at and n - 1 > own[-1])
    following = min(others, default=len(lines))
    while following - 1 > own[-1] and (not lines[following - 1].strip() or lines[following - 1].lstrip().startswith(("#", "["))):
        following -= 1
    return following


def _lines(at: tuple[str, ...], wanted: Any) -> list[str]:
    if not isinstance(wanted, dict) or len(at) == 1:
        return [f"{spell(at[-1:])} = {inline(wanted)}"]
    return [f"[{spell(at)}]", *(f"{spell((key,))} = {inline(each)}" for key, each in wanted.items())]


def _nested(groups: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for address, said in groups.items():
        at = trail(address)
        if len(at) == 1:
            out[at[0]] = said
        else:
            out.setdefault(at[0], {})[at[1]] = said
    return out
