"""A thin layer over HiGHS for whole-number programs: sums of columns, rows, one minimum.

Knows nothing of trips. A `Sum` is a dict from column to whole-number coefficient; the key ONE
holds the constant.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import highspy
import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

Sum = dict[int, int]
ONE = -1
_ALMOST = 0.5  # all coefficients are whole, so a gap below one is none


@dataclass(frozen=True, slots=True)
class Least:
    """What a minimisation came to: "optimal", "infeasible" or another status of HiGHS."""

    status: str
    value: int = 0


def number(constant: int) -> Sum:
    """Return a constant as a sum."""
    return {ONE: constant}


def add(parts: Iterable[Sum]) -> Sum:
    """Return the sum of sums."""
    total: Sum = {}
    for part in parts:
        for column, factor in part.items():
            total[column] = total.get(column, 0) + factor
    return total


def times(factor: int, part: Sum) -> Sum:
    """Return a sum times a whole number."""
    return {column: factor * old for column, old in part.items()}


def less(left: Sum, right: Sum) -> Sum:
    """Return left minus right."""
    return add([left, times(-1, right)])


class Program:
    """Columns with bounds, all of them whole, and rows `sum <= 0` or `sum = 0`."""

    def __init__(self) -> None:
        self._most: list[int] = []
        self._rows: list[tuple[Sum, bool]] = []

    def new(self, most: int = 1) -> Sum:
        """Return a new whole-number column from 0 to `most`."""
        self._most.append(most)
        return {len(self._most) - 1: 1}

    def at_most(self, left: Sum, right: Sum) -> None:
        """Ask that left <= right."""
        self._rows.append((less(left, right), False))

    def equal(self, left: Sum, right: Sum) -> None:
        """Ask that left = right."""
        self._rows.append((less(left, right), True))

    def minimise(self, aim: Sum, time_limit_s: float = 600.0) -> Least:
        """Return the proven minimum of a sum, or the status that HiGHS ended with.

        "Infeasible" is asked again without presolve: HiGHS 1.16 has been seen to say so of a
        program of which it has a solution.
        """
        solver = self._load(aim)
        solver.setOptionValue("time_limit", time_limit_s)
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            solver = self._load(aim)
            solver.setOptionValue("time_limit", time_limit_s)
            solver.setOptionValue("presolve", "off")
            solver.run()
            status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kOptimal:
            value = solver.getInfo().objective_function_value + aim.get(ONE, 0)
            return Least("optimal", round(value))
        return Least(solver.modelStatusToString(status).lower())

    def _load(self, aim: Sum) -> highspy.Highs:
        solver = highspy.Highs()  # type: ignore[no-untyped-call]
        solver.silent()
        for option, value in {
            "threads": 1,
            "random_seed": 1,
            "mip_rel_gap": 0.0,
            "mip_abs_gap": _ALMOST,
        }.items():
            solver.setOptionValue(option, value)
        columns = len(self._most)
        solver.addVars(columns, np.zeros(columns), np.array(self._most, dtype=np.float64))
        every = np.arange(columns, dtype=np.int32)
        solver.changeColsIntegrality(columns, every, np.ones(columns, dtype=np.uint8))
        cost = np.zeros(columns)
        for column, factor in aim.items():
            if column != ONE:
                cost[column] = factor
        solver.changeColsCost(columns, every, cost)
        self._load_rows(solver)
        return solver

    def _load_rows(self, solver: highspy.Highs) -> None:
        starts: list[int] = []
        columns: list[int] = []
        factors: list[int] = []
        low: list[float] = []
        high: list[float] = []
        for row, tight in self._rows:
            starts.append(len(columns))
            columns += [column for column in row if column != ONE]
            factors += [factor for column, factor in row.items() if column != ONE]
            limit = -row.get(ONE, 0)
            high.append(float(limit))
            low.append(float(limit) if tight else -highspy.kHighsInf)
        solver.addRows(
            len(low),
            np.array(low),
            np.array(high),
            len(columns),
            np.array(starts, dtype=np.int32),
            np.array(columns, dtype=np.int32),
            np.array(factors, dtype=np.float64),
        )
