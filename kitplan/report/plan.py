"""The plan as a sheet, answer first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.report.boats import write_boats
from kitplan.report.cover import say_answer, write_cover, write_gaps, write_left_out
from kitplan.report.rapids import write_rapids
from kitplan.report.sheet import Sheet
from kitplan.report.words import count

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.plan import Plan
    from kitplan.trip import Trip


def render_plan(trip: Trip, needs: Needs, plan: Plan, style: str) -> str:
    """Return the plan as text or Markdown: cover, gaps, boats, rapids, kit left out."""
    sheet = Sheet(style)
    days = (trip.ends - trip.starts).days + 1
    sheet.title(f"{trip.name}: {say_answer(needs, plan)}")
    sheet.say(
        f"{count(days, 'day').capitalize()}, {count(len(trip.boats), 'boat')}, "
        f"{count(len(trip.paddlers), 'person', 'people')}, {count(len(trip.rapids), 'rapid')}. "
        "River left and right are as seen downstream."
    )
    sheet.gap()
    write_cover(sheet, trip, needs, plan)
    write_gaps(sheet, trip, needs, plan)
    write_boats(sheet, trip, plan)
    write_rapids(sheet, trip, needs, plan)
    write_left_out(sheet, plan)
    return sheet.finish()
