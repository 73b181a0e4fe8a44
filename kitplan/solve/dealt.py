"""A start as people make it by hand: captains first, the others where there is room, kit in turn.

Captains first, each in a boat he may steer; the others where the load is least; kit dealt out piece
by piece over the boats in turn, quick before worn before stowed, a piece without room skipped; the
running order as listed. Where that breaks a rule (people apart, guests with a captain too weak),
the nearest arrangement that keeps all is taken. Rapids are not looked at.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build import Rules, Variables
from kitplan.build.variables import add_up
from kitplan.solve.begin import name_decisions
from kitplan.solve.run import run

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from ortools.sat.python import cp_model

    from kitplan.solve.run import Budget
    from kitplan.trip import Item, Leg, Trip

    Lies = tuple[str, str, str]
    """Item, boat, and how it is carried."""

KEEP = {"seat": 10, "steer": 10, "place": 10, "pack": 1}
"""What a decision weighs that is another one than is wished; a piece of kit elsewhere, each."""


def deal_out(trip: Trip, budget: Budget) -> dict[str, int] | None:
    """Return seats, order and packing dealt out so, by the names of their variables.

    Stations are not decided. None where time ran out.
    """
    wished: dict[str, int] = {}
    for leg in trip.legs:
        wished |= _Dealer(trip, leg).arrange().list_names()
    return _find_nearest(trip, wished, budget)


@dataclass(slots=True)
class _Wishes:
    """What one would do in a leg: boats by paddler, captains and places by boat, where kit lies."""

    seat: dict[str, str] = field(default_factory=dict)
    steer: dict[str, str] = field(default_factory=dict)
    pack: Counter[Lies] = field(default_factory=Counter)
    place: dict[str, int] = field(default_factory=dict)

    def list_names(self) -> dict[str, int]:
        """Return the names of the solver's decisions that they come to, with their values."""
        return {
            **{f"seat[{p},{b}]": 1 for p, b in self.seat.items()},
            **{f"steer[{p},{b}]": 1 for b, p in self.steer.items()},
            **{f"place[{b},{k}]": 1 for b, k in self.place.items()},
            **{f"pack[{','.join(key)}]": count for key, count in self.pack.items()},
        }


# --- seats, order and kit -----------------------------------------------------------------------


class _Dealer:
    """Arranges one leg, step by step."""

    def __init__(self, trip: Trip, leg: Leg) -> None:
        self._trip, self._leg, self._wishes = trip, leg, _Wishes()
        self._load = {b: trip.boats[b].dry_load_g for b in leg.boats}
        self._crew: dict[str, list[str]] = {b: [] for b in leg.boats}

    def arrange(self) -> _Wishes:
        self._seat_captains()
        for paddler in self._leg.paddlers:
            if paddler not in self._wishes.seat and (boats := list(self._list_free(paddler))):
                self._seat(paddler, min(boats, key=self._share))
        given = [b for c in self._trip.order.boats for b in self._leg.boats if self._called(b) == c]
        self._wishes.place = {b: k for k, b in enumerate(given or self._leg.boats)}
        self._deal()
        return self._wishes

    def _called(self, boat: str) -> str:
        return self._trip.boats[boat].called

    def _share(self, boat: str) -> tuple[bool, float]:
        """Return what the next one is seated by: boats short of crew first, then the lightest."""
        kind = self._trip.boats[boat].type
        least = asks.least_crew(kind, asks.hardest_class(self._trip, boat))
        return len(self._crew[boat]) >= least, self._load[boat] / kind.payload_g

    def _seat(self, paddler: str, boat: str) -> None:
        self._wishes.seat[paddler] = boat
        self._crew[boat].append(paddler)
        self._load[boat] += asks.person_mass_g(self._trip.paddlers[paddler], self._trip)

    # --- people ---------------------------------------------------------------------------------

    def _seat_captains(self) -> None:
        """Give each boat the best who may steer it, boats with few to choose from first."""
        able = {b: self._list_able(b) for b in self._leg.boats}
        for boat in sorted(able, key=lambda b: len(able[b])):
            left = [p for p in able[boat] if p not in self._wishes.seat]
            if left:
                skill = self._trip.boats[boat].type.skill
                best = max(left, key=lambda p: self._trip.paddlers[p].level(skill))
                self._wishes.steer[boat] = best
                self._seat(best, boat)

    def _list_able(self, boat: str) -> list[str]:
        kind, trip = self._trip.boats[boat].type, self._trip
        level = asks.boat_level(trip, boat, guests_aboard=False)
        return [
            p
            for p in self._leg.paddlers
            if trip.paddlers[p].level(kind.skill) >= level and not trip.paddlers[p].guest
            if trip.paddlers[p].boat in {None, self._called(boat)}
        ]

    def _list_free(self, paddler: str) -> Iterator[str]:
        """Yield the boats with a seat and payload left where he may sit."""
        one = self._trip.paddlers[paddler]
        mass_g = asks.person_mass_g(one, self._trip)
        for boat, crew in self._crew.items():
            kind = self._trip.boats[boat].type
            room = len(crew) < kind.seats and self._load[boat] + mass_g <= kind.payload_g
            tied = one.boat in {None, self._called(boat)}
            if room and tied and self._suits(paddler, boat):
                yield boat

    def _suits(self, paddler: str, boat: str) -> bool:
        """Say whether company and captain let him sit there."""
        seat = self._wishes.seat
        for company in self._trip.companies:
            others = [p for p in company.paddlers if p != paddler and p in seat]
            if paddler in company.paddlers and others:
                there = boat in {seat[p] for p in others}
                if there != company.together:
                    return False
        captain = self._wishes.steer.get(boat)
        if captain is None or not self._trip.paddlers[paddler].guest:
            return True
        skill = self._trip.boats[boat].type.skill
        level = asks.boat_level(self._trip, boat, guests_aboard=True)
        return self._trip.paddlers[captain].level(skill) >= level

    # --- kit ------------------------------------------------------------------------------------

    def _deal(self) -> None:
        """Deal out piece by piece, each to the next boat in turn that has room for it."""
        rooms = {b: self._count_room(b) for b in self._leg.boats}
        turn = list(self._leg.boats)
        for name in self._leg.kit:
            kit = self._trip.kit[name]
            last = max(self._wishes.place, key=lambda b: self._wishes.place[b])
            for number in range(kit.count):
                swept = not number and kit.item.kinds & set(self._trip.order.sweep)
                boat = self._deal_piece(kit.item, [last, *turn] if swept else turn, rooms)
                if boat:
                    turn.remove(boat)
                    turn.append(boat)

    def _count_room(self, boat: str) -> dict[str, int]:
        """Return how many small and bulky things go quick, and how many vests and waists hold."""
        kind, catalog = self._trip.boats[boat].type, self._trip.catalog
        crew = [self._trip.paddlers[p] for p in self._crew[boat]]
        return {
            "small": kind.quick_small,
            "bulky": kind.quick_bulky,
            "vest": sum(asks.vest_room(p, catalog) for p in crew),
            "waist": sum(asks.waist_room(p, catalog) for p in crew),
        }

    def _deal_piece(
        self, item: Item, turn: list[str], rooms: Mapping[str, dict[str, int]]
    ) -> str | None:
        """Deal one piece to the first boat of the turn with room; return which, None if none."""
        for boat in turn:
            kind = self._trip.boats[boat].type
            if self._load[boat] + item.mass_g > kind.payload_g:
                continue
            quick = "bulky" if item.bulky else "small"
            for carried, room in (("quick", quick), ("worn", item.worn_on or ""), ("stowed", None)):
                if carried not in item.carried or not asks.fits_boat(item, kind, carried):
                    continue
                if room is not None and not rooms[boat].get(room, 0):
                    continue
                if room is not None:
                    rooms[boat][room] -= 1
                self._load[boat] += item.mass_g
                self._wishes.pack[item.name, boat, carried] += 1
                return boat
        return None


# --- by the solver: the nearest that keeps the rules --------------------------------------------


def _find_nearest(trip: Trip, wished: Mapping[str, int], budget: Budget) -> dict[str, int] | None:
    """Return the decisions, by name, that keep the rules and differ least."""
    variables = Variables(trip, ())
    Rules(variables).add_all()
    model = variables.model
    far: list[cp_model.LinearExprT] = []
    pieces = sum(kit.count for kit in trip.kit.values())
    for what, variable in variables.list_decisions(model):
        wish = wished.get(variable.name, 0)
        model.add_hint(variable, wish)
        if what == "pack":
            apart = model.new_int_var(0, pieces, f"apart[{variable.name}]")
            model.add(apart >= variable - wish)
            model.add(apart >= wish - variable)
            far.append(KEEP[what] * apart)
        elif what in KEEP:
            far.append(KEEP[what] * (1 - variable if wish else variable))
    answer = run(model, add_up(far), budget)
    if not answer.found:
        return None
    return name_decisions(variables, answer)
