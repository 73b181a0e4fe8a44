"""Seats and packing with order and waiting places decided: `build/held` the other way round.

Which boats are at a site while a boat runs is known then. So what a way asks is a sum over these
boats of what is in them, the same at all rapids and moments where the same boats are at a site.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from kitplan.build.held import Held, read_aboard
from kitplan.build.standing import Standing
from kitplan.build.terms import Most
from kitplan.build.variables import Variables, add_up

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping

    from ortools.sat.python import cp_model

    from kitplan.build.eligible import Eligible
    from kitplan.build.terms import Sites
    from kitplan.build.variables import Count, Linear, StationKey, When
    from kitplan.trip import Rapid, Trip

    Names = frozenset[str]


class Posted(Variables):
    """The variables of seats and packing; running order and stations are as decided."""

    def __init__(
        self, trip: Trip, rapids: Iterable[str], decided: Mapping[str, int], near: int
    ) -> None:
        """Create the variables. `decided`: a plan, by the names of its variables.

        A boat whose station at a moment is not decided is nowhere then. `near`: how many more
        than with the plan's seats and packing there may be at sites, in ways that get a literal.
        """
        super().__init__(trip, rapids)
        self.aboard, self.near = read_aboard(trip, decided), near
        ranks = {b: k for (b, k), place in self.place.items() if decided.get(place.name)}
        for (b, k), place in self.place.items():
            self.model.add(place == int(ranks[b] == k))
        self.running = {
            rapid.name: sorted(rapid.boats, key=ranks.__getitem__) for rapid in self.rapids
        }
        self._there = self.model.new_constant(1)
        self._posts = {
            key: self._there
            for key, variable in Variables(trip, self.running).station.items()
            if decided.get(variable.name)
        }
        self._at: dict[tuple[When, str], tuple[str, ...]] = {}

    def _create_stations(self) -> dict[StationKey, cp_model.IntVar]:
        return {}

    def list_groups(self) -> list[tuple[str, ...]]:
        """Return none: the order is decided."""
        return []

    def list_running(self, rapid: Rapid, k: int) -> list[str]:
        """Return the boat that is the k-th to run, alone."""
        return [self.running[rapid.name][k]]

    def runs(self, rapid: Rapid, boat: str, k: int) -> int:
        """Return 1 if the boat is the k-th of those at the rapid to run, else 0."""
        return int(self.running[rapid.name][k] == boat)

    def stands(self, rapid: Rapid, j: int, k: int, site: str) -> cp_model.IntVar | None:
        """Return what is 1 if the j-th boat is there while the k-th runs, None if it is not."""
        name, j, moment, when = self.moment(rapid, j, k)
        return self._posts.get((name, j, moment, (when, site)))

    def list_at(self, when: When, site: str) -> tuple[str, ...]:
        """Return the boats that are at a site while a boat runs, sorted."""
        if (when, site) not in self._at:
            rapid, k = self.trip.rapids[when[0]], when[1]
            there = enumerate(self.running[rapid.name])
            boats = (b for j, b in there if j != k and self.stands(rapid, j, k, site) is not None)
            self._at[when, site] = tuple(sorted(boats))
        return self._at[when, site]


class PostedStanding(Standing):
    """Counts at sites where it is known which boats are there."""

    def __init__(self, variables: Posted, walkers: Mapping[str, Names]) -> None:
        """Add nothing yet. `walkers[rapid]`: who walks round it."""
        super().__init__(variables, walkers)
        self.posted = variables

    def tell(self, sites: Sites, when: When) -> Hashable:
        """Return what a sum over sites is told by: which boats are there, and who walks."""
        rapid = when[0]
        parts = ((self.posted.list_at(when, site), names) for site, names in sites.parts)
        return (*parts, self.walkers[rapid])

    def tell_site(self, site: str, when: When) -> Hashable:
        """Return what is at a site is told by."""
        return self.posted.list_at(when, site), self.walkers[when[0]]

    def people(self, names: Names, when: When, site: str) -> Linear:
        """Return a number no greater than those of `names` at a site while a boat runs."""
        return add_up(
            self._one(("people", names, b), *self._people_in(names, b, ""))
            for b in self.posted.list_at(when, site)
        )

    def things(self, names: Names, when: When, site: str) -> Linear:
        """Return a number no greater than the items `names` at a site then, worn and quick."""
        ashore = self.walkers[when[0]]
        return add_up(
            self._one(("things", names, b, ashore), *self._things_in(names, b, ashore, ""))
            for b in self.posted.list_at(when, site)
        )

    def crowd(self, names: Names, when: When, site: str) -> Linear:
        """Return the number of those of `names` at a site then: whom to look after."""
        return self._sum(partial(self.v.count_people, names), when, site)

    def bundles(self, names: Names, when: When, site: str) -> Linear:
        """Return the number of the bundles `names` that lie quick at a site then."""
        return self._sum(partial(self.v.count_bundles, names), when, site)

    def _sum(self, count: Callable[[str], Count], when: When, site: str) -> Linear:
        return add_up(count(b) for b in self.posted.list_at(when, site))

    def _one(self, key: Hashable, count: Count, most: int) -> Linear:
        """Return a number no greater than a count, made once."""
        if key not in self._number:
            number = self.v.model.new_int_var(0, most, f"aboard[{len(self._number)}]")
            self.v.model.add(number <= count)
            self._number[key] = number
        return self._number[key]


class PostedMost(Most):
    """What there may be at sites, near what there is with the seats and packing of a plan.

    What asks for more is left out, which is most of the ways: a search for better seats and packing
    is quicker for that, and what it finds is none the worse.
    """

    def __init__(self, eligible: Eligible, variables: Posted) -> None:
        """Start empty."""
        super().__init__(eligible)
        self.v = variables
        self._held = {
            boat: held
            for held in (
                Held(self.trip, rapid.name, variables.aboard)
                for rapid in {rapid.leg: rapid for rapid in variables.rapids}.values()
            )
            for boat in held.boats
        }
        self._aboard: dict[Hashable, int] = {}

    def _people(self, rapid: str, k: int, sites: Sites) -> int:
        there = self._list_there(sites, rapid, k)
        return self.v.near + sum(self._count_people(b, names) for b, names in there)

    def _things(self, rapid: str, k: int, sites: Sites) -> int:
        there, ashore = self._list_there(sites, rapid, k), self.eligible.walkers[rapid]
        return self.v.near + sum(self._count_things(b, names, ashore) for b, names in there)

    def _list_there(self, sites: Sites, rapid: str, k: int) -> Iterator[tuple[str, Names]]:
        """Yield each boat at the sites, with whom or what of it to count."""
        for site, names in sites.parts:
            for boat in self.v.list_at((rapid, k), site):
                yield boat, names

    def _count_people(self, boat: str, names: Names) -> int:
        key = (boat, names)
        if key not in self._aboard:
            self._aboard[key] = self._held[boat].count_people(names, boat)
        return self._aboard[key]

    def _count_things(self, boat: str, names: Names, ashore: Names) -> int:
        key = (boat, names, ashore)
        if key not in self._aboard:
            count = self._held[boat].count_things
            self._aboard[key] = count(names, boat, stowed=False, ashore=ashore)
        return self._aboard[key]
