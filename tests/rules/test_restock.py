"""Two people and two boats with a restock on day 2: solved, verified, and worked out by hand.

Ana and Bo row a raft each, 70 kg and 8 kg of wet clothes in either. The one rapid is portaged and
there is no kit, so nothing but stores is dealt.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.needs import derive_needs
from kitplan.needs.loads import list_loads
from kitplan.plan import Stowed
from kitplan.planfile import make_document
from kitplan.verify.carried import list_shortfalls
from kitplan.verify.loads import check_payload, list_loads_g
from tests.inputs.storetexts import STORES_TRIP
from tests.rules.laden import DAYS, PORTAGE, read_laden, stow
from tests.rules.solved import solve
from tests.rules.tiny import BASE, STEERS, Tiny, odd_raft

pytestmark = pytest.mark.usefixtures("in_folder")


def make_types(heron: str, teal: str, hold: str = "500 L") -> str:
    """Return the boat types: the payload of either, and what Teal's hold takes."""
    other = odd_raft(payload=heron, more='hold = "500 L"').replace("odd raft", "other raft")
    return other + odd_raft(payload=teal, more=f'hold = "{hold}"')


TWO = replace(
    BASE,
    boats={"Heron": "other raft", "Teal": "odd raft"},
    people={"Ana": STEERS, "Bo": STEERS},
    kit={},
    river=(PORTAGE,),
)


# --- every boat on every morning ------------------------------------------------------------------

# Stores are those of `storetexts`. Teal has a large payload and a hold of 36 l, so Heron, with
# 200 kg, is the fuller one and gives away what makes it lightest on its heaviest morning.
THREE_DAYS = replace(
    TWO,
    head=(DAYS,),
    more=STORES_TRIP[STORES_TRIP.index("[stores]") :],
    types=make_types("200 kg", "400 kg", "36 L"),
)

# With the canister that comes on day 2 (24 l), one box of the toilet (8 l) and the bottle (1.4 l)
# Teal's hold has 33.4 l in it; the sack of day 1 (10 l) is there before that canister. Without them
# Heron's heaviest is day 1: 78 + 50.32 - 7.72 = 120.6 kg, 603 per mille. Nothing else does as well.
# A hold with no second canister takes 16 kg of day 2 at most, stove and toilet (36 l), and Heron
# has 78 + 60.28 - 16 = 122.28 kg then; with it there is room for one box, and of the two the second
# one is lighter in Teal.
IN_TEAL = {
    "food, day 1, sack": 1,
    "drinking water, from day 2, canister": 1,
    "fuel, bottle": 1,
    "toilet, toilet box 2 of 2": 1,
}
IN_HERON = {
    "food, day 2, sack": 1,
    "food, day 3, sack": 1,
    "drinking water, canister": 1,
    "toilet, toilet box 1 of 2": 1,
    "stove": 1,
    "tent": 1,
    "guitar": 1,
    "personal bag": 2,
}
CAMP_G = 5000 + 2600 + 3000 + 2 * 10_000  # stove, tent, guitar, two bags
BOX_G = 5000

# Boat -> morning -> people, stores, camp. Food is 2 people x 1 kg and a sack of 100 g; water 2 x 3
# kg a day in a canister of 1 kg; fuel 2 x 70 g a day in a bottle of 200 g; the toilet fills by 1 kg
# a day, a box of 2 kg after the other.
BY_HAND = {
    "Heron": {
        # The first canister is full; the first box is empty.
        1: (78_000, (1000 + 6000) + BOX_G, CAMP_G),
        # Sacks of days 2 and 3 came, the canister is empty.
        2: (78_000, 2 * 2100 + 1000 + (BOX_G + 1000), CAMP_G),
        # Day 2 is eaten.
        3: (78_000, 2100 + 1000 + (BOX_G + 2000), CAMP_G),
    },
    "Teal": {
        # The sack of day 1; 3 days of fuel; the second box stays empty until the end.
        1: (78_000, 2100 + (200 + 3 * 140) + BOX_G, 0),
        # The second canister came, for two days.
        2: (78_000, (1000 + 2 * 6000) + (200 + 2 * 140) + BOX_G, 0),
        3: (78_000, (1000 + 6000) + (200 + 140) + BOX_G, 0),
    },
}
TOTALS = {
    "Heron": {1: 120_600, 2: 119_800, 3: 118_700},
    "Teal": {1: 85_720, 2: 96_480, 3: 90_340},
}


def test_every_boat_on_every_morning() -> None:
    """The solver's plan, its loads, the second program's and those of the plan file."""
    trip = read_laden(THREE_DAYS)
    plan = solve(trip)
    assert plan.arrangement.stowed == tuple(sorted(stow(Heron=IN_HERON, Teal=IN_TEAL)))
    loads = list_loads(trip, plan.arrangement)
    parts = {
        boat: {day: (one.people_g, one.stores_g, one.camp_g) for day, one in mornings.items()}
        for boat, mornings in loads.items()
    }
    assert parts == BY_HAND
    assert {
        boat: {day: one.total_g for day, one in mornings.items()}
        for boat, mornings in loads.items()
    } == TOTALS
    assert {boat: list_loads_g(trip, plan.arrangement, boat) for boat in trip.boats} == TOTALS
    written = make_document(trip, derive_needs(trip), plan)["boats"]
    assert {
        boat["name"]: {
            row["day"]: (row["people_kg"] * 1000, row["stores_kg"] * 1000, row["camp_kg"] * 1000)
            for row in boat["mass_by_day"]
        }
        for boat in written
    } == BY_HAND


def test_the_fullest_boat_is_the_fullest_of_the_table() -> None:
    """120 600 of 200 000 g; Teal has 96 480 of 400 000 g."""
    aims = {aim.name: aim.value for aim in solve(read_laden(THREE_DAYS)).aims}
    assert aims["balance"] == 603


def test_boats_that_take_just_what_the_table_says() -> None:
    """Either boat takes its heaviest morning; with a gram less in both the plan is rejected."""
    arrangement = solve(read_laden(THREE_DAYS)).arrangement
    just = read_laden(replace(THREE_DAYS, types=make_types("120.6 kg", "96.48 kg", "36 L")))
    assert list(check_payload(just, arrangement)) == []
    less = read_laden(replace(THREE_DAYS, types=make_types("120.599 kg", "96.479 kg", "36 L")))
    assert [said.partition(" and ")[2] for _, said in check_payload(less, arrangement)] == [
        "is loaded with 121 kg on the morning of day 1",
        "is loaded with 96.5 kg on the morning of day 2",
    ]


def test_no_dealing_makes_heron_lighter_on_its_heaviest_morning() -> None:
    """The solver keeps 120.6 kg, and there is no plan for a gram less."""
    tiny = replace(THREE_DAYS, types=make_types("120.6 kg", "400 kg", "36 L"))
    loads = list_loads(read_laden(tiny), solve(read_laden(tiny)).arrangement)
    assert {day: one.total_g for day, one in loads["Heron"].items()} == TOTALS["Heron"]
    less = replace(tiny, types=make_types("120.599 kg", "400 kg", "36 L"))
    assert plan_trip(read_laden(less), SolveOptions(workers=1)).plan is None


# --- what is left on the day before a restock -----------------------------------------------------

# Each day's food is 2 people x 3 kg in two sacks of 3.1 kg; that of day 2 comes on its morning. The
# canister has 12 l in it on day 1, 13 kg, and 7 kg on day 2. Only Teal can take it, 78 + 13 kg, and
# takes nothing else on day 1; on day 2 it takes a sack, 78 + 7 + 3.1 kg.
TWO_DAYS_STORES = """
[stores]
climate = "mild"
water = "carried"
personal_bag = "0 kg"
personal_bag_volume = "0 L"
leave_out = ["stove", "tent"]

[[stores.rate]]
name = "food"
amount = "3 kg"

[[stores.rate]]
name = "fuel"
amount = "0 ml"

[[stores.rate]]
name = "toilet"
amount = "0 ml"
"""
RESTOCK = """
[[restock]]
day = 2
at = "morning"
brings = ["food"]
"""
A_TENTH = """
[[spread]]
name = "food"
says = "a tenth of the food is left"
lost = "boat and crew"
food = 0.1
"""
LITTLE_WATER = '\n[[stores.rate]]\nname = "drinking water"\namount = "1 L"\n'
TWO_DAYS = replace(
    TWO,
    head=(("water_temperature", "days = 2\nwater_temperature"),),
    more=TWO_DAYS_STORES + RESTOCK + A_TENTH,
    types=make_types("90.9 kg", "91 kg"),
)


def tell(tiny: Tiny) -> tuple[int, list[tuple[int, str, int, int, int]]]:
    """Return what the spread is short of in the solver's plan, and the rows that say so."""
    plan = solve(read_laden(tiny))
    short = next(aim.value for aim in plan.aims if aim.name == "short_of_spread")
    rows = [(row.day, row.boat, row.asked, row.there, row.short) for row in plan.shortfalls]
    return short, rows


def test_what_is_lost_with_a_boat_is_short_before_the_restock() -> None:
    """A tenth of 6.2 kg, 0.62 kg, is a whole one, and nothing is left without Heron on day 1."""
    assert tell(TWO_DAYS) == (1, [(1, "Heron", 1, 0, 1)])


def test_after_the_restock_there_is_food_in_either_boat() -> None:
    """With a sack of day 1 in Teal, though it is too heavy there, nothing is short on either day.

    With both sacks of day 2 in Heron nothing is left without it on day 2.
    """
    trip = read_laden(TWO_DAYS)
    arrangement = solve(trip).arrangement
    (water,) = (row for row in arrangement.stowed if row.lot.startswith("drinking water"))
    day_1, day_2 = "food, day 1, sack", "food, day 2, sack"
    split = (Stowed("Heron", day_2, 1), Stowed("Teal", day_2, 1))
    assert arrangement.stowed == tuple(sorted((Stowed("Heron", day_1, 2), *split, water)))
    eased = (Stowed("Heron", day_1, 1), Stowed("Teal", day_1, 1), water)
    assert list_shortfalls(trip, replace(arrangement, stowed=(*eased, *split))) == ()
    (row,) = list_shortfalls(trip, replace(arrangement, stowed=(*eased, Stowed("Heron", day_2, 2))))
    assert (row.day, row.boat, row.asked, row.there, row.short) == (2, "Heron", 1, 0, 1)


def test_without_the_restock_more_is_lost() -> None:
    """All four sacks are in Heron from day 1 on: a tenth of 12.4 kg, 1.24 kg, is two whole ones."""
    assert tell(replace(TWO_DAYS, more=TWO_DAYS_STORES + A_TENTH)) == (2, [(1, "Heron", 2, 0, 2)])


def test_with_room_for_a_sack_on_day_1_nothing_is_short() -> None:
    """4 l of water: the canister has 5 kg, and 78 + 5 + 3.1 kg goes in either boat."""
    tiny = replace(TWO_DAYS, more=TWO_DAYS_STORES + LITTLE_WATER + RESTOCK + A_TENTH)
    assert tell(tiny) == (0, [])
