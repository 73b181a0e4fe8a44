"""Stores in boats: where each lot lies in a leg, what it weighs on each morning, its room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.build.variables import add_up

if TYPE_CHECKING:
    from kitplan.build.variables import Linear, Variables
    from kitplan.needs import Lot


def list_mornings(lots: list[Lot], days: range) -> list[tuple[int, ...]]:
    """Return what one of each lot weighs on the mornings that matter, in grams, no two alike.

    A morning on which no lot weighs more than on another one asks nothing that this one does not.
    """
    mornings = dict.fromkeys(tuple(lot.weigh(day) for lot in lots) for day in days)
    return [
        one
        for one in mornings
        if not any(
            other != one and all(a <= b for a, b in zip(one, other, strict=True))
            for other in mornings
        )
    ]


def weigh_stores(v: Variables, boat: str) -> list[Linear]:
    """Return what the stores in a boat weigh, in grams, on each morning that matters."""
    stowed = [(v.lots[lot], variable) for (lot, b), variable in v.stow.items() if b == boat]
    if not stowed:
        return [add_up([])]
    leg = v.trip.legs[v.trip.boats[boat].leg]
    mornings = list_mornings([lot for lot, _ in stowed], range(leg.first_day, leg.last_day + 1))
    return [
        add_up(
            mass_g * variable
            for mass_g, (_, variable) in zip(morning, stowed, strict=True)
            if mass_g
        )
        for morning in mornings
    ]


def measure_room(v: Variables, boat: str) -> Linear:
    """Return the room that stores and stowed kit take in a boat, in millilitres."""
    stores = [
        v.lots[lot].volume_ml * variable for (lot, b), variable in v.stow.items() if b == boat
    ]
    kit = [
        v.trip.kit[i].item.volume_ml * variable
        for (i, b, carried), variable in v.pack.items()
        if b == boat and carried == "stowed"
    ]
    return add_up([*stores, *kit])
