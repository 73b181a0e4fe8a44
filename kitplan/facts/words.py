"""Lists and lines in words, for facts."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.errors import Place


def join(words: Iterable[str], last: str = "and") -> str:
    """Return "a, b and c"; "nobody" for none."""
    listed = list(words)
    if len(listed) <= 1:
        return listed[0] if listed else "nobody"
    return f"{', '.join(listed[:-1])} {last} {listed[-1]}"


def sort_places(places: Iterable[Place]) -> tuple[Place, ...]:
    """Return places each once, in order."""
    return tuple(sorted(set(places)))
