"""Who minds the guests on a bank: guides there who have no hands-on role.

Asked of every bank on which a team of an at-once technique has a place. Who is in charge has his
mind on the work, and minds nobody.
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


def list_minders(
    persons: tuple[PersonSlot, ...], guests: Mapping[str, int], figures: Figures
) -> tuple[PersonSlot, ...]:
    """Return the places of those who mind so many guests by bank while a team is at work."""
    places = []
    for bank in minded_banks(persons):
        asked = -(-guests.get(bank, 0) // figures.guests_per_guide)
        if asked:
            places.append(PersonSlot(MINDS, (bank,), ask_guide(figures), asked))
    return tuple(places)
