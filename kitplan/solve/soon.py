"""A plan to fall back on, soon: by turns stations for packing, and packing for these.

It proves nothing, and nothing is begun from it: it is the plan only where time runs out before the
aims are settled. Nobody rows twice in it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.build import read_aboard
from kitplan.solve.dealt import deal_out
from kitplan.solve.repack import NEARS, Packer
from kitplan.solve.run import Budget
from kitplan.solve.singles import Alone

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.solve.floors import Limits
    from kitplan.solve.singles import Decided, Vector
    from kitplan.trip import Trip

TURNS = 4  # at the most
# The solver's deterministic time: to deal out, and to pack anew.
DEALT, REPACKED = 2.0, 1.0


def plan_soon(trip: Trip, needs: Needs, limits: Limits) -> Decided:
    """Return seats, packing, order and stations of a plan; nothing if there was no time for one."""
    dealt = deal_out(trip, Budget(limits.clock, limits.share, DEALT))
    if dealt is None:
        return {}
    alone, packer = Alone(trip, needs, limits), Packer(trip, needs)
    best = _wait(alone, packer.rapids, dealt)
    if best is None:
        return {}
    budget = Budget(limits.clock, limits.share, REPACKED, presolve=False)
    for turn in range(TURNS):
        near = NEARS[min(turn, len(NEARS) - 1)]
        repacked = packer.better(best[1], near, budget)
        after = _wait(alone, packer.rapids, repacked.shared) if repacked else None
        if after is not None and after[0] < best[0]:
            best = after
        elif near == NEARS[-1]:
            break
    return best[1]


def _wait(alone: Alone, rapids: list[str], shared: Decided) -> tuple[Vector, Decided] | None:
    """Return the best stations for seats, packing and order: what they come to, and all decisions.

    None if time ran out.
    """
    aboard, decided = read_aboard(alone.trip, shared), dict(shared)
    vectors: list[Vector] = []
    for rapid in rapids:
        stands = alone.ask(rapid, aboard)
        if stands is None:
            return None
        decided |= stands.decided
        vectors.append(stands.vector)
    return tuple(sum(column) for column in zip(*vectors, strict=True)), decided
