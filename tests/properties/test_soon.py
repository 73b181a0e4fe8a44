"""The plan to fall back on keeps the rules, and is the plan where nothing better was in time."""

import pytest

from kitplan.needs import derive_needs
from kitplan.solve import COVER_AIMS, Clock, SolveOptions, solve_trip
from kitplan.solve.begin import arrange
from kitplan.solve.dealt import deal_out
from kitplan.solve.floors import Limits
from kitplan.solve.run import Budget
from kitplan.solve.soon import plan_soon
from tests.bench.checked import check_arrangement, count_aims
from tests.generator import SIZES, generate_trip, is_full_run

SEEDS = range(1, 41 if is_full_run() else 11)
BETTER = 3  # of the drawn trips, at least: in how many it covers more than what was dealt out


def _budget() -> Budget:
    return Budget(Clock(600), 1.0, 20.0)


def test_it_keeps_the_rules_and_is_between_the_best_and_what_was_dealt_out() -> None:
    """By the verifier's count of aims 2 to 4, in their order."""
    better = 0
    for seed in SEEDS:
        trip = generate_trip(seed, SIZES["tiny" if seed % 3 else "XS"])
        needs = derive_needs(trip)
        best = solve_trip(trip, needs, SolveOptions(workers=1, aims=()))
        decided = plan_soon(trip, needs, Limits(Clock(600), 1.0, 1))
        if best.rowing is not None or not decided:
            assert not best.values or best.rowing is not None
            continue
        soon, dealt = arrange(trip, decided, _budget()), deal_out(trip, _budget())
        assert dealt is not None
        as_dealt = arrange(trip, dealt, _budget())
        assert soon is not None
        assert as_dealt is not None
        assert check_arrangement(trip, soon) == []
        counted = count_aims(trip, needs, soon)
        assert counted >= tuple(best.values[aim] for aim in COVER_AIMS)
        assert counted <= count_aims(trip, needs, as_dealt)
        better += counted < count_aims(trip, needs, as_dealt)
    assert better >= BETTER


@pytest.mark.parametrize("seed", [3, 6])
def test_it_is_the_plan_where_no_time_is_left_for_more(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not so where it is not asked for, which the legs of a trip by themselves do not."""
    trip = generate_trip(seed, SIZES["XS"])
    needs = derive_needs(trip)
    monkeypatch.setattr("kitplan.solve.aims.SOON", 1)
    for step in ("_settle_legs", "_settle_cover"):
        monkeypatch.setattr(f"kitplan.solve.aims._Solver.{step}", lambda _: False)
    told: list[str] = []
    options = SolveOptions(workers=1, aims=(), watch=told.append)
    found = solve_trip(trip, needs, options)
    decided = plan_soon(trip, needs, Limits(Clock(600), 1.0, 1))
    assert "a plan to fall back on" in told
    assert found.arrangement == arrange(trip, decided, _budget())
