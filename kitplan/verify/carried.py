"""What falls short of the rules on what is carried and of the spreads, counted piece by piece.

Every single thing, person and boat that counts is a piece of its own, in one boat.

A rule of scope "trip". There: the pieces in all boats of the leg. These are

- dealt kit, however it is carried; where it must be in reach only what is worn or lies quick;
- what those who sit in a boat wear of their own, unless a spare one is asked;
- crew paddles, one for each of a crew but the steerer, likewise;
- camp kit and own things among the stores;
- where people or boats count: those people who sit in a boat, those boats.

Where they must be `apart`, of the pieces in one boat one counts. It is short by asked less there;
of what may be there at most, by there less asked; never by less than 0.

A rule of scope "boat" is about each of its boats by itself, with the pieces in it. Where it goes by
people, it asks for as many as their number in that boat makes it. Its boats' shortfalls add up.

A rule's shortfall is that of the leg that is worst.

A spread is looked at on each day of each leg, for each boat that may be lost, among boats that are
together: all of the leg, or, within a group, those of each rapid that the lost boat is at. A boat
with no others has no spread. There: the pieces in the others, stores only on mornings on which they
are aboard; and, where the crew of the lost boat is saved, its people and what they wear, dealt or
their own. It asks for

- so many of what counts;
- for each sort of boats of which one is among the others, one piece that fits it;
- free seats in the others for all of the lost boat's crew;
- a share, in grams rounded up, of what all food weighs on that morning, containers included: there
  is what lies in the others. It is short by whole kilograms, rounded up, and asks for whole
  kilograms, rounded up; what is there is the difference.

A spread's shortfall is the greatest of these. An aim is the sum over the rules or spreads of its
tier.
"""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.plan import Shortfall
from kitplan.trip.carriage import AT_MOST, HOUSE, LAW, PER_BOAT, SPREAD

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.demands import CarriageNeed
    from kitplan.plan import Arrangement
    from kitplan.trip import Counted, Leg, Spread, Trip

TIERS = {"short_of_law": LAW, "short_of_house": HOUSE, "short_of_spread": SPREAD}
"""Aims to the tiers whose shortfalls they add up."""
_FOOD = "food"  # the kind of what is eaten
_GROUP = "group"
_CREW_SAVED = "boat"  # what is lost
_PER_MILLE, _KG = 1000, 1000


class _Piece(NamedTuple):
    """One thing, person or boat that counts: in which boat, and on which mornings.

    `saved`: it is saved with the crew of a lost boat.
    """

    boat: str
    saved: bool
    first_day: int
    last_day: int


class _Want(NamedTuple):
    """What a spread asks to be left of what counts, if one of `boats` is."""

    counted: Counted
    pieces: list[_Piece]
    asked: int
    boats: tuple[str, ...]


class _Loss(NamedTuple):
    """A boat that is lost on a day, and the others that it was with."""

    day: int
    boat: str
    others: frozenset[str]


class _Amounts(NamedTuple):
    """How many are asked, how many are there, how many are short."""

    asked: int
    there: int
    short: int


def list_asked_tiers(trip: Trip) -> set[str]:
    """Return the tiers of which a trip has a rule or a spread."""
    tiers = {rule.tier for one in trip.rules for rule in one.rules}
    return tiers | {spread.tier for spread in trip.spreads}


def list_shortfalls(trip: Trip, plan: Arrangement) -> tuple[Shortfall, ...]:
    """Return where an arrangement falls short, tier by tier, rules and spreads in their order.

    One row for each, at the first of its worst places in the order of legs, days and names of
    boats; a rule about single boats has a row for each boat that is short in its first worst leg.
    """
    legs = [_Leg(trip, plan, leg) for leg in trip.legs]
    rows = list(_list_of_rules(trip, legs))
    for spread in trip.spreads:
        every = chain.from_iterable(leg.list_spread(spread) for leg in legs)
        worst = max(every, key=lambda row: row.short, default=None)
        rows += [worst] if worst else []
    tiers = list(TIERS.values())
    rows.sort(key=lambda row: tiers.index(row.tier))
    return tuple(row for row in rows if row.short > 0)


def _list_of_rules(trip: Trip, legs: Iterable[_Leg]) -> Iterator[Shortfall]:
    by_rule: dict[str, list[list[Shortfall]]] = {}
    for leg in legs:
        for need in asks.list_carriage(trip, leg.leg):
            by_rule.setdefault(need.rule.id, []).append(leg.list_rule(need))
    for rule in chain.from_iterable(one.rules for one in trip.rules):
        if rule.id in by_rule:
            yield from max(by_rule[rule.id], key=lambda rows: sum(row.short for row in rows))


class _Leg:
    """What is carried in the boats of a leg."""

    def __init__(self, trip: Trip, plan: Arrangement, leg: Leg) -> None:
        self.trip, self.plan, self.leg = trip, plan, leg
        self.lots = asks.name_lots(asks.list_lots(trip))
        self.stowed = [row for row in plan.stowed if row.boat in leg.boats]

    # --- rules ------------------------------------------------------------------------------------

    def list_rule(self, need: CarriageNeed) -> list[Shortfall]:
        """Return what a rule asks and what is there, for the trip or for each of its boats."""
        counted = need.rule.counts
        pieces = self._list_pieces(counted)
        if need.rule.reading.scope != PER_BOAT:
            return [self._compare(need, "", need.asked or 0, _count(pieces, counted))]
        rows = []
        for boat in sorted(need.boats):
            there = _count([piece for piece in pieces if piece.boat == boat], counted)
            rows.append(self._compare(need, boat, self._count_asked(need, boat), there))
        return rows

    def _count_asked(self, need: CarriageNeed, boat: str) -> int:
        if need.asked is not None:
            return need.asked
        people = [name for name in self.plan.crew[boat] if name in need.people]
        return asks.count_asked(need.rule.reading, len(people))

    def _compare(self, need: CarriageNeed, boat: str, asked: int, there: int) -> Shortfall:
        rule = need.rule
        lacks = there - asked if rule.reading.bound == AT_MOST else asked - there
        return Shortfall(rule.tier, rule.id, self.leg.first_day, boat, asked, there, max(0, lacks))

    # --- pieces -----------------------------------------------------------------------------------

    def _list_pieces(self, counted: Counted) -> list[_Piece]:
        """Return every single piece in the boats of the leg that counts."""
        counting = asks.list_counting(self.trip, self.leg, counted)
        pieces: list[_Piece] = []
        for row in self.plan.packed:
            in_reach = row.carried != "stowed" or not counted.in_reach
            if row.boat in self.leg.boats and in_reach:
                saved = row.carried == "worn"
                number = (row.item in counting.items) + counting.bundles.get(row.item, 0)
                pieces += row.count * number * [self._make_piece(row.boat, saved=saved)]
        for boat in self.leg.boats:
            crew = self.plan.crew[boat]
            for name in crew:
                number = counting.worn.get(name, 0) + (name in counting.people)
                pieces += number * [self._make_piece(boat, saved=True)]
            number = boat in counting.boats
            if boat in counting.paddles:
                number += asks.crew_paddles(self.trip.boats[boat], len(crew))
            pieces += number * [self._make_piece(boat, saved=False)]
        for stowed in self.stowed:
            if stowed.lot in counting.lots:
                lot = self.lots[stowed.lot]
                one = self._make_piece(stowed.boat, saved=False)
                pieces += stowed.count * [
                    one._replace(first_day=lot.first_day, last_day=lot.last_day)
                ]
        return pieces

    def _make_piece(self, boat: str, *, saved: bool) -> _Piece:
        return _Piece(boat, saved, self.leg.first_day, self.leg.last_day)

    # --- spreads ----------------------------------------------------------------------------------

    def list_spread(self, spread: Spread) -> Iterator[Shortfall]:
        """Yield what a spread asks and what is there, for each boat lost on each day."""
        wants = list(self._list_wants(spread))
        for loss in self._list_losses(spread):
            for row in (
                *self._count_wants(spread, wants, loss),
                *self._count_seats(spread, loss),
                *self._weigh_food(spread, loss),
            ):
                yield Shortfall(
                    spread.tier, spread.name, loss.day, loss.boat, row.asked, row.there, row.short
                )

    def _list_losses(self, spread: Spread) -> Iterator[_Loss]:
        """Yield the losses of a boat with others that are together with it."""
        groups = [self.leg.boats]
        if spread.within == _GROUP:
            groups = [rapid.boats for rapid in self.trip.rapids.values()]
        for day in range(self.leg.first_day, self.leg.last_day + 1):
            for boat in sorted(self.leg.boats):
                for others in dict.fromkeys(frozenset(g) for g in groups if boat in g):
                    if len(others) > 1:
                        yield _Loss(day, boat, others - {boat})

    def _list_wants(self, spread: Spread) -> Iterator[_Want]:
        if spread.counts is not None:
            pieces = self._list_pieces(spread.counts)
            yield _Want(spread.counts, pieces, spread.count, self.leg.boats)
        for fit in spread.fits:
            boats = asks.list_boats(self.trip, self.leg, fit.boats)
            yield _Want(fit.counts, self._list_pieces(fit.counts), 1, boats)

    def _count_wants(
        self, spread: Spread, wants: Iterable[_Want], loss: _Loss
    ) -> Iterator[_Amounts]:
        for want in wants:
            if loss.others.isdisjoint(want.boats):
                continue
            left = [
                piece
                for piece in want.pieces
                if piece.first_day <= loss.day <= piece.last_day
                if piece.boat in loss.others
                or (piece.boat == loss.boat and piece.saved and spread.lost == _CREW_SAVED)
            ]
            there = _count(left, want.counted)
            yield _Amounts(want.asked, there, max(0, want.asked - there))

    def _count_seats(self, spread: Spread, loss: _Loss) -> Iterator[_Amounts]:
        if spread.seats:
            crew = len(self.plan.crew[loss.boat])
            free = sum(
                self.trip.boats[boat].type.seats - len(self.plan.crew[boat]) for boat in loss.others
            )
            yield _Amounts(crew, free, max(0, crew - free))

    def _weigh_food(self, spread: Spread, loss: _Loss) -> Iterator[_Amounts]:
        if spread.food_permille is None:
            return
        masses = [
            (row.boat, row.count * self.lots[row.lot].weigh(loss.day))
            for row in self.stowed
            if self.lots[row.lot].kind == _FOOD
        ]
        asked_g = _divide_up(spread.food_permille * sum(mass for _, mass in masses), _PER_MILLE)
        there_g = sum(mass for boat, mass in masses if boat in loss.others)
        short = _divide_up(max(0, asked_g - there_g), _KG)
        asked = _divide_up(asked_g, _KG)
        yield _Amounts(asked, asked - short, short)


def _count(pieces: Iterable[_Piece], counted: Counted) -> int:
    """Return how many pieces there are; where they must be apart, in how many boats."""
    boats = [piece.boat for piece in pieces]
    return len(set(boats)) if counted.apart else len(boats)


def _divide_up(number: int, by: int) -> int:
    return -(-number // by)
