"""Each leg as a trip of its own: bounds that add up, and most of the plan.

Legs have the kit in common that is taken along, and nothing else. So the best that each leg could
do alone, aim by aim, adds up to a bound for the whole trip; and where seats and packing of all legs
go together, it is the whole trip's best.
"""

from __future__ import annotations

import multiprocessing
import signal
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from kitplan.demands import Needs

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.solve.options import Solution
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

    SolveLeg = Callable[[Trip, Needs, Clock], Solution]

LOOK_UP_S = 0.1  # how often it is seen whether to stop


def solve_legs(
    trip: Trip, needs: Needs, solve: SolveLeg, clock: Clock, workers: int
) -> list[Solution] | None:
    """Return what solving each leg alone came to, in their order; None where it was stopped.

    `solve` must be a function that another process can be given.
    """
    parts = [split_leg(trip, needs, number) for number in range(len(trip.legs))]
    ask = partial(_solve, solve, clock)
    if workers == 1:
        return [ask(part) for part in parts]
    context = multiprocessing.get_context("spawn")
    # Ctrl-C reaches them too; whoever started them ends them.
    quiet = (signal.SIGINT, signal.SIG_IGN)
    with context.Pool(min(workers, len(parts)), signal.signal, quiet) as pool:
        asked = pool.map_async(ask, parts, chunksize=1)
        while not asked.ready() and not clock.stopped:
            asked.wait(LOOK_UP_S)
        return asked.get() if asked.ready() else None


def _solve(solve: SolveLeg, clock: Clock, part: tuple[Trip, Needs]) -> Solution:
    return solve(*part, clock)


def split_leg(trip: Trip, needs: Needs, number: int) -> tuple[Trip, Needs]:
    """Return one leg as a trip of a single leg, and what it asks."""
    part = trip.at_leg(number)
    rapids = {
        name: replace(rapid, leg=0) for name, rapid in trip.rapids.items() if rapid.leg == number
    }
    boats = {name: replace(boat, leg=0) for name, boat in part.boats.items()}
    alone = replace(part, legs=(trip.legs[number],), boats=boats, rapids=rapids)
    asked = Needs(
        {key: choice for key, choice in needs.choices.items() if key.rapid in rapids},
        {key: case for key, case in needs.cases.items() if key.rapid in rapids},
        {key: weight for key, weight in needs.demands.items() if key.rapid in rapids},
        (),
    )
    return alone, asked
