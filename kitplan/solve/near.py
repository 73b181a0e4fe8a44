"""Near what there is: the best that comes of so many moves at the most, each time solved anew.

Used on a load that lies on the ramp, and to say what each move of a plan is good for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build import TripModel, Variables
from kitplan.build.variables import add_up
from kitplan.plan import Before
from kitplan.solve.begin import hint_before, name_before, name_decisions
from kitplan.solve.floors import COVER_AIMS
from kitplan.solve.read import read_arrangement
from kitplan.solve.run import Budget, run, start_from
from kitplan.solve.singles import HEAVY

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.demands import Needs
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Answer, Clock
    from kitplan.solve.singles import Decided
    from kitplan.trip import Trip

UNITS = 6.0  # of the solver's deterministic time, for one question


@dataclass(frozen=True, slots=True)
class Step:
    """What comes of `moves` moves: values of aims 1 to 4 by name, what is decided, and by whom.

    `proven`: no plan with as many moves has better values.
    """

    moves: int
    values: dict[str, int]
    arrangement: Arrangement
    decided: Decided
    proven: bool

    def is_better(self, other: Step) -> bool:
        """Say whether the values are better, the first aim first."""
        return tuple(self.values.values()) < tuple(other.values.values())


class Near:
    """A model of all rapids in which the moves from what there is are counted."""

    def __init__(
        self, trip: Trip, needs: Needs, before: Before, clock: Clock, rowing: int | None = None
    ) -> None:
        """Build the model, `rowing` as `count_rowing` tells it; nothing is solved yet."""
        self.clock = clock
        self.before = before
        self.tm = TripModel(Variables(trip, trip.rapids, twice=rowing is not None), needs)
        self.tm.rules.hold_rowing(rowing)
        self.moves = self.tm.add_moves(before)
        hint_before(self.tm.v, before)

    def hold(self, plan: Arrangement) -> None:
        """Allow only moves to where a plan has people, kit and stores, and each only once.

        Legs in which nothing is moved are as it has them, and so is what is taken through them; who
        steers in the others, the order and stations are open.
        """
        was, known, v = name_before(self.before), self.before.list_boats(), self.tm.v
        seats = tuple((p, boat) for boat, crew in plan.crew.items() for p in crew)
        goals = name_before(Before(seats, plan.packed, plan.stowed))
        for name, variable, boat in self._list_places():
            least = min(goals[name], was[name]) if boat in known else goals[name]
            most = max(goals[name], was[name]) if boat in known else goals[name]
            self.tm.model.add_linear_constraint(variable, least, most)
        for (p, boat), steers in v.steer.items():
            if boat not in known:
                self.tm.model.add(steers == (plan.steerer[boat] == p))
        later = {i for leg in v.legs if not known & set(leg.boats) for i in leg.kit}
        for leg in v.legs:
            for item in leg.kit:
                if item in later or not known & set(leg.boats):
                    packed = (
                        r.count for r in plan.packed if r.item == item and r.boat in leg.boats
                    )
                    self.tm.model.add(v.taken[item] == sum(packed))

    def keep(self, step: Step) -> None:
        """Let what a step moves stay where it is put."""
        was = name_before(self.before)
        for name, variable, _ in self._list_places():
            now, then = step.decided[name], was.get(name, 0)
            if now > then:
                self.tm.model.add(variable >= now)
            elif now < then:
                self.tm.model.add(variable <= now)

    def _list_places(self) -> Iterator[tuple[str, cp_model.IntVar, str]]:
        """Yield the name, the variable and the boat of each seat, thing and lot."""
        v = self.tm.v
        for family in (v.seat, v.pack, v.stow):
            for key, variable in family.items():
                yield variable.name, variable, key[1]

    def find_fewest(self) -> Step | None:
        """Return the fewest moves that keep the rules, and the best there is with as many."""
        answer = run(self.tm.model.clone(), self.moves, self._budget())
        return self.find_best(answer.value) if answer.found else None

    def find_best(self, most: int, start: Step | None = None) -> Step | None:
        """Return the best of aims 1 to 4 with so many moves at the most; None: no time.

        With `start` what is decided there is where it begins.
        """
        model = self.tm.model.clone()
        if start is not None:
            values = [start.decided[v.name] for _, v in self.tm.v.list_decisions(model)]
            start_from(model, values)
        model.add(self.moves <= most)
        tiers = self.tm.rules.carriage.short if self.tm.rules.carriage else {}
        proven = True
        answer: Answer | None = None
        for aim in (*(add_up(pieces) for pieces in tiers.values()), weigh_cover(self.tm)):
            answer = run(model, aim, self._budget())
            if not answer.found:
                return None
            proven &= answer.status == "proven"
            model.add(aim <= answer.value)
            start_from(model, answer.list_values())
        return None if answer is None else self._read(answer, proven=proven)

    def _read(self, answer: Answer, *, proven: bool) -> Step:
        tiers = self.tm.rules.carriage.short if self.tm.rules.carriage else {}
        values = {f"short_of_{t}": answer.evaluate(add_up(rows)) for t, rows in tiers.items()}
        values |= {aim: answer.evaluate(self.tm.total(aim)) for aim in COVER_AIMS}
        return Step(
            answer.evaluate(self.moves),
            values,
            read_arrangement(self.tm.v, answer.read),
            name_decisions(self.tm.v, answer),
            proven,
        )

    def _budget(self) -> Budget:
        return Budget(self.clock, 1.0, UNITS)


def count_rowing(trip: Trip, plan: Arrangement) -> int | None:
    """Return the minutes that those who row twice walk back up; None where nobody does."""
    if not plan.twice:
        return None
    return sum(asks.minutes_back(trip, trip.rapids[rapid]) for rapid, _ in plan.twice)


def weigh_cover(tm: TripModel) -> Linear:
    """Return what orders plans as aims 2 to 4 one after the other do."""
    most, terms = 1, []
    for aim in reversed(COVER_AIMS):
        terms.append(most * tm.total(aim))
        most *= HEAVY
    return add_up(terms)
