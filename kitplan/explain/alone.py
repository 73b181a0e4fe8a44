"""Whether a demand could be met if nothing else had to be: a sound relaxation, by flow.

Everybody and everything the party owns may be anywhere, but the running boat keeps a steerer and
its least crew. What fails even so is impossible alone, whatever is packed where.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.demands import Ask
from kitplan.explain.flow import assign

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.demands import BoatSlot, Choice, Thing, Variant
    from kitplan.trip import BoatType, Item, Trip


def possible_alone(trip: Trip, choice: Choice, running: str) -> bool:
    """Say whether some variant of the choice could be done with the whole party free for it."""
    rapid = trip.rapids[choice.key.rapid]
    walkers = frozenset() if choice.unhurried else asks.list_walkers(trip, rapid)
    return any(
        _variant_possible(trip, variant, running, (rapid.boats, walkers))
        for variant in choice.variants
    )


Around = tuple[tuple[str, ...], frozenset[str]]
"""The boats that pass a rapid, and who walks round it."""


def _variant_possible(trip: Trip, variant: Variant, running: str, around: Around) -> bool:
    there, walkers = around
    others = [trip.boats[name] for name in sorted(there) if name != running]
    seats = sum(boat.type.seats for boat in others)
    if variant.needs_boat and not any(boat.name in variant.needs_boat for boat in others):
        return False
    return any(
        len(_list_asks(variant, crews)) <= seats
        and _people_possible(trip, _list_asks(variant, crews), running, walkers)
        and _things_possible(trip, variant, crews)
        for crews in _choose_crews(variant.boats, [boat.type for boat in others])
    )


Crews = list[tuple[list[Ask], list[tuple["Thing", int]]]]


def _choose_crews(slots: tuple[BoatSlot, ...], types: list[BoatType]) -> Iterable[Crews]:
    """Yield what the boats' work may ask of people and things, by the types of boat at hand."""
    chosen: list[Crews] = [[]]
    for slot in slots:
        ways: Crews = []
        for option in slot.options:
            able = [kind for kind in types if kind.craft in option.crafts]
            for skill in dict.fromkeys(kind.skill for kind in able):
                steers = asks.ask_steerer(skill, option)
                people = [steers] + [p.ask for p in option.persons for _ in range(p.count)]
                ways.append((people, [(item.thing, item.count) for item in option.items]))
        for _ in range(slot.count):
            chosen = [[*crews, way] for crews in chosen for way in ways]
    return chosen


def _list_asks(variant: Variant, crews: Crews) -> list[Ask]:
    """Return what is asked of each person of a variant, those in boats at work included."""
    wanted = [slot.ask for slot in variant.persons for _ in range(slot.count)]
    return wanted + [ask for people, _ in crews for ask in people]


def _people_possible(trip: Trip, wanted: list[Ask], running: str, walkers: frozenset[str]) -> bool:
    kind = trip.boats[running].type
    hardest = asks.hardest_class(trip, running)
    level = asks.boat_level(trip, running, guests_aboard=False)
    people = sorted(trip.paddlers)

    def sees(ask: Ask) -> list[int]:
        return [
            k
            for k, p in enumerate(people)
            if p not in walkers and asks.able(trip.paddlers[p], ask, trip.ends, trip.catalog)
        ]

    seen = [sees(ask) for ask in wanted]
    seen.append(
        [
            k
            for k, p in enumerate(people)
            if trip.paddlers[p].level(kind.skill) >= level and not trip.paddlers[p].guest
        ]
    )
    anybody = list(range(len(people)))
    seen += [anybody] * (asks.least_crew(kind, hardest) - 1)
    return -1 not in assign(seen, [1] * len(people))


def _things_possible(trip: Trip, variant: Variant, crews: Crews) -> bool:
    lots: list[tuple[Item, int, bool]] = [
        (kit.item, kit.count, False) for _, kit in sorted(trip.kit.items())
    ]
    for _, paddler in sorted(trip.paddlers.items()):
        lots += [(trip.catalog.items[i], n, False) for i, n in sorted(paddler.wears.items())]
    for boat in trip.boats.values():
        if boat.type.crew_paddle is not None:
            paddles = asks.crew_paddles(boat, min(boat.type.seats, len(trip.paddlers)))
            lots.append((trip.catalog.items[boat.type.crew_paddle], paddles, True))
    wanted = [slot.thing for slot in variant.items for _ in range(slot.count)]
    wanted += [thing for _, things in crews for thing, n in things for _ in range(n)]
    seen = [
        [
            k
            for k, (item, _, crew) in enumerate(lots)
            if asks.serves(item, thing) and not (crew and thing.spare)
        ]
        for thing in wanted
    ]
    return -1 not in assign(seen, [count for _, count, _ in lots])
