"""Heat of rooms: the two homes to the watt as worked by hand, a second method by temperatures of nodes, and what is missing."""
from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve

from spareway.design.design import Design
from spareway.design.room import RoomDesign, home_counted_w, home_loss_w, span
from tests.scenarios.folders import design

WEIR, GRANARY, RIDGE = "weir-cottage", "granary-yard", "ridge-annexe"
AIR_W_PER_M3K = 0.33                                     # Sustainable Energy - without the hot air, table E.1
# Weir and Granary, table of rooms, worked by hand: W
BY_HAND = {WEIR: {"living": 2153, "hall": 477, "dining": 1346, "kitchen": 1241, "bed-1": 1538, "bed-2": 941, "bed-3": 1063,
                  "landing": 133, "bath": 350},
           GRANARY: {"living": 1513, "bed-1": 544, "bed-2": 326, "bath": 187, "hall": 180}}
WANTED = {"living": 1816, "bed-1": 653, "bed-2": 391, "bath": 224, "hall": 216}      # Granary, with a margin of a fifth


@cache
def of(home: str, overlay: str = "") -> Design:
    return design(home, "proposed", overlay)


def room(name: str, overlay: str = "", home: str = WEIR) -> RoomDesign:
    return of(home, overlay).rooms[name]


def heated(home: str, overlay: str = "") -> list[RoomDesign]:
    return [r for r in of(home, overlay).rooms.values() if r.is_heated]


# ---- as worked by hand ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("home", "name"), [(h, n) for h, rooms in BY_HAND.items() for n in rooms])
def test_each_room_to_the_watt(home: str, name: str) -> None:
    """The loss of each room of two homes is that of the hand-worked table."""
    assert round(room(name, home=home).loss_w.value) == BY_HAND[home][name]


def test_whole_homes_and_their_ranges() -> None:
    """Weir 9,242 W, between 8,291 and 10,330 with its wall at either end; Granary 2,750 W, for which no range was given."""
    whole = span(home_loss_w(heated(WEIR)))
    assert whole is not None
    assert [round(w) for w in (whole.least, whole.is_, whole.most)] == [8291, 9242, 10330]
    assert [f.at for f in whole.of] == ["fabric.outside-wall.u_w_per_m2k"]
    flat = span(home_loss_w(heated(GRANARY)))
    assert flat is not None
    assert (round(flat.least), round(flat.most), flat.of) == (2750, 2750, ())


def test_three_values_of_one_wall_stand_side_by_side() -> None:
    """Weir, living: 1,925, 2,153 and 2,414 W with the wall at 1.35, 1.7 and 2.1."""
    between = span(room("living").loss_w)
    assert between is not None
    assert [round(w) for w in (between.least, between.is_, between.most)] == [1925, 2153, 2414]
    for u, watts in ((1.35, 1925), (1.7, 2153), (2.1, 2414)):
        assert round(room("living", f"fabric.outside-wall.u_w_per_m2k = {u}").loss_w.value) == watts


def test_output_wanted_has_the_margin() -> None:
    """Granary's row "x 1.2", each to the watt; the margin is a fact that the working shows."""
    for name, watts in WANTED.items():
        assert abs(room(name, home=GRANARY).required_w.value - watts) < 0.9, name
    assert "heating.main.margin_share" in {f.at for f in room("living").required_w.doubtful()}


def test_kitchen_loses_half_to_its_pantry() -> None:
    """7.05 m2 at 1.2 across half the difference: 4.23 W/K, and the bridges count that half too."""
    kitchen = room("kitchen", "heating.main.bridging_w_per_m2k = 0.15")
    assert kitchen.elements["pantry"].loss_w_per_k.value == pytest.approx(4.23, rel=1e-12)
    exposed_m2 = math.fsum([6.6 * 2.35, 10.8, 7.05 / 2])
    assert kitchen.bridging_w_per_k.value == pytest.approx(0.15 * exposed_m2, rel=1e-12)
    assert kitchen.elements["pantry"].loss_w.value == pytest.approx(4.23 * 21, rel=1e-12)


def test_the_working_says_that_the_window_is_taken_off() -> None:
    """One line of the working takes the glass from the wall, and one gives the air."""
    lines = [step.line for step in room("living").loss_w.working()]
    assert "An = A - Ao = 30.8 - 3.60 = 27.2 m²" in lines
    assert any(line.startswith("Hv = ϱc × n × V = 0.33 × 1.5 × 42.2") for line in lines), lines
    assert room("living").loss_w_per_m2.value == pytest.approx(2153.3 / 17.94, rel=1e-4)
    assert room("living").air_w.value == pytest.approx(0.33 * 1.5 * 4.6 * 3.9 * 2.35 * 24, rel=1e-9)


# ---- a second method: nodes with heat capacity, left until nothing moves ---------------------------------------------
def network_w(of_room: RoomDesign) -> float:
    """Heat a room needs at rest, by a network of temperatures: inside held, outside held, a node within each element.

    Each element is two halves of its resistance about a node; towards a pantry the far side is held at the temperature that
    the share says. It reads the record itself and shares no formula with the engine."""
    elements, size = of_room.room.elements, of_room.room.size
    assert size is not None
    fabric, ti, te = of_room.design.inst.fabric, of_room.room.design_c.value, of_room.heating.outside_c.value
    elements = {n: e for n, e in elements.items() if 0 not in (e.area_m2.amount, e.of_dt.amount)}      # nothing, or nothing acts on it
    gross = {n: e.area_m2.value if e.area_m2.known else e.length_m.value * size.height_m.value for n, e in elements.items()}
    held = [ti, te]
    rows: list[tuple[float, float]] = []                    # half resistance's conductance, far temperature
    for name, e in elements.items():
        u = e.u_w_per_m2k.value if e.u_w_per_m2k.known else fabric[e.of].u_w_per_m2k.value
        net = gross[name] - math.fsum(gross[n] for n, o in elements.items() if o.cut_from == name)
        far = ti - e.of_dt.value * (ti - te) if e.of_dt.known else held[1]
        rows.append((2 * u * net, far))
    matrix = csr_matrix(np.diag([2 * g or 1.0 for g, _ in rows]))
    nodes = spsolve(matrix, np.array([g * (ti + far) for g, far in rows]))
    air = AIR_W_PER_M3K * of_room.room.air_changes_per_h.value * size.length_m.value * size.width_m.value * size.height_m.value
    return math.fsum([*(g * (ti - node) for (g, _), node in zip(rows, np.atleast_1d(nodes), strict=True)), air * (ti - te)])


@pytest.mark.parametrize("home", [WEIR, GRANARY, RIDGE])
def test_a_network_of_temperatures_agrees(home: str) -> None:
    """At rest the network takes what the sum of elements and air says, room by room."""
    for each in heated(home):
        assert network_w(each) == pytest.approx(each.loss_w.value, rel=1e-9), each.room.name


def test_a_room_that_is_heated_with_its_loss_comes_to_its_temperature() -> None:
    """In time, from cold: air and wall with their heat capacities, driven by the loss, settle at 21 °C (scipy, BDF)."""
    living = room("living")
    wall = living.elements["wall"].loss_w_per_k.value
    rest = living.loss_w_per_k.value - wall
    air_j, wall_j, power = 4.0e5, 9.0e6, living.loss_w.value

    def slope(_: float, t: list[float]) -> list[float]:
        return [(power - rest * (t[0] + 3) - 2 * wall * (t[0] - t[1])) / air_j,
                (2 * wall * (t[0] - t[1]) - 2 * wall * (t[1] + 3)) / wall_j]
    end = solve_ivp(slope, (0, 4e6), [-3.0, -3.0], method="BDF", rtol=1e-8, atol=1e-8).y[:, -1]
    assert end[0] == pytest.approx(21, abs=1e-4)
    assert end[1] == pytest.approx(9, abs=1e-4)


# ---- what is not known ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("overlay", "missing"), [
    ('remove = ["rooms.living.elements.window"]', "rooms.living.elements.wall"),
    ('rooms.living.elements.window.area_m2 = { unknown = "behind a shutter" }', "rooms.living.elements.window.area_m2"),
    ('rooms.living.size.height_m = { unknown = "ladder not at hand" }', "rooms.living.size.height_m"),
    ('remove = ["rooms.living.size"]', "rooms.living.size.height_m"),
    ('fabric.outside-wall.u_w_per_m2k = { unknown = "nobody drilled" }', "fabric.outside-wall.u_w_per_m2k"),
    ('remove = ["rooms.living.air_changes_per_h"]', "rooms.living.air_changes_per_h"),
    ('remove = ["rooms.living.design_c"]', "rooms.living.design_c"),
    ('remove = ["heating.main"]', "heating.main.outside_c"),
    ('remove = ["heating.main.bridging_w_per_m2k"]', "heating.main.bridging_w_per_m2k"),
    ('rooms.living.elements.floor.of_dt = { unknown = "a cellar of which nobody knows" }', "rooms.living.elements.floor.of_dt"),
])
def test_what_is_missing_is_unknown_and_not_nought(overlay: str, missing: str) -> None:
    """Take any input away: the room and the home are unknown, the gap is named, and no other room falls with what is its own."""
    gone = room("living", overlay)
    assert not gone.loss_w.known
    assert span(gone.loss_w) is None
    assert missing in {f.at for f in gone.loss_w.missing()}
    assert not home_loss_w(heated(WEIR, overlay)).known
    if missing.startswith("rooms."):
        assert round(room("dining", overlay).loss_w.value) == 1346


@pytest.mark.parametrize(("overlay", "unsaid"), [
    ("", ()),
    ('remove = ["rooms.living.elements.window"]', ("glass",)),
    ('remove = ["rooms.living.elements.door"]', ("door",)),
    ('remove = ["rooms.living.elements.door", "rooms.living.elements.above", "rooms.living.elements.floor"]', ("door", "above", "below")),
    ('remove = ["rooms.living.elements.wall", "rooms.living.elements.window.cut_from", "rooms.living.elements.door.cut_from"]', ("outside wall",)),
    # a wall towards a pantry is no answer of the outside wall, nor is the glass in it one of the glass
    ("rooms.living.elements.wall.of_dt = 0.5", ("outside wall",)),
    # a name says nothing that is not said; the construction does, the line itself does, and a length is a wall's
    ('remove = ["rooms.living.elements.floor"]\nrooms.living.elements.boards = { of = "timber-floor", area_m2 = 17.94 }', ("below",)),
    ('remove = ["rooms.living.elements.floor"]\nfabric.timber-floor.part = "below"\n'
     'rooms.living.elements.boards = { of = "timber-floor", area_m2 = 17.94 }', ()),
    ('remove = ["rooms.living.elements.floor"]\nrooms.living.elements.boards = { u_w_per_m2k = 0.7, area_m2 = 17.94, part = "below" }', ()),
    ('remove = ["rooms.living.elements.wall", "fabric.outside-wall.part"]\nrooms.living.elements.gable = { of = "outside-wall", length_m = 13.1 }\n'
     'rooms.living.elements.window.cut_from = "gable"\nrooms.living.elements.door.cut_from = "gable"', ()),
    # a door of glass is glass, whatever it is called, and a roof light is no answer of the glass in a wall
    ('fabric.glazing.part = "glass"\nrooms.living.elements.door = { of = "glazing", area_m2 = 2 }', ("door",)),
    ('rooms.living.elements.window.cut_from = "floor"', ("glass",)),
])
def test_what_nobody_said_of_a_skin_is_named(overlay: str, unsaid: tuple[str, ...]) -> None:
    """By what a part is and what it is next to. With anything unsaid the loss is unknown, and so is the home's; the rest stands."""
    living = room("living", overlay)
    assert living.unsaid == unsaid
    assert living.loss_w.known == (not unsaid)
    assert living.required_w.known == (not unsaid)
    if unsaid:
        notes = {f.at: f.note for f in living.loss_w.missing()}
        assert notes["rooms.living.elements"].startswith(f"not answered: {', '.join(unsaid)}")
        assert not home_loss_w(heated(WEIR, overlay)).known


def test_what_is_counted_stands_as_the_least_of_the_loss() -> None:
    """SCENARIOS: the living room without its floor, 2,153 less 0.7 x 17.94 x 24 = 301.4 W; the home 9,242 less as much."""
    gone = 'remove = ["rooms.living.elements.floor"]'
    living = room("living", gone)
    assert living.counted_w.value == pytest.approx(room("living").loss_w.value - 0.7 * 17.94 * 24, rel=1e-12)
    assert round(home_counted_w(heated(WEIR, gone)).value) == 9242 - 301
    assert living.counted_required_w.value == pytest.approx(1.2 * living.counted_w.value, rel=1e-12)
    assert home_counted_w(heated(WEIR)).value == home_loss_w(heated(WEIR)).value


def test_a_part_that_is_not_said_to_be_any_is_named() -> None:
    """Boards of no kind answer nothing, and the gap says which line it is that does not tell."""
    overlay = 'remove = ["rooms.living.elements.floor"]\nrooms.living.elements.boards = { u_w_per_m2k = 0.7, area_m2 = 17.94 }'
    notes = [f.note for f in room("living", overlay).loss_w.missing()]
    assert notes == ['not answered: below; which part "boards" is, is not said']


def test_nothing_is_made_of_nothing_and_loses_nothing() -> None:
    """A door of 0 m² and a floor that nothing acts on need no construction, and add no bridge; half a difference needs all of it."""
    living = room("living", "heating.main.bridging_w_per_m2k = 0.15")
    assert [living.elements[n].loss_w_per_k.value for n in ("door", "above")] == [0, 0]
    assert living.bridging_w_per_k.value == pytest.approx(0.15 * (13.1 * 2.35 + 17.94), rel=1e-12)
    assert not room("living", "rooms.living.elements.above.of_dt = 0.5").loss_w.known
    assert not room("living", "rooms.living.elements.door.area_m2 = 1.9").loss_w.known


def test_no_glass_is_an_opening_of_nought() -> None:
    """Granary's hall: without the line that says there is none the wall is unknown, with it the room is."""
    assert round(room("hall", home=GRANARY).loss_w.value) == 180
    assert room("hall", 'remove = ["rooms.hall.elements.window"]', GRANARY).elements["wall"].glass_unsaid


def test_a_margin_that_nobody_said_leaves_the_loss_standing() -> None:
    """The output wanted is unknown, the loss is not."""
    living = room("living", 'remove = ["heating.main.margin_share"]')
    assert living.loss_w.known
    assert [f.at for f in living.required_w.missing()] == ["heating.main.margin_share"]


def test_a_window_larger_than_its_wall_is_told() -> None:
    """No negative wall: the area is unknown and says why."""
    wall = room("living", "rooms.living.elements.window.area_m2 = 40").elements["wall"]
    assert wall.area_m2.note == "its openings, 40 m², are larger than the wall, 30.8 m²"


def test_colder_inside_than_outside_is_no_loss() -> None:
    """Nothing is credited: a cold store on a warm day is unknown, not a gain."""
    assert room("living", "heating.main.outside_c = 25").loss_w.note == "21 °C inside is colder than 25 °C outside"


def test_a_room_of_which_nothing_is_asked_is_not_heated() -> None:
    """The pantry has no temperature, no use and no skin on record; one with a temperature alone is heated, and unknown."""
    assert not room("pantry").is_heated
    asked = room("pantry", "rooms.pantry.design_c = 16")
    assert asked.is_heated
    assert asked.loss_w_per_k.missing()[0].note == "nothing is recorded of what it loses heat through"
    assert home_loss_w([]).missing()[0].note == "no heated room is recorded"


# ---- by tables ------------------------------------------------------------------------------------------------------
BY_TABLE = """
remove = ["rooms.bed-1.design_c", "rooms.bed-1.air_changes_per_h", "heating.main.outside_c", "fabric.glazing.u_w_per_m2k"]
rooms.bed-1.use = "{use}"
heating.main.place = "{place}"
heating.main.air_basis = "{basis}"
fabric.glazing.built = "{built}"
"""


def test_a_use_a_place_and_a_construction_are_looked_up() -> None:
    """Bedroom 18 °C and 1 change (BS 5449-3:1990, quoted); Birmingham -3.4 °C (MIS 3005, quoted); older double glazing 2.8."""
    bed = room("bed-1", BY_TABLE.format(use="bedroom", place="Birmingham", basis="BS 5449-3:1990", built="double glazed, older"))
    assert (bed.inside_c.value, bed.outside_c.value, bed.air_changes_per_h.value) == (18, -3.4, 1)
    assert bed.elements["window"].u_w_per_m2k.value == 2.8
    assert bed.loss_w.value == pytest.approx(room("bed-1").loss_w.value * 21.4 / 21, rel=1e-12)


def test_what_no_table_has_is_unknown_with_the_nearest_rows() -> None:
    """A use, a place and a construction that stand in no table are each unknown, and say what there is."""
    bed = room("bed-1", BY_TABLE.format(use="utility", place="Nowhere", basis="draught-proofed", built="straw bales"))
    for fact in (bed.inside_c, bed.outside_c, bed.air_changes_per_h, bed.elements["window"].u_w_per_m2k):
        assert not fact.known
        assert "has no row for" in fact.note
    assert not bed.loss_w.known
