"""A lined rapid asks for no rescue, but for lines and hands ashore: tiny trips, worked by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.check import check_party
from kitplan.explain import SolveOptions, plan_trip
from kitplan.load import load_trip
from kitplan.needs import derive_needs, hardest_class, list_linings
from kitplan.report.check import render_check
from kitplan.report.needs import render_needs
from kitplan.report.plan import render_plan
from kitplan.trip import ALL_FLOWS
from kitplan.verify import verify_plan
from tests.inputs.texts import CATALOG, load, spoil, write
from tests.rules.tiny import BASE, RIVER, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.trip import Trip

# Two hands with throwing 2 and two lines of 18 m; the kit's bags have 20 m.
LINING = """
[lining]
roles = [{ name = "line hand", count = 2, skills = { throwing = 2 } }]
items = [{ kind = "line", count = 2, length = [{ plus = "18 m" }] }]
"""
GORGE = spoil(
    RIVER,
    ('"Riffle"', '"Gorge"'),
    ('class = "II"', 'class = "VI"\nrun = "lined"'),
)
LINED = replace(BASE, more=GORGE, types=LINING)


pytestmark = pytest.mark.usefixtures("in_folder")


def say_all(trip: Trip) -> str:
    """Return what `check` and `needs` say, line breaks apart."""
    needs = derive_needs(trip)
    check = check_party(trip, needs)
    sheets = (render_check(trip, needs, check, "text"), render_needs(trip, needs, "text"))
    return " ".join(" ".join(sheets).split())


def test_a_lined_rapid_asks_for_no_rescue_and_no_steerer(tmp_path: Path) -> None:
    """Class VI asks for oar raft 4, which nobody has; the other rapid is class II."""
    trip = read_tiny(tmp_path, LINED)
    assert {key.rapid for key in derive_needs(trip).choices} == {"Riffle"}
    assert hardest_class(trip, "Heron") == 2
    outcome = plan_trip(trip, SolveOptions(workers=1))
    assert outcome.plan is not None
    assert verify_plan(trip, outcome.plan) == []
    hard = read_tiny(tmp_path, replace(LINED, more=GORGE.replace('run = "lined"\n', "")))
    assert plan_trip(hard, SolveOptions(workers=1)).plan is None


def test_what_lining_asks_is_said_and_is_there(tmp_path: Path) -> None:
    """Cy and Dee throw 2; of two bags neither may be missing."""
    trip = read_tiny(tmp_path, LINED)
    (lining,) = list_linings(trip)
    assert [slot.count for slot in lining.persons] == [slot.count for slot in lining.items] == [2]
    assert (lining.banks, lining.missing) == (("left",), ())
    assert not check_party(trip, derive_needs(trip)).short
    said = say_all(trip)
    asked = (
        "2 x line hand (throwing 2) and 2 x line (18 m or longer), the same for each boat in turn; "
        "along river left"
    )
    assert f"Day 1, Gorge: {asked}: the party has it." in said
    assert "DAY 1, GORGE, class VI, 12 m wide, lined" in said
    assert f"Lined, nobody aboard: {asked}." in said


@pytest.mark.parametrize(
    ("tiny", "short"),
    [
        (
            replace(LINED, kit={"throw bag 20 m": "count = 1"}),
            "the rest of the party is short of 1 line (18 m or longer)",
        ),
        (
            replace(LINED, kit={"throw bag 15 m": "count = 2"}),
            "the rest of the party is short of 2 lines (18 m or longer)",
        ),
        (
            replace(LINED, people=BASE.people | {"Dee": ""}),
            "the rest of the party is short of 1 paddler with throwing 2 as 'line hand'",
        ),
    ],
    ids=["one line", "short lines", "one hand"],
)
def test_what_lining_lacks_is_said(tmp_path: Path, tiny: Tiny, short: str) -> None:
    trip = read_tiny(tmp_path, tiny)
    check = check_party(trip, derive_needs(trip))
    assert check.short
    said = say_all(trip)
    assert f"the same for each boat in turn; along river left: {short}." in said
    assert f"Short whatever is packed where: {short}." in said


def test_worn_lines_count_and_a_boat_alone_has_too_few_seats(tmp_path: Path) -> None:
    """Two belts of 15 m worn do where 15 m are asked; a kayak by itself seats one of two hands."""
    belts = dict.fromkeys(("Cy", "Dee"), 'wears = { "throw bag 15 m" = 1 }')
    worn = replace(LINED, own=belts, kit={}, types=LINING.replace("18 m", "15 m"))
    assert [one.missing for one in list_linings(read_tiny(tmp_path, worn))] == [()]
    alone = replace(
        LINED,
        boats={"Heron": "oar raft 4.3 m", "Wren": "river kayak"},
        people=BASE.people | {"Eve": "kayak = 3"},
        more=GORGE + 'groups = [["Heron"], ["Wren"]]\n',
    )
    heron, wren = list_linings(read_tiny(tmp_path, alone))
    assert heron.missing == ()
    assert [(one.what, one.name, one.short) for one in wren.missing] == [
        ("boat", "a seat in another boat there", 1)
    ]


def test_the_plan_says_what_is_asked_and_short_as_packed(tmp_path: Path) -> None:
    """A throw takes one bag a boat at Riffle; with three owned no more than two are packed.

    So with lines of 18 m two are there; with three asked one is short, though the party owns it.
    """
    three = replace(LINED, kit={"throw bag 20 m": "count = 3"}, types=LINING)
    for count, short in ((2, ""), (3, "; as packed, the rest of the party is short of 1 line")):
        types = LINING.replace('"line", count = 2', f'"line", count = {count}')
        trip = read_tiny(tmp_path, replace(three, types=types))
        outcome = plan_trip(trip, SolveOptions(workers=1))
        assert outcome.plan is not None
        said = " ".join(render_plan(trip, derive_needs(trip), outcome.plan, "text").split())
        assert f"day 1: Gorge is lined, and asks for 2 x line hand (throwing 2) and {count}" in said
        assert ("as packed" in said) == bool(short)
        assert short in said


def test_lined_at_low_water_only(tmp_path: Path) -> None:
    """Planned for all flows, the table of stations says it where it is lined."""
    tiny = replace(LINED, more='low = { run = "lined" }\n')
    path = write(tmp_path, tiny.text(), CATALOG + LINING)
    trip, findings = load_trip(path, ALL_FLOWS)
    assert trip is not None, findings
    assert [one.rapid for one in list_linings(trip)] == ["Riffle at low water"]
    outcome = plan_trip(trip, SolveOptions(workers=1))
    assert outcome.plan is not None
    assert verify_plan(trip, outcome.plan) == []
    said = render_plan(trip, derive_needs(trip), outcome.plan, "text")
    assert "day 1: Riffle at low water is lined, and asks for 2 x line hand" in said
    rows = [line.split() for line in said.splitlines() if line.strip().startswith("Heron (")]
    assert [row.count("lined") for row in rows if "lined" in row] == [1]


def test_lining_in_two_catalogues(tmp_path: Path) -> None:
    trip = LINED.text().replace('"../catalogs/all.toml"', '"../catalogs/all.toml", "lining.csv"')
    loaded = load(tmp_path, trip, CATALOG + LINING, lining=LINING)
    (line, hint) = loaded.lines
    assert line.startswith("trips/lining.csv:2:2: error: [lining] is there twice, first at ")
    assert hint == "  try: keep one of the two"
