"""The best each rapid could do on its own: bounds that add up over the trip.

A rapid alone has the whole party and all kit to itself. For its aims in turn the least value is a
floor under what it adds to the trip's aims; that of a later aim counts only while every rapid stays
at its floors of the earlier ones.
"""

from __future__ import annotations

import multiprocessing
import signal
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build import TripModel, Variables
from kitplan.build.variables import add_up
from kitplan.check import Muster
from kitplan.solve.run import Budget, run_soon

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.demands import CaseKey, Needs
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

COVER_AIMS = ("uncovered", "one_bank", "unmet")
# The solver's deterministic time for one rapid. That of aim 4 serves as a cut only.
ALONE_DETERMINISTIC = {"uncovered": 8.0, "one_bank": 8.0, "unmet": 2.0}
LEAST_FOR_PROCESSES = 40  # below, starting processes costs more than it saves
MOST = 2**40  # more than any rapid's gap
LOOK_UP_S = 0.1  # how often it is seen whether to stop


def add_on_floors(
    model: cp_model.CpModel, gaps: Mapping[str, Linear], floors: Mapping[str, int]
) -> Linear:
    """Return the sum of the rapids' gaps as numbers that begin at their floors.

    A row that says so would be a cut of no use to a solver without the linear relaxation.
    """
    numbers = []
    for rapid, gap in gaps.items():
        number = model.new_int_var(floors[rapid], MOST, f"gap[{rapid}]")
        model.add(number >= gap)
        numbers.append(number)
    return add_up(numbers)


@dataclass(slots=True)
class Floors:
    """Floors by rapid and aim; `proven[aim]` says whether all rapids' floors of it are proven.

    A floor that is not proven is the solver's bound: still a lower bound, perhaps not attainable.
    """

    value: dict[str, dict[str, int]] = field(default_factory=dict)
    proven: dict[str, bool] = field(default_factory=dict)

    def total(self, aim: str) -> int:
        """Return the sum of the floors of an aim."""
        return sum(values[aim] for values in self.value.values())

    @classmethod
    def join(cls, parts: Iterable[Floors]) -> Floors:
        """Return the floors of all parts together; proven where they are in all."""
        whole = cls({}, dict.fromkeys(COVER_AIMS, True))
        for part in parts:
            whole.value.update(part.value)
            for aim in COVER_AIMS:
                whole.proven[aim] &= part.proven.get(aim, False)
        return whole


def count_never(trip: Trip, needs: Needs) -> dict[str, dict[str, int]]:
    """Return what each rapid adds to each aim whatever is packed where: bounds, without a solver.

    With the whole party and all kit free for each demand by itself.
    """
    muster = Muster(trip)
    never = {case.rapid: dict.fromkeys(COVER_AIMS, 0) for case in needs.cases}
    from_where: dict[CaseKey, set[str]] = {key: set() for key in needs.cases}
    for demand, weight in needs.demands.items():
        choice = needs.choices[demand.choice]
        if muster.find_lacks(choice, demand.running):
            never[demand.rapid]["unmet"] += weight
        elif choice.covers:
            from_where[demand.case].add(demand.bank)
    for case in needs.cases.values():
        banks = from_where[case.key]
        never[case.key.rapid]["uncovered"] += 0 if banks else case.weight
        if len(case.banks) > 1 and "" not in banks and not set(case.banks) <= banks:
            never[case.key.rapid]["one_bank"] += case.weight
    return never


def find_floors(trip: Trip, needs: Needs, limits: Limits) -> Floors:
    """Return the floors of all rapids that ask for anything, in the order of their names.

    Rapids that are the same to the solver are solved once; with more than one worker and rapids
    enough, in processes side by side. Results are taken in the order of the names either way.
    """
    first: dict[object, str] = {}
    same = {
        rapid: first.setdefault(_describe(trip, needs, rapid), rapid)
        for rapid in sorted({case.rapid for case in needs.cases})
    }
    names = sorted(set(first.values()))
    if limits.workers > 1 and len(names) >= LEAST_FOR_PROCESSES:
        alone = _solve_in_processes(trip, needs, limits, names)
    else:
        alone = [_solve_alone(trip, needs, limits, name) for name in names]
    limits.clock.cut |= not limits.left_s()
    found = dict(zip(names, alone, strict=True))
    return Floors(
        {rapid: found[name].value for rapid, name in same.items()},
        {aim: all(floor.proven[aim] for floor in alone) for aim in COVER_AIMS},
    )


def _solve_in_processes(trip: Trip, needs: Needs, limits: Limits, names: list[str]) -> list[Alone]:
    """Return the floors of rapids in this order; where the clock is stopped, none are known."""
    context = multiprocessing.get_context("spawn")
    # Ctrl-C reaches them too; whoever started them ends them.
    quiet = (signal.SIGINT, signal.SIG_IGN)
    with context.Pool(limits.workers, signal.signal, quiet) as pool:
        asked = pool.map_async(partial(_solve_alone, trip, needs, limits), names, chunksize=1)
        while not asked.ready() and not limits.clock.stopped:
            asked.wait(LOOK_UP_S)
        return asked.get() if asked.ready() else [Alone.unknown() for _ in names]


@dataclass(frozen=True, slots=True)
class Limits:
    """The clock, its share for this step, how many processes may work, whether some row twice."""

    clock: Clock
    share: float
    workers: int
    twice: bool = False

    def left_s(self) -> float:
        """Return the seconds that are left for this step."""
        return self.clock.left_s(self.share)


@dataclass(frozen=True, slots=True)
class Alone:
    """One rapid's floors, and which of them are proven."""

    value: dict[str, int]
    proven: dict[str, bool]

    @classmethod
    def unknown(cls) -> Alone:
        """Return floors of which nothing is known."""
        return cls(dict.fromkeys(COVER_AIMS, 0), dict.fromkeys(COVER_AIMS, False))


def _solve_alone(trip: Trip, needs: Needs, limits: Limits, rapid: str) -> Alone:
    """Return the floors of one rapid; what the limit leaves open counts 0 and is not proven."""
    found = Alone.unknown()
    if not limits.left_s():
        return found
    value, proven = found.value, found.proven
    alone = TripModel(Variables(trip, (rapid,), all_legs=False, twice=limits.twice), needs)
    for aim in COVER_AIMS:
        gap = alone.gap[rapid][aim]
        budget = Budget(limits.clock, limits.share, ALONE_DETERMINISTIC[aim])
        answer = run_soon(alone.model, gap, budget)
        value[aim], proven[aim] = answer.bound, answer.status == "proven"
        if not proven[aim]:
            break
        alone.model.add(gap <= answer.value)
    return found


def _describe(trip: Trip, needs: Needs, rapid: str) -> object:
    """Return what the rapid asks for and offers, equal where the solver would see the same."""
    place = trip.rapids[rapid]
    room = (
        place.boats,
        asks.stations_before(place),
        asks.stations_after(place),
        [(bank.landing_above, bank.landing) for bank in (place.left, place.right)],
        place.eddies,
        place.guests_walk,
    )
    cases = tuple(
        (case.key[1:], case.weight, case.banks)
        for case in needs.cases.values()
        if case.key.rapid == rapid
    )
    choices = tuple(
        (c.key[1:], c.variants, c.covers, c.unhurried)
        for c in needs.choices.values()
        if c.key.rapid == rapid and c.accepted
    )
    demands = tuple(
        (key[1:], weight) for key, weight in needs.demands.items() if key.rapid == rapid
    )
    return repr(room), cases, choices, demands
