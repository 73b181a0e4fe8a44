"""Which line of a witness does what: what it spans, how long it must be, how much is left over.

A witness says which lines serve, not which of them for what. They are dealt to what the way of
doing it asks for here: the longest to what asks for most, as far as each serves. Lines aboard a
boat are left out: what they reach is nowhere said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.matching import match
from kitplan.needs.crossing import ACROSS, LINE, THROWN, messenger_mm
from kitplan.needs.fit import Setting
from kitplan.needs.roster import serves
from kitplan.needs.variants import ask_thing
from kitplan.plan import ItemPart
from kitplan.trip import BANKS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.demands import Choice, Thing, Variant
    from kitplan.plan import DemandResult
    from kitplan.trip import Item, Trip

REACHES, LIES_ACROSS, IS_READY = "reaches the spot", "lies across", "is held ready"
"""What a line does: it goes from its bank to the spot, from bank to bank, or waits for a throw."""
MESSENGER = "throws a messenger line across"
ABOARD = "aboard"


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a witness; lengths in millimetres.

    `bank`: from which it goes, "" where no bank is its own. `span_mm` is what it spans, 0 for one
    that is held ready; `asked_mm` how long it must be, `length_mm` how long it is.
    """

    part: ItemPart
    bank: str
    does: str
    span_mm: int
    asked_mm: int
    length_mm: int

    @property
    def left_mm(self) -> int:
        """Return how much longer it is than it must be."""
        return self.length_mm - self.asked_mm


@dataclass(frozen=True, slots=True)
class _Post:
    """One line that is asked for at a place: "left", "right", "above" or "ashore"."""

    at: str
    thing: Thing
    does: str


def list_lines(trip: Trip, choice: Choice, result: DemandResult) -> tuple[Line, ...]:
    """Return the lines of a demand that is met, the longest asked for first."""
    way = next((one for one in choice.variants if one.way == result.way), None)
    if way is None or not result.met:
        return ()
    key = choice.key
    rapid = trip.rapids[key.rapid]
    spot = next(spot for spot in rapid.spots if spot.name == key.spot)
    setting = Setting(trip, rapid, spot, key.bank, key.scenario)
    posts = sorted(_list_posts(way, setting), key=lambda post: -post.thing.least_mm)
    pieces = sorted(_list_pieces(trip, result), key=lambda piece: -piece[1].length_mm)
    edges = {
        number: [
            at
            for at, (part, item) in enumerate(pieces)
            if post.at == (part.bank or part.site) and serves(item, post.thing)
        ]
        for number, post in enumerate(posts)
    }
    dealt = match(edges)
    return tuple(
        _make_line(posts[number], *pieces[dealt[number]], setting) for number in sorted(dealt)
    )


def _list_pieces(trip: Trip, result: DemandResult) -> Iterator[tuple[ItemPart, Item]]:
    """Yield each single line of a witness, but for those aboard."""
    for part in result.witness:
        if isinstance(part, ItemPart) and part.kind == LINE and part.site != ABOARD:
            yield from [(part, trip.catalog.items[part.item])] * part.count


def _list_posts(way: Variant, setting: Setting) -> Iterator[_Post]:
    """Yield each single line that a way asks for; of those of downstream safety, that it waits."""
    downstream = setting.trip.catalog.downstream
    ready = {ask_thing(need, setting) for need in downstream.items}
    for slot in way.items:
        if slot.thing.kind != LINE:
            continue
        waiting = 0
        if slot.thing in ready:
            guards = (p for p in way.persons if p.role == downstream.role.name)
            waiting = sum(p.count for p in guards if slot.site in p.sites)
        waiting = min(waiting, slot.count)
        does = _tell_use(way, slot.thing, setting)
        yield from [_Post(slot.site, slot.thing, does)] * (slot.count - waiting)
        yield from [_Post(slot.site, slot.thing, IS_READY)] * waiting
    for one in way.catch.ashore if way.catch else ():
        yield from [_Post(one.site, one.bag, REACHES)] * len(setting.trip.paddlers)


def _tell_use(way: Variant, thing: Thing, setting: Setting) -> str:
    messenger = MESSENGER in way.way and thing.flags == (THROWN,)
    if ACROSS in thing.flags or (messenger and thing.least_mm == messenger_mm(setting)):
        return LIES_ACROSS
    return REACHES


def _make_line(post: _Post, part: ItemPart, item: Item, setting: Setting) -> Line:
    bank = post.at if post.at in BANKS else setting.bank
    spans = {
        REACHES: setting.spot.from_right_mm if bank == "right" else setting.spot.from_left_mm,
        LIES_ACROSS: setting.rapid.width_mm,
        IS_READY: 0,
    }
    return Line(part, bank, post.does, spans[post.does], post.thing.least_mm, item.length_mm)
