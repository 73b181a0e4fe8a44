"""The best each rapid could do on its own: bounds that add up over the trip.

A rapid alone has the whole party and all kit to itself. For its aims in turn the least value is a
floor under what it adds to the trip's aims; that of a later aim counts only while every rapid stays
at its floors of the earlier ones.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.build import TripModel
from kitplan.solve.run import Budget, run

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.demands import Needs
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

COVER_AIMS = ("uncovered", "one_bank", "unmet")
ALONE_DETERMINISTIC = 4.0


@dataclass(slots=True)
class Floors:
    """Floors by rapid and aim; `proven[aim]` says whether all rapids' floors of it are proven.

    A floor that is not proven is the solver's bound: still a lower bound, perhaps not attainable.
    """

    value: dict[str, dict[str, int]] = field(default_factory=dict)
    proven: dict[str, bool] = field(default_factory=dict)

    def total(self, aim: str) -> int:
        """Return the sum of the floors of an aim."""
        return sum(values[aim] for values in self.value.values())


def find_floors(trip: Trip, needs: Needs, clock: Clock, share: float) -> Floors:
    """Return the floors of all rapids that ask for anything, in the order of their names."""
    floors = Floors(proven=dict.fromkeys(COVER_AIMS, True))
    known: dict[object, dict[str, int]] = {}
    for rapid in sorted({case.rapid for case in needs.cases}):
        look = _describe(trip, needs, rapid)
        if look not in known:
            known[look] = _solve_alone(
                trip, needs, rapid, Budget(clock, share, ALONE_DETERMINISTIC), floors
            )
        floors.value[rapid] = known[look]
    return floors


def _solve_alone(
    trip: Trip, needs: Needs, rapid: str, budget: Budget, floors: Floors
) -> dict[str, int]:
    alone = TripModel(trip, needs, (rapid,))
    found: dict[str, int] = {}
    for aim in COVER_AIMS:
        gap = alone.gap[rapid][aim]
        answer = run(alone.model, gap, budget)
        if answer.status != "proven":
            floors.proven[aim] = False
        found[aim] = answer.bound
        if not answer.found:
            return found | {later: 0 for later in COVER_AIMS if later not in found}
        alone.model.add(gap <= answer.value)
    return found


def _describe(trip: Trip, needs: Needs, rapid: str) -> object:
    """Return what the rapid asks for and offers; equal for rapids that are the same to the solver."""
    place = trip.rapids[rapid]
    room = (place.safety, place.left.landing, place.right.landing, place.eddies)
    cases = tuple(
        (case.key[1:], case.weight, case.banks)
        for case in needs.cases.values()
        if case.key.rapid == rapid
    )
    choices = tuple(
        (c.key[1:], c.variants, c.covers, c.unhurried)
        for c in needs.choices.values()
        if c.key.rapid == rapid and c.accepted
    )
    demands = tuple(
        (key[1:], weight) for key, weight in needs.demands.items() if key.rapid == rapid
    )
    return room, cases, choices, demands


def sum_floors(floors: Floors, rapids: Iterable[str], aim: str) -> int:
    """Return the sum of an aim's floors over some rapids."""
    return sum(floors.value[rapid][aim] for rapid in rapids)
