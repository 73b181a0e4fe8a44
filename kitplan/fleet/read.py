"""From an answer to what a trip packs: worn things go to whom they are issued."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.fleet.nouns import list_guides
from kitplan.plan import Packed
from kitplan.solve.read import list_wearers, read_arrangement

if TYPE_CHECKING:
    from kitplan.fleet.model import Part
    from kitplan.fleet.nouns import Lists
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Answer
    from kitplan.trip import Trip


def read_part(part: Part, lists: Lists, answer: Answer) -> Arrangement:
    """Return what the solver decided for one trip; what is worn is by guides as their sets say."""
    arrangement = read_arrangement(part.v, answer.read)
    trip = part.outing.stocked
    packed = [row for row in arrangement.packed if row.carried != "worn"]
    for boat, crew in arrangement.crew.items():
        worn = Counter[str]()
        for row in arrangement.packed:
            if row.boat == boat and row.carried == "worn":
                worn[row.item] += row.count
        wearers = list_wearers(trip, arrangement.twice, crew, boat)
        packed += _deal(trip, boat, wearers, worn, lists)
    return replace(arrangement, packed=tuple(sorted(packed)))


def _deal(
    trip: Trip, boat: str, crew: tuple[str, ...], worn: Counter[str], lists: Lists
) -> list[Packed]:
    """Deal what those of a boat wear: first of their own sets, then extras to who has room."""
    left = {
        "vest": {p: asks.vest_room(trip.paddlers[p], trip.catalog) for p in crew},
        "waist": {p: asks.waist_room(trip.paddlers[p], trip.catalog) for p in crew},
    }
    guides = [p for p in list_guides(trip) if p in crew]
    rows: Counter[tuple[str, str]] = Counter()
    for item, count in sorted(worn.items()):
        rooms, rest = left[trip.catalog.items[item].worn_on or ""], count
        for p in guides:
            own = lists.worn.get((trip.paddlers[p].level("leading"), item), 0)
            taken = min(own, rest)
            rows[item, p] += taken
            rooms[p] -= taken
            rest -= taken
        worn[item] = rest
    for item, rest in sorted(worn.items()):
        rooms = left[trip.catalog.items[item].worn_on or ""]
        for _ in range(rest):
            wearer = max(rooms, key=lambda p: (rooms[p], p))
            rows[item, wearer] += 1
            rooms[wearer] -= 1
    return [Packed(boat, item, "worn", n, p) for (item, p), n in sorted(rows.items()) if n]
