"""Which single box of stores lies in which boat, what moves between legs, what comes and goes.

An arrangement says how many of a lot lie where; whoever packs wants to know which. Knows nothing of
how lots were dealt to boats.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import islice, pairwise
from typing import TYPE_CHECKING, TypeAlias

from kitplan.needs.stores import BAGS, list_lots, name_boxes, name_lots
from kitplan.trip import FILLS, Lot

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.plan import Arrangement
    from kitplan.trip import Leg, Trip

FOOD = "food"
Box: TypeAlias = tuple[str, Lot]
"""The name of a single box or thing, and its lot."""
Dealt: TypeAlias = dict[str, list[Box]]
"""Boat -> what lies in it; a boat of two legs is two boats."""


@dataclass(frozen=True, slots=True)
class BoxMove:
    """A box that changes boat between two legs; boats as they are called."""

    box: Box
    source: str
    target: str


@dataclass(frozen=True, slots=True)
class Passing:
    """What comes aboard before a morning, and what goes ashore: boat -> boxes, empty ones left out.

    Boats are those of the leg in which the boxes are aboard.
    """

    day: int
    aboard: Dealt
    ashore: Dealt


def list_boxes(lots: tuple[Lot, ...]) -> dict[str, tuple[Lot, list[str]]]:
    """Return each lot by its name, as `name_lots` gives it, with the names of its boxes."""
    boxes = iter(name_boxes(lots))
    return {name: (lot, list(islice(boxes, lot.count))) for name, lot in name_lots(lots).items()}


def deal_boxes(trip: Trip, arrangement: Arrangement) -> Dealt:
    """Return what lies in each boat of each leg, in the order of `name_boxes`.

    Legs are dealt in turn: a box stays in the boat it was in, as it is called, where that takes one
    of its lot again; all others go to the boats in the trip's order. Boats without stores have an
    empty list. What was packed before the first leg begins where it lies already.
    """
    counts = Counter({(row.boat, row.lot): row.count for row in arrangement.stowed})
    dealt: Dealt = {boat: [] for boat in trip.boats}
    for name, (lot, boxes) in list_boxes(list_lots(trip)).items():
        was = dict(zip(boxes, lot.lies, strict=False))
        for leg in trip.legs:
            room = Counter({boat: counts[boat, name] for boat in leg.boats})
            called = {trip.boats[boat].called: boat for boat in leg.boats}
            stays = {box: called[at] for box, at in was.items() if at in called}
            lies = _deal_lot(boxes, room, stays)
            for box in (box for box in boxes if box in lies):
                dealt[lies[box]].append((box, lot))
            was = {box: trip.boats[boat].called for box, boat in lies.items()}
    return dealt


def list_box_moves(trip: Trip, dealt: Dealt) -> list[list[BoxMove]]:
    """Return the boxes that change boat into each leg but the first."""
    return [
        _compare(_find_places(trip, dealt, before), _find_places(trip, dealt, after))
        for before, after in pairwise(trip.legs)
    ]


def list_passing(trip: Trip, dealt: Dealt) -> list[Passing]:
    """Return what comes aboard and goes ashore on the way, morning by morning, none left out.

    Aboard on the first morning and ashore after the last day is everything: neither is in it. On
    the first morning of a trip that is begun afresh on its way, what comes is told, not what goes.
    """
    passing = []
    for day in (day for day in trip.days if day > 1):
        aboard = _pick(trip, dealt, day, {lot for lot in _list_all(dealt) if lot.first_day == day})
        ashore = _pick(
            trip,
            dealt,
            day - 1,
            {lot for lot in _list_all(dealt) if lot.last_day == day - 1 and _is_left(trip, lot)},
        )
        if aboard or ashore:
            passing.append(Passing(day, aboard, ashore))
    return passing


def list_meals(trip: Trip, dealt: Dealt, day: int) -> Dealt:
    """Return from which boxes food is eaten on a day: boat of that day's leg -> boxes."""
    lots = {lot for lot in _list_all(dealt) if lot.kind == FOOD and is_used(lot, day)}
    return _pick(trip, dealt, day, lots)


def is_used(lot: Lot, day: int) -> bool:
    """Say whether a lot that empties is used on a day: it is for that day, or gets lighter."""
    if lot.day is not None:
        return lot.day == day
    return _weigh_content(lot, day) > _weigh_content(lot, day + 1)


# --- the parts ------------------------------------------------------------------------------------


def _deal_lot(boxes: list[str], room: Counter[str], stays: dict[str, str]) -> dict[str, str]:
    """Return box -> boat; `room` says how many each boat takes, `stays` where boxes are already."""
    left = Counter(room)
    lies = {}
    for box in boxes:
        boat = stays.get(box, "")
        if left[boat] > 0:
            left[boat] -= 1
            lies[box] = boat
    rest = (box for box in boxes if box not in lies)
    return {**lies, **dict(zip(rest, left.elements(), strict=False))}


def _list_all(dealt: Dealt) -> Iterable[Lot]:
    return (lot for boxes in dealt.values() for _, lot in boxes)


def _pick(trip: Trip, dealt: Dealt, day: int, lots: set[Lot]) -> Dealt:
    """Return the boxes of some lots in the boats of a day."""
    legs = (leg for leg in trip.legs if leg.first_day <= day <= leg.last_day)
    boats = (boat for leg in legs for boat in leg.boats)
    picked = {boat: [box for box in dealt[boat] if box[1] in lots] for boat in boats}
    return {boat: boxes for boat, boxes in picked.items() if boxes}


def _find_places(trip: Trip, dealt: Dealt, leg: Leg) -> dict[Box, str]:
    return {box: trip.boats[boat].called for boat in leg.boats for box in dealt[boat]}


def _compare(before: dict[Box, str], after: dict[Box, str]) -> list[BoxMove]:
    return [
        BoxMove(box, source, after[box])
        for box, source in before.items()
        if box in after and after[box] != source
    ]


def _is_left(trip: Trip, lot: Lot) -> bool:
    """Say whether something of a lot is there still when it is aboard no more."""
    filling = trip.stores.rates if trip.stores else ()
    fills = {rate.name for rate in filling if rate.use == FILLS}
    return lot.left_g > 0 or lot.kind == BAGS or lot.store in fills


def _weigh_content(lot: Lot, day: int) -> int:
    """Return what is left in one on the morning of a day, as far as that sinks, in grams."""
    return lot.weigh(day) - lot.left_g if lot.is_aboard(day) else 0
