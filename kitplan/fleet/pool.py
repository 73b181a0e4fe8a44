"""Trials of single trips, here or in processes side by side.

A trip always goes to the same process, and answers are taken in the order of the questions, so that
it makes no difference to what comes of it.
"""

from __future__ import annotations

import multiprocessing
import signal
from collections import deque
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Self, TypeVar

from kitplan.fleet.checks import Trials
from kitplan.solve.floors import LOOK_UP_S

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from fractions import Fraction
    from multiprocessing.pool import AsyncResult, Pool

    from kitplan.fleet.checks import Asked, Check
    from kitplan.fleet.nouns import Fleet, Goal, Line, Lists, Outcome, Suffers
    from kitplan.fleet.packing import Aboard
    from kitplan.fleet.proof import Rejected
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Clock

T = TypeVar("T")
LEAST_S = 1.0


class StoppedError(Exception):
    """The clock was stopped while processes were at work."""


class Trialling:
    """Asks trips one by one, or side by side. Close it, or use it with `with`."""

    def __init__(self, fleet: Fleet, clock: Clock, workers: int) -> None:
        """Start processes where there are several trips and workers."""
        self._clock, self._names = clock, sorted(fleet.outings)
        self._trials = Trials(fleet, clock)
        self._pools: list[Pool] = []
        if workers > 1 and len(self._names) > 1:
            context = multiprocessing.get_context("spawn")
            count = min(workers, len(self._names))
            self._pools = [context.Pool(1, _begin, (fleet, clock)) for _ in range(count)]

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the processes, at work or not."""
        for pool in self._pools:
            pool.terminate()

    @property
    def workers(self) -> int:
        """Return how many trips are asked side by side."""
        return max(1, len(self._pools))

    def find_goals(self, share: Fraction | None, part: float) -> dict[str, Goal | None]:
        """Return the goal of each trip, by name; None where nobody can be seated in time.

        Each trip has as much of that part of the time as any other one.
        """
        seconds = self._clock.left_s(part) * self.workers / max(1, len(self._names))
        rows = [(name, share, max(seconds, LEAST_S)) for name in self._names]
        found = self._ask(_find_goal, Trials.find_goal, self._names, rows)
        return dict(zip(self._names, found, strict=True))

    def check(self, asked: Iterable[Asked], goals: dict[str, Goal], how: str) -> list[Check]:
        """Return what each trip comes to with its lists, in the order of the questions.

        How it is looked for is said in `checks`.
        """
        rows = [(one, self._leave_known(goals[one.name]), how) for one in asked]
        return self._ask(_check, Trials.check, [row[0].name for row in rows], rows)

    def price_loosely(self, goals: dict[str, Goal]) -> dict[str, int]:
        """Return what lists for each trip alone cost at least, in hundredths, by name."""
        names = list(goals)
        rows = [(name, self._leave_known(goals[name])) for name in names]
        found = self._ask(_price_loosely, Trials.price_loosely, names, rows)
        return dict(zip(names, found, strict=True))

    def lift_near(self, asked: Iterable[Asked], goals: dict[str, Goal]) -> list[Check]:
        """Return for each trip little that must be added to lists, its people where they were."""
        rows = [(one, self._leave_known(goals[one.name])) for one in asked]
        return self._ask(_lift_near, Trials.lift_near, [row[0].name for row in rows], rows)

    def refit(
        self, asked: Iterable[Asked], plans: dict[str, tuple[Aboard, ...]], goals: dict[str, Goal]
    ) -> list[Check]:
        """Return for each trip the cheapest lists found if all the others pack as they do."""
        rows = [
            (
                one,
                {name: boats for name, boats in plans.items() if name != one.name},
                self._leave_known(goals[one.name]),
            )
            for one in asked
        ]
        return self._ask(_refit, Trials.refit, [row[0].name for row in rows], rows)

    def lift(
        self,
        asked: Iterable[Asked],
        goals: dict[str, Goal],
        without: Line | None = None,
        below: dict[str, int] | None = None,
    ) -> list[Check]:
        """Return for each trip the least that must be added to lists, in the same order.

        With a copy less of the line `without`, and at a cost `below` a number for each trip.
        """
        rows = [
            (one, self._leave_known(goals[one.name]), without, (below or {}).get(one.name))
            for one in asked
        ]
        return self._ask(_lift, Trials.lift, [row[0].name for row in rows], rows)

    def _leave_known(self, goal: Goal) -> Goal:
        """Return a goal without its plan, which the process knows that found it."""
        return replace(goal, decided={}) if self._pools else goal

    def find_suffering(
        self, asked: Iterable[Asked], gaps: dict[str, dict[str, tuple[int, int]]]
    ) -> list[tuple[Suffers, ...] | None]:
        """Return where each trip suffers with the lists it is asked with, in this order.

        `gaps`: what each rapid of a trip adds to aims 2 and 3 with the lists as they were.
        """
        rows = [(one, gaps[one.name]) for one in asked]
        names = [one.name for one, _ in rows]
        return self._ask(_find_suffering, Trials.find_suffering, names, rows)

    def prove(
        self, rows: Iterable[tuple[str, Goal, Lists, Arrangement]]
    ) -> list[Outcome | Rejected]:
        """Return each trip's plan with its lists, if it is accepted, in the order of the rows."""
        asked = list(rows)
        return self._ask(_prove, Trials.prove, [row[0] for row in asked], asked)

    def _ask(
        self,
        away: Callable[..., T],
        here: Callable[..., T],
        names: list[str],
        rows: Iterable[tuple[Any, ...]],
    ) -> list[T]:
        if not self._pools:
            return [here(self._trials, *row) for row in rows]
        questions = [
            deque[tuple[int, tuple[Any, ...]]]() for _ in self._pools
        ]  # of each process, with their places
        for place, (name, row) in enumerate(zip(names, rows, strict=True)):
            questions[self._names.index(name) % len(self._pools)].append((place, row))
        return self._ask_in_turn(away, questions)

    def _ask_in_turn(
        self, away: Callable[..., T], questions: list[deque[tuple[int, tuple[Any, ...]]]]
    ) -> list[T]:
        """Return the answers by their places; each process has one question at a time.

        A process that is ended while questions wait for it would leave this one waiting too.
        """
        answers: dict[int, T] = {}
        asked: dict[int, tuple[int, AsyncResult[T]]] = {}
        while asked or any(questions):
            for number, (pool, waiting) in enumerate(zip(self._pools, questions, strict=True)):
                if number in asked and asked[number][1].ready():
                    place, answer = asked.pop(number)
                    answers[place] = answer.get()
                if number not in asked and waiting:
                    place, row = waiting.popleft()
                    asked[number] = place, pool.apply_async(away, row)
            if self._clock.stopped:
                raise StoppedError
            if asked:
                next(iter(asked.values()))[1].wait(LOOK_UP_S)
        return [answers[place] for place in sorted(answers)]


# --- in a process of its own ------------------------------------------------------------------

_there: list[Trials] = []


def _begin(fleet: Fleet, clock: Clock) -> None:
    # Ctrl-C reaches this process too; who started it ends it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _there[:] = [Trials(fleet, clock)]


def _find_goal(name: str, share: Fraction | None, seconds: float) -> Goal | None:
    return _there[0].find_goal(name, share, seconds)


def _check(asked: Asked, goal: Goal, how: str) -> Check:
    return _there[0].check(asked, goal, how)


def _price_loosely(name: str, goal: Goal) -> int:
    return _there[0].price_loosely(name, goal)


def _lift_near(asked: Asked, goal: Goal) -> Check:
    return _there[0].lift_near(asked, goal)


def _refit(asked: Asked, others: dict[str, tuple[Aboard, ...]], goal: Goal) -> Check:
    return _there[0].refit(asked, others, goal)


def _lift(asked: Asked, goal: Goal, without: Line | None, below: int | None) -> Check:
    return _there[0].lift(asked, goal, without, below)


def _prove(name: str, goal: Goal, lists: Lists, arrangement: Arrangement) -> Outcome | Rejected:
    return _there[0].prove(name, goal, lists, arrangement)


def _find_suffering(asked: Asked, gaps: dict[str, tuple[int, int]]) -> tuple[Suffers, ...] | None:
    return _there[0].find_suffering(asked, gaps)
