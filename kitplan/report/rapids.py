"""Each rapid with people on the banks: who stands where, who does what with which item."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs import minutes_by_day
from kitplan.plan import ItemPart, PersonPart
from kitplan.report.words import BANK_NAMES, STATION_NAMES, count, join, say_running

if TYPE_CHECKING:
    from kitplan.demands import Choice, ChoiceKey, Needs
    from kitplan.plan import DemandResult, Plan
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Rapid, Trip


def write_rapids(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    """Write the time it costs by day, then each rapid where safety is set."""
    sheet.heading("People on the banks")
    for day, (rapids, minutes) in minutes_by_day(trip).items():
        sheet.point(
            f"day {day}: {count(rapids, 'rapid')} with people on the banks, about "
            f"{minutes} min to scout, set safety, run and gather"
        )
    sheet.say(
        "A boat stands at its station whichever other boat runs; when it runs itself, its place is "
        "empty and the duties below are done by the others."
    )
    duties = _Duties(sheet, trip, needs, plan)
    for rapid in trip.rapids.values():
        if rapid.safety == "set":
            duties.write_rapid(rapid)


class _Duties:
    """Writes the duties of rapids from one plan."""

    def __init__(self, sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
        self.sheet, self.trip, self.needs, self.plan = sheet, trip, needs, plan
        self.results: dict[ChoiceKey, list[DemandResult]] = {}
        for result in plan.demands:
            self.results.setdefault(result.key.choice, []).append(result)

    def write_rapid(self, rapid: Rapid) -> None:
        """Write who stands where, then each spot and scenario."""
        self.sheet.minor(f"Day {rapid.day}, {rapid.name}, class {rapid.class_text}")
        arrangement = self.plan.arrangement
        for station, words in STATION_NAMES.items():
            boats = [b for b in self.trip.boats if arrangement.stations[rapid.name, b] == station]
            people = [f"{b} ({', '.join(arrangement.crew[b])})" for b in boats]
            if boats:
                self.sheet.point(f"{words}: {'; '.join(people)}")
        for spot in rapid.spots:
            for scenario in spot.scenarios:
                self._write_scenario((rapid.name, spot.name, scenario))

    def _write_scenario(self, where: tuple[str, str, str]) -> None:
        """Write the first choice that is met from each bank and from the water."""
        keys = [key for key in self.results if tuple(key[:3]) == where]
        if not keys:
            return
        self.sheet.point(f"{where[1]}: {where[2]}")
        done = False
        for bank in BANK_NAMES:
            met = [k for k in keys if k.bank == bank and any(r.met for r in self.results[k])]
            if met:
                self._write_choice(min(met, key=lambda key: self.needs.choices[key].place))
                done = True
        if not done:
            self.sheet.point("covered by nothing: see the gaps", 1)

    def _write_choice(self, key: ChoiceKey) -> None:
        """Write one technique: what all running boats have in common first, then what differs."""
        choice, results = self.needs.choices[key], self.results[key]
        self.sheet.point(f"from {BANK_NAMES[key.bank]}: {key.technique}{_say_kind(choice)}", 1)
        groups: dict[tuple[str, ...], list[str]] = {}
        for result in results:
            if result.met:
                groups.setdefault(_say_duties(result), []).append(result.key.running)
        common = _find_common(list(groups)) if len(groups) > 1 else []
        if common:
            self.sheet.point(f"always: {'; '.join(common)}", 2)
        for duties, running in groups.items():
            rest = [duty for duty in duties if duty not in common]
            said = say_running(running, self.trip)
            self.sheet.point(f"{said}: {'; '.join(rest) or 'nobody else'}", 2)
        unmet = [r.key.running for r in results if not r.met]
        if unmet:
            self.sheet.point(f"not {say_running(unmet, self.trip)}", 2)


def _say_kind(choice: Choice) -> str:
    place = {1: "first choice", 2: "second choice"}.get(choice.place, f"choice {choice.place}")
    support = " (support only)" if choice.support_only else ""
    return f"{support}, {place}" + (", unhurried" if choice.unhurried else "")


def _find_common(groups: list[tuple[str, ...]]) -> list[str]:
    return [duty for duty in groups[0] if all(duty in other for other in groups[1:])]


def _say_duties(result: DemandResult) -> tuple[str, ...]:
    """Return the duties of a witness: people by site and role, then things by site."""
    people: dict[tuple[str, str], list[str]] = {}
    things: dict[str, list[str]] = {}
    for part in result.witness:
        if isinstance(part, PersonPart):
            people.setdefault((_say_site(part), part.role), []).append(part.paddler)
        else:
            things.setdefault(_say_site(part), []).append(_say_thing(part))
    said = [f"{join(names)}{site}: {role}" for (site, role), names in people.items()]
    said += [f"things{site}: {', '.join(names)}" for site, names in things.items()]
    return tuple(said)


def _say_site(part: PersonPart | ItemPart) -> str:
    if part.boat:
        return f" in {part.boat}"
    if part.bank:
        return f" on {BANK_NAMES[part.bank]}"
    return " above" if part.site == "above" else ""


def _say_thing(part: ItemPart) -> str:
    holder = part.worn_by or part.source
    return f"{part.count} x {part.item} ({holder})"
