"""Turns files into nouns: a trip file and what it names into a Trip, with all findings of a run.

No bytes make anything here raise; whatever is wrong becomes a finding at its line and column.
Knows nothing of demands, solving or output.
"""

from __future__ import annotations

import posixpath
from dataclasses import replace
from pathlib import PurePath
from typing import TYPE_CHECKING, Any, TypeVar

from kitplan.errors import Finding, cap_findings, has_errors, nearest_word
from kitplan.load.carriage import read_rule_sets, read_spreads
from kitplan.load.catalog import read_catalogs
from kitplan.load.csvlists import JoinedPlaces, read_rows
from kitplan.load.files import (
    SHIPPED,
    DiskSources,
    KeptSources,
    Sources,
    complain_of_name,
    is_about_file,
    list_shipped,
    make_source,
    name_beside,
)
from kitplan.load.sheet import STAND_IN, FileSheet, Sheet, show_value
from kitplan.load.trip import TripReader
from kitplan.load.words import check_shape
from kitplan.records import CatalogFile, Record, RuleFile, SpreadFile, TripFile
from kitplan.tomlplaces import read_toml
from kitplan.trip import AS_WRITTEN

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from kitplan.trip import SourceText, Trip

_R = TypeVar("_R", bound=Record)

_CSV_LISTS = (("boat", "boats"), ("paddler", "paddlers"), ("kit", "kit"))


def load_trip(path: Path, flow: str = AS_WRITTEN) -> tuple[Trip | None, list[Finding]]:
    """Return the trip of a file, None if anything is wrong with it, and all findings, sorted.

    `flow`: low, medium or high, or all of them side by side; what is found wrong is the same.
    """
    return _Load(DiskSources(), str(path), flow).load()


def load_trip_text(
    sources: Mapping[str, str], first: str, flow: str = AS_WRITTEN
) -> tuple[Trip | None, list[Finding]]:
    """Return the trip of texts that a plan keeps, by the names they were read under.

    `first` is the name of the trip file. Nothing is read from disk.
    """
    return _Load(KeptSources(sources), first, flow).load()


class _Load:
    """One run of the loader: the files read so far and what is wrong with them."""

    def __init__(self, sources: Sources, first: str, flow: str) -> None:
        self._sources = sources
        self._first = first
        self._flow = flow
        self._read: list[SourceText] = []
        self._opened: set[str] = set()  # names shown
        self._sheets: list[Sheet] = []  # of the files that the trip names
        self._findings: list[Finding] = []

    def load(self) -> tuple[Trip | None, list[Finding]]:
        trip = self._load_trip()
        findings = cap_findings(self._findings)
        return (None if has_errors(findings) else trip), findings

    def _load_trip(self) -> Trip | None:
        text, findings = self._sources.read(self._first)
        self._findings += findings
        sheet = None if text is None else self._open(self._first, text)
        if text is None or sheet is None:
            return None
        self._opened.add(posixpath.normpath(self._first))
        self._keep(PurePath(self._first).name, text)
        places = JoinedPlaces(sheet.places)
        sheet.places = places
        broken = self._join_rows(sheet, places)
        record = check_shape(sheet, TripFile)
        files, complete = self._open_files(sheet, "catalogs", CatalogFile)
        rules, _ = self._open_files(sheet, "rules", RuleFile)
        spreads, _ = self._open_files(sheet, "spreads", SpreadFile)
        self._findings += sheet.findings
        sheet.findings = []
        trip = None
        # Where a shape can't be mended, the names in the catalogues are still checked.
        shelf = read_catalogs(sheet, files, complete=complete)
        if record is not None:
            trip = TripReader(sheet, record, shelf, broken).read_trip(self._read, self._flow)
        own = None if record is None else FileSheet(sheet, record)
        boats = () if trip is None else trip.boats.values()
        rule_sets = read_rule_sets(rules, own, shelf, boats)
        rows = read_spreads(spreads, own, shelf)
        for one in (sheet, *self._sheets):
            self._findings += one.findings
        return None if trip is None else replace(trip, rules=rule_sets, spreads=rows)

    def _open(self, shown: str, text: str) -> Sheet | None:
        """Return a TOML file as a sheet, or None and findings."""
        data, places, findings = read_toml(text, shown)
        self._findings += findings
        settled = frozenset(finding.where for finding in findings)
        return None if data is None else Sheet(data, places, settled=settled)

    def _keep(self, name: str, text: str) -> None:
        """Keep a text under the name that the trip gives the file.

        The way to the trip is no part of it: equal inputs give equal plans, wherever they lie.
        """
        self._read.append(make_source(name_beside(PurePath(self._first).name, name), text))

    # --- CSV lists --------------------------------------------------------------------------------

    def _join_rows(self, sheet: Sheet, places: JoinedPlaces) -> frozenset[str]:
        """Add the rows of CSV files to the lists of the trip; return the lists that broke."""
        head = sheet.data.get("trip")
        if not isinstance(head, dict):
            return frozenset()
        return frozenset(
            key
            for key, plural in _CSV_LISTS
            if isinstance(head.get(plural), str)
            and not self._join_list(sheet, places, key, head[plural])
        )

    def _join_list(self, sheet: Sheet, places: JoinedPlaces, key: str, name: str) -> bool:
        """Add the rows of one file to the list `key`; return whether all of it could be read."""
        plural = dict(_CSV_LISTS)[key]
        text = self._read_named(sheet, name, ("trip", plural))
        if text is None:
            return False
        shown = name_beside(self._first, name)
        rows = read_rows(text, shown, key)
        self._findings += rows.findings
        members: Any = sheet.data.get(key, [])
        if isinstance(members, list):
            places.add(key, len(members), rows)
            sheet.data[key] = [*members, *rows.tables]
        return not rows.findings

    def _read_named(self, sheet: Sheet, name: str, trail: tuple[str | int, ...]) -> str | None:
        """Return the text of a file that the trip names, or None and findings."""
        if odd := complain_of_name(name):
            sheet.complain(trail, *odd)
            return None
        shown = name_beside(self._first, name)
        if shown in self._opened:
            itself = shown == posixpath.normpath(self._first)
            message = f"{show_value(name)} is {'the trip itself' if itself else 'named twice'}"
            hint = "name another file" if itself else "name each file once"
            sheet.complain(trail, "file-named-twice", message, hint)
            return None
        text, findings = self._sources.read(shown)
        if text is not None:
            self._opened.add(shown)
            self._keep(name, text)
        for one in findings:
            if is_about_file(one):
                # What is wrong is the name, and that stands in the trip file.
                message = f"{show_value(name)}: {one.message}"
                hint = _suggest_shipped(name) or one.hint
                sheet.complain(trail, one.code, message, hint)
            else:
                self._findings.append(one)
        return text

    # --- catalogues, rules, spreads ---------------------------------------------------------------

    def _open_files(
        self, trip: Sheet, key: str, model: type[_R]
    ) -> tuple[list[FileSheet[_R]], bool]:
        """Return the files of a list of names that can be read, and whether these are all."""
        head = trip.data.get("trip")
        named = head.get(key) if isinstance(head, dict) else None
        if not isinstance(named, list):
            return [], False
        files = []
        for index, name in enumerate(named):
            trail = ("trip", key, index)
            one = self._open_file(trip, name, trail, model) if isinstance(name, str) else None
            if one is not None:
                files.append(one)
        return files, len(files) == len(named) and bool(named)

    def _open_file(
        self, trip: Sheet, name: str, trail: tuple[str | int, ...], model: type[_R]
    ) -> FileSheet[_R] | None:
        text = self._read_named(trip, name, trail)
        sheet = None if text is None else self._open(name_beside(self._first, name), text)
        if sheet is None:
            return None
        record = check_shape(sheet, model)
        self._sheets.append(sheet)
        return None if record is None else FileSheet(sheet, record)


def _suggest_shipped(name: str) -> str:
    """Return what to try if a catalogue of this name comes with the program."""
    base = name.removeprefix(SHIPPED).replace("\\", "/").rsplit("/", 1)[-1]
    shipped = {one.rsplit("/", 1)[-1]: one for one in list_shipped()}
    if base in shipped and not name.startswith(SHIPPED):
        return f'"{SHIPPED}{shipped[base]}", which comes with the program'
    near = (
        shipped.get(nearest_word(base, shipped) or "") if len(base) < len(STAND_IN) * 80 else None
    )
    return f'"{SHIPPED}{near}"' if near and name.startswith(SHIPPED) else ""
