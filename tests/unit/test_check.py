"""What a party can and can't do at all, on trips small enough to be counted by hand.

Larger ones are held against flows and matchings of other libraries: OR-tools' minimum-cost flow
(through `explain`) and networkx's bipartite matching (Hopcroft and Karp, 1973).
"""

from pathlib import Path

import networkx as nx
import pytest

from kitplan import needs as asks
from kitplan.check import Muster, PartyCheck, check_party
from kitplan.demands import DemandKey, Variant
from kitplan.explain.alone import Alone, possible_alone
from kitplan.load import load_trip
from kitplan.needs import derive_needs, list_ways
from kitplan.trip import Trip
from tests.generator import SIZES, trips
from tests.places import HEAD, USUAL

BAG = '[[kit]]\nitem = "throw bag 20 m"\ncount = 1\n'


def read(folder: Path, scenario: str, more: str = "", swaps: tuple[str, str] = ("", "")) -> Trip:
    """Return the trip of one rapid, with more text and one piece of text swapped."""
    text = HEAD.format(**(USUAL | {"scenario": scenario})).replace(*swaps) + more
    path = folder / "trip.toml"
    path.write_text(text, encoding="utf-8")
    trip, findings = load_trip(path)
    assert trip is not None, [finding.text() for finding in findings]
    return trip


def check(trip: Trip) -> PartyCheck:
    return check_party(trip, derive_needs(trip))


def test_without_a_line_nobody_throws_one(tmp_path: Path) -> None:
    # Two people: one keeps steering the boat in trouble, the other could throw, had he a line.
    # A pick-up would take two more.
    found = check(read(tmp_path, "swimmer"))
    assert found.short
    assert (found.beyond, found.total) == (2, 2)
    # The spot is 7 m from one bank and 11 m from the other; a line is 2 m longer than its throw
    # (common practice, no source), so what is short differs and each bank has its row.
    assert [(row.technique, row.banks, row.running, row.elsewhere) for row in found.cases] == [
        ("throw-line", ("left",), ("Heron", "Dipper"), False),
        ("throw-line", ("right",), ("Heron", "Dipper"), False),
    ]
    lacks = [lack for row in found.cases for lack in row.lacks]
    assert [(lack.what, lack.short) for lack in lacks] == [("item", 1)] * 2
    assert [lack.thing.least_mm for lack in lacks if lack.thing] == [9_000, 13_000]


def test_with_one_line_it_can_be_thrown_from_either_bank(tmp_path: Path) -> None:
    found = check(read(tmp_path, "swimmer", BAG))
    assert not found.short
    assert (found.beyond, found.cases) == (0, ())
    rows = {row.technique: (row.possible, row.demands) for row in found.techniques}
    # Two boats that may be in trouble, two banks; a pick-up is from the water.
    assert rows["throw-line"] == (4, 4)
    assert rows["pick-up"] == (0, 2)


def test_the_boat_in_trouble_keeps_its_steerer(tmp_path: Path) -> None:
    # Ada alone throws far enough, and Ada alone can steer whichever boat is in trouble.
    swaps = ('"oar raft" = 3, throwing = 2', "throwing = 0")
    found = check(read(tmp_path, "swimmer", BAG, swaps))
    (row,) = found.cases
    assert [(lack.what, lack.name, lack.short) for lack in row.lacks] == [("person", "thrower", 1)]


def test_a_bank_that_can_not_be_covered_is_short_though_the_other_is(tmp_path: Path) -> None:
    # The spot is 7 m from river left and 16 m from river right: 12 m of line reach the one only.
    bag = BAG.replace("throw bag 20 m", "throw bag 15 m, belt")
    trip = read(tmp_path, "swimmer", bag, ('width = "18 m"', 'width = "23 m"'))
    found = check(trip)
    assert found.short
    assert found.beyond == 0
    (row,) = found.cases
    assert (row.banks, row.elsewhere) == (("right",), True)


def test_a_boat_that_nobody_can_steer_is_short(tmp_path: Path) -> None:
    # The loader refuses such a trip, so its people lose the skill afterwards.
    trip = read(tmp_path, "swimmer", BAG)
    for paddler in trip.paddlers.values():
        paddler.skills.pop("oar raft")
    found = check(trip)
    assert found.short
    assert [row.able for row in found.steerers] == [()]


def test_roles_name_who_can_fill_them_the_scarcest_first(tmp_path: Path) -> None:
    found = check(read(tmp_path, "swimmer", BAG))
    able = {(row.role, row.ask.skills): row.able for row in found.roles}
    assert able["thrower", (("throwing", 2),)] == ("Ada", "Ben")
    counts = [len(row.able) for row in found.roles]
    assert counts == sorted(counts)


def test_steerers_with_guests_aboard_need_one_level_more_in_a_paddle_raft(tmp_path: Path) -> None:
    # The catalogue's rule: class III asks for level 3, with guests at the paddles for 4.
    trip = read(tmp_path, "swimmer", "", ("oar raft 4.9 m", "paddle raft 4.3 m"))
    for paddler, level in zip(trip.paddlers.values(), (4, 3), strict=True):
        paddler.skills["paddle raft"] = level
    (row,) = check(trip).steerers
    assert (row.boats, row.skill) == (("Heron", "Dipper"), "paddle raft")
    assert row.level_with_guests == row.level + 1 == 4
    assert row.able == ("Ada", "Ben")
    assert row.able_with_guests == ("Ada",)


def test_certificates_say_whether_they_hold_to_the_end(tmp_path: Path) -> None:
    mine = (
        "certificates = [\n"
        '  { name = "first aid", until = 2027-06-13 },\n'
        '  { name = "swift-water rescue", until = 2027-06-14 },\n'
        ']\nmass = "80 kg"'
    )
    found = check(read(tmp_path, "swimmer", "", ('mass = "80 kg"', mine)))
    assert [(row.paddler, row.name, row.until, row.holds) for row in found.certificates] == [
        ("Ben", "first aid", "2027-06-13", False),
        ("Ben", "swift-water rescue", "2027-06-14", True),
    ]


def test_things_count_what_is_owned_and_what_is_worn(tmp_path: Path) -> None:
    worn = '"river knife", "throw bag 15 m, belt"]'
    trip = read(tmp_path, "swimmer", BAG, ('"river knife"]', worn))
    # One in the kit and one on each of two people; two are thrown for a crowded boat.
    rows = {row.thing.kind: row for row in check(trip).things if row.thing.least_mm <= 9_000}
    assert (rows["line"].owned, rows["line"].at_most) == (3, 2)


# --- against other libraries --------------------------------------------------------------------


def draw(count: int) -> list[Trip]:
    return [drawn.trip for drawn in trips(SIZES["tiny"], count, seed=4100, techniques="shipped")]


@pytest.mark.parametrize("trip", draw(12), ids=lambda trip: trip.name)
def test_possible_is_what_a_flow_of_the_solver_finds(trip: Trip) -> None:
    needs, party = derive_needs(trip), Muster(trip)
    for key in needs.demands:
        choice = needs.choices[key.choice]
        possible = not party.find_lacks(choice, key.running)
        assert possible == possible_alone(trip, choice, key.running), key


@pytest.mark.parametrize("twice", [False, True])
@pytest.mark.parametrize("trip", draw(12), ids=lambda trip: trip.name)
def test_what_is_alike_is_possible_alike(trip: Trip, *, twice: bool) -> None:
    needs, alone = derive_needs(trip), Alone(trip, twice=twice)
    for key in needs.demands:
        choice = needs.choices[key.choice]
        possible = possible_alone(trip, choice, key.running, twice=twice)
        assert alone.allows(choice, key.running) == possible, key


def test_pieces_short_are_what_a_matching_of_networkx_leaves_out() -> None:
    found = [count for trip in draw(8) for count in compare_by_networkx(trip)]
    assert any(found)
    assert not all(found)


def compare_by_networkx(trip: Trip) -> list[int]:
    """Return the pieces short of each demand that takes no boat, counted by both."""
    needs, party = derive_needs(trip), Muster(trip)
    counts = []
    for key in needs.demands:
        choice = needs.choices[key.choice]
        held = list_ways(choice, trip.boats[key.running].type)
        if any(variant.boats or variant.needs_boat for variant in held):
            continue
        short = [
            (
                count_left_out(list_people(trip, party, variant, key.running))
                or count_beyond_seats(trip, variant, key)
            )
            + count_left_out(list_things(party, variant))
            for variant in held
        ]
        lacks = party.find_lacks(choice, key.running)
        assert sum(lack.short for lack in lacks) == min(short), key
        counts.append(min(short))
    return counts


def list_people(trip: Trip, party: Muster, variant: Variant, running: str) -> list[tuple[str, ...]]:
    kind, hardest = trip.boats[running].type, asks.hardest_class(trip, running)
    level = asks.steerer_level(kind, hardest, guests_aboard=False)
    steerers = tuple(
        name
        for name, paddler in trip.paddlers.items()
        if paddler.level(kind.skill) >= level and not paddler.guest
    )
    places = [party.able(slot.ask) for slot in variant.persons for _ in range(slot.count)]
    spare = [tuple(trip.paddlers)] * (asks.least_crew(kind, hardest) - 1)
    return [*places, steerers, *spare]


def count_beyond_seats(trip: Trip, variant: Variant, key: DemandKey) -> int:
    others = [b for b in trip.rapids[key.rapid].boats if b != key.running]
    people = sum(slot.count for slot in variant.persons)
    return max(0, people - sum(trip.boats[b].type.seats for b in others))


def list_things(party: Muster, variant: Variant) -> list[tuple[str, ...]]:
    return [
        tuple(str(k) for k in party.serving(slot.thing))
        for slot in variant.items
        for _ in range(slot.count)
    ]


def count_left_out(wanted: list[tuple[str, ...]]) -> int:
    graph = nx.Graph()
    graph.add_nodes_from(range(len(wanted)))
    graph.add_edges_from((k, name) for k, able in enumerate(wanted) for name in able)
    matching = nx.bipartite.hopcroft_karp_matching(graph, top_nodes=range(len(wanted)))
    return len(wanted) - len(matching) // 2
