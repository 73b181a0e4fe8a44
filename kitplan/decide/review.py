"""Reviewing a load as it lies on the ramp: what it comes to, and the moves that help most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.decide.counts import count_most
from kitplan.errors import Finding
from kitplan.explain.make import describe
from kitplan.needs import derive_needs
from kitplan.plan import Arrangement, Before, list_shifts
from kitplan.solve.legs import split_leg
from kitplan.solve.near import Near
from kitplan.solve.stations import find_stations
from kitplan.verify import find_broken

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.decide.counts import Counted
    from kitplan.demands import Needs
    from kitplan.plan import Plan, Shift
    from kitplan.ramp import RampLoad
    from kitplan.solve.near import Step
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

FOR_ADVICE = 0.6  # of what is left of the limit; the rest is for who and what counts most
MOST_STEPS = 5  # nobody follows more advice at a ramp
MOST_MOVES = 4  # beyond the fewest: of moves that help only together


@dataclass(frozen=True, slots=True)
class Advice:
    """Moves to make one after the other, and the plan that they lead to from what came before.

    `proven`: no other moves, as many, lead to better values.
    """

    shifts: tuple[Shift, ...]
    plan: Plan
    proven: bool


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
    advice = _Adviser(trip, needs, before, advising).advise(righted=bool(broken))
    stopped = advising.left_s() <= 0
    counted = count_most(trip, needs, arrangement, clock, watch)
    return Review(trip, needs, plan, tuple(broken), tuple(advice), counted, bool(broken), stopped)


def tell_before(load: RampLoad | Arrangement) -> Before:
    """Return who and what is where, as moves are counted from it."""
    seats = tuple(sorted((p, boat) for boat, crew in load.crew.items() for p in crew))
    return Before(seats, load.packed, load.stowed or ())


class _Adviser:
    """Looks for moves, each time solving anew what they lead to."""

    def __init__(self, trip: Trip, needs: Needs, before: Before, clock: Clock) -> None:
        self.trip, self.needs, self.before, self.clock = trip, needs, before, clock
        self.near = Near(trip, needs, before, clock)

    def advise(self, *, righted: bool) -> list[Advice]:
        """Return advice after advice; first what puts right the rules that are broken."""
        advice: list[Advice] = []
        best = self.near.find_fewest() if righted else self.near.find_best(0)
        if best is not None and best.moves:
            self._add(advice, best)
            self.near.keep(best)
        most = best.moves if best is not None else 0
        while best is not None and len(advice) < MOST_STEPS and most - best.moves < MOST_MOVES:
            most += 1
            step = self.near.find_best(most, best)
            if step is None or not self.clock.left_s():
                break
            if step.is_better(best):
                self._add(advice, step)
                self.near.keep(step)
                best = step
        return advice

    def _add(self, advice: list[Advice], step: Step) -> None:
        """Take a step, with the moves that the steps before it did not make."""
        plan = describe(self.trip, self.needs, step.arrangement, self.before)
        last = tell_before(advice[-1].plan.arrangement) if advice else self.before
        shifts = tuple(list_shifts(self.trip, last, step.arrangement))
        advice.append(Advice(shifts, plan, step.proven))


def _refuse_legs(trip: Trip, load: RampLoad) -> Finding:
    days = ", ".join(str(leg.first_day) for leg in trip.legs)
    message = f"this load is about {len(load.legs)} of {len(trip.legs)} legs"
    hint = f"give rows for one leg, or for all; legs begin on days {days}"
    return Finding(load.find(""), "error", "legs-missing", message, hint)


def _refuse_stations(load: RampLoad) -> Finding:
    message = "no waiting places and order fit this load within the limit"
    hint = "leave out rows of stations and order, so that the best are looked for"
    return Finding(load.find(""), "error", "no-stations", message, hint)
