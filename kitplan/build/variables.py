"""The decision variables: seats, steerers, packing, stations, and counts drawn from them.

Every family is a dict keyed by names; a variable's name in the solver is its key. Names are sorted
before anything is created, so that the same trip gives the same model.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from kitplan import needs as asks
from kitplan.trip import CARRIED, HELD

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator

    from kitplan.trip import BoatType, Item, Leg, Rapid, Trip

    Station = tuple[str, str]  # BEFORE or AFTER its own run, and where
    When = tuple[str, int]  # a rapid, and which boat in the running order runs

Linear = cp_model.LinearExpr
CREW_PADDLE = "crew paddle: "
BEFORE, AFTER = "before", "after"


def add_up(terms: Iterable[cp_model.LinearExprT]) -> Linear:
    """Return the sum of the terms as an expression of the solver; 0 for none."""
    return cp_model.LinearExpr.sum(list(terms))


class Variables:
    """What the solver decides for a trip at the given rapids, in the legs that these lie in.

    `place[b, k]`: the boat is the k-th of its leg to run, counted from 0; `rank[boats, b, k]`: the
    k-th of those that pass a rapid by themselves. `ahead[b, c]`: one runs before the other.
    `wait[b, rapid, k, s]`: while the k-th boat of a rapid runs, the boat has not run and waits so
    (`s` is ("before", station)), or has run (("after", station)).
    """

    def __init__(
        self, trip: Trip, rapids: Iterable[str], *, all_legs: bool = True, twice: bool = False
    ) -> None:
        """Create seats, packing and running order, and stations at `rapids`.

        Without `all_legs` only the legs of these rapids are there; with `twice` somebody may row a
        second boat down one of the rapids.
        """
        self.twice = twice
        self.trip = trip
        self.model = cp_model.CpModel()
        self.rapids: list[Rapid] = [trip.rapids[name] for name in sorted(rapids)]
        numbers = {rapid.leg for rapid in self.rapids}
        self.legs: list[Leg] = [
            leg for number, leg in enumerate(trip.legs) if all_legs or number in numbers
        ]
        self.boats = sorted(b for leg in self.legs for b in leg.boats)
        self.paddlers = {b: sorted(leg.paddlers) for leg in self.legs for b in leg.boats}
        self.items = sorted({i for leg in self.legs for i in leg.kit})
        self.seat = self._create_seats()
        self.steer = self._create_steerers()
        self.taken = {
            i: self.model.new_int_var(0, trip.kit[i].count, f"taken[{i}]") for i in self.items
        }
        self.pack = self._create_packing()
        self.place = self._create_order()
        self.ahead = self._create_pairs()
        self.rank = self._create_ranks()
        self.held = self._create_stations()
        self.wait = self._create_waits()
        self.rows = self._create_rowers()
        self.decided = len(self.model.proto.variables)  # so many variables are decisions
        self._at: dict[Hashable, cp_model.IntVar] = {}
        self._away: dict[tuple[str, str, str], cp_model.IntVar] = {}
        self._split: dict[Hashable, list[cp_model.IntVar]] = {}

    def _create_seats(self) -> dict[tuple[str, str], cp_model.IntVar]:
        return {
            (p, b): self.model.new_bool_var(f"seat[{p},{b}]")
            for b in self.boats
            for p in self.paddlers[b]
        }

    def _create_steerers(self) -> dict[tuple[str, str], cp_model.IntVar]:
        steer = {}
        for b in self.boats:
            kind = self.trip.boats[b].type
            level = asks.level_everywhere if self.twice else asks.boat_level
            least = level(self.trip, b, guests_aboard=False)
            for p in self.paddlers[b]:
                paddler = self.trip.paddlers[p]
                if paddler.level(kind.skill) >= least and not paddler.guest:
                    steer[p, b] = self.model.new_bool_var(f"steer[{p},{b}]")
        return steer

    def _create_packing(self) -> dict[tuple[str, str, str], cp_model.IntVar]:
        return {
            (i, b, w): self.model.new_int_var(0, self.trip.kit[i].count, f"pack[{i},{b},{w}]")
            for leg in self.legs
            for i in sorted(leg.kit)
            for b in sorted(leg.boats)
            for w in CARRIED
            if may_lie(self.trip.kit[i].item, w, self.trip.boats[b].type)
        }

    def _create_order(self) -> dict[tuple[str, int], cp_model.IntVar]:
        return {
            (b, k): self.model.new_bool_var(f"place[{b},{k}]")
            for leg in self.legs
            for b in sorted(leg.boats)
            for k in range(len(leg.boats))
        }

    def list_groups(self) -> list[tuple[str, ...]]:
        """Return the boats of rapids that only a part of a leg's boats pass, each group once."""
        groups = {tuple(sorted(r.boats)) for r in self.rapids}
        return sorted(groups - {tuple(sorted(leg.boats)) for leg in self.legs})

    def _create_pairs(self) -> dict[tuple[str, str], cp_model.IntVar]:
        pairs = {pair for boats in self.list_groups() for pair in combinations(boats, 2)}
        return {(b, c): self.model.new_bool_var(f"ahead[{b},{c}]") for b, c in sorted(pairs)}

    def _create_ranks(self) -> dict[tuple[tuple[str, ...], str, int], cp_model.IntVar]:
        return {
            (boats, b, k): self.model.new_bool_var(f"rank[{','.join(boats)},{b},{k}]")
            for boats in self.list_groups()
            for b in boats
            for k in range(len(boats))
        }

    def _create_stations(self) -> dict[tuple[str, str, Station], cp_model.IntVar]:
        return {
            (b, rapid.name, s): self.model.new_bool_var(f"station[{b},{rapid.name},{','.join(s)}]")
            for rapid in self.rapids
            if self.trip.stations == HELD
            for b in sorted(rapid.boats)
            for s in list_stations(rapid)
        }

    def _create_waits(self) -> dict[tuple[str, str, int, Station], cp_model.IntVar]:
        waits = {}
        for rapid in self.rapids:
            last = len(rapid.boats) - 1
            for b in sorted(rapid.boats):
                for k in range(last + 1):
                    for s in list_stations(rapid):
                        # Nobody has run before the first boat, nobody is left after the last.
                        if k != (0 if s[0] == AFTER else last):
                            name = f"wait[{b},{rapid.name},{k},{','.join(s)}]"
                            waits[b, rapid.name, k, s] = self.model.new_bool_var(name)
        return waits

    def _create_rowers(self) -> dict[tuple[str, str, str], cp_model.IntVar]:
        return {
            (p, b, rapid.name): self.model.new_bool_var(f"rows[{p},{b},{rapid.name}]")
            for rapid in self.rapids
            if self.twice
            for b in sorted(rapid.boats)
            for p in sorted(asks.list_rowers(self.trip, b, rapid))
        }

    def list_decisions(self, model: cp_model.CpModel) -> Iterator[tuple[str, cp_model.IntVar]]:
        """Yield the kind of each decision, and its variable in the model or a clone of it."""
        for index in range(self.decided):
            variable = model.get_int_var_from_proto_index(index)
            yield variable.name.partition("[")[0], variable

    # --- order ----------------------------------------------------------------------------------

    def runs(self, rapid: Rapid, boat: str, k: int) -> cp_model.IntVar:
        """Return the literal of the boat being the k-th of those at the rapid to run."""
        group = tuple(sorted(rapid.boats))
        key = (group, boat, k)
        return self.rank[key] if key in self.rank else self.place[boat, k]

    def has_run(self, rapid: Rapid, boat: str, k: int) -> Linear:
        """Return 1 if the boat runs before the k-th one at the rapid, else 0."""
        return add_up(self.runs(rapid, boat, earlier) for earlier in range(k))

    def comes_first(self, boat: str, other: str) -> cp_model.LinearExprT:
        """Return 1 if one boat of a group runs before another one of it, else 0."""
        if (boat, other) in self.ahead:
            return self.ahead[boat, other]
        return 1 - self.ahead[other, boat]

    def list_waits(self, boat: str, rapid: str, k: int, station: str) -> list[cp_model.IntVar]:
        """Return the literals of which one holds if the boat is there while the k-th one runs."""
        keys = ((boat, rapid, k, (when, station)) for when in (BEFORE, AFTER))
        return [self.wait[key] for key in keys if key in self.wait]

    # --- counts ---------------------------------------------------------------------------------

    def count_people(self, names: frozenset[str], boat: str, rapid: str = "") -> Linear:
        """Return how many of the paddlers `names` sit in the boat, but for who rows twice there."""
        people = [p for p in self.paddlers[boat] if p in names]
        away = [self.away(p, boat, rapid) for p in people]
        seats = [self.seat[p, boat] for p in people]
        return add_up([*seats, *(-1 * one for one in away if one is not None)])

    def away(self, paddler: str, boat: str, rapid: str) -> cp_model.IntVar | None:
        """Return what is 1 if he sits in a boat and rows another one down the rapid; None: never.

        It may be 1 without cause, which helps nobody.
        """
        rows = [self.rows[key] for key in self._list_rows(paddler, rapid) if key[1] != boat]
        if not rows:
            return None
        key = (paddler, boat, rapid)
        if key not in self._away:
            self._away[key] = self.model.new_bool_var(f"away[{','.join(key)}]")
            self.model.add(self._away[key] >= self.seat[paddler, boat] + add_up(rows) - 1)
        return self._away[key]

    def _list_rows(self, paddler: str, rapid: str) -> list[tuple[str, str, str]]:
        there = self.trip.rapids[rapid].boats if rapid else ()
        keys = ((paddler, b, rapid) for b in there)
        return [key for key in keys if key in self.rows]

    def count_rowers(self, boat: str, rapid: str) -> Linear:
        """Return 1 if somebody else takes the boat down the rapid, else 0."""
        return add_up(v for (_, b, r), v in self.rows.items() if (b, r) == (boat, rapid))

    def count_things(
        self,
        names: frozenset[str],
        boat: str,
        *,
        stowed: bool,
        ashore: frozenset[str] = frozenset(),
        rapid: str = "",
    ) -> Linear:
        """Return how many of the items `names` a boat has: dealt, worn of one's own, crew paddles.

        What those `ashore` wear is not there; their paddles are. Nor is what is worn by who rows
        twice at the `rapid`.
        A name that starts with CREW_PADDLE stands for the boat's crew paddles of that item.
        """
        terms: list[cp_model.LinearExprT] = [
            variable
            for (i, b, w), variable in self._pack_of(boat)
            if i in names and b == boat and (stowed or w != "stowed")
        ]
        for p in self.paddlers[boat]:
            own = sum(n for name, n in self.trip.paddlers[p].wears.items() if name in names)
            if own and p not in ashore:
                terms.append(own * self.seat[p, boat])
                away = self.away(p, boat, rapid)
                terms += [] if away is None else [-own * away]
        paddle = self.trip.boats[boat].type.crew_paddle
        if paddle is not None and CREW_PADDLE + paddle in names:
            terms += [self.seat[p, boat] for p in self.paddlers[boat]]
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
            n
            for p in self.paddlers[boat]
            for i, n in self.trip.paddlers[p].wears.items()
            if i in names
        )
        paddle = self.trip.boats[boat].type.crew_paddle
        crew = 0
        if paddle is not None and CREW_PADDLE + paddle in names:
            crew = asks.crew_paddles(self.trip.boats[boat], self.trip.boats[boat].type.seats)
        return dealt + own + crew

    def people_at(self, names: frozenset[str], boat: str, when: When, site: str) -> Linear:
        """Return how many of `names` stand at `site` by this boat: 0 if it is elsewhere."""
        return self._product("people", names, boat, (*when, site))

    def crowd_at(self, names: frozenset[str], boat: str, when: When, site: str) -> Linear:
        """Return no fewer than those of `names` who stand at `site` by this boat.

        `people_at` may fall short of them, which is right for who helps and wrong for who is to
        be looked after.
        """
        stands = self.list_waits(boat, *when, site)
        most = self.most_people(names, boat)
        if not stands or most == 0:
            return add_up(())
        key = ("crowd", names, boat, when, site)
        if key not in self._at:
            here = self.model.new_int_var(0, most, f"crowd[{len(self._at)},{boat},{site}]")
            count = self.count_people(names, boat)
            self.model.add(here >= count + most * add_up(stands) - most)
            self._at[key] = here
        return self._at[key]

    def things_at(self, names: frozenset[str], boat: str, when: When, site: str) -> Linear:
        """Return how many of the items `names` this boat brings to `site`, worn and quick."""
        return self._product("things", names, boat, (*when, site))

    def _product(
        self, what: str, names: frozenset[str], boat: str, at: tuple[str, int, str]
    ) -> Linear:
        rapid, k, site = at
        stands = self.list_waits(boat, rapid, k, site)
        key = (what, names, boat, at)
        if key in self._at:
            return self._at[key]
        if what == "people":
            most = self.most_people(names, boat)
            count = self.count_people(names, boat, rapid)
        else:
            most, count = (
                self.most_things(names, boat),
                self.count_things(
                    names,
                    boat,
                    stowed=False,
                    ashore=asks.list_walkers(self.trip, self.trip.rapids[rapid]),
                    rapid=rapid,
                ),
            )
        if most == 0 or not stands:
            return add_up(())
        here = self.model.new_int_var(
            0, most, f"{what}[{len(self._at)},{boat},{','.join(map(str, at))}]"
        )
        self._at[key] = here
        self.model.add(here <= count)
        self.model.add(here <= most * add_up(stands))
        split = self._split.setdefault((what, rapid, k, names, boat), [])
        split.append(here)
        if len(split) > 1:
            self.model.add(add_up(split) <= count)
        return here


def list_stations(rapid: Rapid) -> list[Station]:
    """Return where a boat may wait at a rapid, before its run and after."""
    return [
        *((BEFORE, station) for station in asks.stations_before(rapid)),
        *((AFTER, station) for station in asks.stations_after(rapid)),
    ]


def may_lie(item: Item, carried: str, boat_type: BoatType) -> bool:
    """Say whether the plan may deal the item out to lie so; personal things are never dealt."""
    if not asks.fits_boat(item, boat_type, carried):
        return False
    if item.worn_on == "body":
        return carried != "worn" and carried in item.carried
    if carried == "worn":
        return carried in item.carried and item.worn_on in {"vest", "waist"}
    return carried in item.carried
