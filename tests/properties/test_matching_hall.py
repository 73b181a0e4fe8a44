"""Augmenting paths against networkx's maximum flow and against Hall's conditions, spelt out."""

import random
from itertools import combinations

import networkx as nx

from kitplan.build.hall import list_conditions, list_joint_conditions
from kitplan.matching import match, match_preferring, survives_any_loss

TEAMS = 1_000
Edges = dict[int, list[int]]


def draw_team(rng: random.Random) -> Edges:
    """Return a random team: places, and who or what may fill each."""
    fillers = rng.randint(1, 8)
    return {
        place: [f for f in range(fillers) if rng.random() < rng.choice((0.2, 0.5, 0.8))]
        for place in range(rng.randint(1, 6))
    }


def flow(edges: Edges, cut: int = -1) -> int:
    """Return the maximum flow from places to fillers by networkx, one filler cut out."""
    graph: nx.DiGraph = nx.DiGraph()
    graph.add_nodes_from(("source", "sink"))
    for place, fillers in edges.items():
        graph.add_edge("source", ("place", place), capacity=1)
        for filler in fillers:
            if filler != cut:
                graph.add_edge(("place", place), ("filler", filler), capacity=1)
                graph.add_edge(("filler", filler), "sink", capacity=1)
    return int(nx.maximum_flow_value(graph, "source", "sink"))


def subsets(edges: Edges) -> list[tuple[int, ...]]:
    """Return every nonempty set of places."""
    return [some for size in range(1, len(edges) + 1) for some in combinations(edges, size)]


def sees(edges: Edges, some: tuple[int, ...]) -> set[int]:
    """Return what a set of places sees."""
    return {filler for place in some for filler in edges[place]}


def test_matching_is_as_large_as_the_flow() -> None:
    """A maximum matching is a maximum flow: networkx, a general reference library."""
    rng = random.Random(1)
    for _ in range(TEAMS):
        edges = draw_team(rng)
        assert len(match(edges)) == flow(edges)


def test_full_exactly_where_hall_holds() -> None:
    """P. Hall, 1935: all places are filled exactly if every set of them sees enough."""
    rng = random.Random(2)
    for _ in range(TEAMS):
        edges = draw_team(rng)
        full = len(match(edges)) == len(edges)
        assert full == all(len(sees(edges, some)) >= len(some) for some in subsets(edges))
        types = [(frozenset(fillers), 1) for fillers in edges.values()]
        assert full == all(len(c.sees) >= c.places for c in list_conditions(types))


def test_backing_is_one_more_and_any_loss() -> None:
    """One more than Hall asks is the same as losing each filler in turn (networkx)."""
    rng = random.Random(3)
    for _ in range(TEAMS):
        edges = draw_team(rng)
        every = sees(edges, tuple(edges)) or {0}
        lost = all(flow(edges, cut=filler) == len(edges) for filler in every)
        assert survives_any_loss(edges) == lost
        types = [(frozenset(fillers), 1) for fillers in edges.values()]
        assert lost == all(len(c.sees) > c.places for c in list_conditions(types))


def test_hands() -> None:
    """Small things free a hand: least bulky things used, against Hall's condition with hands."""
    rng = random.Random(4)
    for _ in range(TEAMS):
        edges = draw_team(rng)
        small = {filler for filler in range(8) if rng.random() < 0.5}
        people = rng.randint(0, 3)
        got = match_preferring(edges, small)
        assert len(got) == flow(edges)
        by_hand = sum(1 for filler in got.values() if filler not in small)
        done = len(got) == len(edges) and by_hand <= 2 * people
        hall = all(
            len(sees(edges, some)) >= len(some)
            and len(sees(edges, some) & small) + 2 * people >= len(some)
            for some in subsets(edges)
        )
        assert done == hall
        joint = list_joint_conditions(
            [(frozenset(fillers) & small, 1) for fillers in edges.values()]
        )
        enough = all(len(c.sees) + 2 * people >= c.places for c in joint)
        assert done == (len(got) == len(edges) and enough)
