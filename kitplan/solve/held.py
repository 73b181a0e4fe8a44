"""Where boats best wait at a rapid, with seats, packing and running order as an arrangement has it.

Nobody rows twice there: with that such a small model can't be made.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.build import Aboard, Held, TermsBook, TripModel
from kitplan.demands import Needs
from kitplan.solve.read import read_stations
from kitplan.solve.run import Budget, run
from kitplan.solve.singles import HEAVY, hint

if TYPE_CHECKING:
    from kitplan.demands import Case, CaseKey, DemandKey
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Clock
    from kitplan.solve.singles import Decided
    from kitplan.trip import Trip

UNITS = 4.0  # of the solver's deterministic time, for one rapid


@dataclass(frozen=True, slots=True)
class Waiting:
    """Stations of a rapid, and its cases without cover: from anywhere, and from all of two banks.

    `stations` is as in an arrangement, `decided` by the names of variables. `proven`: no other
    stations add less to aims 2 and 3, aim 2 first.
    """

    uncovered: frozenset[CaseKey]
    one_bank: frozenset[CaseKey]
    stations: dict[tuple[str, str, str], str]
    decided: Decided
    proven: bool


class Waits:
    """Asks one rapid after the other of a trip; what they have in common is worked out once."""

    def __init__(self, trip: Trip, needs: Needs, clock: Clock, book: TermsBook) -> None:
        """Ask nothing yet. `book`: of a trip where the same people and things do for each way."""
        self.trip, self.clock, self.book = trip, clock, book
        self._needs = _part(needs)

    def find(self, rapid: str, arrangement: Arrangement, near: Decided) -> Waiting | None:
        """Return the stations that add least, aim 2 first; None if time ran out.

        The search begins at the decisions `near`, which may be empty.
        """
        if not self.clock.left_s():
            return None
        aboard = tell_aboard(arrangement)
        held = TripModel(Held(self.trip, rapid, aboard), self._needs[rapid], book=self.book)
        hint(held, held.model, near)
        uncovered, one_bank = (held.gap[rapid][aim] for aim in ("uncovered", "one_bank"))
        budget = Budget(self.clock, 1.0, UNITS, presolve=False)
        answer = run(held.model, HEAVY * uncovered + one_bank, budget)
        if not answer.found:
            return None
        values, names = answer.list_values(), held.model.proto.variables
        covers = {key: [answer.read(one) for one in row] for key, row in held.covers.items()}
        return Waiting(
            frozenset(key for key, row in covers.items() if not row[0]),
            frozenset(key for key, row in covers.items() if not all(row[1:])),
            dict(read_stations(held.v, aboard.order, answer.read)),
            {names[n].name: values[n] for n in range(held.v.decided)},
            answer.status == "proven",
        )


def _part(needs: Needs) -> dict[str, Needs]:
    """Return what each rapid asks, without what covers nothing."""
    cases: dict[str, dict[CaseKey, Case]] = {}
    demands: dict[str, dict[DemandKey, int]] = {}
    for case in needs.cases.values():
        cases.setdefault(case.key.rapid, {})[case.key] = case
    for key, weight in needs.demands.items():
        if needs.choices[key.choice].covers:
            demands.setdefault(key.rapid, {})[key] = weight
    return {
        rapid: Needs(needs.choices, asked, demands[rapid], ()) for rapid, asked in cases.items()
    }


def tell_aboard(arrangement: Arrangement) -> Aboard:
    """Return seats, packing and order of an arrangement."""
    packed: dict[str, Counter[tuple[str, str]]] = {b: Counter() for b in arrangement.crew}
    for row in arrangement.packed:
        packed[row.boat][row.item, row.carried] += row.count
    return Aboard(
        {b: frozenset(crew) for b, crew in arrangement.crew.items()},
        {b: dict(counts) for b, counts in packed.items()},
        arrangement.order,
    )
