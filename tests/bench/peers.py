"""Ways to solve a trip with other solvers of kitplan's own model: all at once, or in its loop.

All at once: one model of all rapids, made linear, its aims minimised in turn. In the loop: the
steps of kitplan as they are, each run of CP-SAT replaced by one of HiGHS.
"""

from __future__ import annotations

import time
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING
from unittest.mock import patch

from kitplan import needs as asks
from kitplan.build import TripModel, Variables
from kitplan.solve import (
    SolveOptions,
    aims,
    begin,
    competing,
    dealt,
    floors,
    held,
    joints,
    level,
    near,
    parts,
    payers,
    reach,
    reasons,
    repack,
    singles,
    solve_trip,
    stations,
)
from kitplan.solve.read import read_arrangement
from tests.bench.linear import Sum, evaluate, flatten, linearise
from tests.bench.method import AIMS, Method, Outcome

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.demands import Needs
    from kitplan.solve.run import Budget, Status
    from kitplan.trip import Trip
    from tests.bench.linear import Program
    from tests.bench.solved import Solved


UNIT_S = 4.0  # what a unit of CP-SAT's deterministic time takes at the most where benchmarks ran


def solve_at_once(solver: str, trip: Trip, needs: Needs, limit_s: float) -> Outcome:
    """Return what a solver's module comes to with one model of all rapids, aim by aim.

    An aim that is not proven is held at the value found; it takes what time is left. That somebody
    rows twice is not tried: where it may be, nothing is said of a model without a solution.
    """
    ends = time.monotonic() + limit_s
    solve = import_module(f"tests.bench.{solver}").solve
    tm = TripModel(Variables(trip, trip.rapids), needs)
    program = linearise(tm.model)
    totals = [flatten(tm.total(aim)) for aim in AIMS]
    ran: list[Solved] = []
    values: tuple[int, ...] = ()
    for total in totals:
        left = ends - time.monotonic()
        if left <= 0:
            break
        ran.append(solve(program.minimising(total), left))
        if not ran[-1].values:
            break
        values = ran[-1].values
        program = program.holding(total, ran[-1].value).starting(dict(enumerate(values)))
    if not values:
        none = bool(ran) and ran[0].status == "infeasible" and not asks.may_row_twice(trip)
        return Outcome(bounds=_list_bounds(ran), infeasible=none)
    return Outcome(
        values=tuple(evaluate(total, values) for total in totals),
        bounds=_list_bounds(ran),
        proven=len(ran) == len(AIMS) and all(one.status == "proven" for one in ran),
        arrangement=read_arrangement(tm.v, lambda variable: values[variable.index]),
    )


def _list_bounds(ran: list[Solved]) -> tuple[int | None, ...]:
    bounds: list[int | None] = [one.bound for one in ran if one.status != "infeasible"]
    return (*bounds, *[None] * (len(AIMS) - len(bounds)))


@dataclass(frozen=True, slots=True)
class Answer:
    """What `kitplan.solve.run.Answer` is, of a run that CP-SAT had no part in."""

    status: Status
    value: int
    bound: int
    values: tuple[int, ...]

    def read(self, variable: cp_model.IntVar) -> int:
        """Return the value of a variable in the solution."""
        return self.values[variable.index]

    def evaluate(self, expression: Linear) -> int:
        """Return the value of an expression in the solution."""
        return evaluate(flatten(expression), self.values)

    def list_values(self) -> list[int]:
        """Return the values of all variables in the order in which they were created."""
        return list(self.values)

    @property
    def found(self) -> bool:
        """Say whether there is a solution to read."""
        return self.status in {"proven", "feasible"}


def run_highs(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
    """Do what `kitplan.solve.run.run` does, by HiGHS; a unit of the budget is `UNIT_S` seconds.

    HiGHS has no measure of its work that would be the same on every machine, and can't be stopped
    by the clock from another thread. A no to a question of yes or no is not doubted: kitplan goes
    on by minimising, which would show it.
    """
    highs = import_module("tests.bench.highs")
    program: Program = linearise(model).minimising(Sum({}) if aim is None else flatten(aim))
    left_s = min(budget.clock.left_s(budget.share), UNIT_S * budget.deterministic)
    one: Solved = highs.solve(program, left_s, doubt=aim is not None)
    if one.status in {"feasible", "unknown"} and not budget.clock.left_s(budget.share):
        budget.clock.cut = True
    return Answer(one.status, one.value, one.bound, one.values)


DOORS = (
    (aims, "run"),
    (begin, "run"),
    (level, "run"),
    (competing, "run"),
    (competing, "run_soon"),
    (dealt, "run"),
    (floors, "run_soon"),
    (held, "run"),
    (joints, "run"),
    (near, "run"),
    (parts, "run"),
    (parts, "run_soon"),
    (payers, "run"),
    (reach, "run"),
    (reasons, "run"),
    (reasons, "run_soon"),
    (repack, "run"),
    (singles, "run"),
    (singles, "run_soon"),
    (stations, "run"),
)
"""Where kitplan's steps go to have a model solved."""


@contextmanager
def highs_in_the_loop() -> Iterator[None]:
    """Let HiGHS do the runs of kitplan's steps; processes started meanwhile know nothing of it."""
    with ExitStack() as stack:
        for module, name in DOORS:
            stack.enter_context(patch.object(module, name, run_highs))
        yield


def solve_in_the_loop(trip: Trip, needs: Needs, limit_s: float) -> Outcome:
    """Return what kitplan's own way comes to with HiGHS in the place of CP-SAT."""
    with highs_in_the_loop():
        solution = solve_trip(trip, needs, SolveOptions(limit_s, workers=1, aims=AIMS))
    if solution.arrangement is None:
        return Outcome(infeasible=solution.status == "infeasible")
    values = tuple(solution.values[aim] for aim in AIMS) if solution.values else None
    bounds = tuple(solution.bounds.get(aim) for aim in AIMS)
    return Outcome(values, bounds, values == bounds, solution.arrangement)


PEERS = (
    Method("HiGHS, one model", partial(solve_at_once, "highs")),
    Method("SCIP, one model", partial(solve_at_once, "scip")),
    Method("HiGHS in the loop", solve_in_the_loop),
)
