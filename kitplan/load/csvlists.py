"""Reads boats, paddlers, kit and loads from CSV, as the same data that TOML tables give.

The scanner is our own, because a finding needs the line and column at which a field begins, and
because a stray quote must be an error and not part of a name. It reads what spreadsheets write:
commas, double quotes round a field where needed, a quote inside written twice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from kitplan.errors import MOST_FINDINGS, Finding, Place, mask, nearest_word, shorten
from kitplan.load.sheet import count_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.load.sheet import PlaceFinder
    from kitplan.tomlplaces import Trail

_QUOTED = re.compile(r'"((?:[^"]|"")*+)"')
_PLAIN = re.compile(r"[^,\r\n]*+")
_END_OF_LINE = re.compile(r"\r\n|\r|\n")
_LEVELLED = re.compile(r"(.*\S)\s+(-?[0-9]{1,9})")
_COUNTED = re.compile(r"(.*\S)\s+x\s*(-?[0-9]+)")
_MOST_DIGITS = 9
_ON_DAY = re.compile(r"(.*\S)\s+(\S+)")
_DATED = re.compile(r"(.*\S)\s+until\s+(\S+)")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_WHOLE = re.compile(r"-?[0-9]{1,9}")
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}

NOT_READ = ("amount", "unit", "person_days")
"""Columns of a load that are there for people alone."""
COLUMNS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "boat": (("name", "type"), ("dry_load", "from", "to")),
    "paddler": (
        ("name", "mass"),
        (
            "skills",
            "practised",
            "wears",
            "certificates",
            "at_most",
            "boat",
            "guest",
            "from",
            "to",
        ),
    ),
    "kit": (
        ("item", "count"),
        ("take", "split", "bought", "retire_by", "price", "more", "from", "to"),
    ),
    "load": (
        ("boat", "row", "name"),
        ("from_day", "count", "carried", "worn_by", "rapid", "flow", "while", *NOT_READ, "lot"),
    ),
}
"""Columns of each list: those a file must have, and those it may have."""
_BY_HAND = ("load",)
"""Lists whose rows may end early: the cells that are not there are empty."""


MOST_QUOTED = 40  # signs of a field that a finding repeats


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a row, and where it begins."""

    text: str
    where: Place


class CsvRows:
    """The rows of one CSV list as data, and the places of their fields."""

    def __init__(self) -> None:
        self.tables: list[dict[str, Any]] = []
        self.fields: list[dict[str, Place]] = []
        self.findings: list[Finding] = []

    def add(self, where: Place, code: str, message: str, hint: str = "") -> None:
        """Note an error."""
        if len(self.findings) <= MOST_FINDINGS:
            self.findings.append(Finding(where, "error", code, message, hint))


class JoinedPlaces:
    """Places of a TOML file whose lists go on in CSV files."""

    def __init__(self, toml: PlaceFinder) -> None:
        self._toml = toml
        self._rows: dict[tuple[str, int], dict[str, Place]] = {}

    def add(self, key: str, first: int, rows: CsvRows) -> None:
        """Take in the rows that follow the first `first` members of the list `key`."""
        for number, fields in enumerate(rows.fields):
            self._rows[key, first + number] = fields

    def find(self, trail: Trail) -> Place:
        """Return the place of the value, or of the last thing on the way to it."""
        match trail:
            case (str() as key, int() as index, *rest) if (key, index) in self._rows:
                fields = self._rows[key, index]
                column = str(rest[0]) if rest else ""
                return fields.get(column, fields[""])
        return self._toml.find(trail)


def read_rows(text: str, file: str, key: str) -> CsvRows:
    """Return the rows of the list `key` (boat, paddler, kit, load); a faulty row is left out."""
    rows = CsvRows()
    if _complain_of_separator(text, file, rows):
        return rows
    lines = scan(text, file, rows)
    if not lines:
        if not rows.findings:
            hint = "begin with a line of column names: " + ",".join(COLUMNS[key][0])
            rows.add(Place(file, 1, 1), "csv-empty", "this file is empty", hint)
        return rows
    header = _read_header(lines[0], key, rows)
    if header is None:
        return rows
    for line in lines[1:]:
        row = line + _list_absent(line, header) if key in _BY_HAND else line
        if len(row) != len(header):
            message = (
                f"this row has {count_text(len(row), 'field')}, and the header has {len(header)}"
            )
            hint = "put a field that holds commas in double quotes"
            if len(row) < len(header):
                hint = "end it with a comma for each empty field"
            rows.add(row[0].where, "csv-field-count", message, hint)
            continue
        rows.tables.append(_read_row(dict(zip(header, row, strict=True)), rows))
        places = {name: one.where for name, one in zip(header, row, strict=True)}
        rows.fields.append({"": row[0].where} | places)
    return rows


def _list_absent(line: list[Field], header: list[str]) -> list[Field]:
    """Return the empty fields that a row lacks at its end."""
    return [Field("", line[-1].where)] * (len(header) - len(line))


def scan(text: str, file: str, rows: CsvRows) -> list[list[Field]]:
    """Return the fields of every line that is not blank; stop at the first stray quote."""
    lines: list[list[Field]] = [[]]
    at, line_number, line_start = 0, 1, 0
    while at < len(text) or lines[-1]:
        where = Place(file, line_number, at - line_start + 1)
        quoted = _QUOTED.match(text, at)
        field_match = quoted or _PLAIN.match(text, at)
        if field_match is None:
            break
        value = quoted[1].replace('""', '"') if quoted else field_match[0]
        if _complain_of_quote(text, field_match, where, rows):
            return []
        lines[-1].append(Field(value.strip(), where))
        inside = list(_END_OF_LINE.finditer(field_match[0]))
        if inside:
            line_number += len(inside)
            line_start = at + inside[-1].end()
        at = field_match.end()
        if text.startswith(",", at):
            at += 1
            continue
        end = _END_OF_LINE.match(text, at)
        if end:
            at = line_start = end.end()
            line_number += 1
        lines.append([])
        if not end:
            break
    return [line for line in lines if any(one.text for one in line)]


def _complain_of_quote(text: str, match: re.Match[str], where: Place, rows: CsvRows) -> bool:
    """Note a quote that is not closed, or stands where none may; say whether there is one."""
    hint = 'put the whole field in double quotes, and write a quote inside it twice, ""'
    after = text[match.end() : match.end() + 1]
    if match.re is _QUOTED and after not in {"", ",", "\r", "\n"}:
        rows.add(where, "csv-stray-quote", "there is more in this field after its quotes", hint)
        return True
    if match.re is _PLAIN and match[0].startswith('"'):
        message = "this field begins with a quote that is never closed"
        rows.add(where, "csv-open-quote", message, "close it, or leave it out")
        return True
    if match.re is _PLAIN and '"' in match[0]:
        column = where.column + match[0].index('"')
        place = Place(where.file, where.line, column)
        rows.add(place, "csv-stray-quote", "there is a stray quote in this field", hint)
        return True
    return False


def _complain_of_separator(text: str, file: str, rows: CsvRows) -> bool:
    """Note a header whose fields are not separated by commas; say whether it is so.

    Asked before anything is scanned: quotes make no sense where the separator is another one.
    """
    header = text.lstrip("\r\n").partition("\n")[0]
    for sign, name in ((";", "semicolons"), ("\t", "tabs")):
        if sign in header and "," not in header:
            message = f"the fields are separated by {name}, and commas are read here"
            rows.add(Place(file, 1, 1), "csv-separator", message, "export it with commas")
            return True
    return False


def _read_header(line: list[Field], key: str, rows: CsvRows) -> list[str] | None:
    """Return the column names, or None if the rows below can't be read by them."""
    needed, other = COLUMNS[key]
    if line[0].text.startswith("sep="):
        message = "a line for spreadsheets stands before the header"
        rows.add(line[0].where, "csv-separator", message, "delete this line")
        return None
    line = [replace(one, text=_lower(one.text, (*needed, *other))) for one in line]
    seen: dict[str, Place] = {}
    for one in line:
        if one.text in seen:
            message = f'column "{_shorten(one.text)}" is there twice'
            rows.add(one.where, "csv-column-twice", message, "leave one of the two out")
        elif one.text not in (*needed, *other):
            near = nearest_word(one.text[:60], (*needed, *other))
            hint = near or "the columns are " + ", ".join((*needed, *other))
            message = f'unknown column "{_shorten(one.text)}"'
            rows.add(one.where, "csv-unknown-column", message, hint)
        seen.setdefault(one.text, one.where)
    for name in needed:
        if name not in seen:
            message = f'column "{name}" is missing'
            rows.add(line[0].where, "csv-missing-column", message, "the header is the first line")
    return None if rows.findings else [one.text for one in line]


def _lower(name: str, known: tuple[str, ...]) -> str:
    """Return a column's name as it is known, whatever letters of it are capitals."""
    return name.casefold() if name.casefold() in known else name


def _shorten(text: str) -> str:
    return shorten(mask(text), MOST_QUOTED)


def _read_row(row: dict[str, Field], rows: CsvRows) -> dict[str, Any]:
    """Return a row as a TOML table would give it; an empty field is a key that is not there."""
    readers: dict[str, Callable[[Field, CsvRows], Any]] = {
        "skills": _read_skills,
        "practised": _read_practised,
        "wears": _read_wears,
        "certificates": _read_certificates,
        "guest": _read_yes_no,
        "count": _read_number,
        "from": _read_number,
        "to": _read_number,
        "from_day": _read_number,
        "more": _read_number,
        "take": _read_yes_no,
        "split": _read_yes_no,
        "bought": _read_day,
        "retire_by": _read_day,
    }
    return {
        name: readers[name](one, rows) if name in readers else one.text
        for name, one in row.items()
        if one.text
    }


def _read_skills(one: Field, rows: CsvRows) -> dict[str, int]:
    skills: dict[str, int] = {}
    for entry in _split(one.text):
        match = _LEVELLED.fullmatch(entry)
        if match is None:
            message = f'"{_shorten(entry)}" is not a skill and its level'
            rows.add(one.where, "csv-bad-entry", message, 'write "throwing 3; rope 2"')
        elif match[1] in skills:
            _complain_of_twice(match[1], one, rows)
        else:
            skills[match[1]] = int(match[2])
    return skills


def _read_practised(one: Field, rows: CsvRows) -> dict[str, date]:
    practised: dict[str, date] = {}
    for entry in _split(one.text):
        match = _ON_DAY.fullmatch(entry)
        if match is None:
            message = f'"{_shorten(entry)}" is not a skill and the day it was last practised'
            rows.add(one.where, "csv-bad-entry", message, 'write "throwing 2027-05-01"')
        elif match[1] in practised:
            _complain_of_twice(match[1], one, rows)
        elif (last := _read_named_date(match[2], one, rows)) is not None:
            practised[match[1]] = last
    return practised


def _read_wears(one: Field, rows: CsvRows) -> dict[str, int]:
    wears: dict[str, int] = {}
    for entry in _split(one.text):
        match = _COUNTED.fullmatch(entry)
        item = match[1] if match else entry
        if item in wears:
            _complain_of_twice(item, one, rows)
        wears[item] = int(match[2][:_MOST_DIGITS]) if match else 1
    return wears


def _read_certificates(one: Field, rows: CsvRows) -> list[dict[str, Any]]:
    certificates: list[dict[str, Any]] = []
    for entry in _split(one.text):
        match = _DATED.fullmatch(entry)
        if match is None:
            message = f'"{_shorten(entry)}" is not a certificate and its last day'
            hint = 'write "swift-water rescue until 2028-05-01"'
            rows.add(one.where, "csv-bad-entry", message, hint)
            continue
        until = _read_named_date(match[2], one, rows)
        if until is not None:
            certificates.append({"name": match[1], "until": until})
    return certificates


def _read_day(one: Field, rows: CsvRows) -> date | None:
    return _read_named_date(one.text, one, rows)


def _read_named_date(text: str, one: Field, rows: CsvRows) -> date | None:
    day = _read_date(text)
    if day is None:
        message = f'there is no date "{_shorten(text)}"'
        rows.add(one.where, "no-such-date", message, "write a date as 2027-06-14")
    return day


def _read_date(text: str) -> date | None:
    if not _DATE.fullmatch(text):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _read_yes_no(one: Field, rows: CsvRows) -> Any:
    value = _YES_NO.get(one.text.casefold())
    return _read_number(one, rows) if value is None else value


def _read_number(one: Field, _rows: CsvRows) -> Any:
    """Return a whole number, or the text as it is for the check of shapes to complain of."""
    return int(one.text) if _WHOLE.fullmatch(one.text) else one.text


def _split(text: str) -> list[str]:
    return [entry.strip() for entry in text.split(";") if entry.strip()]


def _complain_of_twice(name: str, one: Field, rows: CsvRows) -> None:
    message = f'"{_shorten(name)}" is there twice in this field'
    rows.add(one.where, "name-used-twice", message, "name it once")
