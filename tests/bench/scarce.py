"""How much kit a trip of the ladder has: plenty, or so little that a share of cases is bare of it.

Plenty: nothing that could ever be of use is missing, so what is uncovered is so for want of place,
people, room or payload. Scarce: pieces go, one after the other in an order of the rung's own, until
about so many per cent of the cases that plenty could cover can't be covered any more by the bound:
each case alone, the whole party and all kit free for it.
"""

from __future__ import annotations

import random
from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.explain.alone import Alone
from kitplan.trip import Kit

if TYPE_CHECKING:
    from collections.abc import Container, Iterator

    from kitplan.demands import CaseKey, Needs, Thing, Variant
    from kitplan.trip import Item, Trip

STEPS = 14  # halvings; a step is finer than a piece of kit
ROUNDS = 3  # more kit may make more ways fit, which may ask for more kit


@dataclass(frozen=True, slots=True)
class Scarce:
    """Where bisection ended: `factor` of plenty, and the per cent of cases that are bare."""

    factor: float
    reached: float


# --- plenty -------------------------------------------------------------------------------------


def give_plenty(trip: Trip) -> Trip:
    """Return the trip with as many of each thing as could ever be of use.

    That is for each boat as many as one way asks at most. Where nothing that the party owns serves,
    the lightest thing of the catalogue that does is added.
    """
    for _ in range(ROUNDS):
        more = _give_more(trip, asks.derive_needs(trip))
        if more.kit == trip.kit:
            break
        trip = more
    return trip


def _give_more(trip: Trip, needs: Needs) -> Trip:
    asked = _list_asked(trip, needs)
    names = set(trip.kit) | {_find_lightest(trip, thing) for thing in asked}
    kit = {}
    for name in sorted(names - {""}):
        item = trip.catalog.items[name]
        most = max((n for thing, n in asked.items() if asks.serves(item, thing)), default=0)
        known = trip.kit.get(name, Kit(item, 0))
        kit[name] = replace(known, count=max(known.count, most * len(trip.boats)))
    return with_kit(trip, {name: row for name, row in kit.items() if row.count})


def _list_asked(trip: Trip, needs: Needs) -> dict[Thing, int]:
    """Return each thing that is asked for, and how many of it one way asks at most."""
    most: dict[Thing, int] = defaultdict(int)
    for choice in needs.choices.values():
        for variant in choice.variants if choice.accepted else ():
            counts: dict[Thing, int] = defaultdict(int)
            for thing, count in _list_things(trip, variant):
                counts[thing] += count
            for thing, count in counts.items():
                most[thing] = max(most[thing], count)
    return most


def _list_things(trip: Trip, variant: Variant) -> Iterator[tuple[Thing, int]]:
    """Yield what a way asks for; for one boat, since every boat gets as many."""
    for slot in variant.items:
        yield slot.thing, slot.count
    for work in variant.boats:
        for option in work.options:
            yield from ((slot.thing, slot.count) for slot in option.items)
    if variant.catch is not None:
        a_bag_each = max(boat.type.seats for boat in trip.boats.values())
        yield from ((one.bag, a_bag_each) for one in variant.catch.ashore)
        for option in variant.catch.options:
            yield from ((slot.thing, slot.count) for slot in option.items)


def _find_lightest(trip: Trip, thing: Thing) -> str:
    """Return the lightest thing that serves and may be dealt; "" if the party owns one, or none."""
    if any(asks.serves(kit.item, thing) for kit in trip.kit.values()):
        return ""
    serving = [item for item in trip.catalog.items.values() if asks.serves(item, thing)]
    dealt = [item for item in serving if _may_be_dealt(item)]
    return min(dealt, key=lambda item: (item.mass_g, item.name)).name if dealt else ""


def _may_be_dealt(item: Item) -> bool:
    worn = "worn" in item.carried and item.worn_on in {"vest", "waist"}
    return worn or bool({"quick", "stowed"} & set(item.carried))


def with_kit(trip: Trip, kit: dict[str, Kit]) -> Trip:
    """Return the trip with other kit, the same in all its legs."""
    legs = tuple(replace(leg, kit=tuple(sorted(kit))) for leg in trip.legs)
    return replace(trip, kit=kit, legs=legs)


# --- scarce -------------------------------------------------------------------------------------


def take_away(plenty: Trip, factor: float) -> Trip:
    """Return the trip with about `factor` (0 to 1) of its plenty; pieces go one after the other.

    What must be taken, and one of each thing that the last boat must have, are left.
    """
    rng = random.Random(plenty.name)
    kit = {}
    for name, row in sorted(plenty.kit.items()):
        count = min(row.count, int(factor * row.count + rng.random()))
        swept = bool(row.item.kinds & set(plenty.order.sweep))
        if count := max(count, row.take, int(swept)):
            kit[name] = replace(row, count=count)
    return with_kit(plenty, kit)


def list_coverable(
    trip: Trip, needs: Needs, among: Container[CaseKey] | None = None
) -> set[CaseKey]:
    """Return the cases that could be covered, each with the whole party and all kit for itself.

    With `among` only those of these.
    """
    there = needs.cases if among is None else among
    alone = Alone(trip)
    found: set[CaseKey] = set()
    for demand in needs.demands:
        # One way to cover it is enough.
        if demand.case in found or demand.case not in there:
            continue
        choice = needs.choices[demand.choice]
        if choice.covers and alone.allows(choice, demand.running):
            found.add(demand.case)
    return found


def find_scarce(plenty: Trip, per_cent: int) -> Scarce:
    """Return the factor that comes closest to making so many per cent of the cases bare.

    With fewer pieces no more cases can be covered, so at each step only those are looked at that
    the last factors differ in.
    """
    most = list_coverable(plenty, asks.derive_needs(plenty))
    known: dict[float, set[CaseKey]] = {0.0: set(), 1.0: most}
    low, high = 0.0, 1.0

    def measure(factor: float) -> float:
        return 100 * (1 - len(known[factor]) / len(most))

    for _ in range(STEPS if most else 0):
        middle = (low + high) / 2
        left = take_away(plenty, middle)
        open_cases = known[high] - known[low]
        found = list_coverable(left, asks.derive_needs(left), open_cases)
        known[middle] = known[low] | found
        low, high = (middle, high) if measure(middle) > per_cent else (low, middle)
    # Without any kit nothing was looked at: that factor was only where bisection began.
    ends = [factor for factor in (high, low) if factor]
    best = min(ends, key=lambda factor: abs(measure(factor) - per_cent))
    return Scarce(best, round(measure(best), 1))
