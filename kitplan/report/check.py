"""What the party as a whole can and can't do, before anything is packed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.needs.words import say_ask, say_thing
from kitplan.report.carriage import write_prevail, write_unowned
from kitplan.report.cover import write_without
from kitplan.report.fading import write_fading
from kitplan.report.lacks import say_lacks
from kitplan.report.restate import make_sheet, write_units
from kitplan.report.words import (
    BANK_NAMES,
    count,
    join,
    join_flows,
    join_of,
    say_days,
    say_lining,
    say_missing,
    say_passages,
    say_running,
    say_without,
)
from kitplan.trip import CLASSES
from kitplan.units import METRIC, show_length

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.check import (
        CaseCheck,
        PartyCheck,
        RoleCheck,
        SteererCheck,
        TechniqueCheck,
        ThingCheck,
    )
    from kitplan.demands import Needs
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Leg, Rapid, Trip

ASKED_WIDTH = 34
"""Columns of what a thing must be, in the table of things."""
BY_ITSELF = (
    "Each question is asked by itself, with everybody and everything the party owns free for it; "
    "only the boat in trouble keeps a steerer and its least crew. What is possible so may still "
    "not go together: that is for `kitplan plan` to tell."
)
FEW_ABLE = 1
"""So few can fill a role that it is said who could if he wore what is asked."""
ROLE_WIDTHS = (26, 30, 36)
AFLOAT = "afloat"
"""Columns of the table of roles: what is asked, the roles, the names."""


def render_check(
    trip: Trip, needs: Needs, check: PartyCheck, style: str, units: str = METRIC
) -> str:
    """Return what is short whatever is packed where, then techniques, people and things."""
    sheet = make_sheet(trip, style, units)
    sheet.title(f"{trip.name}: {_say_answer(check)}{say_without(needs)}")
    _write_never(sheet, check)
    sheet.say(BY_ITSELF)
    write_units(sheet, units)
    write_fading(sheet, trip)
    write_prevail(sheet, trip)
    write_unowned(sheet, trip, check.unowned)
    _write_cases(sheet, trip, check)
    _write_linings(sheet, trip, check)
    _write_techniques(sheet, trip, check)
    write_roles(sheet, trip, check)
    write_steerers(sheet, trip, check)
    write_certificates(sheet, trip, check)
    _write_things(sheet, check)
    write_without(sheet, trip, needs)
    return sheet.finish()


# --- the answer ---------------------------------------------------------------------------------


def _say_answer(check: PartyCheck) -> str:
    """Return the first line: what no packing can mend."""
    unsteered = [row.boat_type for row in check.steerers if not row.able]
    if unsteered:
        return f"nobody can steer the {join(unsteered)}"
    if check.beyond:
        return f"no packing can mend {check.beyond} of {count(check.total, 'case')}"
    if check.cases:
        short = {(*_spot(row), running) for row in check.cases for running in row.running}
        many = f"{len(short)} of {count(check.total, 'case')}"
        return f"no packing covers {many} from every bank that counts"
    return _say_rest(check)


def _say_rest(check: PartyCheck) -> str:
    """Return the first line where all can be steered and covered."""
    unlined = [row.rapid for row in check.linings if row.missing]
    if unlined:
        return f"what lining {join(unlined)} asks for is not there"
    if check.unowned:
        pieces = sum(row.short for row in check.unowned)
        many = f"{count(pieces, 'piece')} that rules ask for"
        return f"{many} {'is' if pieces == 1 else 'are'} not there"
    never = sum(not row.possible for row in check.techniques)
    if never:
        return f"every case can be covered, {count(never, 'technique')} can be done nowhere"
    return "nothing is short whatever is packed where"


def _spot(row: CaseCheck) -> tuple[str, str, str]:
    return row.rapid, row.spot, row.scenario


def _write_never(sheet: Sheet, check: PartyCheck) -> None:
    """Write the techniques that nobody of this party can do, and why."""
    never = [row for row in check.techniques if not row.possible]
    if not never:
        sheet.say("Each technique that is asked for can be done somewhere.")
        sheet.gap()
        return
    many = count(len(never), "technique is", "techniques are")
    sheet.say(f"{many} asked for and can be done nowhere on this trip, with all hands and all kit:")
    sheet.gap()
    for row in never:
        sheet.point(f"{row.technique}: short at best of {join_of(say_lacks(row.lacks))}")
    sheet.gap()


def _write_cases(sheet: Sheet, trip: Trip, check: PartyCheck) -> None:
    if not check.cases:
        return
    rows = ((row.rapid, replace(row, rapid="")) for row in check.cases)
    alike = join_flows(trip, rows)
    sheet.heading(f"Short whatever is packed where ({len(alike)})")
    for number, (rapids, row) in enumerate(alike, start=1):
        sheet.point(f"{number}. {_say_case(rapids, row)}")
        lacks = join_of(say_lacks(row.lacks))
        sheet.point(f"{row.technique}: the rest of the party is short of {lacks}.", 1)


def _say_case(rapids: list[Rapid], row: CaseCheck) -> str:
    banks = join((BANK_NAMES[bank] for bank in row.banks), "or")
    elsewhere = "; the other bank may cover it" if row.elsewhere else ""
    return (
        f"Day {rapids[0].day}, {say_passages(rapids)}, {row.spot}: {row.scenario}, from {banks}, "
        f"{say_running(row.running, rapids[0].boats)}{elsewhere}."
    )


def _write_linings(sheet: Sheet, trip: Trip, check: PartyCheck) -> None:
    """Write what each lined rapid asks for, and whether the party has it."""
    rows = (
        (
            row.rapid,
            f"{say_lining(row)}: "
            + (f"{say_missing(row.missing)}." if row.missing else "the party has it."),
        )
        for row in check.linings
    )
    alike = join_flows(trip, rows)
    if alike:
        sheet.heading("Lined, nobody aboard")
    for rapids, said in alike:
        sheet.point(f"Day {rapids[0].day}, {say_passages(rapids)}: {said}")


# --- techniques ---------------------------------------------------------------------------------


def _write_techniques(sheet: Sheet, trip: Trip, check: PartyCheck) -> None:
    sheet.heading("What the party can do, technique by technique")
    rows = [
        (row.technique, _say_verdict(row), f"{row.possible} of {row.demands}")
        for row in check.techniques
    ]
    sheet.table(rows, ("technique", "this party", "demands it could meet"))
    for row in check.techniques:
        if row.possible and row.lacks:
            lacks = join_of(say_lacks(row.lacks))
            sheet.point(f"{row.technique}: where it can't, it is short at best of {lacks}")
    sheet.gap()
    asked = {row.technique for row in check.techniques}
    unasked = [name for name in trip.catalog.techniques if name not in asked]
    if unasked:
        sheet.say(f"Asked for nowhere on this trip: {join(unasked)}; `kitplan needs` says why.")


def _say_verdict(row: TechniqueCheck) -> str:
    if row.possible == row.demands:
        return "can"
    return "can at some places" if row.possible else "can't"


# --- people -------------------------------------------------------------------------------------


def write_roles(sheet: Sheet, trip: Trip, check: PartyCheck) -> None:
    """Write who answers what, fewest first; roles that ask the same of one person are one row."""
    groups: dict[tuple[str, tuple[str, ...], str], list[RoleCheck]] = {}
    alike: dict[str, list[RoleCheck]] = {}
    for row in check.roles:
        asked = say_ask(row.ask)
        groups.setdefault((asked, row.able, _say_bare(row)), []).append(row)
        alike.setdefault(asked, []).append(row)
    sheet.heading("Who can fill which role, fewest first")
    rows = [
        (
            ", ".join([asked or "no skill asked", *_list_apart(same, alike[asked])]),
            "; ".join(dict.fromkeys(row.role for row in same)),
            (f"{len(able)}: {_say_people(trip, able)}" if able else "nobody") + bare,
        )
        for (asked, able, bare), same in groups.items()
    ]
    sheet.table(rows, ("asks for", "roles", "who"), widths=ROLE_WIDTHS)
    sheet.say("What everyone in such a role wears (life jacket, helmet and so on) counts as well.")


def _list_apart(same: list[RoleCheck], alike: list[RoleCheck]) -> Iterator[str]:
    """Yield by what some roles differ from others that ask for the same skills."""
    afloat = {row.ask.exposure == AFLOAT for row in same}
    if afloat == {True} and any(row.ask.exposure != AFLOAT for row in alike):
        yield "in a boat"
    if len({row.ask.guest for row in alike}) > 1 and not any(row.ask.guest for row in same):
        yield "no guests"
    everywhere = set.intersection(*(set(row.ask.wears) for row in alike))
    here = set.intersection(*(set(row.ask.wears) for row in same))
    if worn := sorted(here - everywhere):
        yield f"wearing {join(worn)}"


def _say_bare(row: RoleCheck) -> str:
    """Return who could fill a role but for what he does not wear, where few can."""
    if len(row.able) > FEW_ABLE or not row.bare:
        return ""
    return f"; {join(row.bare)} could, wearing {join(row.ask.wears)}"


def _say_people(trip: Trip, able: tuple[str, ...]) -> str:
    if len(able) == len(trip.paddlers):
        return "everybody"
    others = [name for name in trip.paddlers if name not in able]
    few = len(others) * 3 < len(trip.paddlers)
    return f"all but {join(others)}" if few else ", ".join(able)


def write_steerers(sheet: Sheet, trip: Trip, check: PartyCheck) -> None:
    """Write who can steer the boats of each type, legs that are alike together."""
    run = (rapid for rapid in trip.rapids.values() if rapid.run == "run")
    hardest = max((rapid.river_class for rapid in run), default=1)
    sheet.heading(f"Who can steer which boat, class {CLASSES[hardest - 1]} being the hardest")
    alike: dict[SteererCheck, list[Leg]] = {}
    for row in check.steerers:
        boats = [trip.boats[name] for name in row.boats]
        called = replace(row, boats=tuple(boat.called for boat in boats))
        alike.setdefault(called, []).append(trip.legs[boats[0].leg])
    for row, legs in alike.items():
        spans = join(say_days(leg.first_day, leg.last_day) for leg in legs)
        days = "" if len(legs) == len(trip.legs) else f", {spans}"
        sheet.point(
            f"{row.boat_type} ({join(row.boats)}{days}), {row.skill} {row.level}: {join(row.able)}"
        )
        if row.level_with_guests != row.level:
            sheet.point(
                f"with guests aboard, {row.skill} {row.level_with_guests}: "
                f"{join(row.able_with_guests)}",
                1,
            )


def write_certificates(sheet: Sheet, trip: Trip, check: PartyCheck) -> None:
    """Write who holds which certificate until when."""
    sheet.heading("Certificates")
    if not check.certificates:
        sheet.say("Nobody holds one.")
    rows = [
        (
            row.name,
            row.paddler,
            row.until,
            "" if row.holds else f"runs out before the trip ends ({trip.ends.isoformat()})",
        )
        for row in sorted(check.certificates, key=lambda row: (row.name, row.until, row.paddler))
    ]
    sheet.table(rows, ("certificate", "paddler", "until", ""))


# --- things -------------------------------------------------------------------------------------


def _write_things(sheet: Sheet, check: PartyCheck) -> None:
    """Write the things with none to spare; lines that differ only in length are one row."""
    groups: dict[tuple[str, str, int, int], list[ThingCheck]] = {}
    for row in check.things:
        if row.owned <= row.at_most:
            asked = say_thing(row.thing, length=False)
            groups.setdefault((row.thing.kind, asked, row.at_most, row.owned), []).append(row)
    sheet.heading("Things with none to spare")
    if not groups:
        sheet.say("Of each thing that is asked for, more are at hand than one technique takes.")
    rows = [
        (kind, _say_lengths(alike), asked, str(most), str(owned))
        for (kind, asked, most, owned), alike in groups.items()
    ]
    heads = ("thing", "length", "", "asked for at once", "at hand")
    sheet.table(rows, heads, widths=(None, None, ASKED_WIDTH, None, None))
    sheet.say("At hand: owned by the party or worn by its people, wherever it may lie.")


def _say_lengths(alike: Iterable[ThingCheck]) -> str:
    lengths = sorted({row.thing.least_mm for row in alike})
    if lengths == [0]:
        return ""
    if len(lengths) == 1:
        return f"{show_length(lengths[0])} or more"
    return f"{show_length(lengths[0])} to {show_length(lengths[-1])}"


# --- words --------------------------------------------------------------------------------------
