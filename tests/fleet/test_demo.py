"""The four demo trips: lists that are proven cheapest, each line needed, every plan accepted."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.fleet.standard import Options, make_fleet, standardise
from kitplan.load import load_trip
from kitplan.report.lists import write_standard
from kitplan.report.standard import render_standard
from kitplan.solve.run import Clock
from kitplan.units import US
from kitplan.verify import verify_plan

if TYPE_CHECKING:
    from kitplan.trip import Trip

ROOT = Path(__file__).parents[2]


def load_demo() -> list[Trip]:
    trips = [load_trip(path)[0] for path in sorted((ROOT / "trips/fleet").glob("*.toml"))]
    return [trip for trip in trips if trip is not None]


@pytest.fixture(scope="module")
def trips() -> list[Trip]:
    return load_demo()


def test_the_demo_is_proven_needed_and_accepted(trips: list[Trip]) -> None:
    found = standardise(make_fleet(trips), Clock(3600.0), Options())
    assert found.cost == found.bound == 399_950 * 100
    assert found.canonical
    assert found.missed == ()
    for one in found.needed:
        assert one.proven
        assert one.suffers, one.line
    for outcome in found.outcomes.values():
        assert outcome.kit is not None
        assert outcome.plan is not None
        assert verify_plan(outcome.kit, outcome.plan) == []
    # With its own lists no trip costs more than with those that it shares.
    assert set(found.apart) == {trip.name for trip in trips}
    shown = render_standard(found, "markdown", US)
    assert "| throw bag 15 m, belt" in shown
    assert shown.startswith("# The standard kit of 4 trips: 3999.50 EUR")
    assert '"proven": true' in write_standard(found)
