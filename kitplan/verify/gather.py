"""Whether all who sat in the running boat are taken: one by each thrower, some by each boat.

Throwers and bags are matched piece by piece, boats are counted by their crews, and a loss is tried
by taking it away.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.demands import BoatSlot
from kitplan.matching import match
from kitplan.needs import asks_both
from kitplan.needs.words import NO_BOAT, NO_PLACE, NO_THROWER
from kitplan.verify.ground import CREW_PADDLE

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from kitplan.demands import CatchSlot, Throwing
    from kitplan.verify.ground import Piece
    from kitplan.verify.possible import Judge

    Ashore = dict[Throwing, tuple[list[str], list[Piece]]]
    """Who and what is at each site: able throwers, and bags that do."""


def lack_places(
    judge: Judge, slot: CatchSlot, rapid: str, running: str
) -> Counter[tuple[str, str, str]]:
    """Return what is short to take all who sat in the running boat; each piece takes one."""
    thrown = sum(count_pairs(*there) for there in list_ashore(judge, slot, rapid, running).values())
    free = sum(list_free(judge, slot, rapid, running).values())
    wanted = judge.count_aboard(rapid, running)
    short: Counter[tuple[str, str, str]] = Counter()
    both = must_take_both(judge, slot, rapid, running)
    if both and thrown == 0:
        short["swimmer", "", NO_THROWER] = 1
    if both and free == 0:
        short["swimmer", "", NO_BOAT] = 1
    rest = wanted - thrown - free - short.total()
    if rest > 0:
        short["swimmer", "", NO_PLACE] = rest
    return short


def must_take_both(judge: Judge, slot: CatchSlot, rapid: str, running: str) -> bool:
    """Say whether some must be taken ashore and some afloat while this boat runs."""
    place = judge.ground.trip.rapids[rapid]
    return asks_both(slot, place, judge.ground.plan.list_run(place.boats).index(running))


def list_ashore(judge: Judge, slot: CatchSlot, rapid: str, running: str) -> Ashore:
    """Return for each site who stands there and may throw, and the bags there that do."""
    people = [
        (p, judge.station(rapid, b, running))
        for b in judge.list_others(rapid, running)
        for p in judge.list_all(b, rapid)
    ]
    return {
        one: (
            [
                p
                for p, at in people
                if at == one.site and judge.ground.able(p, one.ask, judge.leg_of(running))
            ],
            [
                piece
                for piece in judge.list_at(one.site, rapid, running)
                if judge.ground.serves(piece, one.bag)
            ],
        )
        for one in slot.ashore
    }


def count_pairs(throwers: Iterable[str], bags: Iterable[Piece]) -> int:
    """Return how many throwers get a bag of their own."""
    row = list(bags)
    return len(match(dict.fromkeys(throwers, row)))


def list_free(judge: Judge, slot: CatchSlot, rapid: str, running: str) -> dict[str, int]:
    """Return the free places of each boat that is afloat and can take swimmers."""
    work = BoatSlot(slot.work, ("afloat",), slot.options)
    able = {b for boats in judge.edge_boats([work], rapid, running).values() for b in boats}
    return {b: free for b in sorted(able) if (free := count_free(judge, b)) > 0}


def count_free(judge: Judge, boat: str) -> int:
    """Return how many more a boat takes: on its seats and on its deck."""
    kind = judge.ground.trip.boats[boat].type
    return kind.seats + kind.deck_places - len(judge.ground.plan.crew[boat])


def outlives_losses(judge: Judge, slot: CatchSlot, rapid: str, running: str) -> bool:
    """Say whether all are taken without crew paddles and any one thrower, bag or boat."""
    there = {
        one: (people, [piece for piece in bags if piece.carried != CREW_PADDLE])
        for one, (people, bags) in list_ashore(judge, slot, rapid, running).items()
    }
    free = list_free(judge, slot, rapid, running)
    wanted = judge.count_aboard(rapid, running)
    both = must_take_both(judge, slot, rapid, running)

    def takes_all(ashore: Ashore, places: Mapping[str, int]) -> bool:
        thrown, afloat = sum(count_pairs(*at) for at in ashore.values()), sum(places.values())
        return thrown + afloat >= wanted and not (both and 0 in {thrown, afloat})

    losses = [(there, {b: n for b, n in free.items() if b != lost}) for lost in (*free, "")]
    for one, (people, bags) in there.items():
        losses += [(there | {one: ([p for p in people if p != x], bags)}, free) for x in people]
        losses += [(there | {one: (people, [b for b in bags if b != x])}, free) for x in bags]
    return all(takes_all(ashore, places) for ashore, places in losses)
