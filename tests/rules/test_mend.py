"""What money can mend on tiny trips, with costs and steps derived by hand.

As in `test_family_optima`: two rafts, each case weighs 8. Ana and Bo steer; while one raft runs, a
thrower with a bag in the other one covers it. So both cases ask for a thrower with a bag in each.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path  # noqa: TC003 - pytest reads it

import pytest

from kitplan.explain.recount import recount
from kitplan.needs import count_people, derive_needs, list_lots
from kitplan.needs.useful import Uses
from kitplan.needs.widen import apply, widen
from kitplan.remedies import BRING, BUY, TEACH, Mend, Remedy
from kitplan.solve import Clock
from kitplan.solve.mend import Mending
from kitplan.solve.parts import Limit
from kitplan.trip import (
    CarriageRule,
    Counted,
    Lesson,
    Market,
    Offer,
    Reading,
    RuleSet,
    Standby,
    Trip,
    Who,
)
from kitplan.trip.carriage import HOUSE, PEOPLE, PER_TRIP
from tests.rules.test_joined import JOINED
from tests.rules.tiny import (
    BAG_15,
    BASE,
    PLACE,
    RIVER,
    STEERS,
    THROWS,
    Edit,
    Tiny,
    company,
    read_tiny,
)

pytestmark = pytest.mark.usefixtures("in_folder")

BAG = "throw bag 20 m"
EUR = 100
NO_GUEST = "guest = false"  # who can so little would be one
OWN = dict.fromkeys(("Cy", "Dee"), NO_GUEST)
NOBODY = Tiny(people={"Ana": STEERS, "Bo": STEERS, "Cy": "rope = 1", "Dee": "rope = 1"}, own=OWN)
CY_ALONE = replace(NOBODY, people={**NOBODY.people, "Cy": THROWS})


def sell(trip: Trip, euros: int = 80, most: int | None = None) -> dict[str, Offer]:
    """Return bags on offer."""
    return {BAG: Offer(trip.catalog.items[BAG], euros * EUR, most)}


def teach(name: str, euros: int, skill: str = "throwing", level: int = 1) -> Lesson:
    """Return a lesson."""
    return Lesson(name, skill, level, euros * EUR)


def ask(trip: Trip, cents: int | None = None, mass_g: int | None = None) -> Mend:
    """Return the best within a budget, proven."""
    mend = Mending(trip, recount, Clock(60)).find_within(Limit(cents, mass_g))
    assert mend is not None
    assert mend.proven
    return mend


def tie(*boats: str) -> Tiny:
    """Return a trip in which Cy, and Dee, are tied to boats, and Bo to Teal."""
    tied = dict(zip(OWN, boats, strict=False))
    own = OWN | {name: f'{NO_GUEST}\nboat = "{boat}"' for name, boat in tied.items()}
    return replace(CY_ALONE, own={**own, "Bo": 'boat = "Teal"'})


def draw_curve(trip: Trip) -> list[tuple[int, int]]:
    """Return price in euros and what is uncovered, from the goal down."""
    mending = Mending(trip, recount, Clock(60))
    goal = mending.find_goal()
    assert goal is not None
    steps = list(mending.list_curve(goal))
    assert all(step.proven for step in steps)
    return [(step.price_cents // EUR, step.values["uncovered"]) for step in steps]


def read_bags_and_a_lesson(folder: Path) -> Trip:
    """Return a trip with no bag and one thrower: bags are 80, to teach Dee throwing is 50."""
    trip = read_tiny(folder, replace(CY_ALONE, kit={}))
    return replace(trip, market=Market("EUR", sell(trip), (teach("Dee", 50),)))


def test_the_curve_has_just_its_steps(tmp_path: Path) -> None:
    """Nothing: 16 open. A bag for Cy: 80, 8 open. A second bag and Dee taught: 80 + 80 + 50 = 210.

    A second bag alone (160) has nobody to throw it, Dee taught with one bag (130) none to throw;
    Dee alone (50) has no bag.
    """
    trip = read_bags_and_a_lesson(tmp_path)
    assert draw_curve(trip) == [(210, 0), (80, 8), (0, 16)]


@pytest.mark.parametrize(
    ("cents", "price", "uncovered"),
    [
        (0, 0, 16), (7999, 0, 16), (8000, 80, 8), (8001, 80, 8), (13000, 80, 8), (16000, 80, 8),
        (20999, 80, 8), (21000, 210, 0), (21001, 210, 0), (10**9, 210, 0),
    ],
)  # fmt: skip
def test_a_budget_buys_the_step_it_pays_for(
    tmp_path: Path, cents: int, price: int, uncovered: int
) -> None:
    """A cent too little closes no more than the step before."""
    mend = ask(read_bags_and_a_lesson(tmp_path), cents)
    assert (mend.price_cents, mend.values["uncovered"]) == (price * EUR, uncovered)


def test_the_remedies_and_who_has_them(tmp_path: Path) -> None:
    """Copies of an item are one remedy; people go by their own names once they are taught."""
    mend = ask(read_bags_and_a_lesson(tmp_path))
    assert mend.remedies == (
        Remedy(BUY, BAG, count=2, price_cents=160 * EUR, mass_g=2000),
        Remedy(TEACH, "Dee", "throwing", 1, price_cents=50 * EUR),
    )
    assert sorted(p for crew in mend.arrangement.crew.values() for p in crew) == [
        "Ana", "Bo", "Cy", "Dee",
    ]  # fmt: skip


def test_extra_mass_is_bought_mass_alone(tmp_path: Path) -> None:
    """A bag weighs 1 kg; a lesson nothing."""
    trip = read_bags_and_a_lesson(tmp_path)
    assert ask(trip, mass_g=1999).values["uncovered"] == 8
    assert ask(trip, mass_g=2000).values["uncovered"] == 0
    assert ask(trip, mass_g=999).values["uncovered"] == 16


def test_who_has_two_lessons_to_choose_from_takes_one(tmp_path: Path) -> None:
    """Dee can be taught throwing in two ways: she is one thrower all the same, for the lower price.

    Of two lessons at the same price the first by name is taken.
    """
    trip = read_tiny(tmp_path, NOBODY)
    lessons = (teach("Dee", 60, level=2), teach("Dee", 50), teach("Dee", 40, "rope", 2))
    mend = ask(replace(trip, market=Market("EUR", {}, lessons)))
    assert mend.values["uncovered"] == 8
    assert mend.remedies == (Remedy(TEACH, "Dee", "throwing", 1, price_cents=50 * EUR),)


@pytest.mark.parametrize(
    ("bring", "price", "sort"), [(100, 50, TEACH), (40, 40, BRING), (50, 50, BRING)]
)
def test_somebody_on_standby_or_a_lesson(tmp_path: Path, bring: int, price: int, sort: str) -> None:
    """Either is the second thrower: the cheaper one comes, at one price the first by name."""
    trip = read_tiny(tmp_path, CY_ALONE)
    eve = Standby(replace(trip.paddlers["Cy"], name="Eve"), bring * EUR)
    trip = replace(trip, market=Market("EUR", {}, (teach("Dee", 50),), {"Eve": eve}))
    mend = ask(trip)
    assert mend.values["uncovered"] == 0
    assert (mend.price_cents, [one.sort for one in mend.remedies]) == (price * EUR, [sort])
    assert ("Eve" in apply(trip, mend.remedies).paddlers) == (sort == BRING)
    assert ask(trip, price * EUR - 1).values["uncovered"] == 8


@pytest.mark.parametrize(
    ("tiny", "uncovered"),
    [
        # Dee is the second thrower: with Cy in one raft there is none in the other.
        (replace(CY_ALONE, more=company("together", "Cy", "Dee")), 8),
        (replace(CY_ALONE, more=company("together", "Ana", "Dee")), 0),
        # Cy is in one raft; Dee, kept from Bo, who steers the other, has to sit with him.
        (replace(tie("Heron"), more=company("apart", "Bo", "Dee")), 8),
        (replace(tie("Heron"), more=company("apart", "Cy", "Dee")), 0),
        (tie("Heron", "Heron"), 8),
        (tie("Heron", "Teal"), 0),
    ],
)
def test_who_is_taught_keeps_the_company_and_boat_he_had(
    tmp_path: Path, tiny: Tiny, uncovered: int
) -> None:
    """What is said of a person holds for him, taught or not."""
    trip = read_tiny(tmp_path, tiny)
    trip = replace(trip, market=Market("EUR", {}, (teach("Dee", 50),)))
    assert ask(trip).values["uncovered"] == uncovered


def test_seats_are_counted_by_person(tmp_path: Path) -> None:
    """All four can be taught, and each sits somewhere once."""
    trip = read_tiny(tmp_path, NOBODY)
    lessons = tuple(teach(p, 10) for p in trip.paddlers)
    mend = ask(replace(trip, market=Market("EUR", {}, lessons)))
    assert mend.values["uncovered"] == 0
    assert mend.price_cents == 20 * EUR
    # Of the pairs that do, the first by name.
    assert [one.name for one in mend.remedies] == ["Ana", "Bo"]
    seated = [p for crew in mend.arrangement.crew.values() for p in crew]
    assert sorted(seated) == sorted(trip.paddlers)


def test_more_money_never_closes_less(tmp_path: Path) -> None:
    """Over a ladder of budgets, and something is closed."""
    trip = read_bags_and_a_lesson(tmp_path)
    mending = Mending(trip, recount, Clock(60))
    found = [mending.find_within(Limit(euros * EUR)) for euros in range(0, 240, 20)]
    left = [mend.values["uncovered"] for mend in found if mend]
    assert len(left) == len(found)
    assert left == sorted(left, reverse=True)
    assert left[-1] < left[0]


# --- widened trips --------------------------------------------------------------------------------


def test_a_widened_trip_counts_each_person_once(tmp_path: Path) -> None:
    """Stores and heads go by people, whatever they may be taught; by those brought they rise."""
    trip = read_tiny(tmp_path, CY_ALONE)
    eve = Standby(replace(trip.paddlers["Cy"], name="Eve"), EUR)
    lessons = (teach("Dee", 50), teach("Cy", 50, level=3))
    trip = replace(trip, market=Market("EUR", sell(trip), lessons, {"Eve": eve}))
    alone, with_eve = widen(trip).trip, widen(trip, ["Eve"]).trip
    assert len(alone.paddlers) == 6
    assert count_people(alone) == count_people(trip) == {1: 4}
    assert count_people(with_eve) == {1: 5}
    assert list_lots(alone) == list_lots(trip)


def test_no_more_are_on_offer_than_can_be_of_use(tmp_path: Path) -> None:
    """One bag a throw, so that one in each of two rafts is of use: two, less those owned."""
    trip = read_tiny(tmp_path, BASE)
    item = trip.catalog.items[BAG]
    assert Uses(trip, derive_needs(trip)).count(item) == 2
    bare = read_tiny(tmp_path, replace(BASE, kit={BAG: "count = 1"}))
    widened = widen(replace(bare, market=Market("EUR", sell(bare)))).trip
    assert (widened.kit[BAG].owned, widened.kit[BAG].offered) == (1, 1)
    one = widen(replace(bare, market=Market("EUR", sell(bare, most=0)))).trip
    assert one.kit[BAG].offered == 0


@pytest.mark.parametrize(
    ("euros", "most", "more_g", "worth"),
    [
        (90, None, 0, [BAG]),
        (90, 1, 0, ["another bag", BAG]),
        (90, None, 1, ["another bag", BAG]),
        (80, None, 0, ["another bag"]),
        (70, None, 0, ["another bag"]),
    ],
    ids=["dearer", "of the other there is one", "lighter", "first by name", "cheaper"],
)
def test_what_another_does_for_no_more_money_is_left_out(
    tmp_path: Path, euros: int, most: int | None, more_g: int, worth: list[str]
) -> None:
    """A bag for 80, and another one just like it, but for what is said."""
    trip = read_tiny(tmp_path, BASE)
    bag = trip.catalog.items[BAG]
    heavier = replace(bag, mass_g=bag.mass_g + more_g)
    another = replace(bag, name="another bag")
    offers = {BAG: Offer(heavier, 80 * EUR, most), another.name: Offer(another, euros * EUR)}
    items = {**trip.catalog.items, BAG: heavier, another.name: another}
    trip = replace(trip, catalog=replace(trip.catalog, items=items), market=Market("EUR", offers))
    assert Uses(trip, derive_needs(trip)).list_worth() == worth


def test_a_trip_with_remedies_made_is_a_plain_trip(tmp_path: Path) -> None:
    """What was bought is owned, who was taught can it, and neither is on the market again."""
    trip = read_tiny(tmp_path, replace(CY_ALONE, kit={}))
    lessons = (teach("Dee", 50), teach("Dee", 90, "rope", 2), teach("Cy", 50, level=3))
    trip = replace(trip, market=Market("EUR", sell(trip, most=2), lessons))
    made = apply(trip, [Remedy(BUY, BAG, count=2), Remedy(TEACH, "Dee", "throwing", 1)])
    assert (made.kit[BAG].count, made.kit[BAG].offered) == (2, 0)
    assert BAG in made.legs[0].kit
    assert made.paddlers["Dee"].level("throwing") == 1
    assert made.paddlers["Dee"].taught == ""
    assert made.market.offers == {}
    assert [lesson.paddler for lesson in made.market.lessons] == ["Cy"]
    with pytest.raises(ValueError, match="no lesson on offer"):
        apply(trip, [Remedy(TEACH, "Dee", "throwing", 4)])
    with pytest.raises(KeyError):
        apply(trip, [Remedy(BRING, "Eve")])


@pytest.mark.parametrize("more", [(), ((PLACE, f'hurry = "unhurried"\n{PLACE}'),)])
def test_a_line_long_enough_rules_out_that_two_are_joined(
    tmp_path: Path, more: tuple[Edit, ...]
) -> None:
    """Three short lines: joined, two cover from one raft, and 8 is open.

    One long line for 10 would cover from the other raft, but then none are joined any more: 8 is
    open all the same, and nothing is worth buying. Two of them cover all, for 20; a fourth short
    line does for 15.
    """
    longer = (
        f'length = "15 m"\n{BAG_15}',
        'length = "24 m"\nflags = ["across"]\ncarried = ["quick"]\nbulky = true',
    )
    kit = {BAG: "count = 3", "locking carabiner": "count = 2"}
    trip = read_tiny(tmp_path, replace(JOINED, kit=kit, catalog=(*JOINED.catalog, longer, *more)))
    long = trip.catalog.items["throw bag 15 m"]
    found = []
    for offers in (
        {long.name: Offer(long, 10 * EUR, 1)},
        {long.name: Offer(long, 10 * EUR, 2)},
        {long.name: Offer(long, 10 * EUR)} | sell(trip, 15),
    ):
        mend = ask(replace(trip, market=Market("EUR", offers)))
        found.append((mend.price_cents // EUR, mend.values["uncovered"]))
    assert found == [(0, 8), (20, 0), (15, 0)]


def test_a_rule_for_all_goes_by_who_is_taught(tmp_path: Path) -> None:
    """For each who throws two lines are to be carried, and there are two: nobody else is taught.

    Dee taught would close 8, but leave two lines short, which comes first.
    """
    who = Who(skills=(("throwing", 1),))
    reading = Reading(PER_TRIP, of=PEOPLE, who=who, for_each=1, count=2)
    rule = CarriageRule("lines", "so", "own", "", "own", HOUSE, Counted(kinds=("line",)), reading)
    trip = replace(read_tiny(tmp_path, CY_ALONE), rules=(RuleSet("own", "own", "", (rule,), ()),))
    mend = ask(replace(trip, market=Market("EUR", {}, (teach("Dee", 50),))))
    assert mend.values == {"short_of_house": 0, "uncovered": 8, "one_bank": 0}
    more = ask(replace(trip, market=Market("EUR", sell(trip), (teach("Dee", 50),))))
    assert more.values == {"short_of_house": 0, "uncovered": 0, "one_bank": 0}
    assert more.price_cents == (50 + 2 * 80) * EUR


def test_who_is_taught_is_the_same_in_all_legs(tmp_path: Path) -> None:
    """Bo leaves after day 1: on day 2 Dee has to row, which she can be taught for 30.

    Then she can't be taught to throw, be it of use on day 1: with Cy alone 8 is open each day.
    Without that lesson there is no plan, so that the curve has one step.
    """
    river = RIVER.replace("day = 1", "day = 2").replace("Riffle", "Ripple")
    days = (("water_temperature", "days = 2\nwater_temperature"),)
    own = OWN | {"Bo": "to = 1"}
    trip = read_tiny(tmp_path, replace(CY_ALONE, own=own, head=days, more=river))
    lessons = (teach("Dee", 30, "oar raft", 2), teach("Dee", 50))
    assert len(trip.legs) == 2
    assert draw_curve(replace(trip, market=Market("EUR", {}, lessons))) == [(30, 16)]
    # Bo stays, and Dee can throw both days.
    stays = read_tiny(tmp_path, replace(CY_ALONE, head=days, more=river))
    found = draw_curve(replace(stays, market=Market("EUR", {}, lessons)))
    assert found == [(50, 0), (0, 16)]
