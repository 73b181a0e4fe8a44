"""Competing rapids come to what one model of all rapids comes to."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from kitplan.explain import plan_trip
from kitplan.needs import derive_needs
from kitplan.needs.extent import is_large
from kitplan.report import render_plan
from kitplan.solve import COVER_AIMS, Clock, SolveOptions, solve_trip
from kitplan.solve.floors import Limits
from kitplan.solve.singles import Asked, Decided, Singles, Stands
from kitplan.verify import verify_plan
from tests.bench.checked import check_arrangement, count_aims
from tests.generator import SIZES, generate_trip, is_full_run

SEEDS = range(1, 121 if is_full_run() else 21)
SIZE = ("tiny", "XS")


@pytest.mark.parametrize("seed", SEEDS)
def test_competing_rapids_are_as_good_as_all_at_once(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Values and bounds of aims 2 to 4; one rapid at first, and one more at a time."""
    trip = generate_trip(seed, SIZES[SIZE[seed % 4 == 0]])
    needs, options = derive_needs(trip), SolveOptions(workers=1, time_limit_s=100, aims=())
    at_once = solve_trip(trip, needs, options)
    monkeypatch.setattr("kitplan.solve.aims.MANY", 0)
    monkeypatch.setattr("kitplan.solve.competing.FEW", 1)
    by_few = solve_trip(trip, needs, options)
    assert {aim: by_few.values[aim] for aim in COVER_AIMS} == at_once.values
    for aim in COVER_AIMS:
        if at_once.bounds[aim] == at_once.values[aim]:
            assert by_few.bounds[aim] == by_few.values[aim], aim
        # A floor that is told is one, and what is proven of a floor agrees.
        if by_few.floors.proven[aim] and at_once.floors.proven.get(aim) and aim == "uncovered":
            assert by_few.floors.total(aim) == at_once.floors.total(aim)


@pytest.mark.parametrize("seed", [1, 2, 7] if is_full_run() else [1, 2])
def test_a_trip_that_asks_too_much_gets_a_plan_of_aims_2_to_4(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Verified, aims 2 to 4 as proven as ever, and what was not tried is said."""
    trip = generate_trip(seed, SIZES["XS"])
    needs, options = derive_needs(trip), SolveOptions(workers=1, time_limit_s=100)
    usual = plan_trip(trip, options).plan
    monkeypatch.setattr("kitplan.needs.extent.MANY", 3)
    monkeypatch.setattr("kitplan.solve.aims.MANY", 3)
    monkeypatch.setattr("kitplan.needs.extent.LARGE", 0)
    assert is_large(trip, needs)
    plan = plan_trip(trip, options).plan
    assert usual is not None
    assert plan is not None
    assert [finding.text() for finding in verify_plan(trip, plan)] == []
    assert plan.canonical
    assert plan.aims[:3] == usual.aims[:3]
    assert not any(aim.proven for aim in plan.aims[3:6])
    text = " ".join(render_plan(trip, needs, plan, "text").split())
    assert "This trip asks so much that aims 5 to 8 were not tried." in text


@pytest.mark.parametrize("seed", [3, 8])
def test_where_few_rapids_are_stuck_the_best_plan_is_improved(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With next to no time for few rapids together: no bound lies, and more is not left bare.

    The parts of the time are wide, so that only deterministic time cuts in.
    """
    trip = generate_trip(seed, SIZES["XS"])
    needs, options = derive_needs(trip), SolveOptions(workers=1, time_limit_s=200, aims=())
    best = solve_trip(trip, needs, options)
    searched: list[str] = []
    monkeypatch.setattr("kitplan.solve.aims.MANY", 0)
    monkeypatch.setattr("kitplan.solve.run.SOON", 0.0)
    hurried = {"at floors": 1e-4, "together": 1e-4, "around": 0.3, "repacked": 0.0}
    monkeypatch.setattr(
        "kitplan.solve.competing.DETERMINISTIC", {"spread": 1.0, "filled in": 2.0, **hurried}
    )
    stuck = solve_trip(trip, needs, replace(options, watch=searched.append))
    assert any("around the best plan" in said for said in searched)
    assert list(stuck.values.values()) >= list(best.values.values())
    assert stuck.bounds["uncovered"] <= best.values["uncovered"]
    assert stuck.arrangement is not None


def test_where_time_ends_in_a_turn_the_other_rapids_keep_their_stations(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The plan is whole and no worse than is said, and better than before the turn."""
    ask = Singles.ask
    asked: list[tuple[int, ...]] = []

    def ask_two(self: Singles, rapids: list[str], decided: Decided) -> Iterator[Stands | None]:
        first = not asked
        for place, one in enumerate(ask(self, rapids, decided)):
            asked.append(one.vector if one else ())
            yield one if first or place < 2 else None

    monkeypatch.setattr("kitplan.solve.aims.MANY", 0)
    # There is no time for anything but turns.
    monkeypatch.setattr("kitplan.solve.competing.OPEN", 1e9)
    monkeypatch.setattr(Singles, "ask", ask_two)
    bettered = 0
    for seed in SEEDS[:4]:
        trip = generate_trip(seed, SIZES["XS"])
        needs = derive_needs(trip)
        asked.clear()
        done = solve_trip(trip, needs, SolveOptions(workers=1, time_limit_s=100, aims=()))
        assert done.arrangement is not None
        assert check_arrangement(trip, done.arrangement) == []
        told = tuple(done.values[aim] for aim in COVER_AIMS)
        assert count_aims(trip, needs, done.arrangement) <= told
        rapids = len({case.rapid for case in needs.cases})
        bettered += told < tuple(map(sum, zip(*asked[:rapids], strict=True)))
    assert bettered


def test_single_rapids_come_to_the_same_in_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is asked of rapids with a start's decisions, and their floors."""
    trip = generate_trip(8, SIZES["XS"])
    needs = derive_needs(trip)
    rapids = sorted({case.rapid for case in needs.cases})
    start = solve_trip(trip, needs, SolveOptions(workers=1, aims=())).decided
    answers = []
    monkeypatch.setattr("kitplan.solve.singles.LEAST_FOR_PROCESSES", 1)
    for workers in (1, 2):
        with Singles(trip, needs, rapids, Limits(Clock(100), 1.0, workers)) as singles:
            stands = list(singles.ask(rapids, start))
            assert all(one is not None for one in stands)
            answers.append((stands, singles.find_floors(rapids, Asked(2, 1.0), {})))
    assert answers[0] == answers[1]
    vectors = [one.vector for one in answers[0][0] if one is not None]
    floors = [floor.values for floor in answers[0][1].values()]
    assert all(v >= f for v, f in zip(vectors, floors, strict=True))
    assert any(any(vector) for vector in vectors)
