"""What a rapid misses with seats and packing as they are, where boats wait chosen anew if asked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.build.terms import TermsBook
from kitplan.explain.gaps import find_cover
from kitplan.explain.scene import Party
from kitplan.explain.witness import Prover
from kitplan.solve.held import Waits

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from kitplan.demands import CaseKey, DemandKey, Needs
    from kitplan.plan import Arrangement, DemandResult
    from kitplan.solve.held import Waiting
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

NOTHING = (0, 0)


@dataclass(frozen=True, slots=True)
class Lost:
    """What a rapid loses.

    `rise`: of aims 2 and 3, in their weights. `uncovered`: cases that are covered with what is lost
    and from nowhere without; `one_bank`: others that a bank is lost for.
    """

    rapid: str
    rise: tuple[int, int]
    uncovered: tuple[CaseKey, ...]
    one_bank: tuple[CaseKey, ...]


@dataclass(frozen=True, slots=True)
class Missed:
    """Cases of a rapid that are covered from nowhere, and those without cover from all banks."""

    uncovered: frozenset[CaseKey] = frozenset()
    one_bank: frozenset[CaseKey] = frozenset()

    def weigh(self, needs: Needs) -> tuple[int, int]:
        """Return what is added to aims 2 and 3."""
        uncovered, one_bank = (
            sum(needs.cases[key].weight for key in keys) for keys in (self.uncovered, self.one_bank)
        )
        return uncovered, one_bank

    def lose(self, needs: Needs, rapid: str, had: Missed) -> Lost:
        """Return what is lost where it missed but `had` before; both are about the same cases."""
        after, before = self.weigh(needs), had.weigh(needs)
        uncovered = self.uncovered - had.uncovered
        one_bank = self.one_bank - had.one_bank - uncovered
        rise = (after[0] - before[0], after[1] - before[1])
        return Lost(rapid, rise, tuple(sorted(uncovered)), tuple(sorted(one_bank)))


def find_missed(
    needs: Needs, cases: Iterable[CaseKey], results: Mapping[DemandKey, DemandResult]
) -> Missed:
    """Return which of some cases are missed with what is met."""
    cover = find_cover(needs, dict(results))
    return Missed(
        frozenset(key for key in cases if not cover[key].any),
        frozenset(
            key for key in cases
            if len(needs.cases[key].banks) > 1
            and not all(cover[key].covers(bank) for bank in needs.cases[key].banks)
        ),
    )  # fmt: skip


class Standing:
    """Seats, packing and running order decided; rapid by rapid it is asked where boats wait best.

    `proven`: all stations found so far are proven to be the best. `late`: time ran out.
    """

    def __init__(self, trip: Trip, needs: Needs, arrangement: Arrangement, clock: Clock) -> None:
        """Ask nothing yet."""
        self.trip, self.needs, self.clock = trip, needs, clock
        self.arrangement = arrangement
        self.proven, self.late = True, False
        self.cases: dict[str, list[CaseKey]] = {}
        for case in needs.cases:
            self.cases.setdefault(case.rapid, []).append(case)
        self._demands: dict[str, list[DemandKey]] = {}
        for key in needs.demands:
            self._demands.setdefault(key.rapid, []).append(key)
        self._waits = Waits(trip, needs, clock, TermsBook(trip))
        self._prover = Prover(Party(trip, arrangement), needs)
        self._twice = {rapid for rapid, _ in arrangement.twice}

    def stay(self, rapid: str) -> Missed:
        """Return what a rapid misses with boats waiting where they do."""
        covering = [
            key for key in self._demands.get(rapid, ()) if self.needs.choices[key.choice].covers
        ]
        results = {key: self._prover.prove(key) for key in covering}
        return find_missed(self.needs, self.cases.get(rapid, ()), results)

    def count_met(self, rapid: str) -> int:
        """Return how many demands of a rapid are met with boats waiting where they do."""
        return sum(self._prover.prove(key).met for key in self._demands.get(rapid, ()))

    def list_missed(self, rapid: str) -> list[Missed]:
        """Return what a rapid misses with stations as they are, and with the best, if found."""
        stay = self.stay(rapid)
        found = self._find(rapid) if stay != Missed() else None
        return [stay, *([Missed(found.uncovered, found.one_bank)] if found else [])]

    def settle(self) -> None:
        """Have boats wait where they best do at rapids that miss something, from now on."""
        for rapid in self.cases:
            stay = self.stay(rapid)
            found = self._find(rapid) if stay != Missed() else None
            moved = Missed(found.uncovered, found.one_bank) if found else stay
            if found and moved.weigh(self.needs) < stay.weigh(self.needs):
                stations = self.arrangement.stations | found.stations
                self.arrangement = replace(self.arrangement, stations=stations)
                self._prover = Prover(Party(self.trip, self.arrangement), self.needs)

    def _find(self, rapid: str) -> Waiting | None:
        """Return the best stations; None: no time, or somebody rows twice, or nothing is asked."""
        if rapid in self._twice or rapid not in self.cases:
            return None
        found = self._waits.find(rapid, self.arrangement, {})
        self.late |= found is None
        self.proven &= found is not None and found.proven
        return found
