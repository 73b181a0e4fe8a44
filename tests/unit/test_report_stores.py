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
from kitplan.report.sheet import COLUMNS, MARKDOWN, Sheet
from kitplan.report.stores import join_numbers, write_meals, write_passing, write_stowed
from kitplan.trip import Trip
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
  food: day 1, sack
  food from the morning of day 2: day 3, sack
  drinking water: canister
  toilet: toilet box 1 of 2
  personal bags: 1 x personal bag
  mass on the morning of day 1, when it is greatest: 1 person 78 kg (8 kg of wet clothes and what is
    worn for each), safety kit 1 kg, stores 14.1 kg, camp kit, own things and bags 17.6 kg: 111 kg
    of 650 kg payload (17 %); 131 l of 500 l hold

Dipper (oar raft 4.3 m)
  crew: Bo steers
  camp kit: 1 x tent
  own things: 1 x guitar
  food from the morning of day 2: day 2, sack
  drinking water from the morning of day 2: from day 2, canister
  fuel: bottle
  toilet: toilet box 2 of 2
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
  toilet: toilet box 1 and 2 of 2
  personal bags: 2 x personal bag
  mass: 2 people 146 kg (8 kg of wet clothes and what is worn for each), safety kit 1 kg, stores 12
    kg, camp kit, own things and bags 25 kg: 184 kg of 650 kg payload (28 %); 156 l of 500 l hold

Dipper (oar raft 4.3 m)
  crew: Bo steers
  camp kit: 2 x tent
  own things: 1 x guitar
  food: day 3, sack
  drinking water: from day 2, canister
  fuel: bottle
  personal bags: 1 x personal bag
  mass: 1 person 88 kg (8 kg of wet clothes and what is worn for each), safety kit 0 g, stores 13.5
    kg, camp kit, own things and bags 18.2 kg: 120 kg of 650 kg payload (18 %); 153 l of 500 l hold
"""


def test_cards_name_each_thing_once_quick_things_first(trip: Trip) -> None:
    sheet = Sheet("text")
    write_boats(sheet, trip, PLAN)
    assert sheet.text() == CARDS.strip("\n")
    assert max(map(len, sheet.text().splitlines())) <= COLUMNS


def test_a_trip_without_stores_says_nothing_of_them(trip: Trip) -> None:
    bare = replace(trip, stores=None)
    plan = make_plan(replace(ARRANGEMENT, stowed=()))
    sheet = Sheet("text")
    write_boats(sheet, bare, plan)
    assert "safety kit 1 kg, dry load 0 g: 79 kg of 650 kg payload (12 %)" in flow(sheet.text())
    assert "stores" not in sheet.text()
    for write in (write_meals, write_passing):
        write(sheet, bare, deal_boxes(bare, plan.arrangement))
    write_loads(sheet, bare, plan)
    assert "stores" not in sheet.text()


def test_bags_come_last_after_stores_of_the_trips_own(trip: Trip) -> None:
    leg = trip.legs[1]
    boxes = deal_boxes(trip, ARRANGEMENT)[leg.boats[0]]
    wood = replace(boxes[0][1], store="logs", kind="wood")
    sheet = Sheet("text")
    write_stowed(sheet, leg, [*boxes, ("logs, sack", wood)])
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
    # What comes aboard on the way is of the day on which it does.
    assert ["Heron", "2", "box", "food, day 3, sack", "1", "stowed"] in stowed
    assert ["Dipper", "3", "item", "tent", "2", "stowed"] in stowed
    assert len({len(row) for row in rows}) == 1
    assert rows[-1][2:4] == ["caution", CAUTION]
