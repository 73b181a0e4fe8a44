"""Who pays for what: what a leg, or the rules, can reach for so much of what is charged to it.

Legs have nothing in common but what is bought and taught. If each thing is charged to one *payer*,
and free for all others, then what they do for what is charged to them adds up: for so much money in
all nothing beats the sum of what each could do for its share. So that is a bound for the trip,
whoever is charged with what; and where the things that each one bought come to just that, it is the
trip's best.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from kitplan.build.variables import add_up
from kitplan.solve.begin import name_decisions
from kitplan.solve.parts import NEVER, Limit, hint
from kitplan.solve.run import Budget, run, start_from

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.remedies import Remedy
    from kitplan.solve.parts import Asked, Values
    from kitplan.solve.run import Answer

Vector = tuple[int, ...]
"""What a payer adds to each of its aims."""
Charged = dict["Remedy", int]
"""What a payer is charged for one copy, in cents; what is not in it is free."""

# The solver's deterministic time for one question.
AIM, NEAR, CHEAP, SOME = 20.0, 1.0, 8.0, 2.5
COPIES = 1000  # a cent outweighs so many copies; all that is bought comes to fewer
CHOSEN = ("seat", "steer", "place", "station")
"""Kinds of decisions that stay while it is looked what of all that is bought is needed."""


class Terms(NamedTuple):
    """On which terms a payer is asked: what is charged to it, what all may cost, what be short.

    `loose`: what is short with nothing bought; bounds are asked with it, as they hold for less.
    """

    charged: Charged
    limit: Limit
    short: Values
    loose: Values


class Bound(NamedTuple):
    """With at most so many cents charged (None: any) nothing on these terms beats some values."""

    terms: Terms
    cents: int | None
    least: Vector

    def holds_for(self, terms: Terms, cents: int | None) -> bool:
        """Say whether it holds on other terms: more charged, less money, less short."""
        tighter = self.cents is None or (cents is not None and cents <= self.cents)
        held = all(n <= self.terms.short[tier] for tier, n in terms.short.items())
        more = all(n <= terms.charged.get(one, 0) for one, n in self.terms.charged.items())
        charged = self.cents is None or more
        return tighter and held and charged and self.terms.limit.allows(terms.limit)


@dataclass(frozen=True, slots=True)
class Point:
    """Values that were reached with some remedies, and what was decided, by names of variables."""

    values: Vector
    remedies: tuple[Remedy, ...]
    short: Values
    decided: Values

    def charge(self, charged: Charged) -> int:
        """Return what of its price is charged, in cents."""
        each = {name_change(one): cents for one, cents in charged.items()}
        return sum(one.count * each.get(name_change(one), 0) for one in self.remedies)

    def keeps_to(self, terms: Terms, cents: int | None, *, loose: bool = False) -> bool:
        """Say whether it keeps to terms, and to so many cents charged."""
        of = Limit(sum(one.price_cents for one in self.remedies),
                   sum(one.mass_g for one in self.remedies))  # fmt: skip
        most = terms.loose if loose else terms.short
        held = all(n <= most[tier] for tier, n in self.short.items())
        cheap = cents is None or self.charge(terms.charged) <= cents
        return held and cheap and terms.limit.allows(of)


@dataclass(frozen=True, slots=True)
class Front:
    """What a payer reaches on some terms, the dearest first.

    `bounds`: a stair of cents charged and values: with fewer cents than those of one before,
    nothing beats the values of the next. `points`: what was reached.
    """

    bounds: tuple[tuple[int, Vector], ...]
    points: tuple[Point, ...]


def name_change(remedy: Remedy) -> tuple[str, str, str, int]:
    """Return what a remedy is, however many copies of it."""
    return remedy.sort, remedy.name, remedy.skill, remedy.level


class Payer:
    """A model by itself: what it reaches is asked from the dearest step down to nothing charged."""

    def __init__(self, asked: Asked, aims: dict[str, Linear], short: dict[str, Linear]) -> None:
        """Know nothing yet. `aims` in their order; `short` is held, tier by tier."""
        self.asked, self.aims, self.short = asked, aims, short
        self.prices: Charged = {one: one.price_cents for one in asked.bill.made}
        self._floors: list[dict[str, tuple[Linear, int]]] = []  # of its parts, aim by aim
        self._floor: Vector = (0,) * len(aims)
        self._bounds: list[Bound] = []
        self._points: list[Point] = []  # whatever was reached
        self._cheap: list[Point] = []  # with no more bought than needed, as far as time went

    def add_floors(self, floors: list[dict[str, tuple[Linear, int]]], terms: Terms) -> None:
        """Note what parts of it can't beat with nothing charged: a bound, and a cut in models."""
        self._floors = floors
        self._floor = tuple(sum(one[aim][1] for one in floors) for aim in self.aims)
        self._bounds.append(Bound(terms, None, self._floor))

    def find_front(self, terms: Terms) -> Front:
        """Return all steps on some terms, as far as time goes."""
        cents: int | None = None
        while self.asked.clock.left_s():
            point = self._find_point(terms, cents)
            if point is None or not (charged := point.charge(terms.charged)):
                break
            cents = charged - 1
        return self._tell(terms)

    def _tell(self, terms: Terms) -> Front:
        """Return what is known on some terms."""
        there = [one for one in self._bounds if one.holds_for(terms, one.cents)]
        there.sort(key=lambda one: NEVER if one.cents is None else one.cents)
        stair: list[tuple[int, Vector]] = []
        start = 0
        for n, one in enumerate(there):
            if start < NEVER:
                stair.append((start, max(other.least for other in there[n:])))
            start = NEVER if one.cents is None else one.cents + 1
        if start < NEVER:
            stair.append((start, (0,) * len(self.aims)))
        points = [one for one in self._cheap if one.keeps_to(terms, None)]
        return Front(tuple(stair[::-1]), tuple(points))

    # --- one step -------------------------------------------------------------------------------

    def _find_point(self, terms: Terms, cents: int | None) -> Point | None:
        """Return the cheapest of the best for so many cents charged; None: none was found.

        What holds with more short holds with less, so it is asked first what can be so.
        """
        point = self._find_cheap(terms, cents)
        if point is None and terms.short != terms.loose:
            point = self._find_cheap(terms._replace(loose=terms.short), cents)
        return point

    def find_bound(self, terms: Terms, cents: int | None) -> Vector:
        """Return what nothing for so many cents charged beats, with what is short left loose."""
        asked = terms._replace(short=terms.loose)
        none = (0,) * len(self.aims)
        most = cents
        if terms.limit.cents is not None:
            # No more is charged than all costs.
            most = terms.limit.cents if cents is None else min(cents, terms.limit.cents)
        known = [one.least for one in self._bounds if one.holds_for(asked, most)]
        low = max(known, default=none)
        there = [p for p in self._points if p.keeps_to(terms, cents, loose=True)]
        best = min(there, key=lambda one: one.values, default=None)
        if best is None or best.values != low:
            best = self._move(asked, cents, low) or best
        least = low if best and best.values == low else self._minimise(asked, cents, low, best)
        self._bounds.append(Bound(asked, cents, least))
        return least

    def _move(self, terms: Terms, cents: int | None, values: Vector) -> Point | None:
        """Return what has some values on other terms, packed anew to keep to these; None: can't."""
        for one in [one for one in self._cheap if one.values == values][:1]:
            model = self._limit(terms, cents)
            for total, value in zip(self.aims.values(), values, strict=True):
                model.add(total <= value)
            answer = self._keep(model, one.decided, self._price())
            point = self._note(answer) if answer else None
            self._cheap += [point] if point else []
            return point
        return None

    def find_some(self, terms: Terms) -> None:
        """Find something good on some terms soon, so that there is a start; it proves nothing."""
        model = self._limit(terms, None)
        for total in self.aims.values():
            answer = run(model, total, self._budget(SOME))
            if self._note(answer) is None:
                return
            model.add(total <= answer.value)
            start_from(model, answer.list_values())

    def _minimise(self, terms: Terms, cents: int | None, low: Vector, best: Point | None) -> Vector:
        """Minimise aim after aim, between what is known to be a bound and what was reached."""
        model = self._limit(terms, cents)
        if best:
            hint(self.asked.v, model, best.decided)
        if not self.aims:
            self._note(run(model, None, self._budget(AIM)))
        values: Vector = ()
        for n, (aim, total) in enumerate(self.aims.items()):
            least = low[n] if values == low[:n] else 0
            most = best.values[n] if best and values == best.values[:n] else NEVER
            if least < most:
                model.add(total >= least)
                self._hold_floors(model, aim, values)
                answer = run(model, total, self._budget(AIM))
                self._note(answer)
                at_least = answer.found and answer.value == least  # known to be a bound
                if answer.status != "proven" and not at_least:
                    bound = NEVER if answer.status == "infeasible" else max(least, answer.bound)
                    rest = (0,) * (len(low) - n - 1)
                    return max(low, (*values, bound, *rest))
                start_from(model, answer.list_values())
                least = answer.value
            values = (*values, least)
            model.add(total <= least)
        return values

    def _hold_floors(self, model: cp_model.CpModel, aim: str, values: Vector) -> None:
        """Say that no part is below its floor, while all are at those of the aims before."""
        if values == self._floor[: len(values)]:
            for floors in self._floors:
                total, least = floors[aim]
                model.add(total >= least)

    def _find_cheap(self, terms: Terms, cents: int | None) -> Point | None:
        """Return the best, with the least that all costs, then the fewest copies; None: not found.

        First all but what is packed stays as it was; then it is asked for any.
        """
        least = self.find_bound(terms, cents)
        there = [one for one in self._points if one.keeps_to(terms, cents, loose=True)]
        if not there or max(least, default=0) >= NEVER:
            return None
        # What was found is no bound where it is not proven, but the best that there is.
        best = min(there, key=lambda one: one.values)
        known = [one for one in self._cheap if one.keeps_to(terms, cents)
                 and one.values <= best.values]  # fmt: skip
        if known:
            return min(known, key=lambda one: one.charge(terms.charged))
        model = self._limit(terms, cents)
        for total, value in zip(self.aims.values(), best.values, strict=True):
            model.add(total <= value)
        price = self._price()
        near = self._keep(model, best.decided, price)
        if near is not None:
            start_from(model, near.list_values())
        answer = run(model, price, self._budget(CHEAP))
        answer = answer if answer.found or near is None else near
        if not answer.found:
            return None
        # What is taken without need may be in the way of what other legs take.
        model.add(price <= answer.evaluate(price))
        taken = add_up(self.asked.v.taken.values())
        light = self._keep(model, name_decisions(self.asked.v, answer), taken)
        point = self._note(light or answer)
        self._cheap += [point] if point else []
        return point

    def _keep(self, model: cp_model.CpModel, decided: Values, total: Linear) -> Answer | None:
        """Return the least with seats, order and stations as they are; None: not found."""
        near = model.clone()
        for kind, variable in self.asked.v.list_decisions(near):
            if variable.name in decided:
                if kind in CHOSEN:
                    near.add(variable == decided[variable.name])
                near.add_hint(variable, decided[variable.name])
        answer = run(near, total, self._budget(NEAR))
        return answer if answer.found else None

    # --- small parts ----------------------------------------------------------------------------

    def _limit(self, terms: Terms, cents: int | None) -> cp_model.CpModel:
        """Return a clone of the model on some terms."""
        model = self.asked.limit(terms.limit)
        for tier, total in self.short.items():
            model.add(total <= terms.short[tier])
        if cents is not None:
            model.add(self._charge(terms.charged) <= cents)
        return model

    def _price(self) -> Linear:
        bill = self.asked.bill
        return COPIES * bill.cost() + bill.changes() + bill.pieces()

    def _charge(self, charged: Charged) -> Linear:
        bill = self.asked.bill
        return add_up(cents * bill.count(bill.made[one]) for one, cents in charged.items()
                      if one in bill.made)  # fmt: skip

    def _budget(self, deterministic: float) -> Budget:
        return Budget(self.asked.clock, 1.0, deterministic)

    def _note(self, answer: Answer) -> Point | None:
        """Note what was reached."""
        if not answer.found:
            return None
        point = Point(
            tuple(answer.evaluate(total) for total in self.aims.values()),
            self.asked.bill.list_remedies(answer.read),
            {tier: answer.evaluate(total) for tier, total in self.short.items()},
            name_decisions(self.asked.v, answer),
        )
        self._points.append(point)
        return point
