"""Reads the files of a trip, from disk or from the texts that a plan file keeps.

Every file goes by the name shown to people: the trip file as it was given, what it names relative
to it, a shipped catalogue as "kitplan:gear.toml". A plan keeps the trip file by its bare name and
the others as the trip names them.
"""

from __future__ import annotations

import hashlib
import posixpath
import re
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Protocol

from kitplan.errors import Finding, Place, nearest_word
from kitplan.files import find_shipped_catalogs
from kitplan.tomlplaces import read_text
from kitplan.trip import SourceText

if TYPE_CHECKING:
    from collections.abc import Mapping

SHIPPED = "kitplan:"
"""Begins the name of a catalogue that comes with the program."""
_ADDRESS = re.compile(r"[A-Za-z]+://")
_FILE_CODES = frozenset({"file-missing", "file-is-folder", "file-unreadable", "file-too-large"})


class Sources(Protocol):
    """Where the texts of a trip come from."""

    def read(self, shown: str) -> tuple[str | None, list[Finding]]:
        """Return the text of the file that goes by this name, or None and what is wrong."""


class DiskSources:
    """Reads from disk, shipped catalogues from where they lie."""

    def read(self, shown: str) -> tuple[str | None, list[Finding]]:
        """Return the text of a file, or None and what is wrong."""
        if not shown.startswith(SHIPPED):
            return read_text(Path(shown), shown)
        name = shown.removeprefix(SHIPPED)
        names = list_shipped()
        if name in names:
            return read_text(find_shipped_catalogs() / name, shown)
        near = nearest_word(name, names)
        hint = f'"{SHIPPED}{near}"' if near else "the shipped ones are " + ", ".join(names)
        message = "no catalogue of this name comes with the program"
        return None, [Finding(Place(shown, 1, 1), "error", "file-missing", message, hint)]


class KeptSources:
    """Reads from texts by name and never from disk."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self._texts = texts

    def read(self, shown: str) -> tuple[str | None, list[Finding]]:
        """Return the text kept under this name, or None and a finding."""
        text = self._texts.get(shown)
        if text is not None:
            return text, []
        message, hint = "the plan does not keep this file", "make the plan anew from its trip file"
        return None, [Finding(Place(shown, 1, 1), "error", "file-missing", message, hint)]


def list_shipped() -> list[str]:
    """Return the names of the files that come with the program, sorted: "rules/house.toml"."""
    folder = find_shipped_catalogs()
    try:
        return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.toml"))
    except OSError:
        return []


def name_beside(first: str, name: str) -> str:
    """Return the shown name of a file that the trip file `first` names as `name`."""
    if name.startswith(SHIPPED):
        return name
    folder = PurePath(first).parent.as_posix()
    return posixpath.normpath(posixpath.join(folder, name))


def complain_of_name(name: str) -> tuple[str, str, str] | None:
    """Return code, message and what to try if this can be no name of a file."""
    if not name.strip():
        return "empty", "the name of the file is empty", "name a file, or take it out"
    if _ADDRESS.match(name):
        return "file-missing", "addresses are not read", "save it as a file, and name that"
    return None


def is_about_file(finding: Finding) -> bool:
    """Say whether the finding is about the file as a whole, so that its name is what is wrong."""
    return finding.code in _FILE_CODES


def make_source(file: str, text: str) -> SourceText:
    """Return the text as a noun with its SHA-256."""
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return SourceText(file, text, digest)
