"""What is short, what a lost boat leaves, reminders: whole texts of a small trip with rules."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from kitplan.check import check_party
from kitplan.needs import derive_needs
from kitplan.plan import AimResult, Arrangement, Plan, Shortfall
from kitplan.report import render_check, render_needs
from kitplan.report.carriage import (
    PREVAIL,
    count_shorts,
    say_sums,
    say_unnamed,
    write_losses,
    write_reminders,
    write_shortfalls,
)
from kitplan.report.cover import write_cover
from kitplan.report.moves import say_gain
from kitplan.report.sheet import COLUMNS, Sheet
from kitplan.trip import CarriageRule, Reading, Trip
from kitplan.trip.carriage import PEOPLE, Counted, Spread
from tests.inputs.rule_texts import load_ruled
from tests.inputs.stowed import make_plan

NOTHING = Arrangement({}, {}, (), {}, ())
LAW = Shortfall("law", "S 2", 1, "", asked=1, there=0, short=1)
HOUSE = Shortfall("house", "own 1", 1, "Heron", asked=3, there=1, short=2)
FIRST_AID = Shortfall("spread", "first aid", 1, "Heron", asked=1, there=0, short=1)
FOOD = Shortfall("spread", "food", 2, "Wren", asked=20, there=6, short=14)
NAMES = ("short_of_law", "short_of_house", "short_of_spread")


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Trip:
    monkeypatch.chdir(tmp_path)
    loaded = load_ruled({})
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


def plan(*rows: Shortfall, proven: bool = True) -> Plan:
    """Return a plan that is short of this, each tier by the sum of its rows."""
    sums = {name: sum(r.short for r in rows if name.endswith(r.tier)) for name in NAMES}
    aims = (AimResult(name, value, value, proven) for name, value in sums.items())
    return make_plan(NOTHING, tuple(aims), *rows)


def flow(text: str) -> str:
    return " ".join(text.split())


def tell(trip: Trip, made: Plan) -> str:
    sheet = Sheet("text")
    write_shortfalls(sheet, trip, made)
    return sheet.text()


# --- the answer -----------------------------------------------------------------------------------


def test_nothing_short_is_one_line(trip: Trip) -> None:
    assert tell(trip, plan()) == (
        "Law: nothing short; house rules: nothing short; if a boat is lost: nothing short.\n"
        f"{PREVAIL}\n"
    )


def test_kit_past_its_last_day_of_use_is_named(trip: Trip) -> None:
    name, kit = next(iter(trip.kit.items()))
    last = trip.legs[-1].ends
    for until, told in ((last, 0), (last - timedelta(days=1), 1)):
        retiring = replace(trip, kit={**trip.kit, name: replace(kit, retire_by=until)})
        said = (
            f"past its last day of use within the trip: {name} (until {until}); no rule counts it"
        )
        assert " ".join(tell(retiring, plan()).split()).count(said) == told


SHORT = """\
Law: short of 1 piece; house rules: short of 2 pieces; if a boat is lost: short of 1 piece and 14 kg
of food.
  S 2 (law), from day 1, the trip as a whole: 1 short, 0 of 1 there
    from class III a spare life jacket for each ten persons or part; read as: at least 1 for each 10
      persons or part, in the trip
    source: River Rules 2020, section 2 (text: 2020; second-hand copy)
  own 1 (house), from day 1, Heron: 2 short, 1 of 3 there
    a carabiner for each guide, in his boat; read as: at least 1 for each guide, in each boat
    source: house rule (text: of the trip; common practice, no source)
  first aid, day 1, if Heron is lost: 1 short, 0 of 1 left
    a first-aid kit is left, when a boat is lost and its crew saved
  food, day 2, if Wren is lost: 14 kg short, 6 kg of 20 kg left
    half the food is left, when a boat is lost and its crew saved
  source of what must be left if a boat is lost: common practice, no source
"""


def test_what_is_short_comes_with_its_rule(trip: Trip) -> None:
    assert tell(trip, plan(LAW, HOUSE, FIRST_AID, FOOD)) == f"{SHORT}\n{PREVAIL}\n"


def test_what_changes_of_what_is_short_is_said_sort_by_sort(trip: Trip) -> None:
    gain = say_gain(trip, plan(LAW, FOOD), plan(FOOD))
    assert gain == "1 piece no longer short of rules and spreads"
    assert say_gain(trip, plan(LAW), plan(FOOD)) == (
        "1 piece no longer short of rules and spreads, 14 kg of food more short of rules and "
        "spreads"
    )


def test_people_who_are_missing_are_no_pieces(trip: Trip) -> None:
    """A leader is asked of what is left: that is a person, beside the piece the law asks for."""
    leader = Spread("leader", "one who leads is left", "", "boat", "party", Counted(what=PEOPLE))
    led = replace(trip, spreads=(*trip.spreads, leader))
    row = Shortfall("spread", "leader", 1, "Heron", asked=1, there=0, short=1)
    assert "if a boat is lost: short of 1 piece and 1 person." in tell(led, plan(FIRST_AID, row))
    assert say_sums(count_shorts(led, [LAW, row, replace(row, short=2)])) == "1 piece and 3 people"


def test_a_source_is_said_at_its_place_where_it_is_not_of_all(trip: Trip) -> None:
    """One spread alone says its own, and so do two with different sources."""
    assert "saved; source: common practice, no source" in flow(tell(trip, plan(FOOD)))
    food = next(one for one in trip.spreads if one.name == "food")
    others = (*(one for one in trip.spreads if one != food), replace(food, source="house rule"))
    said = flow(tell(replace(trip, spreads=others), plan(FIRST_AID, FOOD)))
    assert "crew saved; source: common practice, no source food, day 2" in said
    assert "crew saved; source: house rule" in said
    assert "source of what must be left" not in said


def test_how_a_source_was_read_is_not_said_twice(trip: Trip) -> None:
    rules = tuple(
        replace(
            one,
            rules=tuple(
                replace(r, source="common practice, no source", dated="2026") for r in one.rules
            ),
        )
        for one in trip.rules
    )
    said = flow(tell(replace(trip, rules=rules), plan(HOUSE)))
    assert "source: common practice, no source (text: 2026) " in said


def test_what_lies_is_short_as_it_lies_with_no_word_of_a_least(trip: Trip) -> None:
    sheet = Sheet("text")
    write_shortfalls(sheet, trip, plan(LAW, proven=False), settled=True)
    assert sheet.text().startswith("Law: short of 1 piece; house rules: nothing short;")


def test_what_is_not_proven_or_not_counted_is_said_so(trip: Trip) -> None:
    said = " ".join(tell(trip, plan(LAW, proven=False)).split())
    assert said.startswith(
        "Law: short of 1 piece, not proven to be the least; house rules: nothing short"
    )
    assert tell(trip, make_plan(NOTHING)).startswith(
        "Law: not counted in this plan; house rules: not counted in this plan"
    )


def test_too_many_are_no_shortfall_in_words(trip: Trip) -> None:
    def turn(rule: CarriageRule) -> CarriageRule:
        return replace(rule, reading=Reading("trip", bound="at most"))

    rules = tuple(replace(one, rules=tuple(map(turn, one.rules))) for one in trip.rules)
    said = tell(replace(trip, rules=rules), plan(Shortfall("law", "S 1", 1, "", 1, 3, 2)))
    assert "S 1 (law), from day 1, the trip as a whole: 2 too many, 3 there, at most 1" in said


def test_a_trip_without_rules_says_nothing_of_them(trip: Trip) -> None:
    bare = replace(trip, rules=(), spreads=())
    sheet = Sheet("text")
    for write in (write_shortfalls, write_losses):
        write(sheet, bare, plan())
    write_reminders(sheet, bare)
    assert sheet.text() == ""


def test_every_sheet_of_a_trip_with_rules_says_that_law_prevails(trip: Trip) -> None:
    needs = derive_needs(trip)
    bare = replace(trip, rules=())
    for text, without in (
        (render_needs(trip, needs, "text"), render_needs(bare, needs, "text")),
        (
            render_check(trip, needs, replace(check_party(trip, needs), unowned=()), "text"),
            render_check(bare, needs, check_party(bare, needs), "text"),
        ),
    ):
        assert text.count(PREVAIL) == 1
        assert text.replace(f"{PREVAIL}\n", "") == without


def test_what_the_first_aim_counts_is_said_where_it_is_there(trip: Trip) -> None:
    said = "Values of aim 1 are pieces, people, seats and kilograms of food."
    for made, times in ((plan(LAW), 1), (make_plan(NOTHING), 0)):
        sheet = Sheet("text")
        write_cover(sheet, trip, derive_needs(trip), made)
        assert sheet.text().count(said) == times


# --- losses, reminders ----------------------------------------------------------------------------


LOSSES = """\
WHAT IS LEFT IF A BOAT IS LOST

  lost:      Heron    Wren
  first aid  ok       ok
  food       ok       short 14 kg (day 2)

The worst day is told."""


def test_of_each_spread_is_told_what_each_lost_boat_leaves(
    trip: Trip, monkeypatch: pytest.MonkeyPatch
) -> None:
    losses = {(FOOD.name, trip.boats[FOOD.boat].called): FOOD}
    monkeypatch.setattr("kitplan.report.carriage.list_losses", lambda *_: losses)
    sheet = Sheet("text")
    write_losses(sheet, trip, plan(FOOD))
    assert sheet.text() == LOSSES


def test_losses_that_no_plan_counted_are_not_told(trip: Trip) -> None:
    sheet = Sheet("text")
    write_losses(sheet, trip, make_plan(NOTHING))
    assert sheet.text() == ""


def test_many_boats_are_tables_below_each_other(
    trip: Trip, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Six boats of 22 letters, as heads 26 wide: three beside the 9 letters of a spread."""
    monkeypatch.setattr("kitplan.report.carriage.list_losses", lambda *_: {})
    heron = trip.boats["Heron"]
    boats = {
        name: replace(heron, called=name) for name in (f"Boat {n} {'x' * 15}" for n in "ABCDEF")
    }
    leg = replace(trip.legs[0], boats=tuple(boats))
    sheet = Sheet("text")
    write_losses(sheet, replace(trip, boats=boats, legs=(leg,)), plan())
    lines = sheet.text().splitlines()
    assert max(map(len, lines)) <= COLUMNS
    assert [line.count("Boat") for line in lines if "Boat" in line] == [3, 3]


def test_a_set_of_reminders_alone_still_says_that_law_prevails(trip: Trip) -> None:
    sets = tuple(replace(one, rules=()) for one in trip.rules)
    assert tell(replace(trip, rules=sets, spreads=()), plan()) == f"{PREVAIL}\n"


def test_reminders_are_told_set_by_set(trip: Trip) -> None:
    sheet = Sheet("text")
    write_reminders(sheet, trip)
    assert sheet.text() == (
        "TO BE KEPT IN MIND: RULES THAT NO COUNT CAN SAY\n"
        "\n"
        "  River Rules 2020 of Somewhere (Nowhere):\n"
        "    S 3: a rescue plan is carried; source: River Rules 2020, section 3 (text: 2020; from "
        "memory)"
    )


def test_what_a_trip_does_not_name_is_not_in_its_plan(trip: Trip) -> None:
    assert say_unnamed(trip) == "The trip file names no stores: none are in the plan."
