"""False statements about people in the running boat, as many as there are, and who takes them.

The plans are those of tiny trips; expected codes are read off the rules' own sentences.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.needs import derive_needs
from kitplan.plan import ItemPart, PersonPart, PlacePart
from kitplan.planfile import read_plan, write_plan
from kitplan.report import render_plan
from kitplan.verify import verify_plan
from tests.rules.tiny import BASE, BOTH, FOUR, GATHER, TWO_IF_CROWDED, Tiny, few, read_tiny

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from kitplan.plan import DemandResult, Part, Plan
    from kitplan.trip import Trip

    Change = Callable[[DemandResult], DemandResult]

# Seven throwers and bags: whichever raft runs, two can throw from the other one.
CROWDED = replace(
    BASE,
    people=dict.fromkeys(("Ana", "Bo", "Cy", "Dee", "Eve", "Fay", "Gus"), BOTH),
    kit={"throw bag 20 m": "count = 7"},
    catalog=(TWO_IF_CROWDED,),
)
FEW_WAY = "at most 2 in the running boat"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def solve(folder: Path, tiny: Tiny) -> tuple[Trip, Plan]:
    """Return a tiny trip and its plan, which the second program accepts."""
    trip = read_tiny(folder, tiny)
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    assert plan is not None
    assert verify_plan(trip, plan) == []
    return trip, plan


def find_told(plan: Plan) -> DemandResult:
    """Return the first met demand whose witness has most sorts of parts."""
    met = [result for result in plan.demands if result.met]
    return max(met, key=lambda result: len({type(part) for part in result.witness}))


def codes(trip: Trip, plan: Plan, change: Change) -> set[str]:
    """Return the codes of all complaints with the demand that is told in most ways changed."""
    at = plan.demands.index(find_told(plan))
    other = change(plan.demands[at])
    assert other != plan.demands[at]
    told = replace(plan, demands=(*plan.demands[:at], other, *plan.demands[at + 1 :]))
    return {finding.code for finding in verify_plan(trip, told)}


# --- a way for few --------------------------------------------------------------------------------


def throw_alone(result: DemandResult) -> DemandResult:
    """Have one throw, in the way that does for few."""
    throwers = [part for part in result.witness if isinstance(part, PersonPart)]
    bags = [part for part in result.witness if isinstance(part, ItemPart)]
    return replace(result, way=FEW_WAY, witness=(throwers[0], bags[0]))


def test_a_way_for_few_is_none_with_many_aboard(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, CROWDED)
    assert min(len(crew) for crew in plan.arrangement.crew.values()) > 2
    assert codes(trip, plan, throw_alone) == {"crowd"}


def test_with_few_aboard_it_is_the_way_told(tmp_path: Path) -> None:
    """Up to four are few, and seven people in two rafts of five leave no boat with one alone."""
    tiny = replace(CROWDED, catalog=(TWO_IF_CROWDED, few(4)))
    _, plan = solve(tmp_path, tiny)
    crew = plan.arrangement.crew
    ways = {result.key.running: result.way for result in plan.demands if result.met}
    assert {boat: way.startswith("at most 4") for boat, way in ways.items()} == {
        boat: len(crew[boat]) <= 4 for boat in crew
    }


# --- all who sat in the running boat --------------------------------------------------------------

# Eight people in four rafts of five: two stations of each sort, so that both ways are told.
EIGHT = replace(
    FOUR,
    people=dict.fromkeys(("Ana", "Bo", "Cy", "Dee", "Eve", "Fay", "Gus", "Hal"), BOTH),
    kit={"throw bag 20 m": "count = 8"},
    catalog=GATHER,
    river=(("eddies = 0", "eddies = 3"),),
)


def change_parts(kind: type, change: Callable[[Any], Part | None]) -> Change:
    """Return the change of the first part of a kind; None leaves it out."""

    def changed(result: DemandResult) -> DemandResult:
        at = next(n for n, part in enumerate(result.witness) if isinstance(part, kind))
        other = change(result.witness[at])
        new = () if other is None else (other,)
        return replace(result, witness=(*result.witness[:at], *new, *result.witness[at + 1 :]))

    return changed


def is_aboard(part: Part) -> bool:
    return bool(part.boat)


def leave_the_boat_out(result: DemandResult) -> DemandResult:
    """Have the throwers alone take whom they can."""
    return replace(result, witness=tuple(one for one in result.witness if not is_aboard(one)))


def leave_the_bank_out(result: DemandResult) -> DemandResult:
    """Have the boats take all they have room for, and nobody throw."""
    return replace(
        result,
        witness=tuple(
            replace(one, swimmers=2) if isinstance(one, PlacePart) else one
            for one in result.witness
            if is_aboard(one)
        ),
    )


def name_the_boat_twice(result: DemandResult) -> DemandResult:
    places = [part for part in result.witness if isinstance(part, PlacePart)]
    return replace(result, witness=(*result.witness, places[0]))


def let_the_boat_throw(result: DemandResult) -> DemandResult:
    """Have whoever steers afloat throw from the bank as well, by another name for his place."""
    steers = next(
        part for part in result.witness if isinstance(part, PersonPart) and is_aboard(part)
    )
    throws = next(
        part for part in result.witness if isinstance(part, PersonPart) and not is_aboard(part)
    )
    witness = tuple(
        replace(one, paddler=steers.paddler) if one is throws else one for one in result.witness
    )
    return replace(result, witness=witness)


BROKEN: dict[str, tuple[Change, set[str]]] = {
    "a thrower without a bag": (change_parts(ItemPart, lambda _: None), {"swimmers"}),
    "two bags for a thrower": (
        change_parts(ItemPart, lambda part: replace(part, count=2)),
        {"swimmers"},
    ),
    "a boat takes more than it has places": (
        change_parts(PlacePart, lambda part: replace(part, swimmers=4)),
        {"swimmers"},
    ),
    "a boat takes nobody": (
        change_parts(PlacePart, lambda part: replace(part, swimmers=0)),
        {"swimmers"},
    ),
    "a boat without its steerer": (
        change_parts(PlacePart, lambda part: replace(part, boat="Nobody's")),
        {"unknown-name"},
    ),
    "a boat named twice": (name_the_boat_twice, {"swimmers"}),
    "nobody afloat": (leave_the_boat_out, {"swimmers"}),
    "nobody ashore": (leave_the_bank_out, {"swimmers"}),
    "one who does two things": (let_the_boat_throw, {"people"}),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_witness_of_swimmers_is_held_to_its_parts(name: str, tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, EIGHT)
    change, expected = BROKEN[name]
    assert codes(trip, plan, change) == expected


def test_places_for_swimmers_are_told_only_where_they_are_asked_for(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, BASE)

    def take_one(result: DemandResult) -> DemandResult:
        other = next(boat for boat in trip.boats if boat != result.key.running)
        return replace(result, witness=(*result.witness, PlacePart("aboard", "", 1, other)))

    assert codes(trip, plan, take_one) == {"wrong-witness"}


def test_what_is_short_is_counted(tmp_path: Path) -> None:
    """Three in the one raft, one without a throwing hand in the other: three places are short."""
    trip, plan = solve(tmp_path, replace(BASE, catalog=GATHER))
    [result] = [result for result in plan.demands if not result.met]
    [piece] = result.missing
    assert (piece.what, piece.site, piece.short) == ("swimmer", "afloat", 3)
    assert len(plan.arrangement.crew[result.key.running]) == 3
    for wrong in (replace(piece, short=2), replace(piece, name="place"), replace(piece, site="")):
        told = replace(result, missing=(wrong,))
        demands = tuple(told if one is result else one for one in plan.demands)
        found = {one.code for one in verify_plan(trip, replace(plan, demands=demands))}
        assert found == {"wrong-missing"}


# --- how it is written ----------------------------------------------------------------------------


@pytest.mark.parametrize("tiny", [EIGHT, replace(BASE, catalog=GATHER)], ids=["taken", "short"])
def test_a_plan_file_keeps_who_is_taken_and_what_is_short(tiny: Tiny, tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, tiny)
    text = write_plan(trip, derive_needs(trip), plan)
    kept, findings = read_plan(text.encode(), "plan.json")
    assert findings == []
    assert kept is not None
    assert kept.plan.demands == plan.demands
    assert kept.plan.gaps == plan.gaps
    assert ('"swimmers": 1' in text) == (tiny is EIGHT)
    assert ('"swimmers": "place for a swimmer' in text) == (tiny is not EIGHT)


def test_the_plan_tells_who_throws_and_which_boat_has_room(tmp_path: Path) -> None:
    """Two swim: one is thrown a line, a raft with two in it has room for the other one."""
    trip, plan = solve(tmp_path, EIGHT)
    text = " ".join(render_plan(trip, derive_needs(trip), plan, "text").split())
    result = find_told(plan)
    taken = {part.boat: part.swimmers for part in result.witness if isinstance(part, PlacePart)}
    thrown = [p for p in result.witness if isinstance(p, PersonPart) and p.role == "thrower"]
    assert len(thrown) + sum(taken.values()) == len(plan.arrangement.crew[result.key.running]) == 2
    assert f"river left: {thrown[0].paddler} (thrower) with throw bag 20 m" in text
    for boat in taken:
        assert f"in {boat}: " in text
    assert "(steers: takes swimmers aboard) with room for 1 swimmer" in text


def test_the_plan_tells_how_many_places_are_short(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, replace(BASE, catalog=GATHER))
    text = " ".join(render_plan(trip, derive_needs(trip), plan, "text").split())
    assert (
        "the rest of the party is short of 3 x place for a swimmer (a thrower with a bag of his "
        "own, or a free place afloat)"
    ) in text
