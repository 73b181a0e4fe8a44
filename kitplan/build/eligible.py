"""Who may fill a place, and which things: by name, asked once for equal questions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.variables import CREW_PADDLE, IN_BUNDLE

if TYPE_CHECKING:
    from datetime import date

    from kitplan.demands import Ask, Thing
    from kitplan.trip import Item, Leg, Trip


class Eligible:
    """Eligibility in one trip. `walkers[rapid]`: who walks round it."""

    def __init__(self, trip: Trip) -> None:
        """List the names of all things there are."""
        self.trip = trip
        self.walkers = {name: asks.list_walkers(trip, rapid) for name, rapid in trip.rapids.items()}
        self._able: dict[tuple[Ask, date], frozenset[str]] = {}
        self._serving: dict[tuple[Thing, bool], frozenset[str]] = {}
        self._names = self._list_thing_names()
        self.bundles = frozenset(
            name
            for name, kit in trip.kit.items()
            if kit.item.contains and kit.item.bulky and "quick" in kit.item.carried
        )
        """Names of the bundles that may take a hand on the way to a bank."""

    def handy(self, rapid: str) -> frozenset[str]:
        """Return the names of those who have hands at a rapid: not hurt, not walking round it."""
        there = self.trip.leg_of(rapid).paddlers
        return frozenset(p for p in there if not self.trip.paddlers[p].hurt) - self.walkers[rapid]

    def able(self, ask: Ask, rapid: str) -> frozenset[str]:
        """Return the names of those who answer `ask` and do not walk round the rapid."""
        return self.list_able(ask, self.trip.leg_of(rapid)) - self.walkers[rapid]

    def list_able(self, ask: Ask, leg: Leg) -> frozenset[str]:
        """Return the names of paddlers who are there in a leg and answer `ask`."""
        key = (ask, leg.ends)
        if key not in self._able:
            self._able[key] = frozenset(
                name
                for name, paddler in self.trip.list_party(leg).items()
                if asks.able(paddler, ask, leg.ends, self.trip.catalog)
            )
        return self._able[key]

    def serving(self, thing: Thing, *, loose: bool) -> frozenset[str]:
        """Return the names of items that serve as `thing`, crew paddles and contents marked.

        These two are left out where only what is `loose` counts.
        """
        key = (thing, loose)
        if key not in self._serving:
            self._serving[key] = frozenset(
                name
                for name in self._names
                if asks.serves(self.item(name), thing)
                and not (thing.spare and name.startswith(CREW_PADDLE))
                and not (loose and name.startswith((CREW_PADDLE, IN_BUNDLE)))
            )
        return self._serving[key]

    def _list_thing_names(self) -> list[str]:
        names = set(self.trip.kit)
        for paddler in self.trip.paddlers.values():
            names |= set(paddler.wears)
        paddles = {boat.type.crew_paddle for boat in self.trip.boats.values()}
        contents = {one.name for kit in self.trip.kit.values() for one, _ in kit.item.contains}
        return [
            *sorted(names),
            *sorted(CREW_PADDLE + p for p in paddles if p is not None),
            *sorted(IN_BUNDLE + one for one in contents),
        ]

    def item(self, name: str) -> Item:
        """Return the item of a name, marked or not."""
        bare = name.removeprefix(CREW_PADDLE).removeprefix(IN_BUNDLE)
        return self.trip.catalog.items[bare]

    def takes_hand(self, name: str) -> bool:
        """Say whether what goes by this name is carried ashore in hand, or counts so.

        Crew paddles do, small ones too; what is in a bundle does not.
        """
        if name.startswith(IN_BUNDLE):
            return False
        return name.startswith(CREW_PADDLE) or self.item(name).bulky
