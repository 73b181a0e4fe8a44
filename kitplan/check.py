"""What the party as a whole can and can't do, by matching and without a solver.

Everybody and everything the party owns may be anywhere, but the boat in trouble keeps a steerer and
its least crew: what fails even so is short whatever is packed where.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.demands import DemandKey
from kitplan.matching import match
from kitplan.needs.words import NO_BOAT, NO_PLACE, NO_THROWER

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from kitplan.demands import Ask, BoatSlot, Case, Choice, Needs, Thing, Variant
    from kitplan.needs.lining import Lining
    from kitplan.trip import Boat, Item, Trip

STEERS = "steers"
SPARE_CREW = "least crew"


# --- what a check comes to ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Lack:
    """What is short: `short` of a role, of a kind of thing, or of boats for a work.

    `what` is "person", "item", "boat" or "swimmer". A person with no `ask` is one that the boat in
    trouble keeps: `name` is STEERS or SPARE_CREW then.
    """

    what: str
    name: str
    short: int
    ask: Ask | None = None
    thing: Thing | None = None


@dataclass(frozen=True, slots=True)
class TechniqueCheck:
    """How often a technique is asked for, and how often the whole party could do it.

    `demands` and `possible` count demands; `lacks` is what the impossible one that comes nearest
    is short of, empty where all are possible.
    """

    technique: str
    demands: int
    possible: int
    lacks: tuple[Lack, ...]


@dataclass(frozen=True, slots=True)
class CaseCheck:
    """Cases that can't be covered from some banks, whatever is packed where.

    Cases that differ only in the running boat or the bank are one row; bank "" is the water.
    `elsewhere`: they may be covered from the other bank.
    """

    rapid: str
    spot: str
    scenario: str
    banks: tuple[str, ...]
    running: tuple[str, ...]
    technique: str
    lacks: tuple[Lack, ...]
    weight: int
    elsewhere: bool


@dataclass(frozen=True, slots=True)
class RoleCheck:
    """Who can fill a role that asks for this."""

    role: str
    ask: Ask
    able: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ThingCheck:
    """How many things may serve where one is asked for; own worn ones are in `owned`, too."""

    thing: Thing
    owned: int
    at_most: int  # the most copies that one way of a technique asks for


@dataclass(frozen=True, slots=True)
class CertificateCheck:
    """One certificate of a paddler; `until` is its last day as ISO 8601 writes it."""

    paddler: str
    name: str
    until: str
    holds: bool  # through the last day of the trip


@dataclass(frozen=True, slots=True)
class SteererCheck:
    """Who can steer the boats of one type down the hardest class of the trip."""

    boat_type: str
    boats: tuple[str, ...]
    skill: str
    level: int
    level_with_guests: int
    able: tuple[str, ...]
    able_with_guests: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartyCheck:
    """What the party can do and what it is short of; the worst first.

    `beyond` counts those of the `total` cases that can't be covered from anywhere.
    """

    total: int
    beyond: int
    cases: tuple[CaseCheck, ...]
    techniques: tuple[TechniqueCheck, ...]
    roles: tuple[RoleCheck, ...]
    things: tuple[ThingCheck, ...]
    certificates: tuple[CertificateCheck, ...]
    steerers: tuple[SteererCheck, ...]
    linings: tuple[Lining, ...]

    @property
    def short(self) -> bool:
        """Say whether something is short whatever is packed: cover, a steerer, what lining asks."""
        lined = all(not row.missing for row in self.linings)
        return bool(self.cases) or not lined or not all(row.able for row in self.steerers)


def check_party(trip: Trip, needs: Needs) -> PartyCheck:
    """Return what the party as a whole can and can't do; nobody is seated, nothing packed."""
    muster = Muster(trip)
    found = [row for case in needs.cases.values() for row in _list_uncovered(case, needs, muster)]
    return PartyCheck(
        len(needs.cases),
        len({row.case.key for row in found if not row.elsewhere}),
        _group_cases(found),
        _check_techniques(needs, muster),
        _check_roles(needs, muster),
        _check_things(needs, muster),
        _check_certificates(trip),
        _check_steerers(trip),
        asks.list_linings(trip),
    )


# --- matching -----------------------------------------------------------------------------------


class Muster:
    """Everybody and everything of the party; what a variant is short of is asked once.

    Who and what there is counts for the whole trip; what a variant is short of, in its leg.
    """

    def __init__(self, trip: Trip) -> None:
        """Count the things once."""
        self.trip = trip
        legs = sorted({boat.leg for boat in trip.boats.values()})
        alone = len(legs) == 1
        self._legs = {} if alone else {number: Muster(trip.at_leg(number)) for number in legs}
        self.things = list(_list_things(trip))
        self._able: dict[Ask, tuple[str, ...]] = {}
        self._lacks: dict[tuple[Variant, str, tuple[str, ...]], tuple[Lack, ...]] = {}

    def able(self, ask: Ask) -> tuple[str, ...]:
        """Return who answers `ask`, in the order of the trip."""
        if ask not in self._able:
            trip = self.trip
            self._able[ask] = tuple(
                name
                for name, paddler in trip.paddlers.items()
                if asks.able(paddler, ask, trip.ends, trip.catalog)
            )
        return self._able[ask]

    def serving(self, thing: Thing) -> list[int]:
        """Return the numbers of the things that may serve."""
        return [
            k
            for k, (item, crew) in enumerate(self.things)
            if asks.serves(item, thing) and not (crew and thing.spare)
        ]

    def find_lacks(self, choice: Choice, running: str) -> tuple[Lack, ...]:
        """Return what the nearest variant of a choice is short of, empty if one can be done."""
        if self._legs:
            return self._legs[self.trip.boats[running].leg].find_lacks(choice, running)
        nearest: tuple[Lack, ...] | None = None
        there = self.trip.rapids[choice.key.rapid].boats
        boat = self.trip.boats[running]
        least = asks.least_crew(boat.type, asks.hardest_class(self.trip, running))
        for variant in asks.list_ways(choice, boat.type):
            if not variant.holds_with(least):
                continue
            key = (replace(variant, way="", types=()), running, there)
            if key not in self._lacks:
                self._lacks[key] = self._fill(variant, running, there)
            nearest = _fewer(nearest, self._lacks[key])
            if not nearest:
                break
        return nearest or ()

    def _fill(self, variant: Variant, running: str, there: tuple[str, ...]) -> tuple[Lack, ...]:
        others = [self.trip.boats[name] for name in there if name != running]
        spare: tuple[Lack, ...] = ()
        if variant.needs_boat and not any(boat.name in variant.needs_boat for boat in others):
            spare = (Lack("boat", "a boat that can be spared", 1),)
        nearest: tuple[Lack, ...] | None = None
        for crews in _choose_crews(variant.boats, others):
            people = [Post(s.role, s.ask) for s in variant.persons for _ in range(s.count)]
            things = [s.thing for s in variant.items for _ in range(s.count)]
            posts = [*people, *crews.posts]
            lacks = (
                *(tuple(self._fill_people(posts, running)) or _lack_seats(posts, others)),
                *self._fill_things([*things, *crews.things]),
                *crews.lacks,
                *spare,
                *self._lack_swimmers(variant, running, others),
            )
            nearest = _fewer(nearest, lacks)
        return nearest or ()

    def _lack_swimmers(self, variant: Variant, running: str, others: list[Boat]) -> Iterator[Lack]:
        """Yield what takes too few of the least that sit in the boat in trouble."""
        slot = variant.catch
        if slot is None:
            return
        kept = [able for _, able in self._keep_crew(self.trip.boats[running])]
        able = sorted({p for one in slot.ashore for p in self.able(one.ask)})
        got = match(dict(enumerate([*kept, *[tuple(able)] * len(able)])))
        bags = {k for one in slot.ashore for k in self.serving(one.bag)}
        thrown = min(sum(k >= len(kept) for k in got), len(bags))
        free = sum(asks.most_free_places(self.trip, boat, slot.options) for boat in others)
        rest = len(kept) - thrown - free
        for name, there in ((NO_THROWER, thrown), (NO_BOAT, free)):
            if slot.both and not there:
                yield Lack("swimmer", name, 1)
                rest -= 1
        if rest > 0:
            yield Lack("swimmer", NO_PLACE, rest)

    def _fill_people(self, posts: list[Post], running: str) -> Iterator[Lack]:
        """Yield the posts that stay empty; those in the boat in trouble are filled first."""
        wanted = [*self._keep_crew(self.trip.boats[running])]
        wanted += sorted(
            [(post, self.able(post.ask)) for post in posts if post.ask is not None],
            key=lambda pair: len(pair[1]),
        )
        filled = match({k: able for k, (_, able) in enumerate(wanted)})
        short = Counter(post for k, (post, _) in enumerate(wanted) if k not in filled)
        for post, count in short.items():
            yield Lack("person", post.role, count, ask=post.ask)

    def _keep_crew(self, boat: Boat) -> Iterator[tuple[Post, tuple[str, ...]]]:
        """Yield whom the boat in trouble keeps: somebody who can steer it, and its least crew."""
        hardest = asks.hardest_class(self.trip, boat.name)
        level = asks.boat_level(self.trip, boat.name, guests_aboard=False)
        yield Post(STEERS, None), _list_steerers(self.trip, boat.type.skill, level)
        for _ in range(asks.least_crew(boat.type, hardest) - 1):
            yield Post(SPARE_CREW, None), tuple(self.trip.paddlers)

    def _fill_things(self, things: list[Thing]) -> Iterator[Lack]:
        wanted = sorted(
            [(thing, self.serving(thing)) for thing in things], key=lambda pair: len(pair[1])
        )
        filled = match({k: serving for k, (_, serving) in enumerate(wanted)})
        short = Counter(thing for k, (thing, _) in enumerate(wanted) if k not in filled)
        for thing, count in short.items():
            yield Lack("item", thing.kind, count, thing=thing)


class Post(NamedTuple):
    """One person's place; no `ask` for a place in the boat in trouble."""

    role: str
    ask: Ask | None


class Crews(NamedTuple):
    """What the boats' work of a variant asks for, each work done in one of its ways."""

    posts: tuple[Post, ...] = ()
    things: tuple[Thing, ...] = ()
    lacks: tuple[Lack, ...] = ()


def _choose_crews(slots: tuple[BoatSlot, ...], boats: Sequence[Boat]) -> Iterator[Crews]:
    """Yield what the boats' work may ask for, by the types of boat that are at hand."""
    works = [(slot, list(_list_ways(slot, boats))) for slot in slots for _ in range(slot.count)]
    missing = tuple(Lack("boat", slot.work, 1) for slot, ways in works if not ways)
    for chosen in product(*(ways for _, ways in works if ways)):
        yield Crews(
            tuple(post for crew in chosen for post in crew.posts),
            tuple(thing for crew in chosen for thing in crew.things),
            missing,
        )


def _list_ways(slot: BoatSlot, boats: Sequence[Boat]) -> Iterator[Crews]:
    for option in slot.options:
        skills = [boat.type.skill for boat in boats if boat.type.craft in option.crafts]
        for skill in dict.fromkeys(skills):
            steers = asks.ask_steerer(skill, option)
            further = [Post(p.role, p.ask) for p in option.persons for _ in range(p.count)]
            yield Crews(
                (Post(f"{STEERS} for {slot.work}", steers), *further),
                tuple(item.thing for item in option.items for _ in range(item.count)),
            )


def _fewer(known: tuple[Lack, ...] | None, lacks: tuple[Lack, ...]) -> tuple[Lack, ...]:
    if known is None or _count(lacks) < _count(known):
        return lacks
    return known


def _count(lacks: Iterable[Lack]) -> int:
    return sum(lack.short for lack in lacks)


def _lack_seats(posts: list[Post], others: list[Boat]) -> Iterator[Lack]:
    """Yield the people who find no seat in the boats that pass together with the running one."""
    beyond = sum(post.ask is not None for post in posts) - sum(b.type.seats for b in others)
    if beyond > 0:
        yield Lack("boat", "a seat in another boat there", beyond)


def _list_things(trip: Trip) -> Iterator[tuple[Item, bool]]:
    """Yield each copy of a thing the party has, and whether it is a crew paddle."""
    for kit in trip.kit.values():
        yield from [(kit.item, False)] * kit.count
    for paddler in trip.paddlers.values():
        for name, count in paddler.wears.items():
            yield from [(trip.catalog.items[name], False)] * count
    first = {boat.called: boat for boat in reversed(trip.boats.values())}
    for boat in first.values():  # a boat of several legs has its paddles once
        if boat.type.crew_paddle is not None:
            crew = min(boat.type.seats, len(trip.paddlers))
            for _ in range(asks.crew_paddles(boat, crew)):
                yield trip.catalog.items[boat.type.crew_paddle], True


def _list_steerers(trip: Trip, skill: str, level: int) -> tuple[str, ...]:
    return tuple(
        name for name, p in trip.paddlers.items() if p.level(skill) >= level and not p.guest
    )


# --- cases --------------------------------------------------------------------------------------


class Uncovered(NamedTuple):
    """A case and a bank from which nothing can cover it, and what comes nearest."""

    case: Case
    bank: str
    technique: str
    lacks: tuple[Lack, ...]
    elsewhere: bool


def _list_uncovered(case: Case, needs: Needs, muster: Muster) -> Iterator[Uncovered]:
    """Yield the banks that count for a case and from which it can't be covered."""
    tried: dict[str, list[tuple[int, int, str, tuple[Lack, ...]]]] = {}
    for key, choice in needs.choices.items():
        demand = DemandKey(*key, case.key.running)
        if key[:3] == case.key[:3] and choice.covers and demand in needs.demands:
            lacks = muster.find_lacks(choice, case.key.running)
            tried.setdefault(key.bank, []).append(
                (_count(lacks), choice.place, key.technique, lacks)
            )
    banks = case.banks or ("",)
    nearest = {
        bank: min([*tried.get(bank, []), *(tried.get("", []) if bank else [])], key=_by_place)
        for bank in banks
    }
    elsewhere = any(short == 0 for short, *_ in nearest.values())
    for bank, (short, _, technique, lacks) in nearest.items():
        if short:
            yield Uncovered(case, bank, technique, lacks, elsewhere)


def _by_place(row: tuple[int, int, str, tuple[Lack, ...]]) -> tuple[int, int]:
    return row[:2]


def _group_cases(found: Iterable[Uncovered]) -> tuple[CaseCheck, ...]:
    """Return rows that differ only in running boat or bank as one, the worst first."""
    by_bank: dict[tuple[object, ...], tuple[Uncovered, list[str]]] = {}
    for one in found:
        same = (*one.case.key[:3], one.bank, one.technique, one.lacks, one.elsewhere)
        by_bank.setdefault(same, (one, []))[1].append(one.case.key.running)
    rows: dict[CaseCheck, CaseCheck] = {}
    for one, running in by_bank.values():
        rapid, spot, scenario, _ = one.case.key
        row = CaseCheck(
            rapid,
            spot,
            scenario,
            (one.bank,),
            tuple(running),
            one.technique,
            one.lacks,
            one.case.weight,
            one.elsewhere,
        )
        alike = replace(row, banks=())
        known = rows.get(alike)
        rows[alike] = replace(known, banks=(*known.banks, one.bank)) if known else row
    return tuple(sorted(rows.values(), key=lambda row: (row.elsewhere, -row.weight)))


# --- techniques, people, things -----------------------------------------------------------------


def _check_techniques(needs: Needs, muster: Muster) -> tuple[TechniqueCheck, ...]:
    asked: dict[str, list[tuple[Lack, ...]]] = {}
    for key in needs.demands:
        lacks = muster.find_lacks(needs.choices[key.choice], key.running)
        asked.setdefault(key.technique, []).append(lacks)
    rows = [
        TechniqueCheck(
            technique,
            len(found),
            found.count(()),
            min((lacks for lacks in found if lacks), key=_count, default=()),
        )
        for technique, found in asked.items()
    ]
    return tuple(sorted(rows, key=lambda row: (row.possible > 0, row.possible == row.demands)))


def _check_roles(needs: Needs, muster: Muster) -> tuple[RoleCheck, ...]:
    """Return each role and what it asks for once, the scarcest first."""
    roles: dict[tuple[str, Ask], None] = {}
    boats = list(muster.trip.boats.values())
    for variant in _list_variants(needs):
        posts = [Post(slot.role, slot.ask) for slot in variant.persons]
        posts += [p for slot in variant.boats for way in _list_ways(slot, boats) for p in way.posts]
        throwings = variant.catch.ashore if variant.catch else ()
        posts += [Post(one.role, one.ask) for one in throwings]
        roles.update({(post.role, post.ask): None for post in posts if post.ask is not None})
    rows = [RoleCheck(role, ask, muster.able(ask)) for role, ask in roles]
    return tuple(sorted(rows, key=lambda row: (len(row.able), row.role, row.ask)))


def _check_things(needs: Needs, muster: Muster) -> tuple[ThingCheck, ...]:
    """Return each thing that is asked for, those with least to spare first."""
    most: dict[Thing, int] = {}
    for variant in _list_variants(needs):
        wanted: dict[Thing, int] = {}
        aboard = [item for slot in variant.boats for way in slot.options for item in way.items]
        for slot in (*variant.items, *aboard):
            wanted[slot.thing] = wanted.get(slot.thing, 0) + slot.count
        # How many bags are thrown is up to the plan: boats may take as many swimmers.
        wanted |= {one.bag: 1 for one in (variant.catch.ashore if variant.catch else ())}
        for thing, count in wanted.items():
            most[thing] = max(count, most.get(thing, 0))
    rows = [ThingCheck(thing, len(muster.serving(thing)), n) for thing, n in most.items()]
    return tuple(sorted(rows, key=lambda row: (row.owned - row.at_most, row.thing)))


def _list_variants(needs: Needs) -> Iterator[Variant]:
    for choice in needs.choices.values():
        yield from choice.variants


def _check_certificates(trip: Trip) -> tuple[CertificateCheck, ...]:
    return tuple(
        CertificateCheck(paddler.name, name, until.isoformat(), holds=until >= trip.ends)
        for paddler in trip.paddlers.values()
        for name, until in paddler.certificates
    )


def _check_steerers(trip: Trip) -> tuple[SteererCheck, ...]:
    boats: dict[tuple[str, int, int, int], list[Boat]] = {}
    for boat in trip.boats.values():
        level, higher = (
            asks.boat_level(trip, boat.name, guests_aboard=guests) for guests in (False, True)
        )
        boats.setdefault((boat.type.name, level, higher, boat.leg), []).append(boat)
    rows = []
    for (name, level, higher, leg), alike in boats.items():
        kind = alike[0].type
        rows.append(
            SteererCheck(
                name,
                tuple(boat.name for boat in alike),
                kind.skill,
                level,
                higher,
                _list_steerers(trip.at_leg(leg), kind.skill, level),
                _list_steerers(trip.at_leg(leg), kind.skill, higher),
            )
        )
    return tuple(rows)
