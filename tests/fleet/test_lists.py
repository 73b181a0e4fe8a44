"""Lists, sets and extras in small cases, each with its least cost derived by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitplan.fleet.checks import OPEN, Asked
from kitplan.fleet.nouns import Lists
from kitplan.fleet.pool import Trialling
from kitplan.fleet.proof import list_beyond
from kitplan.plan import Arrangement, Packed
from kitplan.solve.run import Clock
from tests.fleet.tinyfleet import BAGS, BROAD, GUIDE, RIFFLE, find, read_fleet
from tests.rules.tiny import KAYAK, RAFT, THROWS

pytestmark = pytest.mark.usefixtures("in_folder")
BELT, BAG = BAGS


def test_extras_are_cheaper_where_there_are_many_more_boats() -> None:
    # Of ten rafts each would have a bag: 10 x 55 EUR on a list; two belt bags as extras of a trip
    # are 2 x 1.5 x 55 = 165 EUR. Two guides lead at level 3, and nobody else: 2 x 55 = 110 EUR.
    found = find(read_fleet(RIFFLE, boats={RAFT: 10}))
    assert found.lists == Lists(worn={(3, BELT): 1})
    assert found.cost == 100 * 11_000


def test_a_guide_whose_waist_is_taken_keeps_his_level_from_a_set() -> None:
    # Ana wears a belt bag of her own: there is no room for another one, so that nobody who leads at
    # 3 has one in his set.
    one = replace(RIFFLE, own={"Ana": f'wears = {{ "{BELT}" = 1 }}'})
    found = find(read_fleet(one))
    assert not found.lists.worn
    # She throws her own: one bag is asked for where she does not sit. As an extra it is 82.50 EUR.
    assert found.lists == Lists(extras={("riffle", BELT): 1})
    assert found.cost == 150 * 5_500
    # Where an extra counts three times, 165 EUR, sets for her and Bo would be cheaper: 110 EUR.
    dear = find(read_fleet(one, factor=300, boats={RAFT: 10}))
    assert dear.lists == found.lists


def test_all_of_a_list_has_room_though_it_stays_at_home() -> None:
    # Two kayaks have a bulky place each. One trip asks for a line of 20 m, the other one for one of
    # 15 m; there the list's bag of 20 m does as well.
    kayaks = dict.fromkeys(("Wren", "Tern"), KAYAK)
    people = {"Ana": "kayak = 3, throwing = 4", "Bo": "kayak = 3, throwing = 4"}
    narrow = replace(RIFFLE, boats=kayaks, people=people)
    wide = replace(BROAD, boats=kayaks, people=people, head=(('name = "tiny"', 'name = "wide"'),))
    found = find(read_fleet(narrow, wide))
    assert found.lists == Lists(issued={(KAYAK, BAG): 1})
    assert found.cost == 100 * 16_000


def test_a_list_that_has_no_room_on_one_trip_is_no_list() -> None:
    # Two kayaks on each trip. On the one, 600 g are left of the payload of each: for a belt bag.
    # The other asks for the bag of 20 m, 1 kg, in both. On a list it would have to have room on
    # both trips. So belt bags are on the list, 2 x 55 EUR, and the others extras, 2 x 1.5 x 80 EUR;
    # might they lie at home without room, it would be 2 x 80 and belt bags as extras 2 x 1.5 x 55.
    kayaks = dict.fromkeys(("Wren", "Tern"), KAYAK)
    people = {"Ana": "kayak = 3, throwing = 4", "Bo": "kayak = 3, throwing = 4"}
    fleet = read_fleet(*(replace(one, boats=kayaks, people=people) for one in (RIFFLE, BROAD)))
    light = fleet.outings["riffle"]
    heavy = {n: replace(p, mass_g=106_400) for n, p in light.trip.paddlers.items()}
    stocked = replace(light.stocked, paddlers=heavy)
    full = replace(light, trip=replace(light.trip, paddlers=heavy), stocked=stocked)
    found = find(replace(fleet, outings={**fleet.outings, "riffle": full}))
    assert all(one.goal.uncovered == 0 for one in found.outcomes.values())
    assert found.lists == Lists(issued={(KAYAK, BELT): 1}, extras={("broad", BAG): 2})
    assert found.cost == found.bound == 100 * 35_000


def test_a_heavy_crew_leaves_no_payload_for_a_list() -> None:
    # A kayak carries 115 kg. Bo weighs 106 kg, his wet clothes 8 kg: 1 kg is left, and a bag of
    # 20 m weighs 1 kg. With 107 kg there is no room, for an extra neither, and no cover by him.
    kayaks = dict.fromkeys(("Wren", "Tern"), KAYAK)
    people = {"Ana": "kayak = 3, throwing = 4", "Bo": "kayak = 3, throwing = 4"}
    wide = replace(BROAD, boats=kayaks, people=people, own={})
    for mass, covered in ((106, 16), (107, 8)):
        fleet = read_fleet(wide)
        trip = fleet.outings["broad"].stocked
        heavy = {**trip.paddlers, "Bo": replace(trip.paddlers["Bo"], mass_g=mass * 1000)}
        outing = replace(fleet.outings["broad"], stocked=replace(trip, paddlers=heavy))
        outing = replace(outing, trip=replace(outing.trip, paddlers=heavy))
        found = find(replace(fleet, outings={"broad": outing}))
        goal = found.outcomes["broad"].goal
        assert goal.weight - goal.uncovered == covered
        assert found.missed == ()


def test_with_the_same_lists_people_may_sit_elsewhere_on_each_trip() -> None:
    # Cy alone throws, and sits in either raft: a belt bag each is issued, or one extra is brought,
    # 82.50 EUR, and goes where he goes.
    one = replace(RIFFLE, people={"Ana": '"oar raft" = 3', "Bo": '"oar raft" = 3', "Cy": THROWS})
    found = find(read_fleet(one))
    assert found.lists == Lists(extras={("riffle", BELT): 1})


def test_one_that_leads_at_two_has_a_set_of_his_own() -> None:
    # Ana leads at 3, Bo at 2, and each has a raft: sets for both levels, or a list for two rafts,
    # or two extras; the first two cost 110 EUR each. Of equal ones boat types come first by name.
    people = {"Ana": GUIDE, "Bo": GUIDE.replace("leading = 3", "leading = 2"), "Cy": THROWS}
    found = find(read_fleet(replace(RIFFLE, people=people)))
    assert found.cost == 100 * 11_000
    assert found.lists == Lists(issued={(RAFT, BELT): 1})


def test_what_a_plan_packs_beyond_its_lists_is_found() -> None:
    fleet = read_fleet(RIFFLE)
    found = find(fleet)
    outing, plan = fleet.outings["riffle"], found.outcomes["riffle"].plan
    assert plan is not None
    assert list(list_beyond(outing, found.lists, plan.arrangement)) == []
    more: Arrangement = replace(
        plan.arrangement, packed=(*plan.arrangement.packed, Packed("Heron", BAG, "quick", 2))
    )
    beyond = list(list_beyond(outing, found.lists, more))
    assert beyond == [f"2 x {BAG} from day 1"]
    allowed = replace(found.lists, extras={("riffle", BAG): 2})
    assert list(list_beyond(outing, allowed, more)) == []


def test_two_processes_find_what_one_does() -> None:
    fleet = read_fleet(RIFFLE, BROAD)
    one, two = find(fleet), find(fleet, workers=2)
    assert (one.lists, one.bound, one.needed) == (two.lists, two.bound, two.needed)


def test_wares_cost_what_the_cases_above_count_with() -> None:
    wares = read_fleet(RIFFLE, BROAD).wares
    assert {name: ware.cost for name, ware in wares.items()} == {BELT: 5500, BAG: 8000}


def test_a_rapid_by_itself_is_held_at_what_the_others_leave_it() -> None:
    # Nobody stands on a bank while the first boat runs the Riffle: it stays uncovered there. At the
    # Slot boats land above, and all is covered: that nobody throws there may not be made up for by
    # the Riffle.
    slot = RIFFLE.text().split("[[rapid]]")[1].replace('name = "Riffle"', 'name = "Slot"')
    here = (*RIFFLE.river, ("landing_above = 3", "landing_above = 0"))
    fleet = read_fleet(replace(RIFFLE, river=here, more=f"[[rapid]]{slot}"))
    with Trialling(fleet, Clock(600.0), 1) as trialling:
        goals = {n: g for n, g in trialling.find_goals(None, 1.0).items() if g is not None}
        floors = {rapid: floor[0] > 0 for rapid, floor in goals["riffle"].floors.items()}
        [check] = trialling.check([Asked("riffle", Lists())], goals, OPEN)
    assert floors == {"Riffle": True, "Slot": False}
    assert check.failing == ("Riffle", "Slot")
