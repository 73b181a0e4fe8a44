"""What makes a demand met, a case covered and backed: Hall's conditions on literals.

A literal stands for one condition and is one-way: true only if the condition holds. Conditions are
shared by all demands of a rapid that ask for the same; unhurried ones and those aboard a boat by
all rapids. What is met is counted anew by matching before anything is reported.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.hall import list_conditions, list_joint_conditions
from kitplan.build.minders import Minders
from kitplan.build.prune import drop_needless
from kitplan.build.variables import CREW_PADDLE, add_up

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Sequence

    from ortools.sat.python import cp_model

    from kitplan.build.minders import Asked
    from kitplan.build.variables import Linear, Variables
    from kitplan.demands import (
        Ask,
        BoatOption,
        BoatSlot,
        Choice,
        ItemSlot,
        Needs,
        PersonSlot,
        Thing,
        Variant,
    )
    from kitplan.trip import Item

    Work = tuple[tuple[str, ...], tuple[BoatOption, ...]]

BANK_SITES = ("left", "right")
HANDS = 2  # bulky things one person carries to a bank


class Cover:
    """Adds cover conditions to a model, each once."""

    def __init__(self, variables: Variables, needs: Needs) -> None:
        """Prepare eligibility by name; nothing is added yet."""
        self.v = variables
        self.trip = variables.trip
        self.needs = needs
        self._able: dict[Ask, frozenset[str]] = {}
        self._serving: dict[tuple[Thing, bool], frozenset[str]] = {}
        self._literal: dict[Hashable, cp_model.IntVar] = {}
        self._worth: dict[tuple[Variant, ...], list[Variant]] = {}
        self._names = self._list_thing_names()
        self.walkers = {
            name: asks.list_walkers(self.trip, rapid) for name, rapid in self.trip.rapids.items()
        }
        self.minders = Minders(variables, self.walkers)

    # --- demands, cases -------------------------------------------------------------------------

    def list_variants(self, choice: Choice) -> list[Variant]:
        """Return the variants of a choice that are worth a literal."""
        if choice.variants not in self._worth:
            self._worth[choice.variants] = drop_needless(
                choice.variants, self.able, minded=self.minders.any_guests
            )
        return self._worth[choice.variants]

    def possible(
        self, variant: Variant, rapid: str, running: str, *, pool: bool, spare: int
    ) -> cp_model.IntVar:
        """Return a literal that implies the variant can be done while `running` is in trouble.

        With `spare` 1 it can still be done after any one loss.
        """
        where = self.trip.rapids[rapid].boats if pool else rapid
        key = ("variant", where, running, variant.persons, variant.items, variant.boats,
               variant.needs_boat, spare)  # fmt: skip
        if key not in self._literal:
            literal = self._new(key)
            parts = (
                self._pool(variant, self._list_others(rapid, running), spare)
                if pool
                else self._at_once(variant, rapid, running, spare)
            )
            for part in parts:
                self.v.model.add_implication(literal, part)
        return self._literal[key]

    def _at_once(
        self, variant: Variant, rapid: str, running: str, spare: int
    ) -> list[cp_model.IntVar]:
        sites = dict.fromkeys(slot.site for slot in variant.items)
        parts = self._people(variant.persons, rapid, running, spare)
        for site in sites:
            slots = [slot for slot in variant.items if slot.site == site]
            parts += self._things(slots, site, rapid, running, spare)
            if site in BANK_SITES:
                least = sum(slot.count for slot in variant.persons if slot.sites == (site,))
                parts += self._hands(slots, site, rapid, running, (spare, least))
        return parts + self._boatwork(variant.boats, rapid, running, spare)

    # --- conditions at once ---------------------------------------------------------------------

    def _people(
        self, slots: Sequence[PersonSlot], rapid: str, running: str, spare: int
    ) -> list[cp_model.IntVar]:
        """People at their sites fill all person slots (family "people")."""
        types = [
            (
                frozenset((site, p) for site in slot.sites for p in self._there(slot.ask, rapid)),
                slot.count,
            )
            for slot in slots
        ]
        people = [
            self._at_least(
                ("people", rapid, running, condition.sees),
                condition.places + spare,
                partial(self._sum_sites, condition.sees, rapid, running, people=True),
            )
            for condition in list_conditions(types)
        ]
        return people + self._minders(tuple(slots), types, (rapid, running), spare)

    def _minders(
        self,
        slots: tuple[PersonSlot, ...],
        types: list[tuple[frozenset[tuple[str, str]], int]],
        at: tuple[str, str],
        spare: int,
    ) -> list[cp_model.IntVar]:
        """Guests on the team's banks are minded by guides besides (family "minders")."""
        rapid, running = at
        others = self._list_others(rapid, running)

        def count(asked: Asked) -> Linear:
            there = self._sum_sites(asked.sees, rapid, running, people=True)
            there -= self.minders.count(asked, others, at)
            return there - self.minders.spare(asked, others, at) if spare else there

        return [
            self._at_least(("minders", at, asked, spare), asked.places, partial(count, asked))
            for asked in self.minders.list_asked(slots, types, rapid)
        ]

    def _things(
        self, slots: Iterable[ItemSlot], site: str, rapid: str, running: str, spare: int
    ) -> list[cp_model.IntVar]:
        """Worn and quick things at a site fill its item slots (family "things")."""
        types = [
            (frozenset((site, i) for i in self.serving(slot.thing, crew=not spare)), slot.count)
            for slot in slots
        ]
        return [
            self._at_least(
                ("things", rapid, running, condition.sees),
                condition.places + spare,
                partial(self._sum_sites, condition.sees, rapid, running, people=False),
            )
            for condition in list_conditions(types)
        ]

    def _hands(
        self,
        slots: Iterable[ItemSlot],
        site: str,
        rapid: str,
        running: str,
        spare_and_least: tuple[int, int],
    ) -> list[cp_model.IntVar]:
        """Bulky things are carried in hand, two a person (family "hands").

        A condition that asks no more hands than the people who are there anyway is left out.
        """
        spare, least = spare_and_least
        types = [
            (
                frozenset(
                    (site, i)
                    for i in self.serving(slot.thing, crew=False)
                    if not self._item(i).bulky
                ),
                slot.count,
            )
            for slot in slots
        ]
        everybody = frozenset((site, p) for p in self.v.paddlers if p not in self.walkers[rapid])

        def count(sees: frozenset[tuple[str, str]]) -> Linear:
            small = self._sum_sites(sees, rapid, running, people=False)
            return small + HANDS * self._sum_sites(everybody, rapid, running, people=True)

        return [
            self._at_least(
                ("hands", rapid, running, site, condition.sees),
                condition.places + HANDS * spare,
                partial(count, condition.sees),
            )
            for condition in list_joint_conditions(types)
            if condition.places > HANDS * least
        ]

    def _sum_sites(
        self, sees: frozenset[tuple[str, str]], rapid: str, running: str, *, people: bool
    ) -> Linear:
        by_site: dict[str, set[str]] = {}
        for site, name in sees:
            by_site.setdefault(site, set()).add(name)
        count = self.v.people_at if people else self.v.things_at
        return add_up(
            count(frozenset(names), boat, rapid, site)
            for site, names in sorted(by_site.items())
            for boat in self._list_others(rapid, running)
        )

    # --- boats ----------------------------------------------------------------------------------

    def _boatwork(
        self, slots: Iterable[BoatSlot], rapid: str, running: str, spare: int
    ) -> list[cp_model.IntVar]:
        """Each boat's work is done by a boat of its own (family "boatwork")."""
        counts: dict[Work, int] = {}
        for slot in slots:
            work = (slot.stations, slot.options)
            counts[work] = counts.get(work, 0) + slot.count
        parts = []
        for some in _list_subsets(list(counts)):
            places = sum(counts[work] for work in some)
            able = [
                self._any([self._does(b, work, rapid) for work in some])
                for b in self._list_others(rapid, running)
            ]
            parts.append(
                self._at_least(
                    ("boatwork", rapid, running, tuple(some)),
                    places + spare,
                    partial(add_up, able),
                )
            )
        return parts

    def _does(self, boat: str, work: Work, rapid: str) -> cp_model.IntVar:
        """Return a literal that implies the boat stands so that it can do the work, and can."""
        stations, options = work
        key = ("does", rapid, boat, work)
        if key not in self._literal:
            literal = self._new(key)
            stands = [
                self.v.station[boat, rapid, s]
                for s in stations
                if (boat, rapid, s) in self.v.station
            ]
            self.v.model.add_bool_or(stands).only_enforce_if(literal)
            crafts = [o for o in options if self.trip.boats[boat].type.craft in o.crafts]
            able = [self._holds(boat, option, self.walkers[rapid]) for option in crafts]
            self.v.model.add_bool_or(able).only_enforce_if(literal)
        return self._literal[key]

    def _holds(self, boat: str, option: BoatOption, ashore: frozenset[str]) -> cp_model.IntVar:
        """Return a literal that implies the boat has crew, things and free places for a work.

        Who is `ashore` is not aboard, and what he wears is not either.
        """
        key = ("holds", boat, option, ashore)
        if key in self._literal:
            return self._literal[key]
        literal = self._new(key)
        kind = self.trip.boats[boat].type
        if option.free_places:
            crew = add_up(self.v.seat[p, boat] for p in self.v.paddlers if p not in ashore)
            room = kind.seats + kind.deck_places - option.free_places
            self.v.model.add(crew <= room).only_enforce_if(literal)
        steers = asks.ask_steerer(kind.skill, option)
        people = [(self.able(steers) - ashore, 1)]
        people += [(self.able(p.ask) - ashore, p.count) for p in option.persons]
        for condition in list_conditions(people):
            there = self.v.count_people(condition.sees, boat)
            self.v.model.add(there >= condition.places).only_enforce_if(literal)
        things = [(self.serving(t.thing, crew=True), t.count) for t in option.items]
        for condition in list_conditions(things):
            lying = self.v.count_things(condition.sees, boat, stowed=False, ashore=ashore)
            self.v.model.add(lying >= condition.places).only_enforce_if(literal)
        return literal

    # --- unhurried ------------------------------------------------------------------------------

    def _pool(self, variant: Variant, others: tuple[str, ...], spare: int) -> list[cp_model.IntVar]:
        """Everybody and everything outside the running boat fills all slots (family "pool")."""
        if variant.needs_boat and not set(variant.needs_boat) & set(others):
            return [self._never()]
        people = [(self.able(slot.ask), slot.count) for slot in variant.persons]
        things = [(self.serving(slot.thing, crew=not spare), slot.count) for slot in variant.items]

        def count_people(sees: frozenset[str]) -> Linear:
            return add_up(self.v.count_people(sees, b) for b in others)

        def count_things(sees: frozenset[str]) -> Linear:
            return add_up(self.v.count_things(sees, b, stowed=True) for b in others)

        return [
            self._at_least(
                ("pool", what, others, c.sees),
                c.places + spare,
                partial(count, c.sees),
            )
            for what, count, types in (
                ("people", count_people, people),
                ("things", count_things, things),
            )
            for c in list_conditions(types)
        ]

    # --- literals -------------------------------------------------------------------------------

    def _at_least(self, key: Hashable, asked: int, count: Callable[[], Linear]) -> cp_model.IntVar:
        """Return the literal of `count() >= asked`, made once for equal key and number."""
        full = (key, asked)
        if full not in self._literal:
            literal = self._new(full)
            constraint = self.v.model.add(count() >= asked)
            constraint.only_enforce_if(literal)
        return self._literal[full]

    def _list_others(self, rapid: str, running: str) -> tuple[str, ...]:
        """Return the boats that are at a rapid and not in trouble, sorted."""
        return tuple(b for b in sorted(self.trip.rapids[rapid].boats) if b != running)

    def _any(self, literals: list[cp_model.IntVar]) -> cp_model.IntVar:
        if len(literals) == 1:
            return literals[0]
        key = ("any", tuple(literal.index for literal in literals))
        if key not in self._literal:
            either = self._new(key)
            self.v.model.add_bool_or(literals).only_enforce_if(either)
        return self._literal[key]

    def _never(self) -> cp_model.IntVar:
        if "never" not in self._literal:
            self.v.model.add(self._new("never") == 0)
        return self._literal["never"]

    def _new(self, key: Hashable) -> cp_model.IntVar:
        literal = self.v.model.new_bool_var(f"holds[{len(self._literal)}]")
        self._literal[key] = literal
        return literal

    # --- eligibility ----------------------------------------------------------------------------

    def _there(self, ask: Ask, rapid: str) -> frozenset[str]:
        """Return the names of those who answer `ask` and do not walk round the rapid."""
        return self.able(ask) - self.walkers[rapid]

    def able(self, ask: Ask) -> frozenset[str]:
        """Return the names of paddlers who answer `ask`."""
        if ask not in self._able:
            self._able[ask] = frozenset(
                name
                for name, paddler in self.trip.paddlers.items()
                if asks.able(paddler, ask, self.trip.ends, self.trip.catalog)
            )
        return self._able[ask]

    def serving(self, thing: Thing, *, crew: bool) -> frozenset[str]:
        """Return the names of items that serve as `thing`, crew paddles marked, if they count."""
        key = (thing, crew)
        if key not in self._serving:
            self._serving[key] = frozenset(
                name
                for name in self._names
                if asks.serves(self._item(name), thing)
                and not (name.startswith(CREW_PADDLE) and (thing.spare or not crew))
            )
        return self._serving[key]

    def _list_thing_names(self) -> list[str]:
        names = set(self.trip.kit)
        for paddler in self.trip.paddlers.values():
            names |= set(paddler.wears)
        paddles = {boat.type.crew_paddle for boat in self.trip.boats.values()}
        return sorted(names) + sorted(CREW_PADDLE + p for p in paddles if p is not None)

    def _item(self, name: str) -> Item:
        return self.trip.catalog.items[name.removeprefix(CREW_PADDLE)]


def _list_subsets(works: list[Work]) -> list[list[Work]]:
    subsets: list[list[Work]] = []
    for work in works:
        subsets += [[*some, work] for some in subsets] + [[work]]
    return subsets
