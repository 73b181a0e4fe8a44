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
    from collections.abc import Iterable, Iterator

    from kitplan.demands import Thing
    from kitplan.trip import BoatType, Item, Leg, Rapid, Trip

    Station = tuple[str, str]  # BEFORE or AFTER its own run, and where
    StationKey = tuple[str, int, int | None, Station]
    When = tuple[str, int]  # a rapid, and which boat in the running order runs

Linear = cp_model.LinearExpr
Count = Linear | int  # a number where it is decided
Literal = cp_model.IntVar | int
CREW_PADDLE, IN_BUNDLE = "crew paddle: ", "in a bundle: "
BEFORE, AFTER = "before", "after"


def add_up(terms: Iterable[cp_model.LinearExprT]) -> Linear:
    """Return the sum of the terms as an expression of the solver; 0 for none."""
    return cp_model.LinearExpr.sum(list(terms))


def add_up_counts(counts: Iterable[Count]) -> Count:
    """Return the sum of counts: a number if all are decided."""
    terms = list(counts)
    known = [term for term in terms if isinstance(term, int)]
    return sum(known) if len(known) == len(terms) else add_up(terms)


class Variables:
    """What the solver decides for a trip at the given rapids, in the legs that these lie in.

    `place[b, k]`: the boat is the k-th of its leg to run, counted from 0; `rank[boats, b, k]`: the
    k-th of those that pass a rapid by themselves. `ahead[b, c]`: one runs before the other.
    `station[rapid, j, k, s]`: while the k-th boat of a rapid runs, the j-th one waits so: `s` is
    ("before", site) if it is still to run, else ("after", site). Where stations are held, they are
    the same whichever boat runs, and k is None. `stow[lot, boat]`: so many of a lot of stores.

    Of a widened trip: `bought[item]`, no less than what is taken and not owned; `taught[p]`: he is
    who comes of those that a person may be; `alike[person]`: all of these, himself too.
    """

    def __init__(
        self,
        trip: Trip,
        rapids: Iterable[str],
        *,
        all_legs: bool = True,
        twice: bool = False,
        model: cp_model.CpModel | None = None,
    ) -> None:
        """Create seats, packing and running order, and stations at `rapids`.

        Without `all_legs` only the legs of these rapids are there; with `twice` somebody may row a
        second boat down one of the rapids. With `model` they are added to it: several trips may
        share one. Then `list_decisions` is of no use.
        """
        self.twice, self.all_legs = twice, all_legs
        self.trip = trip
        self.model = cp_model.CpModel() if model is None else model
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
        self.taken = self._create_taken()
        self.pack = self._create_packing()
        self._pack_of: dict[str, dict[tuple[str, str], cp_model.IntVar]] = {
            b: {(i, w): variable for (i, boat, w), variable in self.pack.items() if boat == b}
            for b in self.boats
        }
        self.place = self._create_order()
        self.ahead = self._create_pairs()
        self.rank = self._create_ranks()
        self.station = self._create_stations()
        self.rows = self._create_rowers()
        # A rapid by itself is asked what it could do at best: stores only take from that.
        self.lots = asks.name_lots(asks.list_lots(trip)) if all_legs else {}
        self.stow = self._create_stowing()
        self.decided = len(self.model.proto.variables)  # so many variables are decisions
        self.bought = self._create_bought()
        self.taught = {
            p: self.model.new_bool_var(f"taught[{p}]")
            for p, paddler in sorted(trip.paddlers.items())
            if paddler.taught
        }
        self.alike: dict[str, list[str]] = {p: [p] for p in trip.paddlers}
        for p in self.taught:
            self.alike[trip.paddlers[p].taught].append(p)
        self._away: dict[tuple[str, str, str], cp_model.IntVar] = {}
        self._bare: dict[tuple[str, str], cp_model.IntVar] = {}
        self._contents = {
            i: [(IN_BUNDLE + one.name, n) for one, n in trip.kit[i].item.contains]
            for i in self.items
        }

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
                if paddler.level(kind.skill) >= least and not paddler.minded:
                    steer[p, b] = self.model.new_bool_var(f"steer[{p},{b}]")
        return steer

    def _create_taken(self) -> dict[str, cp_model.IntVar]:
        return {
            i: self.model.new_int_var(0, self.trip.kit[i].count, f"taken[{i}]") for i in self.items
        }

    def _create_bought(self) -> dict[str, cp_model.IntVar]:
        kits = {i: self.trip.kit[i] for i in self.items}
        bought = {
            i: self.model.new_int_var(0, kit.offered, f"bought[{i}]")
            for i, kit in kits.items()
            if kit.offered
        }
        for i, number in bought.items():
            if i in self.taken:
                self.model.add(number >= self.taken[i] - kits[i].owned)
        return bought

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

    def _create_stations(self) -> dict[StationKey, cp_model.IntVar]:
        stations = {}
        for rapid in self.rapids:
            for j, moment, when in self.list_moments(len(rapid.boats)):
                for s in list_stations(rapid):
                    if s[0] == when:
                        name = f"station[{rapid.name},{j},{moment},{','.join(s)}]"
                        stations[rapid.name, j, moment, s] = self.model.new_bool_var(name)
        return stations

    def list_moments(self, places: int) -> Iterable[tuple[int, int | None, str]]:
        """Return each j and k, and whether the j-th boat waits before its run then or after."""
        held = self.trip.stations == HELD
        moments = (
            (j, None if held else k, BEFORE if j > k else AFTER)
            for j in range(places)
            for k in range(places)
            if j != k
        )
        return dict.fromkeys(moments)

    def _create_rowers(self) -> dict[tuple[str, str, str], cp_model.IntVar]:
        return {
            (p, b, rapid.name): self.model.new_bool_var(f"rows[{p},{b},{rapid.name}]")
            for rapid in self.rapids
            if self.twice
            for b in sorted(rapid.boats)
            for p in sorted(asks.list_rowers(self.trip, b, rapid))
        }

    def _create_stowing(self) -> dict[tuple[str, str], cp_model.IntVar]:
        return {
            (name, b): self.model.new_int_var(0, lot.count, f"stow[{name};{b}]")
            for leg in self.legs
            for name, lot in self.lots.items()
            if lot.first_day <= leg.last_day and lot.last_day >= leg.first_day
            for b in sorted(leg.boats)
            if asks.fits_hold(lot, self.trip.boats[b].type)
        }

    def list_decisions(self, model: cp_model.CpModel) -> Iterator[tuple[str, cp_model.IntVar]]:
        """Yield the kind of each decision, and its variable in the model or a clone of it."""
        for index in range(self.decided):
            variable = model.get_int_var_from_proto_index(index)
            yield variable.name.partition("[")[0], variable

    # --- order ----------------------------------------------------------------------------------

    def list_running(self, rapid: Rapid, _k: int) -> list[str]:
        """Return the boats that may be the k-th of those at the rapid to run, sorted."""
        return sorted(rapid.boats)

    def runs(self, rapid: Rapid, boat: str, k: int) -> Literal:
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

    def stands(self, rapid: Rapid, j: int, k: int, site: str) -> cp_model.IntVar | None:
        """Return the literal of the j-th boat being there while the k-th runs, or None: never."""
        name, j, moment, when = self.moment(rapid, j, k)
        return self.station.get((name, j, moment, (when, site)))

    def moment(self, rapid: Rapid, j: int, k: int) -> tuple[str, int, int | None, str]:
        """Return the key of what the j-th boat does while the k-th runs, its site left out."""
        held = self.trip.stations == HELD
        return rapid.name, j, None if held else k, BEFORE if j > k else AFTER

    # --- counts ---------------------------------------------------------------------------------

    def sits(self, person: str, boat: str) -> cp_model.LinearExprT:
        """Return 1 if a person sits in a boat, be he taught or not, else 0."""
        alike = [self.seat[p, boat] for p in self.alike[person]]
        return alike[0] if len(alike) == 1 else add_up(alike)

    def count_owned(self, thing: Thing) -> Linear:
        """Return how many things that serve the party has, with what is bought, worn too."""
        terms: list[cp_model.LinearExprT] = []
        for i, kit in self.trip.kit.items():
            pieces = sum(n for one, n in kit.item.list_pieces() if asks.serves(one, thing))
            terms += [pieces * kit.owned] + ([pieces * self.bought[i]] if i in self.bought else [])
        items = self.trip.catalog.items
        worn = (p.wears.items() for p in self.trip.paddlers.values() if not p.taught)
        terms += [n for own in worn for i, n in own if asks.serves(items[i], thing)]
        return add_up(terms)

    def count_people(self, names: frozenset[str], boat: str, rapid: str = "") -> Count:
        """Return how many of the paddlers `names` sit in the boat, but for who rows twice there."""
        people = [p for p in self.paddlers[boat] if p in names]
        away = [self.away(p, boat, rapid) for p in people]
        seats = [self.seat[p, boat] for p in people]
        return add_up([*seats, *(-1 * one for one in away if one is not None)])

    def away(self, paddler: str, boat: str, rapid: str) -> cp_model.IntVar | None:
        """Return what is 1 if he sits in a boat and rows another one down the rapid; None: never.

        It may be 1 without cause, which helps nobody.
        """
        if not self.rows:
            return None
        rows = [self.rows[key] for key in self._list_rows(paddler, rapid) if key[1] != boat]
        if not rows:
            return None
        key = (paddler, boat, rapid)
        if key not in self._away:
            self._away[key] = self.model.new_bool_var(f"away[{','.join(key)}]")
            self.model.add(self._away[key] >= self.seat[paddler, boat] + add_up(rows) - 1)
        return self._away[key]

    def bare(self, paddler: str, boat: str) -> cp_model.IntVar | None:
        """Return what is 1 if he sits in a boat and rows another one down any rapid of its leg.

        Nothing is dealt to him then, in the whole leg. None: never. It may be 1 without cause.
        """
        leg = self.trip.boats[boat].leg
        aways = (self.away(paddler, boat, r.name) for r in self.rapids if r.leg == leg)
        there = [away for away in aways if away is not None]
        key = (paddler, boat)
        if there and key not in self._bare:
            self._bare[key] = self.model.new_bool_var(f"bare[{paddler},{boat}]")
            for away in there:
                self.model.add(self._bare[key] >= away)
        return self._bare.get(key)

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
    ) -> Count:
        """Return how many of the items `names` a boat has: dealt, worn of one's own, in bundles.

        What those `ashore` wear is not there; their paddles are. Nor is what is worn by who rows
        twice at the `rapid`.
        A name that starts with CREW_PADDLE stands for the boat's crew paddles of that item, one
        that starts with IN_BUNDLE for what is in its bundles.
        """
        terms: list[cp_model.LinearExprT] = [
            variable if n == 1 else n * variable
            for (i, w), variable in self._pack_of[boat].items()
            if stowed or w != "stowed"
            if (n := self._count_in(i, names))
        ]
        for p in self.paddlers[boat]:
            own = self._count_own(p, names)
            if own and p not in ashore:
                terms.append(own * self.seat[p, boat])
                away = self.away(p, boat, rapid)
                terms += [] if away is None else [-own * away]
        paddle = self.trip.boats[boat].type.crew_paddle
        if paddle is not None and CREW_PADDLE + paddle in names:
            terms += [self.seat[p, boat] for p in self.paddlers[boat]]
            terms.append(-1)
        return add_up(terms)

    def count_bundles(self, names: frozenset[str], boat: str) -> Count:
        """Return how many of the bundles `names` lie quick in a boat."""
        packed = self._pack_of[boat].items()
        return add_up(one for (i, w), one in packed if i in names and w == "quick")

    def _count_in(self, item: str, names: frozenset[str]) -> int:
        """Return how many of `names` one copy of an item is and has in it."""
        return (item in names) + sum(n for one, n in self._contents[item] if one in names)

    def _count_own(self, paddler: str, names: frozenset[str]) -> int:
        """Return how many of the items `names` somebody wears of his own."""
        wears = self.trip.paddlers[paddler].wears
        return sum(n for i, n in wears.items() if i in names) if wears else 0

    def most_people(self, names: frozenset[str], boat: str) -> int:
        """Return the most of `names` that the boat can seat."""
        return min(len(names), self.trip.boats[boat].type.seats)

    def most_bundles(self, names: frozenset[str], boat: str) -> int:
        """Return the most of the bundles `names` that may lie quick in the boat."""
        dealt = sum(self.trip.kit[i].count for i in names)
        return min(dealt, self.trip.boats[boat].type.quick_bulky)

    def most_things(self, names: frozenset[str], boat: str) -> int:
        """Return an upper bound of what the boat can have of `names`."""
        dealt = sum(self.trip.kit[i].count for i in names if i in self.trip.kit)
        packed = sum(
            n * self.trip.kit[i].count
            for i, contents in self._contents.items()
            for one, n in contents
            if one in names
        )
        own = sum(self._count_own(p, names) for p in self.paddlers[boat])
        paddle = self.trip.boats[boat].type.crew_paddle
        crew = 0
        if paddle is not None and CREW_PADDLE + paddle in names:
            crew = asks.crew_paddles(self.trip.boats[boat], self.trip.boats[boat].type.seats)
        return dealt + packed + own + crew


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
