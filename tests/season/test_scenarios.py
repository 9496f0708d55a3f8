"""Scenarios as files: every one of the package is a season, and a fault of a file is one clear sentence with its line."""
from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from spareway import bundled
from spareway.cli.schema import _schema
from spareway.doc import InputError
from spareway.season.scenarios import Scenario, named, read_scenario, scenarios

WHOLE = 'says = "a fortnight"\n[weather]\ndays_n = 14\n'
FAULTS = {
    "no-sentence": ("[weather]\ndays_n = 3\n", "says is missing"),
    "no-weather": ('says = "x"\n', "weather has either months or a number of days"),
    "both": (WHOLE + 'months = ["May"]\n', "weather has either months or a number of days"),
    "month": ('says = "x"\n[weather]\nmonths = ["Januar"]\n', "did you mean January?"),
    "months": ('says = "x"\n[weather]\nmonths = ["May", "May", "May", "May", "May", "May", "May", "May", "May", "May", "May", "May", "May"]\n', "13 months"),
    "field": (WHOLE + "swing = 3\n", "did you mean swing_k?"),
    "number": (WHOLE + "swing_k = 400\n", "a number from 0 to 40"),
    "settings": ('settings = "as it was"\n' + WHOLE, "as designed"),
    "midnight": (WHOLE + "[warm.night]\nfrom_h = 22\nto_h = 6\n", "hours run from an earlier to a later one of the same day"),
    "half-said": (WHOLE + "[warm.night]\nfrom_h = 22\n", "hours run from an earlier to a later one of the same day"),
    "twice": (WHOLE + "[warm.a]\nfrom_h = 6\nto_h = 9\n[warm.b]\nfrom_h = 8\nto_h = 10\n", "while another still runs"),
    "shares": (WHOLE + "[people.few]\nliveliness = 0.5\ndraw_share = 0.4\n", "the shares come to 0.4"),
    "begins": (WHOLE + "[charging]\ncharge_kwh = 5\n[charging.begins.late]\nat_h = 23\ndraw_share = 2\n", "a number from 0 to 1"),
    "begins-short": (WHOLE + "[charging]\ncharge_kwh = 5\n[charging.begins.late]\nat_h = 23\ndraw_share = 0.5\n", "the shares come to 0.5"),
    "sunset": (WHOLE + "[sun]\nfrom_h = 16\nto_h = 8\n", "sunrise is before sunset"),
    "outage": (WHOLE + "[outage]\nfrom_h = 16\n", "an outage has a beginning and a length"),
    "outage-too-late": (WHOLE + "[outage]\nfrom_h = 400\nfor_h = 10\n", "the outage ends 410 hours after the first midnight, and 14 days are 336 hours"),
    "outage-to-the-end": (WHOLE + "[outage]\nfrom_h = 326\nfor_h = 10\n", "it ends before the days do"),
    "outage-of-months": ('says = "x"\n[weather]\nmonths = ["February"]\n[outage]\nfrom_h = 670\nfor_h = 2\n', "28 days are 672 hours"),
    "charging-never": (WHOLE + "[charging]\ncharge_kwh = 5\n", "a charge has an hour at which it begins"),
    "unknown": (WHOLE + 'swing_k = { unknown = "nobody looked" }\n', "a season's file says no unknown"),
    "hidden": ('says = "a\\u200eb"\n[weather]\ndays_n = 3\n', "cannot be printed"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_told_in_one_sentence_with_its_line(name: str) -> None:
    """Each fault is found, names the file, and says what would be right."""
    said, wanted = FAULTS[name]
    with pytest.raises(InputError) as caught:
        read_scenario("mine.toml", said)
    assert [fault for fault in caught.value.faults if wanted in str(fault) and fault.file == "mine.toml"] != []


def test_the_line_of_what_never_happens_is_named() -> None:
    """An outage of a fortnight that begins in its fifth week, a charge that never begins: the line of each; an hour before the end is one."""
    late, never = (WHOLE + "[outage]\nfrom_h = 800\nfor_h = 10\n", WHOLE + "[charging]\ncharge_kwh = 5\n")
    for said, line in ((late, 5), (never, 4)):
        with pytest.raises(InputError) as caught:
            read_scenario("mine.toml", said)
        assert [fault.line for fault in caught.value.faults] == [line]
    assert read_scenario("mine.toml", WHOLE + "[outage]\nfrom_h = 325\nfor_h = 10\n").outage is not None


def test_what_is_whole_is_read() -> None:
    """The texts that the faults are planted in have none of their own; numbers keep how they are known."""
    read = read_scenario("mine.toml", WHOLE + "swing_k = { measured = 5 }\n")
    assert read.weather is not None
    assert (read.weather.days_n, read.weather.swing_k.value, read.weather.swing_k.how) == (14, 5, "measured")
    assert read.weather.swing_k.where == "mine.toml:4"
    assert (read.weather.cold_days_n, read.weather.draw, read.weather.months) == (3, 1, ())


def test_the_scenarios_of_the_package_are_the_seven_asked_for() -> None:
    """An ordinary season first; each is a sentence; hours and shares hold together, as reading them checks."""
    found = scenarios()
    assert next(iter(found)) == "ordinary"
    assert {*found} == {"ordinary", "after-outage", "night-start", "one-timer", "cold-snap", "charging", "solar"}
    assert all(says and not says.endswith(".") for says in found.values())


def test_what_nobody_measured_is_marked_assumed() -> None:
    """No number of a bundled scenario that describes people or weather is stated as if somebody knew it: only nought, one and all."""
    def facts(of: object) -> list[tuple[float, str]]:
        if isinstance(of, dict):
            return [each for value in of.values() for each in facts(value)]
        slots = getattr(type(of), "__slots__", ())
        if hasattr(of, "amount"):
            return [(of.amount, of.how)] if isinstance(of.amount, int | float) else []
        return [each for slot in slots for each in facts(getattr(of, slot))]
    stated = {amount for name in scenarios() for amount, how in facts(named(name).scenario) if how == "stated"}
    assert stated <= {0, 1, 8}                      # an outage begins at eight
    assert any(how == "assumed" for _, how in facts(named("ordinary").scenario))


def test_the_published_schema_takes_every_bundled_file_and_no_slip() -> None:
    """What an editor checks as one types: the seven files are within it, a field that is none is not."""
    validator = Draft202012Validator(_schema("season.toml"))
    Draft202012Validator.check_schema(validator.schema)
    for name in scenarios():
        assert [*validator.iter_errors(tomllib.loads(bundled.text(f"season/scenarios/{name}.toml")))] == [], name
    for text, wanted in FAULTS.values():
        if wanted in ("did you mean swing_k?", "a number from 0 to 40", "says is missing", "as designed"):
            assert not validator.is_valid(tomllib.loads(text))


def test_the_page_of_seasons_shows_a_file_that_is_one_and_names_them_all() -> None:
    """The example in docs/seasons.md is read without a fault; its table names the seven."""
    page = (Path(__file__).parents[2] / "docs" / "seasons.md").read_text(encoding="utf-8")
    read = read_scenario("example.toml", page.partition("```toml\n")[2].partition("```")[0])
    assert (read.set_back_c.value, read.set_back_c.how) == (15, "told")
    assert {line.split("`")[1] for line in page.splitlines() if line.startswith("| `")} == {*scenarios()}


def test_a_name_that_is_none_is_told_with_the_nearest() -> None:
    for wrong in ("ordinery", "../scenarios/ordinary", ""):
        with pytest.raises(InputError) as caught:
            named(wrong)
        assert caught.value.faults[0].says == f'there is no scenario "{wrong}"'
    with pytest.raises(InputError, match="did you mean ordinary"):
        named("ordinery")
    assert isinstance(named("ordinary").scenario, Scenario)
