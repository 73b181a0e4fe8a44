"""Planning anew on the way, with the right answer by hand, and nothing where nothing happened.

Three rafts, a bag and a thrower at hand for each case of 8, as in the tiny trip of all tests.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide import Happened
from kitplan.decide.advice import tell_before
from kitplan.decide.replan import Replanned, replan_trip
from kitplan.explain import Outcome, SolveOptions, make_plan
from kitplan.needs import derive_needs
from kitplan.plan import Arrangement, Packed, Shift, count_shifts, list_shifts
from kitplan.ramp import RampLoad
from kitplan.report import render_replan
from kitplan.solve import COVER_AIMS, Clock, Floors, Solution
from kitplan.solve.floors import count_never
from kitplan.solve.stations import find_stations
from kitplan.verify import verify_plan
from tests.golden.stored import load_demo, read_stored
from tests.rules.tiny import KAYAK, RAFT, STEERS, THROWS, WEAK, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

BAG = "throw bag 20 m"
PER_CASE = 8
THREE = Tiny(
    boats={"Heron": RAFT, "Teal": RAFT, "Coot": RAFT},
    people={"Ana": STEERS, "Bo": STEERS, "Ed": STEERS, "Cy": THROWS, "Dee": THROWS},
    kit={BAG: "count = 3"},
)


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Trip:
    monkeypatch.chdir(tmp_path)
    return read_tiny(tmp_path, THREE)


def lay(**boats: tuple[str, int]) -> Arrangement:
    """Return what lies where: by boat the crew in words, the first steers, and bags at hand."""
    crews = {boat: crew.split() for boat, (crew, _) in boats.items()}
    return Arrangement(
        {boat: tuple(sorted(crew)) for boat, crew in crews.items()},
        {boat: crew[0] for boat, crew in crews.items()},
        tuple(sorted(Packed(boat, BAG, "quick", n) for boat, (_, n) in boats.items() if n)),
        {},
        tuple(boats),
    )


def replan(trip: Trip, arrangement: Arrangement, happened: Happened) -> Replanned:
    options = SolveOptions(time_limit_s=60, workers=1)
    made = replan_trip(trip, arrangement, happened, options, Clock(60))
    assert made.outcome.plan is not None
    assert verify_plan(made.trip, made.outcome.plan) == []
    assert all(verify_plan(made.trip, step.plan) == [] for step in made.steps)
    assert not made.stopped
    return made


def tell(plan: Plan) -> dict[str, int]:
    return {aim.name: aim.value for aim in plan.aims}


def test_a_lost_raft_asks_for_two_seats_and_then_for_one_bag(trip: Trip) -> None:
    """Coot is lost with its bag; Ed and Dee are saved.

    Two rafts are left, with Cy and both bags in Heron, so that only Teal's run is watched. Seats
    for Ed and Dee are two moves that must be. Dee in Teal with one of the bags watches Heron: one
    more move, a case more. Nothing else is needed, so three moves are the fewest.
    """
    before = lay(Heron=("Ana Cy", 2), Teal=("Bo", 0), Coot=("Ed Dee", 1))
    made = replan(trip, before, Happened(1, lost=("Coot",)))
    plan = made.outcome.plan
    assert plan is not None
    assert [(aim.name, aim.value, aim.proven) for aim in plan.aims[:4]] == [
        ("uncovered", 0, True),
        ("one_bank", 0, True),
        ("unmet", 0, True),
        ("moves", 3, True),
    ]
    first, second = made.steps
    assert {shift.name for shift in first.shifts} == {"Dee", "Ed"}
    assert tell(first.plan)["uncovered"] == PER_CASE
    assert second.shifts == (Shift("item", BAG, "Heron", "Teal", 1, "quick", "quick"),)
    assert tell(second.plan)["uncovered"] == 0
    assert (
        Shift("person", "Dee", "", "Teal") in list_shifts(made.trip, plan.before, plan.arrangement)
        if plan.before
        else False
    )
    text = render_replan(made, plan, "text")
    assert text.startswith("tiny, from day 1: 3 moves")
    assert text.index("Dee to Teal") < text.index("from Heron (quick) to Teal (quick)")
    assert "better by: cases covered from nowhere and demands not met" in " ".join(text.split())


def test_who_has_no_seat_is_named_first_and_the_rest_is_planned(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two rafts of five take ten; of eleven one stays, of those who were in the lost raft."""
    many = {f"G{n}": "" for n in range(6)}
    full = Tiny(boats=THREE.boats, people={**THREE.people, **many}, kit=THREE.kit)
    monkeypatch.chdir(tmp_path)
    trip = read_tiny(tmp_path, full)
    before = lay(Heron=("Ana Cy G0 G1 G2", 1), Teal=("Bo G3 G4", 1), Coot=("Ed Dee G5", 1))
    made = replan(trip, before, Happened(1, lost=("Coot",)))
    assert len(made.unseated) == 1
    assert made.unseated[0] in {"Ed", "Dee", "G5"}
    assert made.unseated[0] not in made.trip.paddlers
    plan = made.outcome.plan
    assert plan is not None
    assert f"NO SEAT for {made.unseated[0]}" in render_replan(made, plan, "text")


@pytest.mark.parametrize("name", ["four-kayaks", "day-rafts"])
def test_on_day_1_with_nothing_happened_nothing_moves(name: str) -> None:
    trip, plan = load_demo(name), read_stored(name)
    assert plan is not None
    made = replan(trip, plan.arrangement, Happened(1))
    assert made.steps == ()
    anew = made.outcome.plan
    assert anew is not None
    assert tell(anew)["moves"] == 0
    same = ("uncovered", "one_bank", "unmet")
    assert [tell(anew)[aim] for aim in same] == [tell(plan)[aim] for aim in same]
    assert "no move" in render_replan(made, anew, "text").splitlines()[0]


def test_on_a_later_day_nothing_moves_where_nothing_can_be_better() -> None:
    """The kayaks' second day: all moves are those of steps, and each makes something better."""
    trip, plan = load_demo("four-kayaks"), read_stored("four-kayaks")
    assert plan is not None
    made = replan(trip, plan.arrangement, Happened(2))
    anew = made.outcome.plan
    assert anew is not None
    assert anew.before is not None
    moves = count_shifts(made.trip, anew.before, anew.arrangement)
    assert moves == sum(shift.count for step in made.steps for shift in step.shifts)
    last = None
    for step in made.steps:
        if last is not None:
            assert tuple(tell(step.plan).values()) != tuple(tell(last).values())
            assert step.shifts
        last = step.plan


def test_the_last_step_is_as_good_as_the_plan(trip: Trip) -> None:
    before = lay(Heron=("Ana", 3), Teal=("Bo Cy", 0), Coot=("Ed Dee", 0))
    made = replan(trip, before, Happened(1, hurt=("Dee",)))
    plan = made.outcome.plan
    assert plan is not None
    aims = ("uncovered", "one_bank", "unmet")
    assert [tell(made.steps[-1].plan)[aim] for aim in aims] == [tell(plan)[aim] for aim in aims]
    # Cy alone throws now: while his own raft runs nobody does.
    assert tell(plan)["uncovered"] == PER_CASE


def test_what_lies_ashore_still_is_no_move_that_must_be(trip: Trip) -> None:
    """Two of three bags were taken along; the third one into Teal is worth a case, and no must."""
    before = lay(Heron=("Ana Cy", 1), Teal=("Bo Dee", 0), Coot=("Ed", 0))
    made = replan(trip, before, Happened(1))
    assert made.steps[0].shifts == ()
    assert tell(made.steps[0].plan)["uncovered"] == PER_CASE
    bag = Shift("item", BAG, "", "Teal", 1, "", "quick")
    assert made.steps[-1].shifts == (bag,)
    assert tell(made.steps[-1].plan)["uncovered"] == 0


def test_where_nobody_is_left_to_steer_it_is_said(trip: Trip) -> None:
    """Three rafts, and all who steer are hurt."""
    before = lay(Heron=("Ana Cy", 1), Teal=("Bo Dee", 1), Coot=("Ed", 1))
    options = SolveOptions(time_limit_s=60, workers=1)
    hurt = Happened(1, hurt=("Ana", "Bo", "Ed"))
    made = replan_trip(trip, before, hurt, options, Clock(60))
    assert made.outcome.plan is None
    (finding,) = made.outcome.findings
    assert "nearest to it is Cy with 0" in finding.message


def tell_moves(made: Replanned) -> str:
    """Return what is said of what happened and of the moves, up to what each comes to."""
    assert made.outcome.plan is not None
    text = render_replan(made, made.outcome.plan, "text")
    return re.split("You can stop|This is what you have", text)[0]


def test_a_raft_that_nobody_can_steer_is_left_and_what_lay_in_it_dealt_out(trip: Trip) -> None:
    """Of three who steer Ana is hurt: Heron stays, she and Cy and its bags go in the other two.

    Nobody leads, so that nobody can mind her: those in her raft watch no other run.
    """
    before = lay(Heron=("Ana Cy", 3), Teal=("Bo Dee", 0), Coot=("Ed", 0))
    made = replan(trip, before, Happened(1, hurt=("Ana",)))
    assert made.restart.happened.left == ("Heron",)
    assert made.unseated == ()
    plan = made.outcome.plan
    assert plan is not None
    assert tell_moves(made) == (
        """\
tiny, from day 1: 5 moves; 1 of 2 cases covered

  left behind, with nobody to steer: Heron
  hurt, with a seat and no task: Ana
What lay in a boat left behind is dealt out to the others: see the packing.

MOVES BEFORE YOU LAUNCH ON DAY 1, IN THIS ORDER

  1. 5 moves: needed, so that everybody has a seat, each boat a steerer, and none is too full
    leave 1 x throw bag 20 m behind
    2 x throw bag 20 m into Teal (quick)
    Ana to Coot
    Cy to Teal
"""
    )


def test_a_solo_boat_stays_with_its_paddler_hurt(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of three kayaks one has nobody to paddle it; its bag goes with another, Ana has no seat."""
    monkeypatch.chdir(tmp_path)
    able = f'"kayak" = 3, {THROWS}'
    solo = Tiny(
        boats=dict.fromkeys(("Ruby", "Jade", "Opal"), KAYAK),
        people=dict.fromkeys(("Ana", "Bo", "Cy"), able),
        kit={BAG: "count = 3"},
    )
    trip = read_tiny(tmp_path, solo)
    before = lay(Ruby=("Ana", 2), Jade=("Bo", 1), Opal=("Cy", 0))
    made = replan(trip, before, Happened(1, hurt=("Ana",)))
    assert made.restart.happened == Happened(1, absent=("Ana",), left=("Ruby",))
    plan = made.outcome.plan
    assert plan is not None
    assert tell_moves(made) == (
        """\
tiny, from day 1: 2 moves; 2 of 2 cases covered

  left behind, with nobody to steer: Ruby
What lay in a boat left behind is dealt out to the others: see the packing.
  NO SEAT for Ana, or as many others of those whose boat is gone: they are not in what follows;
    think of them first

MOVES BEFORE YOU LAUNCH ON DAY 1, IN THIS ORDER

  1. 2 moves: needed, so that everybody has a seat, each boat a steerer, and none is too full
    leave 1 x throw bag 20 m behind
    1 x throw bag 20 m into Opal (quick)
"""
    )
    # Where a limit had cut in, nobody should take the bag that is left for one that must be.
    said = (
        "The fewest moves are not proven: 1 piece of kit left behind here may stay aboard as well, "
    )
    assert said not in " ".join(render_replan(made, plan, "text").split())
    cut = replace(plan, aims=tuple(replace(aim, proven=False) for aim in plan.aims))
    assert said in " ".join(render_replan(made, cut, "text").split())


def test_where_somebody_rows_twice_the_moves_are_told_step_by_step(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Teal's Bo can't row class III: Ana walks back up and takes his raft down.

    Nothing has to be moved. With Dee and a bag in Teal Heron's run is watched too, by two moves.
    """
    monkeypatch.chdir(tmp_path)
    trip = read_tiny(tmp_path, WEAK)
    made = replan(trip, lay(Heron=("Ana Cy Dee", 2), Teal=("Bo", 0)), Happened(1))
    assert made.outcome.plan is not None
    assert made.outcome.plan.arrangement.twice
    text = render_replan(made, made.outcome.plan, "text")
    assert text.index("Ana (Heron) walks back up on") < text.index(" CASES COVERED")
    assert [sum(shift.count for shift in step.shifts) for step in made.steps] == [0, 2]


def test_moves_that_time_left_in_one_heap_are_not_called_needed(trip: Trip) -> None:
    """A trade of two throwers does nothing; nobody found out which of all moves must be."""
    before = lay(Heron=("Ana Cy Dee", 3), Teal=("Bo", 0), Coot=("Ed", 0))
    made = replan(trip, before, Happened(1))
    last = made.steps[-1]
    cut = replace(made, steps=(replace(last, shifts=made.steps[-1].shifts),), stopped=True)
    said = " ".join(tell_moves(cut).split())
    assert "all together; which of them are needed was not found in time" in said
    assert "needed, so that" not in said


def test_a_step_is_never_worse_than_the_one_before(trip: Trip) -> None:
    before = lay(Heron=("Ana Cy Dee", 3), Teal=("Bo", 0), Coot=("Ed", 0))
    made = replan(trip, before, Happened(1))
    values = [
        tuple(tell(step.plan)[a] for a in ("uncovered", "one_bank", "unmet")) for step in made.steps
    ]
    assert values == sorted(values, reverse=True)
    assert len(set(values)) == len(values)


def test_of_kit_that_is_alike_what_stays_is_no_move(trip: Trip) -> None:
    """Moves counted by hand: of three bags two stay where they are."""
    before = lay(Heron=("Ana Cy Dee", 2), Teal=("Bo", 1), Coot=("Ed", 0))
    after = lay(Heron=("Ana Cy", 1), Teal=("Bo Dee", 1), Coot=("Ed", 1))
    made = replan(trip, before, Happened(1))
    plan = made.outcome.plan
    assert plan is not None
    assert plan.before is not None
    assert count_shifts(made.trip, plan.before, after) == 2


def test_what_is_found_late_is_never_worse_than_a_step_before_it(
    trip: Trip, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plan cut short may be worse than what a step on its way comes to; then that is the plan.

    Found is a plan with all bags and both throwers in Heron, which nobody watches then: a case of
    three uncovered, by three moves. As all lies each raft has a bag, and no case is uncovered.
    """
    before = lay(Heron=("Ana Cy", 1), Teal=("Bo Dee", 1), Coot=("Ed", 1))
    poor = lay(Heron=("Ana Cy Dee", 3), Teal=("Bo", 0), Coot=("Ed", 0))

    def plan_badly(there: Trip, options: SolveOptions, _clock: Clock) -> Outcome:
        needs = derive_needs(there)
        load = RampLoad(poor.crew, poor.steerer, poor.packed, (), {}, (), {}, (0,), "")
        waits = find_stations(there, needs, load, tell_before(load), Clock(60))
        bounds = dict.fromkeys((*COVER_AIMS, "moves", "backed", "mass", "balance", "changes"), 0)
        floors = Floors(count_never(there, needs), dict.fromkeys(COVER_AIMS, False))
        found = Solution("feasible", waits, bounds, floors, canonical=False)
        return Outcome("feasible", make_plan(there, needs, found, options.before))

    monkeypatch.setattr("kitplan.decide.replan.plan_trip", plan_badly)
    made = replan(trip, before, Happened(1))
    plan = made.outcome.plan
    assert plan is not None
    assert tell(plan)["uncovered"] == tell(made.steps[-1].plan)["uncovered"] == 0
    assert tell(plan)["moves"] == 0
    assert not plan.canonical
    assert [step.shifts for step in made.steps] == [()]
