"""Why something can't be done at a rapid, or who does it: facts, and what would turn it.

First the rapid is looked at by itself: with the whole party and all kit, could it be done at all?
Where there is a plan, then as it is planned, and then with the cover that other rapids have in it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.decide.answers import (
    AS_PLANNED,
    MET,
    NOT_MET,
    POSSIBLE,
    REFUSED,
    TOGETHER,
    UNKNOWN,
    Told,
    Why,
)
from kitplan.decide.inplan import InPlan
from kitplan.demands import DemandKey
from kitplan.explain.scene import Party
from kitplan.explain.witness import Prover
from kitplan.facts import Asked, Fact, list_facts, list_turns
from kitplan.needs import may_row_twice
from kitplan.needs.derive import list_choices, rank_choices
from kitplan.solve.conflict import explain_conflict
from kitplan.solve.read import read_arrangement
from kitplan.solve.reasons import Trial

MOST_HELD = 2  # changes that are tried with all that a plan covers and keeps
HELD_UNITS = 3.0  # of the solver's deterministic time, for each of these

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from kitplan.build import Variables
    from kitplan.decide.questions import Question
    from kitplan.demands import Choice, Needs
    from kitplan.errors import Finding
    from kitplan.plan import Arrangement, DemandResult, Plan
    from kitplan.solve.run import Answer, Clock
    from kitplan.trip import Trip


def _add(answers: list[Told], told: Told) -> None:
    """Add an answer, or the boat in trouble to one that is the same but for it."""
    for place, other in enumerate(answers):
        if _liken(other) == _liken(told):
            answers[place] = replace(other, running=(*other.running, *told.running))
            return
    answers.append(told)


def _liken(told: Told) -> object:
    """Return what answers are alike by: all but the boat in trouble, and what is an example."""
    asked = told.question
    said = [(choice.key, choice.reasons) for choice in (*asked.choices, *asked.refused)]
    done = told.result.key[:5] if told.verdict == MET and told.result else None
    return (asked.spot, asked.scenario, asked.technique, asked.bank, said, told.verdict, done,
            told.reasons, told.turns, told.decided, told.moves, told.open_end)  # fmt: skip


class Teller:
    """Answers questions about one trip, or one plan of it."""

    def __init__(self, trip: Trip, needs: Needs, plan: Plan | None, clock: Clock) -> None:
        """Look up what the plan meets, if there is one."""
        self.trip, self.needs, self.plan, self.clock = trip, needs, plan, clock
        self.results = {result.key: result for result in plan.demands} if plan else {}
        self._twice: dict[int, bool] = {}

    def tell_all(self, questions: Iterable[Question], watch: Callable[[str], None]) -> Why:
        """Return the answer to each question; equal ones are told once."""
        answers: list[Told] = []
        for question in questions:
            watch(f"{question.spot}: {question.scenario}, while {question.running} runs")
            _add(answers, self.tell(question))
        stopped = self.clock.left_s() <= 0
        return Why(self.trip, self.needs, self.plan, tuple(answers), stopped)

    def tell(self, question: Question) -> Told:
        """Return the answer to one question."""
        running = (question.running,)
        if not question.choices:
            return Told(question, running, REFUSED)
        asked = Asked(question.choices, question.running)
        met = next(self._list_met(asked), None)
        if met is not None:
            return Told(question, running, MET, met)
        if not self.clock.left_s():
            return Told(question, running, UNKNOWN)
        trial = Trial(self.trip, self.needs, asked, self.clock, twice=self._rows_twice(asked))
        facts = list_facts(self.trip, asked)
        variables, answer = trial.build(facts, facts)
        if answer.found:
            return self._tell_possible(question, trial, variables, answer)
        if answer.status == "unknown":
            return Told(question, running, UNKNOWN)
        reasons = trial.find_reasons(facts)
        turns, tried = self._find_turns(question, trial, reasons.facts if reasons else ())
        return Told(question, running, NOT_MET, reasons=reasons, turns=turns, tried=tried)

    def _list_met(self, asked: Asked) -> Iterator[DemandResult]:
        """Yield what of it a plan meets."""
        for choice in asked.choices:
            result = self.results.get(DemandKey(*choice.key, asked.running))
            if result is not None and result.met:
                yield result

    def find_unseated(self, questions: Iterable[Question]) -> list[Finding]:
        """Return what is in the way of any seating at all in a leg that is asked about.

        Where there is one only if somebody rows twice, that is kept in mind.
        """
        for question in questions:
            number = self.trip.rapids[question.rapid].leg
            if self.plan is not None or not question.choices or number in self._twice:
                continue
            asked = Asked(question.choices, question.running)
            once = Trial(self.trip, self.needs, asked, self.clock)
            self._twice[number] = not once.can_be_seated()
            if self._twice[number] and not (
                may_row_twice(self.trip) and replace(once, twice=True).can_be_seated()
            ):
                return explain_conflict(self.trip, self.clock.left_s())
        return []

    def _rows_twice(self, asked: Asked) -> bool:
        """Say whether somebody has to row twice in the leg, so that there is a seating at all."""
        if self.plan is not None:
            return bool(self.plan.arrangement.twice)
        return self._twice.get(self.trip.rapids[asked.rapid].leg, False)

    def _tell_possible(
        self, question: Question, trial: Trial, variables: Variables, answer: Answer
    ) -> Told:
        """Return who would do it at this rapid alone; with a plan, what is in the way there."""
        arrangement = read_arrangement(variables, answer.read)
        result = self._prove(trial, arrangement)
        crew = tuple((boat, arrangement.crew[boat]) for boat in arrangement.order)
        twice = tuple((boat, p) for (_, boat), p in arrangement.twice.items())
        told = Told(question, (question.running,), POSSIBLE, result, crew, twice)
        if self.plan is None:
            return told
        inside = InPlan(trial, self.plan)
        decided = inside.find_decided()
        moves = inside.find_moves(decided.facts if decided else ())
        told = replace(told, verdict=AS_PLANNED, decided=decided, moves=moves)
        together = inside.find_together()
        if together.reasons is None:
            return replace(told, open_end=together.status == "unknown")
        turns, tried = self._find_turns(question, together.trial, together.open_to, together.kept)
        told = replace(told, verdict=TOGETHER, reasons=together.reasons, turns=turns, tried=tried)
        every = tuple(inside.list_keeping())
        first = self._find_turns(
            question,
            replace(inside.whole, units=HELD_UNITS),
            together.open_to,
            every,
            only=turns[:MOST_HELD],
        )
        return replace(told, nothing_else=together.nothing_else, all_kept=first[0])

    def _prove(self, trial: Trial, arrangement: Arrangement) -> DemandResult | None:
        """Return who does what, filled by matching and not by the solver."""
        leg = self.trip.rapids[trial.asked.rapid].leg
        prover = Prover(Party(self.trip.at_leg(leg), arrangement), self.needs)
        for choice in trial.asked.choices:
            result = prover.prove(DemandKey(*choice.key, trial.asked.running))
            if result.met:
                return result
        return None

    def _find_turns(
        self,
        question: Question,
        trial: Trial,
        facts: Iterable[Fact],
        kept: tuple[Fact, ...] = (),
        *,
        only: tuple[str, ...] | None = None,
    ) -> tuple[tuple[str, ...], int]:
        """Return single changes with which it can be done, and how many were tried.

        Each is made in the trip, what it asks for is worked out anew, and it is solved anew. With
        `only` no others are tried.
        """
        found, tried = [], 0
        for turn in list_turns(trial.trip, trial.asked, facts):
            if not self.clock.left_s():
                break
            if only is not None and turn.said not in only:
                continue
            tried += 1
            choices = _ask_anew(turn.trip, question)
            if choices:
                asked = replace(trial.asked, choices=choices)
                changed = replace(trial, trip=turn.trip, asked=asked, book=None)
                if changed.ask(kept, kept).found:
                    found.append(turn.said)
        return tuple(dict.fromkeys(found)), tried


def _ask_anew(trip: Trip, question: Question) -> tuple[Choice, ...]:
    """Return the choices of a question as a changed trip has them."""
    rapid = trip.rapids[question.rapid]
    spot = next(spot for spot in rapid.spots if spot.name == question.spot)
    scenario = trip.catalog.scenarios[question.scenario]
    keys = {choice.key for choice in (*question.choices, *question.refused)}
    return tuple(
        choice
        for choice in rank_choices(list_choices(trip, rapid, spot, scenario))
        if choice.key in keys and choice.accepted and (choice.covers or question.technique)
    )
