"""What may be issued: items that some demand, rule or spread asks for, and how many are of use.

An item is left out where another one does all that it does, is carried wherever it is, and is no
dearer, heavier or larger: no cheapest list has it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.fleet.nouns import Ware
from kitplan.trip import AT_MOST, Kit

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from kitplan.demands import Counting, Needs, Thing, Variant
    from kitplan.trip import Item, Leg, Trip

    Use = tuple[str, int, object]  # a trip, one of its legs, and what is asked there

PLENTY = 2  # copies of each item with which it is derived what a trip asks for


def stock(trip: Trip, counts: Mapping[str, int]) -> Trip:
    """Return the trip with so many copies of items instead of its own kit.

    What must go still must; an item that the trip has a row of keeps its dates and legs.
    """
    kit = {}
    for name, count in sorted(counts.items()):
        row, item = trip.kit.get(name), trip.catalog.items[name]
        kit[name] = replace(row, count=count) if row else Kit(item, count, where=item.where)
    legs = tuple(
        replace(leg, kit=tuple(i for i in kit if i not in trip.kit or i in leg.kit))
        for leg in trip.legs
    )
    return replace(trip, kit=kit, legs=legs)


def stock_all(trip: Trip) -> Trip:
    """Return the trip with plenty of every item of its catalogues.

    So many that any two lines could be joined, and none are where one would do.
    """
    joint = trip.catalog.figures.joint
    plenty = PLENTY if joint is None else max(PLENTY, joint.unless)
    return stock(trip, dict.fromkeys(trip.catalog.items, plenty))


class Uses:
    """What the items of trips are asked for."""

    def __init__(self) -> None:
        """Start with no trips."""
        self.items: dict[str, Item] = {}
        self.most: Counter[str] = Counter()  # copies of use in one boat
        self.must_go: set[str] = set()
        self._of: dict[str, set[Use]] = {}
        self._capped: set[str] = set()  # too many of these can break a rule
        self._serving: dict[Use, list[tuple[str, int]]] = {}

    def add(self, name: str, trip: Trip, needs: Needs) -> None:
        """Note what a trip, stocked with all there is, asks for."""
        for item in trip.catalog.items.values():
            self.items.setdefault(item.name, item)
        for row in trip.kit.values():
            if row.take:
                self.must_go.add(row.item.name)
                self.most[row.item.name] = max(self.most[row.item.name], row.take)
        for key in dict.fromkeys(key.choice for key in needs.demands):
            where = (name, trip.rapids[key.rapid].leg)
            for variant in needs.choices[key].variants:
                self._add_variant(where, trip, variant)
        for number, leg in enumerate(trip.legs):
            for kind in trip.order.sweep:
                self._add(Counter(self._list_kind(kind)), (name, number, ("sweep", kind)))
            self._add_rules((name, number), trip, leg)
            for spread in trip.spreads:
                for counted, count in asks.list_left(trip, spread, leg.boats):
                    counting = asks.list_counting(trip, leg, counted)
                    self._add_counting(counting, count, (name, number, (spread.name, counted)))

    def _add_rules(self, where: tuple[str, int], trip: Trip, leg: Leg) -> None:
        """Add what carriage rules ask of a boat or the trip; note of what too much breaks one."""
        for need in asks.list_carriage(trip, leg):
            counting = asks.list_counting(trip, leg, need.rule.counts)
            if need.rule.reading.bound == AT_MOST:
                self._capped |= {*counting.items, *counting.bundles}
                continue
            by_crew = max(asks.list_asked(need.rule.reading, len(need.people)))
            count = by_crew if need.asked is None else need.asked
            self._add_counting(counting, count, (*where, need.rule.id))

    def _list_kind(self, kind: str) -> list[str]:
        return [name for name, item in self.items.items() if kind in item.kinds]

    def _add_variant(self, where: tuple[str, int], trip: Trip, variant: Variant) -> None:
        """Add up what each item could fill of a variant, all its places in one boat."""
        places: Counter[str] = Counter()
        for thing, count in _list_places(trip, variant):
            for item, pieces in self._list_serving(where, trip, thing):
                places[item] += -(-count // pieces)
        for item, count in places.items():
            self.most[item] = max(self.most[item], count)

    def _list_serving(
        self, where: tuple[str, int], trip: Trip, thing: Thing
    ) -> list[tuple[str, int]]:
        """Return what serves as a thing in a leg, with its pieces, and note that it is asked for.

        What holds several things that serve is there once for each.
        """
        key = (*where, thing)
        if key not in self._serving:
            self._serving[key] = [
                (item, pieces)
                for item in trip.legs[where[1]].kit
                for one, pieces in trip.catalog.items[item].list_pieces()
                if asks.serves(one, thing)
            ]
            for item, _ in self._serving[key]:
                self._of.setdefault(item, set()).add(key)
        return self._serving[key]

    def _add_counting(self, counting: Counting, count: int, use: Use) -> None:
        pieces = Counter({**dict.fromkeys(counting.items, 1), **counting.bundles})
        self._add(Counter({item: -(-count // n) for item, n in pieces.items()}), use)

    def _add(self, counts: Counter[str], use: Use) -> None:
        for item, count in counts.items():
            self.most[item] = max(self.most[item], count)
            if count:
                self._of.setdefault(item, set()).add(use)

    def list_asked(self) -> list[str]:
        """Return the items that are of any use, or must go, by name."""
        return sorted({*(i for i, uses in self._of.items() if uses), *self.must_go})

    def drop_needless(self, costs: Mapping[str, int]) -> list[str]:
        """Return the items that some cheapest list may have, by name."""
        return [
            one
            for one in sorted(costs)
            if not any(self._does_for(other, one, costs) for other in costs if other != one)
        ]

    def list_stand_ins(self, one: str, names: Iterable[str]) -> tuple[str, ...]:
        """Return which of these items serve wherever one does, whatever they cost and weigh."""
        return tuple(n for n in names if n != one and self._serves_for(n, one))

    def _serves_for(self, other: str, one: str) -> bool:
        """Say whether another item is asked for wherever one is."""
        if one in self.must_go or {one, other} & self._capped:
            return False
        if self.items[one].contains or self.items[other].contains:
            return False
        return self._of.get(one, set()) <= self._of.get(other, set())

    def _does_for(self, other: str, one: str, costs: Mapping[str, int]) -> bool:
        """Say whether another item may always stand for one; of two that are alike the first."""
        low, high = self._measure(other, costs), self._measure(one, costs)
        if not self._serves_for(other, one) or any(a > b for a, b in zip(low, high, strict=True)):
            return False
        if not _list_ways(self.items[one]) <= _list_ways(self.items[other]):
            return False
        uses = self._of.get(one, set()), self._of.get(other, set())
        alike = uses[0] == uses[1] and low == high
        same = alike and _list_ways(self.items[one]) == _list_ways(self.items[other])
        return not same or other < one

    def _measure(self, name: str, costs: Mapping[str, int]) -> tuple[int, ...]:
        """Return what no less of is ever worse: cost, mass, room, length, whether it is bulky."""
        item = self.items[name]
        return costs[name], item.mass_g, item.volume_ml, item.packed_mm, int(item.bulky)


def _list_places(trip: Trip, variant: Variant) -> Iterator[tuple[Thing, int]]:
    """Yield what a variant asks for, and how many, for its boats' work and swimmers too."""
    for slot in variant.items:
        yield slot.thing, slot.count
    options = [(option, slot.count) for slot in variant.boats for option in slot.options]
    if variant.catch is not None:
        seats = max(boat.type.seats for boat in trip.boats.values())
        throwers = sum(not one.minded for one in trip.paddlers.values())
        for bag in dict.fromkeys(one.bag for one in variant.catch.ashore):
            yield bag, min(seats, throwers)
        options += [(option, 1) for option in variant.catch.options]
    for option, _ in options:
        for slot in option.items:
            yield slot.thing, slot.count


def _list_ways(item: Item) -> frozenset[str]:
    """Return in which ways an item may be dealt out, what is worn by where it is worn."""
    return frozenset(
        f"worn on the {item.worn_on}" if way == "worn" else way
        for way in item.carried
        if way != "worn" or item.worn_on != "body"
    )


def may_be_dealt(item: Item) -> bool:
    """Say whether a plan may deal the item out at all; what is worn on the body is personal."""
    return bool(_list_ways(item))


def make_wares(uses: Uses, names: Iterable[str], costs: Mapping[str, int]) -> dict[str, Ware]:
    """Return the wares of these names."""
    wares = list(names)
    return {
        name: Ware(
            uses.items[name],
            costs[name],
            max(1, uses.most[name]),
            uses.list_stand_ins(name, wares),
        )
        for name in wares
    }
