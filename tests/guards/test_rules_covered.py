"""Registry, builder and verifier cover the same rule families and aims."""

from pathlib import Path

from kitplan import rules
from kitplan.build.families import FAMILIES
from kitplan.solve import ALL_AIMS
from kitplan.verify.claims import AIM_VALUES
from kitplan.verify.kept import CHECKS

KITPLAN = Path(__file__).parents[2] / "kitplan"


def test_seating_packing_stores_order_and_stations_have_a_method_and_a_check_each() -> None:
    """One entry, one method, one check."""
    arranged = rules.SEATING + rules.PACKING + rules.STORES + rules.ORDER + rules.STATIONS
    registered = [family.name for family in arranged]
    assert list(FAMILIES) == registered
    assert list(CHECKS) == registered


def test_cover_families_are_complained_of_by_name() -> None:
    """Each family of cover is a code of the verifier."""
    text = "".join(path.read_text() for path in sorted((KITPLAN / "verify").glob("*.py")))
    for family in rules.COVER:
        assert f'"{family.name}"' in text, family.name


def test_every_aim_is_solved_and_counted_again() -> None:
    """The aims of the registry, in their order."""
    registered = tuple(aim.name for aim in rules.AIMS)
    assert registered == ALL_AIMS
    assert tuple(AIM_VALUES) == registered
