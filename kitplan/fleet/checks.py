"""Single trips with lists held: whether they reach their goals, with what extras, else where not.

Trips have nothing in common but the lists, so they are asked one by one, in processes side by side
(`pool`). The models of a trip are kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from kitplan.build.variables import add_up
from kitplan.fleet.goals import AIMS, Limits, find_goal
from kitplan.fleet.model import FleetModel
from kitplan.fleet.nouns import Lists, Suffers
from kitplan.fleet.proof import Rejected, prove
from kitplan.fleet.read import read_part
from kitplan.solve.run import Budget, Clock, run, start_from

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction

    from ortools.sat.python import cp_model

    from kitplan.fleet.model import Part
    from kitplan.fleet.nouns import Fleet, Goal, Outcome
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Answer

OPEN, BRIEF, NEARBY = "open", "brief", "nearby"
"""How a trip is looked at: first with people, order and stations as in its last plan, then with all
of it open; the same, and nothing is asked of a trip that falls short; or in the first way alone."""
# The solver's deterministic time for one run.
UNITS = {"near": 0.5, "whole": 3.0, "extras": 1.0, "alone": 1.0, "worst": 4.0}


@dataclass(frozen=True, slots=True)
class Check:
    """What came of a trip with its lists held.

    `reached`: it reaches its goal with the extras that were allowed; None: not known in time.
    `lists`: those with which it does, with further extras if need be; None: none found.
    `failing`: rapids that alone are enough to show that it does not.
    """

    reached: bool | None
    lists: Lists | None = None
    arrangement: Arrangement | None = None
    failing: tuple[str, ...] = ()


class Asked(NamedTuple):
    """A trip, the lists it is asked with, and the rapids that are not looked at by themselves."""

    name: str
    lists: Lists
    active: frozenset[str] = frozenset()


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
        self._goals[name] = goal
        self._decided.setdefault(name, goal.decided)
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
        fm.parts[name].hold_people(model, self._decided[name])
        answer = run(model, fm.cost_extras(), self._budget("extras", linear=True))
        if not answer.found:
            return Check(reached, failing=failing)
        if how == NEARBY:
            reached = fm.read(answer).extras == asked.lists.extras
        return self._tell(fm, answer, name, reached=reached, failing=failing)

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
        part = fm.parts[name]
        if reached:
            self._values[name] = answer.list_values()
            self._decided[name] = part.read_decided(answer)
        lists = fm.read(answer)
        return Check(reached, lists, read_part(part, lists, answer), failing)

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
        name, goal = asked.name, self._goals[asked.name]
        fm = FleetModel(self.fleet)
        part = fm.add(self.fleet.outings[name], None, goal.floors)
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

    def _budget(self, what: str, *, linear: bool = False) -> Budget:
        return Budget(self.clock, 1.0, UNITS[what], linear=linear)


def _read_rule(name: str) -> str:
    """Return the rule of a number that says how much it is short."""
    return name.partition("short[")[2].removesuffix("]")
