"""How much is bought and filled, against sums worked out by hand from made-up figures."""

from pathlib import Path

import pytest

from kitplan.needs import list_lots
from kitplan.needs.supplies import (
    Supply,
    find_rate,
    list_supplies,
    measure_content,
    sum_supplies,
    tell_amount,
)
from kitplan.trip import Trip
from tests.inputs.storetexts import STORES_CATALOG, STORES_TRIP
from tests.inputs.texts import TRIP, load, spoil

CHANGE = '[[stores.rate]]\nname = "{}"\n{}\n\n[[store]]'


@pytest.fixture(autouse=True)
def at_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def read(*edits: tuple[str, str]) -> Trip:
    loaded = load(Path(), spoil(STORES_TRIP, *edits), STORES_CATALOG)
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


def change(rate: str, text: str) -> tuple[str, str]:
    """Return the edit that changes a rate."""
    return "[[store]]", CHANGE.format(rate, text)


def tell(supply: Supply) -> tuple[str, int, int, int, int, tuple[int, ...]]:
    days = supply.first_day, supply.last_day
    return supply.rate.name, *days, supply.person_days, supply.quantity, supply.contents


def find(trip: Trip, store: str) -> list[tuple[int, tuple[int, ...]]]:
    return [(s.quantity, s.contents) for s in list_supplies(trip) if s.rate.name == store]


def test_restock_by_restock() -> None:
    """Two people: 1 kg, 3 l, 100 ml and 500 ml each in a day; food and water come on day 2."""
    assert [tell(one) for one in list_supplies(read())] == [
        ("food", 1, 1, 2, 2000, (2000,)),
        ("drinking water", 1, 1, 2, 6000, (6000,)),
        ("fuel", 1, 3, 6, 600, (600,)),
        ("toilet", 1, 3, 6, 3000, (2000, 1000)),
        ("food", 2, 3, 4, 4000, (2000, 2000)),
        ("drinking water", 2, 3, 4, 12_000, (12_000,)),
    ]


def test_over_the_whole_trip() -> None:
    assert [tell(one) for one in sum_supplies(list_supplies(read()))] == [
        ("food", 1, 3, 6, 6000, (2000, 2000, 2000)),
        ("drinking water", 1, 3, 6, 18_000, (6000, 12_000)),
        ("fuel", 1, 3, 6, 600, (600,)),
        ("toilet", 1, 3, 6, 3000, (2000, 1000)),
    ]


def test_days_are_counted_person_by_person() -> None:
    """Cy is there on day 3 only: 2 + 3 person-days come on day 2."""
    cy = ("[[rapid]]\n", '[[paddler]]\nname = "Cy"\nmass = "60 kg"\nfrom = 3\n\n[[rapid]]\n')
    assert find(read(cy), "food") == [(2000, (2000,)), (5000, (2000, 3000))]


def test_containers_share_evenly_and_the_first_lacks_what_is_odd() -> None:
    """2 x 4 kg in sacks of 3 kg: 2666, 2667 and 2667 g; the next two days the same."""
    sacks = (2666, 2667, 2667)
    trip = read(change("food", 'amount = "4 kg"'))
    assert find(trip, "food") == [(8000, sacks), (16_000, sacks * 2)]


def test_what_comes_full_is_filled_full_and_told_by_mass() -> None:
    """6 x 100 ml x 0.7 kg/l are 420 g, in canisters that hold 400 g."""
    trip = read(change("fuel", 'container = "gas canister"'))
    assert find(trip, "fuel") == [(420, (400, 400))]


def test_toilet_boxes_are_full_but_for_the_last() -> None:
    """2 people x 3 days x 900 ml are 5.4 l, in boxes of 2 l."""
    trip = read(change("toilet", 'amount = "900 ml"'))
    assert find(trip, "toilet") == [(5400, (2000, 2000, 1400))]


def test_what_is_taken_back_is_filled_anew() -> None:
    """A toilet box for 1 l until day 2, and one for 2 l from then on."""
    trip = read(('brings = ["food", "drinking water"]', "takes_back = true"))
    assert find(trip, "toilet") == [(1000, (1000,)), (2000, (2000,))]


def test_nothing_is_bought_of_what_nobody_uses() -> None:
    assert find(read(change("food", 'amount = "0 g"')), "food") == []
    river = read(('"carried"', '"from the river"'), ('"food", "drinking water"', '"food"'))
    assert find(river, "drinking water") == []


def test_without_stores_there_is_nothing() -> None:
    trip = load(Path(), TRIP, STORES_CATALOG).trip
    assert trip is not None
    assert list_supplies(trip) == ()
    assert sum_supplies(()) == ()


def test_a_leg_by_itself_buys_for_the_whole_trip() -> None:
    cy = ("[[rapid]]\n", '[[paddler]]\nname = "Cy"\nmass = "60 kg"\nfrom = 3\n\n[[rapid]]\n')
    trip = read(cy)
    assert list_supplies(trip.at_leg(1)) == list_supplies(trip)


def test_what_is_left_in_a_container() -> None:
    """Fuel 600, 400 and 200 ml; the toilet fills by 1 l a day; a tent has nothing in it."""
    trip = read()
    lots = {lot.store: lot for lot in reversed(list_lots(trip))}
    left = {}
    for store in ("fuel", "toilet"):
        rate = find_rate(trip, lots[store])
        assert rate is not None
        left[store] = [measure_content(rate, lots[store], day) for day in (1, 2, 3)]
    assert left == {"fuel": [600, 400, 200], "toilet": [0, 1000, 2000]}
    assert find_rate(trip, lots["tent"]) is None


def test_other_programs_read_litres_and_kilograms() -> None:
    trip = read()
    told = {one.rate.name: tell_amount(one.rate, one.quantity) for one in list_supplies(trip)}
    assert told["food"] == (4.0, "kg")
    assert told["fuel"] == (0.6, "l")
