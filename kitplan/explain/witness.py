"""Which demands are met, by whom with what, and what is missing where one is not."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from kitplan import needs as asks
from kitplan.build.hall import list_conditions
from kitplan.demands import Ask, BoatSlot, ItemSlot, PersonSlot
from kitplan.explain.filling import (
    BANKS,
    Filled,
    Frame,
    count_short,
    fill_things,
    hands_backed,
    hardest_first,
    join_filled,
    name_site,
    seat_people,
    things_backed,
)
from kitplan.explain.flow import assign
from kitplan.explain.gather import Taking
from kitplan.explain.scene import HANDS, Party, Scene
from kitplan.needs.words import say_work
from kitplan.plan import DemandResult, ItemPart, PersonPart, PlacePart, Short

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Sequence

    from kitplan.demands import (
        BoatOption,
        CatchSlot,
        Choice,
        ChoiceKey,
        DemandKey,
        Needs,
        Variant,
    )
    from kitplan.explain.likes import Likes
    from kitplan.plan import Part

Asked = TypeVar("Asked", PersonSlot, ItemSlot, BoatSlot)
STEERS = "steers"


class Prover:
    """Fills the slots of demands from an arrangement; equal questions are asked once."""

    def __init__(self, party: Party, needs: Needs) -> None:
        """Start with nothing known."""
        self.party = party
        self.needs = needs
        self._known: dict[Hashable, Filled] = {}
        self._able: dict[tuple[Ask, int], frozenset[str]] = {}
        self._scenes: dict[tuple[str, bool, frozenset[str]], Scene] = {}
        self._alike: dict[Hashable, Scene] = {}
        self._numbers: dict[tuple[ChoiceKey, str], int] = {}
        self._contents: dict[Variant, int] = {}

    def prove(self, key: DemandKey) -> DemandResult:
        """Return the demand met with its witness, or what its nearest variant is short of."""
        choice = self.needs.choices[key.choice]
        best: tuple[int, Variant, Filled] | None = None
        for variant in choice.variants:
            if not self.holds(key.rapid, variant, frozenset({key.running})):
                continue
            filled = self.fill(choice, variant, frozenset({key.running}))
            if best is None or filled.short < best[0]:
                best = (filled.short, variant, filled)
            if filled.short == 0:
                break
        if best is None:
            return DemandResult(key, met=False, way="")
        short, variant, filled = best
        if short == 0:
            return DemandResult(key, met=True, way=variant.way, witness=filled.parts)
        return DemandResult(key, met=False, way=variant.way, missing=filled.missing)

    def holds(self, rapid: str, variant: Variant, without: frozenset[str]) -> bool:
        """Say whether a variant holds at a rapid whichever of some boats is in trouble."""
        arrangement, boats = self.party.arrangement, self.party.trip.boats
        return all(
            variant.holds_with(arrangement.count_aboard(rapid, boat))
            and variant.holds_for(boats[boat].type.name)
            for boat in without
        )

    def can(self, choice: Choice, variant: Variant, without: frozenset[str]) -> bool:
        """Say whether a variant can be done without some boats, whichever is in trouble."""
        rapid = choice.key.rapid
        return self.holds(rapid, variant, without) and not self.fill(choice, variant, without).short

    def fill(
        self,
        choice: Choice,
        variant: Variant,
        without: frozenset[str],
        likes: Likes | None = None,
    ) -> Filled:
        """Return the slots of one variant filled as far as they can be without some boats.

        What is liked settles only who fills the slots, never how many are filled.
        """
        scene = self._find_scene(choice, without)
        fill = self._fill_pool if choice.unhurried else self._fill_at_once
        frame = Frame(scene, "" if choice.unhurried else choice.key.bank, likes)
        if likes is not None:
            return fill(frame, variant)
        key = (scene, frame.bank, self._number(choice, variant))
        if key not in self._known:
            self._known[key] = fill(frame, variant)
        return self._known[key]

    def _find_scene(self, choice: Choice, without: frozenset[str]) -> Scene:
        """Return the scene of a choice without some boats: one for all that are alike."""
        key = (choice.key.rapid, choice.unhurried, without)
        if key not in self._scenes:
            scene = Scene(self.party, choice.key.rapid, without)
            like = scene.pool_likeness() if choice.unhurried else scene.whole_likeness()
            self._scenes[key] = self._alike.setdefault((choice.unhurried, like), scene)
        return self._scenes[key]

    def _number(self, choice: Choice, variant: Variant) -> int:
        """Return the same number for variants that ask for the same, however it is said."""
        key = (choice.key, variant.way)
        if key not in self._numbers:
            content = replace(variant, way="", types=(), crew_at_most=None)
            self._numbers[key] = self._contents.setdefault(content, len(self._contents))
        return self._numbers[key]

    # --- at once --------------------------------------------------------------------------------

    def _fill_at_once(self, frame: Frame, variant: Variant) -> Filled:
        people = frame.scene.list_people(variant.persons)
        filled = [self._ask(self._fill_people, frame, people, _join(s.sites for s in people))]
        for site in dict.fromkeys(slot.site for slot in variant.items):
            slots = tuple(slot for slot in variant.items if slot.site == site)
            filled.append(self._ask(self._fill_site, frame, slots, (site,)))
        stations = _join(slot.stations for slot in variant.boats)
        filled.append(self._ask(self._fill_boats, frame, variant.boats, stations))
        if variant.catch is not None:
            filled.append(self._fill_catch(frame, variant.catch))
        return join_filled(filled)

    def _ask(
        self,
        fill: Callable[[Frame, tuple[Asked, ...]], Filled],
        frame: Frame,
        slots: tuple[Asked, ...],
        sites: tuple[str, ...],
    ) -> Filled:
        """Return the slots filled, which see nothing but `sites`; what is alike is filled once."""
        if frame.likes is not None:
            return fill(frame, slots)
        if not slots:
            return Filled((), ())
        key = (frame.scene.likeness(sites), sites, frame.bank, slots)
        if key not in self._known:
            self._known[key] = fill(frame, slots)
        return self._known[key]

    def _fill_people(self, frame: Frame, slots: tuple[PersonSlot, ...]) -> Filled:
        scene = frame.scene
        people = sorted(scene.sites)
        places = [slot for slot in slots for _ in range(slot.count)]

        def sees(slot: PersonSlot) -> list[int]:
            able = self.list_able(slot.ask, scene.rapid)
            return [k for k, p in enumerate(people) if scene.sites[p] in slot.sites and p in able]

        def part(slot: PersonSlot, k: int) -> PersonPart:
            return PersonPart(*name_site(scene.sites[people[k]], frame.bank), slot.role, people[k])

        seen = [row for slot in slots for row in [sees(slot)] * slot.count]
        places, seen = hardest_first(places, seen, [1] * len(people))
        got = seat_people(places, seen, people, frame.likes)
        parts = [part(slot, k) for slot, k in zip(places, got, strict=True) if k >= 0]
        lack = [slot for slot, k in zip(places, got, strict=True) if k < 0]
        return Filled(tuple(parts), count_short(lack, frame.bank))

    def _fill_site(self, frame: Frame, slots: tuple[ItemSlot, ...]) -> Filled:
        site = slots[0].site
        lots = frame.scene.lots_at(site)
        filled = fill_things(slots, lots, frame)
        if site not in BANKS:
            return filled
        matched = sum(part.count for part in filled.parts if isinstance(part, ItemPart))
        small = fill_things(slots, [lot for lot in lots if not lot.takes_hand], frame)
        by_hand = matched - sum(part.count for part in small.parts if isinstance(part, ItemPart))
        lacking = -(-max(0, by_hand - frame.scene.hands_at(site)) // HANDS)
        if not lacking:
            return filled
        there = name_site(site, frame.bank)
        hands = Short(*there, "hands", "pair of hands", "to carry things", lacking)
        return Filled(filled.parts, (*filled.missing, hands))

    def _fill_boats(self, frame: Frame, slots: tuple[BoatSlot, ...]) -> Filled:
        boats = frame.scene.others
        places = [slot for slot in slots for _ in range(slot.count)]
        aboard = [[self._crew_boat(frame, b, slot) for b in boats] for slot in places]
        seen = [[k for k, crew in enumerate(row) if crew is not None] for row in aboard]
        likes = None
        if frame.likes is not None:
            likes = [[frame.likes.boat(boats[k]) for k in row] for row in seen]
        got = assign(seen, [1] * len(boats), None, likes)
        parts: list[Part] = []
        missing: list[Short] = []
        for slot, row, k in zip(places, aboard, got, strict=True):
            crew = row[k] if k >= 0 else None
            if crew is not None:
                parts += crew.parts
            else:
                missing.append(Short("afloat", "", "boat", slot.work, say_work(slot), 1))
        return Filled(tuple(parts), tuple(missing))

    def _crew_boat(self, frame: Frame, boat: str, slot: BoatSlot) -> Filled | None:
        """Return the boat's work filled by its own crew and things, None if it can't be."""
        if frame.scene.stations[boat] not in slot.stations:
            return None
        for option in slot.options:
            filled = self._fill_aboard(frame, boat, (slot.work, option))
            if filled is not None:
                return filled
        return None

    def _fill_aboard(self, frame: Frame, boat: str, work: tuple[str, BoatOption]) -> Filled | None:
        name, option = work
        kind = self.party.trip.boats[boat].type
        crew = frame.scene.crew(boat)
        if kind.craft not in option.crafts:
            return None
        if kind.seats - len(crew) + kind.deck_places < option.free_places:
            return None
        steers = asks.ask_steerer(kind.skill, option)
        slots = [PersonSlot(f"{STEERS}: {name}", ("aboard",), steers), *option.persons]
        places = [slot for slot in slots for _ in range(slot.count)]
        seen = [
            [k for k, p in enumerate(crew) if p in able]
            for able in (self.list_able(slot.ask, frame.scene.rapid) for slot in places)
        ]
        got = seat_people(places, seen, crew, frame.likes)
        things = fill_things(option.items, frame.scene.lots(boat), frame._replace(bank=""))
        if -1 in got or things.missing:
            return None
        people = [
            PersonPart("aboard", "", slot.role, crew[k], boat)
            for slot, k in zip(places, got, strict=True)
        ]
        items = [replace(part, boat=boat) for part in things.parts if isinstance(part, ItemPart)]
        return Filled((*people, *items), ())

    # --- swimmers -------------------------------------------------------------------------------

    def _fill_catch(self, frame: Frame, slot: CatchSlot) -> Filled:
        """Take as many as sit in the fullest of the boats that are not there."""
        scene, count = frame.scene, self.party.arrangement.count_aboard
        wanted = max((count(scene.rapid, b) for b in scene.without), default=0)
        taking = self._count_taking(frame, slot)
        missing = taking.list_short(wanted)
        if missing:
            return Filled((), missing)
        likes = frame.likes
        boats = sorted(
            taking.free, key=lambda b: (likes.boat(b) if likes else 0, -taking.free[b], b)
        )
        shared = taking.share(wanted, boats)
        parts: list[Part] = []
        for one, n in shared.thrown.items():
            lots = scene.lots_at(one.site)
            parts += self._fill_people(
                frame, (PersonSlot(one.role, (one.site,), one.ask, n),)
            ).parts
            parts += fill_things((ItemSlot(one.site, one.bag, n),), lots, frame).parts
        for boat, n in shared.free.items():
            aboard = self._crew_boat(frame, boat, _afloat(slot))
            parts += [*(aboard.parts if aboard else ()), PlacePart("aboard", "", n, boat)]
        return Filled(tuple(parts), ())

    def _count_taking(self, frame: Frame, slot: CatchSlot, *, loose: bool = False) -> Taking:
        """Return how many throwers and free places could take swimmers; `loose`: for backing."""
        scene, thrown = frame.scene, {}
        for one in slot.ashore:
            there = self.list_able(one.ask, scene.rapid)
            able = sum(at == one.site and p in there for p, at in scene.sites.items())
            lots = [lot for lot in scene.lots_at(one.site) if lot.serves(one.bag)]
            bags = sum(lot.count for lot in lots if lot.loose or not loose)
            thrown[one] = min(able, bags, scene.throwers_at(one.site))
        free = {}
        for boat in scene.others:
            kind = self.party.trip.boats[boat].type
            places = kind.seats - len(self.party.arrangement.crew[boat]) + kind.deck_places
            if places > 0 and self._crew_boat(frame, boat, _afloat(slot)) is not None:
                free[boat] = places
        return Taking(thrown, free, scene.asks_both(slot))

    # --- unhurried ------------------------------------------------------------------------------

    def _fill_pool(self, frame: Frame, variant: Variant) -> Filled:
        boats = frame.scene.others
        people = sorted(p for b in boats for p in frame.scene.everybody(b))
        places = [slot for slot in variant.persons for _ in range(slot.count)]
        seen = [
            [k for k, p in enumerate(people) if p in able]
            for able in (self.list_able(slot.ask, frame.scene.rapid) for slot in places)
        ]
        places, seen = hardest_first(places, seen, [1] * len(people))
        got = seat_people(places, seen, people, frame.likes)
        parts = [
            PersonPart("ashore", "", slot.role, people[k])
            for slot, k in zip(places, got, strict=True)
            if k >= 0
        ]
        lack = [slot for slot, k in zip(places, got, strict=True) if k < 0]
        lots = [lot for b in boats for lot in frame.scene.everything(b)]
        things = fill_things(variant.items, lots, frame._replace(bank=""))
        spared: tuple[Short, ...] = ()
        if variant.needs_boat and not set(variant.needs_boat) & set(boats):
            spared = (Short("ashore", "", "boat", "a boat that can be spared", "", 1),)
        missing = (*count_short(lack, ""), *things.missing, *spared)
        return Filled((*parts, *things.parts), missing)

    # --- backing --------------------------------------------------------------------------------

    def is_backed(self, choice: Choice, variant: Variant, running: str) -> bool:
        """Say whether the variant stays possible after any one loss, by Hall's conditions."""
        if not self.holds(choice.key.rapid, variant, frozenset({running})):
            return False
        scene = self._find_scene(choice, frozenset({running}))
        if choice.unhurried:
            return self._pool_backed(scene, variant)
        frame = Frame(scene, "", None)
        if variant.catch is not None:
            taking = self._count_taking(frame, variant.catch, loose=True)
            return taking.is_backed(self.party.arrangement.count_aboard(scene.rapid, running))
        return self._at_once_backed(frame, variant)

    def _at_once_backed(self, frame: Frame, variant: Variant) -> bool:
        scene = frame.scene
        people = [
            (
                frozenset(p for p, site in scene.sites.items() if site in s.sites)
                & self.list_able(s.ask, scene.rapid),
                s.count,
            )
            for s in scene.list_people(variant.persons)
        ]
        if any(len(c.sees) < c.places + 1 for c in list_conditions(people)):
            return False
        for site in dict.fromkeys(slot.site for slot in variant.items):
            slots = [slot for slot in variant.items if slot.site == site]
            if not things_backed(slots, scene.lots_at(site)):
                return False
            if site in BANKS and not hands_backed(slots, scene, site):
                return False
        return self._boats_backed(frame, variant.boats)

    def _pool_backed(self, scene: Scene, variant: Variant) -> bool:
        if variant.needs_boat and not set(variant.needs_boat) & set(scene.others):
            return False
        there = frozenset(p for b in scene.others for p in scene.everybody(b))
        people = [(there & self.list_able(s.ask, scene.rapid), s.count) for s in variant.persons]
        lots = [lot for b in scene.others for lot in scene.everything(b)]
        return all(len(c.sees) > c.places for c in list_conditions(people)) and things_backed(
            variant.items, lots
        )

    def _boats_backed(self, frame: Frame, slots: Sequence[BoatSlot]) -> bool:
        boats = frame.scene.others
        types = [
            (
                frozenset(b for b in boats if self._crew_boat(frame, b, slot) is not None),
                slot.count,
            )
            for slot in slots
        ]
        return all(len(c.sees) > c.places for c in list_conditions(types))

    def list_able(self, ask: Ask, rapid: str) -> frozenset[str]:
        """Return who answers `ask` in the leg of a rapid."""
        trip = self.party.trip
        key = (ask, trip.rapids[rapid].leg)
        if key not in self._able:
            leg = trip.leg_of(rapid)
            self._able[key] = frozenset(
                name
                for name, paddler in trip.list_party(leg).items()
                if asks.able(paddler, ask, leg.ends, trip.catalog)
            )
        return self._able[key]


def _join(rows: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    """Return each name of some rows once."""
    return tuple(dict.fromkeys(name for row in rows for name in row))


def _afloat(slot: CatchSlot) -> BoatSlot:
    """Return the work of a boat that takes swimmers."""
    return BoatSlot(slot.work, ("afloat",), slot.options)
