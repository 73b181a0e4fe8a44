"""The same trip written a second, plain way, without the trick of the builder.

The builder never says who does what: it asks that every set of places sees enough people (Hall's
condition). Here there is a column for every person and every thing in every place of every
variant of every demand, hands are counted, boats are dealt to their work, and HiGHS decides. It is
slow, and right for other reasons than the builder is.

Aims 2, 3 and 4 in turn, then mass (6) with these fixed. Backing (5) is left out, so mass compares
with a run of the main solver that leaves backing out as well. Shares with the builder the nouns,
`derive_needs` and the look-ups of `kitplan.needs`; no matching, no builder, no solver.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.demands import BoatSlot
from tests.twin.milp import Sum, add, less, number, times
from tests.twin.party import Party, Scene, list_items

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from kitplan.demands import (
        Ask,
        BoatOption,
        CaseKey,
        CatchSlot,
        Choice,
        DemandKey,
        ItemSlot,
        Needs,
        PersonSlot,
        Thing,
        Throwing,
        Variant,
    )
    from kitplan.trip import Trip
    from tests.twin.milp import Least

AIMS = ("uncovered", "one_bank", "unmet", "mass")
BANKS = ("left", "right")
HANDS = 2

Stock = dict[tuple[str, str], Sum]
"""How many there are of (paddler or item, site); a crew paddle's item starts with PADDLE."""
PADDLE = "crew paddle: "


@dataclass(frozen=True, slots=True)
class Places:
    """`count` places and all that may fill them."""

    count: int
    fill: tuple[tuple[str, str], ...]


class PlainTrip:
    """The whole trip as one program; `aims` holds a sum for each aim."""

    def __init__(self, trip: Trip, needs: Needs) -> None:
        self.trip, self.needs = trip, needs
        self.party = Party(trip)
        self.program = self.party.program
        self.items = list_items(trip)
        self.paddles = {
            b: boat.type.crew_paddle for b, boat in trip.boats.items() if boat.type.crew_paddle
        }
        self.scenes = {
            (r.name, b): Scene(self.party, r.name, b) for r in trip.rapids.values() for b in r.boats
        }
        self._done: dict[tuple[str, str, bool, Variant], Sum] = {}
        self.met = {key: self._meet(key) for key in needs.demands}
        self.aims = self._count_aims()

    # --- demands, cases, aims -------------------------------------------------------------------

    def _meet(self, key: DemandKey) -> Sum:
        """Return a column that may be 1 only if some variant can be done."""
        choice = self.needs.choices[key.choice]
        met = self.program.new()
        held = asks.list_ways(choice, self.trip.boats[key.running].type)
        ways = [self._do(choice, variant, key) for variant in held]
        self.program.at_most(met, add(ways))
        return met

    def _do(self, choice: Choice, variant: Variant, key: DemandKey) -> Sum:
        """Return a column that may be 1 only if the variant can be done.

        What asks for the same at the same rapid (for another scenario, say) shares its column.
        """
        if self._is_hopeless(variant):
            return number(0)
        asked = (key.rapid, key.running, choice.unhurried, replace(variant, way="", types=()))
        if asked in self._done:
            return self._done[asked]
        done = self._done[asked] = self.program.new()
        self._keep_few(variant, key.running, done)
        if choice.unhurried:
            self._do_unhurried(variant, key, done)
        else:
            self._do_at_once(variant, key, done)
        if variant.catch is not None:
            self._take_all(variant.catch, key, done)
        return done

    def _keep_few(self, variant: Variant, running: str, done: Sum) -> None:
        """Ask that a way for few is done only while few sit in the running boat."""
        seats = self.trip.boats[running].type.seats
        if variant.crew_at_most is not None and variant.crew_at_most < seats:
            spared = times(seats - variant.crew_at_most, done)
            self.program.at_most(add([self.party.crew(running), spared]), number(seats))

    def _is_hopeless(self, variant: Variant) -> bool:
        """Say whether a variant asks for more people than there are besides one who runs.

        Saves columns; HiGHS would find out by itself.
        """
        ashore = sum(slot.count for slot in variant.persons)
        steering = sum(slot.count for slot in variant.boats)
        return ashore + steering > len(self.trip.paddlers) - 1

    def _count_aims(self) -> dict[str, Sum]:
        uncovered, one_bank = [], []
        for case in self.needs.cases.values():
            uncovered.append(times(case.weight, self._miss(case.key, ("left", "right", ""))))
            if len(case.banks) > 1:
                both = self.program.new()  # 1 where some bank is not covered
                for bank in case.banks:
                    self.program.at_most(self._miss(case.key, (bank, "")), both)
                one_bank.append(times(case.weight, both))
        unmet = [times(w, less(number(1), self.met[d])) for d, w in self.needs.demands.items()]
        return {
            "uncovered": add(uncovered),
            "one_bank": add(one_bank),
            "unmet": add(unmet),
            "mass": self.party.mass_g(),
        }

    def _miss(self, case: CaseKey, banks: tuple[str, ...]) -> Sum:
        """Return a column that is 1 unless a covering demand from one of the banks is met."""
        missed = self.program.new()
        covering = [
            met for key, met in self.met.items()
            if key.case == case and key.bank in banks and self.needs.choices[key.choice].covers
        ]  # fmt: skip
        self.program.at_most(number(1), add([missed, *covering]))
        return missed

    # --- one variant ----------------------------------------------------------------------------

    def _do_at_once(self, variant: Variant, key: DemandKey, done: Sum) -> None:
        scene = self.scenes[key.rapid, key.running]
        others = [b for b in self.trip.rapids[key.rapid].boats if b != key.running]
        persons = [
            self._person_places(slot, key.running, there=scene.there) for slot in variant.persons
        ]
        minders = self._list_minders(variant, key, done)
        teams = [*persons, *(places for places, _ in minders)]
        self._fill(done, persons, self._people_at(scene, others, teams), minders)
        for site in dict.fromkeys(slot.site for slot in variant.items):
            items = [self._item_places(slot) for slot in variant.items if slot.site == site]
            used = self._fill(done, items, self._things_at(scene, others, items))
            if site in BANKS:
                carried = add(use for (name, _), use in used.items() if self._is_bulky(name))
                people = add(scene.crew_at(b, site) for b in others)
                self.program.at_most(carried, times(HANDS, people))
        self._deal_boats(variant.boats, scene, others, done)

    def _list_minders(
        self, variant: Variant, key: DemandKey, done: Sum
    ) -> list[tuple[Places, Sum]]:
        """Return for each bank of the team the guides, and how many of them must mind guests.

        So many that 8 times their number reach the guests'.
        """
        scene, figures = self.scenes[key.rapid, key.running], self.trip.catalog.figures
        there = [p for p in scene.there if self.trip.paddlers[p].guest]
        guide = [p for p in scene.there if self._is_guide(p)]
        minders = []
        for bank in BANKS:
            if not there or not any(bank in slot.sites for slot in variant.persons):
                continue
            guests = add(
                scene.person_at(p, b, bank)
                for p in there
                for b in self.trip.rapids[key.rapid].boats
                if b != key.running
            )
            asked = self.program.new(len(there))
            nobody = times(len(there), less(number(1), done))
            minded = add([asked, nobody])
            self.program.at_most(guests, times(figures.guests_per_guide, minded))
            minders.append((Places(len(there), tuple((p, bank) for p in guide)), asked))
        return minders

    def _is_guide(self, paddler: str) -> bool:
        one = self.trip.paddlers[paddler]
        return not one.guest and one.level("leading") >= self.trip.catalog.figures.guide_leading

    def _do_unhurried(self, variant: Variant, key: DemandKey, done: Sum) -> None:
        others = [b for b in self.trip.rapids[key.rapid].boats if b != key.running]
        if variant.needs_boat and not set(variant.needs_boat) & set(others):
            self.program.equal(done, number(0))
            return
        persons = [self._person_places(slot, key.running, ("",)) for slot in variant.persons]
        people = {
            (p, ""): add(self.party.sits[p, b] for b in others)
            for p in self.party.people[key.running]
        }
        self._fill(done, persons, people)
        items = [self._item_places(slot, "") for slot in variant.items]
        names = {name for places in items for name, _ in places.fill}
        things = {(name, ""): self._count_in(name, others) for name in names}
        self._fill(done, items, things)

    def _fill(
        self,
        done: Sum,
        slots: Sequence[Places],
        stock: Mapping[tuple[str, str], Sum],
        more: Sequence[tuple[Places, Sum]] = (),
    ) -> dict[tuple[str, str], Sum]:
        """Ask that all places are filled if `done`, from the stock; return what is used of it.

        `more`: further places, each with the sum that says how many of them.
        """
        used: dict[tuple[str, str], list[Sum]] = {}
        asked = [(places, times(places.count, done)) for places in slots]
        for places, many in (*asked, *more):
            columns = []
            for source in places.fill:
                column = self.program.new(places.count)
                columns.append(column)
                used.setdefault(source, []).append(column)
            self.program.at_most(many, add(columns))
        sums = {source: add(columns) for source, columns in used.items()}
        for source, use in sums.items():
            self.program.at_most(use, stock[source])
        return sums

    # --- who and what may fill a place ----------------------------------------------------------

    def _person_places(
        self,
        slot: PersonSlot,
        boat: str,
        sites: tuple[str, ...] | None = None,
        there: Sequence[str] | None = None,
    ) -> Places:
        """Return places and who of the boat's leg, and of those `there`, may fill them."""
        able = [p for p in self._list_able(slot.ask, boat) if there is None or p in there]
        where = slot.sites if sites is None else sites
        return Places(slot.count, tuple((p, site) for p in able for site in where))

    def _item_places(self, slot: ItemSlot, site: str | None = None) -> Places:
        where = slot.site if site is None else site
        return Places(slot.count, tuple((name, where) for name in self._list_serving(slot.thing)))

    def _list_able(self, ask: Ask, boat: str) -> list[str]:
        """Return who of a boat's leg answers what is asked."""
        ends = self.trip.legs[self.trip.boats[boat].leg].ends
        return [
            p
            for p in self.party.people[boat]
            if asks.able(self.trip.paddlers[p], ask, ends, self.trip.catalog)
        ]

    def _list_serving(self, thing: Thing) -> list[str]:
        own = [name for name, item in self.items.items() if asks.serves(item, thing)]
        if thing.spare:
            return own
        crews = sorted(set(self.paddles.values()))
        catalog = self.trip.catalog.items
        return own + [PADDLE + name for name in crews if asks.serves(catalog[name], thing)]

    def _is_bulky(self, name: str) -> bool:
        return name.startswith(PADDLE) or self.items[name].bulky

    # --- how many there are ---------------------------------------------------------------------

    def _people_at(self, scene: Scene, boats: list[str], slots: list[Places]) -> Stock:
        return {
            (p, site): add(scene.person_at(p, b, site) for b in boats)
            for places in slots
            for p, site in places.fill
        }

    def _things_at(self, scene: Scene, boats: list[str], slots: list[Places]) -> Stock:
        stock = {}
        for name, site in sorted({source for places in slots for source in places.fill}):
            if name.startswith(PADDLE):
                parts = [
                    scene.paddles_at(b, site)
                    for b in boats
                    if PADDLE + self.paddles.get(b, "") == name
                ]
            else:
                parts = [scene.things_at(name, b, site) for b in boats]
            stock[name, site] = add(parts)
        return stock

    def _count_in(self, name: str, boats: list[str], aboard: Sequence[str] | None = None) -> Sum:
        """Return how many of an item, or of crew paddles, some boats have wherever they stand.

        In reach of those `aboard` where it is given: what others wear is not there.
        """
        stowed = aboard is None
        parts: list[Sum] = []
        places = ("worn", "quick", "stowed") if stowed else ("worn", "quick")
        for b in boats:
            if name.startswith(PADDLE):
                if PADDLE + self.paddles.get(b, "") == name:
                    parts.append(less(self.party.crew(b), number(1)))
                continue
            parts.append(self.party.dealt(name, b, places))
            for p in self.party.people[b] if aboard is None else aboard:
                worn = self.trip.paddlers[p].wears.get(name, 0)
                parts.append(times(worn, self.party.sits[p, b]))
        return add(parts)

    # --- swimmers -------------------------------------------------------------------------------

    def _take_all(self, slot: CatchSlot, key: DemandKey, done: Sum) -> None:
        """Ask that all in the running boat have a thrower with a bag or a free place if `done`."""
        scene = self.scenes[key.rapid, key.running]
        others = [b for b in self.trip.rapids[key.rapid].boats if b != key.running]
        ashore = add(self._throw(one, scene, others) for one in slot.ashore)
        afloat = add(self._take_aboard(b, slot, scene) for b in others)
        seats = self.trip.boats[key.running].type.seats
        asked = less(self.party.crew(key.running), times(seats, less(number(1), done)))
        self.program.at_most(asked, add([ashore, afloat]))
        if slot.both:
            spared = self._spare_one_way(slot, key, others)
            self.program.at_most(done, add([ashore, spared]))
            self.program.at_most(done, add([afloat, spared]))

    def _spare_one_way(self, slot: CatchSlot, key: DemandKey, others: list[str]) -> Sum:
        """Return what may be 1 while no two of the others can be ashore and afloat."""
        spared, rapid = self.program.new(), self.trip.rapids[key.rapid]
        ran = add(self.party.sooner[b, key.running] for b in others)
        walked = any(
            rapid.bank(one.site).path and rapid.bank(one.site).landing_above for one in slot.ashore
        )
        most = 0 if walked and rapid.safety == "set" else 1
        allowed = add([number(most), times(len(others), less(number(1), spared))])
        self.program.at_most(ran, allowed)
        return spared

    def _throw(self, one: Throwing, scene: Scene, others: list[str]) -> Sum:
        """Return how many throw: a column for everybody, and as many bags in their hands."""
        throwing, held = [], []
        for p in self._list_able(one.ask, scene.runs):
            throwing.append(self.program.new())
            there = add(scene.person_at(p, b, one.site) for b in others)
            self.program.at_most(throwing[-1], there)
        bags = [Places(1, tuple((name, one.site) for name in self._list_serving(one.bag)))]
        for there in self._things_at(scene, others, bags).values():
            held.append(self.program.new(len(self.trip.paddlers)))
            self.program.at_most(held[-1], there)
        self.program.at_most(add(throwing), add(held))
        return add(throwing)

    def _take_aboard(self, boat: str, slot: CatchSlot, scene: Scene) -> Sum:
        """Return how many a boat takes: none unless it works, and no more than are free."""
        kind = self.trip.boats[boat].type
        most = kind.seats + kind.deck_places
        taken = self.program.new(most)
        work = BoatSlot(slot.work, ("afloat",), slot.options)
        works = [
            self._work(boat, option, work, scene)
            for option in slot.options
            if kind.craft in option.crafts
        ]
        self.program.at_most(taken, times(most, add(works)))
        self.program.at_most(taken, less(number(most), self.party.crew(boat)))
        return taken

    # --- the work of boats ----------------------------------------------------------------------

    def _deal_boats(
        self, slots: Sequence[BoatSlot], scene: Scene, others: list[str], done: Sum
    ) -> None:
        """Ask that each boat's work is done by a boat of its own if `done`."""
        works: dict[str, list[Sum]] = {b: [] for b in others}
        for slot in slots:
            doers = []
            for b in others:
                for option in slot.options:
                    if self.trip.boats[b].type.craft in option.crafts:
                        works[b].append(self._work(b, option, slot, scene))
                        doers.append(works[b][-1])
            self.program.at_most(times(slot.count, done), add(doers))
        for columns in works.values():
            self.program.at_most(add(columns), number(1))

    def _work(self, boat: str, option: BoatOption, slot: BoatSlot, scene: Scene) -> Sum:
        """Return a column that may be 1 only if the boat stands for the work and can do it."""
        works = self.program.new()
        stands = [scene.stands(boat, s) for s in slot.stations]
        self.program.at_most(works, add(stands))
        kind = self.trip.boats[boat].type
        steers = asks.ask_steerer(kind.skill, option)
        crew_size = add(self.party.sits[p, boat] for p in scene.there)
        free = less(number(kind.seats + kind.deck_places), crew_size)
        self.program.at_most(times(option.free_places, works), free)
        able = [p for p in self._list_able(steers, boat) if p in scene.there]
        persons = [
            Places(1, tuple((p, "") for p in able)),
            *(self._person_places(s, boat, ("",), scene.there) for s in option.persons),
        ]
        crew = {(p, ""): self.party.sits[p, boat] for p in self.party.people[boat]}
        self._fill(works, persons, crew)
        items = [self._item_places(s, "") for s in option.items]
        names = {name for places in items for name, _ in places.fill}
        aboard = {(name, ""): self._count_in(name, [boat], scene.there) for name in names}
        self._fill(works, items, aboard)
        return works


def solve_plain(trip: Trip, needs: Needs, time_limit_s: float = 600.0) -> dict[str, Least]:
    """Return status and value of each aim, each held while the next is minimised.

    Aims after one that is not optimal are absent.
    """
    plain = PlainTrip(trip, needs)
    found: dict[str, Least] = {}
    for aim in AIMS:
        found[aim] = plain.program.minimise(plain.aims[aim], time_limit_s)
        if found[aim].status != "optimal":
            break
        plain.program.at_most(plain.aims[aim], number(found[aim].value))
    return found


def is_seatable(trip: Trip) -> bool:
    """Say whether some seating and packing keeps all rules of the trip.

    Stations are left out: a boat may always wait above before its run, and below after it.
    """
    return Party(trip, stations=False).program.minimise(number(0)).status == "optimal"
