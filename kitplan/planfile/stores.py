"""What a plan file says of stores: which boxes lie in which boat, and on which days."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kitplan.needs import list_lots
from kitplan.needs.boxes import deal_boxes, list_boxes

if TYPE_CHECKING:
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip


def list_stores(trip: Trip, arrangement: Arrangement) -> dict[str, list[dict[str, Any]]]:
    """Return for each boat rows of what lies in it of each lot, in the order of the trip's lots.

    A row names the single boxes and the first and last day of the leg on which they are aboard.
    """
    stowed = {(row.boat, row.lot): row.count for row in arrangement.stowed}
    dealt = {boat: dict(boxes) for boat, boxes in deal_boxes(trip, arrangement).items()}
    rows: dict[str, list[dict[str, Any]]] = {name: [] for name in trip.boats}
    for name, (lot, boxes) in list_boxes(list_lots(trip)).items():
        for leg in trip.legs:
            days = [max(lot.first_day, leg.first_day), min(lot.last_day, leg.last_day)]
            for boat in (one for one in leg.boats if (one, name) in stowed):
                here = [box for box in boxes if box in dealt[boat]]
                row = {"lot": name, "count": stowed[boat, name], "boxes": here, "days": days}
                rows[boat].append(row)
    return rows
