"""Methods to compare: kitplan itself, one model on eight workers, and the plain twin."""

from __future__ import annotations

import math
import time
from functools import partial
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from kitplan.build import TripModel, Variables
from kitplan.solve import SolveOptions, solve_trip
from kitplan.solve.read import read_arrangement
from tests.bench.hand import BY_HAND
from tests.bench.method import AIMS, Method, Outcome
from tests.bench.peers import PEERS
from tests.twin.milp import number
from tests.twin.plain import PlainTrip

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.trip import Trip

WORKERS = 8
ALMOST = 1e-6  # the solver's rounding, forgiven in a bound


class Watch:
    """What is left of a limit in seconds."""

    def __init__(self, limit_s: float) -> None:
        """Start now."""
        self._ends = time.monotonic() + limit_s

    def left_s(self) -> float:
        """Return the seconds left, at least 0."""
        return max(0.0, self._ends - time.monotonic())


def solve_kitplan(trip: Trip, needs: Needs, limit_s: float) -> Outcome:
    """Solve as `kitplan plan` does, without the later aims."""
    done = solve_trip(trip, needs, SolveOptions(time_limit_s=limit_s, aims=AIMS))
    if done.arrangement is None:
        return Outcome(infeasible=done.status == "infeasible")
    bounds = tuple(done.bounds.get(aim) for aim in AIMS)
    if not done.values:
        return Outcome(None, bounds, arrangement=done.arrangement)
    values = tuple(done.values[aim] for aim in AIMS)
    return Outcome(values, bounds, values == bounds, done.arrangement)


def solve_one_model(trip: Trip, needs: Needs, limit_s: float) -> Outcome:
    """Minimise aim after aim of one model of all rapids, the solver as it is out of the box."""
    watch = Watch(limit_s)
    tm = TripModel(Variables(trip, trip.rapids), needs)
    best = Outcome(None, (None,) * len(AIMS))
    for place, aim in enumerate(AIMS):
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = WORKERS
        solver.parameters.max_time_in_seconds = max(watch.left_s(), 0.01)
        tm.model.minimize(tm.total(aim))
        status = solver.solve(tm.model)
        if status == cp_model.INFEASIBLE:
            return Outcome(infeasible=True)
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            break
        best = _read(tm, solver, place, best)
        if status != cp_model.OPTIMAL:
            break
        tm.model.add(tm.total(aim) <= round(solver.objective_value))
        tm.model.clear_hints()  # type: ignore[no-untyped-call]
        for index, value in enumerate(solver.response_proto.solution):
            tm.model.add_hint(tm.model.get_int_var_from_proto_index(index), value)
    return best


def _read(tm: TripModel, solver: cp_model.CpSolver, place: int, before: Outcome) -> Outcome:
    """Return what the solver came to, with the bound of the aim at this place of AIMS."""
    values = tuple(int(solver.value(tm.total(aim))) for aim in AIMS)
    bounds = list(before.bounds or ())
    bounds[place] = max(0, math.ceil(solver.best_objective_bound - ALMOST))
    proven = values == tuple(bounds)
    return Outcome(values, tuple(bounds), proven, read_arrangement(tm.v, partial(_value, solver)))


def _value(solver: cp_model.CpSolver, variable: cp_model.IntVar) -> int:
    return int(solver.value(variable))


def solve_plain(trip: Trip, needs: Needs, limit_s: float) -> Outcome:
    """Minimise aim after aim of the plain twin by HiGHS; it tells proven values only, no plan."""
    watch = Watch(limit_s)
    plain = PlainTrip(trip, needs)
    values: list[int] = []
    for aim in AIMS:
        least = plain.program.minimise(plain.aims[aim], max(watch.left_s(), 0.01))
        if least.status == "infeasible":
            return Outcome(infeasible=True)
        if least.status != "optimal":
            break
        values.append(least.value)
        plain.program.at_most(plain.aims[aim], number(least.value))
    bounds = (*values, *[None] * (len(AIMS) - len(values)))
    return Outcome(tuple(values) or None, bounds, len(values) == len(AIMS))


METHODS = {
    method.name: method
    for method in (
        Method("kitplan", solve_kitplan),
        Method("one model, 8 workers", solve_one_model),
        Method("plain", solve_plain),
        BY_HAND,
        *PEERS,
    )
}
