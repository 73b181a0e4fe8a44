"""Skill that fades, where the trip says so: levels go down where practice is long past.

A house rule, off unless `fades_after` is there. What `practised` says is checked all the same.
"""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from kitplan.load.sheet import show_value
from kitplan.units import read_months

if TYPE_CHECKING:
    from kitplan import records
    from kitplan.load.names import Known
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail

_PER_YEAR = 12


@dataclass(frozen=True, slots=True)
class Fading:
    """The day the trip starts, None if it is not known, and the rule: months, None if it is off."""

    starts: date | None = None
    months: int | None = None


@dataclass(frozen=True, slots=True)
class Skills:
    """Levels as they count; what faded, with its level as written; what counts without a date."""

    levels: dict[str, int]
    faded: tuple[tuple[str, int], ...] = ()
    undated: tuple[str, ...] = ()


def read_fading(sheet: Sheet, head: records.TripRecord) -> Fading:
    """Return the rule of the trip."""
    said = {finding.where for finding in sheet.findings}
    starts = None if sheet.place("trip", "starts") in said else head.starts
    months = sheet.read_if_given(read_months, head.fades_after, "trip", "fades_after")
    return Fading(starts, months or None)


def check_practised(
    sheet: Sheet, record: records.PaddlerRecord, trail: Trail, known: Known, fading: Fading
) -> None:
    """Complain of skills that are unknown or not the paddler's, and of days that are to come."""
    for skill, last in record.practised.items():
        at = (*trail, "practised", skill)
        known.skills.check(sheet, skill, *at)
        if skill in known.skills and skill not in record.skills:
            message = f"{show_value(skill)} is not among the skills"
            sheet.complain(at, "skill-not-held", message, "add its level to skills")
        if fading.starts is not None and last > fading.starts:
            message = (
                f"{skill} was last practised on {last}, and the trip starts on {fading.starts}"
            )
            sheet.complain(at, "practised-after-start", message, "give the last day before it")


def fade(record: records.PaddlerRecord, fading: Fading) -> Skills:
    """Return the skills of a paddler, one level lower each that has faded."""
    held = {skill: level for skill, level in record.skills.items() if level}
    if fading.months is None or fading.starts is None:
        return Skills(dict(record.skills))
    faded = tuple(
        (skill, level)
        for skill, level in held.items()
        if (last := record.practised.get(skill)) is not None
        and last <= fading.starts
        and add_months(last, fading.months) < fading.starts
    )
    levels = record.skills | {skill: level - 1 for skill, level in faded}
    return Skills(levels, faded, tuple(skill for skill in held if skill not in record.practised))


def add_months(day: date, months: int) -> date:
    """Return the same day so many months later, or the last of the month that has no such day."""
    years, month = divmod(day.month - 1 + months, _PER_YEAR)
    year = day.year + years
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
