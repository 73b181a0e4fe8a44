"""How a sign gets to the boats above where those at work are out of their sight.

Either one more person relays it by whistle, from a bank or from above, or two radios do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.demands import Ask, ItemSlot, Thing
from kitplan.needs.draft import Place
from kitplan.needs.fit import can_wait_afloat, say_no_boat, usable_banks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.needs.draft import Draft
    from kitplan.needs.fit import Setting
    from kitplan.trip import Technique

RELAY, RADIO, WHISTLE = "relay", "radio", "whistle"


def needs_relay(technique: Technique, setting: Setting) -> bool:
    """Say whether a technique needs a sign from or to above that can't be seen.

    So it is at once wherever somebody spots, or a boat may leave from above.
    """
    if setting.spot.sight or technique.unhurried:
        return False
    works = (*technique.boats, *(work for way in technique.ways for work in way.boats))
    return technique.spotter == "needed" or any("above" in work.stations for work in works)


def add_relay(draft: Draft, technique: Technique, setting: Setting) -> Iterator[Draft]:
    """Yield drafts with a person who relays or, where there is a working bank, two radios.

    Whoever relays is asked no skill, so that a guest may.
    """
    if not needs_relay(technique, setting):
        yield draft
        return
    wears = dict.fromkeys((*setting.trip.catalog.figures.role_wears, WHISTLE))
    sites = (*usable_banks(setting.rapid, unhurried=False), "above")
    ask = Ask(wears=tuple(wears), guest=True)
    yield draft.add("relay by whistle", places=(Place(RELAY, sites, ask),))
    if setting.bank:
        radios = tuple(ItemSlot(site, Thing(RADIO)) for site in ("above", setting.bank))
        yield draft.add("by radio", items=radios)


def say_relay(technique: Technique, setting: Setting) -> list[str]:
    """Say what the lack of sight asks for; empty where nothing."""
    if not needs_relay(technique, setting):
        return []
    radios = f", or a {RADIO} above and one on the working bank" if setting.bank else ""
    who = f"one more person with a {WHISTLE}, on a bank or above"
    return [f"{RELAY}: {who}{radios} (out of sight from above)"]


def say_nobody(technique: Technique, setting: Setting) -> str:
    """Return why no way of a technique has all it needs here: a relay, or else a boat."""
    unseen = needs_relay(technique, setting)
    if unseen and not usable_banks(setting.rapid, unhurried=False) and can_wait_afloat(setting):
        return "out of sight from above, and nobody on the banks to relay a sign"
    return say_no_boat(setting)
