"""Whether the gaps of a plan are its gaps: each once, with what is short, its sort and its note."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.demands import CaseKey
from kitplan.plan import (
    AS_IT_LIES,
    AT_BEST,
    FLOOR_UNKNOWN,
    NOT_FOUND,
    TOO_LARGE,
    TRADE_UNKNOWN,
    TRADED,
    WHATEVER,
)
from kitplan.verify.alone import possible_alone
from kitplan.verify.fault import Fault, find_spot
from kitplan.verify.missing import is_missing

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.demands import Case, Choice
    from kitplan.plan import Gap, Plan
    from kitplan.trip import Trip
    from kitplan.verify.truth import Truth

ALONE, TOGETHER, TRADE = "impossible alone", "impossible together", "trade-off"
SORTS = (ALONE, TOGETHER, TRADE, "not proven", AS_IT_LIES)


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
    yield from _check_order(trip, plan)
    for case, bank in sorted(true | set(said)):
        count, where = said[case, bank], find_spot(trip, case.rapid, case.spot)
        if count != 1:
            how = f"is listed {count} times" if count else "is a gap, and is not listed"
            yield Fault("wrong-gap", where, f"{_name(case, bank)} {how}")


def _check_order(trip: Trip, plan: Plan) -> Iterator[Fault]:
    """Gaps stand worst first, and those of one rapid counted in one aim are of one sort."""
    worst = [(gap.covered_elsewhere, -gap.weight) for gap in plan.gaps]
    if worst != sorted(worst):
        yield Fault("wrong-gap", trip.where, "the gaps are not listed worst first")
    sorts: dict[tuple[str, bool], set[tuple[str, str]]] = {}
    for gap in plan.gaps:
        if gap.sort != ALONE:
            rows = sorts.setdefault((gap.rapid, gap.covered_elsewhere), set())
            rows.add((gap.sort, gap.note))
    for (rapid, _), found in sorts.items():
        if len(found) > 1:
            where = trip.rapids[rapid].where if rapid in trip.rapids else trip.where
            yield Fault("wrong-gap", where, f"{rapid}: gaps of one kind are of several sorts")


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
    elif not _is_note(truth, trip, gap):
        yield "wrong-gap", f"it is called {gap.sort}, which its note does not bear out"


def _is_note(truth: Truth, trip: Trip, gap: Gap) -> bool:
    """Say whether a note is one of its sort, and its figures and names are true.

    That the rapid is at its best, or that the other one loses, rests on the solver.
    """
    if gap.sort == ALONE:
        return gap.note == WHATEVER
    if gap.sort == AS_IT_LIES:
        return not gap.note
    if gap.sort == TOGETHER:
        done, total = truth.count_cover(gap.rapid)
        return gap.note == AT_BEST.format(done=done, total=total)
    if gap.sort == TRADE:
        others = (name for name in trip.rapids if name != gap.rapid)
        return any(
            gap.note == TRADED.format(rapid=name) and truth.count_cover(name)[0] for name in others
        )
    return gap.note in {FLOOR_UNKNOWN, TRADE_UNKNOWN, NOT_FOUND, TOO_LARGE}


def _check_nearest(
    truth: Truth, gap: Gap, choices: list[Choice], running: str
) -> Iterator[tuple[str, str]]:
    """Hold technique and missing pieces against the choice that comes nearest."""
    own = [choice for choice in choices if choice.key.bank == gap.bank] or choices
    near = {c.key: (truth.count_least(c, running), c.place) for c in own}
    nearest = [
        choice
        for choice in own
        if choice.key.technique == gap.technique and near[choice.key] == min(near.values())
    ]
    if not nearest:
        yield "wrong-gap", f"'{gap.technique}' is not what comes nearest"
    elif not any(
        is_missing(truth.judge, choice, variant, running, gap.missing)
        for choice in nearest
        for variant in truth.judge.list_ways(choice, running)
        if truth.judge.count_short(choice, variant, running).total() == near[choice.key][0]
    ):
        yield "wrong-missing", "what is said to be missing is not what is short"
