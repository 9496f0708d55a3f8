"""Random networks, by seed: houses with the faults that kill, and tangles that no house would have."""
from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from spareway.kinds.joints import Link
from tests.wiring.oracle import Case

ROLES = ("ordinary",) * 12 + ("skilled",) * 8 + ("operator", "other", "itself")


@dataclass
class Draft:
    """A network being drawn."""
    random: Random
    links: list[Link] = field(default_factory=list)
    sources: dict[str, str] = field(default_factory=dict)
    controls: dict[str, str] = field(default_factory=dict)

    def control(self, name: str, role: str = "") -> str:
        self.controls[name] = role or self.random.choice(ROLES)
        return name

    def run(self, name: str, a: str, b: str, conductors: str = "LN", missing: float = 0.03) -> None:
        """A conductor each, one now and then not there: the lost neutral, the earth joined to nothing."""
        for c in conductors:
            if self.random.random() >= missing:
                self.links.append(Link(f"{a}.{c}", f"{b}.{c}", "-", "", f"{name}.{c}"))

    def switch(self, name: str, a: str, b: str, poles: str, role: str = "") -> None:
        """Ganged poles on `poles`; the other of L and N goes straight through."""
        control = self.control(name, role)
        for c in "LN":
            self.links.append(Link(f"{a}.{c}", f"{b}.{c}", "-", control if c in poles else ""))

    def finished(self, most: int = 3) -> Case:
        r = self.random
        names = sorted({end for link in self.links for end in (link.a, link.b)})
        operated = [name for name, role in self.controls.items() if role == "operator"]
        worked_on = [name for name in names if name not in self.sources or r.random() < 0.1] or names
        parts = tuple(r.sample(worked_on, min(len(worked_on), r.randint(1, most))))
        permitted = frozenset(name for name in operated if r.random() < 0.3)
        by = r.choice(("ordinary", "skilled", "skilled", "skilled", "operator"))
        return Case(tuple(self.links), self.sources, self.controls, permitted, parts, by, r.random() < 0.4)


def house(seed: int) -> Case:
    """An intake, one or two boards, up to nine ways; back-feeds, ties, borrowed and lost neutrals, untraced ends."""
    r = Random(seed)
    d = Draft(r)
    d.sources = {"head.in.L": "L", "head.in.N": "N"}
    if r.random() < 0.8:
        d.sources["head.E"] = r.choice("EEE?")
    if r.random() < 0.2:
        d.links.append(Link("head.in.N", "head.E"))
    d.switch("head.fuse", "head.in", "head.out", "L", "operator")
    d.run("tails", "head.out", "meter")
    boards = ["one", "two"][: r.choice((1, 2, 2))]
    for board in boards:
        d.switch(f"{board}.main", "meter", f"{board}.bar", r.choice(("LN", "LN", "L", "N")))
        d.run(f"{board}.earth", "head", f"{board}.bar", "E")
    if len(boards) == 2 and r.random() < 0.4:
        d.switch("tie", "one.bar", "two.bar", r.choice(("LN", "L")))
    if r.random() < 0.35:
        d.sources |= {"roof.L": "L", "roof.N": "N"}
        d.switch("roof.switch", "roof", f"{r.choice(boards)}.bar", r.choice(("LN", "L")))
    ways(d, boards, r.randint(1, 12 - len(d.controls)))
    if r.random() < 0.2:
        loose = r.choice(sorted({end for link in d.links for end in (link.a, link.b)}))
        d.sources["loose.end"] = "?"
        d.links.append(Link("loose.end", loose, "-", "", "loose"))
    return d.finished()


def ways(d: Draft, boards: list[str], how_many: int) -> None:
    r = d.random
    for i in range(how_many):
        bar, way = f"{r.choice(boards)}.bar", f"way{i}"
        poles = r.choice(("L", "L", "L", "LN"))
        control = d.control(f"{way}.device", r.choice(("ordinary", "ordinary", "skilled", "itself", "other")))
        d.links.append(Link(f"{bar}.L", f"{way}.L", "-", control, f"{way}.L"))
        if r.random() >= 0.08:
            d.links.append(Link(f"{bar}.N", f"{way}.N", "-", control if "N" in poles else "", f"{way}.N"))
        d.run(f"{way}.cpc", bar, way, "E", 0.1)
        lender = f"way{r.randrange(i + 1)}" if r.random() < 0.25 else way
        d.links.append(Link(f"{way}.L", f"{lender}.N", "="))
        if r.random() < 0.15:
            d.links.append(Link(f"{way}.L", f"{way}.E", r.choice("=~")))
        if r.random() < 0.1:
            d.links.append(Link(f"{way}.L", f"way{r.randrange(i + 1)}.L", "=", r.choice(("", control))))


def tangle(seed: int) -> Case:
    """Any terminals, any links, any sources; several feeds of one part, so that it takes several controls."""
    r = Random(seed)
    d = Draft(r)
    names = [f"t{i:02d}" for i in range(r.randint(5, 14))]
    controls = [d.control(f"c{i:02d}") for i in range(r.randint(2, 12))]
    for i in range(r.randint(len(names), 5 * len(names) // 2)):
        a, b = r.sample(names, 2)
        joint = r.choice("-----==~")
        control = r.choice(controls) if r.random() < (0.94 if joint == "-" else 0.15) else ""
        d.links.append(Link(a, b, joint, control, f"k{i:02d}" if r.random() < 0.5 else ""))
    for letter in "L" + r.choice(("N", "NE", "NE?", "LN", "L2N", "E", "LLN")):
        d.sources[r.choice(names)] = {"2": "L2"}.get(letter, letter)
    return d.finished(most=2)
