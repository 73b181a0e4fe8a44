"""Facts that are said to make something impossible do, and none of them can be left out.

The outside of this check is the plain twin, a linear program written from the rules in words: it
solves the trip without the facts that were left out, and again without one more that stayed.
That leaving out a fact only ever allows more is tried on facts drawn at random.
"""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING, NamedTuple

import pytest

from kitplan.decide.questions import Wanted, find_questions
from kitplan.facts import Asked, Fact, list_facts, list_turns, relax
from kitplan.needs import derive_needs
from kitplan.solve.reasons import Trial, find_reasons
from kitplan.solve.run import Clock
from tests.generator import SIZES, draw_trip, is_full_run
from tests.twin.asked import can

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from kitplan.demands import Needs
    from kitplan.solve.run import Status
    from kitplan.trip import Trip

SEEDS = range(24 if is_full_run() else 8)
LIMIT_S = 600.0


class Put(NamedTuple):
    """A question put to a trip."""

    trip: Trip
    needs: Needs
    asked: Asked

    def try_without(self, facts: Sequence[Fact], dropped: Sequence[Fact]) -> Status:
        """Return what the program says where some facts are left out."""
        trial = Trial(self.trip, self.needs, self.asked, Clock(LIMIT_S))
        return trial.ask(facts, [fact for fact in facts if fact not in dropped]).status

    def is_possible(self, dropped: Sequence[Fact]) -> bool:
        """Say by the plain twin whether what is asked can be done without some facts."""
        return can(relax(self.trip, self.asked, dropped), self.asked)


def list_put(seed: int) -> Iterator[Put]:
    """Yield the questions about a random trip of one leg: each case, from anywhere."""
    trip = draw_trip(seed, SIZES["tiniest"], techniques="drawn" if seed % 2 else "shipped").trip
    needs = derive_needs(trip)
    for rapid in trip.rapids if len(trip.legs) == 1 else ():
        questions, _ = find_questions(trip, needs, Wanted(rapid))
        for question in questions:
            if question.choices:
                yield Put(trip, needs, Asked(question.choices, question.running))


@pytest.mark.parametrize("seed", SEEDS)
def test_what_makes_it_so_does_and_none_of_it_can_be_left_out(seed: int) -> None:
    for put in list(list_put(seed))[:2]:
        facts = list_facts(put.trip, put.asked)
        trial = Trial(put.trip, put.needs, put.asked, Clock(LIMIT_S))
        reasons = trial.find_reasons(facts)
        assert (reasons is None) == put.is_possible([])
        if reasons is None:
            continue
        assert reasons.irreducible
        needless = [fact for fact in facts if fact not in reasons.facts]
        assert not put.is_possible(needless)
        for fact in reasons.facts:
            assert put.is_possible([*needless, fact]), fact


@pytest.mark.parametrize("seed", SEEDS)
def test_leaving_out_a_fact_only_allows_more(seed: int) -> None:
    rng = Random(seed)
    for put in list_put(seed):
        facts = list_facts(put.trip, put.asked)
        dropped: list[Fact] = []
        was = put.try_without(facts, dropped)
        for fact in rng.sample(facts, min(len(facts), 8)):
            dropped.append(fact)
            now = put.try_without(facts, dropped)
            assert (was, now) != ("proven", "infeasible"), fact
            was = now


@pytest.mark.parametrize("seed", SEEDS)
def test_leaving_out_a_fact_changes_the_trip(seed: int) -> None:
    for put in list_put(seed):
        for fact in list_facts(put.trip, put.asked):
            assert fact.said
            assert relax(put.trip, put.asked, [fact]) != put.trip, fact


@pytest.mark.parametrize("seed", SEEDS)
def test_a_small_change_turns_nothing_that_leaving_out_its_fact_does_not(seed: int) -> None:
    for put in list(list_put(seed))[:2]:
        facts = list_facts(put.trip, put.asked)
        for fact in facts:
            for turn in list_turns(put.trip, put.asked, [fact]):
                trial = Trial(turn.trip, put.needs, put.asked, Clock(LIMIT_S))
                if trial.ask([], []).found:
                    assert put.try_without(facts, [fact]) == "proven", turn.said


def test_the_set_does_not_depend_on_how_many_are_left_out_at_a_time() -> None:
    # Sets that can't hold, among nine facts; the first one in the order of facts that stays whole.
    facts = [Fact("fact", str(number)) for number in range(9)]
    conflicts = [{"1", "4"}, {"4", "7", "8"}, {"2"}]

    def ask(force: Sequence[Fact]) -> Status:
        names = {fact.subject for fact in force}
        return "infeasible" if any(one <= names for one in conflicts) else "proven"

    def one_by_one() -> list[Fact]:
        kept = list(facts)
        for fact in facts:
            rest = [other for other in kept if other != fact]
            kept = rest if ask(rest) == "infeasible" else kept
        return kept

    for first in range(len(facts) + 1):
        found = find_reasons(facts, ask, first)
        assert found is not None
        assert found.irreducible
        assert list(found.facts) == one_by_one()


def test_a_set_is_not_called_irreducible_where_a_limit_cut_in() -> None:
    facts = [Fact("fact", str(number)) for number in range(3)]

    def ask(force: Sequence[Fact]) -> Status:
        return "infeasible" if len(force) == len(facts) else "unknown"

    found = find_reasons(facts, ask)
    assert found is not None
    assert len(found.facts) == len(facts)
    assert not found.irreducible
    assert find_reasons(facts, lambda _: "unknown") is None
