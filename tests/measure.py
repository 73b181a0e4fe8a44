"""Print how long each step of planning a trip takes: python -m tests.measure TRIP [SECONDS]."""

import resource
import sys
import time
from pathlib import Path

from kitplan.explain import SolveOptions, plan_trip
from kitplan.load import load_trip
from kitplan.needs import derive_needs

LIMIT_S = SolveOptions().time_limit_s  # as `kitplan plan` has it


def measure(path: Path, limit_s: float) -> int:
    """Print step, wall seconds and processor seconds at its start, then aims and totals."""
    started = time.monotonic()

    def say(step: str) -> None:
        used = resource.getrusage(resource.RUSAGE_SELF).ru_utime
        sys.stdout.write(f"{time.monotonic() - started:7.1f} s wall {used:7.1f} s cpu  {step}\n")

    trip, findings = load_trip(path)
    if trip is None:
        sys.stdout.write("\n".join(finding.text() for finding in findings) + "\n")
        return 1
    needs = derive_needs(trip)
    say(f"{len(needs.cases)} cases, {len(needs.demands)} demands")
    outcome = plan_trip(trip, SolveOptions(time_limit_s=limit_s, watch=say))
    say(f"done: {outcome.status}")
    if outcome.plan is not None:
        for aim in outcome.plan.aims:
            proof = "proven" if aim.proven else f"bound {aim.bound}"
            sys.stdout.write(f"{aim.name:10} {aim.value:8} {proof}\n")
        sys.stdout.write(f"{outcome.plan.totals} canonical={outcome.plan.canonical}\n")
    return 0


if __name__ == "__main__":
    sys.exit(measure(Path(sys.argv[1]), float(sys.argv[2]) if len(sys.argv) > 2 else LIMIT_S))
