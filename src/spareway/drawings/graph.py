"""A sheet with a graph on it: headline, the graph, and under it what its numbers and letters stand for, in words."""
from __future__ import annotations

from spareway.drawings.letters import in_lines
from spareway.drawings.symbols import escaped, n, ring, ring_width, svg, text
from spareway.fact import Fact

__all__ = ["CAUTION", "DASH", "GRID", "NARROW", "OF_A_MODEL", "OF_BOTH", "SIZE", "SMALL", "WIDE", "Sheet", "loose", "marked"]

CAUTION = "Drawn from the record. It is no measurement."
OF_A_MODEL = "Drawn from simulated winters: a model's, and not this family's. It is no measurement."
OF_BOTH = ("Drawn from the record, and what is foreseen from simulated winters: a model's, and not this family's. "
           "It is no measurement.")
NARROW, WIDE = 360.0, 560.0                     # a phone; a page
SIZE, SMALL, LINE_H = 14.0, 13.0, 18.0          # of words, of figures on axes, from line to line
GRID = 1.2                                      # the thinnest stroke there is
INSET = 8.0
LOW = 0.74
DASH = "8 5"                                    # what rests on a value nobody confirmed


def loose(fact: Fact[float]) -> str:
    """What a value rests on that nobody confirmed, as it stands behind it: ", from memory"."""
    said = dict.fromkeys(each.trust or each.how for each in fact.doubtful())
    return f", {', '.join(said)}" if said else ""


def marked(what: str, drawn: str) -> str:
    """What is drawn, with the words for it: read out, and shown where a pointer rests."""
    return f"<g><title>{escaped(what)}</title>{drawn}</g>"


class Sheet:
    """Filled from the top downwards. brief: without what holds of every such drawing, for a page that says it once; what is of a
    model says so there too."""

    def __init__(self, wide: bool, brief: bool, caution: str = CAUTION) -> None:
        self.width, self.brief, self.caution = WIDE if wide else NARROW, brief, caution
        self.y = 0.0
        self.body: list[str] = []

    def put(self, *parts: str) -> None:
        self.body += parts

    def room(self, high: float) -> float:
        """Take so much height; gives where it begins."""
        top, self.y = self.y, self.y + high
        return top

    def high(self, usual: float) -> float:
        """How high a graph is that usually is so high: lower where it shares a page with everything else."""
        return usual * (LOW if self.brief else 1.0)

    def headline(self, title: str, answer: str) -> None:
        """What it is, in bold, and what it says, in a line or more."""
        for words, bold, size in ((title, True, 16.0), (answer, False, SIZE)):
            for part in in_lines(words, size, self.width - 2 * INSET, bold):
                self.put(text(INSET, self.room(LINE_H + 1) + 15, part, size=size, bold=bold))
        self.room(4)

    def say(self, words: str, number: str = "", mark: str = "", mark_w: float = 0.0, bold: bool = False) -> None:
        """A line of words, broken where it must; before it a number in a ring, or a mark of this width, drawn about (0, 0)."""
        wide = ring_width(number) if number else mark_w
        left = INSET + (wide + 8 if wide else 0)
        for k, part in enumerate(in_lines(words, SIZE, self.width - left - INSET, bold)):
            y = self.room(LINE_H + (2 if k == 0 else 0)) + (2 if k == 0 else 0)
            if k == 0 and number:
                self.put(ring(INSET + wide / 2, y + 9, number))
            elif k == 0 and mark:
                self.put(f'<g transform="translate({n(INSET + wide / 2)} {n(y + 9)})">{mark}</g>')
            self.put(text(left, y + 14, part, size=SIZE, bold=bold))

    def always(self, words: str) -> None:
        """What holds of every such drawing."""
        if not self.brief:
            self.say(words)

    def svg(self, describes: str) -> str:
        """The whole, with the caution at its foot."""
        if self.caution != CAUTION or not self.brief:
            self.say(self.caution)
        title = describes.partition(". ")[0]
        return svg(self.width, self.y + 6, title, f"{describes} {self.caution}", "".join(self.body))
