"""Who and what counts most as it is printed, whole texts."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide.counts import Count, Counted
from kitplan.decide.missed import Lost
from kitplan.demands import CaseKey
from kitplan.plan import Packed
from kitplan.report.counts import make_counts, write_counts
from kitplan.report.sheet import Sheet
from tests.rules.tiny import BASE, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.trip import Trip

BAG = "throw bag 20 m"
HEAD = """\
WHO AND WHAT COUNTS MOST

What cover would be lost with one person hurt, who keeps the seat, or with one piece gone from where
it is missed most. Stations are chosen anew for it; seats, packing and running order stay as they
are.
"""


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Trip:
    """Return a trip of two rafts with a guest, Eve."""
    monkeypatch.chdir(tmp_path)
    people = BASE.people | {"Eve": ""}
    return read_tiny(tmp_path, Tiny(people=people, own={"Eve": "guest = true"}))


def case(rapid: str, running: str) -> CaseKey:
    return CaseKey(rapid, "mid-channel", "swimmer", running)


def lose(*rapids: str, banks: int = 0) -> tuple[Lost, ...]:
    """Return the loss of a case of 8 at each rapid, and of banks at the first."""
    left = (case("Riffle", "Teal"),) * banks
    return tuple(
        Lost(rapid, (8, 8), (case(rapid, "Heron"),), left if n == 0 else ())
        for n, rapid in enumerate(rapids)
    )


def hurt(name: str, boat: str, lost: tuple[Lost, ...], *steers: str) -> Count:
    rise = (8 * len(lost), 8 * len(lost))
    return Count("", name, (Packed(boat, "", "", 1),), rise, lost, steers)


def piece(item: str, lost: tuple[Lost, ...], *places: Packed) -> Count:
    return Count(item, "", places, (8 * len(lost), 0), lost)


def write(trip: Trip, counted: Counted) -> str:
    sheet = Sheet("text")
    write_counts(sheet, trip, counted)
    return sheet.text().lstrip()


def test_people_and_pieces_are_told_with_what_they_cost(trip: Trip) -> None:
    own = Count("helmet", "Cy", (Packed("Teal", "helmet", "worn", 1, "Cy"),), (8, 8), lose("Weir"))
    kit = (lose("Weir"), Packed("Heron", BAG, "quick", 2))
    rows = (
        hurt("Ana", "Heron", lose("Riffle", "Weir", "Chute", banks=2), "Heron"),
        hurt("Eve", "Heron", lose("Riffle", "Weir")),
        hurt("Cy", "Teal", lose("Weir")),
        own,
        replace(own, item="whistle"),
        piece(BAG, *kit),
        piece("sling", lose("Weir"), Packed("Teal", "sling", "worn", 1, "Dee")),
        hurt("Bo", "Teal", (), "Teal"),
    )
    assert write(trip, Counted(rows, complete=True)) == (
        f"{HEAD}"
        "  1. Ana (Heron): 3 cases uncovered, 2 left with one bank: Riffle, Weir and 1 more rapid; "
        "the only\n    one in Heron who can steer it\n"
        "  2. Cy (Teal): 1 case uncovered: Weir; as much without 1 x helmet, or 1 x whistle "
        "(Cy's own)\n"
        "  3. 1 x throw bag 20 m (Heron, quick), or 1 x sling (Teal, worn by Dee): 1 case "
        "uncovered: Weir\n"
        "  Bo: no cover lost, but the only one in Teal who can steer it"
    )


def test_a_bank_alone_and_what_is_left_out(trip: Trip) -> None:
    lost = (Lost("Riffle", (0, 8), (), (case("Riffle", "Teal"),)),)
    rows = (hurt("Cy", "Teal", lose("Weir")), replace(hurt("Dee", "Heron", lost), rise=(0, 8)))
    counted = Counted(rows, complete=False)
    assert write(trip, counted) == (
        f"{HEAD}"
        "  1. Cy (Teal): 1 case uncovered: Weir\n"
        "  2. Dee (Heron): 1 case left with one bank: Riffle\n"
        "The limit cut in: somebody or something else may count for more."
    )


def test_the_first_say_that_there_may_be_more(trip: Trip) -> None:
    counted = Counted((hurt("Cy", "Teal", lose("Weir")),), complete=True, first=1)
    told = f"{HEAD}  1. Cy (Teal): 1 case uncovered: Weir"
    assert write(trip, counted) == f"{told}\nNo others cost more; --counts tells all."
    assert write(trip, replace(counted, first=2)) == told
    assert write(trip, replace(counted, complete=False)) == (
        f"{told}\nTime was short, and not all was asked: somebody or something else may count for "
        "more; --counts takes\nso much time again."
    )


def test_where_nobody_is_asked_about_it_is_said_why(trip: Trip) -> None:
    counted = Counted((), complete=False, first=5, left_out="the trip is large")
    assert write(trip, counted) == (
        "WHO AND WHAT COUNTS MOST\n\nNot asked, as the trip is large; --counts asks all the same."
    )


def test_where_nothing_counts_it_is_said(trip: Trip) -> None:
    counted = Counted((hurt("Cy", "Teal", ()),), complete=True)
    heading = "WHO AND WHAT COUNTS MOST\n\n"
    assert write(trip, counted) == f"{heading}No one person and no one piece costs any cover."


def test_a_place_that_changes_is_told_with_its_day(trip: Trip) -> None:
    leg = trip.legs[0]
    later = {
        f"{name}, from day 3": replace(boat, name=f"{name}, from day 3", leg=1)
        for name, boat in trip.boats.items()
    }
    two = replace(
        trip, boats=trip.boats | later, legs=(leg, replace(leg, first_day=3, boats=tuple(later)))
    )
    moved = (Packed("Heron", BAG, "quick", 1), Packed("Teal, from day 3", BAG, "stowed", 1))
    stays = (Packed("Heron", BAG, "quick", 1), Packed("Heron, from day 3", BAG, "quick", 1))
    later_only = (Packed("Heron, from day 3", BAG, "quick", 1),)
    said = [
        write(two, Counted((piece(BAG, lose("Weir"), *places),), complete=True)).splitlines()[-1]
        for places in (moved, stays, later_only)
    ]
    assert said == [
        "  1. 1 x throw bag 20 m (Heron, quick; from day 3 Teal, stowed): 1 case uncovered: Weir",
        "  1. 1 x throw bag 20 m (Heron, quick): 1 case uncovered: Weir",
        "  1. 1 x throw bag 20 m (from day 3 Heron, quick): 1 case uncovered: Weir",
    ]


def test_the_document_has_cases_and_weights(trip: Trip) -> None:
    own = Count("helmet", "Cy", (Packed("Teal", "helmet", "worn", 1, "Cy"),), (8, 0), lose("Weir"))
    rows = (hurt("Eve", "Heron", lose("Weir"), "Heron"), own)
    document = json.loads(json.dumps(make_counts(trip, Counted(rows, complete=True))))
    rapids = [
        {
            "rapid": "Weir",
            "rise": {"uncovered": 8, "one_bank": 8},
            "uncovered": [
                {"rapid": "Weir", "spot": "mid-channel", "scenario": "swimmer", "running": "Heron"}
            ],
            "one_bank": [],
        }
    ]
    assert document == {
        "complete": True,
        "rows": [
            {
                "hurt": "Eve",
                "item": None,
                "own": None,
                "guest": True,
                "places": [{"boat": "Heron"}],
                "rise": {"uncovered": 8, "one_bank": 8},
                "only_steerer_in": ["Heron"],
                "rapids": rapids,
            },
            {
                "hurt": None,
                "item": "helmet",
                "own": "Cy",
                "guest": False,
                "places": [{"boat": "Teal", "carried": "worn", "worn_by": "Cy"}],
                "rise": {"uncovered": 8, "one_bank": 0},
                "only_steerer_in": [],
                "rapids": rapids,
            },
        ],
    }
