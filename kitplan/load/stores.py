"""Turns what a trip file says of stores into a noun, and checks it against boats and days."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.load.sheet import STAND_IN, count_text, show_value
from kitplan.load.storelists import check_rate, read_amount
from kitplan.trip import EVENING, RIVER_WATER, CampRow, Item, Restock, Stores
from kitplan.units import (
    read_length_mm,
    read_mass_g,
    read_volume_ml,
    show_length,
    show_mass,
    show_volume,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from kitplan import records
    from kitplan.load.catalog import Shelf
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Boat, StoreRate

_TREATMENT = "water treatment"
_ANY = 10**9
"""Stands for a boat's limit that is not given; above all lengths and volumes that can be read."""
_OF_STORES = (("store", "own things"), ("restock", "stores that come aboard on the way"))


@dataclass(frozen=True, slots=True)
class _Thing:
    """Something that has to lie in one boat or another, and where it is asked for."""

    trail: Trail
    name: str
    packed_mm: int
    volume_ml: int


@dataclass(frozen=True, slots=True)
class StoresReader:
    """Turns what a trip file says of stores into a noun, with findings on its sheet.

    `days` of the trip; `boats` by name, none where not all could be read.
    """

    sheet: Sheet
    shelf: Shelf
    days: int
    boats: Mapping[str, Boat]

    def read_stores(self, record: records.TripFile) -> Stores | None:
        """Return the stores, None if the trip has none."""
        if record.stores is None:
            self._check_orphans()
            return None
        self._check_lists()
        read, stores = self.sheet.read, record.stores
        rates = self._read_rates(stores)
        read_own = [self._read_own(one, ("store", i)) for i, one in enumerate(record.store)]
        own = {index: row for index, row in enumerate(read_own) if row is not None}
        restocks = [
            self._read_restock(one, ("restock", index)) for index, one in enumerate(record.restock)
        ]
        noun = Stores(
            climate=stores.climate,
            water=stores.water,
            rates=tuple(
                rate
                for rate in rates.values()
                if rate.water in {"", stores.water} and rate.amounts[stores.climate]
            ),
            camp=self._choose_rows(stores),
            own=tuple(own.values()),
            bag_g=read(read_mass_g, stores.personal_bag, "stores", "personal_bag"),
            bag_ml=read(
                read_volume_ml, stores.personal_bag_volume, "stores", "personal_bag_volume"
            ),
            restocks=tuple(restocks),
            where=self.sheet.place("stores"),
        )
        things = [*self._list_shared(noun, stores), *self._list_own(own)]
        for thing in things:
            self._check_fit(thing)
        self._check_water(noun, record.kit)
        self._warn_of_dry_load(noun, record.boat)
        return noun

    def _check_orphans(self) -> None:
        """Complain of what only means something beside a table that is not there."""
        for key, words in _OF_STORES:
            if self.sheet.data.get(key) and "stores" not in self.sheet.data:
                message = f"there are {words}, and no [stores] table"
                hint = 'write [stores] with climate = "mild" and water = "carried"'
                self.sheet.complain((key,), "missing-table", message, hint)

    def _check_lists(self) -> None:
        names = self.shelf.known.rates
        if names.complete and not any(names):
            message = "none of the catalogues has a [[store_rate]] table, and the trip has [stores]"
            hint = 'name "kitplan:stores.toml" among them, or add the tables'
            self.sheet.complain(("trip", "catalogs"), "missing-table", message, hint)

    def _read_rates(self, record: records.StoresRecord) -> dict[str, StoreRate]:
        """Return the rates of the catalogues with what the trip changes."""
        rates, seen = dict(self.shelf.stores.rates), set()
        for index, change in enumerate(record.rate):
            trail: Trail = ("stores", "rate", index)
            self.shelf.known.rates.check(self.sheet, change.name, *trail, "name")
            if change.name in seen and change.name != STAND_IN:
                message = f"store rate {show_value(change.name)} is changed twice"
                self.sheet.complain(
                    (*trail, "name"), "name-used-twice", message, "keep one of them"
                )
            seen.add(change.name)
            rate = self._change_rate(rates.get(change.name), change, trail)
            if rate is not None:
                rates[change.name] = rate
        return rates

    def _change_rate(
        self, rate: StoreRate | None, change: records.ChangedRateRecord, trail: Trail
    ) -> StoreRate | None:
        known, containers = self.shelf.known.containers, self.shelf.stores.containers
        amount = None
        if change.amount is not None:
            amount = read_amount(self.sheet, change.amount, *trail, "amount")
        if change.container is not None:
            known.check(self.sheet, change.container, *trail, "container")
        if rate is None:
            return None
        if change.container in containers:
            rate = replace(rate, container=containers[change.container])
        if amount is not None:
            amounts = dict.fromkeys(rate.amounts, amount.number)
            rate = replace(rate, amounts=amounts, in_ml=amount.in_ml)
        check_rate(self.sheet, rate, trail)
        return rate

    def _choose_rows(self, record: records.StoresRecord) -> tuple[CampRow, ...]:
        """Return the rows of camp kit that count, without those that the trip leaves out."""
        rows, names = self.shelf.stores.camp, self.shelf.stores.camp_names
        for index, name in enumerate(record.leave_out):
            names.check(self.sheet, name, "stores", "leave_out", index)
        return tuple(
            row
            for row in rows
            if row.water in {"", record.water} and row.item.name not in record.leave_out
        )

    def _read_own(self, record: records.StoreRecord, trail: Trail) -> CampRow | None:
        """Return a thing of the trip's own, or None if it is not known what it weighs."""
        sheet = self.sheet
        item = self.shelf.items.get(record.item)
        mass_g = sheet.read_if_given(read_mass_g, record.mass, *trail, "mass")
        volume_ml = sheet.read_if_given(read_volume_ml, record.volume, *trail, "volume")
        packed_mm = sheet.read_if_given(
            read_length_mm, record.packed_length, *trail, "packed_length"
        )
        if item is None and mass_g is None:
            if "mass" not in sheet.data["store"][trail[1]]:
                self._check_item(record.item, trail)
            return None
        if item is None:
            item = Item(record.item, frozenset(), 0, 0, ("stowed",))
        item = replace(
            item,
            mass_g=item.mass_g if mass_g is None else mass_g,
            volume_ml=item.volume_ml if volume_ml is None else volume_ml,
            packed_mm=item.packed_mm if packed_mm is None else packed_mm,
        )
        return CampRow(item, record.count, where=sheet.place(*trail))

    def _check_item(self, name: str, trail: Trail) -> None:
        known = self.shelf.known.items
        if name in known or name == STAND_IN or not known.complete:
            return
        near = self.sheet.guess(name, known)
        hint = f"{near}; or say what it weighs" if near else "say what it weighs, mass = ..."
        message = f"unknown item {show_value(name)}, and no mass"
        self.sheet.complain((*trail, "item"), "unknown-item", message, hint)

    def _read_restock(self, record: records.RestockRecord, trail: Trail) -> Restock:
        for index, name in enumerate(record.brings or ()):
            self.shelf.known.rates.check(self.sheet, name, *trail, "brings", index)
        if record.day > self.days:
            message = f"day is {record.day}, and the trip has {count_text(self.days, 'day')}"
            hint = "change it, or days in [trip]"
            self.sheet.complain((*trail, "day"), "day-after-end", message, hint)
        elif record.day == self.days and record.at == EVENING:
            message = f"nothing is used after the evening of day {record.day}, the last one"
            hint = 'change day, or at to "morning"'
            self.sheet.complain((*trail, "at"), "day-after-end", message, hint)
        where = self.sheet.place(*trail)
        return Restock(record.day, record.at, tuple(record.brings or ()), record.takes_back, where)

    # --- what goes beside what --------------------------------------------------------------------

    def _check_fit(self, thing: _Thing) -> None:
        """Complain of what goes into none of the boats."""
        if lack := self._find_lack(thing):
            message = f"{show_value(thing.name)} {lack}"
            hint = "take a smaller one, or bring a boat that it goes into"
            self.sheet.complain(thing.trail, "fits-no-boat", message, hint)

    def _list_own(self, own: dict[int, CampRow]) -> Iterator[_Thing]:
        for index, row in own.items():
            item = row.item
            yield _Thing(("store", index, "item"), item.name, item.packed_mm, item.volume_ml)

    def _list_shared(self, stores: Stores, record: records.StoresRecord) -> Iterator[_Thing]:
        """Yield containers in use, camp kit and the personal bag; what is too big may be changed.

        Where the trip does not name it itself, it is said at [stores].
        """
        changed = {
            change.container: index
            for index, change in enumerate(record.rate)
            if change.container is not None
        }
        containers = {rate.container.name: rate.container for rate in stores.rates}
        for name, container in containers.items():
            at: Trail = ("stores",)
            if name in changed:
                at = ("stores", "rate", changed[name], "container")
            yield _Thing(at, name, 0, container.volume_ml)
        for row in stores.camp:
            item = row.item
            yield _Thing(("stores",), item.name, item.packed_mm, item.volume_ml)
        if stores.bag_ml:
            yield _Thing(("stores", "personal_bag_volume"), "personal bag", 0, stores.bag_ml)

    def _find_lack(self, thing: _Thing) -> str:
        """Return why a thing goes into no boat, "" if it goes into one, or no boat is known."""
        boats = list(self.boats.values())
        if not boats:
            return ""
        long = [boat for boat in boats if thing.packed_mm <= _limit(boat.type.longest_mm)]
        if not long:
            best = max(boats, key=lambda boat: boat.type.longest_mm or 0)
            takes = show_length(best.type.longest_mm or 0)
            length = show_length(thing.packed_mm)
            return f"is {length} long, and {show_value(best.called)} stows no more than {takes}"
        if any(thing.volume_ml <= _limit(boat.type.hold_ml) for boat in long):
            return ""
        best = max(long, key=lambda boat: boat.type.hold_ml or 0)
        holds, room = show_volume(best.type.hold_ml or 0), show_volume(thing.volume_ml)
        return f"takes {room}, and {show_value(best.called)} has room for no more than {holds}"

    def _check_water(self, stores: Stores, kit: list[records.KitRecord]) -> None:
        """Warn if water comes from the river, and nothing along treats it."""
        rows = [row.item for row in (*stores.camp, *stores.own)]
        items = [*rows, *(self.shelf.items[k.item] for k in kit if k.item in self.shelf.items)]
        pieces = (piece for item in items for piece, _ in item.list_pieces())
        treated = any(_TREATMENT in piece.kinds for piece in pieces)
        if stores.water == RIVER_WATER and not treated and self.shelf.known.items.complete:
            message = f"water is {show_value(stores.water)}, and nothing along is for {_TREATMENT}"
            hint = 'name "kitplan:camp.toml" among the catalogues, or list an item for it'
            self.sheet.warn(("stores", "water"), "no-water-treatment", message, hint)

    def _warn_of_dry_load(self, stores: Stores, boats: list[records.BoatRecord]) -> None:
        """Warn, at the first one, that dry loads beside stores may hold them a second time."""
        loads = [self.boats[one.name].dry_load_g if one.name in self.boats else 0 for one in boats]
        index = next((index for index, load_g in enumerate(loads) if load_g), None)
        if index is None:
            return
        counted = [rate.name for rate in stores.rates]
        counted += ["camp kit"] if stores.camp else []
        counted += ["personal bags"] if stores.bag_g else []
        listed = f"[stores] counts by itself: {', '.join(counted)}"
        message = f"dry_load is {show_mass(loads[index])}, and {listed}"
        hint = "leave in dry_load, in all boats, only what no list names"
        self.sheet.warn(("boat", index, "dry_load"), "counted-twice", message, hint)


def _limit(most: int | None) -> int:
    """Return a boat's limit; one that could not be read has its finding, and is none."""
    return most or _ANY
