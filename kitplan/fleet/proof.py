"""What is claimed of lists: each trip has a plan that keeps to them.

Every plan is described by matching on the trip with what it packs as its kit, and goes through the
second program; that it keeps to the lists is counted here from the plan alone.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.explain.gaps import find_cover
from kitplan.explain.make import describe
from kitplan.fleet.nouns import Outcome
from kitplan.fleet.wares import stock
from kitplan.needs import derive_needs
from kitplan.verify import verify_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.demands import Needs
    from kitplan.errors import Finding
    from kitplan.fleet.nouns import Goal, Lists, Outing
    from kitplan.plan import Arrangement, Plan
    from kitplan.trip import Trip


@dataclass(frozen=True, slots=True)
class Rejected:
    """A plan of the program itself that did not pass its check.

    `findings` of the second program, and in words what is packed `beyond` the lists.
    """

    name: str
    findings: tuple[Finding, ...]
    beyond: tuple[str, ...]


def take_kit(trip: Trip, arrangement: Arrangement) -> Trip:
    """Return the trip with what is packed as its kit, and nothing else."""
    taken: Counter[str] = Counter()
    for leg in trip.legs:
        there: Counter[str] = Counter()
        for row in arrangement.packed:
            if row.boat in leg.boats:
                there[row.item] += row.count
        taken |= there
    return stock(trip, taken)


def prove(outing: Outing, goal: Goal, lists: Lists, arrangement: Arrangement) -> Outcome | Rejected:
    """Return a trip's plan with its lists, if it is accepted."""
    kit = take_kit(outing.trip, arrangement)
    needs = derive_needs(kit)
    plan = describe(kit, needs, arrangement)
    findings, beyond = tuple(verify_plan(kit, plan)), tuple(list_beyond(outing, lists, arrangement))
    if findings or beyond:
        return Rejected(outing.name, findings, beyond)
    misses = not _reaches(goal, {aim.name: aim.value for aim in plan.aims})
    return Outcome(goal, kit, plan, misses, _count_gaps(needs, plan))


def _count_gaps(needs: Needs, plan: Plan) -> dict[str, tuple[int, int]]:
    """Return what each rapid adds to the aims of cases without cover and without a bank."""
    cover = find_cover(needs, {row.key: row for row in plan.demands})
    gaps = {case.rapid: (0, 0) for case in needs.cases}
    for case in needs.cases.values():
        here, (first, second) = cover[case.key], gaps[case.key.rapid]
        lacks = len(case.banks) > 1 and not all(here.covers(bank) for bank in case.banks)
        first += 0 if here.any else case.weight
        gaps[case.key.rapid] = (first, second + (case.weight if lacks else 0))
    return gaps


def _reaches(goal: Goal, values: dict[str, int]) -> bool:
    """Say whether aims 1 to 3 of a plan come to the goal."""
    if not goal.reached:
        return False
    if any(values[f"short_of_{tier}"] > most for tier, most in goal.short.items()):
        return False
    found = values["uncovered"], values["one_bank"]
    if goal.one_bank is None:
        return found[0] <= goal.uncovered
    return found <= (goal.uncovered, goal.one_bank)


def list_beyond(outing: Outing, lists: Lists, arrangement: Arrangement) -> Iterator[str]:
    """Yield what a plan packs beyond its lists and extras, in words."""
    trip = outing.trip
    for leg in trip.legs:
        over: Counter[str] = Counter()
        for boat in leg.boats:
            over += _count_over(trip, boat, lists, arrangement)
        for item, count in sorted(over.items()):
            extras = lists.extras.get((outing.name, item), 0)
            if count > extras:
                yield f"{count - extras} x {item} from day {leg.first_day}"


def _count_over(trip: Trip, boat: str, lists: Lists, arrangement: Arrangement) -> Counter[str]:
    """Return what lies in a boat, or is worn there, beyond its list and its guides' sets."""
    kind = trip.boats[boat].type.name
    lies: Counter[str] = Counter()
    over: Counter[str] = Counter()
    for row in arrangement.packed:
        if row.boat != boat:
            continue
        if row.carried != "worn":
            lies[row.item] += row.count
            continue
        wearer = trip.paddlers[row.worn_by]
        level = 0 if wearer.minded else wearer.level("leading")
        over[row.item] += max(0, row.count - lists.worn.get((level, row.item), 0))
    for item, count in lies.items():
        over[item] += max(0, count - lists.issued.get((kind, item), 0))
    return over
