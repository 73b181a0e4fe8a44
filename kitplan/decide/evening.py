"""The evening from which a trip is begun afresh: which leg it is in, what lay where, what is left.

Knows nothing of what the trip becomes by what happened.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.happened import Evening
from kitplan.needs.boxes import deal_boxes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.happened import Happened
    from kitplan.plan import Arrangement, Packed
    from kitplan.trip import Leg, Trip

_CARRIED_OFF = ("quick", "stowed", "worn")
"""What of an item is taken to be lost first, where some of it is."""


def find_day_before(trip: Trip, happened: Happened) -> int:
    """Return the day that is over; the trip's first one where none is."""
    return max(trip.days[0], happened.day - 1)


def find_evening_leg(trip: Trip, happened: Happened) -> Leg:
    """Return the leg of the day that is over, or the first one."""
    day = find_day_before(trip, happened)
    return next(leg for leg in trip.legs if day <= leg.last_day)


def list_legs_left(trip: Trip, happened: Happened) -> list[Leg]:
    """Return the legs that are not over, as the trip has them."""
    return [leg for leg in trip.legs if leg.last_day >= happened.day]


def tell_evening(trip: Trip, arrangement: Arrangement, happened: Happened) -> Evening:
    """Return where all was as planned; the day must be one of the trip's."""
    leg, day = find_evening_leg(trip, happened), find_day_before(trip, happened)
    called = {boat: trip.boats[boat].called for boat in leg.boats}
    dealt = deal_boxes(trip, arrangement)
    boxes = (
        (box, called[boat])
        for boat in leg.boats
        for box, lot in dealt[boat]
        if lot.first_day <= day and lot.last_day >= happened.day
    )
    packed = (row for row in arrangement.packed if row.boat in called)
    return Evening(
        tuple(sorted((p, called[boat]) for boat in leg.boats for p in arrangement.crew[boat])),
        tuple(sorted(replace(row, boat=called[row.boat]) for row in packed)),
        tuple(sorted(boxes)),
    )


def list_aboard(evening: Evening, happened: Happened) -> Iterator[Packed]:
    """Yield what was dealt and is not lost with a boat."""
    for row in evening.packed:
        saved = row.carried == "worn" and row.worn_by not in happened.absent
        if row.boat not in happened.lost or saved:
            yield row


def list_packed_left(evening: Evening, happened: Happened) -> list[Packed]:
    """Return what is left that evening of what was dealt to the boats, and how it lies.

    Gone is what lay quick or stowed in a lost boat, what those wore who were not saved from it, and
    what is lost: of an item in a boat first what lies quick, then what is stowed, then what is
    worn.
    """
    lost = happened.lost_items.copy()
    rows = list(list_aboard(evening, happened))
    rows.sort(key=lambda row: (_CARRIED_OFF.index(row.carried), row))
    left = []
    for row in rows:
        key = row.boat, row.item
        gone = min(row.count, lost.get(key, 0))
        lost[key] = lost.get(key, 0) - gone
        if row.count > gone:
            left.append(replace(row, count=row.count - gone))
    return sorted(left)
