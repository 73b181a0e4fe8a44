"""Planning anew on the way: the days left, near what there is, and what each move is good for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING

from kitplan.decide.advice import Steps
from kitplan.decide.afresh import begin_afresh
from kitplan.decide.evening import tell_evening
from kitplan.decide.unsteered import leave_unsteered
from kitplan.explain import SolveOptions, make_plan, plan_trip
from kitplan.happened import Happened, Restart
from kitplan.needs import derive_needs
from kitplan.plan import count_shifts
from kitplan.solve import COVER_AIMS, Floors, Solution
from kitplan.solve.floors import count_never
from kitplan.solve.near import Near, count_rowing
from kitplan.solve.options import SHORT_AIMS

if TYPE_CHECKING:
    from kitplan.decide.advice import Advice
    from kitplan.decide.afresh import Afresh
    from kitplan.demands import Needs
    from kitplan.explain import Outcome
    from kitplan.plan import Arrangement, Plan
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

FOR_STEPS = 0.3  # of the limit: what is kept to say what each move is good for
MOST_UNSEATED = 3  # beyond the fewest that must stay behind


@dataclass(frozen=True, slots=True)
class Replanned:
    """What planning anew came to.

    `unseated`: those for whom there is no seat, who are not in the plan; `trip` is without them.
    `steps`: the moves of the plan, in an order that can be stopped after each; the first step is
    what has to be moved anyway, which may be nothing; where time ran out and a step is better than
    all that was found beyond it, it is the plan. `stopped`: time ran out while their order
    was looked for.
    `restart`: from what the trip was begun afresh, with those unseated absent, and the boats that
    nobody can steer left.
    """

    trip: Trip
    needs: Needs
    outcome: Outcome
    unseated: tuple[str, ...]
    steps: tuple[Advice, ...]
    stopped: bool
    restart: Restart


def replan_trip(
    trip: Trip,
    arrangement: Arrangement,
    happened: Happened,
    options: SolveOptions,
    clock: Clock,
) -> Replanned:
    """Return the plan of the days that are left, near what there is on the evening before.

    `happened` is one in which `find_wrong` finds nothing.
    """
    happened = leave_unsteered(trip, arrangement, happened)
    afresh, outcome, unseated = _plan_with_seats(trip, arrangement, happened, options, clock)
    needs = derive_needs(afresh.trip)
    gone = _leave(happened, unseated)
    restart = Restart(gone, tell_evening(trip, arrangement, happened))
    if outcome.plan is None:
        stopped = clock.stopped
        return Replanned(afresh.trip, needs, outcome, unseated, (), stopped, restart)
    steps, told = _list_steps(afresh, needs, outcome.plan, clock)
    best = min(steps, key=lambda step: _rate(step.plan), default=None)
    if best is not None and _rate(best.plan) < _rate(outcome.plan):
        plan = _end_at(afresh, needs, best.plan, outcome.plan)
        outcome = replace(outcome, status="feasible", plan=plan)
        steps = steps[: steps.index(best) + 1]
    return Replanned(afresh.trip, needs, outcome, unseated, tuple(steps), not told, restart)


def _rate(plan: Plan) -> tuple[int, ...]:
    """Return the values of aims 1 to 4 and the moves: of two plans, the lesser is the better."""
    values = {aim.name: aim.value for aim in plan.aims}
    return tuple(values[name] for name in (*SHORT_AIMS, *COVER_AIMS, "moves") if name in values)


def _end_at(afresh: Afresh, needs: Needs, step: Plan, cut: Plan) -> Plan:
    """Return a step as the plan, where time ran out so early that the plan found is worse.

    A bound holds while the aims before it are as they were.
    """
    now = {aim.name: aim.value for aim in step.aims}
    bounds: dict[str, int] = {}
    same = True
    for aim in cut.aims:
        bounds[aim.name] = aim.bound if same else 0
        same = same and now[aim.name] == aim.value
    floors = Floors(count_never(afresh.trip, needs), dict.fromkeys(COVER_AIMS, False))
    solution = Solution("feasible", step.arrangement, bounds, floors, canonical=False)
    return make_plan(afresh.trip, needs, solution, afresh.before)


def _plan_with_seats(
    trip: Trip,
    arrangement: Arrangement,
    happened: Happened,
    options: SolveOptions,
    clock: Clock,
) -> tuple[Afresh, Outcome, tuple[str, ...]]:
    """Return the plan of all for whom there is a seat, and who has none.

    Who stays is of the crews of boats that are lost or left behind, as few as can be; of as many,
    those that are named first.
    """
    crew = [p for boat in happened.gone for p in _list_crew(trip, arrangement, boat)]
    left = [p for p in crew if p not in happened.absent]
    first: tuple[Afresh, Outcome] | None = None
    short = 0
    for many in range(len(left) + 1):
        for behind in combinations(left, many):
            gone = _leave(happened, behind)
            afresh = begin_afresh(trip, arrangement, gone)
            short = max(short, many if _lacks_seats(afresh.trip) else 0)
            if _lacks_seats(afresh.trip):
                continue
            near = replace(options, before=afresh.before)
            outcome = plan_trip(afresh.trip, near, clock.part(1 - FOR_STEPS))
            first = first or (afresh, outcome)
            if outcome.status != "infeasible":
                return afresh, outcome, behind
        if first is not None and many >= short + MOST_UNSEATED:
            break
    if first is None:
        afresh = begin_afresh(trip, arrangement, happened)
        first = afresh, plan_trip(afresh.trip, options, clock)
    return (*first, ())


def _leave(happened: Happened, behind: tuple[str, ...]) -> Happened:
    """Return what happened with these absent, whether they are hurt or not."""
    hurt = tuple(name for name in happened.hurt if name not in behind)
    return replace(happened, absent=(*happened.absent, *behind), hurt=hurt)


def _list_crew(trip: Trip, arrangement: Arrangement, called: str) -> tuple[str, ...]:
    """Return the crew of a boat, as the plan has it in the first leg with that boat."""
    boats = (name for name, boat in trip.boats.items() if boat.called == called)
    return arrangement.crew[next(boats)]


def _lacks_seats(trip: Trip) -> bool:
    """Say whether a leg has more people than seats."""
    return any(
        len(leg.paddlers) > sum(trip.boats[boat].type.seats for boat in leg.boats)
        for leg in trip.legs
    )


def _list_steps(
    afresh: Afresh, needs: Needs, plan: Plan, clock: Clock
) -> tuple[list[Advice], bool]:
    """Return the moves of a plan in an order that can be stopped after each step; if all are told.

    Each step is the fewest further moves that make aims 1 to 4 better, of as many the best, with
    order and stations chosen anew. The first one is what the rules ask for anyway, without a move
    if that is nothing; the last one leads to the plan. Where time runs out it has all moves left.
    """
    total = count_shifts(afresh.trip, afresh.before, plan.arrangement)
    if not total:
        return [], True
    rowing = count_rowing(afresh.trip, plan.arrangement)
    near = Near(afresh.trip, needs, afresh.before, clock, rowing)
    near.hold(plan.arrangement)
    steps = Steps(afresh.trip, needs, afresh.before)
    best = near.find_fewest()
    most = total
    if best is not None and best.moves < total:
        most = best.moves
        steps.add(best.arrangement, proven=best.proven)
    while best is not None and most < total - 1 and clock.left_s():
        most += 1
        near.keep(best)
        step = near.find_best(most, best)
        if step is not None and step.is_better(best):
            steps.add(step.arrangement, proven=step.proven)
            best = step
    steps.add(plan.arrangement, proven=False)
    return steps.taken, best is not None and most >= total - 1
