"""The three days with stores, two boats and a third person on the last day, and where all lies.

By hand from the texts, lot by lot: who packs what into which boat on days 1 and 2, and on day 3.
"""

from pathlib import Path

from kitplan.plan import AimResult, Arrangement, Packed, Plan, Shortfall, Stowed, Totals
from kitplan.trip import Trip
from tests.inputs.storetexts import STORES_CATALOG, STORES_TRIP
from tests.inputs.texts import load, spoil

AND_CY = """\
skills = { "oar raft" = 4 }

[[paddler]]
name = "Cy"
mass = "60 kg"
from = 3

[[kit]]
item = "throw bag 20 m"
count = 1
"""
STOWED_TRIP = spoil(
    STORES_TRIP,
    (
        '[[paddler]]\nname = "Ana"',
        '[[boat]]\nname = "Dipper"\ntype = "oar raft 4.3 m"\n\n[[paddler]]\nname = "Ana"',
    ),
    (
        'mass = "80 kg"\n',
        'mass = "80 kg"\n' + AND_CY,
    ),
    ('at = "morning"\n', 'at = "morning"\ntakes_back = true\n'),
)
HERON, DIPPER = "Heron, from day 3", "Dipper, from day 3"
"""The boats of the last day, as the trip knows them."""
STOWED = {
    "Heron": {
        "food, day 1, sack": 1,
        "food, day 3, sack": 1,
        "drinking water, canister": 1,
        "toilet, toilet box 1 of 2": 1,
        "stove": 1,
        "tent": 1,
        "personal bag": 1,
    },
    "Dipper": {
        "food, day 2, sack": 1,
        "drinking water, from day 2, canister": 1,
        "fuel, bottle": 1,
        "toilet, toilet box 2 of 2": 1,
        "tent": 1,
        "guitar": 1,
        "personal bag": 1,
    },
    HERON: {
        "toilet, toilet box 1 of 2": 1,
        "toilet, toilet box 2 of 2": 1,
        "stove": 1,
        "personal bag": 1,
        "personal bag, from day 3": 1,
    },
    DIPPER: {
        "food, day 3, sack": 1,
        "drinking water, from day 2, canister": 1,
        "fuel, bottle": 1,
        "tent": 2,
        "guitar": 1,
        "personal bag": 1,
    },
}
ARRANGEMENT = Arrangement(
    crew={"Heron": ("Ana",), "Dipper": ("Bo",), HERON: ("Ana", "Cy"), DIPPER: ("Bo",)},
    steerer={"Heron": "Ana", "Dipper": "Bo", HERON: "Ana", DIPPER: "Bo"},
    packed=tuple(Packed(boat, "throw bag 20 m", "quick", 1) for boat in ("Heron", HERON)),
    stations={("Riffle", "Heron", "Dipper"): "below", ("Riffle", "Dipper", "Heron"): "above"},
    order=("Heron", "Dipper", HERON, DIPPER),
    stowed=tuple(
        sorted(Stowed(boat, lot, n) for boat, lots in STOWED.items() for lot, n in lots.items())
    ),
)


def load_stowed(*edits: tuple[str, str]) -> Trip:
    """Load the trip of two boats, with edits of its text, in the current folder."""
    loaded = load(Path(), spoil(STOWED_TRIP, *edits), STORES_CATALOG)
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


def make_plan(
    arrangement: Arrangement, aims: tuple[AimResult, ...] = (), *shortfalls: Shortfall
) -> Plan:
    """Return a plan that claims nothing but aims and shortfalls."""
    return Plan(
        trip_name="three days",
        arrangement=arrangement,
        aims=aims,
        demands=(),
        gaps=(),
        totals=Totals(0, 0, 0, 0, 0, 0, 0, 0),
        not_called_for=(),
        canonical=True,
        digest="",
        shortfalls=shortfalls,
    )
