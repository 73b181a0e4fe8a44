"""The running order: tiny trips with the best one worked out by hand, and what always holds.

Boats run one after the other. Before its run a crew is on a bank only where it can walk down from
above; afterwards it is on a bank or afloat. Every case weighs 8, and so does a demand of first
choice; a bag weighs 1 kg.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

import pytest

from kitplan.needs import derive_needs
from kitplan.trip import HELD, RESET
from tests.generator import SIZES, generate_trip, is_full_run
from tests.rules.solved import solve
from tests.rules.tiny import (
    BASE,
    KAYAK,
    NO_PATH,
    RAFT,
    RESETS,
    STEERS,
    THROWS,
    TORN,
    Tiny,
    from_the_water,
    read_tiny,
    work,
)

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

Values = tuple[int, ...]  # uncovered, one bank, unmet, not backed, grams
SEEDS = range(1, 201 if is_full_run() else 13)

# Of three rafts only Heron has somebody who throws, and nobody gets down from above.
CY_IN_HERON = replace(
    BASE,
    boats=dict.fromkeys(("Heron", "Teal", "Coot"), RAFT),
    people={"Ana": STEERS, "Bo": STEERS, "Dee": STEERS, "Cy": THROWS},
    own={"Cy": 'boat = "Heron"'},
    river=(NO_PATH,),
)
# No throws: a kayak that waits afloat picks up. A raft does no such work.
KAYAK_AND_RAFT = Tiny(
    boats={"Heron": RAFT, "Wren": KAYAK},
    people={"Ana": "kayak = 3", "Bo": STEERS},
    kit={},
    river=(("eddies = 0", "eddies = 1"),),
    catalog=from_the_water(work("pick-up")),
)
# Ana alone has level 3; she sits in Teal, he who throws in Heron.
LED = replace(
    BASE,
    people={"Ana": STEERS, "Bo": '"oar raft" = 2', "Cy": THROWS},
    own={"Ana": 'boat = "Teal"', "Bo": 'boat = "Heron"', "Cy": 'boat = "Heron"'},
    river=(NO_PATH,),
)


@dataclass(frozen=True)
class Told:
    """A trip, what its order begins with (nothing: as given), and its values."""

    tiny: Tiny
    first: str
    values: Values


def given(*boats: str) -> str:
    """Return the order given."""
    return f"[order]\nboats = {json.dumps(boats)}\n"


def lead(level: int) -> str:
    """Return the level asked of the first boat's steerer."""
    return f"[order]\nlead = {level}\n"


TRIPS = {
    # First Heron runs, uncovered; then Cy stands below with a bag for both others: nobody backs.
    "the thrower runs first": Told(CY_IN_HERON, "Heron", (8, 0, 8, 16, 1000)),
    # Cy is there for the third one only.
    "the thrower second": Told(
        replace(CY_IN_HERON, more=given("Teal", "Heron", "Coot")), "Teal", (16, 0, 16, 8, 1000)
    ),
    # Cy is never there in time, so no bag goes either.
    "the thrower last": Told(
        replace(CY_IN_HERON, more=given("Teal", "Coot", "Heron")), "Teal", (24, 0, 24, 0, 0)
    ),
    # The kayak is afloat once it has run: it must be first.
    "the kayak runs first": Told(KAYAK_AND_RAFT, "Wren", (8, 0, 8, 8, 0)),
    "the kayak last": Told(
        replace(KAYAK_AND_RAFT, more=given("Heron", "Wren")), "Heron", (16, 0, 16, 0, 0)
    ),
    # Heron first is best, and Bo's level 2 will do for a lead of 2.
    "a lead that fits": Told(replace(LED, more=lead(2)), "Heron", (8, 0, 8, 8, 1000)),
    # A lead of 3 puts Teal first, and Cy is above when he is needed.
    "a lead that costs": Told(replace(LED, more=lead(3)), "Teal", (16, 0, 16, 0, 0)),
}


@pytest.mark.parametrize("name", TRIPS)
def test_order_by_hand(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    told = TRIPS[name]
    plan = solve(read_tiny(tmp_path, told.tiny))
    assert plan.arrangement.order[0] == told.first
    assert tuple(aim.value for aim in plan.aims[:5]) == told.values


def test_stations_that_are_reset_are_better_by_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wren runs first; who throws of the rafts' two then runs second or third.

    While he runs Ana must throw (on the bank: 4 unmet, the pick-up); while the other raft runs she
    had better be afloat (0 unmet). While she runs, he throws and nobody picks up: 4. Held at one
    station it is 4 more.
    """
    monkeypatch.chdir(tmp_path)
    plan = solve(read_tiny(tmp_path, replace(TORN, head=(RESETS,))))
    found = plan.arrangement
    (his,) = (boat for boat, crew in found.crew.items() if "Cy" in crew)
    (other,) = {"Heron", "Teal"} - {his}
    assert found.stations["Riffle", "Wren", his] == "left"
    assert found.stations["Riffle", "Wren", other] == "afloat"
    assert [aim.value for aim in plan.aims[:3]] == [0, 0, 8]
    held = solve(read_tiny(tmp_path, TORN))
    assert [aim.value for aim in held.aims[:3]] == [0, 0, 12]


# --- on generated trips ---------------------------------------------------------------------------


@cache
def draw(seed: int, stations: str) -> tuple[Trip, Plan]:
    """Return a generated trip with its stations held or reset, and its plan."""
    kind = "drawn" if seed % 2 else "shipped"
    trip = replace(generate_trip(seed, SIZES["tiny"], techniques=kind), stations=stations)
    return trip, solve(trip)


@pytest.mark.parametrize("seed", SEEDS)
def test_reset_is_never_worse_than_held(seed: int) -> None:
    """Who may wait elsewhere each time may also stay; so cover and demands are no worse."""
    held, reset = (
        [aim.value for aim in draw(seed, stations)[1].aims[:3]] for stations in (HELD, RESET)
    )
    assert reset <= held


@pytest.mark.parametrize("seed", SEEDS)
def test_who_has_not_run_is_not_below(seed: int) -> None:
    """Before its run a boat is above, or its crew on a bank with a path; never afloat."""
    for stations in (HELD, RESET):
        trip, plan = draw(seed, stations)
        order = plan.arrangement.order
        for (rapid, boat, running), at in plan.arrangement.stations.items():
            if order.index(boat) > order.index(running):
                assert at == "above" or trip.rapids[rapid].bank(at).path
            else:
                assert at != "above"


@pytest.mark.parametrize("seed", SEEDS)
def test_the_first_boat_has_no_help_below_where_there_is_no_path(seed: int) -> None:
    """All parts of what is done at once for it are done above."""
    trip, plan = draw(seed, HELD)
    bare = {
        name: replace(one, left=replace(one.left, path=False), right=replace(one.right, path=False))
        for name, one in trip.rapids.items()
    }
    trip = replace(trip, rapids=bare)
    plan = solve(trip)
    choices = derive_needs(trip).choices
    for result in plan.demands:
        boats = plan.arrangement.list_run(trip.rapids[result.key.rapid].boats)
        if result.key.running == boats[0] and not choices[result.key.choice].unhurried:
            assert all(part.site == "above" for part in result.witness)
            assert result.met == bool(result.witness)
