"""Parts of a widened trip by themselves, a rapid or a leg: what they can do within a limit.

A part has the whole party, all kit and all that can be had to itself. What its own parts can do is
a floor under what it does; if all can stand there at once, that is its best.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from kitplan.build import TripModel, Variables
from kitplan.build.mending import Bill
from kitplan.build.variables import add_up
from kitplan.solve.begin import name_decisions
from kitplan.solve.legs import split_leg
from kitplan.solve.run import Budget, run, run_soon, start_from

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ortools.sat.python import cp_model

    from kitplan.build import Rules
    from kitplan.build.variables import Linear
    from kitplan.needs.widen import Widened
    from kitplan.solve.run import Answer, Clock

Values = dict[str, int]
NEVER = 2**40  # more than any aim comes to
# The solver's deterministic time for one question.
UNITS = {
    "short": 4.0,
    "rapid": 4.0,
    "leg": 20.0,
    "at once": 8.0,
    "all": 10.0,
    "cost": 8.0,
    "few": 2.0,
}


class Limit(NamedTuple):
    """The most that all remedies may cost, in cents, and weigh, in grams; None: no limit."""

    cents: int | None = None
    mass_g: int | None = None

    def allows(self, other: Limit) -> bool:
        """Say whether whatever keeps to another limit keeps to this one."""
        pairs = ((self.cents, other.cents), (self.mass_g, other.mass_g))
        return all(a is None or (b is not None and b <= a) for a, b in pairs)


@dataclass(frozen=True, slots=True)
class Asked:
    """A model with its bill, of which questions are asked."""

    v: Variables
    bill: Bill
    clock: Clock

    def limit(self, limit: Limit) -> cp_model.CpModel:
        """Return a clone of the model in which remedies keep to a limit."""
        model = self.v.model.clone()
        if limit.cents is not None:
            model.add(self.bill.cost() <= limit.cents)
        if limit.mass_g is not None:
            model.add(self.bill.mass_g() <= limit.mass_g)
        return model

    def units(self, step: str) -> Budget:
        """Return how long a step may take."""
        return Budget(self.clock, 1.0, UNITS[step])


@dataclass(frozen=True, slots=True)
class Floor:
    """What a part can do within a limit, whether that is proven, and what it costs at least.

    `least_cents` is that of the values. `price_cents`, `mass_g`: of what was found to have them,
    and `decided` are its decisions by the names of their variables.
    """

    values: Values
    proven: bool
    least_cents: int
    price_cents: int = 0
    mass_g: int = 0
    decided: Values = field(default_factory=dict)


class Part:
    """A rapid or a leg by itself. Its model is built when it is first asked."""

    def __init__(
        self,
        widened: Widened,
        rapids: tuple[str, ...],
        cover: tuple[str, ...],
        clock: Clock,
        leg: int | None = None,
    ) -> None:
        """Note what it is: a leg, if its number is given, with its rapids, else one rapid."""
        self.rapids, self._cover, self._clock, self._leg = rapids, cover, clock, leg
        self._widened = widened
        self.parts = [
            Part(widened, (rapid,), cover, clock) for rapid in (rapids if leg is not None else ())
        ]
        self._asked: tuple[TripModel, Asked] | None = None
        self._known: list[tuple[Limit, Values, Floor]] = []

    def sum_gaps(self, tm: TripModel, aim: str) -> Linear:
        """Return what this part adds to an aim in a model in which it is."""
        return add_up(tm.gap[rapid][aim] for rapid in self.rapids)

    def find(self, limit: Limit, short: Values) -> Floor:
        """Return the best within a limit, with no more short than given by tier.

        What is known of a looser limit may do.
        """
        for known, held, floor in self._known:
            within = Limit(floor.price_cents, floor.mass_g)
            same = self._leg is None or held == short
            loose = floor.proven and known.allows(limit) and limit.allows(within)
            if same and (known == limit or loose):
                return floor
        floor = self._solve(limit, short)
        self._known.append((limit, short, floor))
        return floor

    def _solve(self, limit: Limit, short: Values) -> Floor:
        tm, asked = self.build()
        model = asked.limit(limit)
        for aim, total in list_short(tm.rules).items():
            model.add(total <= short[aim])
        floors = [(part, part.find(limit, short)) for part in self.parts]
        answer = self._stand(model, tm, asked, floors)
        brought_cents = asked.bill.brought_cents
        least_cents = max([brought_cents, *(f.least_cents for _, f in floors if answer)])
        values = sum_floors(floors, self._cover)
        if answer is None:
            values, answer = self._settle_aims(model, tm, asked, floors)
        if answer is None:
            return Floor(values, proven=False, least_cents=brought_cents)
        return self._settle_cost(model, asked, (values, answer), least_cents)

    def _stand(
        self, model: cp_model.CpModel, tm: TripModel, asked: Asked, floors: Floors
    ) -> Answer | None:
        """Return a solution with all parts at their best, and hold it; None: none is known."""
        if not floors or not all(floor.proven for _, floor in floors):
            return None
        answer = stand_at(model, tm, floors, asked.units("at once"))
        for aim, value in sum_floors(floors, self._cover).items() if answer else ():
            model.add(self.sum_gaps(tm, aim) <= value)
        return answer

    def _settle_aims(
        self, model: cp_model.CpModel, tm: TripModel, asked: Asked, floors: Floors
    ) -> tuple[Values, Answer | None]:
        """Return the values of aims minimised in turn, and the solution; None: not proven."""
        values, at_floors = dict.fromkeys(self._cover, 0), True
        answer: Answer | None = None
        for aim in self._cover:
            if at_floors:
                hold_floors(model, tm, floors, aim)
            total = self.sum_gaps(tm, aim)
            answer = self._ask(model, total, asked.units("leg" if self.parts else "rapid"))
            values[aim] = answer.bound
            if answer.status != "proven":
                return values, None
            model.add(total <= answer.value)
            start_from(model, answer.list_values())
            at_floors &= answer.value == sum_floors(floors, [aim])[aim]
        return values, answer

    def _settle_cost(
        self, model: cp_model.CpModel, asked: Asked, best: tuple[Values, Answer], least_cents: int
    ) -> Floor:
        """Return the values with the least they cost; they are held already."""
        values, answer = best
        cost = asked.bill.cost()
        model.add(cost >= least_cents)
        start_from(model, answer.list_values())
        cheap = self._ask(model, cost, asked.units("cost" if self.parts else "rapid"))
        answer = cheap if cheap.found else answer
        return Floor(
            values,
            proven=True,
            least_cents=max(cheap.bound, least_cents),
            price_cents=answer.evaluate(cost),
            mass_g=answer.evaluate(asked.bill.mass_g()),
            decided=name_decisions(asked.v, answer),
        )

    def _ask(self, model: cp_model.CpModel, aim: Linear, budget: Budget) -> Answer:
        """Minimise: most questions about a rapid are over before a model is made smaller."""
        return run(model, aim, budget) if self.parts else run_soon(model, aim, budget)

    def build(self) -> tuple[TripModel, Asked]:
        """Return its model, built when it is first asked for."""
        if self._asked is None:
            trip, needs = self._widened.trip, self._widened.needs
            if self._leg is None:
                variables = Variables(trip, self.rapids, all_legs=False)
            else:
                trip, needs = split_leg(trip, needs, self._leg)
                variables = Variables(trip, trip.rapids)
            tm = TripModel(variables, needs)
            bill = Bill(variables, replace(self._widened, trip=trip))
            self._asked = tm, Asked(variables, bill, self._clock)
        return self._asked


Floors = list[tuple[Part, Floor]]


def list_parts(widened: Widened, cover: tuple[str, ...], clock: Clock) -> list[Part]:
    """Return the legs of a trip that has several, else the rapids, but for those asked nothing."""
    if len(widened.trip.legs) > 1:
        return list_legs(widened, cover, clock)
    rapids = sorted({case.rapid for case in widened.needs.cases})
    return [Part(widened, (rapid,), cover, clock) for rapid in rapids]


def list_legs(widened: Widened, cover: tuple[str, ...], clock: Clock) -> list[Part]:
    """Return the legs of a trip, but for those asked nothing."""
    rapids = sorted({case.rapid for case in widened.needs.cases})
    legs = range(len(widened.trip.legs))
    there = {
        leg: tuple(rapid for rapid in rapids if widened.trip.rapids[rapid].leg == leg)
        for leg in legs
    }
    return [Part(widened, some, cover, clock, leg) for leg, some in there.items() if some]


def stand_at(
    model: cp_model.CpModel, tm: TripModel, floors: Floors, budget: Budget
) -> Answer | None:
    """Return a solution in which all parts are at their best at once; None: none was found."""
    trial = model.clone()
    for part, floor in floors:
        for aim, value in floor.values.items():
            trial.add(part.sum_gaps(tm, aim) <= value)
    hint_floors(tm.v, trial, floors)
    answer = run(trial, None, budget)
    return answer if answer.found else None


def hold_floors(model: cp_model.CpModel, tm: TripModel, floors: Floors, aim: str) -> None:
    """Say of an aim that no part is below its floor; valid while all are at those before."""
    for part, floor in floors:
        model.add(part.sum_gaps(tm, aim) >= floor.values[aim])


def hint_floors(variables: Variables, model: cp_model.CpModel, floors: Floors) -> None:
    """Let a model start from what legs decided by themselves; rapids alone are no start."""
    decided = {
        name: value
        for part, floor in floors
        for name, value in (floor.decided if part.parts else {}).items()
        if not name.startswith("taken[")
    }
    if decided:
        model.clear_hints()  # type: ignore[no-untyped-call]
        hint(variables, model, decided)


def hint(variables: Variables, model: cp_model.CpModel, decided: Values) -> None:
    """Let a model start from decisions by the names of their variables."""
    for _, variable in variables.list_decisions(model):
        if variable.name in decided:
            model.add_hint(variable, decided[variable.name])


def sum_floors(floors: Floors, aims: Iterable[str]) -> Values:
    """Return what the floors of all parts come to."""
    return {aim: sum(floor.values[aim] for _, floor in floors) for aim in aims}


def list_short(rules: Rules) -> dict[str, Linear]:
    """Return what is short of each tier of rules and spreads, by the name of the aim."""
    tiers = rules.carriage.short if rules.carriage else {}
    return {f"short_of_{tier}": add_up(pieces) for tier, pieces in tiers.items()}
