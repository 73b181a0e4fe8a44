"""Cuts a trip into legs: runs of days with the same boats, people and kit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from kitplan.load.sheet import count_text
from kitplan.trip import Leg

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from kitplan import records
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Boat

    Days = tuple[int, int]  # first and last day, counted from 1

AWAY = "boat-away"
"""Code of a boat that is counted on for a day on which it is not on the water."""


@dataclass(frozen=True, slots=True)
class Calendar:
    """The days of a trip, and the days on which each boat, paddler and kit is there, by name."""

    starts: date
    days: int
    boats: Mapping[str, Days]
    paddlers: Mapping[str, Days]
    kit: Mapping[str, Days]

    def cut(self) -> list[Leg]:
        """Return the legs in order; boats go by what they are called."""
        spans = {*self.boats.values(), *self.paddlers.values(), *self.kit.values()}
        starts = {1, *(first for first, _ in spans), *(last + 1 for _, last in spans)}
        firsts = sorted(day for day in starts if day <= self.days)
        lasts = [day - 1 for day in firsts[1:]] + [self.days]
        return [
            Leg(
                first,
                last,
                self.starts + timedelta(days=last - 1),
                tuple(_list_there(self.boats, first)),
                tuple(_list_there(self.paddlers, first)),
                tuple(_list_there(self.kit, first)),
            )
            for first, last in zip(firsts, lasts, strict=True)
        ]


def _list_there(spans: Mapping[str, Days], day: int) -> Iterator[str]:
    return (name for name, (first, last) in spans.items() if first <= day <= last)


def read_days(
    sheet: Sheet,
    record: records.BoatRecord | records.PaddlerRecord | records.KitRecord,
    trail: Trail,
    days: int,
) -> Days:
    """Return from which day to which somebody or something is there; the whole trip if not said."""
    first = 1 if record.from_ is None else record.from_
    last = days if record.to is None else record.to
    for key, day in (("from", first), ("to", last)):
        if day > days:
            message = f"{key} is day {day}, and the trip has {count_text(days, 'day')}"
            hint = "change it, or days in [trip]"
            sheet.complain((*trail, key), "day-after-end", message, hint)
            return 1, days
    if last < first:
        message = f"to is day {last}, and from is day {first}"
        hint = "from is the first day, to the last one"
        sheet.complain((*trail, "to"), "days-turned-round", message, hint)
        return 1, days
    return first, last


def say_days(leg: Leg, days: int) -> str:
    """Return " on days 1-3" for a leg that is not the whole trip, "" for one that is."""
    if (leg.first_day, leg.last_day) == (1, days):
        return ""
    if leg.first_day == leg.last_day:
        return f" on day {leg.first_day}"
    return f" on days {leg.first_day}-{leg.last_day}"


def name_boats(legs: Iterable[Leg], boats: Mapping[str, Boat]) -> tuple[list[Leg], dict[str, Boat]]:
    """Return the legs with a boat of its own for each boat in each, and all these boats by name.

    Where a boat was there in an earlier leg, its name says from which day on this one is.
    """
    named: dict[str, Boat] = {}
    result = []
    for number, leg in enumerate(legs):
        here = []
        for called in leg.boats:
            name = called if called not in named else f"{called}, from day {leg.first_day}"
            while name in named or (name != called and name in boats):
                # Somebody gave a boat the very name that is put together here.
                name = f"{name} as well"
            named[name] = replace(boats[called], name=name, called=called, leg=number)
            here.append(name)
        result.append(replace(leg, boats=tuple(here)))
    return result, named


def check_legs(sheet: Sheet, legs: Iterable[Leg], days: int) -> None:
    """Complain of days on which no boat or nobody is there."""
    for leg in legs:
        when = say_days(leg, days)
        for key, names, said in (
            ("boat", leg.boats, "no boat is on the water"),
            ("paddler", leg.paddlers, "nobody is on the water"),
        ):
            if not names:
                hint = "look at from and to, and at days in [trip]"
                sheet.complain((key,), f"no-{key}s", f"{said}{when}", hint)
