"""What is solved for the demo trips: aims 2 to 4 proven, and the same plan as the stored one."""

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.needs import derive_needs
from kitplan.planfile import write_plan
from kitplan.verify import verify_plan
from tests.golden import stored

COVER = ("uncovered", "one_bank", "unmet")


@pytest.mark.parametrize("name", stored.NAMES)
def test_solving_gives_the_values_that_are_stored(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(stored.ROOT)
    kept, trip = stored.read_stored(name), stored.load_demo(name)
    assert kept is not None
    plan = plan_trip(trip, SolveOptions(time_limit_s=stored.LONG_S)).plan
    assert plan is not None
    assert verify_plan(trip, plan) == []
    proven = {aim.name: aim for aim in plan.aims if aim.name in COVER}
    assert [aim.proven for aim in proven.values()] == [True] * len(COVER)
    values = {aim.name: aim.value for aim in kept.aims if aim.name in COVER}
    assert {aim.name: aim.value for aim in proven.values()} == values


@pytest.mark.parametrize("name", ["day-rafts", "four-kayaks"])
def test_solving_twice_gives_the_same_bytes(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(stored.ROOT)
    trip = stored.load_demo(name)
    texts = set()
    for _ in range(2):
        plan = plan_trip(trip, SolveOptions(time_limit_s=stored.LONG_S)).plan
        assert plan is not None
        texts.add(write_plan(trip, derive_needs(trip), plan))
    assert len(texts) == 1


def test_what_no_packing_can_mend_for_four_kayaks(monkeypatch: pytest.MonkeyPatch) -> None:
    # By hand: with one of four in trouble three are left, and a two-bank cinch takes two and more
    # on each bank; so it is in no witness (crews of two on each bank: common practice, no source).
    monkeypatch.chdir(stored.ROOT)
    kept = stored.read_stored("four-kayaks")
    assert kept is not None
    met = {demand.key.technique for demand in kept.demands if demand.met}
    assert met
    assert "two-bank-cinch" not in met
    assert "impossible alone" in {gap.sort for gap in kept.gaps}
