"""Each rapid where boats wait: who stands where, who does what with which item."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs import minutes_by_day
from kitplan.report.duties import list_duties, say_changes, say_places
from kitplan.report.words import BANK_NAMES, STATION_NAMES, count, join, say_place, say_running

if TYPE_CHECKING:
    from kitplan.demands import Choice, ChoiceKey, Needs
    from kitplan.plan import DemandResult, Plan
    from kitplan.report.duties import Duties
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Rapid, Trip

    Where = tuple[str, str, str]  # rapid, spot, scenario
    Chosen = dict[ChoiceKey, list[str]]  # choice -> the running boats it is printed for


PLAIN_WAY = "as it stands"
"""The name of a variant that has nothing to set it apart."""


def write_rapids(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    """Write the time it costs by day, then each rapid where boats or people wait."""
    sheet.heading("Who stands where, and does what")
    for day, (rapids, minutes) in minutes_by_day(trip).items():
        sheet.point(
            f"day {day}: {count(rapids, 'rapid')} with people on the banks, about "
            f"{minutes} min to scout, set safety, run and gather"
        )
    sheet.gap()
    sheet.say(
        "A boat waits at its station whichever other boat runs. For each spot and scenario the "
        "first choice that can be done is printed, from each bank: whole for the first running "
        "boat; for others, each place where anything is new or gone is printed whole."
    )
    writer = _Writer(sheet, trip, needs, plan)
    for rapid in sorted(trip.rapids.values(), key=lambda rapid: rapid.day):
        if rapid.safety != "none" and rapid.spots:
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
            there = [b for b in self.trip.boats if b in rapid.boats]
            boats = [b for b in there if arrangement.stations[rapid.name, b] == station]
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
        bare = self._list_bare(where, running)
        self._write_lacking(done, [boat for boat in running if boat not in bare])
        water = self._choose(where, "", running)
        wanted = {
            key: [boat for boat in boats if self._is_wanted(key, boat, done)]
            for key, boats in water.items()
        }
        self._write_bank(BANK_NAMES[""], {key: boats for key, boats in wanted.items() if boats})
        if bare:
            self.sheet.point(f"covered by nothing {say_running(bare, self.trip)}: see the gaps", 1)

    def _write_lacking(self, done: dict[str, Chosen], running: list[str]) -> None:
        """Write from which banks nothing is possible while which boats run."""
        lacking: dict[tuple[str, ...], list[str]] = {}
        for bank, chosen in done.items():
            able = {boat for boats in chosen.values() for boat in boats}
            without = tuple(boat for boat in running if boat not in able)
            if without:
                lacking.setdefault(without, []).append(BANK_NAMES[bank])
        for boats, banks in lacking.items():
            self.sheet.point(f"not from {join(banks, 'or')} {say_running(boats, self.trip)}", 1)

    def _is_wanted(self, key: ChoiceKey, boat: str, done: dict[str, Chosen]) -> bool:
        """Say whether work from the water is printed: it comes first, or a bank can't do it."""
        places = [
            self.needs.choices[one].place
            for chosen in done.values()
            for one, boats in chosen.items()
            if boat in boats
        ]
        freed = bool(done) and all(self._frees(chosen, boat) for chosen in done.values())
        return not freed or self.needs.choices[key].place < min(places)

    def _choose(self, where: Where, bank: str, running: list[str]) -> Chosen:
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

    def _frees(self, done: Chosen, boat: str) -> bool:
        return any(
            boat in boats and not self.needs.choices[key].support_only
            for key, boats in done.items()
        )

    def _say_alike(self, done: Chosen) -> list[object]:
        """Return what two banks have in common if nothing but their names differs."""
        return [
            (
                key.technique,
                self.needs.choices[key].place,
                [(boat, list_duties(self.met[key][boat])) for boat in boats],
            )
            for key, boats in done.items()
        ]

    def _write_bank(self, bank: str, done: Chosen) -> None:
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
            result = self.met[key][running[0]]
            # Of a boat's crew the roles alone do not tell what the boat is there for.
            told = result.way != PLAIN_WAY and any(part.boat for part in result.witness)
            way = f" ({result.way})" if told else ""
            self.sheet.point(f"{said}; {say_running(running, self.trip)}{way}", 1)
            for line in say_places(first):
                self.sheet.point(line, 2)
            changed: dict[str, list[str]] = {}
            for duties, others in groups[1:]:
                changed.setdefault(say_changes(first, duties), []).extend(others)
            for changes, others in changed.items():
                self.sheet.point(f"{say_running(others, self.trip)}: {changes}", 2)

    def _list_bare(self, where: Where, running: list[str]) -> list[str]:
        """Return while which boats run nothing covers the scenario, from anywhere."""
        covered = {
            boat
            for key, met in self.met.items()
            if tuple(key[:3]) == where and self.needs.choices[key].covers
            for boat in met
        }
        return [boat for boat in running if boat not in covered]


def _say_kind(choice: Choice) -> str:
    caution = "" if choice.covers else " (a last resort: covers nothing)"
    if choice.support_only:
        caution = " (support only)"
    return f"{caution}, {say_place(choice)}" + (", unhurried" if choice.unhurried else "")
