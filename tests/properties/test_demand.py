"""Rapids on demand come to what one model of all rapids comes to."""

import pytest

from kitplan.needs import derive_needs
from kitplan.solve import COVER_AIMS, SolveOptions, solve_trip
from tests.generator import SIZES, generate_trip, is_full_run

SEEDS = range(1, 121 if is_full_run() else 25)
SIZE = ("tiny", "XS")


@pytest.mark.parametrize("seed", SEEDS)
def test_rapids_on_demand_are_as_good_as_all_at_once(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Values and bounds of aims 2 to 4; one rapid at first, and one more at a time."""
    trip = generate_trip(seed, SIZES[SIZE[seed % 4 == 0]])
    needs, options = derive_needs(trip), SolveOptions(workers=1, time_limit_s=100, aims=())
    at_once = solve_trip(trip, needs, options)
    monkeypatch.setattr("kitplan.solve.aims.MANY", 0)
    monkeypatch.setattr("kitplan.solve.demand.FEW", 1)
    by_few = solve_trip(trip, needs, options)
    assert {aim: by_few.values[aim] for aim in COVER_AIMS} == at_once.values
    for aim in COVER_AIMS:
        if at_once.bounds[aim] == at_once.values[aim]:
            assert by_few.bounds[aim] == by_few.values[aim], aim
        # A floor that is told is one, and what is proven of a floor agrees.
        if by_few.floors.proven[aim] and at_once.floors.proven.get(aim) and aim == "uncovered":
            assert by_few.floors.total(aim) == at_once.floors.total(aim)
