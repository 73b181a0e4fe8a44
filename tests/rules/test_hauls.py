"""A pinned boat is hauled off by what its own type asks: tiny trips with optima by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.check import check_party
from kitplan.demands import ChoiceKey, DemandKey, Needs
from kitplan.needs import derive_needs, list_ways
from kitplan.verify import verify_plan
from tests.rules.solved import solve
from tests.rules.tiny import BASE, RAFT, Edit, Tiny, odd_raft, read_tiny

if TYPE_CHECKING:
    from pathlib import Path


HANDS = """
[[technique]]
name = "hands"
summary = "Hands on a line."
source = "made up for tests"
banks = "one"
serves = [{ scenario = "pinned boat", tier = 1 }]
hurry = "unhurried"
ready_in = ["1 min", "2 min"]
pulling = "hands alone"
roles = [{ name = "hauling hand", guest = true, hauls = true, may_lead = false }]
"""
PULLEYS = HANDS.replace('"hands"', '"pulleys"').replace('"hands alone"', '"3:1"')
PINNED: Edit = ('scenarios = ["swimmer"]', 'scenarios = ["pinned boat"]')


pytestmark = pytest.mark.usefixtures("in_folder")


def pin(by_hand: int, system: str = "3:1", techniques: str = HANDS) -> Tiny:
    """Return two rafts, one of which says how it is hauled; the other goes by the technique: 1."""
    haul = f'haul = {{ system = "{system}", hands = 1, by_hand = {by_hand} }}'
    return Tiny(
        boats={"Heron": RAFT, "Teal": "odd raft"},
        people=BASE.people | {"Eve": "", "Fay": ""},
        river=(PINNED,),
        types=odd_raft(more=haul) + techniques,
    )


def list_running(needs: Needs, technique: str) -> set[str]:
    return {key.running for key in needs.demands if key.technique == technique}


def test_as_many_hands_as_the_type_of_the_pinned_boat_asks(tmp_path: Path) -> None:
    """Six people, Teal asks three hands and Heron one, each from the other boat's crew.

    So at least three sit in Heron, and at least one in Teal; that both can be is the optimum.
    """
    trip = read_tiny(tmp_path, pin(by_hand=3))
    plan = solve(trip)
    assert plan.totals.met == plan.totals.demands == 2
    assert len(plan.arrangement.crew["Heron"]) >= 3
    hauling = {result.key.running: len(result.witness) for result in plan.demands}
    assert hauling == {"Heron": 1, "Teal": 3}


def test_more_hands_than_the_other_boat_seats_can_not_be_had(tmp_path: Path) -> None:
    """Five seats: six hands are one too many, whoever sits where, and `check` knows it."""
    trip = read_tiny(tmp_path, pin(by_hand=6))
    plan = solve(trip)
    (gap,) = plan.gaps
    assert (gap.running, gap.sort) == (("Teal",), "impossible alone")
    # Class II squared, pinned boat 1, likely 1.
    assert plan.aims[0].value == plan.aims[0].bound == 4
    (row,) = check_party(trip, derive_needs(trip)).cases
    assert row.running == ("Teal",)


def test_the_way_of_another_type_is_no_way(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, pin(by_hand=3))
    plan = solve(trip)
    heron, teal = sorted(plan.demands, key=lambda result: result.key.running)
    assert (heron.way, teal.way) == (
        f"pinned: {RAFT}; no guest lends a hand",
        "pinned: odd raft; no guest lends a hand",
    )
    one_hand = replace(teal, way=heron.way, witness=teal.witness[:1])
    demands = tuple(one_hand if result is teal else result for result in plan.demands)
    (fault,) = verify_plan(trip, replace(plan, demands=demands))
    assert (fault.code, fault.message) == (
        "met",
        f"Riffle, mid-channel, pinned boat, hands, left, Teal: there is no way '{heron.way}'",
    )


def test_no_demand_for_a_boat_that_no_pulleys_are_asked_for(tmp_path: Path) -> None:
    """Teal goes by hand alone: pulleys are asked for Heron only, and hands for both."""
    trip = read_tiny(tmp_path, pin(4, "hands alone", HANDS + PULLEYS))
    needs = derive_needs(trip)
    assert list_running(needs, "hands") == {"Heron", "Teal"}
    assert list_running(needs, "pulleys") == {"Heron"}
    for key in needs.demands:
        assert list_ways(needs.choices[key.choice], trip.boats[key.running].type)
    solve(trip)


def test_no_case_for_a_boat_that_nothing_is_for(tmp_path: Path) -> None:
    """With pulleys as the only technique, Teal has no case, and one line says so."""
    trip = read_tiny(tmp_path, pin(4, "hands alone", PULLEYS))
    needs = derive_needs(trip)
    assert {key.running for key in needs.cases} == {"Heron"}
    (row,) = needs.without_technique
    assert row.running == ("Teal",)
    assert DemandKey("Riffle", "mid-channel", "pinned boat", "pulleys", "left", "Teal") not in (
        needs.demands
    )
    plan = solve(trip)
    assert (plan.totals.cases, plan.totals.met) == (1, 1)


def test_where_no_boat_is_hauled_with_pulleys_it_is_said(tmp_path: Path) -> None:
    tiny = pin(4, "hands alone", PULLEYS)
    trip = read_tiny(tmp_path, replace(tiny, boats={"Coot": "odd raft", "Teal": "odd raft"}))
    needs = derive_needs(trip)
    key = ChoiceKey("Riffle", "mid-channel", "pinned boat", "pulleys", "left")
    choice = needs.choices[key]
    said = "no boat that may be pinned here is hauled with pulleys, as in pulleys"
    assert (choice.verdict, choice.reasons) == ("does not fit", (said,))
    assert not needs.cases
