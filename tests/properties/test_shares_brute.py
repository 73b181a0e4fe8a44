"""Trips whose legs are asked by themselves, against every set of remedies there is.

As in `test_mend_brute`, but for which of equal sets is told: what each step reaches, that nothing
beats it, and what it costs. What is said without proof is held to be no better than the truth.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from kitplan.explain.recount import recount
from kitplan.needs.widen import apply
from kitplan.solve import Clock
from kitplan.solve.mend import Mending
from kitplan.solve.parts import Limit
from kitplan.solve.reach import Outcome, Reach
from tests.generator import is_full_run
from tests.properties.test_mend_brute import AIMS, draw, find_best, list_ways

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.remedies import Mend
    from kitplan.trip import Trip
    from tests.properties.test_mend_brute import Way

NOTHING = Outcome(None, dict.fromkeys(AIMS, 0), 0, 0)
SEEDS = range(200, 230 if is_full_run() else 203)


@pytest.fixture(autouse=True)
def _ask_legs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("kitplan.solve.mend.LEAST_BY_LEGS", 0)


def check(trip: Trip, mend: Mend, ways: list[Way], cents: int) -> None:
    """Hold a step, and all that is said of it, to the best of all sets for so much money."""
    best = find_best(ways, cents)
    values = tuple(mend.values.values())
    counted = recount(apply(trip, mend.remedies), mend.arrangement)
    assert {aim: counted[aim] for aim in mend.values} == mend.values
    assert tuple(mend.bounds.values()) <= best.values <= values
    as_good = [way.price for way in ways if way.values <= values]
    assert mend.least_cents <= min(as_good) <= mend.price_cents <= cents
    if mend.proven:
        assert (values, mend.price_cents) == (best.values, best.price)


def follow(trip: Trip, ways: list[Way]) -> tuple[int, int]:
    """Check each step of a trip's curve; return how many, and what was too little for another."""
    mending = Mending(trip, recount, Clock(300), demands=True)
    goal, found, cents = mending.find_goal(), 0, 10**6
    for step in mending.list_curve(goal) if goal else ():
        check(trip, step, ways, cents)
        found, cents = found + 1, step.price_cents - 1
    return found, cents


@pytest.mark.parametrize("seed", SEEDS)
def test_each_step_is_the_best_of_all_sets(seed: int, tmp_path: Path) -> None:
    trip = draw(seed, tmp_path)
    ways = list_ways(trip)
    _, cents = follow(trip, ways)
    assert not [way for way in ways if way.price <= cents]
    for most in (1000, 2500):
        mend = Mending(trip, recount, Clock(300), demands=True).find_within(Limit(most))
        assert (mend is None) == (not [way for way in ways if way.price <= most])
        if mend is not None:
            check(trip, mend, ways, most)


@pytest.mark.parametrize("units", [20.0, 0.002])
def test_what_legs_alone_say_is_never_too_much(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, units: float
) -> None:
    """Without the model of all rapids less is found and proven, and all that is said holds.

    So it does where questions are cut short.
    """
    monkeypatch.setattr("kitplan.solve.payers.AIM", units)
    monkeypatch.setattr(Reach, "find", lambda *_: NOTHING)
    found = 0
    for seed in SEEDS[:2]:
        trip = draw(seed, tmp_path)
        ways = list_ways(trip)
        found += follow(trip, ways)[0]
    assert found
