"""Frozen nouns of what happened on the way, and of how all lay when the trip was begun afresh."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kitplan.plan import Packed


@dataclass(frozen=True, slots=True)
class Happened:
    """What happened before a day of the trip, which is the next to come.

    `lost`: boats with all that lay in them, their crews saved with what they wear; who was not is
    `absent` too. `damaged`: boat -> grams of payload left. `absent`: who is not there any more, or
    will not come. `hurt`: who takes a seat and does nothing. `lost_items`: (boat, item) -> how many
    of those dealt to it, or (paddler, item) of his own. `skipped`: rapids that are portaged, all
    passages of one by its own name. `left`: boats that stay behind, as nobody can steer them; what
    lay in them is still there.
    """

    day: int
    lost: tuple[str, ...] = ()
    damaged: dict[str, int] = field(default_factory=dict)
    absent: tuple[str, ...] = ()
    hurt: tuple[str, ...] = ()
    lost_items: dict[tuple[str, str], int] = field(default_factory=dict)
    skipped: tuple[str, ...] = ()
    left: tuple[str, ...] = ()

    @property
    def gone(self) -> tuple[str, ...]:
        """Return the boats that go no further."""
        return (*self.lost, *self.left)


@dataclass(frozen=True, slots=True)
class Evening:
    """Where all was on the evening before a day, as planned; boats as they are called.

    `seats`: (paddler, boat) of all who were there; `packed`: what was dealt to the boats;
    `boxes`: (single box of stores, boat) of what was aboard and not for days that are over. All
    sorted.
    """

    seats: tuple[tuple[str, str], ...]
    packed: tuple[Packed, ...] = ()
    boxes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Restart:
    """Once that a trip was begun afresh: what had happened, and how all lay until then."""

    happened: Happened
    evening: Evening
