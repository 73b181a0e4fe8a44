"""What can't be so in what is said to have happened on the way.

All is said as of the evening before a day: on the ramp before the first one. Boats go by what they
are called. Knows nothing of what the trip becomes by it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.decide.evening import (
    find_day_before,
    find_evening_leg,
    list_aboard,
    list_legs_left,
    tell_evening,
)
from kitplan.decide.skipped import find_skipped
from kitplan.errors import NOWHERE, Finding, nearest_word, offer_words, shorten
from kitplan.units import show_mass

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from kitplan.happened import Evening, Happened
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip

_MOST_QUOTED = 60  # signs of a name that a finding repeats


def find_wrong(trip: Trip, arrangement: Arrangement, happened: Happened) -> list[Finding]:
    """Return what can't be so in what is said to have happened; empty if nothing is wrong.

    Where the day is none of the trip's, nothing else is looked at.
    """
    return check_day(trip, happened) or find_wrong_that_evening(
        trip, tell_evening(trip, arrangement, happened), happened
    )


def check_day(trip: Trip, happened: Happened) -> list[Finding]:
    """Return a finding if the day is none of the trip's."""
    if happened.day in trip.days:
        return []
    days = f"the trip has days {trip.days[0]} to {trip.days[-1]}"
    hint = "name the day that is to come next"
    return [_complain("out-of-range", f"day {happened.day}, and {days}", hint)]


def find_wrong_that_evening(trip: Trip, evening: Evening, happened: Happened) -> list[Finding]:
    """Return what can't be so after an evening; the day must be one of the trip's."""
    look = _Look(trip, evening, happened)
    return [
        *look.check_boats(),
        *look.check_people(),
        *look.check_items(),
        *look.check_rapids(),
    ]


@dataclass(frozen=True, slots=True)
class _Look:
    """The trip and how all lay, to be held against what happened."""

    trip: Trip
    evening: Evening
    happened: Happened

    def check_boats(self) -> Iterator[Finding]:
        """Yield what is wrong with boats lost or damaged, and if none is left on some day."""
        for boat in dict.fromkeys((*self.happened.lost, *self.happened.damaged)):
            yield from self._check_boat(boat)
        known = {one.called for one in self.trip.boats.values()}
        for boat in self.happened.left:
            if boat not in known:
                yield _say_unknown("boat", boat, known)
        for boat, payload_g in self.happened.damaged.items():
            yield from self._check_payload(boat, payload_g)
        for leg in list_legs_left(self.trip, self.happened):
            if all(self.trip.boats[boat].called in self.happened.gone for boat in leg.boats):
                day = max(leg.first_day, self.happened.day)
                message = f"all boats of day {day} are lost"
                yield _complain("no-boats", message, "without a boat there is nothing to plan")
                return

    def _check_boat(self, boat: str) -> Iterator[Finding]:
        """Yield a finding if a boat is unknown, or is not on the water that evening."""
        known = {one.called for one in self.trip.boats.values()}
        there = {
            self.trip.boats[b].called for b in find_evening_leg(self.trip, self.happened).boats
        }
        if boat not in known:
            yield _say_unknown("boat", boat, known)
        elif boat not in there:
            day = find_day_before(self.trip, self.happened)
            message = f"boat '{boat}' is not on the water on day {day}"
            yield _complain("boat-away", message, f"one of {', '.join(sorted(there))}")

    def _check_payload(self, boat: str, payload_g: int) -> Iterator[Finding]:
        kinds = [one.type for one in self.trip.boats.values() if one.called == boat]
        if boat in self.happened.lost:
            message = f"boat '{boat}' is lost and damaged"
            yield _complain("said-twice", message, "say one of them")
        if payload_g <= 0:
            message = f"boat '{boat}' has a payload of {show_mass(payload_g)} left"
            hint = "say what it still carries, or that it is lost"
            yield _complain("out-of-range", message, hint)
        elif kinds and payload_g > kinds[0].payload_g:
            own = show_mass(kinds[0].payload_g)
            message = f"boat '{boat}' has a payload of {show_mass(payload_g)} left, and had {own}"
            yield _complain("out-of-range", message, "say what it still carries")

    def check_people(self) -> Iterator[Finding]:
        """Yield what is wrong with who is absent or hurt, and if nobody is left on some day."""
        legs = list_legs_left(self.trip, self.happened)
        there = {name for leg in legs for name in leg.paddlers}
        for name in dict.fromkeys((*self.happened.absent, *self.happened.hurt)):
            if name not in self.trip.paddlers:
                yield _say_unknown("paddler", name, there)
            elif name not in there:
                message = f"'{name}' is not there from day {self.happened.day} on anyway"
                yield _complain("paddler-away", message, "leave it out")
            elif name in self.happened.absent and name in self.happened.hurt:
                hint = "absent is who is not there any more, hurt who has a seat"
                yield _complain("said-twice", f"'{name}' is absent and hurt", hint)
        for leg in legs:
            if all(name in self.happened.absent for name in leg.paddlers):
                day = max(leg.first_day, self.happened.day)
                hint = "without anybody there is nothing to plan"
                yield _complain("no-paddlers", f"nobody is left on day {day}", hint)
                return

    def check_items(self) -> Iterator[Finding]:
        """Yield what is wrong with things that are lost: out of boats, or people's own."""
        boats = {one.called for one in self.trip.boats.values()}
        lay: Counter[tuple[str, str]] = Counter()
        for row in list_aboard(self.evening, self.happened):
            lay[row.boat, row.item] += row.count
        for (boat, item), count in self.happened.lost_items.items():
            if boat in self.trip.paddlers and boat not in boats:
                yield from self._check_own(boat, item, count)
                continue
            if boat not in boats:
                yield _say_unknown("boat or paddler", boat, {*boats, *self.trip.paddlers})
                continue
            bad = list(self._check_boat(boat))
            if item not in self.trip.kit:
                bad.append(_say_unknown("item", item, self.trip.kit))
            elif count < 1:
                message = f"{count} x {item} lost"
                bad.append(_complain("out-of-range", message, "say how many, 1 or more"))
            elif not bad and count > lay[boat, item]:
                bad.append(self._say_too_many(boat, item, lay[boat, item]))
            yield from bad

    def _check_own(self, name: str, item: str, count: int) -> Iterator[Finding]:
        """Yield what is wrong with a paddler's own things that are lost."""
        wears = self.trip.paddlers[name].wears
        legs = list_legs_left(self.trip, self.happened)
        if not any(name in leg.paddlers for leg in legs):
            message = f"'{name}' is not there from day {self.happened.day} on anyway"
            yield _complain("paddler-away", message, "leave it out")
        elif item not in wears:
            message = f"'{item}' is nothing of {name}'s own"
            hint = nearest_word(item, wears) or "kit that is dealt out is lost as BOAT:ITEM"
            yield _complain("unknown-item", message, hint)
        elif not 1 <= count <= wears[item]:
            message = f"{count} x {item} lost, and {name} wears {wears[item]}"
            yield _complain("lost-over-count", message, "say how many, 1 or more")

    def _say_too_many(self, boat: str, item: str, there: int) -> Finding:
        message = f"{self.happened.lost_items[boat, item]} x {item} lost, and {there} in '{boat}'"
        hint = "look at the boat's card; what people wear of their own is lost as PADDLER:ITEM"
        if boat in self.happened.lost:
            hint = "the boat is lost, and with it all but what its crew wears"
        return _complain("lost-over-count", message, hint)

    def check_rapids(self) -> Iterator[Finding]:
        """Yield what is wrong with rapids that are skipped."""
        days = {rapid.name: rapid.day for rapid in self.trip.rapids.values()}
        rapids = self.trip.rapids.values()
        left = {r.place or r.name: r.day for r in rapids if r.day >= self.happened.day}
        for name in dict.fromkeys(self.happened.skipped):
            meant = find_skipped(self.trip, name)
            last = max((days[one] for one in meant), default=None)
            if last is None:
                yield _say_unknown("rapid", name, left)
            elif last < self.happened.day:
                message = f"rapid '{name}' was passed on day {last}"
                yield _complain("rapid-passed", message, "leave it out")


def _say_unknown(word: str, name: str, known: Collection[str]) -> Finding:
    near = nearest_word(name, known)
    hint = near or (offer_words(sorted(known)) if known else f"there is no {word} left")
    said = f"unknown {word} '{shorten(name, _MOST_QUOTED)}'"
    return _complain(f"unknown-{word.partition(' ')[0]}", said, hint)


def _complain(code: str, message: str, hint: str) -> Finding:
    return Finding(NOWHERE, "error", code, message, hint)
