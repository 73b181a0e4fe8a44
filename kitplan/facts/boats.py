"""Facts of boats: steerers, least crews, seats, payload, room for what lies quick."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from kitplan import needs as asks
from kitplan.facts.noun import Fact, Sort, Turn
from kitplan.facts.people import list_taught, make_worn, wear
from kitplan.facts.words import join, sort_places
from kitplan.units import show_mass

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.facts.noun import Asked
    from kitplan.trip import Boat, Trip

PLENTY = 100  # more seats and places than anybody needs
NO_LIMIT_G = 10**8
LESS_G = (5_000, 10_000, 20_000, 50_000, 100_000)  # of dry load, tried one after the other


def _change_type(trip: Trip, boat: str, **changes: Any) -> Trip:
    """Return the trip with the type of one boat changed."""
    one = trip.boats[boat]
    return replace(
        trip, boats={**trip.boats, boat: replace(one, type=replace(one.type, **changes))}
    )


def _list_boats(trip: Trip, asked: Asked) -> list[Boat]:
    return [trip.boats[name] for name in sorted(asked.find_leg(trip).boats)]


def _tell_each(
    sort: str, say: Callable[[Trip, Boat], str]
) -> Callable[[Trip, Asked], Iterator[Fact]]:
    """Return what tells a fact of each boat; one that says nothing is none."""

    def tell(trip: Trip, asked: Asked) -> Iterator[Fact]:
        for boat in _list_boats(trip, asked):
            said = say(trip, boat)
            if said:
                yield Fact(sort, boat.name, said, sort_places([boat.where]))

    return tell


# --- steerers -------------------------------------------------------------------------------------


def _say_steerer(trip: Trip, boat: Boat) -> str:
    hardest = asks.find_hardest(trip, boat.name)
    level = asks.boat_level(trip, boat.name, guests_aboard=False)
    higher = asks.boat_level(trip, boat.name, guests_aboard=True)
    party = trip.list_party(trip.legs[boat.leg]).values()
    able = [p.name for p in party if p.level(boat.type.skill) >= level and not p.minded]
    guests = f", {higher} with guests aboard" if higher > level else ""
    river = f" for class {hardest.class_text} ({hardest.name})" if hardest else ""
    asked = f"{boat.name} asks its steerer for {boat.type.skill} {level}{guests}{river}"
    return f"{asked}: {len(able)} of {len(party)} have it, {join(able)}"


def _relax_steerer(trip: Trip, _asked: Asked, boat: str) -> Trip:
    return _change_type(trip, boat, steerer=(0,) * 6, guests_one_level_up=False)


def _turn_steerer(trip: Trip, asked: Asked, boat: str) -> Iterator[Turn]:
    skill = trip.boats[boat].type.skill
    level = asks.boat_level(trip, boat, guests_aboard=False)
    yield from list_taught(trip, asked.find_leg(trip).paddlers, skill, level)


# --- crews, seats, payload ------------------------------------------------------------------------


def _count_least(trip: Trip, boat: Boat) -> int:
    return asks.least_crew(boat.type, asks.hardest_class(trip, boat.name))


def _say_least(trip: Trip, boat: Boat) -> str:
    least = _count_least(trip, boat)
    return f"{boat.name} needs a crew of {least}" if least > 1 else ""


def _relax_least(trip: Trip, _asked: Asked, boat: str) -> Trip:
    return _change_type(trip, boat, least_crew=(0, 0))


def _say_seats(_trip: Trip, boat: Boat) -> str:
    seats = boat.type.seats
    return f"{boat.name} has {seats} seat{'' if seats == 1 else 's'}"


def _relax_seats(trip: Trip, _asked: Asked, boat: str) -> Trip:
    return _change_type(trip, boat, seats=trip.boats[boat].type.seats + PLENTY)


def _turn_seats(trip: Trip, _asked: Asked, boat: str) -> Iterator[Turn]:
    seats = trip.boats[boat].type.seats + 1
    yield Turn(f"one more seat in {boat}", _change_type(trip, boat, seats=seats))


def _say_payload(_trip: Trip, boat: Boat) -> str:
    load = f", {show_mass(boat.dry_load_g)} of it dry load" if boat.dry_load_g else ""
    return f"{boat.name} carries {show_mass(boat.type.payload_g)}{load}"


def _relax_payload(trip: Trip, _asked: Asked, boat: str) -> Trip:
    return _change_type(trip, boat, payload_g=NO_LIMIT_G)


def _turn_payload(trip: Trip, _asked: Asked, boat: str) -> Iterator[Turn]:
    """Yield less dry load, the least first; the rest of it last."""
    there = trip.boats[boat]
    for less_g in dict.fromkeys(min(less, there.dry_load_g) for less in LESS_G):
        if less_g:
            light = replace(there, dry_load_g=there.dry_load_g - less_g)
            lighter = replace(trip, boats={**trip.boats, boat: light})
            yield Turn(f"{show_mass(less_g)} less of dry load in {boat}", lighter)


# --- room for what lies quick or is worn ----------------------------------------------------------


def _sort_quick(size: str) -> Sort:
    """Return the fact of how many quick places a boat has for things that are bulky or small."""
    field = f"quick_{size}"

    def say(_trip: Trip, boat: Boat) -> str:
        return f"{boat.name} has {getattr(boat.type, field)} quick places for {size} things"

    def relax(trip: Trip, _asked: Asked, boat: str) -> Trip:
        return _change_type(trip, boat, **{field: PLENTY})

    def turn(trip: Trip, _asked: Asked, boat: str) -> Iterator[Turn]:
        places = getattr(trip.boats[boat].type, field) + 1
        said = f"one more quick place for {size} things in {boat}"
        yield Turn(said, _change_type(trip, boat, **{field: places}))

    return Sort(_tell_each(f"quick-{size}", say), relax, turn)


def _tell_vests(trip: Trip, asked: Asked) -> Iterator[Fact]:
    party = [trip.paddlers[name] for name in asked.find_leg(trip).paddlers]
    room = sum(asks.vest_room(p, trip.catalog) for p in party)
    said = f"the vests of all have room for {room} small things"
    yield Fact("vest-room", "", said, sort_places(p.where for p in party[:1]))


def _relax_vests(trip: Trip, asked: Asked, _subject: str) -> Trip:
    roomy = replace(make_worn("roomy vest"), vest_room=PLENTY)
    return wear(trip, asked.find_leg(trip).paddlers, roomy)


def _turn_vests(trip: Trip, asked: Asked, _subject: str) -> Iterator[Turn]:
    for name in asked.find_leg(trip).paddlers:
        room = asks.vest_room(trip.paddlers[name], trip.catalog) + 1
        held = sum(
            n
            for item, n in trip.paddlers[name].wears.items()
            if trip.catalog.items[item].worn_on == "vest"
        )
        roomy = replace(make_worn("roomy vest"), vest_room=room + held)
        if not trip.paddlers[name].minded:
            yield Turn(f"room for one more in {name}'s vest", wear(trip, [name], roomy))


def _turn_least(trip: Trip, _asked: Asked, boat: str) -> Iterator[Turn]:
    least = _count_least(trip, trip.boats[boat]) - 1
    said = f"a crew of {least} in {boat}"
    yield Turn(said, _change_type(trip, boat, least_crew=(least, least)))


SORTS = {
    "payload": Sort(_tell_each("payload", _say_payload), _relax_payload, _turn_payload),
    "quick-bulky": _sort_quick("bulky"),
    "quick-small": _sort_quick("small"),
    "vest-room": Sort(_tell_vests, _relax_vests, _turn_vests),
    "least-crew": Sort(_tell_each("least-crew", _say_least), _relax_least, _turn_least),
    "seats": Sort(_tell_each("seats", _say_seats), _relax_seats, _turn_seats),
    "steerer": Sort(_tell_each("steerer", _say_steerer), _relax_steerer, _turn_steerer),
}
