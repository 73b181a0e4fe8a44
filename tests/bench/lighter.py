"""As much cover as by hand with less kit: `python -m tests.bench.lighter --sizes XS,S --seeds 2`.

Kit is dealt out by hand, with the best stations for it. Then seats and packing are sought that
leave no more without cover, nor from one bank alone, with the same stations, and take as little
mass of kit as can be. The verifier counts all of it, and that the rules are kept.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tabulate import tabulate

from kitplan.build import Posted, TripModel, read_aboard
from kitplan.build.variables import add_up
from kitplan.needs import derive_needs
from kitplan.solve import Clock
from kitplan.solve.begin import arrange
from kitplan.solve.dealt import deal_out
from kitplan.solve.floors import Limits
from kitplan.solve.run import Budget, run, start_from
from kitplan.solve.singles import Alone
from kitplan.verify.kept import count_packed
from tests.bench.checked import check_arrangement, count_aims
from tests.bench.compare import find_mean
from tests.bench.ladder import KITS, draw_rung, list_rungs
from tests.bench.method import AIMS

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.plan import Arrangement
    from kitplan.solve.singles import Decided
    from kitplan.trip import Trip
    from tests.bench.ladder import Rung

UNITS = 40.0  # the solver's deterministic time for each run
COVER = AIMS[:2]
LESS = 0.7  # of the mass by hand: what was aimed at
LEAST = 0.001  # of the mass: less counts as this in the mean
GRAMS = 1000


@dataclass(frozen=True, slots=True)
class Weighed:
    """What a plan comes to in aims 2 and 3, its mass of kit in grams, and the rules it breaks."""

    cover: tuple[int, ...]
    mass_g: int
    faults: list[str]


def compare(trip: Trip, limit_s: float) -> tuple[Weighed, Weighed]:
    """Return what is dealt out by hand, and what covers no less with as little kit as was found."""
    needs, clock = derive_needs(trip), Clock(limit_s)
    decided = _deal(trip, needs, clock)
    by_hand = _weigh(trip, needs, decided)
    return by_hand, _weigh(trip, needs, _lighten(trip, needs, decided, clock))


def _deal(trip: Trip, needs: Needs, clock: Clock) -> Decided:
    decided = deal_out(trip, Budget(clock, 1.0, UNITS))
    if decided is None:
        message = "nothing keeps the rules"
        raise ValueError(message)
    alone, aboard = Alone(trip, needs, Limits(clock, 1.0, 1)), read_aboard(trip, decided)
    for rapid in sorted({case.rapid for case in needs.cases}):
        stands = alone.ask(rapid, aboard)
        decided |= stands.decided if stands else {}
    return decided


def _lighten(trip: Trip, needs: Needs, decided: Decided, clock: Clock) -> Decided:
    """Return seats and packing that cover as much with the same stations, and weigh little."""
    posted = Posted(trip, sorted({case.rapid for case in needs.cases}), decided, near=0)
    tm = TripModel(posted, needs)
    as_is = tm.model.clone()
    for _, variable in posted.list_decisions(as_is):
        if variable.name in decided:
            as_is.add(variable == decided[variable.name])
    before = run(as_is, add_up(map(tm.total, COVER)), Budget(clock, 1.0, UNITS))
    if not before.found:
        return decided
    for aim in COVER:
        tm.model.add(tm.total(aim) <= before.evaluate(tm.total(aim)))
    start_from(tm.model, before.list_values())
    after = run(tm.model, tm.total("mass"), Budget(clock, 1.0, UNITS, linear=1))
    if not after.found:
        return decided
    values, proto = after.list_values(), tm.model.proto.variables
    return decided | {proto[n].name: values[n] for n in range(posted.decided)}


def _weigh(trip: Trip, needs: Needs, decided: Decided) -> Weighed:
    arrangement: Arrangement | None = arrange(trip, decided, Budget(Clock(UNITS), 1.0, UNITS))
    if arrangement is None:
        return Weighed((), 0, ["no stations"])
    counted = count_aims(trip, needs, arrangement)
    mass_g = sum(
        max(count_packed(trip, arrangement, item).values(), default=0) * kit.item.mass_g
        for item, kit in trip.kit.items()
    )
    return Weighed(counted[: len(COVER)], mass_g, check_arrangement(trip, arrangement))


def _list_cells(rung: Rung, by_hand: Weighed, lighter: Weighed) -> dict[str, str]:
    return {
        "rung": rung.name,
        "uncovered, one bank by hand": ", ".join(map(str, by_hand.cover)),
        "kg": f"{by_hand.mass_g / GRAMS:.1f}",
        "lighter": ", ".join(map(str, lighter.cover)),
        "kg then": f"{lighter.mass_g / GRAMS:.1f}",
        "share": f"{_find_share(by_hand, lighter):.2f}",
        "fault": "; ".join([*by_hand.faults, *lighter.faults][:1]),
    }


def _find_share(by_hand: Weighed, lighter: Weighed) -> float:
    """Return the share of the mass that is taken; all of it where there is none."""
    return lighter.mass_g / by_hand.mass_g if by_hand.mass_g else 1.0


def _covers_less(one: Weighed, other: Weighed) -> bool:
    return any(here > there for here, there in zip(one.cover, other.cover, strict=True))


def main() -> int:
    """Compare on the rungs asked for; return 1 where a plan breaks a rule or covers less."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.lighter", description=__doc__)
    parser.add_argument("--sizes", default="XS,S")
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--kits", default=",".join(KITS))
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each rung")
    asked = parser.parse_args()
    rows, wrong = [], 0
    for rung in list_rungs(asked.sizes.split(","), asked.seeds, asked.kits.split(",")):
        by_hand, lighter = compare(draw_rung(rung).trip, asked.limit)
        rows.append((rung, by_hand, lighter))
        wrong += bool(by_hand.faults or lighter.faults or _covers_less(lighter, by_hand))
    sys.stdout.write(tabulate([_list_cells(*row) for row in rows], headers="keys") + "\n")
    shares = [max(_find_share(*pair), LEAST) for _, *pair in rows]
    sys.stdout.write(f"{find_mean(shares):.2f} of the mass on average, {LESS} was aimed at\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
