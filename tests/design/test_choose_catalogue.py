"""What is on offer: our own generic devices, a firm's own catalogue, and what is wrong in one."""
from __future__ import annotations

from pathlib import Path

import pytest

from spareway.api_circuit import board, new_circuit
from spareway.design.catalogue import generic, read_catalogue
from spareway.doc import InputError
from spareway.folder import read_folder

WEIR = Path(__file__).parents[2] / "examples" / "weir-cottage"
FIRM = """
[devices.dear]
kind = "rcbo-2p"
curve = "B"
ratings_a = [16, 20, 32]
residual_ma = 30
residual_type = "A"
fault_rating_ka = 10
let_through_a2s = 15000
price = "31.50"

[devices.cheap]
kind = "rcbo-1p-switched-n"
curve = "C"
ratings_a = [16, 20, 32]
residual_ma = 30
residual_type = "A"
fault_rating_ka = 10
let_through_a2s = 15000
price = "18.40"
"""


def test_ours_is_of_no_make_and_has_no_price() -> None:
    """Standard ratings of types B and C, with and without a residual part; the pairs that flat cable is made in (On-Site Guide I1)."""
    ours = generic()
    assert all(device.price is None for device in ours.devices)
    assert {(d.kind, d.curve) for d in ours.devices} == {(k, c) for k in ("rcbo-2p", "mcb") for c in "BC"}
    assert [f"{line:g}/{cpc:g}" for line, cpc in ours.cables["t&e"]] == ["1/1", "1.5/1", "2.5/1.5", "4/1.5", "6/2.5", "10/4", "16/6"]
    assert all(pairs == tuple(sorted(pairs)) for pairs in ours.cables.values())


def test_a_firm_chooses_from_its_own_and_the_cheaper_where_all_else_is_equal() -> None:
    """Its maker's let-through settles the near end: 15,000 A²s within (115 × 1.5)²; of two alike the one at 18.40."""
    firm = read_catalogue(FIRM)
    assert {str(device.price) for device in firm.devices} == {"31.50", "18.40"}
    assert firm.cables == generic().cables
    said = new_circuit(read_folder(WEIR), "7.2 kW cooker, 14 m, method 100", whole=False, catalogue=FIRM)
    assert (said["says"], said["verdict"], said["chosen"]["device"]["kind"]) == ("2.5/1.5 mm² t&e, C20", "within", "rcbo-1p-switched-n")
    assert "let_through_a2s = 15000" in said["toml"]
    only_b = new_circuit(read_folder(WEIR), "7.2 kW cooker, 14 m, method 100, curve B", whole=False, catalogue=FIRM)
    assert only_b["says"] == "2.5/1.5 mm² t&e, B20"
    assert {c["verdict"] for c in board(read_folder(WEIR), catalogue=FIRM)["circuits"]} == {"within"}


def test_cables_of_a_firm_are_all_there_are() -> None:
    """A firm that stocks no 4 mm² is offered none."""
    stocked = FIRM + '\n[cables]\n"t&e" = ["1.5/1", "2.5/1.5", "6/2.5"]\n'
    said = new_circuit(read_folder(WEIR), "7.2 kW cooker, 44 m, method 100", whole=False, catalogue=stocked)
    assert said["chosen"]["cable"] == {"kind": "t&e", "line_mm2": 6, "cpc_mm2": 2.5}
    other = new_circuit(read_folder(WEIR), "7.2 kW cooker, 14 m, method C singles", whole=False, catalogue=stocked)
    assert (other["verdict"], other["chosen"]) == ("unknown", None)
    assert "nothing of that sort is on offer: singles" in other["says"]


@pytest.mark.parametrize(("old", "new", "says", "near"), [
    ('curve = "B"', 'curve = "H"', 'there is no curve "H"', ""),
    ('kind = "rcbo-2p"', 'kind = "rcbo-2pp"', 'there is no kind "rcbo-2pp"', "rcbo-2p"),
    ("ratings_a = [16, 20, 32]", "ratings_a = 16", "is no list of ratings", ""),
    ("ratings_a = [16, 20, 32]", "ratings_a = [16, 1600]", "is no list of ratings", ""),
    ("residual_ma = 30", "residual_ma = true", "is no number in range", ""),
    ("fault_rating_ka = 10", "fault_rating_kA = 10", '"fault_rating_kA" is nothing that is said of a device', "fault_rating_ka"),
    ('price = "31.50"', "price = 31.5", "is no price", ""),
    ('curve = "B"\n', "", "it says neither curve nor fuse", ""),
    ("[devices.dear]", "[device.dear]", '"device" is nothing a catalogue holds', ""),
    ("[devices.cheap]", '[cables]\n"t&e" = ["2.5-1.5"]\n[devices.cheap]', "is no pair of sizes", ""),
    ("[devices.cheap]", '[cables]\n"t&e" = ["1.5/2.5"]\n[devices.cheap]', "is no pair of sizes", ""),
    ("[devices.cheap]", '[cables]\nrope = ["2.5/1.5"]\n[devices.cheap]', 'there is no cable "rope"', ""),
])
def test_what_is_wrong_in_a_catalogue_is_told(old: str, new: str, says: str, near: str) -> None:
    """With its line, what would be right, and the nearest known name; nothing is taken from it meanwhile."""
    with pytest.raises(InputError) as caught:
        read_catalogue(FIRM.replace(old, new, 1))
    faults = {fault.says: fault for fault in caught.value.faults}
    assert says in faults
    assert faults[says].file == "catalogue.toml"
    assert faults[says].line
    assert faults[says].nearest == near or not near
    assert faults[says].allowed


def test_an_empty_catalogue_is_told() -> None:
    """No device is no catalogue."""
    with pytest.raises(InputError) as caught:
        read_catalogue("# nothing\n")
    assert [fault.says for fault in caught.value.faults] == ["it holds no device"]
