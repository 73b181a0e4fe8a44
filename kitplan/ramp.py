"""The noun of a load as it lies on the ramp, and the words its rows are written in.

A load says what people see there: who sits where, what lies where, and, if they have thought of it,
where boats wait and in what order they run. Knows nothing of files, and computes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.errors import Place

if TYPE_CHECKING:
    from kitplan.plan import Packed, Stowed

SEAT, ITEM, BOX, STATION = "seat", "item", "box", "station"
ORDER, ROWS_TWICE, SUPPLY, CAUTION_ROW = "order", "rows twice", "supply", "caution"
"""What a row of a load is about."""
BEFORE_RUN, AFTER_RUN = "before its run", "after its run"
RUNS = " runs"
"""While what a boat waits at a station; `RUNS` follows the name of the boat that runs."""

# A spreadsheet takes a cell that begins so for a formula.
_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class RampLoad:
    """What lies where in some legs of a trip, with keys and sorting as in `plan.Arrangement`.

    Legs that no row is about are absent from all of it. The crew of a boat that nobody sits in is
    empty, and it has no steerer. `stowed` is None where no row is about stores. `stations` are
    those given; `order` is empty where none is, and so may be missing for one of several legs.
    `legs`: numbers of the legs that rows are about. `places`: (boat, what) -> where that is first
    said; what is a paddler, an item, a lot or a rapid, "" any row.
    """

    crew: dict[str, tuple[str, ...]]
    steerer: dict[str, str]
    packed: tuple[Packed, ...]
    stowed: tuple[Stowed, ...] | None
    stations: dict[tuple[str, str, str], str]
    order: tuple[str, ...]
    twice: dict[tuple[str, str], str]
    legs: tuple[int, ...]
    file: str
    places: dict[tuple[str, str], Place] = field(default_factory=dict, compare=False, repr=False)

    def find(self, boat: str, what: str = "") -> Place:
        """Return where something of a boat is said, else where the boat is, else the file."""
        first = self.places.get((boat, ""), Place(self.file, 1, 1))
        return self.places.get((boat, what), first)


def disarm(cell: str) -> str:
    """Return a cell as no spreadsheet takes it for a formula: with an apostrophe before its sign.

    One more goes before those that a cell has already, so that `arm` can give it back.
    """
    return f"'{cell}" if _is_formula(cell) else cell


def arm(cell: str) -> str:
    """Return the cell that `disarm` was given."""
    return cell[1:] if cell.startswith("'") and _is_formula(cell) else cell


def _is_formula(cell: str) -> bool:
    return cell.lstrip("'").startswith(_FORMULA_SIGNS)
