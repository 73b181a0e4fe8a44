"""What may be lost of a plan: somebody who is hurt, or one piece; and what is left without it.

Seats, packing and running order stay as they are. Knows nothing of what a loss costs.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.decide.afresh import make_hurt
from kitplan.needs.roster import worn_kinds
from kitplan.plan import ItemPart, Packed, PersonPart

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.plan import Arrangement, DemandResult
    from kitplan.trip import Trip

LINE = "line"


@dataclass(frozen=True, slots=True)
class Loss:
    """One loss, in some legs, by their places in the trip.

    `places`: where he sits, or where the piece lies, once for each leg: `item` is "" for a person.
    `paddler`: who is hurt, or whose own thing is gone; "" for what is dealt to a boat.
    """

    item: str
    paddler: str
    legs: tuple[int, ...]
    places: tuple[Packed, ...]

    @property
    def hurt(self) -> bool:
        """Say whether somebody is hurt, and no piece is gone."""
        return not self.item

    def take_from(self, trip: Trip, arrangement: Arrangement) -> tuple[Trip, Arrangement]:
        """Return trip and arrangement without what is lost."""
        if self.paddler:
            one = trip.paddlers[self.paddler]
            left = make_hurt(one) if self.hurt else replace(one, wears=_drop(one.wears, self.item))
            return replace(trip, paddlers=trip.paddlers | {one.name: left}), arrangement
        kit = trip.kit[self.item]
        rows = (_lower(row) if row in self.places else row for row in arrangement.packed)
        packed = tuple(row for row in rows if row.count)
        fewer = replace(kit, count=kit.count - 1, take=min(kit.take, kit.count - 1))
        return (
            replace(trip, kit=trip.kit | {self.item: fewer}),
            replace(arrangement, packed=packed),
        )

    def asks_anew(self, trip: Trip) -> bool:
        """Say whether the trip may ask in other ways without it: two lines joined for one."""
        if self.hurt:
            return False
        whole = trip.catalog.items[self.item]
        return any(LINE in item.kinds for item, _ in whole.list_pieces())

    def frees_hands(self, trip: Trip) -> bool:
        """Say whether somebody may have free hands instead: it is a bundle."""
        return not self.hurt and bool(trip.catalog.items[self.item].contains)

    def list_bared(self, left: Trip, trip: Trip) -> frozenset[str]:
        """Return the kinds of things of which a paddler wears none any more in what is left."""
        if not self.paddler or self.hurt:
            return frozenset()
        had, has = (worn_kinds(one.paddlers[self.paddler], one.catalog) for one in (trip, left))
        return had - has

    def takes_part(self, result: DemandResult) -> bool:
        """Say whether the paddler is one of the team that is told for a demand."""
        parts = (part for part in result.witness if isinstance(part, PersonPart))
        return any(part.paddler == self.paddler for part in parts)

    def is_spare(self, result: DemandResult, trip: Trip) -> bool:
        """Say whether the team that is told for a demand has enough things without the piece."""
        items = (part for part in result.witness if isinstance(part, ItemPart))
        used = sum(part.count for part in items if self._uses(part))
        return not used or (used < self._count(trip) and not trip.catalog.items[self.item].contains)

    def _uses(self, part: ItemPart) -> bool:
        """Say whether a part of a witness may be what is lost, or lie in it."""
        return any(
            (part.bundle or part.item, part.source, part.carried) == (p.item, p.boat, p.carried)
            and (not p.worn_by or part.worn_by == p.worn_by)
            for p in self.places
        )

    def _count(self, trip: Trip) -> int:
        """Return how many there are in one place."""
        if self.paddler:
            return trip.paddlers[self.paddler].wears[self.item]
        return self.places[0].count


def _drop(wears: dict[str, int], item: str) -> dict[str, int]:
    """Return what is worn with one piece less."""
    left = wears | {item: wears[item] - 1}
    return {name: count for name, count in left.items() if count}


def _lower(row: Packed) -> Packed:
    return replace(row, count=row.count - 1)


def list_hurt(trip: Trip, arrangement: Arrangement) -> Iterator[Loss]:
    """Yield who may be hurt, in all his legs, in the order of the trip; not who is already."""
    for name, paddler in trip.paddlers.items():
        if not paddler.hurt:
            yield Loss("", name, *_find_seats(trip, arrangement, name, ""))


@dataclass(frozen=True, slots=True)
class Piece:
    """An item of which one piece may be lost: in each leg out of one of some places, or worn.

    `dealt`: by leg, where pieces lie. `own`: those that somebody wears of his own, in all his legs.
    """

    item: str
    dealt: dict[int, list[Loss]]
    own: list[Loss]


def list_pieces(trip: Trip, arrangement: Arrangement) -> list[Piece]:
    """Return each item that is dealt out or worn, by name.

    Equal pieces in one boat and in like reach are one loss.
    """
    pieces: dict[str, Piece] = {}

    def get(item: str) -> Piece:
        return pieces.setdefault(item, Piece(item, {}, []))

    for row in _list_alike(trip, arrangement.packed):
        leg = trip.boats[row.boat].leg
        get(row.item).dealt.setdefault(leg, []).append(Loss(row.item, "", (leg,), (row,)))
    for name, paddler in trip.paddlers.items():
        for item in paddler.wears:
            seats = _find_seats(trip, arrangement, name, item)
            get(item).own.append(Loss(item, name, *seats))
    return [pieces[item] for item in sorted(pieces)]


def _list_alike(trip: Trip, packed: Iterable[Packed]) -> list[Packed]:
    """Return the first of the rows that are the same to whoever reaches for the thing."""
    alike: dict[tuple[str, str, str], Packed] = {}
    for row in sorted(packed):
        bundle = bool(trip.catalog.items[row.item].contains)
        carried = row.carried if bundle or row.carried == "stowed" else "in reach"
        alike.setdefault((row.boat, row.item, carried), row)
    return list(alike.values())


def _find_seats(
    trip: Trip, arrangement: Arrangement, name: str, item: str
) -> tuple[tuple[int, ...], tuple[Packed, ...]]:
    """Return the legs somebody is there in, and where he sits, with something worn or nothing."""
    carried = "worn" if item else ""
    seats = sorted(
        (trip.boats[boat].leg, Packed(boat, item, carried, 1, name if item else ""))
        for boat, crew in arrangement.crew.items()
        if name in crew
    )
    return tuple(leg for leg, _ in seats), tuple(place for _, place in seats)
