"""How many hands there are at a site: two of each person, less those that hold a bundle.

Every bundle that lies quick with those who stand there is carried ashore, first of all; what is in
it takes no hand of its own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kitplan.verify.possible import Judge

HANDS = 2


def count_hands(judge: Judge, site: str, rapid: str, running: str) -> int:
    """Return how many hands at a site hold no bundle; below 0 if there are too many bundles."""
    held = sum(
        judge.ground.takes_hand(piece)
        for piece in judge.list_at(site, rapid, running)
        if judge.ground.is_bundle(piece)
    )
    return HANDS * judge.count_at(site, rapid, running) - held


def count_throwers(judge: Judge, site: str, rapid: str, running: str) -> int:
    """Return how many people at a site hold no bundle: who throws has both hands free."""
    return max(0, count_hands(judge, site, rapid, running) // HANDS)
