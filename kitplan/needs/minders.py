"""Who minds the guests on a bank: guides there who have no hands-on role.

Asked of every bank on which a team of an at-once technique has a place. One in charge besides has
free hands and minds guests as well, so that so many fewer guides are asked beside him.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.demands import Ask, PersonSlot
from kitplan.trip import BANKS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from kitplan.trip import Figures

MINDS = "minds the guests"


def ask_guide(figures: Figures) -> Ask:
    """Return what somebody must be to mind guests."""
    return Ask((("leading", figures.guide_leading),))


def minded_banks(persons: Iterable[PersonSlot]) -> tuple[str, ...]:
    """Return the banks on which a team has a place, be it one of several sites of it."""
    sites = {site for slot in persons for site in slot.sites}
    return tuple(bank for bank in BANKS if bank in sites)


def count_minding(persons: Iterable[PersonSlot], bank: str) -> int:
    """Return how many of a team's places on a bank are held by guides with free hands."""
    return sum(slot.count for slot in persons if slot.minds and slot.sites == (bank,))


def list_minders(
    persons: tuple[PersonSlot, ...], guests: Mapping[str, int], figures: Figures
) -> tuple[PersonSlot, ...]:
    """Return the places of those who mind so many guests by bank while a team is at work."""
    places = []
    for bank in minded_banks(persons):
        asked = -(-guests.get(bank, 0) // figures.guests_per_guide)
        besides = asked - count_minding(persons, bank)
        if besides > 0:
            places.append(PersonSlot(MINDS, (bank,), ask_guide(figures), besides))
    return tuple(places)
