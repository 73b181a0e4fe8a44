"""What a run of a solver on a linear program came to, read exactly.

Solvers of linear programs reckon in floats: values are rounded here, and a solution counts only if
it keeps every row in whole numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.bench.linear import evaluate

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kitplan.solve.run import Status
    from tests.bench.linear import Program

_ALMOST = 1e-6  # how far a bound may lie above a whole number and still mean it


@dataclass(frozen=True, slots=True)
class Solved:
    """Status, value and bound of the aim, and the value of each variable; none if none was found.

    Without a solution `value` is 0; the bound is then still one.
    """

    status: Status
    value: int
    bound: int
    values: tuple[int, ...] = ()


def read(program: Program, found: Sequence[float] | None, dual: float, *, ended: bool) -> Solved:
    """Return what a solver's best solution and its bound of the least sum come to.

    `ended`: it says that it is done; without a solution that means that there is none.
    """
    if found is None:
        return Solved("infeasible" if ended else "unknown", 0, _bound(program, dual))
    values = tuple(round(value) for value in found)
    if not program.keeps(values):
        return Solved("unknown", 0, _bound(program, dual))
    value = program.sign * evaluate(program.aim, values)
    if ended:
        return Solved("proven", value, value, values)
    return Solved("feasible", value, _bound(program, dual), values)


def _bound(program: Program, dual: float) -> int:
    """Return the best value that is still possible by the solver's bound and those of variables."""
    aim = program.aim
    least = sum(min(f * program.low[n], f * program.high[n]) for n, f in aim.terms.items())
    if math.isfinite(dual):
        least = max(least, math.ceil(dual - _ALMOST))
    return program.sign * (least + aim.constant)
