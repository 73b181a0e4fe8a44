"""The best stations and running order for seats and packing that somebody else decided.

Whether these keep the rules is not asked here: only where boats wait and who runs when is open.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from typing import TYPE_CHECKING

from kitplan.build import TripModel, Variables
from kitplan.solve.begin import name_before
from kitplan.solve.near import weigh_cover
from kitplan.solve.read import read_arrangement
from kitplan.solve.run import Budget, run
from kitplan.trip import BANKS

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.plan import Arrangement, Before
    from kitplan.ramp import RampLoad
    from kitplan.solve.run import Clock
    from kitplan.trip import Rapid, Trip

AFLOAT = "afloat"
UNITS = 10.0  # of the solver's deterministic time


def find_stations(
    trip: Trip, needs: Needs, load: RampLoad, before: Before, clock: Clock
) -> Arrangement | None:
    """Return the load with the best order and stations that go with it; None: none was found.

    `before` is what the load has in which boat. Stations and order that it says are kept.
    Who leads and who comes last is as the trip asks, if any order has it so.
    """
    for leads in (True, False):
        variables = Variables(trip, trip.rapids, twice=bool(load.twice))
        found = _Placing(variables, needs, load, before, leads=leads).solve(clock)
        if found is not None:
            return replace(
                found,
                crew=load.crew,
                steerer=load.steerer,
                packed=load.packed,
                stowed=load.stowed or (),
            )
    return None


def find_tight(
    trip: Trip, needs: Needs, load: RampLoad, before: Before, clock: Clock
) -> dict[str, tuple[str, ...]]:
    """Return the rapids at which no waiting places go with the load, each looked at by itself.

    With each goes where more room would do by itself: "left", "right", "afloat", or nowhere. Empty
    where time runs out, or where only all rapids together are too much for any order.
    """

    def fits(trip: Trip, name: str) -> bool:
        variables = Variables(trip, (name,), twice=bool(load.twice))
        placing = _Placing(variables, needs, load, before, leads=False)
        return placing.solve(clock) is not None or not clock.left_s()

    tight = {}
    for name, rapid in trip.rapids.items():
        if fits(trip, name):
            continue
        roomy = {
            place: replace(trip, rapids=trip.rapids | {name: _widen(rapid, place)})
            for place in (*BANKS, AFLOAT)
        }
        tight[name] = tuple(place for place, wide in roomy.items() if fits(wide, name))
    return {} if not clock.left_s() else tight


def _widen(rapid: Rapid, place: str) -> Rapid:
    """Return a rapid with room for all its boats on a bank, or afloat."""
    many = len(rapid.boats)
    if place == AFLOAT:
        return replace(rapid, eddies=many)
    bank = replace(rapid.bank(place), landing=many, landing_above=many)
    return replace(rapid, left=bank) if place == "left" else replace(rapid, right=bank)


class _Placing:
    """A model in which seats, packing and stores are as the load has them, at some rapids."""

    def __init__(
        self, variables: Variables, needs: Needs, load: RampLoad, before: Before, *, leads: bool
    ) -> None:
        self.load, self.v = load, variables
        trip = variables.trip
        families = ("order", *(("lead", "sweep") if leads else ()), *WAITING)
        self.tm = TripModel(self.v, needs, families=families)
        aboard = name_before(before)
        for family in (self.v.seat, self.v.pack, self.v.stow):
            for variable in family.values():
                self.tm.model.add(variable == aboard[variable.name])
        for (p, b), steers in self.v.steer.items():
            self.tm.model.add(steers == (load.steerer.get(b) == p))
        for (p, b, rapid), rows in self.v.rows.items():
            self.tm.model.add(rows == (load.twice.get((rapid, b)) == p))
        self._hold_order()
        for (rapid, boat, running), site in load.stations.items():
            if trip.rapids[rapid] in self.v.rapids:
                self._hold_station(trip.rapids[rapid], boat, running, site)

    def _hold_order(self) -> None:
        """Let boats run in the order said; those it does not name, anywhere."""
        for leg in self.v.legs:
            said = [boat for boat in self.load.order if boat in leg.boats]
            if len(said) == len(leg.boats):
                for place, boat in enumerate(said):
                    self.tm.model.add(self.v.place[boat, place] == 1)

    def _hold_station(self, rapid: Rapid, boat: str, running: str, site: str) -> None:
        for j, k in permutations(range(len(rapid.boats)), 2):
            runs = (self.v.runs(rapid, boat, j), self.v.runs(rapid, running, k))
            stands = self.v.stands(rapid, j, k, site)
            if stands is not None:
                self.tm.model.add(stands == 1).only_enforce_if(*runs)
            else:
                self.tm.model.add_bool_or(~runs[0], ~runs[1])

    def solve(self, clock: Clock) -> Arrangement | None:
        """Return the best found in time, or None."""
        answer = run(self.tm.model, weigh_cover(self.tm), Budget(clock, 1.0, UNITS))
        return read_arrangement(self.v, answer.read) if answer.found else None


WAITING = ("row-twice", "station", "held", "landing", "eddies")
"""Families of rules about waiting places."""
