"""The demo trips begun afresh from their stored plans: unchanged on day 1, and without a raft."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide import Happened, begin_afresh, find_wrong
from kitplan.needs import derive_needs, list_lots, name_boxes, name_lots
from kitplan.needs.boxes import deal_boxes
from kitplan.needs.loads import list_loads
from kitplan.verify import verify_plan
from tests.golden.stored import NAMES, ROOT, load_demo, read_stored

if TYPE_CHECKING:
    from kitplan.plan import Plan
    from kitplan.trip import Trip

PARTS = ("boats", "paddlers", "kit", "rapids", "legs", "running", "order", "companies")


def read_demo(name: str) -> tuple[Trip, Plan]:
    plan = read_stored(name)
    assert plan is not None
    return load_demo(name), plan


@pytest.fixture(autouse=True)
def _at_the_top(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


@pytest.mark.parametrize("name", NAMES)
def test_on_day_1_with_nothing_happened_all_is_as_it_was(name: str) -> None:
    trip, plan = read_demo(name)
    new = begin_afresh(trip, plan.arrangement, Happened(1)).trip
    assert [part for part in PARTS if getattr(new, part) != getattr(trip, part)] == []
    assert derive_needs(new) == derive_needs(trip)
    lots = {
        name: replace(lot, name="", boxes=(), lies=())
        for name, lot in name_lots(list_lots(new)).items()
    }
    assert lots == name_lots(list_lots(trip))
    assert list(name_boxes(list_lots(new))) == list(name_boxes(list_lots(trip)))
    assert list_loads(new, plan.arrangement) == list_loads(trip, plan.arrangement)
    assert verify_plan(new, plan) == []


def test_six_days_goes_on_without_dipper_from_day_3() -> None:
    trip, plan = read_demo("six-days")
    happened = Happened(3, lost=("Dipper",))
    assert find_wrong(trip, plan.arrangement, happened) == []
    one = begin_afresh(trip, plan.arrangement, happened)
    new, before = one.trip, one.before

    crew = set(plan.arrangement.crew["Dipper"])
    assert {p for p, boat in before.seats if not boat} == crew
    assert crew <= set(new.paddlers)

    first = [row for row in plan.arrangement.packed if row.boat in trip.legs[0].boats]
    gone = Counter[str]()
    for row in first:
        gone[row.item] += row.count * (row.boat == "Dipper" and row.carried != "worn")
    taken = Counter[str]()
    for row in first:
        taken[row.item] += row.count
    left = {item: kit.count for item, kit in new.kit.items() if item in trip.legs[0].kit}
    assert gone.total() > 0
    assert left == {item: n - gone[item] for item, n in taken.items() if n > gone[item]}
    # The long static line always goes, and lay in Dipper or not.
    assert "static line 60 m" not in new.kit or not gone["static line 60 m"]
    # What the mules bring is still to come.
    assert new.kit["prusik loop 8 mm"] == trip.kit["prusik loop 8 mm"]

    lay = {box for box, lot in deal_boxes(trip, plan.arrangement)["Dipper"] if lot.last_day >= 3}
    boxes, old = name_boxes(list_lots(new)), name_boxes(list_lots(trip))
    assert lay
    assert set(old) - set(boxes) == lay | {box for box, lot in old.items() if lot.last_day < 3}
    assert "food, day 4, food bag 1 of 2" in boxes

    needs = derive_needs(new)
    assert {new.rapids[key.rapid].day for key in needs.cases} == {3, 4, 5, 6}
    assert {"Dipper"}.isdisjoint(new.boats[key.running].called for key in needs.cases)
