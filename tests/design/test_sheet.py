"""The sheet of a circuit: every quantity in order, nothing raised, and the same amounts as the design and the check hold."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway import api
from spareway.bundled import text
from spareway.design.design import Design
from spareway.design.sheet import HEADINGS, sheet
from spareway.doc import InputError
from spareway.folder import read_folder
from spareway.job.job import read_job
from spareway.rules import all_rules
from spareway.rules.base import VERDICTS

ROOT = Path(__file__).parents[2] / "examples"
ALL = sorted(each.name for each in ROOT.iterdir() if (each / "job.toml").exists())
RULES = {rule.code for rule in all_rules()}


def files_of(name: str) -> dict[str, str]:
    return dict(read_folder(ROOT / name))


@pytest.mark.parametrize("name", ALL)
def test_every_circuit_has_a_whole_sheet(name: str) -> None:
    """Under every heading, each line once by name; a line that is not known says why."""
    design = Design(read_job(files_of(name)).at(None))
    for circuit in (c for c in design.circuits.values() if not c.is_surge):
        lines = sheet(circuit)
        assert list(dict.fromkeys(line.heading for line in lines)) == list(HEADINGS)
        assert len({line.name for line in lines}) == len(lines)
        for line in lines:
            assert line.fact.known or line.fact.missing() or line.fact.note, line.name


def test_the_cottage_ring_by_its_scenario() -> None:
    """SCENARIOS, Weir way 8: 52 m, R1+R2 0.254, Zs expected 0.59, cold limit 1.09."""
    said = api.circuit(files_of("weir-cottage"), "ring-ground")["circuits"][0]
    by_name = {q["quantity"]: q for q in said["quantities"]}
    assert by_name["length_m"]["is"] == "52 m"
    assert by_name["r1r2_ohm"]["is"] == "0.254 Ω"
    assert f"{by_name['zs_cold_ohm']['amount']:.2f}" == "0.59"
    assert by_name["zs_site_limit_ohm"]["is"] == "1.09 Ω"
    assert by_name["zs_cold_ohm"]["working"][-1].endswith("0.34 + 0.254 = 0.594 Ω")


def test_findings_are_those_of_the_check() -> None:
    """One circuit's findings are the check's own, each with its working; the verdict is the worst of them."""
    files = files_of("weir-cottage")
    check = api.check(files, full=True)["findings"]
    for each in api.circuit(files)["circuits"]:
        of = f"circuits.{each['name']}"
        assert each["findings"] == [f for f in check if f["subject"] == of and f["rule"] in RULES]
        assert each["verdict"] == min((f["verdict"] for f in each["findings"]), key=VERDICTS.index)


def test_what_is_moved_turns_the_verdict() -> None:
    """An overlay with the length past where the drop turns makes it fail, and a circuit that is not there is told with the nearest."""
    files = files_of("weir-cottage")
    said = api.circuit(files, "heat-5")["circuits"][0]
    turn = next(t for f in said["findings"] if f["verdict"] == "within" for t in f["flips_at"] if t["quantity"] == "length_m")
    over = f"{turn['at']} = {{ measured = {turn['turns_at'] * 1.02:.3f} }}\n"
    moved = api.circuit(files, said["name"], overlays=[("moved.toml", over)])["circuits"][0]
    before = {f["rule"] for f in said["findings"] if f["verdict"] == "fails"}
    assert {f["rule"] for f in moved["findings"] if f["verdict"] in ("fails", "unknown")} - before
    with pytest.raises(InputError) as told:
        api.circuit(files, said["name"] + "x")
    assert said["name"] in str(told.value)


@pytest.mark.parametrize(("way", "limits"), [
    ("0.8 exact", {"lights-ground": "5.82 Ω", "heat-5": "2.18 Ω", "ring-ground": "1.09 Ω"}),        # SCENARIOS, cold limits
    ("0.8 printed", {"lights-ground": "5.82 Ω", "heat-5": "2.18 Ω", "ring-ground": "1.09 Ω"}),      # 7.28, 2.73, 1.37 by 0.8
    ("1/1.24 exact", {"lights-ground": "5.87 Ω", "heat-5": "2.20 Ω", "ring-ground": "1.10 Ω"})])    # On-Site Guide Appendix B
def test_a_cold_limit_is_cut_off_by_the_way_the_firm_chose(way: str, limits: dict[str, str]) -> None:
    """What is printed is what is judged by, never rounded up, and the record names the way."""
    files = files_of("weir-cottage")
    files["job.toml"] = f'zs_site_limit = "{way}"\n' + files["job.toml"]
    for name, limit in limits.items():
        lines = {q["quantity"]: q for q in api.circuit(files, name)["circuits"][0]["quantities"]}
        assert lines["zs_site_limit_ohm"]["is"] == limit
        assert way in lines["zs_site_limit_ohm"]["line"]


@pytest.mark.parametrize("name", ALL)
def test_what_the_loop_is_held_to_is_what_the_rule_holds_it_to(name: str) -> None:
    """On TT the limit of the residual-current device, 50 V over its current (411.5.3), and not what would open the breaker; else the
    breaker's. The sheet's own line is the limit of CI1."""
    of = Design(read_job(files_of(name)).at(None))
    for each in api.circuit(files_of(name))["circuits"]:
        lines, tt = {line.name: line.fact.amount for line in sheet(of.circuits[each["name"]])}, of.supply.earthing.amount == "TT"
        assert ("electrode_limit_ohm" in lines, "zs_limit_ohm" in lines, "zs_site_limit_ohm" in lines) == (tt, not tt, not tt)
        if tt and lines["residual_ma"] is not None:
            assert lines["electrode_limit_ohm"] == pytest.approx(50 / (lines["residual_ma"] / 1000), rel=0.005)
            assert [f["limit"] for f in each["findings"] if f["rule"] == "CI1" and "limit" in f] in ([lines["electrode_limit_ohm"]], [])


def test_the_breakers_limit_stands_on_tt_where_no_residual_device_is() -> None:
    """Then only the breaker can open, and its limit is what the loop is held to: 0.95 x 230 / 160 = 1.37 Ohm of a B32 (Table 41.3)."""
    bare = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n', "found.toml": text("rules/specimen.toml")}
    laid = 'supplies.main.earthing = "TT"\ncircuits.oven.device = { kind = "mcb", curve = "B", rating_a = 32 }\n'
    design = Design(read_job(bare, [("o.toml", laid)]).found)
    by_breaker, by_residual = ({line.name: line.fact for line in sheet(design.circuits[name])} for name in ("oven", "plugs"))
    assert "electrode_limit_ohm" not in by_breaker
    assert by_breaker["zs_limit_ohm"].amount == pytest.approx(0.95 * 230 / 160)
    assert "zs_limit_ohm" not in by_residual
    assert by_residual["electrode_limit_ohm"].amount == 1667
