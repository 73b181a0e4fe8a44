"""Who sits where, what lies where, who stands where: the rules of a trip as plain rows.

Written from the rules in words, not from the builder. Kit that is dealt out to be worn is dealt to
a named wearer here, one column for each; a boat's place at a rapid times its people and things is
written out, a column for each.
"""

from __future__ import annotations

from itertools import combinations, permutations
from typing import TYPE_CHECKING

from kitplan import needs as asks
from tests.twin.milp import Program, Sum, add, less, number, times

if TYPE_CHECKING:
    from kitplan.trip import Item, Rapid, Trip


class Party:
    """Columns and rows for seats, packing and stations of a trip.

    `sits[p, b]`, `lies[i, b, "quick" or "stowed"]`, `wears[i, p, b]` (dealt out), `sooner[b, v]`
    (b runs before v), `stands[r, v, b, station]` (where b is while v runs), `taken[i]`.
    """

    def __init__(self, trip: Trip, *, stations: bool = True) -> None:
        """Write all rules; without `stations`, which never clash, those of seats and packing."""
        self.trip, self.program = trip, Program()
        new = self.program.new
        self.people = {b: trip.legs[boat.leg].paddlers for b, boat in trip.boats.items()}
        self.kits = {b: trip.legs[boat.leg].kit for b, boat in trip.boats.items()}
        self.sits = {(p, b): new() for b in trip.boats for p in self.people[b]}
        self.taken = {i: new(kit.count) for i, kit in trip.kit.items()}
        self.lies = {
            (i, b, place): new(kit.count)
            for i, kit in trip.kit.items()
            for b in trip.boats
            if i in self.kits[b]
            for place in ("quick", "stowed")
            if place in kit.item.carried and asks.fits_boat(kit.item, trip.boats[b].type, place)
        }
        self.wears = {
            (i, p, b): new(kit.count)
            for i, kit in trip.kit.items()
            if "worn" in kit.item.carried and kit.item.worn_on in {"vest", "waist"}
            for b in trip.boats
            if i in self.kits[b]
            for p in self.people[b]
        }
        self.sooner = {(b, v): new() for leg in trip.legs for b, v in permutations(leg.boats, 2)}
        self.stands: dict[tuple[str, str, str, str], Sum] = {}
        self._order()
        self._seat()
        self._steer()
        self._keep_company()
        self._pack()
        self._wear()
        self._load()
        self._meet_terms()
        if stations:
            self._stand()

    def crew(self, boat: str) -> Sum:
        """Return how many sit in a boat."""
        return add(self.sits[p, boat] for p in self.people[boat])

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
        return add(times(kit.item.mass_g, self.taken[i]) for i, kit in self.trip.kit.items())

    # --- rules ----------------------------------------------------------------------------------

    def _seat(self) -> None:
        for leg in self.trip.legs:
            for p in leg.paddlers:
                self.program.equal(add(self.sits[p, b] for b in leg.boats), number(1))
                for b in leg.boats:
                    if self.trip.paddlers[p].boat == self.trip.boats[b].called:
                        self.program.equal(self.sits[p, b], number(1))
        for b, boat in self.trip.boats.items():
            self.program.at_most(self.crew(b), number(boat.type.seats))
            least = asks.least_crew(boat.type, asks.hardest_class(self.trip, b))
            self.program.at_most(number(least), self.crew(b))

    def _order(self) -> None:
        """Of two boats one runs before the other, and not in a circle of three."""
        for leg in self.trip.legs:
            for b, v in combinations(leg.boats, 2):
                self.program.equal(add([self.sooner[b, v], self.sooner[v, b]]), number(1))
            for a, b, c in permutations(leg.boats, 3):
                both = add([self.sooner[a, b], self.sooner[b, c]])
                self.program.at_most(both, add([number(1), self.sooner[a, c]]))
            given = [b for called in self.trip.order.boats for b in leg.boats
                     if self.trip.boats[b].called == called]  # fmt: skip
            for b, v in combinations(given, 2):
                self.program.equal(self.sooner[b, v], number(1))

    def _meet_terms(self) -> None:
        """Ask for a steerer of the level asked in the first boat, for things in the last."""
        for leg in self.trip.legs:
            for b in leg.boats:
                others = [v for v in leg.boats if v != b]
                first, last = self.program.new(), self.program.new()
                beyond = number(len(others) - 1)
                self.program.at_most(less(add(self.sooner[b, v] for v in others), beyond), first)
                self.program.at_most(less(add(self.sooner[v, b] for v in others), beyond), last)
                self._steer_well(b, first)
                for kind in self.trip.order.sweep:
                    self.program.at_most(last, self._count_kind(kind, b))

    def _steer_well(self, boat: str, first: Sum) -> None:
        kind, lead = self.trip.boats[boat].type, self.trip.order.lead
        party = {p: self.trip.paddlers[p] for p in self.people[boat]}
        aboard = [number(1), *(self.sits[g, boat] for g, one in party.items() if one.guest)]
        for there in aboard if lead else ():
            guests = there != number(1)
            level = max(lead, asks.boat_level(self.trip, boat, guests_aboard=guests))
            good = [p for p, q in party.items() if q.level(kind.skill) >= level and not q.guest]
            both = less(add([first, there]), number(1))
            self.program.at_most(both, add(self.sits[p, boat] for p in good))

    def _count_kind(self, kind: str, boat: str) -> Sum:
        items = self.trip.catalog.items
        parts = [self.all_dealt(i, boat) for i in self.kits[boat] if kind in items[i].kinds]
        for p in self.people[boat]:
            own = self.trip.paddlers[p].wears
            parts += [
                times(n, self.sits[p, boat]) for i, n in own.items() if kind in items[i].kinds
            ]
        paddle = self.trip.boats[boat].type.crew_paddle
        if paddle is not None and kind in items[paddle].kinds:
            parts.append(less(self.crew(boat), number(1)))
        return add(parts)

    def _steer(self) -> None:
        """Ask for somebody who may steer each boat, also with any one of the guests aboard."""
        for b, boat in self.trip.boats.items():
            party = {p: self.trip.paddlers[p] for p in self.people[b]}
            guests = [p for p, paddler in party.items() if paddler.guest]
            for aboard, if_there in [
                (False, number(1)),
                *((True, self.sits[g, b]) for g in guests),
            ]:
                level = asks.boat_level(self.trip, b, guests_aboard=aboard)
                good = [
                    p for p, q in party.items() if q.level(boat.type.skill) >= level and not q.guest
                ]
                self.program.at_most(if_there, add(self.sits[p, b] for p in good))

    def _keep_company(self) -> None:
        for company in self.trip.companies:
            for one, other in combinations(company.paddlers, 2):
                for b in self.trip.boats:
                    if not {one, other} <= set(self.people[b]):
                        continue
                    if company.together:
                        self.program.equal(self.sits[one, b], self.sits[other, b])
                    else:
                        both = add([self.sits[one, b], self.sits[other, b]])
                        self.program.at_most(both, number(1))

    def _pack(self) -> None:
        for i, kit in self.trip.kit.items():
            for leg in self.trip.legs:
                if i in leg.kit:
                    dealt = add(self.all_dealt(i, b) for b in leg.boats)
                    self.program.equal(dealt, self.taken[i])
            self.program.at_most(number(kit.take), self.taken[i])
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
        dealt: dict[tuple[str, str, str | None], list[Sum]] = {}
        for (i, p, b), column in self.wears.items():
            dealt.setdefault((p, b, self.trip.kit[i].item.worn_on), []).append(column)
        for (p, b), sits in self.sits.items():
            for on, room_of in rooms.items():
                room = room_of(self.trip.paddlers[p], self.trip.catalog)
                worn = add(dealt.get((p, b, on), ()))
                self.program.at_most(worn, times(room, sits))

    def _load(self) -> None:
        for b, boat in self.trip.boats.items():
            people = add(
                times(asks.person_mass_g(self.trip.paddlers[p], self.trip), self.sits[p, b])
                for p in self.people[b]
            )
            kit = add(times(k.item.mass_g, self.all_dealt(i, b)) for i, k in self.trip.kit.items())
            free = number(boat.type.payload_g - boat.dry_load_g)
            self.program.at_most(add([people, kit]), free)

    def _stand(self) -> None:
        """Let each boat wait at one station before it runs and at one after, with room for all."""
        for rapid in self.trip.rapids.values():
            before, after = asks.stations_before(rapid), asks.stations_after(rapid)
            held: dict[tuple[str, bool, str], Sum] = {}
            for b in rapid.boats:
                for to_run, stations in ((True, before), (False, after)):
                    held |= {(b, to_run, s): self.program.new() for s in stations}
                    every = add(held[b, to_run, s] for s in stations)
                    self.program.equal(every, number(1))
            for v in rapid.boats:
                waits = self._wait(rapid, v, held)
                for side in ("left", "right"):
                    bank = rapid.bank(side)
                    self._fit(waits, (True, side), 10 * bank.landing_above)
                    self._fit(waits, (False, side), 10 * bank.landing)
                self._fit(waits, (False, "afloat"), 10 * rapid.eddies)

    def _wait(
        self, rapid: Rapid, runs: str, held: dict[tuple[str, bool, str], Sum]
    ) -> dict[tuple[str, bool, str], Sum]:
        """Return 1 for where each other boat is, to run or having run, while one boat runs."""
        waits: dict[tuple[str, bool, str], Sum] = {}
        for b in rapid.boats:
            if b == runs:
                continue
            for to_run in (True, False):
                there = {}
                for (boat, when, s), stays in held.items():
                    if (boat, when) == (b, to_run):
                        there[s] = waits[b, to_run, s] = self.program.new()
                        if self.trip.stations == "held":
                            self.program.at_most(there[s], stays)
                whether = self.sooner[runs, b] if to_run else self.sooner[b, runs]
                self.program.equal(add(there.values()), whether)
        for (b, _, s), column in waits.items():
            key = (rapid.name, runs, b, s)
            self.stands[key] = add([self.stands.get(key, {}), column])
        return waits

    def _fit(
        self, waits: dict[tuple[str, bool, str], Sum], station: tuple[bool, str], room: int
    ) -> None:
        others = add(
            times(self.trip.boats[b].type.room, column)
            for (b, *at), column in waits.items()
            if tuple(at) == station
        )
        self.program.at_most(others, number(room))


class Scene:
    """Where people and things are while one boat runs and the others are at their stations.

    Each answer is a sum over columns `there`, one for each boat and station, that add up to what
    the boat has and are zero away from its station.
    """

    def __init__(self, party: Party, rapid: str, runs: str) -> None:
        self.party, self.rapid, self.runs = party, rapid, runs
        place = party.trip.rapids[rapid]
        self.stations = tuple(
            dict.fromkeys((*asks.stations_before(place), *asks.stations_after(place)))
        )
        self.there = [
            p
            for p in party.people[runs]
            if not (place.guests_walk and party.trip.paddlers[p].guest)
        ]
        self._split: dict[tuple[str, str, str], dict[str, Sum]] = {}

    def stands(self, boat: str, station: str) -> Sum:
        """Return 1 where a boat is at a station, else 0."""
        return self.party.stands.get((self.rapid, self.runs, boat, station), {})

    def person_at(self, paddler: str, boat: str, station: str) -> Sum:
        """Return 1 where the paddler sits in the boat and it stands at the station, else 0."""
        whole = self.party.sits[paddler, boat]
        return self._at(("person", paddler, boat), whole, 1, station)

    def things_at(self, item: str, boat: str, station: str) -> Sum:
        """Return how many copies of an item are in reach in a boat that stands there.

        Dealt out quick or worn, and what its crew wears of its own.
        """
        parts = []
        if item in self.party.kits[boat]:
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
        everybody = add(self.person_at(p, boat, station) for p in self.party.people[boat])
        return less(everybody, self.stands(boat, station))

    def _at(self, key: tuple[str, str, str], whole: Sum, most: int, station: str) -> Sum:
        if station not in self.stations:
            return {}
        if key not in self._split:
            program, boat = self.party.program, key[2]
            there = {s: program.new(most) for s in self.stations}
            program.equal(add(there.values()), whole)
            for s, column in there.items():
                program.at_most(column, times(most, self.stands(boat, s)))
            self._split[key] = there
        return self._split[key][station]


def list_items(trip: Trip) -> dict[str, Item]:
    """Return every item that anybody has: the party's kit and what its people wear."""
    names = {*trip.kit, *(i for paddler in trip.paddlers.values() for i in paddler.wears)}
    return {name: trip.catalog.items[name] for name in sorted(names)}
