"""Which boats nobody who is left can steer: they stay behind, and what lay in them does not."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.decide.afresh import begin_afresh
from kitplan.decide.evening import tell_evening
from kitplan.matching import unmatched
from kitplan.needs import level_everywhere

if TYPE_CHECKING:
    from kitplan.happened import Happened
    from kitplan.plan import Arrangement
    from kitplan.trip import Leg, Trip


def leave_unsteered(trip: Trip, arrangement: Arrangement, happened: Happened) -> Happened:
    """Return what happened, with the fewest boats left behind so that all others have a steerer.

    Of as many those stay whose own crew can't steer them any more, then those named last. Where
    none could be steered at all nothing is left behind. `happened` is one in which `find_wrong`
    finds nothing.
    """
    new = begin_afresh(trip, arrangement, happened).trip
    sat = dict(tell_evening(trip, arrangement, happened).seats)
    left = list(happened.left)
    for leg in new.legs:
        there = [boat for boat in leg.boats if new.boats[boat].called not in left]
        able = {boat: _list_able(new, leg, boat) for boat in there}
        own = [b for b in there if any(sat.get(p) == new.boats[b].called for p in able[b])]
        first = {boat: able[boat] for boat in sorted(there, key=lambda b: b not in own)}
        alone = unmatched(first)
        if len(alone) == len(there):
            return happened
        left += [new.boats[boat].called for boat in alone]
    return replace(happened, left=tuple(left))


def _list_able(trip: Trip, leg: Leg, boat: str) -> list[str]:
    """Return who of a leg can steer a boat, if need be with others who row it twice."""
    one = trip.boats[boat]
    level = level_everywhere(trip, boat, guests_aboard=False)
    return [
        name
        for name, paddler in trip.list_party(leg).items()
        if paddler.level(one.type.skill) >= level
        and not paddler.minded
        and paddler.boat in {None, one.called}
    ]
