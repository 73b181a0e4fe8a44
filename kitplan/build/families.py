"""The rules of seating, packing and stations: one method a family, listed at the bottom.

Every rule of seating can be put under an assumption of its own, so that a conflict can be named.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.carriage import Carriage
from kitplan.build.stores import measure_room, weigh_stores
from kitplan.build.terms import TENTHS
from kitplan.build.variables import AFTER, BEFORE, IN_BUNDLE, add_up, list_stations
from kitplan.trip import HELD

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear, Station, Variables
    from kitplan.trip import Rapid


class Rules:
    """Adds rule families to a model; `assume` maps (family, subject) to its assumption literal."""

    def __init__(self, variables: Variables, *, assumed: bool = False) -> None:
        """Prepare to add rules; with `assumed` each seating rule gets a literal it hangs on."""
        self.v = variables
        self.trip = variables.trip
        self.assumed = assumed
        self.assume: dict[tuple[str, str], cp_model.IntVar] = {}
        self.carriage: Carriage | None = None

    def add(self, families: Iterable[str]) -> None:
        """Add some families of the table at the bottom."""
        for family in families:
            FAMILIES[family](self)

    def add_all(self, but: Collection[str] = ()) -> None:
        """Add every family of the table at the bottom, but for some."""
        self.add(family for family in FAMILIES if family not in but)
        if self.trip.tiers and not self.assumed and self.v.all_legs:
            self._add_carriage()

    def _add_carriage(self) -> None:
        """Count what carriage rules and spreads are short of; hold what is known to be least."""
        self.carriage = Carriage(self.v)
        for tier, most in self.trip.short_at_most.items():
            self.v.model.add(self.carriage.total(tier) <= most)

    def _rule(self, family: str, subject: str, constraint: cp_model.Constraint) -> None:
        if self.assumed:
            key = (family, subject)
            if key not in self.assume:
                self.assume[key] = self.v.model.new_bool_var(f"assume[{family},{subject}]")
            constraint.only_enforce_if(self.assume[key])

    # --- seating --------------------------------------------------------------------------------

    def add_seat(self) -> None:
        """Each paddler sits in exactly one boat of each leg: sum over b of x[p,b] = 1.

        Of those that a person may be one does, the same in all legs.
        """
        for leg in self.v.legs:
            for p in sorted(self.trip.list_persons(leg)):
                boats, alike = sorted(leg.boats), self.v.alike[p]
                self.v.model.add_exactly_one(self.v.seat[q, b] for q in alike for b in boats)
                for q in alike[1:]:
                    seats = add_up(self.v.seat[q, b] for b in boats)
                    self.v.model.add(seats == self.v.taught[q])

    def add_seats(self) -> None:
        """No more people than seats: sum over p of x[p,b] <= seats[b]."""
        for b in self.v.boats:
            crew = add_up(self.v.seat[p, b] for p in self.v.paddlers[b])
            self._rule("seats", b, self.v.model.add(crew <= self.trip.boats[b].type.seats))

    def add_steerer(self) -> None:
        """One able steerer a boat; a guest aboard may ask for one level more."""
        model = self.v.model
        for (p, b), steers in self.v.steer.items():
            model.add_implication(steers, self.v.seat[p, b])
        for b in self.v.boats:
            able = [self.v.steer[p, b] for p in self.v.paddlers[b] if (p, b) in self.v.steer]
            self._rule("steerer", b, model.add(add_up(able) == 1))
            level = asks.level_everywhere if self.v.twice else asks.boat_level
            weak = self._list_weak(b, level(self.trip, b, guests_aboard=True))
            for g in self.v.paddlers[b]:
                if weak and self.trip.paddlers[g].guest:
                    self._rule("steerer", b, model.add(add_up(weak) + self.v.seat[g, b] <= 1))

    def _list_weak(self, boat: str, level: int) -> list[cp_model.IntVar]:
        """Return the literals of those who may steer a boat and have not this level."""
        skill = self.trip.boats[boat].type.skill
        return [
            self.v.steer[p, boat]
            for p in self.v.paddlers[boat]
            if (p, boat) in self.v.steer and self.trip.paddlers[p].level(skill) < level
        ]

    def add_row_twice(self) -> None:
        """Where a boat's steerer is too weak, one who has run takes it down, with room for him."""
        for rapid in self.v.rapids if self.v.twice else ():
            if not asks.list_paths_back(rapid):
                continue
            for b in sorted(rapid.boats):
                self._replace_weak(rapid, b)
            for p in sorted(self.trip.legs[rapid.leg].paddlers):
                rows = [v for (q, _, r), v in self.v.rows.items() if (q, r) == (p, rapid.name)]
                self.v.model.add(add_up(rows) <= 1)

    def _replace_weak(self, rapid: Rapid, boat: str) -> None:
        model, kind = self.v.model, self.trip.boats[boat].type
        others = self.v.count_rowers(boat, rapid.name)
        low, high = (
            asks.level_at(self.trip, boat, rapid, guests_aboard=guests) for guests in (False, True)
        )
        model.add(add_up(self._list_weak(boat, low)) <= others)
        weak = add_up(self._list_weak(boat, high))
        for g in self.v.paddlers[boat]:
            if self.trip.paddlers[g].guest and not rapid.guests_walk:
                model.add(weak + self.v.seat[g, boat] <= 1 + others)
        crew = add_up(self.v.seat[p, boat] for p in self.v.paddlers[boat])
        model.add(crew + others <= kind.seats)
        for (p, b, r), rows in self.v.rows.items():
            if (b, r) == (boat, rapid.name):
                mass_g = asks.person_mass_g(self.trip.paddlers[p], self.trip)
                for load in self.list_loads(boat):
                    model.add(load + mass_g * rows <= kind.payload_g)
                model.add(rows + self.v.seat[p, boat] <= 1)
                self._add_run_before(p, boat, rapid, rows)

    def _add_run_before(self, paddler: str, boat: str, rapid: Rapid, rows: cp_model.IntVar) -> None:
        """Let the boat he sits in run before the one he rows besides, and wait where a path is."""
        there = add_up(self.v.seat[paddler, c] for c in rapid.boats)
        self.v.model.add(rows <= there)
        for c in sorted(rapid.boats):
            for k in range(len(rapid.boats)) if c != boat else ():
                both = rows + self.v.seat[paddler, c] + self.v.runs(rapid, boat, k)
                self.v.model.add(self.v.has_run(rapid, c, k) >= both - 2)
                for j in range(k) if asks.lies_ashore(rapid) else ():
                    stands = (self.v.stands(rapid, j, k, s) for s in asks.list_paths_back(rapid))
                    ashore = add_up(one for one in stands if one is not None)
                    self.v.model.add(ashore >= both + self.v.runs(rapid, c, j) - 3)

    def rowing(self) -> Linear:
        """Return the minutes that those who row twice walk back up."""
        return add_up(
            asks.minutes_back(self.trip, self.trip.rapids[r]) * rows
            for (_, _, r), rows in self.v.rows.items()
        )

    def hold_rowing(self, most: int | None) -> None:
        """Let people row twice for no more than so many minutes, if these are given."""
        if most is not None:
            self.v.model.add(self.rowing() <= most)

    def add_least_crew(self) -> None:
        """Give a boat its least crew: sum over p of x[p,b] >= least[b], who is hurt left out."""
        for b in self.v.boats:
            least = asks.least_crew(self.trip.boats[b].type, asks.hardest_class(self.trip, b))
            work = [p for p in self.v.paddlers[b] if not self.trip.paddlers[p].hurt]
            crew = add_up(self.v.seat[p, b] for p in work)
            self._rule("least-crew", b, self.v.model.add(crew >= least))

    def add_tied(self) -> None:
        """Seat a paddler tied to a boat in it: x[p,b] = 1."""
        for b in self.v.boats:
            for p in self.v.paddlers[b]:
                paddler = self.trip.paddlers[p]
                if paddler.boat == self.trip.boats[b].called and not paddler.taught:
                    self._rule("tied", p, self.v.model.add(self.v.sits(p, b) == 1))

    def add_together(self) -> None:
        """People kept together share a boat: x[p,b] = x[q,b]."""
        for number, b, people in self._list_companies(together=True):
            first, *others = people
            for q in others:
                same = self.v.model.add(self.v.sits(first, b) == self.v.sits(q, b))
                self._rule("together", number, same)

    def add_apart(self) -> None:
        """People kept apart sit in different boats: sum of x[p,b] over them <= 1."""
        for number, b, people in self._list_companies(together=False):
            shared = add_up(self.v.sits(p, b) for p in people)
            self._rule("apart", number, self.v.model.add(shared <= 1))

    def _list_companies(self, *, together: bool) -> Iterator[tuple[str, str, list[str]]]:
        """Yield each company by its number, for each boat, with those who are there with it."""
        for number, company in enumerate(self.trip.companies):
            for b in self.v.boats if company.together == together else ():
                people = [p for p in company.paddlers if p in self.v.paddlers[b]]
                if len(people) > 1:
                    yield str(number), b, people

    def add_payload(self) -> None:
        """People, safety kit, stores and dry load stay within the payload on each morning."""
        for b in self.v.boats:
            payload_g = self.trip.boats[b].type.payload_g
            for load in self.list_loads(b):
                self._rule("payload", b, self.v.model.add(load <= payload_g))

    def list_loads(self, boat: str) -> list[Linear]:
        """Return the load of a boat in grams, with its stores, on each morning that matters."""
        load = self.load_g(boat)
        return [load + stores for stores in weigh_stores(self.v, boat)]

    def load_g(self, boat: str) -> Linear:
        """Return the load of a boat in grams without stores: people, dealt kit, dry load."""
        people = add_up(
            asks.person_mass_g(self.trip.paddlers[p], self.trip) * self.v.seat[p, boat]
            for p in self.v.paddlers[boat]
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
        """In each leg all that is taken is packed: sum over b, w of y[i,b,w] = taken[i]."""
        for leg in self.v.legs:
            for i in sorted(leg.kit):
                packed = add_up(
                    variable
                    for (item, b, _), variable in self.v.pack.items()
                    if item == i and b in leg.boats
                )
                self.v.model.add(packed == self.v.taken[i])

    def add_take(self) -> None:
        """Take what must go: taken[i] >= take[i]."""
        for i, taken in self.v.taken.items():
            if self.trip.kit[i].take:
                self._rule("take", i, self.v.model.add(taken >= self.trip.kit[i].take))

    def add_carried(self) -> None:
        """Hold a thing where it may be carried: other places have no variable at all."""

    def taken_g(self) -> Linear:
        """Return the mass of all kit that is taken, in grams."""
        return add_up(self.trip.kit[i].item.mass_g * n for i, n in self.v.taken.items())

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
            rooms = {p: room(self.trip.paddlers[p], self.trip.catalog) for p in self.v.paddlers[b]}
            held = add_up(n * self.v.seat[p, b] for p, n in rooms.items())
            self.v.model.add(worn <= held - self.room_away(b, rooms))

    def room_away(self, boat: str, rooms: dict[str, int]) -> Linear:
        """Return the room of those of a boat who row twice in its leg: nothing is dealt to them."""
        bares = ((room, self.v.bare(p, boat)) for p, room in rooms.items() if room)
        return add_up(room * bare for room, bare in bares if bare is not None)

    # --- stores ---------------------------------------------------------------------------------

    def add_stowed(self) -> None:
        """All of each lot is stowed in each leg: sum over b of z[l,b] = count[l]."""
        for leg in self.v.legs if self.v.stow else ():
            for name, lot in self.v.lots.items():
                if lot.first_day <= leg.last_day and lot.last_day >= leg.first_day:
                    where = (self.v.stow.get((name, b)) for b in leg.boats)
                    stowed = add_up(one for one in where if one is not None)
                    self._rule("stowed", "", self.v.model.add(stowed == lot.count))

    def add_hold(self) -> None:
        """Find room for stores, and what else is stowed, in a boat that says how much it has."""
        for b in self.v.boats if self.v.stow else ():
            hold_ml = self.trip.boats[b].type.hold_ml
            for room in measure_room(self.v, b) if hold_ml is not None else ():
                self._rule("hold", b, self.v.model.add(room <= hold_ml))

    # --- running order --------------------------------------------------------------------------

    def add_order(self) -> None:
        """One boat runs at a time, each once; where an order is given, it is kept."""
        given = self.trip.order.boats
        for leg in self.v.legs:
            places = range(len(leg.boats))
            for k in places:
                self.v.model.add_exactly_one(self.v.place[b, k] for b in sorted(leg.boats))
            for b in sorted(leg.boats):
                self.v.model.add_exactly_one(self.v.place[b, k] for k in places)
            if given:
                ranked = sorted(leg.boats, key=lambda b: given.index(self.trip.boats[b].called))
                for k, b in enumerate(ranked):
                    self.v.model.add(self.v.place[b, k] == 1)
        self._add_pairs()
        self._add_ranks()

    def _add_pairs(self) -> None:
        """Of two boats the one ahead has run before the other one runs: no a[b,c] else."""
        for (b, c), ahead in self.v.ahead.items():
            for first, second, literal in ((b, c, ahead), (c, b, ~ahead)):
                for k in range(len(self.trip.legs[self.trip.boats[b].leg].boats)):
                    has_run = add_up(self.v.place[first, j] for j in range(k))
                    runs = self.v.place[second, k]
                    self.v.model.add(has_run >= runs).only_enforce_if(literal)

    def _add_ranks(self) -> None:
        """Rank the boats of a group: sum over k of k rank[b,k] = sum over c of a[c,b]."""
        for boats in self.v.list_groups():
            for n, b in enumerate(boats):
                ranks = [self.v.rank[boats, b, k] for k in range(len(boats))]
                self.v.model.add_exactly_one(ranks)
                self.v.model.add_exactly_one(self.v.rank[boats, c, n] for c in boats)
                earlier = add_up(self.v.comes_first(c, b) for c in boats if c != b)
                self.v.model.add(add_up(k * one for k, one in enumerate(ranks)) == earlier)

    def add_lead(self) -> None:
        """Ask the first boat's steerer for his level: o[b,0] <= sum over able p of st[p,b]."""
        level = self.trip.order.lead
        for b in self.v.boats if level else ():
            skill = self.trip.boats[b].type.skill
            able = [
                self.v.steer[p, b]
                for p in self.v.paddlers[b]
                if (p, b) in self.v.steer and self.trip.paddlers[p].level(skill) >= level
            ]
            self._rule("lead", "", self.v.model.add(add_up(able) >= self.v.place[b, 0]))

    def add_sweep(self) -> None:
        """Put things of the kinds asked into the last boat: o[b,last] <= things of the kind."""
        for leg in self.v.legs:
            for kind in self.trip.order.sweep:
                items = self.trip.catalog.items.items()
                bare = [name for name, item in items if kind in item.kinds]
                names = frozenset([*bare, *(IN_BUNDLE + name for name in bare)])
                for b in sorted(leg.boats):
                    last = self.v.place[b, len(leg.boats) - 1]
                    there = self.v.count_things(names, b, stowed=True)
                    self._rule("sweep", kind, self.v.model.add(there >= last))

    # --- stations -------------------------------------------------------------------------------

    def add_station(self) -> None:
        """Whoever runs, each other boat waits at one station, of those before or after its run."""
        if self.trip.stations != HELD:
            self._add_stations()

    def add_held(self) -> None:
        """Hold a boat at one station before its run and one after: the same whoever runs."""
        if self.trip.stations == HELD:
            self._add_stations()

    def _add_stations(self) -> None:
        for rapid in self.v.rapids:
            for j, moment, when in self.v.list_moments(len(rapid.boats)):
                stations = [s for s in list_stations(rapid) if s[0] == when]
                self.v.model.add_exactly_one(
                    self.v.station[rapid.name, j, moment, s] for s in stations
                )

    def add_landing(self) -> None:
        """Whichever boat runs, those before their run fit each landing above, the others below."""
        for rapid in self.v.rapids:
            for side in ("left", "right"):
                bank = rapid.bank(side)
                self._add_room(rapid, (BEFORE, side), TENTHS * bank.landing_above)
                self._add_room(rapid, (AFTER, side), TENTHS * bank.landing)

    def add_eddies(self) -> None:
        """Whichever boat runs, the others afloat fit the eddies."""
        for rapid in self.v.rapids:
            self._add_room(rapid, (AFTER, "afloat"), TENTHS * rapid.eddies)

    def _add_room(self, rapid: Rapid, station: Station, room: int) -> None:
        """While a boat of the rapid runs, the others at a station take no more than its room.

        Where stations are held, most wait above while the first one runs, and below with the last.
        """
        if sum(self.trip.boats[b].type.room for b in rapid.boats) <= room:
            return
        by_moment: dict[int | None, list[Linear]] = {}
        for j, moment, when in self.v.list_moments(len(rapid.boats)):
            key = (rapid.name, j, moment, station)
            if when == station[0] and key in self.v.station:
                takes = self._take_room(rapid, j, self.v.station[key])
                by_moment.setdefault(moment, []).append(takes)
        for taken in by_moment.values():
            self.v.model.add(add_up(taken) <= room)

    def _take_room(self, rapid: Rapid, j: int, stands: cp_model.IntVar) -> Linear:
        """Return what is no less than the room that the j-th boat takes where it stands, if so."""
        rooms = {b: self.trip.boats[b].type.room for b in self.v.list_running(rapid, j)}
        most = max(rooms.values())
        if len(set(rooms.values())) == 1:
            return most * stands
        takes = self.v.model.new_int_var(0, most, "")
        size = add_up(room * self.v.runs(rapid, b, j) for b, room in rooms.items())
        self.v.model.add(takes >= size + most * stands - most)
        return takes


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
    "stowed": Rules.add_stowed,
    "hold": Rules.add_hold,
    "order": Rules.add_order,
    "lead": Rules.add_lead,
    "sweep": Rules.add_sweep,
    "row-twice": Rules.add_row_twice,
    "station": Rules.add_station,
    "held": Rules.add_held,
    "landing": Rules.add_landing,
    "eddies": Rules.add_eddies,
}
