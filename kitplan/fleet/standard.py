"""The standard kit of an outfitter: from trips to lists, with plans and proof."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.fleet.needed import find_needed
from kitplan.fleet.nouns import Fleet, Lists, Outcome, Outing, Standard, count_boats, count_guides
from kitplan.fleet.pool import Trialling
from kitplan.fleet.proof import Rejected
from kitplan.fleet.search import Search
from kitplan.fleet.wares import Uses, make_wares, may_be_dealt, stock, stock_all
from kitplan.needs import derive_needs
from kitplan.solve.options import keep_quiet

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from fractions import Fraction

    from kitplan.fleet.nouns import Goal
    from kitplan.fleet.search import Found
    from kitplan.solve.run import Clock
    from kitplan.trip import BoatType, Trip

    Watch = Callable[[str], None]

DEFAULT_FACTOR = 150  # per cent of the price: what an extra counts
GOALS = 0.4  # of the limit: what may be spent when goals are known
PROVES = 10.0  # times as long as deriving what a trip asks for is making its plan and checking it
LISTS = 0.55, 0.9  # of the limit: what may be spent when lists are found, by how long plans take


@dataclass(frozen=True, slots=True)
class Options:
    """How to look for lists: a share of the weight to be covered instead of the best, processes."""

    share: Fraction | None = None
    workers: int = 2
    watch: Watch = keep_quiet


class NoSeatingError(Exception):
    """Trips for which no seating that keeps the rules was found in time; `names` says which."""

    def __init__(self, names: list[str]) -> None:
        """Name the trips."""
        super().__init__(", ".join(names))
        self.names = names


def standardise(fleet: Fleet, clock: Clock, options: Options) -> Standard:
    """Return the cheapest lists with which every trip reaches its goal, as time allows.

    Raises NoSeatingError, StoppedError, and RejectedError where a plan does not pass its check.
    """
    with Trialling(fleet, clock, options.workers) as trialling:
        options.watch("what each trip could be covered with")
        found_goals = trialling.find_goals(options.share, GOALS)
        goals = {name: goal for name, goal in found_goals.items() if goal is not None}
        if len(goals) < len(found_goals):
            raise NoSeatingError([name for name, goal in found_goals.items() if goal is None])
        search = Search(fleet, goals, trialling, clock, _share_lists(fleet, clock, options.workers))
        found = search.find(options.watch)
        options.watch("a plan for each trip")
        standard = _describe(fleet, goals, found, trialling)
        options.watch("what each line is needed for")
        standard = replace(standard, needed=find_needed(standard, trialling, clock))
    apart: dict[str, tuple[int, int]] = {}
    for name, goal in goals.items():
        if clock.left_s() > 0:
            options.watch(f"the cheapest kit for {name} alone")
            alone = _find_apart(narrow(fleet, name), name, goal, clock)
            apart |= {} if alone is None else {name: alone}
    return replace(standard, apart=apart)


def _share_lists(fleet: Fleet, clock: Clock, workers: int) -> float:
    """Return the share of the limit that may be spent when lists are found: plans come after."""
    began_s = clock.spent_s
    outing = max(fleet.outings.values(), key=lambda one: len(one.asked.demands))
    derive_needs(outing.stocked)
    plans_s = PROVES * (clock.spent_s - began_s) * len(fleet.outings) / workers
    return min(max(1.0 - plans_s / clock.limit_s, LISTS[0]), LISTS[1])


class RejectedError(Exception):
    """A plan of the program itself did not pass its check; `rejected` says which and how."""

    def __init__(self, rejected: Rejected) -> None:
        """Say which trip it was."""
        super().__init__(f"the plan of {rejected.name!r} was not accepted")
        self.rejected = rejected


def _describe(fleet: Fleet, goals: dict[str, Goal], found: Found, trialling: Trialling) -> Standard:
    """Return what was found, each trip with a plan that was accepted."""
    lists = found.lists or Lists()
    outcomes = {name: Outcome(goal, misses=True) for name, goal in goals.items()}
    planned = [name for name in goals if name in found.arrangements]
    rows = [(name, goals[name], lists.of_trip(name), found.arrangements[name]) for name in planned]
    for name, one in zip(planned, trialling.prove(rows), strict=True):
        if isinstance(one, Rejected):
            raise RejectedError(one)
        outcomes[name] = one
    canonical = found.canonical and all(goal.exact for goal in goals.values())
    return Standard(fleet, lists, found.bound, outcomes, canonical=canonical, rounds=found.rounds)


def narrow(fleet: Fleet, name: str) -> Fleet:
    """Return the fleet of one trip alone, with its own boats and guides."""
    one = fleet.outings[name]
    return replace(
        fleet,
        outings={name: one},
        boats=dict(sorted(count_boats(one.trip).items())),
        guides=dict(sorted(count_guides(one.trip).items())),
    )


def _find_apart(fleet: Fleet, name: str, goal: Goal, clock: Clock) -> tuple[int, int] | None:
    """Return what the cheapest kit of one trip alone costs, and a bound; None: no time."""
    with Trialling(fleet, clock, 1) as trialling:
        found = Search(fleet, {name: goal}, trialling, clock, 1.0).find(keep_quiet)
    return None if found.lists is None else (fleet.weigh(found.lists), found.bound)


def make_fleet(
    trips: Iterable[Trip],
    *,
    by_mass: bool = False,
    factor: int = DEFAULT_FACTOR,
    boats: dict[str, int] | None = None,
) -> Fleet:
    """Return the fleet of trips: what they ask for, and how many boats and guides get a list.

    `boats`: how many lists there are of a type; else the most that any one trip uses.
    """
    uses = Uses()
    given = {trip.name: trip for trip in trips}
    needs = {}
    for name, trip in given.items():
        full = stock_all(trip)
        needs[name] = derive_needs(full)
        uses.add(name, full, needs[name])
    asked = [i for i in uses.list_asked() if may_be_dealt(uses.items[i])]
    costs = {i: uses.items[i].mass_g if by_mass else uses.items[i].price_cents for i in asked}
    priced = {i: cost for i, cost in costs.items() if cost is not None}
    unpriced = tuple(i for i in asked if i not in priced)
    # What must go goes, whatever it costs.
    priced |= {i: 0 for i in unpriced if i in uses.must_go}
    wares = make_wares(uses, uses.drop_needless(priced), priced)
    most: Counter[str] = Counter()
    guides: Counter[int] = Counter()
    types: dict[str, BoatType] = {}
    outings = {}
    for name, trip in given.items():
        most |= count_boats(trip)
        guides |= count_guides(trip)
        types |= {boat.type.name: boat.type for boat in trip.boats.values()}
        there = len({boat.called for boat in trip.boats.values()})
        counts = {i: ware.most * there for i, ware in wares.items() if i in trip.catalog.items}
        outings[name] = Outing(name, trip, stock(trip, counts), needs[name])
    return Fleet(
        outings,
        wares,
        types,
        _count(most, boats or {}),
        dict(sorted(guides.items())),
        factor,
        by_mass,
        unpriced,
        next((trip.market.currency for trip in given.values()), "EUR"),
    )


def _count(most: Counter[str], said: dict[str, int]) -> dict[str, int]:
    """Return how many boats of each type get a list: as said, else as many as a trip uses."""
    return {kind: said.get(kind, count) for kind, count in sorted(most.items())}
