"""Which box lies where, what moves, what comes and goes, and what each boat weighs, by hand."""

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.needs import list_lots, mass_by_morning, name_boxes, name_lots
from kitplan.needs.boxes import (
    Dealt,
    deal_boxes,
    is_used,
    list_box_moves,
    list_meals,
    list_passing,
)
from kitplan.needs.loads import Load, find_fullest, list_loads
from kitplan.plan import Stowed
from kitplan.planfile.stores import list_stores
from kitplan.trip import Lot, Trip
from tests.inputs.stowed import ARRANGEMENT, DIPPER, HERON, load_stowed


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Trip:
    monkeypatch.chdir(tmp_path)
    return load_stowed()


def name(dealt: Dealt) -> dict[str, list[str]]:
    return {boat: [box for box, _ in boxes] for boat, boxes in dealt.items()}


# --- boxes ----------------------------------------------------------------------------------------


def test_every_box_lies_in_one_boat_of_each_leg_it_is_aboard_in(trip: Trip) -> None:
    dealt = name(deal_boxes(trip, ARRANGEMENT))
    for leg in trip.legs:
        there = Counter(box for boat in leg.boats for box in dealt[boat])
        assert there == Counter(name_boxes(list_lots(trip, leg)).keys())


def test_boxes_have_names_in_a_fixed_order(trip: Trip) -> None:
    dealt = name(deal_boxes(trip, ARRANGEMENT))
    assert list(dealt) == ["Heron", "Dipper", HERON, DIPPER]
    assert dealt["Heron"] == [
        "food, day 1, sack",
        "food, day 3, sack",
        "drinking water, canister",
        "toilet, toilet box 1 of 2",
        "stove",
        "tent, 1 of 2",
        "personal bag, 1 of 2",
    ]
    assert dealt[DIPPER][3:5] == ["tent, 1 of 2", "tent, 2 of 2"]


def test_a_box_stays_where_it_is_if_its_boat_takes_one_again(trip: Trip) -> None:
    """Dealt by the trip's order alone Heron would take the first tent, and both would move."""
    rows = [row for row in ARRANGEMENT.stowed if row.lot != "tent"]
    tents = [Stowed("Dipper", "tent", 2), Stowed(HERON, "tent", 1), Stowed(DIPPER, "tent", 1)]
    dealt = deal_boxes(trip, replace(ARRANGEMENT, stowed=(*rows, *tents)))
    moved = [move for (move, *_) in list_box_moves(trip, dealt) if move.box[1].store == "tent"]
    assert "tent, 1 of 2" in name(dealt)[DIPPER]
    assert "tent, 2 of 2" in name(dealt)[HERON]
    assert len(moved) <= 1


def test_a_plan_file_names_the_same_boxes(trip: Trip) -> None:
    rows = [row for row in ARRANGEMENT.stowed if row.lot != "tent"]
    tents = [Stowed("Dipper", "tent", 2), Stowed(HERON, "tent", 1), Stowed(DIPPER, "tent", 1)]
    arrangement = replace(ARRANGEMENT, stowed=(*rows, *tents))
    listed = {
        boat: [box for row in rows for box in row["boxes"]]
        for boat, rows in list_stores(trip, arrangement).items()
    }
    assert listed == name(deal_boxes(trip, arrangement))
    assert "tent, 2 of 2" in listed[HERON]


def test_what_moves_between_legs_changes_boat(trip: Trip) -> None:
    (moves,) = list_box_moves(trip, deal_boxes(trip, ARRANGEMENT))
    assert [(move.box[0], move.source, move.target) for move in moves] == [
        ("food, day 3, sack", "Heron", "Dipper"),
        ("tent, 1 of 2", "Heron", "Dipper"),
        ("toilet, toilet box 2 of 2", "Dipper", "Heron"),
    ]


def test_what_comes_aboard_and_goes_ashore(trip: Trip) -> None:
    """The canister of day 1 goes back empty; the sack of day 1 is no more. Cy brings his bag."""
    second, third = list_passing(trip, deal_boxes(trip, ARRANGEMENT))
    assert (second.day, third.day) == (2, 3)
    assert name(second.ashore) == {"Heron": ["drinking water, canister"]}
    assert name(second.aboard) == {
        "Heron": ["food, day 3, sack"],
        "Dipper": ["food, day 2, sack", "drinking water, from day 2, canister"],
    }
    assert name(third.ashore) == {}
    assert name(third.aboard) == {HERON: ["personal bag, from day 3"]}


def stow_first(trip: Trip) -> Dealt:
    """Return all stores dealt to the first boat of each leg."""
    rows = [
        Stowed(leg.boats[0], lot, one.count)
        for leg in trip.legs
        for lot, one in name_lots(list_lots(trip)).items()
        if one.first_day <= leg.last_day and one.last_day >= leg.first_day
    ]
    return deal_boxes(trip, replace(ARRANGEMENT, stowed=tuple(rows)))


def test_full_toilet_boxes_go_ashore_and_empty_ones_come(trip: Trip) -> None:
    """On day 1 two people fill 1 L of a box of 2 L; five person-days after it take two boxes."""
    trip = load_stowed(('"food", "drinking water"]', '"toilet"]'))
    (second, _) = list_passing(trip, stow_first(trip))
    assert name(second.ashore) == {"Heron": ["toilet, toilet box"]}
    assert name(second.aboard) == {
        "Heron": ["toilet, from day 2, toilet box 1 of 2", "toilet, from day 2, toilet box 2 of 2"]
    }


def test_who_leaves_takes_his_bag(trip: Trip) -> None:
    """Cy leaves after day 1; on day 2 food and water come as well, and an empty canister goes."""
    trip = load_stowed(("from = 3", "to = 1"))
    (second,) = list_passing(trip, stow_first(trip))
    assert name(second.ashore)["Heron"][-1] == "personal bag, 1 of 3"


def test_food_is_eaten_from_the_sack_of_its_day(trip: Trip) -> None:
    dealt = deal_boxes(trip, ARRANGEMENT)
    assert [name(list_meals(trip, dealt, day)) for day in (1, 2, 3)] == [
        {"Heron": ["food, day 1, sack"]},
        {"Dipper": ["food, day 2, sack"]},
        {DIPPER: ["food, day 3, sack"]},
    ]


def test_food_in_common_is_eaten_from_the_box_that_gets_lighter() -> None:
    """Full until day 2, eaten on days 2 and 3; 6 kg of box stay aboard."""
    box = Lot("food", "food", None, "dry box", 1, 75_000, 1, (20_000, 20_000, 14_000, 6_000), 6_000)
    bag = Lot("food", "food", None, "bag", 1, 20_000, 1, (8_100, 4_100))
    assert [day for day in range(1, 5) if is_used(box, day)] == [2, 3]
    assert [day for day in range(1, 5) if is_used(bag, day)] == [1, 2]


# --- loads ----------------------------------------------------------------------------------------


def test_what_a_boat_carries_is_people_kit_stores_and_camp(trip: Trip) -> None:
    """Heron on day 1 by hand, in kilograms; on day 3 Cy and his bag are there.

    Ana 70 + 8, a throw bag 1, food 2.1, water 7, toilet 5, stove 5, tent 2.6, bag 10.
    """
    loads = list_loads(trip, ARRANGEMENT)
    assert list(loads) == ["Heron", "Dipper", HERON, DIPPER]
    assert loads["Heron"] == {
        1: Load(78_000, 1_000, 14_100, 17_600, 0, 650_000),
        2: Load(78_000, 1_000, 9_100, 17_600, 0, 650_000),
    }
    assert loads[HERON] == {3: Load(146_000, 1_000, 12_000, 25_000, 0, 650_000)}
    assert loads["Heron"][1].total_g == 110_700
    assert find_fullest(loads["Heron"]) == 1
    assert find_fullest(loads["Dipper"]) == 2


def test_stores_of_all_boats_are_all_stores(trip: Trip) -> None:
    loads = list_loads(trip, ARRANGEMENT)
    for day in (1, 2, 3):
        there = [boat[day] for boat in loads.values() if day in boat]
        stores_g = sum(one.stores_g + one.camp_g for one in there)
        assert stores_g == mass_by_morning(list_lots(trip), day)


def test_of_mornings_alike_the_first_is_the_fullest() -> None:
    load = Load(80_000, 0, 0, 0, 5_000, 100_000)
    assert find_fullest({2: load, 3: load}) == 2
    assert load.percent == 85
