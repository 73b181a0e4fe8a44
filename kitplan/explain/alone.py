"""Whether a demand could be met if nothing else had to be: a sound relaxation, by flow.

Everybody and everything the party owns may be anywhere, but the running boat keeps a steerer and
its least crew. What fails even so is impossible alone, whatever is packed where.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.demands import Ask
from kitplan.explain.flow import assign

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable

    from kitplan.demands import BoatSlot, CatchSlot, Choice, ChoiceKey, Thing, Variant
    from kitplan.trip import Boat, BoatType, Item, Trip


def possible_alone(trip: Trip, choice: Choice, running: str, *, twice: bool = False) -> bool:
    """Say whether some variant of the choice could be done with the whole party free for it.

    With `twice` people may row twice: then the running boat's steerer is good enough for the rapid
    alone. He or who takes the boat down for him is kept either way.
    """
    rapid = trip.rapids[choice.key.rapid]
    walkers = frozenset() if choice.unhurried else asks.list_walkers(trip, rapid)
    ways = asks.list_ways(choice, trip.boats[running].type)
    level = asks.boat_level(trip, running, guests_aboard=False)
    if twice:
        level = asks.level_at(trip, running, rapid, guests_aboard=False)
    around = Around(rapid.boats, walkers, level)
    return any(_variant_possible(trip, v, running, around) for v in ways)


class Alone:
    """Answers for choices and boats of a trip what is possible alone; asks what is alike once.

    Rapids that ask for the same and boats of one type need no answers of their own.
    """

    def __init__(self, trip: Trip, *, twice: bool = False) -> None:
        """`twice`: people may row twice."""
        self._trip, self._twice = trip, twice
        self._known: dict[Hashable, bool] = {}
        self._numbers: dict[ChoiceKey, int] = {}
        self._variants: dict[tuple[Variant, ...], int] = {}
        self._boats = {name: self._describe(name) for name in trip.boats}

    def allows(self, choice: Choice, running: str) -> bool:
        """Say what `possible_alone` says."""
        key = self._liken(choice, running)
        if key not in self._known:
            self._known[key] = possible_alone(self._trip, choice, running, twice=self._twice)
        return self._known[key]

    def _liken(self, choice: Choice, running: str) -> Hashable:
        """Return all that the answer depends on."""
        rapid = self._trip.rapids[choice.key.rapid]
        others = [name for name in sorted(rapid.boats) if name != running]
        named = any(variant.needs_boat for variant in choice.variants)
        return (
            self._number(choice),
            self._boats[running],
            tuple(others) if named else tuple(sorted(self._boats[name] for name in others)),
            rapid.guests_walk and not choice.unhurried,
            self._twice and asks.level_at(self._trip, running, rapid, guests_aboard=False),
        )

    def _number(self, choice: Choice) -> int:
        """Return the same number for choices that may be done in the same ways."""
        if choice.key not in self._numbers:
            number = self._variants.setdefault(choice.variants, len(self._variants))
            self._numbers[choice.key] = number
        return self._numbers[choice.key]

    def _describe(self, boat: str) -> tuple[int, str, int, int]:
        """Return what matters of a boat: its leg and type, its hardest class, its steerer."""
        one = self._trip.boats[boat]
        level = asks.boat_level(self._trip, boat, guests_aboard=False)
        return one.leg, one.type.name, asks.hardest_class(self._trip, boat), level


class Around(NamedTuple):
    """The boats that pass a rapid, who walks round it, and the level of who steers."""

    boats: tuple[str, ...]
    walkers: frozenset[str]
    level: int


def _variant_possible(trip: Trip, variant: Variant, running: str, around: Around) -> bool:
    crew = asks.least_crew(trip.boats[running].type, asks.hardest_class(trip, running))
    if not variant.holds_with(crew):
        return False
    others = [trip.boats[name] for name in sorted(around.boats) if name != running]
    seats = sum(boat.type.seats for boat in others)
    if variant.catch is not None and not _catch_possible(
        trip, variant.catch, running, (others, around.level)
    ):
        return False
    if variant.needs_boat and not any(boat.name in variant.needs_boat for boat in others):
        return False
    return any(
        len(_list_asks(variant, crews)) <= seats
        and _people_possible(trip, _list_asks(variant, crews), running, around)
        and _things_possible(trip, variant, running, crews)
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


def _people_possible(trip: Trip, wanted: list[Ask], running: str, around: Around) -> bool:
    kind = trip.boats[running].type
    hardest = asks.hardest_class(trip, running)
    leg = trip.legs[trip.boats[running].leg]
    people = sorted(leg.paddlers)

    def sees(ask: Ask) -> list[int]:
        return [
            k
            for k, p in enumerate(people)
            if p not in around.walkers and asks.able(trip.paddlers[p], ask, leg.ends, trip.catalog)
        ]

    seen = [sees(ask) for ask in wanted]
    seen.append(
        [
            k
            for k, p in enumerate(people)
            if trip.paddlers[p].level(kind.skill) >= around.level and not trip.paddlers[p].minded
        ]
    )
    anybody = [k for k, p in enumerate(people) if not trip.paddlers[p].hurt]
    seen += [anybody] * (asks.least_crew(kind, hardest) - 1)
    return -1 not in assign(seen, [1] * len(people))


def _catch_possible(
    trip: Trip, slot: CatchSlot, running: str, rest: tuple[list[Boat], int]
) -> bool:
    """Say whether throwers, with a bag each, and free places could take the least crew."""
    kind = trip.boats[running].type
    crew = asks.least_crew(kind, asks.hardest_class(trip, running))
    others, level = rest
    thrown = min(_count_throwers(trip, slot, running, level), _count_bags(trip, slot, running))
    free = sum(asks.most_free_places(trip, boat, slot.options) for boat in others)
    return thrown + free >= crew


def _count_throwers(trip: Trip, slot: CatchSlot, running: str, level: int) -> int:
    """Return how many throwers are left once the running boat has a steerer and its least crew."""
    kind = trip.boats[running].type
    hardest = asks.hardest_class(trip, running)
    leg = trip.legs[trip.boats[running].leg]
    rows = [trip.paddlers[p] for p in sorted(leg.paddlers)]
    steer = [k for k, p in enumerate(rows) if p.level(kind.skill) >= level and not p.minded]
    throw = [
        k
        for k, p in enumerate(rows)
        if any(asks.able(p, one.ask, leg.ends, trip.catalog) for one in slot.ashore)
    ]
    anybody = [k for k, p in enumerate(rows) if not p.hurt]
    kept = [steer] + [anybody] * (asks.least_crew(kind, hardest) - 1)
    got = assign([*kept, *[throw] * len(throw)], [1] * len(rows))
    return sum(k >= 0 for k in got[len(kept) :])


def _count_bags(trip: Trip, slot: CatchSlot, running: str) -> int:
    return sum(
        count
        for item, count, crew in _list_lots(trip, running)
        if any(asks.serves(item, one.bag) and not (crew and one.bag.spare) for one in slot.ashore)
    )


def _things_possible(trip: Trip, variant: Variant, running: str, crews: Crews) -> bool:
    lots = _list_lots(trip, running)
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


def _list_lots(trip: Trip, running: str) -> list[tuple[Item, int, bool]]:
    """Return all that the party has in a boat's leg: item, how many, whether crew paddles."""
    leg = trip.legs[trip.boats[running].leg]
    lots: list[tuple[Item, int, bool]] = [
        (item, count, False)
        for kit in (trip.kit[name] for name in sorted(leg.kit))
        for item, count in kit.item.list_pieces(kit.count)
    ]
    for _, paddler in sorted(trip.list_party(leg).items()):
        lots += [(trip.catalog.items[i], n, False) for i, n in sorted(paddler.wears.items())]
    for boat in (trip.boats[name] for name in leg.boats):
        if boat.type.crew_paddle is not None:
            paddles = asks.crew_paddles(boat, min(boat.type.seats, len(leg.paddlers)))
            lots.append((trip.catalog.items[boat.type.crew_paddle], paddles, True))
    return lots
