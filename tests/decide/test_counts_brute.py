"""Who and what counts, against brute force: each person and item taken away, all stations tried."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide.counts import FIRST, Counted, count_first, count_most
from kitplan.explain import plan_trip
from kitplan.needs import derive_needs
from kitplan.solve import SolveOptions
from kitplan.solve.run import Clock
from kitplan.trip import HELD, RESET
from tests.decide.counted import NOTHING, Losses
from tests.generator import SIZES, is_full_run, trips

if TYPE_CHECKING:
    from kitplan.trip import Trip

TRIPS = 60 if is_full_run() else 4
OPTIONS = SolveOptions(time_limit_s=60.0, workers=1)


@pytest.mark.parametrize("stations", [HELD, RESET])
def test_every_rise_is_the_least_there_is(stations: str) -> None:
    came_to: Counter[str] = Counter()
    for draw in trips(SIZES["tiny"], TRIPS, 300):
        trip = replace(draw.trip, stations=stations)
        plan = plan_trip(trip, OPTIONS).plan
        assert plan is not None
        needs = derive_needs(trip)
        counted = count_most(trip, needs, plan.arrangement, Clock(600.0), lambda _: None)
        assert counted.complete
        first = count_first(trip, needs, plan.arrangement, Clock(600.0), lambda _: None)
        _check_first(trip, first, counted)
        brute = Losses(trip, plan.arrangement)
        assert {row.paddler: row.rise for row in counted.rows if not row.item} == {
            name: brute.hurt(name) for name in trip.paddlers
        }, draw.seed
        dealt = {row.item for row in plan.arrangement.packed}
        own = {item for one in trip.paddlers.values() for item in one.wears}
        costs = {item: brute.item(item) for item in sorted(dealt | own)}
        assert {row.item: row.rise for row in counted.rows if row.item} == {
            item: cost for item, cost in costs.items() if cost > NOTHING
        }, draw.seed
        for row in counted.rows:
            _check_cases(row.rise, row.uncovered, row.one_bank)
            came_to["item" if row.item else "paddler"] += row.rise > NOTHING
    assert min(came_to["item"], came_to["paddler"]) > TRIPS // 2


def _check_first(trip: Trip, first: Counted, counted: Counted) -> None:
    """Assert that the first are those of all, without guests and who costs nothing."""
    told = [
        row
        for row in counted.rows
        if row.rise > NOTHING and (row.item or not trip.paddlers[row.paddler].guest)
    ]
    alike = list(dict.fromkeys(row.alike for row in told))[:FIRST]
    assert first.complete
    assert first.rows == tuple(row for row in told if row.alike in alike)


def _check_cases(rise: tuple[int, int], uncovered: int, one_bank: int) -> None:
    """Something costs cover exactly if cases are told that it costs."""
    assert (uncovered > 0) >= (rise[0] > 0)
    assert (uncovered + one_bank > 0) == (rise > NOTHING)
