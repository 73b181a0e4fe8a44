"""How people do it by hand, as a method: what a plan is worth that took nobody a solver.

Captains, crews and kit are dealt out one after the other (`kitplan.solve.dealt`, where kitplan's
own search begins). Then only the stations are found at their best, for each rapid alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.build import read_aboard
from kitplan.solve import Clock
from kitplan.solve.begin import arrange
from kitplan.solve.dealt import deal_out
from kitplan.solve.floors import Limits
from kitplan.solve.run import Budget
from kitplan.solve.singles import Alone
from tests.bench.method import Method, Outcome

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.trip import Trip

NEAREST = 20.0  # the solver's deterministic time for the nearest arrangement
ANY_S = 600.0  # seconds for stations that only keep the rules, which takes no time to speak of


def solve_by_hand(trip: Trip, needs: Needs, limit_s: float) -> Outcome:
    """Return the plan made by hand; at rapids the limit leaves no time for, any stations."""
    clock = Clock(limit_s)
    dealt = deal_out(trip, Budget(clock, 1.0, NEAREST))
    if dealt is None:
        return Outcome()
    alone, aboard = Alone(trip, needs, Limits(clock, 1.0, 1)), read_aboard(trip, dealt)
    decided = dict(dealt)
    for rapid in sorted({case.rapid for case in needs.cases}):
        stands = alone.ask(rapid, aboard)
        decided |= stands.decided if stands else {}
    return Outcome(arrangement=arrange(trip, decided, Budget(Clock(ANY_S), 1.0, NEAREST)))


BY_HAND = Method("by hand", solve_by_hand)
