"""What cases ask of the boats that are not in trouble, wherever they wait and whichever runs first.

Less is asked than in a plan: nothing of stations, order, hands or who answers what ashore. So what
a rapid misses here it misses in any plan with the same seats and packing: a bound, and a small
model of it, whose conditions are plain sums over boats.
"""

from __future__ import annotations

from functools import partial
from itertools import combinations
from typing import TYPE_CHECKING

from kitplan.build.cover import Cover
from kitplan.build.risks import list_risks
from kitplan.build.terms import There, Worked
from kitplan.build.variables import add_up, add_up_counts

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ortools.sat.python import cp_model

    from kitplan.build.risks import Risk
    from kitplan.build.terms import TermsBook
    from kitplan.build.variables import Count, Linear, Variables
    from kitplan.demands import BoatOption, CatchSlot, Choice, ChoiceKey, Needs

    Asked = There | Worked | CatchSlot


class Anywhere(Cover):
    """Adds cover of some rapids to a model of seats and packing.

    `gap[rapid][aim]` is no more than what the rapid adds to the aims "uncovered" and "one_bank".
    """

    def __init__(
        self, variables: Variables, needs: Needs, book: TermsBook, rapids: Iterable[str]
    ) -> None:
        """Add the rapids; the model need not have them."""
        super().__init__(variables, book)
        self._sites: dict[tuple[str, str], list[tuple[There, cp_model.IntVar]]] = {}
        names = sorted(rapids)
        risks = list_risks(self.trip, needs, set(names))
        self.gap = {rapid: self._add_rapid(risks.get(rapid, [])) for rapid in names}
        for (rapid, running), asked in self._sites.items():
            for one, other in combinations(asked, 2):
                self._keep_apart(rapid, running, (one, other))

    def _add_rapid(self, risks: list[Risk]) -> dict[str, Linear]:
        gaps: dict[str, list[Linear]] = {"uncovered": [], "one_bank": []}
        for risk in risks:
            covering = [choice for choice in risk.choices if choice.covers]
            for boat in risk.running:
                ways = {one.key: self._list_ways(one, boat) for one in covering}
                anywhere = self._one_of(way for there in ways.values() for way in there)
                gaps["uncovered"].append(risk.weight * (1 - anywhere))
                if len(risk.banks) > 1:
                    both = self._cover_both(risk, ways)
                    gaps["one_bank"].append(risk.weight * (1 - both))
        return {aim: add_up(missed) for aim, missed in gaps.items()}

    def _cover_both(
        self, risk: Risk, ways: dict[ChoiceKey, list[cp_model.IntVar]]
    ) -> cp_model.IntVar:
        """Return a literal that implies a case is covered from each of its banks."""
        banks = [
            self._one_of(
                way for key, there in ways.items() if key.bank in {bank, ""} for way in there
            )
            for bank in risk.banks
        ]
        key = ("both", *sorted({literal.index for literal in banks}))
        return self._all(key, lambda: banks)

    def _list_ways(self, choice: Choice, running: str) -> list[cp_model.IntVar]:
        """Return literals, one of which implies what a choice asks of the other boats."""
        rapid = choice.key.rapid
        if choice.unhurried:
            return [
                self.possible_unhurried(variant, rapid, running, 0)
                for variant in self.book.list_variants(choice, running)
            ]
        place = self.trip.rapids[rapid]
        moments = [k for k in range(len(place.boats)) if running in self.v.list_running(place, k)]
        asked: dict[frozenset[Asked], None] = {}
        for variant, terms in self.book.list_terms(choice, running, spare=False):
            if any(self.most.may_hold(terms, rapid, k, 0) for k in moments):
                catch = () if variant.catch is None else (variant.catch,)
                asked[frozenset((*terms.things, *terms.boats, *catch))] = None
        least = [one for one in asked if not any(other < one for other in asked)]
        return [self._do_all(one, rapid, running) for one in least]

    def _keep_apart(
        self, rapid: str, running: str, asked: tuple[tuple[There, cp_model.IntVar], ...]
    ) -> None:
        """Let things that two conditions ask for at different sites lie in different boats.

        Where everybody waits while a boat runs is the same for all that may happen to it.
        """
        sites = [{site for site, _ in there.sites.parts} for there, _ in asked]
        names = [_list_names(there) for there, _ in asked]
        if sites[0] & sites[1] or not names[0] & names[1]:
            return
        things = self._count_things(names[0] | names[1], rapid, running)
        self.v.model.add(things >= add_up(there.places * literal for there, literal in asked))

    def _do_all(self, asked: frozenset[Asked], rapid: str, running: str) -> cp_model.IntVar:
        where = (rapid, running)

        def list_parts() -> list[cp_model.IntVar]:
            parts = [self._ask(one, rapid, running) for one in asked]
            return sorted(parts, key=lambda literal: literal.index)

        return self._all(("anywhere", where, asked), list_parts)

    def _list_boats(self, rapid: str, running: str) -> list[str]:
        return [b for b in sorted(self.trip.rapids[rapid].boats) if b != running]

    def _ask(self, asked: Asked, rapid: str, running: str) -> cp_model.IntVar:
        """Return a literal that implies one condition of a way that is done at once."""
        key = ("asked", asked, rapid, running)
        if isinstance(asked, There):
            count = partial(self._count_things, _list_names(asked), rapid, running)
            known = (key, asked.places) in self._literal
            literal = self._at_least(key, asked.places, count)
            if not known:
                self._sites.setdefault((rapid, running), []).append((asked, literal))
            return literal
        if isinstance(asked, Worked):
            return self._at_least(key, asked.places, partial(self._add_able, asked, rapid, running))
        return self._at_least(key, 0, partial(self._take, asked, rapid, running))

    def _count_things(self, names: frozenset[str], rapid: str, running: str) -> Count:
        """Return how many of some items the other boats have at hand."""
        ashore = self.eligible.walkers[rapid]
        return add_up_counts(
            self.v.count_things(names, b, stowed=False, ashore=ashore)
            for b in self._list_boats(rapid, running)
        )

    def _add_able(self, worked: Worked, rapid: str, running: str) -> Linear:
        """Return a number no less than that of other boats that can do one of some works."""
        options = tuple(option for work in worked.works for option in work.options)
        able = (self._find_able(b, options, rapid) for b in self._list_boats(rapid, running))
        return add_up(one for one in able if one is not None)

    def _find_able(
        self, boat: str, options: Iterable[BoatOption], rapid: str
    ) -> cp_model.IntVar | None:
        """Return a literal that implies what some option asks of a boat; None: none is for it."""
        craft = self.trip.boats[boat].type.craft
        holds = [self._holds(boat, o, rapid) for o in dict.fromkeys(options) if craft in o.crafts]
        return self._one_of(holds) if holds else None

    def _take(self, slot: CatchSlot, rapid: str, running: str) -> Count:
        """Return no less than what is left of bags and free places once all swimmers are taken."""
        bags = frozenset[str]().union(
            *(self.eligible.serving(one.bag, loose=False) for one in slot.ashore)
        )
        thrown = self._count_things(bags, rapid, running)
        free: list[Linear] = []
        for b in self._list_boats(rapid, running):
            able = self._find_able(b, slot.options, rapid)
            if able is not None:
                free.append(self._find_places(b, able))
        return thrown + add_up(free) - self._crew(running)

    def _find_places(self, boat: str, able: cp_model.IntVar) -> Linear:
        """Return a number no greater than a boat's free places; 0 where it is not able."""
        key = ("places", boat, able.index)
        if key not in self._number:
            kind = self.trip.boats[boat].type
            room = kind.seats + kind.deck_places
            number = self.v.model.new_int_var(0, room, f"places[{len(self._number)}]")
            self.v.model.add(number <= room - self._crew(boat))
            self.v.model.add(number <= room * able)
            self._number[key] = number
        return self._number[key]

    def _one_of(self, literals: Iterable[cp_model.IntVar]) -> cp_model.IntVar:
        """Return a literal that implies one of these; with none it can't hold."""
        some = {literal.index: literal for literal in literals}
        return self._any([some[n] for n in sorted(some)]) if some else self._never()


def _list_names(there: There) -> frozenset[str]:
    """Return the items that count at any of the sites of a condition."""
    return frozenset[str]().union(*(names for _, names in there.sites.parts))
