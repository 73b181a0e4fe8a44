"""How a line gets to the far bank: thrown by a hand of the team, or taken over by a boat.

A hand throws either the line that is to lie across, if it is one to be thrown, or a messenger: a
line to be thrown that draws the other over. Both lie at the bank the throw is made from.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.demands import BoatOption, BoatSlot, ItemSlot, Thing
from kitplan.needs.draft import raise_skill, swap_place
from kitplan.needs.fit import can_wait_afloat, side_name
from kitplan.units import show_length

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.needs.draft import Draft, Place
    from kitplan.needs.fit import Setting
    from kitplan.trip import Technique

TAKES_ACROSS = "takes the line across"
LINE, ACROSS, THROWN = "line", "across", "thrown"


def add_crossing(draft: Draft, technique: Technique, setting: Setting) -> Iterator[Draft]:
    """Yield drafts in which somebody gets the line to the far bank: thrown, or by a boat."""
    hands = [place for place in draft.places if place.line_hand]
    if not technique.line_across or not hands:
        yield draft
        return
    near, _ = setting.trip.catalog.figures.cross_throw_mm
    level = cross_throw_level(setting)
    if level is not None:
        for hand in dict.fromkeys(hands):
            yield from _cross_by_throw(draft, hand, level, setting)
    if setting.rapid.width_mm > near and not technique.unhurried:
        yield from _cross_by_boat(draft, setting)


def cross_throw_level(setting: Setting) -> int | None:
    """Return the throwing level that gets a line over the channel; None if none does."""
    near, wide = setting.trip.catalog.figures.cross_throw_mm
    if setting.rapid.width_mm > wide:
        return None
    return 3 if setting.rapid.width_mm <= near else 4


def messenger_mm(setting: Setting) -> int:
    """Return the least length of a line thrown over the channel: its width and what a throw costs.

    A line to lie across that is thrown itself has to be as long as well.
    """
    return setting.rapid.width_mm + setting.trip.catalog.figures.line_less_mm


def say_crossing(technique: Technique, setting: Setting) -> tuple[str, ...]:
    """Return what a throw over the channel asks for, in words with the figures."""
    level = cross_throw_level(setting)
    if not technique.line_across or level is None:
        return ()
    less = show_length(setting.trip.catalog.figures.line_less_mm)
    width = show_length(setting.rapid.width_mm)
    said = (
        f"thrown across {width}: throwing {level}; the line that lies across is one to be thrown, "
        f"or a messenger of width {width} + {less} = {show_length(messenger_mm(setting))} is "
        "thrown and draws it over"
    )
    return (said,)


def _cross_by_throw(draft: Draft, hand: Place, level: int, setting: Setting) -> Iterator[Draft]:
    """Yield drafts in which a hand throws the line itself, or a messenger besides."""
    narrowed = replace(hand, ask=raise_skill(hand.ask, "throwing", level))
    places = swap_place(draft.places, hand, narrowed)
    site = hand.sites[0]
    where = f" from {side_name(site)}" if site in {"left", "right"} else ""
    for items in _throw_items(draft.items, site, setting):
        said = f"{hand.role} throws the line across{where}"
        yield replace(draft, said=(*draft.said, said), places=places, items=items)
    messenger = ItemSlot(site, Thing(LINE, messenger_mm(setting), (THROWN,)))
    said = f"{hand.role} throws a messenger line across{where}"
    yield replace(draft, said=(*draft.said, said), places=places, items=(*draft.items, messenger))


def _throw_items(
    items: tuple[ItemSlot, ...], site: str, setting: Setting
) -> Iterator[tuple[ItemSlot, ...]]:
    """Yield the items with one line that lies across from `site` as one to be thrown."""
    for at, slot in enumerate(items):
        thing = slot.thing
        if slot.site != site or thing.kind != LINE or ACROSS not in thing.flags:
            continue
        flags = tuple(sorted({*thing.flags, THROWN}))
        least_mm = max(thing.least_mm, messenger_mm(setting))
        thrown = replace(slot, thing=replace(thing, flags=flags, least_mm=least_mm), count=1)
        rest = (replace(slot, count=slot.count - 1),) if slot.count > 1 else ()
        yield (*items[:at], thrown, *rest, *items[at + 1 :])


def _cross_by_boat(draft: Draft, setting: Setting) -> Iterator[Draft]:
    figures = setting.trip.catalog.figures
    crafts = ("raft", "kayak", "canoe")
    options = (BoatOption(crafts, figures.ferry_steerer, "afloat", wears=figures.role_wears),)
    if can_wait_afloat(setting):
        slot = BoatSlot(TAKES_ACROSS, ("afloat",), options)
        yield draft.add("a boat beside takes the line across", boats=(slot,))
    slot = BoatSlot(TAKES_ACROSS, ("above",), options)
    yield draft.add("a boat from above takes the line across", boats=(slot,))
