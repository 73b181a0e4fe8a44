"""Bundles: what is in a bag with other items serves where the bag lies, and only there.

As in `test_family_optima`: two rafts, each case weighs 8 (class II: 2 x 2, consequence 2) and each
demand 8. Ana and Bo steer, Cy and Dee throw; the one bank has a path, so while one raft runs, the
other's crew is on it. A throw bag of 20 m weighs 1 kg and is bulky, a carabiner 85 g and is small.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.explain.scene import Party
from kitplan.explain.witness import Prover
from kitplan.needs import derive_needs
from kitplan.plan import ItemPart
from kitplan.planfile import read_plan, write_plan
from kitplan.report import render_plan
from kitplan.trip import CarriageRule, Counted, Reading, RuleSet, Spread
from kitplan.trip.carriage import HOUSE
from kitplan.verify import verify_plan
from kitplan.verify.ground import Ground
from kitplan.verify.possible import Judge
from tests.rules.solved import solve
from tests.rules.tiny import BASE, BOTH, GATHER, SMALL, Tiny, company, lines, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import DemandResult, Plan
    from kitplan.trip import Trip

Optimum = tuple[int, int, int, int, int]
pytestmark = pytest.mark.usefixtures("in_folder")


def bundle(contains: str, carried: str = '"quick"', *, bulky: bool = True, more: str = "") -> str:
    """Return an item that contains others."""
    return f"""
[[item]]
name = "kit bag"
kinds = []
contains = {{ {contains} }}
carried = [{carried}]
bulky = {"true" if bulky else "false"}
{more}
"""


TWO_LINES = bundle('"throw bag 20 m" = 2')
THREE_LINES = bundle('"throw bag 20 m" = 3')
ONE_LINE = bundle('"throw bag 20 m" = 1')
SPLIT, WHOLE = "count = 1\nsplit = true", "count = 1"
STEERERS = {"Ana": BOTH, "Bo": BOTH}

OPTIMA: dict[str, tuple[Tiny, Optimum]] = {
    # Each raft needs a bag for when the other runs: the bundle's two lie in one. Nothing backs a
    # line in a bundle, so the case that is covered is not backed.
    "whole, both lines lie in one boat": (
        replace(BASE, kit={"kit bag": WHOLE}, types=TWO_LINES),
        (8, 0, 8, 8, 2000),
    ),
    "split, each boat has one": (
        replace(BASE, kit={"kit bag": SPLIT}, types=TWO_LINES),
        (0, 0, 0, 16, 2000),
    ),
    # A line beside the bundle, which is whole, is enough for the other boat.
    "whole, and one line besides": (
        replace(BASE, kit={"kit bag": WHOLE, "throw bag 20 m": "count = 1"}, types=TWO_LINES),
        (0, 0, 0, 16, 3000),
    ),
    # What is split adds to what is listed: all three are taken, as two lines and two throwers in
    # one boat back that case. The other boat keeps a line, but its steerer does not throw, so its
    # case is open: covering both comes first, and two lines do.
    "split, besides one that is listed": (
        replace(BASE, kit={"kit bag": SPLIT, "throw bag 20 m": "count = 1"}, types=ONE_LINE),
        (0, 0, 0, 16, 2000),
    ),
    # One person has two hands for three bulky lines: not covered. In a bundle they take one hand.
    "three lines are too many for two hands": (
        Tiny(people=STEERERS, kit={"throw bag 20 m": "count = 6"}, catalog=(lines(3),)),
        (16, 0, 16, 0, 0),
    ),
    "three lines in a bundle take one hand": (
        Tiny(people=STEERERS, kit={"kit bag": "count = 2"}, types=THREE_LINES, catalog=(lines(3),)),
        (0, 0, 0, 16, 6000),
    ),
    # Two in the bundle, which takes one hand, and one in the other hand. A bundle with one line
    # and two lines by themselves ask for three hands of two.
    "a bundle and a line are in two hands": (
        Tiny(
            people=STEERERS,
            kit={"kit bag": "count = 2", "throw bag 20 m": "count = 2"},
            types=TWO_LINES,
            catalog=(lines(3),),
        ),
        (0, 0, 0, 16, 6000),
    ),
    "a bundle and two lines are too many": (
        Tiny(
            people=STEERERS,
            kit={"kit bag": "count = 2", "throw bag 20 m": "count = 4"},
            types=ONE_LINE,
            catalog=(lines(3),),
        ),
        (16, 0, 16, 0, 0),
    ),
    # A bundle that is not bulky takes no hand: three hands become two.
    "a small bundle and two lines": (
        Tiny(
            people=STEERERS,
            kit={"kit bag": "count = 2", "throw bag 20 m": "count = 4"},
            types=bundle('"throw bag 20 m" = 1', bulky=False),
            catalog=(lines(3),),
        ),
        (0, 0, 0, 16, 6000),
    ),
    # The one bundle must go and is of no use; it takes one of two hands where it lies, and two
    # lines are asked: the other boat's case is covered, this one's not.
    "a bundle of no use takes a hand": (
        Tiny(
            people=STEERERS,
            kit={"kit bag": "count = 1\ntake = true", "throw bag 20 m": "count = 4"},
            types=bundle('"raft paddle" = 1'),
            catalog=(lines(2),),
        ),
        (8, 0, 8, 8, 2850),
    ),
    # Stowed it takes none, and both are covered.
    "stowed it takes no hand": (
        Tiny(
            people=STEERERS,
            kit={"kit bag": "count = 1\ntake = true", "throw bag 20 m": "count = 4"},
            types=bundle('"raft paddle" = 1', '"quick", "stowed"'),
            catalog=(lines(2),),
        ),
        (0, 0, 0, 16, 4850),
    ),
    # Small bags of 550 g ask for no hand, but bundles do: of five that must go one boat has three,
    # too many for the one who is in it, however many small bags he has. Of four each boat has two.
    "more bundles than hands": (
        Tiny(
            people=STEERERS,
            kit={"kit bag": "count = 5\ntake = true", "throw bag 15 m": "count = 4"},
            types=bundle('"raft paddle" = 1'),
            catalog=(SMALL,),
        ),
        (8, 0, 8, 8, 4800),
    ),
    "as many bundles as hands": (
        Tiny(
            people=STEERERS,
            kit={"kit bag": "count = 4\ntake = true", "throw bag 15 m": "count = 4"},
            types=bundle('"raft paddle" = 1'),
            catalog=(SMALL,),
        ),
        (0, 0, 0, 16, 4500),
    ),
    # All four throw, two in each boat, so people back each other. A line and another one back each
    # other as well: 0. A line in a bundle backs none.
    "loose lines back each other": (
        replace(
            BASE,
            people=dict.fromkeys(BASE.people, BOTH),
            kit={"throw bag 20 m": "count = 4"},
        ),
        (0, 0, 0, 0, 4000),
    ),
    "lines in bundles back nothing": (
        replace(
            BASE,
            people=dict.fromkeys(BASE.people, BOTH),
            kit={"kit bag": "count = 2"},
            types=TWO_LINES,
        ),
        (0, 0, 0, 16, 4000),
    ),
    # Both loose lines lie in one boat and back each other there; the other has a bundle, and
    # so 8 is not backed. With a line and a bundle in each boat nothing would be.
    "nor a loose one": (
        replace(
            BASE,
            people=dict.fromkeys(BASE.people, BOTH),
            kit={"kit bag": "count = 2", "throw bag 20 m": "count = 2"},
            types=ONE_LINE,
        ),
        (0, 0, 0, 8, 3000),
    ),
    # All who swim are taken by throwers with both hands free. Two and two: where the bundle lies
    # one of two holds it, so the other boat's two are not taken: 8. Three and one: of the three one
    # holds it, two throw for the one, back each other with a line each, and only the case of the
    # three is open: 8, nothing unbacked. Stowed it leaves all: two throw for two, nobody backs.
    "who throws holds no bundle": (
        replace(
            BASE,
            people=dict.fromkeys(BASE.people, BOTH),
            kit={"kit bag": "count = 1\ntake = true", "throw bag 20 m": "count = 4"},
            types=bundle('"raft paddle" = 1'),
            catalog=GATHER,
        ),
        (8, 0, 8, 0, 2850),
    ),
    # Two and two, by ties: one of the two with the bundle throws, for two swimmers. The other two
    # take all, and nobody backs them.
    "one of two holds a bundle": (
        replace(
            BASE,
            people=dict.fromkeys(BASE.people, BOTH),
            own={"Cy": 'boat = "Teal"', "Dee": 'boat = "Heron"'},
            kit={"kit bag": "count = 1\ntake = true", "throw bag 20 m": "count = 4"},
            types=bundle('"raft paddle" = 1'),
            catalog=GATHER,
            more=company("apart", "Ana", "Bo"),
        ),
        (8, 0, 8, 8, 2850),
    ),
    "a bundle that is stowed is in nobody's hands": (
        replace(
            BASE,
            people=dict.fromkeys(BASE.people, BOTH),
            kit={"kit bag": "count = 1\ntake = true", "throw bag 20 m": "count = 4"},
            types=bundle('"raft paddle" = 1', '"quick", "stowed"'),
            catalog=GATHER,
        ),
        (0, 0, 0, 16, 4850),
    ),
}


@pytest.mark.parametrize("name", OPTIMA)
def test_the_best_of_a_tiny_trip_with_a_bundle(name: str, tmp_path: Path) -> None:
    tiny, optimum = OPTIMA[name]
    plan = solve(read_tiny(tmp_path, tiny))
    assert tuple(aim.value for aim in plan.aims[:5]) == optimum


# --- carriage rules and spreads -------------------------------------------------------------------

LINES = Counted(kinds=("line",))
IN_REACH = replace(LINES, in_reach=True)


def ask_each_boat(counts: Counted, count: int) -> RuleSet:
    """Return a house rule that asks so many of each boat."""
    reading = Reading("boat", count=count)
    rule = CarriageRule("lines", "says", "source", "2020", "from memory", HOUSE, counts, reading)
    return RuleSet("set", "set", "", (rule,), ())


LEFT = Spread("left", "says", "source", "boat", "party", counts=LINES, count=2)
BOTH_WAYS = '"quick", "stowed"'
FOUR = '"throw bag 20 m" = 3, "throw bag 15 m" = 1'
SHORT: dict[str, tuple[str, str, Counted | None, int]] = {
    # Four lines of a bundle in one boat leave the other one without its two; split they do.
    "a rule, whole": (FOUR, WHOLE, LINES, 2),
    "a rule, split": (FOUR, SPLIT, LINES, 0),
    # The carabiners do not count, and of the lines one is missing.
    "a rule, lines alone": ('"throw bag 20 m" = 1, "locking carabiner" = 5', WHOLE, LINES, 3),
    # All four lie in the one boat that is lost; split two are left.
    "a spread, whole": (FOUR, WHOLE, None, 2),
    "a spread, split": (FOUR, SPLIT, None, 0),
}


@pytest.mark.parametrize("name", SHORT)
def test_contents_count_where_the_bundle_lies(name: str, tmp_path: Path) -> None:
    contains, lines_of_kit, counts, short = SHORT[name]
    tiny = replace(BASE, kit={"kit bag": lines_of_kit}, types=bundle(contains, BOTH_WAYS))
    trip = read_tiny(tmp_path, tiny)
    if counts is None:
        trip = replace(trip, spreads=(LEFT,))
    else:
        trip = replace(trip, rules=(ask_each_boat(counts, 2),))
    assert solve(trip).aims[0].value == short


def test_contents_of_a_stowed_bundle_are_not_in_reach(tmp_path: Path) -> None:
    """Two lines asked of each boat, all stowed in bundles: none is in reach, and all are there."""
    tiny = replace(
        BASE, kit={"kit bag": "count = 2"}, types=bundle('"throw bag 20 m" = 2', '"stowed"')
    )
    trip = read_tiny(tmp_path, tiny)
    there = solve(replace(trip, rules=(ask_each_boat(LINES, 2),)))
    in_reach = solve(replace(trip, rules=(ask_each_boat(IN_REACH, 2),)))
    assert (there.aims[0].value, in_reach.aims[0].value) == (0, 4)


def test_the_sweep_may_have_what_is_asked_in_a_bundle(tmp_path: Path) -> None:
    """The one paddle is in the bundle, so the boat that has it runs last."""
    tiny = replace(
        BASE,
        kit=BASE.kit | {"kit bag": WHOLE},
        types=bundle('"raft paddle" = 1', '"stowed"'),
        more='[order]\nsweep = ["paddle"]\n',
    )
    arrangement = solve(read_tiny(tmp_path, tiny)).arrangement
    holds = [row.boat for row in arrangement.packed if row.item == "kit bag"]
    assert holds == [arrangement.order[-1]]


# --- witnesses ------------------------------------------------------------------------------------

UNHURRIED = (
    'ready_in = ["10 s", "30 s"]\nplace',
    'hurry = "unhurried"\nready_in = ["10 s", "30 s"]\nplace',
)


def list_things(plan: Plan) -> list[ItemPart]:
    return [part for row in plan.demands for part in row.witness if isinstance(part, ItemPart)]


def test_a_witness_says_what_the_thing_lies_in(tmp_path: Path) -> None:
    """Whichever raft runs, the line is taken from the bundle in the other one."""
    plan = solve(read_tiny(tmp_path, replace(BASE, kit={"kit bag": "count = 2"}, types=ONE_LINE)))
    said = {(one.item, one.source, one.carried, one.bundle) for one in list_things(plan)}
    assert said == {("throw bag 20 m", boat, "quick", "kit bag") for boat in ("Heron", "Teal")}


def test_a_plan_file_and_a_packing_list_name_the_bundle(tmp_path: Path) -> None:
    """What is read back is the plan, and the text says what is in the bundle."""
    trip = read_tiny(tmp_path, replace(BASE, kit={"kit bag": "count = 2"}, types=ONE_LINE))
    plan, needs = solve(trip), derive_needs(trip)
    kept, _ = read_plan(write_plan(trip, needs, plan).encode(), "plan.json")
    assert kept is not None
    assert kept.plan.demands == plan.demands
    text = render_plan(trip, needs, plan, "text")
    assert text.count("quick: 1 x kit bag (in it 1 x throw bag 20 m)") == 2


def test_unhurried_work_takes_things_from_a_stowed_bundle(tmp_path: Path) -> None:
    """Lines in a stowed bundle: of no use at once (16), and of use to unhurried work."""
    stowed = replace(
        BASE, kit={"kit bag": "count = 2"}, types=bundle('"throw bag 20 m" = 1', '"stowed"')
    )
    assert solve(read_tiny(tmp_path, stowed)).aims[0].value == 16
    plan = solve(read_tiny(tmp_path, replace(stowed, catalog=(UNHURRIED,))))
    assert plan.aims[0].value == 0
    assert {(one.carried, one.bundle) for one in list_things(plan)} == {("stowed", "kit bag")}


def codes(trip: Trip, plan: Plan) -> set[str]:
    return {finding.code for finding in verify_plan(trip, plan)}


def change_things(plan: Plan, **changes: str) -> Plan:
    """Return the plan with the things of each witness changed so."""

    def change(row: DemandResult) -> DemandResult:
        parts = (replace(p, **changes) if isinstance(p, ItemPart) else p for p in row.witness)  # type: ignore[arg-type]
        return replace(row, witness=tuple(parts))

    return replace(plan, demands=tuple(change(row) for row in plan.demands))


@pytest.mark.parametrize(
    "changes",
    [{"source": "Heron"}, {"bundle": ""}, {"bundle": "throw bag 20 m"}, {"carried": "stowed"}],
)
def test_what_is_not_in_that_bundle_is_no_witness(changes: dict[str, str], tmp_path: Path) -> None:
    """Things out of the boat that runs, out of no bundle or another one, or stowed."""
    trip = read_tiny(tmp_path, replace(BASE, kit={"kit bag": "count = 2"}, types=ONE_LINE))
    assert codes(trip, change_things(solve(trip), **changes)) == {"things"}


def test_a_piece_of_a_bundle_serves_once(tmp_path: Path) -> None:
    """The bundle holds one line; a witness that takes two from it is none."""
    two = replace(BASE, kit={"kit bag": "count = 2"}, types=TWO_LINES, catalog=(lines(2),))
    plan = solve(read_tiny(tmp_path, two))
    assert plan.aims[0].value == 0
    assert "things" in codes(read_tiny(tmp_path, replace(two, types=ONE_LINE)), plan)


def test_a_witness_needs_hands_for_bundles(tmp_path: Path) -> None:
    """A small bundle and two lines are in two hands; were the bundle bulky, they would not be."""
    small, _ = OPTIMA["a small bundle and two lines"]
    plan = solve(read_tiny(tmp_path, small))
    bulky = read_tiny(tmp_path, replace(small, types=ONE_LINE))
    told = [finding.text() for finding in verify_plan(bulky, plan)]
    assert [text for text in told if "2 bulky things, 1 bundles and 1 people on river left" in text]


def test_who_throws_in_a_witness_holds_no_bundle(tmp_path: Path) -> None:
    """A small bundle of no use is in nobody's hand; were it bulky, one of two could not throw."""
    bulky, _ = OPTIMA["who throws holds no bundle"]
    small = replace(bulky, types=bundle('"raft paddle" = 1', bulky=False))
    plan = solve(read_tiny(tmp_path, small))
    assert plan.aims[0].value == 0
    assert "hands" in codes(read_tiny(tmp_path, bulky), plan)


def test_both_programs_count_one_thrower_less_where_a_bundle_lies(tmp_path: Path) -> None:
    """Packed for a small bundle, two throw for two; a bulky one leaves one of the two."""
    bulky, _ = OPTIMA["one of two holds a bundle"]
    small = replace(bulky, types=bundle('"raft paddle" = 1', bulky=False))
    arrangement = solve(read_tiny(tmp_path, small)).arrangement
    trip = read_tiny(tmp_path, bulky)
    needs = derive_needs(trip)
    judge, prover = Judge(Ground(trip, arrangement)), Prover(Party(trip, arrangement), needs)
    holds = next(row.boat for row in arrangement.packed if row.item == "kit bag")
    for key in needs.demands:
        choice = needs.choices[key.choice]
        (variant,) = choice.variants
        short = judge.count_short(choice, variant, key.running).total()
        assert short == (0 if key.running == holds else 1)
        assert prover.prove(key).met == (short == 0)
