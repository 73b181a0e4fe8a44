"""Explain a solution: witnesses, gaps and their sorts; and the whole way from trip to plan."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.errors import Exit, Finding
from kitplan.explain.make import make_plan
from kitplan.needs import derive_needs
from kitplan.solve import Clock, SolveOptions, solve_trip

if TYPE_CHECKING:
    from kitplan.plan import Plan
    from kitplan.solve.run import Status
    from kitplan.trip import Trip

__all__ = ["Clock", "Outcome", "SolveOptions", "make_plan", "plan_trip"]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What planning came to: status of four values, the plan if there is one, findings if not."""

    status: Status
    plan: Plan | None = None
    findings: list[Finding] = field(default_factory=list)

    @property
    def exit(self) -> Exit:
        """Return the exit code of a plan that was accepted, or of having none."""
        if self.plan is None:
            return Exit.INPUT if self.findings else Exit.NO_PLAN
        return Exit.GAPS if self.plan.gaps or self.plan.shortfalls else Exit.DONE


def plan_trip(
    trip: Trip, options: SolveOptions | None = None, clock: Clock | None = None
) -> Outcome:
    """Return the plan of a trip; the caller has it verified before anything is printed.

    Stopping the clock from another thread gives the best plan found so far.
    """
    needs = derive_needs(trip)
    options = options or SolveOptions()
    solution = solve_trip(trip, needs, options, clock)
    if solution.arrangement is None:
        return Outcome(solution.status, None, solution.findings)
    plan = make_plan(trip, needs, solution, options.before)
    proven = all(aim.proven for aim in plan.aims)
    return Outcome("proven" if proven else "feasible", plan)
