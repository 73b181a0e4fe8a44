"""Reads a load that people wrote, or that `report.csv` did: rows to the noun `RampLoad`.

Rows may stand in any order; only of a boat's seats the first one is the steerer's. What the load
weighs and whether it keeps the rules is no matter here: it is read as it lies. Knows nothing of the
solver and the verifier.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.errors import cap_findings, has_errors
from kitplan.load.ramp import read_ramp
from kitplan.ramp import RampLoad
from kitplan.rampfile.cargo import read_cargo
from kitplan.rampfile.page import open_page
from kitplan.rampfile.runs import read_order, read_stations, read_twice
from kitplan.rampfile.seats import read_seats

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.errors import Finding
    from kitplan.load.ramp import RampSheet
    from kitplan.trip import Trip

__all__ = ["load_ramp"]


def load_ramp(path: Path, trip: Trip) -> tuple[RampLoad | None, list[Finding]]:
    """Return the load in a file, None if anything is wrong with it, and all findings, sorted.

    A file whose name ends in .toml is read as TOML, any other one as CSV.
    """
    rows, findings = read_ramp(path)
    if rows is None:
        return None, cap_findings(findings)
    load = _read_load(rows, trip, str(path), whole=not findings)
    findings = cap_findings([*findings, *rows.sheet.findings])
    return (None if has_errors(findings) else load), findings


def _read_load(rows: RampSheet, trip: Trip, file: str, *, whole: bool) -> RampLoad:
    page = open_page(rows, trip, file)
    page.whole &= whole
    crew, steerer = read_seats(page)
    order = read_order(page)
    stations = read_stations(page, order)
    twice = read_twice(page)
    packed, stowed = read_cargo(page, crew)
    return RampLoad(
        crew, steerer, packed, stowed, stations, order, twice, page.legs, file, page.list_places()
    )
