"""Who minds the guests: guides who have no hands-on role.

At once they are asked for on every bank on which a team has a place, for all guests there, as they
stand, and for whoever is hurt. Unhurried work asks for them where guests lend a hand, for so many
as do: the others can be left in peace, and who is hurt lends none. Who is in charge has his mind
on the work, and minds nobody.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

from kitplan.demands import Ask, PersonSlot
from kitplan.needs.draft import Place
from kitplan.trip import BANKS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from kitplan.needs.draft import Draft
    from kitplan.needs.fit import Setting
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


def add_minders(draft: Draft, site: str, setting: Setting) -> Iterator[Draft]:
    """Yield drafts by how many guests lend a hand: none, or as many as are minded.

    For each number of minders as many places as they mind stay open to guests, whichever these
    are; the others are not. So a team can be filled exactly if one of the drafts can. Who has free
    hands in his role minds as well.
    """
    figures = setting.trip.catalog.figures
    trip = setting.trip
    party = [trip.paddlers[p] for p in trip.list_persons(trip.leg_of(setting.rapid.name))]
    # Who is hurt lends no hand, guest or not.
    guests = sum(paddler.guest and not paddler.hurt for paddler in party)
    kinds = Counter(place for place in draft.places if place.ask.guest)
    most = min(guests, kinds.total())
    if not most:
        yield draft
        return
    yield replace(_open_places(draft, Counter()), said=(*draft.said, "no guest lends a hand"))
    minder = Place(MINDS, (site,), ask_guide(figures))
    free = sum(place.minds and _is_guide(place.ask, figures) for place in draft.places)
    for minders in range(max(free, 1), max(free, -(-most // figures.guests_per_guide)) + 1):
        minded = figures.guests_per_guide * minders
        more = minders - free
        said = f"guests lend a hand, {more} x guide minds them" if more else "guests lend a hand"
        for open_to in _share(kinds, minded) if minded < most else [kinds]:
            grown = _open_places(draft, open_to)
            yield grown.add(said, places=(minder,) * more)


def _is_guide(ask: Ask, figures: Figures) -> bool:
    """Say whether whoever fills a place is a guide."""
    return dict(ask.skills).get("leading", 0) >= figures.guide_leading and not ask.guest


def _share(kinds: Counter[Place], minded: int) -> Iterator[Counter[Place]]:
    """Yield the ways to open so many of the places, by kind."""
    for counts in product(*(range(count + 1) for count in kinds.values())):
        if sum(counts) == minded:
            yield Counter(dict(zip(kinds, counts, strict=True)))


def _open_places(draft: Draft, open_to: Counter[Place]) -> Draft:
    """Return the draft with so many places of each kind open to guests, and no others."""
    left, places = Counter(open_to), []
    for place in draft.places:
        closed = place.ask.guest and left[place] <= 0
        left[place] -= 1
        places.append(replace(place, ask=replace(place.ask, guest=False)) if closed else place)
    return replace(draft, places=tuple(places))
