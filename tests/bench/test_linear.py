"""A converted model has the solutions and the optima of the model it was made of.

The outsides of this check: optima worked out by hand, and CP-SAT's own list of all solutions
of small random models. Trips are in test_peers.
"""

from __future__ import annotations

import random
from functools import partial
from itertools import product
from typing import TYPE_CHECKING

import pytest
from ortools.sat.python import cp_model

from tests.bench import highs, linear, scip
from tests.bench.linear import NotLinearError, Program, Row, Sum, linearise
from tests.bench.solved import Solved, read

if TYPE_CHECKING:
    from collections.abc import Callable

    Hand = Callable[[cp_model.CpModel], None]

SOLVERS = {"highs": highs.solve, "scip": scip.solve}
LIMIT_S = 60.0  # far more than any of these takes


# --- by hand ------------------------------------------------------------------------------------


def upper_limit_under_a_literal(model: cp_model.CpModel) -> None:
    """With `on` x is 3 and it comes to 8, without it 10; 15 if the limit never held."""
    x, on = model.new_int_var(0, 10, "x"), model.new_bool_var("on")
    model.add(x <= 3).only_enforce_if(on)
    model.maximize(x + 5 * on)


def upper_limit_under_a_negated_literal(model: cp_model.CpModel) -> None:
    """With `on` 10 - 8, without it 3."""
    x, on = model.new_int_var(0, 10, "x"), model.new_bool_var("on")
    model.add(x <= 3).only_enforce_if(~on)
    model.maximize(x - 8 * on)


def lower_limit_under_two_literals(model: cp_model.CpModel) -> None:
    """With a alone x is 7; with b it is 0, and b costs 5."""
    x = model.new_int_var(0, 9, "x")
    a, b = model.new_bool_var("a"), model.new_bool_var("b")
    model.add_bool_or(a, b)
    model.add(x >= 7).only_enforce_if(a, ~b)
    model.minimize(x + 5 * b)


def factors_and_bounds_below_zero(model: cp_model.CpModel) -> None:
    """With `on` y is 2 and x at most -1: 5 - 1; without it x is 3."""
    x, y, on = model.new_int_var(-3, 3, "x"), model.new_int_var(0, 2, "y"), model.new_bool_var("on")
    model.add(-2 * x + y >= 4).only_enforce_if(on)
    model.maximize(x + 5 * on)


def both_ends_under_a_literal(model: cp_model.CpModel) -> None:
    """With `on` x + y is 4, so 3 x - y is 12, and 8 come to it; without it 21."""
    x, y, on = model.new_int_var(0, 7, "x"), model.new_int_var(0, 7, "y"), model.new_bool_var("on")
    model.add_linear_constraint(x + y, 4, 4).only_enforce_if(on)
    model.maximize(3 * x - y + 8 * on)


def interval(model: cp_model.CpModel) -> None:
    """At least 2 in all, and y is the dearer one: x is 9, y -7, and 18 - 21 + 1."""
    x, y = model.new_int_var(1, 9, "x"), model.new_int_var(-9, 9, "y")
    model.add_linear_constraint(x + y, 2, 5)
    model.minimize(2 * x + 3 * y + 1)


def clause(model: cp_model.CpModel) -> None:
    """With a there is b: 2 - 1."""
    a, b = model.new_bool_var("a"), model.new_bool_var("b")
    model.add_bool_or(~a, b)
    model.maximize(2 * a - b)


def clause_under_literals(model: cp_model.CpModel) -> None:
    """With c and d 3 + 2 - 1; with c alone 3, without b; without c 2."""
    a, b, c, d = (model.new_bool_var(name) for name in "abcd")
    model.add_bool_or(a, ~b).only_enforce_if(c, ~d)
    model.maximize(3 * c + 2 * b - 4 * a - d)


def implications(model: cp_model.CpModel) -> None:
    """With a b and not c: 5 - 2; without 2."""
    a, b, c = (model.new_bool_var(name) for name in "abc")
    model.add_implication(a, b)
    model.add_implication(a, ~c)
    model.maximize(5 * a - 2 * b + 2 * c)


def all_of_a_list(model: cp_model.CpModel) -> None:
    """Without a b and not c: -3; with it c is free: 2 - 4."""
    a, b, c = (model.new_bool_var(name) for name in "abc")
    model.add_bool_and(b, ~c).only_enforce_if(~a)
    model.maximize(2 * c - 4 * a - 3 * b)


def at_most_one(model: cp_model.CpModel) -> None:
    """Of a, ~b and c at most one holds: c with b, 3 - 2."""
    a, b, c = (model.new_bool_var(name) for name in "abc")
    model.add_at_most_one(a, ~b, c)
    model.maximize(a + 3 * c - 2 * b)


def exactly_one(model: cp_model.CpModel) -> None:
    """Either both or none: -3 + 2."""
    a, b = model.new_bool_var("a"), model.new_bool_var("b")
    model.add_exactly_one(a, ~b)
    model.minimize(2 * b - 3 * a)


def a_limit_that_cannot_hold(model: cp_model.CpModel) -> None:
    """With `on` x would be 12 of at most 10, so it is off."""
    x, on = model.new_int_var(0, 10, "x"), model.new_bool_var("on")
    model.add(x >= 12).only_enforce_if(on)
    model.maximize(4 * on)


OPTIMA: dict[Hand, int] = {
    upper_limit_under_a_literal: 10,
    upper_limit_under_a_negated_literal: 3,
    lower_limit_under_two_literals: 5,
    factors_and_bounds_below_zero: 4,
    both_ends_under_a_literal: 21,
    interval: -2,
    clause: 1,
    clause_under_literals: 4,
    implications: 3,
    all_of_a_list: -2,
    at_most_one: 1,
    exactly_one: -1,
    a_limit_that_cannot_hold: 0,
}


@pytest.mark.parametrize("solver", SOLVERS)
@pytest.mark.parametrize("build", OPTIMA, ids=lambda build: build.__name__)
def test_a_model_by_hand_has_its_optimum(build: Hand, solver: str) -> None:
    model = cp_model.CpModel()
    build(model)
    program = linearise(model)
    one = SOLVERS[solver](program, LIMIT_S)
    optimum = OPTIMA[build]
    assert (one.status, one.value, one.bound) == ("proven", optimum, optimum)
    assert program.keeps(one.values)


@pytest.mark.parametrize("solver", SOLVERS)
def test_a_model_without_a_solution_is_infeasible(solver: str) -> None:
    model = cp_model.CpModel()
    x, y = model.new_int_var(0, 9, "x"), model.new_int_var(0, 9, "y")
    model.add(2 * x + 2 * y == 7)
    assert SOLVERS[solver](linearise(model), LIMIT_S).status == "infeasible"


@pytest.mark.parametrize("solver", SOLVERS)
def test_a_row_and_an_aim_put_on_a_program_count(solver: str) -> None:
    """At first 2 x + y is at most 5, so y is 5; then x is at least 2, and y at most 1."""
    model = cp_model.CpModel()
    x, y = model.new_int_var(0, 9, "x"), model.new_int_var(0, 9, "y")
    model.add(2 * x + y <= 5)
    program = linearise(model).minimising(linear.flatten(3 - y))
    first = SOLVERS[solver](program, LIMIT_S)
    assert (first.value, first.values) == (-2, (0, 5))
    held = program.holding(linear.flatten(4 - x), 2).starting({0: 0, 1: 5})
    second = SOLVERS[solver](held, LIMIT_S)
    assert (second.value, second.values) == (2, (2, 1))


def test_what_lifts_a_limit_is_as_small_as_the_bounds_allow() -> None:
    """What is limited reaches 14, 9 above its limit; both literals must hold for it to count."""
    model = cp_model.CpModel()
    x, y = model.new_int_var(0, 4, "x"), model.new_int_var(-1, 5, "y")
    a, b = model.new_bool_var("a"), model.new_bool_var("b")
    model.add(x + 2 * y <= 5).only_enforce_if(a, ~b)
    model.add(x + 2 * y <= 14).only_enforce_if(a)
    assert linearise(model).rows == [Row({0: 1, 1: 2, 2: 9, 3: -9}, None, 14)]


# --- all solutions ------------------------------------------------------------------------------


class Solutions(cp_model.CpSolverSolutionCallback):
    """Gathers the values of some variables in each solution."""

    def __init__(self, variables: list[cp_model.IntVar]) -> None:
        """Begin with none."""
        super().__init__()
        self.variables = variables
        self.found: set[tuple[int, ...]] = set()

    def on_solution_callback(self) -> None:
        """Take one more; the solver calls this."""
        self.found.add(tuple(self.value(variable) for variable in self.variables))


def draw_model(rng: random.Random) -> tuple[cp_model.CpModel, list[cp_model.IntVar]]:
    """Return a model of three literals, two whole numbers and five constraints among them."""
    model = cp_model.CpModel()
    literals = [model.new_bool_var(name) for name in "abc"]
    lows = [rng.randint(-3, 1) for _ in range(2)]
    numbers = [model.new_int_var(low, low + rng.randint(1, 3), "") for low in lows]
    either = [*literals, *(~literal for literal in literals)]
    variables = [*literals, *numbers]
    for _ in range(5):
        some = rng.sample(either, rng.randint(1, 4))
        total = sum(rng.randint(-3, 3) * v for v in variables) + rng.randint(-2, 2)
        low = rng.randint(-5, 2)
        held = {
            "bool_or": partial(model.add_bool_or, some),
            "bool_and": partial(model.add_bool_and, some),
            "at_most_one": partial(model.add_at_most_one, some),
            "exactly_one": partial(model.add_exactly_one, some),
            "interval": partial(model.add_linear_constraint, total, low, low + rng.randint(0, 5)),
            "at_most": partial(model.add_linear_constraint, total, cp_model.INT_MIN, low + 4),
        }
        kind = rng.choice(list(held))
        held[kind]().only_enforce_if(rng.sample(either, rng.randint(0, 2)))
    return model, variables


def list_solutions(model: cp_model.CpModel, variables: list[cp_model.IntVar]) -> Solutions:
    """Return all that CP-SAT finds."""
    solver, solutions = cp_model.CpSolver(), Solutions(variables)
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.num_workers = 1
    assert solver.solve(model, solutions) in {cp_model.OPTIMAL, cp_model.INFEASIBLE}
    return solutions


def list_kept(program: Program) -> set[tuple[int, ...]]:
    """Return all values of a program's variables that keep its rows."""
    bounds = zip(program.low, program.high, strict=True)
    tried = product(*(range(low, high + 1) for low, high in bounds))
    return {values for values in tried if program.keeps(values)}


@pytest.mark.parametrize("seed", range(60))
def test_a_program_has_the_solutions_of_its_model(seed: int) -> None:
    model, variables = draw_model(random.Random(seed))
    assert list_kept(linearise(model)) == list_solutions(model, variables).found


def test_the_models_are_worth_the_comparison() -> None:
    counts = [len(list_kept(linearise(draw_model(random.Random(n))[0]))) for n in range(60)]
    assert sum(count > 1 for count in counts) >= 40


# --- what is refused ----------------------------------------------------------------------------


def test_other_constraints_are_refused() -> None:
    model = cp_model.CpModel()
    x, y = model.new_int_var(0, 9, "x"), model.new_int_var(0, 9, "y")
    model.add_max_equality(x, [y, 3 * y])
    with pytest.raises(NotLinearError, match=r"no rows for this constraint: 'lin_max \{"):
        linearise(model)


def test_domains_with_holes_are_refused() -> None:
    model = cp_model.CpModel()
    model.new_int_var_from_domain(cp_model.Domain.from_values([1, 2, 4]), "x")
    with pytest.raises(NotLinearError, match=r"one interval, not \[1, 2, 4, 4\]"):
        linearise(model)
    model = cp_model.CpModel()
    model.add(model.new_int_var(0, 4, "x") != 2)
    with pytest.raises(NotLinearError, match="one interval"):
        linearise(model)


def test_numbers_that_reach_too_far_are_refused() -> None:
    model = cp_model.CpModel()
    model.new_int_var(0, 2**41, "far")
    with pytest.raises(NotLinearError, match="variable 'far' reaches from 0 to 2199023255552"):
        linearise(model)


def test_assumptions_and_fractions_are_refused() -> None:
    model = cp_model.CpModel()
    x = model.new_bool_var("x")
    model.minimize(0.5 * x)
    with pytest.raises(NotLinearError, match="an objective of fractions"):
        linearise(model)
    model = cp_model.CpModel()
    model.add_assumptions([model.new_bool_var("x")])
    with pytest.raises(NotLinearError, match="assumptions"):
        linearise(model)


# --- what a solver says -------------------------------------------------------------------------

HALVES = Program([0, 0], [9, 9], [Row({0: 2, 1: 2}, 7, None)], Sum({0: 1, 1: 1}, 5))
"""At least 7 halves are 4: the least sum is 9."""


def test_floats_are_read_as_whole_numbers() -> None:
    assert read(HALVES, [3.9999999, 1e-9], 4.0, ended=True) == Solved("proven", 9, 9, (4, 0))
    assert read(HALVES, [6.0, 0.0], 3.2, ended=False) == Solved("feasible", 11, 9, (6, 0))
    assert read(HALVES, [6.0, 0.0], 4.0000001, ended=False).bound == 9
    assert read(HALVES, [6.0, 0.0], float("-inf"), ended=False).bound == 5


def test_a_solution_that_breaks_a_row_once_rounded_does_not_count() -> None:
    assert read(HALVES, [3.4999999, 0.0], 3.5, ended=True) == Solved("unknown", 0, 9)


def test_no_solution_means_that_there_is_none_only_at_the_end() -> None:
    assert read(HALVES, None, float("-inf"), ended=True).status == "infeasible"
    assert read(HALVES, None, 3.5, ended=False) == Solved("unknown", 0, 9)


def test_a_greatest_value_has_its_bound_above() -> None:
    greatest = Program([0], [9], [], Sum({0: -2}, -1), sign=-1)
    assert read(greatest, [3.0], -12.5, ended=False) == Solved("feasible", 7, 13, (3,))
