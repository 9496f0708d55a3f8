"""A job: its files read, laid over one another and checked. Texts in, frozen things out; a path never gets in here."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, TypeVar

from spareway.doc import ANOTHER, Doc, Fault, InputError, Trail, is_fact, nearest, over, read, spell, trail
from spareway.job import refs
from spareway.job.disputed import Dispute, agreed, blurred, disputes_in
from spareway.job.fields import Spec, by_key, specs
from spareway.job.read import Faults, build, hidden_characters
from spareway.job.rows import Event, Observation, Photo, Reading, never_nought, read_rows, standing
from spareway.job.second_look import looked_at_again
from spareway.job.types import STAGES, Instrument, JobFile, Kit, Parts, People

T = TypeVar("T")
SCHEMA = 1
FILES = ("job.toml", "people.toml", "premises.toml", "found.toml", "work.toml", "fitted.toml", "kit.toml", "quote.toml",
         "readings.csv", "observations.csv", "events.csv", "photos.csv", "disputed.toml")
NOT_PARTS = ("job.toml", "people.toml", "kit.toml", "quote.toml", "disputed.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Installation(Parts):
    """One state of the premises: as found, as proposed or as fitted. `doc` knows who said what."""
    stage: str = "found"
    doc: Doc = field(default_factory=lambda: Doc({}))
    about: JobFile = field(default_factory=JobFile)
    readings: tuple[Reading, ...] = ()
    observations: tuple[Observation, ...] = ()
    disputes: tuple[Dispute, ...] = ()                 # of this stage: what two people say two things of
    kit: Mapping[str, Instrument] = field(default_factory=dict)
    before: Installation | None = field(default=None, compare=False, repr=False)      # as found; None where this is that

    def altered(self, overlay: str, file: str = "overlay.toml") -> Installation:
        """This installation with a few lines laid over it. Errors: InputError; this one is never changed."""
        faults: Faults = []
        top = read(file, overlay)
        faults += hidden_characters(top, overlay)
        doc = over(self.doc, top, faults)
        faults += refs.stale_landings(self.doc, top)
        stand = tuple(r for r in self.readings if _wired_alike(r, self.doc, doc))
        out = _installation(doc, self.stage, self.about, stand, self.observations, faults, self.disputes, self.kit,
                            self.before or self)
        _raise(faults)
        return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A whole job folder. `proposed` and `fitted` are None where nothing says what is to be done, or was done otherwise."""
    about: JobFile
    found: Installation
    proposed: Installation | None = None
    fitted: Installation | None = None
    people: People = field(default_factory=People)
    kit: Kit = field(default_factory=Kit)
    readings: tuple[Reading, ...] = ()
    observations: tuple[Observation, ...] = ()
    events: tuple[Event, ...] = ()
    photos: tuple[Photo, ...] = ()

    @property
    def furthest(self) -> str:
        return "fitted" if self.fitted else "proposed" if self.proposed else "found"

    def at(self, stage: str | None = None) -> Installation:
        """The installation at a stage, the furthest when none is named. Errors: InputError where the job has no such stage."""
        states = {"found": self.found, "proposed": self.proposed, "fitted": self.fitted}
        inst = states.get(stage or self.furthest)
        if inst is None:
            raise InputError([_no_stage(str(stage), [name for name, state in states.items() if state])])
        return inst


def _no_stage(stage: str, held: Sequence[str]) -> Fault:
    """That a job has no such stage, and which it has."""
    if stage not in STAGES:
        return Fault("job folder", None, "stage", stage, f"there is no stage {stage}", f"one of {', '.join(held)}",
                     nearest(stage, held))
    file = "work.toml" if stage == "proposed" else "fitted.toml"
    return Fault("job folder", None, "stage", stage, f"this job has no stage {stage}",
                 f"it has {' and '.join(held)}, and {file} would make it")


def _raise(faults: Sequence[Fault]) -> None:
    if faults:
        once = dict.fromkeys(faults)
        raise InputError(sorted(once, key=lambda f: (f.file, f.line or 0)))


def read_job(files: Mapping[str, str], overlays: Sequence[tuple[str, str]] = (), stage: str | None = None) -> Job:
    """A job out of its texts, `overlays` laid over one stage of it, the furthest unless one is named, and over no other.

    Errors: InputError with every fault of the folder, also where it has no such stage."""
    faults: Faults = []
    docs = {name: _doc(name, files[name], faults) for name in files if name.endswith(".toml")}
    docs |= {name: _tables_only(doc, faults) for name, doc in docs.items() if name not in NOT_PARTS}
    extra = [_tables_only(_doc(name, text, faults), faults) for name, text in overlays]
    for needed in ("job.toml", "found.toml"):
        if needed not in files:
            faults.append(Fault(needed, None, "", "", "the folder has no such file", "write one, or start with `new`",
                                nearest(needed, [f for f in files if f not in FILES])))
    about = _about(docs.get("job.toml", Doc({})), faults) if "job.toml" in files else JobFile()
    rows = {cls: _rows(f"{name}.csv", files, cls, faults) for name, cls in
            (("readings", Reading), ("observations", Observation), ("events", Event), ("photos", Photo))}
    disputes = _disputes(files, faults)
    docs |= {d.file: agreed(docs[d.file], [each for each in disputes if each.file == d.file]) for d in disputes if d.file in docs}
    about = _about_blurred(about, disputes)
    bare = _states(docs, about, faults)
    states = _with_overlays(bare, extra, stage, faults)
    readings, observations = rows[Reading], rows[Observation]
    kit = _kit_blurred(build(Kit, docs["kit.toml"].data, (), docs["kit.toml"], faults), disputes) if "kit.toml" in docs else Kit()
    built: dict[str, Installation] = {}
    before = None
    if states["found"] is not bare["found"]:                     # lines laid over what was found: it is not as found any more
        before = _installation(_with_readings(bare["found"], "found", bare["found"], readings, []), "found", about, (), (), [])
    for name, doc in states.items():
        own = tuple(d for d in disputes if d.file in STAGE_FILES[name] or name != "found" and d.file.startswith("option-"))
        measured = blurred(_with_readings(doc, name, bare["found"], readings, faults), own)
        stand = tuple(r for r in readings if r.stage in (name, "")               # a row without a stage takes another back
                      or r.stage == "found" and _wired_alike(r, bare["found"], doc))
        built[name] = _installation(measured, name, about, stand, observations, faults, own, kit.kit,
                                     before or built.get("found"))
    people = build(People, docs["people.toml"].data, (), docs["people.toml"], faults) if "people.toml" in docs else People()
    for name, kept in (("readings.csv", readings), ("observations.csv", observations), ("events.csv", rows[Event]),
                       ("photos.csv", rows[Photo])):
        faults += refs.in_rows(name, kept, [d.data for d in states.values()])
    faults += refs.in_job(about, docs.get("job.toml", Doc({})), built.values(), files)
    _raise(faults)
    return Job(about=about, found=built["found"], proposed=built.get("proposed"), fitted=built.get("fitted"), people=people,
               kit=kit, readings=readings, observations=observations, events=rows[Event], photos=rows[Photo])


# the files that a stage is made of; an option once accepted belongs to every stage but the first
_FOUND = ("job.toml", "kit.toml", "found.toml", "premises.toml")
STAGE_FILES = {"found": _FOUND, "proposed": (*_FOUND, "work.toml"), "fitted": (*_FOUND, "work.toml", "fitted.toml")}


def _about_blurred(about: JobFile, disputes: Sequence[Dispute]) -> JobFile:
    """What two people say two things of in job.toml: an answer of the door is none, and neither leave, decision, answer nor an
    operator's term counts until one of the two is chosen. Of the days none does: the latest says which leave has lapsed."""
    at = [trail(d.address) for d in disputes if d.file == "job.toml"]
    named = {(each[0], each[1]) for each in at if len(each) == 2}
    if not named:
        return about
    def kept(table: str, of: Mapping[str, T]) -> dict[str, T]:
        return {name: each for name, each in of.items() if (table, name) not in named}
    door = {name: "two people differ" for table, name in named if table == "doorstep"}
    return replace(about, doorstep={**about.doorstep, **door}, permissions=kept("permissions", about.permissions),
                   decisions=kept("decisions", about.decisions), enquiries=kept("enquiries", about.enquiries),
                   replies=kept("replies", about.replies), operators=kept("operators", about.operators),
                   dates={} if any(table == "dates" for table, _ in named) else about.dates)


def _kit_blurred(kit: Kit, disputes: Sequence[Dispute]) -> Kit:
    """An instrument of which two people say two things was in calibration on no day that anybody can tell."""
    named = {d.address for d in disputes if d.file == "kit.toml"}
    return replace(kit, kit={name: replace(each, calibrated=None, until=None) if spell(("kit", name)) in named else each
                             for name, each in kit.kit.items()}) if named else kit


def _disputes(files: Mapping[str, str], faults: Faults) -> tuple[Dispute, ...]:
    try:
        return tuple(disputes_in(files).values())
    except InputError as problem:
        faults += problem.faults
        return ()


def _doc(name: str, text: str, faults: Faults) -> Doc:
    try:
        doc, hidden = _read(name, text)
    except InputError as problem:
        faults += problem.faults
        return Doc({}, {(): (name, 1)})
    faults += hidden
    return doc


@lru_cache(32)
def _read(name: str, text: str) -> tuple[Doc, tuple[Fault, ...]]:
    """A text and its hidden characters, kept: of a job that changed one file was touched. Nobody writes into a document."""
    doc = read(name, text)
    return doc, tuple(hidden_characters(doc, text))


def _tables_only(doc: Doc, faults: Faults) -> Doc:
    """The document without what stands where named things are wanted: laid over another it would be passed over in silence."""
    wrong = [key for key, value in doc.data.items() if key in by_key(Parts) and not isinstance(value, dict)]
    faults += [doc.fault((key,), doc.data[key], "named things are wanted here", f"write [{key}.a-name]") for key in wrong]
    return Doc({k: v for k, v in doc.data.items() if k not in wrong}, doc.places) if wrong else doc


def _about(doc: Doc, faults: Faults) -> JobFile:
    about = build(JobFile, doc.data, (), doc, faults)
    if isinstance(about.schema, int) and about.schema > SCHEMA:
        faults.append(doc.fault(("schema",), about.schema, f"this job is of schema {about.schema}, this program reads {SCHEMA}",
                                "use a newer program; nothing was changed"))
    if "bs7671" not in about.books:
        faults.append(doc.fault(("books",), "", "books.bs7671 is missing",
                                'say which edition governs: books.bs7671 = "2018+A4"'))
    return about


def _rows(name: str, files: Mapping[str, str], cls: type, faults: Faults) -> Any:
    if name not in files:
        return ()
    rows, wrong = _read_rows(name, files[name], cls)
    faults += wrong
    return rows


_read_rows = lru_cache(16)(read_rows)


def _states(docs: Mapping[str, Doc], about: JobFile, faults: Faults) -> dict[str, Doc]:
    """The documents of each stage the folder holds."""
    empty = Doc({}, {(): ("found.toml", 1)})
    doc = docs.get("found.toml", empty)
    if "premises.toml" in docs:
        doc = over(docs["premises.toml"], doc, faults)
    for name in ("found.toml", "premises.toml"):
        if "remove" in docs.get(name, empty).data:
            faults.append(docs[name].fault(("remove",), "", "nothing lies under this file to take away",
                                           "take the lines out here"))
    states = {"found": doc}
    work = [docs["work.toml"]] if "work.toml" in docs else []
    work += [docs[f"option-{name}.toml"] for name in about.options if f"option-{name}.toml" in docs]
    for top in work:
        faults += refs.stale_landings(doc, top)
        doc = states["proposed"] = over(doc, top, faults)
    if "fitted.toml" in docs:
        faults += refs.stale_landings(doc, docs["fitted.toml"])
        states.setdefault("proposed", doc)
        doc = states["fitted"] = over(doc, docs["fitted.toml"], faults)
    return states


def _with_overlays(states: Mapping[str, Doc], overlays: Sequence[Doc], stage: str | None, faults: Faults) -> dict[str, Doc]:
    """The same with overlays on one of them. What is asked of a stage that is not there is a fault, never passed over."""
    name = stage or [*states][-1]
    if name not in states:
        faults.append(_no_stage(name, [*states]))
        return dict(states)
    doc = states[name]
    for top in overlays:
        faults += refs.stale_landings(doc, top)
        doc = over(doc, top, faults)
    return {**states, name: doc}


Things = dict[tuple[str, str, int], tuple[Any, Any]]    # what was built, by table, name and the very table it was built from
MOST_THINGS = 2048
_built: Things = {}                             # kept with its table, so that no other table takes its number


def _installation(doc: Doc, stage: str, about: JobFile, readings: tuple[Reading, ...], observations: tuple[Observation, ...],
                  faults: Faults, disputes: tuple[Dispute, ...] = (),
                  kit: Mapping[str, Instrument] | None = None, before: Installation | None = None) -> Installation:
    """An installation out of a document. What was built from the same lines is not built again: a thing never changes."""
    known = by_key(Parts)
    for key in [k for k in doc.data if k not in known and k != "remove"]:
        faults.append(doc.fault((key,), "", f"there is no table {key}", f"one of {', '.join(known)}", nearest(key, known)))
    if len(_built) > MOST_THINGS:
        _built.clear()
    parts = {spec.name: _things(spec, doc, faults) for spec in specs(Parts)}
    inst = Installation(**parts, stage=stage, doc=doc, about=about, readings=readings, observations=observations,
                        disputes=disputes, kit=kit or {}, before=before)
    faults += refs.in_installation(inst, doc)
    return inst


def _things(spec: Spec, doc: Doc, faults: Faults) -> dict[str, Any]:
    """Everything under one table, by name."""
    out: dict[str, Any] = {}
    table = doc.data.get(spec.key, {})
    assert spec.of is not None
    for name, entry in table.items():
        key = (spec.key, name, id(entry))
        if key not in _built:
            before = len(faults)
            thing: Any = build(spec.of, entry, (spec.key, name), doc, faults)
            if len(faults) > before:
                out[name] = thing
                continue
            _built[key] = entry, looked_at_again(thing)
        out[name] = _built[key][1]
    return out


def _with_readings(doc: Doc, stage: str, found: Doc, readings: Sequence[Reading], faults: Faults) -> Doc:
    """The document with each standing reading of a field as its measured value.

    A reading of the found stage stands later too: of a supply always, of another thing while it is still that thing. Two
    standing readings of one field leave it unknown until one is struck."""
    data, places = doc.data, dict(doc.places)
    for target, rows in _of_fields(standing(readings), stage, doc, found).items():
        thing = doc.data[target[0]][target[1]]
        said, row = thing.get(target[2]), rows[-1]
        if isinstance(said, dict) and "measured" in said:
            faults.append(doc.fault(target, said, "measured here and in readings.csv too",
                                    f"keep the row readings.csv:{row.line} and take `measured` out here"))
            continue
        if isinstance(said, dict) and not is_fact(said):
            continue                                       # it says nothing that can be read: told as what it is
        places.setdefault((*target, "stated"), doc.place(target))
        places.update(dict.fromkeys((target, (*target, "measured"), (*target, "unknown")), ("readings.csv", row.line)))
        data = _put(data, target, _joined(said, row) if len(rows) == 1 else {
            "unknown": f"rows {' and '.join(r.id for r in rows)} of readings.csv both stand: strike one"})
    return Doc(data, places)


def _of_fields(rows: Sequence[Reading], stage: str, doc: Doc, found: Doc) -> dict[Trail, list[Reading]]:
    """The rows that measure a field of a thing at a stage, by the field; those of the stage itself before those as found."""
    by_field: dict[Trail, list[Reading]] = {}
    for row in rows:
        at = trail(row.a)
        spec = by_key(Parts).get(at[0]) if len(at) == 2 else None
        if spec is None or spec.of is None or row.quantity not in by_key(spec.of):
            continue
        if isinstance(doc.data.get(at[0], {}).get(at[1]), dict) and (
                row.stage == stage or row.stage == "found" and _same(at, doc, found)):
            by_field.setdefault((*at, row.quantity), []).append(row)
    return {at: [r for r in all_ if r.stage == stage] or all_ for at, all_ in by_field.items()}


def _same(at: Trail, doc: Doc, found: Doc) -> bool:
    """Whether this is still the thing that was read: nobody said its kind or item anew, and it lands where it did."""
    now, then = (d.data.get(at[0], {}).get(at[1]) for d in (doc, found))
    said_once = all(doc.places.get((*at, k)) == found.places.get((*at, k)) for k in ANOTHER)
    return at[0] == "supplies" or said_once and isinstance(then, dict) \
        and all(now.get(k) == then.get(k) for k in ("joins", "way"))


WIRED = ("points", "neutral", "lands", "shape")        # what of a circuit a reading of its cable depends on


def _wired_alike(row: Reading, before: Doc, after: Doc) -> bool:
    """Whether the circuits a reading was taken of are there and wired as they were: else it has no more to say."""
    names = {at[1] for at in (trail(row.a), trail(row.b)) if len(at) > 1 and at[0] == "circuits"}
    then, now = (d.data.get("circuits", {}) for d in (before, after))
    return all(isinstance(then.get(n), dict) and isinstance(now.get(n), dict)
               and [now[n].get(k) for k in WIRED] == [then[n].get(k) for k in WIRED] for n in names)


def _joined(said: Any, row: Reading) -> dict[str, Any]:
    """What was said of a quantity, with what was measured. A reading over range, or of nought where nothing is, leaves it
    unknown, whatever was declared."""
    if row.value is None:
        return {"unknown": f"measured {row.over_words}"}
    if why := never_nought(row):
        return {"unknown": why}
    ways = said if isinstance(said, dict) and "unknown" not in said else {} if said is None or isinstance(said, dict) \
        else {"stated": said}
    return {"measured": row.value, **ways}


def _put(data: Any, at: Trail, value: Any) -> dict[str, Any]:
    inner = value if len(at) == 1 else _put(data.get(at[0], {}), at[1:], value)
    return {**data, at[0]: inner}


__all__ = ["FILES", "SCHEMA", "Installation", "Job", "read_job"]
