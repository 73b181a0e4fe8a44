"""Which passages the name of a rapid means that is carried round, at the flows of a plan."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.decide.skipped import find_skipped
from kitplan.load import load_trip

if TYPE_CHECKING:
    from kitplan.trip import Trip

FILE = Path(__file__).parents[2] / "trips" / "six-days.toml"
AT_ALL = {f"Clockmaker at {flow} water" for flow in ("low", "medium", "high")}


@cache
def load_at(flow: str) -> Trip:
    trip, findings = load_trip(FILE, flow)
    assert trip is not None, findings
    return trip


@pytest.mark.parametrize(
    ("flow", "said", "meant"),
    [
        ("all", "Clockmaker", AT_ALL),
        ("all", "Clockmaker at high water", {"Clockmaker at high water"}),
        ("all", "Clockmaker, high", {"Clockmaker at high water"}),
        ("medium", "Clockmaker", {"Clockmaker"}),
        ("medium", "Clockmaker at high water", {"Clockmaker"}),
        ("medium", "Clockmaker, high", {"Clockmaker"}),
        ("medium", "Ladle at low water", {"Ladle"}),
        ("medium", "Clock at high water", set()),
        ("medium", " at high water", set()),
    ],
)
def test_a_rapid_goes_by_what_it_is_called(flow: str, said: str, meant: set[str]) -> None:
    assert find_skipped(load_at(flow), said) == meant
