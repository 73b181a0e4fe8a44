"""What the second program complains of, and which line of the trip it is about."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from kitplan.trip.carriage import SPREAD

if TYPE_CHECKING:
    from kitplan.errors import Place
    from kitplan.trip import Trip


class Fault(NamedTuple):
    """One thing that is wrong: its code, the place of what it is about, and a sentence."""

    code: str
    where: Place
    said: str


def find_spot(trip: Trip, rapid: str, spot: str) -> Place:
    """Return the place of a spot; of its rapid, or of the trip, where the name is unknown."""
    if rapid not in trip.rapids:
        return trip.where
    known = trip.rapids[rapid]
    return next((one.where for one in known.spots if one.name == spot), known.where)


def find_kit(trip: Trip, item: str) -> Place:
    """Return the place where the trip lists an item as kit; of the trip where it does not."""
    return trip.kit[item].where if item in trip.kit else trip.where


def find_rule(trip: Trip, tier: str, name: str) -> Place:
    """Return the place of a rule, or of a spread; of the trip where there is none of that name."""
    places = {rule.id: rule.where for one in trip.rules for rule in one.rules}
    if tier == SPREAD:
        places = {spread.name: spread.where for spread in trip.spreads}
    return places.get(name, trip.where)
