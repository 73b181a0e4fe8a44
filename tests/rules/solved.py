"""Plans of small trips, proven and accepted by the second program."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.explain import SolveOptions, plan_trip
from kitplan.verify import verify_plan

if TYPE_CHECKING:
    from kitplan.plan import Plan
    from kitplan.trip import Trip


def solve(trip: Trip) -> Plan:
    """Return the plan of a trip, all aims proven; the verifier has no complaint."""
    outcome = plan_trip(trip, SolveOptions(workers=1))
    assert outcome.status == "proven"
    assert outcome.plan is not None
    assert [finding.text() for finding in verify_plan(trip, outcome.plan)] == []
    return outcome.plan
