"""What makes a demand met, a case covered and backed: Hall's conditions on literals.

A literal stands for one condition and is one-way: true only if the condition holds. Conditions are
shared by all demands of a rapid that ask for the same; unhurried ones and those aboard a boat by
all rapids. What is met is counted anew by matching before anything is reported.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.hall import list_conditions
from kitplan.build.held import Held, HeldMost
from kitplan.build.lookup import Lookup
from kitplan.build.minders import Minders
from kitplan.build.posted import Posted, PostedMost, PostedStanding
from kitplan.build.standing import Standing
from kitplan.build.terms import HANDS, Most, TermsBook
from kitplan.build.variables import add_up, add_up_counts

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable
    from typing import TypeVar

    from ortools.sat.python import cp_model

    from kitplan.build.terms import Carried, Minded, Sites, Terms, There, Work
    from kitplan.build.variables import Count, Linear, Variables, When
    from kitplan.demands import (
        BoatOption,
        CatchSlot,
        Choice,
        Thing,
        Throwing,
        Variant,
    )
    from kitplan.trip import Rapid

    Term = TypeVar("Term")
    Asked = Lookup[tuple[When, int], Lookup[Term, cp_model.IntVar]]  # by moment, and what is spare
    Others = tuple[str, tuple[str, ...]]  # a rapid, "" for any, and the boats but the running one

AFLOAT = ("afloat",)


class Cover:
    """Adds cover conditions to a model, each once."""

    def __init__(self, variables: Variables, book: TermsBook) -> None:
        """Add nothing yet."""
        self.v = variables
        self.trip = variables.trip
        self._literal: dict[Hashable, cp_model.IntVar] = {}
        self._number: dict[Hashable, cp_model.IntVar] = {}
        self.book, self.eligible = book, book.eligible
        self.standing = Standing(variables, self.eligible.walkers)
        self.most = Most(self.eligible)
        if isinstance(variables, Held):
            self.most = HeldMost(self.eligible, variables)
        elif isinstance(variables, Posted):
            self.standing = PostedStanding(variables, self.eligible.walkers)
            self.most = PostedMost(self.eligible, variables)
        # Ways ask for the same again and again.
        self._people_at: Asked[There] = Lookup(lambda then: Lookup(partial(self._fill, *then)))
        self._things_at: Asked[There] = Lookup(lambda then: Lookup(partial(self._lay, *then)))
        self._minded_at: Asked[Minded] = Lookup(lambda then: Lookup(partial(self._mind, *then)))
        self.minders = Minders(self.standing, book.guests)

    # --- demands, cases -------------------------------------------------------------------------

    def list_at_once(
        self, choice: Choice, running: str, when: When, spare: int
    ) -> list[cp_model.IntVar]:
        """Return literals, of which one implies that a choice can be done at once then.

        `when` is a rapid and k, for the k-th boat that runs. With `spare` 1 it can still be done
        after any one loss. What the party could never do is left out.
        """
        literals = []
        for variant, terms in self.book.list_terms(choice, running, spare=bool(spare)):
            if self.most.may_hold(terms, *when, spare):
                key = ("variant", when, terms, variant.crew_at_most, variant.catch, spare,
                       variant.unless)  # fmt: skip
                make = partial(self._at_once, variant, terms, when, spare)
                literals.append(self._all(key, make))
        return literals

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
               variant.crew_at_most, variant.unless, running, spare, where)  # fmt: skip
        return self._all(key, partial(self._unhurried, variant, (where, others), running, spare))

    def _all(self, key: Hashable, parts: Callable[[], list[cp_model.IntVar]]) -> cp_model.IntVar:
        """Return a literal that implies all parts, made once for equal keys."""
        if key not in self._literal and isinstance(self.v, Posted):
            # Different ways there often come to the same.
            self._literal[key] = self._all_of(parts())
        if key not in self._literal:
            literal = self._new(key)
            self.v.model.add_bool_and(parts()).only_enforce_if(literal)
        return self._literal[key]

    def _all_of(self, parts: list[cp_model.IntVar]) -> cp_model.IntVar:
        """Return a literal that implies all parts, made once for equal ones."""
        several = {part.index: part for part in parts}
        if len(several) == 1:
            return parts[0]
        key = ("all", tuple(sorted(several)))
        if key not in self._literal:
            literal = self._new(key)
            self.v.model.add_bool_and(several.values()).only_enforce_if(literal)
        return self._literal[key]

    def _at_once(
        self, variant: Variant, terms: Terms, when: When, spare: int
    ) -> list[cp_model.IntVar]:
        parts = self._people(terms, when, spare)
        things = self._things_at[when, spare]
        parts += [things[there] for there in terms.things]
        parts += [self._hands(carried, when, spare) for carried in terms.hands]
        if variant.catch is not None:
            parts.append(self._catch(variant.catch, when, spare))
        parts += [*self._crowd_then(variant, when), *self._unless(variant)]
        return parts + self._boatwork(terms, when, spare)

    def _unhurried(
        self, variant: Variant, there: Others, running: str, spare: int
    ) -> list[cp_model.IntVar]:
        parts = self._pool(variant, there, spare) + self._crowd(variant, running, there[0])
        return parts + self._unless(variant)

    def _unless(self, variant: Variant) -> list[cp_model.IntVar]:
        """Return that the party owns fewer things than would rule a way out."""
        return [
            self._at_least(("unless", thing), 1 - fewer, partial(self._lack, thing))
            for thing, fewer in variant.unless
        ]

    def _lack(self, thing: Thing) -> Count:
        return -1 * self.v.count_owned(thing)

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
            place = self.trip.rapids[rapid]
            for boat in self.v.list_running(place, k):
                fits = self.v.model.add(self._run(boat, rapid) <= variant.crew_at_most)
                fits.only_enforce_if(literal, self.v.runs(place, boat, k))
        return [self._literal[key]]

    def _crew(self, boat: str) -> Count:
        """Return how many people sit in a boat."""
        return self.v.count_people(frozenset(self.v.paddlers[boat]), boat)

    def _run(self, boat: str, rapid: str) -> Count:
        """Return how many people sit in a boat while it runs."""
        return self._crew(boat) + self.v.count_rowers(boat, rapid)

    # --- conditions at once ---------------------------------------------------------------------

    def _people(self, terms: Terms, when: When, spare: int) -> list[cp_model.IntVar]:
        """People at their sites fill all places, guests minded besides (family "minders")."""
        people, minded = self._people_at[when, spare], self._minded_at[when, spare]
        return [people[there] for there in terms.people] + [minded[one] for one in terms.minders]

    def _fill(self, when: When, spare: int, there: There) -> cp_model.IntVar:
        key = ("people", self.standing.tell(there.sites, when))
        return self._at_least(
            key, there.places + spare, partial(self._sum_people, there.sites, when)
        )

    def _lay(self, when: When, spare: int, there: There) -> cp_model.IntVar:
        key = ("things", self.standing.tell(there.sites, when))
        return self._at_least(
            key, there.places + spare, partial(self._sum_things, there.sites, when)
        )

    def _mind(self, when: When, spare: int, minded: Minded) -> cp_model.IntVar:
        def count() -> Linear:
            there = self._sum_people(minded.sites, when) - self.minders.count(minded.asked, when)
            return there - self.minders.spare(minded.asked, when) if spare else there

        return self._at_least(("minders", when, minded.asked, spare), minded.asked.places, count)

    def _hands(self, carried: Carried, when: When, spare: int) -> cp_model.IntVar:
        """Things that take no hand, and two hands of whoever is there for the others.

        Bundles that lie quick there are carried first of all.
        """

        def count() -> Linear:
            hands = self._count_hands(when, carried.site)
            return self._sum_things(carried.small, when) + hands

        there = self.standing.tell_site(carried.site, when)
        key = ("hands", there, self.standing.tell(carried.small, when))
        return self._at_least(key, carried.places + HANDS * spare, count)

    def _count_hands(self, when: When, site: str) -> Linear:
        """Return a number no greater than the hands at a site that hold no bundle."""
        handy = self.eligible.handy(when[0])
        hands = HANDS * self.standing.people(handy, when, site)
        if not self.eligible.bundles:
            return hands
        return hands - self.standing.bundles(self.eligible.bundles, when, site)

    def _sum_people(self, sites: Sites, when: When) -> Linear:
        return add_up(self.standing.people(names, when, site) for site, names in sites.parts)

    def _sum_things(self, sites: Sites, when: When) -> Linear:
        return add_up(self.standing.things(names, when, site) for site, names in sites.parts)

    # --- boats ----------------------------------------------------------------------------------

    def _boatwork(self, terms: Terms, when: When, spare: int) -> list[cp_model.IntVar]:
        """Each boat's work is done by a boat of its own (family "boatwork")."""
        parts = []
        for works, places in terms.boats:
            key = ("boatwork", when, works)
            if (key, places + spare) not in self._literal:
                others = self._list_others(when)
                able = [self._any([self._does(j, work, when) for work in works]) for j in others]
                self._at_least(key, places + spare, partial(add_up, able))
            parts.append(self._literal[key, places + spare])
        return parts

    def _list_others(self, when: When) -> list[int]:
        """Return the places in the running order of all boats but the one that runs."""
        return [j for j in range(len(self.trip.rapids[when[0]].boats)) if j != when[1]]

    def _does(self, j: int, work: Work, when: When) -> cp_model.IntVar:
        """Return a literal that implies the j-th boat stands where it can do a work, and can."""
        rapid, k = self.trip.rapids[when[0]], when[1]
        stands = [self.v.stands(rapid, j, k, s) for s in work.sites]
        there = [one for one in stands if one is not None]
        key = ("does", tuple(one.index for one in there), rapid.name, j, work.number)
        if key not in self._literal:
            literal = self._new(key)
            self.v.model.add_bool_or(there).only_enforce_if(literal)
            self.v.model.add_implication(literal, self._is_able(j, work.options, rapid))
        return self._literal[key]

    def _is_able(self, j: int, options: tuple[BoatOption, ...], rapid: Rapid) -> cp_model.IntVar:
        """Return a literal that implies the j-th boat has what some option of a work asks."""
        boats, ashore = tuple(sorted(rapid.boats)), self.eligible.walkers[rapid.name]
        where = rapid.name if self.v.twice else ""
        key = ("able", boats, j, options, ashore, where)
        if key not in self._literal:
            literal = self._new(key)
            for b in self.v.list_running(rapid, j):
                crafts = [o for o in options if self.trip.boats[b].type.craft in o.crafts]
                holds = [self._holds(b, option, rapid.name) for option in crafts]
                either = self.v.model.add_bool_or(holds)
                either.only_enforce_if(literal, self.v.runs(rapid, b, j))
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
        things = [(self.eligible.serving(t.thing, loose=False), t.count) for t in option.items]
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
        free = {j: self._free(j, slot, when) for j in self._list_others(when)}
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
            place = self.trip.rapids[rapid]
            boats = self.v.list_running(place, k)
            most = max(self.trip.boats[b].type.seats for b in boats)
            number = self.v.model.new_int_var(0, most, f"swimmers[{len(self._number)}]")
            for boat in boats:
                runs = self.v.runs(place, boat, k)
                self.v.model.add(number >= self._run(boat, rapid)).only_enforce_if(runs)
            self._number[key] = number
        return self._number[key]

    def _throw(self, one: Throwing, when: When, spare: int) -> cp_model.IntVar:
        """Return a number no greater than the throwers at a site, nor than the bags there."""
        key = ("throw", when, one, spare)
        if key not in self._number:
            people = self.eligible.able(one.ask, when[0])
            bags = self.eligible.serving(one.bag, loose=bool(spare))
            number = self.v.model.new_int_var(0, len(people), f"throw[{len(self._number)}]")
            self.v.model.add(number <= self.standing.people(people, when, one.site))
            self.v.model.add(number <= self.standing.things(bags, when, one.site))
            if self.eligible.bundles:
                # Who throws has both hands free.
                free = self._new(("free to throw", *key))
                self.v.model.add(number <= len(people) * free)
                hands = self._count_hands(when, one.site)
                self.v.model.add(HANDS * number <= hands).only_enforce_if(free)
            self._number[key] = number
        return self._number[key]

    def _free(self, j: int, slot: CatchSlot, when: When) -> cp_model.IntVar:
        """Return a number no greater than the j-th boat's free places; 0 if it can't help."""
        does = self._does(j, self.book.get_work(AFLOAT, slot.options), when)
        key = ("free", does.index)
        if key not in self._number:
            rapid = self.trip.rapids[when[0]]
            rooms = {
                b: self.trip.boats[b].type.seats + self.trip.boats[b].type.deck_places
                for b in self.v.list_running(rapid, j)
            }
            most = max(rooms.values())
            number = self.v.model.new_int_var(0, most, f"free[{len(self._number)}]")
            for b, room in rooms.items():
                runs = self.v.runs(rapid, b, j)
                self.v.model.add(number <= room - self._crew(b)).only_enforce_if(runs)
            self.v.model.add(number <= most * does)
            self._number[key] = number
        return self._number[key]

    # --- unhurried ------------------------------------------------------------------------------

    def _pool(self, variant: Variant, there: Others, spare: int) -> list[cp_model.IntVar]:
        """Everybody and everything outside the running boat fills all slots (family "pool").

        But for who rows twice at the rapid, if it is named.
        """
        rapid, others = there
        if not others or (variant.needs_boat and not set(variant.needs_boat) & set(others)):
            return [self._never()]
        leg = self.trip.legs[self.trip.boats[others[0]].leg]
        people = [(self.eligible.list_able(slot.ask, leg), slot.count) for slot in variant.persons]
        things = [
            (self.eligible.serving(slot.thing, loose=bool(spare)), slot.count)
            for slot in variant.items
        ]

        def count_people(sees: frozenset[str]) -> Count:
            return add_up_counts(self.v.count_people(sees, b, rapid) for b in others)

        def count_things(sees: frozenset[str]) -> Count:
            return add_up_counts(
                self.v.count_things(sees, b, stowed=True, rapid=rapid) for b in others
            )

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

    def _at_least(self, key: Hashable, asked: int, count: Callable[[], Count]) -> cp_model.IntVar:
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
