"""The second program: whether a plan keeps the rules and is what it says, from trip and plan alone.

It shares with the way plans are made nouns, the registry of rules, and `needs`; it imports neither
builder nor solver. Every question is answered by augmenting paths over single persons and things.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.errors import Finding
from kitplan.needs import derive_needs
from kitplan.verify.claims import list_false_claims
from kitplan.verify.fault import Fault
from kitplan.verify.ground import Ground
from kitplan.verify.kept import CHECKS
from kitplan.verify.names import list_unknown
from kitplan.verify.truth import Truth

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.plan import Plan
    from kitplan.trip import Trip

__all__ = ["find_broken", "verify_plan"]


def verify_plan(trip: Trip, plan: Plan) -> list[Finding]:
    """Return what is wrong with a plan: rules broken and false statements; empty if nothing is.

    Codes are names of rule families, or of claims in the registry; each finding stands at the line
    of the trip that it is about. Where names are unknown or a rule of seating, packing or stations
    is broken, the claims are not looked at: they would be about something that can't be.
    """
    faults = (
        [Fault("unknown-name", trip.where, said) for said in list_unknown(trip, plan)]
        or list(_list_broken(trip, plan))
        or list(_list_false(trip, plan))
    )
    return [Finding(fault.where, "error", fault.code, fault.said) for fault in faults]


def find_broken(trip: Trip, plan: Plan) -> list[Finding]:
    """Return the rules of seating, packing and stations that a plan or a load by hand breaks."""
    faults = _list_broken(trip, plan)
    return [Finding(fault.where, "error", fault.code, fault.said) for fault in faults]


def _list_broken(trip: Trip, plan: Plan) -> Iterator[Fault]:
    for family, check in CHECKS.items():
        for where, said in check(trip, plan.arrangement):
            yield Fault(family, where, said)


def _list_false(trip: Trip, plan: Plan) -> Iterator[Fault]:
    truth = Truth(Ground(trip, plan.arrangement), derive_needs(trip))
    yield from list_false_claims(trip, plan, truth)
