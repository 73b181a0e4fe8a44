"""The trip that is left once something has happened, as a trip of its own, and where all lies.

Days keep their numbers. What comes aboard on the evening before the first of these days or on its
morning is still to come: nothing of it is lost, and it lies nowhere yet. What goes ashore then has
gone. Food for those who are absent stays aboard as it was packed, and so do their bags; stores that
are still to come are as they were ordered. Knows nothing of solving.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.decide.evening import (
    find_evening_leg,
    list_legs_left,
    list_packed_left,
    tell_evening,
)
from kitplan.decide.skipped import find_skipped
from kitplan.load.legs import name_boats
from kitplan.needs import BAGS, list_lots
from kitplan.needs.boxes import list_boxes
from kitplan.plan import Before, Packed, Stowed

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from kitplan.happened import Evening, Happened
    from kitplan.plan import Arrangement
    from kitplan.trip import Boat, Company, Kit, Leg, Paddler, Rapid, Stores, Trip


@dataclass(frozen=True, slots=True)
class Afresh:
    """The trip from a day on, and where all lies that evening.

    `before` goes by the names of the boats in the new trip's first leg. The crew of a
    boat that is lost, left behind or goes no further has no seat in it; no place has what was dealt
    to them to wear, or to who is absent or hurt. Who and what only comes is not in it. Where each
    box of stores lies stands in the trip's lots.
    """

    trip: Trip
    before: Before


def begin_afresh(trip: Trip, arrangement: Arrangement, happened: Happened) -> Afresh:
    """Return the trip from the day on that is to come, after all that happened.

    `happened` is one in which `find_wrong` finds nothing.
    """
    return begin_from(trip, tell_evening(trip, arrangement, happened), happened)


def begin_from(trip: Trip, evening: Evening, happened: Happened) -> Afresh:
    """Return the trip from the day on that is to come, from how all lay on the evening before."""
    left = list_packed_left(evening, happened)
    kit = _keep_kit(trip, evening, left, happened)
    legs, boats = _cut_legs(trip, happened, kit)
    there = {name for leg in legs for name in leg.paddlers}
    paddlers = {name: p for name, p in trip.paddlers.items() if name in there}
    lies = dict(evening.boxes)
    new = replace(
        trip,
        boats=boats,
        paddlers={name: _change_paddler(one, happened) for name, one in paddlers.items()},
        kit={name: one for name, one in kit.items() if any(name in leg.kit for leg in legs)},
        rapids=_keep_rapids(trip, happened, legs, boats),
        running=_drop(trip.running, happened.gone),
        companies=tuple(_keep_companies(trip, there)),
        legs=tuple(legs),
        order=replace(trip.order, boats=_drop(trip.order.boats, happened.gone)),
        stores=trip.stores and _keep_stores(trip, trip.stores, happened, lies),
    )
    seats, packed = _tell_seats(new, evening), _tell_packed(new, left)
    return Afresh(new, Before(seats, packed, _count_stowed(new, _tell_boxes(new, lies))))


def _drop(names: tuple[str, ...], gone: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name for name in names if name not in gone)


# --- legs, boats, people --------------------------------------------------------------------------


def _cut_legs(
    trip: Trip, happened: Happened, kit: Mapping[str, Kit]
) -> tuple[list[Leg], dict[str, Boat]]:
    """Return the legs that are left, and their boats, named anew from the first leg on."""
    called = {
        boat.called: _change_boat(boat, happened)
        for boat in trip.boats.values()
        if boat.called not in happened.gone
    }
    legs = [
        replace(
            leg,
            first_day=max(leg.first_day, happened.day),
            boats=_drop(tuple(trip.boats[boat].called for boat in leg.boats), happened.gone),
            paddlers=_drop(leg.paddlers, happened.absent),
            kit=tuple(name for name in leg.kit if name in kit),
        )
        for leg in list_legs_left(trip, happened)
    ]
    return name_boats(legs, called)


def _change_boat(boat: Boat, happened: Happened) -> Boat:
    payload_g = happened.damaged.get(boat.called, boat.type.payload_g)
    return replace(boat, type=replace(boat.type, payload_g=payload_g))


def _change_paddler(paddler: Paddler, happened: Happened) -> Paddler:
    """Return somebody tied to no boat that goes no further, without what of his own is lost.

    Who is hurt is able to do nothing.
    """
    if paddler.boat in happened.gone:
        paddler = replace(paddler, boat=None)
    left = Counter(paddler.wears)
    left.subtract({i: n for (who, i), n in happened.lost_items.items() if who == paddler.name})
    paddler = replace(paddler, wears={item: n for item, n in left.items() if n > 0})
    return make_hurt(paddler) if paddler.name in happened.hurt else paddler


def make_hurt(paddler: Paddler) -> Paddler:
    """Return somebody as he is once he is hurt: in his seat, able to do nothing."""
    return replace(paddler, hurt=True, skills={}, certificates=(), faded=(), undated=())


def _keep_companies(trip: Trip, there: set[str]) -> Iterator[Company]:
    """Yield the companies of those who are left, where these are two or more."""
    for company in trip.companies:
        names = tuple(name for name in company.paddlers if name in there)
        if len(names) > 1:
            yield replace(company, paddlers=names)


def _keep_rapids(
    trip: Trip, happened: Happened, legs: list[Leg], boats: Mapping[str, Boat]
) -> dict[str, Rapid]:
    """Return the rapids that are to come, but for passages of which no boat is left.

    One that is skipped is portaged, with no spots to watch.
    """
    skipped = {name for said in happened.skipped for name in find_skipped(trip, said)}
    over = len(trip.legs) - len(legs)
    rapids = {}
    for rapid in trip.rapids.values():
        if rapid.day < happened.day:
            continue
        passing = {trip.boats[boat].called for boat in rapid.boats}
        here = legs[rapid.leg - over].boats
        together = sorted(boat for boat in here if boats[boat].called in passing)
        if together:
            moved = replace(rapid, boats=tuple(together), leg=rapid.leg - over)
            skips = rapid.name in skipped
            rapids[rapid.name] = replace(moved, run="portage", spots=()) if skips else moved
    return rapids


# --- kit and stores -------------------------------------------------------------------------------


def _keep_kit(
    trip: Trip, evening: Evening, left: list[Packed], happened: Happened
) -> dict[str, Kit]:
    """Return the kit that there is: what was taken and is left, and what comes as planned.

    Before the first day nothing was left behind: what lies in no boat is there too.
    """
    leg = find_evening_leg(trip, happened)
    there: Counter[str] = Counter()
    for row in left:
        there[row.item] += row.count
    if happened.day == trip.days[0]:
        there.update({item: trip.kit[item].count for item in leg.kit})
        for row in evening.packed:
            there[row.item] -= row.count
    kept = {}
    for name, kit in trip.kit.items():
        count = there[name] if name in leg.kit else kit.count
        if count:
            kept[name] = replace(kit, count=count, take=min(kit.take, count))
    return kept


def _keep_stores(trip: Trip, stores: Stores, happened: Happened, lies: Mapping[str, str]) -> Stores:
    """Return the stores with what is left of them, as it was packed, and what is still to come."""
    gone = {box for box, boat in lies.items() if boat in happened.lost}
    at_home = _count_bags_at_home(trip, happened)
    lots = []
    for name, (lot, boxes) in list_boxes(list_lots(trip)).items():
        left = [box for box in boxes if box not in gone]
        if lot.kind == BAGS:
            left = left[: max(0, len(left) - at_home[lot.first_day, lot.last_day])]
        if left and lot.last_day >= happened.day:
            there = tuple(_find_boat(lies.get(box, ""), happened) for box in left)
            lots.append(replace(lot, count=len(left), name=name, boxes=tuple(left), lies=there))
    return replace(stores, lots=tuple(lots))


def _find_boat(boat: str, happened: Happened) -> str:
    """Return where a box lies; "" where that boat stays behind."""
    return "" if boat in happened.left else boat


def _count_bags_at_home(trip: Trip, happened: Happened) -> Counter[tuple[int, int]]:
    """Return the bags of those who were to come and don't, by the days they were to be there."""
    spans: Counter[tuple[int, int]] = Counter()
    for name in happened.absent:
        legs = [leg for leg in trip.legs if name in leg.paddlers]
        if legs[0].first_day >= happened.day:
            spans[legs[0].first_day, legs[-1].last_day] += 1
    return spans


# --- where all lies -------------------------------------------------------------------------------


def _tell_seats(new: Trip, evening: Evening) -> tuple[tuple[str, str], ...]:
    """Return where those sit who go on; boat "" where theirs does not."""
    first = new.legs[0]
    there = ((p, boat) for p, boat in evening.seats if p in first.paddlers)
    return tuple(sorted((p, boat if boat in first.boats else "") for p, boat in there))


def _tell_packed(new: Trip, left: Iterable[Packed]) -> tuple[Packed, ...]:
    """Return what lies in boats of the new trip's first leg, worn by who may still wear it.

    The rest of it is in boat "".
    """
    first = new.legs[0]
    wearers = {"", *(name for name in first.paddlers if not new.paddlers[name].hurt)}
    lying: list[Packed] = []
    loose: Counter[str] = Counter()
    for row in left:
        if row.item not in first.kit:
            continue
        if row.boat in first.boats and row.worn_by in wearers:
            lying.append(row)
        else:
            loose[row.item] += row.count
    nowhere = [Packed("", item, "", count) for item, count in loose.items()]
    return tuple(sorted([*lying, *nowhere]))


def _tell_boxes(new: Trip, lies: Mapping[str, str]) -> dict[str, str]:
    left = {box for _, boxes in list_boxes(list_lots(new)).values() for box in boxes}
    there = new.legs[0].boats
    return {box: boat for box, boat in lies.items() if box in left and boat in there}


def _count_stowed(new: Trip, boxes: Mapping[str, str]) -> tuple[Stowed, ...]:
    counts = Counter(
        (boxes[box], name)
        for name, (_, alike) in list_boxes(list_lots(new)).items()
        for box in alike
        if box in boxes
    )
    return tuple(sorted(Stowed(boat, lot, n) for (boat, lot), n in counts.items()))
