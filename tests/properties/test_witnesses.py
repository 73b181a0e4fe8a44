"""Which witness is told never decides what is met, and does not depend on the order of anything."""

from dataclasses import replace

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.explain.scene import Party
from kitplan.explain.teams import choose_witnesses
from kitplan.explain.witness import Prover
from kitplan.needs import derive_needs
from kitplan.plan import PersonPart
from tests.generator import SIZES, draw_trip
from tests.golden.stored import NAMES, load_demo, read_stored

SEEDS = range(5001, 5025)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_met_is_what_is_met_without_preference(seed: int) -> None:
    trip = draw_trip(seed, SIZES["tiny"], techniques="drawn" if seed % 2 else "shipped").trip
    needs = derive_needs(trip)
    plan = plan_trip(trip, SolveOptions(workers=1, aims=())).plan
    assert plan is not None
    prover = Prover(Party(trip, plan.arrangement), needs)
    told = choose_witnesses(prover, needs)
    for key in needs.demands:
        bare = Prover(Party(trip, plan.arrangement), needs).prove(key)
        assert told[key].met == bare.met
        assert told[key].missing == bare.missing
        assert bool(told[key].witness) == bare.met


@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_demands_changes_no_witness(name: str) -> None:
    trip, plan = load_demo(name), read_stored(name)
    assert plan is not None
    needs = derive_needs(trip)
    turned = replace(needs, demands=dict(reversed(needs.demands.items())))
    party = Party(trip, plan.arrangement)
    first = choose_witnesses(Prover(party, needs), needs)
    second = choose_witnesses(Prover(party, turned), turned)
    assert first == second
    assert tuple(first[result.key] for result in plan.demands) == plan.demands


def test_most_boats_are_served_by_one_team() -> None:
    """On the six-day demo a demand's people are the same for most of the boats it is met for."""
    plan = read_stored("six-days")
    assert plan is not None
    teams: dict[object, list[frozenset[tuple[str, str]]]] = {}
    for result in plan.demands:
        people = [p for p in result.witness if isinstance(p, PersonPart)]
        if result.met and people:
            team = frozenset((part.role, part.paddler) for part in people)
            teams.setdefault(result.key.choice, []).append(team)
    several = [rows for rows in teams.values() if len(rows) >= 3]
    alike = [max(rows.count(team) for team in rows) for rows in several]
    assert sum(alike) * 2 > sum(len(rows) for rows in several)
