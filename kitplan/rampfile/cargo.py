"""What lies where: rows of kit, of boxes and of things of stores.

A name may mean several things that are alike for people and not for the plan: a piece of kit or
one of the camp, boxes used one after the other. What no row names more closely is dealt in the
trip's order of boats, stores before kit: all stores go along, and kit may stay at home.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.load.sheet import show_value
from kitplan.plan import Packed, Stowed
from kitplan.ramp import BOX, ITEM
from kitplan.rampfile.seats import is_there
from kitplan.rampfile.storage import Storage

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from kitplan.rampfile.page import Page, Row
    from kitplan.trip import Item, Leg

    Crews = Mapping[str, tuple[str, ...]]

STOWED, WORN = "stowed", "worn"
OTHERWISE = "carried-otherwise"
"""Code of rows that say how stores lie, or who wears a thing, as it can't be."""


@dataclass(frozen=True, slots=True)
class _Piece:
    """A row with what it may mean: lots, or the kit of its name, carried so; "" for no kit."""

    row: Row
    lots: tuple[str, ...]
    item: str
    carried: str

    @property
    def count(self) -> int:
        return self.row.record.count or 1

    @property
    def sources(self) -> tuple[tuple[str, bool], ...]:
        """Return what it is taken from in turn: name, and whether it is a lot."""
        kit = [(self.item, False)] if self.item else []
        return (*((lot, True) for lot in self.lots), *kit)


def read_cargo(page: Page, crew: Crews) -> tuple[tuple[Packed, ...], tuple[Stowed, ...] | None]:
    """Return kit and stores, each sorted; None for stores where no row is about any."""
    reader = _CargoReader(page, crew)
    pieces = [piece for row in page.list_rows(ITEM, BOX) if (piece := reader.read(row))]
    packed: Counter[tuple[str, str, str, str]] = Counter()
    stowed: Counter[tuple[str, str]] = Counter()
    for piece, name, is_lot, count in _deal(page, reader.storage, pieces):
        row = piece.row
        page.said.append((row, name))
        if is_lot:
            stowed[row.boat, name] += count
        else:
            packed[row.boat, name, piece.carried, row.record.worn_by or ""] += count
    return (
        tuple(
            sorted(Packed(boat, item, how, n, who) for (boat, item, how, who), n in packed.items())
        ),
        tuple(sorted(Stowed(*key, n) for key, n in stowed.items())) if stowed else None,
    )


class _CargoReader:
    """Finds out what each row may mean, one row at a time."""

    def __init__(self, page: Page, crew: Crews) -> None:
        self._page = page
        self._crew = crew
        self.storage = Storage(page.trip)
        self._boxes: dict[tuple[int, str], Row] = {}

    def read(self, row: Row) -> _Piece | None:
        """Return what a row may mean, None and findings if nothing."""
        leg = self._page.trip.legs[row.leg]
        lots = self._find_lots(row, leg)
        is_kit = row.record.row == ITEM and row.record.lot is None and row.name in leg.kit
        if lots is None:
            return None
        if not lots and not is_kit:
            self._complain_of_stranger(row)
            return None
        item = self._page.trip.catalog.items[row.name] if is_kit else None
        piece = self._choose(row, lots, item)
        return piece if piece and self._check(piece) else None

    def _find_lots(self, row: Row, leg: Leg) -> tuple[str, ...] | None:
        """Return the lots that a row may mean; None and a finding if it names another one."""
        lots, lot = self.storage.find(row.name, leg), row.record.lot
        if lot is None or lot in lots:
            return lots if lot is None else (lot,)
        self._page.complain_of_name(row, "lot", ("lot", lot), lots)
        return None

    def _choose(self, row: Row, lots: tuple[str, ...], item: Item | None) -> _Piece | None:
        """Return the piece; what may be of the stores or kit is so only as it may lie."""
        record = row.record
        if lots and (record.carried or STOWED) == STOWED and not record.worn_by:
            fits = item is not None and STOWED in item.carried
            return _Piece(row, lots, row.name if fits else "", STOWED)
        if item is not None:
            carried = self._find_way(row, item)
            return _Piece(row, (), row.name, carried) if carried else None
        message = f"{show_value(row.name)} is of the stores, and these lie {STOWED}"
        key = "worn_by" if record.worn_by else "carried"
        self._page.complain(row, key, OTHERWISE, message, f"{STOWED}, or leave it out")
        return None

    def _complain_of_stranger(self, row: Row) -> None:
        """Complain of a name that is nothing aboard in the row's leg."""
        page, leg = self._page, self._page.trip.legs[row.leg]
        said, when = show_value(row.name), page.say_leg(row.leg)
        is_item = row.record.row == ITEM
        if row.name in self.storage or (is_item and row.name in page.trip.kit):
            words = f"{said} is not there{when}", "look at from_day"
            page.complain(row, "name", f"{row.record.row}-away", *words)
        elif is_item and any(row.name in p.wears for p in page.trip.paddlers.values()):
            words = f"{said} is no kit of the party", "leave out what people wear of their own"
            page.complain(row, "name", "not-owned", *words)
        elif is_item and row.name in page.trip.catalog.items:
            words = f"the party has no {said}", "add it to the kit of the trip"
            page.complain(row, "name", "not-owned", *words)
        else:
            known = [*self.storage.list_names(leg), *(leg.kit if is_item else ())]
            page.complain_of_name(row, "name", (row.record.row, row.name), known)

    def _find_way(self, row: Row, item: Item) -> str:
        """Return how a piece of kit is carried: as said, or the only way; "" and a finding else.

        What is said is taken as it is, though the item may never be carried so.
        """
        said = row.record.carried or (WORN if row.record.worn_by else None)
        if said is not None:
            return said
        dealt = [way for way in item.carried if way != WORN or item.worn_on in {"vest", "waist"}]
        if len(dealt) == 1:
            return dealt[0]
        message = f"how {show_value(row.name)} is carried is not said"
        ways = " or ".join(dealt) or "leave this row out"
        self._page.complain(row, "carried", "missing-key", message, ways)
        return ""

    def _check(self, piece: _Piece) -> bool:
        """Say whether a row is clear about how its piece lies and who wears it."""
        row = piece.row
        if row.name in self.storage.boxes:
            return self._check_box(row)
        return self._check_wearer(row, piece)

    def _check_box(self, row: Row) -> bool:
        first = self._boxes.setdefault((row.leg, row.name), row)
        if first is not row:
            message = f"this box lies in a boat already, at {self._page.find(first).text()}"
            self._page.complain(row, "name", "box-twice", message, "leave one of the two rows out")
        elif row.record.count not in {None, 1}:
            message = f"count is {row.record.count}, and this is a single box"
            self._page.complain(row, "count", "more-than-one", message, "1, or leave it out")
        else:
            return True
        return False

    def _check_wearer(self, row: Row, piece: _Piece) -> bool:
        """Say whether what is worn is so by somebody in the boat, and nothing else is."""
        page, wearer = self._page, row.record.worn_by or ""
        if piece.carried != WORN:
            if wearer:
                message = f"worn_by is said, and {show_value(row.name)} is {piece.carried}"
                page.complain(row, "worn_by", OTHERWISE, message, f"{WORN}, or leave it out")
            return not wearer
        if not page.require(row, "worn_by", wearer) or not is_there(page, row, "worn_by", wearer):
            return False
        crews = ((boat, self._crew.get(boat, ())) for boat in page.trip.legs[row.leg].boats)
        there = next((boat for boat, crew in crews if wearer in crew), "")
        if there != row.boat and (there or page.whole):
            seat = (
                f"sits in {show_value(page.trip.boats[there].called)}" if there else "has no seat"
            )
            message = f"{wearer} {seat}, and wears nothing of another boat"
            hint = "somebody who sits in this boat"
            page.complain(row, "worn_by", "worn-elsewhere", message, hint)
        return there == row.boat


# --- dealing --------------------------------------------------------------------------------------


def _deal(
    page: Page, storage: Storage, pieces: list[_Piece]
) -> Iterator[tuple[_Piece, str, bool, int]]:
    """Yield how many of which kit or lot a piece is, the closest names dealt first.

    Names either exclude or include each other ("food bag, day 3", "food bag"), so that what runs
    out so is too much however it is dealt. Complains of that once for what may mean the same.
    """
    order = {boat: number for number, boat in enumerate(page.trip.boats)}
    left = _count_all(page, storage)
    too_many: set[tuple[int, tuple[tuple[str, bool], ...]]] = set()
    for piece in sorted(pieces, key=lambda p: (len(p.sources), order[p.row.boat], p.row.number)):
        missing, leg = piece.count, piece.row.leg
        for name, is_lot in piece.sources:
            count = min(missing, left[leg, name, is_lot])
            left[leg, name, is_lot] -= count
            missing -= count
            if count:
                yield piece, name, is_lot, count
        if missing and (leg, piece.sources) not in too_many:
            too_many.add((leg, piece.sources))
            _complain_of_too_many(page, storage, piece, pieces)


def _count_all(page: Page, storage: Storage) -> Counter[tuple[int, str, bool]]:
    """Return how many there are in each leg of each lot and item of kit."""
    there: Counter[tuple[int, str, bool]] = Counter()
    for number, leg in enumerate(page.trip.legs):
        there.update({(number, name, False): page.trip.kit[name].count for name in leg.kit})
        there.update({(number, name, True): lot.count for name, lot in storage.lots.items()})
    return there


def _complain_of_too_many(
    page: Page, storage: Storage, piece: _Piece, pieces: list[_Piece]
) -> None:
    there = _count_all(page, storage)
    leg, sources = piece.row.leg, set(piece.sources)
    owned = sum(there[leg, *source] for source in sources)
    dealt = sum(p.count for p in pieces if p.row.leg == leg and sources.issuperset(p.sources))
    said = f"{dealt} x {show_value(piece.row.name)} in the boats{page.say_leg(leg)}"
    message = f"{said}, and there {'is' if owned == 1 else 'are'} {owned}"
    page.complain(
        piece.row, "count", "more-than-owned", message, "count again, or look at the trip"
    )
