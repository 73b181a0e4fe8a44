"""Reads the catalogues of a trip and joins them into one."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.errors import Finding
from kitplan.load.bundles import check_mass, fill_bundles
from kitplan.load.mending import read_price
from kitplan.load.names import Known
from kitplan.load.sheet import read_width_mm
from kitplan.load.storelists import StoreShelf, read_store_lists
from kitplan.load.techniques import TechniqueReader
from kitplan.trip import (
    Automatic,
    BoatType,
    Catalog,
    Downstream,
    Figures,
    Haul,
    Item,
    Joint,
    Lining,
    Role,
    Scenario,
    Technique,
)
from kitplan.units import (
    read_force_n,
    read_length_mm,
    read_mass_g,
    read_temperature_mdegc,
    read_time_s,
    read_volume_ml,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan import records
    from kitplan.load.sheet import FileSheet, Sheet
    from kitplan.tomlplaces import Trail

    CatalogSheet = FileSheet[records.CatalogFile]

_FEW = 5
"""More names than these that stand in another catalogue too are no slip: the file is a copy."""
_ONCE = ("figures", "downstream", "spotter")


@dataclass(slots=True)
class Shelf:
    """What the catalogues hold, as far as it could be read. Without findings it is all there."""

    known: Known
    figures: Figures | None
    downstream: Downstream | None
    spotter: Role | None
    lining: Lining
    scenarios: dict[str, Scenario]
    techniques: dict[str, Technique]
    items: dict[str, Item]
    boat_types: dict[str, BoatType]
    stores: StoreShelf = field(default_factory=StoreShelf)

    def make_catalog(self) -> Catalog | None:
        """Return the catalogue, or None if a part that must be there is not."""
        if self.figures is None or self.downstream is None or self.spotter is None:
            return None
        return Catalog(
            figures=self.figures,
            downstream=self.downstream,
            spotter=self.spotter,
            skills=tuple(self.known.skills),
            certificates=tuple(self.known.certificates),
            kinds=tuple(self.known.kinds),
            scenarios=self.scenarios,
            techniques=self.techniques,
            items=self.items,
            boat_types=self.boat_types,
            lining=self.lining,
        )


def read_catalogs(trip: Sheet, files: Sequence[CatalogSheet], *, complete: bool) -> Shelf:
    """Return all catalogues as one; `complete` says that every file of theirs could be read."""
    known = Known()
    kept = [_gather_names(one, known) for one in files]
    if not complete:
        known.doubt()
    _check_once(trip, files, complete=complete)
    if complete:
        _check_lists(trip, files, known)
    shelf = Shelf(known, None, None, None, Lining(), {}, {}, {}, {})
    for one, new in zip(files, kept, strict=True):
        _fill(shelf, one, new)
    fill_bundles(files, kept, known, shelf.items)
    shelf.stores = read_store_lists(files, kept, known, shelf.items)
    return shelf


def _gather_names(one: CatalogSheet, known: Known) -> set[Trail]:
    """Take in the names of a file and return the trails of those that are new."""
    sheet, record, before = one.sheet, one.record, len(one.sheet.findings)
    plain = (
        ("skill", record.skill, known.skills),
        ("certificate", record.certificate, known.certificates),
        ("kind", record.kind, known.kinds),
    )
    for key, words, names in plain:
        for index, word in enumerate(words):
            names.add(sheet, word, key, index)
    new: set[Trail] = set()
    named = (
        ("scenario", [entry.name for entry in record.scenario], known.scenarios),
        ("technique", [entry.name for entry in record.technique], known.techniques),
        ("item", [entry.name for entry in record.item], known.items),
        ("boat_type", [entry.name for entry in record.boat_type], known.boat_types),
        ("container", [entry.name for entry in record.container], known.containers),
        ("store_rate", [entry.name for entry in record.store_rate], known.rates),
    )
    for key, words, names in named:
        new |= {
            (key, index)
            for index, word in enumerate(words)
            if names.add(sheet, word, key, index, "name")
        }
    sheet.findings[before:] = _join_clashes(sheet.findings[before:])
    return new


def _join_clashes(findings: list[Finding]) -> list[Finding]:
    """Return the findings, with one instead of many names that are used twice."""
    clashes = [one for one in findings if one.code == "name-used-twice"]
    if len(clashes) <= _FEW:
        return findings
    message = f"{len(clashes)} names of this catalogue are used twice, the first of them here"
    hint = "name only one of two catalogues that are alike"
    where = min(one.where for one in clashes)
    rest = [one for one in findings if one.code != "name-used-twice"]
    return [*rest, Finding(where, "error", "name-used-twice", message, hint)]


def _check_once(trip: Sheet, files: Sequence[CatalogSheet], *, complete: bool) -> None:
    """Complain of parts that stand in no catalogue or in several."""
    for key in (*_ONCE, "lining"):
        holders = [one.sheet for one in files if key in one.sheet.data]
        for sheet in holders[1:]:
            message = f"[{key}] is there twice, first at {holders[0].place(key).text()}"
            sheet.complain((key,), "table-used-twice", message, "keep one of the two")
        if not holders and complete and key in _ONCE:
            message = f"none of the catalogues has a [{key}] table"
            hint = 'name "kitplan:techniques.toml" among them, or add the table'
            trip.complain(("trip", "catalogs"), "missing-table", message, hint)


def _check_lists(trip: Sheet, files: Sequence[CatalogSheet], known: Known) -> None:
    """Complain once of what no catalogue has; names that may stand there are not called unknown."""
    given = {key for one in files for key in one.sheet.data}
    if not given.issuperset((*_ONCE, "item", "boat_type")):
        known.doubt()
    for key, shipped in (("item", "gear"), ("boat_type", "boats")):
        if key not in given:
            message = f"none of the catalogues has a [[{key}]] table"
            hint = f'name "kitplan:{shipped}.toml" among them, or add the tables'
            trip.complain(("trip", "catalogs"), "missing-table", message, hint)


def _fill(shelf: Shelf, one: CatalogSheet, new: set[Trail]) -> None:
    """Put the nouns of one file on the shelf."""
    sheet, record = one.sheet, one.record
    reader = TechniqueReader(sheet, shelf.known)
    if record.figures is not None:
        shelf.figures = _read_figures(sheet, record.figures, shelf.known)
    if record.downstream is not None:
        shelf.downstream = reader.read_downstream(record.downstream, ("downstream",))
    if record.spotter is not None:
        shelf.spotter = reader.read_role(record.spotter, ("spotter",))
    if record.lining is not None:
        shelf.lining = reader.read_lining(record.lining, ("lining",))
    _fill_lists(shelf, one, new, reader)


def _fill_lists(shelf: Shelf, one: CatalogSheet, new: set[Trail], reader: TechniqueReader) -> None:
    sheet, record = one.sheet, one.record
    for index, scenario in enumerate(record.scenario):
        noun = _read_scenario(sheet, scenario, ("scenario", index))
        if ("scenario", index) in new:
            shelf.scenarios[noun.name] = noun
    for index, technique in enumerate(record.technique):
        read = reader.read_technique(technique, ("technique", index))
        if ("technique", index) in new:
            shelf.techniques[read.name] = read
    for index, item in enumerate(record.item):
        thing = _read_item(sheet, item, ("item", index), shelf.known)
        if ("item", index) in new:
            shelf.items[thing.name] = thing
    for index, boat_type in enumerate(record.boat_type):
        craft = _read_boat_type(sheet, boat_type, ("boat_type", index), shelf.known)
        if ("boat_type", index) in new:
            shelf.boat_types[craft.name] = craft


def _read_scenario(sheet: Sheet, record: records.ScenarioRecord, trail: Trail) -> Scenario:
    return Scenario(
        name=record.name,
        consequence=record.consequence,
        in_time_s=sheet.read(read_time_s, record.in_time, *trail, "in_time"),
        crafts=tuple(record.crafts),
        automatic=_read_automatic(sheet, record.automatic, (*trail, "automatic")),
        where=sheet.place(*trail),
    )


def _read_automatic(
    sheet: Sheet, record: records.AutomaticRecord | None, trail: Trail
) -> Automatic | None:
    if record is None:
        return None
    class_from = sheet.read_class(record.class_from, *trail, "class_from")
    return Automatic(class_from, record.cold_or_remote)


def _read_item(sheet: Sheet, record: records.ItemRecord, trail: Trail, known: Known) -> Item:
    _check_kinds(sheet, known, "kinds", record.kinds, trail)
    if record.worn_on is None and "worn" in record.carried:
        message = 'carried has "worn", but worn_on is missing'
        hint = 'write worn_on = "vest", "waist" or "body"'
        sheet.complain((*trail, "carried"), "missing-key", message, hint)
    check_mass(sheet, record, trail)
    read = sheet.read_if_given
    price_cents, currency = read_price(sheet, record.price, trail)
    return Item(
        name=record.name,
        kinds=frozenset(record.kinds),
        mass_g=read(read_mass_g, record.mass, *trail, "mass") or 0,
        volume_ml=sheet.read(read_volume_ml, record.volume, *trail, "volume"),
        carried=tuple(record.carried),
        worn_on=record.worn_on,
        vest_room=record.vest_room,
        bulky=record.bulky,
        length_mm=read(read_length_mm, record.length, *trail, "length") or 0,
        packed_mm=read(read_length_mm, record.packed_length, *trail, "packed_length") or 0,
        diameter_mm=read(read_length_mm, record.diameter, *trail, "diameter") or 0,
        flags=frozenset(record.flags),
        strength_n=read(read_force_n, record.strength, *trail, "strength"),
        standard=record.standard,
        price_cents=price_cents,
        currency=currency,
        source=record.source,
        where=sheet.place(*trail),
    )


def _read_boat_type(
    sheet: Sheet, record: records.BoatTypeRecord, trail: Trail, known: Known
) -> BoatType:
    known.skills.check(sheet, record.skill, *trail, "skill")
    if record.crew_paddle is not None:
        known.items.check(sheet, record.crew_paddle, *trail, "crew_paddle")
    for index, people in enumerate(record.least_crew):
        if people > record.seats:
            message = f"least_crew asks for {people} people, and seats is {record.seats}"
            at = (*trail, "least_crew", index)
            sheet.complain(at, "crew-over-seats", message, "look for a slip in either")
    return BoatType(
        name=record.name,
        craft=record.craft,
        skill=record.skill,
        seats=record.seats,
        payload_g=sheet.read_positive(read_mass_g, record.payload, *trail, "payload"),
        mass_g=sheet.read(read_mass_g, record.mass, *trail, "mass"),
        least_crew=(record.least_crew[0], record.least_crew[1]),
        steerer=tuple(record.steerer),
        guests_one_level_up=record.guests_one_level_up,
        quick_bulky=record.quick_bulky,
        quick_small=record.quick_small,
        crew_paddle=record.crew_paddle,
        deck_places=record.deck_places,
        worst_drag_n=record.worst_drag,
        haul=_make_haul(record.haul),
        length_mm=sheet.read_if_given(read_length_mm, record.length, *trail, "length"),
        longest_mm=sheet.read_if_given(read_length_mm, record.longest, *trail, "longest"),
        hold_ml=_read_hold(sheet, record, trail),
        room=record.room,
        where=sheet.place(*trail),
    )


def _read_hold(sheet: Sheet, record: records.BoatTypeRecord, trail: Trail) -> int | None:
    """Return the room for stores in millilitres, None if there is no limit."""
    if record.hold is None:
        return None
    return sheet.read_positive(read_volume_ml, record.hold, *trail, "hold")


def _make_haul(record: records.HaulRecord | None) -> Haul | None:
    return None if record is None else Haul(record.system, record.hands, record.by_hand)


def _read_figures(sheet: Sheet, record: records.FiguresRecord, known: Known) -> Figures:
    _check_kinds(sheet, known, "role_wears", record.role_wears, ("figures",))
    _check_kinds(sheet, known, "rope_role_wears", record.rope_role_wears, ("figures",))
    read = sheet.read
    reach = [
        read(read_width_mm, text, "figures", "throw_reach", index)
        for index, text in enumerate(record.throw_reach)
    ]
    cross = [
        read(read_width_mm, text, "figures", "cross_throw", index)
        for index, text in enumerate(record.cross_throw)
    ]
    return Figures(
        wet_kit_g=read(read_mass_g, record.wet_kit, "figures", "wet_kit"),
        walk_mm_per_min=sheet.read_positive(
            read_length_mm, record.walk_per_minute, "figures", "walk_per_minute"
        ),
        set_safety_s_per_boat=read(
            read_time_s, record.set_safety_per_boat, "figures", "set_safety_per_boat"
        ),
        afloat_safety_s=read(read_time_s, record.afloat_safety, "figures", "afloat_safety"),
        throw_reach_mm=(reach[0], reach[1], reach[2], reach[3]),
        cross_throw_mm=(cross[0], cross[1]),
        line_less_mm=read(read_length_mm, record.line_less, "figures", "line_less"),
        cold_water_mdegc=read(read_temperature_mdegc, record.cold_water, "figures", "cold_water"),
        hard_class=sheet.read_class(record.hard_class, "figures", "hard_class"),
        in_charge_from=record.in_charge_from,
        in_charge_leading=record.in_charge_leading,
        guide_leading=record.guide_leading,
        ferry_steerer=record.ferry_steerer,
        role_wears=tuple(record.role_wears),
        rope_role_wears=tuple(record.rope_role_wears),
        safety_factor=record.safety_factor,
        joint=_read_joint(sheet, record, known),
        crowded_over=record.crowded_over,
        guests_per_guide=record.guests_per_guide,
    )


def _read_joint(sheet: Sheet, record: records.FiguresRecord, known: Known) -> Joint | None:
    """Return what it takes to join two lines, None if they are not joined."""
    if record.joint_kind is not None:
        known.kinds.check(sheet, record.joint_kind, "figures", "joint_kind")
    takes_mm = sheet.read_if_given(read_length_mm, record.joint, "figures", "joint")
    if takes_mm is None:
        return None
    return Joint(takes_mm, record.joint_kind or "", record.joint_unless)


def _check_kinds(sheet: Sheet, known: Known, key: str, kinds: Iterable[str], trail: Trail) -> None:
    """Complain of every kind of a list that is not known."""
    for index, kind in enumerate(kinds):
        known.kinds.check(sheet, kind, *trail, key, index)
