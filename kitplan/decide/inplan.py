"""What of a plan is in the way of something that could be done at a rapid by itself.

Two questions: which of its decisions are (who sits where, what lies where, who waits where), and
which rapids could not keep the cover that they have in it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.build import TermsBook
from kitplan.decide.answers import Moved
from kitplan.explain.gaps import find_cover
from kitplan.explain.make import describe
from kitplan.facts import Fact, list_carrying, list_facts, relax
from kitplan.needs.shortfalls import count_short
from kitplan.needs.words import BANK_WORDS
from kitplan.plan import Before, list_shifts
from kitplan.solve.legs import split_leg
from kitplan.solve.read import read_arrangement
from kitplan.solve.reasons import KEEPS, LIES, RUNS, SITS, WAITS, Kept, Reasons, Trial
from kitplan.verify import find_broken

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.plan import Arrangement, Plan
    from kitplan.solve.run import Status
    from kitplan.trip import Trip

FOR_MORE = 0.5  # share of the time left, for what else is in the way
FEW_UNITS = 1.0  # of the solver's deterministic time for one run of that
MOST_MORE = 8  # facts that are told of that; more are no help to anybody
STATION_WORDS = {**BANK_WORDS, "afloat": "afloat below", "above": "above", "below": "further down"}


@dataclass(frozen=True, slots=True)
class Together:
    """Whether it can be done while others keep their cover and rules are kept as in the plan.

    `reasons`: what makes it so that it can't; None: it can, or it is not known. `kept`: what of
    that is cover, in force in `trial`, which is what changes are tried in. `nothing_else`: no fact
    of the trip matters besides, so that no change of it would turn it. `open_to`: what changes may
    touch: those facts, or all of the trip where it was not found in time which of them matter.
    """

    status: Status
    trial: Trial
    reasons: Reasons | None = None
    kept: tuple[Fact, ...] = ()
    nothing_else: bool = False
    open_to: tuple[Fact, ...] = ()


class InPlan:
    """One question, held against a plan."""

    def __init__(self, trial: Trial, plan: Plan) -> None:
        """Read what the plan has decided and what its cases add to its aims."""
        self.trip, self.plan, self.asked = trial.trip, plan, trial.asked
        book = TermsBook(self.trip)
        self.alone = replace(trial, kept=_count_kept(trial, plan), book=book)
        short = count_short(self.trip, plan.shortfalls)
        limits = {aim.removeprefix("short_of_"): value for aim, value in short.items()}
        held = replace(self.trip, short_at_most=limits)
        self.whole = replace(
            self.alone, trip=held, whole=True, start=_tell_before(plan.arrangement)
        )
        self.leg = self.whole
        if len(held.legs) > 1:
            part, asked = split_leg(held, trial.needs, self.trip.rapids[self.asked.rapid].leg)
            self.leg = replace(self.whole, trip=part, needs=asked, book=TermsBook(part))
        self.held = replace(self.whole, kept={}, plan=plan.arrangement)
        self.decisions = list(_list_decisions(self.trip, plan.arrangement, self.asked.rapid))

    # --- decisions ------------------------------------------------------------------------------

    def find_decided(self) -> Reasons | None:
        """Return which decisions of the plan are in the way, all others left as they are."""
        return self.held.find_reasons(self.decisions)

    def find_moves(self, facts: Iterable[Fact]) -> tuple[Moved, ...]:
        """Return what can be done if one decision alone is let go, of some that are in the way.

        The running order is no single move.
        """
        moves = []
        for fact in facts:
            rest = [other for other in self.decisions if other != fact]
            if fact.sort == RUNS or not self.held.clock.left_s():
                continue
            variables, answer = self.held.build(self.decisions, rest)
            if answer.found:
                moved = self._describe(fact, read_arrangement(variables, answer.read))
                moves += [moved] if moved else []
        return tuple(moves)

    def _describe(self, fact: Fact, found: Arrangement) -> Moved | None:
        """Return the plan with a move; None where it breaks a rule at another rapid."""
        was = self.plan.arrangement
        stations = {**was.stations, **found.stations}
        new = replace(found, stations=stations, twice=was.twice)
        plan = replace(describe(self.trip, self.held.needs, new), sources=self.plan.sources)
        if find_broken(self.trip, plan):
            return None
        shifts = list_shifts(self.trip, _tell_before(was), new)
        waits = ""
        if fact.sort == WAITS:
            waits = say_waits(self.trip, new, self.asked.rapid, fact.subject)
        return Moved(fact, tuple(shifts), waits, plan)

    # --- other rapids ---------------------------------------------------------------------------

    def find_together(self) -> Together:
        """Return whether it can be done with the cover that there is in the plan.

        First with the rapid's own other cases, then with the rules on what is carried, then with
        each other rapid of the leg, then with all there is.
        """
        here = self.trip.rapids[self.asked.rapid]
        by_rapid: dict[str, list[Fact]] = {}
        for fact in self.list_keeping():
            by_rapid.setdefault(self.alone.kept[fact.subject].where[0], []).append(fact)
        own = by_rapid.pop(here.name, [])
        leg = [facts for name, facts in by_rapid.items() if self.trip.rapids[name].leg == here.leg]
        every = [*own, *(fact for facts in by_rapid.values() for fact in facts)]
        tries = [(self.alone, own), (self.leg, own)]
        tries += [(self.alone, [*own, *facts]) for facts in leg]
        tries += [(self.alone, [*own, *(fact for facts in leg for fact in facts)])]
        status: Status = "unknown"
        for trial, kept in [*tries, (self.whole, every)]:
            if not trial.clock.left_s():
                return Together("unknown", trial)
            status = trial.ask(kept, kept).status
            if status == "infeasible":
                return self._narrow(trial, kept)
        return Together("unknown" if status == "unknown" else "feasible", self.alone)

    def _narrow(self, trial: Trial, kept: list[Fact]) -> Together:
        """Return which cover and rules are in the way, and as far as time allows, what else is."""
        others, rules = list_carrying(trial.trip, self.asked) if trial.whole else ([], [])
        every = [*others, *rules, *kept]
        first = trial.find_reasons(every, first=len(others))
        if first is None:
            return Together("unknown", trial)
        left = tuple(fact for fact in first.facts if fact.sort == KEEPS)
        needless = [fact for fact in every if fact not in first.facts]
        bare = replace(trial, trip=relax(trial.trip, self.asked, needless), book=None)
        part = replace(bare, clock=trial.clock.part(FOR_MORE), units=FEW_UNITS)
        # Without any one of the first ones it can be done with all others in force.
        facts = list_facts(trial.trip, self.asked)
        more = part.find_reasons(facts, first.facts)
        if more is None or len(more.facts) > MOST_MORE:
            # Of people there are many changes: they are tried last.
            facts.sort(key=lambda fact: fact.sort in {"skill", "steerer"})
            return Together("infeasible", trial, first, left, open_to=(*first.facts, *facts))
        sure = first.irreducible and more.irreducible
        both = Reasons((*first.facts, *more.facts), sure)
        nothing = sure and not more.facts
        return Together("infeasible", trial, both, left, nothing, both.facts)

    def list_keeping(self) -> Iterator[Fact]:
        """Yield that cases keep their cover, by rapid, spot and scenario."""
        for name, kept in self.alone.kept.items():
            rapid, spot, scenario = (self.trip.rapids[kept.where[0]], *kept.where[1:])
            same = kept.where == self.asked.case[:3]
            rest = " for the other boats" if same else ""
            said = (
                f"{rapid.name} (day {rapid.day}), {spot}: {scenario} stays covered as it is{rest}"
            )
            yield Fact(KEEPS, name, said, (rapid.where,))


def _tell_before(plan: Arrangement) -> Before:
    """Return where all is in a plan."""
    seats = tuple(sorted((p, b) for b, crew in plan.crew.items() for p in crew))
    return Before(seats, plan.packed, plan.stowed)


def _count_kept(trial: Trial, plan: Plan) -> dict[str, Kept]:
    """Return what cases add to aims 2 and 3 in a plan, by spot and scenario, without that asked."""
    cover = find_cover(trial.needs, {result.key: result for result in plan.demands})
    covering = any(choice.covers for choice in trial.asked.choices)
    sums: dict[tuple[str, str, str], list[int]] = {}
    for key, case in trial.needs.cases.items():
        here, values = cover[key], sums.setdefault(key[:3], [0, 0])
        if not here.any and not (covering and key == trial.asked.case):
            values[0] += case.weight
        if len(case.banks) > 1 and not all(here.covers(bank) for bank in case.banks):
            values[1] += case.weight
    return {", ".join(where): Kept(where, *values) for where, values in sums.items()}


# --- decisions in words ---------------------------------------------------------------------------


def _list_decisions(trip: Trip, plan: Arrangement, rapid: str) -> Iterator[Fact]:
    """Yield what a plan has decided that matters at a rapid: people, things, stations, order."""
    leg = trip.leg_of(rapid)
    sits = {p: b for boats in (plan.crew, leg.boats) for b in boats for p in plan.crew[b]}
    for p in trip.paddlers:
        yield Fact(SITS, p, f"{p} sits in {sits[p]}", (trip.paddlers[p].where,))
    for item in sorted(trip.kit):
        yield Fact(LIES, item, _say_packing(trip, plan, item, leg.boats), (trip.kit[item].where,))
    place = trip.rapids[rapid]
    for boat in plan.list_run(place.boats):
        said = say_waits(trip, plan, rapid, boat)
        yield Fact(WAITS, boat, f"{boat} waits {said}", (place.where,))
    order = ", ".join(plan.list_run(leg.boats))
    yield Fact(RUNS, "", f"the boats run in this order: {order}", (place.where,))


def _say_packing(trip: Trip, plan: Arrangement, item: str, boats: Iterable[str]) -> str:
    there = set(boats)
    rows = [row for row in plan.packed if row.item == item and row.boat in there]
    said = [f"{row.count} {row.carried} in {row.boat}" for row in rows]
    left = trip.kit[item].count - sum(row.count for row in rows)
    said += [f"{left} not taken"] if left else []
    return f"{item}: {', '.join(said)}"


def say_waits(trip: Trip, plan: Arrangement, rapid: str, boat: str) -> str:
    """Return where a boat waits at a rapid until it runs, and after: "above, then river left"."""
    runs = plan.list_run(trip.rapids[rapid].boats)
    sites = [plan.stations[rapid, boat, other] for other in runs if other != boat]
    number = runs.index(boat)
    before = dict.fromkeys(STATION_WORDS[site] for site in sites[:number])
    after = dict.fromkeys(STATION_WORDS[site] for site in sites[number:])
    said = [" or ".join(before) + " until it runs"] if before else []
    said += [" or ".join(after) + " once it has run"] if after else []
    return ", ".join(said)
