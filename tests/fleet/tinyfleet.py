"""Two tiny trips of one outfitter, and the cheapest lists by trying all that there are.

The catalogue has two throw bags: one of 20 m that lies quick and is bulky, at 80 EUR, and one of
15 m that is worn at the waist or lies quick, at 55 EUR. The Riffle is 12 m wide, its middle within
reach of both; the Broad asks for 17 m.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.fleet import search
from kitplan.fleet.checks import NEARBY, Asked
from kitplan.fleet.model import FleetModel
from kitplan.fleet.nouns import Fleet, Lists, list_guides
from kitplan.fleet.packing import share
from kitplan.fleet.pool import Trialling
from kitplan.fleet.proof import Rejected
from kitplan.fleet.standard import Options, make_fleet, standardise
from kitplan.fleet.wares import stock
from kitplan.needs import derive_needs
from kitplan.solve.run import Budget, Clock, run
from tests.rules.tiny import (
    BAG_15,
    BAG_20,
    BOTH,
    KAYAK,
    RAFT,
    STEERS,
    THROWS,
    Tiny,
    read_tiny,
)
from tests.twin.brute import judge_all, judge_rowing

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    import pytest

    from kitplan.fleet.checks import Check
    from kitplan.fleet.nouns import Goal, Standard
    from kitplan.trip import Trip
    from tests.rules.tiny import Edit

PRICED: tuple[Edit, ...] = (
    (BAG_20, f'price = "80 EUR"\n{BAG_20}'),
    (BAG_15, f'price = "55 EUR"\n{BAG_15}'),
)
BAGS = ("throw bag 15 m", "throw bag 20 m")
PRICES = {BAGS[0]: 5500, BAGS[1]: 8000}  # cents
GUIDE = f"{BOTH}, leading = 3"
ABOVE = ("left = { landing = 3", "left = { landing = 3, landing_above = 3")

RIFFLE = Tiny(
    people={"Ana": GUIDE, "Bo": GUIDE, "Cy": THROWS},
    kit={},
    head=(('name = "tiny"', 'name = "riffle"'),),
    river=(ABOVE,),
    catalog=PRICED,
)
BROAD = Tiny(
    boats={"Heron": RAFT, "Wren": KAYAK},
    people={"Ana": GUIDE, "Dee": f"kayak = 3, throwing = 4, leading = 2, {STEERS}"},
    kit={},
    head=(('name = "tiny"', 'name = "broad"'),),
    river=(ABOVE, ('name = "Riffle"', 'name = "Broad"'), ('width = "12 m"', 'width = "20 m"')),
    catalog=PRICED,
)
# Bo can't row the Riffle at class III: Ana, one of two who throw, takes his raft down too.
WALK = Tiny(
    people={"Ana": f"{BOTH}, leading = 4", "Bo": '"oar raft" = 2, leading = 3', "Cy": THROWS},
    kit={},
    head=(('name = "tiny"', 'name = "walk"'),),
    river=(
        ABOVE,
        ('class = "II"', 'class = "III"'),
        ("path = true", 'path = true, walk = "130 m"'),
    ),
    catalog=PRICED,
)


def read_fleet(*tinies: Tiny, **how: object) -> Fleet:
    """Return the fleet of tiny trips as they are read from the folder one stands in."""
    trips = [read_tiny(Path(), tiny) for tiny in tinies]
    return make_fleet(trips, **how)  # type: ignore[arg-type]


def find(fleet: Fleet, **how: object) -> Standard:
    """Return the standard kit of a fleet, found in this process."""
    options = Options(**{"workers": 1, **how})  # type: ignore[arg-type]
    return standardise(fleet, Clock(600.0), options)


def find_goals(trialling: Trialling) -> dict[str, Goal]:
    """Return the goals of all trips that have one."""
    return {n: g for n, g in trialling.find_goals(None, 1.0).items() if g is not None}


def find_on_demand(fleet: Fleet, monkeypatch: pytest.MonkeyPatch) -> None:
    """Find the kit with trips and rapids that join as they are needed: it is the same."""
    at_once = find(fleet)
    monkeypatch.setattr(search, "AT_ONCE", 0)
    monkeypatch.setattr(search, "FEW", 1)
    on_demand = find(fleet)
    assert on_demand.cost == on_demand.bound == at_once.cost
    assert on_demand.rounds > 1
    assert on_demand.lists == at_once.lists


def share_plans(
    fleet: Fleet, trialling: Trialling
) -> tuple[dict[str, Goal], list[Check], Lists, dict[str, Check]]:
    """Return goals, plans made apart, what these have in common, and how each trip does with it."""
    goals = find_goals(trialling)
    names = sorted(goals)
    apart = trialling.check([Asked(name, Lists()) for name in names], goals, NEARBY)
    plans = {name: check.aboard for name, check in zip(names, apart, strict=True)}
    lists = share(fleet, plans, Budget(Clock(600.0), 1.0, 4.0))
    assert lists is not None
    asked = [Asked(name, lists.of_trip(name)) for name in names]
    return goals, apart, lists, dict(zip(names, trialling.check(asked, goals, NEARBY), strict=True))


def weigh_least(fleet: Fleet, *, loose: bool) -> int:
    """Return what the one trip of a fleet needs, or needs anywhere, in hundredths of a cent."""
    ((name, outing),) = fleet.outings.items()
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goal = find_goals(trialling)[name]
    fm = FleetModel(fleet)
    fm.add(outing, goal, () if loose else goal.floors, goal.floors if loose else ())
    answer = run(fm.model, fm.cost(), Budget(Clock(600.0), 1.0, 40.0, linear=2))
    assert answer.status == "proven"
    return answer.value


def weigh_anywhere(fleet: Fleet, name: str, goal: Goal, lists: Lists) -> int:
    """Return what extras a trip lacks wherever boats wait, in hundredths of a cent."""
    fm = FleetModel(fleet)
    fm.add(fleet.outings[name], goal, (), goal.floors)
    fm.hold(fm.model, lists)
    answer = run(fm.model, fm.cost_extras(), Budget(Clock(600.0), 1.0, 4.0))
    assert answer.status == "proven"
    return answer.value


def are_accepted(
    trialling: Trialling, goals: dict[str, Goal], lists: Lists, checks: dict[str, Check]
) -> bool:
    """Say whether every trip has a plan with lists that the second program accepts."""
    rows = [
        (name, goals[name], lists.of_trip(name), check.arrangement)
        for name, check in checks.items()
        if check.arrangement is not None
    ]
    proven = trialling.prove(rows)
    return len(rows) == len(goals) and not any(isinstance(one, Rejected) for one in proven)


@dataclass(frozen=True)
class Way:
    """One seating and packing with which a trip reaches its goal: beyond which lists it goes.

    `lies` by boat type, boat and item; `worn` by boat and item, with the levels of guides there.
    """

    lies: tuple[tuple[str, str, str, int], ...]
    worn: tuple[tuple[str, int, tuple[int, ...]], ...]


def list_ways_rowing(trip: Trip, copies: int) -> tuple[int, list[Way]]:
    """Return the fewest minutes of walking back up to row twice, and all ways to do best so."""
    stocked = stock(trip, dict.fromkeys(BAGS, copies))
    judged = list(judge_rowing(stocked, derive_needs(stocked)))
    best = min(values[:3] for _, _, values in judged)
    ways = (_read_way(stocked, who, dealt) for who, dealt, values in judged if values[:3] == best)
    return best[0], list(dict.fromkeys(ways))


def list_ways(trip: Trip, copies: int) -> list[Way]:
    """Return all ways to reach the best cover there is with so many copies of each bag."""
    stocked = stock(trip, dict.fromkeys(BAGS, copies))
    judged = list(judge_all(stocked, derive_needs(stocked)))
    best = min(values[:2] for _, _, values in judged)
    return list(
        dict.fromkeys(
            _read_way(stocked, crews, dealt)
            for crews, dealt, values in judged
            if values[:2] == best
        )
    )


def _read_way(
    trip: Trip,
    crews: Mapping[str, frozenset[str]],
    dealt: Mapping[str, Mapping[tuple[str, str], int]],
) -> Way:
    lies, worn = [], []
    for item, cells in dealt.items():
        for (boat, place), n in cells.items():
            if place == "worn":
                levels = sorted(
                    trip.paddlers[p].level("leading") for p in list_guides(trip) if p in crews[boat]
                )
                worn.append((item, n, tuple(levels)))
            else:
                lies.append((trip.boats[boat].type.name, boat, item, n))
    # Quick and stowed copies of an item in a boat count together.
    return Way(tuple(sorted(lies)), tuple(sorted(worn)))


def count_extras(way: Way, lists: Lists) -> Counter[str]:
    """Return the extras that a way asks for beside lists."""
    extras: Counter[str] = Counter()
    for kind, _, item, n in way.lies:
        extras[item] += max(0, n - lists.issued.get((kind, item), 0))
    for item, n, levels in way.worn:
        extras[item] += max(0, n - sum(lists.worn.get((level, item), 0) for level in levels))
    return extras


def list_lists(fleet: Fleet, most: int) -> Iterator[Lists]:
    """Yield all lists for boats and guides, up to so many copies of each bag that fits.

    There is room for all of a list: one bulky bag in a kayak; one bag at the waist.
    """
    issued = [(kind, bag) for kind in fleet.boats for bag in BAGS]
    worn = [(level, BAGS[0]) for level in fleet.guides if _has_waist(fleet, level)]
    for counts in product(range(most + 1), repeat=len(issued)):
        for sets in product(range(2), repeat=len(worn)):
            lists = Lists(
                {key: n for key, n in zip(issued, counts, strict=True) if n},
                {key: n for key, n in zip(worn, sets, strict=True) if n},
            )
            if all(_has_room(fleet, kind, lists) for kind in fleet.boats):
                yield lists


def _has_waist(fleet: Fleet, level: int) -> bool:
    return all(
        asks.waist_room(one.trip.paddlers[p], one.trip.catalog)
        for one in fleet.outings.values()
        for p in list_guides(one.trip, level)
    )


def _has_room(fleet: Fleet, kind: str, lists: Lists) -> bool:
    bulky, small = (lists.issued.get((kind, bag), 0) for bag in reversed(BAGS))
    return bulky <= fleet.types[kind].quick_bulky and small <= fleet.types[kind].quick_small


def weigh_cheapest(fleet: Fleet, ways: Mapping[str, list[Way]], lists: Lists) -> int:
    """Return what lists cost with the cheapest extras for each trip, in hundredths of a cent."""
    cost = 0
    for (kind, item), n in lists.issued.items():
        cost += 100 * PRICES[item] * fleet.boats[kind] * n
    for (level, item), n in lists.worn.items():
        cost += 100 * PRICES[item] * fleet.guides[level] * n
    for name in fleet.outings:
        cost += min(
            sum(fleet.factor * PRICES[item] * n for item, n in count_extras(way, lists).items())
            for way in ways[name]
        )
    return cost
