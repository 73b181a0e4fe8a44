"""A tiny trip of three days with stores, and a plan of it made by hand: nothing is solved.

Ana rows Heron, Bo rows Teal, who takes 104 kg, stows nothing longer than 1.4 m and has a hold of
125 l. The one rapid is portaged, so nothing is asked there. On the morning of day 2 the food of
days 2 and 3 comes aboard and a second canister.

Teal on the mornings: Bo 78 kg; food 2.1, 4.2, 2.1 kg and 10, 20, 10 l; his bag 10 kg and 60 l; a
first-aid kit 3.2 kg and 15 l. So 93.3, 95.4 and 93.3 kg, 85, 95 and 85 l. All else is in Heron.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from pathlib import Path
from typing import TYPE_CHECKING

from kitplan.plan import (
    AimResult,
    Arrangement,
    LeftOut,
    Packed,
    Plan,
    Stowed,
    Totals,
    digest_sources,
)
from tests.inputs.storetexts import STORES_CATALOG, STORES_TRIP
from tests.inputs.texts import load, spoil
from tests.rules.tiny import BASE, RAFT, STEERS, Tiny, odd_raft

if TYPE_CHECKING:
    from kitplan.trip import Trip

FIRST_AID = 'name = "first-aid kit"\nkinds = ["first aid"]\n'
CATALOG = spoil(STORES_CATALOG, (FIRST_AID, f'{FIRST_AID}volume = "15 L"\n'))
OWN = """
[[store]]
item = "table"
mass = "4 kg"
volume = "30 L"
packed_length = "1.5 m"

[[store]]
item = "crate"
mass = "500 g"
volume = "130 L"
"""
STORES = STORES_TRIP[STORES_TRIP.index("[stores]") :] + OWN
DAYS = ("water_temperature", "days = 3\nwater_temperature")
PORTAGE = ('safety = "set"', 'safety = "none"\nrun = "portage"')

LADEN = replace(
    BASE,
    boats={"Heron": RAFT, "Teal": "odd raft"},
    people={"Ana": STEERS, "Bo": STEERS},
    kit={"first-aid kit": "count = 2"},
    head=(DAYS,),
    river=(PORTAGE,),
    more=STORES,
    types=odd_raft(payload="104 kg", more='longest = "1.4 m"\nhold = "125 L"'),
)

IN_TEAL = {
    "food, day 1, sack": 1,
    "food, day 2, sack": 1,
    "food, day 3, sack": 1,
    "personal bag": 1,
}
IN_HERON = {
    "drinking water, canister": 1,
    "drinking water, from day 2, canister": 1,
    "fuel, bottle": 1,
    "toilet, toilet box 1 of 2": 1,
    "toilet, toilet box 2 of 2": 1,
    "stove": 1,
    "tent": 1,
    "guitar": 1,
    "table": 1,
    "crate": 1,
    "personal bag": 1,
}


def read_laden(tiny: Tiny) -> Trip:
    """Return a tiny trip with stores, as the loader reads it in the current folder."""
    loaded = load(Path(), tiny.text(), CATALOG + tiny.types)
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


def stow(**boats: dict[str, int]) -> tuple[Stowed, ...]:
    """Return what is stowed in which boat."""
    return tuple(Stowed(b, lot, count) for b, lots in boats.items() for lot, count in lots.items())


def arrange(trip: Trip, **crew: tuple[str, ...]) -> Arrangement:
    """Return crews of boats whose first one steers, standing above and then below each rapid."""
    order = tuple(trip.boats)
    stations = {
        (rapid.name, boat, running): "below"
        if order.index(boat) < order.index(running)
        else "above"
        for rapid in trip.rapids.values()
        for boat, running in permutations(rapid.boats, 2)
    }
    return Arrangement(crew, {boat: one[0] for boat, one in crew.items()}, (), stations, order)


def claim(trip: Trip, arrangement: Arrangement, aims: dict[str, int]) -> Plan:
    """Return a plan of a trip that asks for no cover, its aims as given."""
    return Plan(
        trip.name,
        arrangement,
        tuple(AimResult(name, value, value, proven=True) for name, value in aims.items()),
        (),
        (),
        Totals(0, 0, 0, 0, 0, 0, 0, 0),
        (),
        canonical=True,
        digest=digest_sources(trip.sources),
        sources=trip.sources,
    )


COVERED = dict.fromkeys(("uncovered", "one_bank", "unmet", "backed"), 0)


def make_sound(trip: Trip) -> Plan:
    """Return a plan of the laden trip that keeps every rule.

    One kit of 3200 g is taken and one is left. Teal is the fullest on day 2: 95.4 of 104 kg.
    """
    bare = arrange(trip, Heron=("Ana",), Teal=("Bo",))
    arrangement = replace(
        bare,
        packed=(Packed("Teal", "first-aid kit", "stowed", 1),),
        stowed=tuple(sorted(stow(Heron=IN_HERON, Teal=IN_TEAL))),
    )
    plan = claim(trip, arrangement, COVERED | {"mass": 3200, "balance": 918, "changes": 0})
    return replace(plan, not_called_for=(LeftOut("first-aid kit", 1),))


# --- two legs -------------------------------------------------------------------------------------

# Bo and Teal go ashore after day 2, and more comes aboard on the morning of day 3. All is in Heron.
TWO_LEGS = replace(
    LADEN,
    boats={"Heron": RAFT, "Teal": 'odd raft"\nto = 2\n#"'},
    own={"Bo": "to = 2"},
    more=spoil(STORES, ("day = 2", "day = 3")),
)
EATEN = ("food, day 1, sack", "food, day 2, sack")
BOS_BAG, ANAS_BAG = "personal bag, 1 of 2", "personal bag, 2 of 2"
COME = ("food, day 3, sack", "drinking water, from day 3, canister")
LATER = "Heron, from day 3"
STAYS = {
    lot: count
    for lot, count in IN_HERON.items()
    if lot not in {"personal bag", "drinking water, from day 2, canister"}
} | {ANAS_BAG: 1}


def stow_two_legs(days_1_2: dict[str, int], day_3: dict[str, int]) -> tuple[Trip, Plan]:
    """Return the trip of two legs and a plan of it, but for so many of some lots in each leg."""
    trip = read_laden(TWO_LEGS)
    first = STAYS | dict.fromkeys((*EATEN, BOS_BAG), 1) | days_1_2
    last = STAYS | dict.fromkeys(COME, 1) | day_3
    rows = [row for row in stow(**{"Heron": first, LATER: last}) if row.count]
    bare = arrange(trip, **{"Heron": ("Ana",), "Teal": ("Bo",), LATER: ("Ana",)})
    return trip, claim(trip, replace(bare, stowed=tuple(sorted(rows))), {})
