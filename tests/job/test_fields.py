"""A record behaves as the frozen dataclass it is, although it shares its methods with all others."""
from __future__ import annotations

import copy
import pickle
from dataclasses import FrozenInstanceError, dataclass, fields, is_dataclass, replace
from typing import Any

import pytest

from spareway.job.fields import equal_record, record, specs
from spareway.job.rows import Event, Observation, Photo, Reading
from spareway.job.types import Cable, Circuit, Lands, Parts

ROWS = (Reading, Observation, Event, Photo)


def photo(**more: Any) -> Photo:
    return Photo(**{"id": "f1", "sha256": "0" * 64, "address": "rooms.hall", "purpose": "report", "by": "a", "at": "2026-11-09", **more})


def test_fields_are_filled_by_name_and_the_rest_by_default() -> None:
    """A default that is a container is each thing's own."""
    one, other = Circuit(name="a", way="board.1"), Circuit(name="b", way="board.2")
    assert (one.way, one.shape, one.points) == ("board.1", "radial", {})
    assert one.points is not other.points


def test_a_wrong_or_missing_field_is_refused() -> None:
    with pytest.raises(TypeError, match="Reading has no colour"):
        Reading(id="r1", stage="found", quantity="ze_ohm", a="supplies.main", by="a", at="2026-11-09", colour="red")   # type: ignore[call-arg]

    @record
    class Bare:
        """One field without a default."""
        needed: str

    with pytest.raises(TypeError, match="Bare: needed is missing"):
        Bare()        # type: ignore[call-arg]
    with pytest.raises(TypeError):
        Bare("given by place")        # type: ignore[misc]


def test_nothing_is_changed_and_no_field_is_added() -> None:
    lands = Lands(L="board.4.L")
    for name in ("L", "strange"):
        with pytest.raises(FrozenInstanceError):
            setattr(lands, name, "board.5.L")
    with pytest.raises(FrozenInstanceError):
        del lands.L        # type: ignore[misc]
    assert not hasattr(lands, "__dict__")
    assert lands.L == "board.4.L"


def test_a_record_is_a_dataclass_to_the_library() -> None:
    """Its fields, a changed copy, and a frozen dataclass derived from it."""
    assert is_dataclass(Cable)
    assert {each.name for each in fields(Cable)} >= {spec.name for spec in specs(Cable)}
    assert replace(Lands(L="a.1.L", N="a.1.N"), L="a.2.L").N == "a.1.N"

    @dataclass(frozen=True, slots=True, kw_only=True)
    class More(Parts):
        """Parts and one field more."""
        stage: str = "found"

    more = More(stage="fitted")
    assert (more.stage, more.rooms) == ("fitted", {})
    with pytest.raises(FrozenInstanceError):
        more.stage = "found"        # type: ignore[misc]


def test_things_are_themselves_and_rows_are_what_they_say() -> None:
    assert Lands(L="a.1.L") != Lands(L="a.1.L")
    assert photo() == photo()
    assert photo() != photo(by="b")
    assert len({photo(), photo(), photo(by="b")}) == 2
    assert [photo() == each for each in ("f1", 1)] == [False, False]

    @equal_record
    class Twin:
        """Fields as a photo's id, but another class."""
        id: str = "f1"

    assert Twin() == Twin()
    assert Twin() != photo()


def test_copies_are_equal_and_tell_their_fields() -> None:
    """Copied and carried to another process."""
    for twin in (copy.copy(photo()), copy.deepcopy(photo()), pickle.loads(pickle.dumps(photo()))):
        assert twin == photo()
    assert "purpose='report'" in repr(photo())


@pytest.mark.parametrize("cls", ROWS)
def test_annotations_stay_for_those_who_read_them(cls: type) -> None:
    assert set(cls.__annotations__) == {each.name for each in fields(cls)}
    assert cls.__annotations__["id"] == "str"
