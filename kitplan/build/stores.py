"""Stores in boats: where each lot lies in a leg, what it weighs on each morning, its room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.build.variables import add_up

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.build.variables import Linear, Variables
    from kitplan.needs import Lot


def list_mornings(lots: list[Lot], days: range) -> list[tuple[int, ...]]:
    """Return what one of each lot weighs on the mornings that matter, in grams, no two alike.

    A morning on which no lot weighs more than on another one asks nothing that this one does not.
    """
    return _drop_implied([tuple(lot.weigh(day) for lot in lots) for day in days])


def list_volumes(lots: list[Lot], days: range) -> list[tuple[int, ...]]:
    """Return the room that one of each lot takes on the mornings that matter, in millilitres."""
    return _drop_implied([tuple(lot.volume_ml * lot.is_aboard(d) for lot in lots) for d in days])


def _drop_implied(mornings: list[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """Return those that no other one is at least as much as, lot by lot."""
    once = list(dict.fromkeys(mornings))
    return [
        one
        for one in once
        if not any(
            other != one and all(a <= b for a, b in zip(one, other, strict=True)) for other in once
        )
    ]


def weigh_stores(v: Variables, boat: str) -> list[Linear]:
    """Return what the stores in a boat weigh, in grams, on each morning that matters."""
    return _add_up_stores(v, boat, list_mornings)


def measure_room(v: Variables, boat: str) -> list[Linear]:
    """Return the room that stores and stowed kit take in a boat, on each morning that matters.

    In millilitres.
    """
    kit = add_up(
        v.trip.kit[i].item.volume_ml * variable
        for (i, b, carried), variable in v.pack.items()
        if b == boat and carried == "stowed"
    )
    return [stores + kit for stores in _add_up_stores(v, boat, list_volumes)]


def _add_up_stores(
    v: Variables, boat: str, figures: Callable[[list[Lot], range], list[tuple[int, ...]]]
) -> list[Linear]:
    """Return the sum over a boat's stores for each row of figures, one for each lot."""
    stowed = [(v.lots[lot], variable) for (lot, b), variable in v.stow.items() if b == boat]
    if not stowed:
        return [add_up([])]
    leg = v.trip.legs[v.trip.boats[boat].leg]
    rows = figures([lot for lot, _ in stowed], range(leg.first_day, leg.last_day + 1))
    return [
        add_up(n * variable for n, (_, variable) in zip(row, stowed, strict=True) if n)
        for row in rows
    ]
