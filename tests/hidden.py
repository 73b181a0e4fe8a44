"""What a drawn trip gets that few have: many guests, rapids they walk round, spots out of sight."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random

    from kitplan.trip import Trip


def hide(trip: Trip, rng: random.Random) -> Trip:
    """Return the trip with more guests, rapids they walk round, spots out of sight from above."""
    rapids = {
        name: replace(
            rapid,
            spots=tuple(replace(spot, sight=rng.random() < 0.5) for spot in rapid.spots),
            guests_walk=rng.random() < 0.4,
        )
        for name, rapid in trip.rapids.items()
    }
    more = list(trip.paddlers)[len(trip.boats) :]  # the first of all steer
    guests = {name for name in more if rng.random() < 0.6}
    paddlers = {
        name: replace(paddler, guest=paddler.guest or name in guests)
        for name, paddler in trip.paddlers.items()
    }
    figures = replace(trip.catalog.figures, guests_per_guide=rng.choice([1, 1, 2, 8]))
    catalog = replace(trip.catalog, figures=figures)
    return replace(trip, rapids=rapids, paddlers=paddlers, catalog=catalog)
