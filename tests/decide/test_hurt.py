"""Who is hurt: tiny trips with optima by hand, solved, and the second program of one mind.

Every case and every demand of first choice weighs 8, a bag 1 kg, as in the tiny trip of all tests:
a thrower and a bag on the bank for each of two rafts. A throw needs a guide there for whoever is
minded on the same bank.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.check import check_party
from kitplan.decide import Happened, begin_afresh
from kitplan.demands import Ask
from kitplan.explain import SolveOptions, plan_trip
from kitplan.explain.scene import Party, Scene
from kitplan.needs import able, derive_needs, list_rowers, vest_room, waist_room
from kitplan.plan import PersonPart
from kitplan.verify import verify_plan
from kitplan.verify.ground import Ground
from kitplan.verify.hands import count_hands
from kitplan.verify.possible import Judge
from tests.rules.solved import solve
from tests.rules.tiny import (
    BASE,
    BOTH,
    MISSED,
    ODD,
    STEERS,
    THROWER,
    THROWS,
    Tiny,
    lines,
    odd_raft,
    read_tiny,
)

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

    from kitplan.plan import Plan
    from kitplan.trip import Trip

AIMS = ("uncovered", "one_bank", "unmet", "backed", "mass")
LEADS = "leading = 2"


def values(plan: Plan) -> tuple[int, ...]:
    """Return the values of the aims but balance."""
    found = {result.name: result.value for result in plan.aims}
    return tuple(found[aim] for aim in AIMS)


def read(folder: Path, tiny: Tiny, monkeypatch: pytest.MonkeyPatch) -> Trip:
    """Return the trip as the loader reads it."""
    monkeypatch.chdir(folder)
    return read_tiny(folder, tiny)


def hurt(trip: Trip, plan: Plan, *names: str) -> Trip:
    """Return the trip with these people hurt before it begins."""
    return begin_afresh(trip, plan.arrangement, Happened(1, hurt=names)).trip


def list_workers(plan: Plan) -> set[str]:
    """Return who does anything in any witness."""
    parts = (part for result in plan.demands for part in result.witness)
    return {part.paddler for part in parts if isinstance(part, PersonPart)}


def test_the_only_thrower_is_hurt(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Cy alone throws: while the other raft runs, 8 uncovered and 8 unmet for his own.
    people = {"Ana": STEERS, "Bo": STEERS, "Cy": THROWS}
    trip = read(tmp_path, replace(BASE, people=people), monkeypatch)
    plan = solve(trip)
    assert values(plan) == (8, 0, 8, 8, 1000)
    new = hurt(trip, plan, "Cy")
    after = solve(new)
    assert values(after) == (16, 0, 16, 0, 0)
    assert {gap.sort for gap in after.gaps} == {"impossible alone"}
    assert {boat for gap in after.gaps for boat in gap.running} == {"Heron", "Teal"}
    assert list_workers(after) == set()
    assert "Cy" in {p for crew in after.arrangement.crew.values() for p in crew}
    # The plan that has him throw is none any more.
    assert "people" in {finding.code for finding in verify_plan(new, plan)}


def test_who_is_hurt_is_minded_like_a_guest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In two rafts of five Ana and Bo steer and throw.

    While the raft without Dee runs, the one with her waits, its thrower on the bank: with Dee,
    whom nobody minds, as who throws does not. That is 8 and 8. With Cy, who may guide and sits
    there too, nothing is short.
    """
    people = {"Ana": BOTH, "Bo": BOTH, "Dee": THROWS}
    trip = read(tmp_path, replace(BASE, people=people), monkeypatch)
    plan = solve(trip)
    assert values(plan)[:3] == (0, 0, 0)
    assert values(solve(hurt(trip, plan, "Dee")))[:3] == (8, 0, 8)

    trip = read(tmp_path, replace(BASE, people=people | {"Cy": LEADS}), monkeypatch)
    plan = solve(trip)
    after = solve(hurt(trip, plan, "Dee"))
    assert values(after)[:3] == (0, 0, 0)
    assert list_workers(after) == {"Ana", "Bo", "Cy"}


def test_who_is_hurt_lends_no_hand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A throw takes five bags, in six hands of three people; the guide minds Dee besides.

    Only while the raft with one person runs are there three on the bank: 8 are uncovered anyway.
    Without Dee's hands four bags are as many as go.
    """
    people = {"Ana": BOTH, "Bo": BOTH, "Cy": LEADS, "Dee": THROWS}
    tiny = replace(BASE, people=people, kit={"throw bag 20 m": "count = 5"})
    four = read(tmp_path, replace(tiny, catalog=(lines(4),)), monkeypatch)
    assert values(solve(hurt(four, solve(four), "Dee")))[0] == 8
    trip = read(tmp_path, replace(tiny, catalog=(lines(5),)), monkeypatch)
    plan = solve(trip)
    assert values(plan)[0] == 8
    new = hurt(trip, plan, "Dee")
    assert values(solve(new))[0] == 16
    # Both programs count the same hands wherever somebody stands.
    judge, party = Judge(Ground(new, plan.arrangement)), Party(new, plan.arrangement)
    counts = []
    for running in new.boats:
        (other,) = set(new.boats) - {running}
        stations = plan.arrangement.stations
        site = stations["Riffle", other, running]
        scene = Scene(party, "Riffle", frozenset({running}))
        counts.append((count_hands(judge, site, "Riffle", running), scene.hands_at(site)))
    assert sorted(counts) == [(2, 2), (4, 4)]


def test_who_is_hurt_is_none_of_the_least_crew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Teal asks for three: Ana or Bo and two more, and the other one steers Heron."""
    tiny = replace(ODD, types=odd_raft(least=3))
    trip = read(tmp_path, tiny, monkeypatch)
    plan = solve(trip)
    assert len(plan.arrangement.crew["Teal"]) == 3
    new = hurt(trip, plan, "Dee")
    outcome = plan_trip(new, SolveOptions(workers=1))
    assert outcome.plan is None
    assert ["needs a crew of 3" in finding.message for finding in outcome.findings] == [True]
    codes = {finding.code for finding in verify_plan(new, plan)}
    assert codes == {"least-crew"}


def test_who_is_hurt_keeps_no_place_in_the_running_boat(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two throw at once, and Teal asks for three: of five, two are over while it runs.

    One of them steers Heron and throws nothing, so that case is not covered; by who there is alone
    it could be. Once Dee is hurt, one is over of four who work, and it could not, which both
    programs and `check` find.
    """
    people = {"Ana": STEERS, "Bo": STEERS, "Cy": THROWS, "Eve": THROWS, "Dee": THROWS}
    two = THROWER.replace('"thrower",', '"thrower", count = 2,')
    tiny = replace(ODD, people=people, types=odd_raft(least=3), catalog=((THROWER, two),))
    trip = read(tmp_path, tiny, monkeypatch)
    plan = solve(trip)
    assert [(gap.running, gap.sort) for gap in plan.gaps] == [(("Teal",), "impossible together")]
    assert not check_party(trip, derive_needs(trip)).cases
    new = hurt(trip, plan, "Dee")
    teal = next(gap for gap in solve(new).gaps if gap.running == ("Teal",))
    assert teal.sort == "impossible alone"
    (row,) = check_party(new, derive_needs(new)).cases
    assert (row.running, [lack.short for lack in row.lacks]) == (("Teal",), [1])


def test_who_is_hurt_steers_no_boat(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    trip = read(tmp_path, BASE, monkeypatch)
    plan = solve(trip)
    new = hurt(trip, plan, "Bo")
    outcome = plan_trip(new, SolveOptions(workers=1))
    assert outcome.plan is None
    assert any("needs a steerer" in finding.message for finding in outcome.findings)
    assert "steerer" in {finding.code for finding in verify_plan(new, plan)}
    # His level alone would do: the flag counts, whatever skills stand there.
    paddlers = trip.paddlers | {"Bo": replace(trip.paddlers["Bo"], hurt=True)}
    able_in_words = replace(trip, paddlers=paddlers)
    assert "steerer" in {f.code for f in verify_plan(able_in_words, plan)}
    outcome = plan_trip(able_in_words, SolveOptions(workers=1))
    assert outcome.plan is None
    assert ["which Ana can" in finding.message for finding in outcome.findings] == [True]
    steerers = check_party(able_in_words, derive_needs(able_in_words)).steerers
    assert {name for row in steerers for name in row.able} == {"Ana"}


def test_who_is_hurt_rows_no_second_boat(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    trip = read(tmp_path, MISSED, monkeypatch)
    rapid = trip.rapids["Riffle"]
    assert list_rowers(trip, "Teal", rapid) == ["Ana"]
    paddlers = trip.paddlers | {"Ana": replace(trip.paddlers["Ana"], hurt=True)}
    assert list_rowers(replace(trip, paddlers=paddlers), "Teal", rapid) == []


def test_who_is_hurt_answers_nothing_and_is_dealt_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = {"Cy": 'wears = { "life jacket, rescue" = 1 }'}
    trip = read(tmp_path, replace(BASE, own=own), monkeypatch)
    well = trip.paddlers["Cy"]
    ill = replace(well, hurt=True)
    for ask in (Ask(), Ask(guest=True), Ask((("throwing", 2),))):
        assert able(well, ask, trip.ends, trip.catalog)
        assert not able(ill, ask, trip.ends, trip.catalog)
    assert [vest_room(one, trip.catalog) for one in (well, ill)] == [8, 0]
    assert [waist_room(one, trip.catalog) for one in (well, ill)] == [1, 0]


def test_nobody_hurt_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    trip = read(tmp_path, BASE, monkeypatch)
    plan = solve(trip)
    new = hurt(trip, plan)
    assert derive_needs(new) == derive_needs(trip)
    assert verify_plan(new, plan) == []
