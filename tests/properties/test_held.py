"""A rapid with seats, packing and order as constants comes to what it does with them held."""

import pytest

from kitplan.build import Held, TermsBook, TripModel, Variables, read_aboard
from kitplan.demands import Needs
from kitplan.needs import derive_needs
from kitplan.solve import COVER_AIMS, Clock, SolveOptions, solve_trip
from kitplan.solve.begin import arrange
from kitplan.solve.floors import Limits, count_never, find_floors
from kitplan.solve.run import Answer, Budget, run
from kitplan.solve.singles import SHARED, Asked, Singles
from kitplan.trip import Trip
from tests.bench.checked import check_arrangement
from tests.generator import SIZES, generate_trip, is_full_run

SEEDS = range(1, 61 if is_full_run() else 13)


def _budget() -> Budget:
    """Return what one run may take, on a clock of its own."""
    return Budget(Clock(600), 1.0, 20.0)


def _decide(trip: Trip, needs: Needs) -> dict[str, int]:
    """Return the decisions of a plan that was not given long, by the names of variables."""
    return solve_trip(trip, needs, SolveOptions(workers=1, aims=("uncovered",))).decided


def _minimise(tm: TripModel, rapid: str) -> tuple[int, ...]:
    """Return the least of each aim in turn."""
    values = []
    for aim in COVER_AIMS:
        answer: Answer = run(tm.model, tm.gap[rapid][aim], _budget())
        assert answer.status == "proven"
        values.append(answer.value)
        tm.model.add(tm.gap[rapid][aim] <= answer.value)
    return tuple(values)


@pytest.mark.parametrize("seed", SEEDS)
def test_constants_come_to_what_held_variables_come_to(seed: int) -> None:
    """Aims 2 to 4 of each rapid, all models of one book, with fewer variables."""
    trip = generate_trip(seed, SIZES["tiny" if seed % 3 else "XS"])
    needs = derive_needs(trip)
    decided = _decide(trip, needs)
    book, aboard = TermsBook(trip), read_aboard(trip, decided)
    for rapid in sorted({case.rapid for case in needs.cases}):
        whole = TripModel(Variables(trip, (rapid,), all_legs=False), needs)
        for what, variable in whole.v.list_decisions(whole.model):
            if what in SHARED:
                whole.model.add(variable == decided[variable.name])
        held = TripModel(Held(trip, rapid, aboard), needs, book=book)
        assert len(held.model.proto.variables) < len(whole.model.proto.variables)
        assert _minimise(held, rapid) == _minimise(whole, rapid)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_the_whole_party_cannot_do_is_below_every_floor(seed: int) -> None:
    """Of aim 2, the one whose floors ask nothing of other aims; sums of all aims are bounds."""
    trip = generate_trip(seed, SIZES["tiny" if seed % 3 else "XS"])
    needs = derive_needs(trip)
    never = count_never(trip, needs)
    twice = solve_trip(trip, needs, SolveOptions(workers=1, aims=())).rowing is not None
    floors = find_floors(trip, needs, Limits(Clock(600), 1.0, 1, twice))
    for rapid, values in floors.value.items():
        if floors.proven["uncovered"]:
            assert never[rapid]["uncovered"] <= values["uncovered"]
    values = solve_trip(trip, needs, SolveOptions(workers=1, aims=COVER_AIMS)).values
    for aim in COVER_AIMS:
        assert sum(counts[aim] for counts in never.values()) <= values[aim]


def test_what_is_decided_is_arranged_without_a_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """So the clock may have run out. What is not decided is searched for, and the rest stays."""
    trip = generate_trip(3, SIZES["XS"])
    needs = derive_needs(trip)
    done = solve_trip(trip, needs, SolveOptions(workers=1, aims=COVER_AIMS))
    with monkeypatch.context() as nothing_is_run:
        nothing_is_run.delattr("kitplan.solve.begin.run")
        assert arrange(trip, done.decided, _budget()) == done.arrangement
    fewer = {n: v for n, v in done.decided.items() if not n.startswith("station")}
    again = arrange(trip, fewer, _budget())
    assert again is not None
    assert done.arrangement is not None
    assert again.crew == done.arrangement.crew
    assert check_arrangement(trip, again) == []


def test_no_floor_is_begun_without_time() -> None:
    """It is told as 0 and not proven; a plan of all rapids may be there all the same."""
    trip = generate_trip(8, SIZES["XS"])
    needs = derive_needs(trip)
    rapids = sorted({case.rapid for case in needs.cases})
    with Singles(trip, needs, rapids, Limits(Clock(100), 1.0, 1)) as singles:
        floors = singles.find_floors(rapids, Asked(1, 0.0), {})
    assert {floor.values for floor in floors.values()} == {(0, 0)}
    assert not any(any(floor.exact) for floor in floors.values())


def test_a_rapid_that_is_not_solved_in_time_has_some_stations_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without them the other rapids would have been asked in vain: they would make no plan."""
    trip = generate_trip(8, SIZES["XS"])
    needs = derive_needs(trip)
    rapids = sorted({case.rapid for case in needs.cases})
    decided = _decide(trip, needs)
    monkeypatch.setattr("kitplan.solve.singles.REST", 0.0)
    with Singles(trip, needs, rapids, Limits(Clock(100), 1.0, 1)) as singles:
        for stands in singles.ask(rapids, decided):
            assert stands is not None
            decided |= stands.decided
    arrangement = arrange(trip, decided, _budget())
    assert arrangement is not None
    assert check_arrangement(trip, arrangement) == []
