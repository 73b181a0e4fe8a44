"""The goal, its least cost and the curve, against every set of remedies there is.

Each set is made (`apply`), and the trip that comes of it is planned for itself: nothing is widened
there. What is best for money is then looked up among all sets.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
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
from tests.rules.tiny import BOTH, RAFT, RIVER, STEERS, TWO_BANKS, Tiny, company, read_tiny

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from kitplan.remedies import Mend
    from kitplan.trip import Trip

AIMS = ("uncovered", "one_bank", "unmet")
DRAWN = (2, 9)
FEW = (*DRAWN, *range(100, 108))
TWO_LEGS = range(200, 230 if is_full_run() else 206)
SEEDS = (*(DRAWN + tuple(range(100, 160)) if is_full_run() else FEW), *TWO_LEGS)
DAYS = (("water_temperature", "days = 2\nwater_temperature"),)
NEXT = RIVER.replace("day = 1", "day = 2").replace("Riffle", "Ripple")
BAG = "throw bag 20 m"
PRICES = (0, 500, 1000, 1000, 2500)
USEFUL = ("throw bag 20 m", "throw bag 25 m, strong core", "static line 30 m", "prusik loop 6 mm",
          "first-aid kit, large", "warming kit", "guide paddle 1.65 m, T-grip")  # fmt: skip


@pytest.fixture(autouse=True)
def _stand_in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


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
    """Return the trip with some of its kit and skills on the market, and perhaps somebody more.

    One or two copies of two things are taken away, and two people's skills lowered, which can be
    had again; and something else is on offer.
    """
    names = rng.sample(sorted(trip.kit), min(2, len(trip.kit)))
    less = {name: rng.randint(1, min(2, trip.kit[name].count)) for name in names}
    offers = {
        name: Offer(trip.kit[name].item, rng.choice(PRICES), count) for name, count in less.items()
    }
    other = rng.choice(USEFUL)
    offers.setdefault(other, Offer(trip.catalog.items[other], rng.choice(PRICES), 1))
    able = [p for p in trip.paddlers.values() if not p.guest]
    taught = rng.sample(able, min(2, len(able)))
    drawn = [(taught[0], "throwing"), (taught[0], "rope"), (taught[-1], "throwing")]
    lessons = {
        (p.name, skill): Lesson(p.name, skill, p.level(skill), rng.choice(PRICES[1:]))
        for p, skill in drawn
        if p.level(skill)
    }
    one = replace(rng.choice(able), name="Zoe", boat=None)
    standbys = {"Zoe": Standby(one, rng.choice([800, 3000]))} if rng.random() < 0.6 else {}
    market = Market("EUR", offers, tuple(lessons.values()), standbys)
    return replace(_take_away(trip, less, list(lessons)), market=market)


def _take_away(trip: Trip, less: dict[str, int], skills: list[tuple[str, str]]) -> Trip:
    """Return the trip with fewer copies of some things, and people one level lower in skills."""
    kit, paddlers = dict(trip.kit), dict(trip.paddlers)
    for name, count in less.items():
        left = kit[name].count - count
        kit[name] = replace(kit[name], count=left, take=min(kit[name].take, left))
    for name, skill in skills:
        one = paddlers[name]
        paddlers[name] = replace(one, skills={**one.skills, skill: one.level(skill) - 1})
    return replace(trip, kit=kit, paddlers=paddlers)


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


def draw(seed: int, folder: Path) -> Trip:
    """Return the trip of a seed with a market: drawn at random, or two or three rafts by hand.

    By hand some can't throw but can be taught to, in two ways at different prices; few bags are
    there; and bags, lines of another kind and somebody else can be had. Some are of two
    legs: one leaves after the first day, and another one comes on the second.
    """
    rng = Random(f"{seed} market")
    if seed in DRAWN:
        return set_market(draw_trip(seed, SIZES["tiniest"], techniques="shipped").trip, rng)
    names = ("Ana", "Bo", "Cy") if rng.random() < 0.5 else ("Ana", "Bo", "Cy", "Dee")
    boats = ("Heron", "Teal", "Coot")[: rng.randint(2, 3)]
    people = {p: BOTH if rng.random() < 0.3 else STEERS if p in names[:3] else "rope = 1"
              for p in names}  # fmt: skip
    river = (TWO_BANKS,) if rng.random() < 0.5 else ()
    own = dict.fromkeys(names, "guest = false")
    kit = {BAG: "count = 1"} if rng.random() < 0.5 else {}
    more = company("apart", *names[1:3]) if rng.random() < 0.3 else ""
    tiny = Tiny(dict.fromkeys(boats, RAFT), people, own, kit, (), river, more)
    if seed in TWO_LEGS:
        tiny = _part_legs(tiny, rng)
    trip = read_tiny(folder, tiny)
    items = trip.catalog.items
    offers = {name: Offer(items[name], rng.choice(PRICES), rng.randint(1, 2))
              for name in (BAG, "throw bag 15 m")}  # fmt: skip
    can_not = [p for p in names if not trip.paddlers[p].level("throwing")]
    lessons = [Lesson(p, "throwing", level, rng.choice(PRICES[1:]))
               for p in can_not[:2] for level in (1, 2)]  # fmt: skip
    zoe = replace(trip.paddlers["Ana"], name="Zoe", skills={"throwing": 2, "oar raft": 3})
    standbys = {"Zoe": Standby(zoe, rng.choice([600, 1500]))} if rng.random() < 0.6 else {}
    return replace(trip, market=Market("EUR", offers, tuple(lessons), standbys))


def _part_legs(tiny: Tiny, rng: Random) -> Tiny:
    """Return a trip with a rapid on each of two days, the party not the same on both."""
    leaves, comes = list(tiny.people)[-1], "Eli"
    own = tiny.own | {leaves: "guest = false\nto = 1", comes: "guest = false\nfrom = 2"}
    people = tiny.people | {comes: rng.choice([BOTH, STEERS])}
    return replace(tiny, people=people, own=own, head=DAYS, more=tiny.more + NEXT)


def list_ways(trip: Trip) -> list[Way]:
    """Return all sets of remedies that give a plan."""
    options = SolveOptions(time_limit_s=60.0, workers=1, aims=AIMS)
    ways = []
    for remedies in list_sets(trip):
        plan = plan_trip(apply(trip, remedies), options).plan
        if plan is None or plan.arrangement.twice:
            continue
        assert all(aim.proven for aim in plan.aims)
        ways.append(Way(tuple(aim.value for aim in plan.aims), remedies))
    return ways


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
def test_goal_curve_and_budgets_are_the_best_of_all_sets(seed: int, tmp_path: Path) -> None:
    """Values, price, changes and names of each step, and no step is left out.

    Besides, some budgets asked by themselves, not on the way down, and a mass that may come along.
    """
    trip = draw(seed, tmp_path)
    ways = list_ways(trip)
    mending = Mending(trip, recount, Clock(300), demands=True)
    goal, cents = mending.find_goal(), 10**6
    for step in mending.list_curve(goal) if goal else ():
        best = find_best(ways, cents)
        check(trip, step, best)
        cents = best.price - 1
    assert not [way for way in ways if way.price <= cents]
    for most, mass_g in ((1000, None), (2500, 1000), (4000, 0)):
        within = [way for way in ways if way.price <= most]
        mend = Mending(trip, recount, Clock(300), demands=True).find_within(Limit(most, mass_g))
        if within:
            check(trip, mend, find_best(ways, most, mass_g))
        else:
            assert mend is None


def test_the_markets_are_worth_the_comparison(tmp_path: Path) -> None:
    """Something of each sort is in the best of some seed, and curves have several steps."""
    sorts: set[str] = set()
    for seed in SEEDS[len(DRAWN) :]:
        trip = draw(seed, tmp_path)
        goal = Mending(trip, recount, Clock(300), demands=True).find_goal()
        sorts |= {one.sort for one in goal.remedies} if goal else set()
    assert sorts == {BRING, BUY, TEACH}
