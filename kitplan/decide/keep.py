"""What of an old plan a trip that has changed since still can keep."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.build.variables import may_lie
from kitplan.needs import fits_hold, list_lots, name_lots
from kitplan.plan import Before

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from kitplan.plan import Arrangement, Packed, Plan, Stowed
    from kitplan.trip import Leg, Lot, Trip


def tell_kept(trip: Trip, old: Trip, plan: Plan) -> Before:
    """Return what of a plan of `old` can be so in `trip` too: what moves are counted against.

    Each leg is held against the one of the old trip with which it has most days in common, and
    boats by what they are called. Left out is whoever or whatever is not there any more, what is
    more than the party still has, and what may not lie so; a leg in which nobody is left is not
    looked at.
    """
    lots = name_lots(list_lots(trip))
    kept = [_keep_leg(trip, leg, old, plan.arrangement, lots) for leg in trip.legs]
    return Before(
        tuple(sorted(row for one in kept for row in one.seats)),
        tuple(sorted(row for one in kept for row in one.packed)),
        tuple(sorted(row for one in kept for row in one.stowed)),
    )


def _keep_leg(
    trip: Trip, leg: Leg, old: Trip, arrangement: Arrangement, lots: Mapping[str, Lot]
) -> Before:
    boats = _pair_boats(trip, leg, old)
    keep = _Keep(trip, leg, arrangement, boats)
    seats = tuple(keep.list_seats())
    if not seats:
        return Before(())
    return Before(seats, tuple(keep.list_packed(set(seats))), tuple(keep.list_stowed(lots)))


def _pair_boats(trip: Trip, leg: Leg, old: Trip) -> dict[str, str]:
    """Return boat of the old trip -> boat of the leg, where both are called the same."""
    was = max(old.legs, key=lambda one: _count_common_days(one, leg))
    if not _count_common_days(was, leg):
        return {}
    called = {trip.boats[boat].called: boat for boat in leg.boats}
    names = ((boat, old.boats[boat].called) for boat in was.boats)
    return {boat: called[name] for boat, name in names if name in called}


def _count_common_days(one: Leg, other: Leg) -> int:
    first, last = max(one.first_day, other.first_day), min(one.last_day, other.last_day)
    return max(0, last - first + 1)


@dataclass(frozen=True, slots=True)
class _Keep:
    """A leg of the trip, and the boats of the old plan that are boats of it."""

    trip: Trip
    leg: Leg
    arrangement: Arrangement
    boats: dict[str, str]

    def list_seats(self) -> Iterator[tuple[str, str]]:
        """Yield who is still there, and where he sat."""
        for was, boat in self.boats.items():
            for paddler in self.arrangement.crew[was]:
                if paddler in self.leg.paddlers:
                    yield paddler, boat

    def list_packed(self, seats: set[tuple[str, str]]) -> Iterator[Packed]:
        """Yield what is still owned and may lie so, worn by those who still sit there."""
        left = Counter({item: self.trip.kit[item].count for item in self.leg.kit})
        for row in self.arrangement.packed:
            boat = self.boats.get(row.boat)
            if boat is None or not left[row.item] or not self._may_lie(row, boat, seats):
                continue
            count = min(row.count, left[row.item])
            left[row.item] -= count
            yield replace(row, boat=boat, count=count)

    def _may_lie(self, row: Packed, boat: str, seats: set[tuple[str, str]]) -> bool:
        item, kind = self.trip.kit[row.item].item, self.trip.boats[boat].type
        worn = not row.worn_by or (
            (row.worn_by, boat) in seats and not self.trip.paddlers[row.worn_by].hurt
        )
        return worn and may_lie(item, row.carried, kind)

    def list_stowed(self, lots: Mapping[str, Lot]) -> Iterator[Stowed]:
        """Yield what of the lots of stores that are still aboard fits its boat."""
        leg = self.leg
        left = Counter(
            {
                name: lot.count
                for name, lot in lots.items()
                if lot.first_day <= leg.last_day and lot.last_day >= leg.first_day
            }
        )
        for row in self.arrangement.stowed:
            boat = self.boats.get(row.boat)
            if boat is None or not left[row.lot]:
                continue
            if fits_hold(lots[row.lot], self.trip.boats[boat].type):
                count = min(row.count, left[row.lot])
                left[row.lot] -= count
                yield replace(row, boat=boat, count=count)
