"""What trips pack as they were planned last, and the cheapest lists that all of it keeps to.

With every plan held, what is left to decide is what of it is on a list and what an extra, and where
something else stands in for a copy that serves wherever it does: a small model, which always has an
answer, as without lists everything is an extra. No answer is a bound.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.build.stores import measure_room
from kitplan.build.variables import add_up
from kitplan.fleet.model import QUICK, STOWED, WORN, FleetModel
from kitplan.fleet.nouns import list_guides
from kitplan.needs import person_mass_g, vest_room, waist_room
from kitplan.solve.read import list_wearers, read_twice
from kitplan.solve.run import run

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from ortools.sat.python import cp_model

    from kitplan.fleet.model import Part
    from kitplan.fleet.nouns import Fleet, Line, Lists
    from kitplan.solve.run import Answer, Budget

MASS, HOLD, BULKY, SMALL, VEST, WAIST = "mass", "hold", "bulky", "small", "vest", "waist"


@dataclass(frozen=True, slots=True)
class Aboard:
    """What is dealt to a boat, and what room it leaves.

    `packed`: copies by item and way, 0 where it might be. `guides`: the levels of those who sit
    there. `left`: grams, millilitres of the hold if it is measured, quick places, and places worn.
    `idle`: the levels of guides who row twice: their sets stay at home, on them, and are carried.
    """

    kind: str
    leg: int
    guides: tuple[int, ...]
    packed: dict[tuple[str, str], int]
    left: dict[str, int]
    idle: tuple[int, ...] = ()

    def count_lying(self, item: str) -> int:
        """Return how many copies lie in the boat."""
        return sum(self.packed.get((item, way), 0) for way in (QUICK, STOWED))


def read_aboard(part: Part, answer: Answer) -> tuple[Aboard, ...]:
    """Return what an answer packs in each boat of a trip."""
    return tuple(_read_boat(part, boat, answer) for boat in part.v.boats)


def _read_boat(part: Part, boat: str, answer: Answer) -> Aboard:
    trip, v = part.outing.stocked, part.v
    kind = trip.boats[boat].type
    packed = {(i, w): answer.read(one) for (i, b, w), one in v.pack.items() if b == boat}
    crew = [p for p in v.paddlers[boat] if answer.read(v.seat[p, boat])]
    twice = read_twice(v, answer.read)
    wearers = list_wearers(trip, twice, crew, boat)
    rowers = [person_mass_g(trip.paddlers[p], trip) for (_, b), p in twice.items() if b == boat]
    load_g = max(map(answer.evaluate, part.tm.rules.list_loads(boat)))
    room = {
        MASS: kind.payload_g - load_g - max(rowers, default=0),
        BULKY: kind.quick_bulky,
        SMALL: kind.quick_small,
        VEST: sum(vest_room(trip.paddlers[p], trip.catalog) for p in wearers),
        WAIST: sum(waist_room(trip.paddlers[p], trip.catalog) for p in wearers),
    }
    if kind.hold_ml is not None:
        room[HOLD] = kind.hold_ml - max(map(answer.evaluate, measure_room(v, boat)))
    places = set(room) - {MASS, HOLD}  # the loads and what is stowed are counted already
    for (item, way), count in packed.items():
        for what, each in _measure(part.fleet.fleet, item, way).items():
            if what in places:
                room[what] -= each * count
    guides = [(p, trip.paddlers[p].level("leading")) for p in list_guides(trip) if p in crew]
    levels = sorted(level for p, level in guides if p in wearers)
    idle = sorted(level for p, level in guides if p not in wearers)
    return Aboard(kind.name, trip.boats[boat].leg, tuple(levels), packed, room, tuple(idle))


def _measure(fleet: Fleet, item: str, way: str) -> dict[str, int]:
    """Return what room one copy takes that is dealt in this way, or stays at home."""
    one = fleet.wares[item].item
    takes = {MASS: one.mass_g}
    if way == QUICK:
        takes[BULKY if one.bulky else SMALL] = 1
    elif way == STOWED:
        takes[HOLD] = one.volume_ml
    else:
        takes[one.worn_on or ""] = 1
    return takes


def share(fleet: Fleet, trips: Mapping[str, Iterable[Aboard]], budget: Budget) -> Lists | None:
    """Return the cheapest lists found that each trip keeps to as it is; None: no time."""
    fm = FleetModel(fleet)
    add_held(fm, trips)
    answer = run(fm.model, fm.price().total, budget)
    return fm.read(answer) if answer.found else None


def add_held(fm: FleetModel, trips: Mapping[str, Iterable[Aboard]]) -> None:
    """Add trips to a model of lists, all that they pack held, with room for all of the lists."""
    for name, boats in sorted(trips.items()):
        _Shared(fm, name).add(tuple(boats))


def touches(line: Line, boats: Iterable[Aboard]) -> bool:
    """Say whether a trip as it is may need all copies of a line."""
    if line.what != "boat":
        return True
    kind, item = line.key
    return any(one.kind == kind and one.count_lying(str(item)) >= line.count for one in boats)


class _Shared:
    """One trip in a model of lists, all that it packs held."""

    def __init__(self, fm: FleetModel, name: str) -> None:
        self.fm, self.name = fm, name
        self._brought: dict[tuple[int, str], list[cp_model.IntVar]] = {}

    def add(self, boats: tuple[Aboard, ...]) -> None:
        """Add all that is aboard; in no leg are more extras about than are brought."""
        for one in boats:
            self._add_boat(one)
        for (_, item), here in sorted(self._brought.items()):
            key = (self.name, item)
            if key not in self.fm.extra:
                most = self.fm.fleet.outings[self.name].stocked.kit[item].count
                self.fm.extra[key] = self.fm.model.new_int_var(0, most, "")
            self.fm.model.add(add_up(here) <= self.fm.extra[key])

    def _add_boat(self, one: Aboard) -> None:
        """Add a boat: what lies and is worn there, and that what stays at home has room besides."""
        fm = self.fm
        taken: dict[str, list[cp_model.LinearExprT]] = {what: [] for what in one.left}
        packed = self._swap(one, taken)
        for item in sorted({item for item, _ in one.packed}):
            ways = [way for i, way in one.packed if i == item]
            lying = [way for way in ways if way != WORN]
            issued = fm.issue.get((one.kind, item))
            own = [fm.worn[g, item] for g in one.guides if (g, item) in fm.worn]
            if lying:
                lies = {way: packed[item, way] for way in lying}
                self._add_item(one, item, lies, [] if issued is None else [issued], taken)
            if WORN in ways:
                self._add_item(one, item, {WORN: packed[item, WORN]}, own, taken)
                idle = [fm.worn[g, item] for g in one.idle if (g, item) in fm.worn]
                taken[MASS] += [fm.fleet.wares[item].item.mass_g * issued for issued in idle]
        for what, terms in taken.items():
            fm.model.add(add_up(terms) <= one.left[what])

    def _swap(
        self, one: Aboard, taken: dict[str, list[cp_model.LinearExprT]]
    ) -> dict[tuple[str, str], list[cp_model.LinearExprT]]:
        """Return what is packed, by item and way, where others may stand in for each copy."""
        fleet, new = self.fm.fleet, self.fm.model.new_int_var
        packed: dict[tuple[str, str], list[cp_model.LinearExprT]]
        packed = {key: [count] if count else [] for key, count in one.packed.items()}
        for (item, way), count in one.packed.items():
            others = [i for i in fleet.wares[item].stand_ins if count and (i, way) in packed]
            swapped = {other: new(0, count, "") for other in others}
            if swapped:
                self.fm.model.add(add_up(swapped.values()) <= count)
            for other, here in swapped.items():
                packed[item, way].append(-here)
                packed[other, way].append(here)
                for which, sign in ((other, 1), (item, -1)):
                    for what, each in _measure(fleet, which, way).items():
                        if what in taken:
                            taken[what].append(sign * each * here)
        return packed

    def _add_item(
        self,
        one: Aboard,
        item: str,
        packed: dict[str, list[cp_model.LinearExprT]],
        own: list[cp_model.IntVar],
        taken: dict[str, list[cp_model.LinearExprT]],
    ) -> None:
        """Add an item: what is packed, by way, or stays at home, is the boat's `own` or brought."""
        fleet, new = self.fm.fleet, self.fm.model.new_int_var
        has: list[cp_model.LinearExprT] = list(own)
        here = [term for terms in packed.values() for term in terms]
        if here:
            brought = new(0, fleet.outings[self.name].stocked.kit[item].count, "")
            self._brought.setdefault((one.leg, item), []).append(brought)
            has.append(brought)
        for way in packed if own else ():
            stays = new(0, len(own) * fleet.wares[item].most, "")
            here.append(stays)
            for what, each in _measure(fleet, item, way).items():
                if what in taken:
                    taken[what].append(each * stays)
        if has:
            self.fm.model.add(add_up(here) == add_up(has))
