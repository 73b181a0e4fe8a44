"""What the whole party is short of for a way of doing something, by matching.

Everybody and everything may be anywhere, but the boat in trouble keeps a steerer and its least
crew: what fails even so is short whatever is packed where.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.matching import match
from kitplan.needs.words import NO_PLACE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from kitplan.demands import Ask, BoatSlot, Choice, Thing, Variant
    from kitplan.trip import Boat, Item, Trip

STEERS = "steers"
SPARE_CREW = "least crew"


@dataclass(frozen=True, slots=True)
class Lack:
    """What is short: `short` of a role, of a kind of thing, or of boats for a work.

    `what` is "person", "item", "boat" or "swimmer". A person with no `ask` is one that the boat in
    trouble keeps: `name` is STEERS or SPARE_CREW then.
    """

    what: str
    name: str
    short: int
    ask: Ask | None = None
    thing: Thing | None = None


class Muster:
    """Everybody and everything of the party; what a variant is short of is asked once.

    Who and what there is counts for the whole trip; what a variant is short of, in its leg.
    """

    def __init__(self, trip: Trip) -> None:
        """Count the things once."""
        self.trip = trip
        legs = sorted({boat.leg for boat in trip.boats.values()})
        alone = len(legs) == 1
        self._legs = {} if alone else {number: Muster(trip.at_leg(number)) for number in legs}
        self.things = list(list_things(trip))
        self._rows_twice = alone and self._lacks_steerers()
        self._kept: dict[str, list[tuple[Post, tuple[str, ...]]]] = {}
        self._able: dict[Ask, tuple[str, ...]] = {}
        self._serving: dict[Thing, list[int]] = {}
        self._lacks: dict[tuple[Variant, str, tuple[str, ...]], tuple[Lack, ...]] = {}

    def able(self, ask: Ask) -> tuple[str, ...]:
        """Return who answers `ask`, in the order of the trip."""
        if ask not in self._able:
            trip = self.trip
            self._able[ask] = tuple(
                name
                for name, paddler in trip.paddlers.items()
                if asks.able(paddler, ask, trip.ends, trip.catalog)
            )
        return self._able[ask]

    def serving(self, thing: Thing) -> list[int]:
        """Return the numbers of the things that may serve."""
        if thing not in self._serving:
            self._serving[thing] = [
                k
                for k, (item, crew) in enumerate(self.things)
                if asks.serves(item, thing) and not (crew and thing.spare)
            ]
        return self._serving[thing]

    def find_lacks(self, choice: Choice, running: str) -> tuple[Lack, ...]:
        """Return what the nearest variant of a choice is short of, empty if one can be done."""
        if self._legs:
            return self._legs[self.trip.boats[running].leg].find_lacks(choice, running)
        nearest: tuple[Lack, ...] | None = None
        there = self.trip.rapids[choice.key.rapid].boats
        boat = self.trip.boats[running]
        least = len(self._keep_crew(boat))
        for variant in asks.list_ways(choice, boat.type):
            if not variant.holds_with(least):
                continue
            key = (replace(variant, way="", types=()), running, there)
            if key not in self._lacks:
                self._lacks[key] = self._fill(variant, running, there)
            nearest = _fewer(nearest, self._lacks[key])
            if not nearest:
                break
        return nearest or ()

    def _fill(self, variant: Variant, running: str, there: tuple[str, ...]) -> tuple[Lack, ...]:
        others = [self.trip.boats[name] for name in there if name != running]
        spare: tuple[Lack, ...] = ()
        if variant.needs_boat and not any(boat.name in variant.needs_boat for boat in others):
            spare = (Lack("boat", "a boat that can be spared", 1),)
        nearest: tuple[Lack, ...] | None = None
        for crews in _choose_crews(variant.boats, others):
            people = [Post(s.role, s.ask) for s in variant.persons for _ in range(s.count)]
            things = [s.thing for s in variant.items for _ in range(s.count)]
            posts = [*people, *crews.posts]
            lacks = (
                *(tuple(self._fill_people(posts, running)) or _lack_seats(posts, others)),
                *self._fill_things([*things, *crews.things]),
                *crews.lacks,
                *spare,
                *self._lack_swimmers(variant, running, others),
            )
            nearest = _fewer(nearest, lacks)
        return nearest or ()

    def _lack_swimmers(self, variant: Variant, running: str, others: list[Boat]) -> Iterator[Lack]:
        """Yield what takes too few of the least that sit in the boat in trouble."""
        slot = variant.catch
        if slot is None:
            return
        kept = [able for _, able in self._keep_crew(self.trip.boats[running])]
        able = sorted({p for one in slot.ashore for p in self.able(one.ask)})
        got = match(dict(enumerate([*kept, *[tuple(able)] * len(able)])))
        bags = {k for one in slot.ashore for k in self.serving(one.bag)}
        thrown = min(sum(k >= len(kept) for k in got), len(bags))
        free = sum(asks.most_free_places(self.trip, boat, slot.options) for boat in others)
        rest = len(kept) - thrown - free
        if rest > 0:
            yield Lack("swimmer", NO_PLACE, rest)

    def _fill_people(self, posts: list[Post], running: str) -> Iterator[Lack]:
        """Yield the posts that stay empty; those in the boat in trouble are filled first."""
        wanted = self._keep_crew(self.trip.boats[running]) + sorted(
            [(post, self.able(post.ask)) for post in posts if post.ask is not None],
            key=lambda pair: len(pair[1]),
        )
        filled = match({k: able for k, (_, able) in enumerate(wanted)})
        short = Counter(post for k, (post, _) in enumerate(wanted) if k not in filled)
        for post, count in short.items():
            yield Lack("person", post.role, count, ask=post.ask)

    def _keep_crew(self, boat: Boat) -> list[tuple[Post, tuple[str, ...]]]:
        """Return whom the boat in trouble keeps: somebody who can steer it, and its least crew."""
        if boat.name not in self._kept:
            self._kept[boat.name] = list(self._list_kept(boat))
        return self._kept[boat.name]

    def _list_kept(self, boat: Boat) -> Iterator[tuple[Post, tuple[str, ...]]]:
        hardest = asks.hardest_class(self.trip, boat.name)
        level = asks.boat_level(self.trip, boat.name, guests_aboard=False)
        if self._rows_twice:
            level = min(self._list_levels(boat), default=level)
        yield Post(STEERS, None), list_steerers(self.trip, boat.type.skill, level)
        for _ in range(asks.least_crew(boat.type, hardest) - 1):
            work = (name for name, paddler in self.trip.paddlers.items() if not paddler.hurt)
            yield Post(SPARE_CREW, None), tuple(work)

    def _list_levels(self, boat: Boat) -> list[int]:
        """Return the levels that a boat's steerer needs, rapid by rapid."""
        return [
            asks.level_at(self.trip, boat.name, rapid, guests_aboard=False)
            for rapid in self.trip.rapids.values()
            if boat.name in rapid.boats and rapid.run == "run"
        ]

    def _lacks_steerers(self) -> bool:
        """Say whether the boats can't each have an able steerer, so that some must row twice."""
        able = {
            name: list_steerers(
                self.trip,
                boat.type.skill,
                asks.boat_level(self.trip, name, guests_aboard=False),
            )
            for name, boat in self.trip.boats.items()
        }
        return len(match(able)) < len(able) and asks.may_row_twice(self.trip)

    def _fill_things(self, things: list[Thing]) -> Iterator[Lack]:
        wanted = sorted(
            [(thing, self.serving(thing)) for thing in things], key=lambda pair: len(pair[1])
        )
        filled = match({k: serving for k, (_, serving) in enumerate(wanted)})
        short = Counter(thing for k, (thing, _) in enumerate(wanted) if k not in filled)
        for thing, count in short.items():
            yield Lack("item", thing.kind, count, thing=thing)


class Post(NamedTuple):
    """One person's place; no `ask` for a place in the boat in trouble."""

    role: str
    ask: Ask | None


class Crews(NamedTuple):
    """What the boats' work of a variant asks for, each work done in one of its ways."""

    posts: tuple[Post, ...] = ()
    things: tuple[Thing, ...] = ()
    lacks: tuple[Lack, ...] = ()


def _choose_crews(slots: tuple[BoatSlot, ...], boats: Sequence[Boat]) -> Iterator[Crews]:
    """Yield what the boats' work may ask for, by the types of boat that are at hand."""
    works = [(slot, list(list_crews(slot, boats))) for slot in slots for _ in range(slot.count)]
    missing = tuple(Lack("boat", slot.work, 1) for slot, ways in works if not ways)
    for chosen in product(*(ways for _, ways in works if ways)):
        yield Crews(
            tuple(post for crew in chosen for post in crew.posts),
            tuple(thing for crew in chosen for thing in crew.things),
            missing,
        )


def list_crews(slot: BoatSlot, boats: Sequence[Boat]) -> Iterator[Crews]:
    """Yield what one boat may ask for to do a work, by option and skill."""
    for option in slot.options:
        skills = [boat.type.skill for boat in boats if boat.type.craft in option.crafts]
        for skill in dict.fromkeys(skills):
            steers = asks.ask_steerer(skill, option)
            further = [Post(p.role, p.ask) for p in option.persons for _ in range(p.count)]
            yield Crews(
                (Post(f"{STEERS} for {slot.work}", steers), *further),
                tuple(item.thing for item in option.items for _ in range(item.count)),
            )


def _fewer(known: tuple[Lack, ...] | None, lacks: tuple[Lack, ...]) -> tuple[Lack, ...]:
    if known is None or count_short(lacks) < count_short(known):
        return lacks
    return known


def count_short(lacks: Iterable[Lack]) -> int:
    """Return how many pieces are short."""
    return sum(lack.short for lack in lacks)


def _lack_seats(posts: list[Post], others: list[Boat]) -> Iterator[Lack]:
    """Yield the people who find no seat in the boats that pass together with the running one."""
    beyond = sum(post.ask is not None for post in posts) - sum(b.type.seats for b in others)
    if beyond > 0:
        yield Lack("boat", "a seat in another boat there", beyond)


def list_things(trip: Trip) -> Iterator[tuple[Item, bool]]:
    """Yield each copy of a thing the party has, and whether it is a crew paddle."""
    for kit in trip.kit.values():
        for item, count in kit.item.list_pieces(kit.count):
            yield from [(item, False)] * count
    for paddler in trip.paddlers.values():
        for name, count in paddler.wears.items():
            yield from [(trip.catalog.items[name], False)] * count
    first = {boat.called: boat for boat in reversed(trip.boats.values())}
    for boat in first.values():  # a boat of several legs has its paddles once
        if boat.type.crew_paddle is not None:
            crew = min(boat.type.seats, len(trip.paddlers))
            for _ in range(asks.crew_paddles(boat, crew)):
                yield trip.catalog.items[boat.type.crew_paddle], True


def list_steerers(trip: Trip, skill: str, level: int) -> tuple[str, ...]:
    """Return who can steer, in the order of the trip."""
    return tuple(
        name for name, p in trip.paddlers.items() if p.level(skill) >= level and not p.minded
    )
