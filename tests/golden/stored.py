"""The stored plans of the demo trips, and how they are made anew when a trip has changed."""

from functools import cache
from pathlib import Path

from kitplan.decide.counts import Counted, count_first
from kitplan.explain import Clock, SolveOptions, plan_trip
from kitplan.load import load_trip
from kitplan.needs import derive_needs
from kitplan.plan import Plan, digest_sources
from kitplan.planfile import read_plan, write_plan
from kitplan.trip import Trip

ROOT = Path(__file__).parents[2]
PLANS = Path(__file__).with_name("plans")
NAMES = ("day-rafts", "four-kayaks", "six-days")
# Far more than solving takes: what is stored must not depend on how busy the machine was.
LONG_S = 600.0


def load_demo(name: str) -> Trip:
    """Return a demo trip; its files are named as from the top of the checkout."""
    trip, findings = load_trip(Path("trips") / f"{name}.toml")
    assert trip is not None, findings
    return trip


def read_stored(name: str) -> Plan | None:
    """Return the stored plan of a demo trip, None if there is none that can be read."""
    path = PLANS / f"{name}.json"
    kept, _ = read_plan(path.read_bytes() if path.is_file() else b"", str(path))
    return kept.plan if kept else None


@cache
def count_stored(name: str) -> Counted:
    """Return who and what counts most in the stored plan of a demo trip, asked once a session."""
    trip, plan = load_demo(name), read_stored(name)
    assert plan is not None
    clock = Clock(LONG_S)
    return count_first(trip, derive_needs(trip), plan.arrangement, clock, lambda _: None)


def is_fresh(plan: Plan | None, trip: Trip) -> bool:
    """Say whether a stored plan was made from the files as they are now."""
    return plan is not None and plan.digest == digest_sources(trip.sources)


def store_anew(name: str) -> None:
    """Solve a demo trip and store its plan, unless the one that is stored is fresh."""
    trip = load_demo(name)
    if is_fresh(read_stored(name), trip):
        return
    plan = plan_trip(trip, SolveOptions(time_limit_s=LONG_S)).plan
    assert plan is not None
    assert plan.canonical
    text = write_plan(trip, derive_needs(trip), plan)
    (PLANS / f"{name}.json").write_text(text, encoding="utf-8")
