"""Two lines that count as one, on tiny trips with optima by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.needs import derive_needs
from kitplan.plan import ItemPart
from tests.rules.solved import solve
from tests.rules.tiny import BASE, LINE, Edit, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan

# 12 m wide, 6 m of reach: 3.5 x 6 m + 2 m is 23 m, longer than the bags of 20 m and of 15 m.
ACROSS = LINE.replace("1.5", "3.5").replace('"thrown"', '"across"')
JOINT: Edit = (
    "ferry_steerer = 3\n",
    'ferry_steerer = 3\njoint = "1 m"\njoint_kind = "carabiner"\n',
)
BAGS: Edit = ('flags = ["thrown", "floats"]', 'flags = ["thrown", "across", "floats"]')
KIT = {"throw bag 20 m": "count = 4", "locking carabiner": "count = 2"}
JOINED = replace(BASE, kit=KIT, catalog=(JOINT, BAGS, (LINE, ACROSS)))


pytestmark = pytest.mark.usefixtures("in_folder")


def read_value(plan: Plan) -> int:
    return next(aim.value for aim in plan.aims if aim.name == "uncovered")


def test_only_two_lines_joined_cover(tmp_path: Path) -> None:
    """Each raft carries two bags and a carabiner: 20 + 20 - 1 is 39 m, and 23 m are asked for."""
    trip = read_tiny(tmp_path, JOINED)
    plan = solve(trip)
    assert read_value(plan) == 0
    for result in plan.demands:
        used = {(p.kind, p.item): p.count for p in result.witness if isinstance(p, ItemPart)}
        assert used == {
            ("line", "throw bag 20 m"): 2,
            ("carabiner", "locking carabiner"): 1,
        }
    (choice,) = [choice for choice in derive_needs(trip).choices.values() if choice.accepted]
    said = (
        "line of 23 m: two joined will do, 20 m + 20 m - 1 m of joint = 39 m, with 1 more carabiner"
    )
    assert said in choice.amounts


@pytest.mark.parametrize(
    ("tiny", "why"),
    [
        (replace(JOINED, kit=KIT | {"throw bag 20 m": "count = 3"}), "one raft has one line"),
        (replace(JOINED, kit=KIT | {"locking carabiner": "count = 1"}), "one raft can't join them"),
    ],
    ids=["three lines", "one carabiner"],
)
def test_without_line_or_carabiner_one_case_of_two_is_uncovered(
    tmp_path: Path, tiny: Tiny, why: str
) -> None:
    """Class II squared x swimmer 2 x likely 1 is 8 for each of two cases."""
    assert read_value(solve(read_tiny(tmp_path, tiny))) == 8, why


@pytest.mark.parametrize(
    "catalog",
    [
        (JOINT, BAGS, (LINE, ACROSS.replace('"across"', '"thrown"'))),
        (JOINT, BAGS, (LINE, ACROSS.replace('"across"', '"across", "thrown"'))),
        (JOINT, BAGS, (LINE, ACROSS.replace("flags", "whole = true, flags"))),
        (BAGS, (LINE, ACROSS)),
    ],
    ids=["thrown", "across and thrown", "in one piece", "no joint in the catalogue"],
)
def test_lines_are_not_joined(tmp_path: Path, catalog: tuple[Edit, ...]) -> None:
    """Both cases stay uncovered: 2 x 8."""
    trip = read_tiny(tmp_path, replace(JOINED, catalog=catalog))
    needs = derive_needs(trip)
    assert not any("joined" in v.way for c in needs.choices.values() for v in c.variants)
    assert read_value(solve(trip)) == 16


def test_a_knot_alone_joins_where_no_kind_is_named(tmp_path: Path) -> None:
    knot = (JOINT[0], 'ferry_steerer = 3\njoint = "1 m"\n')
    tiny = replace(JOINED, catalog=(knot, *JOINED.catalog[1:]), kit={"throw bag 20 m": "count = 4"})
    assert read_value(solve(read_tiny(tmp_path, tiny))) == 0


def test_none_are_joined_where_one_line_does_alone(tmp_path: Path) -> None:
    """A bag of 24 m: one raft has it, and 8 is left of 16 - unless two such lines are asked."""
    longer = ('length = "15 m"\nflags = ["thrown"]', 'length = "24 m"\nflags = ["across"]')
    kit = KIT | {"throw bag 15 m": "count = 1"}
    alone = replace(JOINED, kit=kit, catalog=(*JOINED.catalog, longer))
    assert read_value(solve(read_tiny(tmp_path, alone))) == 8
    two = (JOINT[0], JOINT[1] + "joint_unless = 2\n")
    both = replace(alone, catalog=(two, *alone.catalog[1:]))
    assert read_value(solve(read_tiny(tmp_path, both))) == 0
