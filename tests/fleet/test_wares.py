"""What may be issued: what is asked for, without what something else always does as well."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitplan.fleet.nouns import count_boats, count_guides
from kitplan.fleet.wares import stock
from tests.fleet.tinyfleet import BAGS, BROAD, PRICED, RIFFLE, read_fleet
from tests.rules.tiny import BAG_15, BAG_20, lines

pytestmark = pytest.mark.usefixtures("in_folder")
# The bag of 15 m lies quick alone, is bulky and costs more than the one of 20 m, which weighs less.
WORSE = (
    (BAG_20, f'price = "80 EUR"\n{BAG_20}'),
    (
        BAG_15,
        'price = "81 EUR"\nflags = ["thrown"]\ncarried = ["quick"]\nbulky = true',
    ),
    ('mass = "550 g"', 'mass = "1.1 kg"'),
)


def test_what_nobody_asks_for_is_no_ware() -> None:
    assert tuple(read_fleet(RIFFLE, BROAD).wares) == BAGS


def test_what_another_thing_always_does_as_well_is_no_ware() -> None:
    one = replace(RIFFLE, catalog=WORSE)
    assert tuple(read_fleet(one).wares) == ("throw bag 20 m",)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('price = "81 EUR"', 'price = "79 EUR"'),
        ('mass = "1.1 kg"', 'mass = "0.9 kg"'),
        ('carried = ["quick"]\nbulky = true', 'carried = ["quick", "stowed"]\nbulky = true'),
        ("bulky = true", "bulky = false"),
    ],
)
def test_what_is_better_in_anything_is_a_ware(old: str, new: str) -> None:
    edits = tuple((a, b.replace(old, new)) for a, b in WORSE)
    assert edits != WORSE
    assert len(read_fleet(replace(RIFFLE, catalog=edits)).wares) == 2


def test_what_must_go_is_a_ware_whatever_else_does_it() -> None:
    one = replace(RIFFLE, catalog=WORSE, kit={BAGS[0]: "count = 2\ntake = 1"})
    assert tuple(read_fleet(one).wares) == BAGS


def test_what_has_no_price_is_left_out_and_said() -> None:
    one = replace(RIFFLE, catalog=PRICED[:1])
    fleet = read_fleet(one)
    assert tuple(fleet.wares) == ("throw bag 20 m",)
    assert fleet.unpriced == ("throw bag 15 m",)
    assert read_fleet(one, by_mass=True).unpriced == ()


def test_as_many_are_of_use_in_a_boat_as_one_way_asks_for() -> None:
    trips = (replace(one, catalog=(*PRICED, lines(3))) for one in (RIFFLE, BROAD))
    assert {name: ware.most for name, ware in read_fleet(*trips).wares.items()} == {
        "throw bag 15 m": 3,
        "throw bag 20 m": 3,
    }


def test_boats_and_guides_are_counted_by_the_trip_that_uses_most() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    assert fleet.boats == {"oar raft 4.3 m": 2, "river kayak": 1}
    assert fleet.guides == {2: 1, 3: 2}
    broad = fleet.outings["broad"].trip
    assert count_boats(broad) == {"oar raft 4.3 m": 1, "river kayak": 1}
    assert count_guides(broad) == {2: 1, 3: 1}
    said = read_fleet(RIFFLE, BROAD, boats={"river kayak": 7})
    assert said.boats == {"oar raft 4.3 m": 2, "river kayak": 7}


def test_a_trip_is_stocked_with_wares_instead_of_its_kit() -> None:
    one = replace(RIFFLE, kit={BAGS[1]: "count = 5\ntake = 2", "first-aid kit": "count = 1"})
    trip = read_fleet(one).outings["riffle"].trip
    stocked = stock(trip, {BAGS[1]: 3})
    assert {name: (row.count, row.take) for name, row in stocked.kit.items()} == {BAGS[1]: (3, 2)}
    assert [leg.kit for leg in stocked.legs] == [(BAGS[1],)]
