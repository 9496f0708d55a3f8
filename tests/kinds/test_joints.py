"""The lines in which a kind says what joins its terminals."""
from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spareway.kinds.joints import CONDUCTORS, Link, inside, spread


def test_a_side_takes_its_conductors() -> None:
    """An end is one side and each conductor named, in the order written; phases are not taken for L."""
    assert spread("top.LN") == ["top.L", "top.N"]
    assert spread("bar.E") == ["bar.E"]
    assert spread("in.L1L2L3NE") == ["in.L1", "in.L2", "in.L3", "in.N", "in.E"]


SIDES = st.from_regex(r"[a-z0-9]{1,6}(-[a-z]{1,4})?", fullmatch=True)


@given(st.lists(st.sampled_from(CONDUCTORS), min_size=1, unique=True), SIDES)
def test_any_set_of_conductors_comes_back(conductors: list[str], side: str) -> None:
    """Whatever conductors are written after a side are the ones that are read."""
    written = "".join(conductors)
    assert spread(f"{side}.{written}") == [f"{side}.{c}" for c in conductors]


def test_each_joint() -> None:
    """Ganged poles share a control; a chain is several joints; surges may share an earth; one end is a terminal."""
    wiring = ["bottom.LN -[switch]- top.LN --- surge.LN", "surge.LN ~~~ surge.E", "in.L =load= in.N", "clamp.E"]
    assert list(inside("x", wiring)) == [
        Link("x.bottom.L", "x.top.L", "-", "x.switch"), Link("x.bottom.N", "x.top.N", "-", "x.switch"),
        Link("x.top.L", "x.surge.L"), Link("x.top.N", "x.surge.N"),
        Link("x.surge.L", "x.surge.E", "~"), Link("x.surge.N", "x.surge.E", "~"),
        Link("x.in.L", "x.in.N", "="), Link("x.clamp.E", "x.clamp.E")]


WRONG = {
    "in.L --": "a line is an end, a joint",
    "": "a line is an end, a joint",
    "in.L -- out.L": '"--" is no joint',
    "in.L -[]- out.L": '"-[]-" is no joint',
    "in.L -[Switch]- out.L": "is no joint",
    "in --- out.L": '"in" is not a side',
    "in.LX --- out.L": '"in.LX" is not a side',
    "in.LL --- out.L": "a conductor twice",
    "in.L --- out.N": "metal must join the same conductors",
    "in.LN --- out.NL": "metal must join the same conductors",
    "in.LN --- out.L": "metal must join the same conductors",
    "in.LN =load= out.LN": "a load has one conductor",
    "in.LN ~~~ out.LNE": "not the same number",
    "in.LN --- in.LN": "joins a terminal to itself",
}


@pytest.mark.parametrize("line", WRONG)
def test_a_line_that_cannot_be_read(line: str) -> None:
    """The error names the thing, the line and what is wrong in it."""
    says = rf'^lamp-9: "{re.escape(line)}": .*{re.escape(WRONG[line])}'
    with pytest.raises(ValueError, match=says):
        list(inside("lamp-9", ["in.L =load= in.N", line]))
