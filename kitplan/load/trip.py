"""Turns the record of a trip file into the trip."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from kitplan.errors import has_errors
from kitplan.load.automatic import list_automatic
from kitplan.load.companies import check_companies
from kitplan.load.fading import read_fading
from kitplan.load.kit import KitReader
from kitplan.load.legs import Calendar, check_legs, name_boats, read_days
from kitplan.load.mending import MarketReader
from kitplan.load.names import Names
from kitplan.load.passages import Around, read_passages
from kitplan.load.people import PartyReader
from kitplan.load.sheet import STAND_IN, count_text, show_value
from kitplan.load.stores import StoresReader
from kitplan.trip import EXPOSURES, OrderTerms, Trip
from kitplan.units import read_temperature_mdegc

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Sequence

    from kitplan import records
    from kitplan.load.catalog import Shelf
    from kitplan.load.legs import Days
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Boat, Company, Leg, Paddler, Rapid, SourceText

_FIRST_DAY = date(1990, 1, 1)
_LAST_DAY = date(2200, 1, 1)
_HARDEST = 6
_LISTS = (("boat", "boats"), ("paddler", "paddlers"), ("rapid", "rapids"))


class TripReader:
    """Turns the record of a trip file into the trip, with findings on its sheet.

    `broken` names the lists (boat, paddler, kit) of which a CSV file could not be read whole:
    nothing is said of what may stand there.
    """

    def __init__(
        self, sheet: Sheet, record: records.TripFile, shelf: Shelf, broken: frozenset[str]
    ) -> None:
        self._sheet = sheet
        self._record = record
        self._shelf = shelf
        self._broken = broken
        self._days = record.trip.days or max((one.day for one in record.rapid), default=1)
        self._ends = self._read_end()
        self._party = PartyReader(sheet, shelf, self._ends)
        self._party.fading = read_fading(sheet, record.trip)
        self._party.boat_names.complete = "boat" not in broken
        self._party.paddler_names.complete = "paddler" not in broken

    def read_trip(self, sources: Iterable[SourceText], flow: str) -> Trip | None:
        """Return the trip; None if a part of the catalogue is not there to make it of.

        `flow`: low, medium or high, or all of them side by side.
        """
        head, sheet, party = self._record.trip, self._sheet, self._party
        self._check_lists()
        for index, name in enumerate(head.everyone_wears):
            trail: Trail = ("trip", "everyone_wears", index)
            party.check_worn(name, trail)
            if name in head.everyone_wears[:index] and name != STAND_IN:
                message = f"item {show_value(name)} is there twice"
                sheet.complain(trail, "name-used-twice", message, "name it once")
        called = party.read_boats(self._record.boat)
        paddlers = party.read_paddlers(self._record.paddler, head.everyone_wears)
        kit = KitReader(sheet, self._shelf, self._days)
        kit.read_kit(self._record.kit)
        all_read = len(called) == len(self._record.boat) and "boat" not in self._broken
        calendar = self._read_calendar(called, paddlers, kit.days)
        party.check_seats(self._record.paddler, called, calendar, all_read=all_read)
        companies = self._read_companies(paddlers, called if all_read else {}, calendar)
        legs, boats = name_boats(calendar.cut(), called)
        if all_read and called and "paddler" not in self._broken and paddlers:
            check_legs(sheet, legs, self._days)
        reader = StoresReader(sheet, self._shelf, self._days, called if all_read else {})
        stores = reader.read_stores(self._record)
        standby = party.read_standby(self._record.standby, head.everyone_wears)
        seller = MarketReader(sheet, self._record, self._shelf, party.paddler_names)
        market = seller.read_market(standby, paddlers, calendar)
        catalog = self._shelf.make_catalog()
        # All is read before it is known whether a trip can be made of it: findings come at once.
        water = "trip", "water_temperature"
        water_mdegc = sheet.read(read_temperature_mdegc, head.water_temperature, *water)
        rapids = self._read_rapids(tuple(legs), boats, flow, water_mdegc)
        order = self._read_order(called)
        running, accept = self._read_running(called), self._read_accept()
        consequence = self._read_consequence()
        if catalog is None:
            return None
        return Trip(
            name=head.name,
            starts=head.starts,
            ends=self._ends,
            catalog=catalog,
            boats=boats,
            paddlers=paddlers,
            kit=kit.kit,
            rapids=rapids,
            running=running,
            water_mdegc=water_mdegc,
            remote=head.remote,
            accept=accept,
            companies=companies,
            consequence=consequence,
            legs=tuple(legs),
            fades_months=party.fading.months,
            flow=flow,
            order=order,
            stations=head.stations,
            stores=stores,
            market=market,
            sources=tuple(sources),
            where=sheet.place("trip"),
        )

    def _read_end(self) -> date:
        starts = self._record.trip.starts
        if _FIRST_DAY <= starts <= _LAST_DAY:
            return starts + timedelta(days=self._days - 1)
        message = f"starts must be a day from {_FIRST_DAY} to {_LAST_DAY}, not {starts}"
        self._sheet.complain(("trip", "starts"), "out-of-range", message, "look at the year")
        return _FIRST_DAY

    def _check_lists(self) -> None:
        """Complain of what a trip can't do without."""
        for key, plural in _LISTS:
            if self._sheet.data.get(key) or key in self._broken:
                continue
            trail: Trail = (key,)
            hint = f"add a [[{key}]] table for each"
            if getattr(self._record.trip, plural, None):
                trail, hint = ("trip", plural), "add rows below the header of this file"
            self._sheet.complain(trail, f"no-{plural}", f"the trip has no {plural}", hint)

    def _read_calendar(
        self, boats: dict[str, Boat], paddlers: dict[str, Paddler], kit: dict[str, Days]
    ) -> Calendar:
        """Return from which day to which all are there; only of what could be read."""
        read = self._record
        return Calendar(
            max(_FIRST_DAY, min(read.trip.starts, _LAST_DAY)),
            self._days,
            self._read_days("boat", [(one.name, one) for one in read.boat], boats),
            self._read_days("paddler", [(one.name, one) for one in read.paddler], paddlers),
            kit,
        )

    def _read_days(
        self,
        key: str,
        rows: Sequence[tuple[str, records.BoatRecord | records.PaddlerRecord]],
        there: Container[str],
    ) -> dict[str, tuple[int, int]]:
        """Return from which day to which each row is there, by name, if it could be read."""
        days = {
            name: read_days(self._sheet, one, (key, index), self._days)
            for index, (name, one) in enumerate(rows)
        }
        return {name: span for name, span in days.items() if name in there}

    def _read_order(self, boats: dict[str, Boat]) -> OrderTerms:
        """Return what the running order must be."""
        record, sheet = self._record.order, self._sheet
        for index, kind in enumerate(record.sweep):
            self._shelf.known.kinds.check(sheet, kind, "order", "sweep", index)
        named = record.boats
        for index, name in enumerate(named or ()):
            self._party.boat_names.check(sheet, name, "order", "boats", index)
            if named and name in named[:index] and name != STAND_IN:
                message = f"boat {show_value(name)} is there twice"
                trail = ("order", "boats", index)
                sheet.complain(trail, "name-used-twice", message, "name it once")
        # Where a name could not be read, it may be any of those that seem to be forgotten.
        whole = named is not None and STAND_IN not in named
        forgotten = [name for name in boats if whole and name not in (named or ())]
        if forgotten:
            message = f"boats leaves out {' and '.join(show_value(name) for name in forgotten)}"
            hint = "name every boat once, or leave boats out and the order is looked for"
            sheet.complain(("order", "boats"), "boat-forgotten", message, hint)
        sweep = tuple(dict.fromkeys(record.sweep))
        return OrderTerms(tuple(named or ()), record.lead, sweep, sheet.place("order"))

    def _read_rapids(
        self, legs: tuple[Leg, ...], boats: dict[str, Boat], flow: str, water_mdegc: int
    ) -> dict[str, Rapid]:
        names, rapids = Names("rapid"), {}
        around = Around(
            self._shelf.known,
            legs,
            boats,
            self._party.boat_names,
            flow,
            list_automatic(self._sheet, self._record.trip, self._shelf, water_mdegc),
        )
        for index, record in enumerate(self._record.rapid):
            trail: Trail = ("rapid", index)
            new = names.add(self._sheet, record.name, *trail, "name")
            if record.day > self._days:
                message = f"day is {record.day}, and the trip has {count_text(self._days, 'day')}"
                hint = "change it, or days in [trip]"
                self._sheet.complain((*trail, "day"), "day-after-end", message, hint)
            for passage in read_passages(self._sheet, record, trail, around):
                own = passage.name == record.name
                if new and (own or names.add(self._sheet, passage.name, *trail, "name")):
                    rapids[passage.name] = passage
        return rapids

    def _read_running(self, boats: dict[str, Boat]) -> tuple[str, ...]:
        running, trail = self._record.trip.running, ("trip", "running")
        if isinstance(running, str):
            return tuple(boats)
        if not running:
            message = "running names no boat, so that nobody could be in trouble"
            hint = 'write "any boat", or the boats by name'
            self._sheet.complain(trail, "empty", message, hint)
        for index, name in enumerate(running):
            self._party.boat_names.check(self._sheet, name, *trail, index)
            if name in running[:index] and name != STAND_IN:
                message = f"boat {show_value(name)} is there twice"
                self._sheet.complain((*trail, index), "name-used-twice", message, "name it once")
        return tuple(running)

    def _read_accept(self) -> dict[str, int]:
        """Return the greatest class accepted by exposure; what is not stated is not accepted."""
        accept = {"ashore": _HARDEST}
        for exposure in EXPOSURES[1:]:
            text: str | None = getattr(self._record.trip.accept, exposure)
            trail = ("trip", "accept", exposure)
            accept[exposure] = self._sheet.read_class_if_given(text, *trail) or 0
        return accept

    def _read_companies(
        self, paddlers: dict[str, Paddler], boats: dict[str, Boat], calendar: Calendar
    ) -> tuple[Company, ...]:
        groups = (("together", self._record.together), ("apart", self._record.apart))
        trails: list[tuple[Trail, records.CompanyRecord]] = [
            ((key, index), record)
            for key, records_read in groups
            for index, record in enumerate(records_read)
        ]
        # Who and what is there comes first: what follows from a slip there is not said.
        sound = not has_errors(self._sheet.findings)
        read = [(trail, self._party.read_company(record, trail)) for trail, record in trails]
        if sound:
            self._check_companies(read, paddlers, boats, calendar)
        return tuple(company for _, company in read)

    def _check_companies(
        self,
        read: list[tuple[Trail, Company]],
        paddlers: dict[str, Paddler],
        boats: dict[str, Boat],
        calendar: Calendar,
    ) -> None:
        """Complain of companies that can't be in one of the legs, of each once."""
        sheet = self._sheet
        before = len(sheet.findings)
        for leg in calendar.cut():
            there = {name: paddlers[name] for name in leg.paddlers}
            here = {name: boats[name] for name in leg.boats if name in boats}
            met = [
                (trail, replace(company, paddlers=tuple(p for p in company.paddlers if p in there)))
                for trail, company in read
            ]
            check_companies(sheet, [one for one in met if one[1].paddlers], there, here)
        sheet.findings[before:] = dict.fromkeys(sheet.findings[before:])

    def _read_consequence(self) -> dict[str, int]:
        changed = self._record.trip.consequence
        for name in changed:
            self._shelf.known.scenarios.check(self._sheet, name, "trip", "consequence", name)
        return {
            name: changed.get(name, scenario.consequence)
            for name, scenario in self._shelf.scenarios.items()
        }
