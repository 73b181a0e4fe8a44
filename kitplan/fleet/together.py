"""All trips packed anew at once, people where they are.

A copy that several trips could each do without only if the others did too goes here, where one trip
after the other would keep it. Nothing here is a bound.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from typing import TYPE_CHECKING

from kitplan.fleet.model import FleetModel
from kitplan.solve.run import Budget, run, start_from

if TYPE_CHECKING:
    from collections.abc import Mapping

    from kitplan.fleet.nouns import Fleet, Goal, Lists
    from kitplan.solve.run import Clock

    Decided = Mapping[str, dict[str, int]]  # by trip: what is decided, by names

# The solver's deterministic time for one run.
UNITS = {"held": 4.0, "around": 12.0}


class Together:
    """The model of all trips as they are, made when it is asked for first, or while others work."""

    def __init__(self, fleet: Fleet, goals: Mapping[str, Goal], clock: Clock, workers: int) -> None:
        """Build nothing yet."""
        self.fleet, self.goals = fleet, goals
        self.clock, self.workers = clock, workers
        self._building: Future[FleetModel] | None = None

    def prepare(self) -> Future[FleetModel]:
        """Begin to make the model while the solver, or another process, is at work."""
        if self._building is None:
            self._building = ThreadPoolExecutor(1).submit(self._build)
        return self._building

    def _build(self) -> FleetModel:
        """Return the model; without all trips if time is out before."""
        fm = FleetModel(self.fleet)
        for name, goal in sorted(self.goals.items()):
            if self.clock.left_s():
                fm.add(self.fleet.outings[name], goal, goal.floors)
        return fm

    def pack(
        self, lists: Lists, decided: Decided, share: float
    ) -> tuple[Lists, dict[str, dict[str, int]]] | None:
        """Return cheaper lists, and what is decided on each trip with them; None: none were found.

        People stay where they are decided to be; from lists on with which the trips pack so, until
        `share` of the limit is spent.
        """
        fm = self.prepare().result()
        if len(fm.parts) < len(self.goals):
            return None
        budget = Budget(self.clock, share, UNITS["held"])
        held = fm.model.clone()
        for name, part in fm.parts.items():
            part.hold_people(held, decided[name])
            part.hold_packing(held, decided[name])
        fm.hold(held, lists)
        fm.hold_extras(held, lists)
        start = run(held, None, budget)
        if not start.found:
            return None
        model = fm.model.clone()
        for name, part in fm.parts.items():
            part.hold_people(model, decided[name])
        start_from(model, start.list_values())
        around = Budget(
            self.clock, share, UNITS["around"], workers=self.workers, linear=1, around=True
        )
        answer = run(model, fm.price().total, around)
        if not answer.found or self.fleet.weigh(fm.read(answer)) >= self.fleet.weigh(lists):
            return None
        read = {name: part.read_decided(answer) for name, part in fm.parts.items()}
        return fm.read(answer), read
