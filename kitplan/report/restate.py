"""Quantities on a sheet in people's own units: metric as they are, or restated for the US.

Words are made in metric units far from here, and some are stored in plan files; a sheet restates
them as it writes them. Names are no quantities: a "throw bag 20 m" is called so everywhere. A
formula stays as it is reckoned.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING

from kitplan.report.sheet import Sheet
from kitplan.units import US, restate_us

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from kitplan.trip import Trip

NUMBER = r"-?[0-9]+(?:\.[0-9]+)?"
UNIT = r"(?:mm|m/s|m|km|g|kg|ml|l|degC)(?![\w/])"
QUANTITY = re.compile(rf"(?<![\w.]){NUMBER} {UNIT}")
COMPARED = rf"(?<![\w.])(?P<this>{NUMBER} {UNIT}) (?P<sign>[<>]) (?P<that>{NUMBER} {UNIT})"
FORMULAS = rf"\({NUMBER} m/s\)\^2|{NUMBER} m x {NUMBER} m/s = {NUMBER} m2/s"
FINER = 2
"""So many decimals more tell two apart that would read the same."""
NOTE = (
    "In US units, rounded one by one: a sum can be off in its last digit, and what is long enough "
    "is reckoned in metric. Formulas, forces and what is below 100 mm stay metric, and so do names "
    "and the words of rules."
)


def make_sheet(trip: Trip, style: str, units: str) -> Sheet:
    """Return an empty sheet on which boats go by what they are called, in metric or US units."""
    called = {boat.name: boat.called for boat in trip.boats.values()}
    if units != US:
        return Sheet(style, called)
    return Sheet(style, called, make_restate(list_names(trip)))


def make_restate_all(trips: Iterable[Trip]) -> Callable[[str], str]:
    """Return what restates text about several trips in US units, but for names and formulas."""
    return make_restate(name for trip in trips for name in list_names(trip))


def write_units(sheet: Sheet, units: str) -> None:
    """Write how far units are people's own, where they are not metric."""
    if units == US:
        sheet.say(NOTE)
        sheet.gap()


def make_restate(names: Iterable[str]) -> Callable[[str], str]:
    """Return what restates text in US units, but for names and formulas in it."""
    pattern = _make_pattern(names)

    def restate(text: str) -> str:
        return pattern.sub(_turn, text)

    return restate


def make_split(names: Iterable[str]) -> Callable[[str], list[tuple[str, str]]]:
    """Return what cuts text into pieces, each as it is and in US units."""
    pattern = _make_pattern(names)

    def split(text: str) -> list[tuple[str, str]]:
        pieces, at = [], 0
        for found in pattern.finditer(text):
            turned = _turn(found)
            if turned != found[0]:
                pieces += [(text[at : found.start()],) * 2, (found[0], turned)]
                at = found.end()
        return [piece for piece in [*pieces, (text[at:],) * 2] if piece[0]]

    return split


def _make_pattern(names: Iterable[str]) -> re.Pattern[str]:
    kept = sorted({name for name in names if QUANTITY.search(name)}, key=len, reverse=True)
    keep = "|".join([*map(re.escape, kept), FORMULAS])
    return re.compile(rf"(?P<keep>{keep})|{COMPARED}|(?P<one>{QUANTITY.pattern})")


def _turn(found: re.Match[str]) -> str:
    if found["keep"]:
        return found["keep"]
    if found["one"]:
        return _restate(found["one"])
    this, that = _restate(found["this"]), _restate(found["that"])
    if this == that:
        this, that = _restate(found["this"], FINER), _restate(found["that"], FINER)
    return f"{this} {found['sign']} {that}"


def _restate(quantity: str, more: int = 0) -> str:
    number, unit = quantity.split(" ")
    return restate_us(Decimal(number), unit, more=more)


def list_names(trip: Trip) -> Iterator[str]:
    """Yield what people called things and places, and the words of rules."""
    yield trip.name
    yield from trip.catalog.items
    yield from trip.catalog.boat_types
    yield from (name for boat in trip.boats.values() for name in (boat.name, boat.called))
    yield from trip.paddlers
    for rapid in trip.rapids.values():
        yield from (rapid.name, rapid.place, *(spot.name for spot in rapid.spots))
    if trip.stores is not None:
        yield from (rate.name for rate in trip.stores.rates)
        yield from (rate.container.name for rate in trip.stores.rates)
    for one in trip.rules:
        yield one.title
        for rule in one.rules:
            yield from (rule.id, rule.says, rule.source, rule.remark)
        for reminder in one.reminders:
            yield from (reminder.id, reminder.says, reminder.source)
    yield from (words for spread in trip.spreads for words in (spread.name, spread.says))
