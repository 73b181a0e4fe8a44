"""Who can do what, certificates with their dates, and who and what counts most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.check import check_party
from kitplan.report.check import write_certificates, write_roles, write_steerers
from kitplan.report.counts import write_counts
from kitplan.report.page.record import make_record

if TYPE_CHECKING:
    from kitplan.decide.counts import Counted
    from kitplan.demands import Needs
    from kitplan.plan import Plan
    from kitplan.report.page.record import Block
    from kitplan.trip import Trip

NOT_COUNTED = (
    "Not worked out for this page. Make it again with --counts: kitplan page PLAN --counts "
    "--out trip.html. That takes less time than making the plan did."
)


@dataclass(frozen=True, slots=True)
class Person:
    """A paddler: in which boat, what he is able to, which certificates he holds."""

    name: str
    boats: str
    skills: str
    guest: bool


def list_people(trip: Trip, plan: Plan) -> list[Person]:
    """Return everybody, with boats leg by leg where they change."""
    people = []
    for name, paddler in trip.paddlers.items():
        seats = [b for b, crew in plan.arrangement.crew.items() if name in crew]
        boats = sorted(seats, key=lambda boat: trip.boats[boat].leg)
        called = [trip.boats[b].called for b in boats]
        since = [
            f"from day {trip.legs[trip.boats[b].leg].first_day} {trip.boats[b].called}"
            for b in boats
        ]
        said = called[0] if len(set(called)) == 1 else ", ".join(since)
        skills = ", ".join(f"{skill} {level}" for skill, level in paddler.skills.items() if level)
        people.append(Person(name, said, skills or "none", paddler.guest))
    return people


def list_abilities(trip: Trip, needs: Needs) -> list[Block]:
    """Return who can fill which role, who can steer, and certificates."""
    record, check = make_record(trip), check_party(trip, needs)
    write_roles(record, trip, check)
    write_steerers(record, trip, check)
    write_certificates(record, trip, check)
    return record.blocks


def list_counts(trip: Trip, counted: Counted | None) -> list[Block]:
    """Return who and what counts most; how to get it where it was not worked out."""
    record = make_record(trip)
    if counted is None:
        record.heading("Who and what counts most")
        record.say(NOT_COUNTED)
    else:
        write_counts(record, trip, counted, "plan --counts")
    return record.blocks
