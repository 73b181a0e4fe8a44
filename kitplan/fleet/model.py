"""The model of a fleet: lists that all trips share, and the trips that are in it, some rapids each.

`issue[type, item]` is what each boat of a type is issued, `worn[level, item]` what each guide of a
level is, `extra[trip, item]` what one trip brings besides. Of what is issued a trip packs as much
as it likes; the rest stays at home, and its place in the boat is kept free.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from math import gcd
from typing import TYPE_CHECKING, Any

from kitplan import needs as asks
from kitplan.build import Anywhere, TermsBook, TripModel, Variables
from kitplan.build.stores import measure_room
from kitplan.build.variables import add_up, may_lie
from kitplan.fleet.nouns import PER_CENT, Lists, list_guides
from kitplan.solve.run import Answer, new_model

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.fleet.nouns import Fleet, Goal, Line, Outing

WORN, QUICK, STOWED = "worn", "quick", "stowed"
PEOPLE = ("seat", "steer", "place", "ahead", "rank", "station", "rows")
EXACT = 2**52  # whole numbers below are told apart by the solver's bounds


@dataclass(frozen=True, slots=True)
class Aim:
    """What is made least: `whole` times the cost in its `unit`, and what tells equal ones apart."""

    total: Linear
    whole: int
    unit: int
    settles: bool

    def cost_of(self, value: int) -> int:
        """Return the cost that a value of the aim, or a bound of it, comes to at least."""
        return value // self.whole * self.unit


class FleetModel:
    """A model of the lists and of some trips, each at some of its rapids."""

    def __init__(self, fleet: Fleet) -> None:
        """Create the lists; no trip is in it yet."""
        self.fleet = fleet
        self.model = new_model()
        self.issue = {
            (kind, i): self.model.new_int_var(0, most, f"issue[{kind},{i}]")
            for kind in sorted(fleet.boats)
            for i in fleet.wares
            if (most := self._most_issued(kind, i))
        }
        self.worn = self._create_worn()
        self.extra: dict[tuple[str, str], cp_model.IntVar] = {}
        self.parts: dict[str, Part] = {}

    def branch(self) -> FleetModel:
        """Return a copy to which more can be added; what is in it stays as it is."""
        other = copy(self)
        other.model, other.extra = self.model.clone(), dict(self.extra)
        return other

    def _most_issued(self, kind: str, item: str) -> int:
        """Return how many copies of an item may be of use in a boat, and fit it."""
        ware, boat = self.fleet.wares[item], self.fleet.types[kind]
        ways = [w for w in (QUICK, STOWED) if may_lie(ware.item, w, boat)]
        room = boat.quick_bulky if ware.item.bulky else boat.quick_small
        most = ware.most if STOWED in ways else min(ware.most, room)
        return most if ways else 0

    def _create_worn(self) -> dict[tuple[int, str], cp_model.IntVar]:
        """Create what each guide of a level is issued: each of them has room for all of it."""
        worn = {}
        for level in sorted(self.fleet.guides):
            rooms = self._find_rooms(level)
            for i, ware in self.fleet.wares.items():
                place = ware.item.worn_on or ""
                most = min(ware.most, rooms.get(place, 0)) if WORN in ware.item.carried else 0
                if most:
                    worn[level, i] = self.model.new_int_var(0, most, f"set[{level},{i}]")
            for place, room in rooms.items():
                there = (v for (g, i), v in worn.items() if g == level and self._is_on(i, place))
                self.model.add(add_up(there) <= room)
        return worn

    def _is_on(self, item: str, place: str) -> bool:
        return self.fleet.wares[item].item.worn_on == place

    def _find_rooms(self, level: int) -> dict[str, int]:
        """Return the least room that any guide of a level has, at the vest and at the waist."""
        guides = [
            (one.trip.paddlers[p], one.trip.catalog)
            for one in self.fleet.outings.values()
            for p in list_guides(one.trip, level)
        ]
        return {
            "vest": min((asks.vest_room(*guide) for guide in guides), default=0),
            "waist": min((asks.waist_room(*guide) for guide in guides), default=0),
        }

    # --- trips ----------------------------------------------------------------------------------

    def add(
        self,
        outing: Outing,
        goal: Goal | None,
        rapids: Iterable[str],
        loose: Iterable[str] = (),
        *,
        rowing: int | None = None,
    ) -> Part:
        """Add a trip at some of its rapids; hold it at its goal, if one is given.

        At rapids that are `loose` it is asked what they need wherever boats wait: a bound. Without
        a goal `rowing` says for how many minutes people may row twice.
        """
        rowing = rowing if goal is None else goal.rowing
        part = Part(self, outing, rapids, loose, rowing=rowing)
        if goal is not None:
            part.hold_goal(goal)
        self.parts[outing.name] = part
        return part

    def cost(self) -> Linear:
        """Return what lists and extras cost, in hundredths of a cent or gram."""
        return add_up(cost * variable for variable, cost in self._weigh_lines())

    def cost_extras(self) -> Linear:
        """Return what the extras cost, in hundredths of a cent or gram."""
        fleet = self.fleet
        return add_up(fleet.factor * fleet.cost(i) * one for (_, i), one in self.extra.items())

    def count_extras(self) -> Linear:
        """Return how many pieces are brought as extras."""
        return add_up(self.extra.values())

    def price(self) -> Aim:
        """Return what is least for the cheapest lists, whichever of equal ones."""
        unit = gcd(*(c for _, c in self._weigh_lines())) or 1
        return Aim(add_up(c // unit * v for v, c in self._weigh_lines()), 1, unit, settles=False)

    def weigh(self) -> Aim:
        """Return what is least for the cheapest lists; of equal ones for those first.

        These are the ones with fewest extras, then with copies of the lines first by name. What
        whole numbers can't tell apart is left open.
        """
        lines = [part[key] for part in self._list_parts() for key in sorted(part)]
        ranks = add_up(n * variable for n, variable in enumerate(lines, start=1))
        most = [_find_most(variable) for variable in lines]
        ranked = sum(n * high for n, high in enumerate(most, start=1))
        extras = sum(_find_most(variable) for variable in self.extra.values())
        priced = self._weigh_lines()
        unit = gcd(*(c for _, c in priced)) or 1
        dearest = sum(_find_most(v) * c for v, c in priced) // unit
        cost = add_up(c // unit * v for v, c in priced)
        whole = (ranked + 1) * (extras + 1)
        if dearest * whole < EXACT:
            total = whole * cost + (ranked + 1) * self.count_extras() + ranks
            return Aim(total, whole, unit, settles=True)
        if dearest * (extras + 1) < EXACT:
            return Aim((extras + 1) * cost + self.count_extras(), extras + 1, unit, settles=False)
        return self.price()

    def _list_parts(self) -> tuple[dict[Any, cp_model.IntVar], ...]:
        return self.issue, self.worn, self.extra

    def _weigh_lines(self) -> list[tuple[cp_model.IntVar, int]]:
        """Return each number of the lists with what one copy of its line costs, in hundredths."""
        fleet, cost = self.fleet, self.fleet.cost
        return [
            *((v, PER_CENT * fleet.boats[kind] * cost(i)) for (kind, i), v in self.issue.items()),
            *((v, PER_CENT * fleet.guides[g] * cost(i)) for (g, i), v in self.worn.items()),
            *((v, fleet.factor * cost(i)) for (_, i), v in self.extra.items()),
        ]

    def hold(self, model: cp_model.CpModel, lists: Lists) -> None:
        """Hold the lists, but for extras, in the model or a clone of it."""
        for key, variable in self.issue.items():
            model.add(variable == lists.issued.get(key, 0))
        for level, one in self.worn.items():
            model.add(one == lists.worn.get(level, 0))

    def hold_at_least(self, model: cp_model.CpModel, lists: Lists) -> None:
        """Let the lists be no less than these, and start from them."""
        held: tuple[Mapping[Any, int], ...] = (lists.issued, lists.worn, lists.extras)
        for part, least in zip(self._list_parts(), held, strict=True):
            for key, variable in part.items():
                model.add(variable >= least.get(key, 0))
                model.add_hint(variable, least.get(key, 0))

    def cost_beyond(self, model: cp_model.CpModel, lists: Lists) -> Linear:
        """Return what the lists cost beyond these in a clone of the model, in hundredths."""
        held: tuple[Mapping[Any, int], ...] = (lists.issued, lists.worn, lists.extras)
        free = [
            one.get(key, 0)
            for part, one in zip(self._list_parts(), held, strict=True)
            for key in part
        ]
        terms = []
        for (variable, cost), least in zip(self._weigh_lines(), free, strict=True):
            beyond = model.new_int_var(0, _find_most(variable), "")
            model.add(beyond >= variable - least)
            terms.append(cost * beyond)
        return add_up(terms)

    def hold_at_most(self, model: cp_model.CpModel, line: Line) -> None:
        """Allow no more copies of a line than it has less one."""
        parts = dict(zip(("boat", "guide", "extra"), self._list_parts(), strict=True))
        variable = parts[line.what].get(line.key)
        if variable is not None:
            model.add(variable <= line.count - 1)

    def hold_extras(self, model: cp_model.CpModel, lists: Lists) -> None:
        """Allow no more extras than these."""
        for key, variable in self.extra.items():
            model.add(variable <= lists.extras.get(key, 0))

    def read(self, answer: Answer) -> Lists:
        """Return the lists of an answer."""
        return Lists(*(_read(part, answer) for part in self._list_parts()))


class Part:
    """A trip in a model of lists: its own model at some rapids, and what it has of the lists.

    `home[item, boat, way]`: issued copies that stay at home, and where their place is kept free.
    `brought`: extras in a boat, by item, boat, and "quick" for what lies there or "worn".
    `idle[item, boat]`: of what stays at home, the sets of those who row twice.
    """

    def __init__(
        self,
        fleet: FleetModel,
        outing: Outing,
        rapids: Iterable[str],
        loose: Iterable[str] = (),
        *,
        rowing: int | None = None,
    ) -> None:
        """Add the trip to the model of the fleet."""
        self.fleet, self.outing = fleet, outing
        self.model = fleet.model
        self.rapids = tuple(sorted(rapids))
        first = len(self.model.proto.variables)
        twice = rowing is not None
        self.v = Variables(outing.stocked, self.rapids, twice=twice, model=self.model)
        book = TermsBook(outing.stocked)
        self.tm = TripModel(self.v, outing.asked, book=book)
        self.tm.rules.hold_rowing(rowing)
        self.gap = dict(self.tm.gap)
        if others := set(loose) - set(self.rapids):
            self.gap |= Anywhere(self.v, outing.asked, book, others).gap
        self.home: dict[tuple[str, str, str], cp_model.IntVar] = {}
        self.brought: dict[tuple[str, str, str], cp_model.IntVar] = {}
        self.idle: dict[tuple[str, str], Linear] = {}
        self._create_extras()
        for boat in self.v.boats:
            self._add_lying(boat)
            self._add_worn(boat)
            self._add_rooms(boat)
        self._add_brought()
        self._tell_apart(first)

    def _tell_apart(self, first: int) -> None:
        """Put the trip's name before those of its variables: other trips have them too."""
        variables = self.model.proto.variables
        for index in range(first, len(variables)):
            if variables[index].name:
                variables[index].name = f"{self.outing.name}: {variables[index].name}"

    def _create_extras(self) -> None:
        for i in self.v.items:
            key = (self.outing.name, i)
            if key not in self.fleet.extra:
                most = self.outing.stocked.kit[i].count
                name = f"extra[{self.outing.name},{i}]"
                self.fleet.extra[key] = self.model.new_int_var(0, most, name)

    def _new(self, most: int) -> cp_model.IntVar:
        return self.model.new_int_var(0, most, "")

    def _add_lying(self, boat: str) -> None:
        """Of what lies in a boat, what is no extra is on its list: y + home = issue + brought."""
        kind = self.outing.stocked.boats[boat].type
        for i in self._list_items(boat):
            most = self.fleet.fleet.wares[i].most
            ways = [w for w in (QUICK, STOWED) if (i, boat, w) in self.v.pack]
            issued = self.fleet.issue.get((kind.name, i))
            if not ways:
                continue
            self.brought[i, boat, QUICK] = self._new(most)
            has = [self.brought[i, boat, QUICK], *([] if issued is None else [issued])]
            places = [self.v.pack[i, boat, w] for w in ways]
            for w in ways if issued is not None else ():
                self.home[i, boat, w] = self._new(most)
                places.append(self.home[i, boat, w])
            self.model.add(add_up(places) == add_up(has))

    def _add_worn(self, boat: str) -> None:
        """Of what is dealt to be worn, what is no extra is of the sets of guides aboard."""
        trip, sets = self.outing.stocked, self.fleet.worn
        there = frozenset(list_guides(trip)) & set(self.v.paddlers[boat])
        guides = [(p, trip.paddlers[p].level("leading")) for p in sorted(there)]
        for i in self._list_items(boat):
            packed = self.v.pack.get((i, boat, WORN))
            if packed is None:
                continue
            most = trip.kit[i].count
            self.brought[i, boat, WORN] = self._new(most)
            own = {
                p: self._deal(self.v.seat[p, boat], sets[level, i])
                for p, level in guides
                if (level, i) in sets
            }
            has = [self.brought[i, boat, WORN], *own.values()]
            places = [packed]
            if len(has) > 1:
                self.home[i, boat, WORN] = self._new(most)
                places.append(self.home[i, boat, WORN])
            self.model.add(add_up(places) == add_up(has))
            self._leave_idle(i, boat, own)

    def _leave_idle(self, item: str, boat: str, own: dict[str, cp_model.IntVar]) -> None:
        """Leave at home what is issued to those who row twice: nothing is dealt to them."""
        bares = ((self.v.bare(p, boat), issued) for p, issued in own.items())
        idle = [self._deal(bare, issued) for bare, issued in bares if bare is not None]
        if idle:
            self.idle[item, boat] = add_up(idle)
            self.model.add(self.home[item, boat, WORN] >= self.idle[item, boat])

    def _deal(self, literal: cp_model.IntVar, issued: cp_model.IntVar) -> cp_model.IntVar:
        """Return what is issued if the literal holds, a seat that is taken, else 0."""
        dealt = self._new(_find_most(issued))
        self.model.add(dealt == issued).only_enforce_if(literal)
        self.model.add(dealt == 0).only_enforce_if(~literal)
        return dealt

    def _add_rooms(self, boat: str) -> None:
        """All of a list has room in the boat, and of the sets at its guides, stores besides."""
        trip, add = self.outing.stocked, self.model.add
        kind = trip.boats[boat].type
        items = {i: trip.kit[i].item for i in self._list_items(boat)}

        def total(way: str, weigh: Callable[[str], int]) -> Linear:
            here = (
                weigh(i) * one
                for part in (self.v.pack, self.home)
                for (i, b, w), one in part.items()
                if b == boat and w == way and weigh(i)
            )
            return add_up(here)

        home_g = add_up(items[i].mass_g * one for (i, b, _), one in self.home.items() if b == boat)
        for load in self.tm.rules.list_loads(boat):
            add(load + home_g <= kind.payload_g)
            for mass_g in self._weigh_rowers(boat):
                add(load + home_g + mass_g <= kind.payload_g)
        add(total(QUICK, lambda i: int(items[i].bulky)) <= kind.quick_bulky)
        add(total(QUICK, lambda i: int(not items[i].bulky)) <= kind.quick_small)
        if kind.hold_ml is not None:
            left = (
                items[i].volume_ml * one
                for (i, b, w), one in self.home.items()
                if b == boat and w == STOWED
            )
            left_ml = add_up(left)
            for room in measure_room(self.v, boat):
                add(room + left_ml <= kind.hold_ml)
        for place, room_of in (("vest", asks.vest_room), ("waist", asks.waist_room)):
            rooms = {p: room_of(trip.paddlers[p], trip.catalog) for p in self.v.paddlers[boat]}
            there = add_up(n * self.v.seat[p, boat] for p, n in rooms.items() if n)
            here = total(WORN, lambda i, at=place: int(items[i].worn_on == at))  # type: ignore[misc]
            # A set has room on its guide, whose room is lost to others if he rows twice.
            idle = (n for (i, b), n in self.idle.items() if b == boat and items[i].worn_on == place)
            add(here - add_up(idle) <= there - self.tm.rules.room_away(boat, rooms))

    def _weigh_rowers(self, boat: str) -> Iterator[Linear]:
        """Yield what those weigh who take a boat down a rapid besides their own, if anybody may."""
        for rapid in self.v.rapids:
            rowers = [
                (p, one) for (p, b, r), one in self.v.rows.items() if (b, r) == (boat, rapid.name)
            ]
            trip = self.outing.stocked
            if rowers:
                yield add_up(asks.person_mass_g(trip.paddlers[p], trip) * one for p, one in rowers)

    def _add_brought(self) -> None:
        """In each leg no more extras lie about than are brought."""
        for leg in self.v.legs:
            for i in leg.kit:
                here = (
                    one
                    for (item, b, _), one in self.brought.items()
                    if item == i and b in leg.boats
                )
                self.model.add(add_up(here) <= self.fleet.extra[self.outing.name, i])

    def _list_items(self, boat: str) -> list[str]:
        leg = self.outing.stocked.legs[self.outing.stocked.boats[boat].leg]
        return sorted(leg.kit)

    # --- the goal -------------------------------------------------------------------------------

    def hold_goal(self, goal: Goal) -> None:
        """Hold the rapids that are here at what the others, at their floors, leave them."""
        if self.tm.rules.carriage is not None:
            for tier, most in goal.short.items():
                self.model.add(self.tm.rules.carriage.total(tier) <= most)
        others = [floor for name, floor in goal.floors.items() if name not in self.gap]
        there = [r for r in self.gap if r in goal.floors]
        aims = [("uncovered", goal.uncovered)]
        if goal.one_bank is not None:
            aims.append(("one_bank", goal.one_bank))
        for number, (aim, most) in enumerate(aims):
            left = most - sum(floor[number] for floor in others)
            gaps = [self.gap[r][aim] for r in there]
            if gaps:
                self.model.add(add_up(gaps) <= left)
            # Where a rapid stands above its floor, no other one does by as much.
            spare = most - sum(floor[number] for floor in goal.floors.values())
            for r in there:
                self.model.add(self.gap[r][aim] <= goal.floors[r][number] + spare)

    def list_decisions(self, *kinds: str) -> Iterator[tuple[str, cp_model.IntVar]]:
        """Yield the decisions of some kinds, each by its name in a model of the trip alone."""
        before = f"{self.outing.name}: "
        for kind in kinds:
            for variable in getattr(self.v, kind).values():
                yield variable.name.removeprefix(before), variable

    def hold_people(self, model: cp_model.CpModel, decided: Mapping[str, int]) -> None:
        """Hold who sits and steers where, the order and where boats wait."""
        for name, variable in self.list_decisions(*PEOPLE):
            if name in decided:
                model.add(variable == decided[name])

    def hold_packing(self, model: cp_model.CpModel, decided: Mapping[str, int]) -> None:
        """Hold what is packed where."""
        for name, variable in self.list_decisions("pack"):
            if name in decided:
                model.add(variable == decided[name])

    def hint(self, model: cp_model.CpModel, decided: Mapping[str, int], *kinds: str) -> None:
        """Let a model start from decisions of some kinds."""
        for name, variable in self.list_decisions(*kinds):
            if name in decided:
                model.add_hint(variable, decided[name])

    def read_decided(self, answer: Answer) -> dict[str, int]:
        """Return the decisions of an answer by their names in a model of the trip alone."""
        return {name: answer.read(one) for name, one in self.list_decisions(*PEOPLE, "pack")}


def _read(part: Mapping[Any, cp_model.IntVar], answer: Answer) -> dict[Any, int]:
    """Return the numbers of a part of the lists, those above 0."""
    return {key: n for key, variable in part.items() if (n := answer.read(variable))}


def _find_most(variable: cp_model.IntVar) -> int:
    """Return the most that a number may be."""
    return int(max(variable.proto.domain))
