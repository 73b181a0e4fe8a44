"""Competing rapids come to what one model of all rapids comes to."""

import pytest

from kitplan.explain import plan_trip
from kitplan.needs import derive_needs
from kitplan.needs.extent import is_large
from kitplan.report import render_plan
from kitplan.solve import COVER_AIMS, SolveOptions, solve_trip
from kitplan.verify import verify_plan
from tests.generator import SIZES, generate_trip, is_full_run

SEEDS = range(1, 121 if is_full_run() else 25)
SIZE = ("tiny", "XS")


@pytest.mark.parametrize("seed", SEEDS)
def test_competing_rapids_are_as_good_as_all_at_once(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Values and bounds of aims 2 to 4; one rapid at first, and one more at a time."""
    trip = generate_trip(seed, SIZES[SIZE[seed % 4 == 0]])
    needs, options = derive_needs(trip), SolveOptions(workers=1, time_limit_s=100, aims=())
    at_once = solve_trip(trip, needs, options)
    monkeypatch.setattr("kitplan.solve.aims.MANY", 0)
    monkeypatch.setattr("kitplan.solve.competing.FEW", 1)
    by_few = solve_trip(trip, needs, options)
    assert {aim: by_few.values[aim] for aim in COVER_AIMS} == at_once.values
    for aim in COVER_AIMS:
        if at_once.bounds[aim] == at_once.values[aim]:
            assert by_few.bounds[aim] == by_few.values[aim], aim
        # A floor that is told is one, and what is proven of a floor agrees.
        if by_few.floors.proven[aim] and at_once.floors.proven.get(aim) and aim == "uncovered":
            assert by_few.floors.total(aim) == at_once.floors.total(aim)


@pytest.mark.parametrize("seed", [1, 2, 7])
def test_a_trip_that_asks_too_much_gets_a_plan_of_aims_2_to_4(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Verified, aims 2 to 4 as proven as ever, and what was not tried is said."""
    trip = generate_trip(seed, SIZES["XS"])
    needs, options = derive_needs(trip), SolveOptions(workers=1, time_limit_s=100)
    usual = plan_trip(trip, options).plan
    monkeypatch.setattr("kitplan.needs.extent.MANY", 3)
    monkeypatch.setattr("kitplan.solve.aims.MANY", 3)
    monkeypatch.setattr("kitplan.needs.extent.LARGE", 0)
    assert is_large(trip, needs)
    plan = plan_trip(trip, options).plan
    assert usual is not None
    assert plan is not None
    assert [finding.text() for finding in verify_plan(trip, plan)] == []
    assert plan.canonical
    assert plan.aims[:3] == usual.aims[:3]
    assert not any(aim.proven for aim in plan.aims[3:6])
    text = " ".join(render_plan(trip, needs, plan, "text").split())
    assert "This trip asks so much that aims 5 to 8 were not tried." in text
