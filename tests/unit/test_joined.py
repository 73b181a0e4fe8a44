"""Which two lines count as one: minimal pairs against brute force, and where none are joined."""

from __future__ import annotations

import random
from itertools import combinations
from typing import TYPE_CHECKING

import pytest

from kitplan.needs.joined import list_minimal_pairs
from tests.places import lay

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    Pair = tuple[int, int]


def join_any(lengths: Iterable[int], least: int, joint: int) -> set[Pair]:
    """Return every two lines, the longer first, that reach together and not alone."""
    pairs = {(max(two), min(two)) for two in combinations(list(lengths), 2)}
    return {(a, b) for a, b in pairs if a < least and a + b - joint >= least}


@pytest.mark.parametrize("seed", range(200))
def test_minimal_pairs_allow_what_brute_force_finds(seed: int) -> None:
    """Whatever two lines reach fill a pair, whatever fills a pair reaches, and none is needless."""
    rng = random.Random(seed)
    lengths = [rng.randint(1, 12) for _ in range(rng.randint(0, 8))]
    least, joint = rng.randint(1, 20), rng.randint(0, 2)
    pairs = list_minimal_pairs(lengths, least, joint)
    reach = join_any(lengths, least, joint)
    assert set(pairs) <= reach
    for longer, shorter in reach:
        assert any(a <= longer and b <= shorter for a, b in pairs)
    for (a, b), (c, d) in combinations(pairs, 2):
        assert not (a <= c and b <= d)
        assert not (c <= a and d <= b)


def test_minimal_pairs_by_hand() -> None:
    """37 m, the joint takes 1 m: 20 + 18 is 37 exactly, 25 + 15 is 39, and 20 + 15 is 34, short.

    25 + 18 and 25 + 20 reach too, but ask more than 20 + 18; a line of 45 m does alone.
    """
    lengths = [mm * 1_000 for mm in (15, 18, 20, 25, 45)]
    assert list_minimal_pairs(lengths, 37_000, 1_000) == [(20_000, 18_000), (25_000, 15_000)]
    # A pair of equal lengths takes two lines.
    assert list_minimal_pairs([20_000], 30_000, 1_000) == []
    assert list_minimal_pairs([20_000] * 2, 30_000, 1_000) == [(20_000, 20_000)]


def test_joined_lines_of_a_haul_and_their_arithmetic(tmp_path: Path) -> None:
    """A 2 on 2 from 7 m: 7 + 10 + 3 x 5 is 32 m; two of 25 m less 1 m of joint are 49 m.

    Four carabiners for the haul, and one for the joint.
    """
    _, needs = lay(tmp_path, "pinned boat", more=STRONG)
    choice = next(c for key, c in needs.choices.items() if key[3:] == ("bank-haul", "left"))
    assert (
        "line of 32 m: two joined will do, 25 m + 25 m - 1 m of joint = 49 m, with 1 more locking "
        "carabiner; no joint runs into a pulley"
    ) in choice.amounts
    joined = [v for v in choice.variants if "two lines joined, 25 m + 25 m" in v.way]
    assert len(joined) * 2 == len(choice.variants)
    for variant in joined:
        counts = {(slot.thing.kind, slot.thing.flags): slot.count for slot in variant.items}
        assert counts["line", ("haul",)] == 2
        assert counts["locking carabiner", ()] == 5


STRONG = """
[[kit]]
item = "throw bag 25 m, strong core"
count = 2
"""
SCENARIOS = ("entrapment, head up", "entrapment, head down", "spent swimmer", "swimmer")
BAGS = """
[[kit]]
item = "throw bag 20 m"
count = 4
"""


def test_no_line_that_is_thrown_or_holds_a_person_is_joined(tmp_path: Path) -> None:
    """With bags of 20 m only: lines to lie across 18 m are joined, all others are what they were.

    A line that is closed round somebody is in one piece: the first of the cinch.
    """
    joined: dict[str, set[tuple[str, ...]]] = {}
    for scenario in SCENARIOS:
        _, needs = lay(tmp_path, scenario, more=BAGS)
        for key, choice in needs.choices.items():
            for variant in choice.variants:
                lines = [slot.thing for slot in variant.items if slot.thing.kind == "line"]
                assert all(thing.least_mm >= 24_000 for thing in lines if thing.whole)
                if "two lines joined" in variant.way:
                    halves = {thing.flags for thing in lines if 0 < thing.least_mm <= 20_000}
                    joined.setdefault(key.technique, set()).update(halves)
    # Bags of 15 m are those of downstream safety.
    across, thrown = ("across",), ("thrown",)
    assert joined == {
        "foot-line": {across, thrown},
        "support-line": {across, thrown},
        "two-bank-cinch": {across, thrown},
        "two-bank-low-line": {across, thrown},
    }
