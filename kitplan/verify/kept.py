"""Whether an arrangement keeps the rules of seating, packing and stations: one check a family.

Each check reads the trip and the arrangement alone and yields what is broken: the place of the
boat, paddler, company, kit, rapid or landing that it is about, and a sentence.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.trip import BANKS, CARRIED, HELD
from kitplan.units import show_length
from kitplan.verify.loads import (
    check_hold,
    check_payload,
    check_stowed,
    list_loads_g,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.errors import Place
    from kitplan.plan import Arrangement, Packed
    from kitplan.trip import Item, Trip

    Broken = tuple[Place, str]
    Check = Callable[[Trip, Arrangement], Iterator[Broken]]

TENTHS = 10  # a landing or eddy place is counted in tenths


def check_seat(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Every paddler sits in exactly one boat of each leg he is in, and in none of another."""
    for number, leg in enumerate(trip.legs):
        seats = Counter(p for b in leg.boats for p in plan.crew[b])
        for name, paddler in trip.paddlers.items():
            if seats[name] != (name in leg.paddlers):
                when = f" from day {leg.first_day}" if len(trip.legs) > 1 else ""
                had = f"a seat in {seats[name]} boats" if seats[name] else "no seat"
                yield paddler.where, f"{name} has {had}{when}"
        for boat in leg.boats:
            if trip.boats[boat].leg != number:
                yield trip.boats[boat].where, f"{boat} is of another leg"


def check_seats(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """No boat seats more than it has seats."""
    for name, boat in trip.boats.items():
        people = len(plan.crew[name])
        if people > boat.type.seats:
            yield boat.where, f"{name} has {boat.type.seats} seats and {people} people"


def check_steerer(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Every boat has a steerer of its crew, good enough for what it runs without another."""
    for name, boat in trip.boats.items():
        steerer = plan.steerer.get(name)
        if steerer is None or steerer not in plan.crew[name]:
            yield boat.where, f"{name} has no steerer aboard"
            continue
        guests = any(trip.paddlers[p].guest for p in plan.crew[name])
        own = {r: rapid for r, rapid in trip.rapids.items() if (r, name) not in plan.twice}
        level = asks.boat_level(trip, name, guests_aboard=guests, rapids=own)
        has = trip.paddlers[steerer].level(boat.type.skill)
        if has < level or trip.paddlers[steerer].guest or trip.paddlers[steerer].hurt:
            said = f"{name} asks for a steerer with {boat.type.skill} {level}; {steerer} has {has}"
            yield boat.where, said


def check_row_twice(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Whoever takes a second boat down has run, walks back, is able, has a seat, once a rapid."""
    for (name, boat), paddler in plan.twice.items():
        for said in _list_bars(trip, plan, (name, boat, paddler)):
            yield trip.rapids[name].where, f"{paddler} can't row {boat} down {name} too: {said}"
    for name, rapid in trip.rapids.items():
        rowers = (plan.twice.get((name, boat), "") for boat in rapid.boats)
        for rower, count in Counter(rowers).items():
            if rower and count > 1:
                yield rapid.where, f"{rower} takes {count} boats down {name} besides his own"


def _list_bars(trip: Trip, plan: Arrangement, row: tuple[str, str, str]) -> Iterator[str]:
    name, boat, paddler = row
    rapid, kind, one = trip.rapids[name], trip.boats[boat].type, trip.paddlers[paddler]
    own = [b for b in rapid.boats if paddler in plan.crew[b] and b != boat]
    runs = [b for b in plan.order if b in rapid.boats]
    if not own or runs.index(own[0]) > runs.index(boat):
        yield "he has not run before with another boat"
    paths = {side for side in BANKS if rapid.bank(side).path and rapid.bank(side).landing}
    if rapid.safety == "set" and own:
        paths &= {plan.stations.get((name, own[0], boat))}
    if not paths or rapid.run != "run":
        yield "no path leads back from where his own boat lies"
    guests = any(trip.paddlers[p].guest for p in plan.crew[boat]) and not rapid.guests_walk
    level = asks.steerer_level(kind, rapid.river_class, guests_aboard=guests)
    if one.guest or one.hurt or one.level(kind.skill) < level:
        yield f"it takes {kind.skill} {level}"
    if len(plan.crew[boat]) >= kind.seats:
        yield "no seat is free"
    mass_g = one.mass_g + trip.catalog.figures.wet_kit_g
    if list_loads_g(trip, plan, boat)[rapid.day] + mass_g > kind.payload_g:
        yield "he is too heavy for its payload"
    leg = trip.legs[rapid.leg]
    if any(row.worn_by == paddler for row in plan.packed if row.boat in leg.boats):
        yield "what is dealt to him to wear would be missing"


def check_least_crew(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Every boat has its least crew; whoever is hurt sits there and is none of it."""
    for name, boat in trip.boats.items():
        least = asks.least_crew(boat.type, asks.hardest_class(trip, name))
        crew = sum(not trip.paddlers[p].hurt for p in plan.crew[name])
        if crew < least:
            yield boat.where, f"{name} needs a crew of {least} and has {crew}"


def check_tied(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find paddlers tied to a boat who do not sit in it."""
    for name, boat in trip.boats.items():
        for paddler in trip.legs[boat.leg].paddlers:
            one = trip.paddlers[paddler]
            if one.boat == boat.called and paddler not in plan.crew[name]:
                yield one.where, f"{paddler} is tied to {name}"


def _list_boats(trip: Trip, plan: Arrangement, names: tuple[str, ...]) -> Iterator[list[str]]:
    """Yield for each leg the boats that people sit in, once for each of them."""
    for leg in trip.legs:
        yield [b for p in names for b in leg.boats if p in plan.crew[b]]


def check_together(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """People to be kept together share a boat."""
    for company in trip.companies:
        boats = _list_boats(trip, plan, company.paddlers)
        if company.together and any(len(set(row)) > 1 for row in boats):
            yield company.where, f"{', '.join(company.paddlers)} are to sit together"


def check_apart(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """People to be kept apart sit in different boats."""
    for company in trip.companies:
        boats = _list_boats(trip, plan, company.paddlers)
        if not company.together and any(len(set(row)) < len(row) for row in boats):
            yield company.where, f"{', '.join(company.paddlers)} are to sit apart"


def check_owned(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find more packed than is owned, what is not packed in all its legs, counts below one."""
    for item, kit in trip.kit.items():
        counts = count_packed(trip, plan, item)
        if max(counts.values(), default=0) > kit.count:
            count = max(counts.values())
            yield kit.where, f"{count} x {item} packed, the party owns {kit.count}"
        elif len(set(counts.values())) > 1:
            said = " and ".join(f"{n} from day {day}" for day, n in counts.items())
            yield kit.where, f"{item}: {said}; what is taken goes along"
    for row in plan.packed:
        kit = trip.kit[row.item]
        if row.count < 1:
            yield kit.where, f"{row.item} in {row.boat}: a count of {row.count}"
        if row.item not in trip.legs[trip.boats[row.boat].leg].kit:
            yield kit.where, f"{row.item} in {row.boat}: it is not there on these days"


def count_packed(trip: Trip, plan: Arrangement, item: str) -> dict[int, int]:
    """Return how many of an item are packed in each leg that has it, by the leg's first day."""
    return {
        leg.first_day: sum(r.count for r in plan.packed if r.item == item and r.boat in leg.boats)
        for leg in trip.legs
        if item in leg.kit
    }


def check_take(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find what must go and is not packed."""
    for item, kit in trip.kit.items():
        packed = min(count_packed(trip, plan, item).values(), default=0)
        if packed < kit.take:
            be = "is" if packed == 1 else "are"
            yield kit.where, f"{kit.take} x {item} must be taken along, and {packed} {be} packed"


def check_carried(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find things where they may not be carried, and worn ones without a wearer in the boat."""
    for row in plan.packed:
        item, where = trip.catalog.items[row.item], trip.kit[row.item].where
        if row.carried not in CARRIED or row.carried not in item.carried:
            yield where, f"{row.item} in {row.boat} may not be carried {row.carried}"
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
    """Return how many things are dealt to a paddler to be worn so, in the leg with the most."""

    def is_there(row: Packed) -> bool:
        return row.worn_by == paddler and trip.catalog.items[row.item].worn_on == where

    rows = [row for row in plan.packed if is_there(row)]
    return max(sum(row.count for row in rows if row.boat in leg.boats) for leg in trip.legs)


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


def check_order(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find boats that do not stand in the order once, leg by leg, and as given."""
    boats = [boat for leg in trip.legs for boat in plan.list_run(leg.boats)]
    if sorted(plan.order) != sorted(trip.boats) or list(plan.order) != boats:
        yield trip.where, "the running order does not name each boat once, leg by leg"
        return
    if trip.order.boats:
        for leg in trip.legs:
            runs = [trip.boats[b].called for b in plan.list_run(leg.boats)]
            if runs != [called for called in trip.order.boats if called in runs]:
                yield trip.order.where, f"the order is given, and {', '.join(runs)} is another one"


def check_lead(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find first boats of a leg whose steerer lacks the level asked."""
    for leg in trip.legs:
        first = next(iter(plan.list_run(leg.boats)), None)
        if first is None or not trip.order.lead:
            continue
        skill, steerer = trip.boats[first].type.skill, plan.steerer.get(first, "")
        has = trip.paddlers[steerer].level(skill) if steerer in trip.paddlers else 0
        if has < trip.order.lead:
            asked = f"the lead asks for {skill} {trip.order.lead}"
            yield trip.order.where, f"{asked}, and {steerer or 'nobody'} in {first} has {has}"


def check_sweep(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find last boats of a leg that lack a thing of a kind asked."""
    for leg in trip.legs:
        for last in plan.list_run(leg.boats)[-1:]:
            kinds = {kind for item in _list_items(trip, plan, last) for kind in item.kinds}
            for kind in trip.order.sweep:
                if kind not in kinds:
                    yield trip.order.where, f"{last} is the sweep and has no {kind}"


def _list_items(trip: Trip, plan: Arrangement, boat: str) -> list[Item]:
    """Return what is in a boat: dealt, in bundles, worn of people's own, crew paddles."""
    names = {row.item for row in plan.packed if row.boat == boat}
    names |= {one.name for name in names for one, _ in trip.catalog.items[name].contains}
    names |= {item for p in plan.crew[boat] for item in trip.paddlers[p].wears}
    kind = trip.boats[boat].type
    if kind.crew_paddle is not None and asks.crew_paddles(trip.boats[boat], len(plan.crew[boat])):
        names.add(kind.crew_paddle)
    return [trip.catalog.items[name] for name in sorted(names)]


def check_station(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Whichever boat runs, each other one has a station, of those before or after its own run."""
    for rapid in trip.rapids.values():
        allowed = (asks.stations_before(rapid), asks.stations_after(rapid))
        runs = plan.list_run(rapid.boats)
        for k, running in enumerate(runs):
            for n, boat in enumerate(runs):
                station = plan.stations.get((rapid.name, boat, running), "none")
                if n != k and station not in allowed[n < k]:
                    when = f"while {running} runs {rapid.name}"
                    yield rapid.where, f"{when}, {boat} can't stand '{station}'"
                if n == k and station != "none":
                    yield rapid.where, f"{boat} runs {rapid.name}, and can't stand '{station}'"


def check_held(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Find boats that change their station, where stations are not reset."""
    if trip.stations != HELD:
        return
    for rapid in trip.rapids.values():
        runs = plan.list_run(rapid.boats)
        for n, boat in enumerate(runs):
            for others in (runs[:n], runs[n + 1 :]):
                # A station that a plan file lacks is found among the stations.
                keys = ((rapid.name, boat, running) for running in others)
                stations = dict.fromkeys(plan.stations[key] for key in keys if key in plan.stations)
                if len(stations) > 1:
                    said = f"{boat} stands {' and '.join(stations)} at {rapid.name}"
                    yield rapid.where, f"{said}, and stations are held"


def _check_room(trip: Trip, plan: Arrangement, station: str, family: str) -> Iterator[Broken]:
    """Find a station that is too full, by boats that are to run or by ones that have run."""
    for rapid in trip.rapids.values():
        runs = plan.list_run(rapid.boats)
        for before in (True, False):
            if station == "afloat":
                places, where = rapid.eddies, rapid.where
            else:
                bank = rapid.bank(station)
                places, where = bank.landing_above if before else bank.landing, bank.where
            for k, running in enumerate(runs):
                others = runs[k + 1 :] if before else runs[:k]
                there = [
                    b for b in others if plan.stations.get((rapid.name, b, running)) == station
                ]
                if sum(trip.boats[b].type.room for b in there) > TENTHS * places:
                    names = f"while {running} runs {', '.join(sorted(there))} are there"
                    above = " from above" if before and station != "afloat" else ""
                    said = f"{family} {station}{above} takes {places} boats"
                    yield where, f"{rapid.name}: {said}; {names}"
                    break


def check_landing(trip: Trip, plan: Arrangement) -> Iterator[Broken]:
    """Whichever boat runs, the others fit each landing, above or below."""
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
    "stowed": check_stowed,
    "hold": check_hold,
    "order": check_order,
    "lead": check_lead,
    "sweep": check_sweep,
    "row-twice": check_row_twice,
    "station": check_station,
    "held": check_held,
    "landing": check_landing,
    "eddies": check_eddies,
}
