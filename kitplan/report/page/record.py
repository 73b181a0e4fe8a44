"""A sheet whose lines are kept as they are written, for a template to lay out."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import compress
from typing import TYPE_CHECKING

from kitplan.report.sheet import Sheet

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from kitplan.trip import Trip


@dataclass(slots=True)
class Entry:
    """An entry of a list, and what is set in below it."""

    text: str
    below: list[Entry] = field(default_factory=list)


@dataclass(slots=True)
class Block:
    """One part of a record; `sort` is "heading", "minor", "say", "points" or "table"."""

    sort: str
    text: str = ""
    points: list[Entry] = field(default_factory=list)
    heads: tuple[str, ...] = ()
    rows: list[tuple[str, ...]] = field(default_factory=list)


class Record(Sheet):
    """What is written on a sheet, block by block, in metric units and in no style."""

    def __init__(self, shorter: Mapping[str, str]) -> None:
        """Start empty; `shorter` says what to write for what."""
        super().__init__("", shorter)
        self.blocks: list[Block] = []

    def title(self, text: str) -> None:
        """Keep the heading of the whole sheet."""
        self._keep("heading", text)

    def heading(self, text: str, detail: str = "") -> None:
        """Keep a heading."""
        self._keep("heading", text + detail)

    def minor(self, text: str) -> None:
        """Keep a smaller heading."""
        self._keep("minor", text)

    def say(self, text: str) -> None:
        """Keep a paragraph."""
        self._keep("say", text)

    def point(self, text: str, depth: int = 0) -> None:
        """Keep an entry of a list, below the last one that is less deep."""
        if not self.blocks or self.blocks[-1].sort != "points":
            self.blocks.append(Block("points"))
        entries = self.blocks[-1].points
        for _ in range(depth):
            if not entries:
                break
            entries = entries[-1].below
        entries.append(Entry(self._shorten(text)))

    def table(
        self,
        rows: Sequence[Sequence[str]],
        heads: Sequence[str],
        widths: Sequence[int | None] | None = None,
    ) -> None:
        """Keep a table without empty columns; how wide they are is the template's matter."""
        del widths
        if rows:
            filled = [any(cells) for cells in zip(heads, *rows, strict=True)]
            kept = [tuple(compress(row, filled)) for row in (heads, *rows)]
            said = [tuple(map(self._shorten, row)) for row in kept[1:]]
            self.blocks.append(Block("table", heads=kept[0], rows=said))

    def gap(self) -> None:
        """Keep nothing: blocks stand apart anyway."""

    def _keep(self, sort: str, text: str) -> None:
        self.blocks.append(Block(sort, self._shorten(text)))


def make_record(trip: Trip) -> Record:
    """Return an empty record on which boats go by what they are called."""
    return Record({boat.name: boat.called for boat in trip.boats.values()})
