"""By which names people call boxes and things of stores, and which lots each name may mean."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs.boxes import list_boxes
from kitplan.needs.stores import list_lots, say_lot

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.trip import Leg, Lot, Trip


class Storage:
    """All lots of a trip by name, and the names for them.

    A name is that of a lot, of a single box ("food, day 3, food bag 2 of 2"), or says less: the
    store or the container, perhaps for a day ("food bag, day 3"), or all but which box it is.
    """

    def __init__(self, trip: Trip) -> None:
        self.lots: dict[str, Lot] = {}
        self.boxes: set[str] = set()  # those that have a number
        self._names: dict[str, list[str]] = {}
        for name, (lot, boxes) in list_boxes(list_lots(trip)).items():
            self.lots[name] = lot
            self.boxes |= {box for box in boxes if box != say_lot(lot)}
            for said in dict.fromkeys([name, *boxes, *_list_short(lot)]):
                self._names.setdefault(said, []).append(name)

    def list_names(self, leg: Leg) -> list[str]:
        """Return the names of what is aboard in a leg."""
        return [said for said in self._names if self.find(said, leg)]

    def find(self, said: str, leg: Leg) -> tuple[str, ...]:
        """Return the lots of a name that are aboard in a leg, in their order."""
        return tuple(lot for lot in self._names.get(said, ()) if self._is_aboard(lot, leg))

    def __contains__(self, said: object) -> bool:
        return said in self._names

    def _is_aboard(self, name: str, leg: Leg) -> bool:
        lot = self.lots[name]
        return lot.first_day <= leg.last_day and lot.last_day >= leg.first_day


def _list_short(lot: Lot) -> Iterator[str]:
    """Yield the names that say less than a lot's own."""
    yield say_lot(lot)
    for word in (lot.store, lot.container) if lot.container else (lot.store,):
        yield word
        if lot.day is not None:
            yield f"{word}, day {lot.day}"
