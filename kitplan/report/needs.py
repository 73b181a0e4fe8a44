"""What each spot asks for, technique by technique, before anything is solved."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.report.sheet import Sheet
from kitplan.report.words import BANK_NAMES, count, join
from kitplan.units import show_length, show_speed

if TYPE_CHECKING:
    from kitplan.demands import Choice, ItemSlot, Needs, PersonSlot
    from kitplan.trip import Rapid, Spot, Trip


def render_needs(trip: Trip, needs: Needs, style: str) -> str:
    """Return for each rapid, spot and scenario which technique fits, and why, and what it asks."""
    sheet = Sheet(style)
    sheet.title(f"{trip.name}: what each spot asks for")
    sheet.say(
        f"{count(len(needs.cases), 'case')}, {count(len(needs.demands), 'demand')}; "
        f"{count(len(needs.without_technique), 'spot and scenario', 'spots and scenarios')} "
        "without an accepted technique."
    )
    if trip.cold or trip.remote:
        why = join(
            [w for w, on in (("cold water", trip.cold), ("a remote river", trip.remote)) if on]
        )
        sheet.say(f"Exposures are tested against one class harder, once, for {why}.")
    without = {(row.rapid, row.spot, row.scenario): row.reason for row in needs.without_technique}
    for rapid in sorted(trip.rapids.values(), key=lambda r: r.day):
        sheet.heading(_say_rapid(rapid))
        for spot in rapid.spots:
            sheet.minor(_say_spot(spot))
            for scenario in spot.scenarios:
                sheet.point(scenario)
                where = (rapid.name, spot.name, scenario)
                if where in without:
                    sheet.point(f"no accepted technique: {without[where]}", 1)
                _write_choices(sheet, [c for k, c in needs.choices.items() if k[:3] == where])
    return sheet.finish()


def _say_rapid(rapid: Rapid) -> str:
    wide = f", {show_length(rapid.width_mm)} wide" if rapid.width_mm else ""
    return f"Day {rapid.day}, {rapid.name}, class {rapid.class_text}{wide}, safety {rapid.safety}"


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
    rows: dict[tuple[object, ...], list[str]] = {}
    first: dict[tuple[object, ...], Choice] = {}
    for choice in choices:
        key: tuple[object, ...] = (choice.key.technique, choice.verdict, choice.place,
                                   _strip(choice.reasons), choice.amounts)  # fmt: skip
        rows.setdefault(key, []).append(BANK_NAMES[choice.key.bank])
        first.setdefault(key, choice)
    for key, banks in rows.items():
        choice = first[key]
        place = f"choice {choice.place}" if choice.accepted else choice.verdict
        sheet.point(f"{choice.key.technique} from {join(banks)}: {place}", 1)
        for reason in choice.reasons:
            sheet.point(_trim(reason, len(banks)), 2)
        if choice.accepted:
            _write_asks(sheet, choice)


def _strip(reasons: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(_trim(reason, 2) for reason in reasons)


def _trim(reason: str, banks: int) -> str:
    """Return a reason without the bank's name where it holds for both banks."""
    if banks == 1:
        return reason
    for side in ("left", "right"):
        reason = reason.replace(f"out of reach from river {side}", "out of reach")
    return reason


def _write_asks(sheet: Sheet, choice: Choice) -> None:
    variant = choice.variants[0]
    people = [_say_people(slot) for slot in variant.persons]
    people += [f"{count(boat.count, 'boat')} for '{boat.work}'" for boat in variant.boats]
    sheet.point(f"people: {', '.join(people)}", 2)
    if variant.items:
        sheet.point(f"things: {', '.join(_say_item(slot) for slot in variant.items)}", 2)
    for amount in choice.amounts:
        sheet.point(amount, 2)
    if len(choice.variants) > 1:
        sheet.point(
            f"or in {count(len(choice.variants) - 1, 'other way')}; this one: {variant.way}", 2
        )
    if choice.accepted and not choice.covers:
        sheet.point("a last resort: covers nothing here, as another technique fits", 2)
    for caution in choice.cautions:
        sheet.point(f"caution: {caution}", 2)


def _say_people(slot: PersonSlot) -> str:
    skills = ", ".join(f"{skill} {level}" for skill, level in slot.ask.skills)
    more = [skills] if skills else []
    if slot.ask.steers:
        more.append(" or ".join(f"{skill} {level}" for skill, level in slot.ask.steers))
    if slot.ask.certificate:
        more.append(f"{slot.ask.certificate} certificate")
    if slot.ask.guest:
        more.append("a guest will do")
    return f"{slot.count} {slot.role}" + (f" ({'; '.join(more)})" if more else "")


def _say_item(slot: ItemSlot) -> str:
    long = f" of {show_length(slot.thing.least_mm)}" if slot.thing.least_mm else ""
    flags = f" ({', '.join(slot.thing.flags)})" if slot.thing.flags else ""
    return f"{slot.count} {slot.thing.kind}{long}{flags}"
