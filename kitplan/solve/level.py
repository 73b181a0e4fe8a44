"""Loads dealt evenly: the fullest boat as low as can be, then the fullest of the others, and so on.

A boat that can't be lower whatever is moved, such as the kayak of somebody heavy, is left where it
stands, and the rest is made even without it. Boats are compared by their share of payload on their
heaviest morning, per mille. Level by level the highest share is made as low as can be, then the
number of boats that stand at it; which boats these are stays open. So what comes out is the least
list of shares, the highest first, if each level is proven.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.build import Rules, Variables
from kitplan.build.variables import add_up
from kitplan.solve.begin import name_decisions
from kitplan.solve.run import run, start_from

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.solve.run import Answer, Budget
    from kitplan.trip import Trip

    Minimise = Callable[[Linear], Answer]

MOST = 1000  # per mille of the payload


class Levels:
    """The levels of a model, settled from the highest."""

    def __init__(self, rules: Rules) -> None:
        """Begin with no level settled, and a variable for each boat's share of its payload."""
        self.model = rules.v.model
        self.payload = {b: rules.trip.boats[b].type.payload_g for b in rules.v.boats}
        self.loads = {b: rules.list_loads(b) for b in self.payload}
        self.share: dict[str, cp_model.IntVar] = {}
        for b, payload in self.payload.items():
            self.share[b] = self.model.new_int_var(0, MOST, f"share[{b}]")
            for load in self.loads[b]:
                self.model.add(MOST * load <= payload * self.share[b])
        self.above: dict[str, list[cp_model.IntVar]] = {b: [] for b in self.payload}
        self.left = len(self.payload)  # boats that stand at no level so far

    def settle(self, minimise: Minimise) -> Answer:
        """Settle the next level, and return what its height came to.

        `minimise` looks for the least of an expression; the model must keep what it finds.
        """
        fullest = self.model.new_int_var(0, MOST, "")
        for b, share in self.share.items():
            self.model.add(share <= fullest).only_enforce_if(*(~at for at in self.above[b]))
        answer = minimise(fullest)
        if not answer.found:
            self.left = 0
            return answer
        self.model.add(fullest <= answer.value)
        self.left -= self._count(answer, minimise)
        return answer

    def _count(self, answer: Answer, minimise: Minimise) -> int:
        """Let as few boats as can be stand at the level found; return how many."""
        here = {b: self.model.new_bool_var("") for b in self.share}
        for b, at in here.items():
            lower = self.model.add(self.share[b] <= max(0, answer.value - 1))
            lower.only_enforce_if(~at, *(~above for above in self.above[b]))
        open_still = (b for b, above in self.above.items() if not any(map(answer.read, above)))
        count = sum(self._measure(b, answer) >= answer.value for b in open_still)
        if count > 1 and answer.value > 0:
            fewest = minimise(add_up(here.values()))
            count = fewest.value if fewest.found else count
        self.model.add(add_up(here.values()) <= count)
        for b, at in here.items():
            self.above[b].append(at)
        return count if answer.value else self.left

    def _measure(self, boat: str, answer: Answer) -> int:
        """Return a boat's share as an answer has it; its variable may be above that."""
        most = max(answer.evaluate(load) for load in self.loads[boat])
        return -(-MOST * most // self.payload[boat])


def level_stores(trip: Trip, decided: dict[str, int], budget: Budget) -> dict[str, int]:
    """Return decisions as they were, but with stores dealt as evenly as time allows.

    Seats and kit are as they are. Of what is as even, what moves least between legs is taken.
    """
    even = _Stores(trip, decided, budget)
    levels = Levels(even.rules)
    while levels.left:
        levels.settle(even.minimise)
    still = even.count_moved()
    if still is not None:
        even.minimise(still)
    return even.decided


class _Stores:
    """A model in which stores alone can move, and the best deal of them found so far."""

    def __init__(self, trip: Trip, decided: dict[str, int], budget: Budget) -> None:
        self.budget, self.decided = budget, decided
        self.variables = Variables(trip, ())
        self.model = self.variables.model
        self.rules = Rules(self.variables)
        self.rules.add_all()
        for what, variable in self.variables.list_decisions(self.model):
            if what != "stow" and variable.name in decided:
                self.model.add(variable == decided[variable.name])
        self.hints: list[int] = []

    def minimise(self, expression: Linear) -> Answer:
        """Look for the least of an expression, and take what was found."""
        start_from(self.model, self.hints)
        answer = run(self.model, expression, self.budget)
        if answer.found:
            self.hints = answer.list_values()
            self.decided = {**self.decided, **name_decisions(self.variables, answer)}
        return answer

    def count_moved(self) -> Linear | None:
        """Return how many stores change boat between legs; None: there is but one leg."""
        trip, stow = self.variables.trip, self.variables.stow
        there = {(lot, trip.boats[b].leg, trip.boats[b].called): v for (lot, b), v in stow.items()}
        moved = []
        for (lot, leg, called), variable in there.items():
            if any((lot, leg - 1) == key[:2] for key in there):
                came = self.model.new_int_var(0, self.variables.lots[lot].count, "")
                self.model.add(came >= variable - there.get((lot, leg - 1, called), 0))
                moved.append(came)
        return add_up(moved) if moved else None


def moves_stores(decided: Iterable[str]) -> bool:
    """Say whether any decision is about stores."""
    return any(name.startswith("stow[") for name in decided)
