"""Bin packing, even loads and smallest sets with known answers, written as stores, boats, spreads.

Bin packing (capacity 10): 5,5,4,4,3,3,3,3 fills three bins where first fit by size takes four;
5,4,3,2,2,2,2 fills two where it takes three. Even loads: 3,3,2,2,2 on two come to 6 where the
longest first come to 7; 5,5,4,4,3,3,3 on three to 9 where they come to 11. These are worked
examples found in many textbooks, from memory; all four are computed below as well, by trying all
ways. The lines of AG(2,3) met twice: 8 points, by trying all subsets.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.verify import verify_plan
from tests.inputs.texts import CATALOG, load
from tests.published.test_smallest_sets import AG_2_3, BOAT, KIT, RAPID
from tests.rules.tiny import NO_RATE

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

HEAD = """\
[trip]
name = "boxes"
starts = 2027-06-14
catalogs = ["../catalogs/all.toml"]
water_temperature = "12 degC"
everyone_wears = ["life jacket, river", "helmet"]

[stores]
climate = "mild"
water = "from the river"
personal_bag = "0 kg"
personal_bag_volume = "0 L"
"""
BOXES = """
[[store]]
item = "box of {mass} kg"
count = {count}
mass = "{mass} kg"
volume = "1 L"
"""
# One portaged rapid, where nothing is asked.
RIVER = """
[[rapid]]
day = 1
name = "Riffle"
class = "II"
width = "12 m"
safety = "none"
run = "portage"
scenarios = ["swimmer"]
"""
# Whoever sits in it weighs 70 kg, and 8 kg wet.
TYPE = """
[[boat_type]]
name = "scow"
craft = "raft"
skill = "oar raft"
seats = 1
payload = "{payload} kg"
mass = "40 kg"
least_crew = [1, 1]
steerer = [1, 1, 1, 1, 1, 1]
quick_bulky = 1
quick_small = 1
"""
SCOW = """
[[boat]]
name = "{name}"
type = "scow"

[[paddler]]
name = "who rows {name}"
mass = "{mass} kg"
skills = {{ "oar raft" = 2 }}
boat = "{name}"
"""
PERSON = 78

Sizes = tuple[int, ...]


def write_trip(boxes: Sizes, masses: Sizes) -> str:
    """Return a trip with these boxes, and a scow for each rower, of this mass."""
    stores = "".join(
        BOXES.format(mass=mass, count=boxes.count(mass)) for mass in sorted(set(boxes))
    )
    names = ("Heron", "Teal", "Smew", "Coot")
    boats = "".join(
        SCOW.format(name=name, mass=mass) for name, mass in zip(names, masses, strict=False)
    )
    return HEAD + stores + boats + RIVER


def read(folder: Path, text: str, payload: int) -> Trip:
    loaded = load(folder, text, CATALOG + TYPE.format(payload=payload) + NO_RATE)
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


def solve(trip: Trip) -> Plan:
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    assert plan is not None
    assert [finding.text() for finding in verify_plan(trip, plan)] == []
    return plan


def weigh(plan: Plan) -> dict[str, int]:
    """Return what each boat has in boxes, in kilograms."""
    loads = dict.fromkeys(plan.arrangement.crew, 0)
    for row in plan.arrangement.stowed:
        loads[row.boat] += row.count * int(row.lot.split()[2])
    return loads


def list_loads(boxes: Sizes, boats: int) -> set[Sizes]:
    """Return all ways to load boats, as sorted loads."""
    loads = {(0,) * boats}
    for box in boxes:
        loads = {
            tuple(sorted(load + box * (b == n) for n, load in enumerate(one)))
            for one in loads
            for b in range(boats)
        }
    return loads


@pytest.mark.parametrize(
    ("boxes", "bins"), [((5, 5, 4, 4, 3, 3, 3, 3), 3), ((5, 4, 3, 2, 2, 2, 2), 2)]
)
def test_boxes_fill_as_few_boats_as_can_be(
    boxes: Sizes, bins: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Full to the kilogram; with a kilogram less in each boat there is no way, and it is said."""
    monkeypatch.chdir(tmp_path)
    assert (10,) * bins in list_loads(boxes, bins)
    text = write_trip(boxes, (70,) * bins)
    plan = solve(read(tmp_path, text, PERSON + 10))
    assert set(weigh(plan).values()) == {10}
    outcome = plan_trip(read(tmp_path, text, PERSON + 9), SolveOptions(workers=1))
    assert outcome.plan is None
    (finding,) = outcome.findings
    assert finding.code == "stores-conflict"
    assert "the stores can't be stowed: these can't hold together" in finding.message
    assert f"all stores are aboard, {10 * bins} kg and {len(boxes)} l" in finding.message


@pytest.mark.parametrize(
    ("boxes", "boats", "fullest"), [((3, 3, 2, 2, 2), 2, 6), ((5, 5, 4, 4, 3, 3, 3), 3, 9)]
)
def test_boxes_are_dealt_evenly(
    boxes: Sizes, boats: int, fullest: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Payloads of 100 kg: the person and the fullest boat's boxes, per mille."""
    monkeypatch.chdir(tmp_path)
    assert min(max(loads) for loads in list_loads(boxes, boats)) == fullest
    plan = solve(read(tmp_path, write_trip(boxes, (70,) * boats), 100))
    (balance,) = (aim for aim in plan.aims if aim.name == "balance")
    assert (balance.value, balance.proven) == (10 * (PERSON + fullest), True)
    assert max(weigh(plan).values()) == fullest


def test_a_heavy_rower_does_not_leave_the_others_uneven(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """He is the fullest with nothing but himself; the rest goes 6 and 6, not 12 and 0."""
    monkeypatch.chdir(tmp_path)
    plan = solve(read(tmp_path, write_trip((3, 3, 2, 2, 2), (86, 70, 70)), 100))
    (balance,) = (aim for aim in plan.aims if aim.name == "balance")
    assert (balance.value, balance.proven) == (940, True)
    assert weigh(plan) == {"Heron": 0, "Teal": 6, "Smew": 6}


SPREAD = """
[[spread]]
name = "paddle"
says = "a paddle is left"
lost = "boat and crew"
within = "group"
counts = { kinds = ["paddle"], spare = true }
"""
PLANE = """\
[trip]
name = "a plane"
starts = 2027-06-14
catalogs = ["../catalogs/all.toml"]
water_temperature = "12 degC"
everyone_wears = ["life jacket, river", "helmet"]
"""


def test_what_groups_keep_when_a_boat_is_lost_meets_every_line_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nine kayaks, each line of AG(2,3) a group: eight paddles are enough, seven are not.

    Each has to lie in a kayak of its own, as one kayak's are lost with it.
    """
    monkeypatch.chdir(tmp_path)
    twice = [
        size
        for size in range(10)
        if any(
            all(len(line & set(points)) > 1 for line in AG_2_3)
            for points in combinations(range(9), size)
        )
    ]
    assert min(twice) == 8
    boats = "".join(BOAT.format(name=f"K{point}") for point in range(9))
    river = "".join(
        RAPID.format(number=number, group=[f"K{point}" for point in sorted(line)]).replace(
            'safety = "set"', 'safety = "none"\nrun = "portage"'
        )
        for number, line in enumerate(AG_2_3)
    )
    for paddles, short in ((8, 0), (7, 1)):
        text = PLANE + boats + KIT.format(points=paddles) + river + SPREAD
        loaded = load(tmp_path, text, CATALOG)
        assert loaded.trip is not None, loaded.lines
        plan = solve(loaded.trip)
        assert (plan.aims[0].name, plan.aims[0].value, plan.aims[0].proven) == (
            "short_of_spread",
            short,
            True,
        )
        assert [row.short for row in plan.shortfalls] == [1] * short


def test_all_ways_are_tried() -> None:
    """The peers themselves: two boxes on two boats go together or apart."""
    assert list_loads((1, 2), 2) == {(0, 3), (1, 2)}
