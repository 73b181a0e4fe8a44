"""From a trip to its demands: choices at every spot, their order, the cases and their weights."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.demands import (
    Case,
    CaseKey,
    Choice,
    ChoiceKey,
    DemandKey,
    Needs,
    Variant,
    WithoutTechnique,
)
from kitplan.needs import fit
from kitplan.needs.crossing import say_crossing
from kitplan.needs.force import say_role_force
from kitplan.needs.haul import (
    list_haul_cautions,
    list_settings,
    say_count,
    say_haul,
    say_no_haul,
)
from kitplan.needs.joined import say_joined
from kitplan.needs.relay import say_nobody, say_relay
from kitplan.needs.roster import list_running, list_ways
from kitplan.needs.variants import (
    ask_thing,
    expand_variants,
    list_crowded,
    list_throwings,
    say_length,
    throwing_level,
)
from kitplan.trip import BANKS, CLASSES, EXPOSURES, Way
from kitplan.units import show_length

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.needs.fit import Setting
    from kitplan.trip import Need, Rapid, Role, Scenario, Spot, Technique, Trip

PLACE_WEIGHTS = (4, 2, 1)  # first, second, later choice
FITS, MISFIT, REFUSED = "fits", "does not fit", "not accepted"


def derive_needs(trip: Trip) -> Needs:
    """Return every choice, case and demand of the trip; pure, no solver."""
    needs = Needs({}, {}, {}, ())
    without: list[WithoutTechnique] = []
    for rapid in sorted(trip.rapids.values(), key=lambda r: r.day):
        for spot in rapid.spots:
            for name in spot.scenarios:
                scenario = trip.catalog.scenarios[name]
                found = rank_choices(list_choices(trip, rapid, spot, scenario))
                needs.choices.update((choice.key, choice) for choice in found)
                accepted = [choice for choice in found if choice.accepted]
                running = list_running(trip, rapid, name)
                helped = [boat for boat in running if _list_held(trip, accepted, boat)]
                if not accepted or len(helped) < len(running):
                    bare = tuple(boat for boat in running if boat not in helped)
                    row = _say_without(rapid, spot, scenario, found)
                    without.append(replace(row, running=bare))
                setting = fit.Setting(trip, rapid, spot, "", name)
                for boat in helped:
                    held = _list_held(trip, accepted, boat)
                    case = _make_case(setting, boat, held)
                    needs.cases[case.key] = case
                    needs.demands.update(_list_demands(case, held, rapid.river_class))
    return replace(needs, without_technique=tuple(without))


def _list_held(trip: Trip, accepted: list[Choice], boat: str) -> list[Choice]:
    """Return the accepted choices that hold for a boat in trouble; none if none of them covers."""
    held = [choice for choice in accepted if list_ways(choice, trip.boats[boat].type)]
    return held if any(choice.covers for choice in held) else []


def _make_case(setting: Setting, boat: str, held: list[Choice]) -> Case:
    """Return the case of a boat that may be in trouble, with the choices that hold for it."""
    rapid, spot, scenario = setting.rapid, setting.spot, setting.scenario
    covering = {choice.key.bank for choice in held if choice.covers}
    banks = tuple(side for side in BANKS if side in covering)
    weight = rapid.river_class**2 * setting.trip.consequence[scenario] * spot.likely
    return Case(CaseKey(rapid.name, spot.name, scenario, boat), weight, banks)


def _list_demands(
    case: Case, held: list[Choice], river_class: int
) -> Iterator[tuple[DemandKey, int]]:
    for choice in held:
        by_place = PLACE_WEIGHTS[min(choice.place, len(PLACE_WEIGHTS)) - 1]
        yield DemandKey(*choice.key, case.key.running), river_class * by_place


# --- one spot and scenario ----------------------------------------------------------------------


def list_choices(trip: Trip, rapid: Rapid, spot: Spot, scenario: Scenario) -> list[Choice]:
    """Return a choice for each technique that serves the scenario and each bank, unranked."""
    found = []
    for order, technique in enumerate(trip.catalog.techniques.values()):
        if not any(line.scenario == scenario.name for line in technique.serves):
            continue
        for bank in ("",) if technique.banks == "none" else BANKS:
            setting = fit.Setting(trip, rapid, spot, bank, scenario.name)
            found.append(_judge(technique, scenario, setting, order))
    return found


def rank_choices(found: list[Choice]) -> list[Choice]:
    """Return the choices in order of choice, each with its place from its bank, and what covers.

    A last resort covers only where no other accepted technique fits this spot and scenario.
    """
    ordered = sorted(found, key=lambda choice: (*choice.sort, choice.key.bank))
    accepted = [choice for choice in ordered if choice.accepted]
    others = any(choice.covers for choice in accepted)
    lists = [
        [c.key for c in accepted if c.key.bank in {side, ""}]
        for side in BANKS
        if any(c.key.bank == side for c in accepted)
    ] or [[c.key for c in accepted]]
    ranked = []
    for choice in ordered:
        places = [row.index(choice.key) + 1 for row in lists if choice.key in row]
        ranked.append(
            replace(
                choice,
                place=min(places, default=0),
                covers=choice.accepted and (choice.covers or not others),
            )
        )
    return ranked


@dataclass(frozen=True, slots=True)
class _Judged:
    """What came of the ways of a technique: variants, and why the others are out."""

    variants: tuple[Variant, ...]
    misfit: tuple[str, ...]
    refused: tuple[str, ...]
    exposure: int
    ways: tuple[Way, ...]  # those that are left


def _judge(technique: Technique, scenario: Scenario, setting: Setting, order: int) -> Choice:
    key = ChoiceKey(
        setting.rapid.name, setting.spot.name, scenario.name, technique.name, setting.bank
    )
    line = fit.find_serves(technique, scenario.name, setting)
    reasons = [
        *fit.list_bank_reasons(technique, setting),
        *fit.list_place_reasons(technique.place, setting),
        *fit.list_time_reasons(technique, scenario, setting),
        *_list_throw_reasons(technique, setting),
    ]
    if line is None and not reasons:
        reasons.append(_say_serves(technique, scenario))
    judged = _judge_ways(technique, setting)
    verdict = FITS if judged.variants else REFUSED
    if reasons or (not judged.variants and not judged.refused):
        verdict = MISFIT
        reasons += [] if reasons else judged.misfit
    elif verdict == REFUSED:
        reasons = list(judged.refused)
    tier = line.tier if line else 99
    return Choice(
        key,
        verdict,
        tuple(dict.fromkeys(reasons)),
        _say_amounts(technique, judged.ways, setting),
        _list_cautions(technique, judged.ways, setting),
        judged.variants if verdict == FITS else (),
        0,
        covers=verdict == FITS and not technique.last_resort,
        support_only=technique.support_only,
        unhurried=technique.unhurried,
        sort=(int(technique.last_resort), tier, judged.exposure, technique.ready_most_s, order),
        where=setting.spot.where,
    )


def _judge_ways(technique: Technique, setting: Setting) -> _Judged:
    variants: dict[Variant, Variant] = {}  # by what each is but for its name
    misfit, refused, exposures, ways = [], [], [], []
    for way in technique.ways or (Way(""),):
        named = f"{way.name}: " if way.name else ""
        broken = fit.list_place_reasons(way.place, setting)
        if broken or not _has_sites(technique, way, setting):
            misfit += [named + reason for reason in broken or ("no boat or bank for it here",)]
            continue
        drafts = list(expand_variants(technique, way, setting))
        if not drafts and not any(list_settings(technique, setting)):
            misfit.append(say_no_haul(technique))
        elif not drafts:
            misfit.append(named + say_nobody(technique, setting))
        for variant in drafts:
            refusals = _list_refusals(variant, setting)
            if refusals:
                refused += refusals
                continue
            exposures.append(_exposure(variant))
            ways.append(way)
            _keep(variants, variant)
    return _Judged(
        tuple(variants.values()),
        tuple(misfit),
        tuple(dict.fromkeys(refused)),
        min(exposures, default=0),
        tuple(dict.fromkeys(ways)),
    )


def _keep(variants: dict[Variant, Variant], variant: Variant) -> None:
    """Add a variant under a name of its own, unless an equal one is there."""
    bare = replace(variant, way="")
    if bare in variants:
        return
    taken = {known.way for known in variants.values()}
    way, number = variant.way, 2
    while way in taken:
        way, number = f"{variant.way} ({number})", number + 1
    variants[bare] = replace(variant, way=way)


def _has_sites(technique: Technique, way: Way, setting: Setting) -> bool:
    """Say whether every role and thing has a site here (banks may all be out of use)."""
    if technique.unhurried or fit.usable_banks(setting.rapid, unhurried=False):
        return True
    parts: tuple[Role | Need, ...] = (*technique.roles, *way.roles, *technique.items, *way.items)
    return all(part.site in {"above", "anywhere"} for part in parts)


def _list_refusals(variant: Variant, setting: Setting) -> list[str]:
    """Return which exposures of a variant the leader does not accept.

    Boats afloat go by the class as written; who wades, is tethered or swims by one class harder
    in cold water or far from help.
    """
    refusals = []
    for slot in variant.persons:
        as_written = bool(slot.ask.steers)
        refusals.append(fit.refuse_exposure(slot.ask.exposure, setting, as_written=as_written))
    for boat in variant.boats:
        for option in boat.options:
            refusals.append(fit.refuse_exposure(option.exposure, setting, as_written=True))
            refusals += [
                fit.refuse_exposure(p.ask.exposure, setting, as_written=p.ask.exposure == "afloat")
                for p in option.persons
            ]
    for exposure in _list_catching(variant):
        refusals.append(fit.refuse_exposure(exposure, setting, as_written=exposure == "afloat"))
    return [reason for reason in refusals if reason]


def _exposure(variant: Variant) -> int:
    worst = [slot.ask.exposure for slot in variant.persons]
    worst += [option.exposure for boat in variant.boats for option in boat.options]
    worst += _list_catching(variant)
    return max((EXPOSURES.index(word) for word in worst), default=0)


def _list_catching(variant: Variant) -> list[str]:
    """Return the exposures of who takes swimmers."""
    if variant.catch is None:
        return []
    ashore = [throwing.ask.exposure for throwing in variant.catch.ashore]
    return ashore + [option.exposure for option in variant.catch.options]


# --- words --------------------------------------------------------------------------------------


def _list_throw_reasons(technique: Technique, setting: Setting) -> list[str]:
    reaches = setting.trip.catalog.figures.throw_reach_mm
    throwers = [role for role in technique.roles if role.throws and fit.holds(role.when, setting)]
    if throwers and throwing_level(setting.reach_mm, reaches) > len(reaches):
        return [f"beyond a throw: {show_length(setting.reach_mm)} > {show_length(reaches[-1])}"]
    return []


def _say_serves(technique: Technique, scenario: Scenario) -> str:
    said = []
    for line in technique.serves:
        if line.scenario != scenario.name:
            continue
        parts = []
        if line.banks:
            parts.append(
                "both banks can be used" if line.banks == len(BANKS) else "one bank can be used"
            )
        if line.depth_at_most_mm is not None:
            parts.append(f"the depth is given and at most {show_length(line.depth_at_most_mm)}")
        if line.slack is not None:
            parts.append("there is slack water below" if line.slack else "there is no slack below")
        said.append(" and ".join(parts))
    return "serves this only where " + ", or where ".join(said)


def _say_amounts(technique: Technique, ways: tuple[Way, ...], setting: Setting) -> tuple[str, ...]:
    needs = [*technique.items, *(need for way in ways for need in way.items)]
    held = [need for need in needs if fit.holds(need.when, setting)]
    hauled = list(list_settings(technique, setting))
    said = [say_length(need, one) for need in held if need.length for one in hauled]
    said += [text for n in held for one in hauled for text in say_joined(ask_thing(n, one), one)]
    said += [say_count(need, one) for need in held if need.rig for one in hauled]
    figures = setting.trip.catalog.figures
    roles: Iterable[Role] = technique.roles
    for role in roles:
        if role.throws and fit.holds(role.when, setting):
            reaches = throwing_level(setting.reach_mm, figures.throw_reach_mm)
            level = max(reaches, dict(role.skills).get("throwing", 0))
            said.append(f"{role.name}: throwing {level} for {show_length(setting.reach_mm)}")
    ways_roles = (role for way in ways for role in way.roles)
    said += [
        say_role_force(role, setting)
        for role in (*technique.roles, *ways_roles)
        if role.force is not None and fit.holds(role.when, setting)
    ]
    said += _say_throwings(technique, setting)
    said += _say_crowded(technique, ways, setting)
    said += say_crossing(technique, setting)
    said += say_relay(technique, setting)
    said += [line for one in hauled for line in say_haul(technique, one)]
    if setting.hard and technique.downstream_hard > technique.downstream:
        why = (
            "cold water" if setting.trip.cold else f"class {CLASSES[setting.rapid.river_class - 1]}"
        )
        said.append(f"downstream safety: {technique.downstream_hard} ({why})")
    return tuple(dict.fromkeys(said))


def _say_throwings(technique: Technique, setting: Setting) -> list[str]:
    """Return how throwing level and line of those who take swimmers ashore were worked out."""
    if technique.catch is None:
        return []
    return [
        f"from {fit.side_name(here.bank)}: throwing {dict(throwing.ask.skills).get('throwing', 0)} "
        f"for {show_length(here.reach_mm)}; {say_length(technique.catch.bag, here)}"
        for here, throwing in list_throwings(technique.catch, technique, setting)
    ]


def _say_crowded(technique: Technique, ways: tuple[Way, ...], setting: Setting) -> list[str]:
    """Return of what more is asked with more people in the running boat."""
    few = setting.trip.catalog.figures.crowded_over
    return [
        f"{name}: {most} with more than {few} in the running boat, else {least}"
        for way in ways
        for name, least, most in list_crowded(technique, way, setting)
    ]


def _list_cautions(
    technique: Technique, ways: tuple[Way, ...], setting: Setting
) -> tuple[str, ...]:
    """Return what to heed, of the technique itself and of those of its ways that are left."""
    said = list(fit.list_place_cautions(technique.place, setting))
    for way in (way for way in ways if way.name):
        said += [f"{way.name}: {text}" for text in fit.list_place_cautions(way.place, setting)]
    said += list_haul_cautions(technique, setting)
    said += technique.cautions
    if technique.support_only:
        said.append("support only: it frees nobody")
    if technique.spotter == "wanted":
        said.append("an upstream spotter is wanted")
    return tuple(dict.fromkeys(said))


def _say_without(
    rapid: Rapid, spot: Spot, scenario: Scenario, found: list[Choice]
) -> WithoutTechnique:
    refused = [choice for choice in found if choice.verdict == REFUSED]
    if refused:
        limits = dict.fromkeys(reason for choice in refused for reason in choice.reasons)
        names = ", ".join(dict.fromkeys(choice.key.technique for choice in refused))
        reason = (
            f"{names} would fit but is not accepted ({'; '.join(limits)}): the leader may accept "
            "more here, or carry round the rapid"
        )
    elif rapid.safety != "set" and (rapid.left.landing or rapid.right.landing):
        reason = (
            "nothing fits: the leader may set people on the banks here, or carry round the rapid"
        )
    else:
        reason = (
            "nothing fits this place: the leader may carry round the rapid, or take another line"
        )
    return WithoutTechnique(rapid.name, spot.name, scenario.name, reason, (), spot.where)
