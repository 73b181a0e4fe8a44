"""Adds to rapids the scenarios that may happen there without being named.

The catalogue says which and from which class as written, the trip which of them it does without.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.load.rapids import MID_CHANNEL, is_given
from kitplan.trip import CLASSES, Spot

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan import records
    from kitplan.load.catalog import Shelf
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Rapid, Scenario


def list_automatic(
    sheet: Sheet, record: records.TripRecord, shelf: Shelf, water_mdegc: int
) -> tuple[Scenario, ...]:
    """Return the scenarios that may happen unnamed on this trip, at rapids hard enough."""
    asked = record.automatic_scenarios
    known = {name: one for name, one in shelf.scenarios.items() if one.automatic is not None}
    if isinstance(asked, bool):
        names = set(known) if asked else set()
    else:
        names = set(_check_names(sheet, asked, shelf, known))
    figures = shelf.figures
    cold = figures is not None and water_mdegc < figures.cold_water_mdegc
    return tuple(
        one
        for name, one in known.items()
        if name in names
        and one.automatic is not None
        and (cold or record.remote or not one.automatic.cold_or_remote)
    )


def _check_names(
    sheet: Sheet, asked: list[str], shelf: Shelf, known: dict[str, Scenario]
) -> Iterator[str]:
    """Yield the names in a trip's list that are automatic scenarios; complain of the others."""
    for index, name in enumerate(asked):
        trail: Trail = ("trip", "automatic_scenarios", index)
        if not shelf.known.scenarios.check(sheet, name, *trail):
            continue
        if name in asked[:index]:
            message = f"scenario '{name}' is there twice"
            sheet.complain(trail, "name-used-twice", message, "name it once")
        elif name not in known:
            message = f"scenario '{name}' is not automatic: the catalogue does not say from where"
            hint = "name it at the rapids where it may happen, or say automatic in a catalogue"
            sheet.complain(trail, "not-automatic", message, hint)
        else:
            yield name


def add_automatic(
    sheet: Sheet, rapid: Rapid, trail: Trail, automatic: tuple[Scenario, ...]
) -> Rapid:
    """Return the rapid with each scenario that is hard enough for it and that no spot has.

    It goes to the last spot, the one furthest down; to mid-channel where there is none. A rapid
    that is carried round, or says itself that it has no scenarios, stays as it is.
    """
    has = {name for spot in rapid.spots for name in spot.scenarios}
    more = tuple(
        one.name
        for one in automatic
        if one.automatic is not None
        and rapid.river_class >= one.automatic.class_from
        and one.name not in has
    )
    if not more or rapid.run != "run" or (not has and is_given(sheet, (*trail, "scenarios"))):
        return rapid
    if not rapid.spots:
        return _add_mid_channel(sheet, rapid, trail, more)
    last = rapid.spots[-1]
    grown = replace(last, scenarios=(*last.scenarios, *more), automatic=more)
    return replace(rapid, spots=(*rapid.spots[:-1], grown))


def _add_mid_channel(sheet: Sheet, rapid: Rapid, trail: Trail, more: tuple[str, ...]) -> Rapid:
    """Return a rapid without spots with one in mid-channel; a finding if it has no width."""
    if rapid.width_mm == 0:
        message = (
            f"{' and '.join(more)} may happen at every rapid of class "
            f"{CLASSES[rapid.river_class - 1]}, and the width is not given"
        )
        hint = "write width, or scenarios = [] where nothing can happen"
        sheet.complain((*trail, "width"), "width-missing", message, hint)
    half_mm = max(0, rapid.width_mm) // 2
    spot = Spot(
        MID_CHANNEL,
        half_mm,
        max(0, rapid.width_mm) - half_mm,
        more,
        automatic=more,
        where=rapid.where,
    )
    return replace(rapid, spots=(spot,))
