"""The shipped demo trips: what their comments and the README say of them is so.

The counts stand in the texts of the trips; limits are those of the catalogues, written out again
here. Nothing is solved: what a plan of these trips looks like is asserted elsewhere.
"""

import re
from collections import Counter
from collections.abc import Iterable
from datetime import date
from pathlib import Path

import pytest

from kitplan.demands import Needs, Variant
from kitplan.load import load_trip
from kitplan.needs import (
    derive_needs,
    hardest_class,
    least_crew,
    list_lots,
    mass_by_morning,
    person_mass_g,
    steerer_level,
)
from kitplan.trip import Boat, Item, Trip

TRIPS = Path(__file__).parents[2] / "trips"
NAMES = ("six-days", "four-kayaks", "day-rafts")
LEAST_OVER_WIDTH_MM = 6_000
"""A line from bank to bank is longer than the channel by so much (common practice, no source)."""


def read_trip(name: str) -> Trip:
    trip, findings = load_trip(TRIPS / f"{name}.toml")
    assert findings == []
    assert trip is not None
    return trip


@pytest.fixture(scope="module")
def six_days() -> Trip:
    return read_trip("six-days")


@pytest.fixture(scope="module")
def four_kayaks() -> Trip:
    return read_trip("four-kayaks")


@pytest.fixture(scope="module")
def day_rafts() -> Trip:
    return read_trip("day-rafts")


def count_types(trip: Trip) -> Counter[str]:
    """Return how many boats of each type are there at the start."""
    return Counter(trip.boats[name].type.name for name in trip.legs[0].boats)


def count_safety(trip: Trip) -> Counter[str]:
    return Counter(rapid.safety for rapid in trip.rapids.values())


def find_steerers(trip: Trip, boat: Boat, *, guests_aboard: bool) -> set[str]:
    level = steerer_level(boat.type, hardest_class(trip, boat.name), guests_aboard=guests_aboard)
    return {
        one.name
        for one in trip.list_party(trip.legs[boat.leg]).values()
        if one.level(boat.type.skill) >= level
    }


def count_people(variant: Variant) -> int:
    """Return the least number of people a variant takes: one at least in each boat at work."""
    persons = sum(slot.count for slot in variant.persons)
    return persons + sum(slot.count for slot in variant.boats)


def list_quick_lines(trip: Trip) -> list[Item]:
    """Return every copy of a line that a hand reaches and that may lie across the channel."""
    return [
        kit.item
        for kit in trip.kit.values()
        if "across" in kit.item.flags and set(kit.item.carried) & {"quick", "worn"}
        for _ in range(kit.count)
    ]


def take_techniques(needs: Needs, rapids: Iterable[str]) -> dict[str, list[Variant]]:
    """Return all accepted variants at these rapids by technique."""
    variants: dict[str, list[Variant]] = {}
    for key, choice in needs.choices.items():
        if choice.accepted and key.rapid in rapids:
            variants.setdefault(key.technique, []).extend(choice.variants)
    return variants


# --- all of them ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_says_that_it_is_invented(name: str) -> None:
    first = (TRIPS / f"{name}.toml").read_text(encoding="utf-8").split("\n\n")[0]
    assert first.startswith("# ")
    assert "Invented: river, rapids, people and figures." in first


@pytest.mark.parametrize("name", NAMES)
def test_certificates_hold_to_the_end(name: str) -> None:
    trip = read_trip(name)
    assert date(2027, 6, 1) <= trip.starts <= trip.ends <= date(2027, 6, 30)
    held = [until for one in trip.paddlers.values() for _, until in one.certificates]
    assert held
    assert all(until > trip.ends for until in held)


@pytest.mark.parametrize("name", NAMES)
def test_every_boat_has_a_possible_steerer(name: str) -> None:
    trip = read_trip(name)
    guests = any(one.guest for one in trip.paddlers.values())
    for boat in trip.boats.values():
        assert find_steerers(trip, boat, guests_aboard=guests and boat.type.seats > 1)


@pytest.mark.parametrize("name", NAMES)
def test_the_party_and_its_stores_weigh_less_than_the_boats_carry(name: str) -> None:
    """Room is left for what the plan deals out, and not so much that payload never binds."""
    trip = read_trip(name)
    lots = list_lots(trip)
    for leg in trip.legs:
        payload_g = sum(trip.boats[name].type.payload_g for name in leg.boats)
        load_g = sum(trip.boats[name].dry_load_g for name in leg.boats)
        load_g += sum(person_mass_g(trip.paddlers[name], trip) for name in leg.paddlers)
        load_g += sum(trip.kit[name].take * trip.kit[name].item.mass_g for name in leg.kit)
        load_g += mass_by_morning(lots, leg.first_day)
        assert 0.65 <= load_g / payload_g <= 0.90


@pytest.mark.parametrize("name", NAMES)
def test_everybody_wears_what_a_role_on_a_bank_asks(name: str) -> None:
    trip = read_trip(name)
    for one in trip.paddlers.values():
        worn = {kind for item in one.wears for kind in trip.catalog.items[item].kinds}
        assert {"life jacket", "helmet", "whistle", "thermal"} <= worn
        assert one.guest or "knife" in worn


def test_no_name_is_used_in_two_trips() -> None:
    trips = [read_trip(name) for name in NAMES]
    names = [name for trip in trips for name in (*trip.rapids, *trip.paddlers, *trip.boats)]
    assert len(names) == len(set(names))


# --- six days -------------------------------------------------------------------------------------


def test_six_days_party(six_days: Trip) -> None:
    assert (six_days.ends - six_days.starts).days + 1 == 6
    assert [len(leg.boats) for leg in six_days.legs] == [5, 5]
    assert [leg.first_day for leg in six_days.legs] == [1, 4]
    assert count_types(six_days) == {
        "oar raft 4.9 m": 1,
        "oar raft 4.3 m": 1,
        "paddle raft 4.3 m": 1,
        "river kayak 2.7 m": 2,
    }
    assert len(six_days.paddlers) == 18
    for leg in six_days.legs:
        party = six_days.list_party(leg)
        assert len(party) == 16
        assert sum(one.guest for one in party.values()) == 6
    assert {len(one.paddlers) for one in six_days.companies if one.together} == {2}
    assert sum(not one.together for one in six_days.companies) == 2


def test_six_days_steerers(six_days: Trip) -> None:
    """Class IV asks level 3, and one level more of who guides guests at the paddles."""
    assert find_steerers(six_days, six_days.boats["Otter"], guests_aboard=True) == {"Sunniva"}
    assert find_steerers(six_days, six_days.boats["Swift"], guests_aboard=False) == {
        "Corin",
        "Odette",
    }
    swift = six_days.boats["Swift, from day 4"]
    assert find_steerers(six_days, swift, guests_aboard=False) == {"Corin", "Ilse"}
    assert find_steerers(six_days, six_days.boats["Heron"], guests_aboard=True) == {
        "Maren",
        "Pavlo",
        "Tobin",
    }
    # Seven bring the paddle raft down class IV, as many as there are guests with their guide.
    assert least_crew(six_days.boats["Otter"].type, hardest_class(six_days, "Otter")) == 7


def test_six_days_river(six_days: Trip) -> None:
    rapids = six_days.rapids.values()
    assert len({rapid.place for rapid in rapids}) == 18
    assert {rapid.day for rapid in rapids} == set(range(1, 7))
    assert count_safety(six_days) == {"set": 6, "afloat": 7, "none": 6}
    assert Counter(rapid.river_class for rapid in rapids) == {2: 9, 3: 7, 4: 3}
    assert min(rapid.width_mm for rapid in rapids) == 8_000
    assert max(rapid.width_mm for rapid in rapids) == 44_000


def test_six_days_water_is_cold_and_remote(six_days: Trip) -> None:
    assert six_days.water_mdegc == 8_000
    assert six_days.cold
    assert six_days.remote


def test_six_days_lets_people_wade_in_class_three_alone(six_days: Trip) -> None:
    """Cold and remote count one class harder, once: wading up to "IV" is wading up to III."""
    needs = derive_needs(six_days)
    waded = {
        key.rapid
        for key, choice in needs.choices.items()
        if choice.accepted and key.technique in {"group-wading", "two-bank-low-line"}
    }
    assert waded == {"Clockmaker", "Tollbooth", "Threshing Floor"}
    assert {six_days.rapids[name].river_class for name in waded} == {3}
    assert [(one.rapid, one.scenario) for one in needs.without_technique] == [
        ("The Broken Stair", "entrapment, head down")
    ]


def test_six_days_rapids_hard_to_cover(six_days: Trip) -> None:
    wide, blind = six_days.rapids["Threshing Floor"], six_days.rapids["Blind Cartwright"]
    assert wide.safety == blind.safety == "set"
    assert wide.left.landing == wide.right.landing == 1
    longest_mm = max(line.length_mm for line in list_quick_lines(six_days))
    assert longest_mm < wide.width_mm + LEAST_OVER_WIDTH_MM
    assert blind.right.landing == 0
    assert {spot.depth_mm for spot in blind.spots} == {None}


def test_six_days_kit_is_nearly_enough(six_days: Trip) -> None:
    assert len(six_days.kit) >= 20
    assert any(kit.take for kit in six_days.kit.values())
    stair_mm = six_days.rapids["The Broken Stair"].width_mm + LEAST_OVER_WIDTH_MM
    lines = sorted(one.name for one in list_quick_lines(six_days) if one.length_mm >= stair_mm)
    assert lines == ["floating rescue line 45 m", "static line 30 m"]
    loops = {name for name, item in six_days.catalog.items.items() if "prusik loop" in item.kinds}
    worn = sum(n for one in six_days.paddlers.values() for i, n in one.wears.items() if i in loops)
    owned = sum(kit.count for name, kit in six_days.kit.items() if name in loops)
    assert (worn, owned) == (5, 4)


# --- four kayaks ----------------------------------------------------------------------------------


def test_four_kayaks_party(four_kayaks: Trip) -> None:
    assert count_types(four_kayaks) == {"river kayak 2.7 m": 4}
    assert len(four_kayaks.paddlers) == 4
    for one in four_kayaks.paddlers.values():
        kinds: Counter[str] = Counter()
        for item, count in one.wears.items():
            for kind in four_kayaks.catalog.items[item].kinds:
                kinds[kind] += count
        assert kinds["prusik loop"] == 2
        assert kinds["locking carabiner"] in {2, 3}
        assert kinds["harness"] == kinds["knife"] == 1
        assert one.level("kayak") >= 3
        assert not one.guest


def test_four_kayaks_river(four_kayaks: Trip) -> None:
    rapids = four_kayaks.rapids.values()
    assert len(rapids) == 8
    assert {rapid.day for rapid in rapids} == {1, 2}
    assert {rapid.river_class for rapid in rapids} == {3, 4}
    assert not four_kayaks.cold
    assert not four_kayaks.remote


def test_three_are_too_few_for_two_banks_and_enough_for_one(four_kayaks: Trip) -> None:
    """While one of four is in trouble, three are left (hand-reckoned from the catalogue).

    A line from bank to bank takes two a bank, a spotter and downstream safety; a loop from one bank
    in class III a thrower, a holder and downstream safety.
    """
    variants = take_techniques(
        derive_needs(four_kayaks), {"Crockery Shelf", "Quarrelsome Brothers", "Candle Drip"}
    )
    for technique in ("support-line", "two-bank-cinch", "two-bank-low-line"):
        assert min(count_people(one) for one in variants[technique]) == 6
    assert min(count_people(one) for one in variants["one-bank-loop"]) == 3
    assert min(count_people(one) for one in variants["throw-line"]) == 1


# --- a day with rafts -----------------------------------------------------------------------------


def test_day_rafts_party(day_rafts: Trip) -> None:
    assert count_types(day_rafts) == {"paddle raft 4.3 m": 1, "paddle raft 4.0 m": 1}
    assert len(day_rafts.paddlers) == 13
    assert sum(one.guest for one in day_rafts.paddlers.values()) == 10
    guides = {one.name for one in day_rafts.paddlers.values() if one.level("leading") >= 2}
    assert guides == {"Rosalind", "Ferran"}
    # Each raft has its own guide: class III with guests at the paddles asks for level 4.
    for boat, guide in (("Marigold", "Rosalind"), ("Teasel", "Ferran")):
        assert guide in find_steerers(day_rafts, day_rafts.boats[boat], guests_aboard=True)
        assert day_rafts.paddlers[guide].boat == boat
    assert day_rafts.paddlers["Ebba"].at_most == "afloat"


def test_day_rafts_people_come_from_the_roster(day_rafts: Trip) -> None:
    roster = (TRIPS / "day-rafts-roster.csv").read_text(encoding="utf-8").splitlines()
    assert [line.split(",")[0] for line in roster[1:]] == list(day_rafts.paddlers)
    assert day_rafts.paddlers["Rosalind"].wears["prusik loop 6 mm"] == 2
    # 150 lb = 68.04 kg: the international pound is 0.45359237 kg (published definition).
    assert day_rafts.paddlers["Rosalind"].mass_g == 68_039
    # Skills alone would make him no guest; the roster says that he is one.
    assert day_rafts.paddlers["Cuthbert"].level("throwing") == 2
    assert day_rafts.paddlers["Cuthbert"].guest


def test_day_rafts_river(day_rafts: Trip) -> None:
    rapids = day_rafts.rapids.values()
    assert len(rapids) == 5
    assert {rapid.day for rapid in rapids} == {1}
    assert {rapid.river_class for rapid in rapids} == {2, 3}
    # (63 - 32) x 5 / 9 = 17.2 degC
    assert day_rafts.water_mdegc == 17_222
    assert not day_rafts.cold
    assert not day_rafts.remote


def test_both_systems_of_units_are_shown() -> None:
    texts = {name: (TRIPS / f"{name}.toml").read_text(encoding="utf-8") for name in NAMES}
    assert re.search(r'"\d+ m"', texts["six-days"])
    assert re.search(r'"\d+ ft"', texts["day-rafts"])
    assert not re.search(r'= "[\d.]+ (m|m/s|kg)"', texts["day-rafts"])
