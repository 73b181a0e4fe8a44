"""The cheapest lists: a model of the trips that matter, the others checked with the lists it has.

Lists that are cheapest for some trips at some of their rapids cost no more than any that do for
all: a bound. Where every other trip, and every rapid left out, is as well off with them, they are
the cheapest of all. A trip that is not joins the model, with those of its rapids that show it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.fleet.checks import NEARBY, OPEN, Asked, Check
from kitplan.fleet.model import FleetModel
from kitplan.fleet.nouns import Lists
from kitplan.fleet.read import read_part
from kitplan.solve.run import Budget, run

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from kitplan.fleet.model import Aim
    from kitplan.fleet.nouns import Fleet, Goal
    from kitplan.fleet.pool import Trialling
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Answer, Clock

# The solver's deterministic time for one run.
UNITS = {"cost": 40.0, "many": 12.0, "near": 6.0}
AT_ONCE = 600  # demands of all trips together: fewer are put into one model
FEW = 2  # trips that join at a time
MUCH = 2**60  # more than any extras cost
NEAR = 0.75  # of its time: what may be spent looking near the start
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
            self._look_near(watch)
            # A bound is soonest had from few trips.
            self.active = {name: self.active[name] for name in list(self.active)[:FEW]}
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

    def _look_near(self, watch: Callable[[str], None]) -> None:
        """Find lists with people, order and stations as each trip's goal was found with.

        So the models are small. What comes of it is no bound, but a start: the trips that ask for
        most besides join, a few at a time, and are those that the search begins with.
        """
        by_demands = sorted(self.goals, key=lambda n: -len(self.fleet.outings[n].asked.demands))
        self._join_whole(by_demands[:FEW])
        while self.clock.left_s(NEAR * self.share):
            watch(f"lists near the start for {len(self.active)} of {len(self.goals)} trips")
            fm, aim = self._build(near=True)
            answer = run(
                fm.model, aim.total, replace(self._budget("near"), share=NEAR * self.share)
            )
            if not answer.found:
                return
            self._note(fm, answer)
            if self._try(fm, answer, watch, near=True):
                return

    def _join_whole(self, names: Iterable[str]) -> None:
        for name in names:
            self._join(name, self.goals[name].floors)

    def _build(self, *, near: bool) -> tuple[FleetModel, Aim]:
        """Return a model of what is active; with people held as goals have them, if `near`."""
        fm = FleetModel(self.fleet)
        for name, rapids in sorted(self.active.items()):
            part = fm.add(self.fleet.outings[name], self.goals[name], rapids)
            if near:
                part.hold_people(fm.model, self.goals[name].decided)
        self._hint(fm)
        return fm, fm.weigh()

    def _solve(self) -> tuple[Answer, FleetModel, bool]:
        """Return the cheapest lists for what is in the model; and whether equal ones are ranked."""
        fm, aim = self._build(near=False)
        if self.found.bound:
            fm.model.add(fm.cost() >= self.found.bound)
        answer = run(fm.model, aim.total, self._budget("many" if self._many else "cost"))
        if answer.found:
            self._note(fm, answer)
        self.found.bound = max(self.found.bound, aim.cost_of(answer.bound))
        return answer, fm, aim.settles

    # --- the trips ------------------------------------------------------------------------------

    def _try(
        self,
        fm: FleetModel,
        answer: Answer,
        watch: Callable[[str], None],
        *,
        near: bool = False,
    ) -> bool:
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
        how = OPEN if answer.status == "proven" and not near else NEARBY
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
            if not check.reached and check.lists is not None:
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
        return Budget(self.clock, self.share, UNITS[what], linear=True)
