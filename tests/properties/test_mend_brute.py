"""The goal, its least cost and the curve, against every set of remedies there is.

Each set is made (`apply`), and the trip that comes of it is planned for itself: nothing is widened
there. What is best for money is then looked up among all sets.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations, product
from random import Random
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import plan_trip
from kitplan.explain.recount import recount
from kitplan.needs.widen import apply
from kitplan.remedies import BRING, BUY, TEACH, Remedy
from kitplan.solve import Clock, SolveOptions
from kitplan.solve.mend import Mending
from kitplan.solve.parts import Limit
from kitplan.trip import Lesson, Market, Offer, Standby
from kitplan.verify import verify_plan
from tests.generator import SIZES, draw_trip, is_full_run

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.remedies import Mend
    from kitplan.trip import Paddler, Trip

AIMS = ("uncovered", "one_bank", "unmet")
FEW = (1, 2, 3, 5, 6, 9)
SEEDS = range(1, 40) if is_full_run() else FEW
PRICES = (0, 500, 1000, 1000, 2500)
USEFUL = ("throw bag 20 m", "throw bag 25 m, strong core", "static line 30 m", "prusik loop 6 mm",
          "first-aid kit, large", "warming kit", "guide paddle 1.65 m, T-grip")  # fmt: skip


@dataclass(frozen=True)
class Way:
    """One set of remedies, and the best that comes of it."""

    values: tuple[int, ...]
    remedies: tuple[Remedy, ...]

    @property
    def price(self) -> int:
        """Return what it costs."""
        return sum(one.price_cents for one in self.remedies)

    @property
    def key(self) -> tuple[object, ...]:
        """Return what the best is by, once the values are the same."""
        copies = sum(one.count for one in self.remedies)
        return self.price, len(self.remedies), copies, self.remedies


def set_market(trip: Trip, rng: Random) -> Trip:
    """Return the trip with two or three things, two lessons or three, and perhaps somebody."""
    items = trip.catalog.items
    offers = {
        name: Offer(items[name], rng.choice(PRICES), rng.choice([1, 2]))
        for name in rng.sample(USEFUL, 2)
    }
    able = [p for p in trip.paddlers.values() if not p.guest]
    taught = rng.sample(able, min(2, len(able)))
    lessons = [_draw_lesson(p, skill, rng) for p in taught[:1] for skill in ("throwing", "rope")]
    lessons += [_draw_lesson(p, "throwing", rng) for p in taught[1:]]
    one = replace(rng.choice(able), name="Zoe", boat=None)
    standbys = {"Zoe": Standby(one, rng.choice([800, 3000]))} if rng.random() < 0.6 else {}
    return replace(trip, market=Market("EUR", offers, tuple(lessons), standbys))


def _draw_lesson(paddler: Paddler, skill: str, rng: Random) -> Lesson:
    return Lesson(paddler.name, skill, paddler.level(skill) + 1, rng.choice(PRICES[1:]))


def list_sets(trip: Trip) -> Iterator[tuple[Remedy, ...]]:
    """Yield every set of remedies on the market, each sorted."""
    market = trip.market
    bought = [
        [(), *((_buy(offer, n),) for n in range(1, (offer.most or 0) + 1))]
        for offer in market.offers.values()
    ]
    people = dict.fromkeys(lesson.paddler for lesson in market.lessons)
    taught = [
        [(), *((_teach(one),) for one in market.lessons if one.paddler == name)] for name in people
    ]
    names = sorted(market.standbys)
    brought = [
        tuple(Remedy(BRING, name, price_cents=market.standbys[name].price_cents) for name in some)
        for count in range(len(names) + 1)
        for some in combinations(names, count)
    ]
    for parts in product(*bought, *taught, brought):
        yield tuple(sorted(one for part in parts for one in part))


def _buy(offer: Offer, count: int) -> Remedy:
    price, mass = count * offer.price_cents, count * offer.item.mass_g
    return Remedy(BUY, offer.item.name, "", 0, count, price, mass)


def _teach(lesson: Lesson) -> Remedy:
    return Remedy(TEACH, lesson.paddler, lesson.skill, lesson.level, 1, lesson.price_cents)


@cache
def list_ways(seed: int) -> tuple[Trip, list[Way]]:
    """Return the trip of a seed with a market, and all sets of remedies that give a plan."""
    trip = draw_trip(seed, SIZES["tiniest"], techniques="drawn" if seed % 2 else "shipped").trip
    trip = set_market(trip, Random(f"{seed} market"))
    options = SolveOptions(time_limit_s=60.0, workers=1, aims=AIMS)
    ways = []
    for remedies in list_sets(trip):
        plan = plan_trip(apply(trip, remedies), options).plan
        if plan is None or plan.arrangement.twice:
            continue
        assert all(aim.proven for aim in plan.aims)
        ways.append(Way(tuple(aim.value for aim in plan.aims), remedies))
    return trip, ways


def find_best(ways: list[Way], cents: int, mass_g: int | None = None) -> Way:
    """Return the best set for so much money, that weighs no more than allowed."""
    within = [way for way in ways if way.price <= cents]
    if mass_g is not None:
        within = [way for way in within if sum(one.mass_g for one in way.remedies) <= mass_g]
    return min(within, key=lambda way: (way.values, way.key))


def check(trip: Trip, mend: Mend | None, best: Way) -> None:
    """Compare a mend with the best of all sets; the arrangement keeps all rules."""
    assert mend is not None
    assert tuple(mend.values.values()) == best.values
    assert mend.price_cents == mend.least_cents == best.price
    assert mend.remedies == best.remedies
    assert mend.proven
    mended = apply(trip, mend.remedies)
    counted = recount(mended, mend.arrangement)
    assert {aim: counted[aim] for aim in mend.values} == mend.values
    held = SolveOptions(time_limit_s=60.0, workers=1, aims=AIMS)
    plan = plan_trip(mended, held).plan
    assert plan is not None
    broken = verify_plan(mended, replace(plan, arrangement=mend.arrangement))
    assert not [one for one in broken if one.code in BROKEN]


BROKEN = {"seat", "seats", "steerer", "tied", "together", "apart", "payload", "owned", "order"}


@pytest.mark.parametrize("seed", SEEDS)
def test_goal_and_curve_are_the_best_of_all_sets(seed: int) -> None:
    """Values, price, changes and names of each step, and no step is left out."""
    trip, ways = list_ways(seed)
    mending = Mending(trip, recount, Clock(300), demands=True)
    goal = mending.find_goal()
    cents = 10**6
    steps = []
    for step in mending.list_curve(goal) if goal else ():
        best = find_best(ways, cents)
        check(trip, step, best)
        steps.append(step)
        cents = best.price - 1
    assert cents < 0 or not [way for way in ways if way.price <= cents]
    if ways:
        assert steps


@pytest.mark.parametrize("seed", SEEDS[:3])
def test_the_best_within_a_budget_and_a_mass(seed: int) -> None:
    """Asked by itself, not on the way down; so much at the most comes along."""
    trip, ways = list_ways(seed)
    for cents, mass_g in ((1000, None), (2500, 1000), (4000, 0)):
        within = [way for way in ways if way.price <= cents]
        mending = Mending(trip, recount, Clock(300), demands=True)
        mend = mending.find_within(Limit(cents, mass_g))
        if within:
            check(trip, mend, find_best(ways, cents, mass_g))
        else:
            assert mend is None


def test_the_drawn_markets_are_worth_the_comparison() -> None:
    """Some set is better than nothing bought, some lesson and somebody on standby are in a best."""
    sorts: set[str] = set()
    for seed in SEEDS:
        _, ways = list_ways(seed)
        if ways:
            sorts |= {one.sort for one in find_best(ways, 10**6).remedies}
    assert sorts == {BRING, BUY, TEACH}
