"""The packing list as TOML: the rows of `report.csv`, each a table `[[row]]` of what it says.

A name, a place or a word is text, and a count, a day or an amount a number. `rampfile` reads it
back as the same load as the CSV.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from kitplan.report.csv import list_rows

if TYPE_CHECKING:
    from kitplan.plan import Plan
    from kitplan.report.csv import Row
    from kitplan.trip import Trip

NUMBERS = frozenset({"from_day", "count", "amount", "person_days"})
_DELETE = "\x7f"  # the one sign that TOML wants escaped and JSON does not


def render_toml(trip: Trip, plan: Plan) -> str:
    """Return the packing list; lines end in a line feed."""
    return "\n".join(_write_row(row) for row in list_rows(trip, plan.arrangement))


def _write_row(row: Row) -> str:
    pairs = (f"{key} = {_write_cell(key, cell)}\n" for key, cell in row.items() if cell)
    return "[[row]]\n" + "".join(pairs)


def _write_cell(key: str, cell: str) -> str:
    if key in NUMBERS:
        return cell
    return json.dumps(cell, ensure_ascii=False).replace(_DELETE, "\\u007f")
