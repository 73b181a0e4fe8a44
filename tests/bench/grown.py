"""What is measured at a point of growth. Seconds are of the processor."""

from __future__ import annotations

import resource
import time
from itertools import pairwise
from typing import TYPE_CHECKING

from kitplan.build import TripModel, Variables
from kitplan.check import check_party
from kitplan.needs import derive_needs
from kitplan.solve import Clock, SolveOptions, solve_trip
from tests.bench.checked import check_arrangement, count_aims

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip

KIB = 1024
ANY_S = 3600.0
"""More seconds than a first plan takes."""
MEASURES = ("needs s", "check s", "plan s", "build s", "variables", "constraints", "MB")
"""Seconds to derive needs, to check the party, to a first plan that the verifier has accepted and
counted, and to build the model of all rapids at once; its size; the most memory held in between."""


def measure(trip: Trip) -> dict[str, float]:
    """Return all measures of a trip; raise ValueError where the verifier refuses the first plan."""
    times = [time.process_time()]
    needs = derive_needs(trip)
    times.append(time.process_time())
    check_party(trip, needs)
    times.append(time.process_time())
    arrangement = _find_first(trip, needs)
    faults = ["no plan"] if arrangement is None else check_arrangement(trip, arrangement)
    if arrangement is None or faults:
        raise ValueError(f"{trip.name}: {faults[0]}")
    count_aims(trip, needs, arrangement)
    times.append(time.process_time())
    tm = TripModel(Variables(trip, trip.rapids), needs)
    times.append(time.process_time())
    seconds = [after - before for before, after in pairwise(times)]
    size = tm.model.proto
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / KIB
    values = (*seconds, len(size.variables), len(size.constraints), held)
    return dict(zip(MEASURES, values, strict=True))


def _find_first(trip: Trip, needs: Needs) -> Arrangement | None:
    """Return the plan that solving begins with: it ends where the first step after that begins."""
    clock = Clock(ANY_S)
    options = SolveOptions(aims=(), watch=lambda _: clock.stop())
    return solve_trip(trip, needs, options, clock).arrangement
