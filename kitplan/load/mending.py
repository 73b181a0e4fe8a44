"""Reads what can be had for money before a trip: offers, lessons, people on standby."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.errors import Finding
from kitplan.load.legs import read_days
from kitplan.load.sheet import STAND_IN, show_value
from kitplan.trip import Lesson, Market, Offer, Standby
from kitplan.units import read_price_cents

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from kitplan import records
    from kitplan.errors import Place
    from kitplan.load.catalog import Shelf
    from kitplan.load.legs import Calendar, Days
    from kitplan.load.names import Names
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Leg, Paddler

_CURRENCIES = "two-currencies"
_TOP = 4
_TURNS = {"from": "begins", "to": "ends"}


def read_price(sheet: Sheet, text: str | None, trail: Trail) -> tuple[int | None, str]:
    """Return the `price` of what stands at the trail, in cents, and its currency.

    None and "" where there is none, or none that could be read.
    """
    if text is None or text == STAND_IN:
        return None, ""
    currency = ""

    def read(given: object, /, *, name: str) -> int:
        nonlocal currency
        cents, currency = read_price_cents(given, name=name)
        return cents

    cents = sheet.read(read, text, *trail, "price")
    return (cents, currency) if currency else (None, "")


class MarketReader:
    """Turns prices, lessons and people on standby into a market, with findings on the sheet."""

    def __init__(self, sheet: Sheet, record: records.TripFile, shelf: Shelf, names: Names) -> None:
        """Read nothing yet; `names` are those of the paddlers of the trip."""
        self._sheet, self._record, self._shelf, self._names = sheet, record, shelf, names
        self._currency = ""
        self._first: Place | None = None  # where the first price stands
        self._differ = False

    def read_market(
        self, people: Mapping[str, Paddler], paddlers: Mapping[str, Paddler], calendar: Calendar
    ) -> Market:
        """Return the market; `people` are those on standby, `paddlers` those of the trip."""
        offers = self._read_offers()
        lessons = tuple(self._read_lessons(paddlers))
        standbys = self._read_standbys(people, calendar)
        offers |= self._list_catalog(offers)
        there = {name: offer for name, offer in offers.items() if offer.most != 0}
        return Market(self._currency or "EUR", there, lessons, standbys)

    # --- prices -----------------------------------------------------------------------------------

    def _read_price(self, text: str | None, trail: Trail) -> int | None:
        """Return a price in cents; complain of a second currency once."""
        cents, currency = read_price(self._sheet, text, trail)
        where = self._sheet.place(*trail, "price")
        if currency and not self._currency:
            self._currency, self._first = currency, where
        elif currency and currency != self._currency and not self._differ and self._first:
            self._differ = True
            message = f"price is in {currency}, and in {self._currency} at {self._first.text()}"
            hint = "give all prices of a trip in one currency"
            self._sheet.complain((*trail, "price"), _CURRENCIES, message, hint)
        return cents

    # --- things -----------------------------------------------------------------------------------

    def _read_offers(self) -> dict[str, Offer]:
        """Return what the rows of kit and the offers of the trip put a price on."""
        offers: dict[str, Offer] = {}
        rows: list[tuple[Trail, records.KitRecord | records.OfferRecord]] = [
            (("kit", index), row) for index, row in enumerate(self._record.kit)
        ]
        listed = {row.item: self._sheet.place(*trail) for trail, row in reversed(rows)}
        rows += [(("offer", index), row) for index, row in enumerate(self._record.offer)]
        for trail, row in rows:
            if trail[0] == "offer":
                self._shelf.known.items.check(self._sheet, row.item, *trail, "item")
                first = listed.setdefault(row.item, self._sheet.place(*trail))
                if first != self._sheet.place(*trail) and row.item != STAND_IN:
                    self._complain_of_twice(trail, row.item, first)
                    continue
            offer = self._read_offer(row, trail)
            if offer is not None:
                offers.setdefault(row.item, offer)
        return offers

    def _complain_of_twice(self, trail: Trail, item: str, first: Place) -> None:
        message = f"{show_value(item)} is listed already, at {first.text()}"
        self._sheet.complain((*trail, "item"), "said-twice", message, "write price and more there")

    def _read_offer(
        self, row: records.KitRecord | records.OfferRecord, trail: Trail
    ) -> Offer | None:
        """Return an offer at the price of the row, else at the catalogue's."""
        cents = self._read_price(row.price, trail)
        item = self._shelf.items.get(row.item)
        if item is None or self._sheet.find_given((*trail, "price")) != row.price:
            return None  # what is wrong with the price has its finding
        if row.price is None:
            cents = item.price_cents
            said = "offer" if trail[0] == "offer" else "more" if row.more is not None else ""
            if cents is None and said:
                at = (*trail, "price" if said == "offer" else said)
                message = f"there is no price for {show_value(row.item)}, here or in a catalogue"
                hint = 'write price = "55 EUR"; a thing lent costs "0 EUR"'
                self._sheet.complain(at, "missing-key", message, hint)
            cents = None if trail[0] == "kit" and row.more is None else cents
            if cents is not None and not self._fits(item.currency, item.where):
                return None
        if cents is None:
            return None
        return Offer(item, cents, row.more, self._sheet.place(*trail))

    def _list_catalog(self, offers: Mapping[str, Offer]) -> dict[str, Offer]:
        """Return what else has a price in a catalogue."""
        said = {*offers}
        found = {}
        for name, item in self._shelf.items.items():
            cents = item.price_cents
            if name not in said and cents is not None and self._fits(item.currency, item.where):
                found[name] = Offer(item, cents, where=item.where)
        return found

    def _fits(self, currency: str, where: Place) -> bool:
        """Say whether a price of a catalogue is in the currency of the others; warn if it isn't."""
        if not self._currency:
            self._currency, self._first = currency, where
        if currency == self._currency:
            return True
        if not self._differ and self._first is not None:
            self._differ = True
            message = (
                f"a price is in {currency}, and in {self._currency} at {self._first.text()}: what "
                f"is priced in {currency} is not on offer"
            )
            hint = "give it a price of the trip's own as [[offer]], in one currency"
            finding = Finding(where, "warning", _CURRENCIES, message, hint)
            self._sheet.findings.append(finding)
        return False

    # --- lessons ----------------------------------------------------------------------------------

    def _read_lessons(self, paddlers: Mapping[str, Paddler]) -> Iterator[Lesson]:
        """Yield a lesson for each whom it can be for."""
        seen: dict[tuple[str, str, int], Place] = {}
        for index, record in enumerate(self._record.lesson):
            trail: Trail = ("lesson", index)
            self._shelf.known.skills.check(self._sheet, record.skill, *trail, "skill")
            cents = self._read_price(record.price, trail)
            where = self._sheet.place(*trail)
            for name, at in self._list_taught(record, trail, paddlers):
                first = seen.setdefault((name, record.skill, record.to), where)
                if first != where:
                    message = f"{show_value(name)} has this lesson already, at {first.text()}"
                    own = at if len(at) > len(trail) else (*trail, "skill")
                    self._sheet.complain(own, "said-twice", message, "leave one of the two out")
                elif cents is not None:
                    what = record.skill, record.to, cents, record.days
                    yield Lesson(name, *what, where=where)

    def _list_taught(
        self, record: records.LessonRecord, trail: Trail, paddlers: Mapping[str, Paddler]
    ) -> Iterator[tuple[str, Trail]]:
        """Yield who can take a lesson, and where that is said."""
        skill, level = record.skill, record.to
        if record.paddlers is None:
            able = [p for p in paddlers.values() if p.level(skill) == level - 1 and not p.guest]
            if not able and paddlers and self._is_sound(record, trail):
                message = f"nobody who is no guest is at {skill} {level - 1}"
                hint = "a lesson is one level up; change to, or leave it out"
                self._sheet.complain((*trail, "to"), "lesson-for-nobody", message, hint)
            yield from ((one.name, trail) for one in able)
            return
        for number, name in enumerate(record.paddlers):
            at = (*trail, "paddlers", number)
            if name in record.paddlers[:number] and name != STAND_IN:
                message = f"paddler {show_value(name)} is there twice"
                self._sheet.complain(at, "name-used-twice", message, "name everybody once")
            elif self._check_taught(record, name, at, paddlers):
                yield name, at

    def _check_taught(
        self,
        record: records.LessonRecord,
        name: str,
        at: Trail,
        paddlers: Mapping[str, Paddler],
    ) -> bool:
        """Return whether somebody can take a lesson, and complain if not."""
        if name in {one.name for one in self._record.standby} and name != STAND_IN:
            message = f"{show_value(name)} is on standby, and lessons are for those of the trip"
            hint = "put the level that is learnt into the skills of [[standby]]"
            self._sheet.complain(at, "lesson-on-standby", message, hint)
            return False
        if not self._names.check(self._sheet, name, *at) or name not in paddlers:
            return False
        paddler, held = paddlers[name], paddlers[name].level(record.skill)
        if paddler.guest:
            message = f"{show_value(name)} is a guest, and guests are taught no work"
            self._sheet.complain(at, "lesson-for-guest", message, "leave the name out")
            return False
        if held != record.to - 1 and self._is_sound(record, at[:2]):
            faded = any(skill == record.skill for skill, _ in paddler.faded)
            said = f"{record.skill} {held}{', as it has faded' if faded else ''}"
            message = f"{show_value(name)} is at {said}, and a lesson is one level up"
            hint = f"write to = {held + 1}" if held < _TOP else "leave the name out"
            self._sheet.complain(at, "lesson-not-next", message, hint)
            return False
        return True

    def _is_sound(self, record: records.LessonRecord, trail: Trail) -> bool:
        """Say whether skill and level of a lesson are as written, and known."""
        written = self._sheet.find_given((*trail, "to")) == record.to
        return written and record.skill in self._shelf.known.skills

    # --- people -----------------------------------------------------------------------------------

    def _read_standbys(
        self, people: Mapping[str, Paddler], calendar: Calendar
    ) -> dict[str, Standby]:
        """Return those who can be brought; each for whole legs."""
        found: dict[str, Standby] = {}
        legs = calendar.cut()
        for index, record in enumerate(self._record.standby):
            trail: Trail = ("standby", index)
            cents = self._read_price(record.price, trail)
            days = read_days(self._sheet, record, trail, calendar.days)
            self._check_days(days, trail, legs)
            if record.name in people and cents is not None:
                where = self._sheet.place(*trail)
                found.setdefault(
                    record.name, Standby(people[record.name], cents, _list_legs(days, legs), where)
                )
        return found

    def _check_days(self, days: Days, trail: Trail, legs: Sequence[Leg]) -> None:
        """Complain of somebody who would come or leave where nobody and nothing else does."""
        bounds = {"from": [one.first_day for one in legs], "to": [one.last_day for one in legs]}
        for (key, able), day in zip(bounds.items(), days, strict=True):
            if day not in able:
                message = f"{key} is day {day}, and no leg of the trip {_TURNS[key]} on it"
                *most, last = map(str, able)
                hint = f"one of {', '.join(most)} and {last}" if most else f"leave {key} out"
                self._sheet.complain((*trail, key), "standby-within-leg", message, hint)


def _list_legs(days: Days, legs: Sequence[Leg]) -> tuple[int, ...]:
    """Return the places of the legs that lie within days; none where all do."""
    first, last = days
    within = [first <= leg.first_day and leg.last_day <= last for leg in legs]
    found = tuple(number for number, there in enumerate(within) if there)
    return () if len(found) == len(legs) else found
