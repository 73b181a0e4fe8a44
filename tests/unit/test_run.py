"""Runs that are first tried as they are, and gaps that begin at their floors."""

import pytest
from ortools.sat.python import cp_model

from kitplan.solve import run as door
from kitplan.solve.floors import add_on_floors
from kitplan.solve.run import Answer, Budget, Clock, run, run_soon

ASKED = 17


def make_model() -> tuple[cp_model.CpModel, cp_model.LinearExpr]:
    """Return the fewest coins of 7, 5 and 3 that make 17: 7 + 7 + 3."""
    model = cp_model.CpModel()
    coins = {worth: model.new_int_var(0, 9, str(worth)) for worth in (7, 5, 3)}
    model.add(sum(worth * number for worth, number in coins.items()) == ASKED)
    return model, cp_model.LinearExpr.sum(list(coins.values()))


def count_runs(monkeypatch: pytest.MonkeyPatch, soon: float) -> list[bool]:
    """Return a list that tells of each run whether its model was made smaller."""
    runs: list[bool] = []

    def tell(model: cp_model.CpModel, aim: cp_model.LinearExpr | None, budget: Budget) -> Answer:
        runs.append(budget.presolve)
        return run(model, aim, budget)

    monkeypatch.setattr(door, "run", tell)
    monkeypatch.setattr(door, "SOON", soon)
    return runs


@pytest.mark.parametrize(("soon", "made_smaller"), [(5.0, [False]), (0.0, [False, True])])
def test_a_model_is_made_smaller_only_if_it_is_not_solved_soon(
    soon: float, made_smaller: list[bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    runs = count_runs(monkeypatch, soon)
    model, coins = make_model()
    answer = run_soon(model, coins, Budget(Clock(60), 1.0, 9.0))
    assert runs == made_smaller
    assert (answer.status, answer.value, answer.bound) == ("proven", 3, 3)
    assert sum(answer.list_values()) == answer.value


def test_the_better_plan_of_the_two_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """A longer run that ends early may come to less than the short one, its bound still counts."""
    solver = cp_model.CpSolver()
    answers = [Answer("feasible", 5, 1, solver), Answer("feasible", 9, 3, solver)]
    monkeypatch.setattr(Answer, "list_values", lambda _: [])
    monkeypatch.setattr(door, "run", lambda *_: answers.pop(0))
    model, coins = make_model()
    answer = run_soon(model, coins, Budget(Clock(60), 1.0, 9.0))
    assert (answer.value, answer.bound) == (5, 3)


@pytest.mark.parametrize("soon", [5.0, 0.0])
def test_what_can_not_be_is_told_either_way(soon: float, monkeypatch: pytest.MonkeyPatch) -> None:
    runs = count_runs(monkeypatch, soon)
    model, coins = make_model()
    model.add(coins <= 2)
    assert run_soon(model, None, Budget(Clock(60), 1.0, 9.0)).status == "infeasible"
    assert len(runs) <= 2


@pytest.mark.parametrize(("floors", "least"), [((0, 0), 3), ((1, 2), 3), ((2, 2), 4), ((0, 4), 5)])
def test_gaps_begin_at_their_floors(floors: tuple[int, int], least: int) -> None:
    """Two gaps that come to 3 at least, the second to 2 at most unless its floor is higher."""
    model = cp_model.CpModel()
    first, second = (model.new_int_var(0, 9, name) for name in "ab")
    model.add(first + second >= 3)
    model.add(first >= 1)
    named = dict(zip("ab", floors, strict=True))
    total = add_on_floors(model, {"a": 1 * first, "b": 1 * second}, named)
    answer = run(model, total, Budget(Clock(60), 1.0, 9.0))
    assert (answer.status, answer.value) == ("proven", least)
