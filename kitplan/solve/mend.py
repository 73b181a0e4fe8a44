"""What a trip can be made to reach for money: the goal, what it costs at least, and the curve.

First all that has a price is free: the best values of aims 1 to 3 are the goal. Then the least cost
that has them, the fewest changes at that cost, the fewest copies, the first names. With a budget it
is the best within it. The curve goes downwards: a cent less than before, the best within that, what
that costs at least, until nothing is bought.

Each set of people on standby is a widened trip of its own (`solve/reach`; `solve/shares` where it
is large and of several legs). What one of them reached
is a bar for the next: a set that can't get over it, or is dearer, is left out. No values are told
but those that are counted anew, of the trip with the remedies made.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Self

from kitplan.needs.widen import apply
from kitplan.remedies import Mend
from kitplan.solve.booths import Booths
from kitplan.solve.parts import Limit
from kitplan.solve.reach import Reach
from kitplan.solve.shares import Shares

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.plan import Arrangement
    from kitplan.solve.reach import Outcome, Reached
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

    Count = Callable[[Trip, Arrangement], dict[str, int]]
    """Counts the values of aims of an arrangement anew."""


FOR_FRONTS = 0.85  # of the limit, for legs by themselves; the rest is to put them together
LEAST_BY_LEGS = 30  # boats down rapids; below, one model of all rapids is soon solved


def goes_by_legs(trip: Trip) -> bool:
    """Say whether a trip is so large that its legs are asked by themselves (`solve/shares`)."""
    runs = sum(len(rapid.boats) for rapid in trip.rapids.values())
    return len(trip.legs) > 1 and runs >= LEAST_BY_LEGS


class Mending:
    """All that a trip can be made to reach by what has a price.

    Seats with which somebody has to row a second boat down a rapid are not looked at: where there
    are none else, nothing is reached.
    """

    def __init__(
        self, trip: Trip, count: Count, clock: Clock, *, demands: bool = False, workers: int = 1
    ) -> None:
        """Build nothing yet. With `demands` aim 4 is one of the aims."""
        self.trip, self.clock = trip, clock
        self._count, self._demands = count, demands
        self._reaches: dict[tuple[str, ...], Reach | Shares] = {}
        self._booths = Booths(clock.part(FOR_FRONTS), workers)
        self._counted: tuple[Reached, dict[str, int]] | None = None

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the processes of legs."""
        self._booths.close()

    def find_goal(self) -> Mend | None:
        """Return the best that all remedies together can do, and what it costs at least.

        None: no remedies give a plan at all, or time ran out before there was one.
        """
        return self.find_within(Limit())

    def find_within(self, limit: Limit) -> Mend | None:
        """Return the best within a budget and a mass; None as for the goal."""
        best: Reached | None = None
        outcomes: list[Outcome] = []
        for reach in self._list_reaches(limit):
            outcome = reach.find(limit, best)
            outcomes.append(outcome)
            if outcome.reached and (best is None or outcome.reached.key < best.key):
                best = outcome.reached
        return None if best is None else self._make(best, outcomes)

    def list_curve(self, goal: Mend, extra_mass_g: int | None = None) -> Iterator[Mend]:
        """Yield the goal, then the best for less, step by step, down to nothing bought.

        It ends early where time runs out, or where nothing is reached for less.
        """
        step: Mend | None = goal
        while step is not None:
            yield step
            if not step.price_cents:
                return
            step = self.find_within(Limit(step.price_cents - 1, extra_mass_g))

    def _list_reaches(self, limit: Limit) -> Iterator[Reach | Shares]:
        """Yield what can be reached with nobody brought, with one, and so on, within a budget."""
        standbys = self.trip.market.standbys
        for number in range(len(standbys) + 1):
            for some in combinations(sorted(standbys), number):
                cents = sum(standbys[name].price_cents for name in some)
                if limit.cents is not None and cents > limit.cents:
                    continue
                if some not in self._reaches:
                    self._reaches[some] = self._open(some)
                yield self._reaches[some]

    def _open(self, some: tuple[str, ...]) -> Reach | Shares:
        """Return a widened trip, to be asked leg by leg where it is large."""
        reach = Reach(self.trip, some, self.clock, demands=self._demands)
        if not goes_by_legs(self.trip):
            return reach
        return Shares(reach, len(self._reaches), self._booths, self._holds)

    def _holds(self, reached: Reached) -> bool:
        """Say whether something comes to no more than it is to, counted anew."""
        counted = self._recount(reached)
        return all(counted[aim] <= value for aim, value in reached.values.items())

    def _recount(self, reached: Reached) -> dict[str, int]:
        """Return the values of aims counted anew, once for what is asked twice in a row."""
        if self._counted is None or self._counted[0] is not reached:
            trip = apply(self.trip, reached.remedies)
            self._counted = reached, self._count(trip, reached.arrangement)
        return self._counted[1]

    def _make(self, best: Reached, outcomes: list[Outcome]) -> Mend:
        """Return what was found as a mend, its values counted anew."""
        counted = self._recount(best)
        values = {aim: counted[aim] for aim in best.values}
        if any(value > best.values[aim] for aim, value in values.items()):
            message = f"counted anew it comes to {values}, and was to be {best.values}"
            raise RuntimeError(message)
        bounds = min((one.bounds for one in outcomes), key=lambda one: tuple(one.values()))
        if tuple(bounds.values()) > tuple(values.values()):
            bounds = values
        least = [best.price_cents]
        for one in outcomes:
            cents = one.least_cents if one.reached is best else one.least_for(values)
            least += [] if cents is None else [cents]
        return Mend(best.remedies, values, bounds, min(least), best.arrangement)
