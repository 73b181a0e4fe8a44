"""False statements about people in the running boat, as many as there are, and who takes them.

The plans are those of tiny trips; expected codes are read off the rules' own sentences.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.plan import ItemPart, PersonPart
from kitplan.verify import verify_plan
from tests.rules.tiny import BASE, BOTH, TWO_IF_CROWDED, Tiny, few, read_tiny

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from kitplan.plan import DemandResult, Plan
    from kitplan.trip import Trip

    Change = Callable[[DemandResult], DemandResult]

# Seven throwers and bags: whichever raft runs, two can throw from the other one.
CROWDED = replace(
    BASE,
    people=dict.fromkeys(("Ana", "Bo", "Cy", "Dee", "Eve", "Fay", "Gus"), BOTH),
    kit={"throw bag 20 m": "count = 7"},
    catalog=(TWO_IF_CROWDED,),
)
FEW_WAY = "at most 2 in the running boat"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def solve(folder: Path, tiny: Tiny) -> tuple[Trip, Plan]:
    """Return a tiny trip and its plan, which the second program accepts."""
    trip = read_tiny(folder, tiny)
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    assert plan is not None
    assert verify_plan(trip, plan) == []
    return trip, plan


def codes(trip: Trip, plan: Plan, change: Change) -> set[str]:
    """Return the codes of all complaints with the first met demand changed."""
    at = next(n for n, result in enumerate(plan.demands) if result.met)
    other = change(plan.demands[at])
    assert other != plan.demands[at]
    told = replace(plan, demands=(*plan.demands[:at], other, *plan.demands[at + 1 :]))
    return {finding.code for finding in verify_plan(trip, told)}


# --- a way for few --------------------------------------------------------------------------------


def throw_alone(result: DemandResult) -> DemandResult:
    """Have one throw, in the way that does for few."""
    throwers = [part for part in result.witness if isinstance(part, PersonPart)]
    bags = [part for part in result.witness if isinstance(part, ItemPart)]
    return replace(result, way=FEW_WAY, witness=(throwers[0], bags[0]))


def test_a_way_for_few_is_none_with_many_aboard(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, CROWDED)
    assert min(len(crew) for crew in plan.arrangement.crew.values()) > 2
    assert codes(trip, plan, throw_alone) == {"crowd"}


def test_with_few_aboard_it_is_the_way_told(tmp_path: Path) -> None:
    """Up to four are few, and seven people in two rafts of five leave no boat with one alone."""
    tiny = replace(CROWDED, catalog=(TWO_IF_CROWDED, few(4)))
    _, plan = solve(tmp_path, tiny)
    crew = plan.arrangement.crew
    ways = {result.key.running: result.way for result in plan.demands if result.met}
    assert {boat: way.startswith("at most 4") for boat, way in ways.items()} == {
        boat: len(crew[boat]) <= 4 for boat in crew
    }
