"""A plan made anew on the way: who has no seat, each move and its good, then the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.report.carriage import count_shorts, say_sums
from kitplan.report.cover import say_covered
from kitplan.report.moves import list_bettered, say_gain, write_shifts
from kitplan.report.plan import write_plan_parts
from kitplan.report.restate import make_sheet, write_units
from kitplan.report.words import count, join
from kitplan.units import METRIC, show_mass

if TYPE_CHECKING:
    from kitplan.decide.advice import Advice
    from kitplan.decide.replan import Replanned
    from kitplan.plan import Plan
    from kitplan.report.sheet import Sheet


def render_replan(replanned: Replanned, plan: Plan, style: str, units: str = METRIC) -> str:
    """Return the plan of the days that are left as text or Markdown, its moves first."""
    trip = replanned.trip
    sheet = make_sheet(trip, style, units)
    moves = sum(shift.count for step in replanned.steps for shift in step.shifts)
    first = trip.days[0]
    made = count(moves, "move") if moves else "no move"
    sheet.title(f"{trip.name}, from day {first}: {made}; {say_covered(plan)}")
    _write_happened(sheet, replanned)
    _write_unseated(sheet, replanned)
    _write_steps(sheet, replanned)
    _write_left_behind(sheet, replanned, plan)
    sheet.gap()
    write_units(sheet, units)
    write_plan_parts(sheet, trip, replanned.needs, plan)
    return sheet.finish()


def _write_happened(sheet: Sheet, replanned: Replanned) -> None:
    """Write what the plan was told, so that nobody takes it for another one."""
    happened = replanned.restart.happened
    absent = [name for name in happened.absent if name not in replanned.unseated]
    damaged = (f"{boat} ({show_mass(g)} left)" for boat, g in happened.damaged.items())
    items = (f"{n} x {item} from {boat}" for (boat, item), n in happened.lost_items.items())
    told = {
        "lost": happened.lost,
        "left behind, with nobody to steer": happened.left,
        "damaged": tuple(damaged),
        "absent": absent,
        "hurt, with a seat and no task": happened.hurt,
        "kit lost": tuple(items),
        "carried round": happened.skipped,
    }
    for what, names in told.items():
        if names:
            sheet.point(f"{what}: {join(names)}")
    if happened.left:
        sheet.say("What lay in a boat left behind is dealt out to the others: see the packing.")
    if not any(told.values()):
        sheet.point("nothing was said to have happened")


def _write_unseated(sheet: Sheet, replanned: Replanned) -> None:
    """Write who can't come along."""
    if replanned.unseated:
        sheet.point(
            f"NO SEAT for {join(replanned.unseated)}, or as many others of those whose boat is "
            "gone: they are not in what follows; think of them first"
        )


def _write_steps(sheet: Sheet, replanned: Replanned) -> None:
    """Write the moves, step by step, with the cover after each."""
    if not replanned.steps:
        sheet.say("Everything stays where it is.")
        return
    sheet.heading(f"Moves before you launch on day {replanned.trip.days[0]}, in this order")
    rows = []
    before: Plan | None = None
    moves = number = 0
    for step in replanned.steps:
        made = sum(shift.count for shift in step.shifts)
        moves += made
        if made:
            number += 1
            sheet.point(f"{number}. {count(made, 'move')}: {_say_good(replanned, before, step)}")
            write_shifts(sheet, replanned.trip, step.shifts, 1)
        totals = step.plan.totals
        covered = totals.cases - totals.none
        short = say_sums(count_shorts(replanned.trip, step.plan.shortfalls))
        rows.append((str(moves), f"{covered} of {totals.cases}", str(totals.met), short))
        before = step.plan
    if len(rows) > 1:
        sheet.say("You can stop after each step; this is what you have then, stations chosen anew:")
    else:
        sheet.say("This is what you have then, stations chosen anew:")
    heads = ("moves so far", "cases covered", "demands met", "short of rules and spreads")
    sheet.table(rows, heads)
    if replanned.stopped:
        sheet.say("Cut short by the limit or by hand: the last moves are not told step by step.")


def _write_left_behind(sheet: Sheet, replanned: Replanned, plan: Plan) -> None:
    """Write that kit need not be left behind, where no proof says that the moves are fewest."""
    shifts = (shift for step in replanned.steps for shift in step.shifts)
    kit = (shift for shift in shifts if shift.what == "item")
    behind = sum(shift.count for shift in kit if not shift.target)
    if behind and not all(aim.proven for aim in plan.aims if aim.name == "moves"):
        pieces = count(behind, "piece")
        sheet.say(
            f"The fewest moves are not proven: {pieces} of kit left behind here may stay aboard as "
            "well, if there is room; a longer --time-limit may tell."
        )


def _say_good(replanned: Replanned, before: Plan | None, step: Advice) -> str:
    """Return what a step is good for; of all moves in one, told in no order, not each is needed."""
    if before is None and replanned.stopped and len(replanned.steps) == 1:
        return "all together; which of them are needed was not found in time"
    if before is None:
        return "needed, so that everybody has a seat, each boat a steerer, and none is too full"
    better = list_bettered(before, step.plan)
    gain = say_gain(replanned.trip, before, step.plan)
    if not better:
        return "the rest of the plan"
    return f"{gain or 'weightier ones'} (better by: {join(better)})"
