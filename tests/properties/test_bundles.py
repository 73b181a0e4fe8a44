"""Bundles on generated trips: the verifier accepts every plan, and a bag of one thing is the thing.

A loose thing that is not bulky, put alone in a bag that is not bulky either and may lie where the
thing may, changes none of the first aims; only backing counts loose things alone.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import SolveOptions, plan_trip
from tests.agree import compare
from tests.bundled import put_together
from tests.generator import SIZES, is_full_run, trips

if TYPE_CHECKING:
    from kitplan.trip import Trip

CHUNK = 10
CHUNKS = 10 if is_full_run() else 1
FIRST_AIMS = 3
TRIPS = 30 if is_full_run() else 6


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_verifier_and_solver_disagree_on_no_trip_with_bundles(chunk: int) -> None:
    tally = compare(SIZES["tiny"], CHUNK, seed=1 + chunk * CHUNK, bundles=True)
    assert tally.complaints == {}
    assert 0 < tally.met < tally.demands
    assert 0 < tally.covered < tally.cases


@pytest.mark.parametrize("seed", range(1, TRIPS + 1))
def test_a_small_bag_of_one_small_thing_is_the_thing(seed: int) -> None:
    loose = make_small(next(trips(SIZES["tiniest"], 1, seed)).trip)
    bagged = loose
    for name, kit in loose.kit.items():
        bagged = put_together(bagged, f"bag of {name}", {name: 1}, kit.item.carried, bulky=False)
    assert all(kit.item.contains for kit in bagged.kit.values())
    assert find_first_aims(bagged) == find_first_aims(loose)


def make_small(trip: Trip) -> Trip:
    """Return the trip with no bulky kit, and none that is dealt out to be worn."""
    kit = {}
    for name, row in trip.kit.items():
        carried = tuple(one for one in row.item.carried if one != "worn") or ("quick",)
        item = replace(row.item, carried=carried, bulky=False, worn_on=None)
        kit[name] = replace(row, item=item, take=0)
    items = trip.catalog.items | {name: row.item for name, row in kit.items()}
    return replace(trip, kit=kit, catalog=replace(trip.catalog, items=items))


def find_first_aims(trip: Trip) -> list[int]:
    outcome = plan_trip(trip, SolveOptions(workers=1))
    assert outcome.status == "proven"
    assert outcome.plan is not None
    return [aim.value for aim in outcome.plan.aims[:FIRST_AIMS]]
