"""Frozen nouns: what was asked at a rapid, the facts its answer may hang on, and changes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.demands import CaseKey

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.demands import Ask, BoatOption, Choice, Thing, Variant
    from kitplan.errors import Place
    from kitplan.trip import Leg, Rapid, Trip


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked: that one of some choices can be done while a boat is in trouble.

    All choices are of one spot and scenario.
    """

    choices: tuple[Choice, ...]
    running: str

    @property
    def rapid(self) -> str:
        """Return the name of the rapid."""
        return self.choices[0].key.rapid

    @property
    def case(self) -> CaseKey:
        """Return the case that it is about."""
        return CaseKey(*self.choices[0].key[:3], self.running)

    def list_variants(self, trip: Trip) -> list[Variant]:
        """Return the ways that hold for the boat in trouble."""
        kind = trip.boats[self.running].type
        return [way for choice in self.choices for way in asks.list_ways(choice, kind)]

    def list_options(self, trip: Trip) -> list[BoatOption]:
        """Return all that a boat at work may have to bring."""
        options = [
            option
            for variant in self.list_variants(trip)
            for slot in (*variant.boats, *((variant.catch,) if variant.catch else ()))
            for option in slot.options
        ]
        return list(dict.fromkeys(options))

    def list_asks(self, trip: Trip) -> list[Ask]:
        """Return what is asked of persons, on banks and in boats at work."""
        variants = self.list_variants(trip)
        options = self.list_options(trip)
        found = [slot.ask for variant in variants for slot in variant.persons]
        found += [one.ask for v in variants if v.catch for one in v.catch.ashore]
        found += [slot.ask for option in options for slot in option.persons]
        there = (trip.boats[name].type for name in trip.rapids[self.rapid].boats)
        skills = {(kind.craft, kind.skill) for kind in there}
        found += [
            asks.ask_steerer(skill, option)
            for option in options
            for craft, skill in sorted(skills)
            if craft in option.crafts
        ]
        return list(dict.fromkeys(found))

    def list_things(self, trip: Trip) -> list[Thing]:
        """Return what is asked of things."""
        variants = self.list_variants(trip)
        found = [slot.thing for variant in variants for slot in variant.items]
        found += [one.bag for v in variants if v.catch for one in v.catch.ashore]
        found += [slot.thing for option in self.list_options(trip) for slot in option.items]
        return list(dict.fromkeys(found))

    def find_rapid(self, trip: Trip) -> Rapid:
        """Return the rapid as a trip has it."""
        return trip.rapids[self.rapid]

    def find_leg(self, trip: Trip) -> Leg:
        """Return the leg that the rapid lies in."""
        return trip.leg_of(self.rapid)


@dataclass(frozen=True, slots=True, order=True)
class Fact:
    """Something that holds and may be in the way: of a sort, about a subject, in words.

    `where`: the lines that it comes from. Facts of one sort and subject are one fact.
    """

    sort: str
    subject: str
    said: str = field(default="", compare=False)
    where: tuple[Place, ...] = field(default=(), compare=False, repr=False)


class Turn(NamedTuple):
    """A single small change, in words, and the trip with it."""

    said: str
    trip: Trip


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of facts: what holds, the trip without such a fact, and changes that touch it.

    `relax` may only ever allow more: what could be done can be done still.
    """

    tell: Callable[[Trip, Asked], Iterator[Fact]]
    relax: Callable[[Trip, Asked, str], Trip]
    turn: Callable[[Trip, Asked, str], Iterator[Turn]]
