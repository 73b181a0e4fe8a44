"""What a plan falls short of: carriage rules and spreads, counted on what lies and sits where.

The verifier counts for itself, piece by piece, and uses nothing of this.

A rule's shortfall is that of its worst leg; one by boat adds up over the boats of that leg. A
spread's is that of the worst leg, day and lost boat, and of what fits the worst sort of boat.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.plan import Shortfall
from kitplan.trip import AT_MOST, LOST_BOAT, PER_BOAT

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.demands import CarriageNeed, Counting
    from kitplan.plan import Arrangement
    from kitplan.trip import CarriageRule, Counted, Leg, Spread, Trip

KILOGRAM = 1000


def list_shortfalls(trip: Trip, arrangement: Arrangement) -> tuple[Shortfall, ...]:
    """Return what a plan falls short of, tier by tier, then as the trip names it; worst places."""
    load = _Load(trip, arrangement)
    rows = [row for one in trip.rules for rule in one.rules for row in load.list_of_rule(rule)]
    rows += [row for spread in trip.spreads for row in load.list_of_spread(spread)]
    return tuple(sorted(rows, key=lambda row: trip.tiers.index(row.tier)))


def count_short(trip: Trip, shortfalls: Iterable[Shortfall]) -> dict[str, int]:
    """Return the value of the aim of each tier that a trip has anything of."""
    short = dict.fromkeys(trip.tiers, 0)
    for row in shortfalls:
        short[row.tier] += row.short
    return {f"short_of_{tier}": pieces for tier, pieces in short.items()}


def list_losses(trip: Trip, arrangement: Arrangement) -> dict[tuple[str, str], Shortfall]:
    """Return what is short of each spread when a boat is lost, by spread and boat as it is called.

    The worst day of each boat; where nothing is short there is none.
    """
    load = _Load(trip, arrangement)
    worst: dict[tuple[str, str], Shortfall] = {}
    for spread in trip.spreads:
        for row in (row for leg in trip.legs for row in load.ask_spread(spread, leg)):
            key = spread.name, trip.boats[row.boat].called
            if row.short > max(0, worst[key].short if key in worst else 0):
                worst[key] = row
    return worst


def list_unowned(trip: Trip) -> tuple[Shortfall, ...]:
    """Return the rules that are short whatever is packed where, each in its worst leg.

    All that the party has is counted, wherever it may lie. A rule that goes by who sits in a boat
    is left out: it asks nothing before people are seated.
    """
    worst: dict[str, Shortfall] = {}
    for leg in trip.legs:
        for need in asks.list_carriage(trip, leg):
            row = _compare_owned(trip, leg, need)
            if row is not None and row.short > (worst[row.name].short if row.name in worst else 0):
                worst[row.name] = row
    return tuple(sorted(worst.values(), key=lambda row: trip.tiers.index(row.tier)))


def _compare_owned(trip: Trip, leg: Leg, need: CarriageNeed) -> Shortfall | None:
    rule = need.rule
    if need.asked is None or rule.reading.bound == AT_MOST:
        return None
    asked = need.asked * (len(need.boats) if rule.reading.scope == PER_BOAT else 1)
    counting = asks.list_counting(trip, leg, rule.counts)
    lots = asks.name_lots(asks.list_lots(trip))
    there = (
        sum(trip.kit[item].count for item in counting.items)
        + sum(trip.kit[item].count * n for item, n in counting.bundles.items())
        + sum(counting.worn.values())
        + sum(trip.boats[boat].type.seats - 1 for boat in counting.paddles)
        + sum(lots[lot].count for lot in counting.lots)
        + len(counting.people)
        + len(counting.boats)
    )
    there = min(there, len(leg.boats)) if rule.counts.apart else there
    return Shortfall(rule.tier, rule.id, leg.first_day, "", asked, there, asked - there)


@dataclass(frozen=True, slots=True)
class _Load:
    """A plan's boats, to be asked what is in them."""

    trip: Trip
    plan: Arrangement

    def list_of_rule(self, rule: CarriageRule) -> list[Shortfall]:
        """Return a row for each boat that is short in the worst leg, or one for the whole leg."""
        by_leg = [
            [row for row in self._ask_rule(need, leg) if row.short > 0]
            for leg in self.trip.legs
            for need in asks.list_carriage(self.trip, leg)
            if need.rule.id == rule.id
        ]
        return max(by_leg, key=lambda rows: sum(row.short for row in rows), default=[])

    def _ask_rule(self, need: CarriageNeed, leg: Leg) -> Iterator[Shortfall]:
        rule, counted = need.rule, need.rule.counts
        counting = asks.list_counting(self.trip, leg, counted)
        by_boat = rule.reading.scope == PER_BOAT
        for boats in [(b,) for b in sorted(need.boats)] if by_boat else [leg.boats]:
            asked = need.asked
            if asked is None:
                crew = set(self.plan.crew[boats[0]])
                asked = asks.count_asked(rule.reading, len(crew.intersection(need.people)))
            there = self._count(boats, counting, counted)
            short = there - asked if rule.reading.bound == AT_MOST else asked - there
            boat = boats[0] if by_boat else ""
            yield Shortfall(rule.tier, rule.id, leg.first_day, boat, asked, there, short)

    def list_of_spread(self, spread: Spread) -> list[Shortfall]:
        """Return the row of the worst day and lost boat, if anything is short there."""
        rows = [row for leg in self.trip.legs for row in self.ask_spread(spread, leg)]
        worst = max(rows, key=lambda row: row.short, default=None)
        return [worst] if worst is not None and worst.short > 0 else []

    def ask_spread(self, spread: Spread, leg: Leg) -> Iterator[Shortfall]:
        """Yield what is asked and there on each day, whichever boat is lost; perhaps below 0."""
        for day in range(leg.first_day, leg.last_day + 1):
            for lost in sorted(leg.boats):
                for group in asks.list_groups(self.trip, leg, spread, lost):
                    others = [b for b in group if b != lost]
                    for asked, there in self._ask_left(spread, leg, day, (lost, others)):
                        short = asked - there
                        yield Shortfall(spread.tier, spread.name, day, lost, asked, there, short)

    def _ask_left(
        self, spread: Spread, leg: Leg, day: int, which: tuple[str, list[str]]
    ) -> Iterator[tuple[int, int]]:
        """Yield what is asked and what is there when a boat is lost on a day.

        Of food so many kilograms are asked, a part counting whole, and as many there as make it
        short by what is missing in grams, likewise.
        """
        lost, others = which
        if spread.seats:
            free = sum(self.trip.boats[b].type.seats - len(self.plan.crew[b]) for b in others)
            crew = len(self.plan.crew[lost])
            yield crew, free
        elif spread.food_permille is not None:
            asked_g, there_g = self._weigh_food(spread, day, others)
            asked = -(-asked_g // KILOGRAM)
            yield asked, asked + (there_g - asked_g) // KILOGRAM
        for counted, asked in asks.list_left(self.trip, spread, others):
            counting = asks.list_counting(self.trip, leg, counted)
            lots = asks.name_lots(asks.list_lots(self.trip, leg))
            aboard = frozenset(name for name, lot in lots.items() if lot.is_aboard(day))
            there = self._count(others, asks.only_lots(counting, aboard), counted)
            if spread.lost == LOST_BOAT:
                there += self._count_saved(lost, counting)
            yield asked, there

    def _weigh_food(self, spread: Spread, day: int, others: list[str]) -> tuple[int, int]:
        """Return the food asked for and the food there on a morning, in grams."""
        lots = asks.name_lots(asks.list_lots(self.trip))
        food = {name: lot for name, lot in lots.items() if lot.kind == "food"}
        there_g = sum(
            row.count * food[row.lot].weigh(day)
            for row in self.plan.stowed
            if row.lot in food and row.boat in others
        )
        return asks.ask_food(spread, food.values(), day), there_g

    # --- what counts ----------------------------------------------------------------------------

    def _count(self, boats: Iterable[str], counting: Counting, counted: Counted) -> int:
        pieces = [self._count_aboard(b, counting, counted) for b in boats]
        return sum(min(1, n) for n in pieces) if counted.apart else sum(pieces)

    def _count_aboard(self, boat: str, counting: Counting, counted: Counted) -> int:
        """Return how many pieces and people that count are in a boat."""
        reach = ("quick",) if counted.in_reach else ("quick", "stowed")
        packed = sum(
            row.count * ((row.item in counting.items) + counting.bundles.get(row.item, 0))
            for row in self.plan.packed
            if row.boat == boat and row.carried in reach
        )
        paddles = max(0, len(self.plan.crew[boat]) - 1) if boat in counting.paddles else 0
        stores = sum(
            row.count for row in self.plan.stowed if row.boat == boat and row.lot in counting.lots
        )
        itself = boat in counting.boats
        return self._count_saved(boat, counting) + packed + paddles + stores + itself

    def _count_saved(self, boat: str, counting: Counting) -> int:
        """Return what counts and is on a boat's crew: people, and what they wear."""
        crew = self.plan.crew[boat]
        worn = sum(
            row.count
            for row in self.plan.packed
            if row.boat == boat and row.item in counting.items and row.carried == "worn"
        )
        own = sum(counting.worn.get(p, 0) + (p in counting.people) for p in crew)
        return worn + own
