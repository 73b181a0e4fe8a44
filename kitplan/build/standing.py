"""Who and what is at a site while a boat runs: counts that may fall short, never exceed.

Boats are told by their place in the running order, so that what stands at a site does not depend
on which boat it is: before its run the j-th boat adds the same whichever earlier boat runs, and
after its run the same whichever later one. With stations held a number for each site thus serves
all running boats.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from kitplan.build.lookup import Lookup
from kitplan.build.variables import add_up

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterator, Mapping

    from ortools.sat.python import cp_model

    from kitplan.build.terms import Sites
    from kitplan.build.variables import Count, Linear, Variables, When
    from kitplan.trip import Rapid

    Names = frozenset[str]


class Standing:
    """Adds numbers of people and things at sites, each once."""

    def __init__(self, variables: Variables, walkers: Mapping[str, frozenset[str]]) -> None:
        """Add nothing yet. `walkers[rapid]`: who walks round it."""
        self.v, self.walkers = variables, walkers
        self.trip = variables.trip
        self._number: dict[Hashable, Linear] = {}
        self._ranked: dict[Hashable, tuple[Count, int]] = {}
        self._aboard: dict[Hashable, tuple[Count, int]] = {}
        self._split: dict[Hashable, list[Linear]] = {}
        self._at: Lookup[tuple[When, str], list[tuple[int, cp_model.IntVar]]] = Lookup(
            lambda there: list(self._list_at(*there))
        )
        self._most = {"crowd": variables.most_people, "bundles": variables.most_bundles}

    def tell(self, sites: Sites, when: When) -> Hashable:
        """Return what a sum over sites while a boat runs is told by: equal ones are equal sums."""
        return sites, when

    def tell_site(self, site: str, when: When) -> Hashable:
        """Return what a count at a site while a boat runs is told by."""
        return site, when

    def people(self, names: Names, when: When, site: str) -> Linear:
        """Return a number no greater than those of `names` at a site while a boat runs."""
        return self._add_up(self._people_of, ("people", names), when, site)

    def things(self, names: Names, when: When, site: str) -> Linear:
        """Return a number no greater than the items `names` at a site then, worn and quick."""
        return self._add_up(self._things_of, ("things", names), when, site)

    def crowd(self, names: Names, when: When, site: str) -> Linear:
        """Return a number no less than those of `names` at a site then: whom to look after."""
        return self._add_up_all(("crowd", names), partial(self.v.count_people, names), when, site)

    def bundles(self, names: Names, when: When, site: str) -> Linear:
        """Return a number no less than the bundles `names` that lie quick at a site then."""
        return self._add_up_all(
            ("bundles", names), partial(self.v.count_bundles, names), when, site
        )

    def _add_up_all(
        self, what: tuple[str, Names], count: Callable[[str], Count], when: When, site: str
    ) -> Linear:
        """Return a number no less than the count in the boats at a site then."""
        rapid = self.trip.rapids[when[0]]
        return add_up(
            self._count_all(what, count, (rapid, j), stands) for j, stands in self._at[when, site]
        )

    def _list_at(self, when: When, site: str) -> Iterator[tuple[int, cp_model.IntVar]]:
        """Yield which boats may be at a site while the k-th runs, with what is 1 if one is."""
        rapid, k = self.trip.rapids[when[0]], when[1]
        for j in range(len(rapid.boats)):
            stands = self.v.stands(rapid, j, k, site) if j != k else None
            if stands is not None:
                yield j, stands

    def _add_up(
        self,
        count: Callable[[Names, Rapid, int], tuple[Count, int]],
        what: tuple[str, Names],
        when: When,
        site: str,
    ) -> Linear:
        rapid, k = self.trip.rapids[when[0]], when[1]
        parts = []
        for j, stands in self._at[when, site]:
            key = (*what, stands.index)
            if key not in self._number:
                there, most = count(what[1], rapid, j)
                self._number[key] = self._cut(there, most, stands)
                if isinstance(there, int):
                    parts.append(self._number[key])
                    continue
                moment = (*what, *self.v.moment(rapid, j, k))
                split = self._split.setdefault(moment, [])
                split.append(self._number[key])
                if len(split) > 1:
                    self.v.model.add(add_up(split) <= there)
            parts.append(self._number[key])
        return add_up(parts)

    def _cut(self, there: Count, most: int, stands: cp_model.IntVar) -> Linear:
        """Return a number no greater than `there`, and 0 unless the literal holds."""
        if most == 0:
            return add_up(())
        if isinstance(there, int):
            return there * stands
        here = self.v.model.new_int_var(0, most, f"here[{len(self._number)}]")
        self.v.model.add(here <= there)
        self.v.model.add(here <= most * stands)
        return here

    def _count_all(
        self,
        what: tuple[str, Names],
        count: Callable[[str], Count],
        which: tuple[Rapid, int],
        stands: cp_model.IntVar,
    ) -> Linear:
        key = (*what, stands.index)
        if key not in self._number:
            rapid, j = which
            there = self.v.list_running(rapid, j)
            most = max(self._most[what[0]](what[1], b) for b in there)
            here = self.v.model.new_int_var(0, most, f"{what[0]}[{len(self._number)}]")
            for b in there:
                enough = self.v.model.add(here >= count(b))
                enough.only_enforce_if(stands, self.v.runs(rapid, b, j))
            self._number[key] = here
        return self._number[key]

    # --- boats by their place in the order ------------------------------------------------------

    def _people_of(self, names: Names, rapid: Rapid, j: int) -> tuple[Count, int]:
        """Return a number no greater than those of `names` in the j-th boat, and its bound."""
        where = rapid.name if self.v.twice else ""
        key = ("people", names, where, tuple(sorted(rapid.boats)), j)
        if key not in self._ranked:
            aboard = {b: self._people_in(names, b, where) for b in self._list_there(rapid, j)}
            self._ranked[key] = self._rank(aboard, rapid, j)
        return self._ranked[key]

    def _things_of(self, names: Names, rapid: Rapid, j: int) -> tuple[Count, int]:
        """Return a number no greater than the items the j-th boat brings ashore, and its bound."""
        where = rapid.name if self.v.twice else ""
        ashore = self.walkers[rapid.name]
        key = ("things", names, ashore, where, tuple(sorted(rapid.boats)), j)
        if key not in self._ranked:
            aboard = {
                b: self._things_in(names, b, ashore, where) for b in self._list_there(rapid, j)
            }
            self._ranked[key] = self._rank(aboard, rapid, j)
        return self._ranked[key]

    def _list_there(self, rapid: Rapid, j: int) -> list[str]:
        """Return the boats that may be the j-th, in the order of the rapid's."""
        there = self.v.list_running(rapid, j)
        return [b for b in rapid.boats if b in there]

    def _people_in(self, names: Names, boat: str, where: str) -> tuple[Count, int]:
        """Return how many of `names` sit in a boat, and the most it can be."""
        key = ("people", names, boat, where)
        if key not in self._aboard:
            count = self.v.count_people(names, boat, where)
            self._aboard[key] = count, self.v.most_people(names, boat)
        return self._aboard[key]

    def _things_in(self, names: Names, boat: str, ashore: Names, where: str) -> tuple[Count, int]:
        """Return how many of the items a boat brings ashore, and the most it can be."""
        key = ("things", names, boat, ashore, where)
        if key not in self._aboard:
            count = self.v.count_things(names, boat, stowed=False, ashore=ashore, rapid=where)
            self._aboard[key] = count, self.v.most_things(names, boat)
        return self._aboard[key]

    def _rank(
        self, aboard: dict[str, tuple[Count, int]], rapid: Rapid, j: int
    ) -> tuple[Count, int]:
        """Return a number no greater than the count of whichever boat is the j-th at a rapid.

        With it the most it can be.
        """
        decided = [count for count, _ in aboard.values() if isinstance(count, int)]
        if decided:
            return decided[0], decided[0]
        most = max(most for _, most in aboard.values())
        number = self.v.model.new_int_var(0, most, f"ranked[{len(self._ranked)}]")
        for b, (count, _) in sorted(aboard.items()):
            self.v.model.add(number <= count).only_enforce_if(self.v.runs(rapid, b, j))
        return number, most
