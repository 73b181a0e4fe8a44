"""Points of growth: nested trips, parts of one large trip, that differ in one number alone.

All boats are rafts of one invented type with seats and payload for everybody, so that any number of
people goes with any number of boats. A smaller trip has the first rapids, the first boats, the
first people in an order in which captains come early enough, and as many of each thing as its
copies say.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import chain, count, zip_longest
from typing import TYPE_CHECKING, NamedTuple

from tests.bench.scarce import with_kit
from tests.generator import Size, draw_trip, load_catalog
from tests.twin.plain import is_seatable

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.trip import Paddler, Trip

BASE = {"rapids": 6, "people": 48, "boats": 3, "copies": 1}
SERIES = {
    "rapids": (20, 50, 100, 200, 400),
    "people": (10, 20, 40, 70, 100),
    "boats": (3, 4, 6, 12, 24),
    "copies": (1, 2, 4, 8),  # of each thing, times what a party of three boats owns
}
SEEDS = (2, 7, 10, 11, 14)
"""Seeds of trips without a special turn: no parted ways, no given order, nothing out of sight."""
_RAFT = "oar raft 5.5 m"
_SEATS, _PAYLOAD_G = 40, 4_000_000


class Numbers(NamedTuple):
    """How much of each a trip has."""

    rapids: int
    people: int
    boats: int
    copies: int


LARGEST = Numbers(400, 100, 24, 1)


class Large(NamedTuple):
    """The trip that smaller ones are parts of, and how many draws before it were rejected."""

    trip: Trip
    rejected: int


def list_numbers(what: str) -> list[Numbers]:
    """Return the numbers of the points of a series, smallest first."""
    return [Numbers(**{**BASE, what: size}) for size in SERIES[what]]


def draw_large(seed: int, largest: Numbers = LARGEST, parts: tuple[Numbers, ...] = ()) -> Large:
    """Return the first trip of a seed that has a seating, as have these parts of it."""
    catalog = load_catalog()
    raft = replace(catalog.boat_types[_RAFT], seats=_SEATS, payload_g=_PAYLOAD_G)
    catalog = replace(catalog, boat_types={**catalog.boat_types, _RAFT: raft})
    boats, people, rapids = ((n, n) for n in (largest.boats, largest.people, largest.rapids))
    rejected = 0
    for draw in count():
        size = Size(f"large {draw}", boats, people, rapids, party={_RAFT: 1})
        drawn = draw_trip(seed, size, catalog=catalog)
        rejected += drawn.rejected
        if all(is_seatable(take_part(drawn.trip, part)) for part in parts):
            return Large(drawn.trip, rejected)
        rejected += 1
    raise AssertionError


def take_part(large: Trip, numbers: Numbers) -> Trip:
    """Return the part of a trip of one leg that has so much of each."""
    boats = dict(list(large.boats.items())[: numbers.boats])
    rapids = list(large.rapids.values())[: numbers.rapids]
    paddlers = dict(list(_order_people(large))[: numbers.people])
    companies = [
        replace(company, paddlers=tuple(p for p in company.paddlers if p in paddlers))
        for company in large.companies
    ]
    kit = {}
    for name, row in large.kit.items():
        # Kit is that of a party of three boats, whatever boats there are.
        owned = -(-row.count * BASE["boats"] // len(large.boats)) * numbers.copies
        kit[name] = replace(row, count=owned, take=min(row.take, owned))
    part = replace(
        large,
        boats=boats,
        paddlers=paddlers,
        rapids={one.name: replace(one, boats=tuple(sorted(boats))) for one in rapids},
        running=tuple(name for name in large.running if name in boats),
        companies=tuple(company for company in companies if len(company.paddlers) > 1),
        legs=tuple(
            replace(leg, boats=tuple(boats), paddlers=tuple(paddlers)) for leg in large.legs
        ),
    )
    return with_kit(part, kit)


def _order_people(large: Trip) -> Iterator[tuple[str, Paddler]]:
    """Yield people so that the first few have captains for few boats, and are of all sorts.

    The generator draws a captain for each boat before all others.
    """
    people = list(large.paddlers.items())
    first, more, others = (
        people[: BASE["boats"]],
        people[BASE["boats"] : len(large.boats)],
        people[len(large.boats) :],
    )
    mixed = chain.from_iterable(zip_longest(more, others))
    yield from (one for one in chain(first, mixed) if one is not None)
