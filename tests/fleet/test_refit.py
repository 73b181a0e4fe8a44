"""Trips planned anew one at a time: what each packs fits lists, and is no more than it needs."""

# ruff: noqa: SLF001 - a step by itself is seen from within alone

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.fleet.checks import NEARBY, Asked, Check
from kitplan.fleet.lifting import Lifting
from kitplan.fleet.model import FleetModel
from kitplan.fleet.nouns import Lists
from kitplan.fleet.packing import Aboard, add_held, share
from kitplan.fleet.pool import Trialling
from kitplan.fleet.standard import make_fleet
from kitplan.solve.run import Budget, Clock, run
from tests.bench.fleet import make_trips
from tests.fleet.tinyfleet import (
    BAGS,
    BROAD,
    PRICES,
    RIFFLE,
    are_accepted,
    find_goals,
    read_fleet,
    share_plans,
)
from tests.rules.tiny import KAYAK, RAFT

if TYPE_CHECKING:
    from kitplan.fleet.nouns import Fleet

pytestmark = pytest.mark.usefixtures("in_folder")
BELT, BAG = BAGS
HEAVIER_G = 600  # a bag of 20 m weighs so much more than a belt bag of 15 m


def lay(bag: str, mass_g: int = 9_000) -> tuple[Aboard, ...]:
    """Return a raft with one of the bags at hand, and room for more."""
    packed = {(one, "quick"): int(one == bag) for one in BAGS}
    left = {"mass": mass_g, "bulky": 9, "small": 9, "vest": 9, "waist": 9}
    return (Aboard(RAFT, 0, (), packed, left),)


def share_held(fleet: Fleet, plans: dict[str, tuple[Aboard, ...]]) -> Lists:
    lists = share(fleet, plans, Budget(Clock(600.0), 1.0, 4.0))
    assert lists is not None
    return lists


def test_a_longer_bag_stands_in_for_a_shorter_one() -> None:
    fleet = read_fleet(RIFFLE, BROAD, boats={RAFT: 1, KAYAK: 1})
    assert fleet.wares[BELT].stand_ins == (BAG,)
    assert fleet.wares[BAG].stand_ins == ()
    # One trip packs the short one, the other the long one, which does for both.
    lists = share_held(fleet, {"riffle": lay(BELT), "broad": lay(BAG)})
    assert lists == Lists(issued={(RAFT, BAG): 1})


def test_what_stands_in_has_room() -> None:
    fleet = read_fleet(RIFFLE, BROAD, boats={RAFT: 1, KAYAK: 1})
    heavier = fleet.wares[BAG].item.mass_g - fleet.wares[BELT].item.mass_g
    light = {"riffle": lay(BELT, heavier), "broad": lay(BAG)}
    assert share_held(fleet, light) == Lists(issued={(RAFT, BAG): 1})
    # Too heavy by a gram, and at home it would have to have room too: it is an extra.
    heavy = {"riffle": lay(BELT, heavier - 1), "broad": lay(BAG)}
    lists = share_held(fleet, heavy)
    assert lists == Lists(issued={(RAFT, BELT): 1}, extras={("broad", BAG): 1})
    assert fleet.weigh(lists) == 100 * PRICES[BELT] + 150 * PRICES[BAG]


def test_a_trip_leaves_at_home_what_it_can_do_without() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    dear = Lists({(kind, bag): 1 for kind in fleet.boats for bag in BAGS})
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        trials = trialling._trials
        for name, goal in goals.items():
            check = trials.check(Asked(name, dear), goal, NEARBY)
            assert check.reached
            fm, decided = trials._get_whole(name), trials._decided[name]
            part = fm.parts[name]
            taken = [key for key, _ in part.list_decisions("pack") if decided[key]]
            assert taken
            for key in taken:
                model = fm.model.clone()
                part.hold_people(model, decided)
                less = {**decided, key: decided[key] - 1}
                part.hold_packing(model, less)
                assert run(model, None, Budget(Clock(600.0), 1.0, 4.0)).status == "infeasible"


def test_what_a_trip_packs_keeps_to_the_lists_it_was_found_with() -> None:
    # Stores lie where there is room beside the lists, however little is packed of these.
    budget = Budget(Clock(600.0), 1.0, 4.0)
    trips = [
        replace(one, rapids={n: one.rapids[n] for n in sorted(one.rapids)[:2]})
        for one in make_trips(3, 1)[::2]
    ]
    fleet = make_fleet(trips)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        names, lists = sorted(goals), Lists()
        for check in trialling.lift_near([Asked(name, Lists()) for name in names], goals):
            assert check.lists is not None
            lists = lists.join(Lists(check.lists.issued, check.lists.worn))
        together = trialling.check([Asked(name, lists) for name in names], goals, NEARBY)
    for name, one in zip(names, together, strict=True):
        assert one.lists is not None
        fm = FleetModel(fleet)
        add_held(fm, {name: one.aboard})
        fm.hold(fm.model, one.lists)
        fm.hold_extras(fm.model, one.lists)
        assert run(fm.model, None, budget).found


def test_a_trip_is_planned_anew_for_what_the_others_keep_to() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals, apart, _, _ = share_plans(fleet, trialling)
        plans = {n: c.aboard for n, c in zip(sorted(goals), apart, strict=True)}
        for name in sorted(goals):
            lists = share_held(fleet, plans)
            (check,) = trialling.refit([Asked(name, lists)], plans, goals)
            assert check.lists is not None
            plans[name] = check.aboard
            cost = fleet.weigh(check.lists)
            assert fleet.weigh(share_held(fleet, plans)) <= cost <= fleet.weigh(lists)
        lifting = Lifting(fleet, goals, trialling, Clock(600.0), 1.0)
        assert lifting._settle(share_held(fleet, plans))
        assert are_accepted(trialling, goals, lifting.lists, lifting.checks)


def test_plans_that_are_dear_together_are_not_both_taken() -> None:
    fleet = read_fleet(RIFFLE, BROAD, boats={RAFT: 1, KAYAK: 1})
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        lifting = Lifting(fleet, find_goals(trialling), trialling, Clock(600.0), 1.0)
        both = {"riffle": lay(BELT), "broad": lay(BAG)}
        before = {"riffle": lay(BAG), "broad": lay(BELT)}
        for less, kept in ((0, both), (1, {**before, "broad": both["broad"]})):
            # What either would cost alone: as much as both, or less.
            dear = Lists(extras={("riffle", BELT): 9})
            alone = Lists({} if less else {(RAFT, BAG): 1})
            lifting._last = {n: Check(None, aboard=boats) for n, boats in before.items()}
            checks = [Check(None, dear, None, (), both["riffle"])]
            checks += [Check(None, alone, None, (), both["broad"])]
            lifting._take(["riffle", "broad"], checks)
            assert lifting._plans == kept
