"""What a job holds. Every quantity is a Fact; an absent one is unknown. Names of things are the keys of their tables."""
from __future__ import annotations

import datetime
from collections.abc import Mapping

from spareway.fact import Fact
from spareway.job.fields import (
    address,
    addresses,
    date,
    flag,
    names,
    number,
    numbers,
    record,
    table,
    tables,
    text,
    whole,
    word,
    words,
)

EARTHING = ("TN-S", "TN-C-S", "TT", "TN-C", "IT")
METHODS = ("A", "B", "C", "D", "E", "F", "100", "101", "102", "103")
CABLES = ("t&e", "tails", "singles", "armoured", "flex", "earthing", "bond", "service", "triplex", "mineral", "other")
FUSES = ("bs88-2", "bs88-3", "bs1361", "bs1361-1", "bs1361-2", "bs3036", "bs1362")
CURVES = ("B", "C", "D")
RESIDUAL_TYPES = ("AC", "A", "F", "B")
OWNERS = ("customer", "network operator", "meter operator", "landlord", "freeholder", "neighbour", "ours")
SURGE_TYPES = ("1", "2", "3", "1 and 2")
NOTICES = ("none", "two supplies", "isolate here", "do not isolate here")
ROLES = ("ordinary", "skilled", "operator")
STAGES = ("found", "proposed", "fitted")
NATIONS = ("England", "Wales", "Scotland", "Northern Ireland")
TENURES = ("owner-occupied", "private rented", "social rented", "leasehold let")
ROOM_USES = ("living room", "dining room", "bed-sitting room", "bedroom", "kitchen", "bathroom", "WC", "utility",
             "hall and stairs")       # a use with no row in a table leaves what is looked up there unknown
SKIN = ("outside wall", "glass", "door", "above", "below")                  # of a room, what each has or is said to have none of
HEATED_BY = ("electricity", "gas", "oil", "solid fuel", "heat network", "nothing")   # a heat pump: electricity
LIES = ("buried, sheathed, protected from knocks", "buried, sheathed, not protected from knocks", "buried, bare to corrosion",
        "above ground, protected from knocks", "above ground, not protected from knocks")         # of earthing_conductor.toml
AIR_BASES = ("BS 5449-3:1990", "warranty standard", "draught-proofed", "before 2000", "2000 to 2006", "after 2006")
CHOICES = ("accepted", "declined", "departed", "limit agreed")
ASKED_OF = ("demand", "service fuse", "tails", "sources", "looped service", "earthing", "withdrawing the fuse", "repair")
SEAL_WAYS = ("its own people", "the meter operator on request", "whoever it names in writing")
LOOP_WAYS = ("ask first", "part the loop first")
BEYOND_TAILS = ("switch-fuse at the intake", "ask first")

Amount = Fact[float]
Text = Fact[str]
Flag = Fact[bool]
Ways = Fact[tuple[int, ...]]


@record
class Supply:
    """Where electricity comes in from the network: `supplies.main`."""
    name: str = ""
    joins: str = address("the terminal side it lands on", "cutout.in", needed=True)
    earthing: Text = text("earthing arrangement", "TN-S", EARTHING)
    origin: str = address("where the installation begins for voltage drop; the meter's outgoing side if none is named",
                          "meter.out", default="")
    ze_ohm: Amount = number("earth fault loop impedance outside the installation", 0.34, 0.001, 10_000)
    loop_ln_ohm: Amount = number("line to neutral loop impedance at the origin", 0.19, 0.001, 10_000)
    fault_ka: Amount = number("prospective fault current at the origin, the greater of line-neutral and line-earth", 1.2,
                              0.001, 100)
    phases_n: Amount = number("phases of the supply", 1, 1, 3)
    operator: Text = text("whose network it is, in the job's own words", "operator-east")
    looped: Flag = flag("the service loops on to a neighbour")
    looked: Flag = flag("somebody has looked at what there is and what joins it; no where a starting pattern alone says so")


@record
class Equipment:
    """A thing on the wall: `equipment.isolator`. Which fields make sense follows from its kind."""
    name: str = ""
    kind: str = word("what it is, a name from the list of kinds", "isolator-2p", needed=True)
    item: str = word("the catalogue item, if one was chosen", "main-switch-2p-100a", default="")
    room: str = word("the room it stands in", "kitchen", default="")
    space: str = word("the space it stands in", "pantry", default="")
    on: str = word("the circuit that feeds it", "warm-side", default="")
    says: str = word("what a person would add", "behind the hall door", default="")
    owner: Text = text("whose it is", "meter operator", OWNERS)
    rating_a: Amount = number("rated current", 100, 0.5, 1_000)
    fuse: Text = text("standard of the fuse inside, read off it", "bs1361-2", FUSES)
    fuse_a: Amount = number("rating read on the fuse itself", 80, 1, 630)
    carrier_a: Amount = number("rating printed on the carrier, which proves nothing", 100, 1, 630)
    fault_rating_ka: Amount = number("rated short-circuit capacity", 16, 0.5, 100)
    seal: Text = text("the seal on it", "present", ("present", "missing", "broken", "none fitted"))
    marks: Text = text("line and load marks of the maker", "none", ("none", "line and load"))
    one_way: Flag = flag("marked for current in one direction only")
    ways_n: Amount = number("ways of the board", 8, 1, 72)
    bars: Mapping[str, str] = words("which ways stand on which bar", {"a": "1-6", "b": "7-12"})
    bare_ways: Ways = numbers("ways with bare contacts within reach", [3, 4])
    empty_ways: Ways = numbers("ways that no cable comes to, as seen", [7])
    open_entries: Flag = flag("openings in its top or sides that a finger or water can enter")
    water: Flag = flag("signs of water in it")
    material: Text = text("what the enclosure is made of", "metal", ("metal", "plastic", "wood", "bakelite"))
    damage: Text = text("signs of heat or harm", "none", ("none", "browned", "burnt", "cracked"))
    residual_ma: Amount = number("rated residual operating current", 30, 6, 1_000)
    residual_type: Text = text("type of residual-current device", "A", RESIDUAL_TYPES)
    delayed: Flag = flag("residual-current device with a time delay (type S)")
    dc_detection: Flag = flag("has its own detection of smooth direct current, 6 mA")
    open_neutral: Flag = flag("opens by itself when the supply's combined neutral and earth is lost")
    up_kv: Amount = number("voltage protection level of the surge device", 1.4, 0.1, 10)
    uc_v: Amount = number("greatest continuous voltage of the surge device", 275, 50, 1_000, quantity="surge_uc_v")
    surge_type: Text = text("type of surge device", "2", SURGE_TYPES)
    lead_mm2: Amount = number("earth lead of the surge device", 16, 0.5, 95)
    max_fuse_a: Amount = number("greatest back-up fuse the maker allows", 125, 1, 630)
    isccr_ka: Amount = number("short-circuit rating of the surge device with that fuse", 25, 0.5, 100)
    connection: Text = text("connection of the surge device", "CT2", ("CT1", "CT2"))
    lead_line_m: Amount = number("length of the line lead of the surge device", 0.16, 0, 20)
    lead_neutral_m: Amount = number("length of the neutral lead of the surge device", 0.18, 0, 20)
    lead_earth_m: Amount = number("length of the earth lead of the surge device", 0.22, 0, 20)
    withstand_kv: Amount = number("impulse withstand of what the surge device protects", 2.5, 0.3, 8)
    distance_m: Amount = number("length of conductor from the surge device to the board it protects", 13, 0, 500)
    stamped_w: Amount = number("power stamped on it", 1500, 1, 100_000)
    stamped_v: Amount = number("voltage for which that power is stamped", 230, 50, 440)
    given_w: Amount = number("output of a storage heater through the hours its room is warm, by its maker", 850, 1, 30_000)
    electrode_ohm: Amount = number("resistance of the earth electrode", 120, 0, 10_000)
    from_zone_1_m: Amount = number("distance from the edge of zone 1 of a bath or shower", 3.2, 0, 50)
    notice: Text = text("the notice that stands at it", "two supplies", NOTICES)
    looked: Flag = flag("somebody has looked at it; no where a starting pattern alone says what it is")
    x_mm: Amount = number("from the left of its space", 40, 0, 20_000)
    y_mm: Amount = number("from the bottom of its space", 6, 0, 20_000)
    spacer_mm: Amount = number("spacer behind it", 18, 0, 500)


@record
class Stretch:
    """A part of a route that lies in one way: `stretches.trunking`, in the order written."""
    name: str = ""
    length_m: Amount = number("its length", 0.5, 0, 2_000)
    method: Text = text("reference method of installation", "B", METHODS)
    bundle: str = word("what shares this name runs bunched with it", "gable", default="")
    grouped_n: Amount = number("circuits or cables bunched here, this one counted", 3, 1, 30)
    ambient_c: Amount = number("temperature around it", 25, -20, 90)
    in_insulation_mm: Amount = number("length totally surrounded by thermal insulation", 100, 0, 50_000)


@record
class Run:
    """A conductor or set of conductors that joins things: `runs.tails-2`."""
    name: str = ""
    joins: tuple[str, ...] = addresses('its two ends, or one where the other is cut; "?" where it was not traced',
                                       ["meter.out", "blocks.1"])
    kind: str = word("what sort of conductor", "tails", CABLES, needed=True)
    size_mm2: Amount = number("line conductor, or the conductor itself", 16, 0.5, 400)
    cpc_mm2: Amount = number("protective conductor within it", 6, 0.5, 400)
    length_m: Amount = number("its length", 1.9, 0, 2_000)
    method: Text = text("reference method of installation", "C", METHODS)
    stretches: Mapping[str, Stretch] = tables(Stretch, "its route, where it does not all lie in one way")
    insulation_c: Amount = number("operating temperature of its insulation", 70, 60, 105)
    ambient_c: Amount = number("temperature around it", 25, -20, 90)
    grouped_n: Amount = number("circuits or cables bunched with it, this one counted", 1, 1, 30)
    colours: Text = text("colours of its conductors as found, line then neutral then earth", "red black")
    lies: Text = text("how an earthing conductor to an electrode lies, and what keeps corrosion and knocks off it", LIES[0], LIES)
    bare_ends: Flag = flag("ends not made off behind a cover")
    looked: Flag = flag("somebody has looked at its ends; no where a starting pattern alone says that it is there")


@record
class Device:
    """What stands in a way and protects a circuit."""
    kind: str = word("what it is, a name from the list of kinds", "rcbo-2p", needed=True)
    item: str = word("the catalogue item, if one was chosen", "rcbo-2p-b32-30a", default="")
    curve: Text = text("tripping characteristic of a breaker", "B", CURVES)
    fuse: Text = text("standard of a fuse", "bs3036", FUSES)
    rating_a: Amount = number("rated current", 32, 1, 630)
    residual_ma: Amount = number("rated residual operating current", 30, 6, 1_000)
    residual_type: Text = text("type of residual-current device", "A", RESIDUAL_TYPES)
    delayed: Flag = flag("residual-current device with a time delay (type S)")
    fault_rating_ka: Amount = number("rated short-circuit capacity", 6, 0.5, 100)
    let_through_a2s: Amount = number("energy let through at the fault current here, from the maker", 12_000, 1, 10_000_000)
    one_way: Flag = flag("marked for current in one direction only")
    up_kv: Amount = number("voltage protection level of a surge device", 1.4, 0.1, 10)
    uc_v: Amount = number("greatest continuous voltage of a surge device", 275, 50, 1_000, quantity="surge_uc_v")
    surge_type: Text = text("type of a surge device", "2", SURGE_TYPES)
    lead_mm2: Amount = number("earth lead of a surge device", 16, 0.5, 95)
    max_fuse_a: Amount = number("greatest back-up fuse the maker of a surge device allows", 125, 1, 630)
    isccr_ka: Amount = number("short-circuit rating of a surge device with that fuse", 25, 0.5, 100)
    connection: Text = text("connection of a surge device", "CT2", ("CT1", "CT2"))
    lead_line_m: Amount = number("length of the line lead of a surge device", 0.16, 0, 20)
    lead_neutral_m: Amount = number("length of the neutral lead of a surge device", 0.18, 0, 20)
    lead_earth_m: Amount = number("length of the earth lead of a surge device", 0.22, 0, 20)
    withstand_kv: Amount = number("impulse withstand of what a surge device protects", 2.5, 0.3, 8)
    distance_m: Amount = number("length of conductor from a surge device to what it protects", 13, 0, 500)


@record
class Cable:
    """The cable of a circuit from its way to its end."""
    kind: str = word("what sort of cable", "t&e", CABLES, needed=True)
    line_mm2: Amount = number("line conductor", 2.5, 0.5, 400)
    cpc_mm2: Amount = number("protective conductor", 1.5, 0.5, 400)
    without_cpc: Flag = flag("there is no protective conductor in it")
    length_m: Amount = number("its length; a ring's from end to end", 21, 0, 2_000)
    method: Text = text("reference method of installation", "C", METHODS)
    stretches: Mapping[str, Stretch] = tables(Stretch, "its route, where it does not all lie in one way")
    insulation_c: Amount = number("operating temperature of its insulation", 70, 60, 105)
    ambient_c: Amount = number("temperature around it", 25, -20, 90)
    grouped_n: Amount = number("circuits or cables bunched with it, this one counted", 1, 1, 30)
    concealed: Flag = flag("in a wall at less than 50 mm without earthed metal around it")


@record
class Point:
    """A point of a circuit: `points.p3`."""
    name: str = ""
    from_: str = word("the point before it, or way, way.a, way.b", "p2", needed=True)
    length_m: Amount = number("cable from the point before", 5, 0, 2_000)
    back_to: str = word("where the ring goes home", "way.b", default="")
    back_m: Amount = number("cable from here home", 4, 0, 2_000)
    feeds: str = word("what it feeds, a name from the list of appliances", "sockets", default="")
    before: str = word("what stands before the appliance", "fused-spur", default="")
    spur_fuse_a: Amount = number("fuse in the fused connection unit", 13, 1, 13)
    room: str = word("the room it is in", "hall", default="")
    line_mm2: Amount = number("line conductor, where it differs", 1.5, 0.5, 400)
    cpc_mm2: Amount = number("protective conductor, where it differs", 1.0, 0.5, 400)
    load_w: Amount = number("power of what it feeds", 9, 0, 100_000)
    from_zone_1_m: Amount = number("distance from the edge of zone 1 of a bath or shower", 3.2, 0, 50)
    neutral: str = word("the circuit, or circuit.point, on whose neutral it returns", "lamps-up", default="")


@record
class Lands:
    """Where a core lands elsewhere than on its own way."""
    L: str = address("terminal its line lands on", "board.4.L", default="")
    N: str = address("terminal its neutral lands on", "board.4.N", default="")
    E: str = address("terminal its protective conductor lands on", "board.bar.N", default="")


@record
class Circuit:
    """A circuit: `circuits.cooker`."""
    name: str = ""
    way: str = address("the way it stands in", "board.5", needed=True)
    says: str = word("what a person calls it", "Sockets, ground floor", default="")
    feeds: str = word("what it feeds: an appliance, or the side of a thing (a submain)", "sockets", default="")
    device: Device | None = table(Device, "what protects it")
    cable: Cable | None = table(Cable, "its cable")
    shape: str = word("ring or radial", "ring", ("ring", "radial"), default="radial")
    load_w: Amount = number("power of what it feeds at the nominal voltage", 2750, 0, 100_000)
    load_a: Amount = number("design current, where it is stated and not worked out", 20, 0, 630)
    neutral: str = word("the circuit on whose neutral it returns", "lamps-up", default="")
    lands: Lands | None = table(Lands, "cores that land elsewhere")
    points: Mapping[str, Point] = tables(Point, "its points in order")


@record
class Earthing:
    """An earthing arrangement of its own, of an outbuilding: `earthing.shed`."""
    name: str = ""
    kind: Text = text("earthing arrangement", "TT", EARTHING)
    joins: str = address("the earth terminal it serves", "shed.bar.E", default="")
    electrode_ohm: Amount = number("resistance of its electrode", 90, 0, 10_000)


@record
class Fabric:
    """A construction: `fabric.outside-wall`."""
    name: str = ""
    says: str = word("what it is made of", "one-brick solid", default="")
    u_w_per_m2k: Amount = number("thermal transmittance", 1.7, 0, 10)
    built: Text = text("what it is in the table of constructions, where nothing says its transmittance",
                       "solid brick, measured mean in situ")
    could_be_w_per_m2k: Amount = number("thermal transmittance it could have", 0.16, 0, 10, quantity="improved_u_w_per_m2k")
    measure: str = word("what would be done to it for that", "270 mm of wool", default="")
    part: str = word("which part of a room's skin it makes", "outside wall", SKIN, default="")


@record
class Element:
    """A part of a room's skin: `elements.wall`."""
    name: str = ""
    of: str = word("the construction it is of", "outside-wall", default="")
    part: str = word("which part it is, where neither its construction nor a plain name says so", "above", SKIN, default="")
    u_w_per_m2k: Amount = number("thermal transmittance, where no construction is named", 1.2, 0, 10)
    length_m: Amount = number("gross length; the room's height is its other side", 6.6, 0, 1_000, quantity="side_m")
    area_m2: Amount = number("area", 1.6, 0, 10_000)
    cut_from: str = word("the element an opening is cut from", "wall", default="")
    of_dt: Amount = number("share of the temperature difference that acts on it", 0.5, 0, 1)


@record
class Size:
    """Outer or inner size of a room or space; only what applies is given."""
    length_m: Amount = number("length", 3.6, 0, 1_000, quantity="side_m")
    width_m: Amount = number("width", 3.0, 0, 1_000)
    height_m: Amount = number("height", 2.35, 0, 100)
    width_mm: Amount = number("width", 640, 0, 100_000)
    height_mm: Amount = number("height", 248, 0, 100_000)
    depth_mm: Amount = number("depth", 310, 0, 100_000)


@record
class Room:
    """A room: `rooms.kitchen`."""
    name: str = ""
    floor: str = word("the floor it is on", "ground", default="")
    use: Text = text("what it is used for, by which its temperature and air changes are looked up", "bedroom", ROOM_USES,
                     quantity="room_use")
    size: Size | None = table(Size, "inner size")
    design_c: Amount = number("design temperature inside", 18, 0, 40)
    heated_by: Text = text("what heats it, where that is not what heats the home", "gas", HEATED_BY)
    air_changes_per_h: Amount = number("air changes", 2.0, 0, 20)
    bath: Flag = flag("a bath or shower is in it")
    elements: Mapping[str, Element] = tables(Element, "what it loses heat through")


@record
class Heating:
    """What the heat of all rooms is reckoned with: `heating.main`."""
    name: str = ""
    heated_by: Text = text("what heats the home, where no heater of a room says it", "gas", HEATED_BY)
    outside_c: Amount = number("temperature outside on the design day", -3, -40, 30)
    place: Text = text("the place by which it is looked up, where nothing says it", "Birmingham", quantity="design_place")
    bridging_w_per_m2k: Amount = number("addition for heat bridges, a square metre that faces outside", 0.15, 0, 1)
    margin_share: Amount = number("margin for heating up, as a share of the loss", 0.2, 0, 2)
    air_basis: Text = text("the table by which air changes are counted where a room does not say them", "before 2000", AIR_BASES)
    degree_days_kd: Amount = number("degree-days of a year, by the temperatures that are kept", 2100, 0, 10_000)
    air_share: Amount = number("air changes of the whole season, as a share of those of the design day", 1, 0, 1)
    air_could_be_share: Amount = number("that share with draughts stopped", 0.6, 0, 1, quantity="stopped_share")
    price_p_per_kwh: Amount = number("price of electricity for heating", 27, 0, 1_000)
    price_on: datetime.date | None = date("the day of that price", "2026-11-09")


@record
class Logged:
    """What a logger at the intake wrote, a row a minute, as it was read: `logs.january`."""
    name: str = ""
    says: str = word("what a person would add", "the old heaters, all rooms in use", default="")
    since: datetime.date | None = date("its first day", "2026-01-12")
    until: datetime.date | None = date("its last day", "2026-01-18")
    highest_a: Amount = number("its highest minute", 44, 0, 1_000, quantity="highest_minute_a")
    outside_c: Amount = number("mean temperature outside over it", 4, -40, 40)
    lasting_w: Amount = number("heaters, stored water and charging that were connected then", 10_000, 0, 200_000,
                               quantity="load_w")


@record
class Box:
    """A place in a space, from its lower left corner at the back wall."""
    name: str = ""
    x_mm: Amount = number("at, from the left", 410, 0, 100_000)
    y_mm: Amount = number("at, from the bottom", 120, 0, 100_000)
    x_from_mm: Amount = number("from, from the left", 210, 0, 100_000)
    x_to_mm: Amount = number("to, from the left", 260, 0, 100_000)
    y_from_mm: Amount = number("from, from the bottom", 248, 0, 100_000)
    y_to_mm: Amount = number("to, from the bottom", 268, 0, 100_000)
    z_from_mm: Amount = number("from, from the back wall", 0, 0, 100_000)
    z_to_mm: Amount = number("to, from the back wall", 310, 0, 100_000)
    free_mm: Amount = number("free length of the cable that comes out here", 175, 0, 100_000)
    bend_mm: Amount = number("least bending radius", 30, 0, 1_000)


@record
class Space:
    """Where a board goes: `spaces.pantry`."""
    name: str = ""
    size: Size | None = table(Size, "inner size")
    things: Mapping[str, Box] = tables(Box, "what stands in the way")
    no_x_drill: Mapping[str, Box] = tables(Box, "where nothing may be drilled")
    exits: Mapping[str, Box] = tables(Box, "where cables come out")


@record
class Parts:
    """All tables of an installation: premises.toml, found.toml, work.toml, fitted.toml and options share this grammar."""
    supplies: Mapping[str, Supply] = tables(Supply, "where electricity comes in")
    equipment: Mapping[str, Equipment] = tables(Equipment, "things on the wall")
    runs: Mapping[str, Run] = tables(Run, "what joins what")
    circuits: Mapping[str, Circuit] = tables(Circuit, "circuits")
    earthing: Mapping[str, Earthing] = tables(Earthing, "earthing arrangements of outbuildings")
    fabric: Mapping[str, Fabric] = tables(Fabric, "constructions")
    rooms: Mapping[str, Room] = tables(Room, "rooms")
    heating: Mapping[str, Heating] = tables(Heating, "what the heat of the rooms is reckoned with")
    spaces: Mapping[str, Space] = tables(Space, "spaces for boards")
    logs: Mapping[str, Logged] = tables(Logged, "what loggers wrote of the current at the intake")


@record
class Permission:
    """A permission somebody gave, with its reference: `permissions.pull-fuse`."""
    name: str = ""
    part: str = address("the control it is about", "cutout.fuse", needed=True)
    by: str = word("who gave it", "operator-east", needed=True)
    ref: str = word("its reference", "E-114", needed=True)
    until: datetime.date | None = date("the last day it holds", "2026-12-04")


@record
class Decision:
    """What a person accepted, declined or agreed as a limit: `decisions.no-surge`."""
    name: str = ""
    about: str = word("rule code and address", "SP1 equipment.board", needed=True)
    choice: str = word("what was decided", "declined", CHOICES, needed=True)
    who: str = word("who decided", "owner", needed=True)
    on: datetime.date | None = date("when", "2026-11-27", needed=True)
    why: str = word("the reason given", "cost", needed=True)


@record
class Reply:
    """What an operator, landlord or maker answered: `replies.long-tails`. An answer settles what it `answers` and no more."""
    name: str = ""
    about: str = word("rule code and address, or the thing asked about", "TL5 runs.riser", needed=True)
    answers: tuple[str, ...] = names("what a network operator was asked that this settles", ["tails"])
    by: str = word("who answered", "operator-east", needed=True)
    ref: str = word("its reference", "Q-20", default="")
    on: datetime.date | None = date("when", "2026-11-20")
    until: datetime.date | None = date("the last day it holds", "2027-05-20")
    allows: Flag = flag("the answer was yes")
    says: str = word("what was said", "13 m accepted with a switch-fuse at the intake", default="")
    tail_m: Amount = number("longest tails it accepts behind its fuse alone", 13, 0, 500)
    raised_fuse_a: Amount = number("service fuse it will put in", 100, 1, 630)
    agreed_a: Amount = number("greatest demand it agreed to", 80, 1, 1_000)
    agreed_sources_a: Amount = number("current of all sources together it agreed to", 32, 0, 1_000)


@record
class Enquiry:
    """What was asked of an operator, by whom and when: `enquiries.more-load`."""
    name: str = ""
    asks: tuple[str, ...] = names("what was asked", ["demand", "tails"])
    to: str = word("who was asked", "operator-east", needed=True)
    by: str = word("who asked", "surveyor", needed=True)
    on: datetime.date | None = date("when", "2026-11-10")
    ref: str = word("the reference it was given", "Q-20", default="")


@record
class Operator:
    """What a network operator wants asked and told, as it said on a day: `operators.operator-east`."""
    name: str = ""
    says: str = word("what a person would add", "the district east of the river", default="")
    asked: datetime.date | None = date("the day it said so, or its page was read", "2026-05-11", needed=True)
    ref: str = word("where it said so", "E-90", default="")
    apply_above_a: Amount = number("greatest demand of a home that may be installed before it answers", 60, 0, 1_000)
    told_of_heating: Flag = flag("it wants to be told of fixed electric heating within that")
    looped: Text = text("what it wants where the service loops on to a neighbour", "ask first", LOOP_WAYS, quantity="loop_way")
    tail_m: Amount = number("longest tails it accepts behind its fuse alone", 3, 0, 500)
    beyond_tails: Text = text("what it wants where they are longer", "switch-fuse at the intake", BEYOND_TAILS)
    seals: Text = text("who may break its seals and make them", "its own people", SEAL_WAYS, quantity="seal_way")


@record
class JobFile:
    """job.toml: what the job is."""
    schema: int = whole("version of this grammar", 1, 1, 999, needed=True)
    says: str = word("what the job is called", "a cottage by a lock", default="")
    stage: str = word("the furthest stage reached", "found", STAGES, default="")
    nation: str = word("whose law holds", "England", NATIONS, default="")
    tenure: str = word("who lives there", "owner-occupied", TENURES, default="")
    books: Mapping[str, str] = words("rule books and their editions", {"bs7671": "2018+A4"})
    dates: Mapping[str, str] = words("survey, design, work, test", {"survey": "2026-11-02"})
    doorstep: Mapping[str, str] = words("what was asked at the door, with yes, no, or why nobody knows", {"medical": "no"})
    options: tuple[str, ...] = names("accepted options, in order", ["solar-ready"])
    zs_site_limit: str = word("which site limit the firm uses for a cold reading", "0.8 exact",
                              ("0.8 exact", "0.8 printed", "1/1.24 exact"), default="0.8 exact")
    permissions: Mapping[str, Permission] = tables(Permission, "permissions given")
    decisions: Mapping[str, Decision] = tables(Decision, "decisions of persons")
    enquiries: Mapping[str, Enquiry] = tables(Enquiry, "what was asked of operators")
    replies: Mapping[str, Reply] = tables(Reply, "answers received")
    operators: Mapping[str, Operator] = tables(Operator, "what network operators want asked and told, each with its day")


@record
class Person:
    """people.toml: `people.owner`; apart, so that a job can be shared without it."""
    name: str = ""
    called: str = word("name", "the lock-keeper's family", default="")
    address: str = word("address", "the lock", default="")
    reach: str = word("telephone or mail", "by telephone, evenings", default="")
    role: str = word("part in this job", "owner", default="")
    consents: tuple[str, ...] = names("what was agreed to", ["photos of the intake"])


@record
class People:
    people: Mapping[str, Person] = tables(Person, "who is concerned")


@record
class Instrument:
    """kit.toml: `kit.tester-1`."""
    name: str = ""
    what: str = word("what it is", "multifunction tester", default="")
    serial: str = word("serial number", "0042", default="")
    calibrated: datetime.date | None = date("last calibration", "2026-03-01")
    until: datetime.date | None = date("calibration holds until", "2027-03-01")


@record
class Kit:
    kit: Mapping[str, Instrument] = tables(Instrument, "testers and torque drivers")
