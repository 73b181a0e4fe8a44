"""All trips packed anew at once: what no trip could change alone is found, and people stay."""

# ruff: noqa: SLF001 - a step by itself is seen from within alone

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.fleet import together
from kitplan.fleet.checks import NEARBY, Asked
from kitplan.fleet.lifting import Lifting
from kitplan.fleet.model import PEOPLE, FleetModel
from kitplan.fleet.nouns import Lists
from kitplan.fleet.pool import Trialling
from kitplan.fleet.together import Together
from kitplan.solve.options import keep_quiet
from kitplan.solve.run import Budget, Clock, run
from tests.fleet.tinyfleet import (
    BAGS,
    BROAD,
    RIFFLE,
    are_accepted,
    find_goals,
    list_lists,
    list_ways,
    read_fleet,
    weigh_cheapest,
)
from tests.rules.tiny import KAYAK, RAFT

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.fleet.nouns import Fleet, Goal
    from kitplan.solve.run import Answer

pytestmark = pytest.mark.usefixtures("in_folder")
_, BAG = BAGS
AGAIN = replace(RIFFLE, head=(('name = "tiny"', 'name = "riffle again"'),))
"""The same trip once more: either bag does, and both trips use one kind of raft."""
KAYAKER = BROAD.people["Dee"]
KAYAKS = replace(
    BROAD, boats=dict.fromkeys(("Wren", "Teal"), KAYAK), people={"Dee": KAYAKER, "Eve": KAYAKER}
)
"""A trip that can do with the longer bag only, in kayaks."""
LONG = Lists({(RAFT, BAG): 1, (KAYAK, BAG): 1})


def begin_with(fleet: Fleet, trialling: Trialling, lists: Lists) -> tuple[dict[str, Goal], Lifting]:
    """Return goals, and lists for all trips that have been taken as they are."""
    goals = find_goals(trialling)
    lifting = Lifting(fleet, goals, trialling, Clock(600.0), 1.0)
    assert lifting._settle(lists)
    return goals, lifting


def weigh_cheapest_of_all(fleet: Fleet) -> int:
    """Return what the cheapest lists cost, by trying all."""
    ways = {name: list_ways(one.trip, 2) for name, one in fleet.outings.items()}
    return min(weigh_cheapest(fleet, ways, one) for one in list_lists(fleet, 1))


def test_what_no_trip_could_change_alone_is_changed_by_all() -> None:
    fleet = read_fleet(RIFFLE, AGAIN, KAYAKS)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals, lifting = begin_with(fleet, trialling, LONG)
        assert lifting.lists == LONG
        # With the other trip's longer bag held, a shorter one would be a copy more.
        for name in goals:
            others = {n: one.aboard for n, one in lifting.checks.items() if n != name}
            (check,) = trialling.refit([Asked(name, LONG)], others, goals)
            assert check.lists == LONG
        ((lists, checks),) = lifting._pack_together(keep_quiet)
        assert (RAFT, BAG) not in lists.issued
        assert are_accepted(trialling, goals, lists, checks)
    assert fleet.weigh(lists) == weigh_cheapest_of_all(fleet) < fleet.weigh(LONG)


def test_people_stay_where_they_are() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    dear = Lists({(kind, bag): 1 for kind in fleet.boats for bag in BAGS})
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals, lifting = begin_with(fleet, trialling, dear)
        decided = {name: check.decided for name, check in lifting.checks.items()}
        packing = Together(fleet, goals, Clock(600.0), 1)
        found = packing.pack(lifting.lists, decided, 1.0)
        assert found is not None
        lists, packed = found
        assert fleet.weigh(lists) < fleet.weigh(lifting.lists)
        for name, part in packing.prepare().result().parts.items():
            people = [one for one, _ in part.list_decisions(*PEOPLE)]
            assert people
            assert all(packed[name][one] == decided[name][one] for one in people)
        # Each trip keeps to its share of them with what is said to be packed.
        rows = [Asked(name, lists.of_trip(name), near=packed[name]) for name in goals]
        for one, check in zip(rows, trialling.check(rows, goals, NEARBY), strict=True):
            assert check.reached
            assert check.lists is not None
            assert fleet.weigh(check.lists) <= fleet.weigh(one.lists)
        assert packing.pack(lists, packed, 1.0) is None


def test_all_are_packed_anew_where_planning_one_by_one_is_stuck() -> None:
    fleet = read_fleet(RIFFLE, AGAIN, KAYAKS)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        _, lifting = begin_with(fleet, trialling, LONG)
        assert not list(lifting._refit(keep_quiet))
        *_, (lists, _) = lifting._improve(keep_quiet)
    assert fleet.weigh(lists) == weigh_cheapest_of_all(fleet)


def test_plans_that_do_not_keep_to_the_lists_are_no_start(monkeypatch: pytest.MonkeyPatch) -> None:
    runs: list[str] = []

    def run_noted(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
        answer = run(model, aim, budget)
        runs.append(answer.status)
        return answer

    fleet = read_fleet(RIFFLE, BROAD)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals, lifting = begin_with(fleet, trialling, LONG)
        decided = {name: check.decided for name, check in lifting.checks.items()}
        monkeypatch.setattr(together, "run", run_noted)
        assert Together(fleet, goals, Clock(600.0), 1).pack(Lists(), decided, 1.0) is None
    assert runs == ["infeasible"]


def test_a_trip_is_looked_at_near_what_is_said() -> None:
    fleet = read_fleet(RIFFLE)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        (goal,) = (goals := find_goals(trialling)).values()
        fm = FleetModel(fleet)
        part = fm.add(fleet.outings["riffle"], goal, goal.floors)
        seats = [(one, v) for one, v in part.list_decisions("seat") if goal.decided[one]]
        fm.model.add_bool_or(~v for _, v in seats)
        answer = run(fm.model, None, Budget(Clock(600.0), 1.0, 4.0))
        assert answer.found
        other = part.read_decided(answer)
        for near in (other, goal.decided):
            asked = Asked("riffle", Lists({(RAFT, BAG): 1}), near=near)
            (check,) = trialling.check([asked], goals, NEARBY)
            for one, _ in seats:
                assert check.decided[one] == near[one]


def test_a_model_without_all_trips_changes_nothing() -> None:
    fleet = read_fleet(RIFFLE, AGAIN, KAYAKS)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals, lifting = begin_with(fleet, trialling, LONG)
        decided = {name: check.decided for name, check in lifting.checks.items()}
        clock = Clock(600.0)
        packing = Together(fleet, goals, clock, 1)
        clock.stop()
        assert not packing.prepare().result().parts
        assert packing.pack(LONG, decided, 1.0) is None


def test_without_time_nothing_is_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    runs: list[str] = []

    def run_none(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
        answer = run(model, aim, budget)
        runs.append(answer.status)
        return answer if aim is None else replace(answer, status="unknown")

    fleet = read_fleet(RIFFLE, AGAIN, KAYAKS)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        _, lifting = begin_with(fleet, trialling, LONG)
        monkeypatch.setattr(together, "run", run_none)
        assert not list(lifting._pack_together(keep_quiet))
    assert len(runs) > 1
    assert lifting.lists == LONG
