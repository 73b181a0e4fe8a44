"""What the party as a whole can and can't do, by matching and without a solver.

Everybody and everything the party owns may be anywhere, but the boat in trouble keeps a steerer and
its least crew: what fails even so is short whatever is packed where.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.check.muster import Lack, Muster, Post, count_short, list_crews, list_steerers
from kitplan.demands import DemandKey
from kitplan.needs.shortfalls import list_unowned

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.demands import Ask, Case, CaseKey, Choice, Needs, Thing, Variant
    from kitplan.needs.lining import Lining
    from kitplan.plan import Shortfall
    from kitplan.trip import Boat, Trip

# --- what a check comes to ----------------------------------------------------------------------


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
    """Who can fill a role that asks for this; `bare`: who could if he wore what is asked."""

    role: str
    ask: Ask
    able: tuple[str, ...]
    bare: tuple[str, ...] = ()


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
    unowned: tuple[Shortfall, ...]  # by rules, whatever is packed where

    @property
    def short(self) -> bool:
        """Say whether something is short whatever is packed.

        That is cover, a steerer, what lining asks, or what rules ask to be carried.
        """
        lined = all(not row.missing for row in self.linings)
        steered = all(row.able for row in self.steerers)
        return bool(self.cases or self.unowned) or not (lined and steered)


def check_party(trip: Trip, needs: Needs) -> PartyCheck:
    """Return what the party as a whole can and can't do; nobody is seated, nothing packed."""
    muster = Muster(trip)
    asked: dict[CaseKey, list[Choice]] = {key: [] for key in needs.cases}
    for choice in needs.choices.values():
        for running in trip.boats if choice.covers else ():
            demand = DemandKey(*choice.key, running)
            if demand in needs.demands:
                asked[demand.case].append(choice)
    found = [
        row
        for key, case in needs.cases.items()
        for row in _list_uncovered(case, asked[key], muster)
    ]
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
        list_unowned(trip),
    )


# --- cases --------------------------------------------------------------------------------------


class Uncovered(NamedTuple):
    """A case and a bank from which nothing can cover it, and what comes nearest."""

    case: Case
    bank: str
    technique: str
    lacks: tuple[Lack, ...]
    elsewhere: bool


def _list_uncovered(case: Case, asked: list[Choice], muster: Muster) -> Iterator[Uncovered]:
    """Yield the banks that count for a case and from which it can't be covered.

    `asked`: the choices that could cover it.
    """
    tried: dict[str, list[tuple[int, int, str, tuple[Lack, ...]]]] = {}
    for choice in asked:
        lacks = muster.find_lacks(choice, case.key.running)
        tried.setdefault(choice.key.bank, []).append(
            (count_short(lacks), choice.place, choice.key.technique, lacks)
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
            min((lacks for lacks in found if lacks), key=count_short, default=()),
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
        posts += [p for slot in variant.boats for way in list_crews(slot, boats) for p in way.posts]
        throwings = variant.catch.ashore if variant.catch else ()
        posts += [Post(one.role, one.ask) for one in throwings]
        roles.update({(post.role, post.ask): None for post in posts if post.ask is not None})
    rows = [
        RoleCheck(
            role,
            ask,
            able := muster.able(ask),
            tuple(p for p in muster.able(replace(ask, wears=())) if p not in able),
        )
        for role, ask in roles
    ]
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
                list_steerers(trip.at_leg(leg), kind.skill, level),
                list_steerers(trip.at_leg(leg), kind.skill, higher),
            )
        )
    return tuple(rows)
