"""Facts and formulas: what a formula may hold, that its printed line keys back in, and that absence is never a number."""
from __future__ import annotations

import math
import random
import re
from dataclasses import FrozenInstanceError
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest

from spareway import fact as facts
from spareway.fact import (
    Fact,
    Formula,
    NotKnown,
    chosen,
    formula,
    glossary,
    highest,
    least,
    lowest,
    most,
    quantities,
    simulated,
    solved,
    sqrt,
    total,
    unknown,
)

RATE = 1.2
TABLE = {1: 2.0}


def helper(x: float) -> float:
    return x * RATE


@formula("own")
def zs_ohm(ze_ohm: float, r1_ohm: float, r2_ohm: float) -> float:
    """Loop."""
    return ze_ohm + r1_ohm + r2_ohm


@formula("own")
def fault_a(u0_v: float, zs_ohm: float) -> float:
    """Current."""
    return u0_v / zs_ohm


@formula("own")
def least_size_mm2(fault_a: float, clear_s: float, material_k: float) -> float:
    """Size."""
    return sqrt(fault_a ** 2 * clear_s) / material_k


@formula("own")
def r_ohm(r_mohm_per_m: float, length_m: float) -> float:
    """Resistance."""
    return r_mohm_per_m * length_m / 1000


@formula("own")
def ca_overload(limit_c: float, ambient_c: float, reference_c: float, overload_factor: float) -> float:
    """Factor."""
    return sqrt((reference_c + overload_factor ** 2 * (limit_c - reference_c) - ambient_c)
                / (limit_c - reference_c)) / overload_factor


@formula("own")
def cooker_demand_a(load_a: float, first_a: float, rest_share: float, socket_a: float) -> float:
    """Demand."""
    return least(load_a, first_a) + rest_share * most(load_a - first_a, 0) + socket_a


def stated(name: str, amount: Any, how: str = "measured", **more: Any) -> Fact[Any]:
    return Fact(name, amount, how, **more)


# ---- what a formula may not hold ------------------------------------------------------------------------------------
REFUSED = {
    "branch": lambda x: 1 if x else 2,
    "not": lambda x: not x,
    "and": lambda x, y: x and y,
    "equal": lambda x: 1 if x == 2 else x,
    "unequal": lambda x: x != 2,
    "less": lambda x: x < 2,
    "at most": lambda x: x <= 2,
    "more": lambda x: x > 2,
    "at least": lambda x: x >= 2,
    "min": lambda x: min(x, 2),
    "max": lambda x, y: max(x, y),
    "round": lambda x: round(x),
    "round to places": lambda x: round(x, 2),
    "int": lambda x: int(x),
    "float": lambda x: float(x),
    "floor": lambda x: math.floor(x),
    "ceil": lambda x: math.ceil(x),
    "trunc": lambda x: math.trunc(x),
    "whole division": lambda x: x // 2,
    "whole division of": lambda x: 2 // x,
    "rest": lambda x: x % 2,
    "rest of": lambda x: 2 % x,
    "divmod": lambda x: divmod(x, 2),
    "size": lambda x: abs(x),
    "look-up by it": lambda x: TABLE[x],
    "look-up in it": lambda x: x[0],
    "index": lambda x: [1, 2][x],
    "in": lambda x: x in (1, 2),
    "contains": lambda x: 2 in x,
    "loop": lambda x: [y * 2 for y in x],
    "length": lambda x: len(x),
    "text": lambda x: f"{x}",
    "square root of the library": lambda x: math.sqrt(x),
    "minus": lambda x: -x,
    "same thing": lambda x: x if x is not None else 1,
    "a number from outside": lambda x: x * RATE,
    "a table from outside": lambda x: x * TABLE[1],
    "a helper": lambda x: helper(x),
    "an attribute": lambda x: x.op,
    "a constant": lambda x: 5.0,
    "an inner function": lambda x: (lambda y: y)(x),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str) -> None:
    """Whatever branches, compares, rounds, looks up, loops or uses a number from outside is refused when it is made."""
    with pytest.raises((TypeError, AttributeError)):
        formula("nowhere")(REFUSED[name])


def test_refused_for_a_number_of_the_function_around() -> None:
    rate = 3.0

    def made(x_a: float) -> float:
        return x_a * rate
    with pytest.raises(TypeError, match="outside"):
        formula("nowhere")(made)


def test_a_formula_may_use_another() -> None:
    """Formulas and their square root, least and most are what a formula may call; the line is the whole expression."""
    @formula("own")
    def fault_a(u0_v: float, ze_ohm: float, r1_ohm: float, r2_ohm: float) -> float:
        return u0_v / zs_ohm(ze_ohm, r1_ohm, r2_ohm)
    worked = fault_a.worked(*(stated(n, v) for n, v in zip(fault_a.parameters, (230, 0.2, 0.1, 0.16), strict=True)))
    assert worked.line() == "If = U0 / (Ze + R1 + R2) = 230 / (0.2 + 0.1 + 0.16) = 500 A"


@pytest.mark.parametrize(("body", "text"), [
    (lambda a, b, c: a - (b - c), "p - (q - r)"),
    (lambda a, b, c: a - b - c, "p - q - r"),
    (lambda a, b, c: a / (b * c), "p / (q × r)"),
    (lambda a, b, c: a / b * c, "p / q × r"),
    (lambda a, b, c: (a + b) * c, "(p + q) × r"),
    (lambda a, b, c: (a * b) ** 2 + c, "(p × q)² + r"),
    (lambda a, b, c: a ** b ** c, "p ^ (q ^ r)"),
    (lambda a, b, c: (a ** b) ** c, "(p ^ q) ^ r"),
    (lambda a, b, c: 2 ** a + 3 - b * 0.5 - 1 / c, "2 ^ p + 3 - q × 0.5 - 1 / r"),
    (lambda a, b, c: a ** 3 - sqrt(b + c), "p³ - √(q + r)"),
    (lambda a, b, c: 1000 * a + (-2) * b + c, "1000 × p + (-2) × q + r"),
    (lambda a, b, c: 1 + a * (2 - b) - (3 + c), "1 + p × (2 - q) - (3 + r)"),
    (lambda a, b, c: least(a, b, 3) - most(c, 0), "least(p, q, 3) - most(r, 0)"),
])
def test_an_expression_reads_as_it_was_written(body: Any, text: str) -> None:
    """Brackets where they are needed and nowhere else; negative numbers in brackets."""
    assert Formula(body, "own").tree.text(["p", "q", "r"]) == text


# ---- printed lines keyed back in ------------------------------------------------------------------------------------
TOKEN = re.compile(r"\d+(?:\.\d+)?|least|most|√|\S")


class Keyed:
    """A pocket calculator for printed lines, written apart from the printing: precedence climbing over tokens."""

    def __init__(self, text: str) -> None:
        self.tokens = [*TOKEN.findall(text), ""]
        self.at = 0
        self.next = self.tokens[0]

    def take(self, wanted: str = "") -> str:
        token = self.next
        assert not wanted or token == wanted, f"{wanted} wanted, {token} there"
        self.at += 1
        self.next = self.tokens[self.at]
        return token

    def sum(self) -> float:
        value = self.product()
        while self.next == "+" or self.next == "-":
            value = value + self.product() if self.take() == "+" else value - self.product()
        return value

    def product(self) -> float:
        value = self.power()
        while self.next == "×" or self.next == "/":
            value = value * self.power() if self.take() == "×" else value / self.power()
        return value

    def power(self) -> float:
        value = self.single()
        while self.next and self.next in "^²³":
            sign = self.take()
            value = value ** self.single() if sign == "^" else value ** (2 if sign == "²" else 3)
        return value

    def single(self) -> float:
        token = self.take()
        if token == "(":
            value = self.sum()
            self.take(")")
            return value
        if token == "-":
            return -self.single()
        if token in ("least", "most", "√"):
            self.take("(")
            values = [self.sum()]
            while self.next == ",":
                self.take()
                values.append(self.sum())
            self.take(")")
            return math.sqrt(values[0]) if token == "√" else {"least": min, "most": max}[token](values)
        return float(token)


def keyed(text: str) -> float:
    calculator = Keyed(text)
    value = calculator.sum()
    assert calculator.next == "", f"not all of {text} was keyed"
    return value


def agrees(line: str, unit: str) -> bool:
    """Does the last expression of the line, keyed in, give the printed result at the places it was printed to?

    The last two digits of a float are noise, and who reads a calculator rounds a half up."""
    _, _, rest = line.partition(" = ")
    *_, expression, result = rest.split(" = ")
    printed = result.removesuffix(f" {unit}") if unit else result
    places = len(printed.partition(".")[2])
    display = Decimal(f"{keyed(expression):.14g}")
    return display.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP) == Decimal(printed)


def test_the_calculator_itself() -> None:
    """It knows precedence and brackets, and a wrong line is seen."""
    assert keyed("1 + 2 × 3² - √(16) / (3 - 1)") == 17
    assert keyed("least(2, 1 + 0.5, 7) + most(-3, 0) - 2 ^ (1 + 2)") == -6.5
    assert agrees("a = b = 0.21 + 0.1156 + 0.1888 = 0.514 Ω", "Ω")
    assert not agrees("a = b = 0.21 + 0.1156 + 0.1878 = 0.514 Ω", "Ω")


@pytest.mark.no_cover                      # tracing makes it four times as long, and the tests above reach the same lines
def test_a_hundred_thousand_printed_lines_key_back_in() -> None:
    """Chains of formulas on numbers over eight decades: each line's last expression recomputes to what it prints."""
    draw = random.Random(20261125)
    wrong, lines = [], 0
    while lines < 100_000:
        def some(name: str) -> Fact[float]:
            return Fact(name, float(f"{10 ** draw.uniform(-4, 4):.{draw.choice((1, 2, 3, 5, 16))}e}"), "measured")
        r1, r2 = r_ohm.worked(some("r_mohm_per_m"), some("length_m")), r_ohm.worked(some("r_mohm_per_m"), some("length_m"))
        loop = zs_ohm.worked(some("ze_ohm"), r1, r2)
        current = fault_a.worked(some("u0_v"), loop)
        size = least_size_mm2.worked(current, some("clear_s"), some("material_k"))
        demand = cooker_demand_a.worked(current, some("first_a"), some("rest_share"), some("socket_a"))
        reference = some("reference_c")
        limit = total("limit_c", [reference, some("limit_c")])
        factor = ca_overload.worked(limit, reference, reference, some("overload_factor"))
        whole = total("fault_a", [current, demand, some("fault_a")])
        for worked in (r1, loop, current, size, demand, limit, factor, whole):
            if worked.formula is not None and worked.amount is not None:
                unit = glossary(worked.name).unit
                line = worked.line()
                lines += 1
                if not agrees(line if worked.formula.__class__ is Formula else f"x = {line}", unit):
                    wrong.append(line)
    assert (wrong[:6], len(wrong)) == ([], 0)


# ---- facts ----------------------------------------------------------------------------------------------------------
def loop(**amounts: float | None) -> Fact[Any]:
    parts = {"ze_ohm": 0.21, "r1_ohm": 0.1156, "r2_ohm": 0.1888} | amounts
    return zs_ohm.worked(*(unknown(n, "not traced") if v is None else stated(n, v) for n, v in parts.items()))


def test_one_function_gives_the_number_the_fact_and_the_line() -> None:
    zs = loop()
    assert zs.value == zs_ohm(0.21, 0.1156, 0.1888) == 0.5144
    assert (zs.how, zs.where, str(zs)) == ("worked", "own", "0.514 Ω")
    assert zs.line() == "Zs = Ze + R1 + R2 = 0.21 + 0.1156 + 0.1888 = 0.514 Ω"
    assert zs.inputs[0].line() == "Ze = 0.21 Ω"


def test_a_negative_number_stands_in_brackets_whatever_stood_there_before() -> None:
    """The expression is shaped once a formula; the brackets belong to the numbers of the line."""
    lines = [loop(r1_ohm=amount).line().split(" = ")[2] for amount in (0.1, -0.1, 0.1)]
    assert lines == ["0.21 + 0.1 + 0.1888", "0.21 + (-0.1) + 0.1888", "0.21 + 0.1 + 0.1888"]


def test_absence_is_no_number_and_no_verdict() -> None:
    """An unknown input makes the result unknown; asking for it raises, and no fact is true or false."""
    zs = loop(r1_ohm=None)
    assert zs.amount is None
    assert not zs.known
    assert zs.how == "unknown"
    with pytest.raises(NotKnown, match="zs_ohm is not known: not recorded") as caught:
        _ = zs.value
    assert caught.value.fact is zs
    with pytest.raises(TypeError, match="neither true nor false"):
        bool(loop())
    assert zs.line() == "Zs = Ze + R1 + R2 = 0.21 + ? + 0.1888 = unknown"
    assert str(zs) == "unknown"
    with pytest.raises(NotKnown, match="r1_ohm is not known: not traced"):
        _ = zs.inputs[1].value


def test_gaps_and_doubts_are_read_off_the_fact() -> None:
    """What is missing and what is assumed or from memory come from the roots, deepest first, each once."""
    gap = unknown("r1_ohm")
    assumed = stated("ze_ohm", 0.35, "assumed")
    remembered = stated("r2_ohm", 0.1, "table", trust="from memory")
    zs = zs_ohm.worked(assumed, gap, remembered)
    current = fault_a.worked(stated("u0_v", 230, "table", trust="confirmed"), zs)
    both = total("fault_a", [current, current])
    assert both.missing() == [gap]
    assert both.doubtful() == [assumed, remembered]
    assert [f.name for f in both.roots()] == ["u0_v", "ze_ohm", "r1_ohm", "r2_ohm", "zs_ohm", "fault_a", "fault_a"]
    assert loop().missing() == []
    assert loop().doubtful() == []


def test_a_table_s_number_is_shown_as_it_is_printed() -> None:
    """Not rounded to three digits like a worked one; a number between two rows has no print and is."""
    rowed = r_ohm.worked(stated("r_mohm_per_m", 1.3656), stated("length_m", 1000.0))
    printed = Fact("r1_ohm", 1.3656, "table", "a page", formula=rowed.formula, inputs=rowed.inputs)
    between = Fact("r2_ohm", 0.123456789012, "table", "a page", formula=rowed.formula, inputs=rowed.inputs)
    assert zs_ohm.worked(stated("ze_ohm", 1), printed, between).line().endswith("= 1 + 1.3656 + 0.123 = 2.49 Ω")
    assert (str(printed), str(between)) == ("1.3656 Ω", "0.123 Ω")


def test_the_working_stands_in_the_order_a_person_writes() -> None:
    current = fault_a.worked(stated("u0_v", 230), loop())
    assert [(step.fact.name, step.source) for step in current.working()] == [("zs_ohm", "own"), ("fault_a", "own")]
    assert current.working()[1].line == "If = U0 / Zs = 230 / 0.514 = 447 A"


def test_other_ways_of_knowing() -> None:
    measured = stated("ze_ohm", 0.34, others=(stated("ze_ohm", 0.8, "declared"),))
    assert measured.by("measured") is measured
    assert measured.by("declared").value == 0.8
    assert measured.by("drawing").note == "not drawing"
    assert not measured.by("drawing").known


@pytest.mark.parametrize(("numbers", "why"), [
    ((230.0, 0.0), "a division by nought"), ((1e308, 1e-10), "not a finite number"),
])
def test_a_result_that_is_no_number_is_unknown(numbers: tuple[float, float], why: str) -> None:
    """A division by nought, a result out of range: unknown with its reason, and it is itself the gap."""
    current = fault_a.worked(*(stated(n, v) for n, v in zip(fault_a.parameters, numbers, strict=True)))
    assert current.amount is None
    assert why in current.note
    assert current.missing() == [current]


def test_a_root_of_a_negative_and_a_power_too_large() -> None:
    size = least_size_mm2.worked(stated("fault_a", 100.0), stated("clear_s", -1.0), stated("material_k", 115))
    assert size.note == "cannot be worked out from these numbers: the root of a negative number"
    huge = least_size_mm2.worked(stated("fault_a", 1e200), stated("clear_s", 1.0), stated("material_k", 115))
    assert huge.note == "cannot be worked out from these numbers: a number too large"
    root = Formula(lambda load_a, rest_share: load_a ** rest_share, "own")
    root.name = "load_a"
    assert "not a finite number" in root.worked(stated("load_a", -2.0), stated("rest_share", 0.5)).note


def test_units_are_checked_by_the_parameter() -> None:
    """Another quantity in the same unit may stand in; another unit, or another number of facts, may not."""
    assert zs_ohm.worked(stated("loop_ln_ohm", 0.2), stated("r1_ohm", 0.1), stated("r2_ohm", 0.1)).known
    with pytest.raises(TypeError, match=r"zs_ohm: u0_v is in 'V', ze_ohm wants 'Ω'"):
        zs_ohm.worked(stated("u0_v", 230), stated("r1_ohm", 0.1), stated("r2_ohm", 0.1))
    with pytest.raises(TypeError, match="takes 3 facts, not 2"):
        zs_ohm.worked(stated("ze_ohm", 0.2), stated("r1_ohm", 0.1))
    with pytest.raises(KeyError):
        zs_ohm.worked(stated("no_such_ohm", 0.2), stated("r1_ohm", 0.1), stated("r2_ohm", 0.1))


def test_again_works_through_what_changed_only() -> None:
    """Another amount for an assumption, a value for a gap, and none where the result cannot be worked."""
    gap = unknown("r1_ohm")
    ze = stated("ze_ohm", 0.2, "assumed")
    zs = zs_ohm.worked(ze, gap, stated("r2_ohm", 0.1))
    current = fault_a.worked(stated("u0_v", 230), zs)
    assert current.again({}) is None
    assert current.again({gap: 0.2}) == pytest.approx(460)
    assert current.again({gap: -0.2, ze: 0.1}) is None
    assert current.again({zs: 1.0}) == 230
    assert loop().again({}) == 0.5144


def test_total() -> None:
    """As many as there are, exactly rounded; one gap makes it unknown; units must agree."""
    tenths = [stated("length_m", 0.1) for _ in range(10)]
    assert total("length_m", tenths).value == 1.0
    assert total("length_m", tenths[:3]).line() == "l = 0.1 + 0.1 + 0.1 = 0.300 m"
    assert total("length_m", []).line() == "l = 0 = 0 m"
    assert (total("length_m", [*tenths, unknown("length_m")]).how, total("length_m", tenths).how) == ("unknown", "total")
    with pytest.raises(TypeError, match=r"length_m is in 'm', u0_v in 'V'"):
        total("length_m", [stated("u0_v", 230)])


def test_lowest_and_highest() -> None:
    """The weakest stretch governs; nothing to choose from and a gap are both unknown."""
    stretches = [stated("iz_a", amount) for amount in (76.0, 87.0, 61.5)]
    assert lowest("iz_a", stretches).line() == "Iz = least(76, 87, 61.5) = 61.5 A"
    assert highest("iz_a", stretches).value == 87
    assert lowest("iz_a", stretches[:1]) is stretches[0]
    assert lowest("it_a", stretches[:1]).name == "it_a"
    assert highest("iz_a", []).note == "there is nothing to choose from"
    assert not lowest("iz_a", [*stretches, unknown("iz_a")]).known


def test_chosen_solved_simulated() -> None:
    """What no formula can say tells how it came, can be worked again, and is unknown when its inputs are."""
    need = stated("least_size_mm2", 7.19)
    sizes = (6, 10, 16)
    size = chosen("size_mm2", lambda least_mm2: min(s for s in sizes if s >= least_mm2), [need], "6, 10, 16",
                  "the first that does")
    assert size.line() == "S = 10 mm²: tried 6, 10, 16; the first that does"
    assert size.again({need: 12.0}) == 16
    assert size.again({need: 99.0}) is None
    area = stated("area_m2", 2.0)
    side = solved("length_m", math.sqrt, [area], "side² = area", lambda root, want: (root ** 2, want), "geometry")
    assert side.line() == "l = 1.41 m: side² = area; left side 2.00000, right side 2"
    assert side.how == "solved"
    assert solved("length_m", math.sqrt, [unknown("area_m2")], "e", lambda r, w: (r, w), "g").how == "unknown"
    drawn = simulated("demand_a", lambda: 61.0, [], seed=7, runs=1000, span=(58.0, 64.25))
    assert drawn.line() == "ID = 61 A: 1000 runs from seed 7, between 58 and 64.3"
    assert drawn.span == (58.0, 64.25)
    few = simulated("demand_a", lambda: 61.0, [], seed=7, runs=3, span=(58.0, math.inf))
    assert few.line() == "ID = 61 A: 3 runs from seed 7, between 58 and no bound"


def test_facts_cannot_be_changed_and_are_told_apart_by_identity() -> None:
    one, other = stated("ze_ohm", 0.2), stated("ze_ohm", 0.2)
    with pytest.raises(FrozenInstanceError):
        one.amount = 0.3  # type: ignore[misc]
    assert one != other
    assert len({one, other}) == 2
    assert fault_a.worked(stated("u0_v", 230), loop()).inputs[1].roots()[-1].name == "zs_ohm"


def test_the_glossary() -> None:
    """Every entry has words and a symbol, its name ends in its unit, and what is not in it is not printed."""
    entries = list(quantities())
    assert len({entry.name for entry in entries}) == len(entries) > 50
    assert all(entry.says and entry.symbol and entry.digits == 3 or entry.digits != 3 for entry in entries)
    with pytest.raises(KeyError):
        glossary("no_such_quantity")
    with pytest.raises(KeyError):
        str(stated("no_such_quantity", 1.0))
    assert set(facts.__all__) <= set(dir(facts))
    assert str(stated("curve", "B", "marked") if "curve" in {e.name for e in entries} else stated("ct", 0.9)) in ("B", "0.9")
