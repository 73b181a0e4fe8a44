"""What a plan file says of loads: which boxes lie in which boat, and its mass each morning."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from kitplan.needs import (
    BAGS,
    CAMP_KIT,
    OWN_THINGS,
    list_lots,
    name_lots,
    person_mass_g,
)
from kitplan.needs.boxes import deal_boxes, list_boxes

if TYPE_CHECKING:
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip

_CAMP = {CAMP_KIT, OWN_THINGS, BAGS}


class Load(NamedTuple):
    """What a boat is laden with on the morning of a day, in grams.

    `stores_g` is what people use up and fill, containers included; `camp_g` are camp kit, own
    things and personal bags.
    """

    day: int
    people_g: int
    kit_g: int
    stores_g: int
    camp_g: int
    dry_g: int

    @property
    def total_g(self) -> int:
        """Return what all of it weighs, in grams."""
        return self.people_g + self.kit_g + self.stores_g + self.camp_g + self.dry_g


def list_loads(trip: Trip, arrangement: Arrangement) -> dict[str, list[Load]]:
    """Return for each boat its load on each morning of its leg."""
    lots = name_lots(list_lots(trip))
    loads = {}
    for name, boat in trip.boats.items():
        leg = trip.legs[boat.leg]
        people_g = sum(person_mass_g(trip.paddlers[p], trip) for p in arrangement.crew[name])
        packed = [row for row in arrangement.packed if row.boat == name]
        kit_g = sum(trip.kit[row.item].item.mass_g * row.count for row in packed)
        stowed = [(lots[row.lot], row.count) for row in arrangement.stowed if row.boat == name]
        loads[name] = [
            Load(
                day,
                people_g,
                kit_g,
                sum(count * lot.weigh(day) for lot, count in stowed if lot.kind not in _CAMP),
                sum(count * lot.weigh(day) for lot, count in stowed if lot.kind in _CAMP),
                boat.dry_load_g,
            )
            for day in range(leg.first_day, leg.last_day + 1)
        ]
    return loads


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
