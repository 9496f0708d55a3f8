"""Random intakes, by seed, as the lines of a job folder: any kinds between the street and one or two boards, joined any way.

Runs with both ends, with one end cut, with one end that nobody traced; terminals that hold several cores; boards with ways
in use, spare and bare, circuits that feed things on the wall, neutrals that are borrowed, cores that land elsewhere.
"""
from __future__ import annotations

from random import Random

from spareway.job.job import Installation, read_job
from spareway.job.refs import sides
from spareway.kinds import kind, kind_names

ON_THE_WALL = ("meter", "block", "switch")
DEVICES = [name for name in kind_names() if kind(name).family == "device"]
BOARDS = [name for name in kind_names() if kind(name).family == "board"]
COLOURS = ("", "", 'colours = "red black"', 'colours = "brown blue"', 'colours = "brown blue green-yellow"')


def intake_of(seed: int) -> Installation:
    """The installation of this seed."""
    return read_job({"job.toml": 'schema = 1\nsays = "invented"\nnation = "England"\nbooks = { bs7671 = "2018+A4" }\n',
                     "found.toml": lines(seed)}).at("found")


def lines(seed: int) -> str:
    """found.toml of this seed."""
    r = Random(seed)
    things = {"cutout": r.choice(("cut-out", "cut-out-fused-neutral"))}
    chain = [name for name in kind_names() if kind(name).family in ON_THE_WALL and len(sides(name)) > 1]
    for i in range(r.randint(0, 4)):
        things[f"{r.choice(('m', 'unit', 'hall-switch', 'x'))}{i}"] = r.choice(chain)
    things |= {f"board{i}": r.choice(BOARDS) for i in range(r.randint(1, 2))}
    things |= {"met": "main-earthing-terminal"} if r.random() < 0.8 else {}
    things |= {f"pipe{i}": r.choice(("service-pipe", "electrode")) for i in range(r.randint(0, 2))}
    things |= {"roof": r.choice([n for n in kind_names() if kind(n).family == "source"])} if r.random() < 0.4 else {}
    out = ["[supplies.main]", 'joins = "cutout.in"', f'earthing = "{r.choice(("TN-S", "TN-C-S", "TT"))}"', "[equipment]"]
    for name, of in things.items():
        more = f', ways_n = {r.randint(2, 16)}, bare_ways = [{r.choice(("", "1", "2"))}]' if kind(of).family == "board" else ""
        out.append(f'{name} = {{ kind = "{of}"{more} }}')
    return "\n".join([*out, *_runs(r, things), *_circuits(r, things)]) + "\n"


def _ends(things: dict[str, str], conductor: str) -> list[str]:
    """Sides with this conductor, on which a run may land."""
    return [f"{name}.{side}" for name, of in things.items() for side, has in sides(of).items()
            if conductor in has and kind(of).face[side] != "inside"]


def _runs(r: Random, things: dict[str, str]) -> list[str]:
    out = ["[runs]"]
    line, earth = [e for e in _ends(things, "L") if e != "cutout.in"], _ends(things, "E")
    names = list(things)
    for i, name in enumerate(names[1:]):                                   # most things hang on the one before them
        here, before = [e for e in line if e.startswith(f"{name}.")], [e for e in line if e.startswith(f"{names[i]}.")]
        if here and before and r.random() < 0.9:
            out.append(_run(r, f"tails-{i}", "tails", r.choice(before), here[0]))
    for i in range(r.randint(0, 2)):
        out.append(_run(r, f"more-{i}", "tails", *r.sample(line, 2)) if len(line) > 1 else "")
    for i in range(r.randint(0, 5)):
        if len(earth) > 1:
            a, b = r.sample(earth, 2)
            out.append(_run(r, f"earth-{i}", "earthing", f"{a}.E", f"{b}.E"))
    if r.random() < 0.3:
        out.append(f'left = {{ joins = ["{r.choice(line)}"], kind = "tails", size_mm2 = 16 }}')
    if r.random() < 0.3:
        out.append(f'astray = {{ joins = ["{r.choice(line)}", "?"], kind = "tails" }}')
    return out


def _run(r: Random, name: str, of: str, a: str, b: str) -> str:
    colours = r.choice(COLOURS) if of == "tails" else r.choice(("", 'colours = "green-yellow"'))
    size = r.choice(("", f"size_mm2 = {r.choice((2.5, 6, 16, 25))}"))
    return f'{name} = {{ {", ".join(part for part in (f"joins = [{a!r}, {b!r}]", f"kind = {of!r}", size, colours) if part)} }}'


def _circuits(r: Random, things: dict[str, str]) -> list[str]:
    out: list[str] = []
    boards = [name for name, of in things.items() if kind(of).family == "board"]
    fed = [e for e in _ends(things, "L") if kind(things[e.partition(".")[0]]).family in ("source", "switch")]
    taken: set[str] = set()                      # ways in which a device stands: a second one is refused
    for n in range(r.randint(1, 8)):
        name = f"c{n}-{r.choice(('lights', 'sockets-downstairs', 'x'))}"
        way = f"{r.choice(boards)}.{r.randint(1, 2)}"
        out += [f"[circuits.{name}]", f'way = "{way}"',
                f'feeds = "{r.choice(fed) if fed and r.random() < 0.2 else "lamp"}"']
        if r.random() < 0.8 and way not in taken:
            taken.add(way)
            out.append(f'device = {{ kind = "{r.choice(DEVICES)}", rating_a = {r.choice((6, 16, 32))} }}')
        if r.random() < 0.1:
            out.append(f'lands.N = "{r.choice(boards)}.2.N"')
    return out
