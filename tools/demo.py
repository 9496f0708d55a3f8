"""`make demo`: three invented homes end to end, in about forty lines; exit 1 where one answers otherwise than it should."""
from __future__ import annotations

import sys
from pathlib import Path
from textwrap import fill
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "src"))

from spareway import api  # noqa: E402   the tree's own package, installed or not
from spareway.drawings.intake import intake  # noqa: E402
from spareway.folder import read_file, read_folder  # noqa: E402
from spareway.job.job import read_job  # noqa: E402
from spareway.show import show  # noqa: E402

EXAMPLES, BUILD = ROOT / "examples", ROOT / "build" / "demo"
EXPECTED = (("weir-cottage", "found", 1), ("weir-cottage", "proposed", 1), ("granary-yard", "found", 1),
            ("granary-yard", "proposed", 3), ("granary-yard", "fitted", 3), ("ridge-annexe", "found", 1),
            ("ridge-annexe", "proposed", 3))
BAD = {"stop": "must be made safe now", "fails": "fails"}
MODULES = "isolator.surge modules"
NEW = "7.2 kW cooker, 14 m, method 100"


def main() -> int:
    """Checks, lock-offs, drawings, and what to type next."""
    checked = [(name, stage, code, api.check(read_folder(EXAMPLES / name), stage)) for name, stage, code in EXPECTED]
    wrong = [f"{name} {stage}: exit {api.exit_code(said)}, expected {code}" for name, stage, code, said in checked
             if api.exit_code(said) != code]
    _say("Three invented homes, each a folder of plain texts under examples/. All below is a check of what was recorded.", 0)
    print()
    for name, stage, code, said in checked:
        counts = ", ".join(f"{n} {verdict}" for verdict, n in said["counts"].items() if n and verdict != "not applicable")
        print(f"  {name:13} {stage:9} exit {code}   {counts}")
    first = checked[0][3]
    print("\nWeir Cottage as found, the worst of it:")
    measured = [f for f in first["findings"] if f["verdict"] == "fails" and f["rule"] in ("EA4", "EA5", "IN2")]
    for finding in first["findings"][:3] + measured:
        _say(f"{BAD[finding['verdict']]}: {finding['subject']} ({finding['where']}). {finding['says']}")
    things = dict.fromkeys(t.rpartition(".")[0] for t, p in first["live"]["still"].items() if p == "line")
    _say(f"stays live with every switch open: {', '.join(things)}")
    lamp = api.live(read_folder(EXAMPLES / "weir-cottage"), [], ["lights-first.N"], "found")["terminals"]
    _say(f"lift the first-floor lighting neutral, and its free end is: {lamp['lights-first.bed-3-b.N']}")
    wrong += _surge()
    wrong += _circuits()
    wrong += _heat_and_demand()
    wrong += _drawn()
    print("\nNext:  .venv/bin/spareway check examples/weir-cottage --stage found"
          "\n       .venv/bin/spareway check examples/granary-yard --full"
          f"\n       .venv/bin/spareway isolate examples/granary-yard \"{MODULES}\" --with wrong-end.toml"
          "\n       .venv/bin/spareway circuit examples/weir-cottage heat-5"
          "\n       .venv/bin/spareway demand examples/weir-cottage --raise 100 --cap 60"
          "\n       .venv/bin/spareway explain CI1"
          "\n\nThe screens, here:            npm ci && .venv/bin/spareway serve examples"
          "\nThe phone, with no signal:    npm ci && .venv/bin/spareway site out/phone, put on any https host and opened once\n")
    print("\n".join(first["caution"]))
    print("\n".join(wrong) if wrong else "The demo gave what it should.")
    return 1 if wrong else 0


def _surge() -> list[str]:
    """The same cabinet landed right and wrong: the smallest lock-off for its plug-in modules."""
    files = read_folder(EXAMPLES / "granary-yard")
    overlay = ("wrong-end.toml", read_file(EXAMPLES / "granary-yard" / "wrong-end.toml"))
    right, turned = (api.isolate(files, MODULES, "skilled", overlays=each) for each in ((), (overlay,)))
    print("\nGranary Yard, the surge modules in our cabinet at the intake:")
    _say(f"supply landed at the switch's end:  {_said(right)}")
    still = ", ".join(f"{terminal} {potential}" for terminal, potential in turned["still"])
    _say(f"supply landed at the link bar:      {_said(turned)}; with all you may open, still {still}")
    as_expected = right["lock_off"] == ["isolator.switch"] and turned["lock_off"] is None
    return [] if as_expected else ["surge modules: another lock-off than expected"]


def _circuits() -> list[str]:
    """Where a kept circuit turns, and the least cable and device for a new one."""
    from spareway.api_circuit import new_circuit
    files = read_folder(EXAMPLES / "weir-cottage")
    heater = api.circuit(files, "heat-5")["circuits"][0]
    turns = [t for f in heater["findings"] if f["rule"] == "CI4" for t in f["flips_at"] if t["at"].startswith("circuits.heat-5.")]
    print("\nWeir Cottage, circuits as proposed:")
    _say(f"heaters of bedrooms 2 and 3: {heater['length_m']} m, and the voltage drop holds to "
         f"{', '.join(show(t['turns_at']) for t in turns)} m")
    new = new_circuit(files, NEW)
    refused = "; ".join(each["says"] for each in new["refused"])
    _say(f"new, {NEW}: {new['says']}; refused as too small: {refused}")
    _say(f"still to settle there: {new['open'][0]['says']}; {new['settled']['says']} would leave nothing open")
    right = len(turns) == 1 and 51 < turns[0]["turns_at"] < 53 and new["chosen"]["cable"]["line_mm2"] == 2.5
    return [] if right else ["circuits: otherwise than expected"]


def _heat_and_demand() -> list[str]:
    """What one room loses and whether its heaters meet that; the figures of demand side by side."""
    from spareway.api_demand import demand
    from spareway.api_heat import heat
    files = read_folder(EXAMPLES / "weir-cottage")
    room, asked = heat(files, "living")["rooms"][0], demand(files)
    lost, figures = room["loss_w"], [asked["connected"]["total_a"], asked["book"]["totals"][0], asked["recorded"]["demand_a"]]
    print("\nWeir Cottage, electric heating as proposed, behind a service fuse of "
          f"{asked['fuse']['rating_a']['is']}:")
    met = ", ".join(f"{each['given_w']['is']} at {each['supply_v']:g} V" for each in room["met"] if each["stamped_v"] is None)
    _say(f"the living room loses {lost['least']:.0f} to {lost['most']:.0f} W by what its wall may be; its heaters give {met}")
    _say("demand connected {}, by the book {}, recorded {}, foreseen {}".format(
        *(each["is"] for each in (*figures, asked["foreseen"]))))
    right = round(lost["amount"]) == 2153 and figures[2]["amount"] is None and 137 < figures[1]["amount"] < 138
    return [] if right else ["heat and demand: otherwise than expected"]


def _said(answer: dict[str, Any]) -> str:
    return "no lock-off of yours" if answer["lock_off"] is None else f"lock off {' and '.join(answer['lock_off'])}"


def _say(text: str, indent: int = 2) -> None:
    print(fill(text, 100, initial_indent=" " * indent, subsequent_indent=" " * indent * 2, break_on_hyphens=False))


def _drawn() -> list[str]:
    """The intakes as SVG."""
    BUILD.mkdir(parents=True, exist_ok=True)
    print(f"\nDrawn from the record, under {BUILD.relative_to(ROOT)}/:")
    short = []
    for name, stage, _ in EXPECTED:
        file = BUILD / f"{name}-{stage}.svg"
        file.write_text(intake(read_job(read_folder(EXAMPLES / name)).at(stage)), encoding="utf-8")
        if file.stat().st_size < 1000:
            short.append(f"{file.name} is all but empty")
    _say(", ".join(f"{name}-{stage}.svg" for name, stage, _ in EXPECTED))
    return short


if __name__ == "__main__":
    sys.exit(main())
