"""Who rows twice: he walks back up and takes a second boat down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.report.words import BANK_NAMES, join_flows, say_passages
from kitplan.units import show_length

if TYPE_CHECKING:
    from kitplan.plan import Plan
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip


def write_twice(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write who rows twice at which rapid, as they are run; flows alike are one line."""
    if not plan.arrangement.twice:
        return
    sheet.say("No seating has a good enough steerer in every boat, so some row twice:")
    run = sorted(trip.rapids, key=lambda name: trip.rapids[name].day)
    twice = sorted(plan.arrangement.twice, key=lambda where: run.index(where[0]))
    rows = ((rapid, _say_twice(trip, plan, rapid, boat)) for rapid, boat in twice)
    for rapids, said in join_flows(trip, rows):
        sheet.point(f"day {rapids[0].day}, {say_passages(rapids)}: {said}")
    sheet.gap()


def _say_twice(trip: Trip, plan: Plan, name: str, boat: str) -> str:
    rapid, paddler = trip.rapids[name], plan.arrangement.twice[name, boat]
    bank = asks.find_walk(rapid, plan.arrangement, boat)
    own = next((b for b in rapid.boats if paddler in plan.arrangement.crew[b]), "")
    minutes = asks.minutes_back(trip, rapid, bank)
    return (
        f"{paddler} ({own}) walks back up on {BANK_NAMES[bank]}, "
        f"{show_length(rapid.bank(bank).walk_mm)}, about {minutes} min, and takes {boat} down with "
        f"{plan.arrangement.steerer[boat]} aboard; counts for nothing else there"
    )
