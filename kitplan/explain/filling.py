"""Filling slots from what is there: who takes which place, which things serve, what is short."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from kitplan.build.hall import list_conditions, list_joint_conditions
from kitplan.demands import ItemSlot, PersonSlot
from kitplan.explain.flow import assign
from kitplan.explain.scene import HANDS
from kitplan.needs.words import say_ask, say_thing
from kitplan.plan import ItemPart, Short

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan.demands import Thing
    from kitplan.explain.likes import Likes
    from kitplan.explain.scene import Lot, Scene
    from kitplan.plan import Part

Slot = TypeVar("Slot", PersonSlot, ItemSlot)
BANKS = ("left", "right")


class Filled(NamedTuple):
    """What filling some slots came to: the parts, and what is short."""

    parts: tuple[Part, ...]
    missing: tuple[Short, ...]

    @property
    def short(self) -> int:
        """Return how many pieces are short."""
        return sum(piece.short for piece in self.missing)


class Frame(NamedTuple):
    """What slots are filled from: a scene, the working bank, and who is liked to do what."""

    scene: Scene
    bank: str
    likes: Likes | None


def seat_people(
    places: Sequence[PersonSlot], seen: list[list[int]], people: Sequence[str], likes: Likes | None
) -> list[int]:
    """Assign people to places, each one place, and of equal ways one that is liked."""
    costs = None
    if likes is not None:
        costs = [
            [likes.person(slot.role, people[k]) for k in row]
            for slot, row in zip(places, seen, strict=True)
        ]
    return assign(seen, [1] * len(people), None, costs)


def fill_things(slots: Iterable[ItemSlot], lots: Sequence[Lot], frame: Frame) -> Filled:
    """Fill item slots from lots, bulky things only where small ones do not do."""
    places = [slot for slot in slots for _ in range(slot.count)]
    fillers = _list_fillers(lots, apart=frame.likes is not None)
    serving: dict[Thing, list[int]] = {}
    for slot in slots:
        if slot.thing not in serving:
            able = [lot.serves(slot.thing) for lot in lots]
            serving[slot.thing] = [k for k, one in enumerate(fillers) if able[one.number]]
    seen = [serving[slot.thing] for slot in places]
    room = [one.room for one in fillers]
    places, seen = hardest_first(places, seen, room)
    likes = None
    if frame.likes is not None:
        likes = [
            [frame.likes.thing(slot.thing.kind, fillers[k].lot, fillers[k].copy) for k in row]
            for slot, row in zip(places, seen, strict=True)
        ]
    got = assign(seen, room, [int(one.lot.takes_hand) for one in fillers], likes)
    counts: dict[tuple[ItemSlot, int], int] = {}
    for slot, k in zip(places, got, strict=True):
        if k >= 0:
            use = (slot, fillers[k].number)
            counts[use] = counts.get(use, 0) + 1
    parts = tuple(
        ItemPart(
            *name_site(slot.site, frame.bank),
            slot.thing.kind,
            lots[number].item.name,
            count,
            lots[number].boat,
            lots[number].carried,
            lots[number].worn_by,
            bundle=lots[number].bundle,
        )
        for (slot, number), count in counts.items()
    )
    lack = [slot for slot, k in zip(places, got, strict=True) if k < 0]
    return Filled(parts, count_short(lack, frame.bank))


class _Filler(NamedTuple):
    """What fills slots: a lot (by its number) or a single copy of it, and how many that is."""

    number: int
    lot: Lot
    copy: int
    room: int


def _list_fillers(lots: Sequence[Lot], *, apart: bool) -> list[_Filler]:
    """Return the lots as they are, or, where each copy is liked for itself, `apart`."""
    if not apart:
        return [_Filler(number, lot, 0, lot.count) for number, lot in enumerate(lots)]
    return [
        _Filler(number, lot, copy, 1)
        for number, lot in enumerate(lots)
        for copy in range(lot.count)
    ]


def hardest_first(
    places: list[Slot], seen: list[list[int]], room: Sequence[int]
) -> tuple[list[Slot], list[list[int]]]:
    """Order places by how few can fill them; of equal ones, what asks for more comes first.

    `room[k]` says how many filler k is.
    """

    def rank(k: int) -> tuple[int, int]:
        return sum(room[filler] for filler in seen[k]), -_count_asked(places[k])

    order = sorted(range(len(places)), key=rank)
    return [places[k] for k in order], [seen[k] for k in order]


def _count_asked(slot: PersonSlot | ItemSlot) -> int:
    """Return how much a slot asks for, to compare slots by."""
    if isinstance(slot, ItemSlot):
        return slot.thing.least_mm
    return sum(level for _, level in (*slot.ask.skills, *slot.ask.steers))


def count_short(lack: Iterable[PersonSlot | ItemSlot], bank: str) -> tuple[Short, ...]:
    """Return what is short where these places are left empty, equal pieces counted."""
    counts: dict[Short, int] = {}
    for slot in lack:
        if isinstance(slot, PersonSlot):
            site, side = _name_sites(slot.sites, bank)
            piece = Short(site, side, "person", slot.role, say_ask(slot.ask), 1)
        else:
            site, side = name_site(slot.site, bank)
            piece = Short(site, side, "item", slot.thing.kind, say_thing(slot.thing), 1)
        counts[piece] = counts.get(piece, 0) + 1
    return tuple(replace(piece, short=n) for piece, n in counts.items())


def _name_sites(sites: tuple[str, ...], bank: str) -> tuple[str, str]:
    return name_site(sites[0], bank) if len(sites) == 1 else ("anywhere", "")


def name_site(site: str, bank: str) -> tuple[str, str]:
    """Return a site relative to the working bank, and the bank it is on ("" if none)."""
    if site not in BANKS:
        return site, ""
    if not bank:
        return "ashore", site
    return ("working" if site == bank else "far"), site


def join_filled(filled: Iterable[Filled]) -> Filled:
    """Return what all came to together."""
    rows = list(filled)
    return Filled(
        tuple(part for row in rows for part in row.parts),
        tuple(piece for row in rows for piece in row.missing),
    )


def things_backed(slots: Sequence[ItemSlot], lots: Sequence[Lot]) -> bool:
    """Say whether loose things fill the slots without any one of them."""
    types = [
        (
            frozenset(
                (k, n)
                for k, lot in enumerate(lots)
                if lot.loose and lot.serves(slot.thing)
                for n in range(lot.count)
            ),
            slot.count,
        )
        for slot in slots
    ]
    return all(len(c.sees) > c.places for c in list_conditions(types))


def hands_backed(slots: Sequence[ItemSlot], scene: Scene, site: str) -> bool:
    """Say whether there are hands for what is bulky at a site without any one person or thing."""
    lots = [lot for lot in scene.lots_at(site) if not lot.item.bulky and not lot.bundle]
    types = [
        (
            frozenset(
                (k, n)
                for k, lot in enumerate(lots)
                if lot.serves(slot.thing)
                for n in range(lot.count)
            ),
            slot.count,
        )
        for slot in slots
    ]
    hands = scene.hands_at(site)
    if hands < HANDS:
        return False
    return all(len(c.sees) + hands >= c.places + HANDS for c in list_joint_conditions(types))
