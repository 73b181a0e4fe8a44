"""What is carried comes before what is covered: plans of tiny trips, derived by hand.

The trips are those of `tiny`: two rafts, Ana and Bo steer, Cy and Dee throw, two bags of one
line each. With a thrower and a bag in each raft all is covered; each case weighs 8.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.rules.solved import solve
from tests.rules.tiny import BASE, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan


def rule(tier: str, counts: str, reading: str, name: str = "lines") -> str:
    """Return a rule of the trip's own."""
    return f"""
[[rule]]
id = "{name}"
says = "so many lines"
tier = "{tier}"
counts = {{ {counts} }}
reading = {{ {reading} }}
"""


def spread(lost: str) -> str:
    """Return a spread that asks for a line when a boat is lost."""
    return f"""
[[spread]]
name = "line"
says = "a line is left"
lost = "{lost}"
counts = {{ kinds = ["line"] }}
"""


LONG = 'kinds = ["line"], length = "18 m"'
LINE = 'kinds = ["line"]'
NONE = 'scope = "trip", bound = "at most", count = 0'
THREE = 'scope = "trip", count = 3'
TWO_DAYS = (("water_temperature", "days = 2\nwater_temperature"),)


def plan_tiny(folder: Path, tiny: Tiny) -> Plan:
    return solve(read_tiny(folder, tiny))


def tell(plan: Plan) -> dict[str, int]:
    return {aim.name: aim.value for aim in plan.aims}


@pytest.fixture(autouse=True)
def _stand_in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("tier", ["law", "house"])
def test_a_rule_is_kept_though_nothing_is_covered_then(tier: str, tmp_path: Path) -> None:
    """No line may be there at all: nothing is short of the rule, both cases are uncovered."""
    aims = tell(plan_tiny(tmp_path, replace(BASE, more=rule(tier, LINE, NONE))))
    assert (aims[f"short_of_{tier}"], aims["uncovered"], aims["mass"]) == (0, 16, 0)


def test_law_comes_before_the_house(tmp_path: Path) -> None:
    """The law asks for three lines, of which there are two; the house for no long ones: 1, 2."""
    more = rule("house", LONG, NONE, "none") + rule("law", LINE, THREE)
    plan = plan_tiny(tmp_path, replace(BASE, more=more))
    aims = tell(plan)
    assert list(aims)[:3] == ["short_of_law", "short_of_house", "uncovered"]
    assert (aims["short_of_law"], aims["short_of_house"], aims["uncovered"]) == (1, 2, 0)
    assert [(row.name, row.asked, row.there, row.short) for row in plan.shortfalls] == [
        ("lines", 3, 2, 1),
        ("none", 0, 2, 2),
    ]


def test_the_house_comes_before_what_a_lost_boat_leaves(tmp_path: Path) -> None:
    """No line by the house, so none is left whichever boat is lost: one missing line, once."""
    more = rule("house", LINE, NONE) + spread("boat")
    aims = tell(plan_tiny(tmp_path, replace(BASE, more=more)))
    assert (aims["short_of_house"], aims["short_of_spread"]) == (0, 1)


def test_what_is_lost_with_a_boat_is_short_on_the_days_with_one_of_it_only(tmp_path: Path) -> None:
    """One line on day 1, in one of two boats; another one comes on day 2, in the other boat."""
    kit = {"throw bag 20 m": "count = 1", "throw bag 15 m": "count = 1\nfrom = 2"}
    tiny = replace(BASE, kit=kit, head=TWO_DAYS, more=spread("boat and crew"))
    plan = plan_tiny(tmp_path, tiny)
    assert tell(plan)["short_of_spread"] == 1
    (row,) = plan.shortfalls
    assert (row.day, row.asked, row.there, row.short) == (1, 1, 0, 1)
    carrier = {p.boat for p in plan.arrangement.packed if p.item == "throw bag 20 m"}
    assert row.boat in carrier


def test_both_lines_early_and_nothing_is_short(tmp_path: Path) -> None:
    """The same with both from day 1 on: one in each boat."""
    kit = {"throw bag 20 m": "count = 1", "throw bag 15 m": "count = 1"}
    tiny = replace(BASE, kit=kit, head=TWO_DAYS, more=spread("boat and crew"))
    assert tell(plan_tiny(tmp_path, tiny))["short_of_spread"] == 0
