"""Bundles in trips that have none: part of the kit is put together, a thing or some to a bag."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.trip import Item, Kit

if TYPE_CHECKING:
    import random

    from kitplan.trip import Trip

MOST_BUNDLES, MOST_KINDS, MOST_PIECES = 3, 3, 2


def bundle_up(trip: Trip, rng: random.Random) -> Trip:
    """Return the trip with up to three bundles of things that are there in all its legs."""
    for number in range(rng.randint(1, MOST_BUNDLES)):
        able = [
            name
            for name, kit in sorted(trip.kit.items())
            if {"quick", "stowed"}.intersection(kit.item.carried)
            and kit.item.worn_on != "body"
            and not kit.item.contains
            and all(name in leg.kit for leg in trip.legs)
        ]
        names = rng.sample(able, min(len(able), rng.randint(1, MOST_KINDS)))
        if names:
            contents = {n: rng.randint(1, min(MOST_PIECES, trip.kit[n].count)) for n in names}
            carried = rng.choice([("quick",), ("stowed",), ("quick", "stowed")])
            name, bulky = f"kit bag {number}", rng.random() < 0.5
            trip = put_together(trip, name, contents, carried, bulky=bulky)
    return trip


def put_together(
    trip: Trip, name: str, contents: dict[str, int], carried: tuple[str, ...], *, bulky: bool
) -> Trip:
    """Return the trip with as many bundles of these contents as its kit is enough for."""
    copies = min(trip.kit[one].count // n for one, n in contents.items())
    inside = tuple((trip.kit[one].item, n) for one, n in contents.items())
    mass_g = sum(n * one.mass_g for one, n in inside)
    volume_ml = sum(n * one.volume_ml for one, n in inside)
    item = Item(name, frozenset(), mass_g, volume_ml, carried, bulky=bulky, contains=inside)
    kit = {one: _take_out(row, copies * contents.get(one, 0)) for one, row in trip.kit.items()}
    kit = {one: row for one, row in kit.items() if row.count}
    kit[name] = Kit(item, copies)
    legs = tuple(
        replace(leg, kit=(*(one for one in leg.kit if one in kit), name)) for leg in trip.legs
    )
    catalog = replace(trip.catalog, items=trip.catalog.items | {name: item})
    return replace(trip, catalog=catalog, kit=kit, legs=legs)


def _take_out(kit: Kit, copies: int) -> Kit:
    left = kit.count - copies
    return replace(kit, count=left, take=min(kit.take, left))
