# ruff: noqa: E501 - a finding is one line, however long
"""What stores come to, morning by morning, against tables worked out by hand.

The figures are made up; each table stands in its test with the sums that it is made of.
"""

from pathlib import Path

import pytest

from kitplan.needs import (
    Lot,
    find_too_heavy,
    list_lots,
    list_too_heavy,
    mass_by_morning,
    name_boxes,
    volume_by_morning,
)
from kitplan.trip import Trip
from tests.inputs.storetexts import STORES_CATALOG, STORES_TRIP
from tests.inputs.texts import CATALOG, TRIP, Edits, load, spoil

MORNINGS = (1, 2, 3)
RESTOCK = """\
[[restock]]
day = 2
at = "morning"
brings = ["food", "drinking water"]
"""
CY = '[[paddler]]\nname = "Cy"\nmass = "60 kg"\n'


@pytest.fixture(autouse=True)
def at_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def read(*edits: tuple[str, str], catalog: Edits | None = None) -> Trip:
    trip = spoil(STORES_TRIP, *edits)
    loaded = load(Path(), trip, spoil(STORES_CATALOG, *(catalog or [])))
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


def weigh(trip: Trip, kind: str = "") -> list[int]:
    lots = [lot for lot in list_lots(trip) if kind in {"", lot.kind}]
    return [mass_by_morning(lots, day) for day in MORNINGS]


def pick(trip: Trip, store: str) -> list[Lot]:
    return [lot for lot in list_lots(trip) if lot.store == store]


def add_cy(days: str) -> tuple[str, str]:
    """Return the edit that adds a third person on some of the days."""
    return "[[rapid]]\n", f"{CY}{days}\n\n[[rapid]]\n"


BY_HAND = {
    # 2 people x 1 kg in a sack of 100 g for each day; those of days 2 and 3 come on day 2.
    "food": [2100, 2 * 2100, 2100],
    # Day 1: 6 kg in a canister of 1 kg, which stays; days 2 and 3: 12 kg, then 6 kg, in another.
    "drinking water": [7000, 1000 + 13_000, 1000 + 7000],
    # 6, 4 and 2 person-days x 100 ml x 0.7 kg/L in a bottle of 200 g: none of it comes on day 2.
    "fuel": [200 + 420, 200 + 280, 200 + 140],
    # 3 L in the end, so two boxes of 2 L and 5 kg; 0, 2 and 4 person-days x 0.5 kg in them.
    "toilet": [10_000, 10_000 + 1000, 10_000 + 2000],
    # A stove, and a tent for 2 people.
    "camp kit": [5000 + 2600] * 3,
    "own things": [3000] * 3,
    "personal bags": [20_000] * 3,
}


class TestTwoPeopleThreeDays:
    @pytest.mark.parametrize("kind", BY_HAND)
    def test_by_kind(self, kind: str) -> None:
        assert weigh(read(), kind) == BY_HAND[kind]

    def test_by_day(self) -> None:
        """2100 + 7000 + 620 + 10 000 + 7600 + 3000 + 20 000 = 50 320 g, and so on."""
        assert {lot.kind for lot in list_lots(read())} == set(BY_HAND)
        assert weigh(read()) == [50_320, 60_280, 53_040]

    def test_room(self) -> None:
        """Sacks 10 L each; canister 24 L, on day 2 a second; bottle 1.4 L; boxes 2 x 8 L.

        Stove 20 L, tent 9 L, guitar 40 L and bags 2 x 60 L are there each morning: 206.4 L with
        bottle and boxes.
        """
        lots = list_lots(read())
        sums = [volume_by_morning(lots, day) for day in MORNINGS]
        assert sums == [206_400 + 34_000, 206_400 + 68_000, 206_400 + 58_000]

    def test_what_is_for_a_day_says_so(self) -> None:
        food = [(lot.day, lot.first_day, lot.last_day, lot.full_g) for lot in pick(read(), "food")]
        assert food == [(1, 1, 1, 2100), (2, 2, 2, 2100), (3, 2, 3, 2100)]

    def test_an_empty_canister_stays_and_an_empty_sack_does_not(self) -> None:
        water, food = pick(read(), "drinking water")[0], pick(read(), "food")[0]
        assert (water.left_g, water.masses_g) == (1000, (7000, 1000, 1000))
        assert (food.left_g, food.masses_g) == (0, (2100,))

    def test_one_box_is_filled_before_the_next(self) -> None:
        """0, 1 and 2 kg, and a box holds 2 kg."""
        first, second = pick(read(), "toilet")
        assert (first.masses_g, second.masses_g) == ((5000, 6000, 7000), (5000, 5000, 5000))

    def test_none_without_stores(self) -> None:
        trip = load(Path(), TRIP, CATALOG).trip
        assert trip is not None
        assert trip.stores is None
        assert (list_lots(trip), list_too_heavy(trip), find_too_heavy(trip)) == ((), (), [])


class TestRestock:
    def test_evening_is_the_next_morning(self) -> None:
        evening = read(('day = 2\nat = "morning"', 'day = 1\nat = "evening"'))
        assert list_lots(evening) == list_lots(read())

    def test_without_one_all_is_aboard_from_the_start(self) -> None:
        """3, 2 and 1 sacks of 2100 g; 18, 12 and 6 kg of water in one canister of 1 kg."""
        trip = read((RESTOCK, ""))
        assert weigh(trip, "food") == [6300, 4200, 2100]
        assert weigh(trip, "drinking water") == [19_000, 13_000, 7000]

    def test_all_that_is_used_up_comes_unless_named(self) -> None:
        """Fuel too: 2 person-days, 140 g, and then 4, in bottles of 200 g that stay; no box."""
        trip = read(('brings = ["food", "drinking water"]\n', ""))
        assert weigh(trip, "fuel") == [340, 200 + 480, 200 + 340]
        assert weigh(trip, "toilet") == BY_HAND["toilet"]

    def test_takes_back_what_is_empty_and_what_is_full(self) -> None:
        """The canister of day 1 goes; a box of 1 L (2 x 0.5) goes, one for 2 L comes."""
        trip = read(('brings = ["food", "drinking water"]', "takes_back = true"))
        assert weigh(trip, "drinking water") == [7000, 13_000, 7000]
        assert weigh(trip, "toilet") == [5000, 5000, 6000]


class TestParty:
    def test_who_comes_later_counts_from_then(self) -> None:
        """Person-days 2, 2 and 3: food 2, 2 and 3 kg, a sack each; water 6, 6 and 9 L."""
        trip = read(add_cy("from = 3"))
        assert weigh(trip, "food") == [2100, 2100 + 3100, 3100]
        assert weigh(trip, "drinking water") == [7000, 1000 + 16_000, 1000 + 10_000]

    def test_who_leaves_counts_until_then(self) -> None:
        """3, 3 and 2 in the party: its toilet has 0, 1.5 and 3 kg in two boxes of 5 kg."""
        trip = read(add_cy("to = 2"))
        assert weigh(trip, "toilet") == [10_000, 11_500, 13_000]

    def test_bags_go_with_their_owners(self) -> None:
        assert weigh(read(add_cy("from = 3")), "personal bags") == [20_000, 20_000, 30_000]

    def test_camp_kit_is_for_the_most_there_are(self) -> None:
        """Three people need two tents, from the first day on."""
        assert weigh(read(add_cy("from = 3")), "camp kit") == [5000 + 2 * 2600] * 3

    def test_lots_of_a_leg_are_those_aboard_in_it(self) -> None:
        trip = read(add_cy("from = 3"))
        first, second = ({lot.day for lot in list_lots(trip, leg)} for leg in trip.legs)
        assert (first, second) == ({None, 1, 2, 3}, {None, 3})


class TestContainers:
    def test_person_days_are_summed_before_containers_are_counted(self) -> None:
        """6 person-days x 3 L = 18 L go into one canister of 20 L; 2 + 2 + 2 rounded are three."""
        assert [lot.count for lot in pick(read((RESTOCK, "")), "drinking water")] == [1]

    def test_several_are_packed_alike(self) -> None:
        """2 people x 4 kg a day in sacks of 3 kg: three sacks, 2667 + 2667 + 2666 g."""
        change = '[[stores.rate]]\nname = "food"\namount = "4 kg"\n\n[[store]]'
        sacks = [lot for lot in pick(read(("[[store]]", change)), "food") if lot.day == 1]
        assert [(lot.count, lot.masses_g) for lot in sacks] == [(1, (2766,)), (2, (2767,))]

    def test_one_canister_after_the_other_is_emptied(self) -> None:
        """2 people x 3 days x 5 L = 30 L in two: 15 and 15; 5 and 15; 10 on the last morning."""
        change = '[[stores.rate]]\nname = "drinking water"\namount = "5 L"\n\n[[store]]'
        water = pick(read(("[[store]]", change), (RESTOCK, "")), "drinking water")
        masses = [lot.masses_g for lot in water]
        assert masses == [(16_000, 6000, 1000), (16_000, 16_000, 11_000)]

    def test_what_comes_full_is_full(self) -> None:
        """6 x 70 g = 420 g in canisters of 400 g: two, 800 g; 380 g are over in the end."""
        change = '[[stores.rate]]\nname = "fuel"\ncontainer = "gas canister"\n\n[[store]]'
        trip = read(("[[store]]", change), (RESTOCK, ""))
        assert weigh(trip, "fuel") == [400 + 800, 400 + 660, 400 + 520]

    def test_nothing_of_a_rate_of_nothing(self) -> None:
        change = '[[stores.rate]]\nname = "food"\namount = "0 g"\n\n[[store]]'
        assert pick(read(("[[store]]", change)), "food") == []


class TestChoices:
    def test_water_from_the_river_is_treated_and_weighs_nothing(self) -> None:
        trip = read(('"carried"', '"from the river"'), ('"food", "drinking water"', '"food"'))
        assert weigh(trip, "drinking water") == [0, 0, 0]
        assert weigh(trip, "camp kit") == [5000 + 2600 + 600] * 3

    @pytest.mark.parametrize(
        ("climate", "grams"), [("hot", 1900), ("mild", 2100), ("cold", 2500), ("extreme", 3100)]
    )
    def test_food_by_climate(self, climate: str, grams: int) -> None:
        """2 people x 0.9, 1, 1.2 or 1.5 kg and a sack of 100 g."""
        assert weigh(read(('"mild"', f'"{climate}"')), "food")[0] == grams

    def test_a_row_left_out(self) -> None:
        trip = read(('climate = "mild"', 'climate = "mild"\nleave_out = ["tent"]'))
        assert weigh(trip, "camp kit") == [5000] * 3

    def test_kit_that_always_goes_is_not_taken_twice(self) -> None:
        trip = read(("[[rapid]]\n", '[[kit]]\nitem = "stove"\ncount = 1\ntake = 1\n\n[[rapid]]\n'))
        assert weigh(trip, "camp kit") == [2600] * 3

    def test_kit_taken_once_makes_up_for_one(self) -> None:
        """Two rows of a stove each, one of which is kit; a stove of the trip's own goes too."""
        kit = '[[kit]]\nitem = "stove"\ncount = 1\ntake = 1\n\n[[rapid]]\n'
        own = '[[store]]\nitem = "stove"\n\n[[restock]]'
        row = '[[camp_row]]\nitem = "stove"\n'
        trip = read(("[[rapid]]\n", kit), ("[[restock]]", own), catalog=[(row, row * 2)])
        assert weigh(trip, "camp kit") == [5000 + 2600] * 3
        assert weigh(trip, "own things") == [3000 + 5000] * 3

    def test_kit_of_some_days_makes_up_for_none(self) -> None:
        kit = '[[kit]]\nitem = "stove"\ncount = 1\ntake = 1\nfrom = 2\n\n[[rapid]]\n'
        assert weigh(read(("[[rapid]]\n", kit)), "camp kit") == [5000 + 2600] * 3

    def test_an_item_of_the_catalogue_in_numbers(self) -> None:
        trip = read(('item = "guitar"\nmass = "3 kg"\nvolume = "40 L"', 'item = "tent"\ncount = 2'))
        assert weigh(trip, "own things") == [5200] * 3


class TestNames:
    def test_every_box_has_one(self) -> None:
        change = '[[stores.rate]]\nname = "food"\namount = "4 kg"\n\n[[store]]'
        lots = list_lots(read(("[[store]]", change)))
        names = name_boxes(lots)
        assert len(names) == sum(lot.count for lot in lots)
        assert list(names)[:3] == [f"food, day 1, sack {number} of 3" for number in (1, 2, 3)]
        assert {
            "drinking water, canister",
            "drinking water, from day 2, canister",
            "toilet, toilet box 2 of 2",
            "personal bag, 1 of 2",
            "guitar",
        } <= set(names)

    def test_a_name_gives_its_lot(self) -> None:
        lot = name_boxes(list_lots(read()))["food, day 3, sack"]
        assert (lot.day, lot.full_g) == (3, 2100)


class TestTooHeavy:
    """People 70 + 80 kg with 8 kg of wet clothes each are 166 kg; stores as in the table."""

    def test_by_how_much_and_on_which_day(self) -> None:
        """Payload 220 kg: 166 + 50.32 goes, 166 + 60.28 is 6.28 kg too much, 166 + 53.04 goes."""
        trip = read(catalog=[('payload = "650 kg"', 'payload = "220 kg"')])
        heavy = list_too_heavy(trip)
        assert [(one.day, one.mass_g, one.excess_g) for one in heavy] == [(2, 226_280, 6280)]
        (finding,) = find_too_heavy(trip)
        assert finding.text().split("\n") == [
            "trips/x.toml:30:2: error: stores: people, dry loads, kit that always goes and stores weigh 226 kg on the morning of day 2, 6.28 kg more than the payloads of all boats there (too-heavy)",
            "  try: bring another boat, restock on the way, or leave something at home",
        ]

    def test_dry_load_counts(self) -> None:
        """50 kg more: 116.32, 126.28 and 119.04 kg besides people, of 217 kg less 166."""
        load_too = ('type = "oar raft 4.3 m"', 'type = "oar raft 4.3 m"\ndry_load = "50 kg"')
        trip = read(load_too, catalog=[('payload = "650 kg"', 'payload = "217 kg"')])
        assert [one.excess_g for one in list_too_heavy(trip)] == [49_320, 59_280, 52_040]
        assert find_too_heavy(trip)[0].message.endswith("so they do on 3 mornings")

    def test_kit_that_always_goes_counts(self) -> None:
        """A filter of 600 g: 226.88 kg on the morning of day 2, of 226 kg."""
        kit = '[[kit]]\nitem = "filter"\ncount = 2\ntake = 1\n\n[[rapid]]\n'
        trip = read(("[[rapid]]\n", kit), catalog=[('payload = "650 kg"', 'payload = "226 kg"')])
        assert [one.excess_g for one in list_too_heavy(trip)] == [880]

    def test_what_just_goes_is_not_too_heavy(self) -> None:
        trip = read(catalog=[('payload = "650 kg"', 'payload = "226.28 kg"')])
        assert list_too_heavy(trip) == ()
