"""A load being read: its rows, the boat and leg of each, and what is wrong with them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.errors import Finding, Place, offer_words
from kitplan.load.csvlists import COLUMNS
from kitplan.load.legs import AWAY, say_days
from kitplan.load.ramp import ROW, list_spoilt
from kitplan.load.sheet import count_text, show_value
from kitplan.ramp import CAUTION_ROW, SUPPLY

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan import records
    from kitplan.load.ramp import RampSheet
    from kitplan.load.sheet import Sheet
    from kitplan.trip import Leg, Trip

_FEW = 6  # names that fit a line
_NEEDED, _ = COLUMNS["load"]


@dataclass(frozen=True, slots=True)
class Row:
    """A row of which boat and leg are known. `boat` is its name in that leg."""

    number: int
    record: records.RampRow
    boat: str
    leg: int
    name: str


@dataclass(slots=True)
class Page:
    """The rows of a load beside the trip that they name; findings go to the sheet.

    `whole`: no row was left out for what is wrong with it, so that what is not there is not meant
    to be. `said`: what each row turned out to be about, with the row.
    """

    trip: Trip
    file: str
    sheet: Sheet
    rows: list[Row] = field(default_factory=list)
    whole: bool = True
    said: list[tuple[Row, str]] = field(default_factory=list)

    @property
    def legs(self) -> tuple[int, ...]:
        """Return the numbers of the legs that rows are about, sorted."""
        return tuple(sorted({row.leg for row in self.rows}))

    def list_rows(self, *sorts: str) -> Iterator[Row]:
        """Yield the rows of some sorts as they stand in the file."""
        return (row for row in self.rows if row.record.row in sorts)

    def list_places(self) -> dict[tuple[str, str], Place]:
        """Return where each thing of a boat is said first; "" stands for any row of the boat."""
        places: dict[tuple[str, str], Place] = {}
        for row, what in [*((row, "") for row in self.rows), *self.said]:
            places.setdefault((row.boat, what), self.find(row))
        return places

    def find(self, row: Row, key: str = "") -> Place:
        """Return where a key of a row stands, or the row itself."""
        return self.sheet.place(ROW, row.number, *([key] if key else []))

    def say_leg(self, leg: int) -> str:
        """Return " on days 1-3" for a leg that is not the whole trip, "" for one that is."""
        legs = self.trip.legs
        return say_days(legs[leg], legs[-1].last_day)

    def complain(self, row: Row | int, key: str, code: str, *words: str) -> None:
        """Note an error of a key of a row: what is wrong, and what to try.

        What hangs on rows that are not there is not looked for from then on.
        """
        number = row if isinstance(row, int) else row.number
        self._note(self.sheet.place(ROW, number, *([key] if key else [])), code, words)
        self.whole = False

    def complain_of_absence(self, boat: str, code: str, *words: str) -> None:
        """Note an error where a boat is first named, or at the beginning of the file."""
        first = next((self.find(row) for row in self.rows if row.boat == boat), self.top)
        self._note(first, code, words)

    def warn(self, code: str, *words: str) -> None:
        """Note a warning about the file as a whole."""
        self.sheet.findings.append(Finding(self.top, "warning", code, *words))

    @property
    def top(self) -> Place:
        """Return where the file begins."""
        return Place(self.file, 1, 1)

    def _note(self, where: Place, code: str, words: tuple[str, ...]) -> None:
        if where not in self.sheet.settled:
            self.sheet.findings.append(Finding(where, "error", code, *words))

    def complain_of_name(
        self, row: Row | int, key: str, what: tuple[str, str], known: Iterable[str]
    ) -> None:
        """Note that nothing of a sort is called so; `what` is the sort and the name."""
        sort, name = what
        names = sorted(set(known))
        more = "..." if len(names) > _FEW else ""
        some = offer_words(names[:_FEW], more) if names else f"there is no {sort} here"
        code = "unknown-" + sort.replace(" ", "-")
        hint = self.sheet.guess(name, names) or some
        self.complain(row, key, code, f"unknown {sort} {show_value(name)}", hint)

    def require(self, row: Row | int, key: str, value: str | None) -> str:
        """Return a value that a row may not lack; "" and a finding if it does."""
        if not value:
            is_table = self.file.lower().endswith(".toml")
            hint = f"write {key} = ..." if is_table else "fill in this column"
            self.complain(row, key, "missing-key", f"{key} is missing", hint)
        return value or ""


def open_page(rows: RampSheet, trip: Trip, file: str) -> Page:
    """Return the rows with the boat and leg of each; rows that can't be placed are left out."""
    page = Page(trip, file, rows.sheet)
    spoilt = list_spoilt(rows)
    page.whole = not spoilt
    boats = _list_boats(trip)
    for number, record in enumerate(rows.record.row):
        if number in spoilt or record.row in {CAUTION_ROW, SUPPLY}:
            continue
        row = _place_row(page, boats, number, record)
        if row is not None:
            page.rows.append(row)
    return page


def _list_boats(trip: Trip) -> dict[str, dict[int, str]]:
    """Return for each boat, as it is called, its name in each leg that it is in."""
    boats: dict[str, dict[int, str]] = defaultdict(dict)
    for name, boat in trip.boats.items():
        boats[boat.called][boat.leg] = name
    return boats


def _place_row(
    page: Page, boats: dict[str, dict[int, str]], number: int, record: records.RampRow
) -> Row | None:
    called, name = (
        page.require(number, key, None if value is None else str(value))
        for key, value in zip(("boat", "name"), (record.boat, record.name), strict=True)
    )
    day = record.from_day or page.trip.legs[0].first_day
    leg = _find_leg(page.trip.legs, day)
    if leg is None:
        days = count_text(page.trip.legs[-1].last_day, "day")
        words = f"from_day is day {day}, and the trip has {days}", "change it"
        page.complain(number, "from_day", "day-after-end", *words)
    if called and called not in boats:
        page.complain_of_name(number, "boat", ("boat", called), boats)
    elif called and leg is not None and leg not in boats[called]:
        firsts = [str(page.trip.legs[there].first_day) for there in boats[called]]
        words = (
            f"boat {show_value(called)} is not on the water on day {day}",
            f"from_day {' or '.join(firsts)}",
        )
        page.complain(number, "boat", AWAY, *words)
    elif called and name and leg is not None:
        return Row(number, record, boats[called][leg], leg, name)
    return None


def _find_leg(legs: tuple[Leg, ...], day: int) -> int | None:
    return next((n for n, leg in enumerate(legs) if leg.first_day <= day <= leg.last_day), None)
