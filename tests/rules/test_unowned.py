"""What rules ask for and a party has not, whatever is packed where; and stores without room.

Trips of `tiny` and of `laden`, by hand.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.check import check_party
from kitplan.needs import derive_needs, find_too_large
from kitplan.needs.shortfalls import list_losses, list_unowned
from tests.rules.laden import LADEN, make_sound, read_laden
from tests.rules.test_first_aim import LINE, NONE, THREE, rule, spread
from tests.rules.tiny import BASE, read_tiny

if TYPE_CHECKING:
    from kitplan.trip import Trip

pytestmark = pytest.mark.usefixtures("in_folder")


def read(more: str) -> Trip:
    return read_tiny(Path(), replace(BASE, more=more))


def test_three_lines_are_asked_and_the_party_has_two() -> None:
    trip = read(rule("law", LINE, THREE))
    (row,) = list_unowned(trip)
    assert (row.name, row.asked, row.there, row.short) == ("lines", 3, 2, 1)
    check = check_party(trip, derive_needs(trip))
    assert check.unowned == (row,)
    assert check.short


@pytest.mark.parametrize(
    ("reading", "short"),
    [
        ('scope = "boat", count = 1', 0),  # two boats, two lines
        ('scope = "boat", count = 2', 2),  # four asked
        ('scope = "boat", for_each = 1, of = "persons"', 0),  # goes by who sits where
        (NONE, 0),  # a cap asks for nothing
    ],
)
def test_what_is_asked_of_boats_adds_up(reading: str, short: int) -> None:
    assert sum(row.short for row in list_unowned(read(rule("house", LINE, reading)))) == short


def test_holds_that_take_less_than_all_stores_are_told() -> None:
    """Teal's hold alone is given: Heron is taken to have room. Both of 125 l: there is none."""
    trip = read_laden(LADEN)
    assert find_too_large(trip) == []
    boats = {name: replace(boat, type=trip.boats["Teal"].type) for name, boat in trip.boats.items()}
    (finding,) = find_too_large(replace(trip, boats=boats))
    assert finding.code == "too-large"
    assert "more than the holds of all boats there" in finding.message


def test_each_lost_boat_is_told_by_itself() -> None:
    """One first-aid kit, in Teal: nothing is left if Teal is lost, and all if Heron is."""
    said = spread("boat").replace('"line"]', '"first aid"]')
    trip = read_laden(replace(LADEN, more=LADEN.more + said))
    losses = list_losses(trip, make_sound(trip).arrangement)
    assert {key: row.short for key, row in losses.items()} == {("line", "Teal"): 1}
