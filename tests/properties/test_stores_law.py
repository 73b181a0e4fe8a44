"""Laws of stores: nothing is lost or made on the way; no spoiled text makes the loader raise."""

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.needs import (
    count_people,
    find_too_heavy,
    list_lots,
    mass_by_morning,
    name_boxes,
    weigh_content,
)
from kitplan.needs.supplies import list_supplies, sum_supplies
from kitplan.trip import Trip
from tests.inputs.storetexts import STORES_CATALOG, STORES_TRIP
from tests.inputs.texts import load
from tests.properties.test_load_law import check, encode, load_bytes, retyped, spoiled

CLIMATES = st.sampled_from(["hot", "mild", "cold", "extreme"])
STORES = ("food", "drinking water", "fuel", "toilet")
HEAD = STORES_TRIP.partition("[[store]]")[0]


@pytest.fixture(scope="module", autouse=True)
def _stand_in_own_folder() -> Iterator[None]:
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        yield
        os.chdir(before)


@st.composite
def trips(draw: st.DrawFn) -> Trip:
    """Draw a trip of up to eight days, with a third person on some of them and restocks."""
    days = draw(st.integers(2, 8))
    first = draw(st.integers(1, days))
    last = draw(st.integers(first, days))
    text = HEAD.replace("days = 3", f"days = {days}").replace('"mild"', f'"{draw(CLIMATES)}"')
    cy = f'[[paddler]]\nname = "Cy"\nmass = "60 kg"\nfrom = {first}\nto = {last}\n\n[[rapid]]'
    text = text.replace("[[rapid]]", cy)
    food = draw(st.integers(0, 9000))
    text += f'[[stores.rate]]\nname = "food"\namount = "{food} g"\n'
    for _ in range(draw(st.integers(0, 3))):
        day = draw(st.integers(1, days))
        at = "morning" if day == days else draw(st.sampled_from(["morning", "evening"]))
        brings = draw(st.lists(st.sampled_from(STORES), unique=True))
        named = f"brings = {brings}\n".replace("'", '"') if brings else ""
        back = str(draw(st.booleans())).lower()
        text += f'[[restock]]\nday = {day}\nat = "{at}"\n{named}takes_back = {back}\n'
    loaded = load(Path(), text, STORES_CATALOG)
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


@given(trips())
def test_what_comes_aboard_is_what_is_used(trip: Trip) -> None:
    """All that comes aboard, at whatever restock, is what person-days of all days come to."""
    assert trip.stores is not None
    people = count_people(trip)
    for rate in trip.stores.rates:
        if rate.use == "fills" or rate.container.comes_full:
            continue
        lots = [lot for lot in list_lots(trip) if lot.store == rate.name]
        brought = sum(
            lot.count * (lot.weigh(lot.first_day) - rate.container.mass_g) for lot in lots
        )
        climate = trip.stores.climate
        # Fuel is counted by volume: each lot that comes aboard may be rounded up by a gram.
        whole = weigh_content(rate, climate, sum(people.values()))
        assert whole <= brought <= whole + len(trip.stores.restocks)


@given(trips())
def test_supplies_are_what_people_use_and_fill_all_boxes(trip: Trip) -> None:
    """Summed over all restocks they are exact; litres in boxes are off by one ml for each box."""
    assert trip.stores is not None
    person_days = sum(count_people(trip).values())
    supplies = list_supplies(trip)
    whole = {one.rate.name: one for one in sum_supplies(supplies)}
    for rate in trip.stores.rates:
        used = rate.amounts[trip.stores.climate] * person_days
        assert (whole[rate.name].quantity if rate.name in whole else 0) == used
        boxes = [lot for lot in name_boxes(list_lots(trip)).values() if lot.store == rate.name]
        assert len(boxes) == (len(whole[rate.name].contents) if used else 0)
    for one in supplies:
        off = sum(one.contents) - one.quantity
        assert -len(one.contents) < off < 2
        most = one.rate.container.holds_ml or one.rate.container.holds_g or 0
        assert all(0 < content <= most for content in one.contents)


@given(trips())
def test_boxes_hold_what_they_can_and_no_more(trip: Trip) -> None:
    assert trip.stores is not None
    containers = {rate.name: rate.container for rate in trip.stores.rates}
    capacity_g = {"food": 3000, "drinking water": 20_000, "fuel": 700, "toilet": 2000}
    for lot in list_lots(trip):
        if lot.store in containers:
            empty_g = containers[lot.store].mass_g
            assert all(0 <= mass - empty_g <= capacity_g[lot.store] for mass in lot.masses_g)
            rising = sorted(lot.masses_g, reverse=lot.store != "toilet")
            assert list(lot.masses_g) == rising


@given(trips())
def test_every_morning_lies_in_the_trip_and_every_box_has_its_name(trip: Trip) -> None:
    days = max(count_people(trip))
    lots = list_lots(trip)
    assert all(1 <= lot.first_day <= lot.last_day <= days for lot in lots)
    assert len(name_boxes(lots)) == sum(lot.count for lot in lots)


@given(trips())
def test_lots_of_all_legs_are_the_lots_of_the_trip(trip: Trip) -> None:
    lots = list_lots(trip)
    by_leg = [list_lots(trip, leg) for leg in trip.legs]
    assert {lot for here in by_leg for lot in here} == set(lots)
    for leg, here in zip(trip.legs, by_leg, strict=True):
        for day in range(leg.first_day, leg.last_day + 1):
            assert mass_by_morning(here, day) == mass_by_morning(lots, day)


@given(spoiled(STORES_TRIP) | retyped(STORES_TRIP))
def test_no_spoiled_trip_makes_load_raise(text: str) -> None:
    loaded = load_bytes(encode(text), STORES_CATALOG.encode())
    check(loaded)
    if loaded.trip is not None:
        assert list_lots(loaded.trip)
        find_too_heavy(loaded.trip)


@given(spoiled(STORES_CATALOG) | retyped(STORES_CATALOG))
def test_no_spoiled_catalogue_makes_load_raise(text: str) -> None:
    loaded = load_bytes(STORES_TRIP.encode(), encode(text))
    check(loaded)
    if loaded.trip is not None:
        list_lots(loaded.trip)
