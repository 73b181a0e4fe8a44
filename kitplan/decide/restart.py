"""Beginning a trip afresh again, from what a plan file keeps: once for each time it was replanned.

What is kept may have been changed by anybody, so it is held against the trip before it is used.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.decide.afresh import begin_from
from kitplan.decide.evening import find_day_before, find_evening_leg
from kitplan.decide.happened import check_day, find_wrong_that_evening
from kitplan.errors import NOWHERE, Finding, has_errors
from kitplan.needs import list_lots
from kitplan.needs.boxes import list_boxes

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.decide.afresh import Afresh
    from kitplan.happened import Restart
    from kitplan.trip import Trip


def begin_again(trip: Trip, restarts: Iterable[Restart]) -> tuple[Afresh | None, list[Finding]]:
    """Return the trip begun afresh time after time, None where that can't be, and findings.

    Without a restart there is nothing to return, and nothing is wrong.
    """
    afresh: Afresh | None = None
    for restart in restarts:
        findings = check_day(trip, restart.happened) or _check_restart(trip, restart)
        if has_errors(findings):
            return None, findings
        afresh = begin_from(trip, restart.evening, restart.happened)
        trip = afresh.trip
    return afresh, []


def _check_restart(trip: Trip, restart: Restart) -> list[Finding]:
    """Return what can't be so of an evening, or else in what is said to have happened after it."""
    odd = [
        *_check_seats(trip, restart),
        *_check_packed(trip, restart),
        *_check_boxes(trip, restart),
    ]
    day = restart.happened.day
    hint = "make the plan anew with `kitplan replan`"
    return [
        Finding(NOWHERE, "error", "wrong-evening", f"the evening before day {day}: {said}", hint)
        for said in dict.fromkeys(odd)
    ] or find_wrong_that_evening(trip, restart.evening, restart.happened)


def _check_seats(trip: Trip, restart: Restart) -> Iterator[str]:
    leg, seats = find_evening_leg(trip, restart.happened), restart.evening.seats
    times = Counter(paddler for paddler, _ in seats)
    for name in sorted({*times, *leg.paddlers}):
        there = int(name in leg.paddlers)
        if times[name] != there:
            yield f"'{name}' has {times[name]} seats and should have {there}"
    yield from _check_boats(trip, restart, (boat for _, boat in seats))


def _check_boats(trip: Trip, restart: Restart, boats: Iterable[str]) -> Iterator[str]:
    leg = find_evening_leg(trip, restart.happened)
    there = {trip.boats[boat].called for boat in leg.boats}
    for boat in boats:
        if boat not in there:
            yield f"boat '{boat}' is not on the water"


def _check_packed(trip: Trip, restart: Restart) -> Iterator[str]:
    leg, rows = find_evening_leg(trip, restart.happened), restart.evening.packed
    seats, counts = set(restart.evening.seats), Counter[str]()
    for row in rows:
        counts[row.item] += row.count
        worn = row.carried == "worn"
        if worn != bool(row.worn_by) or (worn and (row.worn_by, row.boat) not in seats):
            yield f"'{row.item}' in '{row.boat}' is worn by nobody in it"
    for item, count in counts.items():
        owned = trip.kit[item].count if item in leg.kit else 0
        if count > owned:
            yield f"{count} x {item} dealt out, and the party has {owned}"
    yield from _check_boats(trip, restart, (row.boat for row in rows))


def _check_boxes(trip: Trip, restart: Restart) -> Iterator[str]:
    day, next_day = find_day_before(trip, restart.happened), restart.happened.day
    aboard = {
        box
        for lot, boxes in list_boxes(list_lots(trip)).values()
        if lot.first_day <= day and lot.last_day >= next_day
        for box in boxes
    }
    times = Counter(box for box, _ in restart.evening.boxes)
    for box in sorted({*times, *aboard}):
        there = int(box in aboard)
        if times[box] != there:
            yield f"'{box}' lies in {times[box]} boats and should in {there}"
    yield from _check_boats(trip, restart, (boat for _, boat in restart.evening.boxes))
