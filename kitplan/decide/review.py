"""Reviewing a load as it lies on the ramp: what it comes to, and the moves that help most."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.decide.advice import Steps, tell_before
from kitplan.decide.counts import count_most
from kitplan.errors import Finding
from kitplan.explain.make import describe
from kitplan.needs import boat_level, derive_needs
from kitplan.solve.legs import split_leg
from kitplan.solve.near import Near, count_rowing
from kitplan.solve.stations import find_stations, find_tight
from kitplan.verify import find_broken

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.decide.advice import Advice
    from kitplan.decide.counts import Counted
    from kitplan.demands import Needs
    from kitplan.plan import Before, Plan
    from kitplan.ramp import RampLoad
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

FOR_ADVICE = 0.6  # of what is left of the limit; the rest is for who and what counts most
MOST_STEPS = 5  # nobody follows more advice at a ramp
MOST_MOVES = 4  # beyond the fewest: of moves that help only together
ROOMS = {"left": "on river left", "right": "on river right", "afloat": "afloat"}


@dataclass(frozen=True, slots=True)
class Review:
    """What a load comes to.

    `trip` and `needs` are of the legs that the load is about. `plan`: the load, with the best
    stations and order where it names none. `broken`: rules of seating, packing and stations that
    it breaks. `steerless`: boats whose first seat is not that of somebody who can steer them ->
    who of their crew can. `counted`: who and what counts most, as it lies. `righted`: how many
    moves put right what is broken, those of the first advice if any; None: not known, or nothing
    is broken. `stopped`: time ran out while moves were looked for.
    """

    trip: Trip
    needs: Needs
    plan: Plan
    broken: tuple[Finding, ...]
    steerless: dict[str, tuple[str, ...]]
    advice: tuple[Advice, ...]
    counted: Counted
    righted: int | None
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
    before = _tell_lying(trip, load)
    watch("the best stations")
    arrangement = find_stations(trip, needs, load, before, clock)
    if arrangement is None:
        tight = find_tight(trip, needs, load, before, clock)
        return _refuse_stations(trip, load, tight)
    plan = describe(trip, needs, arrangement)
    broken = find_broken(trip, plan)
    watch("the moves that help most")
    advising = clock.part(FOR_ADVICE)
    steps = Steps(trip, needs, before)
    rowing = count_rowing(trip, arrangement)
    near = Near(trip, needs, before, advising, rowing)
    righted = _advise(steps, near, righting=bool(broken))
    stopped = advising.left_s() <= 0
    counted = count_most(trip, needs, arrangement, clock, watch)
    return Review(
        trip,
        needs,
        plan,
        tuple(broken),
        dict(_list_steerless(trip, load)),
        tuple(steps.taken),
        counted,
        righted,
        stopped,
    )


def _tell_lying(trip: Trip, load: RampLoad) -> Before:
    """Return who and what is where; who sits nowhere in a leg has no boat.

    The trip is of the load's legs alone.
    """
    before = tell_before(load)
    seated = [{p for boat in leg.boats for p in load.crew.get(boat, ())} for leg in trip.legs]
    nowhere = {
        (p, "")
        for leg, there in zip(trip.legs, seated, strict=True)
        for p in leg.paddlers
        if p not in there
    }
    return replace(before, seats=tuple(sorted({*before.seats, *nowhere})))


def _list_steerless(trip: Trip, load: RampLoad) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the boats whose first seat is not that of somebody who can steer them, and who can."""
    for boat, crew in load.crew.items():
        kind = trip.boats[boat].type
        runs = {r: rapid for r, rapid in trip.rapids.items() if (r, boat) not in load.twice}
        people = [trip.paddlers[name] for name in crew]
        guests = any(one.guest for one in people)
        level = boat_level(trip, boat, guests_aboard=guests, rapids=runs)
        can = tuple(
            one.name
            for one in people
            if one.level(kind.skill) >= level and not (one.guest or one.hurt)
        )
        if load.steerer.get(boat) not in can:
            yield boat, can


def _advise(steps: Steps, near: Near, *, righting: bool) -> int | None:
    """Add advice after advice, each solved anew; first what puts broken rules right.

    Return how many moves that takes, where it is looked for and found.
    """
    best = near.find_fewest() if righting else near.find_best(0)
    if best is None:
        return None
    fewest = best.moves if righting else None
    if best.moves:
        steps.add(best.arrangement, proven=best.proven)
        near.keep(best)
    most = best.moves
    while len(steps.taken) < MOST_STEPS and most - best.moves < MOST_MOVES:
        most += 1
        step = near.find_best(most, best)
        if step is None or not near.clock.left_s():
            break
        if step.is_better(best):
            steps.add(step.arrangement, proven=step.proven)
            near.keep(step)
            best = step
    return fewest


def _refuse_legs(trip: Trip, load: RampLoad) -> Finding:
    days = ", ".join(str(leg.first_day) for leg in trip.legs)
    message = f"this load is about {len(load.legs)} of {len(trip.legs)} legs"
    hint = f"give rows for one leg, or for all; legs begin on days {days}"
    return Finding(load.find(""), "error", "legs-missing", message, hint)


def _refuse_stations(
    trip: Trip, load: RampLoad, tight: dict[str, tuple[str, ...]]
) -> list[Finding]:
    """Return where the boats find no waiting places, or that they find none within the limit."""
    findings = []
    for name, places in tight.items():
        here = next((b for b in trip.rapids[name].boats if (b, name) in load.places), "")
        message = f"the boats find no waiting places at {trip.rapids[name].place or name}"
        hint = "leave out its rows of stations, or look at its landings and eddies"
        if places:
            rooms = " or ".join(ROOMS[place] for place in places)
            message = f"{message}: there is too little room {rooms}"
            hint = "put boats elsewhere, or leave out its rows of stations"
        findings.append(Finding(load.find(here, name), "error", "no-stations", message, hint))
    if findings:
        return findings
    message = "no waiting places and order that fit this load were found within the limit"
    hint = "leave out rows of stations and order, so that the best are looked for"
    return [Finding(load.find(""), "error", "no-stations", message, hint)]
