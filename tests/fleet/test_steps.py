"""Single steps to lists for many trips: each keeps what it must, and asks no more than it may."""

# ruff: noqa: SLF001 - a step by itself is seen from within alone

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.build.terms import TermsBook, There
from kitplan.fleet import checks, search
from kitplan.fleet.checks import LACKING, OPEN, Asked, Check
from kitplan.fleet.lifting import Lifting
from kitplan.fleet.nouns import Lists
from kitplan.fleet.pool import Trialling
from kitplan.fleet.search import Search
from kitplan.solve.options import keep_quiet
from kitplan.solve.run import Budget, Clock, run
from tests.fleet.tinyfleet import (
    BAGS,
    BROAD,
    PRICES,
    RIFFLE,
    are_accepted,
    find_goals,
    read_fleet,
    weigh_least,
)
from tests.rules.tiny import GATHER, KAYAK, RAFT, STEERS

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from kitplan.build.terms import Ways
    from kitplan.build.variables import Linear
    from kitplan.demands import Choice
    from kitplan.fleet.nouns import Fleet, Goal
    from kitplan.solve.run import Answer

pytestmark = pytest.mark.usefixtures("in_folder")
LONG = Lists({(RAFT, BAGS[1]): 1, (KAYAK, BAGS[1]): 1})
"""The longer bag in each boat: enough for both trips."""


def make_lifting(fleet: Fleet, trialling: Trialling, goals: dict[str, Goal]) -> Lifting:
    return Lifting(fleet, goals, trialling, Clock(600.0), 1.0)


def test_lists_are_not_taken_that_cost_no_less() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        lifting = make_lifting(fleet, trialling, find_goals(trialling))
        assert lifting._settle(LONG)
        more = Lists({**LONG.issued, (RAFT, BAGS[0]): 1})
        assert not lifting._settle(more)
        assert lifting.lists == LONG


def test_something_else_is_taken_for_a_copy_only_with_plans_that_have_it() -> None:
    # With so many rafts it is cheaper that each trip brings what it lacks.
    fleet = read_fleet(RIFFLE, BROAD, boats={RAFT: 9, KAYAK: 1})
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        lifting = make_lifting(fleet, trialling, goals)
        assert lifting._settle(LONG)
        (line,) = (one for one in LONG.list_lines() if one.key[0] == RAFT)
        checks = lifting._exchange(line)
        assert checks is not None
        assert (RAFT, BAGS[1]) not in lifting.lists.issued
        assert fleet.weigh(lifting.lists) < fleet.weigh(LONG)
        assert are_accepted(trialling, goals, lifting.lists, checks)


def test_what_other_trips_bring_is_theirs() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        lifting = make_lifting(fleet, trialling, find_goals(trialling))
    lists = Lists(extras={("riffle", BAGS[0]): 1, ("broad", BAGS[0]): 2})
    for name, others in (("riffle", 2), ("broad", 1)):
        assert lifting._weigh_other_extras(lists, name) == others * 150 * PRICES[BAGS[0]]


def test_lists_are_not_kept_where_a_trip_has_no_plan_with_them() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        looking = Search(fleet, find_goals(trialling), trialling, Clock(600.0))
        looking._keep(LONG, {"riffle": Check(reached=True, lists=LONG), "broad": Check(None)})
        assert looking.found.lists is None
        looking._keep(LONG, dict.fromkeys(("riffle", "broad"), Check(reached=True, lists=LONG)))
        assert looking.found.lists == LONG


def test_extras_that_a_trip_does_not_need_are_not_kept() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    extras = {("riffle", BAGS[0]): 1, ("broad", BAGS[0]): 1}
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        looking = Search(fleet, find_goals(trialling), trialling, Clock(600.0))
        checks = {
            "riffle": Check(reached=True, lists=LONG),
            "broad": Check(reached=True, lists=replace(LONG, extras={("broad", BAGS[0]): 1})),
        }
        looking._keep(replace(LONG, extras=extras), checks)
        assert looking.found.lists == replace(LONG, extras={("broad", BAGS[0]): 1})


def look_for_bound(fleet: Fleet, goals: dict[str, Goal]) -> tuple[Search, Lists]:
    """Return a search for a bound, and its lists."""
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        looking = Search(fleet, goals, trialling, Clock(600.0))
        return looking, looking._look_for_bound(lambda: None, keep_quiet)


def find_tiny_goals(fleet: Fleet) -> dict[str, Goal]:
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        return find_goals(trialling)


def test_trips_join_until_all_have_enough() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    goals = find_tiny_goals(fleet)
    looking, lists = look_for_bound(fleet, goals)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        asked = [Asked(name, lists.of_trip(name)) for name in goals]
        assert all(one.reached for one in trialling.check(asked, goals, OPEN))
    assert looking.active
    assert looking.found.bound == fleet.weigh(lists)


def test_a_trip_with_which_nothing_is_proven_is_left_out_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    runs: list[int] = []

    def run_shortly(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
        runs.append(1)
        answer = run(model, aim, budget)
        return replace(answer, status="feasible", bound=0) if len(runs) == 1 else answer

    fleet = read_fleet(RIFFLE, BROAD)
    goals = find_tiny_goals(fleet)
    monkeypatch.setattr(search, "run", run_shortly)
    looking, lists = look_for_bound(fleet, goals)
    assert len(looking.active) == 1
    assert looking.found.bound == fleet.weigh(lists) > 0


def test_what_is_not_proven_is_no_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    def run_shortly(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
        return replace(run(model, aim, budget), status="feasible", bound=0)

    fleet = read_fleet(RIFFLE, BROAD)
    goals = find_tiny_goals(fleet)
    for module in (search, checks):
        monkeypatch.setattr(module, "run", run_shortly)
    looking, lists = look_for_bound(fleet, goals)
    assert looking.found.bound == 0
    assert lists == Lists()
    assert not looking.active


@pytest.mark.parametrize(("bound", "reached"), [(0, None), (1, False)])
def test_what_a_trip_lacks_is_known_only_if_no_fewer_extras_would_do(
    bound: int, *, reached: bool | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def run_shortly(model: cp_model.CpModel, aim: Linear | None, budget: Budget) -> Answer:
        return replace(run(model, aim, budget), status="feasible", bound=bound)

    fleet = read_fleet(RIFFLE, BROAD)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = find_goals(trialling)
        monkeypatch.setattr(checks, "run", run_shortly)
        for check in trialling.check([Asked(name, Lists()) for name in goals], goals, LACKING):
            assert check.lists is not None
            assert check.lists.extras
            assert check.reached is reached


def test_a_way_that_asks_for_more_than_another_asks_for_nothing_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fleet = read_fleet(RIFFLE)
    least = weigh_least(fleet, loose=True)
    list_terms = TermsBook.list_terms

    def list_more(book: TermsBook, choice: Choice, running: str, *, spare: bool) -> Ways:
        ways = list_terms(book, choice, running, spare=spare)
        more = [
            (variant, replace(terms, things=(*terms.things, There(terms.things[0].sites, 2))))
            for variant, terms in ways
        ]
        return [*more, *ways]

    monkeypatch.setattr(TermsBook, "list_terms", list_more)
    assert weigh_least(fleet, loose=True) == least > 0


def test_one_bag_does_for_two_spots_from_one_bank() -> None:
    spots = "".join(
        f'\n[[rapid.spot]]\nname = "{name}"\nfrom_left = "{left} m"\nfrom_right = "{20 - left} m"\n'
        'scenarios = ["swimmer"]\n'
        for name, left in (("the ledge", 4), ("the rock", 10))
    )
    named = ('scenarios = ["swimmer"]\n', spots)
    two = replace(
        RIFFLE,
        people=dict.fromkeys(RIFFLE.people, f"{STEERS}, throwing = 4, leading = 3"),
        river=(*RIFFLE.river, ('width = "12 m"', 'width = "20 m"'), named),
    )
    fleet = read_fleet(two)
    assert 0 < weigh_least(fleet, loose=True) <= weigh_least(fleet, loose=False)


def test_boats_afloat_take_swimmers_without_a_bag() -> None:
    afloat = replace(
        RIFFLE, river=(("eddies = 0", "eddies = 1"),), catalog=(*RIFFLE.catalog, *GATHER)
    )
    fleet = read_fleet(afloat)
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goal = find_goals(trialling)["riffle"]
    assert goal.uncovered < goal.weight
    # Whichever runs, the other one may lie in the eddy.
    assert weigh_least(fleet, loose=True) == 0
