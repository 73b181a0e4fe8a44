"""Rapids by themselves: what each comes to with what is decided, and what it could do at best.

A model of one rapid is built when it is first asked and kept. Where there are many, they are dealt
out to processes that stay; each rapid always goes to the same one, and answers are taken in the
order of the questions, so that it makes no difference to what comes of it.
"""

from __future__ import annotations

import multiprocessing
import signal
from dataclasses import dataclass
from typing import TYPE_CHECKING, Self, TypeVar

from kitplan.build import TripModel, Variables
from kitplan.build.variables import add_up
from kitplan.solve.floors import COVER_AIMS, LOOK_UP_S
from kitplan.solve.run import Budget, run_soon

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from multiprocessing.pool import AsyncResult, Pool

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.demands import Needs
    from kitplan.solve.floors import Limits
    from kitplan.trip import Trip

T = TypeVar("T")
Vector = tuple[int, ...]
"""What a rapid adds to each of the aims 2 to 4."""
Decided = dict[str, int]
"""Decisions by the names of their variables."""

SHARED = ("seat", "steer", "taken", "pack", "place")
"""Kinds of decisions that rapids have in common."""
LEAST_FOR_PROCESSES = 30  # rapids; below, starting processes costs more than it saves
HEAVY = 100_000  # an aim outweighs all that come after it
# The solver's deterministic time for one rapid.
REST, FLOOR = 1.0, 8.0


@dataclass(frozen=True, slots=True)
class Stands:
    """What a rapid comes to, and what was decided there: seats, packing and order as they were."""

    vector: Vector
    decided: Decided


@dataclass(frozen=True, slots=True)
class Floor:
    """The best a rapid could do by itself, for as many aims as were asked, and what is proven."""

    values: Vector = ()
    exact: tuple[bool, ...] = ()


class Alone:
    """The models of single rapids in one process."""

    def __init__(self, trip: Trip, needs: Needs, limits: Limits) -> None:
        """Keep what models are built from; none is built yet."""
        self.trip, self.needs, self.limits = trip, needs, limits
        self._models: dict[str, TripModel] = {}

    def ask(self, rapid: str, shared: Decided) -> Stands | None:
        """Return the best of a rapid with what is `shared` held; None if time ran out."""
        if not self.limits.left_s():
            return None
        alone = self._get(rapid)
        trial = alone.model.clone()
        for _, variable in alone.v.list_decisions(trial):
            if variable.name in shared:
                trial.add(variable == shared[variable.name])
        answer = run_soon(trial, _weigh(alone, rapid), self._budget(REST))
        if not answer.found:
            return None
        values, names = answer.list_values(), alone.model.proto.variables
        vector = tuple(answer.evaluate(alone.gap[rapid][aim]) for aim in COVER_AIMS)
        return Stands(vector, {names[n].name: values[n] for n in range(alone.v.decided)})

    def find_floor(self, rapid: str, number: int, hints: Decided, known: Floor) -> Floor:
        """Return a rapid's floors up to an aim, those already known first."""
        values, exact = list(known.values), list(known.exact)
        alone = self._get(rapid)
        while len(values) <= number:
            trial = alone.model.clone()
            hint(alone, trial, hints)
            for aim, value in zip(COVER_AIMS, values, strict=False):
                trial.add(alone.gap[rapid][aim] <= value)
            answer = run_soon(trial, alone.gap[rapid][COVER_AIMS[len(values)]], self._budget(FLOOR))
            values.append(answer.bound)
            exact.append(answer.status == "proven")
        return Floor(tuple(values), tuple(exact))

    def _get(self, rapid: str) -> TripModel:
        if rapid not in self._models:
            variables = Variables(self.trip, (rapid,), all_legs=False)
            self._models[rapid] = TripModel(variables, self.needs)
        return self._models[rapid]

    def _budget(self, deterministic: float) -> Budget:
        return Budget(self.limits.clock, self.limits.share, deterministic)


class Singles:
    """Single rapids, here or in processes side by side. Close it, or use it with `with`."""

    def __init__(self, trip: Trip, needs: Needs, rapids: list[str], limits: Limits) -> None:
        """Start the processes, if there are rapids enough for them."""
        self._clock = limits.clock
        self._floor: dict[str, Floor] = {}
        self._alone = Alone(trip, needs, limits)
        self._pools: list[Pool] = []
        if limits.workers > 1 and len(rapids) >= LEAST_FOR_PROCESSES:
            context, about = multiprocessing.get_context("spawn"), (trip, needs, limits)
            self._pools = [context.Pool(1, _begin, about) for _ in range(limits.workers)]
        self._place = {rapid: n % limits.workers for n, rapid in enumerate(rapids)}

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the processes, at work or not."""
        for pool in self._pools:
            pool.terminate()

    def ask(self, rapids: list[str], decided: Decided) -> Iterator[Stands | None]:
        """Yield what each rapid comes to with the seats, packing and order of a plan."""
        shared = {n: v for n, v in decided.items() if _is_shared(n)}
        if not self._pools:
            yield from (self._alone.ask(rapid, shared) for rapid in rapids)
            return
        asked = [self._send(rapid, _ask, (rapid, shared)) for rapid in rapids]
        yield from (self._await(answer) for answer in asked)

    def find_floors(self, rapids: list[str], number: int, hints: Decided) -> dict[str, Floor]:
        """Return the floors of rapids up to an aim. Where the clock is stopped, none is known."""
        questions = [
            (rapid, number, _pick(hints, rapid), known)
            for rapid in rapids
            if len((known := self.tell_floor(rapid)).values) <= number
        ]
        if self._pools:
            asked = [self._send(question[0], _find_floor, question) for question in questions]
            answers = [self._await(answer) for answer in asked]
        else:
            answers = [self._alone.find_floor(*question) for question in questions]
        for (rapid, *_), floor in zip(questions, answers, strict=True):
            if floor is not None:
                self._floor[rapid] = floor
        none = Floor((0,) * (number + 1), (False,) * (number + 1))
        return {rapid: self._floor.get(rapid, none) for rapid in rapids}

    def _send(
        self, rapid: str, ask: Callable[..., T], question: tuple[object, ...]
    ) -> AsyncResult[T]:
        return self._pools[self._place[rapid]].apply_async(ask, question)

    def _await(self, answer: AsyncResult[T]) -> T | None:
        """Return an answer when it is there, or None as soon as the clock is stopped."""
        while not answer.ready() and not self._clock.stopped:
            answer.wait(LOOK_UP_S)
        return answer.get() if answer.ready() else None

    def tell_floor(self, rapid: str) -> Floor:
        """Return what is known of a rapid's floors."""
        return self._floor.get(rapid, Floor())


# --- in a process of its own ------------------------------------------------------------------

_here: list[Alone] = []


def _begin(trip: Trip, needs: Needs, limits: Limits) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches it too; who started it ends it
    _here[:] = [Alone(trip, needs, limits)]


def _ask(rapid: str, shared: Decided) -> Stands | None:
    return _here[0].ask(rapid, shared)


def _find_floor(rapid: str, number: int, hints: Decided, known: Floor) -> Floor:
    return _here[0].find_floor(rapid, number, hints, known)


# --- small parts ------------------------------------------------------------------------------


def _is_shared(name: str) -> bool:
    return name.partition("[")[0] in SHARED


def _pick(decided: Decided, rapid: str) -> Decided:
    """Return those decisions that a model of one rapid has."""
    return {n: v for n, v in decided.items() if _is_shared(n) or f"[{rapid}," in n}


def hint(tm: TripModel, model: cp_model.CpModel, hints: Decided) -> None:
    """Let a model, or a clone of it, start from what was decided before."""
    for _, variable in tm.v.list_decisions(model):
        if variable.name in hints:
            model.add_hint(variable, hints[variable.name])


def _weigh(alone: TripModel, rapid: str) -> Linear:
    """Return what orders a rapid's plans as its aims one after the other do."""
    most = 1
    terms = []
    for aim in reversed(COVER_AIMS):
        terms.append(most * alone.gap[rapid][aim])
        most *= HEAVY
    return add_up(terms)
