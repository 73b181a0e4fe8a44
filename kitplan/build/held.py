"""A rapid by itself with seats, packing and running order decided: only where boats wait is open.

Who and what is in a boat are numbers then, not variables, and one boat alone is the j-th: so the
model of a rapid is a small part of what it is with all of that open.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from heapq import nlargest
from typing import TYPE_CHECKING

from kitplan.build.terms import Most
from kitplan.build.variables import CREW_PADDLE, Variables

if TYPE_CHECKING:
    from collections.abc import Hashable, Mapping

    from ortools.sat.python import cp_model

    from kitplan.build.eligible import Eligible
    from kitplan.build.terms import Sites
    from kitplan.trip import Rapid, Trip

    Names = frozenset[str]


@dataclass(frozen=True, slots=True)
class Aboard:
    """Who sits and what lies in each boat, and the order in which the boats run, leg after leg.

    `packed`: for each boat a dict from item and how it is carried to how many; 0 is left out.
    """

    crews: dict[str, frozenset[str]]
    packed: dict[str, dict[tuple[str, str], int]]
    order: tuple[str, ...]


def read_aboard(trip: Trip, decided: Mapping[str, int]) -> Aboard:
    """Return seats, packing and order out of decisions by the names of their variables.

    A decision that is not there counts as 0.
    """
    everything = Variables(trip, ())
    crews: dict[str, set[str]] = {b: set() for b in everything.boats}
    packed: dict[str, dict[tuple[str, str], int]] = {b: {} for b in everything.boats}
    for (p, b), seat in everything.seat.items():
        if decided.get(seat.name):
            crews[b].add(p)
    for (i, b, carried), pack in everything.pack.items():
        if count := decided.get(pack.name):
            packed[b][i, carried] = count
    ranks = {b: k for (b, k), place in everything.place.items() if decided.get(place.name)}
    order = sorted(ranks, key=lambda b: (trip.boats[b].leg, ranks[b]))
    return Aboard({b: frozenset(crew) for b, crew in crews.items()}, packed, tuple(order))


class Held(Variables):
    """The variables of one rapid with all decided but its stations; counts are whole numbers."""

    def __init__(self, trip: Trip, rapid: str, aboard: Aboard) -> None:
        """Create the stations of the rapid."""
        self.aboard = aboard
        there = trip.rapids[rapid].boats
        self.running = tuple(b for b in aboard.order if b in there)
        super().__init__(trip, (rapid,), all_legs=False)

    def _create_seats(self) -> dict[tuple[str, str], cp_model.IntVar]:
        return {}

    def _create_steerers(self) -> dict[tuple[str, str], cp_model.IntVar]:
        return {}

    def _create_taken(self) -> dict[str, cp_model.IntVar]:
        return {}

    def _create_packing(self) -> dict[tuple[str, str, str], cp_model.IntVar]:
        return {}

    def _create_order(self) -> dict[tuple[str, int], cp_model.IntVar]:
        return {}

    def list_groups(self) -> list[tuple[str, ...]]:
        """Return none: the order is decided."""
        return []

    def list_running(self, _rapid: Rapid, k: int) -> list[str]:
        """Return the boat that is the k-th to run, alone."""
        return [self.running[k]]

    def runs(self, _rapid: Rapid, boat: str, k: int) -> int:
        """Return 1 if the boat is the k-th of those at the rapid to run, else 0."""
        return int(self.running[k] == boat)

    def count_people(self, names: Names, boat: str, _rapid: str = "") -> int:
        """Return how many of the paddlers `names` sit in the boat."""
        return len(names & self.aboard.crews[boat])

    def count_things(
        self,
        names: Names,
        boat: str,
        *,
        stowed: bool,
        ashore: Names = frozenset(),
        rapid: str = "",  # noqa: ARG002 - nobody rows twice
    ) -> int:
        """Return how many of the items `names` a boat has: dealt, worn of one's own, in bundles."""
        packed = self.aboard.packed[boat].items()
        dealt = sum(n * self._count_in(i, names) for (i, w), n in packed if stowed or w != "stowed")
        crew = self.aboard.crews[boat]
        own = sum(self._count_own(p, names) for p in crew - ashore)
        paddle = self.trip.boats[boat].type.crew_paddle
        paddles = paddle is not None and CREW_PADDLE + paddle in names
        return dealt + own + (len(crew) - 1 if paddles else 0)

    def count_bundles(self, names: Names, boat: str) -> int:
        """Return how many of the bundles `names` lie quick in a boat."""
        packed = self.aboard.packed[boat].items()
        return sum(n for (i, w), n in packed if i in names and w == "quick")


class HeldMost(Most):
    """The most there could be at sites with seats, packing and order as they are decided."""

    def __init__(self, eligible: Eligible, variables: Held) -> None:
        """Start empty."""
        super().__init__(eligible)
        self.v = variables
        self._there: dict[Hashable, int] = {}

    def _people(self, rapid: str, k: int, sites: Sites) -> int:
        return sum(self._count_at(rapid, k, site, names, "people") for site, names in sites.parts)

    def _things(self, rapid: str, k: int, sites: Sites) -> int:
        return sum(self._count_at(rapid, k, site, names, "things") for site, names in sites.parts)

    def _count_at(self, rapid: str, k: int, site: str, names: Names, what: str) -> int:
        """Return the most of some names that the boats which may wait at a site can bring."""
        key = (k, site, names, what)
        if key not in self._there:
            place = self.trip.rapids[rapid]
            counts: dict[bool, list[int]] = defaultdict(list)
            for j, boat in enumerate(self.v.running):
                if j != k and self.v.stands(place, j, k, site) is not None:
                    counts[j > k].append(self._count_aboard(rapid, boat, names, what))
            before, after = self._count_rooms(rapid, k, site)
            self._there[key] = sum(nlargest(before, counts[True])) + sum(
                nlargest(after, counts[False])
            )
        return self._there[key]

    def _count_aboard(self, rapid: str, boat: str, names: Names, what: str) -> int:
        if what == "people":
            return self.v.count_people(names, boat)
        walkers = self.eligible.walkers[rapid]
        return self.v.count_things(names, boat, stowed=False, ashore=walkers)
