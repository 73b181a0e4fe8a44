"""Two lines that count as one: joined, they lie across or haul, and are never thrown.

A line that a person hangs on is in one piece too; the catalogue says so where flags do not. Only
pairs that no other pair makes needless are told, and none where either line would do alone, or
where the party has lines enough that do: each further way slows the solver down.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations_with_replacement
from typing import TYPE_CHECKING

from kitplan.demands import ItemSlot, Thing
from kitplan.needs.fit import side_name
from kitplan.needs.roster import serves
from kitplan.river import joined_length_mm
from kitplan.units import show_length

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.needs.draft import Draft
    from kitplan.needs.fit import Setting
    from kitplan.trip import Item, Joint, Trip

    Pair = tuple[int, int]

LINE, THROWN, HAUL = "line", "thrown", "haul"
JOINED = frozenset({"across", HAUL})


def list_minimal_pairs(lengths_mm: Iterable[int], least_mm: int, joint_mm: int) -> list[Pair]:
    """Return the pairs of lengths that reach `least_mm` joined, the longer line first.

    `lengths_mm` has one entry for each line there is. A pair is left out where one of its lines
    reaches alone, or where another pair reaches that asks for no longer line on either side.
    """
    lines = sorted((mm for mm in lengths_mm if mm < least_mm), reverse=True)
    pairs = {
        (lines[longer], lines[shorter])
        for longer, shorter in combinations_with_replacement(range(len(lines)), 2)
        if longer != shorter
        and joined_length_mm(lines[longer], lines[shorter], joint_mm) >= least_mm
    }
    return sorted(
        pair
        for pair in pairs
        if not any(other != pair and _asks_no_more(other, pair) for other in pairs)
    )


def add_joined(draft: Draft, setting: Setting) -> Iterator[Draft]:
    """Yield the draft, and further ones in which one of its lines is two joined.

    One is enough for every way of the catalogue, and each more would multiply the ways.
    """
    yield draft
    joint = setting.trip.catalog.figures.joint
    if joint is None:
        return
    for at, slot in enumerate(draft.items):
        before, after = draft.items[:at], draft.items[at + 1 :]
        for pair in list_pairs(slot.thing, setting):
            said = f"{_say_where(draft, slot)}two lines joined, {_say_pair(pair)}"
            items = (*before, *_join(slot, pair, joint), *after)
            unless = _list_unless(slot.thing, setting)
            yield replace(draft, said=(*draft.said, said), items=items, unless=unless)


def list_pairs(thing: Thing, setting: Setting) -> list[Pair]:
    """Return the minimal pairs of the party's lines that do joined as one thing; or none."""
    if thing not in setting.joined:
        setting.joined[thing] = _find_pairs(thing, setting)
    return setting.joined[thing]


def _find_pairs(thing: Thing, setting: Setting) -> list[Pair]:
    joint = setting.trip.catalog.figures.joint
    whole = thing.whole or THROWN in thing.flags or not JOINED.intersection(thing.flags)
    if joint is None or thing.kind != LINE or whole:
        return []
    if _count_owned(thing, setting.trip) >= joint.unless:
        return []
    lengths = _list_lengths(replace(thing, least_mm=0), setting.trip)
    return list_minimal_pairs(lengths, thing.least_mm, joint.takes_mm)


def say_joined(thing: Thing, setting: Setting) -> tuple[str, ...]:
    """Return which lines do joined, in words with the figures; empty if none do."""
    joint = setting.trip.catalog.figures.joint
    if joint is None:
        return ()
    return tuple(
        f"{LINE} of {show_length(thing.least_mm)}: two joined will do, {_say_pair(pair)} - "
        f"{show_length(joint.takes_mm)} of joint = "
        f"{show_length(joined_length_mm(*pair, joint.takes_mm))}{_say_kind(joint)}"
        + ("; no joint runs into a pulley" if HAUL in thing.flags else "")
        for pair in list_pairs(thing, setting)
    )


def _asks_no_more(other: Pair, pair: Pair) -> bool:
    return other[0] <= pair[0] and other[1] <= pair[1]


def _list_lengths(thing: Thing, trip: Trip) -> Iterator[int]:
    """Yield the length of each line of the party that serves, owned, worn or on offer."""
    for kit in trip.kit.values():
        for item, count in kit.item.list_pieces(kit.count):
            if serves(item, thing):
                yield from [item.length_mm] * count
    for item in _list_worn(thing, trip):
        yield item.length_mm


def _count_owned(thing: Thing, trip: Trip) -> int:
    """Return how many lines of the party serve, owned or worn."""
    pieces = (row for kit in trip.kit.values() for row in kit.item.list_pieces(kit.owned))
    owned = sum(count for item, count in pieces if serves(item, thing))
    return owned + sum(1 for _ in _list_worn(thing, trip))


def _list_worn(thing: Thing, trip: Trip) -> Iterator[Item]:
    for paddler in trip.paddlers.values():
        for name, count in paddler.wears.items() if not paddler.taught else ():
            if serves(item := trip.catalog.items[name], thing):
                yield from [item] * count


def _list_unless(thing: Thing, setting: Setting) -> tuple[tuple[Thing, int], ...]:
    """Return how many lines may be owned at the most, where more that do alone are on offer."""
    joint, trip = setting.trip.catalog.figures.joint, setting.trip
    offered = (row for kit in trip.kit.values() for row in kit.item.list_pieces(kit.offered))
    if joint is None or not any(count and serves(item, thing) for item, count in offered):
        return ()
    return ((thing, joint.unless),)


def _join(slot: ItemSlot, pair: Pair, joint: Joint) -> tuple[ItemSlot, ...]:
    """Return what stands for one line of a slot: two lines and what joins them."""
    lines = [replace(slot, thing=replace(slot.thing, least_mm=mm), count=1) for mm in pair]
    more = (replace(slot, count=slot.count - 1),) if slot.count > 1 else ()
    by = (ItemSlot(slot.site, Thing(joint.kind)),) if joint.kind else ()
    return (*lines, *by, *more)


def _say_where(draft: Draft, slot: ItemSlot) -> str:
    """Return the bank of the line, if lines are asked for at several."""
    sites = {item.site for item in draft.items if JOINED.intersection(item.thing.flags)}
    return f"on {side_name(slot.site)} " if len(sites) > 1 else ""


def _say_kind(joint: Joint) -> str:
    return f", with 1 more {joint.kind}" if joint.kind else ""


def _say_pair(pair: Pair) -> str:
    return f"{show_length(pair[0])} + {show_length(pair[1])}"
