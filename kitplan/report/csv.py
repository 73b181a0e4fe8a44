"""The packing list as CSV: who and what goes into which boat, and where each boat waits.

One list for spreadsheets: rows of people (`seat`, the steerer first in each boat), of who takes a
boat down a rapid besides his own (`rows twice`), of kit and of stores (`item`; a `box` for each
single box, bag or canister, by its name, with what goes into it or is in it still), of waiting
places (`station`, `while` says when), where a rapid is not the same at all flows one for each flow
planned for, and of places in the running order (`order`). Then, in no boat, what comes aboard of
each store (`supply`, `count` containers). The last row is the caution. `rampfile` reads it back:
`lot` says of a thing of stores which it is, where others or a piece of kit bear the same name.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from kitplan.errors import CAUTION
from kitplan.needs.boxes import deal_boxes
from kitplan.needs.stores import list_lots, name_lots
from kitplan.needs.supplies import find_rate, list_supplies, measure_content, tell_amount
from kitplan.needs.words import strip_flow
from kitplan.ramp import (
    BOX,
    CAUTION_ROW,
    ITEM,
    ORDER,
    ROWS_TWICE,
    SEAT,
    STATION,
    SUPPLY,
    disarm,
)
from kitplan.report.stations import say_waits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.needs.boxes import Box
    from kitplan.needs.supplies import Supply
    from kitplan.plan import Arrangement, Plan
    from kitplan.trip import Rapid, Trip

COLUMNS = (
    "boat", "from_day", "row", "name", "count", "carried", "worn_by", "rapid", "flow", "while",
    "amount", "unit", "person_days", "lot",
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
        dated += _list_things(trip, arrangement, boat, first)
        dated += _list_boxes(trip, dealt[boat], first)
        dated += [(first, row) for row in _list_stations(trip, arrangement, boat)]
        for day, row in [*dated, (first, _name_place(trip, arrangement, boat))]:
            yield {"boat": known.called, "from_day": str(day), **row}
    for supply in list_supplies(trip):
        yield _make_supply(supply)
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


def _list_things(
    trip: Trip, arrangement: Arrangement, boat: str, first: int
) -> Iterator[tuple[int, Row]]:
    """Yield things of stores that need no box, lot by lot, each with its first day of the leg."""
    counts = {row.lot: row.count for row in arrangement.stowed if row.boat == boat}
    for name, lot in name_lots(list_lots(trip)).items():
        if name in counts and not lot.container:
            lies = {"count": str(counts[name]), "carried": "stowed", "lot": name}
            yield max(first, lot.first_day), {"row": ITEM, "name": lot.store, **lies}


def _list_boxes(trip: Trip, boxes: list[Box], first: int) -> Iterator[tuple[int, Row]]:
    """Yield each box, bag and canister with its first day, and what it has in it that morning.

    That is none before the `first` of the leg.
    """
    for name, lot in boxes:
        rate, day = find_rate(trip, lot), max(first, lot.first_day)
        if rate is not None:
            amount, unit = tell_amount(rate, measure_content(rate, lot, day))
            filled = {"amount": str(amount), "unit": unit}
            yield day, {"row": BOX, "name": name, "count": "1", "carried": "stowed", **filled}


def _make_supply(supply: Supply) -> Row:
    amount, unit = tell_amount(supply.rate, supply.quantity)
    return {
        "from_day": str(supply.first_day),
        "row": SUPPLY,
        "name": supply.rate.name,
        "count": str(len(supply.contents)),
        "amount": str(amount),
        "unit": unit,
        "person_days": str(supply.person_days),
    }


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
