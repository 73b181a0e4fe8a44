"""matching.py against networkx and against Hall's conditions written out, on random teams.

Reference: networkx maximum flow (a general reference library); P. Hall, 1935, for the conditions.
A team is person slots and item slots at one site. Bulky things go through a node that lets two a
person pass, which is what the hands condition says in the language of flows.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from random import Random
from typing import TYPE_CHECKING

import networkx as nx
import pytest

from kitplan.matching import (
    deficient_set,
    match,
    match_preferring,
    neighbours,
    survives_any_loss,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

TEAMS = 1000
Edges = dict[str, list[str]]


@dataclass(frozen=True)
class Team:
    """Who may fill which person slot, what which item slot, what is bulky; all at one site."""

    people: tuple[str, ...]
    persons: Edges
    items: Edges
    bulky: frozenset[str]

    @property
    def small(self) -> set[str]:
        return {thing for things in self.items.values() for thing in things} - self.bulky


def draw_edges(random: Random, slots: int, rights: tuple[str, ...], prefix: str) -> Edges:
    chance = random.choice((0.2, 0.4, 0.7))
    return {
        f"{prefix}{number}": [right for right in rights if random.random() < chance]
        for number in range(slots)
    }


def draw_team(seed: int) -> Team:
    random = Random(seed)
    people = tuple(f"p{number}" for number in range(random.randint(0, 5)))
    things = tuple(f"t{number}" for number in range(random.randint(0, 8)))
    return Team(
        people,
        draw_edges(random, random.randint(0, 4), people, "role"),
        draw_edges(random, random.randint(0, 6), things, "need"),
        frozenset(thing for thing in things if random.random() < 0.6),
    )


@pytest.fixture(scope="module")
def teams() -> list[Team]:
    return [draw_team(seed) for seed in range(TEAMS)]


def flow_of(edges: Edges, bulky: frozenset[str] = frozenset(), hands: int = 0) -> int:
    """Return networkx's maximum flow, bulky right vertices sharing `hands`."""
    graph = nx.DiGraph()
    graph.add_nodes_from(("source", "sink"))
    graph.add_edge("hands", "sink", capacity=hands)
    for left, rights in edges.items():
        graph.add_edge("source", left, capacity=1)
        for right in rights:
            graph.add_edge(left, right, capacity=1)
            graph.add_edge(right, "hands" if right in bulky else "sink", capacity=1)
    return int(nx.maximum_flow_value(graph, "source", "sink"))


def nonempty_sets(edges: Edges) -> Iterator[tuple[str, ...]]:
    for size in range(1, len(edges) + 1):
        yield from combinations(edges, size)


def sees(edges: Edges, slots: tuple[str, ...]) -> set[str]:
    return {right for slot in slots for right in edges[slot]}


def hall_holds(edges: Edges, more: int = 0) -> bool:
    return all(len(sees(edges, slots)) >= len(slots) + more for slots in nonempty_sets(edges))


def hands_hold(team: Team, more: int = 0) -> bool:
    return all(
        len(sees(team.items, slots) & team.small) + 2 * len(team.people) >= len(slots) + more
        for slots in nonempty_sets(team.items)
    )


def bulky_needed(team: Team) -> int:
    matching = match_preferring(team.items, team.small)
    return sum(thing in team.bulky for thing in matching.values())


def without(edges: Edges, lost: str) -> Edges:
    return {left: [right for right in rights if right != lost] for left, rights in edges.items()}


def rights_of(edges: Edges) -> set[str]:
    return {right for rights in edges.values() for right in rights}


def test_the_teams_are_of_every_kind(teams: list[Team]) -> None:
    # So that none of the laws below is met by teams of one sort alone.
    kinds = {(hall_holds(t.items), hands_hold(t), hall_holds(t.items, 1)) for t in teams if t.items}
    assert kinds == {
        (True, True, True),
        (True, True, False),
        (True, False, True),
        (True, False, False),
        (False, True, False),
        (False, False, False),
    }


def test_size_equals_the_maximum_flow(teams: list[Team]) -> None:
    for team in teams:
        for edges in (team.persons, team.items):
            matching = match(edges)
            assert len(set(matching.values())) == len(matching) == flow_of(edges)
            assert all(right in edges[left] for left, right in matching.items())


def test_full_exactly_when_hall_holds(teams: list[Team]) -> None:
    for team in teams:
        for edges in (team.persons, team.items):
            assert (len(match(edges)) == len(edges)) == hall_holds(edges)


def test_the_deficient_set_breaks_hall_by_what_is_missing(teams: list[Team]) -> None:
    for team in teams:
        for edges in (team.persons, team.items):
            lefts = deficient_set(edges)
            missing = len(edges) - len(match(edges))
            assert len(lefts) - len(neighbours(edges, lefts)) == missing
            assert bool(lefts) == bool(missing)


def test_preferring_uses_as_many_small_things_as_the_flow_without_hands(teams: list[Team]) -> None:
    for team in teams:
        matching = match_preferring(team.items, team.small)
        assert len(matching) == flow_of(team.items)
        small_used = sum(thing not in team.bulky for thing in matching.values())
        assert small_used == flow_of(team.items, team.bulky, hands=0)


def test_hands(teams: list[Team]) -> None:
    for team in teams:
        hands = 2 * len(team.people)
        full = len(match(team.items)) == len(team.items)
        by_matching = full and bulky_needed(team) <= hands
        assert by_matching == (flow_of(team.items, team.bulky, hands) == len(team.items))
        assert by_matching == (hall_holds(team.items) and hands_hold(team))


def test_survival_is_hall_with_one_more(teams: list[Team]) -> None:
    for team in teams:
        for edges in (team.persons, team.items):
            assert survives_any_loss(edges) == hall_holds(edges, 1)


def test_survival_is_a_full_flow_without_each_right_vertex_in_turn(teams: list[Team]) -> None:
    for team in teams:
        for edges in (team.persons, team.items):
            stays = all(
                flow_of(without(edges, lost)) == len(edges) for lost in [*rights_of(edges), ""]
            )
            assert survives_any_loss(edges) == stays


def test_backed_hands(teams: list[Team]) -> None:
    # Two more for every nonempty set: as many bulky things as two hands fewer can carry.
    for team in (team for team in teams if team.people and team.items):
        matching = match_preferring(team.items, team.small)
        dear = len(team.items) - sum(thing not in team.bulky for thing in matching.values())
        assert (dear <= 2 * (len(team.people) - 1)) == hands_hold(team, 2)


def test_backed_outlives_the_loss_of_each_person_and_each_thing(teams: list[Team]) -> None:
    # Backing is stricter than outliving any one loss; here it is shown to be enough.
    backed = [
        team
        for team in teams
        if hall_holds(team.persons, 1) and hall_holds(team.items, 1) and hands_hold(team, 2)
    ]
    assert len(backed) >= 50
    for team in backed:
        hands = 2 * len(team.people)
        for lost in rights_of(team.items):
            assert flow_of(without(team.items, lost), team.bulky, hands) == len(team.items)
        for lost in team.people:
            assert flow_of(without(team.persons, lost)) == len(team.persons)
            assert flow_of(team.items, team.bulky, hands - 2) == len(team.items)
