"""Gaps: which case and bank is not covered, what is short, and of which sort the gap is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.explain.alone import Alone
from kitplan.plan import WHATEVER, Gap

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.demands import Case, CaseKey, Choice, DemandKey, Needs
    from kitplan.plan import DemandResult
    from kitplan.trip import Trip

ALONE, TOGETHER, TRADE, UNPROVEN = (
    "impossible alone",
    "impossible together",
    "trade-off",
    "not proven",
)


@dataclass(frozen=True, slots=True)
class Cover:
    """What covers a case: bank techniques by bank, and whether one from the water does."""

    banks: frozenset[str]
    water: bool

    def covers(self, bank: str) -> bool:
        """Say whether the case is covered from a bank; from the water counts for every bank."""
        return self.water or bank in self.banks

    @property
    def any(self) -> bool:
        """Say whether the case is covered at all."""
        return self.water or bool(self.banks)


def find_cover(needs: Needs, results: dict[DemandKey, DemandResult]) -> dict[CaseKey, Cover]:
    """Return for each case what covers it, by the demands that are met."""
    banks: dict[CaseKey, set[str]] = {key: set() for key in needs.cases}
    for key, result in results.items():
        if result.met and needs.choices[key.choice].covers:
            banks[key.case].add(key.bank)
    return {key: Cover(frozenset(found - {""}), water="" in found) for key, found in banks.items()}


def list_gaps(
    trip: Trip,
    needs: Needs,
    results: dict[DemandKey, DemandResult],
    sort_rest: Callable[[str, str], tuple[str, str]],
    *,
    twice: bool,
) -> tuple[Gap, ...]:
    """Return the gaps, worst first; `sort_rest(rapid, aim)` sorts one that is possible alone.

    `twice`: somebody rows twice in the plan.
    """
    alone = Alone(trip, twice=twice)
    cover = find_cover(needs, results)
    demands: dict[CaseKey, list[DemandKey]] = {}
    for key in results:
        demands.setdefault(key.case, []).append(key)
    rows: dict[Gap, list[str]] = {}
    for case in needs.cases.values():
        for bank in case.banks or ("",):
            if cover[case.key].covers(bank) if bank else cover[case.key].any:
                continue
            best, choices = _find_nearest(needs, bank, [results[d] for d in demands[case.key]])
            row = _describe(trip, case, best, covered_elsewhere=cover[case.key].any)
            if any(alone.allows(choice, case.key.running) for choice in choices):
                aim = "one_bank" if row.covered_elsewhere else "uncovered"
                sort, note = sort_rest(case.key.rapid, aim)
            else:
                sort, note = ALONE, WHATEVER
            row = replace(row, bank=bank, sort=sort, note=note)
            rows.setdefault(row, []).append(case.key.running)
    gaps = [replace(row, running=tuple(running)) for row, running in rows.items()]
    return tuple(sorted(gaps, key=_worst_first))


def _worst_first(gap: Gap) -> tuple[object, ...]:
    return (gap.covered_elsewhere, -gap.weight, gap.day, gap.rapid, gap.spot, gap.scenario,
            gap.bank, gap.running)  # fmt: skip


def _find_nearest(
    needs: Needs, bank: str, results: list[DemandResult]
) -> tuple[DemandResult, list[Choice]]:
    """Return what comes nearest to covering from a bank, and all choices that could.

    What is done from the bank itself is named before what is done from the water.
    """
    covering = [result for result in results if needs.choices[result.key.choice].covers]
    there = [result for result in covering if result.key.bank in {bank, ""}]
    own = [result for result in there if result.key.bank == bank] or there

    def distance(result: DemandResult) -> tuple[int, int]:
        short = sum(piece.short for piece in result.missing)
        return short, needs.choices[result.key.choice].place

    return min(own, key=distance), [needs.choices[result.key.choice] for result in there]


def _describe(trip: Trip, case: Case, best: DemandResult, *, covered_elsewhere: bool) -> Gap:
    """Return the gap of one case, its bank, running boats, sort and note not filled in yet."""
    return Gap(
        case.key.rapid,
        trip.rapids[case.key.rapid].day,
        case.key.spot,
        case.key.scenario,
        "",
        best.key.technique,
        (),
        best.missing,
        "",
        "",
        case.weight,
        covered_elsewhere=covered_elsewhere,
    )
