"""Nouns of mending: what is changed, for money or by the leader, and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kitplan.plan import Arrangement

BUY, TEACH, BRING = "buy", "teach", "bring"
PORTAGE, WALK, RESET_EACH, ACCEPT, SWAP = "portage", "guests walk", "reset", "accept", "swap"
"""Sorts of what the leader may decide that has no price."""


@dataclass(frozen=True, slots=True, order=True)
class Remedy:
    """One priced change of a trip: so many copies of an item, a lesson, or one more person.

    `name`: the item or the paddler. `skill`, `level`: what he is taught, and where he is then.
    `price_cents`: of all copies. `mass_g`: of what comes along by it, without a person's own.
    """

    sort: str
    name: str
    skill: str = ""
    level: int = 0
    count: int = 1
    price_cents: int = 0
    mass_g: int = 0


@dataclass(frozen=True, slots=True)
class Mend:
    """What a set of remedies comes to.

    `values`: by name, the tiers of aim 1, aims 2 and 3, and 4 if it was asked for; `bounds`: what
    no set within the same budget can beat. `least_cents`: no set that costs less has such values;
    it is the set's price where that is proven. `arrangement`: of the trip with the remedies
    applied.
    """

    remedies: tuple[Remedy, ...]
    values: dict[str, int]
    bounds: dict[str, int]
    least_cents: int
    arrangement: Arrangement

    @property
    def price_cents(self) -> int:
        """Return what all of it costs."""
        return sum(one.price_cents for one in self.remedies)

    @property
    def mass_g(self) -> int:
        """Return what all of it weighs."""
        return sum(one.mass_g for one in self.remedies)

    @property
    def proven(self) -> bool:
        """Say whether the values are the best, and nothing cheaper reaches them."""
        return self.values == self.bounds and self.least_cents == self.price_cents
