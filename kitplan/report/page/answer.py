"""The top of a page: what is covered day by day, what is short, the gaps in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.report.carriage import (
    HOLDS,
    IF_LOST,
    list_lost,
    write_reminders,
    write_shortfalls,
)
from kitplan.report.cover import write_beyond, write_covered, write_gaps, write_left_out
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
class Covered:
    """How much is covered: counts of cases; `bare` more have no accepted technique at all."""

    cases: int
    covered: int
    bare: int

    @property
    def said(self) -> str:
        """Return the answer in a few words."""
        if self.open:
            return f"{self.open} open"
        return "all covered" if self.cases else "nothing asked"

    @property
    def open(self) -> int:
        """Return how many cases are covered by nothing."""
        return self.cases - self.covered + self.bare


@dataclass(frozen=True, slots=True)
class Day(Covered):
    """How much of a day is covered; `rapids`: how many are passed."""

    day: int
    rapids: int


def count_rapids(trip: Trip, needs: Needs, plan: Plan) -> dict[str, Covered]:
    """Return how many cases of each rapid are covered, from a bank or from the water."""
    covered = {
        result.key.case
        for result in plan.demands
        if result.met and needs.choices[result.key.choice].covers
    }
    found = {}
    for name in trip.rapids:
        cases = [key for key in needs.cases if key.rapid == name]
        bare = sum(len(row.running) for row in needs.without_technique if row.rapid == name)
        found[name] = Covered(len(cases), sum(key in covered for key in cases), bare)
    return found


def count_days(trip: Trip, rapids: dict[str, Covered]) -> list[Day]:
    """Return the same day by day, of what it is at each rapid."""
    rows = []
    for day in trip.days:
        names = [rapid.name for rapid in trip.rapids.values() if rapid.day == day]
        places = {trip.rapids[name].place or name for name in names}
        rows.append(
            Day(
                cases=sum(rapids[name].cases for name in names),
                covered=sum(rapids[name].covered for name in names),
                bare=sum(rapids[name].bare for name in names),
                day=day,
                rapids=len(places),
            )
        )
    return rows


def write_answer(record: Record, trip: Trip, needs: Needs, plan: Plan) -> list[Block]:
    """Return what stands below the days: what is beyond the party, rules, totals."""
    write_beyond(record, trip, plan)
    write_shortfalls(record, trip, plan)
    write_twice(record, trip, plan)
    write_fading(record, trip)
    if not plan.canonical:
        record.say(OPEN_ENDED)
    write_covered(record, trip, needs, plan)
    return record.blocks


def write_open(record: Record, trip: Trip, needs: Needs, plan: Plan) -> list[Block]:
    """Return the gaps in words, what a lost boat takes along, what is to be kept in mind."""
    write_gaps(record, trip, needs, plan)
    _write_lost(record, trip, plan)
    write_reminders(record, trip)
    write_left_out(record, plan)
    return record.blocks


def _write_lost(record: Record, trip: Trip, plan: Plan) -> None:
    """Write what is short if a boat is lost, boats alike together: a telephone is narrow."""
    alike: dict[str, list[str]] = {}
    for boat, said in list_lost(trip, plan):
        cells = zip(trip.spreads, said, strict=True)
        short = [f"{one.name}: {cell}" for one, cell in cells if cell != HOLDS]
        alike.setdefault("; ".join(short) or "nothing short", []).append(boat)
    if alike:
        record.heading(IF_LOST)
        rows = [(join(boats, "or"), said) for said, boats in alike.items()]
        record.table(rows, ("lost", "short, on the worst day"))
        record.say(f"Asked for each time: {join(one.name for one in trip.spreads)}.")


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
