"""How much of each store goes along, in its own unit, and how much goes into each container.

People shop for days and fill containers by the litre; boats are loaded by the gram (`stores`).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from kitplan.needs.stores import (
    Batch,
    count_people,
    find_capacity,
    list_batches,
    list_lots,
    weigh_content,
)
from kitplan.trip import FILLS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.trip import Lot, StoreRate, Stores, Trip

_PER_LARGE = 1000  # grams in a kilogram, millilitres in a litre


@dataclass(frozen=True, slots=True)
class Supply:
    """What comes aboard of a store on the morning of `first_day`, or in a whole trip.

    It is for the days from `first_day` to `last_day`. `quantity` is what `person_days` come to, and
    `contents` what goes into each container, in the order of their names: in millilitres or grams,
    as `is_in_ml` says. Of a store that fills, they are what is in it in the end.
    """

    rate: StoreRate
    first_day: int
    last_day: int
    person_days: int
    quantity: int
    contents: tuple[int, ...]


def list_supplies(trip: Trip) -> tuple[Supply, ...]:
    """Return what comes aboard of each store at the start and at each restock, in this order.

    Stores of which nothing is needed are left out; without stores there are none, nor where they
    are packed already, as on a trip begun afresh on its way.
    """
    stores = trip.stores
    if stores is None or stores.lots is not None:
        return ()
    lots, people = list_lots(trip.whole_trip), count_people(trip.whole_trip)
    supplies = [
        _add_up(rate, stores, lots, list(batches))
        for rate in stores.rates
        for _, batches in groupby(list_batches(rate, stores, people), lambda one: one.first_day)
    ]
    needed = (one for one in supplies if one.quantity)
    return tuple(sorted(needed, key=lambda one: one.first_day))


def sum_supplies(supplies: Iterable[Supply]) -> tuple[Supply, ...]:
    """Return what comes aboard of each store over all, in the order in which they first do."""
    stores: dict[str, list[Supply]] = {}
    for one in supplies:
        stores.setdefault(one.rate.name, []).append(one)
    return tuple(
        Supply(
            rate=alike[0].rate,
            first_day=alike[0].first_day,
            last_day=alike[-1].last_day,
            person_days=sum(one.person_days for one in alike),
            quantity=sum(one.quantity for one in alike),
            contents=tuple(content for one in alike for content in one.contents),
        )
        for alike in stores.values()
    )


def is_in_ml(rate: StoreRate) -> bool:
    """Say whether amounts of a store are volumes: not where its containers hold a mass, as gas."""
    return rate.in_ml and rate.container.holds_ml is not None


def find_rate(trip: Trip, lot: Lot) -> StoreRate | None:
    """Return the rate by which a lot is filled, None for things that need no container."""
    rates = trip.stores.rates if trip.stores and lot.container else ()
    return next((rate for rate in rates if rate.name == lot.store), None)


def measure_content(rate: StoreRate, lot: Lot, day: int) -> int:
    """Return what is in one container on a morning on which it is aboard, in ml or grams."""
    return _measure(rate, lot.weigh(day) - rate.container.mass_g)


def tell_amount(rate: StoreRate, amount: int) -> tuple[float, str]:
    """Return an amount of a store as other programs read it: in "l" or "kg", and which of them."""
    return amount / _PER_LARGE, "l" if is_in_ml(rate) else "kg"


def _add_up(rate: StoreRate, stores: Stores, lots: Iterable[Lot], batches: list[Batch]) -> Supply:
    """Return all that comes aboard of a store on one morning."""
    people = {day: count for one in batches for day, count in one.people.items()}
    person_days, first_day = sum(people.values()), batches[0].first_day
    filled = [
        measure_content(rate, lot, first_day)
        for lot in lots
        if lot.container and (lot.store, lot.first_day) == (rate.name, first_day)
        for _ in range(lot.count)
    ]
    if rate.use == FILLS:
        total_g, most_g = weigh_content(rate, stores.climate, person_days), find_capacity(rate)
        in_the_end = (total_g - most_g * before for before in range(len(filled)))
        filled = [_measure(rate, min(left_g, most_g)) for left_g in in_the_end]
    return Supply(
        rate=rate,
        first_day=first_day,
        last_day=max(people),
        person_days=person_days,
        quantity=_count(rate, stores.climate, person_days),
        contents=tuple(filled),
    )


def _count(rate: StoreRate, climate: str, person_days: int) -> int:
    """Return what so many person-days come to, in ml or grams."""
    if is_in_ml(rate):
        return rate.amounts[climate] * person_days
    return weigh_content(rate, climate, person_days)


def _measure(rate: StoreRate, mass_g: int) -> int:
    """Return a mass in the unit of a rate, rounded down as it was rounded up to grams."""
    return mass_g * _PER_LARGE // rate.litre_g if is_in_ml(rate) else mass_g
