"""What has faded of the party's skills, in words; nothing where skills do not fade."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.report.words import join
from kitplan.units import show_months

if TYPE_CHECKING:
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip


def write_fading(sheet: Sheet, trip: Trip, *, undated: bool = False) -> None:
    """Write that skills fade and whose did; `undated`: what counts in full for want of a date."""
    if trip.fades_months is None:
        return
    sheet.say(
        f"Skills fade: what was not practised in the {show_months(trip.fades_months)} before the "
        f"trip starts counts one level lower. {_say_faded(trip)}"
    )
    if undated:
        bare = [f"{p.name} ({', '.join(p.undated)})" for p in trip.paddlers.values() if p.undated]
        if bare:
            sheet.say(f"No day of practice is given, and the level counts in full: {join(bare)}.")


def _say_faded(trip: Trip) -> str:
    """Return whose skills count less, "Ana (throwing 2 for 3)"."""
    people = []
    for paddler in trip.paddlers.values():
        said = [f"{skill} {level - 1} for {level}" for skill, level in paddler.faded]
        if said:
            people.append(f"{paddler.name} ({', '.join(said)})")
    return f"So count: {join(people)}." if people else "None has faded."
