"""Peers come to what kitplan's own solver comes to on tiny trips, and prove it."""

from __future__ import annotations

import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from ortools.sat.python import cp_model

from kitplan.build import TripModel, Variables
from kitplan.needs import derive_needs
from kitplan.solve import aims, competing, run
from tests.bench.method import AIMS, Outcome
from tests.bench.peers import DOORS, PEERS, highs_in_the_loop, run_highs, solve_in_the_loop
from tests.generator import SIZES, draw_trip, is_full_run
from tests.rules.tiny import THROWS, WEAK, Tiny, read_tiny

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.trip import Trip

NAMED = {method.name: method.solve for method in PEERS}
LIMIT_S = 100.0  # far more than any of these takes
HARD = ('class = "II"', 'class = "III"')
# Of 4, 7, 9 and 11 HiGHS returns the hints in the place of the better solution that it has found.
FEW = (1, 2, 4, 5, 7, 9, 10, 11, 12)
SEEDS = tuple(range(1, 41)) if is_full_run() else FEW


@cache
def draw(seed: int) -> tuple[Trip, Needs]:
    """Return a trip and what it asks, of both sizes and both kinds of techniques."""
    size = SIZES["tiny" if seed % 4 else "tiniest"]
    trip = draw_trip(seed, size, techniques="drawn" if seed % 2 else "shipped").trip
    return trip, derive_needs(trip)


@cache
def minimise_in_turn(seed: int) -> tuple[int, ...]:
    """Return the optima of the aims of a trip by CP-SAT with one model."""
    trip, needs = draw(seed)
    tm = TripModel(Variables(trip, trip.rapids), needs)
    values: list[int] = []
    for aim in AIMS:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        tm.model.minimize(tm.total(aim))
        assert solver.solve(tm.model) == cp_model.OPTIMAL
        values.append(round(solver.objective_value))
        tm.model.add(tm.total(aim) <= values[-1])
    return tuple(values)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_peer_finds_and_proves_the_aims_of_cp_sat(seed: int) -> None:
    trip, needs = draw(seed)
    best = minimise_in_turn(seed)
    for name, solve in NAMED.items():
        outcome = solve(trip, needs, LIMIT_S)
        assert (outcome.values, outcome.bounds, outcome.proven) == (best, best, True), name
        plan = outcome.arrangement
        assert plan is not None
        assert all(plan.steerer[boat] in plan.crew[boat] for boat in trip.boats)


def test_the_trips_are_worth_the_comparison() -> None:
    values = [minimise_in_turn(seed) for seed in SEEDS]
    for column in zip(*values, strict=True):
        assert sum(value > 0 for value in column) >= 5
    assert len(set(values)) >= 8


@pytest.mark.parametrize("seed", [4, 5, 9, 10])
def test_competing_rapids_are_solved_in_the_loop_too(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One rapid at first, and one more at a time; CP-SAT has no part in it."""
    trip, needs = draw(seed)
    best = minimise_in_turn(seed)
    monkeypatch.setattr(aims, "MANY", 0)
    monkeypatch.setattr(competing, "FEW", 1)
    monkeypatch.delattr(cp_model.CpSolver, "solve")
    outcome = solve_in_the_loop(trip, needs, LIMIT_S)
    assert (outcome.values, outcome.bounds, outcome.proven) == (best, best, True)


def test_outside_the_loop_is_kitplan_s_own_solver() -> None:
    with highs_in_the_loop():
        assert {vars(module)[door] for module, door in DOORS} == {run_highs}
    assert all(vars(module)[door] == getattr(run, door) for module, door in DOORS)


def test_every_door_to_the_solver_is_among_them() -> None:
    """Whoever imports a run of the solver in `solve` is one, but for what is said of conflicts."""
    folder = Path(run.__file__).parent
    found = {
        (path.stem, door)
        for path in folder.glob("*.py")
        for line in path.read_text().splitlines()
        if line.startswith("from kitplan.solve.run import")
        for door in ("run", "run_soon")
        if door in line.partition("import")[2].replace(",", "").split()
    }
    named = {(module.__name__.rpartition(".")[2], door) for module, door in DOORS}
    assert found - {("conflict", "run")} == named


def test_a_solver_that_is_not_installed_is_missed_when_called(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "pyscipopt", None)
    monkeypatch.delitem(sys.modules, "tests.bench.scip", raising=False)
    with pytest.raises(ImportError, match="pyscipopt"):
        NAMED["SCIP, one model"](*draw(1), LIMIT_S)


@pytest.mark.parametrize("name", NAMED)
def test_without_time_nothing_is_claimed(name: str) -> None:
    outcome = NAMED[name](*draw(1), 0.0)
    assert outcome.values is None
    assert not outcome.proven
    assert not outcome.infeasible


@pytest.mark.parametrize("name", NAMED)
def test_a_party_that_cannot_steer_is_infeasible(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    trip = read_tiny(tmp_path, Tiny(people={"Cy": THROWS, "Dee": THROWS}))
    outcome = NAMED[name](trip, derive_needs(trip), LIMIT_S)
    assert outcome.infeasible
    assert outcome.values is None


@pytest.mark.parametrize("name", ["HiGHS, one model", "SCIP, one model"])
def test_where_somebody_may_row_twice_one_model_says_nothing(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    trip = read_tiny(tmp_path, replace(WEAK, river=(HARD,)))
    assert NAMED[name](trip, derive_needs(trip), LIMIT_S) == Outcome(bounds=(None, None, None))
