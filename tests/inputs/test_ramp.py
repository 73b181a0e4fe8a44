"""Loads written by hand that say what they mean: what is read, however short it is written."""

from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.errors import Place
from kitplan.load.csvlists import COLUMNS, NOT_READ
from kitplan.plan import Packed, Stowed
from kitplan.report import csv as report
from kitplan.trip import RESET, Trip
from tests.inputs.ramptexts import HEADER, LATER, ORDER, SEATS, accept, make_trip, read
from tests.inputs.stowed import DIPPER, HERON

SHORT = "boat,row,name\nHeron,seat,Ana\nDipper,seat,Bo\n"


@pytest.fixture
def trip() -> Trip:
    return make_trip()


def test_seats_alone_are_a_load_of_the_first_leg(trip: Trip) -> None:
    load = accept(trip, SHORT)
    assert load.crew == {"Heron": ("Ana",), "Dipper": ("Bo",)}
    assert load.steerer == {"Heron": "Ana", "Dipper": "Bo"}
    assert (load.packed, load.stowed, load.order) == ((), None, ())
    assert (load.stations, load.twice) == ({}, {})
    assert (load.legs, load.file) == ((0,), "load.csv")


def test_any_day_of_a_leg_will_do(trip: Trip) -> None:
    load = accept(trip, f"{HEADER}\n{SEATS.replace(',1,', ',2,')}{LATER}")
    assert load.legs == (0, 1)
    assert list(load.crew) == ["Heron", "Dipper", HERON, DIPPER]
    assert load.crew[HERON] == ("Ana", "Cy")
    only_later = accept(trip, f"{HEADER}\n{LATER}")
    assert only_later.legs == (1,)
    assert list(only_later.crew) == [HERON, DIPPER]


def test_the_first_seat_steers_and_the_crew_is_sorted(trip: Trip) -> None:
    later = "Heron,3,seat,Cy,,,,,,,\nHeron,3,seat,Ana,,,,,,,\nDipper,3,seat,Bo,,,,,,,\n"
    load = accept(trip, f"{HEADER}\n{later}")
    assert load.steerer[HERON] == "Cy"
    assert load.crew[HERON] == ("Ana", "Cy")


# --- kit ------------------------------------------------------------------------------------------


def test_kit_lies_as_said_or_in_the_only_way_it_may(trip: Trip) -> None:
    rows = """\
Heron,1,item,throw bag 20 m,,,,,,,
Heron,1,item,throw bag 15 m,1,quick,,,,,
Heron,1,item,throw bag 15 m,1,,Ana,,,,
Dipper,1,item,first-aid kit,1,stowed,,,,,
"""
    assert accept(trip, f"{HEADER}\n{SEATS}{rows}").packed == (
        Packed("Dipper", "first-aid kit", "stowed", 1),
        Packed("Heron", "throw bag 15 m", "quick", 1),
        Packed("Heron", "throw bag 15 m", "worn", 1, "Ana"),
        Packed("Heron", "throw bag 20 m", "quick", 1),
    )


def test_rows_that_say_the_same_add_up(trip: Trip) -> None:
    row = "Heron,1,item,throw bag 15 m,1,quick,,,,,\n"
    load = accept(trip, f"{HEADER}\n{SEATS}{row}{row}")
    assert load.packed == (Packed("Heron", "throw bag 15 m", "quick", 2),)


# --- stores ---------------------------------------------------------------------------------------


def test_things_are_dealt_to_stores_before_kit_in_the_order_of_boats(trip: Trip) -> None:
    """Two tents of the camp and one of the party's own: the camp's go to the first boats."""
    rows = "Dipper,1,item,tent,2,,,,,,\nHeron,1,item,tent,,,,,,,\n"
    load = accept(trip, f"{HEADER}\n{SEATS}{rows}")
    assert load.stowed == (Stowed("Dipper", "tent", 1), Stowed("Heron", "tent", 1))
    assert load.packed == (Packed("Dipper", "tent", "stowed", 1),)


def test_a_lot_says_which_thing_it_is(trip: Trip) -> None:
    """Without it the tent in Heron would be one of the camp; and a bag one that came on day 1."""
    rows = """\
Heron,3,item,tent,1,,,,,,
Dipper,3,item,tent,2,,,,,,tent
Heron,3,item,personal bag,1,,,,,,"personal bag, from day 3"
Dipper,3,item,personal bag,2,,,,,,
"""
    load = accept(trip, f"{HEADER}\n{LATER}{rows}")
    assert load.packed == (Packed(HERON, "tent", "stowed", 1),)
    assert load.stowed == (
        Stowed(DIPPER, "personal bag", 2),
        Stowed(DIPPER, "tent", 2),
        Stowed(HERON, "personal bag, from day 3", 1),
    )


@pytest.mark.parametrize(
    ("name", "count", "lots"),
    [
        ("food, day 2, sack", 1, ["food, day 2, sack"]),
        ("food, day 2", 1, ["food, day 2, sack"]),
        ("sack, day 3", 1, ["food, day 3, sack"]),
        ("sack", 2, ["food, day 1, sack", "food, day 2, sack"]),
        ("food", 3, ["food, day 1, sack", "food, day 2, sack", "food, day 3, sack"]),
        ("canister", 1, ["drinking water, canister"]),
        ("toilet, toilet box", 2, ["toilet, toilet box 1 of 2", "toilet, toilet box 2 of 2"]),
        ("toilet, toilet box 2 of 2", 1, ["toilet, toilet box 2 of 2"]),
    ],
)
def test_a_box_goes_by_many_names(trip: Trip, name: str, count: int, lots: list[str]) -> None:
    load = accept(trip, f'{HEADER}\n{SEATS}Heron,1,box,"{name}",{count},,,,,,\n')
    assert load.stowed == tuple(Stowed("Heron", lot, 1) for lot in lots)


def test_the_closest_name_has_its_box_first(trip: Trip) -> None:
    """It would be the sack of day 1, were that not in the other boat by its name."""
    rows = 'Heron,1,box,sack,,,,,,,\nDipper,1,box,"food, day 1, sack",,,,,,,\n'
    load = accept(trip, f"{HEADER}\n{SEATS}{rows}")
    assert load.stowed == (
        Stowed("Dipper", "food, day 1, sack", 1),
        Stowed("Heron", "food, day 2, sack", 1),
    )


# --- order, stations, rowing twice ----------------------------------------------------------------


def test_stations_before_and_after_the_own_run_go_by_the_order(trip: Trip) -> None:
    rows = """\
Heron,1,station,below,,,,Chute,,after its run,
Dipper,1,station,above,,,,Chute,medium,before its run,
Heron,1,station,above,,,,Riffle,,before its run,
"""
    load = accept(trip, f"{HEADER}\n{SEATS}{rows}{ORDER}")
    assert load.order == ("Heron", "Dipper")
    # Nobody runs before Heron, which says nothing then.
    assert load.stations == {
        ("Chute", "Heron", "Dipper"): "below",
        ("Chute", "Dipper", "Heron"): "above",
    }


def test_a_station_while_a_boat_runs_needs_no_order(trip: Trip) -> None:
    rows = "Heron,1,station,below,,,,Chute,,Dipper runs,\n"
    load = accept(replace(trip, stations=RESET), f"{HEADER}\n{SEATS}{rows}")
    assert load.stations == {("Chute", "Heron", "Dipper"): "below"}
    assert load.order == ()


def test_the_order_of_the_trip_serves_where_the_load_has_none() -> None:
    own = '[order]\nboats = ["Dipper", "Heron"]\n\n[stores]\n'
    fixed = make_trip(("[stores]\n", own))
    row = "Heron,1,station,above,,,,Chute,,before its run,\n"
    load = accept(fixed, f"{HEADER}\n{SEATS}{row}")
    assert load.stations == {("Chute", "Heron", "Dipper"): "above"}
    assert load.order == ()


def test_a_rapid_goes_by_its_name_in_the_trip(trip: Trip) -> None:
    """Each boat passes Ledge by itself."""
    rows = "Heron,3,rows twice,Bo,,,,Ledge,,,\nDipper,3,rows twice,Ana,,,,Ledge with Dipper,,,\n"
    load = accept(trip, f"{HEADER}\n{LATER}{rows}")
    assert load.twice == {
        ("Ledge with Heron", HERON): "Bo",
        ("Ledge with Dipper", DIPPER): "Ana",
    }


# --- the file -------------------------------------------------------------------------------------


def test_toml_says_the_same(trip: Trip) -> None:
    text = """\
[[row]]
boat = "Heron"
row = "seat"
name = "Ana"

[[row]]
boat = "Dipper"
from_day = 2
row = "seat"
name = "Bo"

[[row]]
boat = "Heron"
row = "order"
name = 1

[[row]]
boat = "Dipper"
row = "order"
name = "2"

[[row]]
boat = "Heron"
row = "item"
name = "throw bag 15 m"
count = 2
carried = "quick"

[[row]]
boat = "Heron"
row = "station"
name = "below"
rapid = "Chute"
while = "after its run"
"""
    rows = """\
Heron,1,item,throw bag 15 m,2,quick,,,,,
Heron,1,station,below,,,,Chute,,after its run,
"""
    from_toml = accept(trip, text, "load.toml")
    from_csv = accept(trip, f"{HEADER}\n{SEATS}{ORDER}{rows}")
    assert replace(from_toml, file="load.csv") == from_csv
    assert from_toml.find("Heron", "throw bag 15 m") == Place("load.toml", 22, 1)


def test_what_a_spreadsheet_does_to_a_file_does_no_harm(trip: Trip) -> None:
    text = "\ufeff" + SHORT.replace("\n", "\r\n").replace("Ana", '" Ana "') + ",,\r\n"
    assert accept(trip, text) == accept(trip, SHORT)


def test_a_row_may_end_early(trip: Trip) -> None:
    """What is not there at its end is empty."""
    whole = f"{HEADER}\n{SEATS}Heron,1,item,throw bag 20 m,,,,,,,\n"
    assert accept(trip, whole.replace(",,,,,,,", "")) == accept(trip, whole)


def test_capitals_in_the_header_do_no_harm(trip: Trip) -> None:
    text = f"{HEADER}\n{SEATS}"
    assert accept(trip, text.replace(HEADER, HEADER.title())) == accept(trip, text)


def test_a_caution_is_passed_over(trip: Trip) -> None:
    assert accept(trip, f"{SHORT},caution,whatever it says\n") == accept(trip, SHORT)


def test_signs_of_formulas_are_read_back() -> None:
    signs = make_trip(('name = "Ana"', 'name = "=Ana"'), ('"Dipper"\ntype', '"\'+1"\ntype'),
                      ('["Heron"], ["Dipper"]', '["Heron"], ["\'+1"]'))  # fmt: skip
    load = accept(signs, "boat,row,name\nHeron,seat,'=Ana\n''+1,seat,Bo\n")
    assert load.crew == {"Heron": ("=Ana",), "'+1": ("Bo",)}


def test_a_place_is_known_of_each_thing(trip: Trip) -> None:
    rows = 'Heron,1,box,"food, day 1",,,,,,,\nHeron,1,station,below,,,,Chute,,after its run,\n'
    load = accept(trip, f"{HEADER}\n{SEATS}{ORDER}{rows}")
    assert load.find("Dipper", "Bo") == Place("load.csv", 3, 1)
    assert load.find("Heron", "food, day 1, sack") == Place("load.csv", 6, 1)
    assert load.find("Heron", "Chute") == Place("load.csv", 7, 1)
    assert load.find("Dipper", "nothing there") == Place("load.csv", 3, 1)
    assert load.find("Wren") == Place("load.csv", 1, 1)


def test_a_boat_may_be_empty(trip: Trip) -> None:
    """What is to put right of it is told by the review."""
    load = accept(trip, f"{HEADER}\nHeron,1,seat,Ana\nHeron,1,seat,Bo\n")
    assert load.crew == {"Heron": ("Ana", "Bo"), "Dipper": ()}
    assert load.steerer == {"Heron": "Ana"}


def test_things_may_lie_as_they_never_should(trip: Trip) -> None:
    rows = (
        "Heron,1,item,throw bag 15 m,1,stowed\nHeron,1,item,tent,1,quick\n"
        "Heron,1,item,throw bag 20 m,1,,Ana\n"
    )
    assert accept(trip, f"{HEADER}\n{SEATS}{rows}").packed == (
        Packed("Heron", "tent", "quick", 1),
        Packed("Heron", "throw bag 15 m", "stowed", 1),
        Packed("Heron", "throw bag 20 m", "worn", 1, "Ana"),
    )


def test_what_a_boat_weighs_is_no_matter(trip: Trip) -> None:
    """Bo alone in a boat that only Ana can steer, with all the stores, is a load all the same."""
    rows = "".join(
        f'Dipper,1,box,"{name}",{count},,,,,,\n'
        for name, count in [("food", 3), ("canister", 2), ("fuel", 1), ("toilet", 2)]
    )
    load, lines = read(trip, f"{HEADER}\n{SEATS}{rows}")
    assert lines == []
    assert load is not None


def test_columns_are_those_that_are_written() -> None:
    needed, other = COLUMNS["load"]
    assert sorted((*needed, *other)) == sorted(report.COLUMNS)
    assert ",".join(name for name in report.COLUMNS if name not in NOT_READ) == HEADER


def test_a_load_lies_where_it_lies(trip: Trip) -> None:
    Path("ramp").mkdir()
    load = accept(trip, SHORT, "ramp/load.csv")
    assert load.file == "ramp/load.csv"
