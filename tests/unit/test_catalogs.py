"""The shipped catalogues of gear and boats: shape, variety, and published strengths.

Techniques are read only for the kinds and skills that they ask for.

Read with tomllib and the records alone, without the loader, and with a reader of quantities of our
own, so that a fault in the loader or in units can't hide one in the catalogue.
"""

import re
import tomllib
from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest

from kitplan.records import BoatTypeRecord, CatalogFile, ItemRecord

CATALOGS = Path(__file__).parents[2] / "catalogs"
PER_UNIT = {
    "g": ("g", Decimal(1)),
    "kg": ("g", Decimal(1000)),
    "L": ("mL", Decimal(1000)),
    "mm": ("mm", Decimal(1)),
    "m": ("mm", Decimal(1000)),
    "N": ("N", Decimal(1)),
    "kN": ("N", Decimal(1000)),
    "EUR": ("EUR", Decimal(1)),
}
SERVED_TWICE = (
    "line",
    "prusik loop",
    "carabiner",
    "locking carabiner",
    "pulley",
    "sling",
    "anchor sling",
    "flip line",
    "tow line",
    "bow line",
    "paddle",
    "T-grip paddle",
    "pole",
    "knife",
    "saw",
    "whistle",
    "life jacket",
    "harness",
    "helmet",
    "thermal",
    "first-aid kit",
    "small first-aid kit",
    "warming kit",
    "shelter",
    "light",
    "weight",
)
"""What techniques ask for today, or may well come to ask for."""
BOAT_SKILLS = {
    "oar raft",
    "paddle raft",
    "cat raft",
    "canoe",
    "kayak",
    "packraft",
    "inflatable kayak",
}


def read_catalog(name: str) -> CatalogFile:
    text = (CATALOGS / name).read_text(encoding="utf-8")
    return CatalogFile.model_validate(tomllib.loads(text, parse_float=Decimal))


def amount(quantity: str | None, unit: str) -> Decimal:
    """Return a quantity as a number of `unit`; fail where it measures something else."""
    assert quantity is not None
    number, _, written = quantity.partition(" ")
    base, factor = PER_UNIT[written]
    assert base == unit, f"{quantity} is not in {unit}"
    return Decimal(number) * factor


GEAR = read_catalog("gear.toml")
BOATS = read_catalog("boats.toml")
TECHNIQUES = read_catalog("techniques.toml")
ITEMS = {item.name: item for item in GEAR.item}
TYPES = {boat_type.name: boat_type for boat_type in BOATS.boat_type}


def items_of(kind: str) -> list[ItemRecord]:
    return [item for item in GEAR.item if kind in item.kinds]


def find_words(value: object, keys: set[str]) -> set[str]:
    """Return all texts that stand under one of `keys`, alone or in a list, anywhere in `value`."""
    found: set[str] = set()
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in keys:
                found |= {inner} if isinstance(inner, str) else set(inner or ())
            else:
                found |= find_words(inner, keys)
    elif isinstance(value, list):
        for inner in value:
            found |= find_words(inner, keys)
    return found


def items_sold_to(standard: str) -> list[ItemRecord]:
    return [item for item in GEAR.item if item.standard == standard]


class TestGear:
    def test_holds_at_least_fifty_items_each_named_once(self) -> None:
        assert len(GEAR.item) >= 50
        assert len(ITEMS) == len(GEAR.item)

    def test_no_two_items_are_equal_but_for_their_words(self) -> None:
        told_apart_by = [
            item.model_dump_json(exclude={"name", "remark", "source"}) for item in GEAR.item
        ]
        assert [text for text, count in Counter(told_apart_by).items() if count > 1] == []

    def test_lists_exactly_the_kinds_that_items_serve(self) -> None:
        assert len(set(GEAR.kind)) == len(GEAR.kind)
        assert set(GEAR.kind) == {kind for item in GEAR.item for kind in item.kinds}

    @pytest.mark.parametrize("kind", SERVED_TWICE)
    def test_two_items_at_least_serve_what_techniques_ask_for(self, kind: str) -> None:
        assert len(items_of(kind)) >= 2

    def test_every_kind_that_a_technique_asks_for_is_among_those_served_twice(self) -> None:
        asks = {"kind", "wears", "role_wears", "rope_role_wears"}
        asked = find_words(TECHNIQUES.model_dump(exclude={"kind"}), asks)
        assert {"line", "carabiner", "life jacket"} <= asked
        assert asked <= set(SERVED_TWICE)

    @pytest.mark.parametrize("item", GEAR.item, ids=lambda item: item.name)
    def test_quantities_are_in_their_units_and_none_is_nothing(self, item: ItemRecord) -> None:
        most_g = 10_000 if item.contains else 5_000
        assert item.mass is not None
        assert 0 < amount(item.mass, "g") <= most_g
        assert 0 < amount(item.price, "EUR") <= 1_000
        assert 0 <= amount(item.volume, "mL") <= 25_000
        assert item.length is None or amount(item.length, "mm") > 0
        assert item.diameter is None or 4 <= amount(item.diameter, "mm") <= 13
        assert item.strength is None or amount(item.strength, "N") >= 3_000

    @pytest.mark.parametrize("item", GEAR.item, ids=lambda item: item.name)
    def test_what_can_be_worn_says_where(self, item: ItemRecord) -> None:
        assert ("worn" in item.carried) == (item.worn_on is not None)

    @pytest.mark.parametrize("item", GEAR.item, ids=lambda item: item.name)
    def test_big_and_long_things_are_bulky(self, item: ItemRecord) -> None:
        # Own limits, as the catalogue's head gives them; what bends is not long.
        bends = set(item.kinds) & {
            "line",
            "bow line",
            "tow line",
            "prusik loop",
            "sling",
            "flip line",
            "strap",
            "edge guard",
        }
        long = not bends and item.length is not None and amount(item.length, "mm") > 500
        assert item.bulky == (long or amount(item.volume, "mL") > 2_500)

    @pytest.mark.parametrize("item", GEAR.item, ids=lambda item: item.name)
    def test_a_rigid_thing_is_packed_as_long_as_it_is(self, item: ItemRecord) -> None:
        # Its length is that of the thing as packed; what bends has none to be stowed by.
        rigid = {"paddle", "pole", "spare kayak paddle", "spare oar", "saw"} & set(item.kinds)
        assert item.packed_length == (item.length if rigid else None)

    def test_a_spare_oar_goes_on_rafts_and_a_take_apart_paddle_into_kayaks(self) -> None:
        # Common practice, no source: an oar lies on the frame, a kayak holds what comes apart.
        long, short = ITEMS["spare oar 3.0 m"], ITEMS["kayak paddle, four parts"]
        for boat_type in BOATS.boat_type:
            longest = amount(boat_type.longest, "mm")
            assert (amount(long.packed_length, "mm") <= longest) == (boat_type.craft == "raft")
            assert amount(short.packed_length, "mm") <= longest

    def test_nothing_bulky_goes_on_vest_or_waist(self) -> None:
        assert [i.name for i in GEAR.item if i.bulky and i.worn_on in {"vest", "waist"}] == []

    def test_personal_things_are_on_the_body(self) -> None:
        # Common practice, no source.
        personal = ("life jacket", "harness", "helmet", "thermal", "drysuit", "whistle", "knife")
        on_body = {item.name for kind in personal for item in items_of(kind)}
        assert {ITEMS[name].worn_on for name in on_body} == {"body"}

    def test_only_a_rescue_life_jacket_has_room_for_small_things(self) -> None:
        assert {item.name: item.vest_room for item in GEAR.item if item.vest_room} == {
            item.name: 8 for item in items_of("harness")
        }

    def test_a_locking_carabiner_serves_wherever_any_carabiner_will_do(self) -> None:
        # Common practice, no source.
        assert all("carabiner" in item.kinds for item in items_of("locking carabiner"))


class TestLines:
    def test_every_line_has_length_diameter_strength_and_a_use(self) -> None:
        for line in items_of("line"):
            assert amount(line.length, "mm") >= 15_000
            assert amount(line.diameter, "mm") > 0
            assert amount(line.strength, "N") > 0
            assert line.flags

    def test_only_the_belt_bag_is_worn(self) -> None:
        worn = [line.name for line in items_of("line") if "worn" in line.carried]
        assert worn == ["throw bag 15 m, belt"]
        assert ITEMS["throw bag 15 m, belt"].worn_on == "waist"

    def test_what_is_thrown_floats(self) -> None:
        # Special-purpose Vessels Regulations, SOR/2008-121, 8(2): the throw bag's line is buoyant
        # and 15 m or longer (official text).
        for line in items_of("line"):
            if "thrown" in line.flags:
                assert "floats" in line.flags
                assert amount(line.length, "mm") >= 15_000

    def test_a_static_line_sinks_and_is_not_thrown(self) -> None:
        # Common practice, no source: polyamide is denser than water.
        for line in items_sold_to("EN 1891 type A"):
            assert set(line.flags) == {"across", "haul"}

    def test_a_floating_line_that_hauls_is_a_rescue_throwline(self) -> None:
        # NFPA 1983 (now within NFPA 2500): 7-9.5 mm, at least 13 kN, floats; from memory.
        both = [line for line in items_of("line") if {"haul", "floats"} <= set(line.flags)]
        assert len(both) == 2
        for line in both:
            assert Decimal(7) <= amount(line.diameter, "mm") <= Decimal("9.5")
            assert amount(line.strength, "N") >= 13_000

    def test_no_line_below_that_strength_hauls(self) -> None:
        # Same figure, NFPA 1983, from memory; polypropylene throw lines stay below it.
        weak = [line for line in items_of("line") if amount(line.strength, "N") < 13_000]
        assert weak
        assert all("haul" not in line.flags for line in weak)

    def test_every_line_that_hauls_has_two_prusik_loops_that_grip_it(self) -> None:
        # A loop's cord is 60-80 % as thick as the line; common practice, no source.
        for line in items_of("line"):
            if "haul" in line.flags:
                thick = amount(line.diameter, "mm")
                shares = [amount(loop.diameter, "mm") / thick for loop in items_of("prusik loop")]
                assert sum(Decimal("0.6") <= share <= Decimal("0.8") for share in shares) >= 2


class TestPublishedStrengths:
    @pytest.mark.parametrize(
        ("name", "strength_n"),
        [
            ("prusik loop 5 mm", 5_000),
            ("prusik loop 6 mm", 7_200),
            ("prusik loop 7 mm", 9_800),
            ("prusik loop 8 mm", 12_800),
        ],
    )
    def test_accessory_cord(self, name: str, strength_n: int) -> None:
        # EN 564 (2006, 2014) as tabulated by a cord maker, second-hand.
        assert ITEMS[name].standard == "EN 564"
        assert amount(ITEMS[name].strength, "N") == strength_n

    def test_all_accessory_cord_follows_the_formula_of_the_table(self) -> None:
        # 0.20 kN/mm2 x d^2 meets all five rows (4-8 mm) of the EN 564 table; worked out from it.
        loops = items_sold_to("EN 564")
        assert loops == items_of("prusik loop")
        for loop in loops:
            assert amount(loop.strength, "N") == 200 * amount(loop.diameter, "mm") ** 2

    @pytest.mark.parametrize(
        ("standard", "least_n", "items"),
        [
            # EN 12275:2013, major axis, gate closed; a test house's summary, second-hand.
            ("EN 12275 type B", 20_000, 2),
            ("EN 12275 type H", 20_000, 1),
            ("EN 12275 type X", 18_000, 1),
            # EN 1891, a rope maker's summary, second-hand: static strength of type A.
            ("EN 1891 type A", 22_000, 2),
            # EN 566, from memory: sewn slings.
            ("EN 566", 22_000, 3),
        ],
    )
    def test_least_strength_of_a_standard(self, standard: str, least_n: int, items: int) -> None:
        sold = items_sold_to(standard)
        assert len(sold) == items
        assert {amount(item.strength, "N") for item in sold} == {least_n}

    def test_no_standard_is_cited_that_no_test_knows(self) -> None:
        # ISO 12402-5 (buoyancy), EN 1385 (helmets), EN 12278 (pulleys): numbers from memory.
        assert {item.standard for item in GEAR.item} - {""} == {
            "EN 564",
            "EN 566",
            "EN 1385",
            "EN 1891 type A",
            "EN 12275 type B",
            "EN 12275 type H",
            "EN 12275 type X",
            "EN 12278",
            "ISO 12402-5",
        }

    @pytest.mark.parametrize("item", items_of("life jacket"), ids=lambda item: item.name)
    def test_every_life_jacket_has_the_buoyancy_that_rivers_ask(self, item: ItemRecord) -> None:
        # US National Park Service, Dinosaur NM, required boating equipment (official text): an
        # adult's life jacket has at least 15.5 lbf, at 4.448222 N/lbf 68.9 N.
        found = re.match(r"(\d+) N of buoyancy", item.remark)
        assert found is not None
        assert Decimal(found[1]) >= Decimal("15.5") * Decimal("4.448222")


class TestBoats:
    def test_holds_at_least_fourteen_types_each_named_once(self) -> None:
        assert len(BOATS.boat_type) >= 14
        assert len(TYPES) == len(BOATS.boat_type)

    def test_no_two_types_are_equal_but_for_their_words(self) -> None:
        told_apart_by = [
            boat_type.model_dump_json(exclude={"name", "source"}) for boat_type in BOATS.boat_type
        ]
        assert len(set(told_apart_by)) == len(told_apart_by)

    def test_every_boat_skill_has_a_boat_and_no_other_skill_is_asked(self) -> None:
        assert {boat_type.skill for boat_type in BOATS.boat_type} == BOAT_SKILLS
        assert set(TECHNIQUES.skill) >= BOAT_SKILLS

    @pytest.mark.parametrize("boat_type", BOATS.boat_type, ids=lambda boat_type: boat_type.name)
    def test_a_full_boat_is_a_possible_boat(self, boat_type: BoatTypeRecord) -> None:
        up_to_three, from_four = boat_type.least_crew
        assert 1 <= up_to_three <= from_four <= boat_type.seats
        # 46 CFR 170.090(d)(1), official text: a person counts 185 lb, 83.9 kg; and 8 kg of wet
        # clothes on each (common practice, no source).
        crew_g = from_four * (83_900 + 8_000)
        assert crew_g <= amount(boat_type.payload, "g")
        assert amount(boat_type.mass, "g") > 0

    @pytest.mark.parametrize("boat_type", BOATS.boat_type, ids=lambda boat_type: boat_type.name)
    def test_harder_water_never_asks_a_lesser_steerer(self, boat_type: BoatTypeRecord) -> None:
        assert list(boat_type.steerer) == sorted(boat_type.steerer)

    def test_light_and_lone_boats_ask_one_level_more_from_class_three(self) -> None:
        # Common practice, no source.
        one_up = {name for name, boat_type in TYPES.items() if boat_type.steerer[2] == 4}
        assert one_up == {"packraft 2.4 m", "solo canoe 4.3 m"}

    def test_guests_at_the_paddles_ask_a_better_guide(self) -> None:
        # Common practice, no source.
        for boat_type in BOATS.boat_type:
            assert boat_type.guests_one_level_up == (boat_type.skill == "paddle raft")

    def test_crew_paddles_are_items_with_a_t_grip(self) -> None:
        for boat_type in BOATS.boat_type:
            single_blades = boat_type.skill in {"paddle raft", "canoe"}
            assert (boat_type.crew_paddle is not None) == single_blades
            if boat_type.crew_paddle is not None:
                assert {"paddle", "T-grip paddle"} <= set(ITEMS[boat_type.crew_paddle].kinds)

    def test_a_swamped_canoe_has_the_published_drag(self) -> None:
        # Bechdel & Ray, River Rescue, 4th ed., second-hand: a swamped boat takes 168 lbf at 3 mph,
        # the table rounded to 0.5 %.
        measured = Decimal(168) * Decimal("4.448222") / (3 * Decimal("0.44704")) ** 2
        drag = TYPES["tandem canoe 5.0 m"].worst_drag
        assert drag is not None
        assert abs(drag / measured - 1) < Decimal("0.005")

    def test_drag_grows_with_length_within_a_family(self) -> None:
        for skill in ("oar raft", "paddle raft", "cat raft"):
            drags = [t.worst_drag or 0 for t in BOATS.boat_type if t.skill == skill]
            assert len(drags) >= 3
            assert drags == sorted(set(drags))
