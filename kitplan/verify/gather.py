"""Whether all who sat in the running boat are taken: one by each thrower, some by each boat.

Throwers and bags are matched piece by piece, boats are counted by their crews, and a loss is tried
by taking it away.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from kitplan.demands import BoatSlot
from kitplan.matching import match
from kitplan.needs import asks_both
from kitplan.needs.words import NO_BOAT, NO_PLACE, NO_THROWER
from kitplan.verify.hands import count_throwers

if TYPE_CHECKING:
    from collections.abc import Mapping

    from kitplan.demands import CatchSlot, Throwing
    from kitplan.verify.ground import Piece
    from kitplan.verify.possible import Judge

    Ashore = dict[Throwing, "At"]


class At(NamedTuple):
    """Who and what is at a site: able throwers, bags that do, and how many have hands to throw."""

    people: list[str]
    bags: list[Piece]
    most: int


def lack_places(
    judge: Judge, slot: CatchSlot, rapid: str, running: str
) -> Counter[tuple[str, str, str]]:
    """Return what is short to take all who sat in the running boat; each piece takes one."""
    thrown = sum(count_pairs(there) for there in list_ashore(judge, slot, rapid, running).values())
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
        one: At(
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
            count_throwers(judge, one.site, rapid, running),
        )
        for one in slot.ashore
    }


def count_pairs(there: At) -> int:
    """Return how many throwers get a bag of their own."""
    return max(0, min(there.most, len(match(dict.fromkeys(there.people, there.bags)))))


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
    """Say whether loose bags take all without any one thrower, bag or boat."""
    there = {
        one: at._replace(bags=[piece for piece in at.bags if piece.loose])
        for one, at in list_ashore(judge, slot, rapid, running).items()
    }
    free = list_free(judge, slot, rapid, running)
    wanted = judge.count_aboard(rapid, running)
    both = must_take_both(judge, slot, rapid, running)

    def takes_all(ashore: Ashore, places: Mapping[str, int]) -> bool:
        thrown, afloat = sum(count_pairs(at) for at in ashore.values()), sum(places.values())
        return thrown + afloat >= wanted and not (both and 0 in {thrown, afloat})

    losses = [(there, {b: n for b, n in free.items() if b != lost}) for lost in (*free, "")]
    for one, at in there.items():
        left = [At([p for p in at.people if p != x], at.bags, at.most - 1) for x in at.people]
        left += [at._replace(bags=[b for b in at.bags if b != x]) for x in at.bags]
        losses += [(there | {one: less}, free) for less in left]
    return all(takes_all(ashore, places) for ashore, places in losses)
