"""Two phones, one job: nothing lost, nothing that nobody entered, the same whichever comes first, never a better verdict."""
from __future__ import annotations

import random
import tomllib
from pathlib import Path

import pytest

from spareway.api import check
from spareway.doc import InputError
from spareway.job.disputed import FILE, Dispute, disputes_in, value
from spareway.job.job import read_job
from spareway.job.merge import Side, choose, merge, sides, who_said
from spareway.rules.base import VERDICTS
from tests.job.histories import HEADER, circuit, history, rows_in, written

HISTORIES = 2_000
PER_TEST = 250
WEIR = {p.name: p.read_text("utf-8") for p in (Path(__file__).parents[2] / "examples" / "weir-cottage").iterdir() if p.suffix in (".toml", ".csv")}


def faults(seed: int) -> list[str]:
    """All that is wrong with how one random history is joined."""
    base, ann, bo = history(seed)
    merged = merge(base, ann.files, bo.files)
    found = [] if merge(base, bo.files, ann.files).files == merged.files else ["another order, other bytes"]
    ids = [row["id"] for row in rows_in(merged.files)]
    wanted = {row["says"] for files in (base, ann.files, bo.files) for row in rows_in(files)}
    found += [f"lost: {says}" for says in wanted - {row["says"] for row in rows_in(merged.files)}]
    found += ["an id twice"] * (len(ids) != len(set(ids))) + ["a row too many"] * (len(ids) != len(wanted))
    found += [f"{row['id']} strikes what stands below it" for n, row in enumerate(rows_in(merged.files))
              if row["strikes"] and row["strikes"] not in ids[:n]]
    sides = [tomllib.loads(files["found.toml"]) for files in (base, ann.files, bo.files)]
    now = tomllib.loads(merged.files["found.toml"])
    disputed = {each.address for each in merged.disputes}
    for table in ("supplies", "equipment", "runs", "circuits"):
        for name in {name for side in (*sides, now) for name in side.get(table, {})}:
            first, ours, others, got = (side.get(table, {}).get(name) for side in (*sides, now))
            address = f"{table}.{name}"
            apart = ours not in (first, others) and others != first
            found += [f"{address}: disputed"] * (apart != (address in disputed))
            found += [f"{address}: nobody entered it"] * (got not in (first, ours, others))
            found += [f"{address}: not what the one who changed it said"] * (not apart and got != (ours if ours != first else others))
    try:
        inst = read_job(merged.files).found
    except InputError as problem:
        clash = all("stands in" in str(f) or "way" in str(f) for f in problem.faults)          # two people took one way: told as such
        return found if clash else [*found, str(problem)]
    for each in merged.disputes:
        circuit = inst.circuits.get(each.address.removeprefix("circuits."))
        said = [value(version) or {} for version in each.versions]
        for field in ("length_m", "line_mm2") if circuit and circuit.cable else ():
            alike = all(v.get("cable", {}).get(field) == said[0].get("cable", {}).get(field) for v in said)
            found += [f"{each.address}: known though disputed"] * (getattr(circuit.cable, field).known and not (alike and each.of_facts_alone))
    return found


@pytest.mark.parametrize("start", range(0, HISTORIES, PER_TEST))
def test_random_histories(start: int) -> None:
    """Two thousand, by seed: every row once, every group one of the three, disputes told and unknown, both orders alike."""
    wrong = {seed: found for seed in range(start, start + PER_TEST) if (found := faults(seed))}
    assert wrong == {}


def test_histories_have_what_they_are_about() -> None:
    """Disputes, things taken away and struck rows are all among them."""
    disputed = gone = struck = 0
    for seed in range(200):
        base, ann, bo = history(seed)
        merged = merge(base, ann.files, bo.files)
        disputed += bool(merged.disputes)
        gone += any("" in each.versions for each in merged.disputes)
        struck += any(row["strikes"] for row in ann.added)
    assert disputed > 40
    assert gone > 5
    assert struck > 20


def test_a_comment_stays_where_one_side_changed_the_file() -> None:
    base, ann, _ = history(3)
    merged = merge(base, ann.files, base)
    assert merged.files == ann.files
    assert merge(base, base, base).files == base


def test_comments_stay_where_both_changed_it() -> None:
    """Two circuits changed on two phones: both changes, and every comment of the file."""
    base = history(1)[0]
    ann = base | {"found.toml": base["found.toml"].replace("length_m = { measured = ", "length_m = { measured = 1", 1)}
    bo = base | {"found.toml": base["found.toml"].replace("ways_n = 12", "ways_n = 16")}
    text = merge(base, ann, bo).files["found.toml"]
    assert "ways_n = 16" in text
    for comment in [line.partition("#")[2] for line in base["found.toml"].splitlines() if line.strip().startswith("#")]:
        assert comment in text


def test_three_phones_in_any_order() -> None:
    """Three that count their own rows, joined two by two in each order: the same rows, groups and disputes."""
    for seed in range(150):
        base, ann, bo = history(seed)
        _, cy, _ = history(seed)
        dice = random.Random(seed + 9_000)
        cy.files = dict(base)
        from tests.job.histories import Side, worked
        third = Side("cy", dict(base))
        worked(third, [f"c{n}" for n in range(1, 8)], dice, 4)
        made = []
        for one, two, three in ((ann, bo, third), (bo, third, ann), (third, ann, bo)):
            first = merge(base, one.files, two.files)
            made.append(merge(base, first.files, three.files))
        data = [(tomllib.loads(m.files["found.toml"]), rows_in(m.files), m.files.get(FILE)) for m in made]
        assert data[0] == data[1] == data[2], seed


def test_a_dispute_is_unknown_until_it_is_chosen() -> None:
    """Both changed the cooker: a finding names it, nothing of it reads better than unknown; chosen, it is that version whole."""
    def side(length: float, line: float) -> dict[str, str]:
        text = WEIR["found.toml"].replace('line_mm2 = 6, cpc_mm2 = 2.5, length_m = { drawing = 7 }',
                                          f"line_mm2 = {line}, cpc_mm2 = 2.5, length_m = {{ measured = {length} }}")
        assert text != WEIR["found.toml"]
        return WEIR | {"found.toml": text}
    merged = merge(WEIR, side(9, 6.0), side(9.5, 10.0))
    assert [d.address for d in merged.disputes] == ["circuits.cooker"]
    said = check(merged.files, "found")
    own = [f for f in said["findings"] if f["subject"] == "circuits.cooker"]
    assert {f["verdict"] for f in own} <= {"stop", "fails", "unknown", "not applicable"}
    assert any(f["rule"] == "DI1" and "9.5" in f["says"] for f in own)
    key = merged.disputes[0].key
    for version in (0, 1):
        settled = choose(merged.files, key, version)
        assert FILE not in settled
        assert read_job(settled).found.circuits["cooker"].cable.length_m.known
    with pytest.raises(InputError):
        choose(merged.files, key, 2)
    with pytest.raises(InputError, match="did you mean"):
        choose(merged.files, key.replace("cooker", "coker"), 0)


def test_each_version_is_told_with_who_and_when() -> None:
    """Ann worked on one copy and Bo and Cy on the other: their rows say so. What both say is of both; what a copy had disputed
    already is of neither; without a row of its own nobody is named."""
    def side(length: float, *rows: str) -> dict[str, str]:
        text = WEIR["found.toml"].replace("length_m = { drawing = 7 }", f"length_m = {{ measured = {length:g} }}", 1)
        seen = WEIR["observations.csv"] + "".join(f"{row}\n" for row in rows)
        return WEIR | {"found.toml": text, "observations.csv": seen}

    def row(own: str, by: str, at: str) -> str:
        said = {"id": own, "where": "equipment.house", "says": "dust", "by": by, "at": at}
        return ",".join(said.get(column, "") for column in WEIR["observations.csv"].partition("\n")[0].split(","))

    ann = side(9, row("a1", "Ann", "2026-11-20T09:00"), row("a2", "Ann", "2026-11-20T09:30"))
    others = side(11, row("b1", "Bo", "2026-11-20T10:00"), row("c1", "Cy", "2026-11-20T08:00"))
    merged = merge(WEIR, ann, others)
    (dispute,) = merged.disputes
    assert sides(WEIR, ann, others) == (Side(("Ann",), "2026-11-20T09:30"), Side(("Bo", "Cy"), "2026-11-20T10:00"))
    assert [side.told() for side in sides(WEIR, ann, others)] == ["Ann, last row 2026-11-20T09:30", "Bo and Cy, last row 2026-11-20T10:00"]
    assert Side(("Ann",), "").told() == "Ann, no row since both began"
    said = dict(zip(dispute.versions, who_said(dispute, ann, others), strict=True))
    assert [said[v] for v in sorted(said, key=lambda v: "= 9 " in v)] == [(False, True), (True, False)]
    assert who_said(dispute, ann, ann) in (((True, True), (False, False)), ((False, False), (True, True)))
    assert who_said(dispute, merged.files, others) == tuple((False, theirs) for _, theirs in said.values())
    bare = side(9.5)
    assert sides(WEIR, bare, ann)[0] == Side((), "")
    assert Side((), "").told() == "no row of its own, so nobody is named"
    gone = {**WEIR, "found.toml": ""}
    assert who_said(Dispute("found.toml", "circuits.cooker", ("", "{ a = 1 }")), gone, WEIR) == ((True, False), (False, False))


def test_a_disputed_landing_is_joined_to_nothing_for_certain() -> None:
    """Two people say two ends of one pair of tails: neither board is told dead, nor its switch enough."""
    def side(end: str) -> dict[str, str]:
        return WEIR | {"found.toml": WEIR["found.toml"].replace('joins    = ["blocks.2", "house.in"]', f'joins    = ["{end}", "house.in"]')}
    merged = merge(WEIR, side("blocks.1"), side("meter.out"))
    assert [d.address for d in merged.disputes] == ["runs.pair-1"]
    from spareway.wiring.expand import wire
    now = wire(read_job(merged.files).found).potential(("cutout.fuse",))
    assert now["house.in.L"] == "not known"


def test_a_length_in_dispute_leaves_the_rest_as_it_is() -> None:
    """What both copies say alike is read: the same wiring, every fail that both have, and no verdict of another thing turned unknown
    but by the length itself."""
    def side(length: float) -> dict[str, str]:
        text = WEIR["found.toml"].replace("length_m = { drawing = 7 }", f"length_m = {{ measured = {length:g} }}", 1)
        at = text.index("[circuits.cooker]")
        return WEIR | {"found.toml": text[:at] + text[at:].replace("rating_a = 30", "rating_a = 60", 1)}       # more than its cable carries
    sides = side(9), side(11)
    merged = merge(WEIR, *sides)
    (dispute,) = merged.disputes
    assert dispute.of_facts_alone
    now, one, two = (read_job(files).found for files in (merged.files, *sides))
    from spareway.wiring.expand import wire
    assert wire(now).potential(()) == wire(one).potential(()) == wire(two).potential(())
    cooker = now.circuits["cooker"]
    assert (cooker.cable.length_m.known, cooker.cable.line_mm2.amount) == (False, one.circuits["cooker"].cable.line_mm2.amount)
    got, first, second = ({(f["rule"], f["subject"]): f["verdict"] for f in check(files, "found")["findings"]} for files in (merged.files, *sides))
    both = {key: verdict for key, verdict in first.items() if second[key] == verdict}
    assert {key: got[key] for key, verdict in both.items() if verdict in ("stop", "fails")} == {k: v for k, v in both.items() if v in ("stop", "fails")}
    assert any(rule == "CI3" and subject == "circuits.cooker" for (rule, subject), verdict in got.items() if verdict == "fails")
    assert [key for key, verdict in both.items() if got[key] != verdict and key[1] != "circuits.cooker"] == []


@pytest.mark.parametrize(("one", "two", "alone"), [
    ('{ cable = { length_m = 1 } }', '{ cable = { length_m = 2 } }', True),
    ('{ cable = { length_m = 1 } }', '{ cable = { length_m = 2, method = "C" } }', True),
    ('{ way = "a.1" }', '{ way = "a.2" }', False),
    ('{ points.p = { from = "way", length_m = 1 } }', '{ points.p = { from = "way", length_m = 2 } }', True),
    ('{ points.p = { from = "way" } }', '{ points.q = { from = "way" } }', False),
    ('{ points.p = { from = "way" } }', '{ points.p = { from = "p2" } }', False),
    ('{ device = { kind = "mcb", rating_a = 6 } }', '{ device = { kind = "rcbo-2p", rating_a = 6 } }', False),
    ('{ device = { kind = "mcb", rating_a = 6 } }', '{ cable = { length_m = 2 } }', False),
    ('{ load_w = 1 }', '', False)])
def test_which_versions_differ_in_facts_alone(one: str, two: str, alone: bool) -> None:
    """A kind, an end, a way, a point that only one has: these are wiring; and one who took it away says nothing of its facts."""
    assert Dispute("found.toml", "circuits.x", (one, two)).of_facts_alone == alone
    assert not Dispute("job.toml", "says", ('"a"', '"b"')).of_facts_alone


def test_never_a_better_verdict_than_both() -> None:
    """Planted edits to an example on two phones: no rule reads better on any thing than the worse of the two does."""
    edits = ('rating_a = 30', 'length_m = { drawing = 7 }', 'size_mm2 = 16', 'ways_n    = 8', 'method = "C"', 'line_mm2 = 2.5')
    dice = random.Random(4)
    for _ in range(12):
        sides = []
        for _ in range(2):
            text = WEIR["found.toml"]
            for edit in dice.sample(edits, 2):
                value = edit.partition(" = ")[2]
                new = {"30": "45", "8": "10", '"C"': '"B"', "2.5": "1.5", "16": "10"}.get(value, "{ measured = 31 }")
                at = [i for i in range(len(text)) if text.startswith(edit, i)]
                place = dice.choice(at)
                text = text[:place] + edit.replace(value, new) + text[place + len(edit):]
            sides.append(WEIR | {"found.toml": text})
        merged = merge(WEIR, *sides)
        got, one, two = ({(f["rule"], f["subject"]): VERDICTS.index(f["verdict"]) for f in check(files, "found")["findings"]}
                         for files in (merged.files, *sides))
        disputed = {d.address for d in merged.disputes}
        for key in one.keys() & two.keys() & got.keys():
            if any(key[1].startswith(each) for each in disputed):
                assert got[key] <= max(one[key], two[key], VERDICTS.index("unknown")), key


JOB = Path(__file__).parents[2] / "examples" / "weir-cottage"


def joined(mine: str, theirs: str, line: str, file: str = "job.toml") -> dict[str, str]:
    """The cottage joined from two copies in which a line of a file was changed, each to something else."""
    base = {each.name: each.read_text("utf-8") for each in JOB.iterdir() if each.suffix in (".toml", ".csv")}
    assert line in base[file]
    copies = [{**base, file: base[file].replace(line, other)} for other in (mine, theirs)]
    return dict(merge(base, *copies).files)


def test_under_two_editions_nothing_is_within() -> None:
    """One says the last edition, one the one before: told as a dispute, nothing reads better than unknown, what fails still does."""
    base = check(joined('nation = "England"', 'nation = "England"', 'nation = "England"'), "found")
    said = check(joined('books  = { bs7671 = "2018+A2" }', 'books  = { bs7671 = "2018+A3" }', 'books  = { bs7671 = "2018+A4" }'), "found")
    assert [f["subject"] for f in said["findings"] if f["rule"] == "DI1"] == ["books.bs7671"]
    assert {f["verdict"] for f in said["findings"]} <= {"stop", "fails", "unknown", "not applicable"}
    assert base["counts"]["within"] > 20
    assert said["counts"]["stop"] == base["counts"]["stop"]


def test_of_two_days_none_counts_and_the_rest_stands() -> None:
    """A day in dispute is a finding, no paper is dated by it, and no leave is in force on it; a length is still judged."""
    files = joined('dates  = { survey = "2026-11-08" }', 'dates  = { survey = "2026-11-10" }', 'dates  = { survey = "2026-11-09" }')
    assert read_job(files).about.dates == {}
    said = check(files, "found")
    assert [f["subject"] for f in said["findings"] if f["rule"] == "DI1"] == ["dates.survey"]
    assert said["counts"]["within"] > 20


def test_of_two_days_of_calibration_none_is_one() -> None:
    """Whether the tester was in calibration is unknown, and what is not about its readings stands."""
    files = joined("until = 2020-03-02", "until = 2029-03-02", "until = 2027-03-02", "kit.toml")
    said = {(f["rule"], f["subject"]): f["verdict"] for f in check(files, "found")["findings"]}
    assert said["DI1", "kit.tester-1"] == "unknown"
    assert {verdict for (code, _), verdict in said.items() if code == "TE11"} == {"unknown"}
    assert list(said.values()).count("within") > 20


def test_three_hundred_entries_on_each_of_two_phones() -> None:
    """Nothing lost, clashes shown: 600 rows, of which ten have one id on both phones and say two things."""
    base = history(5)[0]
    sides = []
    for name in ("ann", "bo"):
        text = base["observations.csv"]
        for n in range(300):
            own = f"same-{n}" if n < 10 else f"{name}-{n}"
            text += written({"id": own, "where": "equipment.board", "says": f"{name} {n}", "by": name, "at": f"2026-11-11T{n // 60:02}:{n % 60:02}"})
        sides.append(base | {"observations.csv": text})
    merged = merge(base, *sides)
    rows = rows_in(merged.files)
    assert len(rows) == 600 + len(rows_in(base))
    assert len({row["id"] for row in rows}) == len(rows)
    assert {row["says"] for row in rows} >= {f"{name} {n}" for name in ("ann", "bo") for n in range(300)}
    read_job(merged.files)


def test_what_cannot_be_joined_is_told() -> None:
    base, ann, bo = history(2)
    broken = bo.files | {"observations.csv": f"{HEADER}\nx\n"}
    with pytest.raises(InputError, match="cells"):
        merge(base, ann.files, broken)
    with pytest.raises(InputError, match="both changed this file"):
        merge(base | {"logs/a.csv": "1"}, ann.files | {"logs/a.csv": "2"}, bo.files | {"logs/a.csv": "3"})
    with pytest.raises(InputError, match="leave this file"):
        disputes_in({FILE: '[disputed.x]\nfile = "found.toml"\n'})
    with pytest.raises(InputError, match="leave this file"):
        read_job(base | {FILE: '[disputed.x]\nfile = "found.toml"\naddress = "runs.a"\nversions = ["{", "1"]\n'})
    assert circuit("x", 1, 6, 1.5, 3)
