"""Legs of a trip: where days cut it, and what boats are called in them. Expected values by hand."""

from datetime import date
from pathlib import Path

import pytest

from kitplan.load.legs import Calendar, name_boats
from tests.inputs.texts import load

START = date(2027, 6, 14)


def cut(
    boats: dict[str, tuple[int, int]],
    paddlers: dict[str, tuple[int, int]] | None = None,
    kit: dict[str, tuple[int, int]] | None = None,
) -> list[tuple[int, int, tuple[str, ...]]]:
    """Return first day, last day and boats of each leg of six days."""
    legs = Calendar(START, 6, boats, paddlers or {}, kit or {}).cut()
    return [(leg.first_day, leg.last_day, leg.boats) for leg in legs]


def test_a_trip_on_which_all_stay_is_one_leg() -> None:
    (leg,) = Calendar(START, 6, {"Heron": (1, 6)}, {"Ana": (1, 6)}, {"bag": (1, 6)}).cut()
    assert (leg.first_day, leg.last_day, leg.ends) == (1, 6, date(2027, 6, 19))
    assert (leg.boats, leg.paddlers, leg.kit) == (("Heron",), ("Ana",), ("bag",))


def test_each_day_on_which_somebody_comes_or_has_left_begins_a_leg() -> None:
    assert cut({"Heron": (1, 6), "Wren": (4, 6), "Coot": (1, 3)}) == [
        (1, 3, ("Heron", "Coot")),
        (4, 6, ("Heron", "Wren")),
    ]


def test_boats_people_and_kit_cut_alike() -> None:
    legs = cut({"Heron": (1, 6)}, {"Ana": (1, 2)}, {"bag": (6, 6)})
    assert [leg[:2] for leg in legs] == [(1, 2), (3, 5), (6, 6)]


def test_a_leg_ends_on_its_last_day() -> None:
    legs = Calendar(START, 6, {"Heron": (1, 6)}, {"Ana": (1, 2)}, {}).cut()
    assert [leg.ends for leg in legs] == [date(2027, 6, 15), date(2027, 6, 19)]


def test_a_boat_of_a_later_leg_is_named_by_its_first_day_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    trip = load(tmp_path).trip
    assert trip is not None
    boats = {name: trip.boats[name] for name in ("Heron", "Wren")}
    calendar = Calendar(START, 6, {"Heron": (1, 6), "Wren": (4, 6)}, {"Ana": (1, 5)}, {})
    legs, named = name_boats(calendar.cut(), boats)
    assert [leg.boats for leg in legs] == [
        ("Heron",),
        ("Heron, from day 4", "Wren"),
        ("Heron, from day 6", "Wren, from day 6"),
    ]
    assert [(boat.name, boat.called, boat.leg) for boat in named.values()] == [
        ("Heron", "Heron", 0),
        ("Heron, from day 4", "Heron", 1),
        ("Wren", "Wren", 1),
        ("Heron, from day 6", "Heron", 2),
        ("Wren, from day 6", "Wren", 2),
    ]


def test_a_boat_that_is_called_like_that_keeps_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two boats under one name would be one boat, and a plan without the other."""
    monkeypatch.chdir(tmp_path)
    trip = load(tmp_path).trip
    assert trip is not None
    other = "Heron, from day 2"
    boats = {"Heron": trip.boats["Heron"], other: trip.boats["Wren"]}
    calendar = Calendar(START, 6, {"Heron": (1, 6), other: (2, 6)}, {"Ana": (1, 6)}, {})
    legs, named = name_boats(calendar.cut(), boats)
    assert [leg.boats for leg in legs] == [("Heron",), (f"{other} as well", other)]
    assert [boat.called for boat in named.values()] == ["Heron", "Heron", other]
