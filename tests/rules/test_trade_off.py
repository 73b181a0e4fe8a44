"""A gap is called a trade-off only where a finished run says so."""

from dataclasses import replace

import pytest
from ortools.sat.python.cp_model import CpModel

from kitplan.build.variables import Linear
from kitplan.explain import Outcome, SolveOptions, plan_trip, sorts
from kitplan.solve.run import Answer, Budget, run
from kitplan.trip import Trip
from tests.generator import SIZES, trips

SEEDS = (11, 76, 221)  # generated trips in which two rapids compete for people or kit


def draw(seed: int) -> Trip:
    """Return the generated trip of a seed."""
    return next(iter(trips(SIZES["tiny"], 1, seed))).trip


def kinds(outcome: Outcome) -> set[str]:
    """Return the sorts of a plan's gaps."""
    assert outcome.plan is not None
    return {gap.sort for gap in outcome.plan.gaps}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_trade_off_names_another_rapid(seed: int) -> None:
    """The rapid named is one of the trip's and not the gap's own."""
    trip = draw(seed)
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    assert plan is not None
    traded = [gap for gap in plan.gaps if gap.sort == "trade-off"]
    assert traded
    for gap in traded:
        assert any(f"'{name}'" in gap.note for name in trip.rapids if name != gap.rapid)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_run_cut_short_proves_no_trade_off(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same run, its answer no more than feasible: not proven."""

    def cut(model: CpModel, aim: Linear, budget: Budget) -> Answer:
        return replace(run(model, aim, budget), status="feasible")

    monkeypatch.setattr(sorts, "run", cut)
    found = kinds(plan_trip(draw(seed), SolveOptions(workers=1)))
    assert "trade-off" not in found
    assert "not proven" in found
