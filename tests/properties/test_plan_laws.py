"""Laws that every plan keeps: order does not matter, more never hurts, equal input equal plan."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from kitplan.explain import Outcome, SolveOptions, plan_trip
from kitplan.trip import Trip
from tests.generator import SIZES, trips

SEEDS = tuple(range(40, 52))


@pytest.fixture(scope="module", params=SEEDS)
def trip(request: pytest.FixtureRequest) -> Iterator[Trip]:
    """Yield one generated trip of the smallest size."""
    yield from (draw.trip for draw in trips(SIZES["tiny"], 1, request.param))


def plan(trip: Trip) -> Outcome:
    """Return the plan of a trip, all aims proven."""
    outcome = plan_trip(trip, SolveOptions(workers=1))
    assert outcome.status == "proven"
    return outcome


def values(trip: Trip) -> tuple[int, ...]:
    """Return the aims of the best plan in their order.

    The last one need not get better with the others: boats below the fullest are made even before
    it, which may cost moves.
    """
    found = plan(trip).plan
    assert found is not None
    return tuple(aim.value for aim in found.aims)


def turn_round(trip: Trip) -> Trip:
    """Return the same trip written in the opposite order."""
    return replace(
        trip,
        boats=dict(reversed(trip.boats.items())),
        paddlers=dict(reversed(trip.paddlers.items())),
        kit=dict(reversed(trip.kit.items())),
        rapids=dict(reversed(trip.rapids.items())),
    )


def test_order_of_a_file_changes_no_value(trip: Trip) -> None:
    """Boats, paddlers, kit and rapids in reverse order give the same aims."""
    assert values(turn_round(trip)) == values(trip)


def test_more_kit_never_hurts(trip: Trip) -> None:
    """One more copy of everything: the aims, read in order, get no worse."""
    kit = {name: replace(row, count=row.count + 1) for name, row in trip.kit.items()}
    assert values(replace(trip, kit=kit))[:-1] <= values(trip)[:-1]


def test_more_skill_never_hurts(trip: Trip) -> None:
    """Everybody a level better at what he does: the aims, read in order, get no worse."""
    people = {
        name: replace(p, skills={s: min(4, level + 1) for s, level in p.skills.items()})
        for name, p in trip.paddlers.items()
    }
    assert values(replace(trip, paddlers=people))[:-1] <= values(trip)[:-1]


def test_a_restriction_dropped_never_hurts(trip: Trip) -> None:
    """Nobody tied, kept together or apart: the aims, read in order, get no worse."""
    people = {name: replace(p, boat=None) for name, p in trip.paddlers.items()}
    assert values(replace(trip, paddlers=people, companies=()))[:-1] <= values(trip)[:-1]


def test_equal_input_gives_an_equal_plan(trip: Trip) -> None:
    """Solved twice, every seat, thing and station is the same."""
    assert plan(trip).plan == plan(trip).plan
