"""Stores and mass as people read them: whole texts of a small trip, written here by hand."""

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.errors import CAUTION
from kitplan.needs.boxes import deal_boxes
from kitplan.needs.loads import Load
from kitplan.report.boats import write_boats
from kitplan.report.csv import render_csv
from kitplan.report.loads import BAR, draw_bar, write_loads
from kitplan.report.restate import make_sheet
from kitplan.report.sheet import COLUMNS, MARKDOWN, Sheet
from kitplan.report.stores import (
    join_numbers,
    say_filled,
    write_meals,
    write_passing,
    write_stowed,
)
from kitplan.report.supplies import write_supplies
from kitplan.trip import Lot, Trip
from kitplan.units import US
from tests.inputs.stowed import ARRANGEMENT, load_stowed, make_plan

PLAN = make_plan(ARRANGEMENT)


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Trip:
    monkeypatch.chdir(tmp_path)
    return load_stowed()


def flow(text: str) -> str:
    """Return text without line breaks, as it was before it was wrapped."""
    return " ".join(text.split())


# --- the card of a boat ---------------------------------------------------------------------------

CARDS = """\

PACKING, BOAT BY BOAT, DAYS 1 TO 2

Running order: Heron, Dipper.

Heron (oar raft 4.3 m)
  crew: Ana steers
  quick: 1 x throw bag 20 m
  camp kit: 1 x stove; 1 x tent
  food: day 1, sack (2 kg)
  food from the morning of day 2: day 3, sack (3 kg)
  drinking water: canister (6 l)
  toilet: toilet box 1 of 2 (empty, holds 2 l)
  personal bags: 1 x personal bag
  mass on the morning of day 1, when it is greatest: 1 person 78 kg (8 kg of wet clothes and what is
    worn for each), safety kit 1 kg, stores 14.1 kg, camp kit, own things and bags 17.6 kg: 111 kg
    of 650 kg payload (17 %); 131 l of 500 l hold

Dipper (oar raft 4.3 m)
  crew: Bo steers
  camp kit: 1 x tent
  own things: 1 x guitar
  food from the morning of day 2: day 2, sack (2 kg)
  drinking water from the morning of day 2: from day 2, canister (15 l)
  fuel: bottle (700 ml)
  toilet: toilet box 2 of 2 (empty, holds 2 l)
  personal bags: 1 x personal bag
  mass on the morning of day 2, when it is greatest: 1 person 88 kg (8 kg of wet clothes and what is
    worn for each), safety kit 0 g, stores 23.6 kg, camp kit, own things and bags 15.6 kg: 127 kg of
    650 kg payload (20 %); 152 l of 500 l hold

PACKING, BOAT BY BOAT, DAY 3

What moves on the morning of day 3:
  nobody changes boat
  no kit moves
  stores from Heron to Dipper: 1 x tent; food, day 3, sack
  stores from Dipper to Heron: toilet, toilet box 2 of 2

Running order: Heron, Dipper.

Heron (oar raft 4.3 m)
  crew: Ana steers; Cy
  quick: 1 x throw bag 20 m
  camp kit: 1 x stove
  toilet: toilet box 1 of 2 (2 l of 2 l); toilet box 2 of 2 (empty, holds 2 l)
  personal bags: 2 x personal bag
  mass: 2 people 146 kg (8 kg of wet clothes and what is worn for each), safety kit 1 kg, stores 12
    kg, camp kit, own things and bags 25 kg: 184 kg of 650 kg payload (28 %); 156 l of 500 l hold

Dipper (oar raft 4.3 m)
  crew: Bo steers
  camp kit: 2 x tent
  own things: 1 x guitar
  food: day 3, sack (3 kg)
  drinking water: from day 2, canister (9 l)
  fuel: bottle (300 ml)
  personal bags: 1 x personal bag
  mass: 1 person 88 kg (8 kg of wet clothes and what is worn for each), safety kit 0 g, stores 13.5
    kg, camp kit, own things and bags 18.2 kg: 120 kg of 650 kg payload (18 %); 153 l of 500 l hold
"""


def test_cards_name_each_thing_once_quick_things_first(trip: Trip) -> None:
    """On days 1 and 2 there are two people, on day 3 three: 2, 2 and 3 person-days.

    Each has 1 kg of food, 3 l of water, 100 ml of fuel and 500 ml of the toilet in a day.
    """
    sheet = Sheet("text")
    write_boats(sheet, trip, PLAN)
    assert sheet.text() == CARDS.strip("\n")
    assert max(map(len, sheet.text().splitlines())) <= COLUMNS


def test_a_trip_without_stores_says_nothing_of_them(trip: Trip) -> None:
    bare = replace(trip, stores=None)
    plan = make_plan(replace(ARRANGEMENT, stowed=()))
    sheet = Sheet("text")
    write_boats(sheet, bare, plan)
    assert "safety kit 1 kg: 79 kg of 650 kg payload (12 %)" in flow(sheet.text())
    assert "stores" not in sheet.text()
    for write in (write_meals, write_passing):
        write(sheet, bare, deal_boxes(bare, plan.arrangement))
    write_loads(sheet, bare, plan)
    write_supplies(sheet, bare)
    assert "stores" not in sheet.text()


def test_bags_come_last_after_stores_of_the_trips_own(trip: Trip) -> None:
    leg = trip.legs[1]
    boxes = deal_boxes(trip, ARRANGEMENT)[leg.boats[0]]
    wood = replace(boxes[0][1], store="logs", kind="wood")
    sheet = Sheet("text")
    write_stowed(sheet, trip, leg, [*boxes, ("logs, sack", wood)])
    kinds = [line.split(":")[0].strip() for line in sheet.text().splitlines()]
    assert kinds == ["camp kit", "toilet", "wood", "personal bags"]


def test_numbers_of_boxes_are_joined() -> None:
    names = [f"food, day 3, bag {n} of 6" for n in (1, 2, 3, 5)] + ["fuel, bottle", "box 1 of 2"]
    assert join_numbers(names) == [
        "food, day 3, bag 1 to 3 and 5 of 6",
        "fuel, bottle",
        "box 1 of 2",
    ]
    assert join_numbers(["bag 1 of 2", "bag 2 of 2"]) == ["bag 1 and 2 of 2"]


# --- mass by morning ------------------------------------------------------------------------------

CHART = """\

MASS BY BOAT AND MORNING

Share of the payload: P people, K safety kit, S stores, C camp kit, own things and bags, . free.
Each sign stands for 5 % of the payload, rounded.

          day 1                 day 2                 day 3
  Heron   111 kg, 17 %          106 kg, 16 %          184 kg, 28 %
          PPS.................  PPS.................  PPPPKC..............
  Dipper  109 kg, 17 %          127 kg, 20 %          120 kg, 18 %
          PPP.................  PPPC................  PPPC................
"""


def test_mass_is_a_chart_by_boat_and_morning(trip: Trip) -> None:
    sheet = Sheet("text")
    write_loads(sheet, trip, PLAN)
    assert sheet.text() == CHART.strip("\n") + "\n"


def test_a_chart_in_markdown_has_the_same_bars(trip: Trip) -> None:
    sheet = Sheet(MARKDOWN)
    write_loads(sheet, trip, PLAN)
    bars = [line.split("|")[4].strip() for line in sheet.text().splitlines() if "PPP" in line]
    assert bars == ["PPPPKC..............", "PPPC................"]


@pytest.mark.parametrize(
    ("load", "bar"),
    [
        (Load(40_000, 10_000, 20_000, 5_000, 5_000, 100_000), "PPPPPPPPKKSSSSCD...."),
        (Load(1, 1, 1, 1, 1, 100_000), "...................."),
        (Load(12_500, 0, 0, 0, 0, 100_000), "PPP................."),
        (Load(90_000, 0, 40_000, 0, 0, 100_000), "PPPPPPPPPPPPPPPPPPSS"),
    ],
)
def test_a_bar_is_as_long_as_its_load(load: Load, bar: str) -> None:
    assert draw_bar(load) == bar
    assert len(bar) == BAR


def test_many_mornings_are_several_tables(trip: Trip) -> None:
    """Four mornings stand beside each other; the fifth begins a new table."""
    leg = replace(trip.legs[1], last_day=5)
    bare = make_plan(replace(ARRANGEMENT, stowed=()))
    sheet = Sheet("text")
    write_loads(sheet, replace(trip, legs=(trip.legs[0], leg)), bare)
    heads = [line.split() for line in sheet.text().splitlines() if line.startswith("    ")]
    assert [h for h in heads if h[0] == "day"] == [
        ["day", "1", "day", "2", "day", "3", "day", "4"],
        ["day", "5"],
    ]
    assert max(map(len, sheet.text().splitlines())) <= COLUMNS


# --- what to buy and to fill ---------------------------------------------------------------------

SUPPLIES = """\

STORES TO BUY

                  person-days    amount          in
  food            7              7 kg            3 x sack, holds 3 kg
  drinking water  7              21 l            2 x canister, holds 20 l
  fuel            7              700 ml          1 x bottle, holds 1 l
  toilet          7              room for 3.5 l  2 x toilet box, holds 2 l

STORES TO FILL

                                  for          person-days    amount    in each
  start           food            day 1        2              2 kg      1 x sack: 2 kg
                  drinking water  day 1        2              6 l       1 x canister: 6 l
                  fuel            days 1 to 3  7              700 ml    1 x bottle: 700 ml
                  toilet          days 1 to 3  7              3.5 l     1 x toilet box: up to 2 l; 1
                                                                        x toilet box: up to 1.5 l
  day 2, morning  food            days 2 to 3  5              5 kg      1 x sack: 2 kg; 1 x sack: 3
                                                                        kg
                  drinking water  days 2 to 3  5              15 l      1 x canister: 15 l
"""


def test_what_to_buy_and_what_goes_into_each_container(trip: Trip) -> None:
    sheet = Sheet("text")
    write_supplies(sheet, trip)
    assert sheet.text() == SUPPLIES.strip("\n") + "\n"
    assert max(map(len, sheet.text().splitlines())) <= COLUMNS


@pytest.mark.usefixtures("trip")
def test_what_comes_full_only_is_bought_full() -> None:
    """7 person-days of 100 ml are 490 g: two canisters of 400 g. Gas is told by mass."""
    gas = 'name = "fuel"\ncontainer = "gas canister"\n\n[[store]]'
    sheet = Sheet("text")
    write_supplies(sheet, load_stowed(("[[store]]", f"[[stores.rate]]\n{gas}")))
    bought, filled = (flow(line) for line in sheet.text().splitlines() if " fuel " in line)
    assert bought == "fuel 7 490 g 2 x gas canister, holds 400 g, comes full only"
    assert filled == "fuel days 1 to 3 7 490 g 2 x gas canister: 400 g"


def test_us_units_to_shop_and_fill_by(trip: Trip) -> None:
    """7 kg are 15.4 lb, 21 l 5.55 gal, 700 ml 23.7 fl oz."""
    sheet = make_sheet(trip, "text", US)
    write_supplies(sheet, trip)
    said = {line.split("  ")[1]: flow(line) for line in sheet.text().splitlines()[2:7]}
    assert said["food"] == "food 7 15 lb 3 x sack, holds 6.6 lb"
    assert said["drinking water"] == "drinking water 7 5.5 gal 2 x canister, holds 5.3 gal"
    assert said["fuel"] == "fuel 7 24 fl oz 1 x bottle, holds 1.1 qt"


def test_boxes_are_told_apart_by_what_is_in_them(trip: Trip) -> None:
    """Three bottles of 200 g: 300, 300 and 100 ml, then 200, 200 and nothing."""
    lot = Lot("fuel", "fuel", None, "bottle", 2, 1_400, 1, (410, 340), 200)
    last = replace(lot, count=1, masses_g=(270, 200))
    boxes = [
        (f"fuel, bottle {number} of 3", one) for number, one in ((1, lot), (2, lot), (3, last))
    ]
    assert say_filled(trip, boxes, "fuel", 1) == (
        "bottle 1 and 2 of 3 (300 ml each); bottle 3 of 3 (100 ml)"
    )
    assert say_filled(trip, boxes, "fuel", 2) == (
        "bottle 1 and 2 of 3 (200 ml each); bottle 3 of 3 (empty)"
    )


# --- food, and what comes and goes ----------------------------------------------------------------

BY_DAY = """\

FOOD, DAY BY DAY

         in      mass    eat from
  day 1  Heron   2.1 kg  sack
  day 2  Dipper  2.1 kg  sack
  day 3  Dipper  3.1 kg  sack

STORES THAT COME ABOARD OR GO ASHORE ON THE WAY

  restock, morning of day 2:
    ashore from Heron: drinking water, canister
    aboard Heron: food, day 3, sack
    aboard Dipper: food, day 2, sack; drinking water, from day 2, canister
  morning of day 3:
    aboard Heron: 1 x personal bag
"""


def test_food_and_restocks_are_told_by_day(trip: Trip) -> None:
    sheet = Sheet("text")
    dealt = deal_boxes(trip, ARRANGEMENT)
    write_meals(sheet, trip, dealt)
    write_passing(sheet, trip, dealt)
    assert sheet.text() == BY_DAY.strip("\n")


# --- rows -----------------------------------------------------------------------------------------


def test_rows_of_stores_are_things_and_boxes(trip: Trip) -> None:
    rows = list(csv.reader(io.StringIO(render_csv(trip, PLAN))))
    stowed = [row[:6] for row in rows if row[5] == "stowed"]
    assert [row[2:5] for row in stowed if row[:2] == ["Heron", "1"]] == [
        ["item", "stove", "1"],
        ["item", "tent", "1"],
        ["item", "personal bag", "1"],
        ["box", "food, day 1, sack", "1"],
        ["box", "drinking water, canister", "1"],
        ["box", "toilet, toilet box 1 of 2", "1"],
    ]
    # In the boxes, and on day 3 in those that were aboard already.
    amounts = {(*row[:2], row[3]): row[10:13] for row in rows if row[2] == "box"}
    assert amounts["Heron", "1", "drinking water, canister"] == ["6.0", "l", ""]
    assert amounts["Dipper", "1", "fuel, bottle"] == ["0.7", "l", ""]
    assert amounts["Dipper", "3", "fuel, bottle"] == ["0.3", "l", ""]
    assert amounts["Heron", "1", "toilet, toilet box 1 of 2"] == ["0.0", "l", ""]
    assert amounts["Heron", "3", "toilet, toilet box 1 of 2"] == ["2.0", "l", ""]
    # What comes aboard on the way is of the day on which it does.
    assert ["Heron", "2", "box", "food, day 3, sack", "1", "stowed"] in stowed
    assert ["Dipper", "3", "item", "tent", "2", "stowed"] in stowed
    assert len({len(row) for row in rows}) == 1
    # Boats take 7 person-days of fuel and the toilet; food and water of days 2 and 3 come later.
    assert [[*row[:5], *row[10:13]] for row in rows if row[2] == "supply"] == [
        ["", "1", "supply", "food", "1", "2.0", "kg", "2"],
        ["", "1", "supply", "drinking water", "1", "6.0", "l", "2"],
        ["", "1", "supply", "fuel", "1", "0.7", "l", "7"],
        ["", "1", "supply", "toilet", "2", "3.5", "l", "7"],
        ["", "2", "supply", "food", "2", "5.0", "kg", "5"],
        ["", "2", "supply", "drinking water", "1", "15.0", "l", "5"],
    ]
    assert rows[-1][2:4] == ["caution", CAUTION]
