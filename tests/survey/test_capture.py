"""A person on site, from an empty job: the intake of the cottage in few taps, and every answer a line that can be read."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway.api import check
from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.survey.intakes import intake_names, says, written
from spareway.survey.patterns import Answers, job_texts
from spareway.survey.places import PLACES, Unknown, answer, places, questions, taken_away
from spareway.survey.readings import dead_tests
from spareway.wiring.expand import wire

WEIR = Path(__file__).parents[2] / "examples" / "weir-cottage"
MOST_TAPS = 40
# what a person reads off the intake of SCENARIOS, in the order asked; the second board is the toll office's
SEEN: dict[str, str | Unknown] = {
    "intake": "blocks-two-boards", "supplies.main.earthing": "TN-S", "equipment.cutout.fuse": "bs1361-2", "equipment.cutout.fuse_a": "80",
    "equipment.cutout.seal": "present", "equipment.meter.seal": "present", "runs.tails-1.size_mm2": "25", "runs.tails-1.length_m": "0.3",
    "runs.tails-1.method": "C", "runs.tails-2.size_mm2": "25", "runs.tails-2.length_m": "0.3", "runs.tails-2.method": "C",
    "runs.pair-1.size_mm2": "16", "runs.pair-1.length_m": "1.9", "runs.pair-1.method": "B", "runs.pair-2.size_mm2": "16",
    "runs.pair-2.length_m": Unknown("goes through the wall"), "runs.pair-2.method": Unknown("not seen"),
    "runs.earthing-conductor.size_mm2": "6", "equipment.water.material": "metal", "bond.water": "yes", "runs.bond-water.size_mm2": "6", "runs.earth-house.size_mm2": "6",
    "runs.earth-second.size_mm2": "6"}


def begun(earthing: str = "") -> dict[str, str]:
    texts = job_texts(Answers("a cottage", "England", "2018+A4", "not seen", None, "2026-11-09"))
    return texts | {"found.toml": written("one-board", earthing, start=True)}


def said(files: dict[str, str], place: str, id: str, value: str | Unknown) -> None:
    files |= answer(files, place, id, value, "surveyor", "2026-11-09T09:00", "s")


def test_the_intake_of_the_cottage_in_few_taps() -> None:
    """Every question answered as a person would: a choice is a tap, a typed number is one for "keep", its digits apart."""
    files, taps, digits = begun(), 0, 0
    while opened := [q for q in questions(files, "meter cabinet") if q.open]:
        question, value = opened[0], SEEN[opened[0].id]
        typed = isinstance(value, str) and question.kind == "number" and value not in dict(question.choices)
        said(files, "meter cabinet", question.id, value)
        taps, digits = taps + 1, digits + (len(str(value)) if typed else 0)
    for board, kind, ways in (("house", "board-rewirable", "8"), ("second", "board-rewirable", "4")):
        said(files, "board cupboard", f"equipment.{board}.kind", kind)
        said(files, "board cupboard", f"equipment.{board}.ways_n", ways)
        taps += 2
    print(f"{taps} taps, {digits} digits apart")
    assert taps <= MOST_TAPS - 8, "eight are kept for naming the job, finding the place and coming back"
    ours, theirs = (read_job(texts).found for texts in (files, {p.name: p.read_text("utf-8") for p in WEIR.iterdir() if p.suffix != ".md"}))
    now, then = (wire(inst).potential(("house.switch",)) for inst in (ours, theirs))
    for terminal in ("cutout.out.L", "meter.out.N", "blocks.2.L", "house.in.L", "met.a.E"):
        assert now[terminal] == then[terminal], terminal
    assert now["second.in.L"] == then["office.in.L"] == "line"
    assert ours.supplies["main"].earthing.value == "TN-S"
    assert str(ours.equipment["cutout"].fuse_a) == "80 A"
    assert ours.equipment["cutout"].fuse_a.how == "marked"
    assert not ours.runs["pair-2"].length_m.known


def test_a_rating_that_nobody_read_is_unknown() -> None:
    files = begun("TN-S")
    said(files, "meter cabinet", "equipment.cutout.fuse_a", Unknown("sealed: cannot get at it"))
    fuse = read_job(files).found.equipment["cutout"].fuse_a
    assert (fuse.known, fuse.note) == (False, "sealed: cannot get at it")
    assert any(f["verdict"] == "unknown" and "cutout" in f["subject"] for f in check(files)["findings"])


@pytest.mark.parametrize("name", intake_names())
@pytest.mark.parametrize("earthing", ["", "TN-S", "TN-C-S", "TT"])
def test_every_pattern_is_a_job_that_can_be_read(name: str, earthing: str) -> None:
    """It checks, its meter is fed, and every board has line; chosen again, nothing that was answered is lost."""
    files = begun(earthing) | {"found.toml": written(name, earthing)}
    inst = read_job(files).found
    now = wire(inst).potential(())
    boards = [thing for thing, each in inst.equipment.items() if each.kind.startswith("board")]
    assert boards
    assert {now[f"{board}.in.L"] for board in boards} == {"line"}
    if earthing:
        assert {now[f"{board}.in.E"] for board in boards} == {"earth"}
    assert says(name)
    said(files, "meter cabinet", "equipment.cutout.fuse_a", "60")
    said(files, "meter cabinet", "runs.tails-1.length_m", "0.4")
    for other in intake_names():
        said(files, "meter cabinet", "intake", other)
        found = read_job(files).found
        assert str(found.equipment["cutout"].fuse_a) == "60 A", other
        assert str(found.runs["tails-1"].length_m) == "0.4 m", other
    assert len(intake_names()) >= 8


def test_going_back_changes_the_same_line() -> None:
    """Answered again, the new answer stands where the old one stood; every other line, and every comment, as it was."""
    files = begun("TN-S")
    said(files, "meter cabinet", "runs.tails-1.size_mm2", "16")
    before = files["found.toml"]
    said(files, "meter cabinet", "runs.tails-1.size_mm2", "25")
    changed = [pair for pair in zip(before.splitlines(), files["found.toml"].splitlines(), strict=True) if pair[0] != pair[1]]
    assert len(changed) == 1
    assert changed[0][0].replace("16", "25") == changed[0][1]


WRONG = [("meter cabinet", "equipment.cutout.fuse_a", "8o"), ("meter cabinet", "runs.tails-1.length_m", "1,9"),
         ("meter cabinet", "runs.tails-1.length_m", ""), ("meter cabinet", "runs.tails-1.length_m", ".5"),
         ("meter cabinet", "runs.tails-1.method", "Z"), ("meter cabinet", "intake", "castle"), ("meter cabinet", "equipment.cutout.colour", "red"),
         ("meter cabinet", "supplies.main.earthing", "TNS"), ("board cupboard", "equipment.board.kind", "boart"),
         ("board cupboard", "way.board.1", "sockets"), ("doorstep", "doorstep.medical", "perhaps"), ("look, cabinet", "EY1", "maybe"),
         ("look, cabinet", "EY99", "yes")]


@pytest.mark.parametrize(("place", "id", "value"), WRONG)
def test_what_cannot_be_kept_is_said_and_nothing_is_changed(place: str, id: str, value: str) -> None:
    files = begun("TN-S")
    before = dict(files)
    with pytest.raises(InputError) as refused:
        said(files, place, id, value)
    assert files == before
    assert len(refused.value.faults) == 1
    assert "Traceback" not in str(refused.value.faults[0])


def test_a_comma_is_answered_with_a_point() -> None:
    with pytest.raises(InputError, match=r"write 1\.9, with a point"):
        said(begun("TN-S"), "meter cabinet", "runs.tails-1.length_m", "1,9")


# ---- the board cupboard --------------------------------------------------------------------------------------------------
def test_a_board_way_after_way() -> None:
    """Ways come once their number is known; a circuit is asked for its device and cable; another device forgets the old one's."""
    files = begun("TN-S")
    assert not [q for q in questions(files, "board cupboard") if q.id.startswith("way.")]
    said(files, "board cupboard", "equipment.board.ways_n", "6")
    assert len([q for q in questions(files, "board cupboard") if q.id.startswith("way.")]) == 6
    said(files, "board cupboard", "way.board.1", "sockets ring")
    said(files, "board cupboard", "way.board.2", "lights")
    said(files, "board cupboard", "way.board.3", "bare")
    said(files, "board cupboard", "way.board.4", "empty")
    said(files, "board cupboard", "circuits.sockets-ring.device.kind", "rewirable")
    said(files, "board cupboard", "circuits.sockets-ring.device.rating_a", "30")
    assert "circuits.sockets-ring.cable.line_mm2" not in {q.id for q in questions(files, "board cupboard")}
    with pytest.raises(InputError, match=r"nothing of this name is asked here; did you mean circuits\.sockets-ring\.cable\.kind"):
        said(files, "board cupboard", "circuits.sockets-ring.cable.line_mm2", "2.5")
    assert read_job(files).found.circuits["sockets-ring"].cable is None, "nobody said that it is twin and earth"
    said(files, "board cupboard", "circuits.sockets-ring.cable.kind", "t&e")
    said(files, "board cupboard", "circuits.sockets-ring.cable.line_mm2", "2.5")
    said(files, "board cupboard", "circuits.sockets-ring.cable.length_m", Unknown("under the floor"))
    inst = read_job(files).found
    ring = inst.circuits["sockets-ring"]
    assert (ring.way, ring.shape, ring.feeds) == ("board.1", "ring", "sockets")
    assert ring.device is not None
    assert (str(ring.device.rating_a), ring.device.fuse.value) == ("30 A", "bs3036")
    assert inst.equipment["board"].bare_ways.value == (3,)
    assert inst.equipment["board"].empty_ways.value == (3, 4)
    said(files, "board cupboard", "circuits.sockets-ring.device.kind", "mcb")
    device = read_job(files).found.circuits["sockets-ring"].device
    assert device is not None
    assert not device.rating_a.known, "what was read on the fuse is not the breaker's"
    assert [q.id for q in questions(files, "board cupboard") if q.open and q.id.startswith("way.")] == ["way.board.5", "way.board.6"]


def test_a_device_has_a_kind_before_it_has_a_rating() -> None:
    files = begun("TN-S")
    said(files, "board cupboard", "equipment.board.ways_n", "2")
    said(files, "board cupboard", "way.board.1", "cooker")
    assert "circuits.cooker.device.rating_a" not in {q.id for q in questions(files, "board cupboard")}
    with pytest.raises(InputError):
        said(files, "board cupboard", "circuits.cooker.device.kind", Unknown("not seen"))


# ---- places ----------------------------------------------------------------------------------------------------------------
def test_no_dead_end_and_no_count_that_lies() -> None:
    """Every question of every place can be answered, and each answer leaves one fewer open or opens what follows from it."""
    files = begun("TT")
    assert [p.name for p in places(files)] == [name for name in PLACES if name != "as run"]
    for place in ("doorstep", "meter cabinet", "look, cabinet", "look, cupboard", "look, rooms"):
        asked = [q for q in questions(files, place) if q.open]
        for question in asked:
            before = len([q for q in questions(files, place) if q.open])
            value = question.choices[0][0] if question.choices else "1.5"
            said(files, place, question.id, value)
            if question.id != "intake":
                assert len([q for q in questions(files, place) if q.open]) == before - 1, question.id
    assert all(p.open == 0 for p in places(files) if p.name != "board cupboard")
    check(files)


# ---- as run ----------------------------------------------------------------------------------------------------------------
def test_an_as_run_length_is_one_line_of_what_was_fitted() -> None:
    """One answer, one line of fitted.toml; the design of the fitted stage then stands on it, and what was proposed stays."""
    files = {p.name: p.read_text("utf-8") for p in WEIR.iterdir() if p.suffix in (".toml", ".csv")}
    assert places(files)[-1].name == "as run"
    asked = questions(files, "as run")
    assert asked
    first = asked[0].id
    before = read_job(files)
    assert before.proposed is not None
    said(files, "as run", first, "17.5")
    assert files["fitted.toml"].count("\n") <= 5
    after = read_job(files)
    assert after.fitted is not None
    name = first.split(".")[1]
    assert (str(after.fitted.circuits[name].cable.length_m), after.fitted.circuits[name].cable.length_m.how) == ("17.5 m", "measured")
    assert str(after.proposed.circuits[name].cable.length_m) == str(before.proposed.circuits[name].cable.length_m)
    said(files, "as run", first, Unknown("covered already"))
    assert not read_job(files).fitted.circuits[name].cable.length_m.known
    assert [q.open for q in questions(files, "as run")].count(False) == 1


def test_an_earthing_conductor_to_an_electrode_is_asked_how_it_lies() -> None:
    """Only there: Table 54.1 asks by it. Every answer offered is one that the record knows."""
    files = begun("TT")
    asked = next(q for q in questions(files, "meter cabinet") if q.id == "runs.earthing-conductor.lies")
    for pick, _ in asked.choices:
        said(files, "meter cabinet", asked.id, pick)
        assert read_job(files).found.runs["earthing-conductor"].lies.value == pick
    assert len(asked.choices) == 5
    assert not [q for q in questions(begun("TN-S"), "meter cabinet") if q.id.endswith(".lies")]


def test_a_letter_is_called_by_what_it_stands_for() -> None:
    """B of a cable is a way to lie, B of a breaker its curve, B of a residual part its type: no one's words are another's."""
    files = begun("TN-S")
    for asked_id, value in (("equipment.board.ways_n", "2"), ("way.board.1", "cooker"), ("circuits.cooker.device.kind", "rcbo-2p"),
                            ("circuits.cooker.cable.kind", "t&e")):
        said(files, "board cupboard", asked_id, value)
    asked = {q.id.rpartition(".")[2]: dict(q.choices) for q in questions(files, "board cupboard") if q.id.startswith("circuits.")}
    assert asked["curve"] == {"B": "B", "C": "C", "D": "D"}
    assert {said for letter, said in asked["residual_type"].items() if said != letter} == set()
    assert asked["method"]["B"] == "B: in conduit or trunking"
    said(files, "board cupboard", "circuits.cooker.device.curve", "B")
    said(files, "board cupboard", "circuits.cooker.cable.method", "C")
    now = {q.id.rpartition(".")[2]: q.now for q in questions(files, "board cupboard")}
    assert (now["curve"], now["method"]) == ("B", "C: clipped, or in plaster")


# ---- an answer that takes others away ------------------------------------------------------------------------------------
def cabinet_filled() -> dict[str, str]:
    files = begun("TN-S")
    while opened := [q for q in questions(files, "meter cabinet") if q.open]:
        said(files, "meter cabinet", opened[0].id, SEEN[opened[0].id])
    return files


def test_another_layout_names_what_goes_with_it() -> None:
    """Ten of the runs and two earths of the second board, by their words; what both layouts have goes with neither."""
    files = cabinet_filled()
    lost = taken_away(files, answer(files, "meter cabinet", "intake", "one-board", "a", "2026-11-09T09:00", "s"), "intake")
    assert len(lost) == len([q for q in questions(files, "meter cabinet") if q.id.startswith(("runs.tails-2", "runs.pair", "runs.earth-"))])
    assert "Tails 2, meter to blocks: size" in lost
    assert not [each for each in lost if "Service fuse" in each or "Tails 1" in each or "Bond water" in each]
    same = answer(files, "meter cabinet", "intake", "blocks-two-boards", "a", "2026-11-09T09:00", "s")
    assert taken_away(files, same, "intake") == []
    size = answer(files, "meter cabinet", "runs.tails-1.size_mm2", "16", "a", "2026-11-09T09:00", "s")
    assert taken_away(files, size, "runs.tails-1.size_mm2") == []


def test_what_a_way_feeds_can_be_said_otherwise() -> None:
    """Its circuit keeps its name and what was read of it; a way said to be empty takes it away, and says so first."""
    files = begun("TN-S")
    for id, value in (("equipment.board.ways_n", "2"), ("way.board.1", "cooker"), ("circuits.cooker.device.kind", "mcb"), ("circuits.cooker.device.rating_a", "32")):  # noqa: A001
        said(files, "board cupboard", id, value)
    way = next(q for q in questions(files, "board cupboard") if q.id == "way.board.1")
    assert (way.now, way.open) == ("Cooker", False)
    said(files, "board cupboard", "way.board.1", "sockets ring")
    circuit = read_job(files).found.circuits["cooker"]
    assert (circuit.feeds, circuit.shape, circuit.says, str(circuit.device.rating_a)) == ("sockets", "ring", "sockets, a ring", "32 A")
    before = dict(files)
    changed = answer(files, "board cupboard", "way.board.1", "empty", "a", "2026-11-09T09:00", "s")
    assert len(taken_away(files, changed, "way.board.1")) == 3, "device, rating, and what it serves"
    files |= changed
    inst = read_job(files).found
    assert not inst.circuits
    assert inst.equipment["board"].empty_ways.value == (1,)
    said(files, "board cupboard", "way.board.1", "lights")
    inst = read_job(files).found
    assert (inst.circuits["lights"].way, inst.equipment["board"].empty_ways.value) == ("board.1", ())
    assert before["found.toml"].count("circuits.cooker") == 1


def test_another_sort_of_device_says_what_it_takes_away() -> None:
    files = begun("TN-S")
    for id, value in (("equipment.board.ways_n", "2"), ("way.board.1", "cooker"), ("circuits.cooker.device.kind", "mcb"), ("circuits.cooker.device.curve", "B")):  # noqa: A001
        said(files, "board cupboard", id, value)
    changed = answer(files, "board cupboard", "circuits.cooker.device.kind", "rewirable", "a", "2026-11-09T09:00", "s")
    assert taken_away(files, changed, "circuits.cooker.device.kind") == ["Board, way 1, cooker: letter before the rating"]


def test_what_a_thumb_could_not_say_before() -> None:
    """No bond, a plastic pipe, watts, a delay, what a circuit serves, the points of a ring; each a line, each open until said."""
    files = begun("TN-S")
    said(files, "meter cabinet", "bond.water", "no")
    assert not read_job(files).found.runs.get("bond-water")
    assert next(f for f in check(files)["findings"] if f["rule"] == "EA10")["verdict"] == "fails"
    said(files, "meter cabinet", "bond.water", "yes")
    assert read_job(files).found.runs["bond-water"].joins == ("met.b", "water.clamp")
    said(files, "meter cabinet", "equipment.water.material", "plastic")
    assert next(f for f in check(files)["findings"] if f["rule"] == "EA10")["verdict"] == "not applicable"
    assert "bond.water" not in {q.id for q in questions(files, "meter cabinet")}
    for id, value in (("equipment.board.ways_n", "3"), ("way.board.1", "sockets ring"), ("way.board.2", "cooker"), ("circuits.cooker.device.kind", "rcbo-2p"),  # noqa: A001
                      ("circuits.cooker.device.delayed", "false"), ("circuits.cooker.load_w", "7200"),
                      ("circuits.sockets-ring.says", "sockets, kitchen and hall"), ("circuits.sockets-ring.points", "3"),
                      ("circuits.sockets-ring.points.p1.length_m", "4"), ("circuits.sockets-ring.points.p2.length_m", "5.5"),
                      ("circuits.sockets-ring.points.p3.length_m", Unknown("under the floor")), ("circuits.sockets-ring.points.p3.back_m", "3")):
        said(files, "board cupboard", id, value)
    inst = read_job(files).found
    cooker, ring = inst.circuits["cooker"], inst.circuits["sockets-ring"]
    assert (cooker.device.delayed.value, str(cooker.load_w), cooker.load_w.how) == (False, "7200 W", "marked")
    assert ring.says == "sockets, kitchen and hall"
    assert [(p.from_, p.back_to) for p in ring.points.values()] == [("way.a", ""), ("p1", ""), ("p2", "way.b")]
    assert [p.length_m.known for p in ring.points.values()] == [True, True, False]
    assert len([t for t in dead_tests(read_job(files), "sockets-ring") if t.quantity == "ring_ln_ohm"]) == 3
    changed = answer(files, "board cupboard", "circuits.sockets-ring.points", "2", "a", "2026-11-09T09:00", "s")
    assert len(taken_away(files, changed, "circuits.sockets-ring.points")) == 2, "of p3, how far it lies and its way home; the others keep theirs"
    for wrong in ("0", "41", "2.5", "", "two"):
        with pytest.raises(InputError):
            said(files, "board cupboard", "circuits.sockets-ring.points", wrong)
    for name in ("cooker", "sockets-ring"):
        said(files, "board cupboard", f"circuits.{name}.cable.kind", "t&e")
    helps = {q.id: q.help for q in questions(files, "board cupboard") if q.id.endswith("cable.length_m")}
    assert helps == {"circuits.sockets-ring.cable.length_m": "From end to end.", "circuits.cooker.cable.length_m": ""}


def test_what_cannot_be_got_at_by_eye_is_said_so() -> None:
    files = begun("TN-S")
    question = questions(files, "look, cabinet")[0]
    assert question.unknown_reasons == ("not seen", "cannot get at it")
    assert dict(question.choices)["no"].endswith("it is not so"), "the key says what it says no to"
    said(files, "look, cabinet", question.id, Unknown("cannot get at it"))
    row = read_job(files).observations[-1]
    assert (row.answer, row.says) == ("not seen", "not seen: cannot get at it")
    assert questions(files, "look, cabinet")[0].now == "not seen: cannot get at it"


def test_a_residual_device_ahead_of_ways_is_asked_what_stands_on_it() -> None:
    """One in a board and one before everything: current, type and delay, each a line; a plain board is asked nothing of it."""
    files = begun("TN-S")
    assert not [q for q in questions(files, "board cupboard") if "residual" in q.id]
    said(files, "board cupboard", "equipment.board.kind", "board-rcd-main")
    said(files, "meter cabinet", "intake", "residual-before-all")
    for place, thing in (("board cupboard", "board"), ("meter cabinet", "rcd")):
        for field, value in (("residual_ma", "100"), ("residual_type", "AC"), ("delayed", "true")):
            said(files, place, f"equipment.{thing}.{field}", value)
        held = read_job(files).found.equipment[thing]
        assert (held.residual_ma.value, held.residual_type.value, held.delayed.value) == (100, "AC", True)
