"""Whether a variant can be done by given boats at given stations, settled by trying.

Places are filled one after the other, each with everybody and everything that may fill it, until
all are filled or all has been tried. A loss is tried by taking it away.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.demands import Ask, ItemSlot, PersonSlot

if TYPE_CHECKING:
    from kitplan.demands import BoatOption, BoatSlot, CatchSlot, Thing, Variant
    from kitplan.trip import Trip

HANDS = 2
PADDLE = "crew paddle: "
EVERYWHERE = ""


@dataclass(frozen=True, slots=True, eq=False)
class Boatful:
    """A boat with its crew and what it holds: item and count, in reach and stowed.

    What the crew wears of its own is in reach; crew paddles are not listed. Boatfuls that hold the
    same are made once and are equal only to themselves, which makes remembering them quick.
    """

    boat: str
    crew: frozenset[str]
    reach: tuple[tuple[str, int], ...]
    stowed: tuple[tuple[str, int], ...]


Standing = tuple[tuple[Boatful, str], ...]
"""The boats other than the running one, each with its station."""
Things = tuple[tuple[str, int], ...]


class Run(NamedTuple):
    """Who is in trouble: so many aboard, after so many boats; and the banks reached from above."""

    crew: int
    ran: int
    banks: tuple[str, ...]


NOBODY = Run(0, 0, ())


@dataclass(frozen=True, slots=True)
class Field:
    """Who and what is there for a variant: people and things by site, and the boats."""

    people: tuple[tuple[str, str], ...]  # (site, paddler)
    things: tuple[tuple[str, str, int], ...]  # (site, item, count)
    standing: Standing
    walk: bool = False  # guests walk round: they are not among `people`
    run: Run = NOBODY

    def count_people(self, site: str) -> int:
        """Return how many people are at a site."""
        return sum(1 for where, _ in self.people if where == site)

    def list_things(self, site: str) -> Things:
        """Return what is at a site."""
        return tuple((name, count) for where, name, count in self.things if where == site)


class Judge:
    """Answers for one trip; remembers what it has tried."""

    def __init__(self, trip: Trip) -> None:
        self._trip = trip
        self._look = lru_cache(maxsize=None)(self._find_field)
        self._fill_people = lru_cache(maxsize=None)(self._try_people)
        self._fill_things = lru_cache(maxsize=None)(self._try_things)
        self._fill_boats = lru_cache(maxsize=None)(self._try_boats)
        self._can_do = lru_cache(maxsize=None)(self._try_work)

    def can(
        self,
        variant: Variant,
        standing: Standing,
        run: Run,
        *,
        unhurried: bool,
        walk: bool = False,
    ) -> bool:
        """Say whether the variant can be done by these boats, whoever runs."""
        field = self._look(standing, unhurried=unhurried, paddles=True, walk=walk)
        field = replace(field, run=run)
        return self._is_possible(variant, field, unhurried=unhurried)

    def can_spare_any(
        self,
        variant: Variant,
        standing: Standing,
        run: Run,
        *,
        unhurried: bool,
        walk: bool = False,
    ) -> bool:
        """Say whether it can be done without crew paddles and without any one person or thing.

        A lost person's things stay; a boat at work counts as it is, and any one may be missing. A
        boat that unhurried work takes along is there.
        """
        field = self._look(standing, unhurried=unhurried, paddles=False, walk=walk)
        field = replace(field, run=run)
        losses = [field]
        losses += [
            replace(field, people=field.people[:n] + field.people[n + 1 :])
            for n in range(len(field.people))
        ]
        losses += [
            replace(
                field, things=(*field.things[:n], (site, name, count - 1), *field.things[n + 1 :])
            )
            for n, (site, name, count) in enumerate(field.things)
        ]
        if not unhurried:
            losses += [
                replace(field, standing=standing[:n] + standing[n + 1 :])
                for n in range(len(standing))
            ]
        return all(self._is_possible(variant, left, unhurried=unhurried) for left in losses)

    # --- what is there --------------------------------------------------------------------------

    def _find_field(
        self, standing: Standing, *, unhurried: bool, paddles: bool, walk: bool
    ) -> Field:
        people: list[tuple[str, str]] = []
        things: Counter[tuple[str, str]] = Counter()
        for full, station in standing:
            if station == "afloat" and not unhurried:
                continue  # who waits afloat is on no bank
            site = EVERYWHERE if unhurried else station
            there = full if unhurried or not walk else self._send_round(full)
            people += [(site, p) for p in sorted(there.crew)]
            for name, count in (*there.reach, *(full.stowed if unhurried else ())):
                things[site, name] += count
            if paddles:
                for name, count in self._list_paddles(full):
                    things[site, name] += count
        rows = tuple((site, name, count) for (site, name), count in sorted(things.items()))
        return Field(tuple(sorted(people)), rows, standing, walk and not unhurried)

    def _send_round(self, full: Boatful) -> Boatful:
        """Return the boat without its guests and what they wear; nothing is dealt to guests."""
        guests = [p for p in full.crew if self._trip.paddlers[p].guest]
        reach = Counter(dict(full.reach))
        for p in guests:
            reach.subtract(self._trip.paddlers[p].wears)
        left = tuple(sorted((name, n) for name, n in reach.items() if n))
        return replace(full, crew=full.crew - set(guests), reach=left)

    def _list_paddles(self, full: Boatful) -> Things:
        boat = self._trip.boats[full.boat]
        count = asks.crew_paddles(boat, len(full.crew))
        return ((f"{PADDLE}{boat.type.crew_paddle}", count),) if count else ()

    # --- trying ---------------------------------------------------------------------------------

    def _is_possible(self, variant: Variant, field: Field, *, unhurried: bool) -> bool:
        if variant.crew_at_most is not None and field.run.crew > variant.crew_at_most:
            return False
        if variant.catch is not None and not self._take_all(variant.catch, field):
            return False
        if unhurried and variant.needs_boat:
            there = {full.boat for full, _ in field.standing}
            if not there & set(variant.needs_boat):
                return False
        persons, items = variant.persons, variant.items
        if unhurried:
            persons = tuple(replace(slot, sites=(EVERYWHERE,)) for slot in persons)
            items = tuple(replace(slot, site=EVERYWHERE) for slot in items)
        else:
            persons = (*persons, *self._list_minders(persons, field))
        return (
            self._fill_people(persons, field.people)
            and all(self._fill_site(items, site, field) for site in {slot.site for slot in items})
            and self._fill_boats(variant.boats, field.standing, walk=field.walk)
        )

    def _take_all(self, slot: CatchSlot, field: Field) -> bool:
        """Try one thrower with a bag more at each site, and count the free places of boats."""
        ashore = 0
        for one in slot.ashore:
            people = PersonSlot(one.role, (one.site,), one.ask)
            bags = ItemSlot(one.site, one.bag)
            while self._fill_people(
                (replace(people, count=people.count + 1),), field.people
            ) and self._fill_site((replace(bags, count=people.count + 1),), one.site, field):
                people = replace(people, count=people.count + 1)
            once = self._fill_people((people,), field.people) and self._fill_site(
                (bags,), one.site, field
            )
            ashore += people.count if once else 0
        afloat = 0
        for full, station in field.standing:
            kind = self._trip.boats[full.boat].type
            if station == "afloat" and any(
                self._can_do(full, o, walk=field.walk) for o in slot.options
            ):
                afloat += kind.seats - len(full.crew) + kind.deck_places
        alike = ashore + afloat >= field.run.crew
        return alike and (min(ashore, afloat) > 0 or not self._asks_both(slot, field.run))

    def _asks_both(self, slot: CatchSlot, run: Run) -> bool:
        """Two others can be in place at both: two that ran, or one that did and one not yet."""
        in_place = run.ran + any(one.site in run.banks for one in slot.ashore)
        return slot.both and run.ran > 0 and in_place > 1

    def _list_minders(self, team: tuple[PersonSlot, ...], field: Field) -> list[PersonSlot]:
        """Return a place for each guide a bank of the team needs beside it: one for 8 guests.

        The guests are those of the boats that stand there, a lost one too.
        """
        figures = self._trip.catalog.figures
        guide = Ask(skills=(("leading", figures.guide_leading),))
        places = []
        for bank in ("left", "right"):
            guests = sum(
                self._trip.paddlers[p].guest and not field.walk
                for full, station in field.standing
                for p in full.crew
                if station == bank
            )
            asked = 0
            while asked * figures.guests_per_guide < guests:
                asked += 1
            if asked and any(bank in slot.sites for slot in team):
                places.append(PersonSlot("guide", (bank,), guide, asked))
        return places

    def _fill_site(self, items: tuple[ItemSlot, ...], site: str, field: Field) -> bool:
        slots = tuple(slot for slot in items if slot.site == site)
        bank = site in {"left", "right"}
        hands = HANDS * field.count_people(site) if bank else len(slots) * 99
        return self._fill_things(slots, field.list_things(site), hands)

    def _try_people(
        self, slots: tuple[PersonSlot, ...], people: tuple[tuple[str, str], ...]
    ) -> bool:
        """Try every person who is there for the first place, then the rest for the other places."""
        if not slots:
            return True
        first, rest = slots[0], slots[1:]
        if first.count > 1:
            rest = (replace(first, count=first.count - 1), *rest)
        return any(
            site in first.sites
            and self._is_able(person, first.ask)
            and self._fill_people(rest, people[:n] + people[n + 1 :])
            for n, (site, person) in enumerate(people)
        )

    def _try_things(self, slots: tuple[ItemSlot, ...], things: Things, hands: int) -> bool:
        """Try every thing that is there for the first place; a bulky one takes a hand."""
        if not slots:
            return True
        first, rest = slots[0], slots[1:]
        if first.count > 1:
            rest = (replace(first, count=first.count - 1), *rest)
        for n, (name, count) in enumerate(things):
            left = hands - 1 if self._is_bulky(name) else hands
            if count < 1 or left < 0 or not self._may_serve(name, first.thing):
                continue
            if self._fill_things(rest, (*things[:n], (name, count - 1), *things[n + 1 :]), left):
                return True
        return False

    def _try_boats(self, slots: tuple[BoatSlot, ...], standing: Standing, *, walk: bool) -> bool:
        """Try every boat for the first work, then the others for the rest."""
        if not slots:
            return True
        first, rest = slots[0], slots[1:]
        if first.count > 1:
            rest = (replace(first, count=first.count - 1), *rest)
        return any(
            station in first.stations
            and any(self._can_do(full, option, walk=walk) for option in first.options)
            and self._fill_boats(rest, standing[:n] + standing[n + 1 :], walk=walk)
            for n, (full, station) in enumerate(standing)
        )

    def _try_work(self, full: Boatful, option: BoatOption, *, walk: bool) -> bool:
        """Try whether a boat's own crew and things do a work, one of the crew steering it."""
        kind = self._trip.boats[full.boat].type
        if kind.craft not in option.crafts:
            return False
        there = self._send_round(full) if walk else full
        if kind.seats - len(there.crew) + kind.deck_places < option.free_places:
            return False
        steers = asks.ask_steerer(kind.skill, option)
        slots = (PersonSlot("steers", ("aboard",), steers), *option.persons)
        crew = tuple(("aboard", p) for p in sorted(there.crew))
        things = (*there.reach, *self._list_paddles(full))
        return self._fill_people(slots, crew) and self._fill_things(option.items, things, 99)

    def _is_able(self, person: str, ask: Ask) -> bool:
        return asks.able(self._trip.paddlers[person], ask, self._trip.ends, self._trip.catalog)

    def _is_bulky(self, name: str) -> bool:
        return name.startswith(PADDLE) or self._trip.catalog.items[name].bulky

    def _may_serve(self, name: str, thing: Thing) -> bool:
        if name.startswith(PADDLE):
            item = self._trip.catalog.items[name.removeprefix(PADDLE)]
            return not thing.spare and asks.serves(item, thing)
        return asks.serves(self._trip.catalog.items[name], thing)
