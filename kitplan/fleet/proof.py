"""What is claimed of lists: plans that keep to them, and which trip suffers where without a copy.

Every plan is described by matching on the trip with what it packs as its kit, and goes through the
second program; that it keeps to the lists is counted here from the plan alone.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.explain.make import describe
from kitplan.fleet.checks import BRIEF, Asked
from kitplan.fleet.nouns import Needed, Outcome
from kitplan.fleet.wares import stock
from kitplan.needs import derive_needs
from kitplan.verify import verify_plan

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.errors import Finding
    from kitplan.fleet.nouns import Goal, Line, Lists, Outing, Standard, Suffers
    from kitplan.fleet.pool import Trialling
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip


class RejectedError(Exception):
    """A plan of the program itself did not pass its check; `findings` say how."""

    def __init__(self, name: str, findings: list[Finding], beyond: list[str]) -> None:
        """Say which trip it was."""
        super().__init__(f"the plan of {name!r} was not accepted")
        self.findings, self.beyond = findings, beyond


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


def prove(outing: Outing, goal: Goal, lists: Lists, arrangement: Arrangement) -> Outcome:
    """Return a trip's plan with its lists, once it is accepted; raises RejectedError else."""
    kit = take_kit(outing.trip, arrangement)
    plan = describe(kit, derive_needs(kit), arrangement)
    findings, beyond = verify_plan(kit, plan), list(list_beyond(outing, lists, arrangement))
    if findings or beyond:
        raise RejectedError(outing.name, findings, beyond)
    return Outcome(goal, kit, plan, misses=not _reaches(goal, {a.name: a.value for a in plan.aims}))


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


def find_needed(standard: Standard, trialling: Trialling, clock: Clock) -> tuple[Needed, ...]:
    """Return for each line which trips suffer without one copy of it, solved anew.

    With seats, stations and order free, and no further extras. Lines for which there was no time
    are not proven.
    """
    return tuple(
        _find_needed(standard, line, trialling)
        if clock.left_s()
        else Needed(line, (), proven=False)
        for line in standard.lists.list_lines()
    )


def _find_needed(standard: Standard, line: Line, trialling: Trialling) -> Needed:
    less = standard.lists.less_one(line)
    goals = {name: one.goal for name, one in standard.outcomes.items()}
    asked = [Asked(name, less.of_trip(name)) for name in _list_touched(standard, line)]
    checks = trialling.check(asked, goals, BRIEF)
    failing = [one for one, check in zip(asked, checks, strict=True) if check.reached is False]
    proven = all(check.reached is not None for check in checks)
    suffers: list[Suffers] = []
    for rows in trialling.find_suffering(failing):
        suffers += rows or ()
        proven &= rows is not None
    return Needed(line, tuple(suffers), proven)


def _list_touched(standard: Standard, line: Line) -> Iterable[str]:
    """Return the trips that have what a line is for, and reach their goals with it."""
    outings = standard.fleet.outings.values()
    for one in outings:
        if standard.outcomes[one.name].misses or standard.outcomes[one.name].plan is None:
            continue
        kinds = {boat.type.name for boat in one.trip.boats.values()}
        levels = {p.level("leading") for p in one.trip.paddlers.values() if not p.minded}
        if (
            (line.what == "boat" and line.key[0] in kinds)
            or (line.what == "guide" and line.key[0] in levels)
            or (line.what == "extra" and line.key[0] == one.name)
        ):
            yield one.name
