"""Why something can't be done at a rapid: facts that are shown to make it so.

A model of the rapid in which what is asked has to be done, with the other rapids whose cover is to
be kept and what a plan has decided, as far as these are in force. One fact after the other is left
out, and stays out if it still can't be done. What is left makes it so, and without any one of it it
could be done: an irreducible set. Where a limit cut in, a fact may have stayed that is not needed;
then the set is not called irreducible.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.build import TripModel, Variables
from kitplan.build.variables import add_up
from kitplan.demands import Case, DemandKey, Needs
from kitplan.facts import Asked, Fact, relax
from kitplan.solve.begin import hint_before
from kitplan.solve.run import Budget, run, run_soon

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

    from ortools.sat.python import cp_model

    from kitplan.build import Moment, TermsBook
    from kitplan.build.risks import Risk
    from kitplan.build.variables import Linear
    from kitplan.demands import ChoiceKey
    from kitplan.plan import Arrangement, Before
    from kitplan.solve.run import Answer, Clock, Status
    from kitplan.trip import Trip

UNITS = 4.0  # of the solver's deterministic time, for one question
KEEPS, SITS, LIES, WAITS, RUNS = "keeps", "sits", "lies", "waits", "runs"
"""Sorts of facts about a plan: a rapid's cover, seats, packing, stations, running order."""
DECIDED = (SITS, LIES, WAITS, RUNS)
ASKED = "asked: "
"""Begins the name under which what is asked stands beside the scenarios."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What cases of one rapid, spot and scenario add to aims 2 and 3 at the most, summed."""

    where: tuple[str, str, str]
    uncovered: int
    one_bank: int


@dataclass(frozen=True, slots=True)
class Reasons:
    """Facts that are shown to make it so that something can't be done.

    `irreducible`: it is shown as well that without any one of them it could be.
    """

    facts: tuple[Fact, ...]
    irreducible: bool


class Parted(TripModel):
    """A model that knows what each spot and scenario adds to aims 2 and 3, and not each rapid."""

    def __init__(self, variables: Variables, needs: Needs, book: TermsBook | None) -> None:
        """Build the model. `parts[rapid, spot, scenario][aim]` is what these cases add."""
        self.parts: dict[tuple[str, str, str], dict[str, list[Linear]]] = {}
        super().__init__(variables, needs, book=book)

    def _add_case(
        self,
        risk: Risk,
        moment: Moment,
        met: dict[ChoiceKey, cp_model.IntVar],
        gaps: dict[str, list[Linear]],
    ) -> None:
        here: dict[str, list[Linear]] = {"uncovered": [], "one_bank": []}
        super()._add_case(risk, moment, met, here)
        part = self.parts.setdefault(risk.where, {aim: [] for aim in here})
        for aim, terms in here.items():
            gaps[aim] += terms
            part[aim] += terms


@dataclass(frozen=True, slots=True)
class Trial:
    """A question to the solver: whether what is asked can be done, given what is in force.

    `kept`: by the subject of a fact of sort "keeps", what it stands for. `plan`: what facts about
    decisions stand for. With `twice` people may row twice. `whole`: stores, and rules on what is
    carried, are there. `book`: what ways ask in this very trip, shared by all models of it.
    `start`: seats, packing and stores that runs begin from.
    """

    trip: Trip
    needs: Needs
    asked: Asked
    clock: Clock
    kept: Mapping[str, Kept] = field(default_factory=dict)
    plan: Arrangement | None = None
    twice: bool = False
    whole: bool = False
    book: TermsBook | None = None
    start: Before | None = None
    units: float = UNITS  # of the solver's deterministic time, for one run

    def can_be_seated(self) -> bool:
        """Say whether the rules of seating and packing can be kept in the rapid's leg at all."""
        variables = Variables(self.trip, (self.asked.rapid,), all_legs=False, twice=self.twice)
        tm = TripModel(variables, Needs({}, {}, {}, ()))
        return run_soon(tm.model, None, Budget(self.clock, 1.0, UNITS)).found

    def ask(self, facts: Collection[Fact], force: Collection[Fact]) -> Answer:
        """Return what comes of it where of some facts only those `force` are in force."""
        return self.build(facts, force)[1]

    def build(self, facts: Collection[Fact], force: Collection[Fact]) -> tuple[Variables, Answer]:
        """Return the same, with the variables that an answer is read by."""
        dropped = [fact for fact in facts if fact not in force]
        trip = relax(self.trip, self.asked, dropped)
        kept = [self.kept[fact.subject] for fact in force if fact.sort == KEEPS]
        rapids = {self.asked.rapid, *(one.where[0] for one in kept)}
        variables = Variables(trip, rapids, all_legs=self.whole, twice=self.twice)
        book = self.book if trip is self.trip else None
        tm = Parted(variables, add_question(self.needs, self.asked, kept), book)
        asked = (*self.asked.case[:2], ASKED + self.asked.case.scenario)
        for one in (*kept, Kept(asked, 0, 0)):
            tm.model.add(add_up(tm.parts[one.where]["uncovered"]) <= one.uncovered)
            tm.model.add(add_up(tm.parts[one.where]["one_bank"]) <= one.one_bank)
        if self.plan is not None:
            hold(tm.v, self.plan, self.asked.rapid, force)
        if self.start is not None:
            hint_before(variables, self.start)
        solve = run if self.whole else run_soon
        return variables, solve(tm.model, None, Budget(self.clock, 1.0, self.units))

    def find_reasons(
        self, facts: Sequence[Fact], always: Collection[Fact] = (), first: int = 0
    ) -> Reasons | None:
        """Return which of the facts make it so that it can't be done; None: that is not shown.

        Those that are `always` in force are none of them; the `first` so many are tried together.
        """
        every = [*always, *facts]

        def ask(force: Sequence[Fact]) -> Status:
            if not self.clock.left_s():
                return "unknown"
            return self.ask(every, [*always, *force]).status

        return find_reasons(facts, ask, first)


def find_reasons(
    facts: Sequence[Fact], ask: Callable[[Sequence[Fact]], Status], first: int = 0
) -> Reasons | None:
    """Return an irreducible set of facts that can't hold together; None: that is not shown.

    `ask` says whether facts can. Each is tried in its turn; many at a time are left out where that
    can be, which comes to the same: what fails without all of them fails without each. The `first`
    so many are tried together before all else.
    """
    if ask(facts) != "infeasible":
        return None
    kept, irreducible = list(facts), True

    def leave_out(part: Sequence[Fact], known: Status | None = None) -> Status:
        """Leave out what can be of a part; return what leaving out all of it comes to."""
        nonlocal kept, irreducible
        rest = [fact for fact in kept if fact not in part]
        status = known or ask(rest)
        if status == "infeasible":
            kept = rest
        elif len(part) == 1:
            irreducible &= status in {"proven", "feasible"}
        else:
            half = len(part) // 2
            front = leave_out(part[:half])
            # With all of the first half left out, the second one has just been asked.
            leave_out(part[half:], status if front == "infeasible" else None)
        return status

    for part in (facts[:first], facts[first:]):
        if part:
            leave_out(part)
    return Reasons(tuple(kept), irreducible)


# --- what is asked, as one more case --------------------------------------------------------------


def add_question(needs: Needs, asked: Asked, kept: Iterable[Kept]) -> Needs:
    """Return the needs of cases whose cover is kept, and what is asked as one more case."""
    places = {one.where for one in kept}
    name = ASKED + asked.case.scenario
    choices = {
        choice.key: choice
        for choice in (
            replace(choice, key=choice.key._replace(scenario=name), covers=True)
            for choice in asked.choices
        )
    }
    key = asked.case._replace(scenario=name)
    cases = {one: case for one, case in needs.cases.items() if one[:3] in places}
    demands = {one: weight for one, weight in needs.demands.items() if one[:3] in places}
    demands |= {DemandKey(*one, asked.running): 1 for one in choices}
    return Needs({**needs.choices, **choices}, {**cases, key: Case(key, 1, ())}, demands, ())


# --- what a plan has decided ----------------------------------------------------------------------


def hold(v: Variables, plan: Arrangement, rapid: str, force: Collection[Fact]) -> None:
    """Hold a model to those decisions of a plan that are in force, stores in any case.

    Who steers is open where somebody's seat is.
    """
    names: dict[str, list[str]] = {}
    for fact in force:
        names.setdefault(fact.sort, []).append(fact.subject)
    _hold_always(v, plan)
    _hold_seats(v, plan, set(names.get(SITS, ())))
    for item in names.get(LIES, ()):
        _hold_packing(v, plan, item)
    for (b, k), place in v.place.items() if RUNS in names else ():
        order = plan.list_run(v.trip.legs[v.trip.boats[b].leg].boats)
        v.model.add(place == (order[k] == b))
    for boat in names.get(WAITS, ()):
        _hold_stations(v, plan, rapid, boat)


def _hold_always(v: Variables, plan: Arrangement) -> None:
    """Hold where stores lie, and who rows twice."""
    for (p, b, r), rows in v.rows.items():
        v.model.add(rows == (plan.twice.get((r, b)) == p))
    for (lot, b), count in v.stow.items():
        v.model.add(count == sum(r.count for r in plan.stowed if (r.lot, r.boat) == (lot, b)))


def _hold_seats(v: Variables, plan: Arrangement, people: set[str]) -> None:
    for (p, b), seat in v.seat.items():
        if p in people:
            v.model.add(seat == (p in plan.crew[b]))
    if {p for p, _ in v.seat} <= people:
        for (p, b), steers in v.steer.items():
            v.model.add(steers == (plan.steerer[b] == p))


def _hold_packing(v: Variables, plan: Arrangement, item: str) -> None:
    for (i, b, carried), count in v.pack.items():
        if i == item:
            lies = (r for r in plan.packed if (r.item, r.boat, r.carried) == (i, b, carried))
            v.model.add(count == sum(row.count for row in lies))


def _hold_stations(v: Variables, plan: Arrangement, rapid: str, boat: str) -> None:
    """Let a boat wait where it does in the plan, whichever place of the order it has."""
    place = v.trip.rapids[rapid]
    for running in place.boats:
        if running != boat:
            site = plan.stations[rapid, boat, running]
            for k, j, runs in _list_pairs(v, rapid, boat, running):
                stands = v.stands(place, j, k, site)
                v.model.add_bool_or(
                    [~one for one in runs] + ([stands] if stands is not None else [])
                )


def _list_pairs(
    v: Variables, rapid: str, boat: str, running: str
) -> Iterator[tuple[int, int, list[cp_model.IntVar]]]:
    """Yield places of a running and a waiting boat, and what is 1 if they have them."""
    there = v.trip.rapids[rapid]
    for k in range(len(there.boats)):
        for j in range(len(there.boats)):
            if j != k:
                pair = (v.runs(there, boat, j), v.runs(there, running, k))
                yield k, j, [one for one in pair if not isinstance(one, int)]
