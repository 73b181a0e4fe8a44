"""Lists that do for all trips: what a few of them need, lifted until all reach their goals.

Trip after trip adds the least to the lists that it reaches its goal with them. One that has no room
for all of that, or for which there is no time, is planned with its people where they are. What all
plans have in common becomes lists, the rest extras, so that no trip throws lists away for all. Then
all trips are packed anew at once with people where they are, and trip by trip is planned anew while
the others pack as they do. Every copy that no trip misses is left out at last, and others are tried
for each that one does.
Nothing here is a bound.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.fleet.checks import BRIEF, NEARBY, Asked, Check
from kitplan.fleet.nouns import Line, Lists
from kitplan.fleet.packing import share, touches
from kitplan.fleet.together import Together
from kitplan.solve.run import Budget

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from kitplan.fleet.nouns import Fleet, Goal
    from kitplan.fleet.packing import Aboard
    from kitplan.fleet.pool import Trialling
    from kitplan.solve.run import Clock

    Checks = dict[str, Check]

UNITS = 4.0  # the solver's deterministic time for lists that plans have in common
MUCH = 2**60  # more than any lists cost
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
        self._together = Together(fleet, goals, clock, trialling.workers)
        self._last: Checks = {}  # trips as they were planned last
        self._names = sorted(goals)  # who falls short soonest comes first

    def prepare(self) -> None:
        """Begin with what needs no lists, while the solver is at work on something else."""
        self._together.prepare()

    def list_first(
        self, lists: Lists, until: float, watch: Callable[[str], None]
    ) -> Iterator[tuple[Lists, Checks]]:
        """Yield lists lifted from some, or what the plans that come of it have in common.

        Each trip is looked at with all of it open until that share of the limit is spent.
        """
        for done, names in enumerate(batched(self._names)):
            watch(f"lists lifted, {AT_ONCE * done} of {len(self._names)} trips")
            found = {}
            if self.clock.left_s(until):
                lifted = self.trialling.lift(self._ask(names, lists), self.goals)
                found = dict(zip(names, lifted, strict=True))
            rest = [n for n in names if n not in found or found[n].lists is None]
            if rest:
                base = self._share(self._plans) or lists
                asked = self._ask(rest, Lists(base.issued, base.worn))
                near = self.trialling.lift_near(asked, self.goals)
                found |= dict(zip(rest, near, strict=True))
            self._note(found)
            for check in found.values():
                if check.reached and check.lists is not None:
                    lists = lists.join(Lists(check.lists.issued, check.lists.worn))
        yield from self._share_plans(watch)

    def list_better(self, watch: Callable[[str], None]) -> Iterator[tuple[Lists, Checks]]:
        """Yield ever cheaper lists: packed and planned anew, then what is left thinned out."""
        if self.checks:
            yield from self._improve(watch)
            yield from self._thin_out(self._drop, "without", watch)
            yield from self._thin_out(self._exchange, "something else for", watch)

    def _improve(self, watch: Callable[[str], None]) -> Iterator[tuple[Lists, Checks]]:
        """Yield cheaper lists, trips packed and planned anew, until neither helps."""
        cost = MUCH
        while self._cost < cost and self._in_time:
            cost = self._cost
            yield from self._pack_together(watch)
            yield from self._refit(watch)

    def _share_plans(self, watch: Callable[[str], None]) -> Iterator[tuple[Lists, Checks]]:
        """Yield lists that all trips keep to as they were planned last, while these get cheaper.

        With new lists each trip is planned anew, its people where they were.
        """
        while set(self._last) == set(self._names):
            watch("what the plans have in common")
            lists = self._share(self._plans)
            if lists is None or self.fleet.weigh(lists) >= self._cost:
                return
            if not self._settle(lists, {name: one.decided for name, one in self._last.items()}):
                return
            yield self.lists, self.checks

    def _pack_together(self, watch: Callable[[str], None]) -> Iterator[tuple[Lists, Checks]]:
        """Yield cheaper lists, all trips packed anew at once, if there are any."""
        watch("all trips packed anew")
        decided = {name: check.decided for name, check in self.checks.items()}
        found = self._together.pack(self.lists, decided, self.share)
        if found is not None and self._settle(*found):
            yield self.lists, self.checks

    def _refit(self, watch: Callable[[str], None]) -> Iterator[tuple[Lists, Checks]]:
        """Yield cheaper lists, each trip planned anew once while the others pack as they do.

        Those that bring most extras come first.
        """
        self._last = dict(self.checks)
        by_extras = sorted(self._names, key=lambda n: (-self._weigh(self.checks[n]), n))
        for names in batched(by_extras):
            lists = self._share(self._plans) if self._in_time else None
            if lists is None:
                break
            watch(f"{' and '.join(names)} anew")
            asked = [Asked(name, lists, near=self.checks[name].decided) for name in names]
            self._take(names, self.trialling.refit(asked, self._plans, self.goals))
        yield from self._share_plans(watch)

    def _take(self, names: Sequence[str], checks: Iterable[Check]) -> None:
        """Keep the plans of trips if lists for all of them cost no more than for any one alone.

        Else keep the one alone that makes them cheapest.
        """
        found = dict(zip(names, checks, strict=True))
        costs = {n: self.fleet.weigh(c.lists) for n, c in found.items() if c.lists is not None}
        taken = {n: found[n] for n in costs}
        lists = self._share({**self._plans, **{n: one.aboard for n, one in taken.items()}})
        if lists is None or self.fleet.weigh(lists) > min(costs.values(), default=MUCH):
            taken = {n: taken[n] for n in sorted(taken, key=lambda n: (costs[n], n))[:1]}
        self._last.update(taken)

    @property
    def _plans(self) -> dict[str, tuple[Aboard, ...]]:
        """Return what trips packed as they were planned last."""
        return {name: one.aboard for name, one in self._last.items()}

    def _share(self, plans: dict[str, tuple[Aboard, ...]]) -> Lists | None:
        return share(self.fleet, plans, Budget(self.clock, 1.0, UNITS, linear=2))

    @property
    def _cost(self) -> int:
        """Return what the best lists cost; without any, more than all lists."""
        return self.fleet.weigh(self.lists) if self.checks else MUCH

    def _settle(self, lists: Lists, near: Mapping[str, dict[str, int]] | None = None) -> bool:
        """Take lists, with the extras that trips lack, if all do with them at less than before.

        Trips are looked at `near` what is given, else near their last plans. Say whether they do.
        What each trip packs with them is kept all the same.
        """
        asked = self._ask(self._names, lists)
        if near is not None:
            asked = [one._replace(near=near[one.name]) for one in asked]
        found = self.trialling.check(asked, self.goals, NEARBY)
        self._note(dict(zip(self._names, found, strict=True)))
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

    def _note(self, checks: Checks) -> None:
        """Keep trips as they were planned last."""
        self._last.update((name, check) for name, check in checks.items() if check.aboard)

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
