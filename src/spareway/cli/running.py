"""What a year of heating takes and costs, for people: between what and what, the day of the price, what would save most."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from spareway.cli.layout import paragraph
from spareway.show import exact

__all__ = ["may_be", "running"]

Said = Mapping[str, Any]
BODY, UNDER = 2, 4


def running(said: Said) -> list[str]:
    """The heat of a year, its cost, and the measures; never one number."""
    lines = paragraph(f"Heating of a year: {_between(said['heating_kwh'], 'kWh')}. Water, light, cooking and the standing charge "
                      "are not in it.")
    lines += paragraph(f"Its cost: {_between(said['cost_gbp'], 'GBP')}{_price(said)}.")
    lines += [line for each in said["range_of"] for line in paragraph(
        may_be(each), BODY, UNDER)]
    if within := said["within_w_per_k"]["amount"]:
        lines += paragraph(f"not counted: {within:.1f} W/K into spaces of the home that are not heated", BODY, UNDER)
    if said["storage_heaters"]:
        lines += paragraph(f"charged at another hour and price, so say the mean price: {', '.join(said['storage_heaters'])}",
                           BODY, UNDER)
    return lines + _measures(said)


def may_be(ranged: Said) -> str:
    """How far a fact may be otherwise, and how it is known: a range that was assumed is no range that was measured."""
    doubt = f", {ranged['trust']}" if ranged["trust"] not in ("", "confirmed") else ""
    return f"{ranged['at']} may be {exact(ranged['least'])} to {exact(ranged['most'])} ({ranged['how']}{doubt})"


def _between(figure: Said, unit: str) -> str:
    if figure["least"] is None:
        return f"unknown{_why(figure)}"
    return f"{figure['least']:.0f} to {figure['most']:.0f} {unit}, {figure['as_recorded']:.0f} {unit} as recorded"


def _why(figure: Said) -> str:
    gaps = dict.fromkeys(", ".join(filter(None, (gap["says"], gap["at"], gap["why"]))) for gap in figure["missing"])
    return f": {'; '.join(gaps)}" if gaps else ": nobody said between what anything lies, and one number would be no answer"


def _price(said: Said) -> str:
    price, day = said["price_p_per_kwh"], said["price_on"]
    return f", at {price['is']} ({price['how']}) on {day}" if price["amount"] is not None and day else ""


def _measures(said: Said) -> list[str]:
    """Each by itself, the one that may save most first."""
    if not said["measures"]:
        return paragraph(f"What would save is not recorded. {said['first']}")
    lines = paragraph("What would save, each by itself and not to be added up, a year:")
    for each in said["measures"]:
        lines += paragraph(f"{each['says']}: {_saved(each)}", BODY, UNDER)
    for each in said["measures"]:
        could = each["could_be"]
        if could["how"] == "unknown":                   # the saving is unknown then, and its line says why
            continue
        lines += paragraph(f"{each['says']}: reckoned with {could['says']} {could['is']} ({could['how']})", BODY, UNDER)
    return lines + paragraph(said["first"], BODY, UNDER)


def _saved(each: Said) -> str:
    kwh, gbp = each["saved_kwh"], each["saved_gbp"]
    if kwh["least"] is None:
        return f"unknown{_why(kwh)}"
    cost = "" if gbp["least"] is None else f", {gbp['least']:.0f} to {gbp['most']:.0f} GBP"
    return f"{kwh['least']:.0f} to {kwh['most']:.0f} kWh{cost}"
