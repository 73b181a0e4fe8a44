"""Guests who walk round a rapid, on tiny trips whose optima are derived by hand.

Cy and Dee are guests here, and throwing is made a thing that guests may do, so that the trips stay
as tiny as the others. Every case and every demand weighs 8, a bag 1 kg.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan import needs as asks
from kitplan.explain import SolveOptions, plan_trip
from kitplan.verify import verify_plan
from tests.rules.tiny import BASE, THROWER, Edit, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

GUESTS_THROW: Edit = (THROWER, THROWER.replace("throws = true", "throws = true, guest = true"))
WALK: Edit = ("eddies = 0", "eddies = 0\nguests_walk = true")
PATH: Edit = ("left = { landing = 3", "left = { path = true, landing = 3")
GUEST = "guest = true"
AIMS = ("uncovered", "one_bank", "unmet", "backed", "mass")


def read(folder: Path, tiny: Tiny, monkeypatch: pytest.MonkeyPatch) -> Trip:
    """Return the trip as the loader reads it."""
    monkeypatch.chdir(folder)
    return read_tiny(folder, tiny)


def solve(trip: Trip) -> Plan:
    """Return the plan of a trip, proven and accepted by the verifier."""
    outcome = plan_trip(trip, SolveOptions(workers=1))
    assert outcome.status == "proven"
    assert outcome.plan is not None
    assert verify_plan(trip, outcome.plan) == []
    return outcome.plan


def values(plan: Plan) -> tuple[int, ...]:
    """Return the values of the aims but balance."""
    found = {result.name: result.value for result in plan.aims}
    return tuple(found[aim] for aim in AIMS)


THROWING_GUESTS = replace(
    BASE,
    own={"Cy": GUEST, "Dee": GUEST},
    catalog=(GUESTS_THROW,),
    river=(PATH,),
)


def test_guests_who_walk_throw_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # On the bank a guest in each raft throws for the other raft, as in the tiny trip of all tests.
    there = read(tmp_path, THROWING_GUESTS, monkeypatch)
    plan = solve(there)
    assert values(plan) == (0, 0, 0, 16, 2000)
    # Round the rapid nobody is left who throws: both cases (8 each) and both demands (8 each).
    walking = read(tmp_path, replace(THROWING_GUESTS, river=(PATH, WALK)), monkeypatch)
    assert values(solve(walking)) == (16, 0, 16, 0, 0)
    # The plan that has guests throw is not one for a trip where they walk.
    codes = {finding.code for finding in verify_plan(walking, plan)}
    assert "people" in codes


FERRY = '[[rapid]]\nday = 1\nname = "Ferry"\nclass = "III"\nwidth = "12 m"\nsafety = "none"\n'


@pytest.mark.parametrize(
    ("walk", "more", "level"),
    [
        # Class II asks for 2, class III for 3; one more with guests aboard.
        (False, "", 3),
        (True, "", 2),
        (True, FERRY, 4),
        (False, FERRY + "guests_walk = true\nleft = { path = true }\n", 3),
    ],
)
def test_guests_ask_for_a_better_steerer_only_where_they_are_aboard(
    *, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, walk: bool, more: str, level: int
) -> None:
    river = (PATH, WALK) if walk else (PATH,)
    trip = read(tmp_path, replace(THROWING_GUESTS, river=river, more=more), monkeypatch)
    kind = replace(trip.boats["Heron"].type, guests_one_level_up=True)
    boats = {name: replace(boat, type=kind) for name, boat in trip.boats.items()}
    raised = replace(trip, boats=boats)
    assert asks.boat_level(raised, "Heron", guests_aboard=True) == level
    without = 3 if more else 2
    assert asks.boat_level(raised, "Heron", guests_aboard=False) == without
