"""Runs of the solver that end as if their time were up, the same ones on any machine."""

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING

from ortools.sat.python.cp_model import UNKNOWN, CpSolver

if TYPE_CHECKING:
    from collections.abc import Callable

    import pytest
    from ortools.sat.python.cp_model import CpModel, CpSolverStatus


def cut_runs_short(monkeypatch: pytest.MonkeyPatch, is_cut: Callable[[int], bool]) -> None:
    """Have those runs end as unknown whose number, from 0, `is_cut` says so of."""
    whole, numbers = CpSolver.solve, count()

    def solve(solver: CpSolver, model: CpModel) -> CpSolverStatus:
        status = whole(solver, model)
        return UNKNOWN if is_cut(next(numbers)) else status

    monkeypatch.setattr(CpSolver, "solve", solve)
