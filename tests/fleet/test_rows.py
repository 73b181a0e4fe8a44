"""A trip on which somebody has to row twice has a standard kit too, rowing as little as it can."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.fleet import goals as finding
from kitplan.fleet.checks import LACKING, NEARBY, OPEN, Asked
from kitplan.fleet.model import FleetModel
from kitplan.fleet.nouns import Lists
from kitplan.fleet.packing import Aboard, share
from kitplan.fleet.pool import Trialling
from kitplan.fleet.proof import Rejected
from kitplan.fleet.standard import NoSeatingError
from kitplan.report.standard import render_standard
from kitplan.solve.near import count_rowing
from kitplan.solve.run import Budget, Clock, run
from kitplan.verify import verify_plan
from tests.fleet.tinyfleet import (
    BAGS,
    PRICES,
    RIFFLE,
    WALK,
    count_extras,
    find,
    find_goals,
    find_on_demand,
    list_lists,
    list_ways,
    list_ways_rowing,
    read_fleet,
    share_plans,
    weigh_anywhere,
    weigh_cheapest,
)
from tests.rules.test_first_aim import LINE, NONE, rule, spread
from tests.rules.tiny import BAG_20, BOTH, RAFT, STEERS, THROWS, odd_raft
from tests.rules.tiny import WAIST as AT_WAIST

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.fleet.model import Part
    from kitplan.fleet.nouns import Fleet
    from kitplan.solve.run import Answer, Status
    from tests.fleet.tinyfleet import Way
    from tests.rules.tiny import Tiny

pytestmark = pytest.mark.usefixtures("in_folder")
COPIES = 2
WEAK = '"oar raft" = 2'


def wear(tiny: Tiny, **people: str) -> Tiny:
    """Return a trip with some people, and the bag of 15 m nowhere but at the waist."""
    return replace(tiny, people=people or tiny.people, catalog=(*tiny.catalog, AT_WAIST))


def tie(tiny: Tiny, boat: str, *people: str) -> Tiny:
    """Return a trip with some people tied to a boat."""
    return replace(tiny, own=dict.fromkeys(people, f'boat = "{boat}"'))


LONE = wear(WALK, Ana=f"{BOTH}, leading = 4", Bo=WEAK, Cy=THROWS)
PAIR = wear(WALK, Ana=f"{BOTH}, leading = 4", Bo=WEAK, Cy=f"{THROWS}, leading = 4")
FLEETS = {
    "quick": (RIFFLE, WALK, 2),
    # Bo's set does, beside those that the other trip needs anyway.
    "worn": (wear(RIFFLE), wear(WALK), 2),
    # Who rows twice is the only guide: a set would be cheaper than extras, and nobody wears it.
    "only guide": (wear(RIFFLE), LONE, 3),
    "only guide, beside him": (wear(RIFFLE), tie(LONE, "Heron", "Ana", "Cy"), 3),
    "two guides": (wear(RIFFLE), PAIR, 3),
    "two guides, side by side": (wear(RIFFLE), tie(PAIR, "Heron", "Ana", "Cy"), 3),
}


@pytest.fixture(params=FLEETS)
def fleet(request: pytest.FixtureRequest) -> Fleet:
    riffle, walk, rafts = FLEETS[request.param]
    return read_fleet(riffle, walk, boats={RAFT: rafts})


def list_all_ways(fleet: Fleet) -> dict[str, list[Way]]:
    minutes, ways = list_ways_rowing(fleet.outings["walk"].trip, COPIES)
    assert minutes > 0
    return {"riffle": list_ways(fleet.outings["riffle"].trip, COPIES), "walk": ways}


def test_no_list_is_cheaper_and_every_cheaper_one_fails(fleet: Fleet) -> None:
    found = find(fleet)
    ways = list_all_ways(fleet)
    costs = [weigh_cheapest(fleet, ways, lists) for lists in list_lists(fleet, 2)]
    assert found.cost == found.bound == min(costs) > 0
    assert found.canonical
    assert found.missed == ()
    assert all(row.rapid == "Riffle" for one in found.needed for row in one.suffers)


def test_the_plan_is_accepted_and_rows_no_more_than_a_plan_of_the_trip_alone(fleet: Fleet) -> None:
    outcome = find(fleet).outcomes["walk"]
    assert outcome.kit is not None
    assert outcome.plan is not None
    assert verify_plan(outcome.kit, outcome.plan) == []
    rowed = count_rowing(outcome.kit, outcome.plan.arrangement)
    alone = plan_trip(outcome.kit, SolveOptions(workers=1))
    assert alone.plan is not None
    assert rowed == outcome.goal.rowing == count_rowing(outcome.kit, alone.plan.arrangement)
    assert {aim.name: aim.value for aim in outcome.plan.aims[:2]} == {
        aim.name: aim.value for aim in alone.plan.aims[:2]
    }


def test_the_sheet_says_on_which_trip_somebody_rows_twice(fleet: Fleet) -> None:
    found = find(fleet)
    minutes = found.outcomes["walk"].goal.rowing
    text = " ".join(render_standard(found, "text").split())
    assert f"in every boat on walk ({minutes} min of walking back up): there somebody rows" in text


def test_nobody_rows_twice_on_the_other_trip(fleet: Fleet) -> None:
    outcome = find(fleet).outcomes["riffle"]
    assert outcome.goal.rowing is None
    assert outcome.plan is not None
    assert outcome.plan.arrangement.twice == {}


def test_trips_and_rapids_on_demand_come_to_the_same(
    fleet: Fleet, monkeypatch: pytest.MonkeyPatch
) -> None:
    find_on_demand(fleet, monkeypatch)


def list_asked(fleet: Fleet) -> Iterator[tuple[Lists, int]]:
    """Yield lists of things that are issued, and what extras the trip lacks, in cents."""
    ways = list_all_ways(fleet)["walk"]
    for lists in list_lists(fleet, 1):
        # What another bag always does for is not issued.
        if {i for _, i in (*lists.issued, *lists.worn)} <= set(fleet.wares):
            extras = (count_extras(way, lists).items() for way in ways)
            yield lists, min(sum(n * PRICES[i] for i, n in one) for one in extras)


def test_every_list_is_told_as_trying_all_ways_tells_it(fleet: Fleet) -> None:
    told = set()
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        assert goals["walk"].floors == {"Riffle": goals["walk"].best}
        for lists, lacks in list_asked(fleet):
            (check,) = trialling.check([Asked("walk", lists)], goals, OPEN)
            assert check.reached == (lacks == 0)
            assert check.arrangement is not None
            assert check.lists is not None
            (outcome,) = trialling.prove([("walk", goals["walk"], check.lists, check.arrangement)])
            assert not isinstance(outcome, Rejected)
            told.add(check.reached)
    assert told == {True, False}


def test_what_is_needed_anywhere_is_never_more_than_what_is_needed(fleet: Fleet) -> None:
    asked_for = 0
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        for lists, lacks in list_asked(fleet):
            anywhere = weigh_anywhere(fleet, "walk", goals["walk"], lists)
            assert anywhere <= fleet.factor * lacks
            (check,) = trialling.check([Asked("walk", lists)], goals, LACKING)
            assert check.lists is not None
            assert sum(n * PRICES[i] for (_, i), n in check.lists.extras.items()) == lacks
            assert check.reached == (lacks == 0)
            asked_for += anywhere > 0
    assert asked_for > 0


def test_what_plans_have_in_common_becomes_lists_that_they_keep_to(fleet: Fleet) -> None:
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals, _, lists, checks = share_plans(fleet, trialling)
        for name, check in checks.items():
            assert check.lists is not None
            assert fleet.weigh(check.lists) <= fleet.weigh(lists.of_trip(name))
        rows = [
            (name, goals[name], lists.of_trip(name), check.arrangement)
            for name, check in checks.items()
            if check.arrangement is not None
        ]
        assert len(rows) == len(goals)
        assert not any(isinstance(one, Rejected) for one in trialling.prove(rows))


def test_more_is_not_rowed_twice_than_need_be() -> None:
    # With Ana and Eve in one boat two could be rowed for their steerers.
    three = replace(
        WALK,
        boats=dict.fromkeys(("Heron", "Teal", "Wren"), RAFT),
        people={"Ana": STEERS, "Eve": STEERS, "Bo": f"{WEAK}, {THROWS}", "Cy": f"{WEAK}, {THROWS}"},
    )
    fleet = read_fleet(RIFFLE, three)
    outing = fleet.outings["walk"]
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goal = find_goals(trialling)["walk"]
    assert goal.rowing is not None
    free, held = (FleetModel(fleet) for _ in range(2))
    parts = (free.add(outing, None, goal.floors, rowing=99), held.add(outing, goal, goal.floors))
    most, least = (find_most(part) for part in parts)
    assert most == 2 * goal.rowing == 2 * least
    alone = plan_trip(outing.stocked, SolveOptions(workers=1)).plan
    assert alone is not None
    assert goal.rowing == count_rowing(outing.trip, alone.arrangement)
    assert goal.best == tuple(aim.value for aim in alone.aims[:2])


def find_most(part: Part) -> int:
    """Return the most minutes that people may walk back up in a model."""
    rowing = part.tm.rules.rowing()
    return run(part.model, -1 * rowing, Budget(Clock(600.0), 1.0, 40.0)).evaluate(rowing)


def test_rules_are_kept_as_well_as_they_can_be_with_the_fewest_minutes() -> None:
    # Whichever boat is lost, a line is left: one in each.
    left = replace(WALK, more=spread("boat") + rule("house", LINE, NONE))
    fleet = read_fleet(RIFFLE, left)
    outcome = find(fleet).outcomes["walk"]
    assert outcome.kit is not None
    alone = plan_trip(outcome.kit, SolveOptions(workers=1)).plan
    assert alone is not None
    assert outcome.goal.rowing == count_rowing(outcome.kit, alone.arrangement)
    short = {aim.name.removeprefix("short_of_"): aim.value for aim in alone.aims[:2]}
    assert outcome.goal.short == short
    assert sum(short.values()) > 0
    assert not outcome.misses


def test_where_it_can_not_be_rowed_twice_either_no_goal_is_found() -> None:
    alone = replace(WALK, river=(*WALK.river, ("path = true", "path = false")))
    fleet = read_fleet(RIFFLE, alone)
    with pytest.raises(NoSeatingError) as said:
        find(fleet)
    assert said.value.names == ["walk"]


def test_a_list_has_room_beside_who_rows_as_well() -> None:
    # Three people of 78 kg; a bag of 550 g is too much for the raft when Ana takes it down.
    tight = replace(
        tie(WALK, "Teal", "Bo", "Cy"),
        boats={"Heron": RAFT, "Teal": "odd raft"},
        types=odd_raft(payload="234.3 kg"),
    )
    fleet = read_fleet(RIFFLE, tight)
    issued = Lists({("odd raft", BAGS[0]): 1})
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        asked = [Asked("walk", lists) for lists in (Lists(), issued)]
        assert [one.reached for one in trialling.check(asked, goals, OPEN)] == [True, False]


def test_what_stays_at_home_takes_no_room_of_who_rows_twice() -> None:
    # Cy alone throws so far, with the longer bag: no place for it at his waist beside his set.
    wide = replace(
        tie(PAIR, "Heron", "Ana", "Cy"),
        people={**PAIR.people, "Cy": f"{WEAK}, throwing = 4, leading = 4"},
        river=(*WALK.river, ('width = "12 m"', 'width = "20 m"')),
        catalog=(*PAIR.catalog, (BAG_20, BAG_20.replace("quick", "worn") + '\nworn_on = "waist"')),
    )
    fleet = read_fleet(replace(wear(RIFFLE), catalog=wide.catalog), wide)
    asked = [Asked("walk", lists) for lists in (Lists(), Lists({}, {(4, BAGS[0]): 1}))]
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        without, beside = trialling.check(asked, find_goals(trialling), OPEN)
    assert without.lists == Lists(extras={("walk", BAGS[1]): 1})
    assert (beside.reached, beside.lists) == (False, None)


def test_what_a_plan_leaves_is_beside_who_rows_as_well() -> None:
    fleet = read_fleet(wear(RIFFLE), tie(PAIR, "Heron", "Ana", "Cy"))
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        (check,) = trialling.check([Asked("walk", Lists())], goals, NEARBY)
    heron, teal = check.aboard
    # Ana's place at the waist is lost, Cy's taken; Bo has Ana beside him in Teal.
    assert (heron.guides, heron.idle, heron.left["waist"]) == ((4,), (4,), 0)
    assert (teal.guides, teal.idle, teal.left["waist"]) == ((), (), 1)
    payload_g = fleet.types[RAFT].payload_g
    bag_g = fleet.wares[BAGS[0]].item.mass_g
    assert heron.left["mass"] == teal.left["mass"] - bag_g == payload_g - 2 * 78_000 - bag_g


@pytest.mark.parametrize(("left_g", "cost"), [(9_000, 100), (100, 150)])
def test_the_set_of_who_rows_twice_is_carried_all_the_same(left_g: int, cost: int) -> None:
    fleet = replace(read_fleet(wear(RIFFLE), PAIR), guides={3: 2, 4: 1})
    bag, full = BAGS[0], {"mass": 9_000, "vest": 0, "waist": 0}
    boats = (
        Aboard(RAFT, 0, (4,), {(bag, "worn"): 1}, full),
        Aboard(RAFT, 0, (), {(bag, "worn"): 0}, {**full, "mass": left_g}, (4,)),
    )
    lists = share(fleet, {"walk": boats}, Budget(Clock(600.0), 1.0, 4.0))
    assert lists is not None
    assert fleet.weigh(lists) == cost * PRICES[bag]


@pytest.mark.parametrize(("proven", "told"), [("proven", "feasible"), ("infeasible", "unknown")])
def test_fewest_minutes_that_are_not_proven_are_no_goal(
    proven: Status, told: Status, monkeypatch: pytest.MonkeyPatch
) -> None:
    def run_shortly(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
        answer = run(model, aim, budget)
        return replace(answer, status=told) if answer.status == proven else answer

    fleet = read_fleet(RIFFLE, WALK)
    monkeypatch.setattr(finding, "run", run_shortly)
    limits = finding.Limits(Clock(600.0))
    assert finding.find_goal(fleet.outings["walk"], limits) is None
