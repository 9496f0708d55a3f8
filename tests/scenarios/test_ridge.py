"""Ridge Annexe: three things feed one house. Our own; figures worked by hand here, beside the clause they come from."""
from __future__ import annotations

import pytest

from spareway.api import check
from spareway.design.design import Design
from spareway.job.job import read_job
from tests.scenarios import by_hand
from tests.scenarios.folders import EXAMPLES, design, findings, still_live, texts

RIDGE = "ridge-annexe"
MODULES = ["isolator.surge.L", "isolator.surge.N"]


def without_permission() -> Design:
    """The survey as if nobody had given leave to draw the fuse."""
    files = {p.name: p.read_text("utf-8") for p in (EXAMPLES / RIDGE).iterdir() if p.suffix in (".toml", ".csv")}
    files["job.toml"] = files["job.toml"].replace('part = "cutout.fuse"', 'part = "board.switch"')
    return Design(read_job(files).at("proposed"))


# ---- back-feed ----------------------------------------------------------------------------------------------------
def test_roof_and_battery_hold_the_busbar_when_the_street_is_off() -> None:
    """Back-feed: with our isolator open the board's busbar and even the isolator's upper end hold line."""
    now = design(RIDGE, "proposed").network.potential(["isolator.switch"])
    for terminal in ("board.bar.L", "board.in.L", "rcd-front.in.L", "isolator.top.L", "isolator.surge.L",
                     "backup.bar.L"):
        assert now[terminal] == "line", terminal


def test_dead_busbar_takes_three_openings() -> None:
    """Back-feed: street, roof and battery, one opening each; any two of the three leave the busbar live."""
    network = design(RIDGE, "proposed").network
    found = network.lock_off(["board.bar.L", "board.bar.N"], "ordinary").controls
    assert found is not None
    assert len(found) == 3
    for left in found:
        assert network.potential([c for c in found if c != left])["board.bar.L"] == "line"


def test_no_inverter_is_trusted_to_let_go() -> None:
    """Back-feed: what an inverter opens by itself is never an opening: naming it changes nothing."""
    network = design(RIDGE, "proposed").network
    alone = [c for c, who in network.controls.items() if who == "itself"]
    assert sorted(alone) == ["battery.transfer", "charger.contactor", "pv.loss-of-mains"]
    assert network.potential([*alone, "isolator.switch"]) == network.potential(["isolator.switch"])
    for part in (["board.bar.L"], MODULES, ["backup.bar.L"]):
        controls = network.lock_off(part, "skilled").controls
        assert controls is not None
        assert not set(controls) & set(alone)


def test_backup_board_is_live_by_design() -> None:
    """Back-up: with everything else open its busbar is live; its own main switch is the lock-off of its busbar."""
    of = design(RIDGE, "proposed")
    others = [c for c in of.network.may_open("skilled") if not c.startswith("backup.")]
    now = of.network.potential(others)
    assert (now["backup.bar.L"], now["board.bar.L"]) == ("line", "no path in the record")
    assert of.network.lock_off(["backup.bar.L", "backup.bar.N"], "skilled").controls == ("backup.switch",)
    assert of.network.lock_off(["backup.in.L"], "skilled").controls is None


def test_surge_modules_are_fed_from_two_sides() -> None:
    """Second isolation: the modules need our isolator and one opening towards the house."""
    of = design(RIDGE, "proposed")
    controls = of.network.lock_off(MODULES, "skilled").controls
    assert controls is not None
    assert len(controls) == 2
    assert "isolator.switch" in controls
    assert of.network.potential(["isolator.switch"])["isolator.surge.L"] == "line"
    assert findings(RIDGE, "proposed")["IN7", "isolator.surge modules"].verdict == "within"


@pytest.mark.parametrize(("thing", "switch"), [("pv", "pv-switch.switch"), ("battery", "battery-switch.switch")])
def test_each_inverter_can_be_parted_beside_it(thing: str, switch: str) -> None:
    """Second isolation: the switch beside each inverter parts its own side from the board."""
    now = design(RIDGE, "proposed").network.potential([switch, "isolator.switch"])
    near, far = switch.replace(".switch", ".top.L"), switch.replace(".switch", ".bottom.L")
    assert now[f"{thing}.in.L"] == now[near] == "line"
    both = design(RIDGE, "proposed").network.potential(["pv-switch.switch", "battery-switch.switch", "isolator.switch"])
    assert both[far] == "no path in the record"


def test_the_fuse_may_be_drawn_only_with_the_leave_on_file() -> None:
    """Permission R-31: with it line before our isolator can be taken off; neutral stays; without it nothing does."""
    part = ["isolator.bottom.L"]
    with_leave = design(RIDGE, "proposed").network.lock_off(part, "skilled").controls
    assert with_leave is not None
    assert "cutout.fuse" in with_leave
    assert without_permission().network.lock_off(part, "skilled").controls is None
    assert design(RIDGE, "proposed").network.lock_off(["isolator.bottom.N"], "skilled").controls is None


def test_what_stays_live_with_every_main_switch_open() -> None:
    """Two supplies: all three main switches open, and what lies towards street, roof and battery is still live."""
    every = ["isolator.switch", "rcd-front.switch", "board.switch", "backup.switch"]
    live = still_live(design(RIDGE, "proposed"), every)
    assert {"cutout", "meter", "isolator", "board", "backup", "pv", "battery", "pv-switch", "battery-switch"} <= live


# ---- notices, directions, ratings ---------------------------------------------------------------------------------
def test_notices_of_two_supplies() -> None:
    """Two-supply notices (514.15.1): none as found; at every point of isolation in the work; one missing is told."""
    assert findings(RIDGE, "found")["SO1", "installation"].verdict == "fails"
    assert findings(RIDGE, "proposed")["SO1", "installation"].verdict == "within"
    for thing in ("isolator", "board", "backup", "pv-switch", "battery-switch", "rcd-front"):
        silent = findings(RIDGE, "proposed", f'equipment.{thing}.notice = "none"')["SO1", "installation"]
        assert silent.verdict == "fails"
        assert thing in silent.says


@pytest.mark.parametrize("circuit", ["solar", "storage"])
def test_devices_of_sources_carry_current_both_ways(circuit: str) -> None:
    """Directions (531.3.3): a residual-current breaker before a source must be stated for both."""
    here = ("CI11", f"circuits.{circuit}")
    line = f"circuits.{circuit}.device.one_way = "
    assert findings(RIDGE, "proposed")[here].verdict == "within"
    assert findings(RIDGE, "proposed", line + "true")[here].verdict == "fails"
    assert findings(RIDGE, "proposed", line + '{ unknown = "not marked" }')[here].verdict == "unknown"
    assert findings(RIDGE, "proposed")["CI11", "circuits.charging"].verdict == "not applicable"


def test_board_carries_fuse_and_sources_together() -> None:
    """Ratings (551.7.2): 80 + 16 + 22 = 118 A can meet on the busbar: 125 A will do, 100 A will not."""
    assert findings(RIDGE, "proposed")["BO7", "equipment.board"].verdict == "within"
    small = findings(RIDGE, "proposed", "equipment.board.rating_a = 100")["BO7", "equipment.board"]
    assert small.verdict == "fails"
    assert [f"{f.amount:.0f}" for f in small.facts] == ["100", str(80 + 16 + 22)]


def test_sources_are_counted() -> None:
    """Second sources: the roof as found, roof and battery as proposed; a one-way charge point is none."""
    assert design(RIDGE, "found").second_sources == ("pv",)
    assert set(design(RIDGE, "proposed").second_sources) == {"pv", "battery"}


def test_found_front_device_is_marked_for_one_way_only() -> None:
    """Directions: as found the roof feeds back through a front device marked for one direction."""
    key = [(rule, subject) for (rule, subject), f in findings(RIDGE, "found").items()
           if f.verdict == "fails" and rule == "SO5"]
    assert key, "nothing told of the roof behind a one-way device"
    assert not [f for (rule, _), f in findings(RIDGE, "proposed").items() if rule in ("CI11", "SO5") and f.verdict == "fails"]


def test_leads_behind_a_circuit_are_protected_by_its_device() -> None:
    """Ratings: leads beside an inverter stand behind a 20 or 32 A breaker and are not set against the service fuse."""
    of, found = design(RIDGE, "proposed"), findings(RIDGE, "proposed")
    for run, rating_a in (("pv-flex", 20), ("battery-leads", 32), ("backup-cable", 32)):
        assert of.runs[run].fuse_a.value == rating_a, run
        assert found["IN2", f"runs.{run}"].verdict == "within", run
        assert found["IN9", f"runs.{run}"].verdict == "not applicable", run


def test_two_pole_main_switch_is_told_apart_from_a_back_feed() -> None:
    """Back-feed: the busbar's neutral is held by other sources; the two-pole switch leaves nothing joined."""
    for stage, board in (("found", "old-board"), ("proposed", "board"), ("proposed", "backup")):
        assert findings(RIDGE, stage)["IN5", f"equipment.{board}"].verdict == "within", board


# ---- earth electrode ----------------------------------------------------------------------------------------------
def test_electrode_and_the_devices_that_rest_on_it() -> None:
    """TT (411.5.3): 50 V / 30 mA is 1,667 ohm and 50 V / 100 mA is 500; 88.4 and each circuit's own stay below both."""
    of = design(RIDGE, "proposed")
    assert (of.supply.ze_ohm.value, of.inst.equipment["rod"].electrode_ohm.value) == (88.4, 86)
    for name, c in of.circuits.items():
        limit = 50 / (c.residual_ma.value / 1000)
        assert f"{c.electrode_limit_ohm.value:.0f}" == f"{limit:.0f}" == "1667", name
        assert findings(RIDGE, "proposed")["CI1", f"circuits.{name}"].verdict == "within", name
    high = "supplies.main.ze_ohm = { measured = 1700 }"
    assert findings(RIDGE, "proposed", high)["CI1", "circuits.cooker"].verdict == "fails"


def test_zs_of_a_circuit_on_the_electrode() -> None:
    """TT: Zs is what the electrode loop reads and the circuit's own conductors."""
    c = design(RIDGE, "proposed").circuits["heat-1"]
    assert f"{c.zs_cold_ohm.value:.3f}" == f"{88.4 + by_hand.r1r2_ohm(10, 2.5, 1.5):.3f}" == "88.595"


def test_found_circuits_rest_on_the_front_device_alone() -> None:
    """TT as found: cooker and water heater stand on the bar without a 30 mA device: 100 mA, 500 ohm."""
    of = design(RIDGE, "found")
    for name in ("cooker", "hot-water"):
        c = of.circuits[name]
        assert (c.residual_ma.value, f"{c.electrode_limit_ohm.value:.0f}") == (100, "500")
    assert of.circuits["sockets"].residual_ma.value == 30
    assert findings(RIDGE, "found")["CI7", "circuits.sockets"].verdict == "within"


def test_earthing_conductor_to_the_rod_and_bond() -> None:
    """Earthing (Table 54.1): buried 4 mm2 is enough only where a sheath keeps corrosion off it and it is protected from knocks, and
    nobody recorded that; 1.5 would not do in any case; 16 is fitted, with its sheath; the frame's bond of 10 is enough."""
    here = ("EA4", "runs.earthing-conductor")
    assert findings(RIDGE, "found")[here].verdict == "unknown"
    thin = "runs.earthing-conductor.size_mm2 = { measured = 1.5 }"
    assert findings(RIDGE, "found", thin)[here].verdict == "fails"
    assert findings(RIDGE, "proposed")["EA4", "runs.earthing-conductor"].verdict == "within"
    unsaid = 'runs.earthing-conductor.lies = { unknown = "covered" }'
    assert findings(RIDGE, "proposed", unsaid)["EA4", "runs.earthing-conductor"].verdict == "unknown"
    assert findings(RIDGE, "proposed")["EA5", "runs.bond-frame"].verdict == "within"


@pytest.mark.parametrize(("row", "subject", "rule", "verdict"), [
    ("OB-o1", "equipment.rcd-front", "SO5", "fails"), ("OB-o2", "runs.earthing-conductor", "EA4", "advice"),
    ("OB-o3", "equipment.old-board", "SO1", "advice")])
def test_each_code_the_surveyor_gave_is_listed(row: str, subject: str, rule: str, verdict: str) -> None:
    """Ours: observations o1 to o3, C2, C3 and C3; a rule has its own word on each."""
    told = check(texts(RIDGE), "found")["findings"]
    assert [(f["subject"], f["verdict"]) for f in told if f["rule"] == row] == [(subject, verdict)]
    assert [f for f in told if f["rule"] == rule and f["verdict"] in ("fails", "unknown")]


def test_lost_rod_leaves_no_earth_anywhere() -> None:
    """TT: with the conductor to the rod off neither board nor surge modules reach an earth, and both are told."""
    off = 'remove = ["runs.earthing-conductor"]'
    bad = findings(RIDGE, "proposed", off)
    assert bad["SP1", "equipment.isolator"].verdict == "fails"
    assert bad["EA8", "supplies.main"].verdict == "fails"
    assert design(RIDGE, "proposed", off).network.potential()["frame.clamp.E"] == "no path in the record"


def test_surge_device_ahead_of_the_front_device() -> None:
    """TT: connection CT2; leads 0.12 + 0.25 = 0.37 m, 1.5 + 0.37 = 1.87 <= 2.5 kV."""
    device = design(RIDGE, "proposed").surges["isolator"]
    assert (f"{device.leads_m.value:.2f}", f"{device.effective_kv.value:.2f}") == ("0.37", "1.87")
    assert findings(RIDGE, "proposed")["SP8", "equipment.isolator"].verdict == "within"
    other = 'equipment.isolator.connection = "CT1"'
    assert findings(RIDGE, "proposed", other)["SP8", "equipment.isolator"].verdict == "fails"
