"""How methods compare with doing it by hand, over the rungs of a size and kit."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from tests.bench.hand import BY_HAND

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tests.bench.ladder import Rung
    from tests.bench.run import Result

LEAST_S = 0.01
"""Seconds are told to two places: less counts as this."""


def find_mean(ratios: Iterable[float]) -> float:
    """Return the geometric mean of at least one ratio, all above 0."""
    logs = [math.log(ratio) for ratio in ratios]
    return math.exp(sum(logs) / len(logs))


def list_means(results: Sequence[Result]) -> list[dict[str, object]]:
    """Return for each size, kit and method the geometric means against by hand.

    Only rungs where both gave a plan count. Uncovered is compared with 1 added to both, so that a
    rung where all is covered counts as well. Below 1 is less than by hand.
    """
    by_hand = {one.rung: one for one in results if one.method == BY_HAND.name}
    pairs: dict[tuple[str, str, str], list[tuple[Result, Result]]] = {}
    for one in results:
        other = by_hand.get(one.rung)
        if other is not None and one.method != BY_HAND.name and one.values and other.values:
            pairs.setdefault(_name(one.rung, one.method), []).append((one, other))
    return [
        {
            "size": size,
            "kit": kit,
            "method": method,
            "rungs": len(rows),
            "time / by hand": round(find_mean(_compare_time(*row) for row in rows), 3),
            "uncovered / by hand": round(find_mean(_compare_uncovered(*row) for row in rows), 3),
        }
        for (size, kit, method), rows in pairs.items()
    ]


def _name(rung: Rung, method: str) -> tuple[str, str, str]:
    return rung.size, rung.kit, method


def _compare_time(one: Result, other: Result) -> float:
    return max(one.seconds or 0.0, LEAST_S) / max(other.seconds or 0.0, LEAST_S)


def _compare_uncovered(one: Result, other: Result) -> float:
    return (1 + one.values[0]) / (1 + other.values[0]) if one.values and other.values else 1.0
