"""The packing list as CSV: who and what goes into which boat, and where each boat waits.

One list for spreadsheets: rows of people (`seat`, the steerer first in each boat), of who takes a
boat down a rapid besides his own (`rows twice`), of kit and of stores (`item`; a `box` for each
single box, bag or canister, by its name), of waiting places (`station`,
`while` says when), where a rapid is not the same at all flows one for each flow planned for, and of
places in the running order (`order`). The last row is the caution. `rampfile` reads it back: `lot`
says of a thing of stores which it is, where others or a piece of kit bear the same name.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from kitplan.errors import CAUTION
from kitplan.load.csvlists import disarm
from kitplan.needs.boxes import deal_boxes
from kitplan.needs.stores import list_lots, name_lots
from kitplan.needs.words import strip_flow
from kitplan.ramp import BOX, CAUTION_ROW, ITEM, ORDER, ROWS_TWICE, SEAT, STATION
from kitplan.report.stations import say_waits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.needs.boxes import Box
    from kitplan.plan import Arrangement, Plan
    from kitplan.trip import Rapid, Trip

COLUMNS = (
    "boat", "from_day", "row", "name", "count", "carried", "worn_by", "rapid", "flow", "while",
    "lot",
)  # fmt: skip

Row = dict[str, str]
"""What a row says, by column; columns that it does not fill are left out."""


def render_csv(trip: Trip, plan: Plan) -> str:
    """Return the packing list with its heading; lines end in a line feed."""
    stream = io.StringIO()
    writer = csv.DictWriter(stream, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    for row in list_rows(trip, plan.arrangement):
        writer.writerow({column: disarm(cell) for column, cell in row.items()})
    return stream.getvalue()


def list_rows(trip: Trip, arrangement: Arrangement) -> Iterator[Row]:
    """Yield what each row says, boat by boat and leg by leg; the caution last."""
    dealt = deal_boxes(trip, arrangement)
    for boat in arrangement.crew:
        known = trip.boats[boat]
        first = trip.legs[known.leg].first_day
        rows = [
            *_list_seats(arrangement, boat),
            *_list_twice(trip, arrangement, boat),
            *_list_items(arrangement, boat),
        ]
        dated = [(first, row) for row in rows]
        stores = [*_list_things(trip, arrangement, boat), *_list_boxes(dealt[boat])]
        dated += [(max(first, day), row) for day, row in stores]
        dated += [(first, row) for row in _list_stations(trip, arrangement, boat)]
        for day, row in [*dated, (first, _name_place(trip, arrangement, boat))]:
            yield {"boat": known.called, "from_day": str(day), **row}
    yield {"row": CAUTION_ROW, "name": CAUTION}


def _list_seats(arrangement: Arrangement, boat: str) -> Iterator[Row]:
    steerer = arrangement.steerer[boat]
    rest = (paddler for paddler in arrangement.crew[boat] if paddler != steerer)
    for paddler in (steerer, *rest):
        yield {"row": SEAT, "name": paddler, "count": "1"}


def _list_twice(trip: Trip, arrangement: Arrangement, boat: str) -> Iterator[Row]:
    """Yield who takes the boat down a rapid besides his own."""
    for (name, down), paddler in arrangement.twice.items():
        if down == boat:
            passage = _name_passage(trip.rapids[name])
            yield {"row": ROWS_TWICE, "name": paddler, "count": "1", **passage}


def _list_items(arrangement: Arrangement, boat: str) -> Iterator[Row]:
    for row in arrangement.packed:
        if row.boat == boat:
            lies = {"carried": row.carried, "worn_by": row.worn_by}
            yield {"row": ITEM, "name": row.item, "count": str(row.count), **lies}


def _list_things(trip: Trip, arrangement: Arrangement, boat: str) -> Iterator[tuple[int, Row]]:
    """Yield things of stores that need no box, lot by lot, each with its first day."""
    counts = {row.lot: row.count for row in arrangement.stowed if row.boat == boat}
    for name, lot in name_lots(list_lots(trip)).items():
        if name in counts and not lot.container:
            lies = {"count": str(counts[name]), "carried": "stowed", "lot": name}
            yield lot.first_day, {"row": ITEM, "name": lot.store, **lies}


def _list_boxes(boxes: list[Box]) -> Iterator[tuple[int, Row]]:
    """Yield each box, bag and canister with its first day."""
    for name, lot in boxes:
        if lot.container:
            yield lot.first_day, {"row": BOX, "name": name, "count": "1", "carried": "stowed"}


def _list_stations(trip: Trip, arrangement: Arrangement, boat: str) -> Iterator[Row]:
    """Yield where the boat waits at each rapid: before its run and after, or as each boat runs."""
    for rapid in trip.rapids.values():
        if boat not in rapid.boats:
            continue
        for when, station in say_waits(trip, arrangement, rapid, boat):
            yield {"row": STATION, "name": station, **_name_passage(rapid), "while": when}


def _name_passage(rapid: Rapid) -> Row:
    return {"rapid": strip_flow(rapid), "flow": rapid.flow}


def _name_place(trip: Trip, arrangement: Arrangement, boat: str) -> Row:
    runs = arrangement.list_run(trip.legs[trip.boats[boat].leg].boats)
    return {"row": ORDER, "name": str(runs.index(boat) + 1)}
