"""Reviewing a load as it lies on the ramp: what it comes to, and the moves that help most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.decide.advice import Steps, tell_before
from kitplan.decide.counts import count_most
from kitplan.errors import Finding
from kitplan.explain.make import describe
from kitplan.needs import derive_needs
from kitplan.solve.legs import split_leg
from kitplan.solve.near import Near
from kitplan.solve.stations import find_stations
from kitplan.verify import find_broken

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.decide.advice import Advice
    from kitplan.decide.counts import Counted
    from kitplan.demands import Needs
    from kitplan.plan import Plan
    from kitplan.ramp import RampLoad
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

FOR_ADVICE = 0.6  # of what is left of the limit; the rest is for who and what counts most
MOST_STEPS = 5  # nobody follows more advice at a ramp
MOST_MOVES = 4  # beyond the fewest: of moves that help only together


@dataclass(frozen=True, slots=True)
class Review:
    """What a load comes to.

    `trip` and `needs` are of the legs that the load is about. `plan`: the load, with the best
    stations and order where it names none. `broken`: rules of seating, packing and stations that
    it breaks. `counted`: who and what counts most, as it lies. `righted`: whether the first advice
    puts right what is broken. `stopped`: time ran out while moves were looked for.
    """

    trip: Trip
    needs: Needs
    plan: Plan
    broken: tuple[Finding, ...]
    advice: tuple[Advice, ...]
    counted: Counted
    righted: bool
    stopped: bool


def review_load(
    trip: Trip, load: RampLoad, clock: Clock, watch: Callable[[str], None]
) -> Review | list[Finding]:
    """Return what the load comes to, or findings where no stations go with it.

    The load must have been read for the trip, without errors.
    """
    needs = derive_needs(trip)
    if len(load.legs) < len(trip.legs):
        if len(load.legs) > 1:
            return [_refuse_legs(trip, load)]
        trip, needs = split_leg(trip, needs, load.legs[0])
    before = tell_before(load)
    watch("the best stations")
    arrangement = find_stations(trip, needs, load, before, clock)
    if arrangement is None:
        return [_refuse_stations(load)]
    plan = describe(trip, needs, arrangement)
    broken = find_broken(trip, plan)
    watch("the moves that help most")
    advising = clock.part(FOR_ADVICE)
    steps = Steps(trip, needs, before)
    _advise(steps, advising, righted=bool(broken))
    stopped = advising.left_s() <= 0
    counted = count_most(trip, needs, arrangement, clock, watch)
    return Review(
        trip, needs, plan, tuple(broken), tuple(steps.taken), counted, bool(broken), stopped
    )


def _advise(steps: Steps, clock: Clock, *, righted: bool) -> None:
    """Add advice after advice, each solved anew; first what puts broken rules right."""
    near = Near(steps.trip, steps.needs, steps.before, clock)
    best = near.find_fewest() if righted else near.find_best(0)
    if best is None:
        return
    if best.moves:
        steps.add(best.arrangement, proven=best.proven)
        near.keep(best)
    most = best.moves
    while len(steps.taken) < MOST_STEPS and most - best.moves < MOST_MOVES:
        most += 1
        step = near.find_best(most, best)
        if step is None or not clock.left_s():
            break
        if step.is_better(best):
            steps.add(step.arrangement, proven=step.proven)
            near.keep(step)
            best = step


def _refuse_legs(trip: Trip, load: RampLoad) -> Finding:
    days = ", ".join(str(leg.first_day) for leg in trip.legs)
    message = f"this load is about {len(load.legs)} of {len(trip.legs)} legs"
    hint = f"give rows for one leg, or for all; legs begin on days {days}"
    return Finding(load.find(""), "error", "legs-missing", message, hint)


def _refuse_stations(load: RampLoad) -> Finding:
    message = "no waiting places and order fit this load within the limit"
    hint = "leave out rows of stations and order, so that the best are looked for"
    return Finding(load.find(""), "error", "no-stations", message, hint)
