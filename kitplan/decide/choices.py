"""What the leader may decide that has no price, and what each decision alone closes at the least.

But for a swap of boats seats and packing stay as they are: where boats wait is chosen anew, rapid
by rapid. So it is what comes of it at the least: with seats and kit anew it may be more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING

from kitplan.decide.advice import tell_before
from kitplan.decide.missed import NOTHING, Lost, Missed, Standing
from kitplan.explain.make import describe
from kitplan.needs import boat_level, derive_needs
from kitplan.needs.shortfalls import list_shortfalls
from kitplan.remedies import ACCEPT, PORTAGE, RESET_EACH, SWAP, WALK
from kitplan.solve.near import Near
from kitplan.trip import CLASSES, EXPOSURES, RESET
from kitplan.verify import find_broken

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from kitplan.demands import DemandKey, Needs
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Clock
    from kitplan.trip import BoatType, Rapid, Trip

ALL = 1_000_000  # moves: more than there can be


@dataclass(frozen=True, slots=True)
class Decision:
    """One decision, and what it alone closes at the least.

    `name`: a rapid as the file has it, an exposure, or a boat as it is called; "" for stations set
    anew. `to`: the class that is accepted then, or the type of the boat. `closed`: by rapid, what
    was missed and is not any more; `rise` is what aims 2 and 3 lose, less what else is missed then.
    `found`: cases that had no accepted technique and are covered, or not asked any more where a
    rapid is carried round. `short`: pieces, seats and so on of aim 1 that are short no more.
    `anew`: seats and packing were chosen anew for it.
    """

    sort: str
    name: str
    to: str
    closed: tuple[Lost, ...]
    found: int = 0
    short: int = 0
    anew: bool = False

    @property
    def worth(self) -> tuple[int, int, int, int]:
        """Return what decisions are ordered by: aims 1 to 3, then cases found a technique for."""
        rise = [sum(one.rise[aim] for one in self.closed) for aim in (0, 1)]
        return self.short, rise[0], rise[1], self.found


NONE = (0, 0, 0, 0)
"""The worth of a decision that closes nothing."""


@dataclass(frozen=True, slots=True)
class Decisions:
    """All decisions that close something, the most first.

    `untried`: swaps, boat and type, for which seats and packing were not chosen anew for want of
    time. `complete`: all else was asked, and time cut nothing short.
    """

    rows: tuple[Decision, ...]
    untried: tuple[tuple[str, str], ...]
    complete: bool


def list_decisions(
    trip: Trip, needs: Needs, arrangement: Arrangement, clock: Clock, watch: Callable[[str], None]
) -> Decisions:
    """Return what each decision closes, with seats and packing as an arrangement has them."""
    watch("what the leader may decide")
    leader = _Leader(trip, needs, arrangement, clock)
    rows = [*leader.list_portages(), *leader.list_changes()]
    watch("other boats")
    swaps, untried = leader.list_swaps()
    there = [one for one in (*rows, *swaps) if one.worth > NONE]
    there.sort(key=lambda one: (*(-worth for worth in one.worth), one.sort, one.name, one.to))
    return Decisions(tuple(there), tuple(untried), complete=leader.complete)


class _Leader:
    """Asks decision after decision against each rapid at its best as it is."""

    def __init__(self, trip: Trip, needs: Needs, arrangement: Arrangement, clock: Clock) -> None:
        self.trip, self.needs, self.clock = trip, needs, clock
        base = Standing(trip, needs, arrangement, clock)
        base.settle()
        self.complete = base.proven
        self.arrangement = base.arrangement
        self.plan = describe(trip, needs, base.arrangement)
        self.had = {rapid: base.stay(rapid) for rapid in base.cases}
        self.gaps = [rapid for rapid, had in self.had.items() if had != Missed()]
        self.without: dict[str, int] = {}
        for row in needs.without_technique:
            self.without[row.rapid] = self.without.get(row.rapid, 0) + len(row.running)
        self.asked = {name: _list_asked(needs, name) for name in trip.rapids}
        self.short = sum(row.short for row in list_shortfalls(trip, arrangement))

    # --- at rapids --------------------------------------------------------------------------------

    def list_portages(self) -> Iterator[Decision]:
        """Yield what is closed where a rapid is carried round: nothing is asked there then."""
        for place, rapids in self._list_places(dict.fromkeys((*self.gaps, *self.without))).items():
            if all(rapid.run == "run" for rapid in rapids):
                names = [rapid.name for rapid in rapids]
                closed = [self._lose(name, Missed()) for name in names if name in self.gaps]
                found = sum(self.without.get(name, 0) for name in names)
                yield Decision(PORTAGE, place, "", tuple(closed), found)

    def list_changes(self) -> Iterator[Decision]:
        """Yield what is closed where guests walk, stations are set anew, or more is accepted.

        Of an exposure it is the least class from which something is closed.
        """
        for place, rapids in self._list_places(self.gaps).items():
            if all(self._may_walk(rapid) for rapid in rapids):
                walking = {rapid.name: replace(rapid, guests_walk=True) for rapid in rapids}
                changed = replace(self.trip, rapids=self.trip.rapids | walking)
                yield self._ask(Decision(WALK, place, "", ()), changed, walking)
        if self.trip.stations != RESET:
            changed = replace(self.trip, stations=RESET)
            yield self._ask(Decision(RESET_EACH, "", "", ()), changed, self.gaps)
        for exposure in EXPOSURES[1:]:
            accepted = (self._accept(exposure, level) for level in self._list_levels(exposure))
            yield from islice((row for row in accepted if row.worth > NONE), 1)

    def _list_levels(self, exposure: str) -> range:
        """Return the classes above what is accepted, the next one first."""
        return range(self.trip.accept[exposure] + 1, len(CLASSES) + 1)

    def _accept(self, exposure: str, level: int) -> Decision:
        """Return what is closed where an exposure is accepted up to a class."""
        changed = replace(self.trip, accept=self.trip.accept | {exposure: level})
        row = Decision(ACCEPT, exposure, CLASSES[level - 1], ())
        return self._ask(row, changed, dict.fromkeys((*self.gaps, *self.without)))

    def _list_places(self, names: Iterable[str]) -> dict[str, list[Rapid]]:
        """Return all passages of the rapids of some passages, by what the file calls them."""
        places = dict.fromkeys(self.trip.rapids[name].place for name in names)
        there = self.trip.rapids.values()
        return {place: [one for one in there if one.place == place] for place in places}

    def _may_walk(self, rapid: Rapid) -> bool:
        people = self.trip.list_party(self.trip.legs[rapid.leg]).values()
        path = rapid.left.path or rapid.right.path
        return (
            rapid.run == "run" and not rapid.guests_walk and path and any(p.guest for p in people)
        )

    def _ask(self, row: Decision, changed: Trip, rapids: Iterable[str]) -> Decision:
        """Return a decision with what it closes at some rapids of the trip as it is then."""
        names = list(rapids)
        there = {name: changed.rapids[name] for name in names}
        asked = derive_needs(replace(changed, rapids=there))  # each rapid asks for itself
        if row.sort == ACCEPT:
            names = [name for name in names if _list_asked(asked, name) != self.asked[name]]
        standing = Standing(changed, asked, self.arrangement, self.clock)
        closed, found = [], 0
        for rapid in names:
            rows = [self._compare(rapid, asked, one) for one in standing.list_missed(rapid)]
            best, more = max(rows, key=lambda one: (*one[0].rise, one[1]))
            if (*best.rise, more) > (*NOTHING, 0):
                closed.append(best)
                found += more
        self.complete &= standing.proven
        return replace(row, closed=tuple(closed), found=found)

    def _compare(self, rapid: str, asked: Needs, missed: Missed) -> tuple[Lost, int]:
        """Return what is closed of what a rapid missed, and how many new cases are covered.

        Cases that are new are no gaps of before, nor are banks that count only now.
        """
        old, had = self.needs.cases, self.had.get(rapid, Missed())
        one_bank = frozenset(
            key
            for key in missed.one_bank & old.keys()
            if key in had.one_bank or old[key].banks == asked.cases[key].banks
        )
        left = Missed(missed.uncovered & old.keys(), one_bank)
        new = [key for key in asked.cases if key.rapid == rapid and key not in old]
        return self._lose(rapid, left), sum(key not in missed.uncovered for key in new)

    def _lose(self, rapid: str, left: Missed) -> Lost:
        """Return what a rapid would lose again if it missed what it had, and not what is left."""
        return self.had.get(rapid, Missed()).lose(self.needs, rapid, left)

    # --- boats ------------------------------------------------------------------------------------

    def list_swaps(self) -> tuple[list[Decision], list[tuple[str, str]]]:
        """Return what other boats close, and those for which seats were not chosen anew.

        First with seats and packing as they are, where they do; then anew, while there is time.
        """
        swaps = [
            (called, kind) for called in self._list_called() for kind in self._list_kinds(called)
        ]
        rows = {(called, kind.name): self._keep_seats(called, kind) for called, kind in swaps}
        untried = []
        for called, kind in swaps:
            anew = self._seat_anew(called, kind)
            if anew is None:
                untried.append((called, kind.name))
            else:
                rows[called, kind.name] = max(rows[called, kind.name], anew, key=lambda r: r.worth)
        return list(rows.values()), untried

    def _list_called(self) -> list[str]:
        return list(dict.fromkeys(boat.called for boat in self.trip.boats.values()))

    def _list_kinds(self, called: str) -> list[BoatType]:
        """Return the types that a boat may be swapped for, those most like it first."""
        [now, *_] = [boat.type for boat in self.trip.boats.values() if boat.called == called]
        kinds = [
            kind
            for kind in self.trip.catalog.boat_types.values()
            if kind.name != now.name and kind.seats >= now.seats and self._can_steer(called, kind)
        ]
        return sorted(kinds, key=lambda k: (k.craft != now.craft, k.skill != now.skill, k.seats))

    def _can_steer(self, called: str, kind: BoatType) -> bool:
        """Say whether there is somebody in each leg of the boat who can steer it then."""
        trip = self._swap(called, kind)
        boats = [boat for boat in trip.boats.values() if boat.called == called]
        return all(
            any(
                not one.minded
                and one.level(kind.skill) >= boat_level(trip, boat.name, guests_aboard=False)
                for one in trip.list_party(trip.legs[boat.leg]).values()
            )
            for boat in boats
        )

    def _swap(self, called: str, kind: BoatType) -> Trip:
        boats = {
            name: replace(boat, type=kind) if boat.called == called else boat
            for name, boat in self.trip.boats.items()
        }
        return replace(self.trip, boats=boats)

    def _keep_seats(self, called: str, kind: BoatType) -> Decision:
        row, trip = Decision(SWAP, called, kind.name, ()), self._swap(called, kind)
        late = self.clock.left_s() <= 0
        self.complete &= not late
        if late or find_broken(trip, self.plan):
            return row
        row = self._ask(row, trip, self.had)
        return replace(row, short=self._count_less(trip, self.arrangement))

    def _seat_anew(self, called: str, kind: BoatType) -> Decision | None:
        """Return what is closed with seats and packing anew; None: there was no time for it."""
        trip = self._swap(called, kind)
        if not self.clock.left_s():
            return None
        asked = derive_needs(trip)
        step = Near(trip, asked, tell_before(self.arrangement), self.clock).find_best(ALL)
        if step is None:
            return None
        standing = Standing(trip, asked, step.arrangement, self.clock)
        rows = [self._compare(rapid, asked, standing.stay(rapid)) for rapid in self.had]
        closed = tuple(one for one, _ in rows if one.rise != NOTHING)
        short = self._count_less(trip, step.arrangement)
        found = sum(more for _, more in rows)
        return Decision(SWAP, called, kind.name, closed, found, short, anew=True)

    def _count_less(self, trip: Trip, arrangement: Arrangement) -> int:
        return self.short - sum(row.short for row in list_shortfalls(trip, arrangement))


def _list_asked(needs: Needs, rapid: str) -> set[DemandKey]:
    return {key for key in needs.demands if key.rapid == rapid}
