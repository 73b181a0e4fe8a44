"""What could be done with the whole party and all kit free for it, by augmenting paths.

What fails even so is impossible alone, whatever is packed where. No condition of the builder is
used here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.matching import match
from kitplan.verify.ground import CREW_PADDLE

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable

    from kitplan.demands import (
        Ask,
        BoatOption,
        BoatSlot,
        CatchSlot,
        Choice,
        ItemSlot,
        PersonSlot,
        Thing,
        Variant,
    )
    from kitplan.trip import Rapid, Trip
    from kitplan.verify.ground import Ground


def possible_alone(ground: Ground, choice: Choice, running: str) -> bool:
    """Say whether some variant could be done with the whole party and all kit free for it."""
    rapid = ground.trip.rapids[choice.key.rapid]
    walkers = frozenset() if choice.unhurried else asks.list_walkers(ground.trip, rapid)
    alone = _Alone(ground, rapid, running, walkers)
    ways = asks.list_ways(choice, ground.trip.boats[running].type)
    return any(alone.can(variant) for variant in ways)


def _spread(slots: Iterable[PersonSlot]) -> list[PersonSlot]:
    return [slot for slot in slots for _ in range(slot.count)]


def _spread_items(slots: Iterable[ItemSlot]) -> list[ItemSlot]:
    return [slot for slot in slots for _ in range(slot.count)]


@dataclass(frozen=True, slots=True)
class _Alone:
    """The whole party and all kit free for one variant at a rapid.

    The running boat keeps a steerer good enough for all it runs, or where people row twice, one who
    is for this rapid.
    """

    ground: Ground
    rapid: Rapid
    running: str
    walkers: frozenset[str]  # who can't fill a place

    def can(self, variant: Variant) -> bool:
        """Say whether the variant could be done."""
        if not variant.holds_with(self._least_crew()):
            return False
        others = {name for name in self.rapid.boats if name != self.running}
        if variant.needs_boat and not others & set(variant.needs_boat):
            return False
        if variant.catch is not None and not self._can_take(variant.catch):
            return False
        people = [s.ask for s in _spread(variant.persons)]
        things = [s.thing for s in _spread_items(variant.items)]
        return self._try_boats(list(variant.boats), people, things)

    def _least_crew(self) -> int:
        trip = self.ground.trip
        kind, hardest = trip.boats[self.running].type, asks.hardest_class(trip, self.running)
        return asks.least_crew(kind, hardest)

    def _try_boats(self, slots: list[BoatSlot], people: list[Ask], things: list[Thing]) -> bool:
        """Try every option and skill for the boats' work left; then match people and things."""
        if not slots:
            return self._people_do(people) and _things_alone(self.ground, things, self.running)
        slot, rest = slots[0], slots[1:]
        left = [replace(slot, count=slot.count - 1), *rest] if slot.count > 1 else rest
        for option in slot.options:
            for skill in sorted(self._list_skills(option)):
                steers = asks.ask_steerer(skill, option)
                asked = [*people, steers, *(s.ask for s in _spread(option.persons))]
                lying = [*things, *(s.thing for s in _spread_items(option.items))]
                if self._try_boats(left, asked, lying):
                    return True
        return False

    def _can_take(self, slot: CatchSlot) -> bool:
        """Say whether throwers, a bag each, and free places could take the least crew."""
        trip, edges = self.ground.trip, self._edge_running()
        kept = len(edges)
        leg = trip.boats[self.running].leg
        able = [
            p
            for p in trip.legs[leg].paddlers
            if any(self.ground.able(p, t.ask, leg) for t in slot.ashore)
        ]
        edges |= {("throws", n): able for n in range(len(able))}
        bags = [
            piece
            for piece in _list_stock(trip, self.running)
            if any(_may_serve(trip, piece, one.bag) for one in slot.ashore)
        ]
        thrown = min(len(match(edges)) - kept, len(bags))
        free = sum(
            asks.most_free_places(trip, trip.boats[b], slot.options)
            for b in self.rapid.boats
            if b != self.running
        )
        return thrown + free >= kept

    def _edge_running(self) -> dict[Hashable, list[str]]:
        """Return who may fill the places that the running boat keeps."""
        trip = self.ground.trip
        kind = trip.boats[self.running].type
        hardest = asks.hardest_class(trip, self.running)
        if self.ground.plan.twice:
            hardest = self.rapid.river_class
        level = asks.steerer_level(kind, hardest, guests_aboard=False)
        party = trip.list_party(trip.legs[trip.boats[self.running].leg])
        edges: dict[Hashable, list[str]] = {
            "steers the running boat": [
                name
                for name, paddler in party.items()
                if paddler.level(kind.skill) >= level and not (paddler.guest or paddler.hurt)
            ]
        }
        for n in range(self._least_crew() - 1):
            edges["crew of the running boat", n] = [p for p in party if not party[p].hurt]
        return edges

    def _list_skills(self, option: BoatOption) -> set[str]:
        boats = [self.ground.trip.boats[name] for name in self.rapid.boats if name != self.running]
        return {boat.type.skill for boat in boats if boat.type.craft in option.crafts}

    def _people_do(self, wanted: list[Ask]) -> bool:
        """Say whether people fill the places, and find a seat in the other boats there."""
        trip = self.ground.trip
        seats = sum(trip.boats[b].type.seats for b in self.rapid.boats if b != self.running)
        if len(wanted) > seats:
            return False
        leg = trip.boats[self.running].leg
        edges: dict[Hashable, list[str]] = {
            n: sorted(self.ground.list_able(ask, leg) - self.walkers)
            for n, ask in enumerate(wanted)
        }
        edges |= self._edge_running()
        return len(match(edges)) == len(edges)


def _things_alone(ground: Ground, wanted: list[Thing], running: str) -> bool:
    stock = _list_stock(ground.trip, running)
    edges = {
        n: [piece for piece in stock if _may_serve(ground.trip, piece, thing)]
        for n, thing in enumerate(wanted)
    }
    return len(match(edges)) == len(edges)


def _list_stock(trip: Trip, running: str) -> list[tuple[str, str, int]]:
    """Return every single piece there is in a boat's leg: item, whose it is, number."""
    leg = trip.legs[trip.boats[running].leg]
    stock: list[tuple[str, str, int]] = []
    for name, kit in ((name, trip.kit[name]) for name in leg.kit):
        stock += [(name, "owned", n) for n in range(kit.count)]
        for item, count in kit.item.contains:
            stock += [(item.name, f"in {name}", n) for n in range(count * kit.count)]
    for paddler in trip.list_party(leg).values():
        for name, count in paddler.wears.items():
            stock += [(name, paddler.name, n) for n in range(count)]
    for boat in (trip.boats[name] for name in leg.boats):
        if boat.type.crew_paddle is not None:
            paddles = asks.crew_paddles(boat, min(boat.type.seats, len(leg.paddlers)))
            stock += [(boat.type.crew_paddle, f"{CREW_PADDLE} {boat.name}", n)
                      for n in range(paddles)]  # fmt: skip
    return stock


def _may_serve(trip: Trip, piece: tuple[str, str, int], thing: Thing) -> bool:
    if thing.spare and piece[1].startswith(CREW_PADDLE):
        return False
    return asks.serves(trip.catalog.items[piece[0]], thing)
