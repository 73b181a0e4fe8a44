"""One run of the solver: limits in, a status of four values, value and bound out.

Limits of a run are in the solver's deterministic time, so that the same run ends the same way on
any machine; seconds are only the emergency brake of the whole command.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from ortools.sat.python import cp_model

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.build.variables import Linear

Status = Literal["proven", "feasible", "infeasible", "unknown"]
SEED = 2027
SOON = 0.4  # of the solver's deterministic time: how long a model is tried as it is
STATUSES: dict[cp_model.CpSolverStatus, Status] = {
    cp_model.OPTIMAL: "proven",
    cp_model.FEASIBLE: "feasible",
    cp_model.INFEASIBLE: "infeasible",
}


class Clock:
    """What is left of the time of a command, in seconds of wall time.

    Another thread may `stop` it: no time is left then, and the run at work ends. A copy of it in
    another process runs on by the same time, and can't be stopped from here.
    """

    def __init__(self, limit_s: float) -> None:
        """Start now; the clock runs out after `limit_s`."""
        self.limit_s = limit_s
        self.started = time.monotonic()
        self.cut = False  # whether seconds, not deterministic time, ended a run
        self.stopped = False
        self._at_work: cp_model.CpSolver | None = None
        self._parts: list[Clock] = []

    def part(self, share: float) -> Clock:
        """Return a clock, started now, for so much of what is left; stopped when this one is."""
        part = Clock(share * self.left_s())
        self._parts.append(part)
        return part

    def __getstate__(self) -> dict[str, object]:
        """Return what a copy in another process has: not the run at work here."""
        return {**vars(self), "_at_work": None}

    def stop(self) -> None:
        """End the run at work and leave no time for others. Harmless when called again."""
        self.stopped = True
        for part in self._parts:
            part.stop()
        if self._at_work is not None:
            self._at_work.stop_search()

    def solve(self, solver: cp_model.CpSolver, model: cp_model.CpModel) -> cp_model.CpSolverStatus:
        """Run the solver so that `stop` reaches it."""
        self._at_work = solver
        try:
            return solver.solve(model)
        finally:
            self._at_work = None

    @property
    def spent_s(self) -> float:
        """Return the seconds spent so far."""
        return time.monotonic() - self.started

    def left_s(self, share: float = 1.0) -> float:
        """Return the seconds left until `share` of the limit is spent, at least 0."""
        if self.stopped:
            return 0.0
        return max(0.0, share * self.limit_s - self.spent_s)


@dataclass(frozen=True, slots=True)
class Budget:
    """How long one run may take: deterministic time, and the clock's share of wall time.

    `linear` keeps the solver's linear relaxation: at 1 it proves sums of masses, and slows cover
    down; at 2, with cuts, it proves prices of lists.
    Without `presolve` a model is not made smaller first, which takes longer than an easy search.
    With `around` parts of the best plan so far are let go, the rest held, again and again: it
    proves nothing.
    """

    clock: Clock
    share: float
    deterministic: float
    workers: int = 1
    linear: int = 0
    presolve: bool = True
    around: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of a run; `value` and `bound` are 0 where there was nothing to minimise."""

    status: Status
    value: int
    bound: int
    solver: cp_model.CpSolver

    def read(self, variable: cp_model.IntVar) -> int:
        """Return the value of a variable in the solution."""
        return int(self.solver.value(variable))

    def evaluate(self, expression: Linear) -> int:
        """Return the value of an expression in the solution."""
        return int(self.solver.value(expression))

    def list_values(self) -> list[int]:
        """Return the values of all variables in the order in which they were created."""
        return list(self.solver.response_proto.solution)

    @property
    def found(self) -> bool:
        """Say whether there is a solution to read."""
        return self.status in {"proven", "feasible"}


def new_model() -> cp_model.CpModel:
    """Return a model with nothing in it."""
    return cp_model.CpModel()


def run(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
    """Solve the model, minimising `aim` if given. Never raises for lack of time."""
    model.clear_objective()  # type: ignore[no-untyped-call]
    if aim is not None:
        model.minimize(aim)
    left = budget.clock.left_s(budget.share)
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = budget.workers
    parameters.random_seed = SEED
    # Who asks to stop is heard by the command, which stops the clock.
    parameters.catch_sigint_signal = False
    parameters.linearization_level = budget.linear
    parameters.cp_model_presolve = budget.presolve
    if budget.around:
        parameters.use_lns_only = True
        parameters.interleave_search = True  # else it goes by the clock
    else:
        parameters.cp_model_probing_level = 0
    parameters.max_deterministic_time = budget.deterministic
    parameters.max_time_in_seconds = max(left, 0.01)
    result = budget.clock.solve(solver, model)
    status = STATUSES.get(result, "unknown")
    if status in {"feasible", "unknown"} and budget.clock.left_s(budget.share) <= 0:
        budget.clock.cut = True
    if aim is None:
        status = "proven" if status == "feasible" else status
        return Answer(status, 0, 0, solver)
    found = status in {"proven", "feasible"}
    value = round(solver.objective_value) if found else 0
    bound = _round_up(solver.best_objective_bound) if found else 0
    return Answer(status, value, value if status == "proven" else bound, solver)


def run_soon(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
    """Solve the model as it is for a short time, and only if that does not end make it smaller.

    Most runs are over sooner than making the model smaller takes; the others need it.
    """
    short = replace(budget, presolve=False, deterministic=min(SOON, budget.deterministic))
    answer = run(model, aim, short)
    if answer.status in {"proven", "infeasible"} or budget.deterministic <= SOON:
        return answer
    if answer.found:
        start_from(model, answer.list_values())
    longer = run(model, aim, budget)
    better = answer.found and not (longer.found and longer.value <= answer.value)
    return replace(answer if better else longer, bound=max(answer.bound, longer.bound))


def start_from(model: cp_model.CpModel, values: Iterable[int]) -> None:
    """Let a model start from these values of its first variables, and nothing else."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    for index, value in enumerate(values):
        model.add_hint(model.get_int_var_from_proto_index(index), value)


def _round_up(bound: float) -> int:
    """Return the least whole number not below a bound, forgiving the solver's rounding."""
    return max(0, -int(-(bound - 1e-6) // 1))
