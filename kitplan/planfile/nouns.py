"""Turns the records of a plan file into the nouns of a plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.demands import DemandKey
from kitplan.plan import (
    AimResult,
    Arrangement,
    DemandResult,
    Gap,
    ItemPart,
    LeftOut,
    Packed,
    Part,
    PersonPart,
    PlacePart,
    Plan,
    Short,
    Shortfall,
    Stowed,
    Totals,
)
from kitplan.planfile.past import read_before, read_restart
from kitplan.planfile.records import PersonRow, PlaceRow
from kitplan.planfile.write import MISSING_KEYS
from kitplan.trip import SourceText

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.planfile import records


def make_plan(record: records.PlanRecord) -> Plan:
    """Return the plan that a plan file says."""
    return Plan(
        record.trip,
        _make_arrangement(record),
        tuple(AimResult(a.name, a.value, a.bound, a.proven) for a in record.aims),
        tuple(_make_demand(row) for row in record.demands),
        tuple(_make_gap(row) for row in record.gaps),
        _make_totals(record.totals),
        tuple(LeftOut(row.item, row.count) for row in record.not_called_for),
        record.canonical,
        record.digest,
        tuple(_make_shortfall(row) for row in record.shortfalls or ()),
        None if record.before is None else read_before(record.before),
        tuple(read_restart(row) for row in record.happened or ()),
        sources=_make_sources(record),
    )


def _make_sources(record: records.PlanRecord) -> tuple[SourceText, ...]:
    return tuple(SourceText(row.file, row.text, row.digest) for row in record.sources)


def _make_arrangement(record: records.PlanRecord) -> Arrangement:
    packed = [
        Packed(boat.name, row.item, row.carried, row.count, row.worn_by or "")
        for boat in record.boats
        for row in boat.items
    ]
    stowed = [
        Stowed(boat.name, row.lot, row.count) for boat in record.boats for row in boat.stores or ()
    ]
    return Arrangement(
        {boat.name: tuple(boat.crew) for boat in record.boats},
        {boat.name: boat.steerer for boat in record.boats},
        tuple(sorted(packed)),
        {(row.rapid, row.boat, row.running): row.station for row in record.stations},
        tuple(boat for row in record.order for boat in row.boats),
        {(row.rapid, row.boat): row.paddler for row in record.twice},
        tuple(sorted(stowed)),
    )


def _make_shortfall(row: records.ShortfallRow) -> Shortfall:
    return Shortfall(row.tier, row.name, row.day, row.boat or "", row.asked, row.there, row.short)


def _make_totals(row: records.TotalsRow) -> Totals:
    return Totals(
        row.cases.all_banks,
        row.cases.one_bank,
        row.cases.from_water,
        row.cases.none,
        row.cases.backed,
        row.cases.total,
        row.demands.met,
        row.demands.total,
    )


def _make_demand(row: records.DemandRow) -> DemandResult:
    key = DemandKey(row.rapid, row.spot, row.scenario, row.technique, row.bank or "", row.running)
    witness = tuple(_make_part(part) for part in row.witness)
    return DemandResult(key, row.met, row.way, witness, _make_missing(row.missing))


def _make_part(row: records.PersonRow | records.ItemRow | records.PlaceRow) -> Part:
    bank = row.bank or ""
    if isinstance(row, PlaceRow):
        return PlacePart(row.site, bank, row.swimmers, row.boat)
    if isinstance(row, PersonRow):
        return PersonPart(row.site, bank, row.role, row.paddler, row.boat)
    return ItemPart(
        row.site, bank, row.kind, row.item, row.count, row.source, row.carried, row.worn_by,
        row.boat, row.bundle,
    )  # fmt: skip


def _make_missing(rows: Iterable[records.MissingRow]) -> tuple[Short, ...]:
    pieces = []
    for row in rows:
        named = {what: getattr(row, key) for what, key in MISSING_KEYS.items()}
        what, name = next((what, name) for what, name in named.items() if name is not None)
        pieces.append(Short(row.site, row.bank or "", what, name, row.asks, row.short))
    return tuple(pieces)


def _make_gap(row: records.GapRow) -> Gap:
    return Gap(
        row.rapid,
        row.day,
        row.spot,
        row.scenario,
        row.bank or "",
        row.technique,
        tuple(row.running),
        _make_missing(row.missing),
        row.sort,
        row.note,
        row.weight,
        row.covered_elsewhere,
    )
