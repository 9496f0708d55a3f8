"""Random histories of two phones, by seed: what each did to a job apart. Knows nothing of how they are joined."""
from __future__ import annotations

import csv
import io
import random
from dataclasses import dataclass, field

ABOUT = 'schema = 1\nsays = "a job"\nnation = "England"\nbooks = { bs7671 = "2018+A4" }\ndates = { survey = "2026-11-09" }\n'
FOUND = """# what a person wrote above it all
[supplies.main]
joins = "cutout.in"
earthing = "TN-S"

[equipment]                                   # on the wall
cutout = { kind = "cut-out", fuse_a = { marked = 80 } }
meter  = { kind = "meter" }
board  = { kind = "board", ways_n = 12 }
met    = { kind = "main-earthing-terminal" }

[runs]
tails-1 = { joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = 25 }
tails-2 = { joins = ["meter.out", "board.in"], kind = "tails", size_mm2 = 25 }   # clipped
earth   = { joins = ["cutout.earth", "met.a"], kind = "earthing", size_mm2 = 16 }
"""
HEADER = "id,where,place,code,photo,says,by,at,strikes,eye,answer"


@dataclass
class Side:
    """One phone: its files, the groups it touched, the rows it added."""
    name: str
    files: dict[str, str]
    touched: dict[str, object] = field(default_factory=dict)
    added: list[dict[str, str]] = field(default_factory=list)


def begun(dice: random.Random) -> tuple[dict[str, str], list[str]]:
    """A job with a few circuits, and their names."""
    names = [f"c{n}" for n in range(1, dice.randint(2, 7))]
    lines = [FOUND]
    for n, name in enumerate(names, 1):
        lines.append(circuit(name, n, dice.choice([6, 16, 32]), dice.choice([1.5, 2.5]), dice.randint(3, 40)))
    rows = "".join(f"o{n},equipment.board,,,,seen {n},me,2026-11-09T09:{n:02},,,\n" for n in range(1, dice.randint(1, 4)))
    return {"job.toml": ABOUT, "found.toml": "\n".join(lines), "observations.csv": f"{HEADER}\n{rows}"}, names


def circuit(name: str, way: int, rating: int, line: float, length: float) -> str:
    return (f'# circuit {name}\n[circuits.{name}]\nway = "board.{way}"\nfeeds = "sockets"\n'
            f'device = {{ kind = "mcb", curve = "B", rating_a = {rating} }}\n'
            f'cable = {{ kind = "t&e", line_mm2 = {line}, cpc_mm2 = 1.5, length_m = {{ measured = {length} }}, method = "C" }}\n')


def worked(side: Side, names: list[str], dice: random.Random, steps: int) -> None:
    """Some changes: a circuit's device and cable, a length, one taken away, one more, a run, a row, a row that strikes."""
    for _ in range(steps):
        step = dice.choice(["device", "length", "gone", "new", "run", "row", "row", "row", "strike"])
        text = side.files["found.toml"]
        here = [n for n in names if f"[circuits.{n}]" in text]
        if step in ("device", "length", "gone") and here:
            name = dice.choice(here)
            start = text.index(f"# circuit {name}\n")
            end = min([i for i in (text.find("\n# circuit ", start + 1),) if i > 0] + [len(text)])
            way = text[start:end].partition('board.')[2].partition('"')[0]
            new = "" if step == "gone" else circuit(name, int(way), dice.choice([6, 10, 16, 20, 32]), dice.choice([1.5, 2.5, 4.0]),
                                                    dice.randint(3, 60))
            side.files["found.toml"] = text[:start] + new + text[end:].lstrip("\n") if not new else text[:start] + new + text[end:]
            side.touched[f"circuits.{name}"] = new
        elif step == "new":
            name, way = f"n{dice.randint(1, 3)}", dice.randint(8, 10)
            if f"[circuits.{name}]" not in text and f'"board.{way}"' not in text:
                new = circuit(name, way, 16, 2.5, dice.randint(3, 30))
                side.files["found.toml"] = f"{text.rstrip()}\n\n{new}"
                side.touched[f"circuits.{name}"] = new
                names.append(name) if name not in names else None
        elif step == "run":
            size = dice.choice([10, 16, 35])
            line = next(each for each in text.splitlines() if each.startswith("tails-1"))
            new = f'tails-1 = {{ joins = ["cutout.out", "meter.in"], kind = "tails", size_mm2 = {size} }}'
            side.files["found.toml"] = text.replace(line, new)
            side.touched["runs.tails-1"] = new
        else:
            struck = dice.choice(rows_in(side.files)) if step == "strike" and rows_in(side.files) else None
            row = {"id": f"{side.name}-{len(side.added) + 1}", "where": "equipment.board", "says": f"{side.name} saw, {dice.random():.9f}",
                   "by": side.name, "at": f"2026-11-{dice.randint(10, 20)}T10:{dice.randint(0, 59):02}", "strikes": struck["id"] if struck else ""}
            side.files["observations.csv"] += written(row)
            side.added.append(row)


def rows_in(files: dict[str, str]) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(files["observations.csv"])))


def written(row: dict[str, str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([row.get(c, "") for c in HEADER.split(",")])
    return out.getvalue()


def history(seed: int, steps: int = 6) -> tuple[dict[str, str], Side, Side]:
    """(what both began from, one phone, the other)."""
    dice = random.Random(seed)
    base, names = begun(dice)
    sides = [Side(name, dict(base)) for name in ("ann", "bo")]
    for side in sides:
        worked(side, list(names), dice, dice.randint(0, steps))
    return base, sides[0], sides[1]
