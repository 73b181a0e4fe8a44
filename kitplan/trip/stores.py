"""Frozen nouns of stores: what a trip of several days eats, drinks, burns and fills, and its camp.

Whole-number units as in the rest of this package; `needs.stores` does the arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.errors import NOWHERE, Place

if TYPE_CHECKING:
    from kitplan.trip.catalog import Item

CLIMATES: tuple[str, ...] = ("hot", "mild", "cold", "extreme")
CARRIED_WATER, RIVER_WATER = "carried", "from the river"
"""Where drinking water comes from; from the river it is treated, and weighs nothing aboard."""
MORNING, EVENING = "morning", "evening"
BY_DAY, IN_COMMON, FILLS = "by day", "in common", "fills"
"""How a store is packed: for each day by itself, used up from one stock, or filled on the way."""


@dataclass(frozen=True, slots=True)
class Container:
    """A box, bag or canister: what it weighs empty, its outer volume, and what it holds.

    One of `holds_g` and `holds_ml` is given. With `returns` it stays aboard once it is empty;
    with `comes_full` it can't be had part full.
    """

    name: str
    mass_g: int
    volume_ml: int
    holds_g: int | None = None
    holds_ml: int | None = None
    returns: bool = False
    comes_full: bool = False
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class StoreRate:
    """What one person uses, or fills, in a day.

    `amounts` by climate, in grams or, where `in_ml`, in millilitres; `litre_g` turns volume into
    mass, and is 0 where only masses are given.
    """

    name: str
    kind: str
    amounts: dict[str, int]
    in_ml: bool
    litre_g: int
    container: Container
    use: str  # BY_DAY, IN_COMMON or FILLS
    water: str = ""  # counts only where drinking water is so; "": always
    source: str = ""
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class CampRow:
    """So many of an item that go along on all days.

    `count` in all, or, where `for_each` is above 0, for each so many people, a part counting whole.
    """

    item: Item
    count: int
    for_each: int = 0
    water: str = ""  # counts only where drinking water is so; "": always
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Restock:
    """Stores that come aboard on the way, up to the next time that they do.

    `brings` names rates; empty: all. With `takes_back` their empty containers, and full ones of
    what fills, go ashore at the same time.
    """

    day: int
    at: str  # MORNING or EVENING
    brings: tuple[str, ...] = ()
    takes_back: bool = False
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Lot:
    """Containers or things that are alike on every morning.

    `day` is the one day it is for, None if it is for several. It is aboard from the morning of
    `first_day`; `masses_g` is what one weighs on that morning and each that follows, container
    included. `left_g` of one stays aboard once it is used up; 0: nothing does. What was packed
    before has its `name` and those of its `boxes`, one for each of `count`; else names are given.
    `lies`: the boat in which each of these boxes lies already, as it is called; "" for none.
    """

    store: str
    kind: str
    day: int | None
    container: str  # "" for things that need none
    count: int
    volume_ml: int  # of one
    first_day: int
    masses_g: tuple[int, ...]
    left_g: int = 0
    packed_mm: int = 0  # of a long rigid thing
    name: str = ""
    boxes: tuple[str, ...] = ()
    lies: tuple[str, ...] = ()

    @property
    def last_day(self) -> int:
        """Return the last day on whose morning it is aboard."""
        return self.first_day + len(self.masses_g) - 1

    @property
    def full_g(self) -> int:
        """Return the most that one weighs on a morning, in grams."""
        return max(self.masses_g)

    def weigh(self, day: int) -> int:
        """Return what one weighs on the morning of a day, in grams; 0 if it is not aboard."""
        return self.masses_g[day - self.first_day] if self.is_aboard(day) else 0

    def is_aboard(self, day: int) -> bool:
        """Say whether it is in the boats on the morning of a day."""
        return self.first_day <= day <= self.last_day


@dataclass(frozen=True, slots=True)
class Stores:
    """All that a trip carries besides people, boats' own gear and safety kit.

    `rates` and `camp` are those that count with this climate and water. `own` are rows of the
    trip's own; `bag_g` and `bag_ml` are each person's bag. `lots`: what is packed already, each lot
    with its name; then this is all there is, whoever is there to use it.
    """

    climate: str
    water: str
    rates: tuple[StoreRate, ...]
    camp: tuple[CampRow, ...]
    own: tuple[CampRow, ...]
    bag_g: int
    bag_ml: int
    restocks: tuple[Restock, ...] = ()
    lots: tuple[Lot, ...] | None = None  # None: worked out from people and days
    where: Place = field(default=NOWHERE, compare=False, repr=False)
