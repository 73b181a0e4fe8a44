"""The top of a page: what is covered day by day, what is short, the gaps in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.report.carriage import write_losses, write_reminders, write_shortfalls
from kitplan.report.cover import write_gaps, write_left_out, write_totals
from kitplan.report.fading import write_fading
from kitplan.report.twice import write_twice
from kitplan.report.words import count, join
from kitplan.trip import ALL_FLOWS, FLOWS

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.plan import Plan
    from kitplan.report.page.record import Block, Record
    from kitplan.trip import Trip

OPEN_ENDED = (
    "The limit cut in, or --fast was given, as this plan was made. It is verified, but another run "
    "may print another one."
)


@dataclass(frozen=True, slots=True)
class Day:
    """How much of a day is covered: counts of cases; `bare` have no accepted technique at all."""

    day: int
    rapids: int
    cases: int
    covered: int
    bare: int

    @property
    def said(self) -> str:
        """Return the answer for the day in a few words."""
        left = self.cases - self.covered
        if left or self.bare:
            return f"{left + self.bare} open"
        return "all covered" if self.cases else "nothing asked"

    @property
    def open(self) -> bool:
        """Say whether anything is open."""
        return self.said.endswith("open")


def count_days(trip: Trip, needs: Needs, plan: Plan) -> list[Day]:
    """Return how many cases of each day are covered, from a bank or from the water."""
    covered = {
        result.key.case
        for result in plan.demands
        if result.met and needs.choices[result.key.choice].covers
    }
    rows = []
    for day in trip.days:
        names = {rapid.name for rapid in trip.rapids.values() if rapid.day == day}
        cases = [key for key in needs.cases if key.rapid in names]
        bare = sum(len(row.running) for row in needs.without_technique if row.rapid in names)
        done = sum(key in covered for key in cases)
        places = {trip.rapids[name].place or name for name in names}
        rows.append(Day(day, len(places), len(cases), done, bare))
    return rows


def write_answer(record: Record, trip: Trip, plan: Plan) -> list[Block]:
    """Return what stands below the days: rules, who rows twice, faded skills, totals."""
    write_shortfalls(record, trip, plan)
    write_twice(record, trip, plan)
    write_fading(record, trip)
    if not plan.canonical:
        record.say(OPEN_ENDED)
    write_totals(record, plan)
    return record.blocks


def write_open(record: Record, trip: Trip, needs: Needs, plan: Plan) -> list[Block]:
    """Return the gaps in words, what a lost boat takes along, what is to be kept in mind."""
    write_gaps(record, trip, needs, plan)
    write_losses(record, trip, plan)
    write_reminders(record, trip)
    write_left_out(record, plan)
    return record.blocks


def say_size(trip: Trip) -> str:
    """Return how many days, boats, people and rapids there are."""
    called = {boat.called for boat in trip.boats.values()}
    places = {rapid.place or rapid.name for rapid in trip.rapids.values()}
    flow = join(FLOWS) if trip.flow == ALL_FLOWS else trip.flow
    return (
        f"{count(len(trip.days), 'day')}, {count(len(called), 'boat')}, "
        f"{count(len(trip.paddlers), 'person', 'people')}, {count(len(places), 'rapid')}; "
        f"{trip.starts.isoformat()} to {trip.ends.isoformat()}, {flow} water"
    )
