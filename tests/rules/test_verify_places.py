"""Each complaint of the second program stands at the line of the trip that it is about."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.plan import LeftOut
from kitplan.verify import verify_plan
from tests.rules.tiny import BASE, THREE, Tiny, company, read_tiny

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from kitplan.plan import Plan

    Mutation = Callable[[Plan], Plan]

SPOT = """\
[[rapid.spot]]
name = "the rock"
scenarios = ["swimmer"]
"""
TINY = replace(
    BASE,
    kit=BASE.kit | {"first-aid kit": "count = 1\ntake = true"},
    river=(('scenarios = ["swimmer"]\n', SPOT),),
    more=company("together", "Ana", "Cy"),
)
# The lines of the trip that a complaint may be about, as an editor numbers them.
LINES = """\
1 [trip]
8 [[boat]]
11 [[boat]]
14 [[paddler]]
24 [[paddler]]
29 [[paddler]]
34 [[kit]]
37 [[kit]]
41 [[rapid]]
50 [[rapid.spot]]
53 [[together]]
"""


def arrange(plan: Plan, **changes: object) -> Plan:
    """Return the plan with parts of its arrangement exchanged."""
    return replace(plan, arrangement=replace(plan.arrangement, **changes))  # type: ignore[arg-type]


def leave_dee_ashore(plan: Plan) -> Plan:
    crew = plan.arrangement.crew
    return arrange(plan, crew={b: tuple(p for p in crew[b] if p != "Dee") for b in crew})


def leave_teal_unsteered(plan: Plan) -> Plan:
    return arrange(plan, steerer={"Heron": plan.arrangement.steerer["Heron"]})


def part_the_company(plan: Plan) -> Plan:
    swap = {"Cy": "Dee", "Dee": "Cy"}
    crew = plan.arrangement.crew
    return arrange(plan, crew={b: tuple(swap.get(p, p) for p in crew[b]) for b in crew})


def leave_the_first_aid_kit(plan: Plan) -> Plan:
    rows = plan.arrangement.packed
    return arrange(plan, packed=tuple(row for row in rows if row.item != "first-aid kit"))


def stand_nowhere(plan: Plan) -> Plan:
    return arrange(plan, stations={})


def call_the_met_unmet(plan: Plan) -> Plan:
    first = replace(plan.demands[0], met=False, witness=())
    return replace(plan, demands=(first, *plan.demands[1:]))


def leave_the_bag_out(plan: Plan) -> Plan:
    return replace(plan, not_called_for=(LeftOut("throw bag 20 m", 1),))


def seat_a_stranger(plan: Plan) -> Plan:
    return arrange(plan, crew=plan.arrangement.crew | {"Teal": ("Nobody",)})


def better_an_aim(plan: Plan) -> Plan:
    # Two bags of 1 kg and the kit of 3.2 kg.
    mass = replace(plan.aims[4], value=5199, bound=0, proven=False)
    return replace(plan, aims=(*plan.aims[:4], mass, *plan.aims[5:]))


AT_SPOT = "trips/x.toml:50:1: error: Riffle, the rock, swimmer, throw-line, left, Heron"
AT_BAG = "trips/x.toml:34:1: error: 0 x throw bag 20 m"
MUTATIONS: dict[str, tuple[Mutation, str]] = {
    "paddler": (leave_dee_ashore, "trips/x.toml:29:1: error: Dee has no seat (seat)"),
    "boat": (
        leave_teal_unsteered,
        "trips/x.toml:11:1: error: Teal has no steerer aboard (steerer)",
    ),
    "company": (
        part_the_company,
        "trips/x.toml:53:1: error: Ana, Cy are to sit together (together)",
    ),
    "kit": (
        leave_the_first_aid_kit,
        "trips/x.toml:37:1: error: 1 x first-aid kit must be taken along, and 0 are packed (take)",
    ),
    "rapid": (
        stand_nowhere,
        "trips/x.toml:41:1: error: while Teal runs Riffle, Heron can't stand 'none' (station)",
    ),
    "spot": (
        call_the_met_unmet,
        f"{AT_SPOT}: claimed not met, and it can be done (met)",
    ),
    "kit left out": (
        leave_the_bag_out,
        f"{AT_BAG} are not called for, which is not what is said (wrong-total)",
    ),
    "unknown name": (
        seat_a_stranger,
        "trips/x.toml:1:2: error: there is no paddler 'Nobody' (unknown-name)",
    ),
    "aim": (
        better_an_aim,
        "trips/x.toml:1:2: error: aim mass is 5200, not 5199 (wrong-aim)",
    ),
}


def solve(folder: Path, tiny: Tiny) -> tuple[Plan, Callable[[Plan], list[str]]]:
    """Return the plan of a tiny trip, and what says the complaints about another one."""
    trip = read_tiny(folder, tiny)
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    assert plan is not None
    return plan, lambda other: [finding.text() for finding in verify_plan(trip, other)]


def test_the_lines_are_those_of_the_trip() -> None:
    lines = TINY.text().splitlines()
    for told in LINES.splitlines():
        number, text = told.split(" ", 1)
        assert lines[int(number) - 1] == text


@pytest.mark.parametrize("noun", MUTATIONS)
def test_a_complaint_stands_at_its_line(
    noun: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    plan, complain = solve(tmp_path, TINY)
    mutate, said = MUTATIONS[noun]
    assert complain(plan) == []
    assert said in complain(mutate(plan))


def test_a_crowded_landing_stands_at_its_bank(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three boats where one can land: two are down for the first, two below for the third."""
    monkeypatch.chdir(tmp_path)
    tiny = replace(THREE, river=(("landing = 3", "landing = 1"),))
    plan, complain = solve(tmp_path, tiny)
    said = complain(arrange(plan, stations=dict.fromkeys(plan.arrangement.stations, "left")))
    line = tiny.text().splitlines().index("left = { landing = 1, path = true, eddy = true }") + 1
    first, second, third = plan.arrangement.order
    assert said == [
        f"trips/x.toml:{line}:1: error: Riffle: the landing river left{above} takes 1 boats; "
        f"while {running} runs {', '.join(sorted(there))} are there (landing)"
        for above, running, there in (
            (" from above", first, (second, third)),
            ("", third, (first, second)),
        )
    ]
