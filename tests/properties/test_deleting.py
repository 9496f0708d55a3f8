"""A record that says less never reads better, and never crashes."""
from __future__ import annotations

from tests.properties.deleting import deletions, faults, of, some
from tests.properties.homes import as_it_is

SEED = 20261125
SHARE = 10                                  # make test takes every tenth; studies/study_delete.py takes all


def test_nothing_reads_better_without_a_fact() -> None:
    """Of every tenth fact, reading or word of the three homes, deleted by itself: no stop, fail or unknown becomes milder.

    A stop or a fail may become unknown; a subject that is gone with what was deleted is not compared."""
    taken = some(len(deletions()) // SHARE, SEED)
    assert len(taken) > 150
    assert [said for each in taken for said in faults(each)] == []


def test_nothing_of_a_long_way_to_a_board_reads_better_unsaid() -> None:
    """Two boards far from the intake, a circuit at each that fails for what leads there: every fact deleted, one at a time."""
    found = as_it_is("two-feeds")["found"]
    assert {key: found[key].verdict for key in (("CI1", "circuits.hoist"), ("CI1", "circuits.stove"), ("SV2", "equipment.barn"), ("SV2", "equipment.office"))} == {
        ("CI1", "circuits.hoist"): "fails", ("CI1", "circuits.stove"): "fails", ("SV2", "equipment.barn"): "advice", ("SV2", "equipment.office"): "within"}
    assert [said for each in of("two-feeds") for said in faults(each)] == []
