"""Reads the rows of a load, from CSV or TOML, and checks their shape.

What the names in them mean is up to `rampfile`. No bytes make anything here raise.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from kitplan import records
from kitplan.errors import Finding, Place
from kitplan.load.csvlists import COLUMNS, JoinedPlaces, read_rows
from kitplan.load.sheet import FileSheet, Sheet
from kitplan.load.words import check_shape
from kitplan.ramp import arm
from kitplan.tomlplaces import Places, read_text, read_toml

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.load.csvlists import CsvRows

    RampSheet = FileSheet[records.RampFile]

ROW = "row"
"""The list of rows in TOML; the trail of the first one is ("row", 0)."""


def read_ramp(path: Path) -> tuple[RampSheet | None, list[Finding]]:
    """Return the rows of a load, None if none can be read, and what is wrong so far.

    A file whose name ends in .toml holds `[[row]]` tables, any other one is CSV. What is wrong with
    the shape of rows is mended, and among the findings of the sheet, not of those returned.
    """
    shown = str(path)
    text, findings = read_text(path, shown)
    if text is None:
        return None, findings
    if text.lstrip().startswith("{"):
        return None, [_complain_of_json(shown)]
    is_toml = path.suffix.lower() == ".toml"
    sheet, findings = _open_toml(text, shown) if is_toml else _open_csv(text, shown)
    if sheet is None:
        return None, findings
    if sheet.data.get(ROW, []) == []:
        return None, [*findings, _complain_of_nothing(shown, sheet, is_toml=is_toml)]
    record = check_shape(sheet, records.RampFile)
    if record is None:
        return None, [*findings, *sheet.findings]
    return FileSheet(sheet, record), findings


def list_spoilt(page: RampSheet) -> frozenset[int]:
    """Return the rows whose shape is wrong, by number: what they say now is not what was meant."""
    starts = [page.sheet.place(ROW, number) for number in range(len(page.record.row))]
    return frozenset(bisect_right(starts, one.where) - 1 for one in page.sheet.findings)


def _open_toml(text: str, shown: str) -> tuple[Sheet | None, list[Finding]]:
    data, places, findings = read_toml(text, shown)
    if data is None:
        return None, findings
    settled = frozenset(finding.where for finding in findings)
    return Sheet(data, places, findings, settled), []


def _open_csv(text: str, shown: str) -> tuple[Sheet | None, list[Finding]]:
    rows = read_rows(text, shown, "load")
    if rows.findings and not rows.tables:
        return None, rows.findings
    # No file goes before the rows.
    places = JoinedPlaces(Places("", {}))
    places.add(ROW, 0, rows)
    return Sheet({ROW: _arm_cells(rows)}, places), rows.findings


def _arm_cells(rows: CsvRows) -> list[dict[str, object]]:
    return [
        {name: arm(cell) if isinstance(cell, str) else cell for name, cell in table.items()}
        for table in rows.tables
    ]


def _complain_of_json(shown: str) -> Finding:
    message = "this is JSON, perhaps a plan file, and a load is CSV or TOML"
    hint = "`kitplan plan TRIP --out load.csv` writes one"
    return Finding(Place(shown, 1, 1), "error", "broken-load", message, hint)


def _complain_of_nothing(shown: str, sheet: Sheet, *, is_toml: bool) -> Finding:
    if is_toml and sheet.data:
        where = min(sheet.place(key) for key in sheet.data)
    else:
        where = Place(shown, 1, 1)
    needed, _ = COLUMNS["load"]
    hint = f"begin each with [[row]], its {', '.join(needed)} below" if is_toml else ""
    hint = hint or "write a row below the header for each person and thing in a boat"
    return Finding(where, "error", "no-rows", "this load has no rows", hint)
