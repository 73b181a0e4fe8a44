"""From a technique to its variants: every way in which its places may be filled here.

Places of downstream safety, who gets a line across, who is in charge and the catalogue's ways
multiply; what is the same in all of them stays one slot. Sites become absolute.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations_with_replacement, product
from typing import TYPE_CHECKING

from kitplan.demands import (
    Ask,
    BoatOption,
    BoatSlot,
    CatchSlot,
    ItemSlot,
    PersonSlot,
    Thing,
    Throwing,
    Variant,
)
from kitplan.needs.crossing import add_crossing
from kitplan.needs.draft import Draft, Place, raise_skill, swap_place
from kitplan.needs.fit import (
    can_wait_afloat,
    holds,
    refuse_exposure,
    side_name,
    usable_banks,
)
from kitplan.needs.force import count_part, count_role
from kitplan.needs.haul import (
    count_need,
    find_system,
    list_settings,
    say_rig,
    say_stroke,
    stroke_mm,
)
from kitplan.needs.joined import add_joined
from kitplan.needs.minders import add_minders
from kitplan.needs.relay import add_relay
from kitplan.needs.roster import ask_steerer
from kitplan.units import show_length

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.needs.fit import Setting
    from kitplan.trip import Boatwork, Catch, Crew, LengthRule, Need, Role, Technique, Way

TENTHS = 10
ABOARD = "aboard"
ASHORE = "ashore"
DOWNSTREAM = "downstream safety"
IN_CHARGE = "in charge"
TAKES_ABOARD = "takes swimmers aboard"


def expand_variants(technique: Technique, way: Way, setting: Setting) -> Iterator[Variant]:
    """Yield the variants of one way of a technique; none if a part of it has no place here.

    Where a boat is hauled off, what is asked goes by the type of the boat in trouble.
    """
    if technique.catch is not None:
        yield from _expand_catch(technique.catch, technique, setting)
        return
    for hauled in list_settings(technique, setting):
        types = hauled.rig.types if hauled.rig else ()
        for draft in _expand_drafts(technique, way, hauled):
            yield replace(_finish(draft), types=types)


def _expand_drafts(technique: Technique, way: Way, setting: Setting) -> Iterator[Draft]:
    for draft in _start_drafts(technique, way, setting):
        for placed in _add_boats(draft, (*technique.boats, *way.boats), technique, setting):
            for guarded in _add_downstream(placed, technique, setting):
                spotted = _add_spotter(guarded, technique, setting)
                for relayed in add_relay(spotted, technique, setting):
                    for crossed in add_crossing(relayed, technique, setting):
                        for led in _add_in_charge(crossed, setting):
                            if (cleared := _clear_above(led)) is not None:
                                for minded in _add_minders(cleared, technique, setting):
                                    yield from add_joined(minded, setting)


# --- the parts ----------------------------------------------------------------------------------


def _start_drafts(technique: Technique, way: Way, setting: Setting) -> Iterator[Draft]:
    """Yield the draft of a way; two where more is asked with more people in the running boat."""
    more = list_crowded(technique, way, setting)
    if not more:
        yield _start_draft(technique, way, setting, crowded=False)
        return
    few = setting.trip.catalog.figures.crowded_over
    draft = _start_draft(technique, way, setting, crowded=False)
    yield replace(draft.add(f"at most {few} in the running boat"), crew_at_most=few)
    said = " and ".join(f"{count} x {name}" for name, _, count in more)
    draft = _start_draft(technique, way, setting, crowded=True)
    yield draft.add(f"{said}, however many are in the running boat")


def list_crowded(
    technique: Technique, way: Way, setting: Setting
) -> tuple[tuple[str, int, int], ...]:
    """Return of what more is asked with a crowded running boat: role or kind, count, then count.

    None where no boat that may be in trouble here seats more than few.
    """
    few = setting.trip.catalog.figures.crowded_over
    boats = [setting.trip.boats[name] for name in setting.rapid.boats]
    if all(boat.type.seats <= few for boat in boats if boat.called in setting.trip.running):
        return ()
    named: list[tuple[str, Role | Need]] = [
        *((role.name, role) for role in (*technique.roles, *way.roles)),
        *((need.kind, need) for need in (*technique.items, *way.items)),
    ]
    counts = [
        (name, count_part(part, setting), count_part(part, setting, crowded=True))
        for name, part in named
        if holds(part.when, setting)
    ]
    return tuple(row for row in counts if row[1] < row[2])


def _start_draft(technique: Technique, way: Way, setting: Setting, *, crowded: bool) -> Draft:
    places = [
        place
        for role in (*technique.roles, *way.roles)
        if holds(role.when, setting)
        for place in _place_role(role, technique, setting, crowded=crowded)
    ]
    items = [
        _place_need(need, technique, setting, crowded=crowded)
        for need in (*technique.items, *way.items)
        if holds(need.when, setting)
    ]
    said = (*say_rig(setting), *((way.name,) if way.name else ()))
    return Draft(said, tuple(places), tuple(item for item in items if item.count))


def _add_boats(
    draft: Draft, boats: tuple[Boatwork, ...], technique: Technique, setting: Setting
) -> Iterator[Draft]:
    """Yield drafts with the boats' work: slots of their own, or in the pool when unhurried."""
    if not technique.unhurried:
        slots = tuple(_slot_boatwork(work, setting) for work in boats)
        if all(slot.options and slot.stations for slot in slots):
            yield draft.add(boats=slots)
        return
    choices = [list(_pool_boatwork(work, setting)) for work in boats]
    for parts in product(*choices):
        grown = draft
        for said, places, items, names in parts:
            grown = grown.add(said, places=places, items=items, needs_boat=names)
        yield grown


def _add_downstream(draft: Draft, technique: Technique, setting: Setting) -> Iterator[Draft]:
    count = technique.downstream_hard if setting.hard else technique.downstream
    if count == 0:
        yield draft
        return
    if technique.unhurried:
        yield _guard(draft, {ASHORE: count}, setting)
        return
    places = list(usable_banks(setting.rapid, unhurried=False))
    if setting.bank == "right":
        places.reverse()
    if can_wait_afloat(setting):
        places.append("afloat")
    for chosen in combinations_with_replacement(places, count):
        yield _guard(
            draft, {site: chosen.count(site) for site in places if site in chosen}, setting
        )


def _guard(draft: Draft, counts: dict[str, int], setting: Setting) -> Draft:
    """Return the draft with downstream safety: so many at each site, "afloat" by boats."""
    guard = setting.trip.catalog.downstream
    for site, count in counts.items():
        many = f"{count} x " if count > 1 else ""
        if site == "afloat":
            slot = BoatSlot(
                DOWNSTREAM, ("afloat",), _list_options(guard.crews, "afloat", setting), count
            )
            draft = draft.add(f"{many}{DOWNSTREAM} afloat", boats=(slot,))
            continue
        ask = _ask_role(guard.role, setting)
        place = Place(DOWNSTREAM, (site,), ask)
        items = tuple(
            ItemSlot(site, ask_thing(need, setting), need.count * count) for need in guard.items
        )
        said = "" if site == ASHORE else f"{many}{DOWNSTREAM} on {side_name(site)}"
        draft = draft.add(said, places=(place,) * count, items=items)
    return draft


def _add_spotter(draft: Draft, technique: Technique, setting: Setting) -> Draft:
    if technique.spotter != "needed":
        return draft
    spotter = setting.trip.catalog.spotter
    sites = (
        (ASHORE,)
        if technique.unhurried
        else (*usable_banks(setting.rapid, unhurried=False), "above")
    )
    return draft.add(places=(Place(spotter.name, sites, _ask_role(spotter, setting)),))


def _clear_above(draft: Draft) -> Draft | None:
    """Return the draft with nobody above where a boat may leave from there; None if that fails.

    Who and what is in the boat that leaves can't stay above as well.
    """
    if not any("above" in slot.stations for slot in draft.boats):
        return draft
    places = tuple(
        replace(place, sites=tuple(site for site in place.sites if site != "above"))
        for place in draft.places
    )
    if any(item.site == "above" for item in draft.items) or not all(p.sites for p in places):
        return None
    return replace(draft, places=places)


def _add_in_charge(draft: Draft, setting: Setting) -> Iterator[Draft]:
    """Yield drafts with one in charge: a place of its own, or doubled by a place that may lead."""
    figures = setting.trip.catalog.figures
    level = figures.in_charge_leading
    people = len(draft.places) + sum(_crew_size(slot) for slot in draft.boats)
    leads = [
        p for p in draft.places if p.may_lead and dict(p.ask.skills).get("leading", 0) >= level
    ]
    if people < figures.in_charge_from or leads:
        yield draft
        return
    site = _lead_sites(draft, setting)
    ask = Ask((("leading", level),), wears=figures.role_wears)
    yield draft.add("one in charge besides", places=(Place(IN_CHARGE, site, ask),))
    for place in dict.fromkeys(p for p in draft.places if p.may_lead and p.sites == site):
        narrowed = replace(place, ask=raise_skill(place.ask, "leading", level))
        said = f"{place.role} is in charge as well"
        yield replace(
            draft, said=(*draft.said, said), places=swap_place(draft.places, place, narrowed)
        )


def _add_minders(draft: Draft, technique: Technique, setting: Setting) -> Iterator[Draft]:
    """Yield drafts with who minds guests that lend a hand; at once it goes by who stands where."""
    if technique.unhurried:
        yield from add_minders(draft, ASHORE, setting)
    else:
        yield draft


def _lead_sites(draft: Draft, setting: Setting) -> tuple[str, ...]:
    if any(place.sites == (ASHORE,) for place in draft.places):
        return (ASHORE,)
    if setting.bank:
        return (setting.bank,)
    return (*usable_banks(setting.rapid, unhurried=False), "above")


def _finish(draft: Draft) -> Variant:
    """Return the variant with equal places counted together, in a fixed order."""
    persons = Counter(PersonSlot(one.role, one.sites, one.ask) for one in draft.places)
    items: dict[ItemSlot, int] = {}
    for item in draft.items:
        one = item if item.count == 1 else replace(item, count=1)
        items[one] = items.get(one, 0) + item.count
    return Variant(
        "; ".join(draft.said) or "as it stands",
        tuple(s if n == 1 else replace(s, count=n) for s, n in persons.items()),
        tuple(s if n == 1 else replace(s, count=n) for s, n in items.items()),
        draft.boats,
        draft.needs_boat,
        crew_at_most=draft.crew_at_most,
        unless=draft.unless,
    )


def ask_lining(setting: Setting) -> tuple[tuple[PersonSlot, ...], tuple[ItemSlot, ...]]:
    """Return the people and things that lining a boat asks for at a rapid."""
    lining = setting.trip.catalog.lining
    persons = [
        PersonSlot(role.name, (ASHORE,), _ask_role(role, setting), count_role(role, setting))
        for role in lining.roles
        if holds(role.when, setting)
    ]
    items = [
        ItemSlot(ASHORE, ask_thing(need, setting), count_need(need, setting))
        for need in lining.items
        if holds(need.when, setting)
    ]
    return tuple(persons), tuple(items)


# --- all who sat in the running boat ------------------------------------------------------------


def _expand_catch(catch: Catch, technique: Technique, setting: Setting) -> Iterator[Variant]:
    """Yield the one way of taking swimmers here: ashore, afloat, or both where both can be.

    One other boat can't be at a bank and afloat at a time.
    """
    ashore = tuple(throwing for _, throwing in list_throwings(catch, technique, setting))
    options: tuple[BoatOption, ...] = ()
    if can_wait_afloat(setting):
        options = _list_options(catch.crews, "afloat", setting)
    if ashore and refuse_exposure("afloat", setting, as_written=True):
        options = ()
    if ashore or options:
        others = len(setting.rapid.boats) - 1
        slot = CatchSlot(TAKES_ABOARD, ashore, options, bool(ashore and options) and others > 1)
        yield Variant("as it stands", (), (), catch=slot)


def list_throwings(
    catch: Catch, technique: Technique, setting: Setting
) -> list[tuple[Setting, Throwing]]:
    """Return for each bank within a throw who throws there with what, with the bank's setting."""
    reaches = setting.trip.catalog.figures.throw_reach_mm
    found = []
    for side in usable_banks(setting.rapid, unhurried=False):
        here = replace(setting, bank=side)
        level = throwing_level(here.reach_mm, reaches) if catch.thrower.throws else 0
        if level <= len(reaches) and (setting.rapid.bank(side).eddy or not technique.place.eddy):
            ask, bag = _ask_role(catch.thrower, here), ask_thing(catch.bag, here)
            found.append((here, Throwing(side, catch.thrower.name, ask, bag)))
    return found


# --- small parts --------------------------------------------------------------------------------


def _place_role(
    role: Role, technique: Technique, setting: Setting, *, crowded: bool
) -> tuple[Place, ...]:
    place = Place(
        role.name,
        _resolve_site(role.site, technique, setting),
        _ask_role(role, setting),
        role.may_lead,
        role.line_hand,
        role.minds,
    )
    return (place,) * count_role(role, setting, crowded=crowded)


def _place_need(need: Need, technique: Technique, setting: Setting, *, crowded: bool) -> ItemSlot:
    site = _resolve_site(need.site, technique, setting)[0]
    count = count_need(need, setting, crowded=crowded)
    return ItemSlot(site, ask_thing(need, setting), count)


def _resolve_site(site: str, technique: Technique, setting: Setting) -> tuple[str, ...]:
    if technique.unhurried:
        return (ASHORE,)
    banks = usable_banks(setting.rapid, unhurried=False)
    named = {
        "working": (setting.bank,),
        "far": (setting.far,),
        "above": ("above",),
        "banks": banks,
        "anywhere": (*banks, "above"),
    }
    return named[site]


def _ask_role(role: Role, setting: Setting) -> Ask:
    figures = setting.trip.catalog.figures
    skills = dict(role.skills)
    if role.throws:
        level = throwing_level(setting.reach_mm, figures.throw_reach_mm)
        skills["throwing"] = max(skills.get("throwing", 0), level)
    wears = figures.rope_role_wears if "rope" in skills else ()
    return Ask(
        tuple(sorted(skills.items())),
        (),
        role.certificate or "",
        tuple(dict.fromkeys((*figures.role_wears, *wears, *role.wears))),
        role.exposure,
        role.guest,
        role.least_mass_g,
    )


def throwing_level(reach_mm: int, throw_reach_mm: tuple[int, ...]) -> int:
    """Return the least throwing level that reaches so far; one above the scale if none does."""
    for level, reach in enumerate(throw_reach_mm, start=1):
        if reach_mm <= reach:
            return level
    return len(throw_reach_mm) + 1


def ask_thing(need: Need, setting: Setting) -> Thing:
    """Return what a thing must be here to serve a need."""
    least = max((line_length_mm(rule, setting) for rule in need.length), default=0)
    return Thing(need.kind, least, tuple(sorted(need.flags)), need.spare, need.whole)


def line_length_mm(rule: LengthRule, setting: Setting) -> int:
    """Return width and reach times their factors, and what is added, rounded up to 1 mm."""
    tenths = rule.width_tenths * setting.rapid.width_mm + rule.reach_tenths * setting.reach_mm
    return -(-tenths // TENTHS) + rule.plus_mm + stroke_mm(setting, rule.stroke_mm)


def say_length(need: Need, setting: Setting) -> str:
    """Return how the least length of a line was worked out, in words with the figures."""
    said = []
    for rule in need.length:
        parts = []
        for factor, word, mm in (
            (rule.width_tenths, "width", setting.rapid.width_mm),
            (rule.reach_tenths, "reach", setting.reach_mm),
        ):
            if factor:
                times = "" if factor == TENTHS else f"{factor / TENTHS:g} x "
                parts.append(f"{times}{word} {show_length(mm)}")
        if rule.plus_mm:
            parts.append(show_length(rule.plus_mm))
        if rule.stroke_mm and setting.rig is not None:
            parts.append(say_stroke(rule.stroke_mm, setting))
        said.append(f"{' + '.join(parts)} = {show_length(line_length_mm(rule, setting))}")
    hauled = any(rule.stroke_mm for rule in need.length) and setting.rig is not None
    system = f" at a {find_system(setting).name}" if hauled else ""
    return f"{need.kind}{system}: at least " + ", and ".join(said)


def _slot_boatwork(work: Boatwork, setting: Setting) -> BoatSlot:
    stations = tuple(s for s in work.stations if s == "above" or can_wait_afloat(setting))
    return BoatSlot(
        work.name, stations, _list_options(work.crews, work.exposure, setting), work.count
    )


def _list_options(crews: Iterable[Crew], exposure: str, setting: Setting) -> tuple[BoatOption, ...]:
    return tuple(
        BoatOption(
            crew.crafts,
            crew.steerer,
            exposure,
            crew.free_places,
            tuple(
                PersonSlot(role.name, (ABOARD,), _ask_aboard(role, exposure, setting), role.count)
                for role in crew.roles
                if holds(role.when, setting)
            ),
            tuple(
                ItemSlot(ABOARD, ask_thing(need, setting), need.count)
                for need in crew.items
                if holds(need.when, setting)
            ),
            setting.trip.catalog.figures.role_wears,
        )
        for crew in crews
        if _may_crew(crew, setting)
    )


def _may_crew(crew: Crew, setting: Setting) -> bool:
    """Say whether a crew entry holds for this class and scenario."""
    if crew.scenarios and setting.scenario not in crew.scenarios:
        return False
    return crew.class_at_most is None or setting.rapid.river_class <= crew.class_at_most


def _ask_aboard(role: Role, exposure: str, setting: Setting) -> Ask:
    ask = _ask_role(role, setting)
    return replace(ask, exposure=exposure) if ask.exposure == "ashore" else ask


def _pool_boatwork(
    work: Boatwork, setting: Setting
) -> Iterator[tuple[str, tuple[Place, ...], tuple[ItemSlot, ...], tuple[str, ...]]]:
    """Yield for each boat skill in the party what the work asks of the pool, and of which boats."""
    for option in _list_options(work.crews, work.exposure, setting):
        by_skill: dict[str, list[str]] = {}
        for boat in (setting.trip.boats[name] for name in setting.rapid.boats):
            if boat.type.craft in option.crafts:
                by_skill.setdefault(boat.type.skill, []).append(boat.name)
        for skill, names in sorted(by_skill.items()):
            ask = ask_steerer(skill, option)
            places = [Place("steers", (ASHORE,), ask)]
            for slot in option.persons:
                places += [Place(slot.role, (ASHORE,), slot.ask)] * slot.count
            items = tuple(replace(slot, site=ASHORE) for slot in option.items)
            yield f"{work.name} ({skill})", tuple(places), items, tuple(sorted(names))


def _crew_size(slot: BoatSlot) -> int:
    """Return the fewest people the work of a boat slot takes, steerers included."""
    aboard = [1 + sum(p.count for p in option.persons) for option in slot.options]
    return slot.count * min(aboard, default=1)
