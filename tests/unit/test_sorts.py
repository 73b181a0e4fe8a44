"""Each gap is sorted by its own aim: a rapid may be at its best in one and not in the other."""

import pytest

from kitplan.explain.sorts import Sorter
from kitplan.needs import derive_needs
from kitplan.plan import AT_BEST, FLOOR_UNKNOWN
from kitplan.solve import Floors, Solution
from tests.generator import SIZES, draw_trip

# This rapid can't do better alone than leave 8 uncovered; in the plan it also lacks a bank at a
# case of 16 that it could have both banks for.
FLOOR = {"uncovered": 8, "one_bank": 8, "unmet": 0}
VALUE = {"uncovered": 8, "one_bank": 24, "unmet": 40}


@pytest.fixture(name="sorter")
def _sorter() -> Sorter:
    trip = draw_trip(1, SIZES["tiniest"]).trip
    floors = Floors({"Ledge": FLOOR}, {"uncovered": True, "one_bank": False, "unmet": False})
    solution = Solution("feasible", floors=floors)
    sorter = Sorter(trip, derive_needs(trip), solution, {"Ledge": VALUE})
    sorter.covered = {"Ledge": (3, 5)}
    return sorter


def test_what_is_covered_from_nowhere_goes_by_the_first_aim_alone(sorter: Sorter) -> None:
    assert sorter.sort("Ledge", "uncovered") == (
        "impossible together",
        AT_BEST.format(done=3, total=5),
    )


def test_a_bank_that_is_lacking_is_not_excused_by_it(sorter: Sorter) -> None:
    """The floor of the second aim is not proven, so that nothing is claimed of it."""
    assert sorter.sort("Ledge", "one_bank") == ("not proven", FLOOR_UNKNOWN)
