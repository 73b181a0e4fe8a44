"""Brute force finds the same aims, backing included, on the tiniest trips.

The outside of this check: every seating, packing and station tried, judged by the aims in words.
"""

import pytest

from kitplan.explain import plan_trip
from kitplan.needs import derive_needs
from kitplan.solve import SolveOptions
from tests.generator import SIZES, draw_trip, is_full_run, trips
from tests.twin.brute import AIMS, search
from tests.twin.plain import solve_plain

# Chosen so that a builder differs on some of them if it leaves out, in backing, the spare person,
# thing, boat or pair of hands (49), or counts crew paddles there; vests and Hall's larger sets too.
# Of swimmers: bags and a spare (37), free seats and both ways (39), throwers (73), a boat lost
# (77); few in the running boat (115).
# Brute force takes two minutes for 133.
FEW = (2, 6, 11, 19, 25, 37, 39, 41, 73, 77, 91, 97, 107, 115, 147)
FULL = tuple(sorted({*FEW, 49, 133, *range(1, 31)}))
SEEDS = FULL if is_full_run() else FEW


def _kind(seed: int) -> str:
    return "drawn" if seed % 2 else "shipped"


@pytest.mark.parametrize("seed", SEEDS)
def test_brute_force_and_the_twin_find_the_solver_s_aims(seed: int) -> None:
    trip = draw_trip(seed, SIZES["tiniest"], techniques=_kind(seed)).trip
    needs = derive_needs(trip)
    best = search(trip, needs)
    assert best is not None
    tried = dict(zip(AIMS, best.values, strict=True))
    outcome = plan_trip(trip, SolveOptions(time_limit_s=120.0, workers=1, aims=AIMS))
    assert outcome.status == "proven"
    assert outcome.plan is not None
    assert {result.name: result.value for result in outcome.plan.aims} == tried
    plain = solve_plain(trip, needs)
    cover = AIMS[:3]
    assert {aim: plain[aim].value for aim in cover} == {aim: tried[aim] for aim in cover}


def test_the_tiniest_trips_are_worth_the_comparison() -> None:
    some_covered, some_backed, some_not_backed = 0, 0, 0
    for draw in trips(SIZES["tiniest"], 50, seed=1):
        options = SolveOptions(time_limit_s=120.0, workers=1, aims=AIMS)
        outcome = plan_trip(draw.trip, options)
        assert outcome.plan is not None
        totals = outcome.plan.totals
        covered = totals.cases - totals.none
        some_covered += covered > 0
        some_backed += totals.backed > 0
        some_not_backed += totals.backed < covered
    assert some_covered >= 20
    assert some_backed >= 5
    assert some_not_backed >= 10
