"""The packing list as CSV: who and what goes into which boat, and where each boat waits.

One list for spreadsheets: rows of people (`seat`, the steerer first in each boat), of kit (`item`)
and of waiting places (`station`), where a rapid is not the same at all flows one for each flow
planned for. The last row is the caution.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from kitplan.errors import CAUTION
from kitplan.report.words import strip_flow

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.plan import Plan
    from kitplan.trip import Trip

COLUMNS = ("boat", "row", "name", "count", "carried", "worn_by", "rapid", "flow")
# A spreadsheet takes a cell that begins so for a formula.
_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")

Row = tuple[str, str, str, str, str, str, str, str]


def render_csv(trip: Trip, plan: Plan) -> str:
    """Return the packing list with its heading; lines end in a line feed."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(COLUMNS)
    for boat in plan.arrangement.crew:
        for row in (
            *_list_seats(plan, boat),
            *_list_items(plan, boat),
            *_list_stations(trip, plan, boat),
        ):
            writer.writerow(_disarm(cell) for cell in row)
    writer.writerow(("", "caution", CAUTION, "", "", "", "", ""))
    return stream.getvalue()


def _list_seats(plan: Plan, boat: str) -> Iterator[Row]:
    steerer = plan.arrangement.steerer[boat]
    rest = (paddler for paddler in plan.arrangement.crew[boat] if paddler != steerer)
    for paddler in (steerer, *rest):
        yield boat, "seat", paddler, "1", "", "", "", ""


def _list_items(plan: Plan, boat: str) -> Iterator[Row]:
    for row in plan.arrangement.packed:
        if row.boat == boat:
            yield boat, "item", row.item, str(row.count), row.carried, row.worn_by, "", ""


def _list_stations(trip: Trip, plan: Plan, boat: str) -> Iterator[Row]:
    for (name, owner), station in plan.arrangement.stations.items():
        rapid = trip.rapids[name]
        if owner == boat:
            yield boat, "station", station, "", "", "", strip_flow(rapid), rapid.flow


def _disarm(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_FORMULA_SIGNS) else cell
