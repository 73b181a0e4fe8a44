"""What each remedy closes: what opens without it, all else packed and seated as it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations, islice
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.decide.afresh import make_hurt
from kitplan.decide.missed import NOTHING, Lost, Missed, Standing
from kitplan.needs import derive_needs
from kitplan.needs.shortfalls import list_shortfalls
from kitplan.needs.widen import apply
from kitplan.remedies import BRING, BUY

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from kitplan.demands import Needs
    from kitplan.plan import Arrangement, Packed, Plan, Shortfall
    from kitplan.remedies import Remedy
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

MOST_WAYS = 12  # of leaving copies of an item out, in one leg


@dataclass(frozen=True, slots=True)
class Closed:
    """What a remedy closes.

    `lost`: what rapids lose without it. `short`: where it would fall short of rules and spreads by
    more. `steers`: boats that nobody aboard could steer without it; their cover is counted as if
    they ran all the same. `proven`: no other stations lose less. `asked`: it was asked in time.
    """

    remedy: Remedy
    lost: tuple[Lost, ...] = ()
    short: tuple[Shortfall, ...] = ()
    steers: tuple[str, ...] = ()
    proven: bool = True
    asked: bool = True

    @property
    def uncovered(self) -> int:
        """Return how many cases would be covered from nowhere."""
        return sum(len(one.uncovered) for one in self.lost)

    @property
    def one_bank(self) -> int:
        """Return for how many other cases a bank would be lost."""
        return sum(len(one.one_bank) for one in self.lost)


def list_closed(
    trip: Trip, remedies: Sequence[Remedy], made: tuple[Trip, Needs, Plan], clock: Clock
) -> list[Closed]:
    """Return what each of the remedies closes; `made`: the trip with them, its needs and plan.

    Of copies bought those are left out without which least is lost.
    """
    whole, needs, plan = made
    base = Standing(whole, needs, plan.arrangement, clock)
    had = {rapid: base.stay(rapid) for rapid in base.cases}
    rows = []
    for one in remedies:
        if clock.left_s():
            rest = apply(trip, [other for other in remedies if other != one])
            rows.append(_Without(one, rest, (whole, needs, plan), had, clock).tell())
        else:
            rows.append(Closed(one, proven=False, asked=False))
    return rows


class _Without:
    """The trip with all remedies but one."""

    def __init__(
        self,
        remedy: Remedy,
        rest: Trip,
        made: tuple[Trip, Needs, Plan],
        had: dict[str, Missed],
        clock: Clock,
    ) -> None:
        self.remedy, self.rest, self.had, self.clock = remedy, rest, had, clock
        self.whole, self.needs, self.plan = made
        self.proven = True

    def tell(self) -> Closed:
        """Return what opens without it."""
        lost = [row for leg in range(len(self.whole.legs)) for row in self._find_least(leg)]
        lost.sort(key=lambda row: row.rise, reverse=True)
        return Closed(
            self.remedy, tuple(lost), self._find_short(), self._find_steers(), self.proven
        )

    def _find_least(self, leg: int) -> list[Lost]:
        """Return what the rapids of a leg lose, of all ways of doing without it the least."""
        ways = [self._find_lost(leg, one) for one in self._list_arrangements(leg)]
        return min(ways, key=_add_up)

    def _list_arrangements(self, leg: int) -> list[Arrangement]:
        """Return how all may be packed and seated in a leg without the remedy."""
        arrangement = self.plan.arrangement
        if self.remedy.sort == BUY:
            return [
                replace(arrangement, packed=packed)
                for packed in list_fewer(self.rest, arrangement.packed, self.remedy.name, leg)
            ]
        if self.remedy.sort == BRING:
            return [_send_home(arrangement, self.remedy.name)]
        return [arrangement]

    def _find_lost(self, leg: int, arrangement: Arrangement) -> list[Lost]:
        names = [name for name in self.had if self.whole.rapids[name].leg == leg]
        there = {name: self.rest.rapids[name] for name in names}
        needs = derive_needs(replace(self.rest, rapids=there))
        standing = Standing(self.rest, needs, arrangement, self.clock)
        rows = [self._compare(standing, name) for name in names]
        self.proven &= standing.proven
        return [row for row in rows if row.rise > NOTHING]

    def _compare(self, standing: Standing, rapid: str) -> Lost:
        """Return what a rapid loses; stations are chosen anew only where it loses something."""
        needs, had = self.needs, self.had[rapid]
        stay = standing.stay(rapid)
        if stay.weigh(needs) <= had.weigh(needs):
            return stay.lose(needs, rapid, had)
        found = standing.list_missed(rapid)
        return min(found, key=lambda one: one.weigh(needs)).lose(needs, rapid, had)

    def _find_short(self) -> tuple[Shortfall, ...]:
        """Return where it falls short by more; who is not brought is there, and does nothing."""
        rest, arrangement = self.rest, self.plan.arrangement
        if self.remedy.sort == BRING:
            hurt = make_hurt(self.whole.paddlers[self.remedy.name])
            rest = replace(self.whole, paddlers=self.whole.paddlers | {hurt.name: hurt})
        packed = arrangement.packed
        for leg in range(len(self.whole.legs)) if self.remedy.sort == BUY else ():
            packed = next(iter(list_fewer(rest, packed, self.remedy.name, leg)), packed)
        had = {(row.name, row.day, row.boat): row.short for row in self.plan.shortfalls}
        return tuple(
            row
            for row in list_shortfalls(rest, replace(arrangement, packed=packed))
            if row.short > had.get((row.name, row.day, row.boat), 0)
        )

    def _find_steers(self) -> tuple[str, ...]:
        """Return the boats, as they are called, that nobody aboard could steer."""
        arrangement = self.plan.arrangement
        ask = asks.level_everywhere if arrangement.twice else asks.boat_level
        boats = []
        for boat, crew in sorted(arrangement.crew.items()):
            there = [self.rest.paddlers[name] for name in crew if name in self.rest.paddlers]
            skill = self.whole.boats[boat].type.skill
            level = ask(self.whole, boat, guests_aboard=any(one.guest for one in there))
            if not any(one.level(skill) >= level and not one.minded for one in there):
                boats.append(self.whole.boats[boat].called)
        return tuple(dict.fromkeys(boats))


def _add_up(rows: list[Lost]) -> tuple[int, int]:
    return sum(row.rise[0] for row in rows), sum(row.rise[1] for row in rows)


def _send_home(arrangement: Arrangement, name: str) -> Arrangement:
    """Return an arrangement without somebody; what was dealt to him to wear lies in his boat."""
    crew = {boat: tuple(p for p in row if p != name) for boat, row in arrangement.crew.items()}
    steerer = {
        b: p if p != name else next(iter(crew[b]), "") for b, p in arrangement.steerer.items()
    }
    packed = [
        replace(row, carried="quick", worn_by="") if row.worn_by == name else row
        for row in arrangement.packed
    ]
    return replace(arrangement, crew=crew, steerer=steerer, packed=_join(packed))


def _join(rows: list[Packed]) -> tuple[Packed, ...]:
    counts: dict[Packed, int] = {}
    for row in rows:
        one = replace(row, count=0)
        counts[one] = counts.get(one, 0) + row.count
    return tuple(sorted(replace(row, count=count) for row, count in counts.items() if count))


def list_fewer(
    rest: Trip, packed: tuple[Packed, ...], item: str, leg: int
) -> Iterator[tuple[Packed, ...]]:
    """Yield ways to leave out the copies of an item in a leg that there are not in the trip.

    The first `MOST_WAYS` of them, those places last in order of boats first; all as it is where
    there are enough.
    """
    here = set(rest.legs[leg].boats)
    owned = rest.kit[item].count if item in rest.legs[leg].kit else 0
    rows = [row for row in packed if row.item == item and row.boat in here]
    copies = [replace(row, count=1) for row in rows for _ in range(row.count)]
    over = max(0, len(copies) - owned)
    others = [row for row in packed if row not in rows]
    kept = dict.fromkeys(combinations(copies, len(copies) - over))
    for some in islice(kept, MOST_WAYS):
        yield _join([*others, *some])
