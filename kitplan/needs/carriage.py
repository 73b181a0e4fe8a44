"""Which carriage rules apply in a leg, how many each asks for, and what counts towards them.

A rule's reading is data; its arithmetic stands here alone. Knows nothing of what is packed where.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.demands import CarriageNeed, Counting
from kitplan.needs.roster import holds_certificate
from kitplan.needs.stores import list_lots, name_lots
from kitplan.needs.words import say_reading
from kitplan.trip.carriage import AT_MOST, BOATS, PEOPLE, PER_BOAT, THINGS, WITHIN_GROUP, WORN

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.trip import Boat, BoatType, Item, Kit, Leg, Lot, Paddler, Trip
    from kitplan.trip.carriage import (
        BoatLimits,
        CarriageRule,
        Condition,
        Counted,
        Reading,
        Spread,
        Who,
    )


# --- arithmetic -----------------------------------------------------------------------------------


def count_asked(reading: Reading, number: int) -> int:
    """Return how many a reading asks for where `number` of what it goes by are there.

    Where it goes by nothing `number` does not matter. Beyond its last step, that step's count
    holds; of nothing steps ask nothing.
    """
    if reading.steps:
        within = (s.count for s in reading.steps if s.up_to is None or number <= s.up_to)
        asked = next(within, reading.steps[-1].count) if number else 0
    elif reading.for_each is None:
        asked = reading.count
    else:
        whole, part = divmod(number, reading.for_each)
        asked = (whole + (reading.part_counts and part > 0)) * reading.count
    return max(asked, reading.least)


def list_asked(reading: Reading, most: int) -> tuple[int, ...]:
    """Return how many a reading asks for with 0, 1, up to `most` of what it goes by."""
    return tuple(count_asked(reading, number) for number in range(most + 1))


# --- who and what is meant ------------------------------------------------------------------------


def list_people(trip: Trip, leg: Leg, who: Who) -> tuple[str, ...]:
    """Return the paddlers of a leg who are meant, certificates holding through its last day."""
    party = trip.list_party(leg)
    return tuple(name for name, paddler in party.items() if _is_meant(paddler, who, trip, leg))


def _is_meant(paddler: Paddler, who: Who, trip: Trip, leg: Leg) -> bool:
    if (who.guest and not paddler.guest) or (who.guide and not _is_guide(paddler, trip)):
        return False
    if who.certificate and not holds_certificate(paddler, who.certificate, leg.ends):
        return False
    return all(paddler.level(skill) >= level for skill, level in who.skills)


def _is_guide(paddler: Paddler, trip: Trip) -> bool:
    return not paddler.guest and paddler.level("leading") >= trip.catalog.figures.guide_leading


def list_boats(trip: Trip, leg: Leg, limits: BoatLimits) -> tuple[str, ...]:
    """Return the boats of a leg that are meant; none where others are there as well and `only`."""
    meant = tuple(name for name in leg.boats if _fits(trip.boats[name].type, limits))
    return () if limits.only and len(meant) < len(leg.boats) else meant


def _fits(kind: BoatType, limits: BoatLimits) -> bool:
    from_mm, under_mm, length_mm = limits.length_from_mm, limits.length_under_mm, kind.length_mm
    return (
        (not limits.crafts or kind.craft in limits.crafts)
        and (not limits.types or kind.name in limits.types)
        and (not limits.skills or kind.skill in limits.skills)
        and (from_mm is None or (length_mm is not None and length_mm >= from_mm))
        and (under_mm is None or (length_mm is not None and length_mm < under_mm))
    )


# --- rules that apply -----------------------------------------------------------------------------


def list_carriage(trip: Trip, leg: Leg) -> tuple[CarriageNeed, ...]:
    """Return the rules that apply in a leg and ask for something, in the order of their sets."""
    needs = []
    for rule in (rule for one in trip.rules for rule in one.rules):
        boats = list_boats(trip, leg, rule.boats)
        if boats and _holds(rule.when, trip, leg):
            need = _make_need(rule, boats, trip, leg)
            if need.asked != 0 or rule.reading.bound == AT_MOST:
                needs.append(need)
    return tuple(needs)


def _make_need(rule: CarriageRule, boats: tuple[str, ...], trip: Trip, leg: Leg) -> CarriageNeed:
    reading = rule.reading
    people = list_people(trip, leg, reading.who) if reading.of == PEOPLE else ()
    number = len(boats) if reading.of == BOATS else len(people)
    # Who is taught may come or not: then it goes by those who do, in any boat.
    taught = any(trip.paddlers[name].taught for name in people)
    by_crew = reading.of == PEOPLE and (reading.scope == PER_BOAT or taught)
    asked = None if by_crew else count_asked(reading, number)
    return CarriageNeed(rule, boats, asked, people, say_reading(reading))


def _holds(when: Condition, trip: Trip, leg: Leg) -> bool:
    """Say whether a rule's conditions hold in a leg."""
    water = when.water_below_mdegc
    return (
        (when.class_from is None or _find_class(trip, leg) >= when.class_from)
        and (not when.overnight or trip.whole_trip.legs[-1].ends > trip.starts)
        and (water is None or trip.water_mdegc < water)
        and (when.boats_over is None or len(leg.boats) > when.boats_over)
        and (when.people_over is None or len(trip.list_persons(leg)) > when.people_over)
    )


def _find_class(trip: Trip, leg: Leg) -> int:
    """Return the hardest class that is run in a leg, as written, at the flows planned for; or 0."""
    number = trip.legs.index(leg)
    rapids = trip.rapids.values()
    return max((r.river_class for r in rapids if r.leg == number and r.run == "run"), default=0)


# --- what counts ----------------------------------------------------------------------------------


def list_counting(trip: Trip, leg: Leg, counted: Counted) -> Counting:
    """Return what counts towards a rule in a leg; kit past its last day of use does not."""
    if counted.what == BOATS:
        return Counting(frozenset(), {}, frozenset(), (), leg.boats)
    if counted.what != THINGS:
        people = list_people(trip, leg, counted.who)
        if counted.what == WORN:
            people = tuple(name for name in people if _count_worn(trip, name, counted))
        return Counting(frozenset(), {}, frozenset(), people, ())
    kit = [one.item for one in (trip.kit[name] for name in leg.kit) if _in_date(one, leg)]
    items = frozenset(item.name for item in kit if _counts(item, counted))
    bundles = {
        item.name: pieces
        for item in kit
        if (pieces := sum(n for one, n in item.contains if _counts(one, counted)))
    }
    lots = frozenset() if counted.in_reach else _list_lots(trip, leg, counted)
    if counted.spare:
        return Counting(items, {}, frozenset(), (), (), lots, bundles)
    worn = {name: _count_worn(trip, name, counted) for name in leg.paddlers}
    return Counting(
        items,
        {name: pieces for name, pieces in worn.items() if pieces},
        frozenset(name for name in leg.boats if _has_paddles(trip, trip.boats[name], counted)),
        (),
        (),
        lots,
        bundles,
    )


def _list_lots(trip: Trip, leg: Leg, counted: Counted) -> frozenset[str]:
    """Return the lots of camp kit and own things, by name, that count in a leg."""
    items = trip.catalog.items
    return frozenset(
        name
        for name, lot in name_lots(list_lots(trip)).items()
        if not lot.container and lot.store in items and _counts(items[lot.store], counted)
        if lot.first_day <= leg.last_day and lot.last_day >= leg.first_day
    )


def _count_worn(trip: Trip, paddler: str, counted: Counted) -> int:
    """Return how many pieces that count a paddler wears of his own."""
    items, wears = trip.catalog.items, trip.paddlers[paddler].wears
    return sum(pieces for name, pieces in wears.items() if _counts(items[name], counted))


def _has_paddles(trip: Trip, boat: Boat, counted: Counted) -> bool:
    paddle = boat.type.crew_paddle
    return paddle is not None and _counts(trip.catalog.items[paddle], counted)


def _counts(item: Item, counted: Counted) -> bool:
    return (
        not item.kinds.isdisjoint(counted.kinds)
        and item.length_mm >= counted.least_mm
        and item.diameter_mm >= counted.diameter_mm
        and counted.flags <= item.flags
    )


def _in_date(kit: Kit, leg: Leg) -> bool:
    return kit.retire_by is None or kit.retire_by >= leg.ends


# --- spreads --------------------------------------------------------------------------------------


def list_groups(trip: Trip, leg: Leg, spread: Spread, lost: str) -> list[tuple[str, ...]]:
    """Return those that are together with a lost boat, itself too; none where it is alone."""
    if spread.within != WITHIN_GROUP:
        return [leg.boats] if len(leg.boats) > 1 else []
    rapids = (rapid for rapid in trip.rapids.values() if trip.legs[rapid.leg] == leg)
    groups = {tuple(sorted(rapid.boats)) for rapid in rapids if lost in rapid.boats}
    return sorted(group for group in groups if len(group) > 1)


def list_left(trip: Trip, spread: Spread, others: Iterable[str]) -> Iterator[tuple[Counted, int]]:
    """Yield what must be left in the other boats, and how many: of what `counts`, or what `fits`.

    What fits is asked for each sort of boat that is among the others.
    """
    if spread.counts is not None:
        yield spread.counts, spread.count
    for fit in spread.fits:
        if any(_fits(trip.boats[name].type, fit.boats) for name in others):
            yield fit.counts, 1


def ask_food(spread: Spread, food: Iterable[Lot], day: int) -> int:
    """Return how much food must be left on the morning of a day, in grams, rounded up."""
    all_g = sum(lot.count * lot.weigh(day) for lot in food)
    return -(-(spread.food_permille or 0) * all_g // 1000)


def only_lots(counting: Counting, lots: frozenset[str]) -> Counting:
    """Return what counts with these lots alone."""
    return replace(counting, lots=counting.lots & lots)
