"""One run in a process of its own: `python -m tests.bench.run RUNG-JSON METHOD LIMIT`.

Draws the trip, has the method solve it, takes seconds and memory, and has the plan checked. Prints
one line of JSON. `run_apart` starts such a process and reads the line.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import time
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitplan.needs import derive_needs
from tests.bench.checked import check_arrangement, count_aims
from tests.bench.ladder import Rung, draw_rung
from tests.bench.methods import METHODS

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.trip import Trip
    from tests.bench.method import Outcome

ROOT = Path(__file__).parents[2]
KIB = 1024
MOST_BYTES = 12 * KIB**3
"""What a process may hold."""
GRACE_S = 60.0
"""Beyond twice the limit: how long a process may take for drawing and checking before its end."""


@dataclass(frozen=True, slots=True)
class Result:
    """What one method came to on one rung.

    `values` and `bounds` are those of aims 2 to 4, None where not known. `faults`: what the
    verifier said, or why there is no result. `seconds` are those of the method alone, None if it
    never ended; `peak_mb` is what its process held at most, with the largest of those it started.
    """

    rung: Rung
    method: str
    values: tuple[int, ...] | None = None
    bounds: tuple[int | None, ...] | None = None
    proven: bool = False
    seconds: float | None = None
    peak_mb: int = 0
    cases: int = 0
    demands: int = 0
    faults: list[str] = field(default_factory=list)


def run_here(rung: Rung, method: str, limit_s: float) -> Result:
    """Return what a method comes to on a rung, in this process."""
    return run_trip(draw_rung(rung).trip, Result(rung, method), limit_s)


def run_trip(trip: Trip, asked: Result, limit_s: float) -> Result:
    """Return what a method comes to on a trip; `asked` names rung and method."""
    needs = derive_needs(trip)
    started = time.monotonic()
    outcome = METHODS[asked.method].solve(trip, needs, limit_s)
    seconds = time.monotonic() - started
    result = replace(
        asked,
        values=outcome.values,
        bounds=outcome.bounds,
        proven=outcome.proven,
        seconds=round(seconds, 2),
        peak_mb=_measure_peak_mb(),
        cases=len(needs.cases),
        demands=len(needs.demands),
    )
    return _check(trip, needs, outcome, result)


def _measure_peak_mb() -> int:
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return round(sum(one.ru_maxrss for one in used) / KIB)


def _check(trip: Trip, needs: Needs, outcome: Outcome, result: Result) -> Result:
    """Return the result with the values that the verifier counts, and what it finds wrong."""
    if outcome.arrangement is None:
        return result
    faults = check_arrangement(trip, outcome.arrangement)
    if faults:
        return replace(result, faults=faults)
    counted = count_aims(trip, needs, outcome.arrangement)
    if outcome.values is not None and counted[: len(outcome.values)] > outcome.values:
        faults.append(f"claimed {outcome.values}, counted {counted}")
    if outcome.proven and counted != outcome.values:
        faults.append(f"proven {outcome.values}, counted {counted}")
    return replace(result, values=counted, faults=faults)


# --- in a process of its own --------------------------------------------------------------------


def run_apart(rung: Rung, method: str, limit_s: float) -> Result:
    """Return what a method comes to on a rung, in a process of its own.

    A process that runs on far beyond the limit is ended, with all that it started.
    """
    command = [sys.executable, "-m", "tests.bench.run"]
    command += [json.dumps(asdict(rung)), method, str(limit_s)]
    with subprocess.Popen(
        command,
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as process:
        try:
            out, said = process.communicate(timeout=2 * limit_s + GRACE_S)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
            return Result(rung, method, faults=["ended: far beyond the limit"])
    lines = out.splitlines()
    if process.returncode < 0:
        name = signal.Signals(-process.returncode).name
        return Result(rung, method, faults=[f"killed by {name}"])
    if process.returncode or not lines:
        last = said.splitlines()[-1:] or [f"exit {process.returncode}"]
        return Result(rung, method, faults=[f"failed: {last[0]}"])
    return read_result(json.loads(lines[-1]))


def read_result(row: dict[str, Any]) -> Result:
    """Return a result from what `asdict` makes of it, read back from JSON."""
    lists = {key: row[key] and tuple(row[key]) for key in ("values", "bounds")}
    return Result(**{**row, **lists, "rung": Rung(**row["rung"])})


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_BYTES, MOST_BYTES))
    said = run_here(Rung(**json.loads(sys.argv[1])), sys.argv[2], float(sys.argv[3]))
    sys.stdout.write(f"\n{json.dumps(asdict(said))}\n")
