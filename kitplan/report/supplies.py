"""Amounts of stores in words: what to buy, what to fill into which container, and when."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from kitplan.needs.stores import find_morning
from kitplan.needs.supplies import list_supplies, sum_supplies
from kitplan.report.stores import say_amount, say_size
from kitplan.report.words import join, say_days
from kitplan.trip import FILLS

if TYPE_CHECKING:
    from kitplan.needs.supplies import Supply
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip

BUY_WIDTHS = (18, 11, 16, 47)
"""Columns of what to buy: the store, person-days, how much, the containers."""
FILL_WIDTHS = (14, 14, 11, 11, 9, 29)
"""Columns of what to fill: when it comes aboard, the store, the days, the rest as above."""


def write_supplies(sheet: Sheet, trip: Trip) -> None:
    """Write what to buy over all, then what goes into which container at the start and on the way.

    Camp kit, own things and bags are not among it: they are on the cards, by count.
    """
    supplies = list_supplies(trip)
    if not supplies:
        return
    sheet.heading("Stores to buy")
    rows = [
        (one.rate.name, str(one.person_days), _say_bought(one), _say_containers(one))
        for one in sum_supplies(supplies)
    ]
    sheet.table(rows, ("", "person-days", "amount", "in"), widths=BUY_WIDTHS)
    sheet.heading("Stores to fill")
    filled = [
        ("" if number else _say_when(trip, day), *_make_row(one))
        for day, alike in groupby(supplies, lambda one: one.first_day)
        for number, one in enumerate(alike)
    ]
    heads = ("", "", "for", "person-days", "amount", "in each")
    sheet.table(filled, heads, widths=FILL_WIDTHS)


def _make_row(supply: Supply) -> tuple[str, ...]:
    return (
        supply.rate.name,
        say_days(supply.first_day, supply.last_day),
        str(supply.person_days),
        say_amount(supply.rate, supply.quantity),
        _say_contents(supply),
    )


def _say_bought(supply: Supply) -> str:
    """Return how much people use of a store, or need room for."""
    said = say_amount(supply.rate, supply.quantity)
    return f"room for {said}" if supply.rate.use == FILLS else said


def _say_containers(supply: Supply) -> str:
    """Return how many containers of which size there are: "12 x fuel bottle, holds 900 ml"."""
    container = supply.rate.container
    full = ", comes full only" if container.comes_full else ""
    return f"{len(supply.contents)} x {container.name}, holds {say_size(container)}{full}"


def _say_contents(supply: Supply) -> str:
    """Return what goes into how many containers, those that are filled alike together."""
    rate = supply.rate
    up_to = "up to " if rate.use == FILLS else ""
    return "; ".join(
        f"{len(list(alike))} x {rate.container.name}: {up_to}{said}"
        for said, alike in groupby(say_amount(rate, content) for content in supply.contents)
    )


def _say_when(trip: Trip, day: int) -> str:
    """Return the time at which stores come aboard before a morning: "start", "day 4, morning"."""
    restocks = trip.stores.restocks if trip.stores else ()
    times = [f"day {one.day}, {one.at}" for one in restocks if find_morning(one) == day]
    return join(dict.fromkeys(times)) if times else "start"
