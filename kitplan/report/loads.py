"""How much each boat carries on each morning, as a chart that reads in black and white."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs.loads import list_loads
from kitplan.report.sheet import COLUMNS
from kitplan.units import show_mass

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan.needs.loads import Load
    from kitplan.plan import Plan
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip

SIGNS = (
    ("P", "people", "people_g"),
    ("K", "safety kit", "kit_g"),
    ("S", "stores", "stores_g"),
    ("C", "camp kit, own things and bags", "camp_g"),
    ("D", "dry load", "dry_g"),
)
"""The sign of each part of a load, what it is in words, and its field."""
FREE = "."
BAR = 20
"""Signs of a bar: each stands for a twentieth of the payload."""
NAME_WIDTH = 20
_BETWEEN = 2  # columns between those of a table

Mornings = dict[int, "Load"]


def write_loads(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write mass and share of the payload, boat by boat and morning by morning, with a bar each."""
    if trip.stores is None:
        return
    boats = _join_legs(trip, list_loads(trip, plan.arrangement))
    sheet.heading("Mass by boat and morning")
    sheet.say(_say_signs(load for loads in boats.values() for load in loads.values()))
    sheet.gap()
    days = trip.days
    most = _count_columns(boats)
    for first in range(0, len(days), most):
        _write_block(sheet, boats, days[first : first + most])


def draw_bar(load: Load) -> str:
    """Return a load as a bar, "PPPPPPPKSSSSSCC.....": what is free is dotted, none is longer.

    The ends of the parts are rounded, not the parts: so a bar is as long as its load.
    """
    bar, so_far_g = "", 0
    for sign, _, part in SIGNS:
        so_far_g += getattr(load, part)
        bar += sign * (_round(BAR * so_far_g, load.payload_g) - len(bar))
    return bar[:BAR].ljust(BAR, FREE)


def _round(number: int, by: int) -> int:
    """Return the quotient, rounded, halves up."""
    return (2 * number + by) // (2 * by)


def _join_legs(trip: Trip, loads: dict[str, Mornings]) -> dict[str, Mornings]:
    """Return the loads of each boat, as it is called, over all legs."""
    boats: dict[str, Mornings] = {}
    for name, of_leg in loads.items():
        boats.setdefault(trip.boats[name].called, {}).update(of_leg)
    return boats


def _say_signs(loads: Iterable[Load]) -> str:
    """Return the legend, with the parts that are there at all."""
    every = list(loads)
    said = [f"{s} {words}" for s, words, part in SIGNS if any(getattr(one, part) for one in every)]
    return (
        f"Share of the payload: {', '.join(said)}, {FREE} free. Each sign stands for "
        f"{100 // BAR} % of the payload, rounded."
    )


def _count_columns(boats: Iterable[str]) -> int:
    """Return how many mornings fit beside each other on a line."""
    name = min(NAME_WIDTH, max(len(boat) for boat in boats))
    return (COLUMNS - _BETWEEN - name) // (BAR + _BETWEEN)


def _write_block(sheet: Sheet, boats: dict[str, Mornings], days: Sequence[int]) -> None:
    rows = []
    for boat, loads in boats.items():
        there = [loads.get(day) for day in days]
        if any(there):
            rows.append((boat, *(_say_load(load) if load else "" for load in there)))
            rows.append(("", *(draw_bar(load) if load else "" for load in there)))
    heads = ("", *(f"day {day}" for day in days))
    sheet.table(rows, heads, widths=(NAME_WIDTH, *(None for _ in days)))


def _say_load(load: Load) -> str:
    return f"{show_mass(load.total_g)}, {load.percent:.0f} %"
