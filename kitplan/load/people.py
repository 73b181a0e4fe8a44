"""Turns the records of boats, paddlers and companions into nouns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.load.fading import Fading, check_practised, fade
from kitplan.load.legs import AWAY, say_days
from kitplan.load.names import Names
from kitplan.load.sheet import STAND_IN, count_text, show_value
from kitplan.trip import Boat, Company, Paddler
from kitplan.units import QuantityError, read_mass_g, show_mass

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from kitplan import records
    from kitplan.load.catalog import Shelf
    from kitplan.load.legs import Calendar
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Item

_LIGHTEST_G = 10_000
_HEAVIEST_G = 300_000
"""Body mass: less is no paddler, more is a slip of the pen (own figures)."""


def read_body_g(text: object, /, *, name: str) -> int:
    """Return the mass of a person in grams, or raise QuantityError."""
    mass_g = read_mass_g(text, name=name)
    if not _LIGHTEST_G <= mass_g <= _HEAVIEST_G:
        limits = f"from {show_mass(_LIGHTEST_G)} to {show_mass(_HEAVIEST_G)}"
        message = f"{name} of a person must be {limits}, not {show_value(str(text))}"
        hint = "look for a slip in the number or its unit"
        raise QuantityError(message, hint, "out-of-range")
    return mass_g


class PartyReader:
    """Turns boats, paddlers and companions into nouns, with findings on the trip's sheet."""

    def __init__(self, sheet: Sheet, shelf: Shelf, ends: date) -> None:
        self._sheet = sheet
        self._shelf = shelf
        self._ends = ends
        self._tied_over: set[int] = set()
        self.fading = Fading()
        self.boat_names = Names("boat")
        self.paddler_names = Names("paddler")

    def read_boats(self, read: list[records.BoatRecord]) -> dict[str, Boat]:
        """Return the boats by name; one of unknown type is left out."""
        boats = {}
        for index, record in enumerate(read):
            trail: Trail = ("boat", index)
            new = self.boat_names.add(self._sheet, record.name, *trail, "name")
            self._shelf.known.boat_types.check(self._sheet, record.type, *trail, "type")
            dry_load_g = self._sheet.read(read_mass_g, record.dry_load, *trail, "dry_load")
            boat_type = self._shelf.boat_types.get(record.type)
            if boat_type is not None and dry_load_g > boat_type.payload_g > 0:
                message = (
                    f"dry_load is {show_mass(dry_load_g)}, and the payload of "
                    f"{show_value(record.type)} is {show_mass(boat_type.payload_g)}"
                )
                hint = "leave room for people and kit too"
                self._sheet.complain((*trail, "dry_load"), "dry-load-over-payload", message, hint)
            if new and boat_type is not None:
                where = self._sheet.place(*trail)
                boats[record.name] = Boat(
                    record.name, boat_type, dry_load_g, record.name, where=where
                )
        return boats

    def read_paddlers(
        self, read: list[records.PaddlerRecord], everyone_wears: list[str]
    ) -> dict[str, Paddler]:
        """Return the paddlers by name, what everyone wears added to what each wears."""
        return self._read_people(read, everyone_wears, "paddler", self.paddler_names)

    def read_standby(
        self, read: Sequence[records.PaddlerRecord], everyone_wears: list[str]
    ) -> dict[str, Paddler]:
        """Return those on standby by name, read as paddlers are; nobody is both."""
        for index, record in enumerate(read):
            if record.name in self.paddler_names:
                message = f"{show_value(record.name)} is a paddler of the trip already"
                hint = "leave one of the two out"
                self._sheet.complain(("standby", index, "name"), "name-used-twice", message, hint)
        return self._read_people(read, everyone_wears, "standby", Names("person on standby"))

    def _read_people(
        self,
        read: Sequence[records.PaddlerRecord],
        everyone_wears: list[str],
        key: str,
        names: Names,
    ) -> dict[str, Paddler]:
        items = self._shelf.items
        everyone = [items[name] for name in everyone_wears if name in items]
        paddlers = {}
        for index, record in enumerate(read):
            trail: Trail = (key, index)
            new = names.add(self._sheet, record.name, *trail, "name")
            self._check_paddler(record, trail)
            if new:
                paddler = self._make_paddler(record, trail, everyone)
                paddlers[record.name] = paddler
                if len(everyone) == len(everyone_wears):
                    self._warn_of_bare(paddler, trail)
        return paddlers

    def _check_paddler(self, record: records.PaddlerRecord, trail: Trail) -> None:
        sheet, known = self._sheet, self._shelf.known
        for skill in record.skills:
            known.skills.check(sheet, skill, *trail, "skills", skill)
        check_practised(sheet, record, trail, known, self.fading)
        for item in record.wears:
            self.check_worn(item, (*trail, "wears", item))
        for number, certificate in enumerate(record.certificates):
            at = (*trail, "certificates", number)
            known.certificates.check(sheet, certificate.name, *at, "name")
            if certificate.until < self._ends:
                message = f"holds until {certificate.until}, and the trip ends on {self._ends}"
                hint = "renew it; the plan does not count on it from the leg on in which it ends"
                sheet.warn((*at, "until"), "certificate-expires", message, hint)
        if record.boat is not None:
            self.boat_names.check(sheet, record.boat, *trail, "boat")

    def _warn_of_bare(self, paddler: Paddler, trail: Trail) -> None:
        """Warn if the paddler lacks something that every role asks its people to wear."""
        items, figures = self._shelf.items, self._shelf.figures
        if figures is None or any(name not in items for name in paddler.wears):
            return
        worn = {kind for name in paddler.wears for kind in items[name].kinds}
        # What no item is a kind of is a slip of the catalogue, and not the paddler's.
        known = {kind for item in items.values() for kind in item.kinds}
        lacking = [f"no {kind}" for kind in figures.role_wears if kind in known - worn]
        if lacking:
            *most, last = lacking
            said = f"{', '.join(most)} and {last}" if most else last
            message = f"wears {said}, and so can fill no role"
            hint = "add what is worn to wears, or to everyone_wears in [trip]"
            self._sheet.warn((*trail, "wears"), "worn-missing", message, hint)

    def check_worn(self, item: str, trail: Trail) -> None:
        """Complain if the item is unknown or is not worn by people."""
        self._shelf.known.items.check(self._sheet, item, *trail)
        noun = self._shelf.items.get(item)
        if noun is not None and "worn" not in noun.carried:
            carried = " or ".join(noun.carried)
            message = f"{show_value(item)} is not worn; the catalogue has it {carried}"
            self._sheet.complain(trail, "not-worn", message, "list it as [[kit]] instead")

    def _make_paddler(
        self, record: records.PaddlerRecord, trail: Trail, everyone: list[Item]
    ) -> Paddler:
        guest = record.guest
        if guest is None:
            # As written: who is a guest is no matter of practice.
            guest = all(level <= 1 for level in record.skills.values())
        skills = fade(record, self.fading)
        return Paddler(
            name=record.name,
            mass_g=self._sheet.read(read_body_g, record.mass, *trail, "mass"),
            skills=skills.levels,
            wears=_add_everyone(record.wears, everyone, self._shelf.items),
            certificates=tuple((one.name, one.until) for one in record.certificates),
            at_most=record.at_most or ("ashore" if guest else "swimming"),
            guest=guest,
            boat=record.boat,
            faded=skills.faded,
            undated=skills.undated,
            where=self._sheet.place(*trail),
        )

    def read_company(self, record: records.CompanyRecord, trail: Trail) -> Company:
        """Return paddlers who keep together or apart, as the trail's first key says."""
        for index, name in enumerate(record.paddlers):
            at = (*trail, "paddlers", index)
            self.paddler_names.check(self._sheet, name, *at)
            if name in record.paddlers[:index] and name != STAND_IN:
                message = f"paddler '{name}' is there twice"
                self._sheet.complain(at, "name-used-twice", message, "name everybody once")
        where = self._sheet.place(*trail)
        return Company(tuple(record.paddlers), together=trail[0] == "together", where=where)

    def check_seats(
        self,
        read: list[records.PaddlerRecord],
        boats: Mapping[str, Boat],
        calendar: Calendar,
        *,
        all_read: bool,
    ) -> None:
        """Complain if in a leg there are more people than seats, in all or in one they are tied to.

        Each complaint is made once, for the first leg that it holds for.
        """
        indexes = {record.name: index for index, record in enumerate(read)}
        settled = False
        for leg in calendar.cut():
            when = say_days(leg, calendar.days)
            here = {name: boats[name] for name in leg.boats if name in boats}
            seats = sum(boat.type.seats for boat in here.values())
            if all_read and here and len(leg.paddlers) > seats and not settled:
                settled = True
                people = len(leg.paddlers)
                message = f"{people} people, but the boats have {count_text(seats, 'seat')}{when}"
                hint = "bring one more boat, or fewer people"
                first = indexes[leg.paddlers[seats]]
                self._sheet.complain(("paddler", first), "too-few-seats", message, hint)
            self._check_tied(read, [indexes[name] for name in leg.paddlers], here)
        self._check_away(read, calendar)

    def _check_tied(
        self, read: list[records.PaddlerRecord], indexes: list[int], boats: Mapping[str, Boat]
    ) -> None:
        tied: dict[str, list[str]] = {name: [] for name in boats}
        for index in indexes:
            record = read[index]
            if record.boat is None or record.boat not in boats:
                continue
            tied[record.boat].append(record.name)
            room = boats[record.boat].type.seats
            if len(tied[record.boat]) > room and index not in self._tied_over:
                self._tied_over.add(index)
                self._complain_of_tied(record.boat, room, tied[record.boat], index)

    def _check_away(self, read: list[records.PaddlerRecord], calendar: Calendar) -> None:
        """Complain of people tied to a boat that is not on the water on one of their days."""
        for index, record in enumerate(read):
            days, boat = calendar.paddlers.get(record.name), calendar.boats.get(record.boat or "")
            if days is None or boat is None or (boat[0] <= days[0] and days[1] <= boat[1]):
                continue
            day = days[0] if days[0] < boat[0] else boat[1] + 1
            message = f"boat {show_value(record.boat or '')} is not on the water on day {day}"
            hint = "change the days of one of them, or leave boat out"
            self._sheet.complain(("paddler", index, "boat"), AWAY, message, hint)

    def _complain_of_tied(self, boat: str, room: int, tied: list[str], index: int) -> None:
        others = " and ".join(f"'{name}'" for name in tied[:room] if name != STAND_IN)
        seats = count_text(room, "seat")
        message = f"boat '{boat}' has {seats}, and {others} {'is' if room == 1 else 'are'}"
        trail: Trail = ("paddler", index, "boat")
        hint = "name another boat, or leave the key out"
        self._sheet.complain(trail, "too-few-seats", f"{message} tied to it already", hint)


def _add_everyone(
    wears: Mapping[str, int], everyone: list[Item], items: Mapping[str, Item]
) -> dict[str, int]:
    """Return what a paddler wears with what everyone wears.

    Who wears something that serves every kind of an item of everyone's needs no second one: a
    rescue life jacket is a life jacket.
    """
    all_worn = dict(wears)
    for item in everyone:
        own = [items[name] for name in wears if name in items]
        if item.name in wears or any(item.kinds and item.kinds <= one.kinds for one in own):
            continue
        all_worn.setdefault(item.name, 1)
    return all_worn
