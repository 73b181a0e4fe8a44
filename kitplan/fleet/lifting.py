"""Lists that do for all trips: what a few of them need, lifted until all reach their goals.

First each trip packs without lists, and what the plans have in common becomes lists, the rest
extras: dear, but they can be ordered. Trips make room then for lists that most have room for, and
trip by trip is planned anew while the others pack as they do. Another start are lists lifted by
what each trip lacks. Every copy that no trip misses is left out at last, and others are tried for
each that one does. A trip whose plan has room for less, or that has none with lists, only leaves
less for all of them to share.
Nothing here is a bound.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.fleet.checks import BRIEF, NEARBY, Asked, Check
from kitplan.fleet.nouns import Line, Lists
from kitplan.fleet.packing import share, share_crowded, touches
from kitplan.solve.run import Budget

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from kitplan.fleet.nouns import Fleet, Goal
    from kitplan.fleet.packing import Aboard
    from kitplan.fleet.pool import Trialling
    from kitplan.solve.run import Clock

    Checks = dict[str, Check]

UNITS = 4.0  # the solver's deterministic time for lists that plans have in common
MUCH = 2**60  # more than any lists cost
CROWDED = 6  # boats without room for their lists that weigh as much as the extras of a trip
AT_ONCE = 2  # trips that are asked side by side, however many processes there are


class Lifting:
    """Makes lists for all trips, and makes them cheaper."""

    def __init__(
        self,
        fleet: Fleet,
        goals: dict[str, Goal],
        trialling: Trialling,
        clock: Clock,
        share: float,
    ) -> None:
        """Begin with trips in the order of their names."""
        self.fleet, self.goals, self.trialling = fleet, goals, trialling
        self.clock, self.share = clock, share
        self.lists = Lists()
        self.checks: Checks = {}
        self._plans: dict[str, tuple[Aboard, ...]] = {}  # what trips packed last
        self._names = sorted(goals)  # who falls short soonest comes first

    def list_first(
        self, watch: Callable[[str], None], until: float = 1.0
    ) -> Iterator[tuple[Lists, Checks]]:
        """Yield lists soon, of what plans with people where they were have in common.

        Then cheaper ones, each trip planned anew, until that share of the limit is spent.
        """
        lists = Lists()
        for done, names in enumerate(batched(self._names)):
            watch(f"lists near the start, {AT_ONCE * done} of {len(self._names)} trips")
            base = Lists(lists.issued, lists.worn)
            self._note(names, self.trialling.lift_near(self._ask(names, base), self.goals))
            lists = self._share(self._plans) or lists
        yield from self._share_plans(watch)
        yield from self._make_room(until, watch)
        yield from self._refit(until, watch)

    def list_better(
        self, lists: Lists, watch: Callable[[str], None]
    ) -> Iterator[tuple[Lists, Checks]]:
        """Yield lists that are ever cheaper, from those that trips are known to need at least."""
        least = self._cost
        for one, checks in self._list_from_starts(lists, watch):
            if self.fleet.weigh(one) < least:
                least = self.fleet.weigh(one)
                yield one, checks

    def _list_from_starts(
        self, lists: Lists, watch: Callable[[str], None]
    ) -> Iterator[tuple[Lists, Checks]]:
        """Yield lists lifted from some, then what is left of these and of the first, thinned out.

        The cheaper ones are thinned out first.
        """
        yield from self._refit(self.share, watch)
        starts = [(self._cost, self.lists, self.checks)]
        self._lift_all(lists, watch)
        yield from self._refit(self.share, watch)
        starts.append((self._cost, self.lists, self.checks))
        for _, self.lists, self.checks in sorted(starts, key=lambda row: row[0]):
            if self.checks:
                yield self.lists, self.checks
                yield from self._thin_out(self._drop, "without", watch)
                yield from self._thin_out(self._exchange, "something else for", watch)

    def _lift_all(self, lists: Lists, watch: Callable[[str], None]) -> None:
        """Take lists lifted from some, or what the plans that come of it have in common."""
        weights = {name: self._weigh(self.checks.get(name)) for name in self._names}
        self._names.sort(key=lambda name: -weights[name])
        watch("lists lifted trip by trip")
        lifted = self._lift(Lists(lists.issued, lists.worn))
        self.checks = {}
        if lifted is not None:
            self._settle(lifted)
        for _ in self._share_plans(watch):
            pass

    def _share_plans(self, watch: Callable[[str], None]) -> Iterator[tuple[Lists, Checks]]:
        """Yield lists that all trips keep to as they were planned last, while these get cheaper.

        With new lists each trip is planned anew, its people where they were.
        """
        while set(self._plans) == set(self._names):
            watch("what the plans have in common")
            lists = self._share(self._plans)
            if lists is None or self.fleet.weigh(lists) >= self._cost:
                return
            if not self._settle(lists):
                return
            yield self.lists, self.checks

    def _refit(self, until: float, watch: Callable[[str], None]) -> Iterator[tuple[Lists, Checks]]:
        """Yield cheaper lists, each trip planned anew while the others pack as they do.

        Those that bring most extras come first; until that share of the limit is spent, or until
        no trip makes lists cheaper.
        """
        cost = MUCH
        while self._cost < cost:
            cost = self._cost
            self._begin_from_checks()
            by_extras = sorted(self._names, key=lambda n: (-self._weigh(self.checks[n]), n))
            for names in batched(by_extras):
                lists = self._share(self._plans) if self.clock.left_s(until) else None
                if lists is None:
                    break
                watch(f"{' and '.join(names)} anew")
                asked = [Asked(name, lists) for name in names]
                self._take(names, self.trialling.refit(asked, self._plans, self.goals))
            yield from self._share_plans(watch)

    def _make_room(
        self, until: float, watch: Callable[[str], None]
    ) -> Iterator[tuple[Lists, Checks]]:
        """Yield cheaper lists for which some trips have to make room, as long as there are any."""
        cost = MUCH
        while self._cost < cost and self.lists.extras:
            cost = self._cost
            self._begin_from_checks()
            self._ask_crowded(until, watch)
            yield from self._share_plans(watch)

    def _ask_crowded(self, until: float, watch: Callable[[str], None]) -> None:
        """Plan trips anew with lists that they have no room for, and others have.

        One that has no plan so takes of them what it likes, and lists are made again that it has
        room for.
        """
        extras = self.fleet.weigh(Lists(extras=self.lists.extras))
        penalty = extras // (len(self._names) * CROWDED)
        budget = Budget(self.clock, 1.0, UNITS, linear=2)
        before = dict(self._plans)
        firm: dict[str, tuple[Aboard, ...]] = {}
        while self.clock.left_s(until):
            shared = share_crowded(self.fleet, self._plans, firm, penalty, budget)
            if shared is None or not shared[1] or self.fleet.weigh(shared[0]) >= self._cost:
                return
            lists, crowded = shared[0], [name for name in self._names if name in shared[1]]
            for names in batched(crowded):
                watch(f"{' and '.join(names)} with room for lists, {len(crowded)} trips have none")
                found = self.trialling.check(self._ask(names, lists), self.goals, NEARBY)
                self._note(names, found)
                short = [n for n, one in zip(names, found, strict=True) if one.lists is None]
                if short:
                    asked = self._ask(short, lists)
                    self._note(short, self.trialling.lift_near(asked, self.goals))
                    firm |= {name: self._plans[name] for name in short}
                    # The others were planned for lists that can't be.
                    self._plans = {**before, **firm}
                    for name in short:
                        self._put_first(name)
                    break

    def _take(self, names: Sequence[str], checks: Iterable[Check]) -> None:
        """Keep the plans of trips if lists for all of them cost no more than for any one alone.

        Else keep the one alone that makes them cheapest.
        """
        found = dict(zip(names, checks, strict=True))
        costs = {n: self.fleet.weigh(c.lists) for n, c in found.items() if c.lists is not None}
        plans = {n: found[n].aboard for n in costs}
        lists = self._share({**self._plans, **plans})
        if lists is None or self.fleet.weigh(lists) > min(costs.values(), default=MUCH):
            plans = {n: plans[n] for n in sorted(plans, key=lambda n: (costs[n], n))[:1]}
        self._plans.update(plans)

    def _begin_from_checks(self) -> None:
        """Go on from what trips pack with the best lists."""
        self._plans = {name: check.aboard for name, check in self.checks.items()}

    def _share(self, plans: dict[str, tuple[Aboard, ...]]) -> Lists | None:
        return share(self.fleet, plans, Budget(self.clock, 1.0, UNITS, linear=2))

    @property
    def _cost(self) -> int:
        """Return what the best lists cost; without any, more than all lists."""
        return self.fleet.weigh(self.lists) if self.checks else MUCH

    def _settle(self, lists: Lists) -> bool:
        """Take lists, with the extras that trips lack, if all do with them at less than before.

        Say whether they do. What each trip packs with them is kept all the same.
        """
        found = self.trialling.check(self._ask(self._names, lists), self.goals, NEARBY)
        self._note(self._names, found)
        whole = Lists(lists.issued, lists.worn)
        for check in found:
            if check.lists is None:
                return False
            whole = whole.join(Lists(extras=check.lists.extras))
        if self.fleet.weigh(whole) >= self._cost:
            return False
        self.lists = whole
        self.checks = {
            name: replace(check, reached=True)
            for name, check in zip(self._names, found, strict=True)
        }
        return True

    def _note(self, names: Iterable[str], checks: Iterable[Check]) -> None:
        """Keep what trips pack as they were planned last."""
        self._plans.update(
            (n, check.aboard) for n, check in zip(names, checks, strict=True) if check.aboard
        )

    @property
    def _in_time(self) -> bool:
        return self.clock.left_s(self.share) > 0

    def _weigh(self, check: Check | None) -> int:
        """Return what the extras cost that a trip asks for; 0 if that is not known."""
        return (
            0
            if check is None or check.lists is None
            else self.fleet.weigh(Lists(extras=check.lists.extras))
        )

    def _ask(self, names: Sequence[str], lists: Lists) -> list[Asked]:
        return [Asked(name, lists.of_trip(name)) for name in names]

    def _lift(self, lists: Lists) -> Lists | None:
        """Return lists with what each trip lacks, a few trips at a time; None: no time for all."""
        for names in batched(self._names):
            if not self._in_time:
                return None
            found = self.trialling.lift(self._ask(names, lists), self.goals)
            self._note(names, found)
            for check in found:
                if check.lists is not None:
                    lists = lists.join(check.lists)
        return lists

    # --- fewer copies, or others --------------------------------------------------------------

    def _thin_out(
        self, less: Callable[[Line], Checks | None], words: str, watch: Callable[[str], None]
    ) -> Iterator[tuple[Lists, Checks]]:
        """Yield cheaper lists for each line of which a copy less is enough, dearest first."""
        kept: set[tuple[str, object]] = set()
        while self._in_time:
            lines = [one for one in self.lists.list_lines() if (one.what, one.key) not in kept]
            if not lines:
                return
            line = max(lines, key=lambda one: self._price(self.lists, one))
            watch(f"{words} {line.item}, {len(lines)} lines left")
            checks = less(line)
            if checks is None:
                kept.add((line.what, line.key))
                continue
            self.checks = checks
            yield self.lists, checks

    def _price(self, lists: Lists, line: Line) -> int:
        """Return what one copy less of a line saves."""
        return self.fleet.weigh(lists) - self.fleet.weigh(lists.less_one(line))

    def _drop(self, line: Line) -> Checks | None:
        """Leave out a copy if no trip that it is for falls short; else say None."""
        lists = self.lists.less_one(line)
        names = [n for n in self._names if line.what != "extra" or line.key[0] == n]
        found: Checks = {}
        names = [n for n in names if touches(line, self.checks[n].aboard)]
        for few in batched(names):
            checks = self.trialling.check(self._ask(few, lists), self.goals, BRIEF)
            for name, check in zip(few, checks, strict=True):
                if not check.reached:
                    self._put_first(name)
                    return None
                found[name] = check
        self.lists = lists
        return {**self.checks, **found}

    def _exchange(self, line: Line) -> Checks | None:
        """Leave out a copy if what trips need in its place is cheaper; else say None."""
        cost, lists = self.fleet.weigh(self.lists), self.lists.less_one(line)
        for few in batched(self._names):
            if not self._in_time:
                return None
            below = {name: cost - self._weigh_other_extras(lists, name) for name in few}
            asked = self._ask(few, lists)
            for name, check in zip(
                few, self.trialling.lift(asked, self.goals, line, below), strict=True
            ):
                if check.lists is None:
                    self._put_first(name)
                    return None
                lists = lists.join(check.lists)
            if self.fleet.weigh(lists) >= cost:
                return None
        return self.checks if self._settle(lists) else None

    def _weigh_other_extras(self, lists: Lists, name: str) -> int:
        """Return what the extras of all trips but one cost."""
        others = {key: n for key, n in lists.extras.items() if key[0] != name}
        return self.fleet.weigh(Lists(extras=others))

    def _put_first(self, name: str) -> None:
        self._names.remove(name)
        self._names.insert(0, name)


def batched(names: list[str]) -> list[list[str]]:
    """Return names a few at a time, in their order."""
    return [names[first : first + AT_ONCE] for first in range(0, len(names), AT_ONCE)]
