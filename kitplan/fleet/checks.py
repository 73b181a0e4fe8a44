"""Single trips with lists held: whether they reach their goals, with what extras, else where not.

Trips have nothing in common but the lists, so they are asked one by one, in processes side by side
(`pool`). The models of a trip are kept.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from kitplan.build.variables import add_up
from kitplan.fleet.goals import AIMS, Limits, find_goal
from kitplan.fleet.model import PEOPLE, FleetModel
from kitplan.fleet.nouns import Lists, Suffers
from kitplan.fleet.packing import add_held, read_aboard
from kitplan.fleet.proof import Rejected, prove
from kitplan.fleet.read import read_part
from kitplan.solve.run import Budget, Clock, run, start_from

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from fractions import Fraction

    from ortools.sat.python import cp_model

    from kitplan.fleet.model import Part
    from kitplan.fleet.nouns import Fleet, Goal, Line, Outcome
    from kitplan.fleet.packing import Aboard
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Answer

OPEN, BRIEF, NEARBY, LACKING = "open", "brief", "nearby", "lacking"
"""How a trip is looked at: first with people, order and stations as in its last plan, then with all
of it open; the same, and nothing is asked of a trip that falls short; the first way for the least
extras, and the second where it has none; or for the least extras with all of it open, so that one
that falls short really does."""
# The solver's deterministic time for one run.
UNITS = {
    "near": 0.5, "whole": 3.0, "extras": 1.0, "alone": 1.0, "worst": 4.0, "loose": 0.3, "lift": 2.5,
    "held": 1.0, "home": 0.5, "lacking": 1.0,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Check:
    """What came of a trip with its lists held.

    `reached`: it reaches its goal with the extras that were allowed; None: not known in time.
    `lists`: those with which it does, with further extras if need be; None: none found.
    `failing`: rapids that alone are enough to show that it does not. `aboard`: what it packs so.
    `decided`: what is decided of it so, by names.
    """

    reached: bool | None
    lists: Lists | None = None
    arrangement: Arrangement | None = None
    failing: tuple[str, ...] = ()
    aboard: tuple[Aboard, ...] = ()
    decided: dict[str, int] = field(default_factory=dict)


class Asked(NamedTuple):
    """A trip, the lists it is asked with, and the rapids that are not looked at by themselves.

    `near`: what is decided of it, by names, if not as in its last plan.
    """

    name: str
    lists: Lists
    active: frozenset[str] = frozenset()
    near: Mapping[str, int] | None = None


class Trials:
    """The models of single trips in one process."""

    def __init__(self, fleet: Fleet, clock: Clock) -> None:
        """Build nothing yet."""
        self.fleet, self.clock = fleet, clock
        self._goals: dict[str, Goal] = {}
        self._whole: dict[str, FleetModel] = {}
        self._alone: dict[tuple[str, str], FleetModel] = {}
        self._values: dict[str, list[int]] = {}
        self._decided: dict[str, dict[str, int]] = {}

    def find_goal(self, name: str, share: Fraction | None, seconds: float) -> Goal | None:
        """Return the goal of a trip, looked for so long, and keep where people are there."""
        goal = find_goal(self.fleet.outings[name], Limits(Clock(seconds)), share)
        if goal is not None:
            self._goals[name], self._decided[name] = goal, goal.decided
        return goal

    def check(self, asked: Asked, goal: Goal, how: str) -> Check:
        """Say whether a trip reaches its goal with lists held, and with which extras it does."""
        name = asked.name
        self._begin(asked, goal)
        if how == LACKING:
            return self._find_lacking(asked)
        fm = self._get_whole(name)
        model = fm.model.clone()
        fm.hold(model, asked.lists)
        reached: bool | None = None
        failing: tuple[str, ...] = ()
        if how != NEARBY:
            answer = self._pass(fm, model, asked)
            if answer.found:
                return self._tell(fm, answer, name, reached=True)
            reached = False if answer.status == "infeasible" else None
            if how == BRIEF:
                return Check(reached)
            failing = self._list_failing(asked) if reached is False else ()
        answer = self._find_extras(fm, model, name)
        if not answer.found:
            return Check(reached, failing=failing)
        if how == NEARBY:
            allowed = asked.lists.extras
            reached = all(n <= allowed.get(key, 0) for key, n in fm.read(answer).extras.items())
        return self._tell(fm, answer, name, reached=reached, failing=failing)

    def _begin(self, asked: Asked, goal: Goal) -> dict[str, int]:
        """Return what is decided of a trip where it is looked for a plan first."""
        name = asked.name
        self._goals[name] = goal
        if asked.near is not None:
            self._decided[name] = dict(asked.near)
        return self._decided.setdefault(name, goal.decided)

    def _find_extras(self, fm: FleetModel, model: cp_model.CpModel, name: str) -> Answer:
        """Return the least extras found: near the last plan, else packed as it was, else any."""
        part, decided = fm.parts[name], self._decided[name]
        near = model.clone()
        part.hold_people(near, decided)
        part.hint(near, decided, "pack")
        answer = run(near, fm.cost_extras(), self._budget("extras", linear=1))
        if not answer.found:
            part.hold_packing(near, decided)
            answer = run(near, fm.cost_extras(), self._budget("extras"))
        if not answer.found:
            part.hint(model, decided, *PEOPLE)
            answer = run(model, fm.cost_extras(), self._budget("lift"))
        return answer

    def _find_lacking(self, asked: Asked) -> Check:
        """Say whether a trip as it is has enough, all of it open, and with which extras it would.

        It is said to fall short only where it is proven that no plan does without extras.
        """
        fm = self._get_whole(asked.name)
        model = fm.model.clone()
        fm.hold(model, asked.lists)
        fm.parts[asked.name].hint(model, self._decided[asked.name], *PEOPLE)
        answer = run(model, fm.cost_extras(), self._budget("lacking", linear=1))
        if not answer.found:
            return Check(False if answer.status == "infeasible" else None)
        lists = fm.read(answer)
        reached = None if lists.extras and not answer.bound else not lists.extras
        return Check(reached, lists)

    def price_loosely(self, name: str, goal: Goal) -> int:
        """Return what lists for a trip cost at least, in hundredths, wherever its boats wait."""
        fm = FleetModel(self.fleet)
        fm.add(self.fleet.outings[name], goal, (), goal.floors)
        aim = fm.price()
        answer = run(fm.model, aim.total, self._budget("loose", linear=2))
        return aim.cost_of(answer.bound) if answer.found else 0

    def lift_near(self, asked: Asked, goal: Goal) -> Check:
        """Return little that must be added to lists for a trip to reach its goal with them.

        People are where they were planned last. Where there is no room for all of the lists so, it
        takes of them what it likes; else it is asked what it packs without any.
        """
        name, decided = asked.name, self._begin(asked, goal)
        fm = self._get_whole(name)
        loose = fm.model.clone()
        fm.parts[name].hold_people(loose, decided)
        fm.parts[name].hint(loose, decided, "pack")
        near = loose.clone()
        fm.hold_at_least(near, asked.lists)
        answer = run(near, fm.price().total, self._budget("extras", linear=1))
        if answer.found:
            return self._tell(fm, answer, name, reached=True)
        beyond = fm.cost_beyond(loose, asked.lists)
        answer = run(loose, beyond, self._budget("extras", linear=1))
        if answer.found:
            return self._tell(fm, answer, name, reached=None)
        return self.check(Asked(name, Lists()), goal, NEARBY)

    def lift(
        self, asked: Asked, goal: Goal, without: Line | None = None, below: int | None = None
    ) -> Check:
        """Return the least that must be added to lists for a trip to reach its goal with them.

        With no more of a line than there is, and at a cost `below` a number, if these are given.
        """
        name, decided = asked.name, self._begin(asked, goal)
        fm = self._get_whole(name)
        model = fm.model.clone()
        fm.hold_at_least(model, asked.lists)
        if without is not None:
            fm.hold_at_most(model, without)
        if below is not None:
            model.add(fm.cost() <= below - 1)
        fm.parts[name].hint(model, decided, *PEOPLE)
        answer = run(model, fm.cost(), self._budget("lift"))
        if not answer.found:
            return Check(None)
        return self._tell(fm, answer, name, reached=True)

    def refit(self, asked: Asked, others: dict[str, tuple[Aboard, ...]], goal: Goal) -> Check:
        """Return the cheapest lists found for a trip, and for others that pack as they do.

        From lists on that do for all of them: first with its people where they are, then with all
        of it open.
        """
        name, decided = asked.name, self._begin(asked, goal)
        fm = self._get_whole(name).branch()
        add_held(fm, others)
        part, total = fm.parts[name], fm.price().total
        near = fm.model.clone()
        part.hold_people(near, decided)
        for model, what in ((near.clone(), "held"), (fm.model.clone(), "whole")):
            fm.hold_at_least(model, asked.lists)
            model.add(fm.cost() <= self.fleet.weigh(asked.lists))
            part.hint(model, decided, "pack", *PEOPLE)
            answer = run(model, None, self._budget(what))
            if answer.found:
                break
        else:
            return Check(None)
        for model, what in ((near, "extras"), (fm.model, "lift")):
            start_from(model, answer.list_values())
            found = run(model, total, self._budget(what, linear=1))
            if found.found:
                answer = found
        return self._tell(fm, answer, name, reached=True)

    def _pass(self, fm: FleetModel, model: cp_model.CpModel, asked: Asked) -> Answer:
        """Return an answer that has a plan if the trip reaches its goal with no more extras."""
        near = model.clone()
        fm.hold_extras(near, asked.lists)
        wide = near.clone()
        fm.parts[asked.name].hold_people(near, self._decided[asked.name])
        answer = run(near, None, self._budget("near"))
        if answer.found:
            return answer
        start_from(wide, self._values.get(asked.name, []))
        return run(wide, None, self._budget("whole"))

    def _tell(
        self,
        fm: FleetModel,
        answer: Answer,
        name: str,
        *,
        reached: bool | None,
        failing: tuple[str, ...] = (),
    ) -> Check:
        lists = fm.read(answer)
        answer, part = self._leave_home(name, answer, lists), fm.parts[name]
        self._decided[name] = part.read_decided(answer)
        if reached:
            self._values[name] = self._list_values(name, answer)
        arrangement = read_part(part, lists, answer)
        aboard = read_aboard(part, answer)
        return Check(reached, lists, arrangement, failing, aboard, self._decided[name])

    def _leave_home(self, name: str, answer: Answer, lists: Lists) -> Answer:
        """Return an answer that packs as little as was found, with these lists and people so.

        What is packed and not needed would have to be on a list, or an extra.
        """
        fm = self._get_whole(name)
        part, model = fm.parts[name], fm.model.clone()
        part.hold_people(model, part.read_decided(answer))
        fm.hold(model, lists)
        fm.hold_extras(model, lists)
        for variable in part.v.pack.values():
            model.add(variable <= answer.read(variable))
        start_from(model, self._list_values(name, answer))
        # What costs nothing stays at home too.
        packed = add_up((self.fleet.cost(i) + 1) * n for (i, _, _), n in part.v.pack.items())
        less = run(model, packed, self._budget("home", linear=1))
        return less if less.found else answer

    def _list_values(self, name: str, answer: Answer) -> list[int]:
        """Return the values of an answer that are of the trip's own model."""
        return answer.list_values()[: len(self._get_whole(name).model.proto.variables)]

    def _list_failing(self, asked: Asked) -> tuple[str, ...]:
        """Return the rapids, but the active ones, that can't reach the goal by themselves."""
        goal = self._goals[asked.name]
        failing = []
        for rapid in sorted(set(goal.floors) - asked.active):
            fm = self._get_alone(asked.name, rapid)
            model = fm.model.clone()
            fm.hold(model, asked.lists)
            fm.hold_extras(model, asked.lists)
            if run(model, None, self._budget("alone")).status == "infeasible":
                failing.append(rapid)
        return tuple(failing)

    def find_suffering(
        self, asked: Asked, gaps: dict[str, tuple[int, int]]
    ) -> tuple[Suffers, ...] | None:
        """Return where a trip with lists held loses, as against its `gaps` before; None: no time.

        With its cover as good as it can be so. Rules and spreads come first, as in a plan.
        """
        if not self.clock.left_s():
            return None
        name, goal = asked.name, self._goals[asked.name]
        fm = FleetModel(self.fleet)
        part = fm.add(self.fleet.outings[name], None, goal.floors, rowing=goal.rowing)
        fm.hold(fm.model, asked.lists)
        fm.hold_extras(fm.model, asked.lists)
        carriage = part.tm.rules.carriage
        tiers = carriage.short.items() if carriage is not None else ()
        for tier, pieces in tiers:
            answer = run(fm.model, add_up(pieces), self._budget("worst"))
            if not answer.found:
                return (Suffers(name),) if answer.status == "infeasible" else None
            if answer.value > goal.short.get(tier, 0):
                short = [p.name for p in pieces if answer.read(p)]
                return tuple(Suffers(name, rule=_read_rule(one)) for one in short)
            fm.model.add(add_up(pieces) <= answer.value)
        aim = part.tm.total("uncovered")
        if goal.one_bank is not None:
            aim = (goal.weight + 1) * aim + part.tm.total("one_bank")
        answer = run(fm.model, aim, self._budget("worst"))
        if not answer.found:
            return (Suffers(name),) if answer.status == "infeasible" else None
        return tuple(self._list_losing(part, answer, goal, gaps))

    def _list_losing(
        self, part: Part, answer: Answer, goal: Goal, gaps: dict[str, tuple[int, int]]
    ) -> Iterator[Suffers]:
        """Yield the rapids that are worse off than before."""
        for rapid in goal.floors:
            gap = part.tm.gap[rapid]
            lost = [
                max(0, answer.evaluate(gap[aim]) - before)
                for aim, before in zip(AIMS, gaps[rapid], strict=True)
            ]
            if lost[0] or (lost[1] and goal.one_bank is not None):
                yield Suffers(part.outing.name, rapid, (lost[0], lost[1]))

    def prove(
        self, name: str, goal: Goal, lists: Lists, arrangement: Arrangement
    ) -> Outcome | Rejected:
        """Return a trip's plan with its lists, if the second program accepts it."""
        return prove(self.fleet.outings[name], goal, lists, arrangement)

    def _get_whole(self, name: str) -> FleetModel:
        if name not in self._whole:
            fm = FleetModel(self.fleet)
            fm.add(self.fleet.outings[name], self._goals[name], self._goals[name].floors)
            self._whole[name] = fm
        return self._whole[name]

    def _get_alone(self, name: str, rapid: str) -> FleetModel:
        if (name, rapid) not in self._alone:
            fm = FleetModel(self.fleet)
            fm.add(self.fleet.outings[name], self._goals[name], (rapid,))
            self._alone[name, rapid] = fm
        return self._alone[name, rapid]

    def _budget(self, what: str, *, linear: int = 0) -> Budget:
        return Budget(self.clock, 1.0, UNITS[what], linear=linear)


def _read_rule(name: str) -> str:
    """Return the rule of a number that says how much it is short."""
    return name.partition("short[")[2].removesuffix("]")
