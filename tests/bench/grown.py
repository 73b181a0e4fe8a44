"""What is measured at a point of growth. Seconds are of the processor; no search is cut short."""

from __future__ import annotations

import resource
import time
from itertools import pairwise
from typing import TYPE_CHECKING

from kitplan.build import TripModel, Variables
from kitplan.check import check_party
from kitplan.needs import derive_needs
from kitplan.solve import SolveOptions, solve_trip
from tests.bench.checked import check_arrangement, count_aims

if TYPE_CHECKING:
    from kitplan.trip import Trip

KIB = 1024
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
    arrangement = solve_trip(trip, needs, SolveOptions(aims=())).arrangement
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
