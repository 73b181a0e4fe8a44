"""Whether a possible gap is there because of its own rapid, or traded against another."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from kitplan.build import build_model
from kitplan.explain.gaps import TOGETHER, TRADE, UNPROVEN
from kitplan.needs.extent import is_large
from kitplan.plan import AT_BEST, FLOOR_UNKNOWN, NOT_FOUND, TOO_LARGE, TRADE_UNKNOWN, TRADED
from kitplan.solve.run import Budget, run

if TYPE_CHECKING:
    from kitplan.build import TripModel
    from kitplan.demands import Needs
    from kitplan.solve import Solution
    from kitplan.trip import Trip

GAP_AIMS = ("uncovered", "one_bank")
TRADE_DETERMINISTIC = 1.2


class Sorter:
    """Sorts gaps by rapid; the runs for trade-offs share one clock."""

    def __init__(
        self, trip: Trip, needs: Needs, solution: Solution, values: dict[str, dict[str, int]]
    ) -> None:
        """`values`: what each rapid adds to the aims in the plan, counted by matching."""
        self.trip, self.needs, self.solution, self.values = trip, needs, solution, values
        self._known: dict[tuple[str, str], tuple[str, str]] = {}
        self.covered: dict[str, tuple[int, int]] = {}

    def sort(self, rapid: str, aim: str) -> tuple[str, str]:
        """Return sort and note of the gaps of a rapid that are possible alone.

        `aim` is the one that such a gap is counted in: "uncovered" where the case is covered from
        nowhere, else "one_bank".
        """
        if (rapid, aim) not in self._known:
            self._known[rapid, aim] = self._sort(rapid, aim)
        return self._known[rapid, aim]

    def _sort(self, rapid: str, aim: str) -> tuple[str, str]:
        floors = self.solution.floors
        floor, value = floors.value[rapid], self.values[rapid]
        # The floor of a later aim is one while the rapid stands at its floors of the earlier ones.
        counted = GAP_AIMS[: GAP_AIMS.index(aim) + 1]
        if all(value[one] <= floor[one] for one in counted):
            done, total = self.covered[rapid]
            return TOGETHER, AT_BEST.format(done=done, total=total)
        if not all(floors.proven[one] for one in counted):
            return UNPROVEN, FLOOR_UNKNOWN
        if is_large(self.trip, self.needs):
            return UNPROVEN, TOO_LARGE
        return self._find_trade(rapid, counted)

    def _find_trade(self, rapid: str, counted: tuple[str, ...]) -> tuple[str, str]:
        """Hold the rapid at its best, solve again, and name as an example what gets worse."""
        floors = self.solution.floors
        tm = self._model
        trial = tm.model.clone()
        for aim in counted:
            trial.add(tm.gap[rapid][aim] <= floors.value[rapid][aim])
        # An uncovered case outweighs everything covered from one bank only.
        heavy = 1 + sum(case.weight for case in self.needs.cases.values())
        worth = heavy * tm.total("uncovered") + tm.total("one_bank")
        answer = run(trial, worth, Budget(self.solution.clock, 1.0, TRADE_DETERMINISTIC))
        # A run cut short may have found a poor plan: that another rapid loses in it proves nothing.
        if answer.status != "proven":
            return UNPROVEN, TRADE_UNKNOWN

        def rise(other: str) -> int:
            before = self.values[other]
            after = {aim: answer.evaluate(tm.gap[other][aim]) for aim in GAP_AIMS}
            uncovered = after["uncovered"] - before["uncovered"]
            return heavy * uncovered + after["one_bank"] - before["one_bank"]

        worse = {other: rise(other) for other in sorted(self.values) if other != rapid}
        name = max(worse, key=lambda other: (worse[other], other), default="")
        if not name or worse[name] <= 0:
            return UNPROVEN, NOT_FOUND
        return TRADE, TRADED.format(rapid=name)

    @cached_property
    def _model(self) -> TripModel:
        """Build the model of all rapids once, with the floors of aim 2 as cuts."""
        trip = replace(self.trip, short_at_most=self.solution.short)
        tm = build_model(trip, self.needs, self.solution.rowing)
        for rapid, floor in self.solution.floors.value.items():
            tm.model.add(tm.gap[rapid]["uncovered"] >= floor["uncovered"])
        return tm
