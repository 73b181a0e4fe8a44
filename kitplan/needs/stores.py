"""What a trip's stores come to: boxes, bags and canisters with their mass on each morning.

The load of a day is what is for that day and later, and what has filled up until then. Amounts
are worked out from person-days summed up first; only then are they dealt into containers.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from kitplan.errors import Finding
from kitplan.needs.roster import person_mass_g
from kitplan.trip import BY_DAY, EVENING, FILLS, Lot
from kitplan.units import show_mass, show_volume

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.trip import BoatType, CampRow, Leg, Restock, StoreRate, Stores, Trip

CAMP_KIT, OWN_THINGS, BAGS = "camp kit", "own things", "personal bags"
"""Kinds of lots that no rate makes."""
_LITRE_ML = 1000


@dataclass(frozen=True, slots=True)
class TooHeavy:
    """A morning on which people and stores weigh more than all boats of that day may take."""

    day: int
    mass_g: int
    payload_g: int

    @property
    def excess_g(self) -> int:
        """Return by how much it is too heavy, in grams."""
        return self.mass_g - self.payload_g


@dataclass(frozen=True, slots=True)
class Batch:
    """What comes aboard of a store at one time: from which to which morning it is aboard.

    `day` is the one day it is for, None if it is for several. `people` are those who use it, by
    day.
    """

    day: int | None
    first_day: int
    last_day: int
    people: dict[int, int]


def list_lots(trip: Trip, leg: Leg | None = None) -> tuple[Lot, ...]:
    """Return all lots of a trip in a fixed order, or those that are aboard in a leg.

    Their days are days of the trip, whatever the leg. Without stores there are none.
    """
    trip, stores = trip.whole_trip, trip.stores
    if stores is None:
        return ()
    lots = _work_out_lots(trip, stores) if stores.lots is None else stores.lots
    if leg is None:
        return lots
    return tuple(
        lot for lot in lots if lot.first_day <= leg.last_day and lot.last_day >= leg.first_day
    )


def _work_out_lots(trip: Trip, stores: Stores) -> tuple[Lot, ...]:
    """Return the lots that so many people on so many days ask for."""
    people = count_people(trip)
    lots = [lot for rate in stores.rates for lot in _list_of_rate(rate, stores, people)]
    lots += _list_of_rows(stores.camp, trip, CAMP_KIT, _count_taken(trip))
    lots += _list_of_rows(stores.own, trip, OWN_THINGS, Counter())
    lots += _list_bags(stores, trip)
    return tuple(lots)


def mass_by_morning(lots: Iterable[Lot], day: int) -> int:
    """Return what lots weigh together on the morning of a day, in grams."""
    return sum(lot.count * lot.weigh(day) for lot in lots)


def volume_by_morning(lots: Iterable[Lot], day: int) -> int:
    """Return the room that lots take together on the morning of a day, in millilitres."""
    return sum(lot.count * lot.volume_ml for lot in lots if lot.is_aboard(day))


def name_boxes(lots: Iterable[Lot]) -> dict[str, Lot]:
    """Return every single box or thing by name, as in "food, day 3, food box 2 of 3"."""
    every = [lot for lot in lots for _ in range(lot.count)]
    alike = Counter(map(say_lot, every))
    dealt: Counter[str] = Counter()
    named = {}
    for lot in every:
        said = lot.name or say_lot(lot)
        dealt[said] += 1
        number = dealt[said]
        box = lot.boxes[number - 1] if lot.boxes else _number(said, lot, number, alike[said])
        named[box] = lot
    return named


def name_lots(lots: Iterable[Lot]) -> dict[str, Lot]:
    """Return lots by name: "food, day 3, food bag 1 to 2 of 3" where another lot has the third."""
    every = list(lots)
    alike: Counter[str] = Counter()
    for lot in every:
        alike[say_lot(lot)] += lot.count
    before: Counter[str] = Counter()
    named = {}
    for lot in every:
        said = say_lot(lot)
        first, before[said] = before[said] + 1, before[said] + lot.count
        named[lot.name or _number_lot(said, lot, first, alike[said])] = lot
    return named


def count_people(trip: Trip) -> dict[int, int]:
    """Return how many people are there on each day of the trip."""
    return {
        day: len(trip.list_persons(leg))
        for leg in trip.legs
        for day in range(leg.first_day, leg.last_day + 1)
    }


def weigh_content(rate: StoreRate, climate: str, person_days: int) -> int:
    """Return what so many person-days come to, in grams, rounded up, without containers."""
    amount = rate.amounts[climate] * person_days
    return _divide_up(amount * rate.litre_g, _LITRE_ML) if rate.in_ml else amount


def count_containers(rate: StoreRate, climate: str, person_days: int) -> int:
    """Return how many containers so many person-days fill, a part counting whole."""
    return _divide_up(weigh_content(rate, climate, person_days), find_capacity(rate))


def find_capacity(rate: StoreRate) -> int:
    """Return what a container holds of a store, in grams, rounded down."""
    container = rate.container
    if container.holds_g is not None:
        return container.holds_g
    return (container.holds_ml or 0) * rate.litre_g // _LITRE_ML


def list_too_heavy(trip: Trip) -> tuple[TooHeavy, ...]:
    """Return the mornings on which what surely goes along is above all payloads together.

    That is people with wet clothes, dry loads, kit that always goes, and stores. Without stores
    there are none.
    """
    if trip.stores is None:
        return ()
    lots = list_lots(trip)
    mornings = (
        TooHeavy(day, _weigh_leg(trip, leg) + mass_by_morning(lots, day), _sum_payloads(trip, leg))
        for leg in trip.legs
        for day in range(leg.first_day, leg.last_day + 1)
    )
    return tuple(morning for morning in mornings if morning.excess_g > 0)


def find_too_heavy(trip: Trip) -> list[Finding]:
    """Return a finding about the morning that is too heavy by most, if there is any."""
    mornings = list_too_heavy(trip)
    if trip.stores is None or not mornings:
        return []
    worst = max(mornings, key=lambda morning: (morning.excess_g, -morning.day))
    message = (
        f"stores: people, dry loads, kit that always goes and stores weigh "
        f"{show_mass(worst.mass_g)} on the morning of day {worst.day}, "
        f"{show_mass(worst.excess_g)} more than the payloads of all boats there"
    )
    if len(mornings) > 1:
        message += f"; so they do on {len(mornings)} mornings"
    hint = "bring another boat, restock on the way, or leave something at home"
    return [Finding(trip.stores.where, "error", "too-heavy", message, hint)]


def find_too_large(trip: Trip) -> list[Finding]:
    """Return a finding about the morning that lacks most room, where all boats say what they have.

    A boat that does not say so is taken to have room enough.
    """
    lots, worst = list_lots(trip), (0, 0, 0)
    for leg in trip.legs if trip.stores else ():
        holds = [trip.boats[name].type.hold_ml for name in leg.boats]
        room = sum(hold for hold in holds if hold is not None)
        for day in range(leg.first_day, leg.last_day + 1) if None not in holds else ():
            volume = volume_by_morning(lots, day)
            worst = max(worst, (volume - room, -day, volume))
    excess, day, volume = worst
    if trip.stores is None or not excess:
        return []
    message = (
        f"stores: all of them take {show_volume(volume)} on the morning of day {-day}, "
        f"{show_volume(excess)} more than the holds of all boats there"
    )
    hint = "bring another boat, restock on the way, or leave something at home"
    return [Finding(trip.stores.where, "error", "too-large", message, hint)]


# --- what people use up and fill ------------------------------------------------------------------


def _list_of_rate(rate: StoreRate, stores: Stores, people: dict[int, int]) -> Iterator[Lot]:
    for batch in list_batches(rate, stores, people):
        yield from _deal(rate, stores.climate, batch)


def list_batches(rate: StoreRate, stores: Stores, people: dict[int, int]) -> Iterator[Batch]:
    """Yield what comes aboard of a store: at the start and at each restock that brings it."""
    bringing = [one for one in stores.restocks if not one.brings or rate.name in one.brings]
    taking = sorted(find_morning(one) for one in bringing if one.takes_back)
    coming = taking if rate.use == FILLS else [find_morning(one) for one in bringing]
    days = max(people)
    firsts = sorted({1, *(morning for morning in coming if morning <= days)})
    lasts = [first - 1 for first in firsts[1:]] + [days]
    for first, last in zip(firsts, lasts, strict=True):
        there = {day: people[day] for day in range(first, last + 1)}
        leaves = next((morning - 1 for morning in taking if morning > last), days)
        if rate.use == BY_DAY:
            for day, count in there.items():
                yield Batch(day, first, leaves, {day: count})
        else:
            yield Batch(None, first, leaves, there)


def find_morning(restock: Restock) -> int:
    """Return the day on whose morning a restock is aboard: in the evening it is the next one's."""
    return restock.day + 1 if restock.at == EVENING else restock.day


def _deal(rate: StoreRate, climate: str, batch: Batch) -> Iterator[Lot]:
    """Yield a batch in containers, those that are alike on every morning together."""
    number = count_containers(rate, climate, sum(batch.people.values()))
    weigh = _list_filling if rate.use == FILLS else _list_emptying
    contents = weigh(rate, climate, batch, number)
    container = rate.container
    stays = container.returns or rate.use == FILLS
    empty_g = container.mass_g
    for masses_g, alike in groupby(_add_empty(one, empty_g, stays=stays) for one in contents):
        yield Lot(
            store=rate.name,
            kind=rate.kind,
            day=batch.day,
            container=container.name,
            count=len(list(alike)),
            volume_ml=container.volume_ml,
            first_day=batch.first_day,
            masses_g=masses_g,
            left_g=empty_g if container.returns and rate.use != FILLS else 0,
        )


def _list_emptying(rate: StoreRate, climate: str, batch: Batch, number: int) -> Iterator[list[int]]:
    """Yield the contents of each container, morning by morning: used one after the other.

    All are packed alike, but for the first, which may lack a few grams; what comes full only
    is full, and what is over lies in the last.
    """
    total_g = weigh_content(rate, climate, sum(batch.people.values()))
    if number == 0:
        return
    comes_full = rate.container.comes_full
    each_g = find_capacity(rate) if comes_full else _divide_up(total_g, number)
    over_g = number * each_g - total_g if comes_full else 0
    mornings = range(batch.first_day, batch.last_day + 1)
    to_come = [sum(n for day, n in batch.people.items() if day >= now) for now in mornings]
    left_g = [over_g + weigh_content(rate, climate, person_days) for person_days in to_come]
    for later in reversed(range(number)):
        yield [min(max(0, left - later * each_g), each_g) for left in left_g]


def _list_filling(rate: StoreRate, climate: str, batch: Batch, number: int) -> Iterator[list[int]]:
    """Yield the contents of each container, morning by morning: filled one after the other."""
    mornings = range(batch.first_day, batch.last_day + 1)
    so_far = [sum(n for day, n in batch.people.items() if day < now) for now in mornings]
    filled_g = [weigh_content(rate, climate, person_days) for person_days in so_far]
    most_g = find_capacity(rate)
    for before in range(number):
        yield [min(max(0, filled - before * most_g), most_g) for filled in filled_g]


def _add_empty(contents_g: list[int], empty_g: int, *, stays: bool) -> tuple[int, ...]:
    """Return contents with their container; one that does not stay is gone once it is empty."""
    if not stays:
        contents_g = [content for content in contents_g if content]
    return tuple(content + empty_g for content in contents_g)


# --- camp kit, own things, bags -------------------------------------------------------------------


def _list_of_rows(
    rows: Iterable[CampRow], trip: Trip, kind: str, taken: Counter[str]
) -> Iterator[Lot]:
    """Yield what goes along on all days, but for so many of each item as are taken already."""
    people = count_people(trip)
    most, days = max(people.values()), max(people)
    for row in rows:
        asked = row.count * (_divide_up(most, row.for_each) if row.for_each else 1)
        as_kit = min(asked, taken[row.item.name])
        taken[row.item.name] -= as_kit
        if asked > as_kit:
            yield Lot(
                store=row.item.name,
                kind=kind,
                day=None,
                container="",
                count=asked - as_kit,
                volume_ml=row.item.volume_ml,
                first_day=1,
                masses_g=(row.item.mass_g,) * days,
                packed_mm=row.item.packed_mm,
            )


def _count_taken(trip: Trip) -> Counter[str]:
    """Return how many of each item always go as kit, through all legs, in bundles too."""
    taken: Counter[str] = Counter()
    for name, kit in trip.kit.items():
        if all(name in leg.kit for leg in trip.legs):
            taken[name] += kit.take
            taken.update({item.name: n * kit.take for item, n in kit.item.contains})
    return taken


def _list_bags(stores: Stores, trip: Trip) -> Iterator[Lot]:
    """Yield the personal bags, for as long as their owners are there."""
    if not stores.bag_g and not stores.bag_ml:
        return
    people = (name for name, paddler in trip.paddlers.items() if not paddler.taught)
    spans = Counter(_find_span(name, trip) for name in people)
    for (first, last), count in sorted(spans.items()):
        yield Lot(
            store="personal bag",
            kind=BAGS,
            day=None,
            container="",
            count=count,
            volume_ml=stores.bag_ml,
            first_day=first,
            masses_g=(stores.bag_g,) * (last - first + 1),
        )


def fits_hold(lot: Lot, boat_type: BoatType) -> bool:
    """Say whether one of a lot fits a boat: it is short enough, and not larger than its hold."""
    longest, hold = boat_type.longest_mm, boat_type.hold_ml
    return (longest is None or lot.packed_mm <= longest) and (hold is None or lot.volume_ml <= hold)


def _find_span(paddler: str, trip: Trip) -> tuple[int, int]:
    """Return the first and last day on which a paddler is there."""
    there = [leg for leg in trip.legs if paddler in leg.paddlers]
    return there[0].first_day, there[-1].last_day


# --- names and sums -------------------------------------------------------------------------------


def say_lot(lot: Lot) -> str:
    """Return what all boxes of a store that are for the same days are called."""
    words = [lot.store]
    if lot.day is not None:
        words.append(f"day {lot.day}")
    elif lot.first_day > 1:
        words.append(f"from day {lot.first_day}")
    if lot.container:
        words.append(lot.container)
    return ", ".join(words)


def _number(said: str, lot: Lot, number: int, of: int) -> str:
    if of == 1:
        return said
    return f"{said}{' ' if lot.container else ', '}{number} of {of}"


def _number_lot(said: str, lot: Lot, first: int, of: int) -> str:
    if lot.count == of:
        return said
    last = first + lot.count - 1
    which = f"{first}" if first == last else f"{first} to {last}"
    return f"{said}{' ' if lot.container else ', '}{which} of {of}"


def _weigh_leg(trip: Trip, leg: Leg) -> int:
    """Return what goes along in a leg but for its stores, in grams: the same on all its days."""
    people = sum(person_mass_g(trip.paddlers[name], trip) for name in trip.list_persons(leg))
    loads = sum(trip.boats[name].dry_load_g for name in leg.boats)
    kit = sum(trip.kit[name].take * trip.kit[name].item.mass_g for name in leg.kit)
    return people + loads + kit


def _sum_payloads(trip: Trip, leg: Leg) -> int:
    return sum(trip.boats[name].type.payload_g for name in leg.boats)


def _divide_up(number: int, by: int) -> int:
    """Return the quotient, a part counting whole."""
    return -(-number // by)
