"""The generator of trips: the same seed gives the same trip, and every trip can be seated."""

import pytest

from kitplan.needs import derive_needs
from tests.generator import SIZES, generate_trip, trips
from tests.twin.plain import is_seatable


@pytest.mark.parametrize("kind", ["shipped", "drawn"])
def test_a_seed_gives_one_trip(kind: str) -> None:
    first = generate_trip(5, SIZES["tiny"], techniques=kind)
    assert generate_trip(5, SIZES["tiny"], techniques=kind) == first
    assert generate_trip(6, SIZES["tiny"], techniques=kind) != first


@pytest.mark.parametrize(
    ("name", "boats", "people", "rapids"),
    [("XS", 4, 10, 8), ("S", 6, 16, 20), ("M", 8, 24, 40), ("L", 16, 48, 100)],
)
def test_a_size_is_kept(name: str, boats: int, people: int, rapids: int) -> None:
    trip = generate_trip(1, SIZES[name])
    assert (len(trip.boats), len(trip.paddlers), len(trip.rapids)) == (boats, people, rapids)
    assert is_seatable(trip)


def test_more_kit_by_its_factor() -> None:
    some, many = (
        sum(kit.count for kit in generate_trip(1, SIZES["S"], kit_factor=factor).kit.values())
        for factor in (0.5, 2.0)
    )
    assert many > 2 * some


def test_draws_without_a_seating_are_rejected_and_counted() -> None:
    draws = list(trips(SIZES["tiny"], 30, seed=1))
    assert sum(draw.rejected for draw in draws) > 0
    for draw in draws:
        assert is_seatable(draw.trip)
        assert derive_needs(draw.trip).demands


def test_values_stay_within_what_is_said() -> None:
    for draw in trips(SIZES["XS"], 4, seed=1, techniques="shipped"):
        for rapid in draw.trip.rapids.values():
            assert 8_000 <= rapid.width_mm <= 45_000
            assert 1 <= rapid.river_class <= 5
            assert max(rapid.left.landing, rapid.right.landing, rapid.eddies) <= 4
            for spot in rapid.spots:
                assert spot.from_left_mm + spot.from_right_mm == rapid.width_mm
                assert spot.current_mm_s is None or 500 <= spot.current_mm_s <= 3_000
                assert spot.depth_mm is None or 300 <= spot.depth_mm <= 1_800
