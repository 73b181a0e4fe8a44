"""Why something is not met, on tiny trips with the facts derived by hand.

Unless changed: two rafts, Ana and Bo steer, Cy and Dee throw, two bags, one usable bank with a path
down from above. While one raft runs, the other one's crew throws from the bank. What is said to
make it so is checked by the plain twin; what is said to turn it is made in the trip and planned by
the whole way from trip to plan, which the second program checks.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide.answers import (
    AS_PLANNED,
    MET,
    NOT_MET,
    POSSIBLE,
    REFUSED,
    TOGETHER,
    UNKNOWN,
    Told,
    Why,
)
from kitplan.decide.questions import Wanted, find_questions
from kitplan.decide.why import Teller
from kitplan.facts import Asked, Turn, list_facts, list_turns, relax
from kitplan.needs import derive_needs
from kitplan.solve.run import Clock
from tests.rules.solved import solve
from tests.rules.tiny import (
    BASE,
    BOTH,
    KAYAK,
    NO_PATH,
    ODD,
    RAFT,
    STOWED,
    THREE,
    THROWS,
    WEAK,
    Tiny,
    company,
    lines,
    odd_raft,
    read_tiny,
)
from tests.twin.asked import can

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

LIMIT_S = 600.0
ROPES = "rope = 2"
NOBODY_THROWS = replace(BASE, people=BASE.people | {"Cy": ROPES, "Dee": ROPES})
ONE_THROWS = replace(BASE, people=BASE.people | {"Dee": ROPES})
GIVEN = '[order]\nboats = ["Heron", "Teal"]\n'
# A swimmer at Riffle is from the raft, at Race from the kayak; each is thrown a bag from the other.
SWIMMER = 'name = "swimmer"\nconsequence = 2\nin_time = "1 min"\n'
FROM_RAFT = SWIMMER + 'crafts = ["raft"]\n'
FROM_KAYAK = FROM_RAFT.replace('"swimmer"', '"kayaker"').replace('"raft"', '"kayak"')
SERVES = 'serves = [{ scenario = "swimmer", tier = 1 }]'
RACE = """
[[rapid]]
day = 1
name = "Race"
class = "II"
width = "12 m"
safety = "set"
left = { landing = 3, path = true, eddy = true }
right = { landing = 0, eddy = true }
eddies = 0
scenarios = ["kayaker"]
"""
TWO_RAPIDS = Tiny(
    boats={"Heron": RAFT, "Wren": KAYAK},
    people={"Ana": f"kayak = 3, {THROWS}", "Bo": BOTH},
    kit={"throw bag 20 m": "count = 1"},
    more=RACE,
    catalog=(
        (SWIMMER, f"{FROM_RAFT}\n[[scenario]]\n{FROM_KAYAK}"),
        (SERVES, SERVES.replace(" }]", ' }, { scenario = "kayaker", tier = 1 }]')),
    ),
)


@pytest.fixture(autouse=True)
def in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in the folder of the test, as the names of its files are relative."""
    monkeypatch.chdir(tmp_path)


def ask(trip: Trip, plan: Plan | None = None, **wanted: str) -> Why:
    """Return the answers to what is wanted of Riffle, or of a rapid that is named."""
    needs = derive_needs(trip)
    questions, findings = find_questions(trip, needs, Wanted(**{"rapid": "Riffle", **wanted}))
    assert findings == []
    teller = Teller(trip, needs, plan, Clock(LIMIT_S))
    assert teller.find_unseated(questions) == []
    return teller.tell_all(questions, lambda _: None)


def ask_one(trip: Trip, plan: Plan | None = None, **wanted: str) -> Told:
    """Return the one answer there is."""
    [told] = ask(trip, plan, **wanted).answers
    return told


def list_sorts(told: Told) -> list[tuple[str, str]]:
    """Return the facts of an answer by sort and subject."""
    assert told.reasons is not None
    assert told.reasons.irreducible
    return [(fact.sort, fact.subject) for fact in told.reasons.facts]


def covers(trip: Trip, boat: str) -> bool:
    """Say whether the best plan of a trip covers the cases of a boat where only that one counts."""
    plan = solve(replace(trip, running=(boat,)))
    return not next(aim.value for aim in plan.aims if aim.name == "uncovered")


def list_turned(trip: Trip, told: Told) -> list[Turn]:
    """Return the changes that are said to turn an answer, with the trips changed so."""
    asked = Asked(told.question.choices, told.question.running)
    assert told.reasons is not None
    turns = list(list_turns(trip, asked, told.reasons.facts))
    assert len(turns) == told.tried
    assert {turn.said for turn in turns} >= set(told.turns)
    return [turn for turn in turns if turn.said in told.turns]


CASES: dict[str, tuple[Tiny, list[tuple[str, str]], str]] = {
    # Nobody throws at all; any one of them taught would do, from the other boat than runs.
    "nobody throws": (NOBODY_THROWS, [("skill", "throwing")], "Cy with throwing 1 instead of 0"),
    # Three bags are asked for, and there are two.
    "a line too few": (
        replace(BASE, catalog=(lines(3),)),
        [("item", "line")],
        "one more throw bag 20 m",
    ),
    # Heron runs first, and nobody walks down from above.
    "nobody ahead": (
        replace(BASE, river=(NO_PATH,), more=GIVEN),
        [("above", "left"), ("order", "")],
        "any running order",
    ),
    # Cy alone throws, and has to sit in Heron.
    "sits in it": (
        replace(ONE_THROWS, own={"Cy": 'boat = "Heron"'}),
        [("skill", "throwing"), ("tied", "Cy")],
        "Cy in any boat",
    ),
    # Cy alone throws and sits with Ana, who has to steer Heron: Bo steers less.
    "sits with her": (
        replace(
            ONE_THROWS,
            own={"Ana": 'boat = "Heron"'},
            more=company("together", "Ana", "Cy"),
        ),
        [("skill", "throwing"), ("tied", "Ana"), ("company", "0")],
        "Ana and Cy not kept together",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_the_facts_that_make_it_so(name: str, tmp_path: Path) -> None:
    tiny, sorts, turn = CASES[name]
    trip = read_tiny(tmp_path, tiny)
    told = ask_one(trip, running="Heron")
    assert told.verdict == NOT_MET
    assert list_sorts(told) == sorts
    assert turn in told.turns
    assert told.reasons is not None
    assert all(place.line for fact in told.reasons.facts for place in fact.where)
    # By the twin: these facts alone forbid it, and without any one of them it can be done.
    asked = Asked(told.question.choices, told.question.running)
    needless = [f for f in list_facts(trip, asked) if f not in told.reasons.facts]
    assert not can(relax(trip, asked, needless), asked)
    for fact in told.reasons.facts:
        assert can(relax(trip, asked, [*needless, fact]), asked), fact
    assert not covers(trip, "Heron")
    for changed in list_turned(trip, told):
        assert covers(changed.trip, "Heron"), changed.said


def test_what_lies_stowed_is_no_good_at_once(tmp_path: Path) -> None:
    """Bags enough, but each under the load: it is said, or more of them would seem to help."""
    told = ask_one(read_tiny(tmp_path, replace(BASE, catalog=(STOWED,))), running="Heron")
    assert told.reasons is not None
    (fact,) = told.reasons.facts
    assert fact.said.endswith(": 2 x throw bag 20 m, which lies stowed and is no good at once")
    assert told.turns == ("one more throw bag 15 m",)


def test_without_anything_in_the_way_it_is_shown_how(tmp_path: Path) -> None:
    told = ask_one(read_tiny(tmp_path, BASE))
    assert told.verdict == POSSIBLE
    assert told.running == ("Heron", "Teal")
    assert told.result is not None
    assert told.result.met
    assert told.reasons is None
    crew = dict(told.crew)
    [thrower] = [part.paddler for part in told.result.witness if hasattr(part, "paddler")]
    assert thrower in crew["Teal"]


def test_too_few_people_and_boats_is_no_fact_that_could_be_left_out(tmp_path: Path) -> None:
    alone = replace(BASE, boats={"Heron": RAFT})
    told = ask_one(read_tiny(tmp_path, alone))
    assert told.verdict == NOT_MET
    assert list_sorts(told) == []
    assert told.tried == 0


def test_a_landing_short(tmp_path: Path) -> None:
    # Three throwers are asked for, and with Heron running each of two others seats one or two. Both
    # must be on the bank, which takes one of those that have run; the path down is not there.
    three = replace(
        THREE,
        people=dict.fromkeys(("Ana", "Bo", "Cy"), BOTH),
        catalog=(('"thrower",', '"thrower", count = 2,'), lines(2)),
        river=(("landing = 3, path = true", "landing = 1"),),
    )
    trip = read_tiny(tmp_path, three)
    told = ask_one(trip, running="Heron")
    assert told.verdict == NOT_MET
    assert ("landing", "left") in list_sorts(told)
    assert "a landing below for one more boat on river left" in told.turns
    for changed in list_turned(trip, told):
        assert covers(changed.trip, "Heron"), changed.said
    wide = replace(three, river=(("landing = 3, path = true", "landing = 2"),))
    assert ask_one(read_tiny(tmp_path, wide), running="Heron").verdict == POSSIBLE


def test_room_that_lies_quick(tmp_path: Path) -> None:
    # Teal has no place for a bag, which lies quick; while Heron runs it would have to be there.
    tiny = replace(ODD, types=odd_raft(bulky=0))
    trip = read_tiny(tmp_path, tiny)
    told = ask_one(trip, running="Heron")
    assert told.verdict == NOT_MET
    assert ("quick-bulky", "Teal") in list_sorts(told)
    assert "one more quick place for bulky things in Teal" in told.turns


def test_somebody_has_to_row_twice(tmp_path: Path) -> None:
    # Ana alone can row class III, so she takes both rafts down. What she is taught is of no use:
    # she counts for nothing else there. Whoever else is taught throws from the other raft.
    told = ask_one(read_tiny(tmp_path, WEAK))
    assert told.verdict == POSSIBLE
    assert [p for _, p in told.twice] == ["Ana"]
    unskilled = replace(WEAK, people=WEAK.people | {"Cy": ROPES, "Dee": ROPES})
    trip = read_tiny(tmp_path, unskilled)
    told = ask_one(trip)
    assert list_sorts(told) == [("skill", "throwing")]
    taught = {turn.split(" with ")[0] for turn in told.turns}
    assert taught == {"Bo", "Cy", "Dee"}
    assert told.tried == len(trip.paddlers)


def test_nobody_can_be_seated(tmp_path: Path) -> None:
    # Ana and Bo alone can steer, and each raft needs one of them.
    trip = read_tiny(tmp_path, replace(BASE, more=company("together", "Ana", "Bo")))
    needs = derive_needs(trip)
    questions, _ = find_questions(trip, needs, Wanted("Riffle"))
    [finding] = Teller(trip, needs, None, Clock(LIMIT_S)).find_unseated(questions)
    assert finding.code == "people-conflict"
    assert "Ana, Bo sit in one boat" in finding.message


def test_what_is_refused_has_its_reasons(tmp_path: Path) -> None:
    shut = replace(BASE, river=(("landing = 3, path = true", "landing = 0"),))
    told = ask_one(read_tiny(tmp_path, shut), bank="left")
    assert told.verdict == REFUSED
    [choice] = told.question.refused
    assert choice.reasons == ("river left has no landing",)


def test_no_time_is_not_proven(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, BASE)
    needs = derive_needs(trip)
    questions, _ = find_questions(trip, needs, Wanted("Riffle"))
    clock = Clock(LIMIT_S)
    clock.stop()
    why = Teller(trip, needs, None, clock).tell_all(questions, lambda _: None)
    assert why.stopped
    assert {told.verdict for told in why.answers} == {UNKNOWN}


# --- of a plan ------------------------------------------------------------------------------------


def test_what_a_plan_meets_is_told_with_who_does_it(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, BASE)
    plan = solve(trip)
    told = ask_one(trip, plan)
    assert told.verdict == MET
    assert told.running == ("Heron", "Teal")
    assert told.result in plan.demands


def test_one_rapid_against_the_other(tmp_path: Path) -> None:
    # The one bag lies in the raft or in the kayak, and in either boat one of two swimmers lacks it.
    trip = read_tiny(tmp_path, TWO_RAPIDS)
    plan = solve(trip)
    answers = {name: ask_one(trip, plan, rapid=name) for name in ("Riffle", "Race")}
    met = {name for name, told in answers.items() if told.verdict == MET}
    assert len(met) == 1
    [other] = met
    [here] = set(answers) - met
    told = answers[here]
    assert told.verdict == TOGETHER
    kept = {"Riffle": "swimmer", "Race": "kayaker"}[other]
    assert list_sorts(told) == [("keeps", f"{other}, mid-channel, {kept}"), ("item", "line")]
    assert told.turns == ("one more throw bag 20 m", "one more throw bag 15 m")
    assert told.all_kept == told.turns
    # Each rapid by itself can be had, both can't; with one more bag both can.
    for name in answers:
        single = replace(trip, rapids={name: trip.rapids[name]})
        assert solve(single).totals.none == 0
    assert solve(trip).totals.none == 1
    for changed in list_turned(trip, told):
        assert solve(changed.trip).totals.none == 0, changed.said


def test_the_move_that_turns_it_and_what_it_costs(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, TWO_RAPIDS)
    plan = solve(trip)
    told = next(
        one
        for name in ("Riffle", "Race")
        for one in [ask_one(trip, plan, rapid=name)]
        if one.verdict != MET
    )
    assert told.decided is not None
    assert [(fact.sort, fact.subject) for fact in told.decided.facts] == [
        ("lies", "throw bag 20 m")
    ]
    [moved] = told.moves
    [shift] = moved.shifts
    assert (shift.name, shift.count) == ("throw bag 20 m", 1)
    [key] = [r.key for r in moved.plan.demands if r.met]
    assert key.rapid == told.question.rapid
    assert moved.plan.totals.none == plan.totals.none


def test_what_another_plan_as_good_has(tmp_path: Path) -> None:
    # Seats, packing and stations of a plan without its bags: all there is could be met.
    trip = read_tiny(tmp_path, replace(BASE, kit={"throw bag 20 m": "count = 2"}))
    none = replace(trip, kit={name: replace(kit, count=0) for name, kit in trip.kit.items()})
    bare = solve(none)
    told = ask_one(trip, bare, running="Heron")
    assert told.verdict == AS_PLANNED
    assert not told.open_end
    assert told.decided is not None
    assert ("lies", "throw bag 20 m") in [(f.sort, f.subject) for f in told.decided.facts]


def test_answers_that_are_alike_are_told_once(tmp_path: Path) -> None:
    [told] = ask(read_tiny(tmp_path, NOBODY_THROWS)).answers
    assert told.running == ("Heron", "Teal")
