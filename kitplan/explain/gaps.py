"""Gaps: which case and bank is not covered, what is short, and of which sort the gap is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.explain.alone import possible_alone
from kitplan.plan import Gap

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
    sort_rest: Callable[[str], tuple[str, str]],
) -> tuple[Gap, ...]:
    """Return the gaps, worst first; `sort_rest(rapid)` gives sort and note of a possible one."""
    cover = find_cover(needs, results)
    demands: dict[CaseKey, list[DemandKey]] = {}
    for key in results:
        demands.setdefault(key.case, []).append(key)
    rows: dict[Gap, list[str]] = {}
    for case in needs.cases.values():
        for bank in case.banks or ("",):
            if cover[case.key].covers(bank) if bank else cover[case.key].any:
                continue
            row = _describe(trip, needs, case, bank, [results[d] for d in demands[case.key]])
            row = replace(row, covered_elsewhere=cover[case.key].any)
            if not row.sort:
                sort, note = sort_rest(case.key.rapid)
                row = replace(row, sort=sort, note=note)
            rows.setdefault(row, []).append(case.key.running)
    gaps = [replace(row, running=tuple(running)) for row, running in rows.items()]
    return tuple(sorted(gaps, key=_worst_first))


def _worst_first(gap: Gap) -> tuple[object, ...]:
    return (gap.covered_elsewhere, -gap.weight, gap.day, gap.rapid, gap.spot, gap.scenario,
            gap.bank, gap.running)  # fmt: skip


def _describe(trip: Trip, needs: Needs, case: Case, bank: str, results: list[DemandResult]) -> Gap:
    """Return the gap of one case and bank, its running boat not filled in yet."""
    nearest = [
        result
        for result in results
        if needs.choices[result.key.choice].covers and result.key.bank in {bank, ""}
    ]
    choices = [needs.choices[result.key.choice] for result in nearest]
    best = min(
        zip(nearest, choices, strict=True),
        key=lambda pair: (sum(m.short for m in pair[0].missing), pair[1].place),
    )[0]
    alone = not _any_possible(trip, choices, case.key.running)
    note = "whatever is packed where" if alone else ""
    return Gap(
        case.key.rapid,
        trip.rapids[case.key.rapid].day,
        case.key.spot,
        case.key.scenario,
        bank,
        best.key.technique,
        (),
        best.missing,
        ALONE if alone else "",
        note,
        case.weight,
        covered_elsewhere=False,
    )


def _any_possible(trip: Trip, choices: list[Choice], running: str) -> bool:
    return any(possible_alone(trip, choice, running) for choice in choices)
