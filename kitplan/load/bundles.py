"""Reads bundles: items that hold other items of the catalogues, whichever file these stand in."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.load.sheet import STAND_IN, show_value
from kitplan.units import show_mass

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan import records
    from kitplan.load.names import Known
    from kitplan.load.sheet import FileSheet, Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Item


def check_mass(sheet: Sheet, record: records.ItemRecord, trail: Trail) -> None:
    """Complain of an item without a mass: only that of a bundle follows from its contents."""
    if record.mass is None and not record.contains:
        hint = "write mass = ..., quoted text, a number with its unit"
        sheet.complain((*trail, "mass"), "missing-key", "mass is missing", hint)


def fill_bundles(
    files: Sequence[FileSheet[records.CatalogFile]],
    kept: Iterable[set[Trail]],
    known: Known,
    items: dict[str, Item],
) -> None:
    """Put the contents into the bundles among the items; `kept`: trails of new names by file."""
    bundles = {one.name for file in files for one in file.record.item if one.contains}
    filled: dict[str, Item] = {}
    for file, new in zip(files, kept, strict=True):
        for index, record in enumerate(file.record.item):
            trail: Trail = ("item", index)
            if record.contains:
                bundle = _fill(file.sheet, record, trail, (known, items, bundles))
                if trail in new and bundle is not None:
                    filled[record.name] = bundle
    items |= filled


def _fill(
    sheet: Sheet,
    record: records.ItemRecord,
    trail: Trail,
    shelf: tuple[Known, dict[str, Item], set[str]],
) -> Item | None:
    """Return the bundle with its contents, those that could be read, and its mass."""
    known, items, bundles = shelf
    _check_bundle(sheet, record, trail)
    contents = []
    for name, count in record.contains.items():
        at = (*trail, "contains", name)
        if known.items.check(sheet, name, *at) and _may_lie_in(sheet, name, at, (items, bundles)):
            contents.append((items[name], count))
    bundle = items.get(record.name)
    if bundle is None:
        return None
    mass_g = sum(count * one.mass_g for one, count in contents)
    if 0 < bundle.mass_g < mass_g:
        message = f"mass is {show_mass(bundle.mass_g)}, and its contents are {show_mass(mass_g)}"
        hint = "weigh it with all that is in it, or leave mass out"
        sheet.complain((*trail, "mass"), "bundle-too-light", message, hint)
    own_g = mass_g if record.mass is None else bundle.mass_g
    return replace(bundle, mass_g=own_g, contains=tuple(contents))


def _check_bundle(sheet: Sheet, record: records.ItemRecord, trail: Trail) -> None:
    """Complain of a bundle that is worn, or that counts as something besides its contents."""
    if "worn" in record.carried:
        message = 'carried has "worn", and a bundle can\'t be worn'
        hint = 'write carried = ["quick", "stowed"], or leave contains out'
        sheet.complain((*trail, "carried"), "bundle-worn", message, hint)
    if record.kinds and record.kinds[0] != STAND_IN:
        message = f"kinds has {show_value(record.kinds[0])}, and only its contents count"
        hint = "write kinds = [], and add to contains what else is in it"
        sheet.complain((*trail, "kinds"), "bundle-of-a-kind", message, hint)


def _may_lie_in(
    sheet: Sheet, name: str, at: Trail, shelf: tuple[dict[str, Item], set[str]]
) -> bool:
    """Say whether an item may lie in a bundle, and complain if not."""
    items, bundles = shelf
    if name in bundles:
        message = f"{show_value(name)} is a bundle itself"
        hint = "name what is in it instead"
        sheet.complain(at, "bundle-in-bundle", message, hint)
        return False
    item = items.get(name)
    if item is None:
        return False
    if item.worn_on == "body" or not {"quick", "stowed"}.intersection(item.carried):
        message = f"{show_value(name)} is worn, and can't lie in a bundle"
        hint = "leave it out; what people wear stands in their wears"
        sheet.complain(at, "bundle-of-worn", message, hint)
        return False
    return True
