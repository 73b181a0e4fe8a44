"""The cheapest lists are those that trying all of them finds; every cheaper one fails."""

from __future__ import annotations

import pytest

from kitplan.fleet.checks import OPEN, Asked
from kitplan.fleet.model import FleetModel
from kitplan.fleet.nouns import PER_CENT, Lists
from kitplan.fleet.pool import Trialling
from kitplan.solve.run import Clock
from kitplan.verify import verify_plan
from tests.bench.highs import solve
from tests.bench.linear import flatten, linearise
from tests.fleet.tinyfleet import (
    BROAD,
    RIFFLE,
    find,
    find_on_demand,
    list_lists,
    list_ways,
    read_fleet,
    weigh_cheapest,
)

pytestmark = pytest.mark.usefixtures("in_folder")
COPIES = 2


def test_no_list_is_cheaper_and_every_cheaper_one_fails() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    found = find(fleet)
    ways = {name: list_ways(one.trip, COPIES) for name, one in fleet.outings.items()}
    costs = [weigh_cheapest(fleet, ways, lists) for lists in list_lists(fleet, 2)]
    assert len(costs) > 50
    assert found.cost == found.bound == min(costs)
    assert found.canonical
    assert found.cost > 0


@pytest.mark.parametrize("factor", [50, 100, 300])
def test_extras_are_weighed_by_their_factor(factor: int) -> None:
    fleet = read_fleet(RIFFLE, BROAD, factor=factor)
    ways = {name: list_ways(one.trip, COPIES) for name, one in fleet.outings.items()}
    costs = [weigh_cheapest(fleet, ways, lists) for lists in list_lists(fleet, 1)]
    assert find(fleet).cost == min(costs)


def test_dropping_any_copy_loses_something_named() -> None:
    found = find(read_fleet(RIFFLE, BROAD))
    assert found.lists.list_lines()
    assert [one.line for one in found.needed] == found.lists.list_lines()
    for one in found.needed:
        assert one.proven
        assert one.suffers, one.line
        assert all(row.rapid in {"Riffle", "Broad"} for row in one.suffers)


def test_every_trip_is_accepted_with_its_list() -> None:
    found = find(read_fleet(RIFFLE, BROAD))
    assert found.missed == ()
    for one in found.outcomes.values():
        assert one.kit is not None
        assert one.plan is not None
        assert verify_plan(one.kit, one.plan) == []
        aims = {aim.name: aim.value for aim in one.plan.aims}
        assert (aims["uncovered"], aims["one_bank"]) == one.goal.best


def test_another_solver_finds_the_same_bound() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    found = find(fleet)
    master = FleetModel(fleet)
    for name, outcome in found.outcomes.items():
        master.add(fleet.outings[name], outcome.goal, outcome.goal.floors)
    program = linearise(master.model).minimising(flatten(master.cost()))
    answer = solve(program, 60.0)
    assert answer.status == "proven"
    assert answer.value == found.bound


def test_alone_no_trip_costs_more_than_its_part_of_the_lists() -> None:
    found = find(read_fleet(RIFFLE, BROAD))
    assert set(found.apart) == {"riffle", "broad"}
    assert all(cost == bound for cost, bound in found.apart.values())
    assert all(cost <= found.cost for cost, _ in found.apart.values())
    assert found.cost <= sum(cost for cost, _ in found.apart.values()) * 2
    assert found.cost % PER_CENT == 0


def test_trips_and_rapids_on_demand_come_to_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    find_on_demand(fleet, monkeypatch)


def test_without_lists_every_trip_shows_its_rapids() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = {n: g for n, g in trialling.find_goals(None, 1.0).items() if g is not None}
        asked = [Asked(name, Lists()) for name in goals]
        checks = trialling.check(asked, goals, OPEN)
    assert [check.reached for check in checks] == [False, False]
    assert [check.failing for check in checks] == [("Broad",), ("Riffle",)]
    assert all(check.lists is not None and check.lists.extras for check in checks)
