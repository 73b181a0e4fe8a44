"""Whether a witness is one: each part there, able, used once, every slot of its variant filled."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.demands import BoatSlot, ItemSlot, PersonSlot
from kitplan.matching import match
from kitplan.plan import ItemPart, PersonPart, PlacePart
from kitplan.trip import BANKS
from kitplan.verify.gather import count_free, must_take_both
from kitplan.verify.ground import name_site
from kitplan.verify.hands import HANDS, count_hands, count_throwers
from kitplan.verify.possible import STEERS, number_places

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from kitplan.demands import BoatOption, CatchSlot, Choice, Variant
    from kitplan.plan import DemandResult, Part
    from kitplan.verify.ground import Piece
    from kitplan.verify.possible import Judge


class Flaw(NamedTuple):
    """What is wrong with a witness: the family it breaks, and how."""

    family: str
    said: str


def check_witness(judge: Judge, choice: Choice, result: DemandResult) -> list[Flaw]:
    """Return the faults of the witness of a demand that is claimed met; empty if it is one."""
    ways = asks.list_ways(choice, judge.ground.trip.boats[result.key.running].type)
    variant = next((v for v in ways if v.way == result.way), None)
    if variant is None:
        return [Flaw("met", f"there is no way '{result.way}'")]
    if not judge.holds(variant, result.key.rapid, result.key.running):
        said = f"more than {variant.crew_at_most} sit in {result.key.running}"
        return [Flaw("crowd", said)]
    look = _Look(judge, choice, result)
    faults = [*look.check_words(variant), *look.check_used_once()]
    if faults:
        return faults
    if variant.catch is not None:
        return [*faults, *look.check_catch(variant.catch)]
    if look.places:
        return [Flaw("wrong-witness", "no swimmers are taken aboard in this way")]
    faults += look.check_pool(variant) if choice.unhurried else look.check_at_once(variant)
    return faults


class _Look:
    """One witness, its parts and the ground they stand on."""

    def __init__(self, judge: Judge, choice: Choice, result: DemandResult) -> None:
        self.judge, self.choice, self.result = judge, choice, result
        self.running = result.key.running
        self.rapid = result.key.rapid
        self.people = [p for p in result.witness if isinstance(p, PersonPart)]
        self.items = [p for p in result.witness if isinstance(p, ItemPart)]
        self.places = [p for p in result.witness if isinstance(p, PlacePart)]
        self.others = judge.list_others(self.rapid, self.running)

    # --- every part on its own ------------------------------------------------------------------

    def check_words(self, variant: Variant) -> Iterator[Flaw]:
        """Each part says where it is in the words of plans, and counts at least one."""
        for part in self.result.witness:
            if (part.site, part.bank) not in self._list_words(variant, part):
                yield Flaw("wrong-witness", f"'{part.site}' of '{part.bank}' is no site of it")
        for part in self.items:
            if part.count < 1:
                yield Flaw("wrong-witness", f"{part.count} x {part.item}")
        if self.result.missing:
            yield Flaw("wrong-missing", "it is met, and something is said to be missing")

    def _list_words(self, variant: Variant, part: Part) -> set[tuple[str, str]]:
        """Return how the site of a part may be called, with its bank."""
        if part.boat or (isinstance(part, PersonPart) and self.choice.unhurried):
            return {("aboard" if part.boat else "ashore", "")}
        sites = {site for slot in variant.persons for site in slot.sites}
        sites |= {slot.site for slot in variant.items}
        sites |= {one.site for one in (variant.catch.ashore if variant.catch else ())}
        bank = "" if self.choice.unhurried else self.choice.key.bank
        return {name_site(site, bank) for site in sites}

    def check_used_once(self) -> Iterator[Flaw]:
        """Nobody does two things, no thing is used twice, and all are outside the running boat."""
        family = "pool" if self.choice.unhurried else "people"
        for name, count in Counter(part.paddler for part in self.people).items():
            if count > 1:
                yield Flaw(family, f"{name} is asked for {count} things at once")
            if not any(name in self._list_crew(b) for b in self.others):
                yield Flaw(family, f"{name} is not there: not outside {self.running}")
        family = "pool" if self.choice.unhurried else "things"
        used: Counter[_Holder] = Counter()
        for part in self.items:
            used[_find_holder(part)] += part.count
        for holder, count in used.items():
            item, source, carried, _, bundle = holder
            there = sum(
                1
                for b in self.others
                if b == source
                for piece in self._list_pieces(b)
                if _find_place(piece) == holder
            )
            if count > there:
                where = (
                    f"in the {bundle} {carried} in {source}" if bundle else f"{carried} in {source}"
                )
                yield Flaw(family, f"{count} x {item} {where}: {there} are there")

    def _list_pieces(self, boat: str) -> list[Piece]:
        """Return what of a boat is there for the work, stowed or not."""
        wearers = {"", *self._list_crew(boat)}
        return [piece for piece in self.judge.pieces[boat] if piece.worn_by in wearers]

    def _list_crew(self, boat: str) -> Sequence[str]:
        """Return whom of a boat's crew the work may ask: at once nobody who walks round."""
        if self.choice.unhurried:
            return self.judge.list_all(boat, self.rapid)
        return self.judge.list_crew(boat, self.rapid)

    # --- unhurried ------------------------------------------------------------------------------

    def check_pool(self, variant: Variant) -> Iterator[Flaw]:
        """All slots filled from everybody and everything outside the running boat."""
        if variant.needs_boat and not any(b in variant.needs_boat for b in self.others):
            yield Flaw("pool", "no boat can be spared for it")
        if not self._people_fill(variant.persons, self.people):
            yield Flaw("pool", "the people named do not fill all places")
        if not self._items_fill(variant.items, self.items):
            yield Flaw("pool", "the things named do not fill all places")

    # --- at once --------------------------------------------------------------------------------

    def check_at_once(self, variant: Variant) -> Iterator[Flaw]:
        """Slots filled at their sites, hands enough, and each boat's work by a boat of its own."""
        ashore = [part for part in self.people if not part.boat]
        for part in ashore:
            if self._station_of(part.paddler) != _site(part):
                yield Flaw("people", f"{part.paddler} does not stand {_site(part)}")
        minders = [part for part in ashore if part.role == asks.MINDS]
        team = [part for part in ashore if part.role != asks.MINDS]
        if not self._people_fill(variant.persons, team):
            yield Flaw("people", "the people named do not fill all places ashore")
        yield from self._check_minders(variant, minders)
        things = [part for part in self.items if not part.boat]
        for thing in things:
            if self._station(thing.source) != _site(thing):
                yield Flaw("things", f"{thing.source} does not stand {_site(thing)}")
            if thing.carried == "stowed":
                yield Flaw("things", f"{thing.item} in {thing.source} is stowed")
        if not self._items_fill(variant.items, things):
            yield Flaw("things", "the things named do not fill all places")
        yield from self._check_hands(things)
        yield from self._check_boats(variant.boats)

    def _check_minders(self, variant: Variant, minders: list[PersonPart]) -> Iterator[Flaw]:
        """Guides enough mind the guests on each bank of the team; one more does no harm."""
        asked = self.judge.list_people(variant, self.rapid, self.running)[len(variant.persons) :]
        slots = {slot.sites[0]: slot for slot in asked}
        named = Counter(part.bank for part in minders)
        guide = asks.ask_guide(self.judge.ground.trip.catalog.figures)
        for bank in dict.fromkeys([*slots, *named]):
            count = slots[bank].count if bank in slots else 0
            if named[bank] < count:
                said = f"{named[bank]} to mind the guests on river {bank}, {count} are asked"
                yield Flaw("minders", said)
        for part in minders:
            if not self.judge.ground.able(part.paddler, guide, self.judge.leg_of(self.running)):
                yield Flaw("minders", f"{part.paddler} is no guide")

    def _check_hands(self, things: list[ItemPart]) -> Iterator[Flaw]:
        for side in BANKS:
            here = [part for part in things if _site(part) == side]
            items = self.judge.ground.trip.catalog.items
            bulky = sum(p.count for p in here if items[p.item].bulky and not p.bundle)
            people = self.judge.count_at(side, self.rapid, self.running)
            free = count_hands(self.judge, side, self.rapid, self.running)
            if here and bulky > free:
                held = HANDS * people - free
                bundles = f", {held} bundles" if held else ""
                said = f"{bulky} bulky things{bundles} and {people} people on river {side}"
                yield Flaw("hands", said)

    def _check_boats(self, slots: Iterable[BoatSlot]) -> Iterator[Flaw]:
        """Match the works to the boats named; each boat named must do one."""
        named = dict.fromkeys([part.boat for part in self.people if part.boat])
        named |= dict.fromkeys([part.boat for part in self.items if part.boat])
        edges: dict[tuple[BoatSlot, int], list[str]] = {}
        for slot in slots:
            row = [b for b in named if self._boat_does(b, slot)]
            edges |= dict.fromkeys(number_places(slot, len(edges)), row)
        if len(match(edges)) < len(edges) or len(named) != len(edges):
            yield Flaw("boatwork", "the boats named do not do all boats' work")

    def _boat_does(self, boat: str, slot: BoatSlot) -> bool:
        """Say whether the parts named aboard a boat fill one option of a work."""
        if boat not in self.others or self._station(boat) not in slot.stations:
            return False
        return any(self._fills_option(boat, slot.work, option) for option in slot.options)

    def _fills_option(self, boat: str, work: str, option: BoatOption) -> bool:
        ground = self.judge.ground
        people = [part for part in self.people if part.boat == boat]
        items = [part for part in self.items if part.boat == boat]
        crew = self._list_crew(boat)
        aboard = all(part.paddler in crew for part in people)
        in_reach = all(part.source == boat and part.carried != "stowed" for part in items)
        skill = ground.trip.boats[boat].type.skill
        steers = asks.ask_steerer(skill, option)
        slots = (PersonSlot(f"{STEERS}: {work}", ("aboard",), steers), *option.persons)
        return (
            aboard
            and in_reach
            and ground.has_place(boat, option, len(crew))
            and self._people_fill(slots, people)
            and self._items_fill(option.items, items)
        )

    # --- swimmers -------------------------------------------------------------------------------

    def check_catch(self, slot: CatchSlot) -> Iterator[Flaw]:
        """All who sat in the running boat are taken, one by each thrower, some by each boat."""
        ashore = [part for part in self.people if not part.boat]
        bags = [part for part in self.items if not part.boat]
        for one in slot.ashore:
            people = [part for part in ashore if part.bank == one.site]
            things = [part for part in bags if part.bank == one.site]
            persons = PersonSlot(one.role, (one.site,), one.ask, len(people))
            if not self._people_fill((persons,), people) or any(
                self._station_of(part.paddler) != one.site for part in people
            ):
                yield Flaw("swimmers", f"not all named on river {one.site} can throw there")
            lying = ItemSlot(one.site, one.bag, len(people))
            if not self._items_fill((lying,), things) or any(
                part.carried == "stowed" or self._station(part.source) != one.site
                for part in things
            ):
                yield Flaw("swimmers", f"on river {one.site} not each thrower has a bag in reach")
            if len(people) > count_throwers(self.judge, one.site, self.rapid, self.running):
                yield Flaw("hands", f"bundles are in the hands of who throws on river {one.site}")
        yield from self._check_hands(bags)
        yield from self._check_places(slot, len(ashore))

    def _check_places(self, slot: CatchSlot, thrown: int) -> Iterator[Flaw]:
        """Each boat is afloat with its crew and has the places; all together are enough."""
        boats = [part.boat for part in self.places]
        aboard = {part.boat for part in self.people} | {part.boat for part in self.items}
        work = BoatSlot(slot.work, ("afloat",), slot.options)
        if len(set(boats)) < len(boats) or not aboard <= {*boats, ""}:
            yield Flaw("swimmers", "boats are named twice, or take nobody")
        for part in self.places:
            if not self._boat_does(part.boat, work):
                yield Flaw("swimmers", f"{part.boat} can't take swimmers")
            elif not 1 <= part.swimmers <= count_free(self.judge, part.boat):
                yield Flaw("swimmers", f"{part.boat} has no room for {part.swimmers}")
        taken = sum(part.swimmers for part in self.places)
        crew = self.judge.count_aboard(self.rapid, self.running)
        if thrown + taken < crew:
            yield Flaw("swimmers", f"{thrown + taken} of {crew} swimmers are taken")
        both = must_take_both(self.judge, slot, self.rapid, self.running)
        if both and 0 in {thrown, taken}:
            yield Flaw("swimmers", "they are taken in one way only, where both are possible")

    # --- filling --------------------------------------------------------------------------------

    def _station(self, boat: str) -> str:
        """Return where a boat stands; the running one nowhere."""
        there = boat in self.others
        return self.judge.station(self.rapid, boat, self.running) if there else "nowhere"

    def _station_of(self, paddler: str) -> str:
        for boat in self.others:
            if paddler in self.judge.list_all(boat, self.rapid):
                return self._station(boat)
        return "nowhere"

    def _people_fill(self, slots: Iterable[PersonSlot], parts: list[PersonPart]) -> bool:
        """Say whether the parts fill exactly the slots: right role, right site, able."""
        edges: dict[tuple[PersonSlot, int], list[PersonPart]] = {}
        for slot in slots:
            row = [part for part in parts if self._fits(slot, part)]
            edges |= dict.fromkeys(number_places(slot, len(edges)), row)
        return len(edges) == len(parts) and len(match(edges)) == len(edges)

    def _fits(self, slot: PersonSlot, part: PersonPart) -> bool:
        at_site = self.choice.unhurried or bool(part.boat) or _site(part) in slot.sites
        return (
            at_site
            and part.role == slot.role
            and self.judge.ground.able(part.paddler, slot.ask, self.judge.leg_of(self.running))
        )

    def _items_fill(self, slots: Iterable[ItemSlot], parts: list[ItemPart]) -> bool:
        # Two parts may read the same, so each unit has its own number.
        units = [(k, n) for k, part in enumerate(parts) for n in range(part.count)]
        edges: dict[tuple[ItemSlot, int], list[tuple[int, int]]] = {}
        for slot in slots:
            row = [unit for unit in units if self._serves(slot, parts[unit[0]])]
            edges |= dict.fromkeys(number_places(slot, len(edges)), row)
        return len(edges) == len(units) and len(match(edges)) == len(edges)

    def _serves(self, slot: ItemSlot, part: ItemPart) -> bool:
        at_site = self.choice.unhurried or bool(part.boat) or _site(part) == slot.site
        if not at_site or part.kind != slot.thing.kind:
            return False
        pieces: list[Piece] = [
            piece
            for piece in self.judge.pieces.get(part.source, [])
            if _find_place(piece) == _find_holder(part)
        ]
        return bool(pieces) and self.judge.ground.serves(pieces[0], slot.thing)


_Holder = tuple[str, str, str, str, str]
"""Item, boat, how it is carried, who wears it, what it lies in."""


def _find_holder(part: ItemPart) -> _Holder:
    return part.item, part.source, part.carried, part.worn_by, part.bundle


def _find_place(piece: Piece) -> _Holder:
    return piece.item, piece.boat, piece.carried, piece.worn_by, piece.bundle


def _site(part: PersonPart | ItemPart) -> str:
    """Return the absolute site of a part: a bank, or what the part says."""
    return part.bank or part.site
