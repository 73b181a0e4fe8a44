"""Better seats and packing for a plan with its order and stations as they are.

Asked in turn with better stations for seats and packing (`solve/singles`), it leads from a simple
start to a good plan soon. Each step is best near the one before, so that nothing is proven by it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.build import Posted, TermsBook, TripModel
from kitplan.build.variables import add_up
from kitplan.solve.floors import COVER_AIMS
from kitplan.solve.run import run, start_from
from kitplan.solve.singles import HEAVY, is_shared

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.solve.run import Budget
    from kitplan.solve.singles import Decided, Vector
    from kitplan.trip import Trip

NEARS = (0, 1)
"""How many more people or things ways may ask for than are at hand: none to begin with."""


@dataclass(frozen=True, slots=True)
class Repacked:
    """Seats, packing and order, and what each rapid comes to with them and the stations there were.

    Of aim 4 it may come to less: what covers nothing counts as unmet.
    """

    shared: Decided
    vectors: dict[str, Vector]


class Packer:
    """Finds better seats and packing for plans of one trip; what these have in common is kept."""

    def __init__(self, trip: Trip, needs: Needs) -> None:
        """Solve nothing yet. What covers nothing is left out: it is counted by aim 4 alone."""
        covering = {key: n for key, n in needs.demands.items() if needs.choices[key.choice].covers}
        self.trip, self.needs = trip, replace(needs, demands=covering)
        self.rapids = sorted({case.rapid for case in needs.cases})
        self._book = TermsBook(trip)
        self._left_out = dict.fromkeys(self.rapids, 0)
        for key, weight in needs.demands.items():
            self._left_out[key.rapid] += 0 if key in covering else weight

    def better(self, decided: Decided, near: int, budget: Budget) -> Repacked | None:
        """Return seats, packing and order that add less to aims 2 and 3 with a plan's stations.

        None where time ran out, or nothing better was found. `decided`: the plan, all of it.
        """
        posted = Posted(self.trip, self.rapids, decided, near)
        tm = TripModel(posted, self.needs, book=self._book)
        first, second = (tm.total(aim) for aim in COVER_AIMS[:2])
        aim = add_up([HEAVY * first, second])
        as_is = tm.model.clone()
        for _, variable in posted.list_decisions(as_is):
            if variable.name in decided:
                as_is.add(variable == decided[variable.name])
        before = run(as_is, aim, budget)
        if not before.found:
            return None
        start_from(tm.model, before.list_values())
        after = run(tm.model, aim, budget)
        if not after.found or after.value >= before.value:
            return None
        values, proto = after.list_values(), tm.model.proto.variables
        named = ((proto[n].name, values[n]) for n in range(posted.decided))
        shared = {name: value for name, value in named if is_shared(name)}
        gaps = {rapid: tuple(map(after.evaluate, gap.values())) for rapid, gap in tm.gap.items()}
        vectors = {r: (*gap[:2], gap[2] + self._left_out[r]) for r, gap in gaps.items()}
        return Repacked(shared, vectors)
