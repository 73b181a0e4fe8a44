"""What a trip can reach within a budget, with some people on standby brought: one widened trip.

The aims in turn, then the least cost, the fewest changes, the fewest copies and the first names.
What is to be carried (aim 1) needs no model of what is done at rapids. For aims 2 and 3 each rapid
alone is asked first what it could do within the budget: if all can stand there at once, that is
proven; else each aim is minimised over all rapids. One model of all of them is built, and each
question is put to a clone of it, from the best solution so far.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from kitplan.build import Rules, TripModel, Variables
from kitplan.build.mending import Bill
from kitplan.build.variables import add_up
from kitplan.needs.widen import widen
from kitplan.solve.begin import name_decisions
from kitplan.solve.floors import COVER_AIMS
from kitplan.solve.parts import (
    NEVER,
    Asked,
    Limit,
    hint,
    hold_floors,
    list_parts,
    list_short,
    stand_at,
    sum_floors,
)
from kitplan.solve.read import read_arrangement
from kitplan.solve.run import run, start_from

if TYPE_CHECKING:
    from collections.abc import Callable

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.plan import Arrangement
    from kitplan.remedies import Remedy
    from kitplan.solve.parts import Floors, Part, Values
    from kitplan.solve.run import Answer, Budget, Clock
    from kitplan.trip import Trip

WEIGHED = 40  # names that are put in order by one question, each weighing twice the next


@dataclass(frozen=True, slots=True)
class Reached:
    """The best that was found: values of aims by name, by which remedies, and how all is arranged.

    The arrangement goes by the people of the trip with the remedies made.
    """

    values: Values
    remedies: tuple[Remedy, ...]
    arrangement: Arrangement

    @property
    def price_cents(self) -> int:
        """Return what all remedies cost."""
        return sum(one.price_cents for one in self.remedies)

    def keeps_to(self, limit: Limit) -> bool:
        """Say whether the remedies keep to a limit."""
        return limit.allows(Limit(self.price_cents, sum(one.mass_g for one in self.remedies)))

    @property
    def key(self) -> tuple[object, ...]:
        """Return what the best is by: aims, price, changes, copies, names."""
        copies = sum(one.count for one in self.remedies)
        return (
            tuple(self.values.values()),
            self.price_cents,
            len(self.remedies),
            copies,
            self.remedies,
        )


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one question: the best, or None where it was left out or not found.

    `bounds`: values that nothing within the limit can beat. `least_cents`: no plan with values as
    good as those reached, or as the bar that was given, costs less; `brought_cents`: nor does any.
    """

    reached: Reached | None
    bounds: Values
    least_cents: int
    brought_cents: int

    def least_for(self, values: Values) -> int | None:
        """Return what values cost at least that another one reached; None: out of reach for it."""
        bounds, asked = tuple(self.bounds.values()), tuple(values.values())
        if bounds > asked:
            return None
        return self.least_cents if bounds == asked else self.brought_cents


class Reach:
    """One widened trip, and what has been found out about it."""

    def __init__(self, trip: Trip, bring: tuple[str, ...], clock: Clock, *, demands: bool) -> None:
        """Build the model of the rules; nothing is solved yet."""
        self.clock = clock
        self.widened = widen(trip, bring)
        wide = self.widened.trip
        self.cover = COVER_AIMS if demands else COVER_AIMS[:2]
        bare = Variables(wide, ())
        rules = Rules(bare)
        rules.add_all()
        self.bare = Asked(bare, Bill(bare, self.widened), clock)
        self.short = list_short(rules)
        self.start: list[int] = []  # values of the best solution so far, to begin from
        self._known: list[tuple[Limit, Outcome]] = []

    @cached_property
    def tm(self) -> TripModel:
        """Return the model of all rapids."""
        wide = self.widened.trip
        return TripModel(Variables(wide, wide.rapids), self.widened.needs)

    @cached_property
    def whole(self) -> Asked:
        """Return the model of all rapids with its bill."""
        return Asked(self.tm.v, Bill(self.tm.v, self.widened), self.clock)

    @cached_property
    def aims(self) -> dict[str, Linear]:
        """Return the aims by name, in their order."""
        return list_short(self.tm.rules) | {aim: self.tm.total(aim) for aim in self.cover}

    @cached_property
    def parts(self) -> list[Part]:
        """Return the legs, or the rapids of a single one, by themselves."""
        return list_parts(self.widened, self.cover, self.clock)

    @property
    def brought_cents(self) -> int:
        """Return what it costs to bring those who are brought."""
        return self.bare.bill.brought_cents

    def find(self, limit: Limit, bar: Reached | None = None) -> Outcome:
        """Return the best within a limit; nothing where it is no better than the bar."""
        for known, outcome in self._known:
            if outcome.reached and known.allows(limit) and outcome.reached.keeps_to(limit):
                return outcome
        looser = [outcome.bounds for known, outcome in self._known if known.allows(limit)]
        none = dict.fromkeys(self.aims, 0)
        least = max(looser, key=lambda one: tuple(one.values()), default=none)
        if bar and tuple(least.values()) > tuple(bar.values.values()):
            return Outcome(None, least, self.brought_cents, self.brought_cents)
        outcome = Search(self, limit, bar).settle()
        self._known.append((limit, outcome))
        return outcome


class Search:
    """One question put to a reach: aim after aim, each held before the next."""

    def __init__(self, reach: Reach, limit: Limit, bar: Reached | None) -> None:
        """Solve nothing yet."""
        self.reach, self.limit, self.bar = reach, limit, bar
        self.bounds = dict.fromkeys(reach.aims, 0)
        self.values: Values = {}
        self.level = bar is not None  # every aim so far is as good as the bar's, and no better
        self.at_floors = True
        self.floors: Floors = []
        self.least_cents = reach.brought_cents
        self.model = reach.whole.limit(limit)
        self.answer: Answer | None = None

    def settle(self) -> Outcome:
        """Return what comes of it."""
        reached = None
        if self._settle_short() and self._settle_cover() and self._settle_cost():
            self._settle_few()
            reached = self._read()
        return Outcome(reached, self.bounds, self.least_cents, self.reach.brought_cents)

    # --- aims -----------------------------------------------------------------------------------

    def _settle_short(self) -> bool:
        """Settle what is to be carried, without the rapids; say whether the bar can be reached."""
        bare = self.reach.bare
        model, last = bare.limit(self.limit), None
        if not self.reach.short:
            last = run(model, None, bare.units("short"))
            if not last.found:
                return self._end(last)
        for aim, total in self.reach.short.items():
            last = self._minimise(model, aim, total, bare.units("short"))
            if last is None:
                return False
        if last is None:
            return False
        for aim in self.reach.short:
            self.model.add(self.reach.aims[aim] <= self.values[aim])
        if not self.reach.start:
            hint(self.reach.tm.v, self.model, name_decisions(bare.v, last))
        cost = run(model, bare.bill.cost(), bare.units("short"))
        self.least_cents = max(self.least_cents, cost.bound)
        return True

    def _settle_cover(self) -> bool:
        """Settle what is covered; say whether the bar can be reached."""
        short = {aim: self.values[aim] for aim in self.reach.short}
        self.floors = [(part, part.find(self.limit, short)) for part in self.reach.parts]
        if all(floor.proven for _, floor in self.floors):
            self._begin(self.model)
            budget = self.reach.whole.units("at once")
            answer = stand_at(self.model, self.reach.tm, self.floors, budget)
            if answer is not None:
                self.answer = answer
                self.least_cents = max([self.least_cents, *(f.least_cents for _, f in self.floors)])
                totals = sum_floors(self.floors, self.reach.cover)
                return all(self._compare(aim, value, value) for aim, value in totals.items())
        return all(self._settle_cover_aim(aim) for aim in self.reach.cover)

    def _settle_cover_aim(self, aim: str) -> bool:
        if self.at_floors:
            hold_floors(self.model, self.reach.tm, self.floors, aim)
        self._begin(self.model)
        total = self.reach.aims[aim]
        answer = self._minimise(self.model, aim, total, self.reach.whole.units("all"))
        if answer is None:
            return False
        self.answer = answer
        self.at_floors &= answer.value == sum_floors(self.floors, [aim])[aim]
        return True

    def _minimise(
        self, model: cp_model.CpModel, aim: str, total: Linear, budget: Budget
    ) -> Answer | None:
        """Minimise an aim and hold it; None where the bar is out of reach, or nothing was found."""
        if self.bar and self.level:
            model.add(total <= self.bar.values[aim])
        answer = run(model, total, budget)
        if not answer.found:
            self._end(answer, aim)
            return None
        if not self._compare(aim, answer.value, answer.bound):
            return None
        model.add(total <= answer.value)
        start_from(model, answer.list_values())
        return answer

    def _compare(self, aim: str, value: int, bound: int) -> bool:
        """Note an aim; say whether the bar can still be reached."""
        proven = all(self.bounds[one] == v for one, v in self.values.items())
        self.values[aim] = value
        # Of what is not proven something better may be worse in all that comes later.
        self.bounds[aim] = bound if proven else 0
        if self.bar and self.level:
            self.level = value == self.bar.values[aim]
            return value <= self.bar.values[aim]
        return True

    def _end(self, answer: Answer, aim: str = "") -> bool:
        """Note that nothing was found, and why: no better than the bar, or no plan at all."""
        proven = all(self.bounds[one] == v for one, v in self.values.items())
        if answer.status == "infeasible" and proven:
            over = self.bar.values[aim] + 1 if self.bar and self.level and aim else NEVER
            self.bounds[aim or next(iter(self.bounds))] = over
        return False

    # --- cost, changes, names -------------------------------------------------------------------

    def _settle_cost(self) -> bool:
        """Find the least that the aims cost; say whether it is no dearer than the bar's."""
        whole = self.reach.whole
        cost = whole.bill.cost()
        self.model.add(cost >= self.least_cents)
        if self.bar and self.level:
            self.model.add(cost <= self.bar.price_cents)
        for aim, value in self.values.items():
            self.model.add(self.reach.aims[aim] <= value)
        self._begin(self.model)
        answer = run(self.model, cost, whole.units("cost"))
        if answer.found:
            self.answer, self.least_cents = answer, max(self.least_cents, answer.bound)
        elif answer.status == "infeasible" and self.bar and self.level:
            self.least_cents = self.bar.price_cents + 1
        return answer.found or not self.level

    def _settle_few(self) -> None:
        """Take the fewest changes at that price, then the fewest copies, then the first names."""
        bill = self.reach.whole.bill
        self._hold(bill.cost())
        most = 1 + sum(kit.offered for kit in self.reach.widened.trip.kit.values())
        self._improve(most * bill.changes() + bill.pieces())
        self._hold(bill.changes())
        self._hold(bill.pieces())
        # Among plans that may be too dear nobody cares for names.
        proven = self._evaluate(bill.cost()) == self.least_cents
        if proven and self._evaluate(bill.changes()) > len(self.reach.widened.brought):
            self._settle_names()

    def _settle_names(self) -> None:
        """Take the first names in sorted order, the fewest copies of the first."""
        bill, left = self.reach.whole.bill, self._price()
        names = [(remedy, one) for remedy, one in bill.made.items() if remedy.price_cents <= left]
        for n in range(0, len(names), WEIGHED):
            some = [one for _, one in names[n : n + WEIGHED]]
            for one in some:
                # It is not to be said of what is not bought.
                self.model.add(one <= bill.count(one))
            self._improve(add_up(-(2**k) * one for k, one in enumerate(reversed(some))))
            self._hold(*some)
        made = [bill.count(one) for _, one in names if self._evaluate(one)]
        for count in made[:-1] if self._evaluate(bill.pieces()) > len(made) else ():
            self._improve(count)
            self._hold(count)

    def _improve(self, aim: Linear) -> None:
        """Minimise, and take what is found; there is an answer to fall back on."""
        self._begin(self.model)
        answer = run(self.model, aim, self.reach.whole.units("few"))
        self.answer = answer if answer.found else self.answer

    def _hold(self, *these: Linear) -> None:
        for one in these:
            self.model.add(one == self._evaluate(one))

    def _price(self) -> int:
        return self._evaluate(self.reach.whole.bill.cost()) - self.reach.brought_cents

    def _evaluate(self, one: Linear) -> int:
        return self._found.evaluate(one)

    @property
    def _found(self) -> Answer:
        if self.answer is None:
            message = "nothing was found yet"
            raise RuntimeError(message)
        return self.answer

    # --- where to begin, what was found ---------------------------------------------------------

    def _begin(self, model: cp_model.CpModel) -> None:
        """Let a model start from the best solution so far."""
        start = self.answer.list_values() if self.answer else self.reach.start
        if start:
            start_from(model, start)

    def _read(self) -> Reached:
        widened, v = self.reach.widened, self.reach.tm.v
        self.reach.start = self._found.list_values()
        arrangement = read_arrangement(v, self._found.read)
        return Reached(
            {aim: self._evaluate(total) for aim, total in self.reach.aims.items()},
            self.reach.whole.bill.list_remedies(self._found.read),
            rename(arrangement, widened.name_person),
        )


def rename(plan: Arrangement, person: Callable[[str], str]) -> Arrangement:
    """Return an arrangement with people named as they are once they are taught."""
    packed = (replace(row, worn_by=row.worn_by and person(row.worn_by)) for row in plan.packed)
    return replace(
        plan,
        crew={boat: tuple(sorted(map(person, crew))) for boat, crew in plan.crew.items()},
        steerer={boat: person(p) for boat, p in plan.steerer.items()},
        packed=tuple(sorted(packed)),
        twice={key: person(p) for key, p in plan.twice.items()},
    )
