"""What it takes to mend tiny trips, with what each remedy closes derived by hand.

Every case weighs 8: class II squared x swimmer 2. Two rafts are two cases, and each asks for a
thrower and a bag on the bank while the other raft runs.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide.mend import BOUGHT, Mended, MendOptions, drop_dearer, join_bare, mend_trip
from kitplan.decide.without import list_closed, list_fewer
from kitplan.demands import CaseKey
from kitplan.explain.gaps import ALONE
from kitplan.explain.make import describe
from kitplan.needs import derive_needs
from kitplan.needs.widen import apply
from kitplan.plan import Arrangement, Packed
from kitplan.remedies import BRING, BUY, PORTAGE, TEACH, Mend, Remedy
from kitplan.solve.parts import Limit
from kitplan.solve.run import Clock
from tests.rules.solved import solve
from tests.rules.tiny import BASE, BOTH, RIVER, STEERS, THROWS, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.trip import Trip

BAG = "throw bag 20 m"
PRICED = (('mass = "1 kg"\nlength', 'mass = "1 kg"\nprice = "80 EUR"\nlength'),)
BARE = replace(BASE, kit={"first-aid kit": "count = 1"}, catalog=PRICED)
IDLE = "leading = 2"
WEARS = "everyone_wears"
LESSON = (
    '\n[[lesson]]\nskill = "throwing"\nto = 1\nprice = "50 EUR"\ndays = 1\npaddlers = ["Dee"]\n'
)
STANDBY = (
    '\n[[standby]]\nname = "Iva"\nmass = "66 kg"\nskills = { throwing = 2 }\nprice = "200 EUR"\n'
)
SWIM = ("Riffle", "mid-channel", "swimmer")
ANY = Limit()


@pytest.fixture(autouse=True)
def in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in the test's own folder, where a tiny trip is written."""
    monkeypatch.chdir(tmp_path)


def mend(trip: Trip, limit: Limit = ANY) -> Mended:
    """Return what it takes to mend a trip; the second program has nothing against it."""
    made = mend_trip(trip, MendOptions(limit), Clock(600.0), lambda _: None)
    assert made is not None
    assert [finding.text() for finding in made.faults] == []
    return made


def tell_curve(made: Mended) -> list[tuple[int, int]]:
    """Return the price in cents and the cases covered of each step."""
    return [
        (step.mend.price_cents, step.plan.totals.cases - step.plan.totals.none)
        for step in made.curve
    ]


def test_each_bag_bought_covers_a_case(tmp_path: Path) -> None:
    """Without a bag nobody throws; one serves while one raft runs, two whichever runs."""
    made = mend(read_tiny(tmp_path, BARE))
    bags = Remedy(BUY, BAG, count=2, price_cents=16000, mass_g=2000)
    assert made.made.mend.remedies == (bags,)
    assert made.made.mend.proven
    assert tell_curve(made) == [(16000, 2), (8000, 1), (0, 0)]
    assert made.complete
    assert made.bare is made.curve[-1]
    [row] = made.closed
    assert (row.remedy, row.uncovered, row.one_bank, row.steers) == (bags, 2, 0, ())
    assert [lost.rapid for lost in row.lost] == ["Riffle"]
    assert row.lost[0].rise == (16, 0)
    assert row.lost[0].uncovered == (CaseKey(*SWIM, "Heron"), CaseKey(*SWIM, "Teal"))
    assert made.left.gaps == ()


@pytest.mark.parametrize(
    ("cents", "bags"), [(0, 0), (7999, 0), (8000, 1), (15999, 1), (16000, 2), (90000, 2)]
)
def test_a_budget_buys_as_much_as_it_reaches(tmp_path: Path, cents: int, bags: int) -> None:
    made = mend(read_tiny(tmp_path, BARE), Limit(cents))
    assert sum(one.count for one in made.made.mend.remedies) == bags
    assert made.made.plan.totals.none == 2 - bags
    assert tell_curve(made) == [(16000, 2), (8000, 1), (0, 0)]


def test_what_is_got_may_weigh_so_much(tmp_path: Path) -> None:
    """A bag weighs 1 kg: one may come along, and the goal is the best within that mass."""
    made = mend(read_tiny(tmp_path, BARE), Limit(None, 1999))
    assert tell_curve(made) == [(8000, 1), (0, 0)]


def test_a_lesson_closes_what_nobody_else_can(tmp_path: Path) -> None:
    """Cy throws out of one raft; once Dee throws as well, the other one's case is covered too."""
    people = {**BASE.people, "Dee": IDLE}
    trip = read_tiny(tmp_path, replace(BASE, people=people, more=LESSON))
    made = mend(trip)
    taught = Remedy(TEACH, "Dee", "throwing", 1, price_cents=5000)
    assert made.made.mend.remedies == (taught,)
    assert tell_curve(made) == [(5000, 2), (0, 1)]
    [row] = made.closed
    assert (row.remedy, row.uncovered, row.steers) == (taught, 1, ())


def test_somebody_brought_closes_a_case(tmp_path: Path) -> None:
    people = {name: skills for name, skills in BASE.people.items() if name != "Dee"}
    made = mend(read_tiny(tmp_path, replace(BASE, people=people, more=STANDBY)))
    iva = Remedy(BRING, "Iva", price_cents=20000)
    assert made.made.mend.remedies == (iva,)
    assert tell_curve(made) == [(20000, 2), (0, 1)]
    [row] = made.closed
    assert (row.remedy, row.uncovered) == (iva, 1)


def test_somebody_may_be_brought_for_a_leg_alone(tmp_path: Path) -> None:
    """Iva comes for day 2, which is a leg of its own: the riffle of day 1 is as it was."""
    people = {name: skills for name, skills in BASE.people.items() if name != "Dee"}
    later = RIVER.replace("day = 1", "day = 2").replace("Riffle", "Shingle")
    more = f"{STANDBY}from = 2\n\n{later}"
    kit = {BAG: "count = 2", "first-aid kit": "count = 1\nfrom = 2"}
    made = mend(read_tiny(tmp_path, replace(BASE, people=people, kit=kit, more=more)))
    assert [leg.paddlers for leg in made.made.trip.legs] == [
        ("Ana", "Bo", "Cy"), ("Ana", "Bo", "Cy", "Iva"),
    ]  # fmt: skip
    assert tell_curve(made) == [(20000, 3), (0, 2)]
    assert [lost.rapid for lost in made.closed[0].lost] == ["Shingle"]


def test_a_boat_that_nobody_else_could_steer_is_said(tmp_path: Path) -> None:
    """Bo is at 1 in an oar raft, and class II asks for 2: as it is no plan keeps the rules."""
    rowing = LESSON.replace("throwing", "oar raft").replace("to = 1", "to = 2").replace("Dee", "Bo")
    people = {"Ana": BOTH, "Bo": f'"oar raft" = 1, {IDLE}, {THROWS}'}
    made = mend(read_tiny(tmp_path, replace(BASE, people=people, more=rowing)))
    assert [(one.sort, one.name) for one in made.made.mend.remedies] == [(TEACH, "Bo")]
    assert made.bare is None
    assert made.complete
    crew = made.made.plan.arrangement.crew
    boat = next(boat for boat, names in crew.items() if "Bo" in names)
    assert made.closed[0].steers == (boat,)


def test_what_nothing_mends_is_sorted_and_what_has_no_price_is_named(tmp_path: Path) -> None:
    """Nobody can throw, nobody can be taught to: bags alone are of no use."""
    people = dict.fromkeys(("Cy", "Dee"), IDLE) | {"Ana": STEERS, "Bo": STEERS}
    made = mend(read_tiny(tmp_path, replace(BARE, people=people)))
    assert made.made.mend.remedies == ()
    assert tell_curve(made) == [(0, 0)]
    assert [(gap.sort, gap.note) for gap in made.left.gaps] == [(ALONE, BOUGHT)]
    assert made.unpriced == ("throw bag 15 m", "a lesson in throwing")
    assert made.closed == ()


def test_of_decisions_a_portage_closes_all_that_is_open_there(tmp_path: Path) -> None:
    made = mend(read_tiny(tmp_path, BARE))
    [row] = made.decisions.rows
    assert (row.sort, row.name, row.worth) == (PORTAGE, "Riffle", (0, 16, 0, 0))


def test_no_plan_at_all_gives_nothing(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, replace(BASE, people={"Ana": BOTH, "Cy": f"{IDLE}, {THROWS}"}))
    assert mend_trip(trip, MendOptions(), Clock(600.0), lambda _: None) is None


def test_of_copies_those_are_left_out_that_are_missed_least(tmp_path: Path) -> None:
    """Heron alone may be in trouble, so that Teal's bag serves: without Heron's nothing opens."""
    one = replace(BARE, kit={BAG: "count = 1"}, head=((WEARS, f'running = ["Heron"]\n{WEARS}'),))
    trip = read_tiny(tmp_path, one)
    bag = Remedy(BUY, BAG, count=1, price_cents=8000, mass_g=1000)
    whole = apply(trip, [bag])
    packed = (Packed("Heron", BAG, "quick", 1), Packed("Teal", BAG, "quick", 1))
    arrangement = replace(solve(whole).arrangement, packed=packed)
    needs = derive_needs(whole)
    plan = describe(whole, needs, arrangement)
    assert plan.totals.none == 0
    [row] = list_closed(trip, [bag], (whole, needs, plan), Clock(600.0))
    assert (row.lost, row.short, row.proven) == ((), (), True)
    [row] = list_closed(trip, [bag], (whole, needs, plan), Clock(0.0))
    assert not row.asked


def test_copies_are_left_out_in_each_way_there_is(tmp_path: Path) -> None:
    """Of three bags in two rafts two are owned: one of Heron's goes, or Teal's only one."""
    trip = read_tiny(tmp_path, Tiny())
    packed = (Packed("Heron", BAG, "quick", 2), Packed("Teal", BAG, "quick", 1))
    ways = list(list_fewer(trip, packed, BAG, 0))
    assert sorted(ways) == [
        (Packed("Heron", BAG, "quick", 1), Packed("Teal", BAG, "quick", 1)),
        (Packed("Heron", BAG, "quick", 2),),
    ]
    assert list(list_fewer(trip, packed[:1], BAG, 0)) == [packed[:1]]


def test_what_is_reached_for_less_later_takes_the_place_of_a_dearer_step() -> None:
    """By hand, a unit being a cent. 30 and 20 have the same values, so 20 stays, as the first step.

    That nothing betters them is known for any money; at least 15 is what 30 was known to cost, 10
    what 20 was. 12 reaches less than 20, 9 as much as 12, and nothing bought less again.
    """
    nowhere = Arrangement({}, {}, (), {}, ())

    def step(cents: int, value: int, bound: int, least: int) -> Mend:
        things = (Remedy("buy", "bag", price_cents=cents),) if cents else ()
        return Mend(things, {"uncovered": value}, {"uncovered": bound}, least, nowhere)

    curve = [step(30, 1, 1, 15), step(20, 1, 0, 10), step(12, 4, 2, 3), step(9, 4, 3, 5)]
    curve.append(step(0, 6, 6, 0))
    told = [(s.price_cents, s.bounds["uncovered"], s.least_cents) for s in drop_dearer(curve)]
    assert told == [(20, 1, 15), (9, 3, 5), (0, 6, 0)]


@pytest.mark.parametrize("price", ["80 EUR", "0 EUR"])
def test_by_legs_it_is_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, price: str
) -> None:
    """Of two days, with bags that cost something or nothing; the last step is nothing bought."""
    priced = tuple((old, new.replace("80 EUR", price)) for old, new in PRICED)
    days = (("water_temperature", "days = 2\nwater_temperature"),)
    river = RIVER.replace("day = 1", "day = 2").replace("Riffle", "Ripple")
    trip = read_tiny(tmp_path, replace(BARE, catalog=priced, head=days, more=river))
    whole = mend(trip)
    monkeypatch.setattr("kitplan.solve.mend.LEAST_BY_LEGS", 0)
    legs = mend(trip)
    assert tell_curve(legs) == tell_curve(whole)
    assert len(legs.curve) > 1
    assert legs.made.mend.remedies == whole.made.mend.remedies
    assert legs.bare is legs.curve[-1]
    assert legs.bare.mend.remedies == ()
    assert legs.complete
    assert [step.mend.proven for step in legs.curve] == [True] * len(legs.curve)


def test_of_two_ways_of_the_trip_as_it_is_the_better_one_is_told() -> None:
    """With the greater bound; what is lent for nothing is not the trip as it is."""
    nowhere = Arrangement({}, {}, (), {}, ())
    lent = (Remedy(BUY, "sling", price_cents=0),)

    def bare(value: int, bound: int, things: tuple[Remedy, ...] = ()) -> Mend:
        return Mend(things, {"uncovered": value}, {"uncovered": bound}, 0, nowhere)

    for found, planned in ((bare(9, 3), bare(5, 2)), (bare(5, 2), bare(9, 3))):
        joined = join_bare(found, planned)
        assert joined is not None
        assert (joined.values, joined.bounds) == ({"uncovered": 5}, {"uncovered": 3})
    assert join_bare(bare(4, 4, lent), bare(9, 3)) == bare(9, 3)
    assert join_bare(None, None) is None
