"""What a home's service fuse has to carry, as foreseen: many winters lived minute by minute. Texts in, plain data out.

A face asks (`asked`), lives winters with whatever it has (`plainly` here, the compiled path elsewhere), and is told (`told`).
"""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from spareway import __version__
from spareway.api import CAUTION, Files, Overlays, no_collector
from spareway.design.blown import how_long, never_blew
from spareway.design.design import Design
from spareway.doc import Fault, InputError
from spareway.fact import Fact, simulated, unknown
from spareway.fact_data import figure, rests
from spareway.job.job import Installation, read_job
from spareway.season.of_job import Lived, Unlivable, season_of
from spareway.season.scenarios import Named, named, read_scenario

if TYPE_CHECKING:
    from spareway.season.home import Season
    from spareway.season.sums import Between, Winters

__all__ = ["Asked", "asked", "plainly", "told"]

ONE_IN = 20                                         # winters: what one of so many goes beyond
MELTS = 1.0                                         # heat of the element at which it melts
MODEL = ("Foreseen by a model of an ordinary home's use, not by this family: read what it rests on.",
         "Minutes, never half-hour means; a winter goes on as if the fuse had not opened.",
         "That nothing happened in the winters lived does not say that it cannot: the interval says how often it still may.")
KWH = 60_000                                        # watt-minutes in a kilowatt hour


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be lived: a stage of a job in a scenario."""
    job: str
    inst: Installation
    scenario: Named
    seed: int
    lived: Lived
    holds_a: Fact[float]
    conventional_h: Fact[float]

    @property
    def season(self) -> Season | None:
        return self.lived.season


def asked(files: Files, scenario: str | tuple[str, str] = "ordinary", seed: int = 1, stage: str | None = None,
          overlays: Overlays = ()) -> Asked:
    """scenario: the name of one of the package, or the name and the text of a file. Errors: InputError with every fault."""
    of = named(scenario) if isinstance(scenario, str) else Named(scenario[0], read_scenario(*scenario))
    with no_collector():
        job = read_job(files, overlays, stage)
        design = Design(job.at(stage))
        try:
            lived = season_of(design, of.scenario, seed)
        except Unlivable as problem:
            raise InputError([Fault(of.file, None, "", str(seed), str(problem))]) from None
        return Asked(job.about.says, design.inst, of, seed, lived, design.supply.holds_a, design.supply.conventional_h)


def plainly(season: Season, first: int, how_many: int) -> Winters:
    """So many winters from a number on, in plain Python: tens of seconds each. The compiled path says the same."""
    from spareway.season.minute import live
    from spareway.season.sums import gathered
    lived = [live(season, number) for number in range(first, first + how_many)]
    return gathered([each.winter for each in lived], [each.histogram for each in lived])


def told(of: Asked, winters: Winters | None, asked_n: int, worst_w: Sequence[int] = ()) -> dict[str, Any]:
    """What the winters say. winters: those lived, perhaps fewer than asked for; worst_w: minutes of the worst day, redrawn."""
    lived_n = 0 if winters is None else len(winters)
    return {"spareway": __version__, "job": of.job, "stage": of.inst.stage,
            "scenario": {"name": of.scenario.file, "says": of.scenario.scenario.says},
            "seed": of.seed, "winters_n": lived_n, "asked_n": asked_n, "days_n": of.season.days if of.season else 0,
            "highest_a": _ends(_top(of, winters, "highest")), "middle_a": _ends(_top(of, winters, "middle")),
            "one_in": ONE_IN, "one_in_a": _ends(_top(of, winters, "one in")),
            "over": _over(of, winters), "fuse": _fuse(of, winters), "energy": _energy(of, winters),
            "sampled_every": of.season.sampled_every if of.season else 0, "duration": _duration(of, winters),
            "worst_day": _worst(of, winters, worst_w),
            "rests_on": _rests(of), "counted": list(of.lived.told), "caution": [*MODEL, *CAUTION]}


# ---- as facts --------------------------------------------------------------------------------------------------------
def _simulated(of: Asked, name: str, between: Between, runs: int) -> Fact[float]:
    """A figure of the winters lived. Other inputs want other winters: it is not worked again, and unknown then."""
    inputs = of.lived.facts
    given = [fact.amount for fact in inputs]

    def again(*amounts: Any) -> float:
        if [*amounts] != given:
            raise ValueError("other numbers want other winters: simulate again")
        return between.likely
    return simulated(name, again, inputs, of.seed, runs, (between.least, between.most), "winters lived minute by minute")


def _nothing(of: Asked, name: str) -> Fact[Any]:
    """Why there is no figure: the gaps of the record, or that no winter was lived."""
    if of.lived.gaps:
        return Fact(name, None, "unknown", "", "the record has gaps", inputs=of.lived.gaps)
    return unknown(name, "no winter was lived to its end")


def _top(of: Asked, winters: Winters | None, which: str) -> Fact[float]:
    """The highest minute: of all winters, of the middle one, and what one winter in so many goes beyond."""
    from spareway.season.sums import Between, quantile
    if not winters or of.season is None:
        return _nothing(of, "top_a")
    amps = [watts / of.season.home.volts_v for watts in winters.top_w]
    if which == "highest":
        return _simulated(of, "top_a", Between(max(amps), max(amps), math.inf), len(winters))
    return _simulated(of, "top_a", quantile(amps, 0.5 if which == "middle" else 1 - 1 / ONE_IN), len(winters))


def _over(of: Asked, winters: Winters | None) -> dict[str, Any]:
    """Minutes above the rating, the longest run of them, and the share of winters with any; unknown without a rating read."""
    from spareway.season.sums import Between, quantile, rare_mean, share_of
    names, all_n = ("over_min", "longest_min", "longest_min", "winters_share"), None
    if not winters or of.season is None:
        minutes, longest, usual, share = (_nothing(of, name) for name in names)
    elif not of.lived.fuse_a.known:
        gap = of.lived.fuse_a
        why = "the rating of the service fuse was not read"
        minutes, longest, usual, share = (Fact(name, None, "unknown", "", why, inputs=(gap,)) for name in names)
    else:
        n, most = len(winters), float(max(winters.longest_min))
        all_n = round(math.fsum(winters.over_min))
        minutes = _simulated(of, "over_min", rare_mean([float(m) for m in winters.over_min]), n)
        longest = _simulated(of, "longest_min", Between(most, most, math.inf), n)
        usual = _simulated(of, "longest_min", quantile([float(m) for m in winters.longest_min], 1 - 1 / ONE_IN), n)
        share = _simulated(of, "winters_share", share_of(len([m for m in winters.over_min if m]), n), n)
    return {"rating_a": of.lived.fuse_a.amount, "minutes_n": _ends(minutes), "all_n": all_n, "longest_n": _ends(longest),
            "one_in_n": _ends(usual), "share": _ends(share)}


def _fuse(of: Asked, winters: Winters | None) -> dict[str, Any]:
    """What the fuse of the record holds and opens at, whether its element gets so warm, and what "it never blew" is worth."""
    ladder = of.season.home.ladder if of.season else None
    if not winters or of.season is None:
        melts, hottest = _nothing(of, "winters_share"), _nothing(of, "element_heat")
    elif ladder is None:
        melts, hottest = (unknown(name, of.lived.element.said) for name in ("winters_share", "element_heat"))
    else:
        melts, hottest = _melts(of, winters)
    fuse = (of.lived.fuse_a, of.holds_a, of.lived.opens_a, of.conventional_h)
    return {**{name: _ends(each) for name, each in zip(("rating_a", "holds_a", "opens_a", "conventional_h"), fuse, strict=True)},
            "melts": _ends(melts), "hottest": _ends(hottest), "element": of.lived.element.said,
            "taken_as": of.lived.element.taken_as, "within": how_long(of.conventional_h), "never_blew": never_blew(*fuse)}


def _melts(of: Asked, winters: Winters) -> tuple[Fact[float], Fact[float]]:
    """The share of winters in which the element melts, and its greatest heat. Of an element taken as the slowest of its standard
    the share may be up to 1, for the fuse itself may melt sooner; taken as the quickest, down to nought."""
    from spareway.season.sums import Between, share_of
    n, most, taken_as = len(winters), max(winters.hottest), of.lived.element.taken_as
    share = share_of(len([h for h in winters.hottest if h >= MELTS]), n)
    quickest = taken_as == "quickest"
    between = Between(share.likely, 0.0 if quickest else share.least, 1.0 if taken_as == "slowest" else share.most)
    return (_simulated(of, "winters_share", between, n),
            _simulated(of, "element_heat", Between(most, 0.0 if quickest else most, math.inf), n))


def _energy(of: Asked, winters: Winters | None) -> dict[str, Any]:
    """Energy of a season on the whole: all, and of that rooms and stored water (kWh)."""
    from spareway.season.sums import Between, middle
    out = {}
    for key in ("taken", "heat", "water"):
        if not winters:
            out[f"{key}_kwh"] = _ends(_nothing(of, "taken_kwh"))
            continue
        mean = middle([wmin / KWH for wmin in getattr(winters, f"{key}_wmin")])
        out[f"{key}_kwh"] = _ends(_simulated(of, "taken_kwh", Between(mean.likely, mean.least, mean.most), len(winters)))
    return out


# ---- as plain data ---------------------------------------------------------------------------------------------------
def _ends(fact: Fact[Any]) -> dict[str, Any]:
    """least and most: the ends of its interval, null where the winters set none."""
    ends = [None if end is None or end in (math.inf, -math.inf) else end for end in fact.span or (None, None)]
    runs = fact.how == "simulated"
    return {**figure(fact), "least": ends[0] if runs else None, "most": ends[1] if runs else None}


def _duration(of: Asked, winters: Winters | None) -> list[dict[str, float]]:
    """For how much of the season the demand is at or above each step: the duration curve, until nothing is left."""
    from spareway.season.sums import BIN_W, BINS
    if not winters or of.season is None:
        return []
    out = []
    for step in range(BINS):
        share = winters.share_above(step * BIN_W)
        out.append({"above_a": step * BIN_W / of.season.home.volts_v, "share": share})
        if share == 0:
            break
    return out


def _worst(of: Asked, winters: Winters | None, worst_w: Sequence[int]) -> dict[str, Any] | None:
    """The day of the highest minute of all, its 1,440 minutes in A, whichever way it flows; None where it was not drawn again."""
    if not winters or of.season is None or not worst_w:
        return None
    from spareway.season.sums import highest_first
    (worst,) = highest_first(winters, 1)
    return {"winter": worst.number, "day": worst.top_day - of.season.settle_days + 1,
            "minutes_a": [abs(watts) / of.season.home.volts_v for watts in worst_w]}


def _rests(of: Asked) -> list[dict[str, str]]:
    """Everything assumed or from memory that the winters rest on, each once."""
    return rests(each for fact in of.lived.facts for each in fact.doubtful())
