"""Fewest moves, and the best of so many moves, against every seating and packing there is.

The outside of this check is brute force: aims 2 to 4 judged in words, moves counted piece by piece.
"""

from __future__ import annotations

from collections import Counter
from random import Random
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import plan_trip
from kitplan.needs import derive_needs
from kitplan.plan import Before, Packed
from kitplan.solve import Clock, SolveOptions
from kitplan.solve.near import Near
from tests.generator import SIZES, draw_trip, is_full_run
from tests.twin.brute import judge_all

if TYPE_CHECKING:
    from tests.twin.brute import Values

AIMS = ("uncovered", "one_bank", "unmet")
FEW = (1, 2, 3, 12, 15, 16, 22, 24, 27, 42, 43, 54)
FULL = (*FEW, 4, 11, 25, 28, 31, 33, 39, 40, 45, 49, 53, 55)  # no more than 4,000 ways each
SEEDS = FULL if is_full_run() else FEW
Seats = dict[str, str]
Lying = dict[str, Counter[tuple[str, str]]]
"""For each item how many lie in which boat, and how."""


def count_moves(old: tuple[Seats, Lying], new: tuple[Seats, Lying]) -> int:
    """Count people in another boat; of each item the pieces that are not where one was."""
    moves = sum(new[0][p] != boat for p, boat in old[0].items())
    for item in {*old[1], *new[1]}:
        had, has = old[1].get(item, Counter()), new[1].get(item, Counter())
        moves += max(had.total(), has.total()) - (had & has).total()
    return moves


@pytest.mark.parametrize("seed", SEEDS)
def test_no_fewer_moves_and_nothing_better_within_as_many(seed: int) -> None:
    """From any arrangement that keeps the rules, drawn at random."""
    trip = draw_trip(seed, SIZES["tiniest"], techniques="shipped").trip
    needs = derive_needs(trip)
    ways: list[tuple[Seats, Lying, Values]] = [
        (
            {p: b for b, crew in crews.items() for p in crew},
            {item: Counter(cells) for item, cells in dealt.items()},
            values,
        )
        for crews, dealt, values in judge_all(trip, needs)
    ]
    seats, lies, _ = Random(seed).choice(ways)
    moves = [count_moves((seats, lies), (sits, lying)) for sits, lying, _ in ways]
    packed = tuple(
        sorted(
            Packed(boat, item, carried, n)
            for item, cells in lies.items()
            for (boat, carried), n in cells.items()
        )
    )
    before = Before(tuple(sorted(seats.items())), packed)
    best = min(values[:3] for _, _, values in ways)
    fewest = min(n for n, (_, _, values) in zip(moves, ways, strict=True) if values[:3] == best)
    options = SolveOptions(
        time_limit_s=120.0, workers=1, aims=(*AIMS, "moves", "backed"), before=before
    )
    plan = plan_trip(trip, options).plan
    assert plan is not None
    found = {aim.name: (aim.value, aim.proven) for aim in plan.aims}
    assert [found[aim] for aim in AIMS] == [(value, True) for value in best]
    assert found["moves"] == (fewest, True)
    near = Near(trip, needs, before, Clock(120))
    for most in range(fewest + 1):
        step = near.find_best(most)
        assert step is not None
        assert step.proven
        within = (v[:3] for n, (_, _, v) in zip(moves, ways, strict=True) if n <= most)
        assert tuple(step.values[aim] for aim in AIMS) == min(within)


def test_the_drawn_trips_are_worth_the_comparison() -> None:
    """By hand on the counting itself: one who moves, one piece that does, one that comes new."""
    old = ({"Ana": "Heron", "Bo": "Teal"}, {"bag": Counter({("Heron", "quick"): 2})})
    new = (
        {"Ana": "Teal", "Bo": "Teal"},
        {"bag": Counter({("Heron", "quick"): 1, ("Heron", "stowed"): 1, ("Teal", "quick"): 1})},
    )
    assert count_moves(old, new) == 3
    assert count_moves(old, old) == 0
