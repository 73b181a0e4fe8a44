"""Brute force over a tiny trip: every seating, every packing, every station.

Each is judged by the words of the aims: a demand is met if the places can be filled by trying, a
case is backed if one variant stays possible after each single loss, tried one by one. No Hall's
condition, no matching, no solver. The aims of a rapid depend on seats, packing and its own stations
alone once the running order is settled, and comparing lists of aims in order goes with adding them
up, so that stations are chosen rapid by rapid for each order. Trips of one leg only.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import permutations, product
from typing import TYPE_CHECKING

from kitplan import needs as asks
from tests.twin.trial import Boatful, Judge, Run, Things

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from kitplan.demands import Case, DemandKey, Needs, Variant
    from kitplan.trip import Boat, Rapid, Trip

AIMS = ("uncovered", "one_bank", "unmet", "backed")
Values = tuple[int, int, int, int]

Contents = tuple[str, frozenset[str], Things, Things]
Pairs = dict[str, tuple[str, str]]
"""Where each boat waits before its run and after."""
Others = tuple[tuple[Boatful, str], ...]
"""The boats at a rapid but the running one, each with its station."""
Cell = tuple[str, str]
"""A boat and where in it: worn, quick or stowed."""


@dataclass(frozen=True, slots=True)
class Search:
    """What brute force came to, and how many seats with packing it judged."""

    values: Values
    judged: int


def search(trip: Trip, needs: Needs) -> Search | None:
    """Return the least aims 2 to 5 in order, None if no seating keeps the rules."""
    river = _River(trip, needs)
    known: dict[Contents, Boatful] = {}
    best: Values | None = None
    judged = 0
    for crews in list_crews(trip):
        for boats in list_boatfuls(trip, crews, known):
            judged += 1
            values = river.least(boats)
            best = values if best is None else min(best, values)
    return None if best is None else Search(best, judged)


def judge_all(
    trip: Trip, needs: Needs
) -> Iterator[tuple[dict[str, frozenset[str]], dict[str, dict[Cell, int]], Values]]:
    """Yield every seating and packing that keeps the rules: crews, what lies where, least aims."""
    river = _River(trip, needs)
    known: dict[Contents, Boatful] = {}
    judged: dict[tuple[Boatful, ...], Values] = {}
    for crews in list_crews(trip):
        for parts in product(*(list(_spread(trip, crews, item)) for item in trip.kit)):
            dealt = dict(zip(trip.kit, parts, strict=True))
            filled = [_fill(trip, b, crews[b], dealt) for b in trip.boats]
            boats = tuple(known.setdefault(one, Boatful(*one)) for one in filled)
            if all(_may_carry(trip, b, crews[b], dealt) for b in trip.boats):
                if boats not in judged:
                    judged[boats] = river.least(boats)
                yield crews, dealt, judged[boats]


def judge_rowing(
    trip: Trip, needs: Needs
) -> Iterator[tuple[dict[str, frozenset[str]], dict[str, dict[Cell, int]], tuple[int, ...]]]:
    """Yield what keeps the rules where somebody may row twice: who does not, what lies where.

    With the minutes of walking back up and the least aims. Trips of one rapid, whose ways ask
    nothing of how many are aboard a boat in trouble.
    """
    (rapid,) = trip.rapids.values()
    river = _River(trip, needs)
    known: dict[Contents, Boatful] = {}
    least = lru_cache(maxsize=None)(partial(river.least_rowing, rapid))
    deals = list(product(*(list(_spread(trip, trip.boats, item)) for item in trip.kit)))
    for crews, order, rows in _list_rowing(trip, rapid):
        away = frozenset(rows.values())
        stay = {b: crew - away for b, crew in crews.items()}
        lies = frozenset(b for b, crew in crews.items() if crew & away)
        run = {b: crew | {rows[b]} if b in rows else crew for b, crew in crews.items()}
        minutes = len(rows) * asks.minutes_back(trip, rapid)
        for parts in deals:
            dealt = dict(zip(trip.kit, parts, strict=True))
            if all(_may_carry(trip, b, who[b], dealt) for b in trip.boats for who in (stay, run)):
                filled = [_fill(trip, b, stay[b], dealt) for b in trip.boats]
                boats = tuple(known.setdefault(one, Boatful(*one)) for one in filled)
                values = least(boats, order, lies)
                if values is not None:
                    yield stay, dealt, (minutes, *values)


# --- seats --------------------------------------------------------------------------------------


def _list_rowing(
    trip: Trip, rapid: Rapid
) -> Iterator[tuple[dict[str, frozenset[str]], tuple[str, ...], dict[str, str]]]:
    """Yield every seating, running order, and who takes which boat down for its weak steerer."""
    able = {b: set(asks.list_rowers(trip, b, rapid)) for b in trip.boats}
    for seats in product(trip.boats, repeat=len(trip.paddlers)):
        sits = dict(zip(trip.paddlers, seats, strict=True))
        crews = {b: frozenset(p for p in sits if sits[p] == b) for b in trip.boats}
        weak = [b for b, crew in crews.items() if not crew & able[b]]
        if not _keeps_company(trip, sits) or not all(
            _may_float(trip, b, crews[b], with_rower=b in weak) for b in crews
        ):
            continue
        for order in permutations(trip.boats):
            for rowers in product(trip.paddlers, repeat=len(weak)):
                rows = dict(zip(weak, rowers, strict=True))
                if len(set(rowers)) == len(rowers) and all(
                    p in able[b] and order.index(sits[p]) < order.index(b) for b, p in rows.items()
                ):
                    yield crews, order, rows


def _may_float(trip: Trip, boat: str, crew: frozenset[str], *, with_rower: bool) -> bool:
    """Say whether a crew may sit in a boat whose steerer may be too weak for the rapid."""
    kind, level = trip.boats[boat].type, asks.level_everywhere(trip, boat, guests_aboard=False)
    least = asks.least_crew(kind, asks.hardest_class(trip, boat))
    return least <= len(crew) <= kind.seats - with_rower and any(
        trip.paddlers[p].level(kind.skill) >= level for p in crew
    )


def list_crews(trip: Trip) -> Iterator[dict[str, frozenset[str]]]:
    """Yield every seating that keeps the rules of seating, payload aside."""
    for seats in product(trip.boats, repeat=len(trip.paddlers)):
        sits = dict(zip(trip.paddlers, seats, strict=True))
        crews = {b: frozenset(p for p in sits if sits[p] == b) for b in trip.boats}
        if _keeps_company(trip, sits) and all(
            _may_crew(trip, boat, crews[b]) for b, boat in trip.boats.items()
        ):
            yield crews


def _keeps_company(trip: Trip, sits: Mapping[str, str]) -> bool:
    for name, paddler in trip.paddlers.items():
        if paddler.boat not in {None, sits[name]}:
            return False
    for company in trip.companies:
        boats = [sits[p] for p in company.paddlers]
        if company.together and len(set(boats)) > 1:
            return False
        if not company.together and len(set(boats)) < len(boats):
            return False
    return True


def _may_crew(trip: Trip, boat: Boat, crew: frozenset[str]) -> bool:
    kind, hardest = boat.type, asks.hardest_class(trip, boat.name)
    aboard = [trip.paddlers[p] for p in crew]
    level = asks.boat_level(trip, boat.name, guests_aboard=any(p.guest for p in aboard))
    return asks.least_crew(kind, hardest) <= len(aboard) <= kind.seats and any(
        p.level(kind.skill) >= level and not p.guest for p in aboard
    )


# --- packing ------------------------------------------------------------------------------------


def list_boatfuls(
    trip: Trip, crews: Mapping[str, frozenset[str]], known: dict[Contents, Boatful]
) -> Iterator[tuple[Boatful, ...]]:
    """Yield every packing that keeps the rules, once for all that put the same things in reach.

    Whether a thing in reach is worn or lies quick makes no difference to any aim here. `known`
    keeps the boatfuls made so far.
    """
    seen: set[tuple[Boatful, ...]] = set()
    each = [list(_spread(trip, crews, item)) for item in trip.kit]
    for parts in product(*each):
        dealt = dict(zip(trip.kit, parts, strict=True))
        filled = [_fill(trip, b, crews[b], dealt) for b in trip.boats]
        boats = tuple(known.setdefault(contents, Boatful(*contents)) for contents in filled)
        if boats not in seen and all(_may_carry(trip, b, crews[b], dealt) for b in trip.boats):
            seen.add(boats)
            yield boats


def _spread(trip: Trip, crews: Iterable[str], item: str) -> Iterator[dict[Cell, int]]:
    """Yield all ways of dealing some copies of one item to boats and places in them."""
    kit = trip.kit[item]
    cells = [
        (b, place) for b in crews for place in kit.item.carried
        if (place != "worn" or kit.item.worn_on in {"vest", "waist"})
        and asks.fits_boat(kit.item, trip.boats[b].type, place)
    ]  # fmt: skip
    for counts in product(range(kit.count + 1), repeat=len(cells)):
        if kit.take <= sum(counts) <= kit.count:
            yield {cell: n for cell, n in zip(cells, counts, strict=True) if n}


def _may_carry(
    trip: Trip, boat: str, crew: frozenset[str], dealt: Mapping[str, Mapping[Cell, int]]
) -> bool:
    kind = trip.boats[boat].type
    people = [trip.paddlers[p] for p in crew]
    rooms = {
        ("quick", "bulky"): kind.quick_bulky,
        ("quick", "small"): kind.quick_small,
        ("worn", "vest"): sum(asks.vest_room(p, trip.catalog) for p in people),
        ("worn", "waist"): sum(asks.waist_room(p, trip.catalog) for p in people),
    }
    load_g = trip.boats[boat].dry_load_g + sum(asks.person_mass_g(p, trip) for p in people)
    for name, cells in dealt.items():
        item = trip.kit[name].item
        size = "bulky" if item.bulky else "small"
        for (b, place), count in cells.items():
            if b != boat:
                continue
            load_g += count * item.mass_g
            if place != "stowed":
                rooms[place, size if place == "quick" else str(item.worn_on)] -= count
    return load_g <= kind.payload_g and min(rooms.values()) >= 0


def _fill(
    trip: Trip, boat: str, crew: frozenset[str], dealt: Mapping[str, Mapping[Cell, int]]
) -> Contents:
    reach: Counter[str] = Counter()
    stowed: Counter[str] = Counter()
    for name, cells in dealt.items():
        for (b, place), count in cells.items():
            if b == boat:
                (stowed if place == "stowed" else reach)[name] += count
    for p in crew:
        reach.update(trip.paddlers[p].wears)
    return boat, crew, tuple(sorted(reach.items())), tuple(sorted(stowed.items()))


# --- stations and aims --------------------------------------------------------------------------


class _River:
    """The rapids of a trip, each judged for given boats with all stations tried."""

    def __init__(self, trip: Trip, needs: Needs) -> None:
        self._trip, self._needs = trip, needs
        self._judge = Judge(trip)
        self._rapids = [r for r in trip.rapids.values() if r.name in {c.rapid for c in needs.cases}]
        self._stations = {
            (r.name, order): list(list_stations(trip, r, order))
            for r in self._rapids
            for order in permutations(trip.boats)
        }
        self._demands = {case: [d for d in needs.demands if d.case == case] for case in needs.cases}
        self._one_case = lru_cache(maxsize=None)(self._count_case)

    def least(self, boats: tuple[Boatful, ...]) -> Values:
        """Return the least aims over all orders and stations, rapid by rapid for each order."""
        return min(
            _add(
                [
                    min(self._count(r, boats, order, s) for s in self._stations[r.name, order])
                    for r in self._rapids
                ]
            )
            for order in permutations(self._trip.boats)
        )

    def least_rowing(
        self,
        rapid: Rapid,
        boats: tuple[Boatful, ...],
        order: tuple[str, ...],
        lies: frozenset[str],
    ) -> Values | None:
        """Return the least aims where boats `lies` wait on a bank with a path once they have run.

        None: there is no room for them.
        """
        paths = asks.list_paths_back(rapid)
        chosen = (
            s for s in self._stations[rapid.name, order] if all(s[b][1] in paths for b in lies)
        )
        return min((self._count(rapid, boats, order, s) for s in chosen), default=None)

    def _count(
        self, rapid: Rapid, boats: tuple[Boatful, ...], order: tuple[str, ...], stations: Pairs
    ) -> Values:
        there = {full.boat: full for full in boats if full.boat in rapid.boats}
        found = []
        for case in self._needs.cases.values():
            if case.key.rapid == rapid.name:
                runs = order.index(case.key.running)
                others = tuple(
                    (full, stations[b][order.index(b) < runs])
                    for b, full in there.items()
                    if b != case.key.running
                )
                ran = sum(order.index(b) < runs for b in there)
                run = Run(len(there[case.key.running].crew), ran, _list_paths(rapid))
                found.append(self._one_case(case, others, run))
        return _add(found)

    def _count_case(self, case: Case, others: Others, run: Run) -> Values:
        """Return the aims of a case while the running boat is in trouble."""
        demands = self._demands[case.key]
        met = [d for d in demands if self._is_met(d, others, run)]
        covering = [d for d in met if self._needs.choices[d.choice].covers]
        missed = [k for k in case.banks if not any(d.bank in {k, ""} for d in covering)]
        backed = any(self._is_backed(d, others, run) for d in covering)
        return (
            0 if covering else case.weight,
            case.weight if len(case.banks) > 1 and missed else 0,
            sum(self._needs.demands[d] for d in demands if d not in met),
            case.weight if covering and not backed else 0,
        )

    def _list_ways(self, demand: DemandKey) -> tuple[Variant, ...]:
        choice = self._needs.choices[demand.choice]
        return asks.list_ways(choice, self._trip.boats[demand.running].type)

    def _is_met(self, demand: DemandKey, others: Others, run: Run) -> bool:
        choice = self._needs.choices[demand.choice]
        return any(
            self._judge.can(
                variant, others, run, unhurried=choice.unhurried, walk=self._walk(demand)
            )
            for variant in self._list_ways(demand)
        )

    def _is_backed(self, demand: DemandKey, others: Others, run: Run) -> bool:
        choice = self._needs.choices[demand.choice]
        return any(
            self._judge.can_spare_any(
                variant, others, run, unhurried=choice.unhurried, walk=self._walk(demand)
            )
            for variant in self._list_ways(demand)
        )

    def _walk(self, demand: DemandKey) -> bool:
        return self._trip.rapids[demand.rapid].guests_walk


def _list_paths(rapid: Rapid) -> tuple[str, ...]:
    """Return the banks that whoever has not run yet can walk down to."""
    sides = (("left", rapid.left), ("right", rapid.right))
    if rapid.safety != "set":
        return ()
    return tuple(side for side, bank in sides if bank.path and bank.landing_above > 0)


def list_stations(trip: Trip, rapid: Rapid, order: tuple[str, ...]) -> Iterator[Pairs]:
    """Yield every choice of stations before and after their run in which boats have room.

    While one boat runs, those after it in the order are still to run, the others have run.
    """
    there = [b for b in order if b in rapid.boats]
    pairs = list(product(asks.stations_before(rapid), asks.stations_after(rapid)))
    above = {"left": rapid.left.landing_above, "right": rapid.right.landing_above}
    below = {"left": rapid.left.landing, "right": rapid.right.landing, "afloat": rapid.eddies}
    for chosen in product(pairs, repeat=len(there)):
        stations = dict(zip(there, chosen, strict=True))
        if all(
            _has_room(trip, {b: stations[b][0] for b in there[k + 1 :]}, above)
            and _has_room(trip, {b: stations[b][1] for b in there[:k]}, below)
            for k in range(len(there))
        ):
            yield stations


def _has_room(trip: Trip, stands: Mapping[str, str], rooms: Mapping[str, int]) -> bool:
    return all(
        sum(trip.boats[b].type.room for b, at in stands.items() if at == station) <= 10 * room
        for station, room in rooms.items()
    )


def _add(rows: list[Values]) -> Values:
    sums = [sum(column) for column in zip(*rows, strict=True)] or [0, 0, 0, 0]
    return (sums[0], sums[1], sums[2], sums[3])
