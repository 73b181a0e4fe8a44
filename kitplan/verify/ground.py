"""Who and what is where while one boat is in trouble, piece by piece.

Every person and every single thing is a vertex of its own: a thing is (item, boat, carried, wearer,
number), so that no count is ever trusted.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.trip import BANKS

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
    bundle: str = ""  # what it lies in, as this is carried

    @property
    def loose(self) -> bool:
        """Say whether it counts in backing: no crew paddle, nothing in a bundle."""
        return self.carried != CREW_PADDLE and not self.bundle


@dataclass(frozen=True)
class Ground:
    """The trip as an arrangement has it."""

    trip: Trip
    plan: Arrangement
    _able: dict[tuple[Ask, int], frozenset[str]] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )
    _serving: dict[Thing, frozenset[str]] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )

    def list_pieces(self, boat: str) -> list[Piece]:
        """Return every single thing in a boat: dealt, in bundles, worn, crew paddles."""
        pieces: list[Piece] = []
        for row in self.plan.packed:
            if row.boat == boat:
                pieces += _take(row.item, boat, row.carried, row.worn_by, row.count)
                for one, count in self.trip.catalog.items[row.item].contains:
                    inside = _take(one.name, boat, row.carried, "", count * row.count)
                    pieces += [piece._replace(bundle=row.item) for piece in inside]
        for paddler in self.plan.crew[boat]:
            for item, count in self.trip.paddlers[paddler].wears.items():
                pieces += _take(item, boat, "worn", paddler, count)
        kind = self.trip.boats[boat].type
        if kind.crew_paddle is not None:
            paddles = asks.crew_paddles(self.trip.boats[boat], len(self.plan.crew[boat]))
            pieces += _take(kind.crew_paddle, boat, CREW_PADDLE, "", paddles)
        # What is dealt and what is one's own may read the same, so each piece gets its own number.
        return [piece._replace(number=number) for number, piece in enumerate(pieces)]

    def able(self, paddler: str, ask: Ask, leg: int) -> bool:
        """Say whether a paddler answers what is asked in a leg."""
        return paddler in self.list_able(ask, leg)

    def list_able(self, ask: Ask, leg: int) -> frozenset[str]:
        """Return all paddlers of a leg who answer what is asked."""
        if (ask, leg) not in self._able:
            party, ends = self.trip.list_party(self.trip.legs[leg]), self.trip.legs[leg].ends
            self._able[ask, leg] = frozenset(
                name
                for name, one in party.items()
                if not one.hurt and asks.able(one, ask, ends, self.trip.catalog)
            )
        return self._able[ask, leg]

    def serves(self, piece: Piece, thing: Thing) -> bool:
        """Say whether a piece may serve; a crew paddle not where a spare one is asked."""
        if piece.carried == CREW_PADDLE and thing.spare:
            return False
        return piece.item in self.list_serving(thing)

    def list_serving(self, thing: Thing) -> frozenset[str]:
        """Return the names of all items that may serve."""
        if thing not in self._serving:
            items = self.trip.catalog.items
            self._serving[thing] = frozenset(n for n, i in items.items() if asks.serves(i, thing))
        return self._serving[thing]

    def takes_hand(self, piece: Piece) -> bool:
        """Say whether a piece is carried ashore in hand."""
        return self.trip.catalog.items[piece.item].bulky and not piece.bundle

    def is_bundle(self, piece: Piece) -> bool:
        """Say whether a piece holds others."""
        return bool(self.trip.catalog.items[piece.item].contains)

    def has_place(self, boat: str, option: BoatOption, crew: int) -> bool:
        """Say whether a boat is of the craft and has the free places that an option asks for."""
        kind = self.trip.boats[boat].type
        free = kind.seats - crew + kind.deck_places
        return kind.craft in option.crafts and free >= option.free_places


def name_site(site: str, bank: str) -> tuple[str, str]:
    """Return a site as plans call it, relative to the working bank, and the bank it is on.

    `bank` is "" for work from the water and for unhurried work.
    """
    if site not in BANKS:
        return site, ""
    if not bank:
        return "ashore", site
    return ("working" if site == bank else "far"), site


def name_sites(sites: tuple[str, ...], bank: str) -> tuple[str, str]:
    """Return how plans call the sites of a person slot: by name only where there is one."""
    return name_site(sites[0], bank) if len(sites) == 1 else ("anywhere", "")


def _take(item: str, boat: str, carried: str, worn_by: str, count: int) -> list[Piece]:
    return [Piece(item, boat, carried, worn_by, number) for number in range(count)]
