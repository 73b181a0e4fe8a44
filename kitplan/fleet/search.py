"""The cheapest lists: a model of the trips that matter, the others checked with the lists it has.

Lists that are cheapest for some trips at some of their rapids cost no more than any that do for
all: a bound. Where every other trip, and every rapid left out, is as well off with them, they are
the cheapest of all. A trip that is not joins the model, with those of its rapids that show it.

Where all trips are too many for one model, each is asked first for what it needs wherever boats
wait. These models are small, and tell which trip to begin with: it is in the model as it is, and
others join as long as what they all need is proven in time. What that comes to is a bound, and
lists for all trips are made from there (`lifting`).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.fleet.checks import LACKING, NEARBY, OPEN, Asked, Check
from kitplan.fleet.lifting import Lifting, batched
from kitplan.fleet.model import FleetModel
from kitplan.fleet.nouns import Lists
from kitplan.fleet.read import read_part
from kitplan.solve.run import Budget, run

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from kitplan.fleet.nouns import Fleet, Goal
    from kitplan.fleet.pool import Trialling
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Answer, Clock

# The solver's deterministic time for one run.
UNITS = {"cost": 40.0, "many": 12.0, "alone": 3.0, "bound": 12.0}
AT_ONCE = 600  # demands of all trips together: fewer are put into one model
FEW = 2  # trips that join at a time
SHORT = 4  # trips that are known to fall short: of these the one joins that lacks most
MUCH = 2**60  # more than any extras cost
# Of its time: what may be spent when trips were asked alone, when a bound and when lists are there.
ALONE, BOUND, FIRST = 0.06, 0.4, 0.7
SHARE = 0.8  # of the limit: what may be spent when the lists are found


@dataclass(slots=True)
class Found:
    """Lists that do for all trips, what each trip packs with them, and a bound of their cost."""

    lists: Lists | None = None
    arrangements: dict[str, Arrangement] = field(default_factory=dict)
    bound: int = 0
    canonical: bool = False
    rounds: int = 0


class Search:
    """Finds the lists of a fleet whose goals are known."""

    def __init__(
        self,
        fleet: Fleet,
        goals: dict[str, Goal],
        trialling: Trialling,
        clock: Clock,
        share: float = SHARE,
    ) -> None:
        """Begin with nothing in the model."""
        self.fleet, self.goals, self.trialling = fleet, goals, trialling
        self.clock, self.share = clock, share
        self.active: dict[str, set[str]] = {}
        self.began_s = clock.spent_s
        self.found = Found()
        self._hints: dict[str, int] = {}
        self._grew = False
        self._many = False  # too many trips, or too large, for all of them in one model

    def find(self, watch: Callable[[str], None]) -> Found:
        """Return the cheapest lists found in time, with a bound.

        Of equal ones those with fewest extras, then with copies of the lines first by name.
        """
        self._many = not self._join_all()
        if self._many:
            lifting = Lifting(self.fleet, self.goals, self.trialling, self.clock, self.share)
            begin = self._look_for_bound(lifting.prepare, watch)
            for lists, checks in lifting.list_first(begin, self._part(FIRST), watch):
                self._keep(lists, checks)
            for lists, checks in lifting.list_better(watch):
                self._keep(lists, checks)
        while self.clock.left_s(self.share):
            self.found.rounds += 1
            count = sum(map(len, self.active.values()))
            watch(f"lists for {len(self.active)} of {len(self.goals)} trips, {count} rapids")
            answer, fm, settled = self._solve()
            if not answer.found:
                break
            all_reach = self._try(fm, answer, watch)
            if all_reach and answer.status == "proven":
                self.found.canonical = settled
                break
            if not (self._grew or all_reach):
                break  # nothing new to learn: a limit cut in
            if all_reach:
                break
        return self.found

    def _join_all(self) -> bool:
        """Let all trips join at once where they are few and small; say whether they are."""
        demands = sum(len(self.fleet.outings[name].asked.demands) for name in self.goals)
        if demands <= AT_ONCE:
            self.active = {name: set(goal.floors) for name, goal in self.goals.items()}
        return demands <= AT_ONCE

    def _look_for_bound(self, prepare: Callable[[], None], watch: Callable[[str], None]) -> Lists:
        """Return the cheapest lists for some trips as they are, as far as that is proven in time.

        What they cost is a bound. The trip is in the model first that needs most wherever boats
        wait; of those that lack most with its lists one joins. One with which nothing is proven in
        time is left out again.
        """
        lists, share = Lists(), self._part(BOUND)
        if not self.clock.left_s(share):
            return lists
        watch("what each trip needs wherever boats wait")
        sizes = {name: len(self.fleet.outings[name].asked.demands) for name in self.goals}
        small_first = sorted(self.goals, key=lambda name: (sizes[name], name))
        alone = self._price_loosely(small_first)
        prepare()  # what follows leaves a processor idle
        waiting = sorted(alone, key=lambda name: -alone[name])
        while waiting and self.clock.left_s(share):
            name = waiting[0]
            small_first.remove(name)
            self.active[name] = set(self.goals[name].floors)
            self.found.rounds += 1
            watch(f"lists for {len(self.active)} of {len(self.goals)} trips")
            proven = self._prove_bound(share)
            if proven is None:
                del self.active[name]
                waiting.remove(name)
                continue
            lists = proven
            waiting = self._list_lacking(lists, small_first, share)
        return lists

    def _price_loosely(self, names: list[str]) -> dict[str, int]:
        """Return what each of some trips needs at least, as many as there is time for: a bound."""
        alone: dict[str, int] = {}
        for few in batched(names):
            if alone and not self.clock.left_s(self._part(ALONE)):
                break
            alone |= self.trialling.price_loosely({name: self.goals[name] for name in few})
        self.found.bound = max(self.found.bound, *alone.values())
        return alone

    def _prove_bound(self, share: float) -> Lists | None:
        """Return the cheapest lists for what is in the model, if these are proven."""
        fm = self._build()
        aim = fm.price()
        budget = self._budget("bound" if len(self.active) > 1 else "alone")
        answer = run(fm.model, aim.total, replace(budget, share=share, linear=2))
        if not answer.found:
            return None
        self._note(fm, answer)
        self.found.bound = max(self.found.bound, aim.cost_of(answer.bound))
        return fm.read(answer) if answer.status == "proven" else None

    def _list_lacking(self, lists: Lists, names: list[str], share: float) -> list[str]:
        """Return trips that fall short with lists, who lacks most first; not all are asked."""
        short: list[tuple[int, str]] = []
        for few in batched(names):
            if len(short) >= SHORT or not self.clock.left_s(share):
                break
            asked = [Asked(name, lists.of_trip(name)) for name in few]
            for name, check in zip(
                few, self.trialling.check(asked, self.goals, LACKING), strict=True
            ):
                if check.reached is False:
                    short.append((self._weigh_extras(check), name))
        return [name for _, name in sorted(short, key=lambda row: -row[0])]

    def _part(self, share: float) -> float:
        """Return which share of the limit is spent when that share of the search's time is."""
        began = self.began_s / self.clock.limit_s
        return began + share * max(0.0, self.share - began)

    def _build(self) -> FleetModel:
        """Return a model of what is in it, at least as dear as the bound."""
        fm = FleetModel(self.fleet)
        for name, rapids in sorted(self.active.items()):
            fm.add(self.fleet.outings[name], self.goals[name], rapids)
        self._hint(fm)
        if self.found.bound:
            fm.model.add(fm.cost() >= self.found.bound)
        return fm

    def _solve(self) -> tuple[Answer, FleetModel, bool]:
        """Return the cheapest lists for what is in the model; and whether equal ones are ranked."""
        fm = self._build()
        aim = fm.weigh()
        answer = run(fm.model, aim.total, self._budget("many" if self._many else "cost"))
        if answer.found:
            self._note(fm, answer)
        self.found.bound = max(self.found.bound, aim.cost_of(answer.bound))
        return answer, fm, aim.settles

    # --- the trips ------------------------------------------------------------------------------

    def _try(self, fm: FleetModel, answer: Answer, watch: Callable[[str], None]) -> bool:
        """Check with the lists of an answer all trips that are not wholly in the model.

        Say whether all reach their goals. Those that do not join the model; a few at a time where
        all together would be too many.
        """
        lists = fm.read(answer)
        checks = {
            name: Check(
                reached=True,
                lists=lists.of_trip(name),
                arrangement=read_part(fm.parts[name], lists, answer),
            )
            for name, rapids in self.active.items()
            if rapids >= set(self.goals[name].floors)
        }
        names = [name for name in self.goals if name not in checks]
        if names:
            watch(f"{len(names)} trips with these lists")
        asked = [
            Asked(name, lists.of_trip(name), frozenset(self.active.get(name, ()))) for name in names
        ]
        # Whether a trip really falls short is worth the time where the lists are a bound.
        how = OPEN if answer.status == "proven" else NEARBY
        checks |= dict(zip(names, self.trialling.check(asked, self.goals, how), strict=True))
        self._keep(lists, checks)
        self._grew = False
        short = [name for name, check in checks.items() if not check.reached]
        short.sort(key=lambda name: -self._weigh_extras(checks[name]))
        for name in short[:FEW]:
            self._join(name, checks[name].failing or tuple(self.goals[name].floors))
        return not short

    def _weigh_extras(self, check: Check) -> int:
        """Return what the extras cost that a trip asks for, where any that do are known."""
        return MUCH if check.lists is None else self.fleet.weigh(Lists(extras=check.lists.extras))

    def _join(self, name: str, rapids: Iterable[str]) -> None:
        known = self.active.setdefault(name, set())
        self._grew |= not set(rapids) <= known
        known.update(rapids)

    def _keep(self, lists: Lists, checks: dict[str, Check]) -> None:
        """Keep lists with the extras that trips asked for, if they are the best so far."""
        if any(check.lists is None for check in checks.values()):
            return
        extras = dict(lists.extras)
        for name, check in checks.items():
            if check.lists is not None:
                extras = {key: n for key, n in extras.items() if key[0] != name}
                extras |= check.lists.extras
        whole = Lists(lists.issued, lists.worn, extras)
        best = self.found.lists
        ranks = [
            (self.fleet.weigh(one), one.count_extras()) for one in (whole, best) if one is not None
        ]
        settled = all(check.reached for check in checks.values())
        if best is None or ranks[0] < ranks[1] or (settled and ranks[0] == ranks[1]):
            self.found.lists = whole
            self.found.arrangements = {
                name: check.arrangement
                for name, check in checks.items()
                if check.arrangement is not None
            }

    # --- the solver -----------------------------------------------------------------------------

    def _hint(self, fm: FleetModel) -> None:
        """Let a model start from what the last one came to, by the names of variables."""
        fm.model.clear_hints()  # type: ignore[no-untyped-call]
        names = fm.model.proto.variables
        for index in range(len(names)):
            if names[index].name in self._hints:
                variable = fm.model.get_int_var_from_proto_index(index)
                fm.model.add_hint(variable, self._hints[names[index].name])

    def _note(self, fm: FleetModel, answer: Answer) -> None:
        names = fm.model.proto.variables
        values = answer.list_values()
        self._hints = {names[n].name: values[n] for n in range(len(names)) if names[n].name}

    def _budget(self, what: str) -> Budget:
        return Budget(self.clock, self.share, UNITS[what], linear=1)
