"""A CP-SAT model as a linear program over whole numbers, for other solvers to solve.

What is said of literals becomes rows of 0 and 1; a constraint that holds only under literals gets
a term that lifts it while one of them is false ("big-M"), as large as the variables' bounds ask
for and no larger. Knows nothing of trips.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from ortools.sat.python import cp_model, cp_model_helper

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from typing import Any

Terms = dict[int, int]
"""From a variable's index to its whole-number factor."""
_WIDEST = 2**40  # beyond it a float no longer tells whole numbers apart once factors come in


class NotLinearError(ValueError):
    """The model has something that this converter has no rows for."""


class Sum(NamedTuple):
    """A linear expression: terms, and a constant."""

    terms: Terms
    constant: int = 0


class Row(NamedTuple):
    """What `terms` must come to: from `low` to `high`, None for no limit."""

    terms: Terms
    low: int | None
    high: int | None


@dataclass(frozen=True, slots=True)
class Program:
    """Whole numbers from `low` to `high` by index, rows, and the sum to be made least, times sign.

    A maximum is `sign` -1 and the sum that is least there; `hints` are values to start from.
    """

    low: list[int]
    high: list[int]
    rows: list[Row]
    aim: Sum
    sign: int = 1
    hints: Terms | None = None

    def minimising(self, aim: Sum) -> Program:
        """Return the program with another aim."""
        return replace(self, aim=aim, sign=1)

    def holding(self, total: Sum, most: int) -> Program:
        """Return the program with `total <= most` as one more row."""
        return replace(self, rows=[*self.rows, Row(total.terms, None, most - total.constant)])

    def starting(self, hints: Terms) -> Program:
        """Return the program with values to start from."""
        return replace(self, hints=hints)

    def keeps(self, values: Sequence[int]) -> bool:
        """Say whether whole numbers by index keep every bound and row exactly."""
        within = all(
            low <= value <= high
            for low, value, high in zip(self.low, values, self.high, strict=True)
        )
        return within and all(
            (row.low is None or row.low <= reached) and (row.high is None or reached <= row.high)
            for row in self.rows
            for reached in (evaluate(Sum(row.terms), values),)
        )


def evaluate(total: Sum, values: Sequence[int]) -> int:
    """Return what a sum comes to."""
    return total.constant + sum(factor * values[n] for n, factor in total.terms.items())


def flatten(expression: cp_model.LinearExpr) -> Sum:
    """Return an expression of CP-SAT as a sum."""
    flat = cp_model_helper.FlatIntExpr(expression)
    return Sum(_gather([v.index for v in flat.vars], flat.coeffs), int(flat.offset))


def linearise(model: cp_model.CpModel) -> Program:
    """Return the program with the same solutions, variable by variable, and the same optimum.

    Raises NotLinearError at domains with holes, at other constraints than linear ones, bool_or,
    bool_and, at_most_one and exactly_one, at assumptions and objectives of fractions.
    """
    proto = model.proto
    if proto.has_floating_point_objective():
        raise NotLinearError("an objective of fractions has no whole-number value")
    if len(proto.assumptions):
        raise NotLinearError("assumptions are not converted")
    bounds = [_read_domain(variable) for variable in proto.variables]
    converter = _Converter([low for low, _ in bounds], [high for _, high in bounds])
    for constraint in proto.constraints:
        converter.add(constraint)
    aim, sign = Sum({}), 1
    if proto.has_objective():
        objective = proto.objective
        sign = -1 if objective.scaling_factor < 0 else 1
        aim = Sum(_gather(objective.vars, objective.coeffs), round(objective.offset))
    hints = _gather(proto.solution_hint.vars, proto.solution_hint.values)
    return Program(converter.low, converter.high, converter.rows, aim, sign, hints)


class _Converter:
    """Rows for constraints over variables with bounds."""

    def __init__(self, low: list[int], high: list[int]) -> None:
        self.low, self.high = low, high
        self.rows: list[Row] = []
        self._kinds: dict[str, Callable[[Any], Iterator[tuple[Sum, int | None, int | None]]]] = {
            "linear": _read_linear,
            "bool_or": lambda held: iter([(_count(held.literals), 1, None)]),
            "bool_and": lambda held: ((_count([ref]), 1, None) for ref in held.literals),
            "at_most_one": lambda held: iter([(_count(held.literals), None, 1)]),
            "exactly_one": lambda held: iter([(_count(held.literals), 1, 1)]),
        }

    def add(self, constraint: Any) -> None:
        """Add the rows of a constraint of the model."""
        for kind, read in self._kinds.items():
            if getattr(constraint, f"has_{kind}")():
                off = _count(-ref - 1 for ref in constraint.enforcement_literal)
                for total, low, high in read(getattr(constraint, kind)):
                    self._add_rows(total, low, high, off)
                return
        raise NotLinearError(f"no rows for this constraint: {str(constraint).strip()!r}")

    def _add_rows(self, total: Sum, low: int | None, high: int | None, off: Sum) -> None:
        """Ask for low <= total <= high unless some of the literals counted in `off` hold.

        total - (most - high) off <= high, and total + (low - least) off >= low.
        """
        low = None if low is None else low - total.constant
        high = None if high is None else high - total.constant
        least, most = self._reach(total.terms)
        if high is not None and most > high:
            if off == Sum({}) and low is not None and least < low:
                self.rows.append(Row(total.terms, low, high))
                return
            self.rows.append(_lift(total.terms, off, high - most, None, high))
        if low is not None and least < low:
            self.rows.append(_lift(total.terms, off, low - least, low, None))

    def _reach(self, terms: Terms) -> tuple[int, int]:
        """Return the least and the most that terms come to within the variables' bounds."""
        ends = [(factor * self.low[n], factor * self.high[n]) for n, factor in terms.items()]
        return sum(min(pair) for pair in ends), sum(max(pair) for pair in ends)


def _lift(terms: Terms, off: Sum, by: int, low: int | None, high: int | None) -> Row:
    """Return a row of `terms` plus `by` times `off`."""
    lifted = _gather((*terms, *off.terms), (*terms.values(), *(by * f for f in off.terms.values())))
    shift = by * off.constant
    return Row(lifted, None if low is None else low - shift, None if high is None else high - shift)


def _read_linear(held: Any) -> Iterator[tuple[Sum, int | None, int | None]]:
    """Yield a linear constraint's sum with its limits, None for the widest ones."""
    low, high = _read_interval(held.domain)
    most = cp_model.INT_MAX
    yield (
        Sum(_gather(held.vars, held.coeffs)),
        None if low <= -most else low,
        None if high >= most else high,
    )


def _read_domain(variable: Any) -> tuple[int, int]:
    low, high = _read_interval(variable.domain)
    if max(-low, high) > _WIDEST:
        raise NotLinearError(f"variable {variable.name!r} reaches from {low} to {high}: too far")
    return low, high


def _read_interval(domain: Iterable[int]) -> tuple[int, int]:
    ends = list(domain)
    if len(ends) != 2:
        raise NotLinearError(f"a domain must be one interval, not {ends}")
    return ends[0], ends[1]


def _count(literals: Iterable[int]) -> Sum:
    """Return how many literals hold; a negative one, -n - 1, holds where variable n is 0."""
    refs = list(literals)
    terms = _gather((ref if ref >= 0 else -ref - 1 for ref in refs), (_sign(ref) for ref in refs))
    return Sum(terms, sum(ref < 0 for ref in refs))


def _sign(ref: int) -> int:
    return 1 if ref >= 0 else -1


def _gather(indexes: Iterable[int], factors: Iterable[int]) -> Terms:
    """Return terms, those of the same variable added up, without those that cancel out."""
    terms: Terms = {}
    for n, factor in zip(indexes, factors, strict=True):
        terms[n] = terms.get(n, 0) + factor
    return {n: factor for n, factor in terms.items() if factor}
