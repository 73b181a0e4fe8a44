"""Maximum bipartite matching by augmenting paths, and what it proves.

A graph is a mapping from each left vertex to the right vertices it may be matched to. A matching
is largest when no augmenting path is left (C. Berge, 1957); every left vertex can be matched
exactly when each set of them sees at least as many right vertices (P. Hall, 1935). Results depend
on the given order alone. This module knows nothing of what its vertices stand for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Mapping, Sequence

Left = TypeVar("Left", bound="Hashable")
Right = TypeVar("Right", bound="Hashable")


def match(edges: Mapping[Left, Sequence[Right]]) -> dict[Left, Right]:
    """Return a maximum matching; left vertices that stay unmatched are absent."""
    return _grow(edges, {})


def match_preferring(
    edges: Mapping[Left, Sequence[Right]], cheap: Collection[Right]
) -> dict[Left, Right]:
    """Return a maximum matching that uses as many of the `cheap` right vertices as any can.

    The cheap ones are matched first; augmenting never frees a right vertex that is matched.
    """
    chosen = frozenset(cheap)
    within = {
        left: [right for right in rights if right in chosen] for left, rights in edges.items()
    }
    return _grow(edges, match(within))


def unmatched(edges: Mapping[Left, Sequence[Right]]) -> tuple[Left, ...]:
    """Return the left vertices that the maximum matching of `match` leaves out."""
    matching = match(edges)
    return tuple(left for left in edges if left not in matching)


def deficient_set(edges: Mapping[Left, Sequence[Right]]) -> tuple[Left, ...]:
    """Return left vertices that together see too few right ones; empty if all can be matched.

    It is what alternating paths reach from the unmatched vertices, and as deficient as any set
    can be: it sees exactly as many right vertices as it has members, less the unmatched ones.
    """
    matching = match(edges)
    holder = {right: left for left, right in matching.items()}
    queue = [left for left in edges if left not in matching]
    reached = set(queue)
    for left in queue:
        for right in edges[left]:
            following = holder[right]
            if following not in reached:
                reached.add(following)
                queue.append(following)
    return tuple(left for left in edges if left in reached)


def neighbours(edges: Mapping[Left, Sequence[Right]], lefts: Collection[Left]) -> frozenset[Right]:
    """Return the right vertices that at least one of `lefts` may be matched to."""
    return frozenset(right for left in lefts for right in edges[left])


def survives_any_loss(edges: Mapping[Left, Sequence[Right]]) -> bool:
    """Say whether all left vertices can be matched whichever one right vertex is lost.

    That is so exactly when each nonempty set of left vertices sees one right vertex more than it
    has members: given a full matching, when an alternating path leads from every left vertex to
    a right one that is free. The paths are walked backwards from the free ones.
    """
    matching = match(edges)
    if len(matching) < len(edges):
        return False
    seen_by: dict[Right, list[Left]] = {}
    for left, rights in edges.items():
        for right in rights:
            seen_by.setdefault(right, []).append(left)
    taken = set(matching.values())
    queue = [right for right in seen_by if right not in taken]
    safe: set[Left] = set()
    for right in queue:
        for left in seen_by[right]:
            if left not in safe:
                safe.add(left)
                queue.append(matching[left])
    return len(safe) == len(edges)


def _grow(edges: Mapping[Left, Sequence[Right]], start: Mapping[Left, Right]) -> dict[Left, Right]:
    """Return the matching `start` augmented until it is a maximum one, in the order of `edges`."""
    partner = dict(start)
    holder = {right: left for left, right in partner.items()}
    for left in edges:
        if left not in partner:
            _augment(edges, left, partner, holder)
    return {left: partner[left] for left in edges if left in partner}


def _augment(
    edges: Mapping[Left, Sequence[Right]],
    root: Left,
    partner: dict[Left, Right],
    holder: dict[Right, Left],
) -> None:
    """Match `root` along a shortest augmenting path, if there is one."""
    came_from: dict[Right, Left] = {}
    queue = [root]
    for left in queue:
        for right in edges[left]:
            if right in came_from:
                continue
            came_from[right] = left
            if right in holder:
                queue.append(holder[right])
            else:
                _flip(right, came_from, partner, holder)
                return


def _flip(
    end: Right,
    came_from: Mapping[Right, Left],
    partner: dict[Left, Right],
    holder: dict[Right, Left],
) -> None:
    """Exchange matched and unmatched edges on the path that ends in `end`."""
    right = end
    while True:
        left = came_from[right]
        if left not in partner:
            partner[left], holder[right] = right, left
            return
        freed = partner[left]
        partner[left], holder[right] = right, left
        right = freed
