"""A trip with all that can be had for it in it at once, and the trip as it is with some of it.

In a *widened* trip the counts of kit are raised by what is on offer (`Kit.offered`), and whoever
can be taught something is there a second time, as he is then (`Paddler.taught`): one of the two
comes. Who is on standby changes stores and whatever goes by how many people there are, so that each
set of those who are brought makes a widened trip of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.needs.derive import derive_needs
from kitplan.needs.joined import LINE
from kitplan.needs.useful import Uses
from kitplan.remedies import BRING, BUY, TEACH
from kitplan.trip import Kit

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from kitplan.demands import Needs
    from kitplan.remedies import Remedy
    from kitplan.trip import Item, Lesson, Offer, Paddler, Standby, Trip

PAIR = 2  # copies of a line that tell which lines can be joined


@dataclass(frozen=True, slots=True)
class Widened:
    """A trip with people on standby brought, all offers and all lessons in it, and what it asks.

    `lessons`: by the name of who has had it, as the trip has him.
    """

    trip: Trip
    needs: Needs
    brought: tuple[Standby, ...]
    lessons: dict[str, Lesson]

    def name_person(self, name: str) -> str:
        """Return who somebody of the widened trip is in the trip itself."""
        return self.trip.paddlers[name].taught or name


# --- widening -------------------------------------------------------------------------------------


def widen(trip: Trip, bring: Iterable[str] = ()) -> Widened:
    """Return a trip with some people on standby in it, and all else that can be had.

    Of an item as many copies more are on offer as the market says, but no more than can be of use
    (`Uses.count`), and none where another one does all that it does for no more money.
    """
    standbys = tuple(trip.market.standbys[name] for name in bring)
    with_all = _bring(trip, standbys)
    lessons = _name_lessons(with_all)
    taught = _teach_all(with_all, lessons)
    # What is of use depends on what is asked, which itself depends on which lines there are.
    tried = _offer(taught, dict.fromkeys(trip.market.offers, PAIR))
    needs = derive_needs(tried)
    uses = Uses(taught, needs)
    useful = {
        name: max(0, uses.count(trip.market.offers[name].item) - _count_owned(taught, name))
        for name in uses.list_worth()
    }
    widened = _offer(taught, useful)
    if _list_lines(widened) != _list_lines(tried):
        needs = derive_needs(widened)
    return Widened(widened, needs, standbys, lessons)


def _list_lines(trip: Trip) -> list[tuple[Item, int]]:
    """Return which lines there are, up to a pair of each, and which of them are owned."""
    pieces = (row for kit in trip.kit.values() for row in kit.item.list_pieces(kit.count))
    return [(item, min(PAIR, n)) for item, n in pieces if LINE in item.kinds]


def _bring(trip: Trip, standbys: Collection[Standby]) -> Trip:
    """Return the trip with some people on standby there, in the legs they would come along on."""
    people = {one.paddler.name: one.paddler for one in standbys}
    there = [
        [one.paddler.name for one in standbys if not one.legs or number in one.legs]
        for number in range(len(trip.legs))
    ]
    legs = tuple(
        replace(leg, paddlers=(*leg.paddlers, *names))
        for leg, names in zip(trip.legs, there, strict=True)
    )
    left = {name: one for name, one in trip.market.standbys.items() if name not in people}
    market = replace(trip.market, standbys=left)
    return replace(trip, paddlers={**trip.paddlers, **people}, legs=legs, market=market)


def _name_lessons(trip: Trip) -> dict[str, Lesson]:
    """Return the lessons of those who are there, by a name for each who has had one."""
    named: dict[str, Lesson] = {}
    for lesson in trip.market.lessons:
        paddler = trip.paddlers.get(lesson.paddler)
        if paddler is not None and paddler.level(lesson.skill) < lesson.level:
            name = f"{lesson.paddler}, taught {lesson.skill} {lesson.level}"
            while name in trip.paddlers or name in named:
                name = f"{name} as well"
            named[name] = lesson
    return named


def _teach_all(trip: Trip, lessons: Mapping[str, Lesson]) -> Trip:
    """Return the trip with whoever can be taught in it once more for each lesson."""
    taught = {
        name: replace(_teach(trip.paddlers[one.paddler], one), name=name, taught=one.paddler)
        for name, one in lessons.items()
    }
    legs = tuple(
        replace(leg, paddlers=(*leg.paddlers, *(n for n, p in taught.items() if p.taught in there)))
        for leg in trip.legs
        for there in (frozenset(leg.paddlers),)
    )
    return replace(trip, paddlers={**trip.paddlers, **taught}, legs=legs)


def _teach(paddler: Paddler, lesson: Lesson) -> Paddler:
    """Return somebody once he has had a lesson: the same but for his level in one skill."""
    return replace(
        paddler,
        skills={**paddler.skills, lesson.skill: lesson.level},
        faded=tuple(row for row in paddler.faded if row[0] != lesson.skill),
        undated=tuple(skill for skill in paddler.undated if skill != lesson.skill),
    )


def _offer(trip: Trip, useful: Mapping[str, int]) -> Trip:
    """Return the trip with so many copies more of each item, if the market has as many."""
    more = {}
    for name, offer in trip.market.offers.items():
        most = useful.get(name, 0)
        most = most if offer.most is None else min(most, offer.most)
        if most > 0:
            more[name] = most
    return _own(trip, {n: _raise(trip, trip.market.offers[n], k, k) for n, k in more.items()})


def _raise(trip: Trip, offer: Offer, more: int, offered: int) -> Kit:
    kit = trip.kit.get(offer.item.name) or Kit(offer.item, 0, where=offer.where)
    return replace(kit, count=kit.count + more, offered=offered)


def _own(trip: Trip, kit: Mapping[str, Kit]) -> Trip:
    """Return the trip with kit of its own changed, and new kit there in all legs."""
    new = tuple(name for name in kit if name not in trip.kit)
    legs = tuple(replace(leg, kit=(*leg.kit, *new)) for leg in trip.legs) if new else trip.legs
    return replace(trip, kit={**trip.kit, **kit}, legs=legs)


def _count_owned(trip: Trip, item: str) -> int:
    return trip.kit[item].count if item in trip.kit else 0


# --- remedies made --------------------------------------------------------------------------------


def apply(trip: Trip, remedies: Iterable[Remedy]) -> Trip:
    """Return the trip as it is once remedies are made: one that any command can plan.

    Its market is what can be had besides: who was taught takes no further lesson. A remedy that is
    not on the market raises KeyError, a lesson that is not ValueError.
    """
    made = list(remedies)
    names = [one.name for one in made if one.sort == BRING]
    trip = _bring(trip, [trip.market.standbys[name] for name in names])
    for one in made:
        if one.sort == BUY:
            offer = trip.market.offers[one.name]
            trip = _own(trip, {one.name: _raise(trip, offer, one.count, 0)})
            trip = replace(trip, market=replace(trip.market, offers=_leave(trip, offer, one)))
        elif one.sort == TEACH:
            trip = _learn(trip, one)
    return trip


def _leave(trip: Trip, offer: Offer, bought: Remedy) -> dict[str, Offer]:
    """Return the offers that are left once some copies of one are bought."""
    if offer.most is None:
        return trip.market.offers
    left = replace(offer, most=offer.most - bought.count)
    offers = {**trip.market.offers, bought.name: left}
    return {name: one for name, one in offers.items() if one.most != 0}


def _learn(trip: Trip, remedy: Remedy) -> Trip:
    asked = (remedy.name, remedy.skill, remedy.level)
    taken = [one for one in trip.market.lessons if (one.paddler, one.skill, one.level) == asked]
    if not taken:
        message = f"no lesson on offer: {remedy.name}, {remedy.skill} {remedy.level}"
        raise ValueError(message)
    left = tuple(one for one in trip.market.lessons if one.paddler != remedy.name)
    taught = _teach(trip.paddlers[remedy.name], taken[0])
    return replace(
        trip,
        paddlers={**trip.paddlers, remedy.name: taught},
        market=replace(trip.market, lessons=left),
    )
