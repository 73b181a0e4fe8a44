"""Whether what a plan says of itself is true: demands, aims, totals, gaps, what is left out."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from kitplan.demands import CaseKey
from kitplan.plan import digest_sources
from kitplan.verify.kept import measure_load_g
from kitplan.verify.missing import is_missing
from kitplan.verify.possible import Judge, possible_alone
from kitplan.verify.witness import check_witness

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.demands import Case, Choice, DemandKey, Needs
    from kitplan.plan import DemandResult, Gap, Plan
    from kitplan.trip import Trip
    from kitplan.verify.ground import Ground

ALONE = "impossible alone"
SORTS = (ALONE, "impossible together", "trade-off", "not proven")
THOUSAND = 1000


class Fault(NamedTuple):
    """A false statement: its code, and what is wrong."""

    code: str
    said: str


class Truth:
    """What is true of an arrangement, found out by matching."""

    def __init__(self, ground: Ground, needs: Needs) -> None:
        """Settle every demand, case and backed way."""
        self.ground, self.needs = ground, needs
        self.judge = Judge(ground)
        self.met = {key for key in needs.demands if self._is_met(key)}
        self.by_case: dict[CaseKey, list[DemandKey]] = {key: [] for key in needs.cases}
        for key in needs.demands:
            self.by_case[key.case].append(key)
        self.covered = {key: self._list_cover(key) for key in needs.cases}
        self.backed = {key for key in needs.cases if self._is_backed(key)}

    def _is_met(self, key: DemandKey) -> bool:
        choice = self.needs.choices[key.choice]
        return any(
            not self.judge.count_short(choice, variant, key.running).total()
            for variant in choice.variants
        )

    def _list_cover(self, case: CaseKey) -> set[str]:
        """Return the banks a case is covered from, "" for the water."""
        return {
            key.bank
            for key in self.by_case[case]
            if key in self.met and self.needs.choices[key.choice].covers
        }

    def _is_backed(self, case: CaseKey) -> bool:
        return any(
            self.judge.is_backed(self.needs.choices[key.choice], variant, key.running)
            for key in self.by_case[case]
            if key in self.met and self.needs.choices[key.choice].covers
            for variant in self.needs.choices[key.choice].variants
        )

    def count_least(self, choice: Choice, running: str) -> int:
        """Return how many pieces the nearest variant of a choice is short of."""
        return min(
            self.judge.count_short(choice, variant, running).total() for variant in choice.variants
        )

    def list_uncovered(self, case: Case) -> list[str]:
        """Return the banks that count and are not covered; "" where only the water counts."""
        covered = self.covered[case.key]
        if "" in covered:
            return []
        if not case.banks:
            return [""]
        return [bank for bank in case.banks if bank not in covered]

    def list_choices(self, case: Case, bank: str) -> list[Choice]:
        """Return the choices that could cover a case from a bank or from the water."""
        return [
            self.needs.choices[key.choice]
            for key in self.by_case[case.key]
            if key.bank in {bank, ""} and self.needs.choices[key.choice].covers
        ]


def list_false_claims(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    """Yield every false statement of a plan."""
    yield from _check_demands(plan, truth)
    yield from _check_aims(trip, plan, truth)
    yield from _check_totals(plan, truth)
    yield from _check_gaps(trip, plan, truth)
    yield from _check_left_out(trip, plan)
    if plan.trip_name != trip.name or plan.digest != digest_sources(trip.sources):
        yield Fault("stale-input", "the plan was made from other inputs than this trip's")


def _check_demands(plan: Plan, truth: Truth) -> Iterator[Fault]:
    if [result.key for result in plan.demands] != list(truth.needs.demands):
        yield Fault("met", "the demands listed are not those that the trip asks")
        return
    for result in plan.demands:
        name = ", ".join(part or "the water" for part in result.key)
        choice = truth.needs.choices[result.key.choice]
        if result.met:
            for fault in check_witness(truth.judge, choice, result):
                yield Fault(fault.family, f"{name}: {fault.said}")
            continue
        if result.key in truth.met:
            yield Fault("met", f"{name}: claimed not met, and it can be done")
        elif result.witness:
            yield Fault("wrong-witness", f"{name}: not met, and has a witness")
        elif not _is_short_of(truth, choice, result):
            yield Fault("wrong-missing", f"{name}: '{result.way}' is not what comes nearest so")


def _is_short_of(truth: Truth, choice: Choice, result: DemandResult) -> bool:
    """Say whether a demand's way is a nearest one and is short of what is said."""
    running, judge = result.key.running, truth.judge
    least = truth.count_least(choice, running)
    return sum(row.short for row in result.missing) == least and any(
        is_missing(judge, choice, variant, running, result.missing)
        for variant in choice.variants
        if variant.way == result.way
    )


def _check_aims(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    if tuple(result.name for result in plan.aims) != tuple(AIM_VALUES):
        yield Fault("wrong-aim", f"the aims are {', '.join(AIM_VALUES)}, in this order")
    for result in plan.aims:
        if result.name not in AIM_VALUES:
            yield Fault("wrong-aim", f"there is no aim '{result.name}'")
            continue
        value = AIM_VALUES[result.name](trip, plan, truth)
        if result.value != value:
            yield Fault("wrong-aim", f"aim {result.name} is {value}, not {result.value}")
        if result.bound > result.value or result.proven != (result.bound == result.value):
            yield Fault("wrong-aim", f"aim {result.name}: bound {result.bound} proves nothing")


def _count_uncovered(_trip: Trip, _plan: Plan, truth: Truth) -> int:
    return sum(c.weight for c in truth.needs.cases.values() if not truth.covered[c.key])


def _count_one_bank(_trip: Trip, _plan: Plan, truth: Truth) -> int:
    return sum(
        case.weight
        for case in truth.needs.cases.values()
        if len(case.banks) > 1 and truth.list_uncovered(case)
    )


def _count_unmet(_trip: Trip, _plan: Plan, truth: Truth) -> int:
    return sum(weight for key, weight in truth.needs.demands.items() if key not in truth.met)


def _count_unbacked(_trip: Trip, _plan: Plan, truth: Truth) -> int:
    return sum(
        case.weight
        for case in truth.needs.cases.values()
        if truth.covered[case.key] and case.key not in truth.backed
    )


def _count_mass(trip: Trip, plan: Plan, _truth: Truth) -> int:
    items = trip.catalog.items
    return sum(row.count * items[row.item].mass_g for row in plan.arrangement.packed)


def _count_balance(trip: Trip, plan: Plan, _truth: Truth) -> int:
    shares = [
        -(-THOUSAND * measure_load_g(trip, plan.arrangement, name) // boat.type.payload_g)
        for name, boat in trip.boats.items()
    ]
    return max(shares)


AIM_VALUES: dict[str, Callable[[Trip, Plan, Truth], int]] = {
    "uncovered": _count_uncovered,
    "one_bank": _count_one_bank,
    "unmet": _count_unmet,
    "backed": _count_unbacked,
    "mass": _count_mass,
    "balance": _count_balance,
}


def _check_totals(plan: Plan, truth: Truth) -> Iterator[Fault]:
    kinds: Counter[str] = Counter()
    for case in truth.needs.cases.values():
        kinds[_name_cover(case, truth.covered[case.key])] += 1
    said = plan.totals
    for word, claimed in (
        ("all_banks", said.all_banks),
        ("one_bank", said.one_bank),
        ("from_water", said.from_water),
        ("none", said.none),
    ):
        if claimed != kinds[word]:
            yield Fault("covered", f"{kinds[word]} cases are {word}, not {claimed}")
    if said.backed != len(truth.backed):
        yield Fault("backed", f"{len(truth.backed)} cases are backed, not {said.backed}")
    counted = (len(truth.needs.cases), len(truth.met), len(truth.needs.demands))
    if (said.cases, said.met, said.demands) != counted:
        yield Fault("wrong-total", f"cases, demands met, demands are {counted}")


def _name_cover(case: Case, covered: set[str]) -> str:
    """Return how a case is covered, in the words of the totals."""
    if not covered:
        return "none"
    if covered == {""}:
        return "from_water"
    return "all_banks" if all(bank in covered for bank in case.banks) else "one_bank"


def _check_gaps(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    cases = truth.needs.cases
    true = {(case.key, bank) for case in cases.values() for bank in truth.list_uncovered(case)}
    said: list[tuple[CaseKey, str]] = []
    for gap in plan.gaps:
        if not gap.running:
            yield Fault("wrong-gap", f"a gap at {gap.rapid} while no boat runs")
        for case, bank in _expand(gap):
            said.append((case, bank))
            if case not in cases or (case, bank) not in true:
                yield Fault("not-a-gap", f"{', '.join(case)} from {bank or 'the water'} is no gap")
                continue
            yield from _check_gap(trip, truth, gap, cases[case], bank)
    for (case, bank), count in Counter(said).items():
        if count > 1:
            yield Fault("wrong-gap", f"{', '.join(case)} from {bank} is listed {count} times")
    for case, bank in sorted(true - set(said)):
        yield Fault(
            "wrong-gap", f"{', '.join(case)} from {bank or 'the water'} is a gap not listed"
        )


def _expand(gap: Gap) -> Iterator[tuple[CaseKey, str]]:
    for running in gap.running:
        yield CaseKey(gap.rapid, gap.spot, gap.scenario, running), gap.bank


def _check_gap(trip: Trip, truth: Truth, gap: Gap, case: Case, bank: str) -> Iterator[Fault]:
    name = f"gap {', '.join(case.key)} from {bank or 'the water'}"
    running = case.key.running
    choices = truth.list_choices(case, bank)
    near = {c.key: (truth.count_least(c, running), c.place) for c in choices}
    nearest = [
        choice
        for choice in choices
        if choice.key.technique == gap.technique and near[choice.key] == min(near.values())
    ]
    if not nearest:
        yield Fault("wrong-gap", f"{name}: '{gap.technique}' is not what comes nearest")
    elif not any(
        is_missing(truth.judge, choice, variant, running, gap.missing)
        for choice in nearest
        for variant in choice.variants
        if truth.judge.count_short(choice, variant, running).total() == near[choice.key][0]
    ):
        yield Fault("wrong-missing", f"{name}: what is said to be missing is not what is short")
    if (gap.day, gap.weight, gap.covered_elsewhere) != (
        trip.rapids[gap.rapid].day,
        case.weight,
        bool(truth.covered[case.key]),
    ):
        yield Fault("wrong-gap", f"{name}: its day, weight or cover from elsewhere is wrong")
    alone = not any(possible_alone(truth.ground, choice, running) for choice in choices)
    if gap.sort not in SORTS or alone != (gap.sort == ALONE):
        said = "is" if alone else "is not"
        yield Fault("wrong-gap", f"{name} {said} impossible alone, and is called '{gap.sort}'")


def _check_left_out(trip: Trip, plan: Plan) -> Iterator[Fault]:
    packed: Counter[str] = Counter()
    for row in plan.arrangement.packed:
        packed[row.item] += row.count
    left = {n: kit.count - packed[n] for n, kit in trip.kit.items() if kit.count > packed[n]}
    if sorted((row.item, row.count) for row in plan.not_called_for) != sorted(left.items()):
        yield Fault("wrong-total", "what is not called for is not what the party owns less packed")
