"""One file being read: its data, where everything in it stands, and what is wrong with it.

All complaints of the loader pass through a Sheet, so that they name the thing, its key and its
place in the same way.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar

from kitplan.errors import Finding, mask, nearest_word
from kitplan.trip import CLASSES
from kitplan.units import QuantityError, read_length_mm

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.errors import Place
    from kitplan.tomlplaces import Trail

_R = TypeVar("_R")

STAND_IN = "\x00"
"""Stands for a text that is missing or wrong and has its finding already; no file may hold it."""

DEPTH_MOST_MM = 30_000
WIDTH_MOST_MM = 1_000_000
_MOST_GUESSES = 200
"""Findings after which no nearest word is looked for: the file is then another one altogether."""
_LONGEST_SHOWN = 60
_CLASS = re.compile(r"(VI|V|IV|III|II|I)[+-]?")
# What a member of a list of tables is called; a list that is not here goes by its own key.
_MEMBER_WORDS = {
    "boat_type": "boat type",
    "boats": "boat work",
    "camp_row": "camp row",
    "certificates": "certificate",
    "crews": "crew",
    "items": "thing",
    "length": "least length",
    "roles": "role",
    "store_rate": "store rate",
    "ways": "way",
}
_NAMING_KEYS = ("name", "id", "item", "kind", "scenario")


class PlaceFinder(Protocol):
    """Anything that knows where the value at the end of a trail stands."""

    def find(self, trail: Trail, /) -> Place:
        """Return the place of the value, or of the last thing on the way to it."""


class QuantityReader(Protocol):
    """A reader of `units`."""

    def __call__(self, text: object, /, *, name: str) -> int:
        """Return the quantity in its small unit or raise QuantityError."""


read_depth_mm: QuantityReader = partial(read_length_mm, most_mm=DEPTH_MOST_MM)
read_width_mm: QuantityReader = partial(read_length_mm, most_mm=WIDTH_MOST_MM)


@dataclass(slots=True)
class Sheet:
    """One file being read. `data` is what it holds as read; `findings` grow while it is read."""

    data: dict[str, Any]
    places: PlaceFinder
    findings: list[Finding] = field(default_factory=list)
    settled: frozenset[Place] = frozenset()  # what stands there has its finding already

    def place(self, *trail: str | int) -> Place:
        """Return where the value at the end of the trail stands."""
        return self.places.find(trail)

    def find_given(self, trail: Trail) -> Any:
        """Return the value at the end of the trail as it was read; None if it is not there."""
        value: Any = self.data
        for step in trail:
            if not has_member(value, step):
                return None
            value = value[step]
        return value

    def complain(self, trail: Trail, code: str, message: str, hint: str = "") -> None:
        """Note an error of the value at the end of the trail, naming what it belongs to."""
        self._note(trail, "error", code, (message, hint))

    def warn(self, trail: Trail, code: str, message: str, hint: str = "") -> None:
        """Note a warning about the value at the end of the trail."""
        self._note(trail, "warning", code, (message, hint))

    def _note(self, trail: Trail, severity: str, code: str, words: tuple[str, str]) -> None:
        message, hint = words
        about = self.describe_owner(trail)
        message = f"{about}: {message}" if about else message
        sort: Any = severity
        where = self.places.find(trail)
        if where not in self.settled:
            self.findings.append(Finding(where, sort, code, message, hint))

    def describe_owner(self, trail: Trail) -> str:
        """Return what the value belongs to, as in "rapid 'Sawtooth', spot 'the ledge'"."""
        steps = trail[:-2] if trail and isinstance(trail[-1], int) else trail[:-1]
        parts: list[str] = []
        value: Any = self.data
        for number, step in enumerate(steps):
            value = value[step] if has_member(value, step) else None
            if isinstance(step, int):
                parts[-1] = _name_member(parts[-1], step, value)
                continue
            of_list = isinstance((*steps, "")[number + 1], int)
            parts.append(_MEMBER_WORDS.get(step, step) if of_list else step)
        return ", ".join(parts)

    def guess(self, word: str, known: Iterable[str]) -> str | None:
        """Return the known word nearest to `word`, if any is near."""
        if len(self.findings) > _MOST_GUESSES or len(word) > _LONGEST_SHOWN:
            return None
        return nearest_word(word, known)

    def read(self, reader: QuantityReader, text: str, *trail: str | int) -> int:
        """Return a quantity in its small unit; 0 and a finding if it can't be read."""
        if text == STAND_IN:
            return 0
        try:
            return reader(text, name=name_key(trail))
        except QuantityError as error:
            self.complain(trail, error.code, error.message, error.hint)
            return 0

    def read_positive(self, reader: QuantityReader, text: str, *trail: str | int) -> int:
        """Return a quantity in its small unit; a finding if it is nothing."""
        before = len(self.findings)
        quantity = self.read(reader, text, *trail)
        if quantity <= 0 and text != STAND_IN and len(self.findings) == before:
            message = f"{name_key(trail)} must be more than nothing, not {show_value(text)}"
            hint = "look for a slip in the number or its unit"
            self.complain(trail, "out-of-range", message, hint)
        return quantity

    def read_if_given(
        self, reader: QuantityReader, text: str | None, *trail: str | int
    ) -> int | None:
        """Return a quantity in its small unit, None if there is none."""
        return None if text is None else self.read(reader, text, *trail)

    def read_class(self, text: str, *trail: str | int) -> int:
        """Return a class as a number, I as 1; the sign behind it does not count."""
        match = _CLASS.fullmatch(text)
        if match:
            return CLASSES.index(match[1]) + 1
        if text != STAND_IN:
            message = f"{name_key(trail)} must be I to VI (with + or -), not {show_value(text)}"
            capitals = _CLASS.fullmatch(text.strip().upper())
            hint = f'"{capitals[0]}"' if capitals else 'write it as "III" or "IV+"'
            self.complain(trail, "unknown-class", message, hint)
        return 1

    def read_class_if_given(self, text: str | None, *trail: str | int) -> int | None:
        """Return a class as a number, None if there is none."""
        return None if text is None else self.read_class(text, *trail)


@dataclass(frozen=True, slots=True)
class FileSheet(Generic[_R]):
    """One file whose shape is checked."""

    sheet: Sheet
    record: _R


def has_member(value: Any, step: str | int) -> bool:
    """Say whether a value is a table with this key or a list with this index."""
    if isinstance(value, dict):
        return step in value
    return isinstance(value, list) and isinstance(step, int) and step < len(value)


def _name_member(word: str, index: int, value: Any) -> str:
    """Return "paddler 'Ana'", or "paddler 3" if it has no name."""
    if isinstance(value, dict):
        for key in _NAMING_KEYS:
            name = value.get(key)
            if isinstance(name, str) and 0 < len(name) <= _LONGEST_SHOWN and name.isprintable():
                return f"{word} '{name}'"
    return f"{word} {index + 1}"


def name_key(trail: Trail) -> str:
    """Return the key that a person would look for: `roles`, or "boat 2" for a list's member."""
    *before, last = trail
    if isinstance(last, int):
        return f"{before[-1]} {last + 1}" if before else str(last + 1)
    return last if last.isprintable() and len(last) <= _LONGEST_SHOWN else "a key"


def count_text(count: int, word: str) -> str:
    """Return "1 field" or "3 fields"."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def show_value(value: Any) -> str:
    """Return a value about as it was written, shortened if it is long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    text = f"{value:f}" if isinstance(value, Decimal) else str(value)
    if len(text) > _LONGEST_SHOWN:
        text = text[: _LONGEST_SHOWN - 3] + "..."
    text = mask(text)
    return f'"{text}"' if isinstance(value, str) else text
