"""Four days with stores in two legs, and where all lies: as somebody would write and pack it.

Teal and Eve leave after day 2; Coot, Cy and the raft paddles come on day 3. Food comes aboard on
the evening of day 2 for what is left. All lots, counts and boxes are worked out by hand: food is
4 kg a day in two sacks, fuel 1.6 L in two bottles, and a toilet box holds what four people fill in
a day.
"""

from pathlib import Path

from kitplan.plan import Arrangement, Packed, Stowed
from kitplan.trip import Trip
from tests.inputs.storetexts import STORES_CATALOG
from tests.inputs.texts import load, spoil

BAG, BELT, CLIP, FIRST_AID = (
    "throw bag 20 m",
    "throw bag 15 m",
    "locking carabiner",
    "first-aid kit",
)
PADDLE = "raft paddle"

HEAD = """\
[trip]
name = "four days"
starts = 2027-06-14
days = 4
catalogs = ["../catalogs/all.toml"]
water_temperature = "14 degC"
everyone_wears = ["life jacket, river", "helmet"]
running = ["Heron", "Dipper"]

[order]
boats = ["Teal", "Heron", "Dipper", "Coot"]

[stores]
climate = "mild"
water = "from the river"
personal_bag = "10 kg"
personal_bag_volume = "20 L"

[[restock]]
day = 2
at = "evening"
brings = ["food"]
"""

BOATS = "".join(
    f'[[boat]]\nname = "{name}"\ntype = "oar raft 4.3 m"\n{days}\n'
    for name, days in {"Heron": "", "Dipper": "", "Teal": "to = 2", "Coot": "from = 3"}.items()
)
ROWS = 'skills = { "oar raft" = 4, throwing = 2, leading = 2 }'
PEOPLE = "".join(
    f'[[paddler]]\nname = "{name}"\nmass = "70 kg"\n{lines}\n'
    for name, lines in {
        "Ana": ROWS,
        "Bo": f'{ROWS}\nboat = "Dipper"',
        "Cy": f"{ROWS}\nfrom = 3",
        "Dee": 'skills = { throwing = 2 }\nwears = { "life jacket, rescue" = 1 }\n'
        'certificates = [{ name = "swift-water rescue", until = 2028-05-31 }]',
        "Eve": f"{ROWS}\nto = 2",
    }.items()
)
COMPANIES = """\
[[together]]
paddlers = ["Ana", "Dee"]

[[apart]]
paddlers = ["Ana", "Bo", "Eve"]

"""
KIT = "".join(
    f'[[kit]]\nitem = "{item}"\n{lines}\n'
    for item, lines in {
        BAG: "count = 5\ntake = 2",
        BELT: "count = 3",
        CLIP: "count = 5",
        FIRST_AID: "count = 1\ntake = true",
        PADDLE: "count = 2\nfrom = 3",
    }.items()
)
RAPIDS = "".join(
    f'[[rapid]]\nday = {day}\nname = "{name}"\nclass = "II"\nwidth = "12 m"\nsafety = "none"\n'
    f'scenarios = ["swimmer"]\n{lines}\n'
    for day, name, lines in (
        (1, "Riffle", ""),
        (2, "Ledge", ""),
        (3, "Chute", 'groups = [["Heron", "Coot"], ["Dipper"]]'),
        (4, "Weir", ""),
    )
)
TEXT = HEAD + BOATS + PEOPLE + COMPANIES + KIT + RAPIDS

HERON, DIPPER = "Heron, from day 3", "Dipper, from day 3"
BAGS = "personal bag, 2 to 4 of 4"
"""Those of Ana, Bo and Dee; Eve's is the first."""
STOWED = {
    "Heron": {"food, day 1, sack": 2, "food, day 2, sack": 1, "fuel, bottle 1 of 2": 1,
              "toilet, toilet box 1 of 4": 1, "toilet, toilet box 2 of 4": 1, "stove": 1, BAGS: 2},
    "Dipper": {"food, day 2, sack": 1, "fuel, bottle 2 of 2": 1, "toilet, toilet box 3 of 4": 1,
               "toilet, toilet box 4 of 4": 1, "tent": 2, "filter": 1, BAGS: 1},
    "Teal": {"personal bag, 1 of 4": 1},
    HERON: {"food, day 3, sack": 2, "food, day 4, sack": 1,
            "fuel, bottle 1 of 2": 1, "toilet, toilet box 1 of 4": 1,
            "toilet, toilet box 2 of 4": 1, "stove": 1, BAGS: 2},
    DIPPER: {"food, day 4, sack": 1, "fuel, bottle 2 of 2": 1, "toilet, toilet box 3 of 4": 1,
             "toilet, toilet box 4 of 4": 1, "tent": 2, "filter": 1, BAGS: 1},
    "Coot": {"personal bag, from day 3": 1},
}  # fmt: skip
PACKED = (
    Packed("Heron", BAG, "quick", 1),
    Packed("Heron", BELT, "worn", 1, "Dee"),
    Packed("Heron", CLIP, "worn", 2, "Dee"),
    Packed("Dipper", BAG, "quick", 2),
    Packed("Dipper", BELT, "worn", 1, "Bo"),
    Packed("Dipper", CLIP, "quick", 1),
    Packed("Dipper", FIRST_AID, "stowed", 1),
    Packed("Teal", BAG, "quick", 1),
    Packed("Teal", BELT, "quick", 1),
    Packed(HERON, BAG, "quick", 2),
    Packed(HERON, BELT, "worn", 1, "Dee"),
    Packed(HERON, CLIP, "worn", 2, "Dee"),
    Packed(DIPPER, BAG, "quick", 2),
    Packed(DIPPER, BELT, "worn", 1, "Bo"),
    Packed(DIPPER, CLIP, "quick", 1),
    Packed(DIPPER, FIRST_AID, "stowed", 1),
    Packed("Coot", BELT, "quick", 1),
    Packed("Coot", PADDLE, "quick", 1),
)
ORDER = ("Teal", "Heron", "Dipper", HERON, DIPPER, "Coot")
ARRANGEMENT = Arrangement(
    crew={
        "Heron": ("Ana", "Dee"),
        "Dipper": ("Bo",),
        "Teal": ("Eve",),
        HERON: ("Ana", "Dee"),
        DIPPER: ("Bo",),
        "Coot": ("Cy",),
    },
    steerer={
        "Heron": "Ana",
        "Dipper": "Bo",
        "Teal": "Eve",
        HERON: "Ana",
        DIPPER: "Bo",
        "Coot": "Cy",
    },
    packed=tuple(sorted(PACKED)),
    stations={},
    order=ORDER,
    stowed=tuple(
        sorted(Stowed(boat, lot, n) for boat, lots in STOWED.items() for lot, n in lots.items())
    ),
)


def load_four_days(*edits: tuple[str, str]) -> Trip:
    """Load the trip, with edits of its text, in the current folder."""
    loaded = load(Path(), spoil(TEXT, *edits), STORES_CATALOG)
    assert loaded.trip is not None, loaded.lines
    return loaded.trip
