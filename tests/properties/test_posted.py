"""Seats and packing with stations as constants come to what they do with stations held."""

from dataclasses import replace

import pytest

from kitplan.build import Posted, TripModel, Variables, read_aboard
from kitplan.demands import Needs
from kitplan.needs import derive_needs
from kitplan.solve import COVER_AIMS, Clock, SolveOptions, solve_trip
from kitplan.solve.begin import arrange
from kitplan.solve.dealt import deal_out
from kitplan.solve.floors import Limits
from kitplan.solve.repack import Packer
from kitplan.solve.run import Budget, run
from kitplan.solve.singles import Alone, Decided
from kitplan.trip import Trip
from tests.bench.checked import check_arrangement, count_aims
from tests.generator import SIZES, generate_trip, is_full_run

SEEDS = range(1, 61 if is_full_run() else 11)
FAR = 99  # more than any way asks for
BETTERED = 2  # of the drawn trips, at least: in how many repacking makes the dealt start better


def _budget() -> Budget:
    """Return what one run may take, on a clock of its own."""
    return Budget(Clock(600), 1.0, 20.0)


def _draw(seed: int) -> Trip:
    return generate_trip(seed, SIZES["tiny" if seed % 3 else "XS"])


def _deal(trip: Trip, needs: Needs) -> Decided:
    """Return a plan dealt out by hand, with the best stations for it."""
    dealt = deal_out(trip, _budget())
    assert dealt is not None
    alone = Alone(trip, needs, Limits(Clock(600), 1.0, 1))
    for rapid in sorted({case.rapid for case in needs.cases}):
        stands = alone.ask(rapid, read_aboard(trip, dealt))
        assert stands is not None
        dealt |= stands.decided
    return dealt


def _count(trip: Trip, needs: Needs, decided: Decided) -> tuple[int, ...]:
    """Return aims 2 to 4 of a plan as the verifier counts them; it keeps all rules."""
    arrangement = arrange(trip, decided, _budget())
    assert arrangement is not None
    assert check_arrangement(trip, arrangement) == []
    return tuple(count_aims(trip, needs, arrangement))


def _minimise(tm: TripModel, decided: Decided, kinds: tuple[str, ...]) -> tuple[int, ...]:
    """Return the least of each aim in turn with some kinds of decisions held."""
    for what, variable in tm.v.list_decisions(tm.model):
        if what in kinds:
            tm.model.add(variable == decided[variable.name])
    values = []
    for aim in COVER_AIMS:
        answer = run(tm.model, tm.total(aim), _budget())
        assert answer.status == "proven"
        values.append(answer.value)
        tm.model.add(tm.total(aim) <= answer.value)
    return tuple(values)


@pytest.mark.parametrize("seed", SEEDS)
def test_with_all_held_it_comes_to_what_the_verifier_counts(seed: int) -> None:
    """Even of ways that ask for what is at hand and no more: others can't be done as it is."""
    trip = _draw(seed)
    needs = derive_needs(trip)
    decided = _deal(trip, needs)
    rapids = sorted({case.rapid for case in needs.cases})
    counted = _count(trip, needs, decided)
    for near in (0, 1, FAR):
        tm = TripModel(Posted(trip, rapids, decided, near), needs)
        assert _minimise(tm, decided, ("seat", "steer", "taken", "pack")) == counted, near


@pytest.mark.parametrize("seed", SEEDS)
def test_seats_and_packing_are_the_best_there_are_for_the_stations(seed: int) -> None:
    """Against a model in which stations and order are variables that are held."""
    trip = _draw(seed)
    needs = derive_needs(trip)
    decided = _deal(trip, needs)
    rapids = sorted({case.rapid for case in needs.cases})
    whole = TripModel(Variables(trip, rapids), needs)
    best = _minimise(whole, decided, ("place", "station"))
    posted = TripModel(Posted(trip, rapids, decided, FAR), needs)
    assert _minimise(posted, decided, ()) == best
    near = TripModel(Posted(trip, rapids, decided, 1), needs)
    assert _minimise(near, decided, ()) >= best


def test_repacking_makes_dealt_starts_better_and_never_worse() -> None:
    """Seats and packing keep the rules; stations found anew for them can only do more."""
    bettered = 0
    for seed in SEEDS:
        trip = _draw(seed)
        needs = derive_needs(trip)
        decided = _deal(trip, needs)
        before = _count(trip, needs, decided)
        budget = replace(_budget(), presolve=False)
        repacked = Packer(trip, needs).better(decided, 1, budget)
        if repacked is None:
            continue
        kept = _count(trip, needs, decided | repacked.shared)
        told = tuple(map(sum, zip(*repacked.vectors.values(), strict=True)))
        assert kept[:2] <= told[:2] < before[:2]
        assert kept[0] <= told[0]
        alone = Alone(trip, needs, Limits(Clock(600), 1.0, 1))
        after: Decided = dict(repacked.shared)
        for rapid in sorted({case.rapid for case in needs.cases}):
            stands = alone.ask(rapid, read_aboard(trip, repacked.shared))
            assert stands is not None
            after |= stands.decided
        assert _count(trip, needs, after)[:2] <= kept[:2]
        bettered += 1
    assert bettered >= BETTERED


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_dealt_out_by_hand_keeps_the_rules(seed: int) -> None:
    """Whatever they are; None only where no seating at all keeps them."""
    trip = _draw(seed)
    dealt = deal_out(trip, _budget())
    if dealt is None:
        assert solve_trip(trip, derive_needs(trip), SolveOptions(workers=1)).status == "infeasible"
        return
    arrangement = arrange(trip, dealt, _budget())
    assert arrangement is not None
    assert check_arrangement(trip, arrangement) == []


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_what_repacking_says_of_each_rapid_is_what_the_verifier_counts(seed: int) -> None:
    """With the stations as they were; of aim 4, which leaves out what covers nothing, no less."""
    trip = _draw(seed)
    needs = derive_needs(trip)
    decided = _deal(trip, needs)
    repacked = Packer(trip, needs).better(decided, FAR, replace(_budget(), presolve=False))
    if repacked is None:
        return
    counted = _count(trip, needs, decided | repacked.shared)
    told = tuple(map(sum, zip(*repacked.vectors.values(), strict=True)))
    assert told[:2] == counted[:2]
    assert told[2] >= counted[2]
