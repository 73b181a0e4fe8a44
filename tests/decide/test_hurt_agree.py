"""Generated trips on which somebody is hurt: the second program accepts what is planned."""

from __future__ import annotations

import random
from collections import Counter

from kitplan.decide import Happened, begin_afresh, find_wrong
from kitplan.explain import plan_trip
from kitplan.solve import SolveOptions
from kitplan.verify import verify_plan
from tests.generator import SIZES, is_full_run, trips

TRIPS = 60 if is_full_run() else 10
OPTIONS = SolveOptions(time_limit_s=60.0, workers=1)


def test_plans_with_somebody_hurt_are_accepted() -> None:
    """Some of them can't be seated any more; the others are planned, and work without him."""
    came_to: Counter[str] = Counter()
    for draw in trips(SIZES["tiny"], TRIPS, 200):
        trip, rng = draw.trip, random.Random(draw.seed)
        plan = plan_trip(trip, OPTIONS).plan
        assert plan is not None
        day = rng.choice(trip.days)
        there = sorted({p for leg in trip.legs if leg.last_day >= day for p in leg.paddlers})
        happened = Happened(day, hurt=(rng.choice(there),))
        assert find_wrong(trip, plan.arrangement, happened) == []
        new = begin_afresh(trip, plan.arrangement, happened).trip
        outcome = plan_trip(new, OPTIONS)
        if outcome.plan is None:
            assert outcome.status == "infeasible"
            came_to["no seating"] += 1
            continue
        assert [finding.text() for finding in verify_plan(new, outcome.plan)] == [], draw.seed
        came_to["planned"] += 1
    assert came_to["planned"] > 0
