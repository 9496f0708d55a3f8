"""The wired record on small networks drawn by hand: each answer can be read off the links. Hand-worked."""
from __future__ import annotations

import pytest

from spareway.kinds.joints import Link
from spareway.wiring.network import LockOff, Network, Stop, UnknownName
from spareway.wiring.potentials import EARTH, LINE, NEUTRAL, NO_PATH, NOT_KNOWN, THROUGH_A_LOAD
from spareway.wiring.witness import witness

SUPPLY = {"head.in.L": "L", "head.in.N": "N"}
HEAD = [Link("head.in.L", "head.out.L", control="head.fuse"), Link("head.in.N", "head.out.N")]


def pair(name: str, a: str, b: str, conductors: str = "LN") -> list[Link]:
    return [Link(f"{a}.{c}", f"{b}.{c}", lift=f"{name}.{c}") for c in conductors]


def poles(a: str, b: str, control: str, conductors: str = "LN") -> list[Link]:
    return [Link(f"{a}.{c}", f"{b}.{c}", control=control) for c in conductors]


def surge_isolator(fed_at: str) -> Network:
    """A two-pole isolator whose bottom is linked to surge modules; `fed_at` is the end at which the supply lands."""
    inside = [*poles("isolator.bottom", "isolator.top", "isolator.switch"),
              *(Link(f"isolator.bottom.{c}", f"isolator.surge.{c}") for c in "LN"),
              *(Link(f"isolator.surge.{c}", "isolator.surge.E", "~") for c in "LN")]
    return Network([*HEAD, *pair("tails", "head.out", f"isolator.{fed_at}"), *inside], SUPPLY,
                   {"head.fuse": "operator", "isolator.switch": "ordinary"})


MODULES = ("isolator.surge.L", "isolator.surge.N")


def test_surge_isolator_fed_at_the_modules_end_has_no_lock_off() -> None:
    """Granary row 1: line on the modules with the switch open, nothing that a skilled person may open helps."""
    wrong = surge_isolator("bottom")
    words = wrong.potential(["isolator.switch"])
    assert [words[t] for t in (*MODULES, "isolator.top.L")] == [LINE, NEUTRAL, NO_PATH]
    assert wrong.lock_off(MODULES) == LockOff(None, (("isolator.surge.L", LINE), ("isolator.surge.N", NEUTRAL)), ())


def test_the_fuse_does_not_cut_the_neutral_so_an_operator_may_only_leave_it() -> None:
    wrong = surge_isolator("bottom")
    assert wrong.lock_off(MODULES, by="operator") == LockOff(None, (("isolator.surge.N", NEUTRAL),), ())
    assert wrong.lock_off(MODULES, by="operator", leave_neutral=True).controls == ("head.fuse",)
    assert wrong.lock_off(MODULES, by="skilled", leave_neutral=True).controls is None


def test_surge_isolator_fed_at_the_other_end_is_locked_off_by_its_switch() -> None:
    right = surge_isolator("top")
    assert right.lock_off(MODULES) == LockOff(("isolator.switch",), (), ())
    words = right.potential(["isolator.switch"])
    assert [words[t] for t in (*MODULES, "isolator.top.L")] == [NO_PATH, NO_PATH, LINE]


def lighting() -> Network:
    """Two lighting circuits; the landing lamp takes line from one and gives its neutral to the other."""
    ways = [link for way in ("ground", "first") for link in (
        Link("bar.L", f"{way}.L", control=f"{way}.device"), Link("bar.N", f"{way}.N", lift=f"{way}.N"))]
    lamps = [Link("ground.L", "ground.N", "="), Link("first.L", "first.N", "="), Link("ground.L", "first.N", "=")]
    return Network([*HEAD, *poles("head.out", "bar", "main"), *ways, *lamps], SUPPLY,
                   {"head.fuse": "operator"} | dict.fromkeys(("main", "ground.device", "first.device"), "ordinary"))


def test_a_borrowed_neutral_once_lifted_is_live_through_the_lamp() -> None:
    """Weir row 1: the other circuit's device is open, its neutral is lifted, and the landing lamp feeds it."""
    borrowed = lighting()
    assert borrowed.potential(["first.device"])["first.N"] == NEUTRAL
    words = borrowed.potential(["first.device", "first.N"])
    assert (words["first.N"], words["first.L"]) == (THROUGH_A_LOAD, THROUGH_A_LOAD)
    assert borrowed.lock_off(["first.L"]) == LockOff(("first.device",), (), ("first.N",))


def test_working_on_a_borrowed_neutral_takes_the_switch_that_feeds_the_lamp_too() -> None:
    assert lighting().lock_off(["first.N"]) == LockOff(("main",), (), ())
    assert lighting().lock_off(["first.N"], leave_neutral=True) == LockOff((), (), ("first.N",))


def test_a_neutral_lost_at_the_origin_lifts_every_neutral_to_line_through_the_loads() -> None:
    lost = lighting()
    links = [Link(k.a, k.b, k.joint, k.control, "tails.N") if k.a == "head.in.N" else k for k in lost.links]
    lost = Network(links, lost.sources, lost.controls)
    words = lost.potential(["tails.N"])
    assert {words[t] for t in ("bar.N", "ground.N", "first.N", "head.out.N")} == {THROUGH_A_LOAD}
    assert words["head.in.N"] == NEUTRAL
    assert "tails.N" in lost.lock_off(["first.N"], leave_neutral=True).undone_by


def test_opening_a_neutral_can_make_a_part_live_so_fewer_is_not_always_deader() -> None:
    """A heater's own line is cut; its neutral pole, opened as well, lets a second lamp feed it through the heater."""
    net = Network([*poles("in", "bar", "line-switch", "L"), *poles("in", "bar", "neutral-switch", "N"),
                   Link("bar.L", "bar.N", "="), Link("in.L", "bar.N", "=")],
                  {"in.L": "L", "in.N": "N"}, {"line-switch": "skilled", "neutral-switch": "skilled"})
    assert net.potential(["line-switch"])["bar.L"] == NO_PATH
    assert net.potential(["line-switch", "neutral-switch"])["bar.L"] == THROUGH_A_LOAD
    assert net.lock_off(["bar.L"]) == LockOff(("line-switch",), (), ("neutral-switch",))
    assert net.lock_off(["bar.L", "bar.N"]).controls is None


def test_a_time_switch_and_a_neighbours_switch_never_count_as_open() -> None:
    for role in ("itself", "other"):
        net = Network([*poles("in", "heater", "clock"), Link("heater.L", "heater.N", "=")],
                      {"in.L": "L", "in.N": "N"}, {"clock": role}, permitted=["clock"])
        assert net.potential(["clock"])["heater.L"] == LINE
        assert net.lock_off(["heater.L"], by="operator").controls is None
        assert net.may_open("operator") == ()


def test_a_permission_lets_a_skilled_person_open_it_and_nobody_less() -> None:
    net = Network(poles("in", "out", "fuse", "L"), {"in.L": "L"}, {"fuse": "operator"}, permitted=["fuse"])
    assert net.lock_off(["out.L"], by="skilled").controls == ("fuse",)
    assert net.lock_off(["out.L"], by="ordinary").controls is None


def test_a_back_feed_needs_both_switches() -> None:
    """Mains and an inverter on one board: two line sources, so two things to open."""
    net = Network([*poles("head", "bar", "main"), *poles("roof", "bar", "roof-switch")],
                  {"head.L": "L", "head.N": "N", "roof.L": "L", "roof.N": "N"},
                  {"main": "ordinary", "roof-switch": "ordinary"})
    assert net.lock_off(["bar.L"]) == LockOff(("main", "roof-switch"), (), ())
    assert net.count("bar.L") == 3


def test_among_answers_of_one_size_the_first_in_order_of_names_is_given() -> None:
    series = [Link("a", "b", control="second"), Link("b", "c", control="first"), Link("c", "d", control="third")]
    net = Network(series, {"a": "L"}, dict.fromkeys(("second", "first", "third"), "ordinary"))
    assert net.lock_off(["d"]).controls == ("first",)


def test_an_untraced_end_may_be_a_source() -> None:
    net = Network([Link("cable.L", "box.L", lift="cable.L"), Link("box.L", "box.N", "=")], {"cable.L": "?"}, {})
    assert net.potential() == {"cable.L": NOT_KNOWN, "box.L": NOT_KNOWN, "box.N": NOT_KNOWN}
    assert net.potential(["cable.L"])["box.N"] == NO_PATH
    assert net.joined(["box.L"], "L") is None
    assert net.joined(["box.N"], "L") is False
    assert net.lock_off(["box.N"]) == LockOff(None, (("box.N", NOT_KNOWN),), ())


def test_what_is_solidly_on_neutral_or_earth_passes_nothing_on() -> None:
    loads = [Link("l", "x", "="), Link("x", "y", "="), Link("y", "z", "=")]
    chain = Network(loads, {"l": "L"}, {})
    assert [chain.potential()[t] for t in "xyz"] == [THROUGH_A_LOAD] * 3
    held = Network(loads, {"l": "L", "y": "E"}, {})
    assert [held.potential()[t] for t in "xyz"] == [THROUGH_A_LOAD, EARTH, NO_PATH]
    unknown = Network(loads, {"l": "L", "y": "?"}, {})
    assert [unknown.potential()[t] for t in "xyz"] == [THROUGH_A_LOAD, NOT_KNOWN, THROUGH_A_LOAD]


def test_a_surge_module_joins_nothing_until_there_is_a_surge() -> None:
    net = Network([Link("a", "b", "~")], {"a": "L"}, {})
    assert net.potential()["b"] == NO_PATH
    assert net.path("a", "b") is None


# ---- joined, path, where it stops -----------------------------------------------------------------------------------
def earthing(joined: bool) -> Network:
    """A surge device, its earth block, and the earthing terminal that the block may not be joined to."""
    links = [Link("surge.L", "surge.E", "~"), Link("surge.E", "block.a.E", lift="lead.E"),
             *(Link(f"block.{a}.E", f"block.{b}.E") for a, b in ("ab", "bc")),
             Link("riser.E", "terminal.E", lift="riser.E")]
    main = [Link("block.c.E", "terminal.E", lift="main.E")] if joined else []
    return Network([*links, *main], {"terminal.E": "E"}, {})


def test_an_earth_block_joined_to_nothing_is_found_by_path() -> None:
    """Granary row 2: everything else works, so no circuit test shows it."""
    apart = earthing(joined=False)
    assert apart.joined(["surge.E"], "E") is False
    assert apart.joined(["riser.E"], "E") is True
    assert apart.joined(["riser.E", "surge.E"], "E") is False
    assert apart.where_it_stops("surge.E", "E") == Stop(("surge.E", "block.a.E", "block.b.E", "block.c.E"),
                                                       ("block.b.E", "block.c.E"))
    whole = earthing(joined=True)
    assert whole.joined(["surge.E"], "E") is True
    assert whole.where_it_stops("surge.E", "E") is None
    assert [link.lift for link in whole.path("surge.E", "terminal.E") or ()] == ["lead.E", "", "", "main.E"]


def test_a_lead_landed_on_nothing_ends_at_its_loose_end_and_no_lead_at_the_start() -> None:
    loose = Network([Link("surge.E", "lead.end.E", lift="lead.E")], {"t.E": "E"}, {})
    assert loose.where_it_stops("surge.E", "E") == Stop(("surge.E", "lead.end.E"), ("lead.end.E",))
    bare = Network([Link("surge.E", "surge.E"), Link("t.E", "u.E", lift="other.E")], {"t.E": "E"}, {})
    assert bare.where_it_stops("surge.E", "E") == Stop(("surge.E",), ("surge.E",))


def test_an_earthing_that_is_not_known_is_neither_joined_nor_not() -> None:
    net = Network([Link("a.E", "b.E"), Link("c.E", "d.E")], {"a.E": "?", "c.E": "E"}, {})
    assert net.joined(["b.E"], "E") is None
    assert net.joined(["b.E", "d.E"], "E") is None
    assert net.potential()["b.E"] == NOT_KNOWN
    assert net.where_it_stops("b.E", "E") == Stop(("a.E", "b.E"), ("a.E",))


def test_path_is_the_shortest_and_respects_what_is_open_or_lifted() -> None:
    links = [Link("a", "b", control="s"), Link("a", "c", lift="long"), Link("c", "b")]
    net = Network(links, {}, {"s": "skilled"})
    assert net.path("a", "b") == (links[0],)
    assert net.path("b", "a", ["s"]) == (links[2], links[1])
    assert net.path("a", "b", ["s", "long"]) is None
    assert net.path("a", "a") == ()


# ---- conflicts ------------------------------------------------------------------------------------------------------
def test_line_meeting_neutral_or_another_phase_is_a_conflict_and_reads_as_line() -> None:
    short = Network([Link("l", "x"), Link("x", "n")], {"l": "L", "n": "N", "e": "E"}, {})
    assert short.conflicts() == {"l": "L+N", "n": "L+N", "x": "L+N"}
    assert set(short.potential().values()) == {LINE, EARTH}
    assert Network([Link("a", "b")], {"a": "L1", "b": "L2"}, {}).conflicts() == {"a": "L1+L2", "b": "L1+L2"}
    assert Network([Link("a", "b")], {"a": "L", "b": "L2"}, {}).conflicts() == {}


def test_the_link_that_the_supply_makes_between_neutral_and_earth_is_none() -> None:
    tn_c_s = [Link("in.N", "in.E"), Link("in.N", "bar.N"), Link("in.E", "bar.E")]
    sources = {"in.N": "N", "in.E": "E"}
    net = Network(tn_c_s, sources, {})
    assert net.conflicts() == {}
    assert (net.potential()["bar.N"], net.potential()["bar.E"]) == (NEUTRAL, EARTH)
    crossed = Network([*tn_c_s, Link("bar.E", "bar.N", lift="riser.E")], sources, {})
    assert set(crossed.conflicts().values()) == {"N+E"}
    assert crossed.potential()["bar.E"] == NEUTRAL


def test_many_sets_of_lifted_conductors_are_asked_without_keeping_them_all() -> None:
    links = [Link(f"t{i:03d}", f"t{i + 1:03d}", lift=f"k{i:03d}") for i in range(100)]
    net = Network(links, {"t000": "L"}, {})
    for i in (*range(100), 3):
        words = net.potential([f"k{i:03d}"])
        assert (words[f"t{i:03d}"], words[f"t{i + 1:03d}"]) == (LINE, NO_PATH)


def test_a_witness_is_asked_for_only_where_something_is_live() -> None:
    sections = surge_isolator("top").sections()
    with pytest.raises(AssertionError, match="no way leads to it"):
        witness(sections, sections.of[-1:], opened=1, free=0, marks=0)


# ---- what is refused ------------------------------------------------------------------------------------------------
def test_unknown_names_are_refused_with_the_nearest() -> None:
    net = surge_isolator("top")
    for ask, name, near in (
        (lambda: net.potential(["isolator.swich"]), "isolator.swich", "isolator.switch"),
        (lambda: net.potential(["tails.M"]), "tails.M", "tails.N"),
        (lambda: net.lock_off(["isolator.surge.Q"]), "isolator.surge.Q", "isolator.surge.N"),
        (lambda: net.lock_off(MODULES, by="skiled"), "skiled", "skilled"),
        (lambda: net.lock_off(MODULES, by="itself"), "itself", ""),
        (lambda: net.joined(["head.in"], "E"), "head.in", "head.in.N"),
        (lambda: net.joined(["head.in.L"], "?"), "?", ""),
        (lambda: net.path("head.in.L", "nowhere"), "nowhere", ""),
        (lambda: net.counts("L1"), "L1", "L"),
        (lambda: net.trace().toggle("switch"), "switch", "isolator.switch"),
    ):
        with pytest.raises(UnknownName) as caught:
            ask()
        assert (caught.value.name, caught.value.nearest) == (name, near)


def test_a_network_that_does_not_hang_together_is_refused() -> None:
    with pytest.raises(UnknownName, match="no letter of a source is called X"):
        Network([], {"a": "X"}, {})
    with pytest.raises(UnknownName, match="no role is called anyone"):
        Network([], {}, {"s": "anyone"})
    with pytest.raises(UnknownName, match=r"no control is called s1; did you mean s2\?"):
        Network([Link("a", "b", control="s1")], {}, {"s2": "skilled"})
    with pytest.raises(UnknownName, match="no joint is called x"):
        Network([Link("a", "b", "x")], {}, {})
    with pytest.raises(UnknownName, match="no control is called p"):
        Network([], {}, {}, permitted=["p"])


def test_asking_about_nothing_is_refused_so_that_it_cannot_read_as_all_dead() -> None:
    with pytest.raises(ValueError, match="no part was named"):
        surge_isolator("top").lock_off([])
    with pytest.raises(ValueError, match="no terminal was named"):
        surge_isolator("top").joined([], "E")
