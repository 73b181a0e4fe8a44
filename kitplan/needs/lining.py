"""What a lined rapid asks for: lines and hands ashore, while boat after boat is let down on them.

Nobody is in a boat there, so that nothing is asked for rescue. Each boat has the same lines and
hands, one after the other; what counts as there is up to the caller.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.matching import match
from kitplan.needs.fit import Setting
from kitplan.needs.roster import able, serves
from kitplan.needs.variants import ask_lining
from kitplan.needs.words import say_ask, say_thing
from kitplan.plan import Short
from kitplan.trip import BANKS, Spot

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan.demands import ItemSlot, PersonSlot
    from kitplan.trip import Item, Rapid, Trip

LINED = "lined"
NOWHERE_IN_IT = Spot("", 0, 0, ())
"""Lines and hands are asked for by the rapid as a whole."""


@dataclass(frozen=True, slots=True)
class Lining:
    """What lining boat after boat asks at a rapid, along which banks, and what is short."""

    rapid: str
    banks: tuple[str, ...]  # those that can be walked along
    persons: tuple[PersonSlot, ...]
    items: tuple[ItemSlot, ...]
    missing: tuple[Short, ...]


def list_linings(trip: Trip) -> tuple[Lining, ...]:
    """Return what each lined rapid asks, and what the party of its leg is short of."""
    return tuple(
        _find_with_all(trip.at_leg(rapid.leg), rapid)
        for rapid in sorted(trip.rapids.values(), key=lambda rapid: rapid.day)
        if rapid.run == LINED
    )


def _find_with_all(trip: Trip, rapid: Rapid) -> Lining:
    """Return what lining asks, and what is short with everybody and everything of a leg."""
    things = [row for kit in trip.kit.values() for row in kit.item.list_pieces(kit.count)]
    for paddler in trip.paddlers.values():
        things += [(trip.catalog.items[name], count) for name, count in paddler.wears.items()]
    return find_lining(trip, rapid, list(trip.paddlers), things)


def find_lining(
    trip: Trip, rapid: Rapid, people: Sequence[str], things: Iterable[tuple[Item, int]]
) -> Lining:
    """Return what lining asks at a rapid, and what is short where these people and things are."""
    persons, items = ask_lining(Setting(trip, rapid, NOWHERE_IN_IT, ""))
    pieces = [item for item, count in things for _ in range(count)]
    missing = (
        *_lack_people(trip.at_leg(rapid.leg), persons, people),
        *_lack_seats(trip, rapid, persons),
        *_lack_things(items, pieces),
    )
    banks = tuple(side for side in BANKS if rapid.bank(side).path)
    return Lining(rapid.name, banks, persons, items, missing)


def _lack_people(trip: Trip, slots: Sequence[PersonSlot], people: Sequence[str]) -> Iterable[Short]:
    places = [slot for slot in slots for _ in range(slot.count)]
    seen = {
        n: [p for p in people if able(trip.paddlers[p], slot.ask, trip.ends, trip.catalog)]
        for n, slot in enumerate(places)
    }
    got = match(seen)
    empty = [slot for n, slot in enumerate(places) if n not in got]
    for slot in dict.fromkeys(empty):
        asked = say_ask(slot.ask)
        yield Short("ashore", "", "person", slot.role, asked, empty.count(slot))


def _lack_seats(trip: Trip, rapid: Rapid, slots: Sequence[PersonSlot]) -> Iterable[Short]:
    """Yield the people who find no seat in the boats that pass together."""
    seats = sum(trip.boats[name].type.seats for name in rapid.boats)
    beyond = sum(slot.count for slot in slots) - seats
    if beyond > 0:
        yield Short("ashore", "", "boat", "a seat in another boat there", "", beyond)


def _lack_things(slots: Sequence[ItemSlot], pieces: Sequence[Item]) -> Iterable[Short]:
    places = [slot for slot in slots for _ in range(slot.count)]
    seen = {
        n: [k for k, item in enumerate(pieces) if serves(item, slot.thing)]
        for n, slot in enumerate(places)
    }
    got = match(seen)
    empty = [slot for n, slot in enumerate(places) if n not in got]
    for slot in dict.fromkeys(empty):
        asked = say_thing(slot.thing)
        yield Short("ashore", "", "item", slot.thing.kind, asked, empty.count(slot))
