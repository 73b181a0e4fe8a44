"""Mornings that ask nothing of their own are left out of the model, and no others."""

from itertools import product

from kitplan.build.stores import list_mornings, list_volumes
from kitplan.needs import Lot

FOOD = Lot("food", "food", 1, "bag", 2, 20_000, 1, (4_100,))
LATER = Lot("food", "food", 2, "bag", 2, 20_000, 1, (4_100, 4_100))
TOILET = Lot("toilet", "toilet", None, "box", 1, 28_000, 1, (6_000, 6_500, 7_000))
FRESH = Lot("food", "food", 3, "bag", 1, 30_000, 3, (8_000,))
TENT = Lot("tent", "camp kit", None, "", 3, 15_000, 1, (3_000, 3_000, 3_000))
DAYS = range(1, 4)


def test_each_morning_that_stays_is_heavier_by_some_lot_than_every_other() -> None:
    """By hand: day 1 has the food of day 1, day 3 what came and the fullest box; day 2 neither.

    On day 2 the toilet weighs more than on day 1, so it is implied by no single other morning.
    """
    assert list_mornings([FOOD, LATER, TOILET], DAYS) == [
        (4_100, 4_100, 6_000),
        (0, 4_100, 6_500),
        (0, 0, 7_000),
    ]
    assert list_mornings([FOOD, LATER, TENT], DAYS) == [(4_100, 4_100, 3_000)]
    assert list_mornings([TENT], DAYS) == [(3_000,)]


def test_room_is_counted_while_a_lot_is_aboard() -> None:
    """The box takes as much room empty as full; what came on day 3 needs some of its own."""
    assert list_volumes([FOOD, TOILET, FRESH], DAYS) == [
        (20_000, 28_000, 0),
        (0, 28_000, 30_000),
    ]


def test_a_morning_left_out_is_kept_by_any_load_that_keeps_the_rest() -> None:
    """All ways to have so many of each lot in a boat: the heaviest morning is one that stayed."""
    lots = [FOOD, LATER, TOILET, FRESH, TENT]
    stayed = list_mornings(lots, DAYS)
    for counts in product(*(range(lot.count + 1) for lot in lots)):
        by_day = [
            sum(n * lot.weigh(day) for n, lot in zip(counts, lots, strict=True)) for day in DAYS
        ]
        kept = [sum(n * g for n, g in zip(counts, row, strict=True)) for row in stayed]
        assert max(by_day) == max(kept)
