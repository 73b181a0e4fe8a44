"""The plan as a sheet, answer first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs import derive_needs
from kitplan.needs.boxes import deal_boxes
from kitplan.plan import list_shifts
from kitplan.report.boats import write_boats
from kitplan.report.carriage import write_losses, write_reminders, write_shortfalls
from kitplan.report.counts import write_counts
from kitplan.report.cover import say_answer, write_cover, write_gaps, write_left_out
from kitplan.report.fading import write_fading
from kitplan.report.loads import write_loads
from kitplan.report.moves import write_shifts
from kitplan.report.rapids import write_rapids
from kitplan.report.restate import make_sheet, write_units
from kitplan.report.stores import write_meals, write_passing
from kitplan.report.supplies import write_supplies
from kitplan.report.twice import write_twice
from kitplan.report.words import count, join
from kitplan.trip import ALL_FLOWS, AS_WRITTEN, FLOWS
from kitplan.units import METRIC

if TYPE_CHECKING:
    from kitplan.decide.counts import Counted
    from kitplan.demands import Needs
    from kitplan.plan import Plan
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip


def render_plan(trip: Trip, needs: Needs, plan: Plan, style: str, units: str = METRIC) -> str:
    """Return the plan as text or Markdown: what is short, cover, gaps, boats, rapids."""
    return _write_plan(make_sheet(trip, style, units), trip, needs, plan, units).finish()


def render_counted(trip: Trip, plan: Plan, counted: Counted, style: str, units: str) -> str:
    """Return the plan, and after it who and what counts most."""
    sheet = make_sheet(trip, style, units)
    _write_plan(sheet, trip, derive_needs(trip), plan, units)
    write_counts(sheet, trip, counted)
    return sheet.finish()


def _write_plan(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan, units: str) -> Sheet:
    sheet.title(f"{trip.name}: {say_answer(needs, plan)}")
    write_twice(sheet, trip, plan)
    write_shortfalls(sheet, trip, plan)
    _write_size(sheet, trip)
    write_units(sheet, units)
    _write_kept(sheet, trip, plan)
    _write_rest(sheet, trip, needs, plan)
    return sheet


def _write_kept(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write what is other than in the plan that this one was kept near."""
    if plan.before is None:
        return
    shifts = list_shifts(trip, plan.before, plan.arrangement)
    said = count(sum(shift.count for shift in shifts), "move")
    sheet.say(f"Kept near an older plan: {said if shifts else 'no move'} from it.")
    write_shifts(sheet, trip, shifts)


def write_plan_parts(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    """Write who rows twice, and all else of a plan below a heading of its own."""
    write_twice(sheet, trip, plan)
    sheet.heading(say_answer(needs, plan).capitalize())
    write_shortfalls(sheet, trip, plan)
    _write_size(sheet, trip)
    _write_rest(sheet, trip, needs, plan)


def _write_size(sheet: Sheet, trip: Trip) -> None:
    # Where a day is said, a boat goes by what it is called, whichever leg it is in.
    called = {boat.called for boat in trip.boats.values()}
    places = {rapid.place or rapid.name for rapid in trip.rapids.values()}
    sheet.say(
        f"{count(len(trip.days), 'day').capitalize()}, {count(len(called), 'boat')}, "
        f"{count(len(trip.paddlers), 'person', 'people')}, {count(len(places), 'rapid')}. "
        "River left and right are as seen downstream."
    )


def _write_rest(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    _write_flow(sheet, trip)
    write_fading(sheet, trip)
    sheet.gap()
    write_cover(sheet, trip, needs, plan)
    write_losses(sheet, trip, plan)
    write_reminders(sheet, trip)
    write_gaps(sheet, trip, needs, plan)
    write_boats(sheet, trip, plan)
    _write_stores(sheet, trip, plan)
    write_rapids(sheet, trip, needs, plan)
    write_left_out(sheet, plan)


def _write_stores(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write what to buy, mass by morning, what to eat when, and what comes and goes on the way."""
    dealt = deal_boxes(trip, plan.arrangement)
    write_supplies(sheet, trip)
    write_loads(sheet, trip, plan)
    write_meals(sheet, trip, dealt)
    write_passing(sheet, trip, dealt)


def _write_flow(sheet: Sheet, trip: Trip) -> None:
    """Write which flow is planned for, where a rapid says anything of flows."""
    changing = dict.fromkeys(rapid.place for rapid in trip.rapids.values() if rapid.flow)
    if not changing:
        if trip.flow not in {AS_WRITTEN, ALL_FLOWS}:
            sheet.say(
                f"Planned for {trip.flow} water, but no rapid of this trip says what that changes: "
                "this is the plan as written."
            )
        return
    if trip.flow == ALL_FLOWS:
        said = f"Planned for {join(FLOWS)} water: seats and packing are the same at all three."
    else:
        said = f"Planned for {trip.flow} water; --flow all plans for {join(FLOWS)} together."
    sheet.say(f"{said} Not the same at all flows: {join(changing)}.")
