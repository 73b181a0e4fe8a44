"""What the party as a whole can and can't do, before anything is packed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.check import SPARE_CREW, STEERS
from kitplan.plan import Short
from kitplan.report.sheet import Sheet
from kitplan.report.words import BANK_NAMES, count, join, say_running, say_short
from kitplan.units import show_length

if TYPE_CHECKING:
    from kitplan.check import Lack, PartyCheck, RoleCheck, SteererCheck, TechniqueCheck
    from kitplan.demands import Ask, Needs, Thing
    from kitplan.trip import Trip

ALLOWED = {
    "wading": "allowed to wade",
    "tethered": "allowed on a tether",
    "swimming": "allowed to swim",
}
FLAGS = {
    "thrown": "to be thrown",
    "across": "to lie across",
    "haul": "fit to haul",
    "floats": "that floats",
}
IN_TROUBLE = {STEERS: "its steerer", SPARE_CREW: "its least crew"}
BY_ITSELF = (
    "Each question is asked by itself, with everybody and everything the party owns free for it; "
    "only the boat in trouble keeps a steerer and its least crew. What is possible so may still "
    "not go together: that is for `kitplan plan` to tell."
)


def render_check(trip: Trip, needs: Needs, party: PartyCheck, style: str) -> str:
    """Return what is short whatever is packed where, then techniques, steerers and roles."""
    sheet = Sheet(style)
    sheet.title(f"{trip.name}: {_say_answer(party)}")
    sheet.say(BY_ITSELF)
    _write_cases(sheet, trip, party)
    _write_techniques(sheet, trip, party)
    sheet.heading("Who can steer which boat")
    for row in party.steerers:
        sheet.point(_say_steerers(trip, row))
    _write_roles(sheet, trip, party)
    if needs.without_technique:
        sheet.heading("Spots without an accepted technique")
    for spot in needs.without_technique:
        day = trip.rapids[spot.rapid].day
        sheet.point(f"day {day}, {spot.rapid}, {spot.spot}, {spot.scenario}: {spot.reason}")
    return sheet.finish()


def _say_answer(party: PartyCheck) -> str:
    """Return the first line: what no packing can mend."""
    if not party.short:
        return "nothing is short whatever is packed where"
    unsteered = sum(1 for row in party.steerers if not row.able)
    said = [f"{count(unsteered, 'boat')} without a steerer"] if unsteered else []
    short = len(party.cases)
    said += [count(short, "gap that no packing can mend", "gaps that no packing can mend")] * bool(
        short
    )
    return join(said)


def _write_cases(sheet: Sheet, trip: Trip, party: PartyCheck) -> None:
    if not party.cases:
        return
    sheet.heading(f"Short whatever is packed where ({len(party.cases)})")
    for number, row in enumerate(party.cases, start=1):
        sheet.point(
            f"{number}. Day {trip.rapids[row.rapid].day}, {row.rapid}, {row.spot}: "
            f"{row.scenario}, from {BANK_NAMES[row.bank]}, {say_running(row.running, trip)}."
        )
        lacks = join(_say_lack(lack) for lack in row.lacks)
        sheet.point(f"{row.technique}: the rest of the party is short of {lacks}.", 1)


# --- techniques -----------------------------------------------------------------------------------


def _write_techniques(sheet: Sheet, trip: Trip, party: PartyCheck) -> None:
    sheet.heading("What the party can do, technique by technique")
    rows = [
        (row.technique, _say_verdict(row), str(row.possible), str(row.demands))
        for row in party.techniques
    ]
    sheet.table(rows, ("technique", "this party", "can", "asked"))
    for row in party.techniques:
        if row.lacks:
            lacks = join(_say_lack(lack) for lack in row.lacks)
            where = "" if not row.possible else "where it can't, "
            sheet.point(f"{row.technique}: {where}what is nearest is short of {lacks}.")
    asked = {row.technique for row in party.techniques}
    unasked = [name for name in trip.catalog.techniques if name not in asked]
    if unasked:
        sheet.gap()
        sheet.say(f"Asked for nowhere on this trip: {join(unasked)}; `kitplan needs` says why.")


def _say_verdict(row: TechniqueCheck) -> str:
    if row.possible == row.demands:
        return "can"
    return "can at some" if row.possible else "can't"


# --- people ---------------------------------------------------------------------------------------


def _say_steerers(trip: Trip, row: SteererCheck) -> str:
    skill = trip.boats[row.boat].type.skill
    said = f"{row.boat} ({skill} {row.level}): {join(row.able)}"
    if row.level_with_guests == row.level:
        return said
    return f"{said}; with guests aboard ({skill} {row.level_with_guests}): " + join(
        row.able_with_guests
    )


def _write_roles(sheet: Sheet, trip: Trip, party: PartyCheck) -> None:
    """Write who answers what, fewest first; roles that ask the same of one person are one entry."""
    groups: dict[tuple[str, tuple[str, ...]], dict[str, None]] = {}
    for row in sorted(party.roles, key=_fewest_first):
        groups.setdefault((_say_ask(row.ask), row.able), {})[f"'{row.role}'"] = None
    sheet.heading("Who can fill which role, fewest first")
    for (asked, able), roles in groups.items():
        everybody = len(able) == len(trip.paddlers)
        many = f" ({len(able)})" if len(able) > 1 and not everybody else ""
        who = "everybody" if everybody else join(able)
        sheet.point(f"{asked or 'no skill asked'}: {who}{many}")
        sheet.point(f"for {join(sorted(roles))}", 1)


def _fewest_first(row: RoleCheck) -> tuple[int, str]:
    return len(row.able), row.role


# --- words ----------------------------------------------------------------------------------------


def _say_lack(lack: Lack) -> str:
    if lack.ask is not None:
        asked = _say_ask(lack.ask)
    else:
        asked = _say_thing(lack.thing) if lack.thing is not None else ""
    if lack.what == "boat":
        return count(lack.short, lack.name)
    if lack.what == "person" and lack.ask is None:
        return (
            f"{count(lack.short, 'paddler')}, as the boat in trouble keeps {IN_TROUBLE[lack.name]}"
        )
    # The name of a boat's steerer holds the name of the work in quotes; one pair is enough.
    name = lack.name.replace("'", "")
    return say_short(Short("", "", lack.what, name, asked, lack.short))


def _say_ask(ask: Ask) -> str:
    """Return what a person must be able to; kit that everyone wears is left out."""
    said = [f"{skill} {level}" for skill, level in ask.skills]
    if ask.steers:
        said.append(" or ".join(f"{skill} {level}" for skill, level in ask.steers))
    if ask.certificate:
        said.append(f"a valid {ask.certificate} certificate")
    if "harness" in ask.wears:
        said.append("a release harness worn")
    if ask.exposure in ALLOWED:
        said.append(ALLOWED[ask.exposure])
    return ", ".join(said)


def _say_thing(thing: Thing) -> str:
    said = [f"{show_length(thing.least_mm)} or longer"] if thing.least_mm else []
    said += [FLAGS[flag] for flag in thing.flags]
    if thing.spare:
        said.append("not a crew paddle")
    return ", ".join(said)
