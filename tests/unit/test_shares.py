"""Who pays for what, by hand: what a bound holds for, what is charged to whom, what adds up."""

from __future__ import annotations

import pytest

from kitplan.remedies import BUY, TEACH, Remedy
from kitplan.solve.joints import Joint
from kitplan.solve.parts import Limit
from kitplan.solve.payers import Bound, Front, Point, Terms
from kitplan.solve.shares import _claim, _drop_beaten, _take_off, _unite

BAG = Remedy(BUY, "bag", price_cents=800)
ROPE = Remedy(BUY, "rope", price_cents=300)
LESSON = Remedy(TEACH, "Dee", "throwing", 1, price_cents=500)
OTHER = Remedy(TEACH, "Dee", "rope", 2, price_cents=400)
TERMS = Terms({BAG: 800}, Limit(None, 2000), {"house": 1}, {"house": 1})


def reach(value: int, *remedies: Remedy) -> Point:
    """Return what was reached with remedies."""
    return Point((value,), remedies, {}, {})


@pytest.mark.parametrize(
    ("terms", "cents", "holds"),
    [
        (TERMS, 799, True),
        (TERMS, 500, True),
        (TERMS, 800, False),
        (TERMS, None, False),
        (TERMS._replace(charged={BAG: 800, ROPE: 300}), 799, True),
        (TERMS._replace(charged={BAG: 799}), 799, False),
        (TERMS._replace(charged={ROPE: 300}), 799, False),
        (TERMS._replace(short={"house": 0}), 799, True),
        (TERMS._replace(short={"house": 2}), 799, False),
        (TERMS._replace(limit=Limit(100, 2000)), 799, True),
        (TERMS._replace(limit=Limit(None, 2001)), 799, False),
        (TERMS._replace(limit=Limit()), 799, False),
    ],
)
def test_a_bound_holds_for_less_money_and_for_all_that_is_stricter(
    terms: Terms, cents: int | None, *, holds: bool
) -> None:
    assert Bound(TERMS, 799, (8,)).holds_for(terms, cents) == holds


def test_with_any_money_it_is_the_same_whatever_is_charged() -> None:
    bound = Bound(TERMS, None, (8,))
    assert bound.holds_for(TERMS._replace(charged={}), None)
    assert bound.holds_for(TERMS, 0)


def test_what_would_take_its_place_is_charged_no_more_than_it_costs() -> None:
    """With the rope charged alone, a free bag would do: it is charged 300 of its 800.

    Then it does not pay, and 500 of it are left for others.
    """
    asked = []

    def ask(terms: Terms) -> Front:
        asked.append(dict(terms.charged))
        points = [reach(0, ROPE)]
        if not terms.charged.get(BAG):
            points.append(reach(0, BAG))
        return Front(((0, (0,)),), tuple(points))

    prices = {BAG: 800, ROPE: 300}
    claimed, _ = _claim(ask, TERMS._replace(charged=prices))
    assert asked == [prices, {ROPE: 300}, {ROPE: 300, BAG: 300}]
    assert claimed == {ROPE: 300, BAG: 300}
    assert _take_off(prices, claimed) == {BAG: 500, ROPE: 0}


def test_what_two_legs_bought_is_paid_for_once() -> None:
    two = Remedy(BUY, "bag", count=2, price_cents=1600)
    [joint] = _unite([Joint((8,), (BAG, LESSON), ())], [reach(4, ROPE, two)])
    assert joint.values == (12,)
    assert joint.remedies == (two, ROPE, LESSON)
    assert joint.limit == Limit(2400, 0)


def test_nobody_takes_two_lessons() -> None:
    assert _unite([Joint((8,), (LESSON,), ())], [reach(4, OTHER)]) == []
    assert len(_unite([Joint((8,), (LESSON,), ())], [reach(4, LESSON)])) == 1


def test_rows_are_kept_that_reach_more_than_all_that_cost_no_more() -> None:
    rows = [(0, (9,)), (5, (9,)), (5, (7,)), (7, (8,)), (9, (0,))]
    assert _drop_beaten(rows, lambda one: one) == [(0, (9,)), (5, (7,)), (9, (0,))]
