"""Trips of two legs, worked by hand: who and what is there when, and what moves between them.

The second day's rapid is like the first's: one usable bank with a path. Every case weighs 8, and so
does a demand of first choice; a bag weighs 1 kg, somebody on the water 78 kg. In each leg the best
is a thrower and a bag in each of two boats, none of it backed: 0, 0, 0, 16 for a leg, and 2,000 g.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import SolveOptions
from kitplan.needs import derive_needs
from kitplan.plan import Move, list_moves
from kitplan.solve import solve_trip
from kitplan.verify import verify_plan
from tests.generator import SIZES, generate_trip, is_full_run
from tests.inputs.texts import spoil
from tests.rules.solved import solve
from tests.rules.tiny import BASE, RIVER, THROWER, Tiny, company, odd_raft, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

Values = tuple[int, ...]  # uncovered, one bank, unmet, not backed, grams

SECOND = spoil(RIVER, ("day = 1", "day = 2"), ('"Riffle"', '"Ledge"'))
TWO_DAYS = replace(BASE, head=(("starts = 2027-06-14", "starts = 2027-06-14\ndays = 2"),),
                   more=SECOND)  # fmt: skip
BAGS = "throw bag 20 m"
FROM_2, TO_1 = "from = 2", "to = 1"
LATER_BAGS = {BAGS: f"count = 2\n{FROM_2}"}

# Six people on the first day, three a boat: 3 x 78 kg = 234 kg. On the second two in each boat.
ODD_RAFTS = dict.fromkeys(("Heron", "Teal"), "odd raft")
SIX = BASE.people | dict.fromkeys(("Eve", "Fay"), "rope = 2")
FULL = replace(
    TWO_DAYS,
    boats=ODD_RAFTS,
    people=SIX,
    own=dict.fromkeys(("Eve", "Fay"), TO_1),
    types=odd_raft(payload="234.9 kg"),
)

# Cy sits with Eve in Heron on the first day, and with Fay in Teal on the second.
SWAP = replace(
    TWO_DAYS,
    people=SIX,
    own={"Eve": f'boat = "Heron"\n{TO_1}', "Fay": f'boat = "Teal"\n{FROM_2}'},
    more=SECOND + company("together", "Cy", "Eve") + company("together", "Cy", "Fay"),
)
STAY = replace(SWAP, more=SECOND + company("together", "Cy", "Eve"))

# A throw asks for a certificate; Cy's ends with the first day. The bags make one leg of each day.
CERTIFIED = THROWER.replace("throws", 'certificate = "swift-water rescue", throws')


def holds(until: str) -> str:
    """Return a certificate that holds until a day."""
    return f'certificates = [{{ name = "swift-water rescue", until = {until} }}]'


LAPSES = replace(
    TWO_DAYS,
    kit=BASE.kit | {"first-aid kit": f"count = 1\n{FROM_2}"},
    own={"Cy": holds("2027-06-14"), "Dee": holds("2027-06-15")},
    catalog=((THROWER, CERTIFIED),),
)

TRIPS: dict[str, tuple[Tiny, Values]] = {
    # The first day Cy alone throws: nobody while his boat runs; nobody backs him: 8, 0, 8, 8.
    "who joins later": (
        replace(TWO_DAYS, own={"Dee": FROM_2}),
        (8, 0, 8, 24, 2000),
    ),
    # The first day has no bag.
    "bags that come later": (replace(TWO_DAYS, kit=LATER_BAGS), (16, 0, 16, 16, 2000)),
    # A bag of 1 kg is too heavy for 234.9 kg on the first day; so there is none on the second
    # either, though there would be room for it.
    "a bag taken is carried in each leg": (FULL, (32, 0, 32, 0, 0)),
    # Bags that come later need not be carried on the first day.
    "bags carried later only": (replace(FULL, kit=LATER_BAGS), (16, 0, 16, 16, 2000)),
    # 235 kg takes one in each boat.
    "a bag that fits in each leg": (
        replace(FULL, types=odd_raft(payload="235 kg")),
        (0, 0, 0, 32, 2000),
    ),
    # The second day Dee alone throws: 8, 0, 8, 8.
    "a certificate that ends after the first leg": (LAPSES, (8, 0, 8, 24, 2000)),
    "a certificate that holds": (
        replace(LAPSES, own=dict.fromkeys(("Cy", "Dee"), holds("2027-06-15"))),
        (0, 0, 0, 32, 2000),
    ),
}


pytestmark = pytest.mark.usefixtures("in_folder")


@pytest.mark.parametrize("name", TRIPS)
def test_two_legs_by_hand(name: str, tmp_path: Path) -> None:
    tiny, values = TRIPS[name]
    trip = read_tiny(tmp_path, tiny)
    assert len(trip.legs) == 2
    plan = solve(trip)
    assert tuple(aim.value for aim in plan.aims[:5]) == values
    # Nothing has to move in any of them.
    assert [(aim.name, aim.value) for aim in plan.aims[6:]] == [("changes", 0)]


def test_a_swap_that_has_to_be_made_is_two_changes(tmp_path: Path) -> None:
    """Cy changes boats; and as there is to be a thrower in each, Dee changes too. Nothing else."""
    trip = read_tiny(tmp_path, SWAP)
    plan = solve(trip)
    assert [aim.value for aim in plan.aims[:5]] == [0, 0, 0, 32, 2000]
    assert plan.aims[6].value == 2
    assert [set(moves) for moves in list_moves(trip, plan.arrangement)] == [
        {
            Move("Cy", item=False, source="Heron", target="Teal"),
            Move("Dee", item=False, source="Teal", target="Heron"),
        }
    ]


def test_nobody_moves_where_nobody_has_to(tmp_path: Path) -> None:
    """The same without Fay's company: Cy stays in Heron."""
    trip = read_tiny(tmp_path, STAY)
    plan = solve(trip)
    assert [aim.value for aim in plan.aims[:5]] == [0, 0, 0, 32, 2000]
    assert plan.aims[6].value == 0
    assert list_moves(trip, plan.arrangement) == [[]]


# --- false plans ----------------------------------------------------------------------------------


def codes(trip: Trip, plan: Plan) -> set[str]:
    """Return the codes of all complaints."""
    return {finding.code for finding in verify_plan(trip, plan)}


def test_what_is_taken_is_missing_in_the_second_leg(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, SWAP)
    plan = solve(trip)
    rows = tuple(row for row in plan.arrangement.packed if row.boat != "Heron, from day 2")
    assert rows != plan.arrangement.packed
    wrong = replace(plan, arrangement=replace(plan.arrangement, packed=rows))
    assert codes(trip, wrong) == {"owned"}


def test_somebody_sits_in_a_leg_he_is_not_in(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, replace(TWO_DAYS, own={"Dee": FROM_2}))
    plan = solve(trip)
    crew = plan.arrangement.crew
    told = crew | {"Heron": tuple(sorted((*crew["Heron"], "Dee")))}
    wrong = replace(plan, arrangement=replace(plan.arrangement, crew=told))
    assert codes(trip, wrong) == {"seat"}


def test_changes_are_counted_anew(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, SWAP)
    plan = solve(trip)
    changes = replace(plan.aims[6], value=1, bound=1)
    assert codes(trip, replace(plan, aims=(*plan.aims[:6], changes))) == {"wrong-aim"}


# --- leg by leg -----------------------------------------------------------------------------------

# Generated trips of every fifth seed and the third after it may have two legs.
SEEDS = [n for n in range(1, 301 if is_full_run() else 41) if n % 5 in {0, 3}]


@pytest.mark.parametrize("seed", SEEDS)
def test_leg_by_leg_is_as_good_as_all_at_once(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The aims of one model of both legs, solved without a look at each leg alone."""
    kind = "drawn" if seed % 2 else "shipped"
    trip = generate_trip(seed, SIZES["tiny"], techniques=kind)
    needs, options = derive_needs(trip), SolveOptions(workers=1, time_limit_s=100)
    by_leg = solve_trip(trip, needs, options)
    monkeypatch.setattr("kitplan.solve.aims._Solver._settle_legs", lambda _self: False)
    at_once = solve_trip(trip, needs, options)
    assert by_leg.values == at_once.values
    assert by_leg.bounds == at_once.bounds
