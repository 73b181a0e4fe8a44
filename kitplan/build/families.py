"""The rules of seating, packing and stations: one method a family, listed at the bottom.

Every rule of seating can be put under an assumption of its own, so that a conflict can be named.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.variables import add_up

if TYPE_CHECKING:
    from collections.abc import Callable

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear, Variables


class Rules:
    """Adds rule families to a model; `assume` maps (family, subject) to its assumption literal."""

    def __init__(self, variables: Variables, *, assumed: bool = False) -> None:
        """Prepare to add rules; with `assumed` each seating rule gets a literal it hangs on."""
        self.v = variables
        self.trip = variables.trip
        self.assumed = assumed
        self.assume: dict[tuple[str, str], cp_model.IntVar] = {}

    def add_all(self) -> None:
        """Add every family of the table at the bottom."""
        for add in FAMILIES.values():
            add(self)

    def _rule(self, family: str, subject: str, constraint: cp_model.Constraint) -> None:
        if self.assumed:
            key = (family, subject)
            if key not in self.assume:
                self.assume[key] = self.v.model.new_bool_var(f"assume[{family},{subject}]")
            constraint.only_enforce_if(self.assume[key])

    # --- seating --------------------------------------------------------------------------------

    def add_seat(self) -> None:
        """Every paddler sits in exactly one boat: sum over b of x[p,b] = 1."""
        for p in self.v.paddlers:
            self.v.model.add_exactly_one(self.v.seat[p, b] for b in self.v.boats)

    def add_seats(self) -> None:
        """No more people than seats: sum over p of x[p,b] <= seats[b]."""
        for b in self.v.boats:
            crew = add_up(self.v.seat[p, b] for p in self.v.paddlers)
            self._rule("seats", b, self.v.model.add(crew <= self.trip.boats[b].type.seats))

    def add_steerer(self) -> None:
        """One able steerer a boat; a guest aboard may ask for one level more."""
        model = self.v.model
        for (p, b), steers in self.v.steer.items():
            model.add_implication(steers, self.v.seat[p, b])
        for b in self.v.boats:
            kind = self.trip.boats[b].type
            able = [self.v.steer[p, b] for p in self.v.paddlers if (p, b) in self.v.steer]
            self._rule("steerer", b, model.add(add_up(able) == 1))
            higher = asks.boat_level(self.trip, b, guests_aboard=True)
            weak = [
                self.v.steer[p, b]
                for p in self.v.paddlers
                if (p, b) in self.v.steer and self.trip.paddlers[p].level(kind.skill) < higher
            ]
            for g in self.v.paddlers:
                if weak and self.trip.paddlers[g].guest:
                    self._rule("steerer", b, model.add(add_up(weak) + self.v.seat[g, b] <= 1))

    def add_least_crew(self) -> None:
        """Give a boat its least crew: sum over p of x[p,b] >= least[b]."""
        for b in self.v.boats:
            least = asks.least_crew(self.trip.boats[b].type, asks.hardest_class(self.trip, b))
            crew = add_up(self.v.seat[p, b] for p in self.v.paddlers)
            self._rule("least-crew", b, self.v.model.add(crew >= least))

    def add_tied(self) -> None:
        """Seat a paddler tied to a boat in it: x[p,b] = 1."""
        for p in self.v.paddlers:
            boat = self.trip.paddlers[p].boat
            if boat is not None:
                self._rule("tied", p, self.v.model.add(self.v.seat[p, boat] == 1))

    def add_together(self) -> None:
        """People kept together share a boat: x[p,b] = x[q,b]."""
        for number, company in enumerate(self.trip.companies):
            first, *others = company.paddlers
            for q in others if company.together else ():
                for b in self.v.boats:
                    same = self.v.model.add(self.v.seat[first, b] == self.v.seat[q, b])
                    self._rule("together", str(number), same)

    def add_apart(self) -> None:
        """People kept apart sit in different boats: sum of x[p,b] over them <= 1."""
        for number, company in enumerate(self.trip.companies):
            for b in self.v.boats if not company.together else ():
                shared = add_up(self.v.seat[p, b] for p in company.paddlers)
                self._rule("apart", str(number), self.v.model.add(shared <= 1))

    def add_payload(self) -> None:
        """People, safety kit and dry load stay within the payload."""
        for b in self.v.boats:
            load = self.load_g(b)
            self._rule("payload", b, self.v.model.add(load <= self.trip.boats[b].type.payload_g))

    def load_g(self, boat: str) -> Linear:
        """Return the load of a boat in grams: people, dealt kit, dry load."""
        people = add_up(
            asks.person_mass_g(self.trip.paddlers[p], self.trip) * self.v.seat[p, boat]
            for p in self.v.paddlers
        )
        return people + self.kit_g(boat) + self.trip.boats[boat].dry_load_g

    def kit_g(self, boat: str) -> Linear:
        """Return the mass of the kit dealt to a boat in grams."""
        return add_up(
            self.trip.kit[i].item.mass_g * variable
            for (i, b, _), variable in self.v.pack.items()
            if b == boat
        )

    # --- packing --------------------------------------------------------------------------------

    def add_owned(self) -> None:
        """No more is packed than the party owns: sum over b, w of y[i,b,w] <= count[i]."""
        for i in self.v.items:
            self.v.model.add(self._packed(i) <= self.trip.kit[i].count)

    def add_take(self) -> None:
        """Pack what must go: sum over b, w of y[i,b,w] >= take[i]."""
        for i in self.v.items:
            if self.trip.kit[i].take:
                self._rule("take", i, self.v.model.add(self._packed(i) >= self.trip.kit[i].take))

    def add_carried(self) -> None:
        """Hold a thing where it may be carried: other places have no variable at all."""

    def _packed(self, item: str) -> Linear:
        return add_up(variable for (i, _, _), variable in self.v.pack.items() if i == item)

    def add_quick_bulky(self) -> None:
        """Bulky things lying quick have a place each."""
        for b in self.v.boats:
            quick = self._quick(b, bulky=True)
            self.v.model.add(quick <= self.trip.boats[b].type.quick_bulky)

    def add_quick_small(self) -> None:
        """Small things lying quick have room."""
        for b in self.v.boats:
            quick = self._quick(b, bulky=False)
            self.v.model.add(quick <= self.trip.boats[b].type.quick_small)

    def _quick(self, boat: str, *, bulky: bool) -> Linear:
        return add_up(
            variable
            for (i, b, w), variable in self.v.pack.items()
            if b == boat and w == "quick" and self.trip.kit[i].item.bulky == bulky
        )

    def add_vest_room(self) -> None:
        """Small things dealt out to be worn fit into the vests of the crew."""
        self._add_worn_room("vest", asks.vest_room)

    def add_waist_room(self) -> None:
        """One thing at the waist of each who is not a guest."""
        self._add_worn_room("waist", asks.waist_room)

    def _add_worn_room(self, where: str, room: Callable[..., int]) -> None:
        for b in self.v.boats:
            worn = add_up(
                variable
                for (i, boat, w), variable in self.v.pack.items()
                if boat == b and w == "worn" and self.trip.kit[i].item.worn_on == where
            )
            held = add_up(
                room(self.trip.paddlers[p], self.trip.catalog) * self.v.seat[p, b]
                for p in self.v.paddlers
            )
            self.v.model.add(worn <= held)

    # --- stations -------------------------------------------------------------------------------

    def add_station(self) -> None:
        """At each rapid a boat has one station of those allowed."""
        for rapid in self.v.rapids:
            for b in sorted(rapid.boats):
                self.v.model.add_exactly_one(
                    self.v.station[b, rapid.name, s] for s in asks.allowed_stations(rapid)
                )

    def add_landing(self) -> None:
        """Whichever boat runs, the others fit each landing."""
        for rapid in self.v.rapids:
            for side in ("left", "right"):
                self._add_room(rapid.name, side, 10 * rapid.bank(side).landing)

    def add_eddies(self) -> None:
        """Whichever boat runs, the others afloat fit the eddies."""
        for rapid in self.v.rapids:
            self._add_room(rapid.name, "afloat", 10 * rapid.eddies)

    def _add_room(self, rapid: str, station: str, room: int) -> None:
        taken = {
            b: self.trip.boats[b].type.room * self.v.station[b, rapid, station]
            for b in self.v.boats
            if (b, rapid, station) in self.v.station
        }
        for v in taken:
            others = [term for b, term in taken.items() if b != v]
            if others:
                self.v.model.add(add_up(others) <= room)


FAMILIES: dict[str, Callable[[Rules], None]] = {
    "seat": Rules.add_seat,
    "seats": Rules.add_seats,
    "steerer": Rules.add_steerer,
    "least-crew": Rules.add_least_crew,
    "tied": Rules.add_tied,
    "together": Rules.add_together,
    "apart": Rules.add_apart,
    "payload": Rules.add_payload,
    "owned": Rules.add_owned,
    "take": Rules.add_take,
    "carried": Rules.add_carried,
    "quick-bulky": Rules.add_quick_bulky,
    "quick-small": Rules.add_quick_small,
    "vest-room": Rules.add_vest_room,
    "waist-room": Rules.add_waist_room,
    "station": Rules.add_station,
    "landing": Rules.add_landing,
    "eddies": Rules.add_eddies,
}
