"""What a trip's cover must come to: as good as with unlimited kit within its room and payload."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build import Rules, TermsBook, TripModel, Variables, build_model
from kitplan.fleet.nouns import Goal
from kitplan.solve.begin import find_least_short, name_decisions, spread
from kitplan.solve.run import Budget, Clock, run, run_soon, start_from
from kitplan.solve.singles import HEAVY

if TYPE_CHECKING:
    from fractions import Fraction

    from kitplan.fleet.nouns import Outing
    from kitplan.solve.run import Answer

LEAST_S = 30.0  # seconds for each of the steps that all the rest begins with
PEOPLE = ("seat", "steer", "place", "ahead", "rank")
AIMS = ("uncovered", "one_bank")
# The solver's deterministic time for one run, and the part of the time that is spent then.
UNITS = {
    "short": 4.0,
    "spread": 0.3,
    "near": 2.0,
    "floor": 1.0,
    "together": 3.0,
    "uncovered": 8.0,
    "one_bank": 8.0,
}
PARTS = {"floor": 0.35, "together": 0.5, "uncovered": 0.75, "one_bank": 1.0}


@dataclass(frozen=True, slots=True)
class Limits:
    """The clock of one trip, and how its time is dealt out."""

    clock: Clock

    def budget(self, what: str) -> Budget:
        """Return the budget of one run; what all the rest begins with always has some seconds."""
        if what in PARTS:
            return Budget(self.clock, PARTS[what], UNITS[what])
        return Budget(Clock(max(LEAST_S, self.clock.left_s())), 1.0, UNITS[what])


def find_goal(outing: Outing, limits: Limits, share: Fraction | None = None) -> Goal | None:
    """Return the goal of a trip; None if no seating was found that keeps the rules.

    With `share` at least that share of the weight of its cases is to be covered from anywhere.
    """
    finder = _Finder(outing, limits)
    return finder.find(share) if finder.settle_seats() else None


class _Finder:
    """The best of one trip with all wares at hand."""

    def __init__(self, outing: Outing, limits: Limits) -> None:
        self.trip, self.needs, self.limits = outing.stocked, outing.asked, limits
        self.book = TermsBook(outing.stocked)
        self.rapids = sorted({case.rapid for case in self.needs.cases})
        self.exact = True
        self.rowing: int | None = None  # the fewest minutes of walking back up, if any are needed
        self._last: Answer | None = None
        self.start: dict[str, int] = {}  # decisions that keep the rules, by their names

    def settle_seats(self) -> bool:
        """Hold what comes before the aims at its least; say whether anybody can go.

        That somebody rows twice is tried only if there is no seating else.
        """
        if self._settle_short():
            return True
        self.rowing = self._find_rowing() if asks.may_row_twice(self.trip) else None
        return self.rowing is not None and self._settle_short()

    def _find_rowing(self) -> int | None:
        """Return the fewest minutes of walking back up; None: none are needed, or it is not known.

        Both are proven.
        """
        rules = self._rule(twice=False)
        if run(rules.v.model, None, self.limits.budget("short")).status != "infeasible":
            return None
        rules = self._rule(twice=True)
        answer = run(rules.v.model, rules.rowing(), self.limits.budget("short"))
        return answer.value if answer.status == "proven" else None

    def _rule(self, *, twice: bool) -> Rules:
        """Return the rules of all rapids in a model of their own."""
        rules = Rules(Variables(self.trip, self.trip.rapids, twice=twice))
        rules.add_all()
        return rules

    def _settle_short(self) -> bool:
        """Hold what is short of rules and spreads at its least; say whether anybody can go."""
        if not self.trip.tiers:
            rules = self._rule(twice=self.rowing is not None)
            rules.hold_rowing(self.rowing)
            answer = run(rules.v.model, None, self.limits.budget("short"))
            self.start = name_decisions(rules.v, answer) if answer.found else {}
            return answer.found
        short = find_least_short(self.trip, [], self.rowing, self.limits.budget("short"))
        if short is None:
            return False
        self.exact &= short.at_most == short.bounds
        self.trip = replace(self.trip, short_at_most=short.at_most)
        self.start = short.decided
        return True

    def find(self, share: Fraction | None) -> Goal | None:
        """Return the goal; floors first, then whether all rapids can stand at them at once."""
        self.tm = build_model(self.trip, self.needs, self.rowing, book=self.book)
        self._last = self._begin()
        if self._last is None:
            return None
        start_from(self.tm.model, self._last.list_values())
        floors = {rapid: self._find_floor(rapid) for rapid in self.rapids}
        sums = sum(f[0] for f in floors.values()), sum(f[1] for f in floors.values())
        if not (self._stands_at(sums) or self._join(floors)):
            self._minimise(sums)
        best = self._count(AIMS[0]), self._count(AIMS[1])
        if best[0] > sums[0]:
            # A floor of the second aim holds only for who stands at that of the first.
            floors = {rapid: (floor[0], 0) for rapid, floor in floors.items()}
        weight = sum(case.weight for case in self.needs.cases.values())
        together = best == sums
        whole = Goal(
            self.trip.short_at_most, best[0], best[1], floors, self.exact or together, together,
            best, weight, decided=self._read(), rowing=self.rowing,
        )  # fmt: skip
        return whole if share is None else _take_share(whole, share)

    def _stands_at(self, sums: tuple[int, int]) -> bool:
        """Say whether the best plan so far has no rapid above its floors."""
        return (self._count(AIMS[0]), self._count(AIMS[1])) == sums

    def _join(self, floors: dict[str, tuple[int, int]]) -> bool:
        """Look for a plan that has all rapids at their floors at once; say whether there is one."""
        trial = self.tm.model.clone()
        for rapid, floor in floors.items():
            for aim, least in zip(AIMS, floor, strict=True):
                trial.add(self.tm.gap[rapid][aim] <= least)
        answer = run(trial, None, self.limits.budget("together"))
        if answer.found:
            self._last = answer
        return answer.found

    def _begin(self) -> Answer | None:
        """Return a plan that is good and soon found: people spread out and held, the rest open."""
        decided = self.start
        if len(self.trip.legs) == 1 and self.rowing is None:
            budget = self.limits.budget("spread")
            decided = spread(self.trip, self.needs, self.start, budget) or self.start
        model = self.tm.model.clone()
        for what, variable in self.tm.v.list_decisions(model):
            if variable.name in decided and what in PEOPLE:
                model.add(variable == decided[variable.name])
        first, second = (self.tm.total(aim) for aim in AIMS)
        answer = run(model, HEAVY * first + second, self.limits.budget("near"))
        return answer if answer.found else None

    @property
    def _best(self) -> Answer:
        if self._last is None:
            message = "nothing was found yet"
            raise ValueError(message)
        return self._last

    def _count(self, aim: str) -> int:
        """Return what the best plan so far comes to."""
        return self._best.evaluate(self.tm.total(aim))

    def _read(self) -> dict[str, int]:
        """Return the decisions of the best plan so far by their names."""
        names, values = self.tm.model.proto.variables, self._best.list_values()
        return {names[n].name: values[n] for n in range(self.tm.v.decided)}

    def _find_floor(self, rapid: str) -> tuple[int, int]:
        """Return the least that a rapid adds to both aims, with all to itself; 0 without time."""
        if not self.limits.clock.left_s(PARTS["floor"]):
            return 0, 0
        twice = self.rowing is not None
        variables = Variables(self.trip, (rapid,), all_legs=False, twice=twice)
        alone = TripModel(variables, self.needs, book=self.book)
        alone.rules.hold_rowing(self.rowing)
        values = []
        for aim in AIMS:
            answer = run_soon(alone.model, alone.gap[rapid][aim], self.limits.budget("floor"))
            values.append(answer.bound)
            if answer.status != "proven":
                break
            alone.model.add(alone.gap[rapid][aim] <= answer.value)
        first, second = (*values, 0)[:2]
        return first, second

    def _minimise(self, sums: tuple[int, int]) -> None:
        """Find the least of both aims over all rapids, the first one first, as time allows."""
        for number, aim in enumerate(AIMS):
            total = self.tm.total(aim)
            if number == 0 or self._count(AIMS[0]) == sums[0]:
                self.tm.model.add(total >= sums[number])
            answer = run(self.tm.model, total, self.limits.budget(aim))
            self.exact &= answer.status == "proven"
            if not answer.found:
                return
            self._last = answer
            self.tm.model.add(total <= answer.value)
            start_from(self.tm.model, answer.list_values())


def _take_share(whole: Goal, share: Fraction) -> Goal:
    """Return a goal that asks for a share of the weight only, from at least one bank."""
    most = int((1 - share) * whole.weight)
    floors = {rapid: (floor[0], 0) for rapid, floor in whole.floors.items()}
    reached = whole.uncovered <= most
    return replace(
        whole,
        uncovered=max(most, whole.uncovered),
        one_bank=None,
        floors=floors,
        reached=reached,
    )
