"""Which carriage rules apply, what they ask for and what counts, each condition by itself."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from kitplan.demands import CarriageNeed
from kitplan.load import load_trip, load_trip_text
from kitplan.needs import count_asked, list_asked, list_carriage, list_counting, list_people
from kitplan.needs.words import say_reading
from kitplan.trip import (
    BoatLimits,
    CarriageRule,
    Condition,
    Counted,
    Reading,
    RuleSet,
    Step,
    Trip,
    Who,
)
from tests.inputs.texts import CATALOG, TRIP, spoil

ONE = Reading("trip")
LINE = Counted(kinds=("line",))
PERSONS = Reading("trip", of="people", for_each=1)


def read(*edits: tuple[str, str]) -> Trip:
    """Return the small trip: Ana leads, Bo paddles a kayak, Cy is a guest; IV on day 1, then II."""
    texts = {"trips/x.toml": spoil(TRIP, *edits), "catalogs/all.toml": CATALOG}
    trip, findings = load_trip_text(texts, "trips/x.toml")
    assert trip is not None, findings
    return trip


TWO_LEGS = read(
    ('boat = "Wren"\n', 'boat = "Wren"\nto = 1\n'), ('name = "Wren"', 'name = "Wren"\nto = 1')
)
"""Bo and his kayak are there on the first day only."""


def rule(reading: Reading = ONE, counts: Counted = LINE, **more: object) -> CarriageRule:
    bare = CarriageRule("R", "says", "source", "2020", "from memory", "house", counts, reading)
    return replace(bare, **more)  # type: ignore[arg-type]


def apply(trip: Trip, one: CarriageRule, leg: int = 0) -> list[CarriageNeed]:
    """Return the needs of a trip that has this rule and no other."""
    ruled = replace(trip, rules=(RuleSet("set", "set", "", (one,), ()),))
    return list(list_carriage(ruled, ruled.legs[leg]))


def holds(trip: Trip, when: Condition, leg: int = 0) -> bool:
    return bool(apply(trip, rule(when=when), leg))


# --- conditions -----------------------------------------------------------------------------------


def test_the_class_is_that_of_the_hardest_rapid_run_in_the_leg() -> None:
    """IV+ on the first day counts as IV; the second leg has II only."""
    assert holds(TWO_LEGS, Condition(class_from=4))
    assert not holds(TWO_LEGS, Condition(class_from=5))
    assert not holds(TWO_LEGS, Condition(class_from=3), leg=1)


@pytest.mark.parametrize("how", ["portage", "lined"])
def test_a_rapid_nobody_runs_does_not_count(how: str) -> None:
    trip = read(('safety = "set"', f'safety = "set"\nrun = "{how}"'))
    assert not holds(trip, Condition(class_from=3))


def test_overnight_goes_by_the_trip_and_not_by_the_leg() -> None:
    """Each leg of two lasts a day; the nights are the trip's, seen from one leg alone too."""
    assert holds(TWO_LEGS, Condition(overnight=True), leg=1)
    assert holds(TWO_LEGS.at_leg(0), Condition(overnight=True))
    day = read(("water_temperature", "days = 1\nwater_temperature"), ("day = 2", "day = 1"))
    assert not holds(day, Condition(overnight=True))


def test_water_below_is_less_than() -> None:
    assert holds(read(), Condition(water_below_mdegc=8_001))
    assert not holds(read(), Condition(water_below_mdegc=8_000))


def test_more_boats_and_people_than_so_many() -> None:
    """Two boats and three people, on the second day one boat and two people."""
    assert holds(TWO_LEGS, Condition(boats_over=1, people_over=2))
    assert not holds(TWO_LEGS, Condition(boats_over=2))
    assert not holds(TWO_LEGS, Condition(boats_over=1), leg=1)
    assert not holds(TWO_LEGS, Condition(people_over=2), leg=1)


def test_every_stated_part_must_hold() -> None:
    assert not holds(read(), Condition(class_from=3, boats_over=2))


@pytest.mark.parametrize(
    ("limits", "boats"),
    [
        (BoatLimits(), ("Heron", "Wren")),
        (BoatLimits(crafts=("kayak", "canoe")), ("Wren",)),
        (BoatLimits(types=("oar raft 4.3 m",)), ("Heron",)),
        (BoatLimits(skills=("kayak",)), ("Wren",)),
        (BoatLimits(length_from_mm=4_300), ("Heron",)),
        (BoatLimits(length_under_mm=4_300), ("Wren",)),
        (BoatLimits(crafts=("raft",), skills=("kayak",)), None),
        (BoatLimits(crafts=("kayak",), only=True), None),
        (BoatLimits(crafts=("kayak", "raft"), only=True), ("Heron", "Wren")),
    ],
)
def test_which_boats_a_rule_is_about(limits: BoatLimits, boats: tuple[str, ...] | None) -> None:
    catalog = spoil(
        CATALOG,
        (
            'craft = "raft"\nskill = "oar raft"',
            'craft = "raft"\nlength = "4.3 m"\nskill = "oar raft"',
        ),
        ('craft = "kayak"\n', 'craft = "kayak"\nlength = "2.7 m"\n'),
    )
    trip, _ = load_trip_text({"trips/x.toml": TRIP, "catalogs/all.toml": catalog}, "trips/x.toml")
    assert trip is not None
    assert [n.boats for n in apply(trip, rule(boats=limits))] == ([boats] if boats else [])


# --- readings -------------------------------------------------------------------------------------

BY_TEN = Reading("trip", of="people", for_each=10)
STEPS = Reading("trip", of="boats", steps=(Step(2, 1), Step(4, 3)))
GUIDES = Reading("boat", of="people", for_each=1, count=2, who=Who(guide=True))


@pytest.mark.parametrize(
    ("reading", "asked"),
    [
        (ONE, (1, 1, 1, 1, 1, 1)),
        (replace(BY_TEN, for_each=2), (0, 1, 1, 2, 2, 3)),
        (replace(BY_TEN, for_each=2, part_counts=False), (0, 0, 1, 1, 2, 2)),
        (replace(BY_TEN, for_each=2, count=3), (0, 3, 3, 6, 6, 9)),
        (replace(BY_TEN, for_each=2, least=2), (2, 2, 2, 2, 2, 3)),
        # Beyond the last step its count holds.
        (STEPS, (0, 1, 1, 3, 3, 3)),
        (replace(STEPS, steps=(Step(2, 1), Step(None, 2))), (0, 1, 1, 2, 2, 2)),
    ],
)
def test_how_many_a_reading_asks(reading: Reading, asked: tuple[int, ...]) -> None:
    assert list_asked(reading, 5) == asked


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (ONE, "at least 1 in the trip"),
        (BY_TEN, "at least 1 for each 10 persons or part, in the trip"),
        (replace(BY_TEN, part_counts=False), "at least 1 for each 10 persons, in the trip"),
        (
            Reading("trip", of="boats", for_each=5, least=1, bound="at most"),
            "at most 1 for each 5 boats or part, in the trip, no fewer than 1",
        ),
        (GUIDES, "at least 2 for each guide, in each boat"),
        (
            Reading("trip", of="people", for_each=1, who=Who(certificate="first aid")),
            "at least 1 for each person with a valid first aid certificate, in the trip",
        ),
        (STEPS, "at least 1 up to 2 boats, 3 up to 4, in the trip"),
        (
            Reading("trip", of="people", who=Who(guest=True), steps=(Step(9, 1), Step(None, 2))),
            "at least 1 up to 9 guests, 2 above, in the trip",
        ),
    ],
)
def test_a_reading_in_words(reading: Reading, said: str) -> None:
    assert say_reading(reading) == said


def test_in_a_boat_it_goes_by_who_sits_there() -> None:
    """Two for each guide: Ana alone is one; nobody knows yet where she sits."""
    (need,) = apply(read(), rule(GUIDES))
    assert (need.asked, need.people, need.boats) == (None, ("Ana",), ("Heron", "Wren"))
    assert count_asked(need.rule.reading, 1) == 2


def test_people_and_boats_of_the_leg_are_counted() -> None:
    (first,) = apply(TWO_LEGS, rule(PERSONS))
    (second,) = apply(TWO_LEGS, rule(PERSONS), leg=1)
    assert (first.asked, second.asked) == (3, 2)
    (boats,) = apply(TWO_LEGS, rule(Reading("trip", of="boats", for_each=1)), leg=1)
    assert boats.asked == 1
    kayaks = rule(Reading("trip", of="boats", for_each=1), boats=BoatLimits(crafts=("kayak",)))
    assert [need.asked for need in apply(TWO_LEGS, kayaks)] == [1]


def test_a_rule_that_asks_for_nothing_is_not_listed_and_a_cap_is() -> None:
    raft_guests = replace(PERSONS, who=Who(guest=True, certificate="swift-water rescue"))
    assert apply(read(), rule(raft_guests)) == []
    assert [n.asked for n in apply(read(), rule(replace(raft_guests, bound="at most")))] == [0]


# --- what counts ----------------------------------------------------------------------------------


def count(trip: Trip, counted: Counted, leg: int = 0) -> tuple[Iterable[str], dict[str, int]]:
    counting = list_counting(trip, trip.legs[leg], counted)
    return counting.items, counting.worn


def test_things_packed_and_worn_of_the_kind_count() -> None:
    """Ana wears two carabiners of her own; of the kit none is one, and the bags are lines."""
    assert count(read(), Counted(kinds=("carabiner",))) == (frozenset(), {"Ana": 2})
    assert count(read(), LINE) == ({"throw bag 20 m"}, {})


def test_kit_counts_while_it_is_there() -> None:
    """The bags go home after the first day."""
    trip = read(("take = 1", "take = 1\nto = 1"))
    assert [bool(count(trip, LINE, leg)[0]) for leg in (0, 1)] == [True, False]


@pytest.mark.parametrize(
    ("counted", "serves"),
    [
        (replace(LINE, least_mm=20_000, flags=frozenset({"thrown", "floats"})), True),
        (replace(LINE, least_mm=20_001), False),
        (replace(LINE, flags=frozenset({"haul"})), False),
        (replace(LINE, diameter_mm=1), False),
        (Counted(kinds=("paddle", "line")), True),
    ],
)
def test_length_thickness_and_flags(counted: Counted, *, serves: bool) -> None:
    assert ("throw bag 20 m" in count(read(), counted)[0]) == serves


def test_spares_are_not_worn_and_no_crew_paddles() -> None:
    """Everybody wears a life jacket; the crew of a paddle raft have paddles."""
    trip = read(('type = "oar raft 4.3 m"', 'type = "paddle raft 4.0 m"'))
    jackets, paddles = Counted(kinds=("life jacket",)), Counted(kinds=("paddle",))
    assert count(trip, jackets)[1] == {"Ana": 1, "Bo": 1, "Cy": 1}
    assert count(trip, replace(jackets, spare=True)) == (frozenset(), {})
    leg = trip.legs[0]
    assert list_counting(trip, leg, paddles).paddles == {"Heron"}
    assert list_counting(trip, leg, replace(paddles, spare=True)).paddles == frozenset()


@pytest.mark.parametrize(
    ("retire_by", "first", "second"),
    [("2027-06-13", False, False), ("2027-06-14", True, False), ("2027-06-15", True, True)],
)
def test_kit_counts_through_its_last_day_of_use(
    retire_by: str, *, first: bool, second: bool
) -> None:
    """Legs of one day each, 14 and 15 June."""
    trip = read(
        ('boat = "Wren"\n', 'boat = "Wren"\nto = 1\n'),
        ('name = "Wren"', 'name = "Wren"\nto = 1'),
        ("take = 1", f"take = 1\nretire_by = {retire_by}"),
    )
    assert [bool(count(trip, LINE, leg)[0]) for leg in (0, 1)] == [first, second]


def test_certificates_hold_through_the_last_day_of_the_leg() -> None:
    trip = TWO_LEGS
    ana = replace(trip.paddlers["Ana"], certificates=(("swift-water rescue", date(2027, 6, 14)),))
    trip = replace(trip, paddlers={**trip.paddlers, "Ana": ana})
    holder = Who(certificate="swift-water rescue")
    assert [list_people(trip, leg, holder) for leg in trip.legs] == [("Ana",), ()]


def test_who_is_meant() -> None:
    """Ana leads at 3; Cy has no skill and is the guest."""
    trip, leg = read(), read().legs[0]
    assert list_people(trip, leg, Who()) == ("Ana", "Bo", "Cy")
    assert list_people(trip, leg, Who(guide=True)) == ("Ana",)
    assert list_people(trip, leg, Who(guest=True)) == ("Cy",)
    assert list_people(trip, leg, Who(skills=(("kayak", 3),))) == ("Bo",)
    guest = replace(trip.paddlers["Ana"], guest=True)
    trip = replace(trip, paddlers={**trip.paddlers, "Ana": guest})
    assert list_people(trip, leg, Who(guide=True)) == ()


def test_who_wears_a_kind_counts_by_person() -> None:
    """A harness is Ana's alone; of the guides all wear a helmet."""
    trip, leg = read(), read().legs[0]
    harness = Counted("worn", ("harness",))
    assert list_counting(trip, leg, harness).people == ("Ana",)
    helmets = Counted("worn", ("helmet",), who=Who(guide=True))
    assert list_counting(trip, leg, helmets).people == ("Ana",)


def test_people_and_boats_that_count_themselves() -> None:
    guides = list_counting(TWO_LEGS, TWO_LEGS.legs[0], Counted("people", who=Who(guide=True)))
    assert guides.people == ("Ana",)
    boats = [list_counting(TWO_LEGS, leg, Counted("boats")).boats for leg in TWO_LEGS.legs]
    assert boats == [("Heron", "Wren"), ("Heron, from day 2",)]


# --- shipped files from disk ----------------------------------------------------------------------


def test_shipped_rules_are_read_from_disk(tmp_path: Path) -> None:
    """By their names below the shipped folder; the trip's texts keep them."""
    shipped = '"kitplan:techniques.toml", "kitplan:gear.toml", "kitplan:boats.toml"'
    text = spoil(
        TRIP[: TRIP.index("[[kit]]")] + TRIP[TRIP.index("[[rapid]]") :],
        ('"../catalogs/all.toml"]', f'{shipped}]\nrules = ["kitplan:rules/house.toml"]'),
        ('"life jacket, river"', '"life jacket"'),
        ('"life jacket, rescue"', '"rescue life jacket"'),
        ('"locking carabiner"', '"locking carabiner, HMS"'),
        ('"river kayak"', '"river kayak 2.7 m"'),
    )
    path = tmp_path / "x.toml"
    path.write_text(text)
    trip, findings = load_trip(path)
    assert trip is not None, findings
    assert [one.name for one in trip.rules] == ["house"]
    assert trip.sources[-1].file == "kitplan:rules/house.toml"
