"""Stores dealt evenly: the fullest boat as low as can be, then the fullest of the others.

Seats and kit are as they are; stores alone move. A boat that can't be lower whatever is moved, such
as the kayak of somebody heavy, is left where it stands, and the rest is made even without it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.build import Rules, Variables
from kitplan.build.variables import add_up
from kitplan.solve.begin import name_decisions
from kitplan.solve.run import run

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ortools.sat.python import cp_model

    from kitplan.solve.run import Answer, Budget
    from kitplan.trip import Trip

MOST = 1000  # per mille of the payload


def level_stores(trip: Trip, decided: dict[str, int], budget: Budget) -> dict[str, int]:
    """Return decisions as they were, but with stores dealt as evenly as time allows.

    Boats are settled by their share of payload on their heaviest morning, per mille, the fullest
    first. Where several boats stand at the least share and each could be lower, but not all, the
    first by name is settled there. Of what is as even, what moves least is taken.
    """
    even = _Even(trip, decided, budget)
    free = set(even.share)
    while free:
        answer = even.lower(free)
        if answer is None:
            break
        decided = {**decided, **name_decisions(even.variables, answer)}
        free -= even.settle(free, answer)
    answer = even.keep_still()
    return decided if answer is None else {**decided, **name_decisions(even.variables, answer)}


class _Even:
    """A model in which stores alone can move, with each boat's share of its payload."""

    def __init__(self, trip: Trip, decided: dict[str, int], budget: Budget) -> None:
        self.budget = budget
        self.variables = Variables(trip, ())
        self.model = self.variables.model
        rules = Rules(self.variables)
        rules.add_all()
        for what, variable in self.variables.list_decisions(self.model):
            if what != "stow" and variable.name in decided:
                self.model.add(variable == decided[variable.name])
        self.share = {
            b: self.model.new_int_var(0, MOST, f"share[{b}]") for b in self.variables.boats
        }
        for b, share in self.share.items():
            for load in rules.list_loads(b):
                self.model.add(MOST * load <= trip.boats[b].type.payload_g * share)

    def lower(self, free: set[str]) -> Answer | None:
        """Make the fullest of the free boats as low as time allows; None: there was no time."""
        trial = self.model.clone()
        fullest = trial.new_int_var(0, MOST, "fullest")
        for b in sorted(free):
            trial.add(fullest >= self.share[b])
        answer = run(trial, 1 * fullest, self.budget)
        return answer if answer.found else None

    def settle(self, free: set[str], answer: Answer) -> set[str]:
        """Hold the free boats at what was found; return those that are settled there."""
        for b in sorted(free):
            self.model.add(self.share[b] <= answer.value)
        at_most = [b for b in sorted(free) if self._is_full(b, answer)]
        if answer.status != "proven":
            return set(at_most) or free
        stuck = {b for b in at_most if self._is_stuck(self.share[b], answer.value)}
        return stuck or set(at_most[:1]) or free

    def keep_still(self) -> Answer | None:
        """Let as few stores as can be change boat between legs; None: there is but one, or no time.

        Boats are no fuller than they are settled at.
        """
        trip, stow = self.variables.trip, self.variables.stow
        there = {(lot, trip.boats[b].leg, trip.boats[b].called): v for (lot, b), v in stow.items()}
        moved = []
        for (lot, leg, called), variable in there.items():
            if any((lot, leg - 1) == key[:2] for key in there):
                came = self.model.new_int_var(0, self.variables.lots[lot].count, "")
                self.model.add(came >= variable - there.get((lot, leg - 1, called), 0))
                moved.append(came)
        if not moved:
            return None
        answer = run(self.model, add_up(moved), self.budget)
        return answer if answer.found else None

    def _is_full(self, boat: str, answer: Answer) -> bool:
        return answer.read(self.share[boat]) >= answer.value

    def _is_stuck(self, share: cp_model.IntVar, value: int) -> bool:
        trial = self.model.clone()
        trial.add(share < value)
        return run(trial, None, self.budget).status == "infeasible"


def moves_stores(decided: Iterable[str]) -> bool:
    """Say whether any decision is about stores."""
    return any(name.startswith("stow[") for name in decided)
