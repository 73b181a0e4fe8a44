"""What can be had for money before a trip: things, lessons, one more person on standby."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.errors import NOWHERE, Place

if TYPE_CHECKING:
    from kitplan.trip.catalog import Item
    from kitplan.trip.party import Paddler


@dataclass(frozen=True, slots=True)
class Offer:
    """An item that can be bought or borrowed, at a price for each copy, up to `most` more.

    None: as many as are of use.
    """

    item: Item
    price_cents: int
    most: int | None = None
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Lesson:
    """One level of a skill that a paddler can be taught before the trip: he is at `level` then.

    `days`: how long it takes. Somebody takes one lesson at the most. A guest stays a guest.
    """

    paddler: str
    skill: str
    level: int
    price_cents: int
    days: int = 0
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Standby:
    """One more person who can be brought, at a price for the trip.

    `legs`: the places in the trip of the legs that he would come along on; empty: all.
    """

    paddler: Paddler
    price_cents: int
    legs: tuple[int, ...] = ()
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Market:
    """All that has a price, in one currency; what has none is not in it.

    `offers` and `standbys` by the name of the item and of the paddler.
    """

    currency: str = "EUR"
    offers: dict[str, Offer] = field(default_factory=dict)
    lessons: tuple[Lesson, ...] = ()
    standbys: dict[str, Standby] = field(default_factory=dict)
