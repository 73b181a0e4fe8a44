"""What the verifier says of an arrangement: rules broken, and what it comes to in aims 2 to 4."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from kitplan.verify.ground import Ground
from kitplan.verify.kept import CHECKS
from kitplan.verify.possible import Judge

if TYPE_CHECKING:
    from kitplan.demands import Case, CaseKey, DemandKey, Needs
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip


def check_arrangement(trip: Trip, arrangement: Arrangement) -> list[str]:
    """Return the rules that an arrangement breaks, in words; empty if it keeps all."""
    return [
        f"{family}: {said}"
        for family, check in CHECKS.items()
        for _, said in check(trip, arrangement)
    ]


def count_aims(trip: Trip, needs: Needs, arrangement: Arrangement) -> tuple[int, int, int]:
    """Return uncovered, one_bank and unmet of an arrangement that keeps the rules."""
    judge = Judge(Ground(trip, arrangement))
    met = {key for key in needs.demands if _is_met(judge, needs, key)}
    covered: dict[CaseKey, set[str]] = defaultdict(set)
    for key in met:
        if needs.choices[key.choice].covers:
            covered[key.case].add(key.bank)
    cases = needs.cases.values()
    return (
        sum(case.weight for case in cases if not covered[case.key]),
        sum(case.weight for case in cases if _lacks_a_bank(case, covered[case.key])),
        sum(weight for key, weight in needs.demands.items() if key not in met),
    )


def _is_met(judge: Judge, needs: Needs, key: DemandKey) -> bool:
    choice = needs.choices[key.choice]
    return any(
        not judge.count_short(choice, variant, key.running).total()
        for variant in judge.list_ways(choice, key.running)
    )


def _lacks_a_bank(case: Case, covered: set[str]) -> bool:
    """Say whether more than one bank counts and one of them is not covered."""
    return len(case.banks) > 1 and "" not in covered and not set(case.banks) <= covered
