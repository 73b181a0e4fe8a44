"""The decision variables: seats, steerers, packing, stations, and counts drawn from them.

Every family is a dict keyed by names; a variable's name in the solver is its key. Names are sorted
before anything is created, so that the same trip gives the same model.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from kitplan import needs as asks
from kitplan.trip import CARRIED

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.trip import BoatType, Item, Rapid, Trip

Linear = cp_model.LinearExpr
CREW_PADDLE = "crew paddle: "


def add_up(terms: Iterable[cp_model.LinearExprT]) -> Linear:
    """Return the sum of the terms as an expression of the solver; 0 for none."""
    return cp_model.LinearExpr.sum(list(terms))


class Variables:
    """What the solver decides for a trip at the given rapids."""

    def __init__(self, trip: Trip, rapids: Iterable[str]) -> None:
        """Create seats and packing of the trip, and stations at `rapids`."""
        self.trip = trip
        self.model = cp_model.CpModel()
        self.boats = sorted(trip.boats)
        self.paddlers = sorted(trip.paddlers)
        self.items = sorted(trip.kit)
        self.rapids: list[Rapid] = [trip.rapids[name] for name in sorted(rapids)]
        self.seat = self._create_seats()
        self.steer = self._create_steerers()
        self.pack = self._create_packing()
        self.station = self._create_stations()
        self.decided = len(self.model.proto.variables)  # so many variables are decisions
        self._at: dict[tuple[str, str, frozenset[str], str, str], cp_model.IntVar] = {}
        self._split: dict[tuple[str, str, frozenset[str], str], list[cp_model.IntVar]] = {}

    def _create_seats(self) -> dict[tuple[str, str], cp_model.IntVar]:
        return {
            (p, b): self.model.new_bool_var(f"seat[{p},{b}]")
            for p in self.paddlers
            for b in self.boats
        }

    def _create_steerers(self) -> dict[tuple[str, str], cp_model.IntVar]:
        steer = {}
        for b in self.boats:
            kind = self.trip.boats[b].type
            least = asks.boat_level(self.trip, b, guests_aboard=False)
            for p in self.paddlers:
                paddler = self.trip.paddlers[p]
                if paddler.level(kind.skill) >= least and not paddler.guest:
                    steer[p, b] = self.model.new_bool_var(f"steer[{p},{b}]")
        return steer

    def _create_packing(self) -> dict[tuple[str, str, str], cp_model.IntVar]:
        return {
            (i, b, w): self.model.new_int_var(0, self.trip.kit[i].count, f"pack[{i},{b},{w}]")
            for i in self.items
            for b in self.boats
            for w in CARRIED
            if may_lie(self.trip.kit[i].item, w, self.trip.boats[b].type)
        }

    def _create_stations(self) -> dict[tuple[str, str, str], cp_model.IntVar]:
        return {
            (b, rapid.name, s): self.model.new_bool_var(f"station[{b},{rapid.name},{s}]")
            for rapid in self.rapids
            for b in sorted(rapid.boats)
            for s in asks.allowed_stations(rapid)
        }

    # --- counts ---------------------------------------------------------------------------------

    def count_people(self, names: frozenset[str], boat: str) -> Linear:
        """Return how many of the paddlers `names` sit in the boat."""
        return add_up(self.seat[p, boat] for p in sorted(names))

    def count_things(
        self,
        names: frozenset[str],
        boat: str,
        *,
        stowed: bool,
        ashore: frozenset[str] = frozenset(),
    ) -> Linear:
        """Return how many of the items `names` a boat has: dealt, worn of one's own, crew paddles.

        What those `ashore` wear is not there; their paddles are.
        A name that starts with CREW_PADDLE stands for the boat's crew paddles of that item.
        """
        terms: list[cp_model.LinearExprT] = [
            variable
            for (i, b, w), variable in self._pack_of(boat)
            if i in names and b == boat and (stowed or w != "stowed")
        ]
        for p in self.paddlers:
            own = sum(n for name, n in self.trip.paddlers[p].wears.items() if name in names)
            if own and p not in ashore:
                terms.append(own * self.seat[p, boat])
        paddle = self.trip.boats[boat].type.crew_paddle
        if paddle is not None and CREW_PADDLE + paddle in names:
            terms += [self.seat[p, boat] for p in self.paddlers]
            terms.append(-1)
        return add_up(terms)

    def _pack_of(self, boat: str) -> list[tuple[tuple[str, str, str], cp_model.IntVar]]:
        return [(key, variable) for key, variable in self.pack.items() if key[1] == boat]

    def most_people(self, names: frozenset[str], boat: str) -> int:
        """Return the most of `names` that the boat can seat."""
        return min(len(names), self.trip.boats[boat].type.seats)

    def most_things(self, names: frozenset[str], boat: str) -> int:
        """Return an upper bound of what the boat can have of `names`."""
        dealt = sum(self.trip.kit[i].count for i in names if i in self.trip.kit)
        own = sum(
            n for p in self.paddlers for i, n in self.trip.paddlers[p].wears.items() if i in names
        )
        paddle = self.trip.boats[boat].type.crew_paddle
        crew = 0
        if paddle is not None and CREW_PADDLE + paddle in names:
            crew = asks.crew_paddles(self.trip.boats[boat], self.trip.boats[boat].type.seats)
        return dealt + own + crew

    def people_at(self, names: frozenset[str], boat: str, rapid: str, site: str) -> Linear:
        """Return how many of `names` stand at `site` by this boat: 0 if it is elsewhere."""
        return self._product("people", names, boat, rapid, site)

    def crowd_at(self, names: frozenset[str], boat: str, rapid: str, site: str) -> Linear:
        """Return no fewer than those of `names` who stand at `site` by this boat.

        `people_at` may fall short of them, which is right for who helps and wrong for who is to
        be looked after.
        """
        stands = self.station.get((boat, rapid, site))
        most = self.most_people(names, boat)
        if stands is None or most == 0:
            return add_up(())
        key = ("crowd", rapid, names, boat, site)
        if key not in self._at:
            here = self.model.new_int_var(0, most, f"crowd[{len(self._at)},{boat},{rapid},{site}]")
            self.model.add(here >= self.count_people(names, boat) + most * stands - most)
            self._at[key] = here
        return self._at[key]

    def things_at(self, names: frozenset[str], boat: str, rapid: str, site: str) -> Linear:
        """Return how many of the items `names` this boat brings to `site`, worn and quick."""
        return self._product("things", names, boat, rapid, site)

    def _product(
        self, what: str, names: frozenset[str], boat: str, rapid: str, site: str
    ) -> Linear:
        stands = self.station.get((boat, rapid, site))
        if stands is None:
            return add_up(())
        key = (what, rapid, names, boat, site)
        if key in self._at:
            return self._at[key]
        if what == "people":
            most, count = self.most_people(names, boat), self.count_people(names, boat)
        else:
            most, count = (
                self.most_things(names, boat),
                self.count_things(
                    names,
                    boat,
                    stowed=False,
                    ashore=asks.list_walkers(self.trip, self.trip.rapids[rapid]),
                ),
            )
        if most == 0:
            return add_up(())
        here = self.model.new_int_var(0, most, f"{what}[{len(self._at)},{boat},{rapid},{site}]")
        self._at[key] = here
        self.model.add(here <= count)
        self.model.add(here <= most * stands)
        split = self._split.setdefault((what, rapid, names, boat), [])
        split.append(here)
        if len(split) > 1:
            self.model.add(add_up(split) <= count)
        return here


def may_lie(item: Item, carried: str, boat_type: BoatType) -> bool:
    """Say whether the plan may deal the item out to lie so; personal things are never dealt."""
    if not asks.fits_boat(item, boat_type, carried):
        return False
    if item.worn_on == "body":
        return carried != "worn" and carried in item.carried
    if carried == "worn":
        return carried in item.carried and item.worn_on in {"vest", "waist"}
    return carried in item.carried
