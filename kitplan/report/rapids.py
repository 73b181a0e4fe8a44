"""Each rapid with people on the banks: who stands where, who does what with which item."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.demands import CaseKey
from kitplan.needs import minutes_by_day
from kitplan.report.duties import list_duties, say_changes, say_places
from kitplan.report.words import BANK_NAMES, STATION_NAMES, count, say_place, say_running

if TYPE_CHECKING:
    from kitplan.demands import Choice, ChoiceKey, Needs
    from kitplan.plan import DemandResult, Plan
    from kitplan.report.duties import Duties
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Rapid, Trip

    Where = tuple[str, str, str]  # rapid, spot, scenario


def write_rapids(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    """Write the time it costs by day, then each rapid where safety is set."""
    sheet.heading("People on the banks")
    for day, (rapids, minutes) in minutes_by_day(trip).items():
        sheet.point(
            f"day {day}: {count(rapids, 'rapid')} with people on the banks, about "
            f"{minutes} min to scout, set safety, run and gather"
        )
    sheet.gap()
    sheet.say(
        "A boat waits at its station whichever other boat runs. For each spot and scenario the "
        "first choice that can be done is printed, from each bank: whole for the first running "
        "boat, and for others the roles that change and the things that are new."
    )
    writer = _Writer(sheet, trip, needs, plan)
    for rapid in sorted(trip.rapids.values(), key=lambda rapid: rapid.day):
        if rapid.safety == "set":
            writer.write_rapid(rapid)


class _Writer:
    """Writes the duties at rapids from one plan."""

    def __init__(self, sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
        self.sheet, self.trip, self.needs, self.plan = sheet, trip, needs, plan
        self.met: dict[ChoiceKey, dict[str, DemandResult]] = {}
        for result in plan.demands:
            known = self.met.setdefault(result.key.choice, {})
            if result.met:
                known[result.key.running] = result

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

    def _write_scenario(self, where: Where) -> None:
        """Write what is done first from each bank, and what no bank can do from the water."""
        cases = [key for key in self.needs.cases if key[:3] == where]
        if not cases:
            return
        self.sheet.point(f"{where[1]}: {where[2]}")
        banks = self.needs.cases[cases[0]].banks
        running = [case.running for case in cases]
        done = {bank: self._choose(where, bank, running) for bank in banks}
        if len(banks) > 1 and self._say_alike(done["left"]) == self._say_alike(done["right"]):
            self._write_bank("river left or right", done["left"])
        else:
            for bank in banks:
                self._write_bank(BANK_NAMES[bank], done[bank])
        left = [boat for boat in running if not all(self._frees(done[b], boat) for b in banks)]
        self._write_bank(BANK_NAMES[""], self._choose(where, "", left or running[:0]))
        self._write_uncovered(where, running)

    def _choose(self, where: Where, bank: str, running: list[str]) -> dict[ChoiceKey, list[str]]:
        """Return which choices are printed for which running boats, by place.

        A boat has the first choice that is met; where that is support only, the first one that
        sets somebody free as well.
        """
        keys = [key for key in self.met if tuple(key[:3]) == where and key.bank == bank]
        chosen: dict[ChoiceKey, list[str]] = {}
        for boat in running:
            for key in sorted(keys, key=lambda key: self.needs.choices[key].place):
                if boat not in self.met[key]:
                    continue
                only_supports = self.needs.choices[key].support_only
                if not only_supports or not any(boat in boats for boats in chosen.values()):
                    chosen.setdefault(key, []).append(boat)
                if not only_supports:
                    break
        return dict(sorted(chosen.items(), key=lambda pair: self.needs.choices[pair[0]].place))

    def _frees(self, done: dict[ChoiceKey, list[str]], boat: str) -> bool:
        return any(
            boat in boats and not self.needs.choices[key].support_only
            for key, boats in done.items()
        )

    def _say_alike(self, done: dict[ChoiceKey, list[str]]) -> list[object]:
        """Return what two banks have in common if nothing but their names differs."""
        return [
            (
                key.technique,
                self.needs.choices[key].place,
                [(boat, list_duties(self.met[key][boat])) for boat in boats],
            )
            for key, boats in done.items()
        ]

    def _write_bank(self, bank: str, done: dict[ChoiceKey, list[str]]) -> None:
        for key, boats in done.items():
            groups: list[tuple[Duties, list[str]]] = []
            for boat in boats:
                duties = list_duties(self.met[key][boat])
                alike = [names for known, names in groups if known == duties]
                if alike:
                    alike[0].append(boat)
                else:
                    groups.append((duties, [boat]))
            said = f"from {bank}: {key.technique}{_say_kind(self.needs.choices[key])}"
            first, running = groups[0]
            self.sheet.point(f"{said}; {say_running(running, self.trip)}", 1)
            for line in say_places(first):
                self.sheet.point(line, 2)
            changed: dict[str, list[str]] = {}
            for duties, others in groups[1:]:
                changed.setdefault(say_changes(first, duties), []).extend(others)
            for changes, others in changed.items():
                said = changes or "the same, with fewer things"
                self.sheet.point(f"{say_running(others, self.trip)}: {said}", 2)

    def _write_uncovered(self, where: Where, running: list[str]) -> None:
        """Write while which boats run nothing covers the scenario, from anywhere."""
        covered = {
            boat
            for key, met in self.met.items()
            if tuple(key[:3]) == where and self.needs.choices[key].covers
            for boat in met
        }
        bare = [CaseKey(*where, boat).running for boat in running if boat not in covered]
        if bare:
            self.sheet.point(f"covered by nothing {say_running(bare, self.trip)}: see the gaps", 1)


def _say_kind(choice: Choice) -> str:
    support = " (support only)" if choice.support_only else ""
    return f"{support}, {say_place(choice)}" + (", unhurried" if choice.unhurried else "")
