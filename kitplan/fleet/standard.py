"""The standard kit of an outfitter: from trips to lists, with plans and proof."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.fleet.nouns import Fleet, Outing, count_boats, count_guides
from kitplan.fleet.wares import Uses, make_wares, may_be_dealt, stock, stock_all
from kitplan.needs import derive_needs

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.trip import BoatType, Trip

DEFAULT_FACTOR = 150  # per cent of the price: what an extra counts


def make_fleet(
    trips: Iterable[Trip],
    *,
    by_mass: bool = False,
    factor: int = DEFAULT_FACTOR,
    boats: dict[str, int] | None = None,
) -> Fleet:
    """Return the fleet of trips: what they ask for, and how many boats and guides get a list.

    `boats`: how many lists there are of a type; else the most that any one trip uses.
    """
    uses = Uses()
    given = {trip.name: trip for trip in trips}
    needs = {}
    for name, trip in given.items():
        full = stock_all(trip)
        needs[name] = derive_needs(full)
        uses.add(name, full, needs[name])
    asked = [i for i in uses.list_asked() if may_be_dealt(uses.items[i])]
    costs = {i: uses.items[i].mass_g if by_mass else uses.items[i].price_cents for i in asked}
    priced = {i: cost for i, cost in costs.items() if cost is not None}
    for i in uses.must_go & costs.keys():
        priced.setdefault(i, 0)
    wares = make_wares(uses, uses.drop_needless(priced), priced)
    most: Counter[str] = Counter()
    guides: Counter[int] = Counter()
    types: dict[str, BoatType] = {}
    outings = {}
    for name, trip in given.items():
        most |= count_boats(trip)
        guides |= count_guides(trip)
        types |= {boat.type.name: boat.type for boat in trip.boats.values()}
        there = len({boat.called for boat in trip.boats.values()})
        counts = {i: ware.most * there for i, ware in wares.items() if i in trip.catalog.items}
        outings[name] = Outing(name, trip, stock(trip, counts), needs[name])
    fleet = Fleet(
        outings,
        wares,
        types,
        dict(sorted((most | Counter(boats or {})).items())) if boats is None else _count(most, boats),
        dict(sorted(guides.items())),
        factor,
        by_mass,
        tuple(i for i in asked if i not in priced),
    )
    return fleet


def _count(most: Counter[str], said: dict[str, int]) -> dict[str, int]:
    """Return how many boats of each type get a list: as said, else as many as a trip uses."""
    return {kind: said.get(kind, count) for kind, count in sorted(most.items())}
