"""What losses cost by brute force: all stations of a rapid tried, judged by the second program.

While one boat runs, its cases depend on where the others wait then: each such moment is judged
once. No model, no solver, nothing of the explainer.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.needs import derive_needs
from kitplan.trip import HELD
from kitplan.verify.ground import Ground
from kitplan.verify.possible import Judge
from tests.twin.brute import list_stations

if TYPE_CHECKING:
    from kitplan.demands import CaseKey, Needs
    from kitplan.plan import Arrangement, Packed
    from kitplan.trip import Paddler, Trip

    Moment = tuple[str, str, tuple[tuple[str, str], ...]]  # rapid, running boat, others' sites

Rise = tuple[int, int]
NOTHING = (0, 0)


class Tried:
    """Every way to wait at the rapids of a trip, for one arrangement."""

    def __init__(self, trip: Trip, needs: Needs, arrangement: Arrangement) -> None:
        """Judge nothing yet."""
        self.trip, self.needs, self.arrangement = trip, needs, arrangement
        self._known: dict[Moment, Rise] = {}

    def find_least(self, rapid: str) -> Rise:
        """Return the least a rapid can add to aims 2 and 3, aim 2 first.

        Where stations are reset each moment has its own. What is possible at one moment is so with
        stations held, as all others may be far away at all others.
        """
        place = self.trip.rapids[rapid]
        there = [b for b in self.arrangement.order if b in place.boats]
        if any(where == rapid for where, _ in self.arrangement.twice):
            at = self.arrangement.stations
            return _add(
                [
                    self._count(rapid, k, tuple((b, at[rapid, b, k]) for b in there if b != k))
                    for k in there
                ]
            )
        tried = [
            [
                self._count(
                    rapid,
                    running,
                    tuple((b, pairs[b][there.index(b) < k]) for b in there if b != running),
                )
                for k, running in enumerate(there)
            ]
            for pairs in list_stations(self.trip, place, tuple(there))
        ]
        if self.trip.stations == HELD:
            return min(_add(row) for row in tried)
        return _add([min(moment) for moment in zip(*tried, strict=True)])

    def _count(self, rapid: str, running: str, sites: tuple[tuple[str, str], ...]) -> Rise:
        key = (rapid, running, sites)
        if key not in self._known:
            stations = {(rapid, boat, running): site for boat, site in sites}
            moved = replace(self.arrangement, stations=self.arrangement.stations | stations)
            judge = Judge(Ground(self.trip, moved))
            cases = [case for case in self.needs.cases if case[::3] == (rapid, running)]
            self._known[key] = _add([self._weigh(judge, case) for case in cases])
        return self._known[key]

    def _weigh(self, judge: Judge, key: CaseKey) -> Rise:
        case = self.needs.cases[key]
        met = {
            demand.bank
            for demand in self.needs.demands
            if demand.case == key and self.needs.choices[demand.choice].covers
            if any(
                not judge.count_short(self.needs.choices[demand.choice], way, key.running).total()
                for way in judge.list_ways(self.needs.choices[demand.choice], key.running)
            )
        }
        short = len(case.banks) > 1 and "" not in met and not set(case.banks) <= met
        return (0 if met else case.weight, case.weight if short else 0)


def _add(rows: list[Rise]) -> Rise:
    return sum(row[0] for row in rows), sum(row[1] for row in rows)


class Losses:
    """What each loss costs: the least with it less the least without, rapid by rapid."""

    def __init__(self, trip: Trip, arrangement: Arrangement) -> None:
        """Find the least of each rapid with nothing lost."""
        self.trip, self.arrangement = trip, arrangement
        needs = derive_needs(trip)
        self.rapids = sorted({case.rapid for case in needs.cases})
        whole = Tried(trip, needs, arrangement)
        self.least = {rapid: whole.find_least(rapid) for rapid in self.rapids}

    def hurt(self, name: str) -> Rise:
        """Return what is lost with somebody hurt."""
        one = self.trip.paddlers[name]
        hurt = replace(one, hurt=True, skills={}, certificates=())
        return self._cost(self._with(hurt), self.arrangement, self.rapids)

    def item(self, name: str) -> Rise:
        """Return what is lost with one piece of an item gone, from wherever that costs most."""
        costs = [NOTHING]
        legs: dict[int, list[Rise]] = {}
        for row in self.arrangement.packed:
            if row.item == name:
                legs.setdefault(self.trip.boats[row.boat].leg, []).append(self._dealt(row))
        costs.append(_add([max(leg) for leg in legs.values()]))
        for one in self.trip.paddlers.values():
            if one.wears.get(name):
                left = {i: n - (i == name) for i, n in one.wears.items() if n > (i == name)}
                less = self._with(replace(one, wears=left))
                costs.append(self._cost(less, self.arrangement, self.rapids))
        return max(costs)

    def _dealt(self, row: Packed) -> Rise:
        kit = self.trip.kit[row.item]
        less = self.trip.kit | {row.item: replace(kit, count=kit.count - 1)}
        others = [one for one in self.arrangement.packed if one != row]
        if row.count > 1:
            others.append(replace(row, count=row.count - 1))
        here = self.trip.boats[row.boat].leg
        there = [rapid for rapid in self.rapids if self.trip.rapids[rapid].leg == here]
        packed = replace(self.arrangement, packed=tuple(sorted(others)))
        return self._cost(replace(self.trip, kit=less), packed, there)

    def _with(self, paddler: Paddler) -> Trip:
        return replace(self.trip, paddlers=self.trip.paddlers | {paddler.name: paddler})

    def _cost(self, trip: Trip, arrangement: Arrangement, rapids: list[str]) -> Rise:
        tried = Tried(trip, derive_needs(trip), arrangement)
        rises = []
        for rapid in rapids:
            after, had = tried.find_least(rapid), self.least[rapid]
            rises.append(max(NOTHING, (after[0] - had[0], after[1] - had[1])))
        return _add(rises)
