"""Where a better steerer may walk back up and take a second boat down.

A path leads back where a bank can be landed on below and walked along from there. A boat's own
steerer then needs no more than the other rapids ask of him.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs.roster import boat_level, steerer_level
from kitplan.trip import BANKS

if TYPE_CHECKING:
    from kitplan.plan import Arrangement
    from kitplan.trip import Rapid, Trip


def list_paths_back(rapid: Rapid) -> list[str]:
    """Return the banks along which one walks back up, the shorter walk first.

    Where nothing is run there is no need of any.
    """
    banks = [side for side in BANKS if rapid.bank(side).path and rapid.bank(side).landing >= 1]
    return sorted(banks, key=lambda side: rapid.bank(side).walk_mm) if rapid.run == "run" else []


def lies_ashore(rapid: Rapid) -> bool:
    """Say whether who rows twice walks where his own boat waits: where boats wait on banks at all.

    Elsewhere they gather below, and land where he can walk.
    """
    return rapid.safety == "set"


def find_walk(rapid: Rapid, plan: Arrangement, boat: str) -> str:
    """Return the bank on which who takes a boat down walks back up; "" if there is none."""
    paths, rower = list_paths_back(rapid), plan.twice[rapid.name, boat]
    if not lies_ashore(rapid):
        return paths[0] if paths else ""
    own = next((b for b in rapid.boats if b != boat and rower in plan.crew[b]), "")
    lies = plan.stations.get((rapid.name, own, boat), "")
    return lies if lies in paths else ""


def minutes_back(trip: Trip, rapid: Rapid, bank: str = "") -> int:
    """Return the minutes it takes to walk back up a bank, at least 1; on the nearest if none."""
    walk_mm = rapid.bank(bank or list_paths_back(rapid)[0]).walk_mm
    return max(1, -(-walk_mm // trip.catalog.figures.walk_mm_per_min))


def level_at(trip: Trip, boat: str, rapid: Rapid, *, guests_aboard: bool) -> int:
    """Return the level that a boat's steerer needs at one rapid; 0 where it is not run."""
    if rapid.run != "run":
        return 0
    raised = guests_aboard and not rapid.guests_walk
    return steerer_level(trip.boats[boat].type, rapid.river_class, guests_aboard=raised)


def level_everywhere(trip: Trip, boat: str, *, guests_aboard: bool) -> int:
    """Return the level a boat's own steerer needs where nobody can walk back up for him."""
    without = {name: rapid for name, rapid in trip.rapids.items() if not list_paths_back(rapid)}
    return boat_level(trip, boat, guests_aboard=guests_aboard, rapids=without)


def list_rowers(trip: Trip, boat: str, rapid: Rapid) -> list[str]:
    """Return who may take a boat down a rapid for its steerer, in the order of the trip.

    Guests may be aboard: the level is that with them, wherever there are any in the leg who run.
    """
    leg = trip.legs[rapid.leg]
    party = trip.list_party(leg)
    guests = any(paddler.guest for paddler in party.values())
    level = level_at(trip, boat, rapid, guests_aboard=guests)
    skill = trip.boats[boat].type.skill
    if not list_paths_back(rapid) or trip.boats[boat].type.seats <= 1:
        return []
    return [name for name, one in party.items() if one.level(skill) >= level and not one.minded]


def may_row_twice(trip: Trip) -> bool:
    """Say whether anybody could take a second boat down anywhere."""
    return any(
        list_rowers(trip, boat, rapid) for rapid in trip.rapids.values() for boat in rapid.boats
    )
