"""The same trip gives the same bytes, whatever the processes and however Python orders its sets."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PLAN = """
import sys
from kitplan.explain import plan_trip
from kitplan.needs import derive_needs
from kitplan.planfile import write_plan
from kitplan.solve import SolveOptions
from tests.generator import SIZES, generate_trip

if __name__ == "__main__":
    size, seed, workers, few = sys.argv[1], *map(int, sys.argv[2:])
    if few:
        import kitplan.solve.aims as aims
        aims.MANY = few
    trip = generate_trip(seed, SIZES[size])
    plan = plan_trip(trip, SolveOptions(workers=workers, time_limit_s=300)).plan
    print("---")  # what stands above is HiGHS's
    print(len(trip.legs), plan.canonical)
    print(write_plan(trip, derive_needs(trip), plan))
"""


def plan_apart(size: str, seed: int, *, workers: int, few: int, hashes: str) -> str:
    """Return what a process of its own prints: legs, whether canonical, and the plan file."""
    arguments = [size, str(seed), str(workers), str(few)]
    done = subprocess.run(
        [sys.executable, "-c", PLAN, *arguments],
        env=os.environ | {"PYTHONHASHSEED": hashes},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.partition("---\n")[2]


@pytest.mark.parametrize(
    ("size", "seed", "few", "legs"),
    [("tiny", 3, 0, 2), ("tiny", 4, 0, 1), ("XS", 2, 0, 1), ("XS", 3, 3, 1)],
    ids=["two legs", "one leg", "more boats", "competing rapids"],
)
def test_same_bytes_whatever_the_processes(size: str, seed: int, few: int, legs: int) -> None:
    """`few` above 0: with more rapids than that, they compete."""
    one = plan_apart(size, seed, workers=1, few=few, hashes="1")
    two = plan_apart(size, seed, workers=2, few=few, hashes="2")
    assert one.splitlines()[0] == f"{legs} True"
    assert one.count("\n") > 20
    assert one == two
