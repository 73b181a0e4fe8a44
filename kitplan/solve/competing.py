"""Competing rapids: only rapids that compete are solved together.

Given seats, packing and running order, what happens at one rapid has nothing to do with another
one. So a few rapids are solved together, then each of the rest is asked what it comes to with the
seats, packing and order found. Where all of these stand at their floors, the best they could do by
themselves, the whole trip is at its best: the few can't do better together, nor the others alone.
Otherwise those that lose most join the few, and it begins anew.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.build import TripModel, Variables
from kitplan.build.variables import add_up
from kitplan.solve.floors import COVER_AIMS, Floors, add_on_floors
from kitplan.solve.run import Budget, run_soon

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.demands import Needs
    from kitplan.solve.run import Answer, Clock
    from kitplan.trip import Trip

    Vector = tuple[int, ...]
    """What a rapid adds to each of the aims 2 to 4."""

SHARED = ("seat", "steer", "taken", "pack", "place")
"""Kinds of decisions that rapids have in common."""
FEW = 4  # rapids at first, at least, and of those that join at a time
FIRST = 8  # rapids at first, at most
DETERMINISTIC = {"at floors": 6.0, "together": 20.0, "floor": 8.0, "rest": 1.0}


@dataclass(slots=True)
class Found:
    """A plan of all rapids: what each adds to the aims, and every decision by its name."""

    vectors: dict[str, Vector]
    decided: dict[str, int]

    @property
    def total(self) -> Vector:
        """Return the values of the aims."""
        return tuple(sum(column) for column in zip(*self.vectors.values(), strict=True))


@dataclass(slots=True)
class Settled:
    """The best plan found, a bound for each aim, and the floors that had to be known.

    `partial`: what was decided for those asked so far, where time did not allow to ask all.
    """

    found: Found | None = None
    partial: dict[str, int] = field(default_factory=dict)
    bounds: dict[str, int] = field(default_factory=lambda: dict.fromkeys(COVER_AIMS, 0))
    floors: Floors = field(default_factory=Floors)


class Competing:
    """Settles aims 2 to 4 with as few rapids together as will do."""

    def __init__(
        self, trip: Trip, needs: Needs, start: dict[str, int], clock: Clock, share: float
    ) -> None:
        """Order the rapids by how much they weigh; nothing is solved yet.

        `start`: decisions of any plan, by their names.
        """
        self.trip, self.needs, self.clock, self.share = trip, needs, clock, share
        weight: dict[str, int] = {}
        for case in needs.cases.values():
            weight[case.key.rapid] = weight.get(case.key.rapid, 0) + case.weight
        self.rapids = sorted(weight, key=lambda rapid: (-weight[rapid], rapid))
        self.few = self.rapids[: min(max(FEW, len(self.rapids) // 5), FIRST)]
        self.outcome = Settled()
        self.at_floors = True  # the few stand at their floors of all aims so far
        self.exact = True  # all aims so far are proven: bounds of later ones are bounds
        self._hints = start
        self._alone: dict[str, TripModel] = {}
        self._floor: dict[str, tuple[list[int], list[bool]]] = {}

    def settle(self, watch: Callable[[str], None]) -> Settled:
        """Return the best plan found in time, with bounds; at first that of the start."""
        watch("each rapid as the start leaves it")
        first = self._ask(dict(self._hints), {}, self.rapids)
        if first is not None:
            self._keep(first)
        held: list[int] = []  # the value of each aim settled so far
        for number, aim in enumerate(COVER_AIMS):
            watch(f"aim {aim}, {len(self.few)} of {len(self.rapids)} rapids together")
            if not self._settle_aim(number, held):
                break
            held.append(self._best.total[number])
        self.outcome.floors = self._tell_floors()
        return self.outcome

    @property
    def _best(self) -> Found:
        found = self.outcome.found
        if found is None:
            message = "nothing was found yet"
            raise ValueError(message)
        return found

    def _settle_aim(self, number: int, held: list[int]) -> bool:
        """Find the least value of an aim with the earlier ones held; say whether time allowed."""
        while self.clock.left_s(self.share):
            tm = TripModel(Variables(self.trip, self.few), self.needs)
            self._hold(tm, held)
            self._hint(tm, tm.model)
            answer = self._run_few(tm, number)
            rest = [rapid for rapid in self.rapids if rapid not in self.few]
            found = self._ask_rest(tm, answer, rest) if answer.found else None
            if found is None:
                return False
            self._keep(found)
            losing = self._list_losing(found, rest, number)
            floors = [self._find_floor(rapid, number) for rapid in rest]
            if self.exact:
                bound = answer.bound + sum(floor[number] for floor, _ in floors)
                self.outcome.bounds[COVER_AIMS[number]] = bound
            if not losing:
                self.at_floors = self.at_floors and answer.value == self._sum_floors(number)
                self.exact &= answer.status == "proven" and all(row[number] for _, row in floors)
                # Another plan may have been better by a later aim.
                self.outcome.found = found
                return True
            self.few += losing[:FEW]
        return False

    def _sum_floors(self, number: int) -> int:
        """Return what the few come to at their floors of an aim."""
        return sum(self._find_floor(rapid, number)[0][number] for rapid in self.few)

    def _run_few(self, tm: TripModel, number: int) -> Answer:
        """Minimise an aim over the few: first see whether all can stand at their floors."""
        if not self.at_floors:
            return run_soon(tm.model, self._sum(tm, number), self._budget("together"))
        gaps = {rapid: tm.gap[rapid][COVER_AIMS[number]] for rapid in self.few}
        floors = {rapid: self._find_floor(rapid, number)[0][number] for rapid in self.few}
        trial = tm.model.clone()
        for rapid, gap in gaps.items():
            trial.add(gap <= floors[rapid])
        answer = run_soon(trial, None, self._budget("at floors"))
        least = sum(floors.values())
        if answer.found:
            return replace(answer, value=least, bound=least)
        answer = run_soon(tm.model, add_on_floors(tm.model, gaps, floors), self._budget("together"))
        return replace(answer, bound=max(answer.bound, least))

    def _hint(self, tm: TripModel, model: cp_model.CpModel) -> None:
        """Start from what was decided before, in a model or a clone of it."""
        for _, variable in tm.v.list_decisions(model):
            if variable.name in self._hints:
                model.add_hint(variable, self._hints[variable.name])

    def _tell_floors(self) -> Floors:
        """Return the floors of all rapids; what had not to be known is 0, and not proven.

        Where a rapid adds nothing to an aim, nothing is what it could do at best.
        """
        told = Floors({}, dict.fromkeys(COVER_AIMS, True))
        vectors = self.outcome.found.vectors if self.outcome.found else {}
        for rapid in self.rapids:
            vector = vectors.get(rapid, (1,) * len(COVER_AIMS))
            if any(vector[:2]) and self.clock.left_s(self.share):
                self._find_floor(rapid, 1)
            floor, exact = self._floor.get(rapid, ([], []))
            told.value[rapid] = {}
            for number, aim in enumerate(COVER_AIMS):
                known = number < len(floor)
                told.value[rapid][aim] = floor[number] if known else 0
                told.proven[aim] &= exact[number] if known else not any(vector[: number + 1])
        return told

    def _hold(self, tm: TripModel, held: list[int]) -> None:
        """Hold the few at what the earlier aims leave them, the rest standing at its floors."""
        rest = [rapid for rapid in self.rapids if rapid not in self.few]
        for number, value in enumerate(held):
            left = value - sum(self._find_floor(r, number)[0][number] for r in rest)
            tm.model.add(self._sum(tm, number) <= left)

    def _sum(self, tm: TripModel, number: int) -> Linear:
        return add_up(tm.gap[rapid][COVER_AIMS[number]] for rapid in self.few)

    def _ask_rest(self, tm: TripModel, answer: Answer, rest: Iterable[str]) -> Found | None:
        """Return the plan that seats, packing and order of an answer make with all rapids."""
        values = answer.list_values()
        proto = tm.model.proto.variables
        decided = {proto[n].name: values[n] for n in range(tm.v.decided)}
        vectors = {
            rapid: tuple(answer.evaluate(tm.gap[rapid][aim]) for aim in COVER_AIMS)
            for rapid in self.few
        }
        return self._ask(decided, vectors, rest)

    def _ask(
        self, decided: dict[str, int], vectors: dict[str, Vector], rest: Iterable[str]
    ) -> Found | None:
        """Ask each of the rest what it comes to with what was decided; None if time ran out."""
        shared = {n: v for n, v in decided.items() if n.partition("[")[0] in SHARED}
        for rapid in rest:
            if not self.clock.left_s(self.share):
                self.outcome.partial = decided
                return None
            alone = self._get_alone(rapid)
            trial = alone.model.clone()
            for _, variable in alone.v.list_decisions(trial):
                if variable.name in shared:
                    trial.add(variable == shared[variable.name])
            one = run_soon(trial, _weigh(alone, rapid), self._budget("rest"))
            if not one.found:
                self.outcome.partial = decided
                return None
            vectors[rapid] = tuple(one.evaluate(alone.gap[rapid][aim]) for aim in COVER_AIMS)
            known = one.list_values()
            names = alone.model.proto.variables
            decided |= {names[n].name: known[n] for n in range(alone.v.decided)}
        self._hints = decided
        return Found(vectors, decided)

    def _list_losing(self, found: Found, rest: list[str], number: int) -> list[str]:
        """Return the rapids that stand above their floors of this aim or an earlier one."""
        losses: dict[str, tuple[int, ...]] = {}
        for rapid in rest:
            vector = found.vectors[rapid][: number + 1]
            if any(vector):
                floor = self._find_floor(rapid, number)[0]
                loss = tuple(v - f for v, f in zip(vector, floor, strict=False))
                if any(step > 0 for step in loss):
                    losses[rapid] = loss
        return sorted(losses, key=lambda rapid: (losses[rapid], rapid), reverse=True)

    def _find_floor(self, rapid: str, number: int) -> tuple[list[int], list[bool]]:
        """Return what a rapid could do at best by itself, up to an aim, and whether it is exact."""
        floor, exact = self._floor.setdefault(rapid, ([], []))
        alone = self._get_alone(rapid)
        while len(floor) <= number:
            trial = alone.model.clone()
            self._hint(alone, trial)
            for aim, value in zip(COVER_AIMS, floor, strict=False):
                trial.add(alone.gap[rapid][aim] <= value)
            answer = run_soon(
                trial, alone.gap[rapid][COVER_AIMS[len(floor)]], self._budget("floor")
            )
            floor.append(answer.bound)
            exact.append(answer.status == "proven")
        return floor, exact

    def _get_alone(self, rapid: str) -> TripModel:
        if rapid not in self._alone:
            self._alone[rapid] = TripModel(
                Variables(self.trip, (rapid,), all_legs=False), self.needs
            )
        return self._alone[rapid]

    def _keep(self, found: Found) -> None:
        if self.outcome.found is None or found.total < self.outcome.found.total:
            self.outcome.found = found

    def _budget(self, what: str) -> Budget:
        return Budget(self.clock, self.share, DETERMINISTIC[what])


def _weigh(alone: TripModel, rapid: str) -> Linear:
    """Return what orders a rapid's plans as its aims one after the other do."""
    most = 1
    terms = []
    for aim in reversed(COVER_AIMS):
        terms.append(most * alone.gap[rapid][aim])
        most *= 100_000
    return add_up(terms)
