"""What a plan file says of what there was before it: where all lay, and what happened on the way.

Written and read side by side. Masses are in kilograms.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Any

from kitplan.happened import Evening, Happened, Restart
from kitplan.plan import Before, Packed, Stowed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.planfile import records
    from kitplan.trip import Trip

GRAMS = 1000


# --- plan -> document -----------------------------------------------------------------------------


def make_before(trip: Trip, before: Before) -> list[dict[str, Any]]:
    """Return a row for each boat with somebody or something in it, and last for what is in none.

    That one has no name; things in it lie in no way. Boats are in the trip's order.
    """
    crews, things = _group(before.seats, before.packed)
    stores: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for row in before.stowed:
        stores[row.boat].append({"lot": row.lot, "count": row.count})
    full = {*crews, *things, *stores}
    return [
        {
            "name": boat or None,
            "called": trip.boats[boat].called if boat else None,
            "crew": crews[boat],
            "items": things[boat],
            "stores": stores[boat],
        }
        for boat in [*trip.boats, ""]
        if boat in full
    ]


def make_restarts(restarts: Iterable[Restart]) -> list[dict[str, Any]]:
    """Return a row for each time a trip was begun afresh; its boats are in order of their names."""
    return [_make_happened(one.happened) | _make_evening(one.evening) for one in restarts]


def _make_happened(happened: Happened) -> dict[str, Any]:
    return {
        "day": happened.day,
        "lost": list(happened.lost),
        "damaged": [
            {"boat": boat, "payload_kg": payload_g / GRAMS}
            for boat, payload_g in happened.damaged.items()
        ],
        "absent": list(happened.absent),
        "hurt": list(happened.hurt),
        "lost_items": [
            {"boat": boat, "item": item, "count": count}
            for (boat, item), count in happened.lost_items.items()
        ],
        "skipped": list(happened.skipped),
        "left": list(happened.left),
    }


def _make_evening(evening: Evening) -> dict[str, Any]:
    crews, things = _group(evening.seats, evening.packed)
    boxes: dict[str, list[str]] = defaultdict(list)
    for box, boat in evening.boxes:
        boxes[boat].append(box)
    rows = [
        {"called": boat, "crew": crews[boat], "items": things[boat], "boxes": boxes[boat]}
        for boat in sorted({*crews, *things, *boxes})
    ]
    return {"boats": rows}


def _group(
    seats: Iterable[tuple[str, str]], packed: Iterable[Packed]
) -> tuple[dict[str, list[str]], dict[str, list[dict[str, Any]]]]:
    """Return who and what is in each boat."""
    crews: dict[str, list[str]] = defaultdict(list)
    things: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for paddler, boat in seats:
        crews[boat].append(paddler)
    for row in packed:
        thing = {
            "item": row.item,
            "count": row.count,
            "carried": row.carried or None,
            "worn_by": row.worn_by or None,
        }
        things[row.boat].append(thing)
    return crews, things


# --- document -> plan -----------------------------------------------------------------------------


def read_before(rows: Iterable[records.BeforeRow]) -> Before:
    """Return what there was, all sorted."""
    named = [(row.name or "", row) for row in rows]
    seats = ((paddler, boat) for boat, row in named for paddler in row.crew)
    packed = (_read_packed(boat, thing) for boat, row in named for thing in row.items)
    stowed = (Stowed(boat, lot.lot, lot.count) for boat, row in named for lot in row.stores)
    return Before(tuple(sorted(seats)), tuple(sorted(packed)), tuple(sorted(stowed)))


def read_restart(row: records.RestartRow) -> Restart:
    """Return what had happened, and how all lay."""
    happened = Happened(
        row.day,
        tuple(row.lost),
        {one.boat: round(one.payload_kg * GRAMS) for one in row.damaged},
        tuple(row.absent),
        tuple(row.hurt),
        {(one.boat, one.item): one.count for one in row.lost_items},
        tuple(row.skipped),
        tuple(row.left),
    )
    seats = ((paddler, boat.called) for boat in row.boats for paddler in boat.crew)
    packed = (_read_packed(boat.called, thing) for boat in row.boats for thing in boat.items)
    boxes = ((box, boat.called) for boat in row.boats for box in boat.boxes)
    evening = Evening(tuple(sorted(seats)), tuple(sorted(packed)), tuple(sorted(boxes)))
    return Restart(happened, evening)


def _read_packed(boat: str, row: records.LyingRow | records.PackedRow) -> Packed:
    return Packed(boat, row.item, row.carried or "", row.count, row.worn_by or "")
