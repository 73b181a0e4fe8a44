"""Whether trips can have a standard kit: each once, catalogues that agree, a type in common."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields, replace
from typing import TYPE_CHECKING

from kitplan.errors import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from kitplan.trip import BoatType, Item, Trip

SAID = frozenset({"source", "standard", "where"})
"""Words about an item that make no difference to what it is good for."""


def find_disagreeing(trips: Sequence[Trip]) -> list[Finding]:
    """Return what keeps trips from having a standard kit; empty if nothing does."""
    return [*_find_twice(trips), *_find_other(trips), *_find_apart(trips)]


def find_own_prices(trips: Iterable[Trip]) -> Iterator[Finding]:
    """Yield a warning for each price of a trip's own that is not that of its catalogue.

    What is issued for all trips costs what the catalogue says.
    """
    for trip in trips:
        for name, offer in trip.market.offers.items():
            listed = trip.catalog.items[name].price_cents
            if offer.price_cents != listed:
                message = f"the price of {name!r} on this trip makes no difference to the lists"
                hint = "write the price that the outfitter pays into the catalogue"
                yield Finding(offer.where, "warning", "own-price", message, hint)


def _find_twice(trips: Sequence[Trip]) -> Iterator[Finding]:
    first: dict[str, Trip] = {}
    for trip in trips:
        if trip.name in first:
            where = first[trip.name].where.text()
            message = f"the trip {trip.name!r} is given twice: it is in {where} as well"
            yield Finding(trip.where, "error", "trip-twice", message, "give each trip once")
        first.setdefault(trip.name, trip)


def _find_other(trips: Sequence[Trip]) -> Iterator[Finding]:
    """Yield items and boat types that two catalogues say different things of."""
    items: dict[str, Item] = {}
    types: dict[str, BoatType] = {}
    for trip in trips:
        used = {boat.type.name: boat.type for boat in trip.boats.values()}
        yield from _compare("item", items, trip.catalog.items)
        yield from _compare("boat type", types, used)


def _compare(
    what: str,
    known: dict[str, Item] | dict[str, BoatType],
    there: dict[str, Item] | dict[str, BoatType],
) -> Iterator[Finding]:
    for name, one in there.items():
        other = known.setdefault(name, one)  # type: ignore[arg-type]
        differs = list(_list_differing(one, other))
        if differs:
            said = ", ".join(differs)
            message = f"{what} {name!r} is not what it is in {other.where.text()}: other {said}"
            hint = "let both trips name the same catalogue, or give one of the two another name"
            yield Finding(one.where, "error", "catalogs-disagree", message, hint)


def _list_differing(one: Item | BoatType, other: Item | BoatType) -> Iterator[str]:
    """Yield which keys differ, as a catalogue writes them."""
    for field in fields(one):
        if field.name in SAID:
            continue
        values = [getattr(noun, field.name) for noun in (one, other)]
        if field.name == "contains":
            values = [[(replace(i, source="", standard=""), n) for i, n in row] for row in values]
        if values[0] != values[1]:
            yield _name_key(field.name)


def _name_key(field: str) -> str:
    """Return the key of a catalogue that a field of a noun comes from."""
    for unit in ("_g", "_ml", "_mm", "_n", "_cents"):
        field = field.removesuffix(unit)
    return {"packed": "packed_length"}.get(field, field)


def _find_apart(trips: Sequence[Trip]) -> Iterator[Finding]:
    used = Counter(kind for trip in trips for kind in _list_types(trip))
    if len(trips) > 1 and max(used.values(), default=0) <= 1:
        message = "no two of these trips use boats of one type, so no list would be of use twice"
        hint = "`kitplan plan` for each by itself, or trips that have a type of boat in common"
        yield Finding(trips[0].where, "error", "no-common-boat", message, hint)


def _list_types(trip: Trip) -> Iterable[str]:
    return {boat.type.name for boat in trip.boats.values()}
