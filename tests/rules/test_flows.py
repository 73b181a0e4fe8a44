"""One packing for all flows: tiny optima by hand, and never better than each flow alone."""

import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.demands import Needs
from kitplan.explain import SolveOptions, plan_trip
from kitplan.explain.gaps import find_cover
from kitplan.explain.make import count_aims, find_backed
from kitplan.explain.scene import Party
from kitplan.explain.teams import choose_witnesses
from kitplan.explain.witness import Prover
from kitplan.load import load_trip
from kitplan.needs import derive_needs
from kitplan.plan import Arrangement, Plan
from kitplan.planfile import count_by_flow
from kitplan.rules import AIMS
from kitplan.trip import ALL_FLOWS, AS_WRITTEN, FLOWS, Rapid, Trip
from tests.generator import SIZES, is_full_run, trips
from tests.inputs.texts import CATALOG, spoil, write
from tests.rules.solved import solve
from tests.rules.tiny import BASE, BOTH, RIVER, THREE, Tiny, odd_raft

SEEDS = range(300, 340 if is_full_run() else 308)

# One bulky thing a boat. At high water the river pins boats instead, and a paddle gets them off.
LEVER = """
[[technique]]
name = "lever"
summary = "A paddle for a lever."
source = "made up for tests"
banks = "one"
serves = [{ scenario = "pinned boat", tier = 0 }]
ready_in = ["10 s", "30 s"]
items = [{ kind = "paddle" }]
"""
NARROW = Tiny(
    boats=dict.fromkeys(("Heron", "Teal"), "odd raft"),
    people=dict.fromkeys(("Ana", "Bo"), BOTH),
    kit={"throw bag 20 m": "count = 2", "raft paddle": "count = 2"},
    more='high = { scenarios = ["pinned boat"] }\n',
    types=odd_raft(bulky=1) + LEVER,
)


def value(plan: Plan, aim: str) -> int:
    """Return the value of one aim."""
    return next(one.value for one in plan.aims if one.name == aim)


def read(folder: Path, tiny: Tiny, flow: str) -> Trip:
    """Return a tiny trip as the loader reads it for a flow."""
    catalog = spoil(CATALOG, *tiny.catalog) + tiny.types
    trip, findings = load_trip(write(folder, tiny.text(), catalog), flow)
    assert trip is not None, [one.text() for one in findings]
    return trip


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


# --- by hand --------------------------------------------------------------------------------------


@pytest.mark.parametrize("flow", FLOWS)
def test_each_flow_alone_is_covered(folder: Path, flow: str) -> None:
    """A bag in both boats at low and medium water, a paddle in both at high: nothing is open."""
    assert value(solve(read(folder, NARROW, flow)), "uncovered") == 0


def test_one_packing_for_all_flows_gives_way_where_it_costs_least(folder: Path) -> None:
    """Two bulky places; a bag covers a case at low and one at medium, a paddle one at high water.

    Class II: a swimmer weighs 4 x 2, a pinned boat 4 x 1. Two bags leave 2 x 4 open, a bag and a
    paddle 2 x 8 + 4, two paddles 4 x 8.
    """
    trip = read(folder, NARROW, ALL_FLOWS)
    plan = solve(trip)
    assert value(plan, "uncovered") == 8
    assert {row.item for row in plan.arrangement.packed} == {"throw bag 20 m"}
    counts = count_by_flow(trip, derive_needs(trip), plan)
    assert counts == {"low": (2, 2), "medium": (2, 2), "high": (0, 2)}


def test_one_flow_is_not_counted_by_flow(folder: Path) -> None:
    trip = read(folder, NARROW, "high")
    assert count_by_flow(trip, derive_needs(trip), solve(trip)) == {}


def test_stations_may_differ_between_flows(folder: Path) -> None:
    """The bank that can be used changes with the water; seats and bags do not.

    Two throwers in two boats: at each flow both cases are covered from the one bank there is.
    """
    banks = "high = { left = { landing = 0 }, right = { landing = 3, path = true } }\n"
    tiny = Tiny(people=dict.fromkeys(("Ana", "Bo"), BOTH), more=banks)
    plan = solve(read(folder, tiny, ALL_FLOWS))
    assert value(plan, "uncovered") == 0
    stations = plan.arrangement.stations
    for flow, bank in (("low", "left"), ("high", "right")):
        assert {at for key, at in stations.items() if key[0] == f"Riffle at {flow} water"} == {bank}


def test_each_group_manages_alone(folder: Path) -> None:
    """Three boats with a thrower and a bag each: Heron and Teal help each other, Coot nobody.

    Class II swimmer: 4 x 2 for the boat that passes by itself; all three together leave none.
    """
    assert value(solve(read(folder, THREE, AS_WRITTEN)), "uncovered") == 0
    apart = replace(THREE, more='groups = [["Heron", "Teal"], ["Coot"]]\n')
    plan = solve(read(folder, apart, AS_WRITTEN))
    assert value(plan, "uncovered") == 8
    assert [(gap.rapid, gap.running) for gap in plan.gaps] == [("Riffle with Coot", ("Coot",))]
    two = replace(THREE, more='groups = [["Heron", "Teal"]]\n')
    assert value(solve(read(folder, two, AS_WRITTEN)), "uncovered") == 0


def test_a_portaged_rapid_asks_for_no_steerer(folder: Path) -> None:
    """Class VI asks for oar raft 4, which nobody has; carried round it asks for nothing.

    Nor for landings: there are none.
    """
    run_it = spoil(RIVER, ("Riffle", "Falls"), ('"II"', '"VI"'), ("landing = 3", "landing = 0"))
    carry_it = spoil(run_it, ("day = 1", 'day = 1\nrun = "portage"'))
    carried = read(folder, replace(BASE, more=carry_it), AS_WRITTEN)
    without = read(folder, BASE, AS_WRITTEN)
    assert [one.value for one in solve(carried).aims] == [one.value for one in solve(without).aims]
    run = read(folder, replace(BASE, more=run_it), AS_WRITTEN)
    assert plan_trip(run, SolveOptions(workers=1)).plan is None


# --- on generated trips ---------------------------------------------------------------------------


def give_flows(trip: Trip, rng: random.Random) -> Trip:
    """Return the trip with two of three rapids as three passages, each with another water."""
    rapids: dict[str, Rapid] = {}
    for name, rapid in trip.rapids.items():
        if rng.random() < 1 / 3:
            rapids[name] = replace(rapid, place=name)
            continue
        for flow in FLOWS:
            passage = rapid if flow == AS_WRITTEN else change_water(rapid, rng)
            full = f"{name} at {flow} water"
            rapids[full] = replace(passage, name=full, place=name, flow=flow)
    return replace(trip, rapids=rapids, flow=ALL_FLOWS)


def change_water(rapid: Rapid, rng: random.Random) -> Rapid:
    """Return a rapid with other landings, eddies, depths, currents, scenarios, or portaged.

    It is never harder than it was, so that those who can steer it still can.
    """
    if rng.random() < 0.1:
        return replace(rapid, run="portage", spots=())
    spots = tuple(
        replace(
            spot,
            depth_mm=rng.choice((300, 900, 1500)),
            current_mm_s=rng.choice((600, 1500, 2500)),
            scenarios=tuple(s for s in spot.scenarios if rng.random() < 0.8) or spot.scenarios[:1],
        )
        for spot in rapid.spots
    )
    return replace(
        rapid,
        spots=spots,
        river_class=rng.randint(1, rapid.river_class),
        eddies=rng.randint(0, 3),
        safety=rng.choice((rapid.safety, "set")),
        left=replace(rapid.left, landing=rng.randint(0, 3)),
        right=replace(rapid.right, landing=rng.randint(0, 3)),
    )


def take_flow(trip: Trip, flow: str) -> Trip:
    """Return the trip at one flow alone: its own passages, and those the same at all."""
    rapids = {name: one for name, one in trip.rapids.items() if one.flow in {flow, ""}}
    return replace(trip, rapids=rapids, flow=flow)


def take_arrangement(plan: Plan, trip: Trip) -> Arrangement:
    """Return a plan's arrangement with the stations of the trip's rapids only."""
    arrangement = plan.arrangement
    kept = {key: at for key, at in arrangement.stations.items() if key[0] in trip.rapids}
    return replace(arrangement, stations=kept)


def count(trip: Trip, needs: Needs, arrangement: Arrangement) -> list[int]:
    """Return the aims of an arrangement in their order, each counted anew."""
    prover = Prover(Party(trip, arrangement), needs)
    results = choose_witnesses(prover, needs)
    found = (results, find_cover(needs, results), find_backed(prover, needs, results))
    counted = count_aims(trip, needs, arrangement, found)
    return [counted[aim.name] for aim in AIMS if aim.name in counted]


@pytest.fixture(scope="module", params=SEEDS)
def flowing(request: pytest.FixtureRequest) -> Iterator[Trip]:
    """Yield a generated trip with flows that somebody can be seated for."""
    seed: int = request.param
    for draw in trips(SIZES["tiny"], 1, seed):
        yield give_flows(draw.trip, random.Random(f"{seed} flows"))


def test_all_flows_are_never_better_than_each_alone(flowing: Trip) -> None:
    """What one packing gives at a flow can't beat the best packing for that flow."""
    plan = solve(flowing)
    whole = [0, 0, 0]
    for flow in FLOWS:
        alone = take_flow(flowing, flow)
        needs = derive_needs(alone)
        reached = count(alone, needs, take_arrangement(plan, alone))
        best = [aim.value for aim in solve(alone).aims]
        assert reached >= best
        fixed = take_flow(flowing, "")
        steady = count(fixed, derive_needs(fixed), take_arrangement(plan, fixed))
        whole = [w + r - s for w, r, s in zip(whole, reached[:3], steady[:3], strict=True)]
    # Cases covered and demands met belong to one passage each, so they add up.
    whole = [w + s for w, s in zip(whole, steady[:3], strict=True)]
    assert whole == [aim.value for aim in plan.aims][:3]
