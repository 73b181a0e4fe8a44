"""Rapids by themselves: what each comes to with what is decided, and what it could do at best.

What a rapid comes to is asked of a small model with all but its stations as constants. The model
that its floors are asked of, with all open, is built when first needed and kept. Where there are
many rapids, they are dealt out to processes that stay; each rapid always goes to the same one, and
answers are taken in the order of the questions, so that it makes no difference to what comes of it.
"""

from __future__ import annotations

import multiprocessing
import signal
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple, Self, TypeVar

from kitplan.build import Held, TermsBook, TripModel, Variables, read_aboard
from kitplan.build.variables import add_up
from kitplan.solve.floors import COVER_AIMS, LOOK_UP_S
from kitplan.solve.run import Budget, run, run_soon

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from multiprocessing.pool import AsyncResult, Pool

    from ortools.sat.python import cp_model

    from kitplan.build import Aboard
    from kitplan.build.variables import Linear
    from kitplan.demands import Needs
    from kitplan.solve.floors import Limits
    from kitplan.solve.run import Answer
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
    """What a rapid comes to, and its stations; seats, packing and order were given."""

    vector: Vector
    decided: Decided


@dataclass(frozen=True, slots=True)
class Floor:
    """The best a rapid could do by itself, for as many aims as were asked, and what is proven."""

    values: Vector = ()
    exact: tuple[bool, ...] = ()

    def fill_up(self, number: int) -> Floor:
        """Return the floors up to an aim; one that is not known is 0, and not proven."""
        unknown = range(len(self.values), number + 1)
        return Floor(
            (*self.values, *(0 for _ in unknown)), (*self.exact, *(False for _ in unknown))
        )


class Asked(NamedTuple):
    """Floors up to an aim, by its number, until a share of the limit is spent."""

    number: int
    share: float


class Alone:
    """The models of single rapids in one process."""

    def __init__(self, trip: Trip, needs: Needs, limits: Limits) -> None:
        """Keep what models are built from; none is built yet."""
        self.trip, self.needs, self.limits = trip, needs, limits
        self._book = TermsBook(trip)
        self._models: dict[str, TripModel] = {}
        self._demands = Counter(demand.rapid for demand in needs.demands)
        self._demand_s = 0.0  # about how long a demand takes to be built with all open

    def prepare(self, rapids: list[str]) -> None:
        """Work out what is asked at some rapids, before there are seats and packing to ask with."""
        self._book.work_out(self.needs, set(rapids))

    def ask(self, rapid: str, aboard: Aboard) -> Stands | None:
        """Return the best of a rapid with seats, packing and order given; None if time ran out."""
        if not self.limits.left_s():
            return None
        held = TripModel(Held(self.trip, rapid, aboard), self.needs, book=self._book)
        answer = self._find_best(held.model, _weigh(held, rapid))
        if not answer.found:
            return None
        values, names = answer.list_values(), held.model.proto.variables
        vector = tuple(answer.evaluate(held.gap[rapid][aim]) for aim in COVER_AIMS)
        return Stands(vector, {names[n].name: values[n] for n in range(held.v.decided)})

    def _find_best(self, model: cp_model.CpModel, aim: Linear) -> Answer:
        """Return the least found with the model as it is, else made smaller, else any stations."""
        budget = self._budget(REST)
        answer = run(model, aim, replace(budget, presolve=False))
        if not answer.found:
            answer = run(model, aim, budget)
        if not answer.found:
            # That takes no time to speak of.
            answer = run(model, None, replace(self._budget(FLOOR), presolve=False))
        return answer

    def find_floor(self, rapid: str, asked: Asked, hints: Decided, known: Floor) -> Floor:
        """Return a rapid's floors up to an aim, those already known first.

        Fewer, where the clock leaves no time to build its model.
        """
        values, exact = list(known.values), list(known.exact)
        takes_s = 0 if rapid in self._models else self._demand_s * self._demands[rapid]
        if self.limits.clock.left_s(asked.share) <= takes_s:
            return known
        alone = self._get(rapid)
        while len(values) <= asked.number:
            trial = alone.model.clone()
            hint(alone, trial, hints)
            for aim, value in zip(COVER_AIMS, values, strict=False):
                trial.add(alone.gap[rapid][aim] <= value)
            answer = run_soon(
                trial,
                alone.gap[rapid][COVER_AIMS[len(values)]],
                replace(self._budget(FLOOR), share=asked.share),
            )
            values.append(answer.bound)
            exact.append(answer.status == "proven")
        return Floor(tuple(values), tuple(exact))

    def _get(self, rapid: str) -> TripModel:
        if rapid not in self._models:
            began_s = self.limits.clock.spent_s
            variables = Variables(self.trip, (rapid,), all_legs=False)
            self._models[rapid] = TripModel(variables, self.needs, book=self._book)
            took_s = self.limits.clock.spent_s - began_s
            self._demand_s = max(self._demand_s, took_s / self._demands[rapid])
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
            context = multiprocessing.get_context("spawn")
            # Ctrl-C reaches them too; who started them ends them.
            quiet = (signal.SIGINT, signal.SIG_IGN)
            self._pools = [context.Pool(1, signal.signal, quiet) for _ in range(limits.workers)]
            for number, pool in enumerate(self._pools):
                # So one reads the trip while the next one starts.
                pool.apply_async(_begin, (trip, needs, limits, rapids[number :: limits.workers]))
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
        aboard = read_aboard(self._alone.trip, decided)
        if not self._pools:
            yield from (self._alone.ask(rapid, aboard) for rapid in rapids)
            return
        asked = [self._send(rapid, _ask, (rapid, aboard)) for rapid in rapids]
        yield from (self._await(answer) for answer in asked)

    def find_floors(self, rapids: list[str], asked: Asked, hints: Decided) -> dict[str, Floor]:
        """Return the floors of rapids up to an aim. Where there was no time, none is known."""
        questions = [
            (rapid, asked, _pick(hints, rapid), known)
            for rapid in rapids
            if len((known := self.tell_floor(rapid)).values) <= asked.number
        ]
        if self._pools:
            sent = [self._send(question[0], _find_floor, question) for question in questions]
            answers = [self._await(answer) for answer in sent]
        else:
            answers = [self._alone.find_floor(*question) for question in questions]
        for (rapid, *_), floor in zip(questions, answers, strict=True):
            if floor is not None:
                self._floor[rapid] = floor
        return {rapid: self.tell_floor(rapid).fill_up(asked.number) for rapid in rapids}

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


def _begin(trip: Trip, needs: Needs, limits: Limits, rapids: list[str]) -> None:
    _here[:] = [Alone(trip, needs, limits)]
    _here[0].prepare(rapids)


def _ask(rapid: str, aboard: Aboard) -> Stands | None:
    return _here[0].ask(rapid, aboard)


def _find_floor(rapid: str, asked: Asked, hints: Decided, known: Floor) -> Floor:
    return _here[0].find_floor(rapid, asked, hints, known)


# --- small parts ------------------------------------------------------------------------------


def is_shared(name: str) -> bool:
    """Say whether a decision of this name is one that rapids have in common."""
    return name.partition("[")[0] in SHARED


def _pick(decided: Decided, rapid: str) -> Decided:
    """Return those decisions that a model of one rapid has."""
    return {n: v for n, v in decided.items() if is_shared(n) or f"[{rapid}," in n}


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
