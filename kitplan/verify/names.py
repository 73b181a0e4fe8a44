"""Whether everything that a plan names is there: in its arrangement, and in its witnesses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs import list_lots, name_lots
from kitplan.plan import PersonPart, PlacePart

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.plan import Arrangement, Before, Part, Plan
    from kitplan.trip import Trip


def list_unknown(trip: Trip, plan: Plan) -> list[str]:
    """Return in words what a plan names that its trip does not have, each once."""
    return list(
        dict.fromkeys(
            [
                *_look_at_arrangement(trip, plan),
                *_look_at_before(trip, plan.before),
                *_look_at_witnesses(trip, plan),
            ]
        )
    )


def _look_at_arrangement(trip: Trip, plan: Plan) -> Iterator[str]:
    arrangement = plan.arrangement
    if set(arrangement.crew) != set(trip.boats) or set(arrangement.steerer) - set(trip.boats):
        yield "the boats of the plan are not those of the trip"
    people = {p for crew in arrangement.crew.values() for p in crew}
    people |= set(arrangement.steerer.values())
    people |= {row.worn_by for row in arrangement.packed if row.worn_by}
    people |= set(arrangement.twice.values())
    for name in sorted(people - set(trip.paddlers)):
        yield f"there is no paddler '{name}'"
    for row in arrangement.packed:
        if row.boat not in trip.boats or row.item not in trip.kit:
            yield f"'{row.item}' in '{row.boat}' is not the party's"
    lots = name_lots(list_lots(trip)) if arrangement.stowed else {}
    for stowed in arrangement.stowed:
        if stowed.boat not in trip.boats or stowed.lot not in lots:
            yield f"'{stowed.lot}' in '{stowed.boat}' is none of the trip's stores"
    yield from _look_at_places(trip, arrangement)
    if set(arrangement.order) != set(trip.boats):
        yield "the boats of the running order are not those of the trip"


def _look_at_places(trip: Trip, arrangement: Arrangement) -> Iterator[str]:
    for rapid, *boats in arrangement.stations:
        for boat in boats:
            if rapid not in trip.rapids or boat not in trip.rapids[rapid].boats:
                yield f"a station at '{rapid}' for '{boat}'"
    for rapid, boat in arrangement.twice:
        if rapid not in trip.rapids or boat not in trip.rapids[rapid].boats:
            yield f"somebody rows '{boat}' down '{rapid}'"


def _look_at_before(trip: Trip, before: Before | None) -> Iterator[str]:
    """Look at what moves are counted from; what lies in no boat yet has none."""
    if before is None:
        return
    boats, lots = {"", *trip.boats}, name_lots(list_lots(trip)) if before.stowed else {}
    for p, boat in before.seats:
        if p not in trip.paddlers or boat not in boats:
            yield f"before, '{p}' sat in '{boat}'"
    for row in before.packed:
        wearers = {"", *trip.paddlers}
        if row.boat not in boats or row.item not in trip.kit or row.worn_by not in wearers:
            yield f"before, '{row.item}' lay in '{row.boat}'"
    for stowed in before.stowed:
        if stowed.boat not in trip.boats or stowed.lot not in lots:
            yield f"before, '{stowed.lot}' lay in '{stowed.boat}'"


def _look_at_witnesses(trip: Trip, plan: Plan) -> Iterator[str]:
    for result in plan.demands:
        for part in result.witness:
            yield from _look_at_part(trip, part)


def _look_at_part(trip: Trip, part: Part) -> Iterator[str]:
    if part.boat and part.boat not in trip.boats:
        yield f"a witness names a boat '{part.boat}'"
    if isinstance(part, PersonPart):
        if part.paddler not in trip.paddlers:
            yield f"a witness names a paddler '{part.paddler}'"
        return
    if isinstance(part, PlacePart):
        return
    if part.source not in trip.boats:
        yield f"a witness takes things from a boat '{part.source}'"
    if part.item not in trip.catalog.items:
        yield f"a witness names an item '{part.item}'"
