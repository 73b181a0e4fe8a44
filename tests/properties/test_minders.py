"""Variants of unhurried work say the same as the rule of minders, tried number by number.

The rule is written out again here: of so many hands g are guests, each `each` of them ask for a
guide who does not haul, and the other hands are people who mind nobody. networkx matches.
"""

import random
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import networkx as nx
import pytest

from kitplan.demands import Variant
from kitplan.needs import able, derive_needs
from kitplan.trip import Trip
from tests.generator import is_full_run
from tests.rules.test_guests import hands, haulers
from tests.rules.tiny import RAFT, Edit, read_tiny

SEEDS = range(400 if is_full_run() else 60)
NOBODY_IN_CHARGE: Edit = ("in_charge_from = 4", "in_charge_from = 50")


def can_haul(people: tuple[int, int, int], count: int, each: int) -> bool:
    """Say whether guides, guests and others can haul with so many hands."""
    guides, guests, others = people
    for helping in range(min(guests, count) + 1):
        minding = -(-helping // each)
        if minding <= guides and guides - minding + others >= count - helping:
            return True
    return False


def fills(trip: Trip, variant: Variant, names: Iterable[str]) -> bool:
    """Say whether people fill all places of a variant, each one."""
    graph = nx.Graph()
    places = [(slot, n) for slot in variant.persons for n in range(slot.count)]
    graph.add_nodes_from(places)
    for slot, n in places:
        for name in names:
            if able(trip.paddlers[name], slot.ask, trip.ends, trip.catalog):
                graph.add_edge((slot, n), name)
    return len(nx.bipartite.maximum_matching(graph, places)) == 2 * len(places)


@pytest.mark.parametrize("seed", SEEDS)
def test_some_variant_can_be_done_where_the_rule_allows(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    rng = random.Random(seed)
    count, each = rng.randint(1, 6), rng.randint(1, 4)
    tiny = replace(
        haulers(3, 7, 3),
        boats=dict.fromkeys(("Heron", "Teal", "Coot"), RAFT),
        catalog=(*hands(count, each=each), NOBODY_IN_CHARGE),
    )
    trip = read_tiny(tmp_path, tiny)
    (choice,) = {c.key: c for c in derive_needs(trip).choices.values() if c.accepted}.values()
    rows = [
        [name for name in trip.paddlers if name.startswith(sort)]
        for sort in ("Guide", "Guest", "Other")
    ]
    for _ in range(30):
        people = (rng.randint(0, 3), rng.randint(0, 7), rng.randint(0, 3))
        names = [p for row, n in zip(rows, people, strict=True) for p in row[:n]]
        possible = any(fills(trip, variant, names) for variant in choice.variants)
        assert possible == can_haul(people, count, each), people
