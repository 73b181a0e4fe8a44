"""From a solution to a plan: everything that is claimed is counted anew by matching."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.explain.gaps import find_cover, list_gaps
from kitplan.explain.scene import Party
from kitplan.explain.sorts import GAP_AIMS, Sorter
from kitplan.explain.teams import choose_witnesses
from kitplan.explain.witness import Prover
from kitplan.needs import list_ways
from kitplan.needs.loads import list_loads
from kitplan.needs.shortfalls import count_short, list_shortfalls
from kitplan.plan import (
    AS_IT_LIES,
    AimResult,
    LeftOut,
    Plan,
    Totals,
    count_shifts,
    digest_sources,
    list_moves,
)
from kitplan.rules import AIMS

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.demands import CaseKey, DemandKey, Needs
    from kitplan.explain.gaps import Cover
    from kitplan.plan import Arrangement, Before, DemandResult
    from kitplan.solve import Solution
    from kitplan.trip import Trip

    Found = tuple[dict[DemandKey, DemandResult], dict[CaseKey, Cover], set[CaseKey]]


def make_plan(trip: Trip, needs: Needs, solution: Solution, before: Before | None = None) -> Plan:
    """Return the plan of a solution that has an arrangement; moves are counted from `before`."""
    arrangement = solution.arrangement
    if arrangement is None:
        message = "a plan is made of an arrangement"
        raise ValueError(message)
    found = _look_at(trip, needs, arrangement)
    results, cover, _ = found
    sorter = Sorter(trip, needs, solution, _values_by_rapid(needs, results, cover))
    sorter.covered = _count_by_rapid(needs, cover)
    aims = _restate_aims(trip, needs, solution, found, before)
    return replace(
        _make(trip, needs, arrangement, found, sorter.sort),
        aims=aims,
        canonical=solution.canonical,
        before=before,
    )


def describe(
    trip: Trip, needs: Needs, arrangement: Arrangement, before: Before | None = None
) -> Plan:
    """Return an arrangement that somebody else made as a plan; no aim is said to be proven.

    Whether it keeps the rules is not asked; a gap that is possible alone is one "as it lies".
    """
    found = _look_at(trip, needs, arrangement)
    counted = count_aims(trip, needs, arrangement, found)
    if before is not None:
        counted["moves"] = count_shifts(trip, before, arrangement)
    values = {aim.name: counted[aim.name] for aim in AIMS if aim.name in counted}
    return replace(
        _make(trip, needs, arrangement, found, lambda _rapid, _aim: (AS_IT_LIES, "")),
        aims=tuple(AimResult(aim, value, 0, value == 0) for aim, value in values.items()),
        before=before,
    )


def _look_at(trip: Trip, needs: Needs, arrangement: Arrangement) -> Found:
    """Return what is met, with its witnesses, what is covered, and what is backed."""
    prover = Prover(Party(trip, arrangement), needs)
    results = choose_witnesses(prover, needs)
    return results, find_cover(needs, results), find_backed(prover, needs, results)


def _make(
    trip: Trip,
    needs: Needs,
    arrangement: Arrangement,
    found: Found,
    sort: Callable[[str, str], tuple[str, str]],
) -> Plan:
    results, cover, backed = found
    return Plan(
        trip.name,
        arrangement,
        (),
        tuple(results.values()),
        list_gaps(trip, needs, results, sort, twice=bool(arrangement.twice)),
        _count_totals(needs, results, cover, backed),
        _list_left_out(trip, arrangement),
        canonical=False,
        digest=digest_sources(trip.sources),
        shortfalls=list_shortfalls(trip, arrangement),
        sources=trip.sources,
    )


def find_backed(
    prover: Prover, needs: Needs, results: dict[DemandKey, DemandResult]
) -> set[CaseKey]:
    """Return the cases with one variant that stays possible after any one loss."""
    backed: set[CaseKey] = set()
    for key, result in results.items():
        choice = needs.choices[key.choice]
        if not (result.met and choice.covers) or key.case in backed:
            continue
        ways = list_ways(choice, prover.party.trip.boats[key.running].type)
        if any(prover.is_backed(choice, variant, key.running) for variant in ways):
            backed.add(key.case)
    return backed


def count_aims(
    trip: Trip,
    needs: Needs,
    arrangement: Arrangement,
    found: Found,
) -> dict[str, int]:
    """Return the value of each aim as the arrangement has it."""
    results, cover, backed = found
    by_rapid = _values_by_rapid(needs, results, cover)
    sums = {aim: sum(values[aim] for values in by_rapid.values()) for aim in GAP_AIMS}
    return {
        **count_short(trip, list_shortfalls(trip, arrangement)),
        **sums,
        "unmet": sum(needs.demands[key] for key, r in results.items() if not r.met),
        "backed": sum(
            c.weight for c in needs.cases.values() if cover[c.key].any and c.key not in backed
        ),
        "mass": sum(
            kit.item.mass_g * _count_taken(trip, arrangement, name)
            for name, kit in trip.kit.items()
        ),
        "balance": max(
            -(-1000 * load.total_g // load.payload_g)
            for loads in list_loads(trip, arrangement).values()
            for load in loads.values()
        ),
        "changes": sum(len(moves) for moves in list_moves(trip, arrangement)),
    }


def _restate_aims(
    trip: Trip,
    needs: Needs,
    solution: Solution,
    found: Found,
    before: Before | None,
) -> tuple[AimResult, ...]:
    """Return the aims with their counted values; proven where the bound says no plan is better."""
    if solution.arrangement is None:
        return ()
    counted = count_aims(trip, needs, solution.arrangement, found)
    if before is not None:
        counted["moves"] = count_shifts(trip, before, solution.arrangement)
    bounds = dict(solution.bounds)
    if "backed" in bounds:
        bounds["backed"] = max(0, bounds["backed"] - counted["uncovered"])
    return tuple(
        AimResult(aim, counted[aim], bound, counted[aim] == bound) for aim, bound in bounds.items()
    )


def _values_by_rapid(
    needs: Needs, results: dict[DemandKey, DemandResult], cover: dict[CaseKey, Cover]
) -> dict[str, dict[str, int]]:
    values = {case.rapid: {"uncovered": 0, "one_bank": 0, "unmet": 0} for case in needs.cases}
    for case in needs.cases.values():
        row, here = values[case.key.rapid], cover[case.key]
        row["uncovered"] += 0 if here.any else case.weight
        if len(case.banks) > 1 and not all(here.covers(bank) for bank in case.banks):
            row["one_bank"] += case.weight
    for key, result in results.items():
        values[key.rapid]["unmet"] += 0 if result.met else needs.demands[key]
    return values


def _count_by_rapid(needs: Needs, cover: dict[CaseKey, Cover]) -> dict[str, tuple[int, int]]:
    """Return for each rapid how many of its cases and banks are covered, of how many."""
    counts: dict[str, tuple[int, int]] = {}
    for case in needs.cases.values():
        done, total = counts.get(case.key.rapid, (0, 0))
        for bank in case.banks or ("",):
            here = cover[case.key]
            done += here.covers(bank) if bank else here.any
            total += 1
        counts[case.key.rapid] = (done, total)
    return counts


def _count_totals(
    needs: Needs,
    results: dict[DemandKey, DemandResult],
    cover: dict[CaseKey, Cover],
    backed: set[CaseKey],
) -> Totals:
    kinds = {"all_banks": 0, "one_bank": 0, "from_water": 0, "none": 0}
    for case in needs.cases.values():
        here = cover[case.key]
        if not here.any:
            kinds["none"] += 1
        elif not here.banks:
            kinds["from_water"] += 1
        else:
            kinds["all_banks" if set(case.banks) <= here.banks else "one_bank"] += 1
    return Totals(
        **kinds,
        backed=len(backed),
        cases=len(needs.cases),
        met=sum(1 for result in results.values() if result.met),
        demands=len(results),
    )


def _count_taken(trip: Trip, arrangement: Arrangement, item: str) -> int:
    """Return how many of an item are taken: as many in each leg that has it."""
    leg = next((leg for leg in trip.legs if item in leg.kit), None)
    boats = leg.boats if leg else ()
    return sum(p.count for p in arrangement.packed if p.item == item and p.boat in boats)


def _list_left_out(trip: Trip, arrangement: Arrangement) -> tuple[LeftOut, ...]:
    rows = (
        LeftOut(name, kit.count - _count_taken(trip, arrangement, name))
        for name, kit in sorted(trip.kit.items())
    )
    return tuple(row for row in rows if row.count)
