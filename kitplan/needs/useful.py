"""Which of the things on offer are of use to a trip, and how many of them at the most."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.needs.carriage import list_asked, list_carriage, list_counting
from kitplan.needs.roster import serves, vest_room, waist_room
from kitplan.trip import AT_MOST, Kit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.demands import Needs, Thing, Variant
    from kitplan.trip import Counted, Item, Leg, Trip


class Uses:
    """What a trip and its needs ask of things."""

    def __init__(self, trip: Trip, needs: Needs) -> None:
        """List all that is asked."""
        self.trip = trip
        choices = (choice for choice in needs.choices.values() if choice.accepted)
        asked = {variant for choice in choices for variant in choice.variants}
        self._asked = [_list_asked(trip, variant) for variant in sorted(asked, key=repr)]
        self._things = sorted({thing for lists in self._asked for row in lists for thing, _ in row})
        # Of these more may be worse: then no two lines are joined any more.
        self._unless = frozenset(thing for variant in asked for thing, _ in variant.unless)
        self._rules = [
            (counted, most, at_most)
            for leg in trip.legs
            for counted, most, at_most in _list_rules(trip, leg)
        ]
        self._served: dict[str, frozenset[Thing]] = {}

    # --- how many -------------------------------------------------------------------------------

    def count(self, item: Item) -> int:
        """Return how many copies of an item can be of use at the most, owned ones too.

        Whatever counts things - a way at a rapid, a boat's work, a carriage rule, a spread, the
        last boat - has so many places for this item, A at the most, to be filled out of some boats
        together. A boat that has A copies fills them all by itself, so that a further copy in it
        changes nothing. So no more are of use than A a boat, nor more than may lie in it, for the
        boats of a leg. Swimmers alone go by people: each takes one thrower, so that A is the most
        seats where the item is a bag for them.
        """
        served = self._list_served(item)
        places = (
            sum(count for thing, count in row if thing in served)
            for lists in self._asked
            for row in lists
        )
        rules = (most for counted, most, _ in self._rules if self._counts(item, counted))
        swept = any(kind in one.kinds for one, _ in item.list_pieces()
                    for kind in self.trip.order.sweep)  # fmt: skip
        most = max(int(swept), max(places, default=0), max(rules, default=0))
        return max(
            sum(min(most, _count_room(self.trip, leg, boat, item)) for boat in leg.boats)
            for leg in self.trip.legs
        )

    # --- which ----------------------------------------------------------------------------------

    def list_worth(self) -> list[str]:
        """Return the items on offer but for those that another one makes needless, sorted.

        That is one that serves wherever they do, lies wherever they may, counts for no rule at the
        most that they don't count for, rules out no line being joined that they don't, weighs,
        takes and costs no more, and comes first by name if it costs the same; and of which there is
        no end. Whatever is bought can be had without them
        for no more money, with no more changes.
        """
        names = sorted(self.trip.market.offers)
        return [
            name
            for name in names
            if not any(self._is_better(other, name) for other in names if other != name)
        ]

    def _is_better(self, name: str, than: str) -> bool:
        offers = self.trip.market.offers
        price, other = offers[name].price_cents, offers[than].price_cents
        if offers[name].most is not None or (price, name) > (other, than):
            return False
        return self._is_endless(name) and self._does_all(offers[name].item, offers[than].item)

    def _is_endless(self, name: str) -> bool:
        """Say whether a copy bought counts on all days for all rules."""
        kit = self.trip.kit.get(name)
        in_all = all(name in leg.kit for leg in self.trip.legs)
        return kit is None or (in_all and kit.retire_by is None)

    def _does_all(self, one: Item, other: Item) -> bool:
        """Say whether one item does all that another one does, and is no harder to carry."""
        alike = (one.bulky, one.worn_on) == (other.bulky, other.worn_on)
        if not alike or one.contains or other.contains:
            return False
        lies = set(other.carried) <= set(one.carried) and one.packed_mm <= other.packed_mm
        light = one.mass_g <= other.mass_g and one.volume_ml <= other.volume_ml
        sweeps = set(self.trip.order.sweep)
        more, less = self._list_served(one), self._list_served(other)
        serves_all = less <= more and sweeps & other.kinds <= sweeps & one.kinds
        joins = not self._unless & (more - less)
        return lies and light and serves_all and joins and self._counts_as(one, other)

    def _counts_as(self, one: Item, other: Item) -> bool:
        """Say whether one item counts for all rules at least, and no more at most, as another."""
        for counted, _, at_most in self._rules:
            less, more = (one, other) if at_most else (other, one)
            if self._counts(less, counted) and not self._counts(more, counted):
                return False
        return True

    # --- look-ups -------------------------------------------------------------------------------

    def _list_served(self, item: Item) -> frozenset[Thing]:
        """Return the things asked that an item serves as, or what is in it."""
        if item.name not in self._served:
            pieces = [one for one, _ in item.list_pieces()]
            self._served[item.name] = frozenset(
                thing for thing in self._things if any(serves(one, thing) for one in pieces)
            )
        return self._served[item.name]

    def _counts(self, item: Item, counted: Counted) -> bool:
        """Say whether an item counts for a rule or a spread."""
        leg = replace(self.trip.legs[0], kit=(item.name,))
        # New, so that it is past no day of its use.
        new = replace(self.trip, kit={item.name: Kit(item, 1)}, stores=None)
        counting = list_counting(new, leg, counted)
        return bool(counting.items or counting.bundles)


def _list_asked(trip: Trip, variant: Variant) -> list[list[tuple[Thing, int]]]:
    """Return what a way asks: things at a rapid, those of each boat's work, bags for swimmers."""
    options = [option for slot in variant.boats for option in slot.options]
    rows = [[(slot.thing, slot.count) for slot in variant.items]]
    if variant.catch:
        options += variant.catch.options
        seats = max(boat.type.seats for boat in trip.boats.values())
        rows += [[(one.bag, seats)] for one in variant.catch.ashore]
    return rows + [[(slot.thing, slot.count) for slot in option.items] for option in options]


def _list_rules(trip: Trip, leg: Leg) -> Iterator[tuple[Counted, int, bool]]:
    """Yield what rules and spreads count, how many they ask at the most, whether that is a cap."""
    for need in list_carriage(trip, leg):
        reading = need.rule.reading
        table = list_asked(reading, len(need.people)) if need.asked is None else ()
        at_most = reading.bound == AT_MOST
        yield need.rule.counts, 0 if at_most else max(need.asked or 0, *table, 0), at_most
    for spread in trip.spreads:
        if spread.counts is not None:
            yield spread.counts, spread.count, False
        for fit in spread.fits:
            yield fit.counts, 1, False


def _count_room(trip: Trip, leg: Leg, boat: str, item: Item) -> int:
    """Return how many copies may lie in a boat at the most, by its places, seats and payload."""
    kind = trip.boats[boat].type
    rooms = []
    if "stowed" in item.carried:
        rooms.append(kind.payload_g // max(1, item.mass_g))
    if "quick" in item.carried:
        rooms.append(kind.quick_bulky if item.bulky else kind.quick_small)
    room = {"vest": vest_room, "waist": waist_room}.get(item.worn_on or "")
    if "worn" in item.carried and room is not None:
        each = sorted((room(trip.paddlers[p], trip.catalog) for p in leg.paddlers), reverse=True)
        rooms.append(sum(each[: kind.seats]))
    return sum(rooms)
