"""Legs that are asked by themselves: what each pays for, by hand.

Two rafts, each case weighs 8. Cy throws out of one of them, so that one case is open each day; on
day 1 Dee could be taught to throw, on day 2 Eli, who comes then. There are bags enough.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from kitplan.explain.recount import recount
from kitplan.solve import Clock
from kitplan.solve.booths import Booths
from kitplan.solve.mend import Mending
from kitplan.solve.parts import Limit
from kitplan.solve.reach import Outcome, Reach
from kitplan.trip import CarriageRule, Counted, Market, Reading, RuleSet, Standby, Who
from kitplan.trip.carriage import HOUSE, PEOPLE, PER_TRIP
from tests.rules.test_mend import BAG, CY_ALONE, EUR, NO_GUEST, sell, teach
from tests.rules.tiny import RIVER, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.trip import Trip

DAYS = (("water_temperature", "days = 2\nwater_temperature"),)
NEXT = RIVER.replace("day = 1", "day = 2").replace("Riffle", "Ripple")
OWN = {"Cy": NO_GUEST, "Dee": f"{NO_GUEST}\nto = 1", "Eli": f"{NO_GUEST}\nfrom = 2"}
TWO_DAYS = replace(
    CY_ALONE, people={**CY_ALONE.people, "Eli": "rope = 1"}, own=OWN, head=DAYS, more=NEXT
)
NOTHING = Outcome(None, {"uncovered": 0, "one_bank": 0}, 0, 0)


@pytest.fixture(autouse=True)
def _ask_legs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in the test's own folder; there is no model of all rapids to fall back on."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("kitplan.solve.mend.LEAST_BY_LEGS", 0)
    monkeypatch.setattr(Reach, "find", lambda *_: NOTHING)


def draw_curve(trip: Trip, workers: int = 1) -> list[tuple[int, int, bool]]:
    """Return price in euros, what is uncovered, and whether it is proven, from the goal down."""
    with Mending(trip, recount, Clock(120), workers=workers) as mending:
        goal = mending.find_goal()
        assert goal is not None
        return [
            (step.price_cents // EUR, step.values["uncovered"], step.proven)
            for step in mending.list_curve(goal)
        ]


@pytest.mark.parametrize("workers", [1, 2])
def test_each_leg_pays_for_its_own(tmp_path: Path, workers: int) -> None:
    """Dee for 50 closes day 1, Eli for 60 day 2: both 110; for less Dee alone; here or apart."""
    lessons = (teach("Dee", 50), teach("Eli", 60))
    trip = replace(read_tiny(tmp_path, TWO_DAYS), market=Market("EUR", {}, lessons))
    assert draw_curve(trip, workers) == [(110, 0, True), (50, 8, True), (0, 16, True)]


@pytest.mark.parametrize("units", ["BARE", "PACKED"])
def test_where_packing_does_not_go_together_more_is_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, units: str
) -> None:
    """It is the same without the model without rapids, and without keeping seats."""
    monkeypatch.setattr("kitplan.solve.joints.BARE", 0.0)
    monkeypatch.setattr(f"kitplan.solve.joints.{units}", 0.0)
    lessons = (teach("Dee", 50), teach("Eli", 60))
    trip = replace(read_tiny(tmp_path, TWO_DAYS), market=Market("EUR", {}, lessons))
    assert draw_curve(trip) == [(110, 0, True), (50, 8, True), (0, 16, True)]


def test_what_both_legs_use_is_paid_for_once(tmp_path: Path) -> None:
    """There is no bag but for money, and Cy alone throws: one bag of 80 closes a case each day.

    Charged to both legs at 40 each, which is what it costs: proven.
    """
    trip = read_tiny(tmp_path, replace(TWO_DAYS, kit={}))
    trip = replace(trip, market=Market("EUR", sell(trip)))
    assert draw_curve(trip) == [(80, 16, True), (0, 32, True)]


def test_a_bag_and_a_lesson(tmp_path: Path) -> None:
    """Two bags, Dee and Eli taught: 270 closes all. A bag: 80, 16 open. Two and Dee: 210, 8 open.

    Nothing that is said without proof is better than that.
    """
    trip = read_tiny(tmp_path, replace(TWO_DAYS, kit={}))
    lessons = (teach("Dee", 50), teach("Eli", 60))
    trip = replace(trip, market=Market("EUR", sell(trip), lessons))
    truth = [(270, 0), (210, 8), (80, 16), (0, 32)]
    with Mending(trip, recount, Clock(120)) as mending:
        for price, uncovered in truth:
            mend = mending.find_within(Limit(price * EUR))
            assert mend is not None
            assert mend.bounds["uncovered"] <= uncovered <= mend.values["uncovered"]
            if mend.values["uncovered"] == uncovered:
                assert mend.least_cents <= price * EUR <= mend.price_cents
    assert BAG in trip.market.offers


def test_who_leaves_more_short_is_not_asked_leg_by_leg(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """For each who throws two lines are to be carried, and there are two: with Eve two are short.

    What is short comes first, so nothing is asked of the rapids with her.
    """
    asked: list[int] = []
    ask = Booths.ask

    def note(booths: Booths, number: int, *question: Any) -> Any:
        asked.append(number)
        return ask(booths, number, *question)

    monkeypatch.setattr(Booths, "ask", note)
    who = Who(skills=(("throwing", 1),))
    reading = Reading(PER_TRIP, of=PEOPLE, who=who, for_each=1, count=2)
    rule = CarriageRule("lines", "so", "own", "", "own", HOUSE, Counted(kinds=("line",)), reading)
    trip = replace(read_tiny(tmp_path, TWO_DAYS), rules=(RuleSet("own", "own", "", (rule,), ()),))
    eve = Standby(replace(trip.paddlers["Cy"], name="Eve"), 100)
    trip = replace(trip, market=Market("EUR", {}, (), {"Eve": eve}))
    with Mending(trip, recount, Clock(120)) as mending:
        goal = mending.find_goal()
    assert goal is not None
    assert goal.values == {"short_of_house": 0, "uncovered": 16, "one_bank": 0}
    assert goal.proven
    assert set(asked) == {0}
    # Where lines are no matter, Eve closes a case each day.
    free = replace(trip, rules=())
    with Mending(free, recount, Clock(120)) as mending:
        goal = mending.find_goal()
    assert goal is not None
    assert (goal.price_cents, goal.values["uncovered"]) == (100, 0)
