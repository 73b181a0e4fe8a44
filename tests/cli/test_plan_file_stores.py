"""The plan file of a trip with stores, rules and spreads: rows by hand, read back, spoilt."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from kitplan.needs import derive_needs
from kitplan.plan import Shortfall, Stowed
from kitplan.planfile import check_document, make_document, read_plan, write_plan
from kitplan.trip import CarriageRule, Counted, Reading, RuleSet
from tests.rules.laden import BOS_BAG, COME, LADEN, make_sound, read_laden, stow_two_legs

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

RULE = CarriageRule(
    "kits", "says", "source", "2020", "from memory", "law",
    Counted(kinds=("first aid",)), Reading("trip", count=2),
)  # fmt: skip
SHORT = Shortfall("law", "kits", 1, "", 2, 1, 1)


@pytest.fixture(autouse=True)
def at_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def make_laden() -> tuple[Trip, Plan]:
    trip = read_laden(LADEN)
    return trip, make_sound(trip)


def make_ruled() -> tuple[Trip, Plan]:
    trip, plan = make_laden()
    rules = (RuleSet("set", "set", "", (RULE,), ()),)
    return replace(trip, rules=rules), replace(plan, shortfalls=(SHORT,))


def make(trip: Trip, plan: Plan) -> dict[str, Any]:
    return make_document(trip, derive_needs(trip), plan)


def test_boxes_by_name_in_the_order_of_lots_and_days_that_they_are_aboard() -> None:
    """Heron comes first in the leg, so of two bags it has the first."""
    heron, teal = make(*make_laden())["boats"]
    food = [
        {"lot": sack, "count": 1, "boxes": [sack], "days": days, "amount": 2.0, "unit": "kg"}
        for sack, days in (
            ("food, day 1, sack", [1, 1]),
            ("food, day 2, sack", [2, 2]),
            ("food, day 3, sack", [2, 3]),
        )
    ]
    bag = {"lot": "personal bag", "count": 1, "days": [1, 3], "amount": None, "unit": None}
    assert teal["stores"] == [*food, bag | {"boxes": ["personal bag, 2 of 2"]}]
    assert [row["lot"] for row in heron["stores"]][:2] == [
        "drinking water, canister", "drinking water, from day 2, canister",
    ]  # fmt: skip
    assert heron["stores"][-1] == bag | {"boxes": ["personal bag, 1 of 2"]}


def test_all_of_a_lot_in_one_boat_are_named() -> None:
    trip, plan = make_laden()
    rows = [row for row in plan.arrangement.stowed if row.lot != "personal bag"]
    stowed = (*rows, Stowed("Teal", "personal bag", 2))
    plan = replace(plan, arrangement=replace(plan.arrangement, stowed=stowed))
    _, teal = make(trip, plan)["boats"]
    assert teal["stores"][-1]["boxes"] == ["personal bag, 1 of 2", "personal bag, 2 of 2"]


def test_days_of_stores_are_those_of_their_boats_leg() -> None:
    """The stove is aboard on all three days, the second canister from day 3 on."""
    heron, _, later = make(*stow_two_legs({}, {}))["boats"]
    days = [{row["lot"]: row["days"] for row in boat["stores"]} for boat in (heron, later)]
    assert [(one["stove"], one.get(COME[1]), one.get(BOS_BAG)) for one in days] == [
        ([1, 2], None, [1, 2]),
        ([3, 3], [3, 3], None),
    ]


def test_amounts_are_what_goes_into_each_box_or_is_left_in_it() -> None:
    """Two people on days 1 and 2, Ana alone on day 3; water for 4 and 1 person-days, 3 l each.

    Fuel for 5 person-days, 0.1 l each; of that 0.1 l is left on day 3. Of the toilet 5 x 0.5 l.
    """
    trip, plan = stow_two_legs({}, {})
    document = make(trip, plan)
    heron, _, later = (
        {r["lot"]: r["amount"] for r in boat["stores"]} for boat in document["boats"]
    )
    water = "drinking water, canister"
    assert (heron[water], later[water], later[COME[1]]) == (12.0, 0.0, 3.0)
    assert (heron["fuel, bottle"], later["fuel, bottle"]) == (0.5, 0.1)
    box = "toilet, toilet box 1 of 2"
    assert (heron[box], later[box]) == (0.0, 2.0)
    supplies = [
        (r["store"], r["days"], r["person_days"], r["amount"], r["unit"], r["contents"])
        for r in document["supplies"]
    ]
    assert supplies == [
        ("food", [1, 2], 4, 4.0, "kg", [2.0, 2.0]),
        ("drinking water", [1, 2], 4, 12.0, "l", [12.0]),
        ("fuel", [1, 3], 5, 0.5, "l", [0.5]),
        ("toilet", [1, 3], 5, 2.5, "l", [2.0, 0.5]),
        ("food", [3, 3], 1, 1.0, "kg", [1.0]),
        ("drinking water", [3, 3], 1, 3.0, "l", [3.0]),
    ]


def test_masses_of_each_morning_and_the_heaviest_of_them() -> None:
    """Bo 70 + 8 kg, a first-aid kit 3.2 kg, food 2.1, 4.2 and 2.1 kg, a bag of 10 kg."""
    _, teal = make(*make_laden())["boats"]
    same = {"people_kg": 78.0, "kit_kg": 3.2, "camp_kg": 10.0, "dry_kg": 0.0}
    assert teal["mass_by_day"] == [
        {"day": day, "stores_kg": food} | same for day, food in ((1, 2.1), (2, 4.2), (3, 2.1))
    ]
    assert teal["mass_kg"] == 95.4


def test_camp_is_what_nobody_uses_up() -> None:
    """Stove 5, tent 2.6, guitar 3, table 4, crate 0.5 and a bag 10 kg.

    Stores on day 1: canister 7, bottle 0.62, two boxes 10 kg; on day 2: 1 + 13, 0.48, 11 kg.
    """
    heron, _ = make(*make_laden())["boats"]
    assert [(row["stores_kg"], row["camp_kg"]) for row in heron["mass_by_day"]][:2] == [
        (17.62, 25.1), (25.48, 25.1),
    ]  # fmt: skip


def test_shortfalls_stand_in_a_plan_of_a_trip_with_rules_and_in_no_other() -> None:
    assert "shortfalls" not in make(*make_laden())
    trip, plan = make_ruled()
    assert make(trip, plan)["shortfalls"] == [
        {"tier": "law", "name": "kits", "day": 1, "boat": None, "asked": 2, "there": 1, "short": 1}
    ]
    assert make(trip, replace(plan, shortfalls=()))["shortfalls"] == []


def test_without_stores_no_boat_has_any() -> None:
    trip = read_laden(replace(LADEN, more=""))
    sound = make_sound(trip)
    plan = replace(sound, arrangement=replace(sound.arrangement, stowed=()))
    for boat in make(trip, plan)["boats"]:
        assert not {"stores", "mass_by_day"} & set(boat)
    assert "supplies" not in make(trip, plan)


def test_what_was_written_is_read() -> None:
    trip, plan = make_ruled()
    text = write_plan(trip, derive_needs(trip), plan)
    kept, findings = read_plan(text.encode(), "plan.json")
    assert kept is not None, findings
    assert kept.plan == plan
    assert check_document(kept, trip, derive_needs(trip)) == []


SPOILT: dict[str, tuple[list[str | int], Any, str]] = {
    "a box of another name": (
        ["boats", 1, "stores", 3, "boxes"], ["personal bag, 1 of 2"],
        (
            "stores[3].boxes of boat 'Teal' is ['personal bag, 1 of 2'] in the file and should be "
            "['personal bag, 2 of 2']"
        ),
    ),
    "another mass": (
        ["boats", 1, "mass_by_day", 0, "dry_kg"], 1.0,
        "mass_by_day[0].dry_kg of boat 'Teal' is 1.0 in the file and should be 0.0",
    ),
    "the mass of another morning": (
        ["boats", 1, "mass_kg"], 93.3,
        "mass_kg of boat 'Teal' is 93.3 in the file and should be 95.4",
    ),
    "another amount in a box": (
        ["boats", 1, "stores", 0, "amount"], 1.5,
        "stores[0].amount of boat 'Teal' is 1.5 in the file and should be 2.0",
    ),
    "another amount to fill": (
        ["supplies", 1, "amount"], 5.0, "supplies[1].amount is 5.0 in the file and should be 6.0",
    ),
    "other contents": (
        ["supplies", 1, "contents"], [3.0],
        "supplies[1].contents is [3.0] in the file and should be [6.0]",
    ),
    "no shortfalls": (
        ["shortfalls"], None, "shortfalls is None in the file and should be []",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("trail", "value", "said"), SPOILT.values(), ids=SPOILT)
def test_rows_that_do_not_follow(trail: list[str | int], value: object, said: str) -> None:
    trip, plan = make_ruled()
    plan = replace(plan, shortfalls=())
    needs = derive_needs(trip)
    document: Any = json.loads(write_plan(trip, needs, plan))
    table = document
    for step in trail[:-1]:
        table = table[step]
    table[trail[-1]] = value
    kept, findings = read_plan(json.dumps(document).encode(), "plan.json")
    assert kept is not None, findings
    assert [one.message for one in check_document(kept, trip, needs)] == [said]


def test_a_lot_is_in_a_boat_once() -> None:
    trip, plan = make_laden()
    document = make(trip, plan)
    document["boats"][1]["stores"] += document["boats"][1]["stores"][-1:]
    kept, findings = read_plan(json.dumps(document).encode(), "plan.json")
    assert kept is None
    assert [one.message for one in findings] == [
        'the lot in ["Teal", "personal bag"] is there twice'
    ]
