"""What an answer may hang on: facts of a trip, the trip without some of them, small changes.

Knows no solver. Of each fact there is the trip without it, in which all can be done that could be
before: so what can't be done without some facts can't be done with them. Needs stay as they are.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.facts import boats, people, place, rules, things
from kitplan.facts.noun import Asked, Fact, Sort, Turn
from kitplan.facts.words import join

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.trip import Trip

__all__ = [
    "Asked",
    "Fact",
    "Turn",
    "join",
    "list_carrying",
    "list_facts",
    "list_turns",
    "relax",
]

HERE: dict[str, Sort] = {**people.SORTS, **things.SORTS, **boats.SORTS, **place.SORTS}
"""In the order in which they are left out: people first, what was laid down last."""
SORTS = {**HERE, **rules.SORTS}


def list_facts(trip: Trip, asked: Asked) -> list[Fact]:
    """Return the facts that what is asked may hang on, in a fixed order."""
    return [fact for sort in HERE.values() for fact in sort.tell(trip, asked)]


def list_carrying(trip: Trip, asked: Asked) -> tuple[list[Fact], list[Fact]]:
    """Return the rules and spreads on what is carried, those about other things than asked first.

    They matter where all stores are there.
    """
    others = rules.list_other_rules(trip, asked)
    every = [fact for sort in rules.SORTS.values() for fact in sort.tell(trip, asked)]
    return others, [fact for fact in every if fact not in others]


def relax(trip: Trip, asked: Asked, facts: Iterable[Fact]) -> Trip:
    """Return the trip without some of its facts; those of other sorts are left alone."""
    for fact in sorted(facts):
        if fact.sort in SORTS:
            trip = SORTS[fact.sort].relax(trip, asked, fact.subject)
    return trip


def list_turns(trip: Trip, asked: Asked, facts: Iterable[Fact]) -> Iterator[Turn]:
    """Yield single small changes that touch some facts, those of people first."""
    for fact in facts:
        if fact.sort in SORTS:
            yield from SORTS[fact.sort].turn(trip, asked, fact.subject)
