"""Where all was on an evening, by hand: three days with stores, one leg; food comes on day 2."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.decide import Happened
from kitplan.decide.evening import list_packed_left, tell_evening
from kitplan.happened import Evening
from kitplan.plan import Packed
from tests.rules.laden import LADEN, make_sound, read_laden

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

KIT = Packed("Teal", "first-aid kit", "stowed", 1)
CAMP = {
    "crate": "Heron",
    "drinking water, canister": "Heron",
    "fuel, bottle": "Heron",
    "guitar": "Heron",
    "personal bag, 1 of 2": "Heron",
    "personal bag, 2 of 2": "Teal",
    "stove": "Heron",
    "table": "Heron",
    "tent": "Heron",
    "toilet, toilet box 1 of 2": "Heron",
    "toilet, toilet box 2 of 2": "Heron",
}


def tell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, day: int) -> Evening:
    monkeypatch.chdir(tmp_path)
    trip = read_laden(LADEN)
    return tell_evening(trip, make_sound(trip).arrangement, Happened(day))


def test_what_comes_only_lies_nowhere_and_what_was_eaten_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before day 2 food of day 1 is eaten, and that of days 2 and 3 still to come."""
    evening = tell(tmp_path, monkeypatch, 2)
    assert evening.seats == (("Ana", "Heron"), ("Bo", "Teal"))
    assert evening.packed == (KIT,)
    boxes = dict(evening.boxes)
    assert list(boxes) == sorted(boxes)
    assert {box: boat for box, boat in boxes.items() if not box.startswith("drinking")} == {
        box: boat for box, boat in CAMP.items() if not box.startswith("drinking")
    }


def test_on_the_first_day_all_that_comes_at_the_start_is_aboard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    boxes = dict(tell(tmp_path, monkeypatch, 1).boxes)
    assert boxes == CAMP | {"food, day 1, sack": "Teal"}


def test_before_day_3_its_food_is_aboard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    boxes = dict(tell(tmp_path, monkeypatch, 3).boxes)
    assert {box: boat for box, boat in boxes.items() if box.startswith("food")} == {
        box: "Teal" for box in boxes if box.startswith("food, day 3")
    }
    assert any(box.startswith("food, day 3") for box in boxes)


def test_what_is_worn_is_saved_with_who_wears_it() -> None:
    worn = Packed("Teal", "belt", "worn", 1, "Bo"), Packed("Teal", "belt", "worn", 1, "Cy")
    evening = Evening((("Bo", "Teal"), ("Cy", "Teal")), (KIT, *worn))
    assert list_packed_left(evening, Happened(2)) == sorted((KIT, *worn))
    assert list_packed_left(evening, Happened(2, lost=("Teal",), absent=("Cy",))) == [worn[0]]
