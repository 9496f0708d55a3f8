"""The examples with every length, load and rating a tenth larger: what holds of one home holds of its neighbour."""
from __future__ import annotations

import re

import pytest

from spareway.design.design import Design
from spareway.job.job import read_job
from spareway.tables import NoRow
from tests.scenarios import by_hand
from tests.scenarios.folders import EXAMPLES, design

TENTH = 1.1
SCALED = re.compile(r"\b(length_m|back_m|load_w|load_a|stamped_w|rating_a)(\s*=\s*(?:\{ \w+ = )?)([0-9.]+)")
HOMES = [("weir-cottage", "proposed"), ("granary-yard", "fitted"), ("ridge-annexe", "proposed")]


def larger(name: str, stage: str) -> Design:
    """A copy of an example in which the lengths, loads and ratings of every file are a tenth larger."""
    files = {p.name: p.read_text("utf-8") for p in (EXAMPLES / name).iterdir() if p.suffix in (".toml", ".csv")}
    for file in ("found.toml", "work.toml", "fitted.toml"):
        if file in files:
            files[file] = SCALED.sub(lambda m: f"{m[1]}{m[2]}{float(m[3]) * TENTH:.6g}", files[file])
    return Design(read_job(files).at(stage))


@pytest.mark.parametrize(("name", "stage"), HOMES)
def test_a_tenth_more(name: str, stage: str) -> None:
    """R1+R2, Zs, load and drop of every circuit follow the second method in the larger copy too. No breaker is made of
    17.6 A: its limit is refused and never read off a neighbouring row."""
    plain, big = design(name, stage), larger(name, stage)
    for each, c in big.circuits.items():
        was = plain.circuits[each]
        if c.is_surge or not was.length_m.known or was.cable.kind != "t&e" or c.board != "board":
            continue
        assert f"{c.length_m.value:.6f}" == f"{was.length_m.value * TENTH:.6f}", each
        by_sum = by_hand.r1r2_ohm(was.length_m.value * TENTH, c.cable.line_mm2.value, c.cable.cpc_mm2.value, c.is_ring)
        assert c.r1r2_ohm.value == pytest.approx(by_sum, rel=1e-9), each
        before = by_hand.loop_before_ohm(name, TENTH)
        assert c.zs_cold_ohm.value == pytest.approx(before + by_sum, rel=1e-9), each
        assert c.rating_a.value == pytest.approx(was.rating_a.value * TENTH), each
        assert was.load_a.known == c.load_a.known, each
        if was.circuit.load_w.known or was.feeds == {"panel-heater"}:
            assert c.connected_a.value == pytest.approx(was.connected_a.value * TENTH, rel=1e-9), each
        if c.load_a.known:
            lost = by_hand.drop_v("t&e", c.cable.line_mm2.value, c.length_m.value, c.load_a.value, c.is_ring)
            assert c.drop_v.value == pytest.approx(lost, rel=1e-9), each
        with pytest.raises(NoRow, match=f"rating_a {c.rating_a.value:g}"):
            c.zs_limit_ohm.known                                # noqa: B018  asked for its error
