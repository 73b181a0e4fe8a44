"""Trials of single trips, here or in processes side by side.

A trip always goes to the same process, and answers are taken in the order of the questions, so that
it makes no difference to what comes of it.
"""

from __future__ import annotations

import multiprocessing
import signal
from typing import TYPE_CHECKING, Any, Self, TypeVar

from kitplan.fleet.checks import Trials
from kitplan.solve.floors import LOOK_UP_S

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from fractions import Fraction
    from multiprocessing.pool import AsyncResult, Pool

    from kitplan.fleet.checks import Asked, Check
    from kitplan.fleet.nouns import Fleet, Goal, Suffers
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
            # Ctrl-C reaches them too; who started them ends them.
            quiet = (signal.SIGINT, signal.SIG_IGN)
            count = min(workers, len(self._names))
            self._pools = [context.Pool(1, signal.signal, quiet) for _ in range(count)]
            for pool in self._pools:
                pool.apply_async(_begin, (fleet, clock))

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the processes, at work or not."""
        for pool in self._pools:
            pool.terminate()

    def find_goals(self, share: Fraction | None, part: float) -> dict[str, Goal | None]:
        """Return the goal of each trip, by name; None where nobody can be seated in time.

        Each trip has as much of that part of the time as any other one.
        """
        side_by_side = max(1, len(self._pools))
        seconds = self._clock.left_s(part) * side_by_side / max(1, len(self._names))
        rows = [(name, share, max(seconds, LEAST_S)) for name in self._names]
        found = self._ask(_find_goal, Trials.find_goal, self._names, rows)
        return dict(zip(self._names, found, strict=True))

    def check(
        self, asked: Iterable[Asked], goals: dict[str, Goal], *, brief: bool = False
    ) -> list[Check]:
        """Return what each trip comes to with its lists, in the order of the questions.

        In `brief` only whether it reaches its goal.
        """
        rows = [(one, goals[one.name], brief) for one in asked]
        return self._ask(_check, Trials.check, [row[0].name for row in rows], rows)

    def find_suffering(self, asked: Iterable[Asked]) -> list[tuple[Suffers, ...] | None]:
        """Return where each trip suffers with the lists it is asked with, in this order."""
        rows = [(one,) for one in asked]
        names = [one.name for (one,) in rows]
        return self._ask(_find_suffering, Trials.find_suffering, names, rows)

    def _ask(
        self,
        away: Callable[..., T],
        here: Callable[..., T],
        names: list[str],
        rows: Iterable[tuple[Any, ...]],
    ) -> list[T]:
        if not self._pools:
            return [here(self._trials, *row) for row in rows]
        sent = [
            self._pools[self._names.index(name) % len(self._pools)].apply_async(away, row)
            for name, row in zip(names, rows, strict=True)
        ]
        return [self._await(answer) for answer in sent]

    def _await(self, answer: AsyncResult[T]) -> T:
        while not answer.ready():
            answer.wait(LOOK_UP_S)
            if self._clock.stopped:
                raise StoppedError
        return answer.get()


# --- in a process of its own ------------------------------------------------------------------

_there: list[Trials] = []


def _begin(fleet: Fleet, clock: Clock) -> None:
    _there[:] = [Trials(fleet, clock)]


def _find_goal(name: str, share: Fraction | None, seconds: float) -> Goal | None:
    return _there[0].find_goal(name, share, seconds)


def _check(asked: Asked, goal: Goal, brief: bool) -> Check:  # noqa: FBT001 - as it is sent
    return _there[0].check(asked, goal, brief)


def _find_suffering(asked: Asked) -> tuple[Suffers, ...] | None:
    return _there[0].find_suffering(asked)
