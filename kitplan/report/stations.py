"""Where boats wait while others run, in words: before and after their own run, or each time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.ramp import AFTER_RUN, BEFORE_RUN, RUNS
from kitplan.trip import HELD

if TYPE_CHECKING:
    from kitplan.plan import Arrangement
    from kitplan.trip import Rapid, Trip


def find_held(arrangement: Arrangement, rapid: Rapid, boat: str) -> tuple[str, str]:
    """Return where a boat waits before its run and after; "" for the first before, the last after.

    Where stations are reset, it is where the boat waits as the first and as the last one runs.
    """
    runs = arrangement.list_run(rapid.boats)
    place = runs.index(boat)
    stations = arrangement.stations
    before = stations[rapid.name, boat, runs[0]] if place else ""
    after = stations[rapid.name, boat, runs[-1]] if place < len(runs) - 1 else ""
    return before, after


def say_waits(
    trip: Trip, arrangement: Arrangement, rapid: Rapid, boat: str
) -> list[tuple[str, str]]:
    """Return when and where a boat waits at a rapid."""
    if trip.stations == HELD:
        pairs = zip((BEFORE_RUN, AFTER_RUN), find_held(arrangement, rapid, boat), strict=True)
        return [(when, station) for when, station in pairs if station]
    return [
        (trip.boats[running].called + RUNS, arrangement.stations[rapid.name, boat, running])
        for running in arrangement.list_run(rapid.boats)
        if running != boat
    ]
