"""Whether what a plan says of itself is true: demands, aims, totals, gaps, shortfalls, what is out.

Proven here, from trip and plan alone: every witness; that what is unmet can't be done as the plan
stands; every value, total, shortfall and gap, what is short in it, and whether it is impossible
alone. Taken from the solver: the bounds of the aims, and with them "proven best"; that a rapid is
at its best; that a rapid named in a trade-off loses cover; that the plan is canonical. Of these
only what contradicts itself or the counts is refused.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING

from kitplan.plan import digest_sources
from kitplan.verify.carried import TIERS, list_asked_tiers
from kitplan.verify.fault import Fault, find_kit, find_rule, find_spot
from kitplan.verify.gaps import check_gaps
from kitplan.verify.kept import count_packed
from kitplan.verify.loads import measure_load_g
from kitplan.verify.missing import is_missing
from kitplan.verify.witness import check_witness

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.demands import Case, Choice
    from kitplan.plan import AimResult, Before, DemandResult, Plan, Shortfall
    from kitplan.trip import Leg, Trip
    from kitplan.verify.truth import Truth

THOUSAND = 1000


def list_false_claims(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    """Yield every false statement of a plan."""
    yield from _check_demands(trip, plan, truth)
    yield from _check_aims(trip, plan, truth)
    yield from _check_totals(trip, plan, truth)
    yield from check_gaps(trip, plan, truth)
    yield from _check_shortfalls(trip, plan, truth)
    yield from _check_left_out(trip, plan)
    if plan.trip_name != trip.name or plan.digest != digest_sources(trip.sources):
        said = "the plan was made from other inputs than this trip's"
        yield Fault("stale-input", trip.where, said)


def _check_demands(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    if [result.key for result in plan.demands] != list(truth.needs.demands):
        yield Fault("met", trip.where, "the demands listed are not those that the trip asks")
        return
    for result in plan.demands:
        name = ", ".join(part or "the water" for part in result.key)
        where = find_spot(trip, result.key.rapid, result.key.spot)
        for code, said in _check_demand(truth, result):
            yield Fault(code, where, f"{name}: {said}")


def _check_demand(truth: Truth, result: DemandResult) -> Iterator[tuple[str, str]]:
    choice = truth.needs.choices[result.key.choice]
    if result.met:
        yield from check_witness(truth.judge, choice, result)
    elif result.key in truth.met:
        yield "met", "claimed not met, and it can be done"
    elif result.witness:
        yield "wrong-witness", "not met, and has a witness"
    elif not _is_short_of(truth, choice, result):
        yield "wrong-missing", f"'{result.way}' is not what comes nearest so"


def _is_short_of(truth: Truth, choice: Choice, result: DemandResult) -> bool:
    """Say whether a demand's way is a nearest one and is short of what is said."""
    running, judge = result.key.running, truth.judge
    least = truth.count_least(choice, running)
    return sum(row.short for row in result.missing) == least and any(
        is_missing(judge, choice, variant, running, result.missing)
        for variant in judge.list_ways(choice, running)
        if variant.way == result.way
    )


def _check_aims(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    names = _name_aims(trip, plan)
    if tuple(result.name for result in plan.aims) != names:
        said = f"the aims are {', '.join(names)}, in this order"
        yield Fault("wrong-aim", trip.where, said)
    for result in plan.aims:
        for said in _check_aim(trip, plan, truth, result):
            yield Fault("wrong-aim", trip.where, said)


def _name_aims(trip: Trip, plan: Plan) -> tuple[str, ...]:
    """Return the aims of a plan: of shortfalls those with a tier that the trip has something of.

    Moves are one where there was something before.
    """
    tiers = list_asked_tiers(trip)
    names = (name for name in AIM_VALUES if name not in TIERS or TIERS[name] in tiers)
    return tuple(name for name in names if name != "moves" or plan.before is not None)


def _check_aim(trip: Trip, plan: Plan, truth: Truth, result: AimResult) -> Iterator[str]:
    if result.name not in AIM_VALUES:
        yield f"there is no aim '{result.name}'"
        return
    value = AIM_VALUES[result.name](trip, plan, truth)
    if result.value != value:
        yield f"aim {result.name} is {value}, not {result.value}"
    if result.bound > result.value or result.proven != (result.bound == result.value):
        yield f"aim {result.name}: bound {result.bound} proves nothing"


def _count_short_of_law(_trip: Trip, _plan: Plan, truth: Truth) -> int:
    return _count_short(truth, "short_of_law")


def _count_short_of_house(_trip: Trip, _plan: Plan, truth: Truth) -> int:
    return _count_short(truth, "short_of_house")


def _count_short_of_spread(_trip: Trip, _plan: Plan, truth: Truth) -> int:
    return _count_short(truth, "short_of_spread")


def _count_short(truth: Truth, aim: str) -> int:
    return sum(row.short for row in truth.shortfalls if row.tier == TIERS[aim])


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
    return sum(
        max(count_packed(trip, plan.arrangement, item).values(), default=0) * kit.item.mass_g
        for item, kit in trip.kit.items()
    )


def _count_balance(trip: Trip, plan: Plan, _truth: Truth) -> int:
    shares = [
        -(-THOUSAND * measure_load_g(trip, plan.arrangement, name) // boat.type.payload_g)
        for name, boat in trip.boats.items()
    ]
    return max(shares)


def _count_changes(trip: Trip, plan: Plan, _truth: Truth) -> int:
    """Count whom and what two legs have in common and not in the same place."""
    return sum(_count_moves(trip, plan, *legs) for legs in pairwise(trip.legs))


def _count_moves(trip: Trip, plan: Plan, before: Leg, after: Leg) -> int:
    moves = 0
    sits = [_find_seats(trip, plan, leg) for leg in (before, after)]
    for paddler in set(sits[0]) & set(sits[1]):
        moves += sits[0][paddler] != sits[1][paddler]
    lies = [_count_lying(trip, plan, leg) for leg in (before, after)]
    for item in set(before.kit) & set(after.kit):
        old, new = ({k: n for k, n in one.items() if k[0] == item} for one in lies)
        moves += (Counter(old) - Counter(new)).total()
    return moves


def _find_seats(trip: Trip, plan: Plan, leg: Leg) -> dict[str, str]:
    """Return for each paddler of a leg what his boat is called."""
    return {p: trip.boats[b].called for b in leg.boats for p in plan.arrangement.crew[b]}


def _count_shifted(trip: Trip, plan: Plan, _truth: Truth) -> int:
    """Count whom and what the plan has in another place than it was in before, in legs known."""
    before = plan.before
    if before is None:
        return 0
    known = {boat for _, boat in before.seats if boat}
    legs = (set(leg.boats) for leg in trip.legs)
    return sum(_count_shifted_in(plan, before, boats) for boats in legs if boats & known)


def _count_shifted_in(plan: Plan, before: Before, boats: set[str]) -> int:
    seats = {(p, b) for b in boats for p in plan.arrangement.crew[b]}
    party = {p for p, _ in seats}
    was = {p for p, b in before.seats if p in party and (b in boats or not b)}
    moves = len(was - {p for p, _ in seats.intersection(before.seats)})
    old: Counter[tuple[str, str, str]] = Counter()
    new: Counter[tuple[str, str, str]] = Counter()
    for rows, counts in ((before.packed, old), (plan.arrangement.packed, new)):
        for row in rows:
            if row.boat in boats or not row.boat:
                counts[row.item, row.boat, row.carried] += row.count
    for item in {key[0] for key in (*old, *new)}:
        had, has = (sum(n for key, n in one.items() if key[0] == item) for one in (old, new))
        moves += max(had, has) - sum(n for key, n in (old & new).items() if key[0] == item)
    stays = Counter({(row.lot, row.boat): row.count for row in plan.arrangement.stowed})
    there = (row for row in before.stowed if row.boat in boats)
    return moves + sum(max(0, row.count - stays[row.lot, row.boat]) for row in there)


def _count_lying(trip: Trip, plan: Plan, leg: Leg) -> Counter[tuple[str, str, str]]:
    """Return how many of each item lie in which boat, and how, in a leg."""
    lying: Counter[tuple[str, str, str]] = Counter()
    for row in plan.arrangement.packed:
        if row.boat in leg.boats:
            lying[row.item, trip.boats[row.boat].called, row.carried] += row.count
    return lying


AIM_VALUES: dict[str, Callable[[Trip, Plan, Truth], int]] = {
    "short_of_law": _count_short_of_law,
    "short_of_house": _count_short_of_house,
    "short_of_spread": _count_short_of_spread,
    "uncovered": _count_uncovered,
    "one_bank": _count_one_bank,
    "unmet": _count_unmet,
    "moves": _count_shifted,
    "backed": _count_unbacked,
    "mass": _count_mass,
    "balance": _count_balance,
    "changes": _count_changes,
}


def _check_totals(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    kinds: Counter[str] = Counter()
    for case in truth.needs.cases.values():
        kinds[_name_cover(case, truth.covered[case.key])] += 1
    totals = plan.totals
    for word, claimed in (
        ("all_banks", totals.all_banks),
        ("one_bank", totals.one_bank),
        ("from_water", totals.from_water),
        ("none", totals.none),
    ):
        if claimed != kinds[word]:
            said = f"{kinds[word]} cases are {word}, not {claimed}"
            yield Fault("covered", trip.where, said)
    if totals.backed != len(truth.backed):
        said = f"{len(truth.backed)} cases are backed, not {totals.backed}"
        yield Fault("backed", trip.where, said)
    counted = (len(truth.needs.cases), len(truth.met), len(truth.needs.demands))
    if (totals.cases, totals.met, totals.demands) != counted:
        yield Fault("wrong-total", trip.where, f"cases, demands met, demands are {counted}")


def _name_cover(case: Case, covered: set[str]) -> str:
    """Return how a case is covered, in the words of the totals."""
    if not covered:
        return "none"
    if covered == {""}:
        return "from_water"
    return "all_banks" if all(bank in covered for bank in case.banks) else "one_bank"


def _check_shortfalls(trip: Trip, plan: Plan, truth: Truth) -> Iterator[Fault]:
    """Each true shortfall is said, no other is, and they stand in their order."""
    said, true = Counter(plan.shortfalls), Counter(truth.shortfalls)
    for row in said - true:
        text = f"{_say_shortfall(row)}: it is not so"
        yield Fault("wrong-shortfall", find_rule(trip, row.tier, row.name), text)
    for row in true - said:
        text = f"{_say_shortfall(row)}, and it is not said"
        yield Fault("wrong-shortfall", find_rule(trip, row.tier, row.name), text)
    if said == true and plan.shortfalls != truth.shortfalls:
        text = "the shortfalls are not listed by tier, in the order of rules and spreads"
        yield Fault("wrong-shortfall", trip.where, text)


def _say_shortfall(row: Shortfall) -> str:
    """Return a shortfall in words, its tier too, since a plan may say a wrong one."""
    where = f", {row.boat}" if row.boat else ""
    counts = f"{row.asked} asked, {row.there} there, {row.short} short"
    return f"{row.name} ({row.tier}), day {row.day}{where}: {counts}"


def _check_left_out(trip: Trip, plan: Plan) -> Iterator[Fault]:
    left = {
        item: kit.count - max(count_packed(trip, plan.arrangement, item).values(), default=0)
        for item, kit in trip.kit.items()
    }
    rows: dict[str, list[int]] = {item: [] for item in trip.kit}
    for out in plan.not_called_for:
        rows.setdefault(out.item, []).append(out.count)
    for item, counts in rows.items():
        if item not in left:
            said = f"'{item}' is said not to be called for, and the party has none"
            yield Fault("unknown-name", trip.where, said)
        elif counts != ([left[item]] if left[item] else []):
            said = f"{left[item]} x {item} are not called for, which is not what is said"
            yield Fault("wrong-total", find_kit(trip, item), said)
