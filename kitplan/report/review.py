"""A review as a sheet: what is wrong first, then cover, gaps, and the moves that help most."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.report.carriage import count_shorts, say_sums, write_losses, write_shortfalls
from kitplan.report.counts import write_counts
from kitplan.report.cover import write_gaps, write_totals
from kitplan.report.moves import list_bettered, say_gain, write_shifts
from kitplan.report.rapids import write_rapids
from kitplan.report.restate import make_sheet, write_units
from kitplan.report.words import count, join, say_days
from kitplan.units import METRIC

if TYPE_CHECKING:
    from kitplan.decide.advice import Advice
    from kitplan.decide.review import Review
    from kitplan.plan import Plan
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip


LINE = "line"


def render_review(review: Review, style: str, units: str = METRIC) -> str:
    """Return the review as text or Markdown."""
    trip, plan = review.trip, review.plan
    sheet = make_sheet(trip, style, units)
    sheet.title(f"{trip.name}, as it lies: {_say_answer(review)}")
    days = say_days(trip.legs[0].first_day, trip.legs[-1].last_day)
    sheet.say(f"The load of {days}. River left and right are as seen downstream.")
    write_units(sheet, units)
    _write_broken(sheet, review)
    _write_past(sheet, review)
    _write_without_line(sheet, review)
    sheet.gap()
    _write_advice(sheet, review)
    if trip.tiers:
        sheet.heading("What is short as it lies")
        write_shortfalls(sheet, trip, plan, settled=True)
    sheet.heading("What is covered as it lies")
    write_totals(sheet, plan)
    write_losses(sheet, trip, plan)
    write_gaps(sheet, trip, review.needs, plan)
    write_counts(sheet, trip, review.counted)
    write_rapids(sheet, trip, review.needs, plan)
    return sheet.finish()


def _say_answer(review: Review) -> str:
    totals = review.plan.totals
    said = f"{totals.cases - totals.none} of {count(totals.cases, 'case')} covered"
    if review.broken:
        said = f"{count(len(review.broken), 'thing')} to put right, {said}"
    else:
        said += f", {totals.met} of {totals.demands} demands met"
    if review.plan.shortfalls:
        sums = say_sums(count_shorts(review.trip, review.plan.shortfalls))
        said += f"; {sums} short of rules and spreads"
    return said


def _write_broken(sheet: Sheet, review: Review) -> None:
    """Write what can't stay as it is: too heavy, too full, nobody to steer."""
    if not review.broken:
        return
    sheet.heading(f"To put right before you launch ({len(review.broken)})")
    for finding in review.broken:
        sheet.point(finding.message)
    for boat, able in review.steerless.items():
        if able:
            called = review.trip.boats[boat].called
            first = f"write the seat of {join(able, 'or')} first, who can"
            sheet.point(f"the first seat of {called} is its steerer's: {first}")
    if review.righted == 0:
        sheet.say("Nothing has to be moved for that: the order, or who steers, is what is wrong.")
    sheet.gap()


def _write_past(sheet: Sheet, review: Review) -> None:
    """Write what lies in the boats and is past its last day of use before the end."""
    trip = review.trip
    for name in sorted({row.item for row in review.plan.arrangement.packed}):
        last = trip.kit[name].retire_by
        if last is not None and last < trip.ends:
            sheet.point(f"{name} is past its date: its last day of use is {last}")


def _write_without_line(sheet: Sheet, review: Review) -> None:
    """Write which boats have no line, dealt, in a bundle, or worn of people's own."""
    trip, there = review.trip, review.plan.arrangement
    for boat, crew in there.crew.items():
        names = {row.item for row in there.packed if row.boat == boat}
        names |= {item for paddler in crew for item in trip.paddlers[paddler].wears}
        pieces = (one for name in names for one, _ in trip.catalog.items[name].list_pieces())
        if not any(LINE in one.kinds for one in pieces):
            called = trip.boats[boat].called
            sheet.point(
                f"{called} has no throw bag aboard, nor any other line to throw or haul with"
            )


def _write_advice(sheet: Sheet, review: Review) -> None:
    """Write the moves, each with what it is good for, and whether others might do more."""
    if not review.advice:
        said = "No move was found that helps." if review.stopped else "No move helps."
        sheet.heading("Moves that help most")
        sheet.say(f"{said} Looked for by solving anew with up to four moves.")
        return
    sheet.heading("Moves that help most, in this order")
    before, moves = review.plan, 0
    for number, advice in enumerate(review.advice, start=1):
        made = sum(shift.count for shift in advice.shifts)
        moves += made
        righting = bool(review.righted) and number == 1
        rights = "puts right what is wrong; " if righting else ""
        sheet.point(
            f"{number}. {count(made, 'move')}: {rights}{_say_good(review.trip, before, advice)}"
        )
        write_shifts(sheet, review.trip, advice.shifts, 1)
        if righting:
            _write_steerers(sheet, review, advice)
        before = advice.plan
    totals = before.totals
    sums = say_sums(count_shorts(review.trip, before.shortfalls))
    short = f", {sums} short of rules and spreads" if before.shortfalls else ""
    sheet.say(
        "Each was solved anew, with stations of its own, before it is told here. With "
        f"{count(moves, 'move')} in all {totals.cases - totals.none} of {totals.cases} cases are "
        f"covered{short}."
    )
    if review.stopped or not all(advice.proven for advice in review.advice):
        sheet.say("Cut short by the limit or by hand: other moves may help as much or more.")


def _write_steerers(sheet: Sheet, review: Review, advice: Advice) -> None:
    """Write who steers the boats that nobody of their crew steered, or whose steerer moved."""
    after = advice.plan.arrangement
    for boat, steers in after.steerer.items():
        if (
            boat in review.steerless
            or review.plan.arrangement.steerer[boat] not in after.crew[boat]
        ):
            sheet.point(f"{steers} steers {review.trip.boats[boat].called}", 1)


def _say_good(trip: Trip, before: Plan, advice: Advice) -> str:
    gain = say_gain(trip, before, advice.plan)
    better = list_bettered(before, advice.plan)
    if not better:
        return gain or "no more than that"
    return f"{gain or 'weightier ones'} (better by: {join(better)})"
