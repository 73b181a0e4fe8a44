"""Who sits where, what lies where, who stands where: the rules of a trip as plain rows.

Written from the rules in words, not from the builder. Kit that is dealt out to be worn is dealt to
a named wearer here, one column for each; a boat's place at a rapid times its people and things is
written out, a column for each.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from kitplan import needs as asks
from tests.twin.milp import Program, Sum, add, less, number, times

if TYPE_CHECKING:
    from kitplan.trip import Item, Rapid, Trip


class Party:
    """Columns and rows for seats, packing and stations of a trip.

    `sits[p, b]`, `lies[i, b, "quick" or "stowed"]`, `wears[i, p, b]` (dealt out),
    `stands[r, b, station]`.
    """

    def __init__(self, trip: Trip) -> None:
        self.trip, self.program = trip, Program()
        new = self.program.new
        self.sits = {(p, b): new() for p in trip.paddlers for b in trip.boats}
        self.lies = {
            (i, b, place): new(kit.count)
            for i, kit in trip.kit.items()
            for b in trip.boats
            for place in ("quick", "stowed")
            if place in kit.item.carried and asks.fits_boat(kit.item, trip.boats[b].type, place)
        }
        self.wears = {
            (i, p, b): new(kit.count)
            for i, kit in trip.kit.items()
            if "worn" in kit.item.carried and kit.item.worn_on in {"vest", "waist"}
            for p in trip.paddlers
            for b in trip.boats
        }
        self.stands = {
            (r.name, b, station): new()
            for r in trip.rapids.values()
            for b in trip.boats
            for station in asks.allowed_stations(r)
        }
        self._seat()
        self._steer()
        self._keep_company()
        self._pack()
        self._wear()
        self._load()
        self._stand()

    def crew(self, boat: str) -> Sum:
        """Return how many sit in a boat."""
        return add(self.sits[p, boat] for p in self.trip.paddlers)

    def dealt(self, item: str, boat: str, places: tuple[str, ...]) -> Sum:
        """Return how many copies of an item the plan puts in a boat, in some of the places."""
        lying = [
            column for (i, b, at), column in self.lies.items()
            if (i, b) == (item, boat) and at in places
        ]  # fmt: skip
        worn = [
            column for (i, _, b), column in self.wears.items()
            if (i, b) == (item, boat) and "worn" in places
        ]  # fmt: skip
        return add([*lying, *worn])

    def all_dealt(self, item: str, boat: str) -> Sum:
        """Return how many copies of an item the plan puts in a boat."""
        return self.dealt(item, boat, ("worn", "quick", "stowed"))

    def mass_g(self) -> Sum:
        """Return the mass of all kit that is taken."""
        return add(
            times(kit.item.mass_g, self.all_dealt(i, b))
            for i, kit in self.trip.kit.items()
            for b in self.trip.boats
        )

    # --- rules ----------------------------------------------------------------------------------

    def _seat(self) -> None:
        for p, paddler in self.trip.paddlers.items():
            self.program.equal(add(self.sits[p, b] for b in self.trip.boats), number(1))
            if paddler.boat is not None:
                self.program.equal(self.sits[p, paddler.boat], number(1))
        for b, boat in self.trip.boats.items():
            self.program.at_most(self.crew(b), number(boat.type.seats))
            least = asks.least_crew(boat.type, asks.hardest_class(self.trip, b))
            self.program.at_most(number(least), self.crew(b))

    def _steer(self) -> None:
        """Ask for somebody who may steer each boat, also with any one of the guests aboard."""
        guests = [p for p, paddler in self.trip.paddlers.items() if paddler.guest]
        for b, boat in self.trip.boats.items():
            for aboard, if_there in [
                (False, number(1)),
                *((True, self.sits[g, b]) for g in guests),
            ]:
                level = asks.boat_level(self.trip, b, guests_aboard=aboard)
                good = [
                    p
                    for p, q in self.trip.paddlers.items()
                    if q.level(boat.type.skill) >= level and not q.guest
                ]
                self.program.at_most(if_there, add(self.sits[p, b] for p in good))

    def _keep_company(self) -> None:
        for company in self.trip.companies:
            for one, other in combinations(company.paddlers, 2):
                for b in self.trip.boats:
                    if company.together:
                        self.program.equal(self.sits[one, b], self.sits[other, b])
                    else:
                        both = add([self.sits[one, b], self.sits[other, b]])
                        self.program.at_most(both, number(1))

    def _pack(self) -> None:
        for i, kit in self.trip.kit.items():
            taken = add(self.all_dealt(i, b) for b in self.trip.boats)
            self.program.at_most(taken, number(kit.count))
            self.program.at_most(number(kit.take), taken)
        for b, boat in self.trip.boats.items():
            for bulky, room in ((True, boat.type.quick_bulky), (False, boat.type.quick_small)):
                quick = add(
                    self.dealt(i, b, ("quick",))
                    for i, kit in self.trip.kit.items()
                    if kit.item.bulky == bulky
                )
                self.program.at_most(quick, number(room))

    def _wear(self) -> None:
        rooms = {"vest": asks.vest_room, "waist": asks.waist_room}
        for (p, b), sits in self.sits.items():
            for on, room_of in rooms.items():
                worn = add(
                    column for (i, wearer, at), column in self.wears.items()
                    if (wearer, at) == (p, b) and self.trip.kit[i].item.worn_on == on
                )  # fmt: skip
                room = room_of(self.trip.paddlers[p], self.trip.catalog)
                self.program.at_most(worn, times(room, sits))

    def _load(self) -> None:
        for b, boat in self.trip.boats.items():
            people = add(
                times(asks.person_mass_g(paddler, self.trip), self.sits[p, b])
                for p, paddler in self.trip.paddlers.items()
            )
            kit = add(times(k.item.mass_g, self.all_dealt(i, b)) for i, k in self.trip.kit.items())
            free = number(boat.type.payload_g - boat.dry_load_g)
            self.program.at_most(add([people, kit]), free)

    def _stand(self) -> None:
        for rapid in self.trip.rapids.values():
            stations = asks.allowed_stations(rapid)
            rooms = {
                "left": rapid.left.landing,
                "right": rapid.right.landing,
                "afloat": rapid.eddies,
            }
            for b in rapid.boats:
                every = add(self.stands[rapid.name, b, station] for station in stations)
                self.program.equal(every, number(1))
            for runs in rapid.boats:
                for station in stations:
                    if station != "above":
                        self._fit(rapid, station, 10 * rooms[station], runs)

    def _fit(self, rapid: Rapid, station: str, room: int, runs: str) -> None:
        others = add(
            times(self.trip.boats[b].type.room, self.stands[rapid.name, b, station])
            for b in rapid.boats
            if b != runs
        )
        self.program.at_most(others, number(room))


class Scene:
    """Where people and things are while the boats stand at their stations at one rapid.

    Each answer is a sum over columns `there`, one for each boat and station, that add up to what
    the boat has and are zero away from its station.
    """

    def __init__(self, party: Party, rapid: str) -> None:
        self.party, self.rapid = party, rapid
        self.stations = asks.allowed_stations(party.trip.rapids[rapid])
        walk = party.trip.rapids[rapid].guests_walk
        self.there = [p for p, q in party.trip.paddlers.items() if not (walk and q.guest)]
        self._split: dict[tuple[str, str, str], dict[str, Sum]] = {}

    def person_at(self, paddler: str, boat: str, station: str) -> Sum:
        """Return 1 where the paddler sits in the boat and it stands at the station, else 0."""
        whole = self.party.sits[paddler, boat]
        return self._at(("person", paddler, boat), whole, 1, station)

    def things_at(self, item: str, boat: str, station: str) -> Sum:
        """Return how many copies of an item are in reach in a boat that stands there.

        Dealt out quick or worn, and what its crew wears of its own.
        """
        parts = []
        if item in self.party.trip.kit:
            whole = self.party.dealt(item, boat, ("worn", "quick"))
            count = self.party.trip.kit[item].count
            parts.append(self._at(("thing", item, boat), whole, count, station))
        for p in self.there:
            paddler = self.party.trip.paddlers[p]
            if item in paddler.wears:
                parts.append(times(paddler.wears[item], self.person_at(p, boat, station)))
        return add(parts)

    def crew_at(self, boat: str, station: str) -> Sum:
        """Return how many people the boat brings to a station; who walks round is not there."""
        return add(self.person_at(p, boat, station) for p in self.there)

    def paddles_at(self, boat: str, station: str) -> Sum:
        """Return how many crew paddles a boat that has them brings to a station."""
        if station not in self.stations:
            return {}
        everybody = add(self.person_at(p, boat, station) for p in self.party.trip.paddlers)
        return less(everybody, self.party.stands[self.rapid, boat, station])

    def _at(self, key: tuple[str, str, str], whole: Sum, most: int, station: str) -> Sum:
        if station not in self.stations:
            return {}
        if key not in self._split:
            program, boat = self.party.program, key[2]
            there = {s: program.new(most) for s in self.stations}
            program.equal(add(there.values()), whole)
            for s, column in there.items():
                program.at_most(column, times(most, self.party.stands[self.rapid, boat, s]))
            self._split[key] = there
        return self._split[key][station]


def list_items(trip: Trip) -> dict[str, Item]:
    """Return every item that anybody has: the party's kit and what its people wear."""
    names = {*trip.kit, *(i for paddler in trip.paddlers.values() for i in paddler.wears)}
    return {name: trip.catalog.items[name] for name in sorted(names)}
