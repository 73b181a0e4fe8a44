"""A plan of a tiny trip with one rule broken: the second program names that rule and no other.

Each operator takes a solved plan and says which rule it breaks; the trip is chosen so that nothing
else breaks. Neutral operators say the same in another way, and pass.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan import rules
from kitplan.explain import SolveOptions, plan_trip
from kitplan.verify import verify_plan
from tests.rules.tiny import (
    BASE,
    CLIPPED,
    KAYAK,
    LONG,
    ODD,
    RAFT,
    RESCUE_VEST,
    SMALL,
    THREE,
    WAIST,
    WEAK,
    Tiny,
    company,
    kayaks,
    lines,
    odd_raft,
    read_tiny,
    work,
)

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from kitplan.plan import Packed, Plan

    Mutation = Callable[[Plan], Plan]

CARABINERS = BASE.kit | {"locking carabiner": "count = 4"}
VESTS = dict.fromkeys(("Cy", "Dee"), RESCUE_VEST)
CLIP = replace(BASE, kit=CARABINERS, own=VESTS, catalog=CLIPPED)
WORN = replace(BASE, kit={"throw bag 15 m": "count = 6"}, catalog=(WAIST, lines(2)))
FIRST_AID = replace(BASE, kit=BASE.kit | {"first-aid kit": "count = 1\ntake = true"})
# Two spare carabiners that must go and that no work asks for, and vests that have room for them.
SPARE = replace(
    BASE,
    kit=BASE.kit | {"locking carabiner": "count = 2\ntake = true"},
    own=dict.fromkeys(BASE.people, RESCUE_VEST),
    catalog=(CLIPPED[1],),
)
STIFF = replace(ODD, types=odd_raft(more='longest = "1.4 m"'), catalog=LONG)
# There is room to land and to wait, but nobody does at a rapid run so.
EDDIES = ("eddies = 0", "eddies = 2")
NOBODY_SET = replace(BASE, river=(('safety = "set"', 'safety = "afloat"'), EDDIES))
NO_SAFETY = replace(BASE, river=(('safety = "set"', 'safety = "none"'), EDDIES))
PADDLED = Tiny(
    boats={"Heron": "paddle raft 4.0 m", "Teal": KAYAK},
    people={
        "Ana": '"paddle raft" = 3, throwing = 2',
        "Bo": '"paddle raft" = 2',
        "Cy": "kayak = 3, throwing = 2",
    }
    | dict.fromkeys(("Guy", "Gil", "Gus", "Gwen"), "throwing = 1"),
)


def seat(plan: Plan, **crew: tuple[str, ...]) -> Plan:
    """Return the plan with other crews in some boats."""
    return replace(plan, arrangement=replace(plan.arrangement, crew=plan.arrangement.crew | crew))


def steer(plan: Plan, **steerer: str) -> Plan:
    """Return the plan with other steerers in some boats."""
    told = plan.arrangement.steerer | steerer
    return replace(plan, arrangement=replace(plan.arrangement, steerer=told))


def pack(plan: Plan, *rows: Packed) -> Plan:
    """Return the plan with these things packed and no others."""
    return replace(plan, arrangement=replace(plan.arrangement, packed=rows))


def stand(plan: Plan, **stations: str) -> Plan:
    """Return the plan with some boats standing elsewhere at the rapid, whoever runs."""
    told = {key: stations.get(key[1], at) for key, at in plan.arrangement.stations.items()}
    return replace(plan, arrangement=replace(plan.arrangement, stations=told))


def stand_all(plan: Plan, station: str, *, has_run: bool) -> Plan:
    """Return the plan with all that have run, or all that are to run, at one station."""
    order = plan.arrangement.order
    told = {
        (rapid, boat, running): station
        if (order.index(boat) < order.index(running)) == has_run
        else at
        for (rapid, boat, running), at in plan.arrangement.stations.items()
    }
    return replace(plan, arrangement=replace(plan.arrangement, stations=told))


def run(plan: Plan, *order: str) -> Plan:
    """Return the plan with another running order."""
    return replace(plan, arrangement=replace(plan.arrangement, order=order))


def crew(plan: Plan, boat: str) -> tuple[str, str]:
    """Return the steerer of a boat and the other one in it."""
    steerer = plan.arrangement.steerer[boat]
    (other,) = (name for name in plan.arrangement.crew[boat] if name != steerer)
    return steerer, other


def change_packed(plan: Plan, change: Callable[[Packed], Packed | None]) -> Plan:
    """Return the plan with its first packed row changed that `change` answers for."""
    rows = list(plan.arrangement.packed)
    number = next(n for n, row in enumerate(rows) if change(row) is not None)
    changed = change(rows[number])
    assert changed is not None
    return pack(plan, *rows[:number], changed, *rows[number + 1 :])


def seat_twice(plan: Plan) -> Plan:
    return seat(plan, Heron=(*plan.arrangement.crew["Heron"], crew(plan, "Teal")[1]))


def leave_ashore(plan: Plan) -> Plan:
    return seat(plan, Heron=(crew(plan, "Heron")[0],))


def name_twice(plan: Plan) -> Plan:
    steerer, other = crew(plan, "Heron")
    return seat(plan, Heron=(steerer, other, other))


def move_to_teal(plan: Plan) -> Plan:
    steerer, other = crew(plan, "Heron")
    return seat(plan, Heron=(steerer,), Teal=(*plan.arrangement.crew["Teal"], other))


def move_to_heron(plan: Plan) -> Plan:
    steerer, other = crew(plan, "Teal")
    return seat(plan, Teal=(steerer,), Heron=(*plan.arrangement.crew["Heron"], other))


def exchange_throwers(plan: Plan) -> Plan:
    (one, thrower), (other, mate) = crew(plan, "Heron"), crew(plan, "Teal")
    return seat(plan, Heron=(one, mate), Teal=(other, thrower))


def let_the_thrower_steer(plan: Plan) -> Plan:
    return steer(plan, Heron=crew(plan, "Heron")[1])


def let_one_steer_from_the_other_boat(plan: Plan) -> Plan:
    return steer(plan, Heron=plan.arrangement.steerer["Teal"])


def leave_unsteered(plan: Plan) -> Plan:
    told = {"Teal": plan.arrangement.steerer["Teal"]}
    return replace(plan, arrangement=replace(plan.arrangement, steerer=told))


def let_the_weaker_steer_guests(plan: Plan) -> Plan:
    return steer(plan, Heron="Bo")


def pack_all_in_teal(plan: Plan) -> Plan:
    return change_packed(
        plan, lambda row: replace(row, boat="Teal") if row.boat == "Heron" else None
    )


def pack_one_more(plan: Plan) -> Plan:
    return change_packed(plan, lambda row: replace(row, count=row.count + 1))


def pack_none(plan: Plan) -> Plan:
    return pack(plan, *plan.arrangement.packed, replace(plan.arrangement.packed[0], count=0))


def pack_less_than_none(plan: Plan) -> Plan:
    first = plan.arrangement.packed[0]
    return pack(plan, *plan.arrangement.packed, replace(first, count=-1))


def leave_the_first_aid_kit(plan: Plan) -> Plan:
    rows = [row for row in plan.arrangement.packed if row.item != "first-aid kit"]
    return pack(plan, *rows)


def stow(plan: Plan) -> Plan:
    return change_packed(plan, lambda row: replace(row, carried="stowed"))


def wear_what_is_not_worn(plan: Plan) -> Plan:
    return change_packed(
        plan, lambda row: replace(row, carried="worn", worn_by=plan.arrangement.steerer[row.boat])
    )


def carry_it_somehow(plan: Plan) -> Plan:
    return change_packed(plan, lambda row: replace(row, carried="somehow"))


def say_who_wears_what_lies_quick(plan: Plan) -> Plan:
    return change_packed(plan, lambda row: replace(row, worn_by=plan.arrangement.steerer[row.boat]))


def wear_it_in_the_other_boat(plan: Plan) -> Plan:
    # The wearer in Teal has one thing at the waist already, so that one goes.
    heron = [row for row in plan.arrangement.packed if row.boat == "Heron"]
    return pack(plan, replace(heron[0], worn_by=crew(plan, "Teal")[0]), *heron[1:])


def let_nobody_wear_it(plan: Plan) -> Plan:
    return change_packed(plan, lambda row: replace(row, worn_by=""))


def clip_it_to_a_vest_without_room(plan: Plan) -> Plan:
    return change_packed(
        plan,
        lambda row: (
            replace(row, worn_by=plan.arrangement.steerer[row.boat])
            if row.carried == "worn"
            else None
        ),
    )


def wear_two_at_the_waist(plan: Plan) -> Plan:
    steerer, other = crew(plan, "Heron")
    return change_packed(
        plan, lambda row: replace(row, worn_by=other) if row.worn_by == steerer else None
    )


def land_one(plan: Plan) -> Plan:
    return stand(plan, Heron="left")


def float_one(plan: Plan) -> Plan:
    return stand(plan, Heron="afloat")


def stand_somewhere(plan: Plan) -> Plan:
    return stand(plan, Heron="somewhere")


def stand_nowhere(plan: Plan) -> Plan:
    told = {key: at for key, at in plan.arrangement.stations.items() if key[1] != "Heron"}
    return replace(plan, arrangement=replace(plan.arrangement, stations=told))


def land_all_above(plan: Plan) -> Plan:
    return stand_all(plan, "left", has_run=False)


def land_all_below(plan: Plan) -> Plan:
    return stand_all(plan, "left", has_run=True)


def float_three(plan: Plan) -> Plan:
    return stand_all(plan, "afloat", has_run=True)


def float_before_the_run(plan: Plan) -> Plan:
    return stand_all(plan, "afloat", has_run=False)


def stay_above_after_the_run(plan: Plan) -> Plan:
    return stand_all(plan, "above", has_run=True)


def walk_on_when_the_third_runs(plan: Plan) -> Plan:
    first, _, third = plan.arrangement.order
    told = plan.arrangement.stations | {("Riffle", first, third): "below"}
    return replace(plan, arrangement=replace(plan.arrangement, stations=told))


def run_the_other_way_round(plan: Plan) -> Plan:
    return run(plan, *reversed(plan.arrangement.order))


def pack_all_in_the_lead(plan: Plan) -> Plan:
    first = plan.arrangement.order[0]
    return change_packed(plan, lambda row: replace(row, boat=first) if row.boat != first else None)


EVE_THERE = replace(WEAK, people=WEAK.people | {"Eve": "rope = 2"})


def let_eve_row(plan: Plan) -> Plan:
    """Let Eve, who does nothing else at all, take down Bo's raft: she can't row."""
    twice = dict.fromkeys(plan.arrangement.twice, "Eve")
    return replace(plan, arrangement=replace(plan.arrangement, twice=twice))


BROKEN: tuple[tuple[str, Tiny, Mutation], ...] = (
    ("seat", BASE, seat_twice),
    ("seat", BASE, leave_ashore),
    ("seat", BASE, name_twice),
    ("seats", replace(ODD, types=odd_raft(seats=2)), move_to_teal),
    ("steerer", BASE, let_the_thrower_steer),
    ("steerer", BASE, let_one_steer_from_the_other_boat),
    ("steerer", BASE, leave_unsteered),
    ("steerer", PADDLED, let_the_weaker_steer_guests),
    ("least-crew", replace(ODD, types=odd_raft(least=2)), move_to_heron),
    ("tied", replace(BASE, own={"Cy": 'boat = "Heron"'}), exchange_throwers),
    ("together", replace(BASE, more=company("together", "Ana", "Cy")), exchange_throwers),
    ("apart", replace(BASE, more=company("apart", "Cy", "Dee")), move_to_teal),
    ("payload", replace(ODD, types=odd_raft(payload="157 kg")), pack_all_in_teal),
    ("owned", BASE, pack_one_more),
    ("owned", BASE, pack_none),
    ("owned", BASE, pack_less_than_none),
    ("take", FIRST_AID, leave_the_first_aid_kit),
    ("carried", BASE, stow),
    ("carried", BASE, wear_what_is_not_worn),
    ("carried", BASE, carry_it_somehow),
    ("carried", BASE, say_who_wears_what_lies_quick),
    ("carried", STIFF, pack_all_in_teal),
    ("carried", WORN, wear_it_in_the_other_boat),
    ("carried", WORN, let_nobody_wear_it),
    ("quick-bulky", replace(ODD, types=odd_raft(bulky=1)), pack_all_in_teal),
    (
        "quick-small",
        replace(
            ODD, types=odd_raft(small=1), kit={"throw bag 15 m": "count = 2"}, catalog=(SMALL,)
        ),
        pack_all_in_teal,
    ),
    ("vest-room", CLIP, clip_it_to_a_vest_without_room),
    ("waist-room", WORN, wear_two_at_the_waist),
    ("order", replace(BASE, more='[order]\nboats = ["Heron", "Teal"]\n'), run_the_other_way_round),
    (
        "lead",
        replace(BASE, people=BASE.people | {"Bo": '"oar raft" = 2'}, more="[order]\nlead = 3\n"),
        run_the_other_way_round,
    ),
    ("sweep", replace(BASE, more='[order]\nsweep = ["line"]\n'), pack_all_in_the_lead),
    ("row-twice", EVE_THERE, let_eve_row),
    ("station", replace(BASE, river=(EDDIES,)), float_before_the_run),
    ("station", BASE, stay_above_after_the_run),
    ("held", THREE, walk_on_when_the_third_runs),
    ("station", NOBODY_SET, land_one),
    ("station", NO_SAFETY, float_one),
    ("station", BASE, stand_somewhere),
    ("station", BASE, stand_nowhere),
    ("landing", replace(THREE, river=(("landing = 3", "landing = 1"),)), land_all_above),
    ("landing", replace(THREE, river=(("landing = 3", "landing = 1"),)), land_all_below),
    ("eddies", kayaks(4, 1, work("chase", 2)), float_three),
)


def plan_tiny(folder: Path, tiny: Tiny, mutate: Mutation) -> list[str]:
    """Return the codes that a mutated plan gets; the plan itself must get none."""
    trip = read_tiny(folder, tiny)
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    assert plan is not None
    assert verify_plan(trip, plan) == []
    mutated = mutate(plan)
    assert mutated != plan
    return sorted({finding.code for finding in verify_plan(trip, mutated)})


@pytest.mark.parametrize(
    ("family", "tiny", "mutate"),
    BROKEN,
    ids=[f"{family}: {mutate.__name__}" for family, _, mutate in BROKEN],
)
def test_one_rule_is_broken(
    family: str, tiny: Tiny, mutate: Mutation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert plan_tiny(tmp_path, tiny, mutate) == [family]


def test_every_rule_of_an_arrangement_is_broken_once() -> None:
    arranged = rules.SEATING + rules.PACKING + rules.ORDER + rules.STATIONS
    assert {family for family, _, _ in BROKEN} == {family.name for family in arranged}


# --- saying the same in another way -------------------------------------------------------------


def turn_crews_round(plan: Plan) -> Plan:
    return seat(plan, **{b: tuple(reversed(crew)) for b, crew in plan.arrangement.crew.items()})


def turn_rows_round(plan: Plan) -> Plan:
    return pack(plan, *reversed(plan.arrangement.packed))


def hand_a_spare_to_the_next(plan: Plan) -> Plan:
    """Have another of the same crew with as much room wear a carabiner that nobody needs."""

    def hand_on(row: Packed) -> Packed | None:
        if row.carried != "worn":
            return None
        others = (name for name in plan.arrangement.crew[row.boat] if name != row.worn_by)
        return replace(row, worn_by=next(others))

    return change_packed(plan, hand_on)


def count_one_by_one(plan: Plan) -> Plan:
    rows = [replace(row, count=1) for row in plan.arrangement.packed for _ in range(row.count)]
    return pack(plan, *rows)


NEUTRAL: tuple[tuple[Tiny, Mutation], ...] = (
    (BASE, turn_crews_round),
    (WORN, turn_rows_round),
    (SPARE, hand_a_spare_to_the_next),
    # Both throwers and both bags are in Heron, Teal being a boat of one seat.
    (replace(BASE, boats={"Heron": RAFT, "Teal": "odd raft"}, types=odd_raft(seats=1)),
     count_one_by_one),
)  # fmt: skip


@pytest.mark.parametrize(
    ("tiny", "mutate"), NEUTRAL, ids=[mutate.__name__ for _, mutate in NEUTRAL]
)
def test_the_same_said_otherwise_passes(
    tiny: Tiny, mutate: Mutation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert plan_tiny(tmp_path, tiny, mutate) == []
