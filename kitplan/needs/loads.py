"""What each boat carries on each morning: people, kit, stores, camp, against its payload."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.needs.roster import person_mass_g
from kitplan.needs.stores import BAGS, CAMP_KIT, OWN_THINGS, list_lots, name_lots

if TYPE_CHECKING:
    from collections.abc import Mapping

    from kitplan.plan import Arrangement
    from kitplan.trip import Lot, Trip

CAMP = frozenset({CAMP_KIT, OWN_THINGS, BAGS})
"""Kinds of lots that nobody eats, drinks, burns or fills."""


@dataclass(frozen=True, slots=True)
class Load:
    """What a boat carries on a morning, part by part, and what it may carry; all in grams.

    `people_g` with wet clothes and what is worn, `kit_g` what is dealt of safety kit, `stores_g`
    with containers, `camp_g` camp kit, own things and bags, `dry_g` the flat dry load.
    """

    people_g: int
    kit_g: int
    stores_g: int
    camp_g: int
    dry_g: int
    payload_g: int

    @property
    def total_g(self) -> int:
        """Return all of it together, in grams."""
        return self.people_g + self.kit_g + self.stores_g + self.camp_g + self.dry_g

    @property
    def percent(self) -> float:
        """Return the share of the payload, in per cent."""
        return 100 * self.total_g / self.payload_g


def list_loads(trip: Trip, arrangement: Arrangement) -> dict[str, dict[int, Load]]:
    """Return what each boat of each leg carries: boat -> day -> load, for all days of its leg."""
    lots = name_lots(list_lots(trip))
    return {
        boat: {
            day: _weigh_boat(trip, arrangement, boat, _sum_stowed(arrangement, boat, lots, day))
            for day in range(leg.first_day, leg.last_day + 1)
        }
        for leg in trip.legs
        for boat in leg.boats
    }


def _weigh_boat(trip: Trip, arrangement: Arrangement, name: str, stowed: Mapping[str, int]) -> Load:
    """Return what a boat carries with these stores in it, `stowed` by kind of lot, in grams."""
    boat = trip.boats[name]
    people = (person_mass_g(trip.paddlers[one], trip) for one in arrangement.crew[name])
    packed = (row for row in arrangement.packed if row.boat == name)
    return Load(
        people_g=sum(people),
        kit_g=sum(row.count * trip.kit[row.item].item.mass_g for row in packed),
        stores_g=sum(mass_g for kind, mass_g in stowed.items() if kind not in CAMP),
        camp_g=sum(mass_g for kind, mass_g in stowed.items() if kind in CAMP),
        dry_g=boat.dry_load_g,
        payload_g=boat.type.payload_g,
    )


def measure_rooms(trip: Trip, arrangement: Arrangement, boat: str) -> dict[int, int]:
    """Return the room that stores and stowed kit take in a boat on each day of its leg, in ml."""
    lots, leg = name_lots(list_lots(trip)), trip.legs[trip.boats[boat].leg]
    kit = sum(
        row.count * trip.kit[row.item].item.volume_ml
        for row in arrangement.packed
        if row.boat == boat and row.carried == "stowed"
    )
    stowed = [(row.count, lots[row.lot]) for row in arrangement.stowed if row.boat == boat]
    return {
        day: kit + sum(n * lot.volume_ml for n, lot in stowed if lot.is_aboard(day))
        for day in range(leg.first_day, leg.last_day + 1)
    }


def find_fullest(loads: Mapping[int, Load]) -> int:
    """Return the first day on whose morning a boat is heaviest."""
    return max(loads, key=lambda day: (loads[day].total_g, -day))


def _sum_stowed(
    arrangement: Arrangement, boat: str, lots: Mapping[str, Lot], day: int
) -> Counter[str]:
    """Return what the stores in a boat weigh on the morning of a day, by kind of lot, in grams."""
    masses: Counter[str] = Counter()
    for row in arrangement.stowed:
        if row.boat == boat:
            masses[lots[row.lot].kind] += row.count * lots[row.lot].weigh(day)
    return masses
