"""The packing list as CSV: who and what goes into which boat, and where each boat waits.

One list for spreadsheets: rows of people (`seat`, the steerer first in each boat), of who takes a
boat down a rapid besides his own (`rows twice`), of kit and of stores (`item`; a `box` for each
single box, bag or canister, by its name, with what goes into it or is in it still), of waiting
places (`station`, `while` says when), where a rapid is not the same at all flows one for each flow
planned for, and of places in the running order (`order`). Then, in no boat, what comes aboard of
each store (`supply`, `count` containers). The last row is the caution.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from typing import TYPE_CHECKING

from kitplan.errors import CAUTION
from kitplan.needs.boxes import deal_boxes
from kitplan.needs.supplies import find_rate, list_supplies, measure_content, tell_amount
from kitplan.report.stations import say_waits
from kitplan.report.words import strip_flow

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.needs.boxes import Box
    from kitplan.needs.supplies import Supply
    from kitplan.plan import Plan
    from kitplan.trip import Trip

COLUMNS = (
    "boat", "from_day", "row", "name", "count", "carried", "worn_by", "rapid", "flow", "while",
    "amount", "unit", "person_days",
)  # fmt: skip
# A spreadsheet takes a cell that begins so for a formula.
_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")

Cells = tuple[str, ...]
"""A row from its third column on; columns after its last cell are empty."""


def render_csv(trip: Trip, plan: Plan) -> str:
    """Return the packing list with its heading; lines end in a line feed."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(COLUMNS)
    dealt = deal_boxes(trip, plan.arrangement)
    for boat in plan.arrangement.crew:
        known = trip.boats[boat]
        first = trip.legs[known.leg].first_day
        rows = [
            *_list_seats(plan, boat),
            *_list_twice(trip, plan, boat),
            *_list_items(plan, boat),
        ]
        dated = [(first, row) for row in rows]
        dated += _list_stores(trip, dealt[boat], first)
        dated += [(first, row) for row in _list_stations(trip, plan, boat)]
        for day, row in [*dated, (first, _name_place(trip, plan, boat))]:
            writer.writerow(_fill(known.called, str(day), *row))
    for one in list_supplies(trip):
        writer.writerow(_fill("", str(one.first_day), *_make_supply(one)))
    writer.writerow(_fill("", "", "caution", CAUTION))
    return stream.getvalue()


def _list_seats(plan: Plan, boat: str) -> Iterator[Cells]:
    steerer = plan.arrangement.steerer[boat]
    rest = (paddler for paddler in plan.arrangement.crew[boat] if paddler != steerer)
    for paddler in (steerer, *rest):
        yield "seat", paddler, "1", "", "", "", "", ""


def _list_twice(trip: Trip, plan: Plan, boat: str) -> Iterator[Cells]:
    """Yield who takes the boat down a rapid besides his own."""
    for (name, down), paddler in plan.arrangement.twice.items():
        if down == boat:
            rapid = trip.rapids[name]
            yield "rows twice", paddler, "1", "", "", strip_flow(rapid), rapid.flow, ""


def _list_items(plan: Plan, boat: str) -> Iterator[Cells]:
    for row in plan.arrangement.packed:
        if row.boat == boat:
            yield "item", row.item, str(row.count), row.carried, row.worn_by, "", "", ""


def _list_stores(trip: Trip, boxes: list[Box], first: int) -> Iterator[tuple[int, Cells]]:
    """Yield things of stores that need no box, by count, then each box; with its first day.

    That is none before the `first` of the leg, on whose morning it is what a box has in it.
    """
    loose = Counter((lot.store, max(first, lot.first_day)) for _, lot in boxes if not lot.container)
    for (store, day), count in loose.items():
        yield day, ("item", store, str(count), "stowed", "", "", "", "")
    for name, lot in boxes:
        rate, day = find_rate(trip, lot), max(first, lot.first_day)
        if rate is not None:
            amount, unit = tell_amount(rate, measure_content(rate, lot, day))
            yield day, ("box", name, "1", "stowed", "", "", "", "", str(amount), unit)


def _make_supply(supply: Supply) -> Cells:
    amount, unit = tell_amount(supply.rate, supply.quantity)
    said = "supply", supply.rate.name, str(len(supply.contents)), "", "", "", "", ""
    return *said, str(amount), unit, str(supply.person_days)


def _list_stations(trip: Trip, plan: Plan, boat: str) -> Iterator[Cells]:
    """Yield where the boat waits at each rapid: before its run and after, or as each boat runs."""
    for rapid in trip.rapids.values():
        if boat not in rapid.boats:
            continue
        for when, station in say_waits(trip, plan.arrangement, rapid, boat):
            yield "station", station, "", "", "", strip_flow(rapid), rapid.flow, when


def _name_place(trip: Trip, plan: Plan, boat: str) -> Cells:
    runs = plan.arrangement.list_run(trip.legs[trip.boats[boat].leg].boats)
    return "order", str(runs.index(boat) + 1), "", "", "", "", "", ""


def _fill(*cells: str) -> list[str]:
    """Return the cells of a whole row, none of which is a formula."""
    return [_disarm(cell) for cell in cells] + [""] * (len(COLUMNS) - len(cells))


def _disarm(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_FORMULA_SIGNS) else cell
