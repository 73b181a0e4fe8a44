"""More trips than go into one model: what is a bound stays one, and lists come out at any limit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitplan.build import Anywhere
from kitplan.build.variables import add_up
from kitplan.fleet import search, standard
from kitplan.fleet.checks import LACKING, Asked
from kitplan.fleet.lifting import Lifting
from kitplan.fleet.model import FleetModel
from kitplan.fleet.nouns import Goal, Lists
from kitplan.fleet.packing import Aboard, share
from kitplan.fleet.pool import Trialling
from kitplan.fleet.standard import make_fleet, narrow
from kitplan.solve.options import keep_quiet
from kitplan.solve.run import Budget, Clock, run
from tests.bench.fleet import make_trips
from tests.fleet.test_demo import load_demo
from tests.fleet.tinyfleet import (
    ABOVE,
    BAGS,
    BROAD,
    GUIDE,
    PRICES,
    RIFFLE,
    are_accepted,
    find,
    find_goals,
    list_lists,
    list_ways,
    read_fleet,
    share_plans,
    weigh_anywhere,
    weigh_cheapest,
    weigh_least,
)
from tests.rules.tiny import RAFT

pytestmark = pytest.mark.usefixtures("in_folder")
COPIES = 2
RIGHT_ABOVE = ("right = { landing = 0", "right = { landing = 3, landing_above = 3")


def test_what_is_needed_anywhere_is_never_more_than_what_is_needed() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    asked_for = 0
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        alone = trialling.price_loosely(goals)
        for name in goals:
            ways = {name: list_ways(fleet.outings[name].trip, COPIES)}
            there = replace(fleet, outings={name: fleet.outings[name]})
            for lists in list_lists(fleet, 1):
                cheapest, given = weigh_cheapest(there, ways, lists), fleet.weigh(lists)
                anywhere = weigh_anywhere(fleet, name, goals[name], lists)
                assert alone[name] <= given + anywhere <= cheapest
                asked_for += anywhere > 0
                # As it is the trip lacks what trying all ways says.
                (check,) = trialling.check([Asked(name, lists)], goals, LACKING)
                assert check.lists is not None
                assert fleet.weigh(check.lists) == cheapest
                assert check.reached == (cheapest == given)
        assert min(alone.values()) > 0
    assert asked_for > 0


@pytest.mark.parametrize("name", ["A day on the Brindle", "The Marrow gorge"])
def test_most_of_what_a_trip_needs_it_needs_anywhere(name: str) -> None:
    fleet = narrow(make_fleet(load_demo()), name)
    loose, whole = (weigh_least(fleet, loose=one) for one in (True, False))
    assert 0.6 * whole < loose <= whole


def test_what_two_banks_ask_for_lies_in_two_boats(monkeypatch: pytest.MonkeyPatch) -> None:
    # Whoever runs, one of the two others waits at each bank: a bag in each of the three boats.
    three = replace(
        RIFFLE,
        boats=dict.fromkeys(("Heron", "Teal", "Wren"), RAFT),
        people=dict.fromkeys(("Ana", "Bo", "Cy", "Dee", "Eve", "Fay"), GUIDE),
        river=(ABOVE, RIGHT_ABOVE),
    )
    fleet = read_fleet(three, factor=50)
    extra = 50 * PRICES[BAGS[0]]
    assert weigh_least(fleet, loose=False) == weigh_least(fleet, loose=True) == 3 * extra
    monkeypatch.setattr(Anywhere, "_keep_apart", lambda *_: None)
    assert weigh_least(fleet, loose=True) == 2 * extra


def test_other_rapids_are_left_their_floors() -> None:
    (outing,) = make_fleet(make_trips(1, 1)).outings.values()
    rapids = sorted({case.rapid for case in outing.asked.cases})
    floors = dict.fromkeys(rapids, (10, 0))
    # So much is spare that two rapids could each stand far above their floors.
    goal = Goal({"law": 99, "spread": 99}, 1000, None, floors, exact=True, together=False)
    fm = FleetModel(make_fleet([outing.trip]))
    there = ("Clockmaker", "Three Stern Aunts")
    missed = add_up(gap["uncovered"] for gap in fm.add(outing, goal, (), there).gap.values())
    worst = run(fm.model, -1 * missed, Budget(Clock(600.0), 1.0, 40.0))
    assert 10 * len(there) < worst.evaluate(missed) <= 1000 - 10 * (len(rapids) - len(there))


@pytest.mark.parametrize("until", [0.0, 1.0])
def test_lists_are_lifted_and_thinned_out_until_no_copy_is_too_many(until: float) -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    ways = {name: list_ways(one.trip, COPIES) for name, one in fleet.outings.items()}
    cheapest = min(weigh_cheapest(fleet, ways, lists) for lists in list_lists(fleet, 2))
    dear = Lists({(kind, bag): 1 for kind in fleet.boats for bag in BAGS})
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        lifting = Lifting(fleet, goals, trialling, Clock(600.0), 1.0)
        rows = [*lifting.list_first(dear, until, keep_quiet), *lifting.list_better(keep_quiet)]
        for lists, checks in rows:
            assert all(check.reached for check in checks.values())
            assert are_accepted(trialling, goals, lists, checks)
    costs = [fleet.weigh(lists) for lists, _ in rows]
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] == cheapest


def test_what_plans_have_in_common_becomes_lists_that_they_keep_to() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals, apart, lists, checks = share_plans(fleet, trialling)
        assert all(check.reached for check in checks.values())
        assert are_accepted(trialling, goals, lists, checks)
    extras = [fleet.weigh(Lists(extras=one.lists.extras)) for one in apart if one.lists]
    assert lists.issued
    assert fleet.weigh(lists) < sum(extras)


def test_lists_that_plans_have_in_common_have_room_in_each() -> None:
    fleet = read_fleet(RIFFLE, BROAD, boats={"oar raft 4.3 m": 1, "river kayak": 1})
    (kind,) = {"oar raft 4.3 m"}
    bag = BAGS[1]
    left = {"mass": 9_000, "bulky": 0, "small": 9, "vest": 9, "waist": 9}

    def lay(count: int, bulky: int) -> tuple[Aboard, ...]:
        return (Aboard(kind, 0, (), {(bag, "quick"): count}, {**left, "bulky": bulky}),)

    for bulky, cost in ((1, 100), (0, 150)):
        plans = {"riffle": lay(1, 0), "broad": lay(0, bulky)}
        lists = share(fleet, plans, Budget(Clock(600.0), 1.0, 4.0))
        assert lists is not None
        # Where there is no room for it on the trip that leaves it at home, it is an extra.
        assert fleet.weigh(lists) == cost * PRICES[bag]


def test_lists_without_room_on_one_trip_leave_all_those_that_were_found() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    # More than there is room for: nobody of the one trip that has a kayak can be seated with it.
    full = Lists({("river kayak", BAGS[1]): 99})
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        lifting = Lifting(fleet, goals, trialling, Clock(600.0), 1.0)
        *_, (lists, checks) = lifting.list_first(full, 1.0, keep_quiet)
        assert are_accepted(trialling, goals, lists, checks)
    assert fleet.weigh(lists) < fleet.weigh(full)


def test_lists_come_out_where_there_is_no_time_to_look_for_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    best = find(fleet)
    monkeypatch.setattr(search, "AT_ONCE", 0)
    monkeypatch.setattr(search, "BOUND", 0.0)
    monkeypatch.setattr(search, "FIRST", 0.0)
    monkeypatch.setattr(standard, "LISTS", (0.0, 0.0))
    found = find(fleet)
    assert found.missed == ()
    assert found.bound <= best.cost <= found.cost
    assert found.lists.extras
