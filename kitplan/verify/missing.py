"""Whether what a plan calls missing is what is missing, no piece more and none less.

A list of missing pieces is right if, with stand-ins for exactly these pieces, every place of a
variant is filled, and their number is the least that any variant is short of. So a list that
names another of several equally good sets of places passes, and any other does not.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from kitplan.matching import match
from kitplan.needs.words import NO_BOAT, NO_PLACE, NO_THROWER, say_ask, say_thing, say_work
from kitplan.trip import BANKS
from kitplan.verify.ground import name_site, name_sites

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterator, Sequence

    from kitplan.demands import Choice, ChoiceKey, ItemSlot, PersonSlot, Variant
    from kitplan.plan import Short
    from kitplan.verify.possible import Judge

SPARED = "a boat that can be spared"
SWIMMER_SITES = {NO_THROWER: "ashore", NO_BOAT: "afloat", NO_PLACE: "afloat"}


class Label(NamedTuple):
    """What a plan says of a piece, its number apart."""

    site: str
    bank: str
    what: str
    name: str
    asks: str


Row = tuple[Label, "list[Hashable]"]


class Place(NamedTuple):
    """One single place to be filled; places that read the same have different numbers."""

    label: Label
    number: int


def is_missing(
    judge: Judge, choice: Choice, variant: Variant, running: str, claimed: Sequence[Short]
) -> bool:
    """Say whether a variant is short of the claimed pieces and of nothing else."""
    short = judge.count_short(choice, variant, running)
    pieces = _count_pieces(claimed)
    if min(pieces.values(), default=1) < 1 or pieces.total() != short.total():
        return False
    hands = {label: n for label, n in pieces.items() if label.what == "hands"}
    bank = "" if choice.unhurried else choice.key.bank
    true_hands = {(*name_site(s, bank), n) for s in BANKS if (n := short["hands", s, ""])}
    if {(label.site, label.bank, n) for label, n in hands.items()} != true_hands:
        return False
    swimmers = {label.name: n for label, n in pieces.items() if label.what == "swimmer"}
    if swimmers != {name: n for (what, _, name), n in short.items() if what == "swimmer"}:
        return False
    told = {label for label in pieces if label.what == "swimmer"}
    if told != {Label(SWIMMER_SITES[name], "", "swimmer", name, "") for name in swimmers}:
        return False
    stand_ins = {label: n for label, n in pieces.items() if label.what not in {"hands", "swimmer"}}
    return _fills(_list_places(judge, choice, variant, running), stand_ins)


def _count_pieces(claimed: Sequence[Short]) -> Counter[Label]:
    pieces: Counter[Label] = Counter()
    for row in claimed:
        pieces[Label(row.site, row.bank, row.what, row.name, row.asks)] += row.short
    return pieces


def _fills(places: dict[Place, list[Hashable]], stand_ins: dict[Label, int]) -> bool:
    edges = {place: list(fillers) for place, fillers in places.items()}
    for place, fillers in edges.items():
        fillers += [("stand-in", place.label, n) for n in range(stand_ins.get(place.label, 0))]
    return len(match(edges)) == len(edges)


def _list_places(
    judge: Judge, choice: Choice, variant: Variant, running: str
) -> dict[Place, list[Hashable]]:
    """Return every single place of a variant with who or what may fill it."""
    look = _label_pool if choice.unhurried else _label_at_once
    rows = look(judge, choice.key, variant, running)
    return {Place(label, number): fillers for number, (label, fillers) in enumerate(rows)}


def _label_at_once(judge: Judge, key: ChoiceKey, variant: Variant, running: str) -> Iterator[Row]:
    slots = judge.list_people(variant, key.rapid, running)
    for (slot, _), able in judge.edge_people(slots, key.rapid, running).items():
        yield _label_person(slot, key.bank), list(able)
    for item in variant.items:
        there = judge.list_at(item.site, key.rapid, running)
        for pieces in judge.edge_items([item], there).values():
            yield _label_item(item, key.bank), list(pieces)
    for (work, _), boats in judge.edge_boats(variant.boats, key.rapid, running).items():
        label = Label("afloat", "", "boat", work.work, say_work(work))
        yield label, [("boat", b) for b in boats]


def _label_pool(judge: Judge, key: ChoiceKey, variant: Variant, running: str) -> Iterator[Row]:
    others = judge.list_others(key.rapid, running)
    for (slot, _), able in judge.edge_pool(variant.persons, others, key.rapid).items():
        yield _label_person(slot, ""), list(able)
    for item in variant.items:
        for pieces in judge.edge_items([item], judge.list_pool(others, key.rapid)).values():
            yield _label_item(item, ""), list(pieces)
    if variant.needs_boat:
        label = Label("ashore", "", "boat", SPARED, "")
        yield label, [("boat", b) for b in others if b in variant.needs_boat]


def _label_person(slot: PersonSlot, bank: str) -> Label:
    return Label(*name_sites(slot.sites, bank), "person", slot.role, say_ask(slot.ask))


def _label_item(slot: ItemSlot, bank: str) -> Label:
    return Label(*name_site(slot.site, bank), "item", slot.thing.kind, say_thing(slot.thing))
