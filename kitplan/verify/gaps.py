"""Whether the gaps of a plan are its gaps: each once, with what is short, its sort and its note."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.demands import CaseKey
from kitplan.verify.fault import Fault, find_spot
from kitplan.verify.missing import is_missing
from kitplan.verify.possible import possible_alone

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.demands import Case, Choice
    from kitplan.plan import Gap, Plan
    from kitplan.trip import Trip
    from kitplan.verify.truth import Truth

ALONE = "impossible alone"
SORTS = (ALONE, "impossible together", "trade-off", "not proven")


def check_gaps(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    """Yield what is false of the gaps that a plan lists, and the gaps that it does not."""
    cases = truth.needs.cases
    true = {(case.key, bank) for case in cases.values() for bank in truth.list_uncovered(case)}
    said: Counter[tuple[CaseKey, str]] = Counter()
    for gap in plan.gaps:
        where = find_spot(trip, gap.rapid, gap.spot)
        if not gap.running:
            yield Fault("wrong-gap", where, f"a gap at {gap.rapid} while no boat runs")
        for case, bank in _expand(gap):
            said[case, bank] += 1
            if (case, bank) not in true:
                yield Fault("not-a-gap", where, f"{_name(case, bank)} is no gap")
                continue
            for code, what in _check_gap(trip, truth, gap, cases[case]):
                yield Fault(code, where, f"{_name(case, bank)}: {what}")
    for case, bank in sorted(true | set(said)):
        count, where = said[case, bank], find_spot(trip, case.rapid, case.spot)
        if count != 1:
            how = f"is listed {count} times" if count else "is a gap, and is not listed"
            yield Fault("wrong-gap", where, f"{_name(case, bank)} {how}")


def _name(case: CaseKey, bank: str) -> str:
    return f"{', '.join(case)} from {bank or 'the water'}"


def _expand(gap: Gap) -> Iterator[tuple[CaseKey, str]]:
    for running in gap.running:
        yield CaseKey(gap.rapid, gap.spot, gap.scenario, running), gap.bank


def _check_gap(trip: Trip, truth: Truth, gap: Gap, case: Case) -> Iterator[tuple[str, str]]:
    choices = truth.list_choices(case, gap.bank)
    yield from _check_nearest(truth, gap, choices, case.key.running)
    if (gap.day, gap.weight, gap.covered_elsewhere) != (
        trip.rapids[gap.rapid].day,
        case.weight,
        bool(truth.covered[case.key]),
    ):
        yield "wrong-gap", "its day, weight or cover from elsewhere is wrong"
    alone = not any(possible_alone(truth.ground, choice, case.key.running) for choice in choices)
    if gap.sort not in SORTS or alone != (gap.sort == ALONE):
        said = "is" if alone else "is not"
        yield "wrong-gap", f"it {said} impossible alone, and is called '{gap.sort}'"


def _check_nearest(
    truth: Truth, gap: Gap, choices: list[Choice], running: str
) -> Iterator[tuple[str, str]]:
    """Hold technique and missing pieces against the choice that comes nearest."""
    near = {c.key: (truth.count_least(c, running), c.place) for c in choices}
    nearest = [
        choice
        for choice in choices
        if choice.key.technique == gap.technique and near[choice.key] == min(near.values())
    ]
    if not nearest:
        yield "wrong-gap", f"'{gap.technique}' is not what comes nearest"
    elif not any(
        is_missing(truth.judge, choice, variant, running, gap.missing)
        for choice in nearest
        for variant in choice.variants
        if truth.judge.count_short(choice, variant, running).total() == near[choice.key][0]
    ):
        yield "wrong-missing", "what is said to be missing is not what is short"
