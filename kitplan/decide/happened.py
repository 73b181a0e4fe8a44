"""What happened on the way, and what of it can't be so.

All is said as of the evening before a day: on the ramp before the first one. Boats go by what they
are called. Knows nothing of what the trip becomes by it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.errors import NOWHERE, Finding, nearest_word
from kitplan.units import show_mass

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from kitplan.plan import Arrangement, Packed
    from kitplan.trip import Leg, Trip

_CARRIED_OFF = ("quick", "stowed", "worn")
"""What of an item is taken to be lost first, where some of it is."""


@dataclass(frozen=True, slots=True)
class Happened:
    """What happened before a day of the trip, which is the next to come.

    `lost`: boats with all that lay in them, their crews saved with what they wear; who was not is
    `absent` too. `damaged`: boat -> grams of payload left. `absent`: who is not there any more, or
    will not come. `hurt`: who takes a seat and does nothing. `lost_items`: (boat, item) -> how many
    of those dealt to it. `skipped`: rapids that are portaged, all passages of one by its own name.
    """

    day: int
    lost: tuple[str, ...] = ()
    damaged: dict[str, int] = field(default_factory=dict)
    absent: tuple[str, ...] = ()
    hurt: tuple[str, ...] = ()
    lost_items: dict[tuple[str, str], int] = field(default_factory=dict)
    skipped: tuple[str, ...] = ()


def find_day_before(trip: Trip, happened: Happened) -> int:
    """Return the day that is over; the trip's first one where none is."""
    return max(trip.days[0], happened.day - 1)


def find_evening(trip: Trip, happened: Happened) -> Leg:
    """Return the leg of the day that is over, or the first one."""
    day = find_day_before(trip, happened)
    return next(leg for leg in trip.legs if day <= leg.last_day)


def list_legs_left(trip: Trip, happened: Happened) -> list[Leg]:
    """Return the legs that are not over, as the trip has them."""
    return [leg for leg in trip.legs if leg.last_day >= happened.day]


def list_packed_left(trip: Trip, arrangement: Arrangement, happened: Happened) -> list[Packed]:
    """Return what is left that evening of what was dealt to the boats, and how it lies.

    Gone is what lay quick or stowed in a lost boat, what those wore who were not saved from it, and
    what is lost: of an item in a boat first what lies quick, then what is stowed, then what is
    worn.
    """
    lost = happened.lost_items.copy()
    rows = _list_aboard(trip, arrangement, happened)
    rows.sort(key=lambda row: (_CARRIED_OFF.index(row.carried), row))
    left = []
    for row in rows:
        key = trip.boats[row.boat].called, row.item
        gone = min(row.count, lost.get(key, 0))
        lost[key] = lost.get(key, 0) - gone
        if row.count > gone:
            left.append(replace(row, count=row.count - gone))
    return sorted(left)


def _list_aboard(trip: Trip, arrangement: Arrangement, happened: Happened) -> list[Packed]:
    """Return what was dealt and is not lost with a boat."""
    there = find_evening(trip, happened).boats
    return [
        row
        for row in arrangement.packed
        if row.boat in there
        and (
            trip.boats[row.boat].called not in happened.lost
            or (row.carried == "worn" and row.worn_by not in happened.absent)
        )
    ]


# --- what can't be so -----------------------------------------------------------------------------


def find_wrong(trip: Trip, arrangement: Arrangement, happened: Happened) -> list[Finding]:
    """Return what can't be so in what is said to have happened; empty if nothing is wrong.

    Where the day is none of the trip's, nothing else is looked at.
    """
    if happened.day not in trip.days:
        days = f"the trip has days {trip.days[0]} to {trip.days[-1]}"
        hint = "name the day that is to come next"
        return [_complain("out-of-range", f"day {happened.day}, and {days}", hint)]
    look = _Look(trip, arrangement, happened)
    return [
        *look.check_boats(),
        *look.check_people(),
        *look.check_items(),
        *look.check_rapids(),
    ]


@dataclass(frozen=True, slots=True)
class _Look:
    """The trip and the plan, to be held against what happened."""

    trip: Trip
    arrangement: Arrangement
    happened: Happened

    def check_boats(self) -> Iterator[Finding]:
        """Yield what is wrong with boats lost or damaged, and if none is left on some day."""
        for boat in dict.fromkeys((*self.happened.lost, *self.happened.damaged)):
            yield from self._check_boat(boat)
        for boat, payload_g in self.happened.damaged.items():
            yield from self._check_payload(boat, payload_g)
        for leg in list_legs_left(self.trip, self.happened):
            if all(self.trip.boats[boat].called in self.happened.lost for boat in leg.boats):
                day = max(leg.first_day, self.happened.day)
                message = f"all boats of day {day} are lost"
                yield _complain("no-boats", message, "without a boat there is nothing to plan")
                return

    def _check_boat(self, boat: str) -> Iterator[Finding]:
        """Yield a finding if a boat is unknown, or is not on the water that evening."""
        known = {one.called for one in self.trip.boats.values()}
        there = {self.trip.boats[b].called for b in find_evening(self.trip, self.happened).boats}
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
        """Yield what is wrong with things that are lost out of boats."""
        lay: Counter[tuple[str, str]] = Counter()
        for row in _list_aboard(self.trip, self.arrangement, self.happened):
            lay[self.trip.boats[row.boat].called, row.item] += row.count
        for (boat, item), count in self.happened.lost_items.items():
            bad = list(self._check_boat(boat))
            if item not in self.trip.kit:
                bad.append(_say_unknown("item", item, self.trip.kit))
            elif count < 1:
                message = f"{count} x {item} lost"
                bad.append(_complain("out-of-range", message, "say how many, 1 or more"))
            elif not bad and count > lay[boat, item]:
                bad.append(self._say_too_many(boat, item, lay[boat, item]))
            yield from bad

    def _say_too_many(self, boat: str, item: str, there: int) -> Finding:
        message = f"{self.happened.lost_items[boat, item]} x {item} lost, and {there} in '{boat}'"
        hint = "look at the boat's card; what people wear of their own is not on it"
        if boat in self.happened.lost:
            hint = "the boat is lost, and with it all but what its crew wears"
        return _complain("lost-over-count", message, hint)

    def check_rapids(self) -> Iterator[Finding]:
        """Yield what is wrong with rapids that are skipped."""
        days = {rapid.place or rapid.name: rapid.day for rapid in self.trip.rapids.values()}
        days |= {rapid.name: rapid.day for rapid in self.trip.rapids.values()}
        left = [name for name, day in days.items() if day >= self.happened.day]
        for name in dict.fromkeys(self.happened.skipped):
            if name not in days:
                yield _say_unknown("rapid", name, left)
            elif name not in left:
                message = f"rapid '{name}' was passed on day {days[name]}"
                yield _complain("rapid-passed", message, "leave it out")


def _say_unknown(word: str, name: str, known: Collection[str]) -> Finding:
    near = nearest_word(name, known)
    hint = near or (f"one of {', '.join(sorted(known))}" if known else f"there is no {word} left")
    return _complain(f"unknown-{word}", f"unknown {word} '{name}'", hint)


def _complain(code: str, message: str, hint: str) -> Finding:
    return Finding(NOWHERE, "error", code, message, hint)
