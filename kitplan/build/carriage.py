"""Carriage rules and spreads in the model: how many pieces each falls short by.

Each rule and each spread has a number that is no less than its shortfall at the worst place: in a
leg, and for a spread on any day, whichever boat is lost. So one missing piece counts once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.variables import add_up
from kitplan.trip import AT_MOST, LOST_BOAT, PER_BOAT

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear, Variables
    from kitplan.demands import CarriageNeed, Counting
    from kitplan.trip import Counted, Leg, Spread

MOST = 100_000  # pieces, more than any rule is short of
KILOGRAM = 1000


class Carriage:
    """Adds the shortfalls of all rules and spreads to a model; `short` has a list by tier."""

    def __init__(self, v: Variables) -> None:
        """Add a number for each rule and spread, and what keeps it from being too small."""
        self.v, self.trip = v, v.trip
        self.short: dict[str, list[cp_model.IntVar]] = {tier: [] for tier in self.trip.tiers}
        needs = {leg: asks.list_carriage(self.trip, leg) for leg in v.legs}
        for rule in (rule for one in self.trip.rules for rule in one.rules):
            row = self._create(rule.tier, rule.id)
            for leg in v.legs:
                for need in needs[leg]:
                    if need.rule.id == rule.id:
                        v.model.add(row >= self._fall_short(need, leg))
        for spread in self.trip.spreads:
            row = self._create(spread.tier, spread.name)
            for leg in v.legs:
                self._add_spread(spread, leg, row)

    def total(self, tier: str) -> Linear:
        """Return how many pieces a tier's rules or spreads are short of."""
        return add_up(self.short[tier])

    def _create(self, tier: str, name: str) -> cp_model.IntVar:
        row = self.v.model.new_int_var(0, MOST, f"short[{name}]")
        self.short[tier].append(row)
        return row

    # --- rules ----------------------------------------------------------------------------------

    def _fall_short(self, need: CarriageNeed, leg: Leg) -> Linear:
        """Return by how many pieces a rule is short in a leg: its boats by themselves or not."""
        counted = need.rule.counts
        counting = asks.list_counting(self.trip, leg, counted)
        if need.rule.reading.scope == PER_BOAT:
            return add_up(
                self._miss(need, self._ask(need, [b]), self._count([b], counting, counted))
                for b in need.boats
            )
        there = self._count(leg.boats, counting, counted)
        return self._miss(need, self._ask(need, leg.boats), there)

    def _miss(self, need: CarriageNeed, asked: Linear | int, there: Linear) -> cp_model.IntVar:
        short = self.v.model.new_int_var(0, MOST, "")
        at_most = need.rule.reading.bound == AT_MOST
        self.v.model.add(short >= (there - asked if at_most else asked - there))
        return short

    def _ask(self, need: CarriageNeed, boats: Iterable[str]) -> Linear | int:
        """Return what a rule asks of a boat, or of all, which may go by who sits in them."""
        if need.asked is not None:
            return need.asked
        table = asks.list_asked(need.rule.reading, len(need.people))
        asked = self.v.model.new_int_var(min(table), max(table), "")
        there = add_up(
            self.v.seat[p, b] for b in boats for p in self.v.paddlers[b] if p in need.people
        )
        self.v.model.add_element(there, table, asked)
        return 1 * asked

    # --- what counts ----------------------------------------------------------------------------

    def _count(self, boats: Iterable[str], counting: Counting, counted: Counted) -> Linear:
        """Return how many pieces or people that count are in boats; apart: one a boat at most."""
        if not counted.apart:
            return add_up(one for b in boats for one in self._list_counting(b, counting, counted))
        seen = []
        for b in boats:
            one = self.v.model.new_bool_var("")
            self.v.model.add(one <= add_up(self._list_counting(b, counting, counted)))
            seen.append(one)
        return add_up(seen)

    def _list_counting(
        self, boat: str, counting: Counting, counted: Counted
    ) -> Iterator[cp_model.LinearExprT]:
        """Yield all that counts in a boat."""
        yield from self._list_saved(boat, counting)
        for (i, b, carried), variable in self.v.pack.items():
            reach = carried == "quick" or (carried == "stowed" and not counted.in_reach)
            pieces = (i in counting.items) + counting.bundles.get(i, 0)
            if b == boat and pieces and reach:
                yield variable if pieces == 1 else pieces * variable
        if boat in counting.paddles:
            yield from (self.v.seat[p, boat] for p in self.v.paddlers[boat])
            yield -1
        for (lot, b), variable in self.v.stow.items():
            if b == boat and lot in counting.lots:
                yield variable
        if boat in counting.boats:
            yield 1

    def _list_saved(self, boat: str, counting: Counting) -> Iterator[cp_model.LinearExprT]:
        """Yield what counts in a boat and is on its crew: people, what they wear."""
        for p in self.v.paddlers[boat]:
            pieces = counting.worn.get(p, 0) + (p in counting.people)
            if pieces:
                yield pieces * self.v.seat[p, boat]
        for (i, b, carried), variable in self.v.pack.items():
            if b == boat and carried == "worn" and i in counting.items:
                yield variable

    # --- spreads --------------------------------------------------------------------------------

    def _add_spread(self, spread: Spread, leg: Leg, row: cp_model.IntVar) -> None:
        """Let the number be no less than what is short whichever boat of a leg is lost."""
        for lost in sorted(leg.boats):
            for group in asks.list_groups(self.trip, leg, spread, lost):
                others = [b for b in group if b != lost]
                if spread.seats:
                    free = self._count_free(others)
                    self.v.model.add(row >= self._count_crew(lost) - free)
                elif spread.food_permille is not None:
                    self._add_food(spread, leg, others, row)
                else:
                    self._add_left(spread, leg, (lost, others), row)

    def _count_crew(self, boat: str) -> Linear:
        return add_up(self.v.seat[p, boat] for p in self.v.paddlers[boat])

    def _count_free(self, boats: list[str]) -> Linear:
        seats = sum(self.trip.boats[b].type.seats for b in boats)
        return seats - add_up(self._count_crew(b) for b in boats)

    def _add_food(self, spread: Spread, leg: Leg, others: list[str], row: cp_model.IntVar) -> None:
        """On each morning the others have their share of the food, in whole kilograms short."""
        food = {name: lot for name, lot in self.v.lots.items() if lot.kind == "food"}
        for day in range(leg.first_day, leg.last_day + 1):
            asked_g = asks.ask_food(spread, food.values(), day)
            there = add_up(
                food[lot].weigh(day) * variable
                for (lot, b), variable in self.v.stow.items()
                if b in others and lot in food and food[lot].is_aboard(day)
            )
            if asked_g:
                self.v.model.add(KILOGRAM * row >= asked_g - there)

    def _add_left(
        self, spread: Spread, leg: Leg, which: tuple[str, list[str]], row: cp_model.IntVar
    ) -> None:
        lost, others = which
        for counted, asked in asks.list_left(self.trip, spread, others):
            counting = asks.list_counting(self.trip, leg, counted)
            for aboard in self._list_aboard(counting, leg):
                on_day = asks.only_lots(counting, aboard)
                left = [self._count(others, on_day, counted)]
                if spread.lost == LOST_BOAT:
                    left.append(add_up(self._list_saved(lost, counting)))
                self.v.model.add(row >= asked - add_up(left))

    def _list_aboard(self, counting: Counting, leg: Leg) -> list[frozenset[str]]:
        """Return the lots that count on each day of a leg, each set once."""
        days = range(leg.first_day, leg.last_day + 1)
        return list(
            dict.fromkeys(
                frozenset(name for name in counting.lots if self.v.lots[name].is_aboard(day))
                for day in days
            )
        )
