"""The values of aims of an arrangement, counted anew by matching: nobody else's sums are taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.explain.make import describe
from kitplan.needs import derive_needs

if TYPE_CHECKING:
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip


def recount(trip: Trip, arrangement: Arrangement) -> dict[str, int]:
    """Return the value of each aim by name."""
    plan = describe(trip, derive_needs(trip), arrangement)
    return {aim.name: aim.value for aim in plan.aims}
