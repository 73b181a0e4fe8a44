"""Reads containers, rates of stores and rows of camp kit from the catalogues."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from kitplan.load.names import Known, Names
from kitplan.load.sheet import STAND_IN, has_member, name_key, show_value
from kitplan.trip import CLIMATES, CampRow, Container, StoreRate
from kitplan.units import (
    MASS,
    VOLUME,
    QuantityError,
    read_mass_g,
    read_volume_ml,
    show_mass,
    show_volume,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from kitplan import records
    from kitplan.load.catalog import CatalogSheet
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Item

_MOST_A_DAY = 20
"""Containers that one person's day may fill; more is a slip of a unit (own figure)."""
_UNIT_CODES = frozenset({"missing-unit", "unknown-unit", "wrong-unit"})


@dataclass(frozen=True, slots=True)
class StoreShelf:
    """What the catalogues of a trip say of stores."""

    containers: dict[str, Container] = field(default_factory=dict)
    rates: dict[str, StoreRate] = field(default_factory=dict)
    camp: list[CampRow] = field(default_factory=list)
    camp_names: Names = field(default_factory=lambda: Names("camp row"))


class Amount(NamedTuple):
    """A mass in grams, or a volume in millilitres."""

    number: int
    in_ml: bool

    def text(self) -> str:
        """Return the amount with its unit."""
        return show_volume(self.number) if self.in_ml else show_mass(self.number)


def read_amount(sheet: Sheet, text: str, *trail: str | int) -> Amount | None:
    """Return a mass or a volume, None and a finding if it is neither."""
    if text == STAND_IN:
        return None
    name = name_key(trail)
    try:
        return Amount(read_mass_g(text, name=name), in_ml=False)
    except QuantityError as of_mass:
        try:
            return Amount(read_volume_ml(text, name=name), in_ml=True)
        except QuantityError as of_volume:
            # What has a unit of volume is wrong as a mass for its unit alone.
            error = of_volume if of_mass.code == "wrong-unit" else of_mass
    hint = f"write a mass as {MASS.examples}, or a volume as {VOLUME.examples}"
    sheet.complain(
        trail, error.code, error.message, hint if error.code in _UNIT_CODES else error.hint
    )
    return None


def read_store_lists(
    files: Sequence[CatalogSheet],
    new: Sequence[set[Trail]],
    known: Known,
    items: Mapping[str, Item],
) -> StoreShelf:
    """Return what all files say of stores; `new` are the trails of names not used before."""
    shelf = StoreShelf()
    shelf.camp_names.complete = known.items.complete
    for one, trails in zip(files, new, strict=True):
        for index, record in enumerate(one.record.container):
            trail: Trail = ("container", index)
            container = _read_container(one.sheet, record, trail)
            if container is not None and trail in trails:
                shelf.containers[container.name] = container
    # A rate may name a container of any file.
    for one, trails in zip(files, new, strict=True):
        for index, rate in enumerate(one.record.store_rate):
            trail = ("store_rate", index)
            read = _RateReader(one.sheet, trail).read_rate(rate, known, shelf.containers)
            if read is not None and trail in trails:
                shelf.rates[read.name] = read
        _add_rows(shelf, one, known, items)
    return shelf


def _add_rows(
    shelf: StoreShelf, one: CatalogSheet, known: Known, items: Mapping[str, Item]
) -> None:
    """Put the rows of camp kit of one file on the shelf; several may be of the same item."""
    for index, row in enumerate(one.record.camp_row):
        known.items.check(one.sheet, row.item, "camp_row", index, "item")
        item = items.get(row.item)
        if item is not None:
            where = one.sheet.place("camp_row", index)
            water, each = row.water or "", row.for_each or 0
            shelf.camp.append(CampRow(item, row.count, each, water, where))
            if row.item not in shelf.camp_names:
                shelf.camp_names.add(one.sheet, row.item, "camp_row", index, "item")


def _read_container(
    sheet: Sheet, record: records.ContainerRecord, trail: Trail
) -> Container | None:
    before = len(sheet.findings)
    mass_g = sheet.read(read_mass_g, record.mass, *trail, "mass")
    volume_ml = sheet.read_positive(read_volume_ml, record.volume, *trail, "volume")
    holds = read_amount(sheet, record.holds, *trail, "holds")
    if holds is None:
        return None
    if holds.number == 0:
        message = f"holds must be more than nothing, not {show_value(record.holds)}"
        hint = "look for a slip in the number or its unit"
        sheet.complain((*trail, "holds"), "out-of-range", message, hint)
        return None
    if len(sheet.findings) == before and holds.in_ml and holds.number > volume_ml:
        message = f"holds is {holds.text()}, and its volume is {show_volume(volume_ml)}"
        hint = "volume is what it takes up outside"
        sheet.complain((*trail, "holds"), "holds-over-volume", message, hint)
    return Container(
        name=record.name,
        mass_g=mass_g,
        volume_ml=volume_ml,
        holds_g=None if holds.in_ml else holds.number,
        holds_ml=holds.number if holds.in_ml else None,
        returns=record.returns,
        comes_full=record.comes_full,
        where=sheet.place(*trail),
    )


@dataclass(frozen=True, slots=True)
class _RateReader:
    """Reads one rate of a catalogue, with findings on its sheet."""

    sheet: Sheet
    trail: Trail

    def read_rate(
        self,
        record: records.StoreRateRecord,
        known: Known,
        containers: Mapping[str, Container],
    ) -> StoreRate | None:
        sheet, trail = self.sheet, self.trail
        known.kinds.check(sheet, record.kind, *trail, "kind")
        known.containers.check(sheet, record.container, *trail, "container")
        litre_g = 0
        if record.litre is not None:
            litre_g = sheet.read_positive(read_mass_g, record.litre, *trail, "litre")
        amounts = self._read_amounts(record)
        container = containers.get(record.container)
        if container is None or not amounts or (record.litre is not None and not litre_g):
            return None
        rate = StoreRate(
            name=record.name,
            kind=record.kind,
            amounts={climate: amounts[climate].number for climate in CLIMATES},
            in_ml=amounts[CLIMATES[0]].in_ml,
            litre_g=litre_g,
            container=container,
            use=record.use,
            water=record.water or "",
            source=record.source,
            where=sheet.place(*trail),
        )
        check_rate(sheet, rate, trail)
        return rate

    def _read_amounts(self, record: records.StoreRateRecord) -> dict[str, Amount]:
        """Return the amount for each climate; nothing and findings unless all are there."""
        texts = {key: getattr(record, key) for key in ("amount", *CLIMATES)}
        read = {
            key: read_amount(self.sheet, text, *self.trail, key)
            for key, text in texts.items()
            if text is not None
        }
        keys = {one: "amount" if texts[one] is None else one for one in CLIMATES}
        lacking = [climate for climate, key in keys.items() if texts[key] is None]
        if lacking:
            self._complain_of_lacking(lacking)
        found = {climate: read.get(key) for climate, key in keys.items()}
        amounts = {climate: amount for climate, amount in found.items() if amount is not None}
        if len(amounts) < len(CLIMATES):
            return {}
        if len({amount.in_ml for amount in amounts.values()}) > 1:
            message = "some of its amounts are masses, and some are volumes"
            hint = "give all amounts of a store as the same"
            self.sheet.complain((*self.trail, "amount"), "wrong-unit", message, hint)
            return {}
        return amounts

    def _complain_of_lacking(self, climates: list[str]) -> None:
        table: Any = self.sheet.data
        for step in self.trail:
            table = table[step]
        # What is written and could not be read has its finding already.
        if any(has_member(table, key) for key in ("amount", *climates)):
            return
        *most, last = climates
        said = f" for {', '.join(most)} and {last}" if most else f" for {last}"
        message = f"amount is missing{said if len(climates) < len(CLIMATES) else ''}"
        hint = "write amount = ... for all climates, or hot, mild, cold and extreme"
        self.sheet.complain((*self.trail, "amount"), "missing-key", message, hint)


def check_rate(sheet: Sheet, rate: StoreRate, trail: Trail) -> None:
    """Complain of a rate whose amount can't be told in its container, or is far too much for it."""
    container = rate.container
    if not rate.litre_g and (rate.in_ml or container.holds_ml is not None):
        what = f"{show_value(rate.name)} is counted in litres"
        hint = 'write litre = "1 kg" or what a litre of it weighs'
        sheet.complain((*trail, "litre"), "missing-key", f"litre is missing, and {what}", hint)
        return
    most = max(rate.amounts.values())
    most_g = most * rate.litre_g / 1000 if rate.in_ml else most
    holds_g = container.holds_g or (container.holds_ml or 0) * rate.litre_g // 1000
    if most_g > _MOST_A_DAY * holds_g:
        amount, holds = Amount(most, rate.in_ml), _say_holds(container)
        message = (
            f"one person's day is {amount.text()} of {show_value(rate.name)}, and "
            f"{show_value(container.name)} holds {holds}"
        )
        hint = "look for a slip in the units, or name another container"
        sheet.complain((*trail, "container"), "holds-too-little", message, hint)


def _say_holds(container: Container) -> str:
    if container.holds_g is not None:
        return show_mass(container.holds_g)
    return show_volume(container.holds_ml or 0)
