"""Techniques for rarer scenarios: where each fits and where not, and whom and what it asks for.

All figures are common practice, no source; they are written out again here, not read from the
catalogue.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.demands import ChoiceKey
from kitplan.needs import derive_needs
from tests.generator import load_catalog
from tests.places import lay, look

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.demands import Choice, Variant

HOLE, STRAINER, STRANDED = "held in a hole", "against a strainer", "stranded midstream"
LOOSE, UPTURNED = "loose boat", "upturned raft"
SLOW = 'current = "1.2 m/s"\ndepth = "0.8 m"\nrun_in = "30 m"\nrun_out = "80 m"'
SLACK = f"{SLOW}\nslack = true"

Facts = dict[str, object]


def count_roles(variant: Variant) -> dict[str, int]:
    """Return how many persons each role asks for, boats' crews left out."""
    counts: Counter[str] = Counter()
    for slot in variant.persons:
        counts[slot.role] += slot.count
    return dict(counts)


def count_things(variant: Variant) -> dict[str, int]:
    """Return how many things of each kind a variant asks for, downstream safety's line left out."""
    counts: Counter[str] = Counter()
    for slot in variant.items:
        if (slot.thing.kind, slot.thing.least_mm) != ("line", 15_000):
            counts[slot.thing.kind] += slot.count
    return dict(counts)


def count_people(choice: Choice) -> int:
    """Return the fewest people of all ways, one in each boat at work."""
    return min(
        sum(slot.count for slot in v.persons) + sum(slot.count for slot in v.boats)
        for v in choice.variants
    )


FITS: list[tuple[str, str, str, Facts]] = [
    (HOLE, "hole-line", "left", {"reach": 15, "width": 30}),
    (STRAINER, "reach-out", "left", {"reach": 3}),
    (STRAINER, "saw-and-pull", "left", {"reach": 6, "river_class": "IV"}),
    (STRAINER, "boat-to-the-spot", "", {"spot": SLACK}),
    (STRANDED, "boat-to-the-spot", "", {"spot": SLACK}),
    (STRANDED, "boat-on-lines", "left", {"width": 40, "spot": 'current = "3 m/s"'}),
    (STRANDED, "slant-line", "right", {}),
    (LOOSE, "tow-by-kayak", "", {"spot": 'run_out = "50 m"'}),
    ("swimmer", "tow-by-kayak", "", {"river_class": "IV"}),
    ("spent swimmer", "tow-by-kayak", "", {"river_class": "III+"}),
    (UPTURNED, "right-the-raft", "", {"spot": SLACK}),
    ("entrapment, head up", "foot-line", "left", {"width": 18}),
]
MISFITS: list[tuple[str, str, str, Facts, str]] = [
    (HOLE, "hole-line", "left", {"reach": 15.1, "width": 30},
     "out of reach from river left: 15.1 m > 15 m"),
    (HOLE, "hole-line", "left", {"eddies": 0}, "no eddy here for a boat to wait in"),
    (HOLE, "hole-line", "left", {"safety": "afloat"},
     'nobody on the banks here (safety is "afloat")'),
    (STRAINER, "reach-out", "left", {"reach": 3.1}, "out of reach from river left: 3.1 m > 3 m"),
    (STRAINER, "saw-and-pull", "left", {"reach": 6.1},
     "out of reach from river left: 6.1 m > 6 m"),
    (STRAINER, "boat-to-the-spot", "", {}, "no slack water below the place"),
    (STRANDED, "boat-to-the-spot", "", {}, "no slack water below the place"),
    (STRANDED, "boat-on-lines", "left", {"width": 40.5}, "too wide: 40.5 m > 40 m"),
    (STRANDED, "boat-on-lines", "left", {"spot": 'current = "3.1 m/s"'},
     "current too fast: 3.1 m/s > 3 m/s"),
    (STRANDED, "slant-line", "left", {"right": 0}, "river right has no landing"),
    (LOOSE, "tow-by-kayak", "", {"spot": 'run_out = "49 m"'}, "run-out too short: 49 m < 50 m"),
    (LOOSE, "tow-by-kayak", "", {"eddies": 0},
     "one kayak: no eddy here for a boat to wait in"),
    (UPTURNED, "right-the-raft", "", {}, "no slack water below the place"),
    ("entrapment, head up", "foot-line", "left", {"width": 25.5}, "too wide: 25.5 m > 25 m"),
]  # fmt: skip


@pytest.mark.parametrize(("scenario", "technique", "bank", "facts"), FITS)
def test_it_fits(tmp_path: Path, scenario: str, technique: str, bank: str, facts: Facts) -> None:
    choice = look(tmp_path, scenario, technique, bank, **facts)
    assert (choice.verdict, choice.reasons) == ("fits", ())


@pytest.mark.parametrize(("scenario", "technique", "bank", "facts", "reason"), MISFITS)
def test_it_does_not_fit(
    *, tmp_path: Path, scenario: str, technique: str, bank: str, facts: Facts, reason: str
) -> None:
    choice = look(tmp_path, scenario, technique, bank, **facts)
    assert choice.verdict == "does not fit"
    assert reason in choice.reasons


def test_a_slant_line_needs_something_to_tie_to_on_both_banks(tmp_path: Path) -> None:
    trip, _ = lay(tmp_path, STRANDED)
    rapid = trip.rapids["Ledge"]
    bare = replace(rapid, right=replace(rapid.right, anchor=False))
    needs = derive_needs(replace(trip, rapids={"Ledge": bare}))
    spot = rapid.spots[0].name
    for bank in ("left", "right"):
        choice = needs.choices[ChoiceKey("Ledge", spot, STRANDED, "slant-line", bank)]
        assert choice.reasons == ("nothing to tie to on river right",)


def test_a_tether_is_the_leader_s_to_allow(tmp_path: Path) -> None:
    """Accepted to class IV, and class IV in cold water counts as V."""
    for scenario, technique in ((STRAINER, "saw-and-pull"), (STRANDED, "slant-line")):
        facts: Facts = {"reach": 5, "river_class": "IV", "water": "9 degC"}
        choice = look(tmp_path, scenario, technique, "left", **facts)
        assert choice.verdict == "not accepted"
        assert "tethered on class IV, counted as V (water 9 degC)" in choice.reasons[0]


def test_hole_line_takes_a_thrower_and_a_boat(tmp_path: Path) -> None:
    """One thrower with a bag on the bank, one boat afloat with a free place."""
    choice = look(tmp_path, HOLE, "hole-line", "left", reach=13, width=30)
    [variant] = choice.variants
    assert count_roles(variant) == {"thrower": 1}
    [line] = variant.items
    assert (line.thing.least_mm, dict(variant.persons[0].ask.skills)) == (15_000, {"throwing": 3})
    [boat] = variant.boats
    assert boat.stations == ("afloat",)
    assert {option.free_places for option in boat.options} == {1}


def test_saw_and_pull_takes_one_out_and_three_ashore(tmp_path: Path) -> None:
    choice = look(tmp_path, STRAINER, "saw-and-pull", "left", reach=5)
    roles = count_roles(choice.variants[0])
    assert roles["goes out on a tether"] == roles["holder"] == 1
    assert roles["pulls"] == 2
    assert count_things(choice.variants[0]) == {"line": 2, "saw": 1, "carabiner": 1}
    out = next(s.ask for s in choice.variants[0].persons if s.role == "goes out on a tether")
    assert (out.certificate, "harness" in out.wears) == ("swift-water rescue", True)


def test_boat_on_lines_takes_nine(tmp_path: Path) -> None:
    """Four on two lines, two in the boat, one in charge, a spotter, downstream safety."""
    choice = look(tmp_path, STRANDED, "boat-on-lines", "left", width=18)
    besides = [v for v in choice.variants if "one in charge besides" in v.way]
    assert {sum(slot.count for slot in v.persons) for v in besides} == {9}
    assert {
        slot.thing.least_mm for v in choice.variants for slot in v.items if slot.count == 2
    } == {33_000}
    assert count_things(choice.variants[0])["carabiner"] == 4


def test_slant_line_takes_seven(tmp_path: Path) -> None:
    """A leader, three more with one of them on the line, one on the far bank, spotter, safety."""
    choice = look(tmp_path, STRANDED, "slant-line", "left", width=18)
    assert count_people(choice) == 7
    [long] = [s.thing.least_mm for s in choice.variants[0].items if "across" in s.thing.flags]
    assert long == 37_000  # 1.5 x 18 m + 10 m
    kinds = count_things(choice.variants[0])
    assert (kinds["anchor sling"], kinds["pulley"], kinds["sling"]) == (2, 2, 1)


@pytest.mark.parametrize(
    ("scenario", "river_class", "kayaks"),
    [(LOOSE, "IV", 1), ("swimmer", "IV", 1), ("spent swimmer", "III", 2)],
)
def test_kayaks_that_tow(tmp_path: Path, scenario: str, river_class: str, kayaks: int) -> None:
    """One kayak of level 3 a swimmer, two for a spent one; on a tow line or the deck end."""
    choice = look(tmp_path, scenario, "tow-by-kayak", "", river_class=river_class)
    [variant] = choice.variants
    [boat] = variant.boats
    assert boat.count == kayaks
    assert {(option.crafts, option.steerer) for option in boat.options} == {(("kayak",), 3)}
    towed = {(option.free_places, *(s.thing.kind for s in option.items)) for option in boat.options}
    assert towed == ({(0, "tow line")} if scenario == LOOSE else {(0, "tow line"), (1,)})


def test_no_spent_swimmer_is_towed_above_class_three(tmp_path: Path) -> None:
    choice = look(tmp_path, "spent swimmer", "tow-by-kayak", "", river_class="IV")
    assert choice.verdict == "does not fit"


def test_three_right_a_raft_with_a_flip_line_each(tmp_path: Path) -> None:
    choice = look(tmp_path, UPTURNED, "right-the-raft", "", spot=SLACK)
    for variant in choice.variants:
        assert count_roles(variant)["rights the raft"] == 3
        assert count_things(variant) == {"flip line": 3}


def test_a_foot_line_comes_too_late_for_a_head_down(tmp_path: Path) -> None:
    """Up to 6 min to set up, where help is asked within 5: it is no technique for it."""
    _, needs = lay(tmp_path, "entrapment, head down")
    assert not any(key.technique == "foot-line" for key in needs.choices)


def test_a_foot_line_comes_after_the_support_line(tmp_path: Path) -> None:
    _, needs = lay(tmp_path, "entrapment, head up", reach=5)
    places = {key.technique: one.place for key, one in needs.choices.items() if key.bank == "left"}
    assert places["support-line"] < places["foot-line"] < places["two-bank-cinch"]


def test_weights_of_the_scenarios() -> None:
    """Drowning is near against a strainer, as head down; in a hole as for one who is spent."""
    weights = {name: one.consequence for name, one in load_catalog().scenarios.items()}
    assert weights[STRAINER] == weights["entrapment, head down"] == 8
    assert weights[HOLE] == weights["spent swimmer"] == 4
    assert weights[STRANDED] == weights["casualty ashore"] == 2
    assert weights[LOOSE] == weights[UPTURNED] == weights["pinned boat"] == 1
