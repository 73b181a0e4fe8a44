"""Who sits where: the rows of seats."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.load.sheet import show_value
from kitplan.ramp import SEAT

if TYPE_CHECKING:
    from kitplan.rampfile.page import Page, Row


def read_seats(page: Page) -> tuple[dict[str, tuple[str, ...]], dict[str, str]]:
    """Return crew and steerer of each boat of the legs that rows are about, in the trip's order.

    The crew of a boat that nobody sits in is empty, and it has no steerer. A leg in which nobody
    sits at all is an error; people who sit nowhere are warned of.
    """
    seats: dict[str, list[str]] = {}
    taken: dict[tuple[int, str], Row] = {}
    for row in page.list_rows(SEAT):
        if is_there(page, row, "name", row.name) and _is_single(page, row):
            first = taken.setdefault((row.leg, row.name), row)
            if first is row:
                seats.setdefault(row.boat, []).append(row.name)
                page.said.append((row, row.name))
            else:
                _complain_of_second(page, row, first)
    _look_for_missing(page, seats)
    there = [boat for number in page.legs for boat in page.trip.legs[number].boats]
    crew = {b: tuple(sorted(seats.get(b, ()))) for b in page.trip.boats if b in there}
    return crew, {boat: seats[boat][0] for boat in crew if boat in seats}


def is_there(page: Page, row: Row, key: str, name: str) -> bool:
    """Say whether somebody is a paddler of the row's leg, and complain if not."""
    people = page.trip.legs[row.leg].paddlers
    if name not in page.trip.paddlers:
        page.complain_of_name(row, key, ("paddler", name), people)
    elif name not in people:
        message = f"paddler {show_value(name)} is not there{page.say_leg(row.leg)}"
        page.complain(row, key, "paddler-away", message, "leave this row out, or change from_day")
    return name in people


def _is_single(page: Page, row: Row) -> bool:
    if row.record.count in {None, 1}:
        return True
    message = f"count is {row.record.count}, and a seat takes one person"
    page.complain(row, "count", "more-than-one", message, "1, or leave it out")
    return False


def _complain_of_second(page: Page, row: Row, first: Row) -> None:
    there = page.trip.boats[first.boat].called
    message = (
        f"{row.name} sits in {show_value(there)} already{page.say_leg(row.leg)}, "
        f"at {page.find(first).text()}"
    )
    page.complain(row, "name", "seated-twice", message, "leave one of the two rows out")


def _look_for_missing(page: Page, seats: dict[str, list[str]]) -> None:
    """Complain where no row is a seat and warn of who is left, unless such a row may be wrong."""
    if not page.whole:
        return
    for number in page.legs:
        leg, when = page.trip.legs[number], page.say_leg(number)
        seated = {paddler for boat in leg.boats for paddler in seats.get(boat, ())}
        if not seated:
            hint = "a row seat for each of a boat's crew; the first one steers"
            page.complain_of_absence("", "no-seats", f"nobody has a seat{when}", hint)
            continue
        for paddler in leg.paddlers:
            if paddler not in seated:
                hint = "a row seat, if this paddler comes along"
                page.warn("not-seated", f"{paddler} is not seated{when}", hint)
