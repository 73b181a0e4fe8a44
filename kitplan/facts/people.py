"""Facts of people: skills, certificates, how far somebody goes, what is worn, guests, the hurt."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.facts.noun import Fact, Sort, Turn
from kitplan.facts.words import join, sort_places
from kitplan.needs.roster import worn_kinds
from kitplan.trip import EXPOSURES, Item

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from kitplan.facts.noun import Asked
    from kitplan.trip import Paddler, Trip

HIGHEST = 4  # level of a skill
WORN = "worn, more of it: "
"""Begins the name of a thing that there is none of."""


def change_people(trip: Trip, names: Iterable[str], change: Callable[[Paddler], Paddler]) -> Trip:
    """Return the trip with some of its people changed."""
    changed = {name: change(trip.paddlers[name]) for name in names}
    return replace(trip, paddlers={**trip.paddlers, **changed})


def _list_party(trip: Trip, asked: Asked) -> list[Paddler]:
    return [trip.paddlers[name] for name in asked.find_leg(trip).paddlers]


def _say_who(holders: list[Paddler], party: list[Paddler]) -> str:
    names = join(paddler.name for paddler in holders)
    return f"{len(holders)} of {len(party)}" + (f", {names}" if holders else "")


# --- skills ---------------------------------------------------------------------------------------


def _list_levels(trip: Trip, asked: Asked) -> dict[str, list[int]]:
    """Return the levels of each skill that are asked for, the highest first."""
    levels: dict[str, set[int]] = {}
    for ask in asked.list_asks(trip):
        for skill, level in (*ask.skills, *ask.steers):
            if level:
                levels.setdefault(skill, set()).add(level)
    return {skill: sorted(found, reverse=True) for skill, found in sorted(levels.items())}


def _tell_skills(trip: Trip, asked: Asked) -> Iterator[Fact]:
    party = _list_party(trip, asked)
    for skill, levels in _list_levels(trip, asked).items():
        said, holders = [], []
        for level in levels:
            holders = [p for p in party if p.level(skill) >= level and not p.minded]
            said.append(f"{skill} {level}: {_say_who(holders, party)}")
            if not holders:
                said[-1] += _say_nearest(skill, party)
        where = [p.where for p in holders] or [asked.choices[0].where]
        yield Fact("skill", skill, "; ".join(said), sort_places(where))


def _say_nearest(skill: str, party: list[Paddler]) -> str:
    """Return who comes nearest to a level that nobody has."""
    able = [p for p in party if not p.minded]
    best = max((p.level(skill) for p in able), default=0)
    names = join((p.name for p in able if p.level(skill) == best), "or")
    return f" (nearest: {names} with {best})" if best else ""


def _relax_skill(trip: Trip, asked: Asked, skill: str) -> Trip:
    def teach(paddler: Paddler) -> Paddler:
        return replace(paddler, skills={**paddler.skills, skill: HIGHEST})

    return change_people(trip, asked.find_leg(trip).paddlers, teach)


def _turn_skill(trip: Trip, asked: Asked, skill: str) -> Iterator[Turn]:
    """Yield each paddler one level higher, who comes nearest to what is asked first."""
    able = [p for p in _list_party(trip, asked) if not p.minded and p.level(skill) < HIGHEST]
    wanted = {level - 1 for level in _list_levels(trip, asked).get(skill, ())}
    for paddler in sorted(able, key=lambda p: -p.level(skill)):
        if paddler.level(skill) in wanted:
            yield _teach(trip, paddler, skill)


def _teach(trip: Trip, paddler: Paddler, skill: str) -> Turn:
    level = paddler.level(skill) + 1
    skills = {**paddler.skills, skill: level}
    taught = change_people(trip, [paddler.name], lambda p: replace(p, skills=skills))
    return Turn(f"{paddler.name} with {skill} {level} instead of {level - 1}", taught)


def list_taught(trip: Trip, names: Iterable[str], skill: str, least: int) -> Iterator[Turn]:
    """Yield each of some people who is one level below `least` in a skill, one level higher."""
    for name in names:
        paddler = trip.paddlers[name]
        if paddler.level(skill) == least - 1 and not paddler.minded:
            yield _teach(trip, paddler, skill)


# --- certificates ---------------------------------------------------------------------------------


def _tell_certificates(trip: Trip, asked: Asked) -> Iterator[Fact]:
    party, until = _list_party(trip, asked), asked.find_leg(trip).ends
    for name in sorted({ask.certificate for ask in asked.list_asks(trip)} - {""}):
        holders = [p for p in party if asks.holds_certificate(p, name, until)]
        said = f"a {name} certificate valid through {until}: {_say_who(holders, party)}"
        where = [p.where for p in holders] or [asked.choices[0].where]
        yield Fact("certificate", name, said, sort_places(where))


def _certify(paddler: Paddler, name: str) -> Paddler:
    return replace(paddler, certificates=(*paddler.certificates, (name, date.max)))


def _relax_certificate(trip: Trip, asked: Asked, name: str) -> Trip:
    return change_people(trip, asked.find_leg(trip).paddlers, lambda p: _certify(p, name))


def _turn_certificate(trip: Trip, asked: Asked, name: str) -> Iterator[Turn]:
    until = asked.find_leg(trip).ends
    for paddler in _list_party(trip, asked):
        if not paddler.minded and not asks.holds_certificate(paddler, name, until):
            changed = change_people(trip, [paddler.name], lambda p: _certify(p, name))
            yield Turn(f"{paddler.name} with a valid {name} certificate", changed)


# --- how far somebody goes ------------------------------------------------------------------------


def _list_kept_back(trip: Trip, asked: Asked) -> list[Paddler]:
    hardest = max((EXPOSURES.index(a.exposure) for a in asked.list_asks(trip)), default=0)
    party = _list_party(trip, asked)
    return [p for p in party if EXPOSURES.index(p.at_most) < hardest and not p.minded]


def _tell_exposure(trip: Trip, asked: Asked) -> Iterator[Fact]:
    kept = _list_kept_back(trip, asked)
    if kept:
        said = "; ".join(f"{p.name} works no further out than '{p.at_most}'" for p in kept)
        yield Fact("at most", "", said, sort_places(p.where for p in kept))


def _relax_exposure(trip: Trip, asked: Asked, _subject: str) -> Trip:
    people = asked.find_leg(trip).paddlers
    return change_people(trip, people, lambda p: replace(p, at_most=EXPOSURES[-1]))


def _turn_exposure(trip: Trip, asked: Asked, _subject: str) -> Iterator[Turn]:
    def step_out(paddler: Paddler) -> Paddler:
        return replace(paddler, at_most=EXPOSURES[EXPOSURES.index(paddler.at_most) + 1])

    for paddler in _list_kept_back(trip, asked):
        further = step_out(paddler).at_most
        changed = change_people(trip, [paddler.name], step_out)
        yield Turn(f"{paddler.name} working as far out as '{further}'", changed)


# --- what is worn ---------------------------------------------------------------------------------


def _tell_worn(trip: Trip, asked: Asked) -> Iterator[Fact]:
    party = _list_party(trip, asked)
    for kind in sorted({kind for ask in asked.list_asks(trip) for kind in ask.wears}):
        wearers = [p for p in party if kind in worn_kinds(p, trip.catalog)]
        if len(wearers) < len(party):
            said = f"{kind} worn: {_say_who(wearers, party)}"
            where = [p.where for p in wearers] or [asked.choices[0].where]
            yield Fact("worn", kind, said, sort_places(where))


def wear(trip: Trip, names: Iterable[str], item: Item) -> Trip:
    """Return the trip with one more thing worn by each of some people, and known to it."""
    items = {**trip.catalog.items, item.name: item}
    known = replace(trip, catalog=replace(trip.catalog, items=items))

    def put_on(paddler: Paddler) -> Paddler:
        return replace(paddler, wears={**paddler.wears, item.name: 1})

    return change_people(known, names, put_on)


def make_worn(kind: str) -> Item:
    """Return a thing of a kind that weighs nothing and takes no room."""
    return Item(WORN + kind, frozenset({kind}), 0, 0, ("worn",), worn_on="body")


def _relax_worn(trip: Trip, asked: Asked, kind: str) -> Trip:
    return wear(trip, asked.find_leg(trip).paddlers, make_worn(kind))


def _turn_worn(trip: Trip, asked: Asked, kind: str) -> Iterator[Turn]:
    for paddler in _list_party(trip, asked):
        if not paddler.minded and kind not in worn_kinds(paddler, trip.catalog):
            changed = wear(trip, [paddler.name], make_worn(kind))
            yield Turn(f"{paddler.name} wearing a {kind}", changed)


# --- guests, and who is hurt ----------------------------------------------------------------------


def _tell_guests(trip: Trip, asked: Asked) -> Iterator[Fact]:
    # Where guests walk round, one who does not would sit in a boat and take a place in it.
    guests = [p for p in _list_party(trip, asked) if p.guest]
    if guests and not asked.find_rapid(trip).guests_walk:
        names = join(p.name for p in guests)
        said = f"guests, who fill no role but a guest's: {names}"
        yield Fact("guests", "", said, sort_places(p.where for p in guests))


def _relax_guests(trip: Trip, asked: Asked, _subject: str) -> Trip:
    people = asked.find_leg(trip).paddlers
    return change_people(trip, people, lambda p: replace(p, guest=False))


def _tell_hurt(trip: Trip, asked: Asked) -> Iterator[Fact]:
    hurt = [p for p in _list_party(trip, asked) if p.hurt]
    if hurt:
        said = f"hurt, and to be minded: {join(p.name for p in hurt)}"
        yield Fact("hurt", "", said, sort_places(p.where for p in hurt))


def _relax_hurt(trip: Trip, asked: Asked, _subject: str) -> Trip:
    people = asked.find_leg(trip).paddlers
    return change_people(trip, people, lambda p: replace(p, hurt=False))


def turn_nothing(_trip: Trip, _asked: Asked, _subject: str) -> Iterator[Turn]:
    """Yield nothing: such a fact is not changed by one small step."""
    yield from ()


SORTS = {
    "skill": Sort(_tell_skills, _relax_skill, _turn_skill),
    "certificate": Sort(_tell_certificates, _relax_certificate, _turn_certificate),
    "at most": Sort(_tell_exposure, _relax_exposure, _turn_exposure),
    "worn": Sort(_tell_worn, _relax_worn, _turn_worn),
    "guests": Sort(_tell_guests, _relax_guests, turn_nothing),
    "hurt": Sort(_tell_hurt, _relax_hurt, turn_nothing),
}
