"""SCIP solves a linear program over whole numbers, with one thread and one seed."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import pyscipopt

from tests.bench.solved import read

if TYPE_CHECKING:
    from tests.bench.linear import Program
    from tests.bench.solved import Solved

_SEED = 1
_ENDED = ("optimal", "infeasible", "inforunbd")


def solve(program: Program, limit_s: float) -> Solved:
    """Return the best that SCIP finds within `limit_s` seconds of wall time, loading included."""
    ends = time.monotonic() + limit_s
    solver, variables = _load(program)
    solver.setParam("limits/time", max(ends - time.monotonic(), 0.01))
    solver.optimize()
    ended, dual = solver.getStatus() in _ENDED, solver.getDualbound()
    if abs(dual) >= solver.infinity():
        dual = float("-inf")
    found = None
    if solver.getNSols():
        best = solver.getBestSol()
        found = [solver.getSolVal(best, variable) for variable in variables]
    solver.freeProb()
    return read(program, found, dual, ended=ended)


def _load(program: Program) -> tuple[pyscipopt.Model, list[pyscipopt.Variable]]:
    """Return a solver with the program and its hints, and the variables in their order."""
    solver = pyscipopt.Model()
    solver.hideOutput()
    solver.setParam("randomization/randomseedshift", _SEED)
    solver.setParam("misc/catchctrlc", False)  # noqa: FBT003
    factors = program.aim.terms
    variables = [
        solver.addVar(vtype="I", lb=low, ub=high, obj=factors.get(n, 0))
        for n, (low, high) in enumerate(zip(program.low, program.high, strict=True))
    ]
    for row in program.rows:
        total = pyscipopt.quicksum(factor * variables[n] for n, factor in row.terms.items())
        held = pyscipopt.scip.ExprCons(total, row.low, row.high)
        solver.addCons(held)
    if program.hints:
        start = solver.createPartialSol()
        for n, value in program.hints.items():
            solver.setSolVal(start, variables[n], value)
        solver.addSol(start)
    return solver, variables
