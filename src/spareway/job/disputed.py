"""What two people changed, each alone, and nobody has chosen yet: kept side by side, and read as unknown.

`disputed.toml` holds each such group with every version of it. The file it stands in holds one of them only as a place in the
order of things. Where they differ in facts alone, what all say alike is read and the rest is unknown. Where they differ in how it
is wired, or in whether it is there, no fact of it is read, and whatever any version would join is an end that nobody has traced.
"""
from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from spareway.doc import Doc, Fault, InputError, is_fact, read, spell, trail
from spareway.job.fields import by_key, specs
from spareway.job.types import Parts
from spareway.job.write import inline

__all__ = ["FILE", "NOTHING", "Dispute", "agreed", "blurred", "disputes_in", "written"]

FILE = "disputed.toml"
NOTHING = ""                                  # the version of whoever took the thing away
WHY = "two people say two things of it: see disputed.toml"
HEAD = "# Changed by two people, each alone. Each is unknown until somebody chooses; what each said is kept here.\n"
_FACTS = ("number", "text", "flag", "numbers")


@dataclass(frozen=True, slots=True)
class Dispute:
    """A group of one file. `versions`: what was said of it, as TOML on one line, in order of their letters."""
    file: str
    address: str
    versions: tuple[str, ...]

    @property
    def key(self) -> str:
        return f"{self.file} {self.address}"

    @property
    def of_facts_alone(self) -> bool:
        """Whether all versions have it, wired alike, and differ only in facts of it: a length, a rating, a method."""
        at, said = trail(self.address), [value(version) for version in self.versions]
        spec = by_key(Parts).get(at[0]) if len(at) == 2 else None
        if spec is None or spec.of is None or not all(isinstance(each, dict) for each in said):
            return False
        first, *others = (_words(each, spec.of) for each in said)
        return all(each == first for each in others)


def disputes_in(files: Mapping[str, str]) -> dict[str, Dispute]:
    """Every dispute of a job, by file and address. Errors: InputError."""
    if FILE not in files:
        return {}
    doc = read(FILE, files[FILE])
    out, faults = {}, list[Fault]()
    for name, said in doc.data.get("disputed", {}).items():
        versions = said.get("versions") if isinstance(said, dict) else None
        sound = isinstance(said, dict) and isinstance(said.get("file"), str) and isinstance(said.get("address"), str) \
            and isinstance(versions, list) and all(isinstance(each, str) and _reads(each) for each in versions)
        if not sound:
            faults.append(doc.fault(("disputed", name), "", "a dispute has file, address and versions, each as TOML on one line",
                                    "leave this file to `merge`"))
        else:
            each = Dispute(said["file"], said["address"], tuple(said["versions"]))
            out[each.key] = each
    if faults:
        raise InputError(faults)
    return out


def _reads(version: str) -> bool:
    try:
        value(version)
    except tomllib.TOMLDecodeError:
        return False
    return True


def value(version: str) -> Any:
    """A version as data; None where the thing was taken away."""
    return tomllib.loads(f"v = {version}\n")["v"] if version else None


def written(disputes: Iterable[Dispute]) -> str:
    """disputed.toml; the same disputes give the same bytes."""
    parts = [HEAD]
    for each in sorted(disputes, key=lambda d: d.key):
        lines = [f"[disputed.{spell((each.key,))}]", f"file     = {inline(each.file)}", f"address  = {inline(each.address)}",
                 f"versions = {inline(sorted(each.versions))}"]
        parts.append("\n".join(lines) + "\n")
    return "\n".join(parts)


# ---- how a disputed group is read --------------------------------------------------------------------------------------------
def agreed(doc: Doc, disputes: Iterable[Dispute]) -> Doc:
    """A file in which of each thing that its versions tell apart by facts alone stands what all of them say."""
    data, known = dict(doc.data), by_key(Parts)
    for each in disputes:
        at = trail(each.address)
        if each.of_facts_alone and (of := known[at[0]].of) is not None and at[1] in data.get(at[0], {}):
            data[at[0]] = {**data[at[0]], at[1]: _agreed([value(version) for version in each.versions], of)}
    return Doc(data, doc.places)


def blurred(doc: Doc, disputes: Iterable[Dispute]) -> Doc:
    """A document of an installation in which nothing else disputed is known, and nothing of it is joined for certain."""
    data, known = dict(doc.data), by_key(Parts)
    for each in disputes:
        at = trail(each.address)
        spec = known.get(at[0]) if len(at) == 2 else None
        if spec is None or spec.of is None or each.of_facts_alone:
            continue
        versions = [v for v in map(value, each.versions) if isinstance(v, dict)]
        here = data.get(at[0], {}).get(at[1])
        if isinstance(here, dict):
            data[at[0]] = {**data[at[0]], at[1]: _unknown(here, versions, spec.of)}
        data = _loose(data, at, [*versions, *([here] if isinstance(here, dict) else [])])
    return Doc(data, doc.places)


def _words(said: Any, cls: type) -> Any:
    """What a version says beside its facts: kind, ends, way, points, what hangs where."""
    if not isinstance(said, Mapping):
        return said
    known = by_key(cls)
    out: dict[str, Any] = {}
    for key, each in said.items():
        spec = known.get(key)
        if spec is None or spec.of is None or not isinstance(each, dict) or is_fact(each):
            out |= {} if spec is not None and spec.holds in _FACTS else {key: each}
        else:
            out[key] = {name: _words(thing, spec.of) for name, thing in each.items()} if spec.holds == "tables" else \
                _words(each, spec.of)
    return out


def _agreed(versions: list[Any], cls: type) -> dict[str, Any]:
    """What all versions say alike, which differ in facts alone; every other fact of any is unknown."""
    out, known = dict(versions[0]), by_key(cls)
    for key in dict.fromkeys(key for each in versions for key in each):
        said = [each.get(key) for each in versions]
        if all(each == said[0] for each in said):
            continue
        spec = known[key]
        if spec.holds in _FACTS:
            out[key] = {"unknown": WHY}
        elif spec.of is not None:
            out[key] = _agreed(said, spec.of) if spec.holds != "tables" else {
                name: _agreed([each[name] for each in said], spec.of) for name in said[0]}
    return out


def _unknown(here: Mapping[str, Any], versions: list[Any], cls: type) -> dict[str, Any]:
    """The group with each fact of any version unknown; its words, which cannot be, as they stand."""
    out: dict[str, Any] = dict(here)
    for spec in specs(cls):
        said = [v[spec.key] for v in (here, *versions) if isinstance(v, Mapping) and spec.key in v]
        if not said:
            continue
        if spec.holds in _FACTS:
            out[spec.key] = {"unknown": WHY}
        elif spec.of is not None and isinstance(out.get(spec.key), dict):
            inner = [each for each in said if isinstance(each, dict) and not is_fact(each)]
            out[spec.key] = _unknown(out[spec.key], inner, spec.of) if spec.holds != "tables" else {
                name: _unknown(thing, [each.get(name, {}) for each in inner], spec.of) if isinstance(thing, dict) else thing
                for name, thing in out[spec.key].items()}
    return out


def _loose(data: dict[str, Any], at: tuple[str, ...], versions: list[Any]) -> dict[str, Any]:
    """The document with an end that nobody has traced wherever any version would join something."""
    ends = dict.fromkeys(_ends(data, at, versions))
    runs = dict(data.get("runs", {}))
    for number, (end, kind) in enumerate(ends, 1):
        runs[f"disputed-{at[0]}-{at[1]}-{number}"] = {"joins": [end, "?"], "kind": kind}
    return {**data, "runs": runs} if ends else data


def _ends(data: Mapping[str, Any], at: tuple[str, ...], versions: list[Any]) -> Iterator[tuple[str, str]]:
    """(end, what sort of conductor) of a run's own ends, or of the runs that land on a thing; only where they still land."""
    things = data.get("equipment", {})
    said = versions if at[0] == "runs" else [run for run in data.get("runs", {}).values() if isinstance(run, dict)]
    for run in said:
        for end in run.get("joins", ()) if isinstance(run.get("joins"), list) else ():
            thing = str(end).partition(".")[0]
            if end != "?" and thing in things and (at[0] == "runs" or at[0] == "equipment" and thing == at[1]):
                yield str(end), str(run.get("kind", "tails"))
