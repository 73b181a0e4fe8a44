"""What a plan file says of stores: what to fill, which boxes lie in which boat, on which days.

Amounts are in kilograms or litres, as `unit` says.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kitplan.needs import list_lots
from kitplan.needs.boxes import deal_boxes, list_boxes
from kitplan.needs.supplies import find_rate, list_supplies, measure_content, tell_amount

if TYPE_CHECKING:
    from kitplan.needs import Lot
    from kitplan.needs.supplies import Supply
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip


def list_stores(trip: Trip, arrangement: Arrangement) -> dict[str, list[dict[str, Any]]]:
    """Return for each boat rows of what lies in it of each lot, in the order of the trip's lots.

    A row names the single boxes, the first and last day of the leg on which they are aboard, and
    what is in each on the first one; things that need no container have neither amount nor unit.
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
                rows[boat].append(row | _make_amount(trip, lot, days[0]))
    return rows


def make_supplies(trip: Trip) -> list[dict[str, Any]]:
    """Return a row for each store that comes aboard at the start or at a restock, in this order."""
    return [_make_supply(one) for one in list_supplies(trip)]


def _make_supply(supply: Supply) -> dict[str, Any]:
    amount, unit = tell_amount(supply.rate, supply.quantity)
    return {
        "store": supply.rate.name,
        "days": [supply.first_day, supply.last_day],
        "person_days": supply.person_days,
        "amount": amount,
        "unit": unit,
        "container": supply.rate.container.name,
        "count": len(supply.contents),
        "contents": [tell_amount(supply.rate, content)[0] for content in supply.contents],
    }


def _make_amount(trip: Trip, lot: Lot, day: int) -> dict[str, Any]:
    rate = find_rate(trip, lot)
    if rate is None:
        return {"amount": None, "unit": None}
    amount, unit = tell_amount(rate, measure_content(rate, lot, day))
    return {"amount": amount, "unit": unit}
