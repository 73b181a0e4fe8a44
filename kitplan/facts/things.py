"""Facts of things: how many the party has of each kind that is asked for, and what must go."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.facts.noun import Fact, Sort, Turn
from kitplan.facts.words import sort_places
from kitplan.needs.words import say_thing
from kitplan.trip import Item, Kit

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.demands import Thing
    from kitplan.errors import Place
    from kitplan.facts.noun import Asked
    from kitplan.trip import Trip

STOWED = ", which lies stowed and is no good at once"
PLENTY = 12  # copies more than anything asks for
MADE_UP = "more of it: "
"""Begins the name of a thing that no catalogue has."""
MOST_OFFERED = 2  # things of a catalogue that are tried, of those the party has none of


def _list_things(trip: Trip, asked: Asked, kind: str) -> list[Thing]:
    return [thing for thing in asked.list_things(trip) if thing.kind == kind]


def _list_kit(trip: Trip, asked: Asked, things: Iterable[Thing]) -> list[Kit]:
    """Return kit that is there at the rapid and of use for any of some things."""
    rows = [trip.kit[name] for name in sorted(asked.find_leg(trip).kit)]
    return [kit for kit in rows if any(_serves(kit.item, thing) for thing in things)]


def _serves(item: Item, thing: Thing) -> bool:
    return any(asks.serves(one, thing) for one, _ in item.list_pieces())


def _count_things(trip: Trip, asked: Asked, thing: Thing) -> tuple[dict[str, int], list[Place]]:
    """Return how many there are of each item that serves, worn ones too, and the lines of them."""
    counts: dict[str, int] = {}
    where: list[Place] = []
    leg = asked.find_leg(trip)
    hurry = not any(choice.unhurried for choice in asked.choices)
    for kit in _list_kit(trip, asked, [thing]):
        idle = STOWED if hurry and set(kit.item.carried) == {"stowed"} else ""
        counts[kit.item.name + idle] = sum(
            n for one, n in kit.item.list_pieces(kit.count) if asks.serves(one, thing)
        )
        where.append(kit.where)
    for paddler in trip.list_party(leg).values():
        for name, count in paddler.wears.items():
            if asks.serves(trip.catalog.items[name], thing):
                counts[name] = counts.get(name, 0) + count
                where.append(paddler.where)
    return counts, where


def _count_paddles(trip: Trip, asked: Asked, thing: Thing) -> int:
    """Return how many boats there have crew paddles that serve."""
    boats = (trip.boats[name] for name in asked.find_leg(trip).boats)
    paddles = (boat.type.crew_paddle for boat in boats)
    items = [trip.catalog.items[name] for name in paddles if name is not None]
    return 0 if thing.spare else sum(asks.serves(item, thing) for item in items)


def _tell_things(trip: Trip, asked: Asked) -> Iterator[Fact]:
    for kind in sorted({thing.kind for thing in asked.list_things(trip)}):
        said, where = [], []
        for thing in sorted(_list_things(trip, asked, kind)):
            counts, lines = _count_things(trip, asked, thing)
            where += lines
            said.append(_say_count(thing, counts, _count_paddles(trip, asked, thing)))
        yield Fact("item", kind, "; ".join(said), sort_places(where or [asked.choices[0].where]))


def _say_count(thing: Thing, counts: dict[str, int], paddled: int) -> str:
    asked = say_thing(thing)
    name = f"{thing.kind} ({asked})" if asked else thing.kind
    rows = [f"{count} x {item}" for item, count in sorted(counts.items())]
    if paddled:
        rows.append(f"crew paddles of {paddled} boat{'' if paddled == 1 else 's'}")
    return f"{name}: {', '.join(rows) or 'the party has none'}"


def _relax_things(trip: Trip, asked: Asked, kind: str) -> Trip:
    """Return the trip with plenty of all that serves, and of something that takes no room."""
    changed = trip
    for item in _list_more(trip, asked, kind):
        changed = add_kit(changed, asked, item, PLENTY)
    for number, thing in enumerate(sorted(_list_things(trip, asked, kind))):
        changed = add_kit(changed, asked, _make_up(thing, number), PLENTY)
    return changed


def _make_up(thing: Thing, number: int) -> Item:
    """Return a thing that serves, weighs nothing and is as small as can be."""
    return Item(
        f"{MADE_UP}{thing.kind} {number}",
        frozenset({thing.kind}),
        0,
        0,
        ("quick", "stowed"),
        length_mm=thing.least_mm,
        flags=frozenset(thing.flags),
    )


def _list_more(trip: Trip, asked: Asked, kind: str) -> list[Item]:
    """Return what serves and could be had more of: the party's own, and the least of others."""
    things = _list_things(trip, asked, kind)
    found = [kit.item for kit in _list_kit(trip, asked, things)]
    for thing in things:
        others = [item for item in trip.catalog.items.values() if _may_be_dealt(item, thing)]
        others.sort(key=lambda item: (item.length_mm, item.mass_g, item.name))
        found += others[:MOST_OFFERED]
    return list(dict.fromkeys(found))


def add_kit(trip: Trip, asked: Asked, item: Item, count: int) -> Trip:
    """Return the trip with so many more of an item, in the leg of the rapid at least."""
    row = trip.kit.get(item.name)
    kit = replace(row, count=row.count + count) if row else Kit(item, count)
    number = asked.find_rapid(trip).leg
    leg = trip.legs[number]
    names = leg.kit if item.name in leg.kit else (*leg.kit, item.name)
    items = {**trip.catalog.items, item.name: item}
    return replace(
        trip,
        catalog=replace(trip.catalog, items=items),
        kit={**trip.kit, item.name: kit},
        legs=(*trip.legs[:number], replace(leg, kit=names), *trip.legs[number + 1 :]),
    )


def _turn_things(trip: Trip, asked: Asked, kind: str) -> Iterator[Turn]:
    """Yield one more copy of each thing that serves, of the party's own first."""
    for item in _list_more(trip, asked, kind):
        yield Turn(f"one more {item.name}", add_kit(trip, asked, item, 1))


def _may_be_dealt(item: Item, thing: Thing) -> bool:
    return asks.serves(item, thing) and item.worn_on != "body" and not item.contains


# --- what must go ---------------------------------------------------------------------------------


def _tell_take(trip: Trip, asked: Asked) -> Iterator[Fact]:
    for name in sorted(asked.find_leg(trip).kit):
        kit = trip.kit[name]
        if kit.take:
            yield Fact("take", name, f"{kit.take} x {name} must go", (kit.where,))


def _relax_take(trip: Trip, _asked: Asked, name: str) -> Trip:
    return replace(trip, kit={**trip.kit, name: replace(trip.kit[name], take=0)})


def _turn_take(trip: Trip, asked: Asked, name: str) -> Iterator[Turn]:
    yield Turn(f"{name} left at home where it is in the way", _relax_take(trip, asked, name))


SORTS = {"item": Sort(_tell_things, _relax_things, _turn_things)}
TAKE = {"take": Sort(_tell_take, _relax_take, _turn_take)}
