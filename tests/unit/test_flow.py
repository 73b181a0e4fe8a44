"""The cheapest largest assignment: as many as can be, then cheap fillers, early places, likes.

The largest number is held against networkx's matching, a general-purpose reference library.
"""

import random

import networkx as nx
import pytest

from kitplan.explain.flow import assign


def count_by_networkx(sees: list[list[int]], room: list[int]) -> int:
    """Return how many places can be filled at once."""
    graph = nx.DiGraph()
    for place, fillers in enumerate(sees):
        graph.add_edge("source", ("place", place), capacity=1)
        for filler in fillers:
            graph.add_edge(("place", place), ("filler", filler), capacity=1)
    for filler, times in enumerate(room):
        graph.add_edge(("filler", filler), "sink", capacity=times)
    return int(nx.maximum_flow_value(graph, "source", "sink")) if sees else 0


@pytest.mark.parametrize("seed", range(60))
def test_as_many_places_as_can_be_are_filled_whatever_is_liked(seed: int) -> None:
    rng = random.Random(seed)
    fillers = rng.randint(1, 6)
    room = [rng.randint(0, 3) for _ in range(fillers)]
    sees = [
        sorted(rng.sample(range(fillers), rng.randint(0, fillers)))
        for _ in range(rng.randint(1, 7))
    ]
    cost = [rng.randint(0, 3) for _ in range(fillers)]
    likes = [[rng.randint(0, 120) for _ in row] for row in sees]
    plain, liked = assign(sees, room, cost), assign(sees, room, cost, likes)
    for got in (plain, liked):
        assert sum(filler >= 0 for filler in got) == count_by_networkx(sees, room)
        assert all(filler < 0 or filler in row for filler, row in zip(got, sees, strict=True))
        assert all(got.count(filler) <= times for filler, times in enumerate(room))

    def price(got: list[int]) -> int:
        return sum(cost[filler] for filler in got if filler >= 0)

    assert price(liked) == price(plain)
    assert [filler >= 0 for filler in liked] == [filler >= 0 for filler in plain]


def test_of_equal_fillers_the_liked_one_is_taken() -> None:
    assert assign([[0, 1], [0, 1]], [1, 1], None, [[5, 0], [0, 5]]) == [1, 0]


def test_what_a_filler_costs_goes_before_what_is_liked() -> None:
    assert assign([[0, 1]], [1, 1], [1, 0], [[0, 100]]) == [1]


def test_earlier_places_come_first() -> None:
    assert assign([[0], [0]], [1], None, [[50], [0]]) == [0, -1]
