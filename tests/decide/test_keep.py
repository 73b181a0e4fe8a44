"""What a changed trip keeps of an old plan: by hand on four days, and planned near it anew."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide import Happened, begin_afresh
from kitplan.decide.keep import tell_kept
from kitplan.explain import SolveOptions, plan_trip
from kitplan.plan import Before, Plan, Stowed, Totals, count_shifts, list_shifts
from kitplan.verify import verify_plan
from tests.decide.fourdays import (
    ARRANGEMENT,
    BAG,
    BAGS,
    BELT,
    CLIP,
    DIPPER,
    HERON,
    PACKED,
    PEOPLE,
    STOWED,
    load_four_days,
)
from tests.generator import SIZES, is_full_run, trips
from tests.golden.stored import ROOT, load_demo, read_stored

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from kitplan.plan import Arrangement
    from kitplan.trip import Trip

# Far more than solving takes: a busy machine is no fault of the program.
OPTIONS = SolveOptions(time_limit_s=600.0, workers=1)
TRIPS = 30 if is_full_run() else 6
SETTLED = ("short_of_law", "short_of_house", "short_of_spread", "uncovered", "one_bank", "unmet")


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Trip:
    monkeypatch.chdir(tmp_path)
    return load_four_days()


def keep(new: Trip, old: Trip, arrangement: Arrangement = ARRANGEMENT) -> Before:
    """Return what is kept of a plan by hand, of which only the arrangement counts."""
    nothing = Totals(0, 0, 0, 0, 0, 0, 0, 0)
    made = Plan("four days", arrangement, (), (), (), nothing, (), canonical=True, digest="")
    return tell_kept(new, old, made)


def list_lots(before: Before) -> dict[str, dict[str, int]]:
    lots: dict[str, dict[str, int]] = {}
    for row in before.stowed:
        lots.setdefault(row.boat, {})[row.lot] = row.count
    return lots


# --- by hand --------------------------------------------------------------------------------------


def test_of_the_same_trip_all_is_kept(trip: Trip) -> None:
    before = keep(trip, trip)
    assert before.packed == tuple(sorted(PACKED))
    assert list_lots(before) == STOWED
    seats = {boat: crew for boat, crew in ARRANGEMENT.crew.items() if crew}
    assert before.seats == tuple(sorted((p, boat) for boat, crew in seats.items() for p in crew))
    assert list_shifts(trip, before, ARRANGEMENT) == []


def test_who_is_gone_has_no_seat_and_his_bag_is_gone(trip: Trip) -> None:
    """Of three bags none is named as one of four; the kit in Teal stays there."""
    eve = next(f"[[paddler]]{one}" for one in PEOPLE.split("[[paddler]]") if '"Eve"' in one)
    new = load_four_days((eve, ""), ('["Ana", "Bo", "Eve"]', '["Ana", "Bo"]'))
    before = keep(new, trip)
    assert before.seats == tuple(row for row in keep(trip, trip).seats if row[0] != "Eve")
    assert before.packed == tuple(sorted(PACKED))
    assert BAGS not in {row.lot for row in before.stowed}
    assert "Teal" not in list_lots(before)


def test_of_what_is_owned_no_more_the_first_boats_keep_theirs(trip: Trip) -> None:
    """Of four bags in the first leg three are left, Dipper's two and Heron's; of belts one."""
    edits = (
        ("count = 5\ntake = 2", "count = 3\ntake = 2"),
        (f'{BELT}"\ncount = 3', f'{BELT}"\ncount = 1'),
    )
    before = keep(load_four_days(*edits), trip)
    left = {(row.boat, row.item): row.count for row in before.packed if row.item in {BAG, BELT}}
    assert left == {
        ("Dipper", BAG): 2,
        ("Heron", BAG): 1,
        (DIPPER, BAG): 2,
        (HERON, BAG): 1,
        ("Dipper", BELT): 1,
        ("Coot", BELT): 1,
    }


def test_a_boat_by_another_name_is_another_boat(trip: Trip) -> None:
    merlins = {name: replace(trip.boats[name], called="Merlin") for name in ("Dipper", DIPPER)}
    before = keep(replace(trip, boats=trip.boats | merlins), trip)
    assert "Bo" not in {p for p, _ in before.seats}
    boats = {boat for _, boat in before.seats} | {row.boat for row in before.packed}
    assert boats == {"Heron", "Teal", HERON, "Coot"}


def test_what_nobody_wears_any_more_and_what_may_not_lie_so_is_left_out(trip: Trip) -> None:
    """Dee has left before day 3, and carabiners are worn by nobody now."""
    legs = (
        trip.legs[0],
        replace(trip.legs[1], paddlers=tuple(p for p in trip.legs[1].paddlers if p != "Dee")),
    )
    clips = trip.kit[CLIP]
    clips = replace(clips, item=replace(clips.item, carried=("quick", "stowed")))
    before = keep(replace(trip, legs=legs, kit=trip.kit | {CLIP: clips}), trip)
    gone = {("Heron", CLIP), (HERON, BELT), (HERON, CLIP)}
    assert before.packed == tuple(sorted(r for r in PACKED if (r.boat, r.item) not in gone))


def test_of_stores_so_many_are_kept_as_are_aboard(trip: Trip) -> None:
    """Of two stoves one is left, and food of day 3 comes on the evening of day 2 only."""
    rows = (
        Stowed("Dipper", "stove", 1),
        Stowed("Heron", "food, day 3, sack", 2),
        Stowed("Heron", "stove", 1),
        Stowed("Heron", "tent", 3),
    )
    before = keep(trip, trip, replace(ARRANGEMENT, stowed=rows))
    assert before.stowed == (Stowed("Dipper", "stove", 1), Stowed("Heron", "tent", 2))


def test_who_is_hurt_wears_nothing_dealt_out(trip: Trip) -> None:
    dee = replace(trip.paddlers["Dee"], hurt=True)
    before = keep(replace(trip, paddlers=trip.paddlers | {"Dee": dee}), trip)
    assert ("Dee", "Heron") in before.seats
    assert before.packed == tuple(sorted(row for row in PACKED if row.worn_by != "Dee"))


def test_boats_that_hold_less_keep_what_fits(trip: Trip) -> None:
    """Nothing of stores fits Coot any more."""
    boats = trip.boats | {
        "Coot": replace(trip.boats["Coot"], type=replace(trip.boats["Coot"].type, hold_ml=1))
    }
    before = keep(replace(trip, boats=boats), trip)
    assert list_lots(before) == {boat: lots for boat, lots in STOWED.items() if boat != "Coot"}


def test_legs_are_matched_by_their_days(trip: Trip) -> None:
    """Belts come on day 2 only: days 1 and 2 are two legs, and both begin as one was."""
    cut = load_four_days((f'{BELT}"\ncount = 3', f'{BELT}"\ncount = 3\nfrom = 2'))
    assert [leg.first_day for leg in cut.legs] == [1, 2, 3]
    before = keep(cut, trip)
    sat = {boat: [p for p, one in before.seats if one == boat] for boat in cut.boats}
    for boat in ("Heron", "Dipper", "Teal"):
        assert sat[boat] == sat[f"{boat}, from day 2"] == list(ARRANGEMENT.crew[boat])
    assert {row.boat for row in before.packed if row.item == BELT} == {
        "Heron, from day 2", "Dipper, from day 2", "Teal, from day 2", HERON, DIPPER, "Coot",
    }  # fmt: skip


def test_of_a_plan_made_anew_on_day_3_only_those_days_are_known(trip: Trip) -> None:
    late = begin_afresh(trip, ARRANGEMENT, Happened(3)).trip
    crew = {"Heron": ("Ana", "Dee"), "Dipper": ("Bo",), "Coot": ("Cy",)}
    before = keep(trip, late, replace(ARRANGEMENT, crew=crew, packed=(), stowed=()))
    assert before == Before(
        (("Ana", HERON), ("Bo", DIPPER), ("Cy", "Coot"), ("Dee", HERON)), (), ()
    )


def test_a_leg_in_which_nobody_is_left_is_not_looked_at(trip: Trip) -> None:
    """All kit and stores of days 3 and 4 lie in boats that are there, with nobody in them."""
    ned = replace(trip.paddlers["Ana"], name="Ned")
    legs = (trip.legs[0], replace(trip.legs[1], paddlers=("Ned",)))
    people = {name: one for name, one in trip.paddlers.items() if name != "Cy"} | {"Ned": ned}
    before = keep(replace(trip, legs=legs, paddlers=people), trip)
    boats = {*before.list_boats(), *(r.boat for r in before.packed), *list_lots(before)}
    assert boats == set(trip.legs[0].boats)


# --- planned near it ------------------------------------------------------------------------------


def plan(trip: Trip, before: Before | None = None) -> Plan | None:
    return plan_trip(trip, replace(OPTIONS, before=before)).plan


def check_near(trip: Trip, before: Before) -> int | None:
    """Return the moves of the plan near what there was; None if there is no plan.

    What is proven of aims 1 to 4 is as without it, and moves are no more than without it.
    """
    near, free = plan(trip, before), plan(trip)
    assert (near is None) == (free is None)
    if near is None or free is None:
        return None
    assert [one.text() for one in verify_plan(trip, near)] == []
    values = {aim.name: aim for aim in near.aims}
    for aim in free.aims:
        if aim.name in SETTLED and aim.proven and values[aim.name].proven:
            assert values[aim.name].value == aim.value, aim.name
    moves = count_shifts(trip, before, near.arrangement)
    assert values["moves"].value == moves
    if all(values[aim.name].proven for aim in free.aims if aim.name in SETTLED):
        assert moves <= count_shifts(trip, before, free.arrangement)
    return moves


def draw() -> Iterator[tuple[Trip, Plan]]:
    for one in trips(SIZES["tiny"], TRIPS, 600):
        made = plan(one.trip)
        assert made is not None
        yield one.trip, made


def test_nothing_moves_where_nothing_has_changed() -> None:
    for trip, made in draw():
        assert check_near(trip, tell_kept(trip, trip, made)) == 0


def test_with_one_more_of_a_thing_few_are_moved() -> None:
    moves = []
    for trip, made in draw():
        item = min(trip.kit)
        kit = trip.kit | {item: replace(trip.kit[item], count=trip.kit[item].count + 1)}
        new = replace(trip, kit=kit)
        before = tell_kept(new, trip, made)
        assert before == tell_kept(trip, trip, made)
        moves.append(check_near(new, before))
    assert None not in moves


def test_with_somebody_gone_the_others_stay_where_they_can() -> None:
    came_to = []
    for trip, made in draw():
        gone = max(trip.paddlers)
        legs = tuple(
            replace(leg, paddlers=tuple(p for p in leg.paddlers if p != gone)) for leg in trip.legs
        )
        people = {name: one for name, one in trip.paddlers.items() if name != gone}
        if not all(leg.paddlers for leg in legs):
            continue
        new = replace(trip, legs=legs, paddlers=people, companies=())
        before = tell_kept(new, trip, made)
        assert gone not in {p for p, _ in before.seats}
        came_to.append(check_near(new, before))
    assert any(moves is not None for moves in came_to)


@pytest.mark.parametrize("more", [0, 1])
def test_four_kayaks_stay_as_they_were_packed(more: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fourth throw bag covers nothing that three do not, so it stays at home."""
    monkeypatch.chdir(ROOT)
    old, made = load_demo("four-kayaks"), read_stored("four-kayaks")
    assert made is not None
    bag = old.kit["throw bag 18 m"]
    kit = old.kit | {"throw bag 18 m": replace(bag, count=bag.count + more)}
    near = plan(replace(old, kit=kit), tell_kept(replace(old, kit=kit), old, made))
    assert near is not None
    values = {aim.name: aim.value for aim in made.aims}
    assert {aim.name: aim.value for aim in near.aims} == values | {"moves": 0}
