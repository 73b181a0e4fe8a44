"""Reads the rows of kit: what the party owns, bundles kept whole or split."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from kitplan.load.legs import read_days
from kitplan.load.names import Names
from kitplan.load.sheet import show_value
from kitplan.trip import Kit

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from kitplan import records
    from kitplan.load.catalog import Shelf
    from kitplan.load.legs import Days
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail


class _Row(NamedTuple):
    """Copies of an item as one row of the file gives them, and the days they are there."""

    kit: Kit
    days: Days
    trail: Trail


class KitReader:
    """Turns rows of kit into nouns, with findings on the sheet of the trip.

    After `read_kit`, `kit` and `days` (first and last day) go by the name of the item.
    """

    def __init__(self, sheet: Sheet, shelf: Shelf, days: int) -> None:
        """Start with nothing; the trip has so many `days`."""
        self._sheet, self._shelf, self._last = sheet, shelf, days
        self.kit: dict[str, Kit] = {}
        self.days: dict[str, Days] = {}

    def read_kit(self, rows: list[records.KitRecord]) -> None:
        """Take in all rows; what is split adds to what is listed by itself."""
        names = Names("item")
        for index, record in enumerate(rows):
            trail: Trail = ("kit", index)
            self._shelf.known.items.check(self._sheet, record.item, *trail, "item")
            new = names.add(self._sheet, record.item, *trail, "item")
            kit = self._read_row(record, trail)
            days = read_days(self._sheet, record, trail, self._last)
            if new and kit is not None:
                for one in self._split(kit, trail) if record.split else [kit]:
                    self._add(_Row(one, days, trail))

    def _read_row(self, record: records.KitRecord, trail: Trail) -> Kit | None:
        """Return a row as it is written, None if its item could not be read."""
        sheet = self._sheet
        # True is also the number 1 in Python, so the kind of value comes first.
        take = record.take
        taken = (record.count if take else 0) if isinstance(take, bool) else take
        if taken > record.count:
            message = f"take is {taken}, and count is {record.count}"
            hint = "take = true takes all of them"
            sheet.complain((*trail, "take"), "take-over-count", message, hint)
        self._check_dates(record, trail)
        item = self._shelf.items.get(record.item)
        if item is None:
            return None
        where = sheet.place(*trail)
        return Kit(item, record.count, taken, record.bought, record.retire_by, where=where)

    def _check_dates(self, record: records.KitRecord, trail: Trail) -> None:
        """Complain of kit that was to be retired before it was bought."""
        if record.bought is None or record.retire_by is None or record.retire_by >= record.bought:
            return
        message = f"retire_by is {record.retire_by}, and bought is {record.bought}"
        hint = "retire_by is the last day of its use"
        self._sheet.complain((*trail, "retire_by"), "days-turned-round", message, hint)

    def _split(self, kit: Kit, trail: Trail) -> Iterable[Kit]:
        """Yield the contents of bundles as rows of their own; complain of what is no bundle."""
        if not kit.item.contains:
            message = f"split is true, and {show_value(kit.item.name)} is no bundle"
            hint = "leave split out; a bundle is an item with contains = { ... }"
            self._sheet.complain((*trail, "split"), "not-a-bundle", message, hint)
            return
        for item, count in kit.item.contains:
            yield replace(kit, item=item, count=count * kit.count, take=count * kit.take)

    def _add(self, row: _Row) -> None:
        """Take in copies of an item, besides those that there are; the earlier dates hold."""
        kit, name = row.kit, row.kit.item.name
        first = self.kit.setdefault(name, kit)
        days = self.days.setdefault(name, row.days)
        if first is kit:
            return
        if days != row.days:
            message = f"{show_value(name)} is there on other days at {first.where.text()}"
            hint = "give both rows the same from and to, or list the item under another name"
            self._sheet.complain((*row.trail, "split"), "days-differ", message, hint)
        self.kit[name] = replace(
            first,
            count=first.count + kit.count,
            take=first.take + kit.take,
            bought=_find_earlier(first.bought, kit.bought),
            retire_by=_find_earlier(first.retire_by, kit.retire_by),
        )


def _find_earlier(one: date | None, other: date | None) -> date | None:
    return min((day for day in (one, other) if day is not None), default=None)
