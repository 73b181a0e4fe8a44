"""What each spot asks for, technique by technique, before anything is solved."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from kitplan.needs import list_linings
from kitplan.needs.words import say_ask, say_catch, say_thing, say_work
from kitplan.report.carriage import write_prevail
from kitplan.report.fading import write_fading
from kitplan.report.restate import make_sheet, write_units
from kitplan.report.words import (
    BANK_NAMES,
    RUN_NAMES,
    count,
    join,
    say_flow,
    say_lining,
    say_missing,
    say_place,
)
from kitplan.trip import CLASSES
from kitplan.units import METRIC, show_length, show_mass, show_speed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.demands import Choice, ItemSlot, Needs, PersonSlot, Thing, Variant
    from kitplan.needs.lining import Lining
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Rapid, Spot, Trip

PART = "; "
NUMBERED = re.compile(r" \([0-9]+\)$")
GUARD = re.compile(r"(?:[0-9]+ x )?downstream safety (.+)")


def render_needs(trip: Trip, needs: Needs, style: str, units: str = METRIC) -> str:
    """Return for each rapid, spot and scenario which technique fits, and why, and what it asks."""
    sheet = make_sheet(trip, style, units)
    sheet.title(f"{trip.name}: what each spot asks for")
    sheet.say(
        f"{count(len(needs.cases), 'case')}, {count(len(needs.demands), 'demand')}; "
        f"{count(len(needs.without_technique), 'spot and scenario', 'spots and scenarios')} "
        "without an accepted technique."
    )
    write_units(sheet, units)
    if trip.cold or trip.remote:
        why = join(
            [w for w, on in (("cold water", trip.cold), ("a remote river", trip.remote)) if on]
        )
        sheet.say(f"Exposures are tested against one class harder, once, for {why}.")
    write_fading(sheet, trip, undated=True)
    write_prevail(sheet, trip)
    linings = {lining.rapid: lining for lining in list_linings(trip)}
    told: dict[tuple[str, str], Rapid] = {}
    for rapid in sorted(trip.rapids.values(), key=lambda r: r.day):
        sheet.heading(f"Day {rapid.day}, {rapid.name}", _say_rapid(rapid))
        if rapid.run == "portage":
            sheet.say("Carried round: it asks for nothing.")
            continue
        if rapid.name in linings:
            _write_lining(sheet, linings[rapid.name])
            continue
        body = make_sheet(trip, style, units)
        _write_spots(body, trip, needs, rapid)
        first = told.setdefault((rapid.place, body.text()), rapid) if rapid.spots else rapid
        if first is rapid:
            sheet.absorb(body)
        else:
            sheet.say(f"The same as {first.name}.")
    return sheet.finish()


def _write_lining(sheet: Sheet, lining: Lining) -> None:
    """Write what a lined rapid asks for, and what the party does not have of it."""
    sheet.say(f"Lined, nobody aboard: {say_lining(lining)}.")
    if lining.missing:
        sheet.say(f"Short whatever is packed where: {say_missing(lining.missing)}.")


def _write_spots(sheet: Sheet, trip: Trip, needs: Needs, rapid: Rapid) -> None:
    """Write what may happen where at one passage, and what it asks for."""
    without = {(row.rapid, row.spot, row.scenario): row.reason for row in needs.without_technique}
    for spot in rapid.spots:
        sheet.minor(_say_spot(spot))
        for scenario in spot.scenarios:
            unnamed = scenario in spot.automatic
            sheet.point(f"{scenario}, {_say_automatic(trip, scenario)}" if unnamed else scenario)
            where = (rapid.name, spot.name, scenario)
            if where in without:
                sheet.point(f"no accepted technique: {without[where]}", 1)
            _write_choices(sheet, [c for k, c in needs.choices.items() if k[:3] == where])


def _say_automatic(trip: Trip, scenario: str) -> str:
    """Return why a scenario that no file names here is here."""
    rule = trip.catalog.scenarios[scenario].automatic
    if rule is None:
        return "which no file names here"
    why = " in cold water or far from help" if rule.cold_or_remote else ""
    return f"automatically: at every rapid from class {CLASSES[rule.class_from - 1]} up{why}"


def _say_rapid(rapid: Rapid) -> str:
    wide = f", {show_length(rapid.width_mm)} wide" if rapid.width_mm else ""
    how = RUN_NAMES.get(rapid.run, f"safety {rapid.safety}")
    return f"{say_flow(rapid)}, class {rapid.class_text}{wide}, {how}"


def _say_spot(spot: Spot) -> str:
    depth = "depth not given" if spot.depth_mm is None else f"{show_length(spot.depth_mm)} deep"
    current = (
        "current not given"
        if spot.current_mm_s is None
        else f"current {show_speed(spot.current_mm_s)}"
    )
    return (
        f"{spot.name}: {show_length(spot.from_left_mm)} from river left, "
        f"{show_length(spot.from_right_mm)} from river right, {depth}, {current}"
    )


def _write_choices(sheet: Sheet, choices: list[Choice]) -> None:
    """Write choices in order; those that differ only in the bank are one entry."""
    rows: dict[tuple[object, ...], list[Choice]] = {}
    for choice in choices:
        reasons = tuple(_trim(reason, choice, shared=True) for reason in choice.reasons)
        key = (choice.key.technique, choice.verdict, choice.place, reasons, choice.amounts)
        rows.setdefault(key, []).append(choice)
    for alike in rows.values():
        choice, shared = alike[0], len(alike) > 1
        banks = join((BANK_NAMES[one.key.bank] for one in alike), "or")
        verdict = f"fits, {say_place(choice)}" if choice.accepted else choice.verdict
        sheet.point(f"{choice.key.technique} from {banks}: {verdict}", 1)
        for reason in choice.reasons:
            sheet.point(_trim(reason, choice, shared=shared), 2)
        if choice.accepted:
            _write_asks(sheet, choice, shared=shared)


def _trim(reason: str, choice: Choice, *, shared: bool) -> str:
    """Return a reason or way without the bank's name where it holds for both banks."""
    if not shared or not choice.key.bank:
        return reason
    working = BANK_NAMES[choice.key.bank]
    far = BANK_NAMES["right" if choice.key.bank == "left" else "left"]
    reason = reason.replace(f"out of reach from {working}", "out of reach")
    return reason.replace(working, "the working bank").replace(far, "the far bank")


def _write_asks(sheet: Sheet, choice: Choice, *, shared: bool) -> None:
    """Write what a choice asks for, by the type of the boat in trouble where it goes by that."""
    by_types: dict[tuple[str, ...], list[Variant]] = {}
    for variant in choice.variants:
        by_types.setdefault(variant.types, []).append(variant)
    for types, variants in by_types.items():
        if types:
            sheet.point(f"{join(types, 'or')} in trouble:", 2)
        _write_ways(sheet, choice, variants, (3 if types else 2, shared))
    for amount in choice.amounts:
        sheet.point(amount, 2)
    if not choice.covers:
        why = (
            "support only: another technique must set free"
            if choice.support_only
            else "a last resort: covers nothing here, as another technique fits"
        )
        sheet.point(why, 2)
    for caution in choice.cautions:
        sheet.point(f"caution: {caution}", 2)


def _write_ways(
    sheet: Sheet, choice: Choice, variants: list[Variant], how: tuple[int, bool]
) -> None:
    """Write what the first of several ways asks for, and how the others differ."""
    depth, shared = how
    first, *others = variants
    people = [_say_people(slot) for slot in first.persons]
    if people:
        sheet.point(f"people: {'; '.join(people)}", depth)
    _write_boats(sheet, first, depth)
    if first.items:
        sheet.point(f"things: {'; '.join(_say_things(choice, first.items))}", depth)
    if others:
        here = _trim(first.way, choice, shared=shared)
        sheet.point(f"this is one of {len(variants)} ways: {here}", depth)
        known = first.way.split(PART)
        told = _sum_up(others, known)
        said = _trim("; ".join(told), choice, shared=shared)
        sheet.point(f"{_introduce(len(others), len(told))}: {said}", depth)


def _write_boats(sheet: Sheet, first: Variant, depth: int) -> None:
    """Write what a way asks of boats, and of who takes the swimmers."""
    for boat in first.boats:
        sheet.point(f"{count(boat.count, 'boat')} for '{boat.work}', {say_work(boat)}", depth)
    if first.catch is not None:
        sheet.point("all who sat in the running boat are taken", depth)
        for said in say_catch(first.catch):
            sheet.point(said, depth + 1)
    if first.needs_boat:
        sheet.point(f"one of these boats: {join(first.needs_boat, 'or')}", depth)


def _introduce(others: int, parts: int) -> str:
    """Return what leads in what so many other ways do, told in so many parts.

    A way has several parts, and a part stands in several ways.
    """
    if others == 1:
        return "the other one"
    return f"the other {others}" + (", each with one or more of these" if parts > 1 else "")


def _sum_up(others: Iterable[Variant], known: list[str]) -> list[str]:
    """Return what other variants do that the first does not, each once; places of one role joined.

    The name of a variant lists what sets it apart, part by part.
    """
    parts = dict.fromkeys(
        NUMBERED.sub("", part) for variant in others for part in variant.way.split(PART)
    )
    guards = [GUARD.fullmatch(part) for part in parts]
    places = dict.fromkeys(found[1] for found in guards if found)
    told = [part for part in parts if part not in known and not GUARD.fullmatch(part)]
    return ([f"downstream safety {join(places, 'or')}"] if places else []) + told


def _say_people(slot: PersonSlot) -> str:
    asked = say_ask(slot.ask)
    more = [asked] if asked else []
    if slot.ask.least_mass_g:
        more.append(f"{show_mass(slot.ask.least_mass_g)} or more")
    if slot.ask.guest:
        more.append("a guest will do")
    return f"{slot.count} x {slot.role}" + (f" ({', '.join(more)})" if more else "")


def _say_things(choice: Choice, slots: Iterable[ItemSlot]) -> list[str]:
    """Return each thing once, and on which bank it must be if one is asked for on both."""
    places: dict[Thing, list[str]] = {}
    for slot in slots:
        place = "on the working bank" if slot.site == choice.key.bank else "on the far bank"
        places.setdefault(slot.thing, []).append(
            f"{slot.count} {place if slot.site in BANK_NAMES and slot.site else ''}".strip()
        )
    said = []
    for thing, counts in places.items():
        asked = say_thing(thing)
        more = f" ({asked})" if asked else ""
        if len(counts) == 1:
            said.append(f"{counts[0].split(' ', 1)[0]} x {thing.kind}{more}")
        else:
            said.append(f"{thing.kind}{more}, {join(counts)}")
    return said
