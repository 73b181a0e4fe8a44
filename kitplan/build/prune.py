"""Which variants of a choice are worth a literal: those another one does not make needless.

A variant is needless if another asks for no more: each place of the other can be mapped to a place
of its own that only people (or things) can fill who could fill the other's too. Dropping it changes
no value, since whoever fills the needless one fills the other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.matching import match
from kitplan.needs import minded_banks

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from kitplan.demands import Ask, PersonSlot, Variant

    Places = list[tuple[frozenset[str], frozenset[str]]]


def drop_needless(
    variants: Sequence[Variant], able: Callable[[Ask], frozenset[str]], *, minded: bool
) -> list[Variant]:
    """Return the variants that no other makes needless, in their order; of equal ones the first.

    Where guests are `minded`, a variant that asks for minders on more banks asks for more.
    """
    kept: list[tuple[Variant, Places]] = []
    for variant in variants:
        places = _list_places(variant.persons, able)
        if any(_asks_no_more(other, variant, held, places, minded=minded) for other, held in kept):
            continue
        kept = [
            (other, held)
            for other, held in kept
            if not _asks_no_more(variant, other, places, held, minded=minded)
        ]
        kept.append((variant, places))
    return [variant for variant, _ in kept]


def _list_places(slots: Sequence[PersonSlot], able: Callable[[Ask], frozenset[str]]) -> Places:
    """Return for each single place where one may stand and who may fill it."""
    return [(frozenset(slot.sites), able(slot.ask)) for slot in slots for _ in range(slot.count)]


def _asks_no_more(
    less: Variant, more: Variant, fewer: Places, places: Places, *, minded: bool
) -> bool:
    """Say whether `less` can be done whenever `more` can: same things, boats, and fewer people."""
    if less.needs_boat != more.needs_boat or not set(less.boats) <= set(more.boats):
        return False
    if less.catch not in {None, more.catch} or not set(less.unless) <= set(more.unless):
        return False
    if not _holds_with_more(less.crew_at_most, more.crew_at_most):
        return False
    if not _items_within(less, more) or len(fewer) > len(places):
        return False
    if minded and not set(minded_banks(less.persons)) <= set(minded_banks(more.persons)):
        return False
    sees = [
        [k for k, (sites, people) in enumerate(places) if sites <= wide and people <= names]
        for wide, names in fewer
    ]
    return len(match(dict(enumerate(sees)))) == len(sees)


def _holds_with_more(less: int | None, more: int | None) -> bool:
    """Say whether one holds wherever the other does, by who sits in the running boat."""
    return less is None or (more is not None and less >= more)


def _items_within(less: Variant, more: Variant) -> bool:
    counts = {(slot.site, slot.thing): slot.count for slot in more.items}
    return all(slot.count <= counts.get((slot.site, slot.thing), 0) for slot in less.items)
