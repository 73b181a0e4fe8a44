"""A variant in the making: places of single persons and what else it asks for so far."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kitplan.demands import Ask, BoatSlot, ItemSlot, Thing


@dataclass(frozen=True, slots=True)
class Place:
    """One person's place before equal ones are counted together."""

    role: str
    sites: tuple[str, ...]
    ask: Ask
    may_lead: bool = False
    line_hand: bool = False
    minds: bool = False


@dataclass(frozen=True, slots=True)
class Draft:
    """A variant in the making: how it differs, and what it asks for so far."""

    said: tuple[str, ...]
    places: tuple[Place, ...]
    items: tuple[ItemSlot, ...]
    boats: tuple[BoatSlot, ...] = ()
    needs_boat: tuple[str, ...] = ()
    crew_at_most: int | None = None
    unless: tuple[tuple[Thing, int], ...] = ()

    def add(self, said: str = "", **more: tuple[object, ...]) -> Draft:
        """Return the draft with `said` and more places, items, boats or boats needed."""
        grown: dict[str, Any] = {k: (*getattr(self, k), *value) for k, value in more.items()}
        return replace(self, said=(*self.said, said) if said else self.said, **grown)


def raise_skill(ask: Ask, skill: str, level: int) -> Ask:
    """Return the ask with at least this level in the skill; no guest fills it then."""
    skills = dict(ask.skills)
    skills[skill] = max(level, skills.get(skill, 0))
    return replace(ask, skills=tuple(sorted(skills.items())), guest=False)


def swap_place(places: tuple[Place, ...], old: Place, new: Place) -> tuple[Place, ...]:
    """Return the places with the first `old` exchanged for `new`."""
    at = places.index(old)
    return (*places[:at], new, *places[at + 1 :])
