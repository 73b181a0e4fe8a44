"""Which variants of a choice are worth a literal: those another one does not make needless.

A variant is needless if another asks for no more: each place of the other can be mapped to a place
of its own that only people (or things) can fill who could fill the other's too. Dropping it changes
no value, since whoever fills the needless one fills the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.matching import match
from kitplan.needs import minded_banks

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from kitplan.demands import Ask, BoatSlot, PersonSlot, Thing, Variant


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """What a variant asks for, made ready to be compared many times.

    `places`: for each single place where one may stand and who may fill it.
    """

    variant: Variant
    places: list[tuple[frozenset[str], frozenset[str]]]
    items: dict[tuple[str, Thing], int]
    boats: frozenset[BoatSlot]
    unless: frozenset[tuple[Thing, int]]
    banks: frozenset[str]


def drop_needless(
    variants: Sequence[Variant], able: Callable[[Ask], frozenset[str]], *, minded: bool
) -> list[Variant]:
    """Return the variants that no other makes needless, in their order; of equal ones the first.

    Where guests are `minded`, a variant that asks for minders on more banks asks for more.
    """
    kept: list[_Asked] = []
    for variant in variants:
        asked = _prepare(variant, able, minded=minded)
        if not any(_asks_no_more(other, asked) for other in kept):
            kept = [other for other in kept if not _asks_no_more(asked, other)]
            kept.append(asked)
    return [asked.variant for asked in kept]


def _prepare(variant: Variant, able: Callable[[Ask], frozenset[str]], *, minded: bool) -> _Asked:
    return _Asked(
        variant,
        _list_places(variant.persons, able),
        _count_items(variant),
        frozenset(variant.boats),
        frozenset(variant.unless),
        frozenset(minded_banks(variant.persons) if minded else ()),
    )


def _count_items(variant: Variant) -> dict[tuple[str, Thing], int]:
    counts: dict[tuple[str, Thing], int] = {}
    for slot in variant.items:
        counts[slot.site, slot.thing] = counts.get((slot.site, slot.thing), 0) + slot.count
    return counts


def _list_places(
    slots: Sequence[PersonSlot], able: Callable[[Ask], frozenset[str]]
) -> list[tuple[frozenset[str], frozenset[str]]]:
    return [(frozenset(slot.sites), able(slot.ask)) for slot in slots for _ in range(slot.count)]


def _asks_no_more(less: _Asked, more: _Asked) -> bool:
    """Say whether `less` can be done whenever `more` can: same things, boats, and fewer people."""
    if len(less.places) > len(more.places) or less.variant.needs_boat != more.variant.needs_boat:
        return False
    if not (less.boats <= more.boats and less.unless <= more.unless and less.banks <= more.banks):
        return False
    if less.variant.catch not in {None, more.variant.catch}:
        return False
    if not _holds_with_more(less.variant.crew_at_most, more.variant.crew_at_most):
        return False
    if any(count > more.items.get(asked, 0) for asked, count in less.items.items()):
        return False
    sees = [
        [k for k, (sites, people) in enumerate(more.places) if sites <= wide and people <= names]
        for wide, names in less.places
    ]
    return len(match(dict(enumerate(sees)))) == len(sees)


def _holds_with_more(less: int | None, more: int | None) -> bool:
    """Say whether one holds wherever the other does, by who sits in the running boat."""
    return less is None or (more is not None and less >= more)
