"""Smallest sets that meet every line of a finite plane, written as trips whose boats go in groups.

Each point of the plane is a boat that may carry one thing, each line a rapid that the boats of its
points pass by themselves; help takes the thing from a boat that stands there. So the least mass of
kit with every case covered is the least number of points that meet all lines (where only a boat
that carries nothing may be in trouble), or that still meet them after any one point is lost (where
any boat may be). In which order the boats run makes no difference: the bank has a path and room for
all of a group, so the others can be there whether they have run or not. The lines of AG(2,3) are
Steiner's triple system of nine points: 5 (D. R. Fulkerson, G. L. Nemhauser, L. E. Trotter, "Two
computationally difficult set covering problems", 1974, as stn9; from memory), and 8 that meet every
line twice; Fano plane: 3 and 6. All four are computed below as well, by trying all subsets.
"""

import json
from itertools import combinations, product
from pathlib import Path
from typing import TypeAlias

import pytest

from kitplan.explain import SolveOptions, plan_trip
from tests.inputs.texts import CATALOG, load, spoil

Lines: TypeAlias = list[frozenset[int]]

# Three points of Z7: the differences within {0, 1, 3} are all of 1 to 6, each once (Singer 1938).
FANO: Lines = [frozenset((start + step) % 7 for step in (0, 1, 3)) for start in range(7)]
# Points 3 a + b of the plane over Z3: three on a line where their coordinates add up to nothing.
AG_2_3: Lines = [
    frozenset(3 * a + b for a, b in points)
    for points in combinations(list(product(range(3), repeat=2)), 3)
    if all(sum(column) % 3 == 0 for column in zip(*points, strict=True))
]
PLANES = {"Fano": FANO, "AG(2,3)": AG_2_3}

HEAD = """\
[trip]
name = "a plane"
starts = 2027-06-14
catalogs = ["../catalogs/all.toml"]
water_temperature = "12 degC"
running = {running}
everyone_wears = ["life jacket, river", "helmet"]
"""

BOAT = """
[[boat]]
name = "{name}"
type = "river kayak"

[[paddler]]
name = "who sits in {name}"
mass = "70 kg"
skills = {{ kayak = 3 }}
boat = "{name}"
"""

RAPID = """
[[rapid]]
day = 1
name = "line {number}"
class = "II"
width = "12 m"
safety = "set"
left = {{ landing = 4, path = true }}
scenarios = ["swimmer"]
groups = [{group}]
"""

KIT = """
[[kit]]
item = "raft paddle"
count = {points}
"""

# One paddle from a boat that stands there, and `hands` people who need no skill.
TECHNIQUE = """
[[technique]]
name = "reach"
summary = "A paddle held out from the bank."
source = "made up for tests"
banks = "one"
serves = [{{ scenario = "swimmer", tier = 0 }}]
ready_in = ["10 s", "30 s"]
roles = [{{ name = "holder", count = {hands}, guest = true }}]
items = [{{ kind = "paddle" }}]
"""


def write_trip(lines: Lines, other: str = "") -> str:
    """Return the trip of a plane; `other` is one more boat, in each group, alone in trouble."""
    points = sorted(frozenset.union(*lines))
    boats = [f"P{point}" for point in points] + ([other] if other else [])
    groups = [
        [f"P{point}" for point in sorted(line)] + ([other] if other else []) for line in lines
    ]
    return "".join(
        [
            HEAD.format(running=json.dumps([other] if other else "any boat")),
            *(BOAT.format(name=name) for name in boats),
            KIT.format(points=len(points)),
            *(RAPID.format(number=n, group=json.dumps(g)) for n, g in enumerate(groups)),
        ]
    )


def least_kits(folder: Path, text: str, hands: int) -> int:
    """Return how many paddles the best plan takes, all of it proven and every case covered.

    A technique that asks for all hands there can't be backed, so that kit is dealt to cover alone.
    """
    # Without the catalogue's own throw, which serves the same scenario.
    catalog = spoil(CATALOG, ('scenario = "swimmer", tier', 'scenario = "pinned boat", tier'))
    read = load(folder, text, catalog + TECHNIQUE.format(hands=hands))
    assert read.trip is not None, read.lines
    outcome = plan_trip(read.trip, SolveOptions(workers=1))
    assert outcome.status == "proven"
    assert outcome.plan is not None
    aims = {aim.name: aim.value for aim in outcome.plan.aims}
    assert aims["uncovered"] == 0
    assert outcome.plan.totals.cases > 0
    return aims["mass"] // read.trip.kit["raft paddle"].item.mass_g


def least_by_trying(lines: Lines, times: int) -> int:
    """Return the size of the smallest set that meets every line so often, by trying all sets."""
    points = sorted(frozenset.union(*lines))
    for size in range(len(points) + 1):
        for chosen in combinations(points, size):
            if all(len(line.intersection(chosen)) >= times for line in lines):
                return size
    return len(points) + 1


@pytest.mark.parametrize(("plane", "points", "lines"), [("Fano", 7, 7), ("AG(2,3)", 9, 12)])
def test_each_pair_of_points_is_on_one_line(plane: str, points: int, lines: int) -> None:
    """What makes the lists of triples the planes they are called."""
    assert len(PLANES[plane]) == lines
    assert frozenset.union(*PLANES[plane]) == frozenset(range(points))
    for pair in combinations(range(points), 2):
        assert sum(line.issuperset(pair) for line in PLANES[plane]) == 1


@pytest.mark.parametrize(
    ("plane", "times", "least"),
    [("Fano", 1, 3), ("Fano", 2, 6), ("AG(2,3)", 1, 5), ("AG(2,3)", 2, 8)],
)
def test_smallest_sets_by_trying_all(plane: str, times: int, least: int) -> None:
    """The values the trips below are held against."""
    assert least_by_trying(PLANES[plane], times) == least


@pytest.mark.parametrize(("plane", "least"), [("Fano", 6), ("AG(2,3)", 8)])
def test_any_boat_may_be_in_trouble(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, plane: str, least: int
) -> None:
    """One of the other two of each line has the paddle: every line is met twice."""
    monkeypatch.chdir(tmp_path)
    assert least_kits(tmp_path, write_trip(PLANES[plane]), hands=2) == least


@pytest.mark.parametrize(("plane", "least"), [("Fano", 3), ("AG(2,3)", 5)])
def test_only_a_boat_that_carries_nothing_may_be_in_trouble(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, plane: str, least: int
) -> None:
    """A further boat is in every group: one of the three of each line has the paddle."""
    monkeypatch.chdir(tmp_path)
    text = write_trip(PLANES[plane], other="Q")
    assert least_kits(tmp_path, text, hands=3) == least


@pytest.mark.parametrize(("plane", "least"), [("Fano", 6), ("AG(2,3)", 8)])
def test_backed_cover_meets_every_line_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, plane: str, least: int
) -> None:
    """With hands to spare, backing asks for a second paddle on each line."""
    monkeypatch.chdir(tmp_path)
    text = write_trip(PLANES[plane], other="Q")
    assert least_kits(tmp_path, text, hands=1) == least
