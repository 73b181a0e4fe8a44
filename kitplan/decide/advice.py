"""Moves to make one after the other, each described by what it leads to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.explain.make import describe
from kitplan.plan import Before, list_shifts

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.plan import Arrangement, Plan, Shift
    from kitplan.ramp import RampLoad
    from kitplan.trip import Trip


@dataclass(frozen=True, slots=True)
class Advice:
    """Moves to make one after the other, and the plan that they lead to from what came before.

    `proven`: no other moves, as many, lead to better values.
    """

    shifts: tuple[Shift, ...]
    plan: Plan
    proven: bool


def tell_before(load: RampLoad | Arrangement) -> Before:
    """Return who and what is where, as moves are counted from it."""
    seats = tuple(sorted((p, boat) for boat, crew in load.crew.items() for p in crew))
    return Before(seats, load.packed, load.stowed or ())


class Steps:
    """Advice after advice, from what there was before."""

    def __init__(self, trip: Trip, needs: Needs, before: Before) -> None:
        """Begin without any."""
        self.trip, self.needs, self.before = trip, needs, before
        self.taken: list[Advice] = []

    def add(self, arrangement: Arrangement, *, proven: bool) -> None:
        """Take a step to an arrangement, with the moves that the steps before it did not make."""
        plan = describe(self.trip, self.needs, arrangement, self.before)
        last = tell_before(self.taken[-1].plan.arrangement) if self.taken else self.before
        shifts = tuple(list_shifts(self.trip, last, arrangement))
        self.taken.append(Advice(shifts, plan, proven))
