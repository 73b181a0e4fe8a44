"""Who stands where with what at a rapid while some boat runs, read off an arrangement."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from kitplan import needs as asks

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable

    from kitplan.demands import CatchSlot, PersonSlot, Thing
    from kitplan.plan import Arrangement
    from kitplan.trip import Boat, Item, Trip

CREW_PADDLE = "crew paddle"
NOWHERE = "nowhere"
HANDS = 2


@dataclass(frozen=True, slots=True)
class Lot:
    """Equal things in one place: `count` of an item in a boat, on a person or as crew paddles.

    What lies in a bundle is `carried` as this is, and `bundle` names it.
    """

    item: Item
    boat: str
    carried: str  # worn, quick, stowed, crew paddle
    count: int
    worn_by: str = ""
    bundle: str = ""

    @property
    def loose(self) -> bool:
        """Say whether the things count in backing: no crew paddles, nothing in a bundle."""
        return self.carried != CREW_PADDLE and not self.bundle

    @property
    def takes_hand(self) -> bool:
        """Say whether each thing takes a hand on the way to a bank; none does in a bundle."""
        return self.item.bulky and not self.bundle

    def serves(self, thing: Thing) -> bool:
        """Say whether things of this lot may serve."""
        if self.carried == CREW_PADDLE and thing.spare:
            return False
        return asks.serves(self.item, thing)


class Party:
    """The party as an arrangement has it: boats, crews, lots of things."""

    def __init__(self, trip: Trip, arrangement: Arrangement) -> None:
        """Read crews and lots once."""
        self.trip = trip
        self.arrangement = arrangement
        self.lots = {b: self._list_lots(boat) for b, boat in sorted(trip.boats.items())}

    def _list_lots(self, boat: Boat) -> list[Lot]:
        items, crew = self.trip.catalog.items, self.arrangement.crew[boat.name]
        packed = [p for p in self.arrangement.packed if p.boat == boat.name]
        lots = [Lot(items[p.item], boat.name, p.carried, p.count, p.worn_by) for p in packed]
        lots += [
            Lot(item, boat.name, p.carried, n * p.count, bundle=p.item)
            for p in packed
            for item, n in items[p.item].contains
        ]
        for name in crew:
            for item, count in sorted(self.trip.paddlers[name].wears.items()):
                lots.append(Lot(items[item], boat.name, "worn", count, name))
        paddles = asks.crew_paddles(boat, len(crew))
        if boat.type.crew_paddle is not None and paddles:
            lots.append(Lot(items[boat.type.crew_paddle], boat.name, CREW_PADDLE, paddles))
        return lots


@dataclass(frozen=True, eq=False)
class Scene:
    """One rapid without some boats, whichever of these runs: the one in trouble, say.

    A boat that does not wait in the same place while any of them runs is nowhere. A scene is equal
    to itself alone; what it is like says `likeness`.
    """

    party: Party
    rapid: str
    without: frozenset[str]

    @cached_property
    def others(self) -> list[str]:
        """Return the boats that are there, sorted."""
        there = self.party.trip.rapids[self.rapid].boats
        return [b for b in sorted(there) if b not in self.without]

    @cached_property
    def stations(self) -> dict[str, str]:
        """Return where each boat stands, NOWHERE if that depends on which boat runs."""
        stations = self.party.arrangement.stations
        there = {b: {stations[self.rapid, b, one] for one in self.without} for b in self.others}
        return {b: sites.pop() if len(sites) == 1 else NOWHERE for b, sites in there.items()}

    @cached_property
    def boats_at(self) -> dict[str, tuple[str, ...]]:
        """Return the boats at each site, sorted; a site without one is absent."""
        boats: dict[str, tuple[str, ...]] = {}
        for boat, site in self.stations.items():
            boats[site] = (*boats.get(site, ()), boat)
        return boats

    @cached_property
    def sites(self) -> dict[str, str]:
        """Return for each person of the boats that are there the station of his boat."""
        return {p: site for b, site in self.stations.items() for p in self.crew(b)}

    def likeness(self, sites: Iterable[str]) -> Hashable:
        """Return what people and things at some sites depend on, the same whatever the rapid."""
        walk = self.party.trip.rapids[self.rapid].guests_walk
        return (walk, self.away, *(self.boats_at.get(site, ()) for site in sites))

    def whole_likeness(self) -> Hashable:
        """Return what any slots depend on: scenes that are so alike fill them in the same way."""
        rapid, count = self.party.trip.rapids[self.rapid], self.party.arrangement.count_aboard
        return (
            self.likeness(()),
            tuple(self.stations.items()),
            tuple(sorted(self.guests.items())),
            tuple((b, count(self.rapid, b)) for b in sorted(self.without)),
            rapid.boats,
            asks.stations_before(rapid),
        )

    def pool_likeness(self) -> Hashable:
        """Return what unhurried work depends on."""
        return (tuple(self.others), self.away)

    def crew(self, boat: str) -> list[str]:
        """Return those of a boat's crew who do not walk round the rapid, nor row twice there."""
        trip = self.party.trip
        here = trip.rapids[self.rapid]
        return [p for p in self.everybody(boat) if asks.counts(trip.paddlers[p], here)]

    def everybody(self, boat: str) -> list[str]:
        """Return those of a boat's crew who can help unhurried: all but who row twice there."""
        return [p for p in self.party.arrangement.crew[boat] if p not in self.away]

    @cached_property
    def away(self) -> frozenset[str]:
        """Return who rows twice at the rapid."""
        return self.party.arrangement.list_away(self.rapid)

    def everything(self, boat: str) -> list[Lot]:
        """Return all that a boat has, but for what is worn by who row twice at the rapid."""
        return [lot for lot in self.party.lots[boat] if lot.worn_by not in self.away]

    def lots(self, boat: str) -> list[Lot]:
        """Return what is worn or lies quick in a boat, but for what those who walk wear."""
        aboard = {"", *self.crew(boat)}
        lots = self.party.lots[boat]
        return [lot for lot in lots if lot.carried != "stowed" and lot.worn_by in aboard]

    def lots_at(self, site: str) -> list[Lot]:
        """Return what is worn or lies quick in the boats that stand at `site`."""
        return [lot for b in self.boats_at.get(site, ()) for lot in self.lots(b)]

    def handy_at(self, site: str) -> int:
        """Return how many people with their hands to use stand at `site`: all who are not hurt."""
        there = (p for b in self.boats_at.get(site, ()) for p in self.crew(b))
        return sum(not self.party.trip.paddlers[p].hurt for p in there)

    def hands_at(self, site: str) -> int:
        """Return how many hands there are at `site` once the bundles there are carried ashore.

        Less than 0 where these are too many.
        """
        bundles = (lot.count for lot in self.lots_at(site) if lot.item.contains and lot.takes_hand)
        return HANDS * self.handy_at(site) - sum(bundles)

    def throwers_at(self, site: str) -> int:
        """Return how many people at `site` have both hands free to throw."""
        return max(0, self.hands_at(site) // HANDS)

    @cached_property
    def guests(self) -> dict[str, int]:
        """Return how many are minded at each site, at most, while one of `without` runs.

        Boats left out besides the one that runs are spared by the team; their guests are there.
        """
        trip, stations = self.party.trip, self.party.arrangement.stations
        by_boat = {
            b: sum(trip.paddlers[p].minded for p in self.crew(b))
            for b in trip.rapids[self.rapid].boats
        }
        most: Counter[str] = Counter()
        for running in self.without:
            there: Counter[str] = Counter()
            for boat, guests in by_boat.items():
                if boat != running:
                    there[stations[self.rapid, boat, running]] += guests
            most |= there
        return dict(most)

    def asks_both(self, slot: CatchSlot) -> bool:
        """Say whether swimmers must be taken ashore and afloat while one of `without` runs."""
        rapid = self.party.trip.rapids[self.rapid]
        run = self.party.arrangement.list_run(rapid.boats)
        return any(asks.asks_both(slot, rapid, run.index(b)) for b in self.without if b in run)

    def list_people(self, slots: tuple[PersonSlot, ...]) -> tuple[PersonSlot, ...]:
        """Return the places of a team, and of those who mind the guests while it is at work."""
        figures = self.party.trip.catalog.figures
        return (*slots, *asks.list_minders(slots, self.guests, figures))
