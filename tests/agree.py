"""Solver and verifier on generated trips: they should disagree on none.

`python -m tests.agree --count 1000 --seed 1` prints the figures. A trip counts as disagreed on if
the verifier finds anything wrong with the solver's plan, or if the solver has no plan although
seats and packing that keep the rules exist.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.explain import plan_trip
from kitplan.solve import SolveOptions
from kitplan.verify import verify_plan
from tests.bundled import bundle_up
from tests.generator import SIZES, trips

if TYPE_CHECKING:
    from tests.generator import Draw, Size


@dataclass(slots=True)
class Tally:
    """Counts over some trips; `complaints` say what the verifier found, by seed."""

    trips: int = 0
    rejected: int = 0
    proven: int = 0
    cases: int = 0
    covered: int = 0
    backed: int = 0
    demands: int = 0
    met: int = 0
    gaps: int = 0
    complaints: dict[int, list[str]] = field(default_factory=dict)

    def say(self) -> str:
        """Return the figures in words."""
        return (
            f"{self.trips} trips ({self.rejected} draws rejected: no seating), "
            f"{self.proven} proven; {self.covered} of {self.cases} cases covered, "
            f"{self.backed} backed; {self.met} of {self.demands} demands met; {self.gaps} gaps; "
            f"disagreed on: {len(self.complaints)}"
        )


def compare(size: Size, count: int, seed: int, *, bundles: bool = False) -> Tally:
    """Return what solver and verifier say of `count` trips of the seeds from `seed` on.

    With `bundles` some kit of each is put together in bundles.
    """
    tally = Tally()
    for draw in trips(size, count, seed):
        rng = random.Random(f"{draw.seed} bundles")
        _compare_one(replace(draw, trip=bundle_up(draw.trip, rng)) if bundles else draw, tally)
    return tally


def _compare_one(draw: Draw, tally: Tally) -> None:
    outcome = plan_trip(draw.trip, SolveOptions(time_limit_s=60.0, workers=1))
    tally.trips += 1
    tally.rejected += draw.rejected
    tally.proven += outcome.status == "proven"
    if outcome.plan is None:
        tally.complaints[draw.seed] = [f"no plan: {outcome.status}"]
        return
    totals = outcome.plan.totals
    tally.cases += totals.cases
    tally.covered += totals.cases - totals.none
    tally.backed += totals.backed
    tally.demands += totals.demands
    tally.met += totals.met
    tally.gaps += len(outcome.plan.gaps)
    findings = verify_plan(draw.trip, outcome.plan)
    if findings:
        tally.complaints[draw.seed] = [finding.text() for finding in findings]


def main() -> int:
    """Compare as many trips as asked and print the figures; 1 if any was disagreed on."""
    parser = argparse.ArgumentParser(description="compare solver and verifier on generated trips")
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--size", choices=list(SIZES), default="tiny")
    parser.add_argument("--bundles", action="store_true", help="put some kit in bundles")
    asked = parser.parse_args()
    started = time.monotonic()
    tally = compare(SIZES[asked.size], asked.count, asked.seed, bundles=asked.bundles)
    for seed, texts in tally.complaints.items():
        for text in texts:
            sys.stdout.write(f"seed {seed}: {text}\n")
    sys.stdout.write(f"{tally.say()}; {time.monotonic() - started:.0f} s\n")
    return 1 if tally.complaints else 0


if __name__ == "__main__":
    sys.exit(main())
