"""Points of growth: trips that differ from a base in one number alone.

All boats are rafts of one invented type with seats and payload for everybody, so that any number of
people goes with any number of boats. Kit is as drawn: that of a party that owns a fair amount.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tests.bench.scarce import with_kit
from tests.generator import Size, draw_trip, load_catalog

if TYPE_CHECKING:
    from kitplan.trip import Trip
    from tests.bench.ladder import Rung

AS_DRAWN = "as drawn"
"""What is said of kit where a rung is a point of growth: its size is then "boats 12", say."""
BASE = {"rapids": 6, "people": 24, "boats": 3, "copies": 1}
SERIES = {
    "rapids": (10, 20, 50, 100, 200, 400),
    "people": (10, 20, 40, 70, 100),
    "boats": (3, 4, 6, 12, 24),
    "copies": (1, 2, 4, 8),  # of each thing, times what is drawn
}
SEEDS = (2, 7, 10, 11, 14)
"""Seeds of trips without a special turn: no parted ways, no given order, nothing out of sight."""
_RAFT = "oar raft 5.5 m"
_SEATS, _PAYLOAD_G = 40, 4_000_000


def draw_point(rung: Rung) -> Trip:
    """Return the trip of a point."""
    what, number = rung.size.split()
    asked = {**BASE, what: int(number)}
    people, boats, rapids = ((asked[one],) * 2 for one in ("people", "boats", "rapids"))
    # More copies are of the same trip.
    name = "base" if what == "copies" else rung.size
    size = Size(name, boats, people, rapids, party={_RAFT: 1})
    catalog = load_catalog()
    raft = replace(catalog.boat_types[_RAFT], seats=_SEATS, payload_g=_PAYLOAD_G)
    catalog = replace(catalog, boat_types={**catalog.boat_types, _RAFT: raft})
    trip = draw_trip(rung.seed, size, catalog=catalog).trip
    kit = {i: replace(row, count=row.count * asked["copies"]) for i, row in trip.kit.items()}
    return with_kit(trip, kit)
