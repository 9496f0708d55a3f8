"""`spareway heat`: what each room loses, as a range with its reasons, the heaters that meet it, and their circuits."""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option, stage_option
from spareway.cli.layout import counted, out, out_json, paragraph, rests
from spareway.cli.running import may_be, running
from spareway.doc import Fault, InputError
from spareway.show import exact, show

__all__ = ["command"]

Said = Mapping[str, Any]
BODY, UNDER = 2, 4
NO_FLOOR = "Floor not recorded"


# ---- all rooms ------------------------------------------------------------------------------------------------------
def page(said: Said) -> list[str]:
    """Each room with its range and what its heaters give, the home, and the circuits."""
    told: set[str] = set()                          # what a room rests on, each said once on the page
    lines = [*_head(said), ""]
    for room in said["rooms"]:
        lines += [*_room(room), *_rests(room, told), ""]
    lines += paragraph(f"All heated rooms together: {_ranged(said['home'], _rooms(said['home']['unsaid'], said['rooms']))}.")
    if said["not_heated"]:
        lines += paragraph(f"Not heated by the record: {', '.join(said['not_heated'])}.")
    if said["in_no_room"]:
        lines += paragraph(f"In no room of the record, so counted for none: {', '.join(said['in_no_room'])}.")
    lines += [*_stamps(said), "", *_circuits(said["circuits"]), "", *_controls(said["controls"])]
    return [*lines, "", *running(said["running"])]


def _head(said: Said) -> list[str]:
    words = [f"{what} {_known(said[key])}" for key, what in (
        ("outside_c", "Outside"), ("bridging_w_per_m2k", "heat bridges"), ("margin_share", "margin for heating up"))]
    return [*paragraph(said["job"] or "A job without a name"), *paragraph(f"{said['stage'].capitalize()}. {'; '.join(words)}.")]


def _known(fact: Said) -> str:
    """The figure and how it is known, or why there is none."""
    if fact["amount"] is None:
        return f"unknown ({_gaps(fact)})"
    return f"{fact['is']} ({fact['how']})" if fact["how"] != "worked" else str(fact["is"])


def _gaps(fact: Said) -> str:
    return "; ".join(dict.fromkeys(", ".join(filter(None, (gap["says"], gap["at"], gap["why"]))) for gap in fact["missing"]))


def _watts(amount: float) -> str:
    return f"{amount:.0f} W"


def _ranged(loss: Said, unsaid: str = "") -> str:
    """`2153 W, between 1925 and 2414 W: fabric.outside-wall.u_w_per_m2k may be 1.35 to 2.1 (assumed)`.

    unsaid: what of it nobody answered: it is then the least that is lost."""
    if loss["amount"] is None:
        return f"unknown: {_gaps(loss)}{f'; {unsaid}' if unsaid else ''}"
    lost = f"at least {_watts(loss['amount'])}, {unsaid}; so much of what is counted" if unsaid else _watts(loss["amount"])
    if not loss["range_of"]:
        return f"{lost}, no range recorded"
    of = ", ".join(map(may_be, loss["range_of"]))
    return f"{lost}, between {loss['least']:.0f} and {_watts(loss['most'])}: {of}"


def _rooms(names: Sequence[str], of: Sequence[Said]) -> str:
    """Which rooms lack an answer, so that what they lose together is the least of it."""
    if not names:
        return ""
    return f"not all answered of {', '.join(names)}" if len(names) < len(of) else "not all answered of any room"


def _room(room: Said) -> list[str]:
    on = f", {room['floor']} floor" if room["floor"] else ""
    inside = f" at {room['inside_c']['is']}" if room["inside_c"]["amount"] is not None else ""
    unsaid = f"not answered: {', '.join(room['unsaid'])}" if room["unsaid"] else ""
    lines = paragraph(f"{room['name']}{on}{inside}: {_ranged(room['loss_w'], unsaid)}.", 0, UNDER)
    counts = [*(each["name"] for each in room["elements"] if not each["nothing"]), "air"]
    lines += paragraph(f"counted: {', '.join(counts)}", BODY, UNDER)
    if room["required_w"]["amount"] is None:
        return lines + (paragraph(f"output wanted: unknown: {_gaps(room['required_w'])}", BODY, UNDER)
                        if room["loss_w"]["amount"] is not None else [])
    lines += paragraph(f"output wanted {'at least ' if unsaid else ''}{_wanted(room['required_w'])}; {_sizes(room)}", BODY, UNDER)
    return [*lines, *(line for text in _given(room) for line in paragraph(text, BODY, UNDER))]


def _sizes(room: Said) -> str:
    sizes = " + ".join(f"{size:g}" for size in room["sizes_w"])
    return f"sizes that give it at 230 V: {sizes} W" if sizes else str(room["why_sizes"])


def _rests(room: Said, told: set[str]) -> list[str]:
    return rests(room["rests_on"], told, BODY)


def _wanted(output: Said) -> str:
    """`2584 W, between 2310 and 2897 W`; what may lie so far apart stands with the loss."""
    spread = f", between {output['least']:.0f} and {_watts(output['most'])}" if output["range_of"] else ""
    return f"{_watts(output['amount'])}{spread}"


def _given(room: Said) -> Iterator[str]:
    """What its heaters give at each voltage, as stamped; as if stamped for 240 V where that makes it too little."""
    if not room["heaters"]:
        yield "no heater of this room is recorded"
        return
    recorded = [met for met in room["met"] if met["stamped_v"] is None]
    yield f"its {counted(len(room['heaters']), 'heater')}: {'; '.join(_met(met, room['unsaid']) for met in recorded)}"


def _met(met: Said, unsaid: Sequence[str]) -> str:
    if met["given_w"]["amount"] is None:
        return f"at {met['supply_v']:g} V unknown ({_gaps(met['given_w'])})"
    if met["ok"] is None:
        return f"at {met['supply_v']:g} V {_watts(met['given_w']['amount'])}, whether that is enough is unknown"
    against = " at least" if unsaid else f", {_against_loss(met['above_loss_w'])}" if not met["ok"] else ""
    enough = "enough" if met["ok"] else f"{met['short_w']:.0f} W short of it{against}"
    if met["ok"] and (met["short_at_most_w"] or 0.0) > 0:
        enough += f", but {met['short_at_most_w']:.0f} W short at the most it may lose"
    return f"at {met['supply_v']:g} V {_watts(met['given_w']['amount'])}, {enough}"


def _against_loss(above_w: float) -> str:
    """What is wanted holds a margin for heating up: by how much the heaters hold the room without it, or do not."""
    return f"{above_w:.0f} W above the loss" if above_w >= 0 else f"{-above_w:.0f} W below the loss"


def _stamps(said: Said) -> list[str]:
    """Which rooms a stamp for more volts than the supply has leaves short; nothing where no heater is in any."""
    lines: list[str] = []
    if not any(room["heaters"] for room in said["rooms"]):
        return lines
    for each in said["no_longer_met"]:
        rooms = ", ".join(each["rooms"]) or "none of those met now"
        unknown = f"; cannot tell of: {', '.join(each['cannot_tell'])}" if each["cannot_tell"] else ""
        lines += paragraph(f"Were the same watts stamped for {each['stamped_v']:g} V, short at {each['supply_v']:g} V: "
                           f"{rooms}{unknown}.", 0, UNDER)
    return lines


def _controls(said: Said) -> list[str]:
    """What the law wants of the controls of a fixed heater; that of a heater on offer is its maker's to say."""
    lines = paragraph(f"Controls of a heater that is {said['of']}: {said['wanted_percent']:g} % by {said['where']} "
                      f"({said['trust']}). Its maker states what it has; each of these sets is enough:")
    return lines + [line for each in said["sets"] for line in paragraph(" and ".join(each), BODY, UNDER)]


# ---- circuits -------------------------------------------------------------------------------------------------------
def _circuits(said: Said) -> list[str]:
    if not (said["floors"] or said["by_themselves"]):
        return paragraph("No heater is recorded: how many circuits are needed for them is not known.")
    n = said["needed_n"]
    needed = f"{counted(n, 'circuit')} at least" if n is not None else "how many is unknown"
    lines = paragraph(f"Heaters on circuits of {said['rating_a']:g} A, by what they draw at {said['supply_v']:g} V: {needed}. "
                      f"Wire {said['switch']}.")
    for floor in said["floors"]:
        alone = "; its one heater stands on one circuit, and one fault leaves it cold" if floor["alone"] else ""
        shared = floor["why_not"] or counted(len(floor["circuits"]), "circuit")
        lines += paragraph(f"{floor['name'].capitalize() or NO_FLOOR}: {shared}{alone}", BODY, UNDER)
        for each in floor["circuits"]:
            lines += paragraph(f"{', '.join(each['heaters'])}: {show(each['current_a'])} A", UNDER, UNDER + 2)
    if said["by_themselves"]:
        lines += paragraph(f"Storage heaters, each on a circuit of its own: {', '.join(said['by_themselves'])}", BODY, UNDER)
    return [*lines, *_as_recorded(said["recorded"])]


def _as_recorded(circuits: Sequence[Said]) -> list[str]:
    lines = paragraph(f"By the record on {counted(len(circuits), 'circuit')}:", BODY) if circuits else []
    for each in circuits:
        floors = f", on {counted(len(each['floors']), 'floor')}" if len(each["floors"]) > 1 else ""
        drawn = each["current_a"]["is"] if each["current_a"]["amount"] is not None else f"unknown ({_gaps(each['current_a'])})"
        rated = each["rating_a"]["is"] if each["rating_a"]["amount"] is not None else "not known"
        lines += paragraph(f"{each['name']} [{each['way']}]{floors}: {', '.join(each['heaters'])}: {drawn}; its device {rated}"
                           f"{_above(each)}", UNDER, UNDER + 2)
        if each["on_fused_units"]:
            lines += paragraph(f"behind a fused unit, where no heater that runs for hours belongs: "
                               f"{', '.join(each['on_fused_units'])}", UNDER + 2)
    return lines


def _above(circuit: Said) -> str:
    """That the heaters alone draw more than the device is rated for, and by how much; nothing where it is not known."""
    drawn_a, rated_a = circuit["current_a"]["amount"], circuit["rating_a"]["amount"]
    if drawn_a is None or rated_a is None or drawn_a <= rated_a:
        return ""
    return f", {show(drawn_a - rated_a)} A less than they draw"


# ---- one room -------------------------------------------------------------------------------------------------------
def sheet(said: Said) -> list[str]:
    """One room: each part of its skin, the air, the working line by line, and what it rests on."""
    room = said["rooms"][0]
    lines = [*_head(said), "", *_room(room), "", "What it loses heat through:"]
    for each in room["elements"]:
        lines += paragraph(_element(each), BODY, UNDER)
    air = room["air"]
    changes = _known(air["changes_per_h"]).replace(" 1/h", " an hour")
    lines += paragraph(f"air changed {changes}, {_known(air['volume_m3'])}: {_known(air['loss_w'])}", BODY, UNDER)
    lines += paragraph(f"bridges: {_known(room['bridging_w_per_k'])}", BODY, UNDER)
    lines += paragraph(f"a square metre of floor: {_known(room['loss_w_per_m2'])}", BODY, UNDER)
    lines += ["", "Working:", *(line for text in room["working"] for line in paragraph(f"= {text}", BODY, UNDER))]
    lines += [line for text in room["sources"] for line in paragraph(f"from {text}", BODY, UNDER)]
    return lines + _rests(room, set())


def _element(each: Said) -> str:
    if each["nothing"]:
        return f"{each['name']}: {each['nothing']}: 0 W"
    less = f", less {', '.join(each['openings'])}" if each["openings"] else ""
    share = "" if each["of_dt"] is None else f", {exact(each['of_dt'])} of the difference"
    return f"{each['name']}: {_known(each['area_m2'])}{less}, U {_known(each['u_w_per_m2k'])}{share}: {_known(each['loss_w'])}"


# ---- the verb -------------------------------------------------------------------------------------------------------
def _drawn(path: Path, drawn: str) -> list[str]:
    try:
        path.write_text(drawn, encoding="utf-8", newline="\n")
    except OSError as problem:
        raise InputError([Fault("command line", None, "out", str(path), f"cannot be written: {(problem.strerror or '').lower()}",
                                "a file in a folder that is there")]) from None
    return paragraph(f"{path}: the rooms as bars.")


@click.command("heat", cls=Verb)
@job_argument
@click.argument("room", default="")
@click.option("--rating", "rating_a", type=click.FloatRange(1, 63), default=16.0, show_default=True, metavar="A",
              help="The device of each heater circuit.")
@click.option("--out", "path", type=click.Path(path_type=Path), metavar="FILE", help="Also draw the rooms as bars: an SVG file.")
@click.option("--wide", is_flag=True, help="The drawing as wide as a page, not as a phone.")
@stage_option
@overlay_option
@json_option
def command(job: Path, room: str, rating_a: float, path: Path | None, wide: bool, stage: str | None, overlays: Sequence[str],
            as_json: bool) -> int:
    """What each room of JOB loses on the design day, whether its heaters meet it, and on how few circuits they go.

    With ROOM each part of that one with its working. Ends with 0, or with 3 where the loss of a room is unknown."""
    from spareway.api_heat import heat, picture
    files, laid = open_job(job, overlays)
    said = heat(files, room, stage, laid, rating_a)
    drawn = _drawn(path, picture(files, stage, laid, wide)) if path else []
    if as_json:
        out_json(said)
    else:
        out([*(sheet(said) if room else page(said)), *drawn, "", *(line for text in said["caution"] for line in paragraph(text))])
    return 3 if not said["rooms"] or any(each["loss_w"]["amount"] is None or each["unsaid"] for each in said["rooms"]) else 0
