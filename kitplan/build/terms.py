"""What a way that is done at once asks: Hall's conditions by site and name, whichever boat runs.

They depend on the rapid's party alone, so each is worked out once for all rapids and running boats.
Knows no solver.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.build.eligible import Eligible
from kitplan.build.hall import list_conditions, list_joint_conditions
from kitplan.build.lookup import Lookup
from kitplan.build.minders import Guests
from kitplan.build.prune import drop_needless
from kitplan.build.variables import CREW_PADDLE, IN_BUNDLE

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Iterable, Iterator
    from datetime import date

    from kitplan.build.hall import Condition
    from kitplan.build.minders import Asked
    from kitplan.build.variables import When
    from kitplan.demands import BoatOption, BoatSlot, Choice, ChoiceKey, ItemSlot, Needs, Variant
    from kitplan.trip import Trip

BANK_SITES = ("left", "right")
HANDS = 2  # bulky things one person carries to a bank
TENTHS = 10  # a landing place is counted in tenths


@dataclass(frozen=True, slots=True, eq=False)
class Sites:
    """Sites, and whom or what of each to count. Equal ones are one object, so they hash fast."""

    parts: tuple[tuple[str, frozenset[str]], ...]


class There(NamedTuple):
    """So many of the names must be at their sites."""

    sites: Sites
    places: int


class Carried(NamedTuple):
    """So many things must be at a site that take no hand, or hands for the others.

    Each who is there has two, less those that hold a bundle.
    """

    site: str
    small: Sites
    places: int


class Minded(NamedTuple):
    """So many must be there, and besides those who mind the guests on some banks."""

    sites: Sites
    asked: Asked


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """Where a boat's work may be done, and in which ways. Equal ones are one object.

    `number` is the same for equal options.
    """

    sites: tuple[str, ...]
    options: tuple[BoatOption, ...]
    number: int


class Worked(NamedTuple):
    """So many boats must be able to do one of some works, each boat one."""

    works: tuple[Work, ...]
    places: int


@dataclass(frozen=True, slots=True, eq=False)
class Terms:
    """The conditions of a variant but for who swims; equal ones are one."""

    people: tuple[There, ...]
    minders: tuple[Minded, ...]
    things: tuple[There, ...]
    hands: tuple[Carried, ...]
    boats: tuple[Worked, ...]


Ways = list[tuple["Variant", Terms]]


class TermsBook:
    """What variants are worth a literal, and their terms: each worked out once for a party.

    It holds nothing of a model, so several models may share one.
    """

    def __init__(self, trip: Trip, *, minded: bool = False, whole: TermsBook | None = None) -> None:
        """Start empty.

        `minded`: whether variants are kept that are needed only where somebody is to be minded, as
        with guests they are anyway. `whole`: such a book of the trip before somebody was hurt, who
        fills no place now: so whatever variant was needless there is needless here.
        """
        self.trip, self.eligible = trip, Eligible(trip)
        self._whole, self._minded = whole, minded
        self.guests = Guests(trip, self.eligible.walkers)
        self._worth: dict[tuple[date, tuple[Variant, ...]], list[Variant]] = {}
        self._ways: dict[tuple[ChoiceKey, str, bool], Ways] = {}
        self._alike: dict[Hashable, Ways] = {}
        self._terms: dict[Hashable, Terms] = {}
        self._same: dict[Hashable, Terms] = {}
        self._sites: dict[frozenset[tuple[str, str]], Sites] = {}
        self._works: dict[Hashable, Work] = {}
        self._options: dict[tuple[BoatOption, ...], int] = {}

    def list_variants(self, choice: Choice, running: str) -> list[Variant]:
        """Return the variants of a choice that are worth a literal while a boat is in trouble."""
        if self._whole is not None:
            return self._whole.list_variants(choice, running)
        leg = self.trip.leg_of(choice.key.rapid)
        variants = asks.list_ways(choice, self.trip.boats[running].type)
        key = (leg.ends, variants)
        if key not in self._worth:
            self._worth[key] = drop_needless(
                variants,
                lambda ask: self.eligible.list_able(ask, leg),
                minded=self._minded or self.guests.any_guests,
            )
        return self._worth[key]

    def list_terms(self, choice: Choice, running: str, *, spare: bool) -> Ways:
        """Return those variants with their terms, the same for each place in the order.

        Where something is to be `spare`, only loose things count.
        """
        name = (choice.key, self.trip.boats[running].type.name, spare)
        if name not in self._ways:
            rapid = choice.key.rapid
            party = (self.trip.rapids[rapid].leg, self.eligible.walkers[rapid])
            key = (asks.list_ways(choice, self.trip.boats[running].type), party, spare)
            if key not in self._alike:
                self._alike[key] = [
                    (variant, self._get(variant, rapid, spare=spare))
                    for variant in self.list_variants(choice, running)
                ]
            self._ways[name] = self._alike[key]
        return self._ways[name]

    def work_out(self, needs: Needs, rapids: Collection[str]) -> None:
        """Work out at once all that is asked at some rapids, nothing spare."""
        for demand in needs.demands:
            choice = needs.choices[demand.choice]
            if demand.rapid in rapids and choice.unhurried:
                self.list_variants(choice, demand.running)
            elif demand.rapid in rapids:
                self.list_terms(choice, demand.running, spare=False)

    def _get(self, variant: Variant, rapid: str, *, spare: bool) -> Terms:
        party = (self.trip.rapids[rapid].leg, self.eligible.walkers[rapid])
        key = (variant.persons, variant.items, variant.boats, party, spare)
        if key not in self._terms:
            self._terms[key] = self._make(variant, rapid, spare=spare)
        return self._terms[key]

    def _make(self, variant: Variant, rapid: str, *, spare: bool) -> Terms:
        sights = [
            (
                frozenset((s, p) for s in slot.sites for p in self.eligible.able(slot.ask, rapid)),
                slot.count,
            )
            for slot in variant.persons
        ]
        guides = self.eligible.able(asks.ask_guide(self.trip.catalog.figures), rapid)
        things: list[There] = []
        hands: list[Carried] = []
        for site in dict.fromkeys(slot.site for slot in variant.items):
            slots = [slot for slot in variant.items if slot.site == site]
            things += self._list_things(slots, site, loose=spare)
            if site in BANK_SITES:
                least = sum(slot.count for slot in variant.persons if slot.sites == (site,))
                hands += self._list_hands(slots, site, HANDS * least, loose=spare)
        people = tuple(self._sort(condition) for condition in list_conditions(sights))
        minders = tuple(
            Minded(self._sort_sites(asked.sees), asked)
            for asked in self.guests.list_asked(variant.persons, sights, rapid, guides)
        )
        boats = tuple(self._list_worked(variant.boats))
        parts = (people, minders, tuple(things), tuple(hands), boats)
        return self._same.setdefault(parts, Terms(*parts))

    def _list_things(self, slots: Iterable[ItemSlot], site: str, *, loose: bool) -> list[There]:
        """Worn and quick things at a site fill its item slots (family "things")."""
        sights = [
            (
                frozenset((site, i) for i in self.eligible.serving(slot.thing, loose=loose)),
                slot.count,
            )
            for slot in slots
        ]
        return [self._sort(condition) for condition in list_conditions(sights)]

    def _list_hands(
        self, slots: Iterable[ItemSlot], site: str, held: int, *, loose: bool
    ) -> list[Carried]:
        """Bulky things are carried in hand, two a person (family "hands").

        A condition that asks no more hands than the people who are there anyway is left out,
        unless these may hold bundles, which must be carried even where no further hand is asked.
        """
        bundles = bool(self.eligible.bundles)
        nothing = [Carried(site, self._sort_sites(frozenset()), 0)] if bundles else []
        sights = [
            (
                frozenset(
                    (site, i)
                    for i in self.eligible.serving(slot.thing, loose=loose)
                    if not self.eligible.takes_hand(i)
                ),
                slot.count,
            )
            for slot in slots
        ]
        return nothing + [
            Carried(site, self._sort_sites(c.sees), c.places)
            for c in list_joint_conditions(sights)
            if bundles or c.places > held
        ]

    def get_work(self, sites: tuple[str, ...], options: tuple[BoatOption, ...]) -> Work:
        """Return the one object for a work."""
        key = (sites, options)
        if key not in self._works:
            number = self._options.setdefault(options, len(self._options))
            self._works[key] = Work(sites, options, number)
        return self._works[key]

    def _list_worked(self, slots: Iterable[BoatSlot]) -> Iterator[Worked]:
        """Yield how many boats each set of works asks for."""
        counts: dict[Work, int] = {}
        for slot in slots:
            work = self.get_work(slot.stations, slot.options)
            counts[work] = counts.get(work, 0) + slot.count
        for works in _list_subsets(list(counts)):
            yield Worked(tuple(works), sum(counts[work] for work in works))

    def _sort(self, condition: Condition[tuple[str, str]]) -> There:
        return There(self._sort_sites(condition.sees), condition.places)

    def _sort_sites(self, sees: frozenset[tuple[str, str]]) -> Sites:
        if sees not in self._sites:
            by_site: dict[str, set[str]] = {}
            for site, name in sees:
                by_site.setdefault(site, set()).add(name)
            parts = ((site, frozenset(names)) for site, names in sorted(by_site.items()))
            self._sites[sees] = Sites(tuple(parts))
        return self._sites[sees]


def _list_subsets(works: list[Work]) -> list[list[Work]]:
    subsets: list[list[Work]] = []
    for work in works:
        subsets += [[*some, work] for some in subsets] + [[work]]
    return subsets


class Most:
    """The most there could ever be at sites while a boat runs: what asks for more can't be done."""

    def __init__(self, eligible: Eligible) -> None:
        """Start empty."""
        self.eligible, self.trip = eligible, eligible.trip
        self._boats: dict[tuple[str, int, str], int] = {}
        self._counts: dict[tuple[int, str], int] = {}
        self._people_at: Lookup[When, Lookup[Sites, int]] = Lookup(
            lambda when: Lookup(partial(self._people, *when))
        )
        self._things_at: Lookup[When, Lookup[Sites, int]] = Lookup(
            lambda when: Lookup(partial(self._things, *when))
        )

    def may_hold(self, terms: Terms, rapid: str, k: int, spare: int) -> bool:
        """Say whether nothing forbids the terms while the k-th boat runs."""
        people, things = self._people_at[rapid, k], self._things_at[rapid, k]
        # Where there may be no guests either, nobody needs be there.
        return (
            all(people[sites] >= places + spare for sites, places in terms.people)
            and all(things[sites] >= places + spare for sites, places in terms.things)
            and all(
                people[sites] >= asked.places + spare
                for sites, asked in terms.minders
                if asked.places
            )
        )

    def _people(self, rapid: str, k: int, sites: Sites) -> int:
        boats = self.trip.rapids[rapid].boats
        seats = max(self.trip.boats[b].type.seats for b in boats)
        rooms = [(names, self._count_boats(rapid, k, site)) for site, names in sites.parts]
        everybody = frozenset[str]().union(*(names for names, room in rooms if room))
        most = sum(min(len(names), seats * room) for names, room in rooms)
        return min(len(everybody), most)

    def _things(self, rapid: str, k: int, sites: Sites) -> int:
        rooms = ((names, self._count_boats(rapid, k, site)) for site, names in sites.parts)
        names = frozenset[str]().union(*(names for names, room in rooms if room))
        return sum(self._count(self.trip.rapids[rapid].leg, n) for n in names)

    def _count(self, leg: int, name: str) -> int:
        """Return how many of an item the boats of a leg could have."""
        key = (leg, name)
        if key not in self._counts:
            people = self.trip.legs[leg].paddlers
            dealt = self.trip.kit[name].count if name in self.trip.kit else 0
            own = sum(self.trip.paddlers[p].wears.get(name, 0) for p in people)
            crew = len(people) if name.startswith(CREW_PADDLE) else 0
            self._counts[key] = dealt + own + crew + self._count_packed(name)
        return self._counts[key]

    def _count_packed(self, name: str) -> int:
        """Return how many of a thing the party's bundles hold, if the name is marked so."""
        return sum(
            n * kit.count
            for kit in self.trip.kit.values()
            for one, n in kit.item.contains
            if name == IN_BUNDLE + one.name
        )

    def _count_boats(self, rapid: str, k: int, site: str) -> int:
        """Return how many boats can stand at a site at most while the k-th runs."""
        key = (rapid, k, site)
        if key not in self._boats:
            self._boats[key] = sum(self._count_rooms(rapid, k, site))
        return self._boats[key]

    def _count_rooms(self, rapid: str, k: int, site: str) -> tuple[int, int]:
        """Return how many boats can stand at a site at most while the k-th runs.

        Of those still to run, and of those that have run.
        """
        place = self.trip.rapids[rapid]
        after = k if site in asks.stations_after(place) else 0
        before = len(place.boats) - 1 - k if site in asks.stations_before(place) else 0
        if site in BANK_SITES:
            least = min(self.trip.boats[b].type.room for b in place.boats)
            bank = place.bank(site)
            before = min(before, TENTHS * bank.landing_above // least)
            after = min(after, TENTHS * bank.landing // least)
        return before, after
