"""Frozen nouns of a fleet: its trips, what may be issued, the lists, and what comes of them.

Costs are in cents, or in grams where the lists are to be light; those of extras are hundredths of
that, as a factor in per cent goes with them (`Fleet.weigh`).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

    from kitplan.demands import Needs
    from kitplan.plan import Plan
    from kitplan.trip import BoatType, Item, Trip

PER_CENT = 100
LEVELS = (2, 3, 4)
"""Levels of leading that have a set to be worn: those of guides."""


@dataclass(frozen=True, slots=True)
class Ware:
    """An item that may be issued: what a copy costs, and how many are of use in one boat.

    `stand_ins` serve wherever it does, at whatever cost.
    """

    item: Item
    cost: int
    most: int
    stand_ins: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outing:
    """One of the trips given: as it is written, with all wares at hand, and what it asks for.

    `asked` is of the trip with all wares.
    """

    name: str
    trip: Trip
    stocked: Trip
    asked: Needs


@dataclass(frozen=True, slots=True)
class Fleet:
    """The trips, what may be issued, and how many get each list.

    `boats`: by boat type; `guides`: by level of leading. `unpriced`: asked for by a trip, and not
    to be had for want of a price.
    """

    outings: dict[str, Outing]
    wares: dict[str, Ware]
    types: dict[str, BoatType]
    boats: dict[str, int]
    guides: dict[int, int]
    factor: int = 150
    by_mass: bool = False
    unpriced: tuple[str, ...] = ()
    currency: str = "EUR"

    def weigh(self, lists: Lists) -> int:
        """Return what lists cost in all, in hundredths of a cent or gram."""
        return self.weigh_for(lists, self.boats, self.guides)

    def weigh_for(self, lists: Lists, boats: Mapping[str, int], guides: Mapping[int, int]) -> int:
        """Return what lists cost for so many boats and guides, in hundredths of a cent or gram."""
        issued = sum(n * boats[kind] * self.cost(i) for (kind, i), n in lists.issued.items())
        worn = sum(n * guides[level] * self.cost(i) for (level, i), n in lists.worn.items())
        extras = sum(n * self.cost(i) for (_, i), n in lists.extras.items())
        return PER_CENT * (issued + worn) + self.factor * extras

    def cost(self, item: str) -> int:
        """Return what one copy of an item costs, in cents or grams."""
        return self.wares[item].cost


@dataclass(frozen=True, slots=True)
class Lists:
    """What is issued: copies by boat type and item, by level of leading and item, by trip and item.

    What is 0 is left out.
    """

    issued: dict[tuple[str, str], int] = field(default_factory=dict)
    worn: dict[tuple[int, str], int] = field(default_factory=dict)
    extras: dict[tuple[str, str], int] = field(default_factory=dict)

    def of_trip(self, name: str) -> Lists:
        """Return the lists with the extras of one trip alone."""
        extras = {key: n for key, n in self.extras.items() if key[0] == name}
        return Lists(self.issued, self.worn, extras)

    def join(self, other: Lists) -> Lists:
        """Return lists that have of every line the more of the two."""
        parts = ((self.issued, other.issued), (self.worn, other.worn), (self.extras, other.extras))
        return Lists(*(_take_more(*both) for both in parts))

    def count_extras(self) -> int:
        """Return how many pieces are brought as extras."""
        return sum(self.extras.values())

    def less_one(self, line: Line) -> Lists:
        """Return the lists with one copy less of a line."""
        issued, worn, extras = (
            _drop_one(part, line.key if line.what == what else None)
            for what, part in (("boat", self.issued), ("guide", self.worn), ("extra", self.extras))
        )
        return Lists(issued, worn, extras)

    def list_lines(self) -> list[Line]:
        """Return every line: boat types first, then guides, then extras, each by name."""
        return [
            *(Line("boat", key, n) for key, n in sorted(self.issued.items())),
            *(Line("guide", key, n) for key, n in sorted(self.worn.items())),
            *(Line("extra", key, n) for key, n in sorted(self.extras.items())),
        ]


def _take_more(one: Mapping[Any, int], other: Mapping[Any, int]) -> dict[Any, int]:
    """Return the greater number of each line."""
    return {key: max(one.get(key, 0), other.get(key, 0)) for key in sorted({*one, *other})}


def _drop_one(part: Mapping[Any, int], which: object) -> dict[Any, int]:
    """Return a part of the lists with one copy less of a line; lines of none are left out."""
    left = {key: n - (key == which) for key, n in part.items()}
    return {key: n for key, n in left.items() if n}


@dataclass(frozen=True, slots=True)
class Line:
    """One line: "boat" by type, "guide" by level of leading, "extra" by trip; item; copies."""

    what: str
    key: tuple[str, str] | tuple[int, str]
    count: int

    @property
    def item(self) -> str:
        """Return the item of the line."""
        return self.key[1]


@dataclass(frozen=True, slots=True)
class Goal:
    """What a trip's cover must come to: the least of aims 1 to 3 with unlimited kit, or a share.

    `floors`: what each rapid adds to aims 2 and 3 at least. `one_bank`: None where a share of the
    weight is asked for from at least one bank. `exact`: no kit does better. `together`: some kit
    brings every rapid to its floors at once. `rowing`: the fewest minutes of walking back up to row
    twice, where nobody could be seated otherwise; None: nobody rows twice.
    """

    short: dict[str, int]
    uncovered: int
    one_bank: int | None
    floors: dict[str, tuple[int, int]]
    exact: bool
    together: bool
    best: tuple[int, int] = (0, 0)  # of aims 2 and 3 with unlimited kit
    weight: int = 0  # of all cases
    reached: bool = True  # by unlimited kit: a share may be out of reach
    decided: dict[str, int] = field(default_factory=dict)  # of a plan that reaches it, by names
    rowing: int | None = None


@dataclass(frozen=True, slots=True)
class Suffers:
    """What a trip loses with one copy of a line less: at a rapid, of a rule, or what must go.

    `loses`: weight of cases at the rapid that lose cover from anywhere, and from all banks.
    `rule`: the rule or spread that falls short. With neither the trip can't go as it is written.
    """

    trip: str
    rapid: str = ""
    loses: tuple[int, int] = (0, 0)
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Needed:
    """A line, and which trips would suffer without one copy of it; `proven`: all were asked."""

    line: Line
    suffers: tuple[Suffers, ...]
    proven: bool = True


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a trip comes to with its lists: its kit as a trip, and the plan the verifier accepted.

    `plan` None: none was found in time. `misses`: it does not reach its goal. `gaps`: what each
    rapid adds to aims 2 and 3.
    """

    goal: Goal
    kit: Trip | None = None
    plan: Plan | None = None
    misses: bool = False
    gaps: dict[str, tuple[int, int]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Standard:
    """The lists found, what each line is needed for, and what they cost.

    `bound`: no lists cost less, in hundredths. `apart`: what each trip's own cheapest kit costs,
    for its own boats and guides, and a bound of it; trips for which there was no time are absent.
    """

    fleet: Fleet
    lists: Lists
    bound: int
    outcomes: dict[str, Outcome]
    needed: tuple[Needed, ...] = ()
    apart: dict[str, tuple[int, int]] = field(default_factory=dict)
    canonical: bool = True
    rounds: int = 0
    spent_s: dict[str, float] = field(default_factory=dict)

    @property
    def cost(self) -> int:
        """Return what the lists cost, in hundredths of a cent or gram."""
        return self.fleet.weigh(self.lists)

    @property
    def missed(self) -> tuple[str, ...]:
        """Return the trips that miss their cover."""
        return tuple(name for name, one in self.outcomes.items() if one.misses)


def count_boats(trip: Trip) -> Counter[str]:
    """Return how many boats of each type a trip uses: the most in any leg."""
    most: Counter[str] = Counter()
    for leg in trip.legs:
        most |= Counter(trip.boats[b].type.name for b in leg.boats)
    return most


def list_guides(trip: Trip, level: int | None = None) -> list[str]:
    """Return the guides of a trip, of one level of leading or of all; nobody minded is one."""
    return [
        name
        for name, one in trip.paddlers.items()
        if not one.minded and (grade := one.level("leading")) in LEVELS
        if level is None or grade == level
    ]


def count_guides(trip: Trip) -> Counter[int]:
    """Return how many guides of each level a trip has: the most in any leg."""
    most: Counter[int] = Counter()
    for leg in trip.legs:
        there = trip.list_party(leg)
        most |= Counter(
            one.level("leading") for name in list_guides(trip) if (one := there.get(name))
        )
    return most
