"""One tiny trip for each rule family, twice: where the rule bites, and where it just does not.

Each optimum is derived by hand in the comment beside it, from the rules as DEVELOPERS.md states
them; no program computed them. Every case weighs 8 (class II: 2 x 2, consequence 2, likely 1), and
so does every demand of first choice (class 2 x 4). A throw bag of 20 m weighs 1 kg.

Unless said otherwise: two rafts; Ana and Bo steer, Cy and Dee throw; two bags; one usable bank,
which has a path down from above. The best is a steerer, a thrower and a bag in each raft: while the
first runs, the crew of the second has walked down; while the second runs, the first has landed.
Nobody could stand in for that one thrower, so neither case is backed: 0, 0, 0, 16, and 2,000 g.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan import rules
from tests.rules.solved import solve
from tests.rules.tiny import (
    BASE,
    BOTH,
    BOTH_PATHS,
    CLIPPED,
    FOUR,
    GATHER,
    KAYAK,
    LONG,
    MISSED,
    NO_PATH,
    NO_RATE,
    ODD,
    PLACE,
    RAFT,
    RESCUE_VEST,
    RESETS,
    SMALL,
    STEERS,
    STOWED,
    THREE,
    THROWER,
    THROWS,
    TORN,
    TWO_BANKS,
    TWO_IF_CROWDED,
    WAIST,
    WATER,
    WAYS,
    WEAK,
    Tiny,
    company,
    few,
    kayaks,
    lines,
    odd_raft,
    read_tiny,
    work,
)

if TYPE_CHECKING:
    from pathlib import Path

AS_BASE = (0, 0, 0, 16, 2000)
# Teal can't have thrower and bag: while Heron runs nobody throws. While Teal runs Heron has both
# throwers and both bags, so that case is backed: 8, 0, 8, 0 and 2,000 g.
TEAL_WITHOUT = (8, 0, 8, 0, 2000)

# Nobody is on the bank before his run, and of those who throw there is one, in Heron.
ONLY_CY = replace(
    BASE,
    people={"Ana": STEERS, "Bo": '"oar raft" = 2', "Cy": THROWS},
    own={"Cy": 'boat = "Heron"'},
    river=(NO_PATH,),
)
APART = {"Ana": 'boat = "Teal"', "Bo": 'boat = "Heron"', "Cy": 'boat = "Heron"'}
SWEEP = '[order]\nsweep = ["line"]\n'

ROOM_119, ROOM_120 = 'hold = "119 L"', 'hold = "120 L"'
CRATED = replace(
    BASE,
    boats={"Heron": "odd raft", "Teal": RAFT},
    types=odd_raft(more='longest = "1.0 m"') + NO_RATE,
)


def roomy(room: str) -> str:
    """Return a boat type for Heron that takes two tonnes and has so much room."""
    return odd_raft(payload="2000 kg", more=room) + NO_RATE


def crates(mass: str, count: int = 1, length: str = "0.4 m") -> str:
    """Return crates of 60 l as a trip's only stores."""
    return f"""
[stores]
climate = "mild"
water = "from the river"
personal_bag = "0 kg"
personal_bag_volume = "0 L"

[[store]]
item = "crate"
count = {count}
mass = "{mass}"
volume = "60 L"
packed_length = "{length}"
"""


TWO_CRATES = crates("493.5 kg", 2)

Optimum = tuple[int, int, int, int, int]  # uncovered, one bank, unmet, not backed, grams
Told = tuple[Tiny, Optimum]

OPTIMA: dict[str, tuple[Told, Told]] = {
    "seat": (
        # Cy alone throws and sits in one boat: while that one runs nobody throws. One bag will do.
        (replace(BASE, people=BASE.people | {"Dee": "rope = 2"}), (8, 0, 8, 8, 1000)),
        (BASE, AS_BASE),
    ),
    "seats": (
        # Teal's one seat is its steerer's.
        (replace(ODD, types=odd_raft(seats=1)), TEAL_WITHOUT),
        (replace(ODD, types=odd_raft(seats=2)), AS_BASE),
    ),
    "steerer": (
        # Only Ana may steer the kayak, and she can't throw; class II asks for level 2.
        (
            replace(
                BASE,
                boats={"Heron": RAFT, "Teal": KAYAK},
                people={"Ana": f"{STEERS}, kayak = 2", "Bo": f"{BOTH}, kayak = 1", "Cy": BOTH},
            ),
            TEAL_WITHOUT,
        ),
        # Now Bo may, and takes a bag along; Ana steers Heron and Cy throws from there.
        (
            replace(
                BASE,
                boats={"Heron": RAFT, "Teal": KAYAK},
                people={"Ana": f"{STEERS}, kayak = 2", "Bo": f"{BOTH}, kayak = 2", "Cy": BOTH},
            ),
            AS_BASE,
        ),
    ),
    "least-crew": (
        # Three of the four in Teal, so Heron has its steerer alone: the boats' parts are changed.
        (replace(ODD, types=odd_raft(least=3)), TEAL_WITHOUT),
        (replace(ODD, types=odd_raft(least=2)), AS_BASE),
    ),
    "tied": (
        (replace(BASE, own=dict.fromkeys(("Cy", "Dee"), 'boat = "Heron"')), TEAL_WITHOUT),
        (replace(BASE, own={"Cy": 'boat = "Heron"', "Dee": 'boat = "Teal"'}), AS_BASE),
    ),
    "together": (
        (replace(BASE, more=company("together", "Cy", "Dee")), TEAL_WITHOUT),
        (replace(BASE, more=company("together", "Ana", "Cy")), AS_BASE),
    ),
    "apart": (
        # Neither thrower may sit with Ana, so both sit with Bo.
        (
            replace(BASE, more=company("apart", "Ana", "Cy") + company("apart", "Ana", "Dee")),
            TEAL_WITHOUT,
        ),
        (replace(BASE, more=company("apart", "Cy", "Dee")), AS_BASE),
    ),
    "payload": (
        # Two people of 70 kg, 8 kg of wet kit each, and a bag: 157 kg. Teal takes 156.9 kg.
        (replace(ODD, types=odd_raft(payload="156.9 kg")), TEAL_WITHOUT),
        (replace(ODD, types=odd_raft(payload="157 kg")), AS_BASE),
    ),
    "stowed": (
        # The crate is 1.5 m long and fits Teal alone, which takes 650 kg: with two people 156 kg,
        # and with a bag 157 kg.
        (replace(CRATED, more=crates("493.5 kg", length="1.5 m")), TEAL_WITHOUT),
        (replace(CRATED, more=crates("493 kg", length="1.5 m")), AS_BASE),
    ),
    "hold": (
        # Two crates of 60 l. One lies in Teal where Heron has no room for both.
        (
            replace(CRATED, more=crates("493.5 kg", 2), types=roomy(ROOM_119)),
            TEAL_WITHOUT,
        ),
        (
            replace(CRATED, more=crates("493.5 kg", 2), types=roomy(ROOM_120)),
            AS_BASE,
        ),
    ),
    "owned": (
        # While the boat with the only bag runs there is none.
        (replace(BASE, kit={"throw bag 20 m": "count = 1"}), (8, 0, 8, 8, 1000)),
        (BASE, AS_BASE),
    ),
    "take": (
        # Nothing asks for the first-aid kit of 3.2 kg, but it must go.
        (
            replace(BASE, kit=BASE.kit | {"first-aid kit": "count = 1\ntake = true"}),
            (0, 0, 0, 16, 5200),
        ),
        (replace(BASE, kit=BASE.kit | {"first-aid kit": "count = 1"}), AS_BASE),
    ),
    "carried": (
        # Under the load no bag is in reach at once, so none is packed.
        (replace(BASE, catalog=(STOWED,)), (16, 0, 16, 0, 0)),
        (BASE, AS_BASE),
    ),
    "quick-bulky": (
        (replace(ODD, types=odd_raft(bulky=0)), TEAL_WITHOUT),
        (replace(ODD, types=odd_raft(bulky=1)), AS_BASE),
    ),
    "quick-small": (
        # The same with two small bags of 550 g.
        (
            replace(
                ODD,
                types=odd_raft(small=0),
                kit={"throw bag 15 m": "count = 2"},
                catalog=(SMALL,),
            ),
            (8, 0, 8, 0, 1100),
        ),
        (
            replace(
                ODD,
                types=odd_raft(small=1),
                kit={"throw bag 15 m": "count = 2"},
                catalog=(SMALL,),
            ),
            (0, 0, 0, 16, 1100),
        ),
    ),
    "vest-room": (
        # A throw asks for a carabiner of 85 g, too, and only Cy's vest has room for any. Nothing is
        # covered while Cy's boat runs; while the other one runs there are Cy and Dee, two bags and
        # two carabiners, so that case is backed.
        (
            replace(
                BASE,
                kit=BASE.kit | {"locking carabiner": "count = 4"},
                own={"Cy": RESCUE_VEST},
                catalog=CLIPPED,
            ),
            (8, 0, 8, 0, 2170),
        ),
        # A vest in each boat: a bag and a carabiner each.
        (
            replace(
                BASE,
                kit=BASE.kit | {"locking carabiner": "count = 4"},
                own={"Cy": RESCUE_VEST, "Dee": RESCUE_VEST},
                catalog=CLIPPED,
            ),
            (0, 0, 0, 16, 2170),
        ),
    ),
    "waist-room": (
        # Three bags at the waist of three people: three in one boat, and the fourth can't have
        # three while that one runs. A fourth bag to back it finds no waist. 3 x 550 g.
        (
            replace(BASE, kit={"throw bag 15 m": "count = 6"}, catalog=(WAIST, lines(3))),
            (8, 0, 8, 8, 1650),
        ),
        # Two bags at the waists of two people in each boat. 4 x 550 g.
        (
            replace(BASE, kit={"throw bag 15 m": "count = 6"}, catalog=(WAIST, lines(2))),
            (0, 0, 0, 16, 2200),
        ),
    ),
    "order": (
        # No path: only who has run is on the bank. Cy alone throws and sits in Heron. Teal first:
        # Cy is above while it runs, and runs himself then: nothing is covered.
        (
            replace(ONLY_CY, more='[order]\nboats = ["Teal", "Heron"]\n'),
            (16, 0, 16, 0, 0),
        ),
        # Heron first, which the solver finds itself: Cy covers Teal, with the one bag.
        (ONLY_CY, (8, 0, 8, 8, 1000)),
    ),
    "lead": (
        # The same, but only Ana has the level of the lead and sits in Teal: so Teal is first.
        (replace(ONLY_CY, own=APART, more="[order]\nlead = 3\n"), (16, 0, 16, 0, 0)),
        # Bo's level will do.
        (replace(ONLY_CY, own=APART, more="[order]\nlead = 2\n"), (8, 0, 8, 8, 1000)),
    ),
    "sweep": (
        # The only bag must lie in the last boat; it is of use only in the first.
        (replace(ONLY_CY, more=SWEEP, kit={"throw bag 20 m": "count = 1"}), (16, 0, 16, 0, 1000)),
        # A bag in each.
        (replace(ONLY_CY, more=SWEEP), (8, 0, 8, 8, 2000)),
    ),
    "row-twice": (
        # Ana takes Bo's raft down as well, and throws for nobody there: see test_row_twice.
        (MISSED, (18, 0, 12, 18, 1000)),
        # Two others throw, one from each raft.
        (WEAK, (0, 0, 0, 36, 2000)),
    ),
    "station": (
        # Three rafts, two banks, but no path on the right one: while the first runs the others can
        # only wait on the left (or above), so the right bank is not covered, nor its demand met;
        # but those two back each other. Then the first stands on the right; for the second and for
        # the third run somebody stands on the left: covered, not backed, twice.
        (replace(THREE, river=(TWO_BANKS,)), (0, 8, 8, 16, 3000)),
        # A path on the right too: of the two others one is on each bank each time. None is backed.
        (replace(THREE, river=(BOTH_PATHS,)), (0, 0, 0, 24, 3000)),
    ),
    "held": (
        # Wren, Heron, Teal run in this order; take Cy in Teal. First run: Cy throws, no kayak is
        # below: 4 unmet. Second: Cy throws and Ana, afloat, could pick up: 0, or on the bank: 4.
        # Third: only Ana is left: on the bank 4, afloat 8. Held, either way 4 + 4 + 4 or
        # 4 + 0 + 8; on the bank she and Cy back each other in the second. (With Cy in Heron the
        # second and the third change places.) Two bags.
        (TORN, (0, 0, 12, 16, 2000)),
        # Reset: 4 + 0 + 4, and nothing is backed.
        (replace(TORN, head=(RESETS,)), (0, 0, 8, 24, 2000)),
    ),
    "landing": (
        # Room for one above and for one below. While the first runs one crew has walked down;
        # while the second runs the first is there and the third, who back each other; while the
        # third runs one of the others. So the first and the third need bags, and two cases stay
        # without backing.
        (replace(THREE, river=(("landing = 3", "landing = 1"),)), (0, 0, 0, 16, 2000)),
        # With room for two the two others may always stand there.
        (replace(THREE, river=(("landing = 3", "landing = 2"),)), (0, 0, 0, 0, 3000)),
    ),
    "eddies": (
        # Only who has run waits afloat: nobody while the first of four kayaks runs, one while the
        # second does, who can't do the work of two: two cases. Then there are two; a kayak takes
        # 0.4 of an eddy, so all three are too many while the fourth runs: nobody backs the two.
        (kayaks(4, 1, work("chase", 2)), (16, 0, 16, 16, 0)),
        # Room for all: three are there for two works while the fourth runs.
        (kayaks(4, 2, work("chase", 2)), (16, 0, 16, 8, 0)),
    ),
    "people": (
        # Two throwers and a bag; nobody is two of them. Both sit in one boat.
        (
            replace(BASE, catalog=((THROWER, THROWER.replace("throws", "count = 2, throws")),)),
            (8, 0, 8, 8, 1000),
        ),
        # Ana and Bo throw, too: two in each boat.
        (
            replace(
                BASE,
                people=BASE.people | {"Ana": BOTH, "Bo": BOTH},
                catalog=((THROWER, THROWER.replace("throws", "count = 2, throws")),),
            ),
            AS_BASE,
        ),
    ),
    "minders": (
        # Eve, a guest, sits in one boat. While that one waits on the bank nobody there may mind
        # her, so no team works there; the other boat has both throwers and both bags.
        (
            replace(BASE, people=BASE.people | {"Eve": "leading = 1"}, own={"Eve": "guest = true"}),
            TEAL_WITHOUT,
        ),
        # Ana leads, steers Eve's boat and minds her while Cy throws.
        (
            replace(
                BASE,
                people=BASE.people | {"Eve": "leading = 1", "Ana": f"{STEERS}, leading = 2"},
                own={"Eve": "guest = true"},
            ),
            AS_BASE,
        ),
    ),
    "things": (
        # Two bags of three can lie in one boat only; with the third and both throwers in it that
        # case is backed.
        (
            replace(BASE, kit={"throw bag 20 m": "count = 3"}, catalog=(lines(2),)),
            (8, 0, 8, 0, 3000),
        ),
        (
            replace(BASE, kit={"throw bag 20 m": "count = 4"}, catalog=(lines(2),)),
            (0, 0, 0, 16, 4000),
        ),
    ),
    "hands": (
        # One person ashore has two hands for three bulky bags.
        (
            replace(
                BASE,
                people={"Ana": BOTH, "Bo": BOTH},
                kit={"throw bag 20 m": "count = 6"},
                catalog=(lines(3),),
            ),
            (16, 0, 16, 0, 0),
        ),
        # A small bag of 550 g asks for no hand: two bulky ones and a small one in each boat.
        (
            replace(
                BASE,
                people={"Ana": BOTH, "Bo": BOTH},
                kit={"throw bag 20 m": "count = 6", "throw bag 15 m": "count = 2"},
                catalog=(lines(3),),
            ),
            (0, 0, 0, 16, 5100),
        ),
    ),
    "boatwork": (
        # The one kayak that has run can't do two works; two can, while the third one runs, and
        # nobody backs them.
        (kayaks(2, 2, work("chase"), work("pick-up")), (16, 0, 16, 0, 0)),
        (kayaks(3, 2, work("chase"), work("pick-up")), (16, 0, 16, 8, 0)),
    ),
    "pool": (
        # Unhurried work reaches the bags under the load, but not Cy, the only one who throws,
        # while his boat runs. His bag must lie in the other boat or in his: one will do.
        (
            replace(
                BASE,
                people=BASE.people | {"Dee": "rope = 2"},
                catalog=(STOWED, (PLACE, f'hurry = "unhurried"\n{PLACE}')),
            ),
            (8, 0, 8, 8, 1000),
        ),
        (replace(BASE, catalog=(STOWED, (PLACE, f'hurry = "unhurried"\n{PLACE}'))), AS_BASE),
    ),
    "swimmers": (
        # From the water counts for every bank; nobody can wait afloat. Two and two: one throws for
        # two swimmers. Three and one: both throwers with both bags stand by for the one, and back
        # each other; nobody throws for the three.
        (replace(BASE, catalog=GATHER), (8, 0, 8, 0, 2000)),
        # With an eddy the one alone waits afloat, with four of five seats free for the three; while
        # he runs it is as before. Nothing takes the place of his raft if it is lost.
        (replace(BASE, catalog=GATHER, river=(("eddies = 0", "eddies = 2"),)), (0, 0, 0, 8, 2000)),
    ),
    "crowd": (
        # Five people: three in one raft. While it runs two throwers are asked for, and the other
        # raft has but one seat taken beside its steerer's. So both throwers sit in the raft of
        # three: not covered while that one runs; while the other does they back each other.
        (
            replace(BASE, people=BASE.people | {"Eve": "rope = 2"}, catalog=(TWO_IF_CROWDED,)),
            (8, 0, 8, 0, 2000),
        ),
        # Three are few: a thrower in each raft again.
        (
            replace(
                BASE, people=BASE.people | {"Eve": "rope = 2"}, catalog=(TWO_IF_CROWDED, few(3))
            ),
            AS_BASE,
        ),
    ),
    "met": (
        # Neither way has its thing.
        (replace(BASE, kit={"first-aid kit": "count = 1"}, catalog=WAYS), (16, 0, 16, 0, 0)),
        # One of two ways is enough: a paddle of 850 g in each boat.
        (replace(BASE, kit={"raft paddle": "count = 2"}, catalog=WAYS), (0, 0, 0, 16, 1700)),
    ),
    "covered": (
        # No bag, and nobody has the kayak level 3 that a pick-up asks for, though level 2 is enough
        # to steer: nothing from either bank, nor from the water. Unmet for each of two boats: a
        # throw from each bank, 8 each, and a pick-up, which comes second to them: 2 x 2 = 4.
        (replace(WATER, people={"Ana": "kayak = 2", "Bo": "kayak = 2"}), (16, 16, 40, 0, 0)),
        # The first kayak picks the second's swimmer up: from the water counts for each bank, and
        # leaves the two throws unmet. While the first runs nobody is there: 8 + 8 + 4 unmet.
        (WATER, (8, 8, 36, 8, 0)),
    ),
    "backed": (
        (BASE, AS_BASE),
        # Two throwers and two bags in each boat: one of each may be lost.
        (
            replace(
                BASE,
                people=BASE.people | {"Eve": THROWS, "Fay": THROWS},
                kit={"throw bag 20 m": "count = 4"},
            ),
            (0, 0, 0, 0, 4000),
        ),
    ),
}


@pytest.mark.parametrize("bites", [True, False], ids=["bites", "does not"])
@pytest.mark.parametrize("family", OPTIMA)
def test_optimum_of_a_family(
    family: str, *, bites: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    tiny, optimum = OPTIMA[family][0 if bites else 1]
    assert solve_tiny(tmp_path, tiny) == optimum


@pytest.mark.parametrize(
    ("landing", "optimum"),
    [
        # While the first runs only one of two is down from above; after it two are there.
        ("landing = 3, landing_above = 1", (0, 0, 0, 8, 3000)),
        # While the third runs only one of two has a place below; before it two are there.
        ("landing = 1, landing_above = 3", (0, 0, 0, 8, 3000)),
        # Nobody gets ashore above: as with no path. Nothing covers the first, the first alone
        # covers the second, and both of them, backing each other, the third. Two bags.
        ("landing = 3, landing_above = 0", (8, 0, 8, 8, 2000)),
    ],
)
def test_landings_above_and_below_are_two(
    tmp_path: Path, landing: str, optimum: Optimum, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three rafts with a thrower and a bag each, and the one bank."""
    monkeypatch.chdir(tmp_path)
    assert solve_tiny(tmp_path, replace(THREE, river=(("landing = 3", landing),))) == optimum


@pytest.mark.parametrize(("longest", "optimum"), [("1.49 m", TEAL_WITHOUT), ("1.5 m", AS_BASE)])
def test_what_is_too_long_for_a_boat_is_stowed_in_the_other(
    tmp_path: Path, longest: str, optimum: Optimum, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Bags of 1.5 m, stowed, unhurried work: if Teal is too short for them both are in Heron.

    Then nothing is there while Heron runs; while Teal does, both bags and both throwers are.
    """
    monkeypatch.chdir(tmp_path)
    types = odd_raft(more=f'longest = "{longest}"')
    assert solve_tiny(tmp_path, replace(ODD, types=types, catalog=LONG)) == optimum


EDDIES = ("eddies = 0", "eddies = 3")
NO_BANK = ("left = { landing = 3", "left = { landing = 0")
# Nobody is afloat below the first boat that runs. Where there is a bank its one is taken ashore;
# where there is none it is not covered: 8.
SWIMMERS: dict[str, Told] = {
    # Three rafts with one aboard each: the first waits afloat after its run, so below the second
    # and the third; ashore is, of the other two, the one that does not run, so each has a bag. Both
    # stand there for the first, and back each other; for them nobody stands in for anybody.
    "both ways where both are possible": (
        replace(THREE, catalog=GATHER, river=(EDDIES,)),
        (0, 0, 0, 16, 2000),
    ),
    # Again the first afloat, as it alone is there for the second. Two of the other three have bags,
    # so that one is ashore whoever runs, and two for the first. To be backed, the others want two
    # afloat and two ashore.
    "four rafts are too few for two of each": (
        replace(FOUR, catalog=GATHER, river=(EDDIES,)),
        (0, 0, 0, 24, 2000),
    ),
    # One way only: below the third are two afloat, either of which has four seats for its one.
    "boats back each other": (
        replace(THREE, catalog=GATHER, river=(EDDIES, NO_BANK)),
        (8, 0, 8, 8, 0),
    ),
    # Room for one afloat: nobody stands in for it.
    "a boat has no spare": (
        replace(THREE, catalog=GATHER, river=(("eddies = 0", "eddies = 1"), NO_BANK)),
        (8, 0, 8, 16, 0),
    ),
    # Rafts of one seat have none free; steered by one, they take nobody.
    "no seat is free": (
        replace(
            THREE,
            boats=dict.fromkeys(THREE.boats, "odd raft"),
            types=odd_raft(seats=1),
            catalog=GATHER,
            river=(EDDIES, NO_BANK),
        ),
        (24, 0, 24, 0, 0),
    ),
    # A kayak takes one on its deck end.
    "a kayak takes one": (
        replace(kayaks(2, 2), catalog=GATHER, river=(("eddies = 0", "eddies = 2"), NO_BANK)),
        (8, 0, 8, 8, 0),
    ),
}


@pytest.mark.parametrize("name", SWIMMERS)
def test_who_takes_all_who_swim(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    tiny, optimum = SWIMMERS[name]
    assert solve_tiny(tmp_path, tiny) == optimum


def solve_tiny(folder: Path, tiny: Tiny) -> tuple[int, ...]:
    """Return the values of the first five aims, proven and verified."""
    return tuple(aim.value for aim in solve(read_tiny(folder, tiny)).aims[:5])


def test_every_family_has_its_optimum() -> None:
    assert set(OPTIMA) == {family.name for family in rules.FAMILIES}
