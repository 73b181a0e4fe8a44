"""Who and what counts most, on tiny trips with what is lost derived by hand.

Every case weighs 8, as in the tiny trip of all tests: class II squared x swimmer 2. Two rafts are
two cases, and each asks for a thrower and a bag on the bank while the other raft runs.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide.counts import Counted, count_most
from kitplan.decide.missed import Lost
from kitplan.demands import CaseKey
from kitplan.needs import derive_needs
from kitplan.solve.run import Clock
from tests.decide.counted import NOTHING, Losses
from tests.rules.solved import solve
from tests.rules.test_joined import ACROSS as LONG_THROW
from tests.rules.test_joined import BAGS, JOINT
from tests.rules.tiny import (
    BASE,
    BOTH,
    KAYAK,
    LINE,
    MISSED,
    PICK_UP,
    RAFT,
    STEERS,
    THREE,
    THROWS,
    TORN,
    TWO_BANKS,
    Tiny,
    read_tiny,
)

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

BAG = "throw bag 20 m"
LONG = """
[[item]]
name = "long line"
kinds = ["line"]
mass = "2 kg"
length = "30 m"
flags = ["across"]
carried = ["quick"]
bulky = true
"""

TWO = {"Wren": KAYAK, "Heron": RAFT}
TWO_PEOPLE = {"Ana": f"kayak = 3, {THROWS}", "Bo": STEERS}
SWIMMER = 'scenarios = ["swimmer"]\n'
SPOTS = """
[[rapid.spot]]
name = "the rock"
from_left = "5 m"
run_out = "10 m"
scenarios = ["swimmer"]

[[rapid.spot]]
name = "the ledge"
from_left = "11 m"
run_out = "60 m"
likely = 3
scenarios = ["swimmer"]
"""


@pytest.fixture(autouse=True)
def in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in the test's own folder, where a tiny trip is written."""
    monkeypatch.chdir(tmp_path)


def count(trip: Trip, plan: Plan, limit_s: float = 600.0) -> Counted:
    """Return who and what counts in a plan."""
    return count_most(trip, derive_needs(trip), plan.arrangement, Clock(limit_s), lambda _: None)


def list_rises(counted: Counted) -> dict[tuple[str, str], tuple[int, int]]:
    """Return what is lost by paddler and item, nothing left out."""
    return {(row.paddler, row.item): row.rise for row in counted.rows if row.rise > NOTHING}


def find_boat(plan: Plan, name: str) -> str:
    """Return the boat somebody sits in."""
    return next(boat for boat, crew in plan.arrangement.crew.items() if name in crew)


def test_throwers_count_and_steerers_are_said_to_be_the_only_ones(tmp_path: Path) -> None:
    # One raft has Cy and a bag, the other one Dee and a bag: each loss uncovers the other's case.
    # So it is with a steerer: once hurt he is to be minded ashore, and nobody here may guide.
    trip = read_tiny(tmp_path, BASE)
    plan = solve(trip)
    counted = count(trip, plan)
    assert counted.complete
    assert list_rises(counted) == {
        ("", BAG): (8, 0),
        **{(name, ""): (8, 0) for name in trip.paddlers},
        ("Cy", "life jacket, river"): (8, 0),
        ("Cy", "helmet"): (8, 0),
    }
    cy = next(row for row in counted.rows if (row.paddler, row.item) == ("Cy", ""))
    (other,) = set(trip.boats) - {find_boat(plan, "Cy")}
    case = CaseKey("Riffle", "mid-channel", "swimmer", other)
    assert cy.lost == (Lost("Riffle", (8, 0), (case,), ()),)
    assert (cy.uncovered, cy.one_bank) == (1, 0)
    assert [place.boat for place in cy.places] == [find_boat(plan, "Cy")]
    steers = {row.paddler: row.steers for row in counted.rows if not row.item}
    assert steers == {
        "Ana": (find_boat(plan, "Ana"),),
        "Bo": (find_boat(plan, "Bo"),),
        "Cy": (),
        "Dee": (),
    }


def test_who_steers_as_well_is_not_the_only_one(tmp_path: Path) -> None:
    people = {"Ana": STEERS, "Bo": STEERS, "Cy": BOTH, "Dee": THROWS}
    trip = read_tiny(tmp_path, replace(BASE, people=people))
    plan = solve(trip)
    steers = {row.paddler for row in count(trip, plan).rows if row.steers}
    alone = {
        name
        for name in ("Ana", "Bo", "Cy")
        if not {"Ana", "Bo", "Cy"} & set(plan.arrangement.crew[find_boat(plan, name)]) - {name}
    }
    assert steers == alone
    assert len(steers) == 1


def test_where_another_boat_stands_in_nothing_counts(tmp_path: Path) -> None:
    """Each of three rafts has a steerer who throws, and a bag: while one runs another one waits.

    Whoever is hurt waits further down or above, as nobody there can mind him.
    """
    trip = read_tiny(tmp_path, THREE)
    counted = count(trip, solve(trip))
    assert counted.complete
    assert list_rises(counted) == {}
    assert {row.paddler for row in counted.rows} == {"Ana", "Bo", "Cy"}
    assert all(row.lost == () and len(row.steers) == 1 for row in counted.rows)


def test_a_bank_is_lost_and_no_case(tmp_path: Path) -> None:
    """Three rafts and two banks: while one runs, one of the others waits at each bank.

    With one bag fewer one of the two has none: the cases of the other boats have one bank left
    while both of them that ran wait below; which boats these are is as brute force finds.
    """
    trip = read_tiny(tmp_path, replace(THREE, river=(TWO_BANKS,)))
    plan = solve(trip)
    counted = count(trip, plan)
    brute = Losses(trip, plan.arrangement)
    bag = next(row for row in counted.rows if row.item == BAG)
    assert bag.rise == brute.item(BAG)
    assert (bag.rise[0], bag.uncovered) == (0, 0)
    assert bag.rise[1] == 8 * bag.one_bank > 0


def test_stations_of_who_rows_twice_stay_as_they_are(tmp_path: Path) -> None:
    """Class III is 18 a case; Ana throws as well as Cy, but where she rows twice."""
    trip = read_tiny(tmp_path, MISSED)
    plan = solve(trip)
    assert plan.arrangement.twice
    counted = count(trip, plan)
    brute = Losses(trip, plan.arrangement)
    rises = {row.paddler: row.rise for row in counted.rows if not row.item}
    assert rises == {name: brute.hurt(name) for name in trip.paddlers}
    assert rises["Cy"] == (18, 0)


def test_two_lines_joined_stand_in_for_the_only_long_one(tmp_path: Path) -> None:
    """One raft has the long line, and two bags and a carabiner are in each.

    While there is a line that does alone, none are joined; without it they are, in both rafts.
    """
    kit = {"long line": "count = 1\ntake = 1", BAG: "count = 4\ntake = 4",
           "locking carabiner": "count = 2\ntake = 2"}  # fmt: skip
    tiny = Tiny(kit=kit, catalog=(JOINT, BAGS, (LINE, LONG_THROW)), types=LONG)
    trip = read_tiny(tmp_path, tiny)
    plan = solve(trip)
    assert next(aim.value for aim in plan.aims if aim.name == "uncovered") == 8
    assert not any(row.item == "long line" for row in count(trip, plan).rows)


def test_a_case_is_not_given_up_for_a_bank(tmp_path: Path) -> None:
    """While Heron runs, Ana throws from river left to both spots, or picks up below at the ledge.

    The rock, 8, is reached from the left alone; the ledge, 24, is to be covered from both banks, as
    it would be from the water. Ana stays ashore: hurt, she leaves both uncovered, and no bank more.
    """
    pick_up = PICK_UP.replace("boats =", 'place = { run_out_at_least = "50 m" }\nboats =')
    river = (TWO_BANKS, ("eddies = 0", "eddies = 1"), ('"12 m"', '"30 m"'), (SWIMMER, SPOTS))
    trip = read_tiny(tmp_path, replace(TORN, boats=TWO, people=TWO_PEOPLE, river=river,
                                       more='[order]\nboats = ["Wren", "Heron"]\n',
                                       types=pick_up))  # fmt: skip
    plan = solve(trip)
    ana = next(row for row in count(trip, plan).rows if (row.paddler, row.item) == ("Ana", ""))
    assert ana.rise == Losses(trip, plan.arrangement).hurt("Ana") == (32, 0)
    assert (ana.uncovered, ana.one_bank) == (2, 0)


def test_stations_of_the_plan_make_no_difference(tmp_path: Path) -> None:
    """With nobody on a bank nothing is covered, and nothing could be lost; the best is compared."""
    trip = read_tiny(tmp_path, BASE)
    plan = solve(trip)
    ahead = {boat: k for k, boat in enumerate(plan.arrangement.order)}
    far = {key: "below" if ahead[key[1]] < ahead[key[2]] else "above"
           for key in plan.arrangement.stations}  # fmt: skip
    spoilt = replace(plan, arrangement=replace(plan.arrangement, stations=far))
    assert count(trip, spoilt) == count(trip, plan)
    assert list_rises(count(trip, plan))


def test_without_time_nothing_is_known(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, BASE)
    assert count(trip, solve(trip), 0.0) == Counted((), complete=False)


def test_what_is_known_when_time_runs_out_is_told(tmp_path: Path) -> None:
    """The clock is stopped once the people are counted: they are told, pieces are not."""
    trip = read_tiny(tmp_path, BASE)
    clock = Clock(600.0)

    def stop(said: str) -> None:
        if said == "what counts most":
            clock.stop()

    needs, plan = derive_needs(trip), solve(trip)
    counted = count_most(trip, needs, plan.arrangement, clock, stop)
    assert not counted.complete
    assert [(row.paddler, row.item) for row in counted.rows] == [
        (name, "") for name in ("Ana", "Bo", "Cy", "Dee")
    ]
