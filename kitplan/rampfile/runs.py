"""In what order boats run, where each waits while others do, and who rows twice."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from kitplan.load.sheet import count_text, show_value
from kitplan.needs.words import strip_flow
from kitplan.ramp import AFTER_RUN, BEFORE_RUN, ORDER, ROWS_TWICE, RUNS, STATION
from kitplan.rampfile.seats import is_there
from kitplan.trip import STATIONS

if TYPE_CHECKING:
    from kitplan.rampfile.page import Page, Row
    from kitplan.trip import Rapid

Order = tuple[str, ...]
Stations = dict[tuple[str, str, str], str]


# --- order ----------------------------------------------------------------------------------------


def read_order(page: Page) -> Order:
    """Return the boats as they run, leg by leg; legs without rows of order are left out.

    A leg that has such rows must have one for each boat, each with its own place.
    """
    places: dict[int, dict[int, Row]] = defaultdict(dict)
    boats: dict[str, Row] = {}
    for row in page.list_rows(ORDER):
        place = _read_place(page, row)
        if place is None:
            continue
        first = places[row.leg].setdefault(place, row)
        earlier = boats.setdefault(row.boat, row)
        if first is not row:
            there = show_value(page.trip.boats[first.boat].called)
            message = f"place {place} is that of {there} already, at {page.find(first).text()}"
            page.complain(row, "name", "place-twice", message, "give each boat its own place")
        elif earlier is not row:
            message = f"this boat has a place already, at {page.find(earlier).text()}"
            page.complain(row, "boat", "place-twice", message, "give it one place")
    if page.whole:
        _look_for_places(page, boats)
    return tuple(places[leg][place].boat for leg in page.legs for place in sorted(places[leg]))


def _read_place(page: Page, row: Row) -> int | None:
    most = len(page.trip.legs[row.leg].boats)
    there = count_text(most, "boat")
    if row.name.isascii() and row.name.isdigit() and 1 <= int(row.name[:9]) <= most:
        return int(row.name)
    message = f"{show_value(row.name)} is no place of {there}"
    page.complain(row, "name", "no-such-place", message, f"a whole number from 1 to {most}")
    return None


def _look_for_places(page: Page, boats: dict[str, Row]) -> None:
    for number in sorted({row.leg for row in boats.values()}):
        for boat in page.trip.legs[number].boats:
            if boat not in boats:
                called = show_value(page.trip.boats[boat].called)
                message = f"{called} has no place in the order{page.say_leg(number)}"
                hint = "a row order for each boat, or for none"
                page.complain_of_absence(boat, "place-missing", message, hint)


# --- rapids ---------------------------------------------------------------------------------------


def _find_rapids(page: Page, row: Row) -> list[Rapid]:
    """Return the passages that a row is about: more than one where it leaves out the flow."""
    said = page.require(row, "rapid", row.record.rapid)
    if not said:
        return []
    rapids = page.trip.rapids.values()
    called = [r for r in rapids if said in {r.name, strip_flow(r), r.place}]
    if not called:
        here = [r.place or r.name for r in rapids if r.leg == row.leg]
        page.complain_of_name(row, "rapid", ("rapid", said), here)
        return []
    passed = [rapid for rapid in called if row.boat in rapid.boats]
    if not passed:
        boat = show_value(page.trip.boats[row.boat].called)
        message = f"{boat} does not pass {show_value(said)}{page.say_leg(row.leg)}"
        page.complain(row, "rapid", "rapid-away", message, "look at the boat and at from_day")
        return []
    return _pick_flow(page, row, passed)


def _pick_flow(page: Page, row: Row, passed: list[Rapid]) -> list[Rapid]:
    flow = row.record.flow
    picked = [rapid for rapid in passed if flow is None or rapid.flow in {"", flow}]
    if not picked:
        planned = " and ".join(rapid.flow for rapid in passed)
        message = f"{show_value(row.record.rapid)} is planned for at {planned} water"
        page.complain(row, "flow", "flow-not-planned", message, "the same --flow, or leave it out")
    return picked


# --- stations -------------------------------------------------------------------------------------


def read_stations(page: Page, order: Order) -> Stations:
    """Return the stations given: (rapid, boat, running boat) -> station.

    Where a boat waits before or after its own run needs the order, given in the load or the trip.
    """
    first: dict[tuple[str, str, str], Row] = {}
    stations: Stations = {}
    for row in page.list_rows(STATION):
        if row.name not in STATIONS:
            page.complain_of_name(row, "name", ("station", row.name), STATIONS)
            continue
        for rapid in _find_rapids(page, row):
            keys = [(rapid.name, row.boat, boat) for boat in _list_waits(page, row, rapid, order)]
            earlier = next((first[key] for key in keys if key in first), None)
            if earlier is not None:
                message = f"this station is given already, at {page.find(earlier).text()}"
                page.complain(row, "", "station-twice", message, "leave one of the two rows out")
                break
            first |= dict.fromkeys(keys, row)
            stations |= dict.fromkeys(keys, row.name)
            page.said.append((row, rapid.name))
    return stations


def _list_waits(page: Page, row: Row, rapid: Rapid, order: Order) -> list[str]:
    """Return the boats while whose runs a boat stands where a row says."""
    said = page.require(row, "while", row.record.while_)
    if said in {BEFORE_RUN, AFTER_RUN}:
        return _list_held(page, row, rapid, order)
    running = {page.trip.boats[boat].called + RUNS: boat for boat in rapid.boats}
    others = [when for when, boat in running.items() if boat != row.boat]
    if said and said not in others:
        message = f"{show_value(said)} is nothing to wait for here"
        known = [BEFORE_RUN, AFTER_RUN, *others]
        hint = page.sheet.guess(said, known) or f'"{BEFORE_RUN}" or "{AFTER_RUN}"'
        page.complain(row, "while", "unknown-while", message, hint)
        return []
    return [running[said]] if said else []


def _list_held(page: Page, row: Row, rapid: Rapid, order: Order) -> list[str]:
    """Return the boats that run before, or after, the one that waits."""
    runs = _list_run(page, rapid, order)
    if row.boat not in runs:
        if page.whole:
            message = f"which boats run {row.record.while_} is not said"
            page.complain(row, "while", "order-missing", message, "add a row order for each boat")
        return []
    place = runs.index(row.boat)
    return runs[:place] if row.record.while_ == BEFORE_RUN else runs[place + 1 :]


def _list_run(page: Page, rapid: Rapid, order: Order) -> list[str]:
    """Return the boats of a rapid in the order of the load, else that of the trip."""
    runs = [boat for boat in order if boat in rapid.boats]
    by_name = {page.trip.boats[boat].called: boat for boat in rapid.boats}
    return runs or [by_name[called] for called in page.trip.order.boats if called in by_name]


# --- rowing twice ---------------------------------------------------------------------------------


def read_twice(page: Page) -> dict[tuple[str, str], str]:
    """Return who rows twice: (rapid, boat) -> paddler."""
    first: dict[tuple[str, str], Row] = {}
    for row in page.list_rows(ROWS_TWICE):
        if not is_there(page, row, "name", row.name):
            continue
        for rapid in _find_rapids(page, row):
            earlier = first.setdefault((rapid.name, row.boat), row)
            if earlier is not row:
                message = (
                    f"{earlier.name} rows this boat there already, at {page.find(earlier).text()}"
                )
                page.complain(row, "name", "rower-twice", message, "leave one of the two out")
                break
    return {key: row.name for key, row in first.items()}
