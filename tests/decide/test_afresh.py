"""What is left of four days once something has happened, by hand from the texts."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide import Afresh, Happened, begin_afresh, find_wrong
from kitplan.needs import (
    ask_food,
    list_carriage,
    list_counting,
    list_lots,
    list_people,
    mass_by_morning,
    name_boxes,
    name_lots,
)
from kitplan.needs.boxes import deal_boxes, list_passing
from kitplan.needs.loads import list_loads
from kitplan.plan import Packed, Stowed
from kitplan.trip import CarriageRule, Condition, Counted, Reading, RuleSet, Spread, Who
from kitplan.verify.kept import CHECKS
from tests.decide.fourdays import (
    ARRANGEMENT,
    BAG,
    BAGS,
    BELT,
    CLIP,
    FIRST_AID,
    HERON,
    PADDLE,
    STOWED,
    load_four_days,
)

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Arrangement
    from kitplan.trip import Trip


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Trip:
    monkeypatch.chdir(tmp_path)
    return load_four_days()


def begin(trip: Trip, happened: Happened) -> Afresh:
    assert find_wrong(trip, ARRANGEMENT, happened) == []
    return begin_afresh(trip, ARRANGEMENT, happened)


def count_kit(trip: Trip) -> dict[str, int]:
    return {name: kit.count for name, kit in trip.kit.items()}


def count_lots(trip: Trip) -> dict[str, int]:
    return {name: lot.count for name, lot in name_lots(list_lots(trip)).items()}


def test_the_four_days_are_packed_by_the_rules(trip: Trip) -> None:
    for family, check in CHECKS.items():
        broken = [] if family == "station" else list(check(trip, ARRANGEMENT))
        assert broken == [], family


# --- days, boats, rapids --------------------------------------------------------------------------


def test_within_a_leg_the_days_that_are_over_are_gone(trip: Trip) -> None:
    new = begin(trip, Happened(2)).trip
    assert [(leg.first_day, leg.last_day) for leg in new.legs] == [(2, 2), (3, 4)]
    assert [leg.ends for leg in new.legs] == [leg.ends for leg in trip.legs]
    assert new.legs[0].boats == ("Heron", "Dipper", "Teal")
    assert new.legs[1].boats == (HERON, "Dipper, from day 3", "Coot")
    assert list(new.rapids) == ["Ledge", "Chute with Heron, Coot", "Chute with Dipper", "Weir"]
    assert new.days == range(2, 5)


def test_on_the_first_day_of_a_leg_boats_go_by_what_they_are_called(trip: Trip) -> None:
    new = begin(trip, Happened(3)).trip
    assert [(leg.first_day, leg.boats) for leg in new.legs] == [(3, ("Heron", "Dipper", "Coot"))]
    assert {name: (boat.called, boat.leg) for name, boat in new.boats.items()} == {
        "Heron": ("Heron", 0),
        "Dipper": ("Dipper", 0),
        "Coot": ("Coot", 0),
    }
    chutes = ("Chute with Heron, Coot", "Chute with Dipper")
    assert [new.rapids[name].boats for name in chutes] == [("Coot", "Heron"), ("Dipper",)]
    assert {rapid.leg for rapid in new.rapids.values()} == {0}
    assert list(new.paddlers) == ["Ana", "Bo", "Cy", "Dee"]


def tell_boxes(trip: Trip) -> dict[str, str]:
    """Return in which boat each box lies already."""
    return {
        box: boat
        for lot in list_lots(trip)
        for box, boat in zip(lot.boxes, lot.lies, strict=True)
        if boat
    }


def test_before_is_the_evening_and_not_what_was_planned_for_the_morning(trip: Trip) -> None:
    """Cy comes only, Eve leaves; what lay in Teal is there, in no boat that goes on."""
    before = begin(trip, Happened(3)).before
    assert dict(before.seats) == {"Ana": "Heron", "Dee": "Heron", "Bo": "Dipper"}
    assert tuple(row for row in before.packed if row.boat) == tuple(
        sorted(row for row in ARRANGEMENT.packed if row.boat in {"Heron", "Dipper"})
    )
    food = {"food, day 1, sack", "food, day 2, sack"}
    assert before.stowed == tuple(
        sorted(
            Stowed(boat, lot, count)
            for boat in ("Heron", "Dipper")
            for lot, count in STOWED[boat].items()
            if lot not in food
        )
    )


# --- kit ------------------------------------------------------------------------------------------


def test_what_was_not_taken_is_not_there(trip: Trip) -> None:
    """Of 5 bags 4 were taken, of 5 carabiners 3; paddles come on day 3, taken or not."""
    taken = {BAG: 4, BELT: 3, CLIP: 3, FIRST_AID: 1, PADDLE: 2}
    for day in (2, 3, 4):
        left = {**taken, PADDLE: 1} if day == 4 else taken
        assert count_kit(begin(trip, Happened(day)).trip) == left


def test_kit_that_nobody_took_is_in_no_leg(trip: Trip) -> None:
    rows = tuple(row for row in ARRANGEMENT.packed if row.item != CLIP)
    new = begin_afresh(trip, replace(ARRANGEMENT, packed=rows), Happened(2)).trip
    assert CLIP not in new.kit
    assert all(CLIP not in leg.kit for leg in new.legs)


def test_on_the_first_day_nothing_is_left_behind_yet(trip: Trip) -> None:
    new = begin(trip, Happened(1)).trip
    assert count_kit(new) == count_kit(trip)
    # In Dipper were two of the bags, a carabiner and the first-aid kit.
    new = begin(trip, Happened(1, lost=("Dipper",))).trip
    assert count_kit(new) == {BAG: 3, BELT: 3, CLIP: 4, PADDLE: 2}


def test_take_is_never_above_what_is_left(trip: Trip) -> None:
    """Two bags always go; once all but one are lost, one does."""
    lost = {("Heron", BAG): 1, ("Dipper", BAG): 2}
    new = begin(trip, Happened(2, lost_items=lost)).trip
    assert (new.kit[BAG].count, new.kit[BAG].take) == (1, 1)
    assert trip.kit[BAG].take == 2


def test_of_a_lost_item_what_lies_quick_is_lost_first(trip: Trip) -> None:
    rows = (*ARRANGEMENT.packed, Packed("Heron", CLIP, "quick", 1))
    plan = replace(ARRANGEMENT, packed=rows)
    before = begin_afresh(trip, plan, Happened(2, lost_items={("Heron", CLIP): 2})).before
    here = [row for row in before.packed if (row.boat, row.item) == ("Heron", CLIP)]
    assert here == [Packed("Heron", CLIP, "worn", 1, "Dee")]


# --- a boat lost or damaged -----------------------------------------------------------------------


def test_a_lost_boat_is_nowhere_any_more(trip: Trip) -> None:
    new, before = (one := begin(trip, Happened(2, lost=("Dipper",)))).trip, one.before
    assert [leg.boats for leg in new.legs] == [("Heron", "Teal"), (HERON, "Coot")]
    assert list(new.rapids) == ["Ledge", "Chute with Heron, Coot", "Weir"]
    assert new.rapids["Weir"].boats == ("Coot", HERON)
    assert new.running == ("Heron",)
    assert new.order.boats == ("Teal", "Heron", "Coot")
    # Bo is saved, tied to nothing and without a seat.
    assert new.paddlers["Bo"].boat is None
    assert "Bo" in new.legs[1].paddlers
    assert dict(before.seats) == {"Ana": "Heron", "Bo": "", "Dee": "Heron", "Eve": "Teal"}


def test_a_lost_boat_takes_along_what_lay_in_it(trip: Trip) -> None:
    """Bo keeps the bag at his belt, which then lies nowhere; two bags and a carabiner are gone."""
    new, before = (one := begin(trip, Happened(2, lost=("Dipper",)))).trip, one.before
    assert count_kit(new) == {BAG: 2, BELT: 3, CLIP: 2, PADDLE: 2}
    assert new.legs[0].kit == (BAG, BELT, CLIP)
    assert {row.boat for row in before.packed} == {"Heron", "Teal", ""}
    assert [row for row in before.packed if not row.boat] == [Packed("", BELT, "", 1)]
    assert "Bo" not in {row.worn_by for row in before.packed}
    # Who is not saved is lost with what he wears.
    new = begin(trip, Happened(2, lost=("Dipper",), absent=("Bo",))).trip
    assert count_kit(new)[BELT] == 2


def test_boxes_in_a_lost_boat_are_gone_and_the_others_keep_their_names(trip: Trip) -> None:
    """Food for days 3 and 4 only comes this evening, and so is all there."""
    new, before = (one := begin(trip, Happened(2, lost=("Dipper",)))).trip, one.before
    assert count_lots(new) == {
        "food, day 2, sack": 1,
        "food, day 3, sack": 2,
        "food, day 4, sack": 2,
        "fuel, bottle 1 of 2": 1,
        "toilet, toilet box 1 of 4": 1,
        "toilet, toilet box 2 of 4": 1,
        "stove": 1,
        "personal bag, 1 of 4": 1,
        BAGS: 2,
        "personal bag, from day 3": 1,
    }
    boxes = list(name_boxes(list_lots(new)))
    assert "food, day 2, sack 1 of 2" in boxes
    assert "food, day 2, sack 2 of 2" not in boxes
    assert tell_boxes(new)["personal bag, 3 of 4"] == "Heron"
    assert "personal bag, 4 of 4" not in boxes
    left = {**STOWED["Heron"], "food, day 1, sack": 0}
    assert [(row.lot, row.count) for row in before.stowed if row.boat == "Heron"] == sorted(
        (lot, count) for lot, count in left.items() if count
    )


def test_what_lay_in_a_boat_left_behind_is_all_there_and_lies_nowhere(trip: Trip) -> None:
    """Nobody is left to steer Dipper: it goes no further, and nothing of it is lost."""
    new, before = (one := begin(trip, Happened(2, left=("Dipper",)))).trip, one.before
    assert [leg.boats for leg in new.legs] == [("Heron", "Teal"), (HERON, "Coot")]
    assert new.paddlers["Bo"].boat is None
    assert dict(before.seats)["Bo"] == ""
    whole = begin(trip, Happened(2)).trip
    assert count_kit(new) == count_kit(whole)
    assert count_lots(new) == count_lots(whole)
    loose = [Packed("", BAG, "", 2), Packed("", CLIP, "", 1), Packed("", FIRST_AID, "", 1),
             Packed("", BELT, "", 1)]  # fmt: skip
    assert [row for row in before.packed if not row.boat] == sorted(loose)
    assert {row.boat for row in before.stowed} == {"Heron", "Teal"}
    lies = {boat for lot in new.stores.lots or () for boat in lot.lies} if new.stores else set()
    assert lies == {"", "Heron", "Teal"}


def test_food_that_has_come_is_lost_with_its_boat(trip: Trip) -> None:
    """On day 3 one of day 4's two sacks is in Dipper; on the morning there are 2.1 kg of it."""
    new = begin(trip, Happened(4, lost=("Dipper",))).trip
    assert count_lots(new)["food, day 4, sack"] == 1
    food = [lot for lot in list_lots(new) if lot.kind == "food"]
    assert mass_by_morning(food, 4) == 2100


def test_a_damaged_boat_alone_carries_less(trip: Trip) -> None:
    new = begin(trip, Happened(2, damaged={"Heron": 200_000})).trip
    assert {name: boat.type.payload_g for name, boat in new.boats.items()} == {
        "Heron": 200_000,
        "Dipper": 650_000,
        "Teal": 650_000,
        HERON: 200_000,
        "Dipper, from day 3": 650_000,
        "Coot": 650_000,
    }


# --- people, rapids -------------------------------------------------------------------------------


def test_who_is_absent_is_gone_and_stores_stay_as_they_were_packed(trip: Trip) -> None:
    """What was dealt to Dee stays, and lies nowhere; of those to be together one is left."""
    new, before = (one := begin(trip, Happened(2, absent=("Dee",)))).trip, one.before
    assert "Dee" not in new.paddlers
    assert [leg.paddlers for leg in new.legs] == [("Ana", "Bo", "Eve"), ("Ana", "Bo", "Cy")]
    assert [company.together for company in new.companies] == [False]
    assert count_kit(new) == {BAG: 4, BELT: 3, CLIP: 3, FIRST_AID: 1, PADDLE: 2}
    assert {row.item for row in before.packed if row.boat == "Heron"} == {BAG}
    assert count_lots(new) == count_lots(begin(trip, Happened(2)).trip)


def test_companies_are_of_those_who_are_left(trip: Trip) -> None:
    new = begin(trip, Happened(3)).trip
    assert [company.paddlers for company in new.companies] == [("Ana", "Dee"), ("Ana", "Bo")]


def test_who_does_not_come_brings_no_bag(trip: Trip) -> None:
    new = begin(trip, Happened(2, absent=("Cy",))).trip
    assert "personal bag, from day 3" not in count_lots(new)
    assert new.legs[1].paddlers == ("Ana", "Bo", "Dee")


def test_who_is_hurt_keeps_seat_mass_and_vest(trip: Trip) -> None:
    new, before = (one := begin(trip, Happened(2, hurt=("Dee",)))).trip, one.before
    dee = new.paddlers["Dee"]
    assert (dee.hurt, dee.guest, dee.skills, dee.certificates) == (True, False, {}, ())
    assert (dee.mass_g, dee.wears) == (70_000, trip.paddlers["Dee"].wears)
    assert dict(before.seats)["Dee"] == "Heron"
    # What was dealt to her is there, to be carried in another way.
    assert count_kit(new)[CLIP] == 3
    assert CLIP not in {row.item for row in before.packed if row.boat == "Heron"}


def test_what_is_lost_of_somebodys_own_is_not_worn(trip: Trip) -> None:
    vest = "life jacket, rescue"
    assert trip.paddlers["Dee"].wears[vest] == 1
    new = begin(trip, Happened(2, lost_items={("Dee", vest): 1})).trip
    kept = {item: n for item, n in trip.paddlers["Dee"].wears.items() if item != vest}
    assert new.paddlers["Dee"].wears == kept
    assert new.paddlers["Ana"].wears == trip.paddlers["Ana"].wears
    assert count_kit(new) == count_kit(begin(trip, Happened(2)).trip)


@pytest.mark.parametrize("name", ["Chute", "Chute with Dipper"])
def test_a_rapid_that_is_skipped_is_portaged(trip: Trip, name: str) -> None:
    """By its name in the file all who pass it are meant, by that of a passage those."""
    new = begin(trip, Happened(3, skipped=(name,))).trip
    runs = {rapid.name: (rapid.run, bool(rapid.spots)) for rapid in new.rapids.values()}
    others = ("portage", False) if name == "Chute" else ("run", True)
    assert runs == {
        "Chute with Heron, Coot": others,
        "Chute with Dipper": ("portage", False),
        "Weir": ("run", True),
    }


# --- what goes by days ----------------------------------------------------------------------------


def go_on(arrangement: Arrangement) -> Arrangement:
    """Return what was planned from day 3 on, by the boats' names in a trip that begins there."""
    names = {HERON: "Heron", "Dipper, from day 3": "Dipper", "Coot": "Coot"}
    return replace(
        arrangement,
        crew={new: arrangement.crew[old] for old, new in names.items()},
        steerer={new: arrangement.steerer[old] for old, new in names.items()},
        packed=tuple(
            replace(row, boat=names[row.boat]) for row in arrangement.packed if row.boat in names
        ),
        stowed=tuple(
            replace(row, boat=names[row.boat]) for row in arrangement.stowed if row.boat in names
        ),
        order=tuple(names[boat] for boat in arrangement.order if boat in names),
    )


@pytest.mark.parametrize("edit", [('2\nat = "evening"', '2\nat = "evening"'),
                                  ('2\nat = "evening"', '3\nat = "morning"')])  # fmt: skip
def test_what_comes_in_the_evening_or_the_morning_is_still_to_come(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, edit: tuple[str, str]
) -> None:
    """A restock of the evening before and one of the morning are told alike: aboard on day 3."""
    monkeypatch.chdir(tmp_path)
    trip = load_four_days(edit)
    new, before = (one := begin(trip, Happened(3, lost=("Teal",)))).trip, one.before
    assert not any(row.lot.startswith("food") for row in before.stowed)
    (third,) = list_passing(new, deal_boxes(new, go_on(ARRANGEMENT)))
    assert (third.day, third.ashore) == (3, {})
    assert {boat: [box for box, _ in boxes] for boat, boxes in third.aboard.items()} == {
        "Heron": ["food, day 3, sack 1 of 2", "food, day 3, sack 2 of 2",
                  "food, day 4, sack 1 of 2"],
        "Dipper": ["food, day 4, sack 2 of 2"],
        "Coot": ["personal bag, from day 3"],
    }  # fmt: skip


def test_what_was_planned_goes_on_with_the_same_loads(trip: Trip) -> None:
    new, rest = begin(trip, Happened(3)).trip, go_on(ARRANGEMENT)
    assert list(list_loads(new, rest).values()) == list(list_loads(trip, ARRANGEMENT).values())[3:]
    for family in ("seat", "payload", "owned", "take", "carried", "stowed", "hold", "order"):
        assert list(CHECKS[family](new, rest)) == [], family


def test_certificates_and_kit_count_to_the_same_dates(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Dee's certificate ends with day 2, the first-aid kit is good through day 3 of 4."""
    monkeypatch.chdir(tmp_path)
    dated = "count = 1\ntake = true\nretire_by = 2027-06-16"
    trip = load_four_days(("2028-05-31", "2027-06-15"), ("count = 1\ntake = true", dated))
    who, first_aid = Who(certificate="swift-water rescue"), Counted(kinds=("first aid",))
    for day, holds in ((1, [True, False]), (2, [True, False]), (3, [False]), (4, [False])):
        new = begin(trip, Happened(day)).trip
        assert [bool(list_people(new, leg, who)) for leg in new.legs] == holds
        counts = [FIRST_AID in list_counting(new, leg, first_aid).items for leg in new.legs]
        assert counts == holds


def test_the_last_day_of_a_trip_with_nights_is_one_of_a_trip_with_nights(trip: Trip) -> None:
    rule = CarriageRule(
        "toilet", "", "", "", "", "house", Counted(kinds=("line",)), Reading("trip"),
        when=Condition(overnight=True),
    )  # fmt: skip
    new = replace(begin(trip, Happened(4)).trip, rules=(RuleSet("ours", "", "", (rule,), ()),))
    assert [need.rule.id for need in list_carriage(new, new.legs[0])] == ["toilet"]


def test_half_the_food_is_half_of_what_there_is_for_the_days_left(trip: Trip) -> None:
    """Two sacks of 2.1 kg for day 3, two for day 4; one of these is lost with Dipper."""
    half = Spread("food", "", "", "boat", "party", food_permille=500)

    def ask(new: Trip, day: int) -> int:
        return ask_food(half, [lot for lot in list_lots(new) if lot.kind == "food"], day)

    there, short = (begin(trip, Happened(3, lost=lost)).trip for lost in ((), ("Dipper",)))
    assert (ask(there, 3), ask(there, 4)) == (4200, 2100)
    assert (ask(short, 3), ask(short, 4)) == (4200, 2100)  # it only comes on day 3
    assert ask(begin(trip, Happened(4, lost=("Dipper",))).trip, 4) == 1050


def test_boxes_stay_where_they_lie_before_the_first_leg(trip: Trip) -> None:
    """One of the two bags in Heron goes to Dipper, where the third one stays."""
    new = begin(trip, Happened(3)).trip
    rest = go_on(ARRANGEMENT)
    rows = [row for row in rest.stowed if row.lot != BAGS]
    rows += [Stowed("Heron", BAGS, 1), Stowed("Dipper", BAGS, 2)]
    dealt = deal_boxes(new, replace(rest, stowed=tuple(sorted(rows))))
    bags = [[box for box, lot in dealt[boat] if lot.name == BAGS] for boat in ("Heron", "Dipper")]
    assert bags == [["personal bag, 2 of 4"], ["personal bag, 3 of 4", "personal bag, 4 of 4"]]
    # Were it dealt from nothing, the first of the three would lie in Dipper just as well.
    swapped = {**tell_boxes(new), "personal bag, 2 of 4": "Dipper", "personal bag, 4 of 4": "Heron"}
    assert new.stores is not None
    lots = tuple(
        replace(lot, lies=tuple(swapped.get(box, "") for box in lot.boxes))
        for lot in list_lots(new)
    )
    new = replace(new, stores=replace(new.stores, lots=lots))
    dealt = deal_boxes(new, replace(rest, stowed=tuple(sorted(rows))))
    assert [box for box, lot in dealt["Heron"] if lot.name == BAGS] == ["personal bag, 3 of 4"]


def test_a_trip_begun_afresh_can_be_begun_afresh_again(trip: Trip) -> None:
    """Boxes keep their names, however often."""
    second = begin(trip, Happened(2, lost=("Teal",))).trip
    plan = replace(
        ARRANGEMENT,
        stowed=tuple(
            row for row in ARRANGEMENT.stowed if row.boat != "Teal" and "day 1" not in row.lot
        ),
        packed=tuple(row for row in ARRANGEMENT.packed if row.boat != "Teal"),
    )
    third = begin_afresh(second, plan, Happened(3)).trip
    assert count_lots(third) == {
        name: count for name, count in count_lots(second).items() if "day 2" not in name
    }
