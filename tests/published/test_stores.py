"""Rates of the shipped stores against the tables that they come from, by way of a whole trip.

Status: "second-hand" is a figure as others repeat it; "original" one read where it was published.
"""

from pathlib import Path

import pytest

from kitplan.load import load_trip
from kitplan.needs import count_containers, list_lots, weigh_content
from kitplan.trip import StoreRate, Trip

LB_G = 453.592
CUBIC_INCH_ML = 16.387064
GALLON_ML = 3785.41
FAECES_G = 128
"""Grams a person-day, Rose et al. 2015, doi 10.1080/10643389.2014.1000761 (original)."""


def make_trip(folder: Path, people: int, days: int, climate: str = "mild") -> Trip:
    paddlers = "\n".join(
        f'[[paddler]]\nname = "P{number}"\nmass = "70 kg"\nskills = {{ "oar raft" = 3 }}\n'
        for number in range(people)
    )
    text = f"""\
[trip]
name = "stores"
starts = 2027-06-14
days = {days}
catalogs = ["kitplan:techniques.toml", "kitplan:gear.toml", "kitplan:boats.toml",
    "kitplan:stores.toml", "kitplan:camp.toml"]
water_temperature = "14 degC"
everyone_wears = ["life jacket", "helmet", "whistle, pealess"]

[stores]
climate = "{climate}"
water = "carried"

[[boat]]
name = "Heron"
type = "oar raft 5.5 m"

{paddlers}
[[rapid]]
day = 1
name = "Riffle"
class = "II"
width = "12 m"
safety = "none"
scenarios = ["swimmer"]
"""
    path = folder / "x.toml"
    path.write_text(text)
    trip, findings = load_trip(path)
    assert trip is not None
    assert findings == []
    return trip


def find_rate(trip: Trip, name: str) -> StoreRate:
    assert trip.stores is not None
    return next(rate for rate in trip.stores.rates if rate.name == name)


def test_food_of_four_for_eight_days(tmp_path: Path) -> None:
    """4 people x 8 days x 1.75 lb = 56 lb before containers: the worked example of a ration table.

    NOLS Cookery, as repeated in university slides (second-hand). A rate is in whole grams, so 32
    person-days may be off by 16 g.
    """
    trip = make_trip(tmp_path, people=4, days=8)
    lots = [lot for lot in list_lots(trip) if lot.store == "food"]
    sack_g = find_rate(trip, "food").container.mass_g
    food_g = sum(lot.count * (lot.weigh(1) - sack_g) for lot in lots)
    assert food_g == pytest.approx(56 * LB_G, abs=16)


@pytest.mark.parametrize(
    ("climate", "least_g", "most_g"),
    [("hot", 680, 680), ("mild", 790, 910), ("cold", 910, 1020), ("extreme", 1130, 1135)],
)
def test_food_by_climate(tmp_path: Path, climate: str, least_g: int, most_g: int) -> None:
    """Grams a person-day, rounded to 10 g in print: the same ration table (second-hand)."""
    food = find_rate(make_trip(tmp_path, 1, 1, climate), "food")
    assert least_g - 5 <= weigh_content(food, climate, 1) <= most_g + 5


def test_water_where_it_is_hot_is_a_gallon(tmp_path: Path) -> None:
    """1 US gallon = 3.785 L a person-day: planning figure of US agencies (second-hand)."""
    water = find_rate(make_trip(tmp_path, 1, 1, "hot"), "drinking water")
    assert water.in_ml
    assert water.amounts["hot"] == round(GALLON_ML)


@pytest.mark.parametrize("climate", ["mild", "cold", "extreme"])
def test_water_to_drink_and_in_food(tmp_path: Path, climate: str) -> None:
    """2.5 to 3 L a person-day: The Sphere Project, 2011 (second-hand)."""
    water = find_rate(make_trip(tmp_path, 1, 1, climate), "drinking water")
    assert 2500 <= water.amounts[climate] <= 3000


def test_a_toilet_box_is_full_after_fifty_user_days(tmp_path: Path) -> None:
    """1271 cubic inches -> 50 user-days: a table for river parties (second-hand)."""
    toilet = find_rate(make_trip(tmp_path, 5, 10), "toilet")
    assert toilet.container.holds_ml == pytest.approx(1271 * CUBIC_INCH_ML, abs=5)
    assert [count_containers(toilet, "mild", user_days) for user_days in (50, 51)] == [1, 2]


def test_toilet_by_the_day(tmp_path: Path) -> None:
    """About 25 cubic inches, 0.42 L in print, a user-day: the same table (second-hand)."""
    toilet = find_rate(make_trip(tmp_path, 1, 1), "toilet")
    assert 25 * CUBIC_INCH_ML <= toilet.amounts["mild"] <= 425


def test_a_toilet_box_weighs_no_less_than_what_is_known_to_be_in_it(tmp_path: Path) -> None:
    """Faeces alone are 128 g a person-day; the box table's volume at 1 kg a litre is above that."""
    trip = make_trip(tmp_path, people=4, days=8)
    boxes = [lot for lot in list_lots(trip) if lot.store == "toilet"]
    gained_g = sum(lot.count * (lot.weigh(8) - lot.weigh(1)) for lot in boxes)
    assert gained_g == weigh_content(find_rate(trip, "toilet"), "mild", 4 * 7)
    assert gained_g >= 4 * 7 * FAECES_G
