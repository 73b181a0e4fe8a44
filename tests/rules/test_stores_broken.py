"""Plans made by hand with stores that lie where they can't: each finding whole, and no other.

The sums stand in `laden`, and beside each plan what it changes.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan import rules
from kitplan.plan import Packed, Stowed
from kitplan.verify import verify_plan
from kitplan.verify.kept import CHECKS
from tests.rules.laden import (
    BOS_BAG,
    COME,
    IN_HERON,
    IN_TEAL,
    LADEN,
    make_sound,
    read_laden,
    stow,
    stow_two_legs,
)

if TYPE_CHECKING:
    from kitplan.plan import Plan

pytestmark = pytest.mark.usefixtures("in_folder")

ONE_QUICK = Packed("Teal", "first-aid kit", "quick", 1)
STORES_AT, TEAL_AT = "trips/x.toml:39:2", "trips/x.toml:12:1"

Moved = dict[str, dict[str, int]]  # boat -> lot -> how many more, or fewer, lie there


def move(lot: str, source: str = "Heron", target: str = "Teal") -> Moved:
    return {source: {lot: -1}, target: {lot: 1}}


def change(plan: Plan, moved: Moved) -> Plan:
    """Return the plan with stores moved; a row is left out where nothing is left in it."""
    boats = {"Heron": dict(IN_HERON), "Teal": dict(IN_TEAL)}
    for boat, lots in moved.items():
        for lot, number in lots.items():
            boats[boat][lot] = boats[boat].get(lot, 0) + number
    rows = tuple(row for row in stow(**boats) if row.count)
    return replace(plan, arrangement=replace(plan.arrangement, stowed=rows))


BROKEN: dict[str, tuple[str, Moved, list[str]]] = {
    "a tent left at home": (
        "stowed",
        {"Heron": {"tent": -1}},
        [f"{STORES_AT}: error: tent: 0 stowed, and 1 are to be (stowed)"],
    ),
    "a bag too many": (
        "stowed",
        {"Heron": {"personal bag": 1}},
        [f"{STORES_AT}: error: personal bag: 3 stowed, and 2 are to be (stowed)"],
    ),
    "two guitars here and one less than none there": (
        "stowed",
        {"Heron": {"guitar": 1}, "Teal": {"guitar": -1}},
        [f"{TEAL_AT}: error: guitar in Teal: a count of -1 (stowed)"],
    ),
    # The bag makes room for the table, 60 l and 10 kg for 30 l and 4 kg.
    "a table that is too long": (
        "stowed",
        {"Heron": {"table": -1, "personal bag": 1}, "Teal": {"table": 1, "personal bag": -1}},
        [
            (
                f"{TEAL_AT}: error: table is 1.5 m long as packed, and Teal stows nothing longer "
                "than 1.4 m (stowed)"
            )
        ],
    ),
    # 130 l in a hold of 125 l; and 95 + 130 l on day 2.
    "a crate that is larger than the hold": (
        "stowed",
        move("crate"),
        [
            f"{TEAL_AT}: error: crate takes 130 l apiece, and Teal has a hold of 125 l (stowed)",
            (
                f"{TEAL_AT}: error: Teal has a hold of 125 l, and 225 l are stowed in it on the "
                "morning of day 2 (hold)"
            ),
        ],
    ),
    # 85 + 40 l are just enough on days 1 and 3; on day 2 it is 135 l.
    "a guitar for which there is no room on day 2": (
        "hold",
        move("guitar"),
        [
            (
                f"{TEAL_AT}: error: Teal has a hold of 125 l, and 135 l are stowed in it on the "
                "morning of day 2 (hold)"
            )
        ],
    ),
    # 95.4 + 13 kg on day 2; 93.3 + 7 kg on day 3 would do, and so would 95 + 24 l.
    "a canister that is full on day 2": (
        "payload",
        move("drinking water, from day 2, canister"),
        [
            (
                f"{TEAL_AT}: error: Teal carries 104 kg and is loaded with 108 kg on the "
                "morning of day 2 (payload)"
            )
        ],
    ),
}


@pytest.mark.parametrize(("moved", "lines"), [row[1:] for row in BROKEN.values()], ids=BROKEN)
def test_stores_that_lie_where_they_cannot(moved: Moved, lines: list[str]) -> None:
    trip = read_laden(LADEN)
    findings = verify_plan(trip, change(make_sound(trip), moved))
    assert [finding.text() for finding in findings] == lines


def test_every_rule_on_stores_is_broken_once() -> None:
    families = {family.name for family in rules.STORES}
    assert {family for family, _, _ in BROKEN.values()} == families | {"payload"}


def test_a_sound_plan_passes_with_all_that_it_says() -> None:
    """Its balance is that of the heaviest morning: 95.4 kg of 104 kg, 917.3 per mille, up."""
    trip = read_laden(LADEN)
    assert [finding.text() for finding in verify_plan(trip, make_sound(trip))] == []


def test_balance_is_of_the_heaviest_morning() -> None:
    """Teal on days 1 and 3 has 93.3 kg: 897.1 per mille, up."""
    trip = read_laden(LADEN)
    sound = make_sound(trip)
    aims = tuple(
        replace(aim, value=898, bound=898) if aim.name == "balance" else aim for aim in sound.aims
    )
    assert [finding.text() for finding in verify_plan(trip, replace(sound, aims=aims))] == [
        "trips/x.toml:1:2: error: aim balance is 918, not 898 (wrong-aim)"
    ]


def test_a_canister_that_is_empty_when_others_are_full_finds_a_place() -> None:
    """93.3 + 7, 95.4 + 1, 93.3 + 1 kg: never more than 104, though 95.4 + 7 + 2.1 would be."""
    trip = read_laden(LADEN)
    plan = change(make_sound(trip), move("drinking water, canister"))
    assert {finding.code for finding in verify_plan(trip, plan)} == {"wrong-aim"}


def test_kit_that_lies_quick_takes_no_room_in_the_hold() -> None:
    """80 + 40 l with the guitar: the 15 l of the first-aid kit are not in it."""
    trip = read_laden(LADEN)
    plan = change(make_sound(trip), move("guitar"))
    plan = replace(plan, arrangement=replace(plan.arrangement, packed=(ONE_QUICK,)))
    assert {finding.code for finding in verify_plan(trip, plan)} == {"wrong-aim"}


@pytest.mark.parametrize("row", [Stowed("Heron", "whisky", 1), Stowed("Dipper", "tent", 1)])
def test_stores_that_the_trip_does_not_have(row: Stowed) -> None:
    trip = read_laden(LADEN)
    sound = make_sound(trip)
    rows = (*sound.arrangement.stowed, row)
    plan = replace(sound, arrangement=replace(sound.arrangement, stowed=rows))
    said = f"'{row.lot}' in '{row.boat}' is none of the trip's stores"
    findings = verify_plan(trip, plan)
    assert [(one.code, one.message) for one in findings] == [("unknown-name", said)]


# --- two legs -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("days_1_2", "day_3", "said"),
    [
        ({}, {}, []),
        ({}, {"stove": 0}, ["stove: 0 stowed from day 3, and 1 are to be"]),
        ({"stove": 0}, {}, ["stove: 0 stowed from day 1, and 1 are to be"]),
        ({}, {BOS_BAG: 1}, [f"{BOS_BAG}: 1 stowed from day 3, and 0 are to be"]),
        ({COME[1]: 1}, {}, [f"{COME[1]}: 1 stowed from day 1, and 0 are to be"]),
    ],
)
def test_stores_are_stowed_in_each_leg_in_which_they_are_aboard(
    days_1_2: dict[str, int], day_3: dict[str, int], said: list[str]
) -> None:
    """Bo's bag is a lot of its own, gone on day 3; a canister comes aboard only then."""
    broken = [one for one in verify_plan(*stow_two_legs(days_1_2, day_3)) if one.code in CHECKS]
    assert [(one.code, one.message) for one in broken] == [("stowed", one) for one in said]
