"""Who and what is where while one boat is in trouble, piece by piece.

Every person and every single thing is a vertex of its own: a thing is (item, boat, carried, wearer,
number), so that no count is ever trusted.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks

if TYPE_CHECKING:
    from kitplan.demands import Ask, BoatOption, Thing
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip

CREW_PADDLE = "crew paddle"


class Piece(NamedTuple):
    """One single thing, and where it is."""

    item: str
    boat: str
    carried: str
    worn_by: str
    number: int


@dataclass(frozen=True)
class Ground:
    """The trip as an arrangement has it."""

    trip: Trip
    plan: Arrangement

    def list_pieces(self, boat: str) -> list[Piece]:
        """Return every single thing in a boat: dealt, worn of one's own, crew paddles."""
        pieces: list[Piece] = []
        for row in self.plan.packed:
            if row.boat == boat:
                pieces += _take(row.item, boat, row.carried, row.worn_by, row.count)
        for paddler in self.plan.crew[boat]:
            for item, count in self.trip.paddlers[paddler].wears.items():
                pieces += _take(item, boat, "worn", paddler, count)
        kind = self.trip.boats[boat].type
        if kind.crew_paddle is not None:
            paddles = asks.crew_paddles(self.trip.boats[boat], len(self.plan.crew[boat]))
            pieces += _take(kind.crew_paddle, boat, CREW_PADDLE, "", paddles)
        # What is dealt and what is one's own may read the same, so each piece gets its own number.
        return [piece._replace(number=number) for number, piece in enumerate(pieces)]

    def able(self, paddler: str, ask: Ask) -> bool:
        """Say whether a paddler answers what is asked."""
        return asks.able(self.trip.paddlers[paddler], ask, self.trip.ends, self.trip.catalog)

    def serves(self, piece: Piece, thing: Thing) -> bool:
        """Say whether a piece may serve; a crew paddle not where a spare one is asked."""
        if piece.carried == CREW_PADDLE and thing.spare:
            return False
        return asks.serves(self.trip.catalog.items[piece.item], thing)

    def is_bulky(self, piece: Piece) -> bool:
        """Say whether a piece is carried ashore in hand."""
        return self.trip.catalog.items[piece.item].bulky

    def has_place(self, boat: str, option: BoatOption) -> bool:
        """Say whether a boat is of the craft and has the free places that an option asks for."""
        kind = self.trip.boats[boat].type
        free = kind.seats - len(self.plan.crew[boat]) + kind.deck_places
        return kind.craft in option.crafts and free >= option.free_places


def _take(item: str, boat: str, carried: str, worn_by: str, count: int) -> list[Piece]:
    return [Piece(item, boat, carried, worn_by, number) for number in range(count)]
