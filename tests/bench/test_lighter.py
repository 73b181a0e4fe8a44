"""As much cover as by hand with less kit."""

from __future__ import annotations

import pytest

from kitplan.needs import derive_needs
from tests.bench.hand import solve_by_hand
from tests.bench.ladder import PLENTY, Rung, draw_rung
from tests.bench.lighter import LESS, compare
from tests.bench.run import run_here

LIMIT_S = 600.0


@pytest.mark.parametrize("rung", [Rung("XS", PLENTY, 2), Rung("XS", "scarce 10", 2)])
def test_less_kit_covers_no_less(rung: Rung) -> None:
    by_hand, lighter = compare(draw_rung(rung).trip, LIMIT_S)
    assert by_hand.faults == lighter.faults == []
    assert by_hand.cover == (run_here(rung, "by hand", LIMIT_S).values or ())[:2]
    assert all(here <= there for here, there in zip(lighter.cover, by_hand.cover, strict=True))
    assert 0 < lighter.mass_g <= LESS * by_hand.mass_g


def test_by_hand_all_is_taken_that_has_room() -> None:
    """Counted from the rows that are packed, of a trip with one leg."""
    rung = Rung("XS", "scarce 10", 2)
    trip = draw_rung(rung).trip
    by_hand, _ = compare(trip, LIMIT_S)
    arrangement = solve_by_hand(trip, derive_needs(trip), LIMIT_S).arrangement
    assert arrangement is not None
    packed_g = sum(row.count * trip.catalog.items[row.item].mass_g for row in arrangement.packed)
    assert by_hand.mass_g == packed_g
