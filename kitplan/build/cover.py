"""What makes a demand met, a case covered and backed: Hall's conditions on literals.

A literal stands for one condition and is one-way: true only if the condition holds. Conditions are
shared by all demands of a rapid that ask for the same; unhurried ones and those aboard a boat by
all rapids. What is met is counted anew by matching before anything is reported.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.eligible import Eligible
from kitplan.build.hall import list_conditions, list_joint_conditions
from kitplan.build.minders import Minders
from kitplan.build.prune import drop_needless
from kitplan.build.variables import add_up

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Sequence
    from datetime import date

    from ortools.sat.python import cp_model

    from kitplan.build.minders import Asked
    from kitplan.build.variables import Linear, Variables, When
    from kitplan.demands import (
        BoatOption,
        BoatSlot,
        CatchSlot,
        Choice,
        ItemSlot,
        Needs,
        PersonSlot,
        Throwing,
        Variant,
    )

    Work = tuple[tuple[str, ...], tuple[BoatOption, ...]]
    There = tuple[str, tuple[str, ...]]  # a rapid, "" for any, and the boats but the running one

BANK_SITES = ("left", "right")
AFLOAT = ("afloat",)
HANDS = 2  # bulky things one person carries to a bank


class Cover:
    """Adds cover conditions to a model, each once."""

    def __init__(self, variables: Variables, needs: Needs) -> None:
        """Prepare eligibility by name; nothing is added yet."""
        self.v = variables
        self.trip = variables.trip
        self.needs = needs
        self._literal: dict[Hashable, cp_model.IntVar] = {}
        self._number: dict[Hashable, cp_model.IntVar] = {}
        self._worth: dict[tuple[date, tuple[Variant, ...]], list[Variant]] = {}
        self.eligible = Eligible(self.trip)
        self.minders = Minders(variables, self.eligible.walkers)

    # --- demands, cases -------------------------------------------------------------------------

    def list_variants(self, choice: Choice, running: str) -> list[Variant]:
        """Return the variants of a choice that are worth a literal while a boat is in trouble."""
        leg = self.trip.leg_of(choice.key.rapid)
        variants = asks.list_ways(choice, self.trip.boats[running].type)
        key = (leg.ends, variants)
        if key not in self._worth:
            self._worth[key] = drop_needless(
                variants,
                lambda ask: self.eligible.list_able(ask, leg),
                minded=self.minders.any_guests,
            )
        return self._worth[key]

    def possible_at_once(self, variant: Variant, when: When, spare: int) -> cp_model.IntVar:
        """Return a literal that implies the variant can be done at once while the k-th boat runs.

        `when` is a rapid and k. With `spare` 1 it can still be done after any one loss.
        """
        key = ("variant", when, variant.persons, variant.items, variant.boats,
               variant.crew_at_most, variant.catch, spare)  # fmt: skip
        return self._all(key, partial(self._at_once, variant, when, spare))

    def possible_unhurried(
        self, variant: Variant, rapid: str, running: str, spare: int
    ) -> cp_model.IntVar:
        """Return a literal that implies unhurried work can be done while `running` is in trouble.

        With `spare` 1 it can still be done after any one loss.
        """
        others = tuple(b for b in sorted(self.trip.rapids[rapid].boats) if b != running)
        # It is the same at all rapids, unless somebody is away at one.
        where = rapid if self.v.twice else ""
        key = ("variant", others, variant.persons, variant.items, variant.needs_boat,
               variant.crew_at_most, running, spare, where)  # fmt: skip
        return self._all(key, partial(self._unhurried, variant, (where, others), running, spare))

    def _all(self, key: Hashable, parts: Callable[[], list[cp_model.IntVar]]) -> cp_model.IntVar:
        """Return a literal that implies all parts, made once for equal keys."""
        if key not in self._literal:
            literal = self._new(key)
            for part in parts():
                self.v.model.add_implication(literal, part)
        return self._literal[key]

    def _at_once(self, variant: Variant, when: When, spare: int) -> list[cp_model.IntVar]:
        sites = dict.fromkeys(slot.site for slot in variant.items)
        parts = self._people(variant.persons, when, spare)
        for site in sites:
            slots = [slot for slot in variant.items if slot.site == site]
            parts += self._things(slots, site, when, spare)
            if site in BANK_SITES:
                least = sum(slot.count for slot in variant.persons if slot.sites == (site,))
                parts += self._hands(slots, site, when, (spare, least))
        if variant.catch is not None:
            parts.append(self._catch(variant.catch, when, spare))
        parts += self._crowd_then(variant, when)
        return parts + self._boatwork(variant.boats, when, spare)

    def _unhurried(
        self, variant: Variant, there: There, running: str, spare: int
    ) -> list[cp_model.IntVar]:
        return self._pool(variant, there, spare) + self._crowd(variant, running, there[0])

    def _crowd(self, variant: Variant, running: str, rapid: str) -> list[cp_model.IntVar]:
        """No more people sit in the running boat than a way holds with (family "crowd").

        Backed ways ask the same: what is lost is not in the running boat.
        """
        most = variant.crew_at_most
        if most is None:
            return []
        return [
            self._at_least(("crowd", running, rapid), -most, lambda: -self._run(running, rapid))
        ]

    def _crowd_then(self, variant: Variant, when: When) -> list[cp_model.IntVar]:
        """Ask the same of whichever boat runs as the k-th."""
        if variant.crew_at_most is None:
            return []
        key = ("crowd", when, variant.crew_at_most)
        if key not in self._literal:
            literal = self._new(key)
            rapid, k = when
            for boat in sorted(self.trip.rapids[rapid].boats):
                fits = self.v.model.add(self._run(boat, rapid) <= variant.crew_at_most)
                fits.only_enforce_if(literal, self.v.runs(self.trip.rapids[rapid], boat, k))
        return [self._literal[key]]

    def _crew(self, boat: str) -> Linear:
        """Return how many people sit in a boat."""
        return self.v.count_people(frozenset(self.v.paddlers[boat]), boat)

    def _run(self, boat: str, rapid: str) -> Linear:
        """Return how many people sit in a boat while it runs."""
        return self._crew(boat) + self.v.count_rowers(boat, rapid)

    # --- conditions at once ---------------------------------------------------------------------

    def _people(self, slots: Sequence[PersonSlot], when: When, spare: int) -> list[cp_model.IntVar]:
        """People at their sites fill all person slots (family "people")."""
        types = [
            (
                frozenset(
                    (s, p) for s in slot.sites for p in self.eligible.able(slot.ask, when[0])
                ),
                slot.count,
            )
            for slot in slots
        ]
        people = [
            self._at_least(
                ("people", when, condition.sees),
                condition.places + spare,
                partial(self._sum_sites, condition.sees, when, people=True),
            )
            for condition in list_conditions(types)
        ]
        return people + self._minders(tuple(slots), types, when, spare)

    def _minders(
        self,
        slots: tuple[PersonSlot, ...],
        types: list[tuple[frozenset[tuple[str, str]], int]],
        when: When,
        spare: int,
    ) -> list[cp_model.IntVar]:
        """Guests on the team's banks are minded by guides besides (family "minders")."""

        def count(asked: Asked) -> Linear:
            there = self._sum_sites(asked.sees, when, people=True)
            there -= self.minders.count(asked, when)
            return there - self.minders.spare(asked, when) if spare else there

        guides = self.eligible.able(asks.ask_guide(self.trip.catalog.figures), when[0])
        return [
            self._at_least(("minders", when, asked, spare), asked.places, partial(count, asked))
            for asked in self.minders.list_asked(slots, types, when[0], guides)
        ]

    def _things(
        self, slots: Iterable[ItemSlot], site: str, when: When, spare: int
    ) -> list[cp_model.IntVar]:
        """Worn and quick things at a site fill its item slots (family "things")."""
        types = [
            (
                frozenset((site, i) for i in self.eligible.serving(slot.thing, crew=not spare)),
                slot.count,
            )
            for slot in slots
        ]
        return [
            self._at_least(
                ("things", when, condition.sees),
                condition.places + spare,
                partial(self._sum_sites, condition.sees, when, people=False),
            )
            for condition in list_conditions(types)
        ]

    def _hands(
        self,
        slots: Iterable[ItemSlot],
        site: str,
        when: When,
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
                    for i in self.eligible.serving(slot.thing, crew=False)
                    if not self.eligible.item(i).bulky
                ),
                slot.count,
            )
            for slot in slots
        ]
        everybody = frozenset((site, p) for p in self.eligible.party(when[0]))

        def count(sees: frozenset[tuple[str, str]]) -> Linear:
            small = self._sum_sites(sees, when, people=False)
            return small + HANDS * self._sum_sites(everybody, when, people=True)

        return [
            self._at_least(
                ("hands", when, site, condition.sees),
                condition.places + HANDS * spare,
                partial(count, condition.sees),
            )
            for condition in list_joint_conditions(types)
            if condition.places > HANDS * least
        ]

    def _sum_sites(self, sees: frozenset[tuple[str, str]], when: When, *, people: bool) -> Linear:
        by_site: dict[str, set[str]] = {}
        for site, name in sees:
            by_site.setdefault(site, set()).add(name)
        count = self.v.people_at if people else self.v.things_at
        return add_up(
            count(frozenset(names), boat, when, site)
            for site, names in sorted(by_site.items())
            for boat in sorted(self.trip.rapids[when[0]].boats)
        )

    # --- boats ----------------------------------------------------------------------------------

    def _boatwork(self, slots: Iterable[BoatSlot], when: When, spare: int) -> list[cp_model.IntVar]:
        """Each boat's work is done by a boat of its own (family "boatwork")."""
        counts: dict[Work, int] = {}
        for slot in slots:
            work = (slot.stations, slot.options)
            counts[work] = counts.get(work, 0) + slot.count
        parts = []
        for some in _list_subsets(list(counts)):
            places = sum(counts[work] for work in some)
            able = [
                self._any([self._does(b, work, when) for work in some])
                for b in sorted(self.trip.rapids[when[0]].boats)
            ]
            parts.append(
                self._at_least(
                    ("boatwork", when, tuple(some)),
                    places + spare,
                    partial(add_up, able),
                )
            )
        return parts

    def _does(self, boat: str, work: Work, when: When) -> cp_model.IntVar:
        """Return a literal that implies the boat stands so that it can do the work, and can."""
        stations, options = work
        key = ("does", when, boat, work)
        if key not in self._literal:
            literal = self._new(key)
            stands = [one for s in stations for one in self.v.list_waits(boat, *when, s)]
            self.v.model.add_bool_or(stands).only_enforce_if(literal)
            crafts = [o for o in options if self.trip.boats[boat].type.craft in o.crafts]
            able = [self._holds(boat, option, when[0]) for option in crafts]
            self.v.model.add_bool_or(able).only_enforce_if(literal)
        return self._literal[key]

    def _holds(self, boat: str, option: BoatOption, rapid: str) -> cp_model.IntVar:
        """Return a literal that implies the boat has crew, things and free places for a work.

        Who walks round the rapid is not aboard, and what he wears is not either.
        """
        ashore = self.eligible.walkers[rapid]
        where = rapid if self.v.twice else ""
        key = ("holds", boat, option, ashore, where)
        if key in self._literal:
            return self._literal[key]
        literal = self._new(key)
        kind = self.trip.boats[boat].type
        if option.free_places:
            aboard = frozenset(self.v.paddlers[boat]) - ashore
            crew = self.v.count_people(aboard, boat)
            room = kind.seats + kind.deck_places - option.free_places
            self.v.model.add(crew <= room).only_enforce_if(literal)
        steers = asks.ask_steerer(kind.skill, option)
        leg = self.trip.legs[self.trip.boats[boat].leg]
        asked = [(steers, 1), *((p.ask, p.count) for p in option.persons)]
        people = [(self.eligible.list_able(ask, leg) - ashore, count) for ask, count in asked]
        for condition in list_conditions(people):
            there = self.v.count_people(condition.sees, boat, where)
            self.v.model.add(there >= condition.places).only_enforce_if(literal)
        things = [(self.eligible.serving(t.thing, crew=True), t.count) for t in option.items]
        for condition in list_conditions(things):
            lying = self.v.count_things(
                condition.sees, boat, stowed=False, ashore=ashore, rapid=where
            )
            self.v.model.add(lying >= condition.places).only_enforce_if(literal)
        return literal

    # --- swimmers -------------------------------------------------------------------------------

    def _catch(self, slot: CatchSlot, when: When, spare: int) -> cp_model.IntVar:
        """Throwers and free places take all who sat in the running boat (family "swimmers").

        With `spare` also without any one thrower, bag or boat: one of the first two takes one, a
        boat all that it has free.
        """
        key = ("swimmers", when, slot, spare)
        if key in self._literal:
            return self._literal[key]
        literal = self._new(key)
        thrown = add_up(self._throw(one, when, spare) for one in slot.ashore)
        free = {b: self._free(b, slot, when) for b in sorted(self.trip.rapids[when[0]].boats)}
        crew = self._swimmers(when)
        sums: list[tuple[Linear, Linear | int]] = [(thrown + add_up(free.values()), crew + spare)]
        both = asks.asks_both(slot, self.trip.rapids[when[0]], when[1])
        if both:
            sums += [(thrown, 1 + spare), (add_up(free.values()), 1)]
        for lost in free if spare else ():
            left = add_up(places for b, places in free.items() if b != lost)
            sums.append((thrown + left, crew))
            if both:
                sums.append((left, 1))
        for there, asked in sums:
            self.v.model.add(there >= asked).only_enforce_if(literal)
        return literal

    def _swimmers(self, when: When) -> cp_model.IntVar:
        """Return a number no less than the people in the boat that runs as the k-th."""
        key = ("swimmers", when)
        if key not in self._number:
            rapid, k = when
            boats = sorted(self.trip.rapids[rapid].boats)
            most = max(self.trip.boats[b].type.seats for b in boats)
            number = self.v.model.new_int_var(0, most, f"swimmers[{len(self._number)}]")
            for boat in boats:
                runs = self.v.runs(self.trip.rapids[rapid], boat, k)
                self.v.model.add(number >= self._run(boat, rapid)).only_enforce_if(runs)
            self._number[key] = number
        return self._number[key]

    def _throw(self, one: Throwing, when: When, spare: int) -> cp_model.IntVar:
        """Return a number no greater than the throwers at a site, nor than the bags there."""
        key = ("throw", when, one, spare)
        if key not in self._number:
            people = frozenset((one.site, p) for p in self.eligible.able(one.ask, when[0]))
            bags = frozenset((one.site, i) for i in self.eligible.serving(one.bag, crew=not spare))
            number = self.v.model.new_int_var(0, len(people), f"throw[{len(self._number)}]")
            self.v.model.add(number <= self._sum_sites(people, when, people=True))
            self.v.model.add(number <= self._sum_sites(bags, when, people=False))
            self._number[key] = number
        return self._number[key]

    def _free(self, boat: str, slot: CatchSlot, when: When) -> cp_model.IntVar:
        """Return a number no greater than a boat's free places; 0 where it can't do the work."""
        key = ("free", when, boat, slot.options)
        if key not in self._number:
            kind = self.trip.boats[boat].type
            most = kind.seats + kind.deck_places
            number = self.v.model.new_int_var(0, most, f"free[{len(self._number)}]")
            self.v.model.add(number <= most - self._crew(boat))
            self.v.model.add(number <= most * self._does(boat, (AFLOAT, slot.options), when))
            self._number[key] = number
        return self._number[key]

    # --- unhurried ------------------------------------------------------------------------------

    def _pool(self, variant: Variant, there: There, spare: int) -> list[cp_model.IntVar]:
        """Everybody and everything outside the running boat fills all slots (family "pool").

        But for who rows twice at the rapid, if it is named.
        """
        rapid, others = there
        if not others or (variant.needs_boat and not set(variant.needs_boat) & set(others)):
            return [self._never()]
        leg = self.trip.legs[self.trip.boats[others[0]].leg]
        people = [(self.eligible.list_able(slot.ask, leg), slot.count) for slot in variant.persons]
        things = [
            (self.eligible.serving(slot.thing, crew=not spare), slot.count)
            for slot in variant.items
        ]

        def count_people(sees: frozenset[str]) -> Linear:
            return add_up(self.v.count_people(sees, b, rapid) for b in others)

        def count_things(sees: frozenset[str]) -> Linear:
            return add_up(self.v.count_things(sees, b, stowed=True, rapid=rapid) for b in others)

        return [
            self._at_least(
                ("pool", what, there, c.sees),
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


def _list_subsets(works: list[Work]) -> list[list[Work]]:
    subsets: list[list[Work]] = []
    for work in works:
        subsets += [[*some, work] for some in subsets] + [[work]]
    return subsets
