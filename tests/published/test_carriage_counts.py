"""How many the published carriage rules ask for, by the readings in the shipped rule files.

No reading stands here: each is that of the rule named, so that a slip in a file shows. Texts and
how they were read stand in each docstring; counts of quotients were computed from the rule's words.
"""

import tomllib
from dataclasses import replace

import pytest

from kitplan.demands import Counting
from kitplan.files import find_shipped_catalogs
from kitplan.load import load_trip_text
from kitplan.load.files import list_shipped
from kitplan.needs import count_asked, list_asked, list_boats, list_carriage, list_counting
from kitplan.trip import CarriageRule, Trip

HEAD = """\
[trip]
name = "a party"
starts = 2027-06-14
days = 2
catalogs = ["kitplan:techniques.toml", "kitplan:gear.toml", "kitplan:boats.toml", "camp.toml"]
rules = [{rules}]
spreads = ["kitplan:spreads.toml"]
water_temperature = "12 degC"
everyone_wears = ["life jacket", "helmet", "whistle, pealess"]

[[rapid]]
day = 1
name = "Ledge"
class = "III"
width = "18 m"
safety = "set"
scenarios = ["swimmer"]
"""
CAMP = """\
kind = ["stove", "water treatment"]
[[item]]
name = "stove"
kinds = ["stove"]
mass = "1 kg"
carried = ["stowed"]
[[item]]
name = "filter"
kinds = ["water treatment"]
mass = "1 kg"
carried = ["stowed"]
"""
RULES = [name for name in list_shipped() if name.startswith("rules/")]
KIT = ("throw bag 23 m", "throw bag 20 m", "throw bag 15 m, belt", "static line 60 m")


def make_trip(boats: int, guides: int, guests: int, boat_type: str = "oar raft 4.9 m") -> Trip:
    """Return a trip of so many boats and people under all shipped rules at once."""
    named = ", ".join(f'"kitplan:{name}"' for name in RULES)
    text = HEAD.format(rules=named)
    text += "".join(f'[[boat]]\nname = "B{n}"\ntype = "{boat_type}"\n' for n in range(boats))
    for n in range(guides):
        skills = 'skills = { leading = 3, "oar raft" = 4 }'
        text += f'[[paddler]]\nname = "G{n}"\nmass = "70 kg"\n{skills}\n'
    text += "".join(f'[[paddler]]\nname = "P{n}"\nmass = "70 kg"\n' for n in range(guests))
    text += "".join(f'[[kit]]\nitem = "{name}"\ncount = 1\n' for name in KIT)
    texts = {"x.toml": text, "camp.toml": CAMP}
    folder = find_shipped_catalogs()
    texts |= {f"kitplan:{name}": (folder / name).read_text("utf-8") for name in list_shipped()}
    trip, findings = load_trip_text(texts, "x.toml")
    assert trip is not None, [one.text() for one in findings]
    return trip


PARTY = make_trip(boats=3, guides=3, guests=12)


def rule(name: str) -> CarriageRule:
    """Return a shipped rule by its id."""
    every = [one for rules in PARTY.rules for one in rules.rules]
    return next(one for one in every if one.id == name)


def asked(trip: Trip) -> dict[str, int | None]:
    """Return what each rule that applies to a trip's first leg asks for, by its id."""
    return {need.rule.id: need.asked for need in list_carriage(trip, trip.legs[0])}


def counting(name: str) -> Counting:
    return list_counting(PARTY, PARTY.legs[0], rule(name).counts)


@pytest.mark.parametrize(
    ("people", "jackets"), [(1, 1), (10, 1), (11, 2), (16, 2), (20, 2), (25, 3)]
)
def test_a_spare_life_jacket_for_each_ten_persons(people: int, jackets: int) -> None:
    """Lists of Dinosaur NM (primary text read) and Grand Canyon (2009, second-hand copy).

    River equipment lists: ceil(persons / 10); the counts computed.
    """
    assert count_asked(rule("NPS spare life jackets").reading, people) == jackets


@pytest.mark.parametrize(("craft", "jackets"), [(5, 1), (6, 2), (10, 2), (11, 3)])
def test_a_spare_life_jacket_for_five_small_craft(craft: int, jackets: int) -> None:
    """Dinosaur NM list, another version (primary text read).

    "Six need two"; the others computed.
    """
    assert count_asked(rule("NPS small craft").reading, craft) == jackets


@pytest.mark.parametrize(("vessels", "kits"), [(1, 1), (5, 1), (6, 2), (10, 2), (11, 3)])
def test_a_first_aid_kit_for_each_five_vessels_or_part(vessels: int, kits: int) -> None:
    """SOR/2008-121, section 8(1) (primary text read); the counts computed."""
    assert count_asked(rule("CA 8(1)").reading, vessels) == kits


@pytest.mark.parametrize(("kayaks", "paddles"), [(1, 1), (5, 1), (6, 2)])
def test_a_spare_paddle_for_each_five_kayaks_and_at_least_one(kayaks: int, paddles: int) -> None:
    """Dinosaur NM list, one of three stored versions (primary text read); the counts computed."""
    assert count_asked(rule("NPS kayak paddles").reading, kayaks) == paddles


@pytest.mark.parametrize(("craft", "kits"), [(1, 1), (8, 1), (9, 2), (40, 2)])
def test_tennessee_first_aid_kits(craft: int, kits: int) -> None:
    """Tennessee 0400-02-10-.03(5)-(6) (primary text read): 1 for 8 craft and fewer, else 2."""
    assert count_asked(rule("TN first aid").reading, craft) == kits


@pytest.mark.parametrize(("guests", "leaders"), [(1, 2), (15, 2), (16, 3), (22, 3)])
def test_tasmanian_leaders(guests: int, leaders: int) -> None:
    """Tasmania, Department of Education, off-campus activities (primary text read).

    1-15 participants: leader and 1 assistant; 16-22: leader and 2.
    """
    assert count_asked(rule("TAS leaders").reading, guests) == leaders


@pytest.mark.parametrize(("people", "kits"), [(20, None), (21, 2)])
def test_tasmanian_first_aid_kits(people: int, kits: int | None) -> None:
    """The same source: more than 20 people take two first-aid kits."""
    trip = make_trip(boats=5, guides=5, guests=people - 5)
    assert asked(trip).get("TAS first aid") == kits


@pytest.mark.parametrize(("passengers", "guides"), [(0, 0), (1, 1), (10, 1), (11, 2), (21, 3)])
def test_west_virginian_guides(passengers: int, guides: int) -> None:
    """W. Va. CSR 58-12-9.6 (second-hand copy): one for each 10 passengers or part.

    10 need 1, 11 need 2; the rest computed.
    """
    assert count_asked(rule("WV guides").reading, passengers) == guides


@pytest.mark.parametrize(("craft", "guides"), [(6, 1), (7, 2)])
def test_west_virginian_guides_with_many_craft(craft: int, guides: int) -> None:
    """The same source: at least 2 with more than 6 craft, though 10 passengers ask for 1."""
    needs = asked(make_trip(craft, guides=1, guests=10))
    assert max(needs[name] or 0 for name in needs if name.startswith("WV")) == guides


def test_one_for_ten_is_two_or_three_or_none_by_reading() -> None:
    """Three rafts with five people each, and "one per ten" read in three ways.

    Per trip (lists of Dinosaur NM and Grand Canyon); per vessel with a part counting; per
    vessel strictly. 36 CFR 7.70(c)(2) (primary text read) leaves open which of the last two:
    shipped is the first. Computed.
    """
    per_trip, per_vessel = rule("NPS spare life jackets").reading, rule("US 7.70(c)(2)").reading
    strict = replace(per_vessel, part_counts=False)
    assert (per_trip.for_each, per_vessel.for_each) == (10, 10)
    assert asked(PARTY)["NPS spare life jackets"] == count_asked(per_trip, 15) == 2
    assert sum(count_asked(per_vessel, 5) for _ in PARTY.boats) == 3
    assert sum(count_asked(strict, 5) for _ in PARTY.boats) == 0


def test_what_a_boat_asks_goes_by_who_sits_in_it() -> None:
    """36 CFR 7.70(c)(2) (primary text read): per vessel, by the people in it.

    Any of the 15 may sit in a boat; 0 to 11 people ask for so many, computed.
    """
    need = next(n for n in list_carriage(PARTY, PARTY.legs[0]) if n.rule.id == "US 7.70(c)(2)")
    assert need.asked is None
    assert len(need.people) == 15
    assert list_asked(need.rule.reading, 11) == (0, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2)


def test_canada_from_class_three_up() -> None:
    """SOR/2008-121, sections 7, 11 and 16 (primary text read).

    Class III and above: a helmet each, and in water below 15 degC thermal protection each;
    overnight a rescue certificate; no lone vessel.
    """
    needs = asked(PARTY)
    each = {"CA 7 helmet": 15, "CA 7 thermal": 15, "CA 11": 1, "CA 16 company": 2}
    assert each.items() <= needs.items()
    easy = replace(PARTY.rapids["Ledge"], river_class=2)
    assert not each.keys() & asked(replace(PARTY, rapids={"Ledge": easy})).keys()
    warm = asked(replace(PARTY, water_mdegc=15_000))
    assert "CA 7 thermal" not in warm
    assert "CA 7 helmet" in warm


def test_canada_a_throw_bag_of_fifteen_metres() -> None:
    """SOR/2008-121, section 8(2) (primary text read): 15 m of buoyant line, each vessel."""
    assert asked(PARTY)["CA 8(2)"] == 1
    assert counting("CA 8(2)").items == {"throw bag 23 m", "throw bag 20 m", "throw bag 15 m, belt"}


def test_tennessee_heaving_line_is_thick_and_long() -> None:
    """Tennessee 0400-02-10-.03(5)-(6) (primary text read): 3/8 in, 50 ft and more.

    These are 9.525 mm and 15.24 m: of the bags only the one of 23 m is thick enough.
    """
    assert counting("TN heaving line").items == {"throw bag 23 m"}


def test_maryland_throw_line_of_fifty_feet() -> None:
    """COMAR 08.15.04.06 (second-hand copy): 50 ft are 15.24 m, more than 15 m."""
    assert counting("MD throw line").items == {"throw bag 23 m", "throw bag 20 m"}


def test_uttarakhand_each_raft() -> None:
    """River Rafting/Kayaking Rules 2014, rule 14 (second-hand copy).

    Two carabiners, of the rest one each; 50 m of rope of 8 mm.
    """
    needs = {name: n for name, n in asked(PARTY).items() if name.startswith("Uttarakhand")}
    assert needs.pop("Uttarakhand carabiners") == 2
    assert list(needs.values()) == [1] * 5
    assert counting("Uttarakhand rope").items == {"static line 60 m"}
    kayaks = asked(make_trip(2, 1, 1, "river kayak 2.7 m"))
    assert not any(name.startswith("Uttarakhand") for name in kayaks)


@pytest.mark.parametrize(
    ("boat_type", "throwable", "vessel", "group"),
    [
        ("oar raft 4.9 m", True, True, False),  # 16.1 ft
        ("oar raft 4.3 m", False, False, True),  # 14.1 ft
        ("tandem canoe 5.0 m", False, True, False),  # 16.4 ft, and exempt
        ("river kayak 2.7 m", False, False, True),
    ],
)
def test_rules_that_go_by_length(
    boat_type: str, *, throwable: bool, vessel: bool, group: bool
) -> None:
    """33 CFR 175.15(b) (second-hand copy) and Utah R651-219-3 (primary text read).

    A throwable at 16 ft and more, canoes and kayaks exempt by 175.17(a) (primary text read).
    A spare oar or paddle for a vessel of less than 21 ft, 1 per 3 for craft of less than 16
    ft in a group.
    """
    needs = asked(make_trip(2, 1, 1, boat_type))
    assert ("US 175.15(b)" in needs) == throwable
    assert ("UT 219-3 vessel" in needs) == vessel
    assert ("UT 219-3 group" in needs) == group


@pytest.mark.parametrize(("craft", "paddles"), [(1, 1), (3, 1), (4, 2), (5, 2), (6, 2)])
def test_utah_one_for_three_craft(craft: int, paddles: int) -> None:
    """Utah R651-219-3 (primary text read): "1 per 3" says nothing of 4 or 5; here a part counts."""
    assert count_asked(rule("UT 219-3 group").reading, craft) == paddles


def test_dinosaur_oars_and_paddles() -> None:
    """Dinosaur NM list, one of three stored versions (primary text read).

    An extra oar for each oar boat, two paddles for each paddle raft; kayaks alone go by
    fives.
    """
    assert asked(PARTY)["NPS oars"] == 1
    paddled = asked(make_trip(2, 2, 6, "paddle raft 4.3 m"))
    assert paddled["NPS paddles"] == 2
    assert "NPS oars" not in paddled
    assert "NPS kayak paddles" not in paddled
    assert asked(make_trip(6, 6, 0, "river kayak 2.7 m"))["NPS kayak paddles"] == 2


def test_washington_each_vessel_and_each_trip() -> None:
    """RCW 79A.60.430(1) (primary text read): three things in each vessel, four on each trip."""
    needs = [n for n in list_carriage(PARTY, PARTY.legs[0]) if n.rule.id.startswith("WA")]
    assert [n.rule.reading.scope for n in needs] == ["boat"] * 3 + ["trip"] * 4
    assert {n.asked for n in needs} == {1}


def test_every_shipped_rule_says_where_it_is_from_and_defers_to_the_law() -> None:
    """The head of each file says that law and permit prevail; house rows say that they are such."""
    for name in RULES:
        head = (find_shipped_catalogs() / name).read_text("utf-8").partition("[set]")[0]
        assert "Law and the terms of a permit in force prevail" in head, name
    for one in (one for rules in PARTY.rules for one in rules.rules):
        assert (one.tier == "house") == (one.source == one.status == "common practice, no source")


def test_every_row_of_a_shipped_file_is_read() -> None:
    """As many rules and reminders as there are tables in the text."""
    tables = {"rule": 0, "reminder": 0, "spread": 0}
    for name in [*RULES, "spreads.toml"]:
        data = tomllib.loads((find_shipped_catalogs() / name).read_text("utf-8"))
        tables = {key: count + len(data.get(key, [])) for key, count in tables.items()}
    assert tables == {
        "rule": sum(len(one.rules) for one in PARTY.rules),
        "reminder": sum(len(one.reminders) for one in PARTY.rules),
        "spread": len(PARTY.spreads),
    }


def test_spares_for_each_sort_of_boat() -> None:
    """The shipped spreads say what fits each shipped type of boat, once."""
    fits = next(one.fits for one in PARTY.spreads if one.fits)
    for name, kind in PARTY.catalog.boat_types.items():
        trip = make_trip(1, 1, 0, name)
        fitting = [fit for fit in fits if list_boats(trip, trip.legs[0], fit.boats)]
        assert len(fitting) == 1, kind.name
