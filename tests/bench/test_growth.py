"""Growth is measured on nested trips, and its slopes are those of a power law."""

from __future__ import annotations

import pytest

from tests.bench.grown import MEASURES, measure
from tests.bench.growth import find_slope
from tests.bench.points import BASE, Large, Numbers, draw_large, take_part
from tests.twin.plain import is_seatable

LARGEST = Numbers(rapids=5, people=12, boats=5, copies=1)
SMALL = Numbers(rapids=2, people=7, boats=3, copies=1)


@pytest.fixture(scope="module", name="large")
def draw() -> Large:
    return draw_large(2, LARGEST, (SMALL,))


def test_a_smaller_trip_is_a_part_of_a_larger_one(large: Large) -> None:
    small = take_part(large.trip, SMALL)
    more = take_part(large.trip, SMALL._replace(rapids=4))
    assert (len(small.rapids), len(more.rapids)) == (2, 4)
    assert list(more.rapids.items())[:2] == list(small.rapids.items())
    assert (more.boats, more.paddlers, more.kit) == (small.boats, small.paddlers, small.kit)
    wider = take_part(large.trip, SMALL._replace(boats=4))
    assert wider.boats.items() > small.boats.items()
    assert (list(wider.rapids), wider.paddlers) == (list(small.rapids), small.paddlers)
    fuller = take_part(large.trip, SMALL._replace(people=9))
    assert list(fuller.paddlers.items())[:7] == list(small.paddlers.items())
    doubled = take_part(large.trip, SMALL._replace(copies=2))
    assert [row.count for row in doubled.kit.values()] == [
        2 * row.count for row in small.kit.values()
    ]


def test_a_part_has_a_seating_and_nobody_from_outside(large: Large) -> None:
    small = take_part(large.trip, SMALL)
    assert is_seatable(small)
    (leg,) = small.legs
    assert (set(leg.boats), set(leg.paddlers)) == (set(small.boats), set(small.paddlers))
    assert all(set(rapid.boats) == set(small.boats) for rapid in small.rapids.values())
    assert {p for company in small.companies for p in company.paddlers} <= set(small.paddlers)
    captains = list(large.trip.paddlers)[: BASE["boats"]]
    assert list(small.paddlers)[: BASE["boats"]] == captains


def test_all_measures_are_taken(large: Large) -> None:
    values = measure(take_part(large.trip, SMALL))
    assert tuple(values) == MEASURES
    assert all(value > 0 for value in values.values())


@pytest.mark.parametrize("power", [1, 2])
def test_slope_is_the_power(power: int) -> None:
    points = [(size, 3.0 * size**power) for size in (20, 50, 100)]
    assert find_slope(points) == pytest.approx(power)


def test_one_point_has_no_slope() -> None:
    assert find_slope([(20, 1.0)]) is None
