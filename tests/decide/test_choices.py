"""What the leader may decide that has no price, held against all stations tried by brute force.

Where a decision leaves seats and packing as they are, what it closes at a rapid is the least that
the rapid can miss without it less the least it can miss with it: both are tried out, and judged by
the second program.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide.choices import Decision, Decisions, list_decisions
from kitplan.needs import derive_needs
from kitplan.remedies import ACCEPT, PORTAGE, SWAP, WALK
from kitplan.solve.run import Clock
from tests.decide.counted import Tried
from tests.rules.solved import solve
from tests.rules.tiny import (
    BASE,
    BOTH,
    KAYAK,
    PICK_UP,
    STEERS,
    TWO_BANKS,
    Tiny,
    odd_raft,
    read_tiny,
)

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

ASHORE = ('accept = { wading = "III", afloat = "V" }', 'accept = { wading = "III", afloat = "I" }')
EDDY = ("eddies = 0", "eddies = 1")
# Two kayaks, nobody throws, and picking up is work afloat that the leader does not accept here.
DRY = Tiny(
    boats={"Wren": KAYAK, "Tern": KAYAK},
    people={"Ana": "kayak = 3", "Bo": "kayak = 3"},
    kit={},
    head=(ASHORE,),
    river=(EDDY,),
    types=PICK_UP,
)
# A guest in each raft, nobody who may guide, and a bag in each, as none has room for two: whoever
# throws has a guest beside him whom nobody minds. There is a path round the riffle.
MINDED = Tiny(
    boats={"Heron": "odd raft", "Teal": "odd raft"},
    people={"Ana": BOTH, "Bo": BOTH, "Gus": "", "Gil": ""},
    kit={"throw bag 20 m": "count = 2\ntake = true"},
    more='[[apart]]\npaddlers = ["Gus", "Gil"]\n',
    types=odd_raft(bulky=1),
)


@pytest.fixture(autouse=True)
def in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in the test's own folder, where a tiny trip is written."""
    monkeypatch.chdir(tmp_path)


def decide(trip: Trip, plan: Plan, limit_s: float = 600.0) -> Decisions:
    """Return what the leader may decide about a plan."""
    clock = Clock(limit_s)
    return list_decisions(trip, derive_needs(trip), plan.arrangement, clock, lambda _: None)


def find(made: Decisions, sort: str) -> list[Decision]:
    """Return the decisions of a sort, the most first."""
    return [row for row in made.rows if row.sort == sort]


def try_out(trip: Trip, changed: Trip, plan: Plan) -> tuple[int, int]:
    """Return what a changed trip misses less at the riffle, by brute force."""
    had, has = (
        Tried(one, derive_needs(one), plan.arrangement).find_least("Riffle")
        for one in (trip, changed)
    )
    return had[0] - has[0], had[1] - has[1]


def test_accepting_more_lets_the_second_boat_be_picked_up(tmp_path: Path) -> None:
    """The first to run waits afloat for the other one; nobody waits for the first."""
    trip = read_tiny(tmp_path, DRY)
    plan = solve(trip)
    made = decide(trip, plan)
    assert made.complete
    [row] = find(made, ACCEPT)
    assert (row.name, row.to, row.worth) == ("afloat", "II", (0, 8, 0, 0))
    changed = replace(trip, accept=trip.accept | {"afloat": 2})
    assert try_out(trip, changed, plan) == row.closed[0].rise
    [portage] = find(made, PORTAGE)
    assert portage.worth == (0, 16, 0, 0)
    assert made.rows == (portage, row)


def test_accepting_more_goes_as_far_as_it_takes_and_no_further(tmp_path: Path) -> None:
    """Work afloat is accepted nowhere: to class I is not enough on class II, and III no better."""
    nowhere = (ASHORE[0], 'accept = { wading = "III" }')
    trip = read_tiny(tmp_path, replace(DRY, head=(nowhere,)))
    [row] = find(decide(trip, solve(trip)), ACCEPT)
    assert (row.name, row.to) == ("afloat", "II")


def test_guests_who_walk_need_nobody_to_mind_them(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, MINDED)
    plan = solve(trip)
    walking = replace(trip.rapids["Riffle"], guests_walk=True)
    expected = try_out(trip, replace(trip, rapids={"Riffle": walking}), plan)
    [row] = find(decide(trip, plan), WALK)
    assert row.worth == (0, 16, 0, 0)
    assert row.closed[0].rise == expected


@pytest.mark.parametrize(
    "river", [("path = true", "path = false"), ("eddies = 0", "guests_walk = true")]
)
def test_nobody_is_let_walk_where_it_can_not_be(tmp_path: Path, river: tuple[str, str]) -> None:
    """Without a path, or where guests walk already."""
    trip = read_tiny(tmp_path, replace(MINDED, river=(river,), kit={}))
    assert find(decide(trip, solve(trip)), WALK) == []


def test_a_bigger_boat_takes_who_is_picked_up(tmp_path: Path) -> None:
    """Nine people fill all nine seats; with Teal swapped for a raft of nine there is room in it."""
    rescue = PICK_UP.replace(
        'crews = [{ crafts = ["kayak"], steerer = 3 }]',
        'crews = [{ crafts = ["raft"], steerer = 3, free_places = 1 }]',
    )
    people = dict.fromkeys(("Cy", "Dee", "Eve", "Fay"), "leading = 2")
    full = Tiny(
        people={
            "Ana": STEERS,
            "Bo": STEERS,
            **people,
            "Gus": "leading = 2",
            "Hal": "leading = 2",
            "Ida": "leading = 2",
        },
        boats={"Heron": "oar raft 4.3 m", "Teal": "snug raft"},
        kit={},
        river=(EDDY,),
        types=odd_raft(9).replace("odd raft", "roomy raft")
        + odd_raft(4).replace("odd raft", "snug raft")
        + rescue,
        more='[order]\nboats = ["Teal", "Heron"]\n',
    )
    trip = read_tiny(tmp_path, full)
    plan = solve(trip)
    made = decide(trip, plan)
    assert made.untried == ()
    rows = {(row.name, row.to): row for row in find(made, SWAP)}
    assert ("Teal", "roomy raft") in rows, made.rows
    assert rows["Teal", "roomy raft"].worth[:2] == (0, 8)
    assert all(trip.catalog.boat_types[kind].seats >= 4 for _, kind in rows)


def test_what_there_was_no_time_for_is_said(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, replace(BASE, kit={}, types=odd_raft(7)))
    made = decide(trip, solve(trip), limit_s=0.0)
    assert not made.complete
    assert set(made.untried) == {("Heron", "odd raft"), ("Teal", "odd raft")}
    assert [row.sort for row in made.rows] == [PORTAGE]


def test_both_banks_are_closed_by_a_portage(tmp_path: Path) -> None:
    """One bag and one thrower ashore serve one bank: the other one is missed in both cases."""
    trip = read_tiny(
        tmp_path,
        replace(
            BASE,
            river=(TWO_BANKS,),
            people={**BASE.people, "Dee": "leading = 2"},
            kit={"throw bag 20 m": "count = 1"},
        ),
    )
    plan = solve(trip)
    [row] = find(decide(trip, plan), PORTAGE)
    totals = plan.totals
    assert (len(row.closed[0].uncovered), len(row.closed[0].one_bank)) == (
        totals.none,
        totals.one_bank,
    )
