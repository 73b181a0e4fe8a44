"""The standard kit of many trips: `python -m tests.bench.fleet --trips 30 --limit 300`.

Each trip is one leg of the six-day demo, changed by chance: some of its rapids, other widths and
currents, a skill or two a level lower, some guests who stay at home. All know the same catalogues.
"""

from __future__ import annotations

import argparse
import random
import resource
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from kitplan.fleet.standard import Options, make_fleet, standardise
from kitplan.load import load_trip
from kitplan.solve.run import Clock

if TYPE_CHECKING:
    from kitplan.fleet.nouns import Standard
    from kitplan.trip import Paddler, Rapid, Trip

DEMO = Path(__file__).parents[2] / "trips/six-days.toml"
KEEPS = 0.8  # of the rapids of a leg
TENTHS = 10


def make_trips(count: int, seed: int) -> list[Trip]:
    """Return so many trips; the same each time."""
    demo, _ = load_trip(DEMO)
    assert demo is not None
    rng = random.Random(seed)
    return [_vary(_cut(demo, n % len(demo.legs)), f"trip {n + 1}", rng) for n in range(count)]


def _cut(trip: Trip, number: int) -> Trip:
    """Return one leg as a trip of its own, with the stores of the whole one."""
    part, leg = trip.at_leg(number), trip.legs[number]
    return replace(
        part,
        legs=(leg,),
        boats={name: replace(boat, leg=0) for name, boat in part.boats.items()},
        rapids={n: replace(r, leg=0) for n, r in trip.rapids.items() if r.leg == number},
    )


def _vary(trip: Trip, name: str, rng: random.Random) -> Trip:
    rapids = {n: _vary_rapid(r, rng) for n, r in trip.rapids.items() if rng.random() < KEEPS}
    people = {n: _vary_paddler(p, rng) for n, p in trip.paddlers.items()}
    return replace(trip, name=name, rapids=rapids, paddlers=people)


def _vary_rapid(rapid: Rapid, rng: random.Random) -> Rapid:
    """Return the rapid up to a fifth wider or narrower, with other currents."""
    wide, fast = rng.randint(8, 12), rng.randint(8, 12)
    spots = tuple(
        replace(
            spot,
            from_left_mm=spot.from_left_mm * wide // TENTHS,
            from_right_mm=spot.from_right_mm * wide // TENTHS,
            current_mm_s=spot.current_mm_s and spot.current_mm_s * fast // TENTHS,
        )
        for spot in rapid.spots
    )
    return replace(rapid, width_mm=rapid.width_mm * wide // TENTHS, spots=spots)


def _vary_paddler(paddler: Paddler, rng: random.Random) -> Paddler:
    """Return the paddler, one in four of them a level lower in throwing."""
    if rng.random() < 0.25 and paddler.level("throwing") > 1:
        skills = {**paddler.skills, "throwing": paddler.level("throwing") - 1}
        return replace(paddler, skills=skills)
    return paddler


def _tell(said: str, began: float) -> None:
    sys.stdout.write(f"{time.monotonic() - began:6.1f} s  {said}\n")
    sys.stdout.flush()


def main() -> None:
    """Find the standard kit of many trips and print what it took."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trips", type=int, default=30)
    parser.add_argument("--limit", type=float, default=300.0)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    said = parser.parse_args()
    began = time.monotonic()
    clock = Clock(said.limit)
    fleet = make_fleet(make_trips(said.trips, said.seed))
    _tell(f"{len(fleet.outings)} trips, {len(fleet.wares)} wares, boats {fleet.boats}", began)
    options = Options(workers=said.workers, watch=lambda words: _tell(words, began))
    _print(standardise(fleet, clock, options), began)


def _count_processor_s() -> float:
    """Return the processor time of this process and of those it has ended, in seconds."""
    spent = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in spent)


def _print(found: Standard, began: float) -> None:
    cost, bound = found.cost, found.bound
    gap = 100 * (cost - bound) / cost if cost else 0.0
    _tell(f"cost {cost / 10_000:.2f} EUR, bound {bound / 10_000:.2f} EUR, {gap:.1f} % apart", began)
    _tell(f"{_count_processor_s():.0f} s of processor time", began)
    _tell(f"{found.rounds} rounds, {len(found.lists.list_lines())} lines", began)
    _tell(f"{sum(one.plan is not None for one in found.outcomes.values())} plans accepted", began)
    _tell(f"{len(found.missed)} trips miss their goal", began)
    goals = [one.goal for one in found.outcomes.values()]
    weight, open_ = sum(g.weight for g in goals), sum(g.uncovered for g in goals)
    least = sum(sum(floor[0] for floor in g.floors.values()) for g in goals)
    _tell(f"{sum(g.exact for g in goals)} goals are proven", began)
    _tell(f"goals leave {open_} of {weight} without cover, floors of rapids {least}", began)
    for line in found.lists.list_lines():
        sys.stdout.write(f"  {line.what} {line.key[0]}: {line.count} {line.item}\n")


if __name__ == "__main__":
    main()
