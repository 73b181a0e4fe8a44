"""Look-ups on people, boats and things that every later step reads the same way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.demands import Ask
from kitplan.trip import BANKS, EXPOSURES

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from kitplan.demands import BoatOption, CatchSlot, Choice, Thing, Variant
    from kitplan.trip import Boat, BoatType, Catalog, Item, Paddler, Rapid, Trip

CLASS_III = 3


def able(paddler: Paddler, ask: Ask, until: date, catalog: Catalog) -> bool:
    """Say whether a paddler answers `ask`; certificates must hold through `until`.

    Who is hurt answers nothing, not even what a guest may do.
    """
    if paddler.hurt or (paddler.guest and not ask.guest):
        return False
    if EXPOSURES.index(ask.exposure) > EXPOSURES.index(paddler.at_most):
        return False
    if paddler.mass_g < ask.least_mass_g or not _has_skills(paddler, ask):
        return False
    if ask.certificate and not holds_certificate(paddler, ask.certificate, until):
        return False
    worn = worn_kinds(paddler, catalog)
    return all(kind in worn for kind in ask.wears)


def _has_skills(paddler: Paddler, ask: Ask) -> bool:
    if any(paddler.level(skill) < level for skill, level in ask.skills):
        return False
    return not ask.steers or any(paddler.level(skill) >= level for skill, level in ask.steers)


def ask_steerer(skill: str, option: BoatOption) -> Ask:
    """Return what somebody must be to steer a boat for a boat's work; `skill` is the boat's own."""
    steers = ((skill, option.steerer),)
    return Ask(steers=steers, exposure=option.exposure, wears=option.wears)


def holds_certificate(paddler: Paddler, name: str, until: date) -> bool:
    """Say whether the paddler's certificate `name` holds through the day `until`."""
    return any(held == name and last >= until for held, last in paddler.certificates)


def worn_kinds(paddler: Paddler, catalog: Catalog) -> frozenset[str]:
    """Return the kinds of all things the paddler wears of his own."""
    return frozenset(kind for name in paddler.wears for kind in catalog.items[name].kinds)


def serves(item: Item, thing: Thing) -> bool:
    """Say whether an item may serve as `thing`; whether a crew paddle may is up to the caller."""
    return (
        thing.kind in item.kinds
        and item.length_mm >= thing.least_mm
        and all(flag in item.flags for flag in thing.flags)
    )


def fits_boat(item: Item, boat_type: BoatType, carried: str) -> bool:
    """Say whether an item is short enough to lie so in a boat: only what is stowed can be too long.

    What lies quick is strapped on top and has its places; what is worn is short.
    """
    longest = boat_type.longest_mm
    return carried != "stowed" or longest is None or item.packed_mm <= longest


def crew_paddles(boat: Boat, crew_size: int) -> int:
    """Return how many crew paddles go ashore with the crew: one each but the steerer's."""
    return 0 if boat.type.crew_paddle is None else max(0, crew_size - 1)


def find_hardest(trip: Trip, boat: str) -> Rapid | None:
    """Return the first of the hardest rapids that a boat runs in its leg; None if it runs none."""
    runs = [r for r in trip.rapids.values() if boat in r.boats and r.run == "run"]
    runs.sort(key=lambda rapid: (-rapid.river_class, rapid.day))
    return runs[0] if runs else None


def hardest_class(trip: Trip, boat: str) -> int:
    """Return the hardest class that a boat runs, I as 1; 1 for a boat that runs no rapid."""
    hardest = find_hardest(trip, boat)
    return 1 if hardest is None else hardest.river_class


def counts(paddler: Paddler, rapid: Rapid) -> bool:
    """Say whether a paddler is there for at-once work: a guest is not where guests walk round."""
    return not (paddler.guest and rapid.guests_walk)


def list_walkers(trip: Trip, rapid: Rapid) -> frozenset[str]:
    """Return the names of those who walk round a rapid; empty where nobody does."""
    return frozenset(name for name, p in trip.paddlers.items() if not counts(p, rapid))


def boat_level(
    trip: Trip, boat: str, *, guests_aboard: bool, rapids: Mapping[str, Rapid] | None = None
) -> int:
    """Return the level a boat's steerer needs; guests count only for rapids that they run.

    With `rapids`, at these alone.
    """
    kind = trip.boats[boat].type
    there = trip.rapids if rapids is None else rapids
    runs = [r for r in there.values() if boat in r.boats and r.run == "run"]
    levels = [steerer_level(kind, r.river_class, guests_aboard=False) for r in runs]
    levels += [
        steerer_level(kind, r.river_class, guests_aboard=guests_aboard)
        for r in runs
        if not r.guests_walk
    ]
    return max(levels, default=steerer_level(kind, 1, guests_aboard=guests_aboard))


def steerer_level(boat_type: BoatType, river_class: int, *, guests_aboard: bool) -> int:
    """Return the level a steerer needs, one higher with guests in a paddle raft, 4 at most."""
    level = boat_type.steerer[river_class - 1]
    return min(4, level + 1) if guests_aboard and boat_type.guests_one_level_up else level


def least_crew(boat_type: BoatType, river_class: int) -> int:
    """Return the least crew of a boat type, steerer included; who is hurt is none of them."""
    return boat_type.least_crew[0 if river_class <= CLASS_III else 1]


def vest_room(paddler: Paddler, catalog: Catalog) -> int:
    """Return how many small things may still be dealt to the paddler's vest.

    None to a guest's, nor to that of somebody hurt.
    """
    if paddler.minded:
        return 0
    room = max((catalog.items[name].vest_room for name in paddler.wears), default=0)
    held = sum(n for name, n in paddler.wears.items() if catalog.items[name].worn_on == "vest")
    return max(0, room - held)


def waist_room(paddler: Paddler, catalog: Catalog) -> int:
    """Return 1 where one thing may be dealt to the paddler's waist, else 0.

    Guests carry none, nor who is hurt.
    """
    held = any(catalog.items[name].worn_on == "waist" for name in paddler.wears)
    return 0 if paddler.minded or held else 1


def person_mass_g(paddler: Paddler, trip: Trip) -> int:
    """Return the mass of a person on the water: body and wet clothes with what is worn."""
    return paddler.mass_g + trip.catalog.figures.wet_kit_g


def list_running(trip: Trip, rapid: Rapid, scenario: str) -> tuple[str, ...]:
    """Return the boats that may be in trouble so at a rapid."""
    crafts = trip.catalog.scenarios[scenario].crafts
    there = {trip.boats[name].called: name for name in rapid.boats}
    return tuple(
        there[called]
        for called in trip.running
        if called in there and (not crafts or trip.boats[there[called]].type.craft in crafts)
    )


def list_ways(choice: Choice, running: BoatType) -> tuple[Variant, ...]:
    """Return the variants of a choice that hold while a boat of this type is in trouble."""
    if not any(variant.types for variant in choice.variants):
        return choice.variants
    return tuple(v for v in choice.variants if v.holds_for(running.name))


def stations_before(rapid: Rapid) -> tuple[str, ...]:
    """Return where a boat may wait that has not run yet, "above" always among them.

    Its crew can be on a bank only where they land above and walk down.
    """
    if rapid.run != "run" or rapid.safety != "set":
        return ("above",)
    banks = ((side, rapid.bank(side)) for side in BANKS)
    return (*(side for side, bank in banks if bank.path and bank.landing_above >= 1), "above")


def stations_after(rapid: Rapid) -> tuple[str, ...]:
    """Return where a boat may wait that has run, "below" (further down) always among them."""
    stations: list[str] = []
    if rapid.run != "run":
        return ("below",)
    if rapid.safety == "set":
        stations += [side for side in BANKS if rapid.bank(side).landing >= 1]
    if rapid.safety in {"set", "afloat"} and rapid.eddies >= 1:
        stations.append("afloat")
    return (*stations, "below")


def asks_both(slot: CatchSlot, rapid: Rapid, ran: int) -> bool:
    """Say whether swimmers must be taken ashore and afloat, so many boats having run before.

    Only where one boat can wait afloat while another one is ashore: below that one must have run,
    and ashore another one that has, or that waits at a bank above.
    """
    if not slot.both or ran < 1:
        return False
    before = stations_before(rapid)
    return ran > 1 or any(one.site in before for one in slot.ashore)


def most_free_places(trip: Trip, boat: Boat, options: Iterable[BoatOption]) -> int:
    """Return the most swimmers a boat could take with its least crew; 0 if nobody can steer it."""
    kind, most, leg = boat.type, 0, trip.legs[boat.leg]
    least = least_crew(kind, hardest_class(trip, boat.name))
    for option in options:
        steers = ask_steerer(kind.skill, option)
        if kind.craft in option.crafts and any(
            able(paddler, steers, leg.ends, trip.catalog)
            for paddler in trip.list_party(leg).values()
        ):
            crew = max(least, 1 + sum(slot.count for slot in option.persons))
            most = max(most, kind.seats - crew + kind.deck_places)
    return most


def minutes_by_day(trip: Trip) -> dict[int, tuple[int, int]]:
    """Return for each day how many rapids ask for people on the banks, and the minutes it costs.

    Minutes: the catalogue's time per boat to scout, set safety, run and gather, and the walk from
    the landing to the spot and back; groups that pass apart do so one after the other. Days without
    such a rapid are absent.
    """
    figures = trip.catalog.figures
    days: dict[int, tuple[set[str], int]] = {}
    for rapid in trip.rapids.values():
        if rapid.safety != "set" or rapid.run != "run":
            continue
        walk_mm = max(rapid.left.walk_mm, rapid.right.walk_mm)
        walk_s = 2 * walk_mm * 60 // figures.walk_mm_per_min
        seconds = figures.set_safety_s_per_boat * len(rapid.boats) + walk_s
        places, minutes = days.get(rapid.day, (set(), 0))
        days[rapid.day] = ({*places, rapid.place or rapid.name}, minutes + round(seconds / 60))
    return {day: (len(places), minutes) for day, (places, minutes) in sorted(days.items())}
