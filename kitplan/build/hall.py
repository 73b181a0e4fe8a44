"""Hall's conditions for a team: which sets of slots have to be asked about, and no others.

A slot type is a number of equal places and what may fill each. By P. Hall (1935) all places can be
filled, each once, exactly if every set of places sees at least as many fillers. It is enough to ask
of sets that are closed (every type whose fillers all lie in what the set sees is in it) and hang
together. Knows no boats and no solver.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from collections.abc import Iterable

Filler = TypeVar("Filler")


@dataclass(frozen=True, slots=True)
class Condition(Generic[Filler]):
    """What a set of places sees, and how many places it has."""

    sees: frozenset[Filler]
    places: int


def list_conditions(types: Iterable[tuple[frozenset[Filler], int]]) -> list[Condition[Filler]]:
    """Return the conditions for slot types (fillers, count); order is fixed by the input."""
    merged = _merge(types)
    return [
        condition
        for condition in _close(merged, merged)
        if _hangs_together([sight for sight in merged if sight <= condition.sees])
    ]


def list_joint_conditions(
    types: Iterable[tuple[frozenset[Filler], int]],
) -> list[Condition[Filler]]:
    """Return the conditions where all sets share a further supply, so that they add up.

    Closed sets that do not hang together count too. Types that see nothing are in every set.
    """
    merged = _merge(types)
    return _close(merged, merged)


def _merge(types: Iterable[tuple[frozenset[Filler], int]]) -> dict[frozenset[Filler], int]:
    merged: dict[frozenset[Filler], int] = {}
    for sight, count in types:
        merged[sight] = merged.get(sight, 0) + count
    return merged


def _close(
    merged: dict[frozenset[Filler], int], generators: Iterable[frozenset[Filler]]
) -> list[Condition[Filler]]:
    """Return each union of sights once, with the places of all types that lie within it."""
    unions: dict[frozenset[Filler], None] = {}
    for sight in generators:
        for known in list(unions):
            unions.setdefault(known | sight)
        unions.setdefault(sight)
    return [
        Condition(union, sum(count for sight, count in merged.items() if sight <= union))
        for union in unions
    ]


def _hangs_together(sights: list[frozenset[Filler]]) -> bool:
    """Say whether the sights make one piece, each linked to the rest by a shared filler."""
    if not sights:
        return False
    reached, rest = sights[0], sights[1:]
    while rest:
        near = [sight for sight in rest if sight & reached]
        if not near:
            return False
        reached = reached.union(*near)
        rest = [sight for sight in rest if sight not in near]
    return True
