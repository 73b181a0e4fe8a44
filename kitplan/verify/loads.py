"""What boats are laden with, morning by morning: their load, their hold, and where stores lie.

Stores are dealt anew in each leg; a lot lies in its boats on the mornings on which it is aboard.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.units import show_length, show_mass, show_volume

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.errors import Place
    from kitplan.plan import Arrangement, Stowed
    from kitplan.trip import Leg, Trip

    Broken = tuple[Place, str]


def list_loads_g(trip: Trip, plan: Arrangement, boat: str) -> dict[int, int]:
    """Return the load of a boat in grams on each morning of its leg.

    That is people in wet clothes, dealt kit, stores and dry load.
    """
    load = trip.boats[boat].dry_load_g
    for paddler in plan.crew[boat]:
        load += trip.paddlers[paddler].mass_g + trip.catalog.figures.wet_kit_g
    for row in plan.packed:
        if row.boat == boat:
            load += row.count * trip.catalog.items[row.item].mass_g
    lots = _list_stowed(trip, plan, boat)
    return {
        day: load + sum(count * lot.weigh(day) for lot, count in lots)
        for day in _list_days(trip, boat)
    }


def measure_load_g(trip: Trip, plan: Arrangement, boat: str) -> int:
    """Return the load of a boat in grams on its heaviest morning."""
    return max(list_loads_g(trip, plan, boat).values())


def _list_volumes_ml(trip: Trip, plan: Arrangement, boat: str) -> dict[int, int]:
    """Return the room that stores and stowed kit take in a boat on each morning of its leg."""
    kit = sum(
        row.count * trip.catalog.items[row.item].volume_ml
        for row in plan.packed
        if row.boat == boat and row.carried == "stowed"
    )
    lots = _list_stowed(trip, plan, boat)
    return {
        day: kit + sum(count * lot.volume_ml for lot, count in lots if lot.is_aboard(day))
        for day in _list_days(trip, boat)
    }


def _list_stowed(trip: Trip, plan: Arrangement, boat: str) -> list[tuple[asks.Lot, int]]:
    lots = asks.name_lots(asks.list_lots(trip))
    return [(lots[row.lot], row.count) for row in plan.stowed if row.boat == boat]


def _list_days(trip: Trip, boat: str) -> range:
    leg = trip.legs[trip.boats[boat].leg]
    return range(leg.first_day, leg.last_day + 1)


def check_payload(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """People, kit, stores and dry load stay within the payload on each morning."""
    for name, boat in trip.boats.items():
        loads = list_loads_g(trip, plan, name)
        day = max(loads, key=loads.__getitem__)
        if loads[day] > boat.type.payload_g:
            when = f" on the morning of day {day}" if trip.stores else ""
            payload, load = show_mass(boat.type.payload_g), show_mass(loads[day])
            yield boat.where, f"{name} carries {payload} and is loaded with {load}{when}"


def check_stowed(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """All stores that are aboard in a leg are stowed in its boats, where they fit."""
    where = trip.stores.where if trip.stores else trip.where
    lots = asks.name_lots(asks.list_lots(trip))
    for leg in trip.legs:
        when = f" from day {leg.first_day}" if len(trip.legs) > 1 else ""
        for name, lot in lots.items():
            rows = [row for row in plan.stowed if row.lot == name and row.boat in leg.boats]
            stowed, aboard = sum(row.count for row in rows), _count_aboard(lot, leg)
            if stowed != aboard:
                yield where, f"{name}: {stowed} stowed{when}, and {aboard} are to be"
    for row in plan.stowed:
        for said in _list_bars(trip, row, lots[row.lot]):
            yield trip.boats[row.boat].where, said


def _count_aboard(lot: asks.Lot, leg: Leg) -> int:
    """Return how many of a lot are to lie in the boats of a leg: all of them or none."""
    return lot.count if lot.first_day <= leg.last_day and lot.last_day >= leg.first_day else 0


def _list_bars(trip: Trip, row: Stowed, lot: asks.Lot) -> Iterator[str]:
    """Yield in words why things of a lot can't lie so in a boat."""
    kind = trip.boats[row.boat].type
    if row.count < 1:
        yield f"{row.lot} in {row.boat}: a count of {row.count}"
    if kind.longest_mm is not None and lot.packed_mm > kind.longest_mm:
        said = f"{row.lot} is {show_length(lot.packed_mm)} long as packed"
        yield f"{said}, and {row.boat} stows nothing longer than {show_length(kind.longest_mm)}"
    if kind.hold_ml is not None and lot.volume_ml > kind.hold_ml:
        one, hold = show_volume(lot.volume_ml), show_volume(kind.hold_ml)
        yield f"{row.lot} takes {one} apiece, and {row.boat} has a hold of {hold}"


def check_hold(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find boats with no room for stores and what else is stowed on some morning.

    Where a trip lists no stores a dry load takes it, and how much is not known.
    """
    if trip.stores is None:
        return
    for name, boat in trip.boats.items():
        volumes = _list_volumes_ml(trip, plan, name)
        day, hold = max(volumes, key=volumes.__getitem__), boat.type.hold_ml
        if hold is not None and volumes[day] > hold:
            stowed = f"{show_volume(volumes[day])} are stowed in it on the morning of day {day}"
            yield boat.where, f"{name} has a hold of {show_volume(hold)}, and {stowed}"
