"""Whether an arrangement keeps the rules of seating, packing and stations: one check a family.

Each check reads the trip and the arrangement alone and yields what is broken: the place of the
boat, paddler, company, kit, rapid or landing that it is about, and a sentence.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.trip import BANKS, CARRIED
from kitplan.units import show_length, show_mass

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.errors import Place
    from kitplan.plan import Arrangement, Packed
    from kitplan.trip import Trip

    Broken = tuple[Place, str]
    Check = Callable[[Trip, Arrangement], Iterator[Broken]]

TENTHS = 10  # a landing or eddy place is counted in tenths


def check_seat(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Every paddler sits in exactly one boat."""
    seats = Counter(p for crew in plan.crew.values() for p in crew)
    for name, paddler in trip.paddlers.items():
        if seats[name] != 1:
            yield paddler.where, f"{name} has a seat in {seats[name]} boats"


def check_seats(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """No boat seats more than it has seats."""
    for name, boat in trip.boats.items():
        people = len(plan.crew[name])
        if people > boat.type.seats:
            yield boat.where, f"{name} has {boat.type.seats} seats and {people} people"


def check_steerer(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Every boat has a steerer of its crew, good enough for the hardest class it runs."""
    for name, boat in trip.boats.items():
        steerer = plan.steerer.get(name)
        if steerer is None or steerer not in plan.crew[name]:
            yield boat.where, f"{name} has no steerer aboard"
            continue
        guests = any(trip.paddlers[p].guest for p in plan.crew[name])
        level = asks.boat_level(trip, name, guests_aboard=guests)
        has = trip.paddlers[steerer].level(boat.type.skill)
        if has < level or trip.paddlers[steerer].guest:
            said = f"{name} asks for a steerer with {boat.type.skill} {level}; {steerer} has {has}"
            yield boat.where, said


def check_least_crew(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Every boat has its least crew."""
    for name, boat in trip.boats.items():
        least = asks.least_crew(boat.type, asks.hardest_class(trip, name))
        if len(plan.crew[name]) < least:
            yield boat.where, f"{name} needs a crew of {least} and has {len(plan.crew[name])}"


def check_tied(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find paddlers tied to a boat who do not sit in it."""
    for name, paddler in trip.paddlers.items():
        if paddler.boat is not None and name not in plan.crew[paddler.boat]:
            yield paddler.where, f"{name} is tied to {paddler.boat}"


def _list_boats(trip: Trip, plan: Arrangement, names: tuple[str, ...]) -> list[str]:
    return [b for p in names for b in trip.boats if p in plan.crew[b]]


def check_together(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """People to be kept together share a boat."""
    for company in trip.companies:
        if company.together and len(set(_list_boats(trip, plan, company.paddlers))) > 1:
            yield company.where, f"{', '.join(company.paddlers)} are to sit together"


def check_apart(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """People to be kept apart sit in different boats."""
    for company in trip.companies:
        boats = _list_boats(trip, plan, company.paddlers)
        if not company.together and len(set(boats)) < len(boats):
            yield company.where, f"{', '.join(company.paddlers)} are to sit apart"


def measure_load_g(trip: Trip, plan: Arrangement, boat: str) -> int:
    """Return the load of a boat in grams: people in wet clothes, dealt kit, dry load."""
    load = trip.boats[boat].dry_load_g
    for paddler in plan.crew[boat]:
        load += trip.paddlers[paddler].mass_g + trip.catalog.figures.wet_kit_g
    for row in plan.packed:
        if row.boat == boat:
            load += row.count * trip.catalog.items[row.item].mass_g
    return load


def check_payload(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """People, kit and dry load stay within the payload."""
    for name, boat in trip.boats.items():
        load = measure_load_g(trip, plan, name)
        if load > boat.type.payload_g:
            payload = show_mass(boat.type.payload_g)
            yield boat.where, f"{name} carries {payload} and is loaded with {show_mass(load)}"


def check_owned(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """No more is packed than the party owns, and no row packs less than one."""
    for item, count in _count_packed(plan).items():
        kit = trip.kit[item]
        if count > kit.count:
            yield kit.where, f"{count} x {item} packed, the party owns {kit.count}"
    for row in plan.packed:
        if row.count < 1:
            where = trip.kit[row.item].where
            yield where, f"{row.item} in {row.boat}: a count of {row.count}"


def _count_packed(plan: Arrangement) -> Counter[str]:
    counts: Counter[str] = Counter()
    for row in plan.packed:
        counts[row.item] += row.count
    return counts


def check_take(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find what must go and is not packed."""
    packed = _count_packed(plan)
    for item, kit in trip.kit.items():
        if packed[item] < kit.take:
            yield kit.where, f"{kit.take} x {item} must go, {packed[item]} packed"


def check_carried(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find things where they may not be carried, and worn ones without a wearer in the boat."""
    for row in plan.packed:
        item, where = trip.catalog.items[row.item], trip.kit[row.item].where
        if row.carried not in CARRIED or row.carried not in item.carried:
            yield where, f"{row.item} may not be carried {row.carried}"
        elif not asks.fits_boat(item, trip.boats[row.boat].type, row.carried):
            longest = show_length(trip.boats[row.boat].type.longest_mm or 0)
            said = f"{row.item} is {show_length(item.packed_mm)} long as packed"
            yield where, f"{said}, and {row.boat} stows nothing longer than {longest}"
        elif row.carried == "worn" and item.worn_on not in {"vest", "waist"}:
            yield where, f"{row.item} is not dealt out to be worn"
        elif row.carried == "worn" and row.worn_by not in plan.crew[row.boat]:
            yield where, f"{row.item} in {row.boat} is worn by nobody of its crew"
        elif row.carried != "worn" and row.worn_by:
            yield where, f"{row.item} in {row.boat} is {row.carried} and worn by {row.worn_by}"


def _count_quick(trip: Trip, plan: Arrangement, boat: str, *, bulky: bool) -> int:
    return sum(
        row.count
        for row in plan.packed
        if row.boat == boat
        and row.carried == "quick"
        and trip.catalog.items[row.item].bulky == bulky
    )


def check_quick_bulky(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Bulky things lying quick have a place each."""
    for name, boat in trip.boats.items():
        count = _count_quick(trip, plan, name, bulky=True)
        if count > boat.type.quick_bulky:
            places = boat.type.quick_bulky
            yield boat.where, f"{name} has {places} bulky quick places for {count} things"


def check_quick_small(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Small things lying quick have room."""
    for name, boat in trip.boats.items():
        count = _count_quick(trip, plan, name, bulky=False)
        if count > boat.type.quick_small:
            room = boat.type.quick_small
            yield boat.where, f"{name} has room for {room} small quick things, not {count}"


def _count_dealt(trip: Trip, plan: Arrangement, paddler: str, where: str) -> int:
    def is_there(row: Packed) -> bool:
        return row.worn_by == paddler and trip.catalog.items[row.item].worn_on == where

    return sum(row.count for row in plan.packed if is_there(row))


def check_vest_room(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Small things dealt to a wearer fit into his vest."""
    for name, paddler in trip.paddlers.items():
        room = asks.vest_room(paddler, trip.catalog)
        dealt = _count_dealt(trip, plan, name, "vest")
        if dealt > room:
            said = f"{name} has vest room for {room} more small things, not {dealt}"
            yield paddler.where, said


def check_waist_room(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """One thing at the waist of each who is not a guest."""
    for name, paddler in trip.paddlers.items():
        room = asks.waist_room(paddler, trip.catalog)
        dealt = _count_dealt(trip, plan, name, "waist")
        if dealt > room:
            said = f"{name} has room at the waist for {room} more things, not {dealt}"
            yield paddler.where, said


def check_station(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Each boat has one station at each rapid, of those allowed."""
    for rapid in trip.rapids.values():
        allowed = asks.allowed_stations(rapid)
        for boat in rapid.boats:
            station = plan.stations.get((rapid.name, boat), "none")
            if station not in allowed:
                yield rapid.where, f"{boat} can't stand '{station}' at {rapid.name}"


def _check_room(trip: Trip, plan: Arrangement, station: str, family: str) -> Iterator[Broken]:
    for rapid in trip.rapids.values():
        if station == "afloat":
            places, where = rapid.eddies, rapid.where
        else:
            places, where = rapid.bank(station).landing, rapid.bank(station).where
        there = [b for b in trip.boats if plan.stations.get((rapid.name, b)) == station]
        for running in rapid.boats:
            others = [b for b in there if b != running]
            if sum(trip.boats[b].type.room for b in others) > TENTHS * places:
                names = f"while {running} runs {', '.join(others)} are there"
                yield where, f"{rapid.name}: {family} {station} takes {places} boats; {names}"
                break


def check_landing(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Whichever boat runs, the others fit each landing."""
    for side in BANKS:
        yield from _check_room(trip, plan, side, "the landing river")


def check_eddies(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Whichever boat runs, the others afloat fit the eddies."""
    yield from _check_room(trip, plan, "afloat", "the water")


CHECKS: dict[str, Check] = {
    "seat": check_seat,
    "seats": check_seats,
    "steerer": check_steerer,
    "least-crew": check_least_crew,
    "tied": check_tied,
    "together": check_together,
    "apart": check_apart,
    "payload": check_payload,
    "owned": check_owned,
    "take": check_take,
    "carried": check_carried,
    "quick-bulky": check_quick_bulky,
    "quick-small": check_quick_small,
    "vest-room": check_vest_room,
    "waist-room": check_waist_room,
    "station": check_station,
    "landing": check_landing,
    "eddies": check_eddies,
}
