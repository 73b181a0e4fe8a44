"""The limits and crews of the techniques: common practice, no source, unless one is named."""

from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.demands import Choice
from kitplan.needs import derive_needs
from tests.places import lay, look

HEAD_UP, HEAD_DOWN = "entrapment, head up", "entrapment, head down"


def count_people(choice: Choice, site: str) -> set[int]:
    """Return how many people the variants ask for at a site, downstream safety left out."""
    return {
        sum(s.count for s in v.persons if s.sites == (site,) and s.role != "downstream safety")
        for v in choice.variants
    }


@pytest.mark.parametrize(("reach", "fits"), [(10, True), (10.1, False), (9.14, True)])
def test_loop_reaches_ten_metres(*, tmp_path: Path, reach: float, fits: bool) -> None:
    """One bank within 10 m: a thrown loop. Common practice, no source."""
    choice = look(tmp_path, HEAD_UP, "one-bank-loop", "left", width=30, reach=reach, right=0)
    assert choice.accepted == fits
    if not fits:
        assert choice.reasons == ("out of reach from river left: 10.1 m > 10 m",)


def test_loop_takes_two_on_the_bank(tmp_path: Path) -> None:
    """Two rescuers there, one throwing, one holding. Common practice, no source."""
    choice = look(tmp_path, HEAD_UP, "one-bank-loop", "left", reach=5)
    assert min(count_people(choice, "left")) == 2
    slots = {s.role: s.ask for s in choice.variants[0].persons}
    assert dict(slots["thrower"].skills)["throwing"] == 2


def test_loop_beyond_six_metres_asks_throwing_three(tmp_path: Path) -> None:
    """Beyond 6 m throwing 3 is needed. Common practice, no source."""
    choice = look(tmp_path, HEAD_UP, "one-bank-loop", "left", reach=7)
    slots = {s.role: s.ask for s in choice.variants[0].persons}
    assert dict(slots["thrower"].skills)["throwing"] == 3


@pytest.mark.parametrize(("reach", "line_mm"), [(5.5, 15_000), (8, 20_000), (10, 24_000)])
def test_loop_line_is_twice_the_reach_and_four(tmp_path: Path, reach: float, line_mm: int) -> None:
    """Bags of 15 and 20 m serve 5.5 and 8 m. Common practice, no source."""
    choice = look(tmp_path, HEAD_UP, "one-bank-loop", "left", width=30, reach=reach)
    longest = max(s.thing.least_mm for s in choice.variants[0].items)
    assert longest == line_mm


@pytest.mark.parametrize(("width", "fits"), [(20, True), (20.5, False)])
def test_low_line_needs_banks_twenty_metres_apart(
    *,
    tmp_path: Path,
    width: float,
    fits: bool,
) -> None:
    """Banks at most 20 m apart. Common practice, no source."""
    choice = look(tmp_path, HEAD_DOWN, "two-bank-low-line", "left", width=width)
    assert choice.accepted == fits
    if not fits:
        assert choice.reasons == ("too wide: 20.5 m > 20 m",)


def test_low_line_takes_two_a_bank_with_their_things(tmp_path: Path) -> None:
    """On each bank 2 rescuers, a T-grip paddle, a prusik loop, a carabiner; one line."""
    choice = look(tmp_path, HEAD_DOWN, "two-bank-low-line", "left", width=14)
    for bank in ("left", "right"):
        assert min(count_people(choice, bank)) == 2
        for variant in choice.variants:
            kinds = [s.thing.kind for s in variant.items if s.site == bank]
            assert {"T-grip paddle", "prusik loop", "carabiner"} <= set(kinds)
    across = [s for s in choice.variants[0].items if "across" in s.thing.flags]
    assert [(s.site, s.thing.least_mm) for s in across] == [("left", 20_000)]


def test_low_line_over_knee_deep_asks_a_second_paddle(tmp_path: Path) -> None:
    """Second T-grip where the water at the edge is over 0.5 m. Common practice, no source."""
    deep = look(tmp_path, HEAD_DOWN, "two-bank-low-line", "left", edge="0.6 m")
    paddles = {s.site: s.count for s in deep.variants[0].items if s.thing.kind == "T-grip paddle"}
    assert paddles == {"left": 2, "right": 2}


def test_cinch_takes_two_and_more_a_bank(tmp_path: Path) -> None:
    """2 and more a bank, a line a bank, 3 locking carabiners. Common practice, no source."""
    choice = look(tmp_path, HEAD_UP, "two-bank-cinch", "left")
    assert min(count_people(choice, "left")) == 2
    assert min(count_people(choice, "right")) == 2
    lines = {
        s.site: s.thing.least_mm for s in choice.variants[0].items if "across" in s.thing.flags
    }
    assert lines == {"left": 24_000, "right": 21_000}
    locking = [s.count for s in choice.variants[0].items if s.thing.kind == "locking carabiner"]
    assert locking == [3]


@pytest.mark.parametrize(("run_in", "fits"), [("15 m", True), ("14.9 m", False)])
def test_contact_swim_starts_fifteen_metres_upstream(
    *,
    tmp_path: Path,
    run_in: str,
    fits: bool,
) -> None:
    """Start at least 15 m upstream. Common practice, no source."""
    spot = f'current = "1 m/s"\nrun_in = "{run_in}"\nrun_out = "80 m"'
    choice = look(tmp_path, HEAD_DOWN, "contact-swim", "", spot=spot)
    assert choice.accepted == fits


def test_swim_covers_only_where_no_bank_can_be_worked(tmp_path: Path) -> None:
    """A last resort covers nothing where another accepted technique fits."""
    assert not look(tmp_path, HEAD_DOWN, "contact-swim", "").covers
    alone = look(tmp_path, HEAD_DOWN, "contact-swim", "", safety="afloat")
    assert alone.accepted
    assert alone.covers


def test_order_of_choice(tmp_path: Path) -> None:
    """Head up: support, then free; the line from two banks before the loop."""
    _, needs = lay(tmp_path, HEAD_UP, reach=5, spot='current = "1.2 m/s"\ndepth = "1.2 m"')
    order = [
        key.technique
        for key, choice in needs.choices.items()
        if choice.accepted and (key.bank, key.scenario) == ("left", HEAD_UP)
    ]
    assert order == [
        "support-line",
        "foot-line",
        "two-bank-cinch",
        "one-bank-loop",
        "thrown-paddle",
    ]


def test_shallow_water_is_waded_first(tmp_path: Path) -> None:
    """Group wading is first up to 0.6 m deep. Common practice, no source."""
    spot = 'current = "1.2 m/s"\ndepth = "0.6 m"'
    choice = look(tmp_path, HEAD_DOWN, "group-wading", "left", spot=spot)
    assert choice.place == 1
    people = sum(s.count for s in choice.variants[0].persons if "safety" not in s.role)
    assert people == 4  # the lead, two waders and one in charge, who may not wade


def test_cold_or_remote_is_one_class_harder_once(tmp_path: Path) -> None:
    """One class harder below 50 degF (10 degC) or in wilderness: California DBW, second-hand."""
    spot = 'current = "1.2 m/s"\ndepth = "0.6 m"'
    facts = {"river_class": "IV", "spot": spot}
    assert look(tmp_path, HEAD_DOWN, "group-wading", "left", **facts).accepted
    for harder in ({"water": "9 degC"}, {"remote": "true"}, {"water": "9 degC", "remote": "true"}):
        choice = look(tmp_path, HEAD_DOWN, "group-wading", "left", **facts, **harder)
        assert choice.verdict == "not accepted"
        assert "counted as V" in choice.reasons[0]


def test_downstream_safety_doubles_in_hard_or_cold_water(tmp_path: Path) -> None:
    """Two at class IV and up or below 10 degC. Common practice, no source."""
    for facts, count in (({}, 1), ({"river_class": "IV"}, 2), ({"water": "9 degC"}, 2)):
        choice = look(tmp_path, HEAD_UP, "one-bank-loop", "left", **facts)
        guards = {
            sum(s.count for s in v.persons if s.role == "downstream safety")
            + sum(b.count for b in v.boats)
            for v in choice.variants
        }
        assert guards == {count}


def test_from_four_people_one_is_in_charge(tmp_path: Path) -> None:
    """In charge (leading 2 and up) from four person slots. Common practice, no source."""
    three = look(tmp_path, HEAD_UP, "one-bank-loop", "left")
    assert not any("leading" in dict(s.ask.skills) for v in three.variants for s in v.persons)
    six = look(tmp_path, HEAD_UP, "two-bank-cinch", "left")
    for variant in six.variants:
        leads = [s for s in variant.persons if dict(s.ask.skills).get("leading", 0) >= 2]
        assert len(leads) == 1


@pytest.mark.parametrize(("width", "said"), [(15, {3}), (18, {4}), (24, set())])
def test_line_is_thrown_across_to_twenty_metres(
    tmp_path: Path, width: float, said: set[int]
) -> None:
    """Throwing 3 to 15 m, 4 to 20 m; wider a boat takes it. Common practice, no source."""
    choice = look(tmp_path, HEAD_UP, "support-line", "left", width=width)
    levels = {
        dict(s.ask.skills)["throwing"]
        for v in choice.variants
        for s in v.persons
        if "line hand" in s.role and "throwing" in dict(s.ask.skills)
    }
    assert levels == said
    if not said:
        assert all(any(b.work == "takes the line across" for b in v.boats) for v in choice.variants)


def list_lines(choice: Choice, way: str) -> set[tuple[tuple[str, int, tuple[str, ...]], ...]]:
    """Return the lines of the variants whose name has `way`, those for downstream safety left out.

    Those are the ones of 15 m; each line with site, least length in mm and flags.
    """
    return {
        tuple(
            sorted(
                (slot.site, slot.thing.least_mm, slot.thing.flags)
                for slot in variant.items
                if slot.thing.kind == "line" and slot.thing.least_mm != 15_000
            )
        )
        for variant in choice.variants
        if way in variant.way
    }


def test_what_is_thrown_across_is_a_line_to_be_thrown(tmp_path: Path) -> None:
    """A static line is never thrown: it is thrown across itself, or a messenger draws it over.

    18 m wide: the line is 18 + 6 = 24 m; a throw costs 2 m, so the messenger is 18 + 2 = 20 m, at
    the bank it is thrown from. The line lies at the working bank, so that from the far bank only
    a messenger can be thrown. Common practice, no source.
    """
    choice = look(tmp_path, HEAD_UP, "support-line", "left", width=18)
    line = ("left", 24_000, ("across",))
    thrown = ("left", 24_000, ("across", "thrown"))
    near, far = (
        "throws the line across from river left",
        "throws the line across from river right",
    )
    assert list_lines(choice, near) == {(thrown,)}
    assert list_lines(choice, far) == set()
    assert list_lines(choice, "throws a messenger line across from river left") == {
        tuple(sorted([line, ("left", 20_000, ("thrown",))]))
    }
    assert list_lines(choice, "throws a messenger line across from river right") == {
        (line, ("right", 20_000, ("thrown",)))
    }
    assert list_lines(choice, "takes the line across") == {(line,)}
    assert (
        "thrown across 18 m: throwing 4; the line that lies across is one to be thrown, or a "
        "messenger of width 18 m + 2 m = 20 m is thrown and draws it over"
    ) in choice.amounts


def test_only_one_of_two_lines_is_thrown(tmp_path: Path) -> None:
    """The cinch has a line at each bank: whoever throws takes the one of his bank.

    12 m wide, reach 5 m: max(12 + 6, 2 x 5 + 6) = 18 m at the working bank, 12 + 3 = 15 m at the
    far one, both longer than the 14 m a throw of 12 m takes.
    """
    choice = look(tmp_path, HEAD_UP, "two-bank-cinch", "left", width=12, reach=5)
    by_flags = {
        tuple(
            sorted(
                (slot.site, slot.thing.least_mm, slot.thing.flags)
                for slot in variant.items
                if "across" in slot.thing.flags
            )
        )
        for variant in choice.variants
        if "throws the line" in variant.way
    }
    assert by_flags == {
        (("left", 18_000, ("across", "thrown")), ("right", 15_000, ("across",))),
        (("left", 18_000, ("across",)), ("right", 15_000, ("across", "thrown"))),
    }


def test_bank_haul_line(tmp_path: Path) -> None:
    """9.5 m of reach, 3:1: 29.5 m of line; worked example, common practice, no source."""
    facts = {"width": 30, "reach": 9.5, "boat": "oar raft 4.3 m"}
    choice = look(tmp_path, "pinned boat", "bank-haul", "left", **facts)
    assert max(s.thing.least_mm for s in choice.variants[0].items) == 29_500
    assert any(
        v.way.startswith("hauled at a 3:1; clipped from a boat; clips from a boat (")
        for v in choice.variants
    )
    kinds = {s.thing.kind: s.count for s in choice.variants[0].items}
    assert (kinds["prusik loop"], kinds["locking carabiner"], kinds["pulley"]) == (3, 4, 2)


def test_tethered_swimmer_is_one_person(tmp_path: Path) -> None:
    """Skill, certificate and own release vest in one person; reach to 12 m, line 1.5 x + 3 m."""
    choice = look(tmp_path, "spent swimmer", "tethered-swim", "left", width=30, reach=12)
    swimmer = next(s for s in choice.variants[0].persons if s.role == "tethered swimmer")
    assert swimmer.ask.certificate == "swift-water rescue"
    assert "harness" in swimmer.ask.wears
    assert max(s.thing.least_mm for s in choice.variants[0].items) == 21_000
    far = look(tmp_path, "spent swimmer", "tethered-swim", "left", width=30, reach=12.1)
    assert far.reasons == ("out of reach from river left: 12.1 m > 12 m",)


def list_throwers(choice: Choice) -> dict[int | None, tuple[int, int]]:
    """Return by the most people in the running boat how many throwers and lines are asked for."""
    return {
        variant.crew_at_most: (
            sum(slot.count for slot in variant.persons),
            sum(slot.count for slot in variant.items),
        )
        for variant in choice.variants
    }


def test_two_throwers_in_hard_or_cold_water_or_with_more_than_two_aboard(tmp_path: Path) -> None:
    """Two from class IV, below 10 degC, or for more than two aboard. Common practice, no source."""
    for facts in ({"river_class": "IV"}, {"water": "9.9 degC"}):
        choice = look(tmp_path, "swimmer", "throw-line", "left", **facts)
        assert list_throwers(choice) == {None: (2, 2)}
    choice = look(tmp_path, "swimmer", "throw-line", "left", water="10 degC")
    assert list_throwers(choice) == {2: (1, 1), None: (2, 2)}
    assert "thrower: 2 with more than 2 in the running boat, else 1" in choice.amounts


def test_who_is_alone_in_a_boat_is_never_many(tmp_path: Path) -> None:
    """Boats that seat two at most are never crowded: one thrower, and no word of it."""
    trip, _ = lay(tmp_path, "swimmer")
    kind = trip.boats["Heron"].type
    small = {b: replace(boat, type=replace(kind, seats=2)) for b, boat in trip.boats.items()}
    needs = derive_needs(replace(trip, boats=small))
    key = next(key for key in needs.choices if key.technique == "throw-line")
    assert list_throwers(needs.choices[key]) == {None: (1, 1)}
    assert not any("running boat" in said for said in needs.choices[key].amounts)


FLIPPED = "flipped boat"


def list_gathering(choice: Choice) -> tuple[dict[str, tuple[int, int]], set[str], bool]:
    """Return by bank the throwing level and the line in mm, the crafts afloat, and if both."""
    [variant] = choice.variants
    slot = variant.catch
    assert slot is not None
    ashore = {one.site: (dict(one.ask.skills)["throwing"], one.bag.least_mm) for one in slot.ashore}
    return ashore, {craft for option in slot.options for craft in option.crafts}, slot.both


def test_swimmers_are_taken_ashore_and_afloat(tmp_path: Path) -> None:
    """Throwers ashore, free seats and kayaks afloat, some each way. Common practice, no source.

    7 m from the left bank: throwing 2 as always; 13 m from the right one: throwing 3. A throw
    spends 2 m of the line.
    """
    choice = look(tmp_path, FLIPPED, "gather-swimmers", "", width=20, river_class="IV")
    crafts = {"raft", "kayak", "canoe"}
    # With two boats in the party one is left, which can't be at a bank and afloat.
    assert list_gathering(choice) == (
        {"left": (2, 9_000), "right": (3, 15_000)},
        crafts,
        False,
    )
    trip, _ = lay(tmp_path, FLIPPED)
    third = replace(trip.boats["Heron"], name="Wren")
    rapids = {name: replace(one, boats=(*one.boats, "Wren")) for name, one in trip.rapids.items()}
    more = replace(trip, boats=trip.boats | {"Wren": third}, rapids=rapids)
    needs = derive_needs(more)
    [gather] = [one for key, one in needs.choices.items() if key.technique == "gather-swimmers"]
    assert list_gathering(gather)[2]


@pytest.mark.parametrize(
    ("facts", "banks", "afloat"),
    [
        ({"eddies": 0}, {"left", "right"}, False),
        ({"safety": "afloat"}, set(), True),
        ({"left": 0}, {"right"}, True),
        # Beyond the longest throw, 20 m, nobody is reached from the right bank.
        ({"width": 28}, {"left"}, True),
        ({"river_class": "VI"}, {"left", "right"}, False),  # afloat is accepted to class V
    ],
)
def test_what_can_take_swimmers_where(
    tmp_path: Path, facts: dict[str, object], banks: set[str], *, afloat: bool
) -> None:
    choice = look(tmp_path, FLIPPED, "gather-swimmers", "", **facts)
    assert choice.accepted
    ashore, crafts, _ = list_gathering(choice)
    assert (set(ashore), bool(crafts)) == (banks, afloat)


def test_nobody_takes_swimmers_where_nobody_waits(tmp_path: Path) -> None:
    choice = look(tmp_path, FLIPPED, "gather-swimmers", "", safety="none")
    assert choice.reasons == ('no boat waits afloat here (safety is "none")',)


def test_only_rafts_flip_so(tmp_path: Path) -> None:
    """A kayak has nobody but its paddler, who rolls or swims. Common practice, no source."""
    trip, needs = lay(tmp_path, FLIPPED)
    assert trip.catalog.scenarios[FLIPPED].crafts == ("raft",)
    assert {case.running for case in needs.cases if case.scenario == FLIPPED} == {"Heron", "Dipper"}
    assert trip.consequence[FLIPPED] == trip.consequence["swimmer"]
