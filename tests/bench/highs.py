"""HiGHS solves a linear program over whole numbers, with one thread and one seed."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import highspy
import numpy as np

from tests.bench.solved import read

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from tests.bench.linear import Program
    from tests.bench.solved import Solved

_SEED = 1
_ALMOST = 0.5  # all factors are whole, so a gap below one is none
_OPTIMAL = highspy.HighsModelStatus.kOptimal
_NOTHING_FITS = (
    highspy.HighsModelStatus.kInfeasible,
    highspy.HighsModelStatus.kUnboundedOrInfeasible,
)


def solve(program: Program, limit_s: float, *, doubt: bool = True) -> Solved:
    """Return the best that HiGHS finds within `limit_s` seconds of wall time.

    Two answers of HiGHS 1.16 are not taken at its word. With `doubt`, that nothing fits is asked
    again without presolve: it has been seen to say so of a program that has a solution. And where
    it says that it has a better solution than the hints and then returns these, it is asked again
    without them. If there is no time for that, nothing is known.
    """
    ends = time.monotonic() + limit_s
    solver = _run(program, limit_s)
    if doubt and solver.getModelStatus() in _NOTHING_FITS:
        solver = _run(program, ends - time.monotonic(), presolve="off")
    elif solver.getModelStatus() == _OPTIMAL and _is_stale(program, solver):
        solver = _run(program.starting({}), ends - time.monotonic())
    status, info = solver.getModelStatus(), solver.getInfo()
    ended = status == _OPTIMAL or status in _NOTHING_FITS
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return read(program, None, info.mip_dual_bound, ended=ended)
    ended &= not _is_stale(program, solver)
    return read(program, solver.getSolution().col_value, info.mip_dual_bound, ended=ended)


def _is_stale(program: Program, solver: highspy.Highs) -> bool:
    """Say whether the solution that is returned is another one than that of the value told."""
    found = solver.getSolution().col_value
    reached = sum(factor * found[n] for n, factor in program.aim.terms.items())
    return abs(reached - solver.getInfo().objective_function_value) > _ALMOST


def _run(program: Program, limit_s: float, presolve: str = "choose") -> highspy.Highs:
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    solver.silent()
    options: dict[str, float | str] = {
        "threads": 1,
        "random_seed": _SEED,
        "mip_rel_gap": 0.0,
        "mip_abs_gap": _ALMOST,
        "time_limit": max(limit_s, 0.01),
        "presolve": presolve,
    }
    for option, value in options.items():
        solver.setOptionValue(option, value)
    _load_columns(solver, program)
    _load_rows(solver, program)
    hints = program.hints or {}
    if hints:
        solver.setSolution(len(hints), _whole(hints.keys()), _floats(hints.values()))
    solver.run()
    return solver


def _load_columns(solver: highspy.Highs, program: Program) -> None:
    columns = len(program.low)
    every = np.arange(columns, dtype=np.int32)
    solver.addVars(columns, _floats(program.low), _floats(program.high))
    solver.changeColsIntegrality(columns, every, np.ones(columns, dtype=np.uint8))
    cost = np.zeros(columns)
    cost[list(program.aim.terms)] = list(program.aim.terms.values())
    solver.changeColsCost(columns, every, cost)


def _load_rows(solver: highspy.Highs, program: Program) -> None:
    rows, far = program.rows, highspy.kHighsInf
    sizes = np.array([len(row.terms) for row in rows], dtype=np.int64)
    starts = np.cumsum(sizes) - sizes
    solver.addRows(
        len(rows),
        _floats(-far if row.low is None else row.low for row in rows),
        _floats(far if row.high is None else row.high for row in rows),
        int(sizes.sum()),
        starts.astype(np.int32),
        _whole(n for row in rows for n in row.terms),
        _floats(factor for row in rows for factor in row.terms.values()),
    )


def _whole(numbers: Iterable[int]) -> NDArray[np.int32]:
    return np.fromiter(numbers, dtype=np.int32)


def _floats(numbers: Iterable[float]) -> NDArray[np.float64]:
    return np.fromiter(numbers, dtype=np.float64)
