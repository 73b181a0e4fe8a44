"""What is known by name while a trip is read, so that a wrong name gets its nearest right one."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.load.sheet import STAND_IN, show_value

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.errors import Place
    from kitplan.load.sheet import Sheet

FEW = 6  # names that fit a line


class Names:
    """All names of one sort of thing, each with the place where it is first given.

    `complete` is false once a file that may hold further names could not be read: then no name is
    called unknown.
    """

    def __init__(self, word: str) -> None:
        self.word = word
        self.complete = True
        self._places: dict[str, Place] = {}
        self._alike: dict[str, str] = {}  # a name as it reads, and as it is written

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __contains__(self, name: object) -> bool:
        return name in self._places

    def add(self, sheet: Sheet, name: str, *trail: str | int) -> bool:
        """Take in a name; return whether it is new, and complain if it is not."""
        if name == STAND_IN:
            return False
        first = self._places.get(name)
        if first is None:
            self._check_look(sheet, name, *trail)
            self._places[name] = sheet.place(*trail)
            return True
        own = trail[-1] if trail[-1] in {"name", "id"} else ""
        what = f"this {own}" if own else f"{self.word} '{name}'"
        message = f"{what} is used twice, first at {first.text()}"
        hint = f"give each its own {own}" if own else "name it once"
        sheet.complain(trail, "name-used-twice", message, hint)
        return False

    def _check_look(self, sheet: Sheet, name: str, *trail: str | int) -> None:
        """Complain of a name that a reader can't tell from nothing, or from another one."""
        if name != name.strip() or not name:
            what = "has blanks at an end" if name.strip() else "is nothing but blanks"
            hint = "write at least a letter, and no blanks round the name"
            sheet.complain(trail, "blank-name", f"{show_value(name)} {what}", hint)
            return
        other = self._alike.setdefault(_read_aloud(name), name)
        if other != name:
            where = self._places[other].text()
            message = f"{show_value(name)} can't be told from {show_value(other)}, at {where}"
            sheet.complain(trail, "name-used-twice", message, "give each its own name")

    def check(self, sheet: Sheet, name: str, *trail: str | int) -> bool:
        """Return whether the name is known, and complain if it is not."""
        if name in self._places:
            return True
        if name == STAND_IN or not self.complete:
            return False
        near = sheet.guess(name, self._places)
        code = "unknown-" + self.word.replace(" ", "-")
        message = f"unknown {self.word} {show_value(name)}"
        sheet.complain(trail, code, message, near or self._list_some())
        return False

    def _list_some(self) -> str:
        names = sorted(name for name in self._places if name == name.strip() and name.isprintable())
        if not names:
            return f"there is no {self.word} here; add one"
        more = ", ..." if len(names) > FEW else ""
        return f"one of {', '.join(names[:FEW])}{more}"


def _read_aloud(name: str) -> str:
    """Return the name without what is hardly seen or never heard: case, width, way of accents."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())


@dataclass(frozen=True, slots=True)
class Known:
    """The names that the catalogues of a trip give."""

    skills: Names = field(default_factory=lambda: Names("skill"))
    certificates: Names = field(default_factory=lambda: Names("certificate"))
    kinds: Names = field(default_factory=lambda: Names("kind"))
    scenarios: Names = field(default_factory=lambda: Names("scenario"))
    techniques: Names = field(default_factory=lambda: Names("technique"))
    items: Names = field(default_factory=lambda: Names("item"))
    boat_types: Names = field(default_factory=lambda: Names("boat type"))
    containers: Names = field(default_factory=lambda: Names("container"))
    rates: Names = field(default_factory=lambda: Names("store rate"))

    def doubt(self) -> None:
        """Call no name unknown from now on: a catalogue could not be read."""
        for names in (
            self.skills,
            self.certificates,
            self.kinds,
            self.scenarios,
            self.techniques,
            self.items,
            self.boat_types,
            self.containers,
            self.rates,
        ):
            names.complete = False
