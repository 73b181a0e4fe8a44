"""What falls short of rules and spreads, counted by hand on one tiny trip of three boats.

Heron is an oar raft, Teal a paddle raft, Wren a kayak. Where everybody and everything is, on all of
three days:

Heron  Ana, a guide, who wears a harness and two carabiners of her own, and Bo; two bags of 20 m
       lying quick, a first-aid kit stowed, a carabiner dealt to Ana to wear; the stove
Teal   Cy, Dee, and Eve, a guest; a bag of 15 m dealt to Cy to wear, a paddle lying quick; a filter
Wren   Fay; a bag of 15 m lying quick

Cy steers Teal, so Dee and Eve have a crew paddle each. At the rapid Heron and Wren pass together
and Teal passes alone. What else there is of stores counts for nothing here, and is left out.

Each day's food is 6 kg in two sacks of 100 g; that of day 3 comes aboard on its morning. Both sacks
of day 1 are in Teal, both of day 2 in Heron, one of day 3 in each. So there are 6.2 kg in each raft
on day 1, 6.2 kg in Heron alone on day 2, and 3.1 kg in each on day 3.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan import needs
from kitplan.needs import list_lots, name_lots
from kitplan.plan import Packed, Shortfall
from kitplan.trip import (
    BoatLimits,
    CarriageRule,
    Counted,
    Fit,
    Reading,
    RuleSet,
    Spread,
    Step,
    Who,
)
from kitplan.trip.carriage import AT_MOST, BOATS, HOUSE, LAW, PEOPLE, SPREAD, WORN
from kitplan.verify.carried import list_shortfalls
from tests.rules.laden import DAYS, arrange, read_laden, stow
from tests.rules.tiny import KAYAK, RAFT, STEERS, Tiny

if TYPE_CHECKING:
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip

pytestmark = pytest.mark.usefixtures("in_folder")

STORES = """
[stores]
climate = "mild"
water = "from the river"
personal_bag = "0 kg"
personal_bag_volume = "0 L"

[[restock]]
day = 3
at = "morning"
brings = ["food"]
"""
GROUPS = ('safety = "set"', 'safety = "set"\ngroups = [["Heron", "Wren"], ["Teal"]]')
GUIDE = f"{STEERS}, leading = 2"
VEST = 'wears = { "life jacket, rescue" = 1, "locking carabiner" = 2 }'
TINY = Tiny(
    boats={"Wren": KAYAK, "Teal": "paddle raft 4.0 m", "Heron": RAFT},  # not by name
    people={
        "Ana": GUIDE,
        "Bo": STEERS,
        "Cy": '"paddle raft" = 3',
        "Dee": "rope = 2",
        "Eve": "throwing = 1",
        "Fay": "kayak = 3",
    },
    own={"Ana": VEST},
    kit={
        "throw bag 20 m": "count = 2",
        "throw bag 15 m": "count = 2",
        "first-aid kit": "count = 1",
        "locking carabiner": "count = 1",
        "raft paddle": "count = 1",
    },
    head=(DAYS,),
    river=(GROUPS,),
    more=STORES,
)
CREW = {"Heron": ("Ana", "Bo"), "Teal": ("Cy", "Dee", "Eve"), "Wren": ("Fay",)}
PACKED = (
    Packed("Heron", "throw bag 20 m", "quick", 2),
    Packed("Heron", "first-aid kit", "stowed", 1),
    Packed("Heron", "locking carabiner", "worn", 1, "Ana"),
    Packed("Teal", "throw bag 15 m", "worn", 1, "Cy"),
    Packed("Teal", "raft paddle", "quick", 1),
    Packed("Wren", "throw bag 15 m", "quick", 1),
)
STOWED = stow(
    Heron={"stove": 1, "food, day 2, sack": 2, "food, day 3, sack": 1},
    Teal={"filter": 1, "food, day 1, sack": 2, "food, day 3, sack": 1},
)

LINES, PADDLES = Counted(kinds=("line",)), Counted(kinds=("paddle",))
SPARE = replace(PADDLES, spare=True)
CARABINERS, FIRST_AID = Counted(kinds=("carabiner",)), Counted(kinds=("first aid",))
STOVES, FILTERS = Counted(kinds=("stove",)), Counted(kinds=("water treatment",))
HARNESSED = Counted(WORN, kinds=("harness",))
PERSONS, GUIDES = Counted(PEOPLE), Counted(PEOPLE, who=Who(guide=True))
EACH, GUESTS = Reading("boat", of=PEOPLE, for_each=1), Who(guest=True)
STEPS = Reading("boat", of=PEOPLE, steps=(Step(2, 1), Step(None, 3)))
OAR, PADDLE, DOUBLE = (BoatLimits(skills=(s,)) for s in ("oar raft", "paddle raft", "kayak"))


def trip_asks(count: int, bound: str = "at least") -> Reading:
    return Reading("trip", bound=bound, count=count)


def boat_asks(count: int, bound: str = "at least") -> Reading:
    return Reading("boat", bound=bound, count=count)


def rule(counts: Counted, reading: Reading, tier: str = LAW, name: str = "R") -> CarriageRule:
    return CarriageRule(name, "says", "source", "2020", "from memory", tier, counts, reading)


def spread(lost: str = "boat", within: str = "party", name: str = "S", **asks: object) -> Spread:
    return replace(Spread(name, "says", "source", lost, within), **asks)  # type: ignore[arg-type]


def count(trip: Trip, plan: Arrangement, *asked: CarriageRule | Spread) -> tuple[Shortfall, ...]:
    """Return the shortfalls of a trip that asks for this and nothing else."""
    rules = tuple(one for one in asked if isinstance(one, CarriageRule))
    spreads = tuple(one for one in asked if isinstance(one, Spread))
    told = replace(trip, rules=(RuleSet("set", "set", "", rules, ()),), spreads=spreads)
    return list_shortfalls(told, plan)


def look(*asked: CarriageRule | Spread) -> tuple[Shortfall, ...]:
    """Return the shortfalls of the plan above."""
    trip = read_laden(TINY)
    plan = replace(arrange(trip, **CREW), packed=PACKED, stowed=STOWED)
    return count(trip, plan, *asked)


# --- rules ----------------------------------------------------------------------------------------

Row = tuple[str, int, int, int]  # boat, asked, there, short

RULES: dict[str, tuple[Counted, Reading, list[Row]]] = {
    # 2 in Heron, 1 worn in Teal, 1 in Wren.
    "lines in the trip": (LINES, trip_asks(6), [("", 6, 4, 2)]),
    "as many lines as are asked": (LINES, trip_asks(4), []),
    "long lines": (replace(LINES, least_mm=20_000), trip_asks(4), [("", 4, 2, 2)]),
    "lines that float": (replace(LINES, flags=frozenset({"floats"})), trip_asks(3),
                         [("", 3, 2, 1)]),
    "a line for each person": (LINES, replace(EACH, scope="trip"), [("", 6, 4, 2)]),
    # The kit lies stowed; the bags and the carabiners do not.
    "a kit somewhere": (FIRST_AID, trip_asks(1), []),
    "a kit in reach": (replace(FIRST_AID, in_reach=True), trip_asks(1), [("", 1, 0, 1)]),
    "lines in reach": (replace(LINES, in_reach=True), trip_asks(4), []),
    # Of the two in Heron one counts.
    "lines in different boats": (replace(LINES, apart=True), trip_asks(4), [("", 4, 3, 1)]),
    "long lines in different boats": (replace(LINES, least_mm=20_000, apart=True), trip_asks(2),
                                      [("", 2, 1, 1)]),
    # Ana's own two and the one dealt to her; of these only that one is spare.
    "carabiners": (CARABINERS, trip_asks(4), [("", 4, 3, 1)]),
    "spare carabiners": (replace(CARABINERS, spare=True), trip_asks(4), [("", 4, 1, 3)]),
    "who wears a harness": (HARNESSED, trip_asks(2), [("", 2, 1, 1)]),
    # Dee's and Eve's, and the one dealt out.
    "paddles": (PADDLES, trip_asks(5), [("", 5, 3, 2)]),
    "spare paddles": (SPARE, trip_asks(5), [("", 5, 1, 4)]),
    "stoves": (STOVES, trip_asks(2), [("", 2, 1, 1)]),
    "stoves in reach": (replace(STOVES, in_reach=True), trip_asks(1), [("", 1, 0, 1)]),
    "guides": (GUIDES, trip_asks(2), [("", 2, 1, 1)]),
    "boats": (Counted(BOATS), trip_asks(4), [("", 4, 3, 1)]),
    "two boats at most": (Counted(BOATS), trip_asks(2, AT_MOST), [("", 2, 3, 1)]),
    "three boats at most": (Counted(BOATS), trip_asks(3, AT_MOST), []),
    "four people at most": (PERSONS, trip_asks(4, AT_MOST), [("", 4, 6, 2)]),
    "a kit in each boat": (FIRST_AID, boat_asks(1), [("Teal", 1, 0, 1), ("Wren", 1, 0, 1)]),
    "two lines in each boat": (LINES, boat_asks(2), [("Teal", 2, 1, 1), ("Wren", 2, 1, 1)]),
    "a line at most in each boat": (LINES, boat_asks(1, AT_MOST), [("Heron", 1, 2, 1)]),
    "four paddles in each boat": (PADDLES, boat_asks(4),
                                  [("Heron", 4, 0, 4), ("Teal", 4, 3, 1), ("Wren", 4, 0, 4)]),
    "a guide in each boat": (GUIDES, boat_asks(1), [("Teal", 1, 0, 1), ("Wren", 1, 0, 1)]),
    "two people at most in each boat": (PERSONS, boat_asks(2, AT_MOST), [("Teal", 2, 3, 1)]),
    "harness in each boat": (HARNESSED, boat_asks(1), [("Teal", 1, 0, 1), ("Wren", 1, 0, 1)]),
    # Crews of 2, 3 and 1; Eve is the one guest. With 2 people the first step is not passed.
    "a line for each of a crew": (LINES, EACH, [("Teal", 3, 1, 2)]),
    "a carabiner for each guest": (CARABINERS, replace(EACH, who=GUESTS), [("Teal", 1, 0, 1)]),
    "lines by steps": (LINES, STEPS, [("Teal", 3, 1, 2)]),
    "a line at most for each of a crew": (PERSONS, replace(EACH, bound=AT_MOST), []),
}  # fmt: skip


@pytest.mark.parametrize(("counts", "reading", "rows"), RULES.values(), ids=RULES)
def test_rules(counts: Counted, reading: Reading, rows: list[Row]) -> None:
    told = [Shortfall(LAW, "R", 1, boat, *numbers) for boat, *numbers in rows]
    assert list(look(rule(counts, reading))) == told


def test_a_rule_about_some_boats_is_about_no_other() -> None:
    rafts = replace(rule(FIRST_AID, boat_asks(1)), boats=BoatLimits(crafts=("raft",)))
    assert look(rafts) == (Shortfall(LAW, "R", 1, "Teal", 1, 0, 1),)


def test_for_the_trip_things_count_in_boats_too_that_the_rule_is_not_about() -> None:
    kayaks = replace(rule(FIRST_AID, trip_asks(2)), boats=BoatLimits(crafts=("kayak",)))
    assert look(kayaks) == (Shortfall(LAW, "R", 1, "", 2, 1, 1),)


# --- spreads --------------------------------------------------------------------------------------

Worst = tuple[int, str, int, int, int] | None  # day, lost boat, asked, there, short
ALL = "boat and crew"

SPREADS: dict[str, tuple[Spread, Worst]] = {
    # Without Heron there are Cy's and Wren's. Without Teal Cy's is saved with him.
    "lines": (spread(counts=LINES, count=3), (1, "Heron", 3, 2, 1)),
    "lines, where Heron's are not asked": (spread(counts=LINES, count=2), None),
    # Without Teal and its crew there are Heron's and Wren's: 3; without Heron 2.
    "lines without the crew": (spread(ALL, counts=LINES, count=4), (1, "Heron", 4, 2, 2)),
    # All three are on Ana: her own, and the one dealt to her.
    "carabiners on who is saved": (spread(counts=CARABINERS, count=3), None),
    "carabiners on who is lost": (spread(ALL, counts=CARABINERS), (1, "Heron", 1, 0, 1)),
    "the guide is saved": (spread(counts=GUIDES), None),
    "the guide is lost": (spread(ALL, counts=GUIDES), (1, "Heron", 1, 0, 1)),
    "the harness is saved": (spread(counts=HARNESSED), None),
    "the harness is lost": (spread(ALL, counts=HARNESSED), (1, "Heron", 1, 0, 1)),
    "people": (spread(ALL, counts=PERSONS, count=5), (1, "Teal", 5, 3, 2)),
    # Crew paddles go with the boat, and so does what lies in it.
    "paddles": (spread(counts=PADDLES), (1, "Teal", 1, 0, 1)),
    "what lies quick": (spread(counts=replace(LINES, least_mm=20_000)), (1, "Heron", 1, 0, 1)),
    "what is stowed": (spread(counts=FIRST_AID), (1, "Heron", 1, 0, 1)),
    "stores": (spread(counts=STOVES), (1, "Heron", 1, 0, 1)),
    "boats": (spread(counts=Counted(BOATS), count=3), (1, "Heron", 3, 2, 1)),
    # Without Heron in Teal and Wren; without Wren in Heron and Teal, as without Teal, with Cy's.
    "lines in different boats": (spread(counts=replace(LINES, apart=True), count=3),
                                 (1, "Heron", 3, 2, 1)),
    # Teal has the filter, and is with nobody.
    "within the party": (spread(counts=FILTERS), (1, "Teal", 1, 0, 1)),
    "within a group": (spread(within="group", counts=FILTERS), (1, "Heron", 1, 0, 1)),
    "lines within a group": (spread(within="group", counts=LINES, count=2),
                             (1, "Heron", 2, 1, 1)),
    # Without Teal no paddle raft asks for the paddle that went with it.
    "a paddle for paddle rafts": (spread(fits=(Fit(PADDLE, SPARE),)), None),
    "a paddle for kayaks": (spread(fits=(Fit(DOUBLE, SPARE),)), (1, "Teal", 1, 0, 1)),
    "for oar rafts and kayaks one is missing at a time": (
        spread(fits=(Fit(OAR, SPARE), Fit(DOUBLE, SPARE))), (1, "Teal", 1, 0, 1)),
    "a line for paddle rafts within a group": (
        spread(within="group", fits=(Fit(PADDLE, STOVES),)), None),
    # Free are 3, 4 and 0: Teal's three find seats in Heron. In Wren there is none for Heron's two.
    "seats": (spread(seats=True), None),
    "seats within a group": (spread(within="group", seats=True), (1, "Heron", 2, 0, 2)),
    # Half of 12.4 kg is in each raft on day 1, half of 6.2 kg on day 3. On day 2, before the
    # restock, all 6.2 kg are in Heron: 3.1 kg are asked, 4 kg in whole ones.
    "half the food": (spread(food_permille=500), (2, "Heron", 4, 0, 4)),
    # 6.2 x 0.25 = 1.55 kg.
    "a quarter of the food": (spread(food_permille=250), (2, "Heron", 2, 0, 2)),
    # 6200 x 0.484 = 3000.8 g are more than 3 kg.
    "a little more than three kilograms": (spread(food_permille=484), (2, "Heron", 4, 0, 4)),
    # 12.4 kg asked on day 1, and 6.2 kg are there without either raft: short of 7 whole ones; 7
    # on day 2 too.
    "all the food": (spread(food_permille=1000), (1, "Heron", 13, 6, 7)),
    # Without Heron, Wren has no food: on day 1 half of 12.4 kg are short, on day 2 half of 6.2 kg.
    "half the food within a group": (spread(within="group", food_permille=500),
                                     (1, "Heron", 7, 0, 7)),
    "no food asked": (spread(food_permille=0), None),
}  # fmt: skip


@pytest.mark.parametrize(("one", "worst"), SPREADS.values(), ids=SPREADS)
def test_spreads(one: Spread, worst: Worst) -> None:
    assert look(one) == ((Shortfall(SPREAD, "S", *worst),) if worst else ())


def test_food_is_short_by_whole_kilograms() -> None:
    """On day 1 there are 3.1, 6.2 and 3.1 kg: of 11.16 kg asked there are 6.2 without Teal."""
    trip = read_laden(TINY)
    stowed = stow(
        Heron={"food, day 2, sack": 1},
        Teal={"food, day 1, sack": 1, "food, day 2, sack": 1},
        Wren={"food, day 1, sack": 1},
    )
    plan = replace(arrange(trip, **CREW), stowed=stowed)
    worst = Shortfall(SPREAD, "S", 1, "Teal", 12, 7, 5)
    assert count(trip, plan, spread(food_permille=900)) == (worst,)


def test_stores_count_on_mornings_on_which_they_are_aboard(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without Teal there is no filter, whatever the day; if it came on day 2, there is none on 1.

    No trip has such a lot as yet, so it is made here.
    """
    lots = name_lots(list_lots(read_laden(TINY)))
    lots["filter"] = replace(lots["filter"], first_day=2, masses_g=(600, 600))
    monkeypatch.setattr(needs, "name_lots", lambda _: lots)
    assert look(spread(counts=FILTERS)) == (Shortfall(SPREAD, "S", 1, "Heron", 1, 0, 1),)


def test_tier_by_tier_and_each_in_its_order() -> None:
    rows = look(
        spread(counts=STOVES, name="stove"),
        rule(STOVES, trip_asks(2), HOUSE, "house stoves"),
        rule(FIRST_AID, boat_asks(1), LAW, "kits"),
        rule(LINES, trip_asks(4), LAW, "lines"),
        rule(LINES, trip_asks(5), LAW, "more lines"),
        spread(counts=FILTERS, name="filter"),
    )
    assert [(row.tier, row.name, row.boat) for row in rows] == [
        (LAW, "kits", "Teal"),
        (LAW, "kits", "Wren"),
        (LAW, "more lines", ""),
        (HOUSE, "house stoves", ""),
        (SPREAD, "stove", "Heron"),
        (SPREAD, "filter", "Teal"),
    ]


# --- two legs -------------------------------------------------------------------------------------

# Teal, Wren and their crews go ashore after day 2; on day 3 Heron has one bag and the stove.
LEAVE = dict.fromkeys(("Cy", "Dee", "Eve", "Fay"), "to = 2") | {"Ana": VEST}
TWO_LEGS = replace(
    TINY,
    boats={name: f'{kind}"\nto = 2\n#"' if name != "Heron" else kind
           for name, kind in TINY.boats.items()},
    own=LEAVE,
    river=(),
)  # fmt: skip
LATER = "Heron, from day 3"


def look_at_two_legs(*asked: CarriageRule | Spread) -> tuple[Shortfall, ...]:
    trip = read_laden(TWO_LEGS)
    packed = (*PACKED, Packed(LATER, "throw bag 20 m", "quick", 1))
    stowed = (*stow(Heron={"stove": 1}), *stow(**{LATER: {"stove": 1}}))
    plan = replace(arrange(trip, **CREW, **{LATER: CREW["Heron"]}), packed=packed, stowed=stowed)
    return count(trip, plan, *asked)


@pytest.mark.parametrize(
    ("counts", "reading", "rows"),
    [
        # Four and one.
        (LINES, trip_asks(5), [(3, "", 5, 1, 4)]),
        # Heron has 2 of 2, the others lack one each; on day 3 Heron lacks one.
        (LINES, boat_asks(2), [(1, "Teal", 2, 1, 1), (1, "Wren", 2, 1, 1)]),
        # A kit in two of three boats is missing, then in one.
        (FIRST_AID, boat_asks(1), [(1, "Teal", 1, 0, 1), (1, "Wren", 1, 0, 1)]),
        # Equally bad in both: the first leg counts.
        (STOVES, trip_asks(2), [(1, "", 2, 1, 1)]),
        # 6 people and 4 lines, then 2 and 1; by crew 0 + 2 + 0, then 1.
        (LINES, replace(EACH, scope="trip"), [(1, "", 6, 4, 2)]),
        (LINES, EACH, [(1, "Teal", 3, 1, 2)]),
    ],
)
def test_of_two_legs_the_worse_one_counts(
    counts: Counted, reading: Reading, rows: list[tuple[int, str, int, int, int]]
) -> None:
    told = tuple(Shortfall(LAW, "R", *row) for row in rows)
    assert look_at_two_legs(rule(counts, reading)) == told


def test_a_leg_of_one_boat_has_no_spread() -> None:
    """On day 3 nothing would be left without Heron; before, Teal and Wren have a line each."""
    assert look_at_two_legs(spread(ALL, counts=LINES, count=2)) == ()
    assert look_at_two_legs(spread(ALL, counts=LINES, count=3)) == (
        Shortfall(SPREAD, "S", 1, "Heron", 3, 2, 1),
    )
