"""Reads text files and TOML, and knows at which line and column everything in it stands.

tomllib decides what is valid and what it means; it gives no positions. A walker of our own then
passes over the accepted text once more: it only skips, it checks nothing. A trail is the tuple of
keys and indices that leads to a value, as pydantic names what it complains about. All complaints
are findings; no bytes make anything here raise.
"""

import codecs
import re
import tomllib
from bisect import bisect_right
from collections.abc import Iterator, KeysView, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, TypeAlias

from kitplan.errors import Finding, Place, mask

Trail: TypeAlias = tuple[str | int, ...]

_END_OF_LINE = re.compile(r"\r\n|\r|\n")
_DEEPEST = 32
"""Levels of nesting; files of this program need six."""
_LARGEST_POWER = 18
"""Powers of ten beyond which a number is no quantity, and slow to reckon with."""
NUMBER_STAND_IN = 1
"""Takes the place of a number that nobody can mean and that has its finding already."""
_REFUSED_NUMBER = "9" * 19
_MOST_DIGITS = 40

_IDLE = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*+")
_BLANK = re.compile(r"[ \t]*+")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]++")
_LINE_STRING = re.compile(r"""'[^'\n]*+'|"(?:[^"\\\n]++|\\.)*+\"""")
# Up to two quotes before the three that close a string belong to it.
_STRING = re.compile(
    r"""'''(?:[^']++|'(?!''))*+'''(?:'{0,2})"""
    r'''|"""(?:[^"\\]++|\\.|"(?!""))*+"""(?:"{0,2})'''
    rf"""|{_LINE_STRING.pattern}""",
    re.DOTALL,
)
_PLAIN_VALUE = re.compile(r"[^,\]}#\n]*+")

_DOTTED_TOO_DEEP = re.compile(
    r"""(?:^|[\[{,])[ \t]*+(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+)"""
    rf"{{{_DEEPEST}}}",
    re.MULTILINE | re.ASCII,
)
_BRACKETS_TOO_DEEP = re.compile(r"(?:[\[{][^\[\]{}]*+)" rf"{{{_DEEPEST}}}")
_HEADING = re.compile(r"[ \t]*+\[{1,2}[ \t]*+([\w.-]++)[ \t]*+\]", re.ASCII)
_DATE = re.compile(r"(?<![\w-])[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}(?![\w-])", re.ASCII)
_LONG_WHOLE_NUMBER = re.compile(rf"[0-9][0-9_]{{{_MOST_DIGITS}}}")
# Python reads no whole number of more than 4300 digits.
_ENDLESS_NUMBER = re.compile(r"(?<![\w.])[0-9][0-9_]{4000,}+(?![\w.])")
_WHERE_TOMLLIB_STOPPED = re.compile(r" \(at (?:line ([0-9]+), column ([0-9]+)|end of document)\)$")

_OPEN_ON_LINE = "the text is not closed on its line"
# How tomllib's complaints begin, in our words, and what to try; the first that fits is taken.
_PLAIN_WORDS = (
    ("Invalid statement", "this is neither a key nor a table heading", 'write key = "value"'),
    (
        "Expected newline or end of document",
        "there is more on this line than one value",
        'quote text and quantities ("18 m"), and write one key to a line',
    ),
    ("Cannot declare", "this table is there twice", "join the two tables, or use [[...]]"),
    ("Expected ']'", "the table heading is not closed", "end it with ]"),
    ("Expected ']]'", "the table heading is not closed", "end it with ]]"),
    ("Cannot overwrite", "this key is there twice", "keep one of the two"),
    ("Duplicate inline table key", "this key is there twice", "keep one of the two"),
    ("Cannot redefine", "this table is there twice", "join the two tables"),
    ("Cannot mutate", "this table was closed above", "write all its keys in one place"),
    (
        "Expected '=' after",
        "the key has no value",
        'write key = "value", with quotes round a key of two words',
    ),
    (
        "Invalid initial character for a key",
        "a key is missing, or has a sign in it that needs quotes",
        'quote the key, as in "oar raft" = 3',
    ),
    ("Unclosed array", "the list is not closed", "end it with ], with commas between its members"),
    ("Unclosed inline table", "the { ... } is not closed", "end it with } on the same line"),
    (
        "Unescaped '\\'",
        "a backslash in a text in double quotes starts a special sign, and this is none",
        r"write it twice, \\, or use single quotes",
    ),
    ("Invalid hex value", r"\u and \U need hexadecimal digits", "write the sign itself"),
    ("Escaped character", "there is no sign of this number", "write the sign itself"),
    ("Unterminated string", "the text is not closed", "end it with the quotes it began with"),
    (r"Illegal character '\n'", _OPEN_ON_LINE, "end it with the quotes it began with"),
    (r"Found invalid character '\n'", _OPEN_ON_LINE, "end it with the quotes it began with"),
    ("Illegal character", "there is a control character here", "delete it"),
    ("Found invalid character", "there is a control character here", "delete it"),
    ("Expected '", "the text is not closed", "end it with the quotes it began with"),
    ('Expected "', "the text is not closed", "end it with the quotes it began with"),
    ("Invalid date", "there is no such date or time", "write a date as 2027-06-14"),
    (
        "Invalid value",
        "a value is missing, or is text without quotes",
        'quote text and quantities, as in "18 m"',
    ),
)


MOST_BYTES = 8_000_000
"""A roster of thousands stays far below; a wrong file does not fill the memory."""


def read_text(path: Path, shown: str) -> tuple[str | None, list[Finding]]:
    """Return the text of a UTF-8 file, or None and what is wrong; `shown` is the file's name."""
    data, finding = _read_bytes(path, shown)
    if data is None:
        return None, [finding] if finding else []
    # Spreadsheets begin a UTF-8 file with this mark; it is no part of the text.
    data = data.removeprefix(codecs.BOM_UTF8)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        place = place_after(data[: error.start].decode("utf-8"), shown)
        message = f"byte {data[error.start]:#04x} here is not UTF-8 text"
        hint = 'save the file as "UTF-8" in your editor or spreadsheet'
        return None, [Finding(place, "error", "not-utf8", message, hint)]
    if "\0" in text:
        place = place_after(text.partition("\0")[0], shown)
        hint = 'save the file as plain text, "UTF-8"'
        return None, [Finding(place, "error", "nul-byte", "a zero byte is no text", hint)]
    return text, []


def place_after(before: str, shown: str) -> Place:
    """Return where in a file a text goes on, whichever signs end its lines."""
    lines = _END_OF_LINE.split(before)
    return Place(shown, len(lines), len(lines[-1]) + 1)


def is_pipe_on_disk(path: Path) -> bool:
    """Say whether a path is a named pipe: reading it could wait for ever.

    What a shell hands over as /dev/fd/63 is a pipe too, but one that somebody writes to.
    """
    try:
        return path.is_fifo() and not str(path.absolute()).startswith(("/dev/", "/proc/"))
    except OSError:
        return False


def _read_bytes(path: Path, shown: str) -> tuple[bytes | None, Finding | None]:
    if is_pipe_on_disk(path):
        message, hint = "this is a pipe, not an ordinary file", "save it as a file first"
        return None, Finding(Place(shown, 1, 1), "error", "file-unreadable", message, hint)
    try:
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except (FileNotFoundError, NotADirectoryError):
        code, message, hint = "file-missing", "there is no such file", "look at its name and folder"
    except IsADirectoryError:
        code, message, hint = "file-is-folder", "this is a folder, not a file", "name a file in it"
    except PermissionError:
        code, message, hint = (
            "file-unreadable",
            "you are not allowed to read this file",
            "ask its owner, or copy it",
        )
    except (OSError, ValueError):
        code, message, hint = "file-unreadable", "this file can't be read", "a copy of it"
    else:
        if len(data) <= MOST_BYTES:
            return data, None
        code, message, hint = (
            "file-too-large",
            f"this file is larger than {MOST_BYTES // 1_000_000} MB",
            "look whether it is the right one",
        )
    return None, Finding(Place(shown, 1, 1), "error", code, message, hint)


class Places:
    """Where each value of one TOML text stands."""

    def __init__(self, file: str, spots: Mapping[Trail, tuple[int, int]]) -> None:
        self.file = file
        self._spots = dict(spots)

    def find(self, trail: Trail) -> Place:
        """Return the place of the value, or of the last thing on the way to it that is there.

        Parts of the trail that are not in the file are skipped. The place of a value is that of
        its key, of a member of a list its own start, of a [[table]] its heading.
        """
        found: Trail = ()
        for part in trail:
            if (*found, part) in self._spots:
                found = (*found, part)
        line, column = self._spots.get(found, (1, 1))
        return Place(self.file, line, column)

    def trails(self) -> KeysView[Trail]:
        """Return the trails of everything in the file but the file itself."""
        return self._spots.keys()


def read_toml(text: str, file: str) -> tuple[dict[str, Any] | None, Places, list[Finding]]:
    """Return the data of a TOML text, its places and what is wrong with it.

    Data is None if it can't be read. Numbers with a point come as Decimal. Infinite and overlong
    numbers are refused, and a stand-in takes their place, so that the rest can still be checked;
    what is nested too deep to be meant is refused whole. `file` is the name shown.
    """
    nowhere = Places(file, {})
    data, finding = _parse(text, file)
    if data is None or finding:
        return None, nowhere, [finding] if finding else []
    if any(len(trail) > _DEEPEST for trail, _ in _list_values(data)):
        return None, nowhere, [_complain_of_depth(text, file)]
    places = Places(file, _Walker(text).walk())
    findings = []
    for trail, value in list(_list_values(data)):
        for message, hint in _check_number(value):
            key = next(part for part in reversed(trail) if isinstance(part, str))
            said = f"{mask(key)}: {message}"
            findings.append(Finding(places.find(trail), "error", "number-out-of-range", said, hint))
            _replace(data, trail, NUMBER_STAND_IN)
    return data, places, findings


def _cut_endless_numbers(text: str) -> str:
    """Return the text with numbers that Python won't read as numbers that it reads and we refuse.

    Nothing moves: blanks take the place of the digits.
    """
    return _ENDLESS_NUMBER.sub(lambda match: _REFUSED_NUMBER.ljust(len(match[0])), text)


def _replace(data: Any, trail: Trail, value: int) -> None:
    """Put a value at the end of a trail."""
    for part in trail[:-1]:
        data = data[part]
    data[trail[-1]] = value


def _parse(
    text: str, file: str, *, cut: bool = False
) -> tuple[dict[str, Any] | None, Finding | None]:
    """Return the data of a text or what is wrong; `cut`: its endless numbers are cut already."""
    # A key of a million parts would keep tomllib busy for hours.
    if _DOTTED_TOO_DEEP.search(text):
        return None, _complain_of_depth(text, file)
    try:
        return tomllib.loads(text, parse_float=_parse_decimal), None
    except tomllib.TOMLDecodeError as error:
        return None, _complain_of_syntax(str(error), text, file)
    except RecursionError:
        return None, _complain_of_depth(text, file)
    except ValueError:
        if not cut:
            return _parse(_cut_endless_numbers(text), file, cut=True)
        place = _place_of(_LONG_WHOLE_NUMBER, text, file)
        message, hint = _TOO_LONG
        return None, Finding(place, "error", "number-out-of-range", message, hint)


def _parse_decimal(text: str) -> Decimal:
    try:
        return Decimal(text)
    except InvalidOperation:
        # Its power of ten is beyond all bounds; the check of numbers finds it.
        return Decimal("Infinity")


_TOO_LONG = ("this number has too many digits", "write a number a person would write")


def _check_number(value: object) -> Iterator[tuple[str, str]]:
    """Yield message and hint if the value is a number that nobody can mean."""
    if isinstance(value, Decimal):
        if not value.is_finite():
            yield "nan, inf and endless numbers are no quantities", "write a plain number"
        elif len(value.as_tuple().digits) > _MOST_DIGITS or (
            value and abs(value.adjusted()) > _LARGEST_POWER
        ):
            yield _TOO_LONG
    elif isinstance(value, int) and abs(value) >= 10**_LARGEST_POWER:
        yield _TOO_LONG


def _list_values(data: dict[str, Any]) -> Iterator[tuple[Trail, object]]:
    """Yield trail and value of everything in the data, in its order, tables and lists first."""
    waiting: list[tuple[Trail, object]] = [((), data)]
    while waiting:
        trail, value = waiting.pop()
        if trail:
            yield trail, value
        if len(trail) > _DEEPEST:
            continue
        members: list[tuple[str | int, object]] = []
        if isinstance(value, dict):
            members = list(value.items())
        elif isinstance(value, list):
            members = list(enumerate(value))
        waiting.extend(((*trail, part), member) for part, member in reversed(members))


def _complain_of_syntax(said: str, text: str, file: str) -> Finding:
    """Return tomllib's complaint in plain words at its place."""
    where = _WHERE_TOMLLIB_STOPPED.search(said)
    if where and where[1]:
        place = Place(file, int(where[1]), int(where[2]))
    else:
        place = Place(file, *_LineIndex(text).locate(len(text.rstrip())))
    if wrong_date := _find_wrong_date(text, place):
        return wrong_date
    if text.lstrip().startswith("{"):
        message = "this is JSON, perhaps a plan file, and TOML is read here"
        return Finding(place, "error", "broken-toml", message, "`kitplan verify` checks plan files")
    heading = _HEADING.match(text.split("\n", place.line)[place.line - 1])
    if heading and said.startswith(("Cannot declare", "Cannot overwrite")):
        hint = f"where there are several, write [[{heading[1]}]], with two brackets, each time"
        return Finding(place, "error", "broken-toml", "this table is there twice", hint)
    for beginning, message, hint in _PLAIN_WORDS:
        if said.startswith(beginning):
            return Finding(place, "error", "broken-toml", message, hint)
    return Finding(place, "error", "broken-toml", "this is not valid TOML", "see toml.io")


def _find_wrong_date(text: str, place: Place) -> Finding | None:
    """Return a complaint of the date at this place, if there is one and no calendar has it.

    tomllib takes the year of 2027-13-01 for a number and stumbles over the rest.
    """
    lines = text.split("\n", place.line)
    for match in _DATE.finditer(lines[place.line - 1]):
        if match.start() < place.column <= match.end() + 1 and not _is_date(match[0]):
            at = Place(place.file, place.line, match.start() + 1)
            message, hint = "there is no such date or time", "write a date as 2027-06-14"
            return Finding(at, "error", "broken-toml", message, hint)
    return None


def _is_date(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _complain_of_depth(text: str, file: str) -> Finding:
    pattern = _DOTTED_TOO_DEEP if _DOTTED_TOO_DEEP.search(text) else _BRACKETS_TOO_DEEP
    message = f"lists and tables are nested more than {_DEEPEST} levels deep"
    place = _place_of(pattern, text, file)
    return Finding(place, "error", "nested-too-deep", message, "write them side by side")


def _place_of(pattern: re.Pattern[str], text: str, file: str) -> Place:
    match = pattern.search(text)
    return Place(file, *_LineIndex(text).locate(match.start() if match else 0))


class _LineIndex:
    """Turns an offset into line and column, both counted from 1."""

    def __init__(self, text: str) -> None:
        self._starts = [0, *(match.end() for match in re.finditer("\n", text))]

    def locate(self, offset: int) -> tuple[int, int]:
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1


class _Walker:
    """Passes over a text that tomllib accepted and notes where each value begins."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self._offsets: dict[Trail, int] = {}
        # How many [[headings]] each array of tables has had so far.
        self._counts: dict[Trail, int] = {}

    def walk(self) -> dict[Trail, tuple[int, int]]:
        table: Trail = ()
        self._skip(_IDLE)
        while self._at < len(self._text):
            if self._text[self._at] == "[":
                table = self._read_heading()
            else:
                self._read_pair(table)
            self._skip(_IDLE)
        locate = _LineIndex(self._text).locate
        return {trail: locate(offset) for trail, offset in self._offsets.items()}

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self._text, self._at)
        if not match:
            return ""
        self._at = match.end()
        return match[0]

    def _read_heading(self) -> Trail:
        start = self._at
        many = self._text.startswith("[[", start)
        self._at += 2 if many else 1
        *parents, (name, offset) = self._read_key()
        self._at += 2 if many else 1
        trail = self._enter((), parents)
        trail = (*trail, name)
        if not many:
            self._offsets[trail] = offset
            return trail
        self._offsets.setdefault(trail, offset)
        index = self._counts.get(trail, 0)
        self._counts[trail] = index + 1
        self._offsets[*trail, index] = start
        return (*trail, index)

    def _enter(self, trail: Trail, parts: list[tuple[str, int]]) -> Trail:
        """Follow the parts of a key, noting tables that have no heading of their own."""
        for name, offset in parts:
            trail = (*trail, name)
            self._offsets.setdefault(trail, offset)
            if trail in self._counts:
                trail = (*trail, self._counts[trail] - 1)
        return trail

    def _read_pair(self, table: Trail) -> None:
        *parents, (name, offset) = self._read_key()
        trail = (*self._enter(table, parents), name)
        self._offsets[trail] = offset
        self._at += len("=")
        self._skip(_BLANK)
        self._read_value(trail)

    def _read_key(self) -> list[tuple[str, int]]:
        """Read a dotted key and return each part with its offset, up to what follows it."""
        parts = []
        while True:
            self._skip(_BLANK)
            start = self._at
            raw = self._skip(_BARE_KEY) or self._skip(_LINE_STRING)
            parts.append((_unquote(raw), start))
            self._skip(_BLANK)
            if not self._text.startswith(".", self._at):
                return parts
            self._at += len(".")

    def _read_value(self, trail: Trail) -> None:
        sign = self._text[self._at]
        if sign == "[":
            self._read_array(trail)
        elif sign == "{":
            self._read_inline_table(trail)
        elif sign in "\"'":
            self._skip(_STRING)
        else:
            self._skip(_PLAIN_VALUE)

    def _read_array(self, trail: Trail) -> None:
        self._at += len("[")
        index = 0
        while not self._step_over("]"):
            self._offsets[*trail, index] = self._at
            self._read_value((*trail, index))
            index += 1

    def _read_inline_table(self, trail: Trail) -> None:
        self._at += len("{")
        while not self._step_over("}"):
            self._read_pair(trail)

    def _step_over(self, end: str) -> bool:
        """Step to the next member, over a comma if there is one; or over the end, and say so."""
        self._skip(_IDLE)
        if self._text[self._at] == ",":
            self._at += 1
            self._skip(_IDLE)
        if self._text[self._at] != end:
            return False
        self._at += 1
        return True


def _unquote(raw: str) -> str:
    """Return what a part of a key means."""
    if raw[:1] == "'":
        return raw[1:-1]
    if raw[:1] != '"':
        return raw
    return str(tomllib.loads(f"key = {raw}")["key"]) if "\\" in raw else raw[1:-1]
